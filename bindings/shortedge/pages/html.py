"""HTML that is escaped by construction: a text is a text wherever it goes, and only `el` makes elements."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

from ..base.text import visible

NONE = "\N{EN DASH}"  # shown for a missing value
VOID = ("img",)  # elements without an end


class Html(str):
    """A text that is HTML already."""


Child = object  # Html, or anything that is shown as text


def el(tag: str, *children: Child, **attributes: object) -> Html:
    """An element. Children that are not Html are escaped; attributes: class_ for class, data_v for data-v, None left
    out, True without a value."""
    given = "".join(
        f" {name.rstrip('_').replace('_', '-')}" + ("" if value is True else f'="{escape(visible(str(value)))}"')
        for name, value in attributes.items()
        if value is not None and value is not False
    )
    return Html(f"<{tag}{given}>" if tag in VOID else f"<{tag}{given}>{together(children)}</{tag}>")


def together(children: Iterable[Child]) -> Html:
    return Html("".join(child if isinstance(child, Html) else escape(visible(str(child))) for child in children))


@dataclass(frozen=True)
class Cell:
    """What a cell shows, and what it is sorted by; None: a missing value, sorted last."""

    shows: Child
    by: float | str | None = None


@dataclass(frozen=True)
class Heading:
    """A column's title, and what it means."""

    title: str
    says: str = ""
    number: bool = True
    close: bool = False  # kept on one line


def text_cell(text: str) -> Cell:
    return Cell(text or NONE, text or None)


def count_cell(count: int) -> Cell:
    return Cell(str(count), float(count))


def figure_cell(value: float, places: int = 1) -> Cell:
    if not math.isfinite(value):
        return Cell(NONE)
    return Cell(f"{value:.{places}f}", float(f"{value:.{places}f}"))


def table(caption: str, headings: Sequence[Heading], rows: Sequence[Sequence[Cell]], **more: Any) -> Html:
    """A table whose columns can be sorted, when the page's script runs; the first column heads its row."""
    head = el(
        "tr",
        *(
            el("th", one.title, scope="col", class_="rp-number" if one.number else None, title=one.says or None)
            for one in headings
        ),
    )
    body = [
        el(
            "tr",
            *(
                el(
                    "td" if n else "th",
                    cell.shows,
                    scope=None if n else "row",
                    class_=_class_of(cell, heading),
                    data_v=cell.by,
                )
                for n, (cell, heading) in enumerate(zip(row, headings, strict=True))
            ),
        )
        for row in rows
    ]
    made = el("table", el("caption", caption), el("thead", head), el("tbody", *body), class_="rp-table", data_sort=True)
    return el("div", made, class_="rp-wide", tabindex="0", role="region", aria_label=caption, **more)


def _class_of(cell: Cell, heading: Heading) -> str | None:
    if heading.number or heading.close:
        return "rp-number" if heading.number else "rp-close"
    return "rp-long" if len(str(cell.shows)) > 30 else None  # a sentence


def plain_table(caption: str, headings: Sequence[Heading], rows: Sequence[Sequence[Cell]]) -> Html:
    """A small table that nobody sorts."""
    head = el("tr", *(el("th", one.title, scope="col", class_="rp-number" if one.number else None) for one in headings))
    body = [
        el(
            "tr",
            *(
                el(
                    "td" if n else "th",
                    cell.shows,
                    scope=None if n else "row",
                    class_="rp-number" if one.number else None,
                )
                for n, (cell, one) in enumerate(zip(row, headings, strict=True))
            ),
        )
        for row in rows
    ]
    made = el("table", el("caption", caption), el("thead", head), el("tbody", *body), class_="rp-table")
    return el("div", made, class_="rp-wide", tabindex="0", role="region", aria_label=caption)


def interval(share: float, low: float, high: float, count: int, of: int) -> Cell:
    """A share with its denominator, and its interval drawn from 0 to 1; nothing of nothing."""
    if not of:
        return Cell(NONE)
    drawn = el(
        "svg",
        el("line", x1=0, x2=100, y1=7, y2=7, class_="rp-rail"),
        el("line", x1=f"{100 * low:.1f}", x2=f"{100 * high:.1f}", y1=7, y2=7, class_="rp-interval"),
        el("circle", cx=f"{100 * share:.1f}", cy=7, r=3.5, class_="rp-point"),
        viewBox="-4 0 108 14",
        class_="rp-bar",
        aria_hidden="true",
    )
    text = el("span", f"{count} of {of}, {100 * low:.0f} to {100 * high:.0f} %")
    return Cell(el("span", drawn, text, class_="rp-close"), share)
