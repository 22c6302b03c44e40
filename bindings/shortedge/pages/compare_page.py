"""Two men, or one man in two spans of games, side by side."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from ..measures.compare import MOMENTS, WHOLE, Side, aligned, compare_arrow
from ..tell import moment
from .charts import courses, small
from .html import NONE, Cell, Heading, Html, el, table, text_cell, together
from .parts import Whole, caution, definitions, made_with, page, plural, sections, to_watch

SHOWN = 6
TITLES = {
    WHOLE: "Over all",
    "technique": "By alignment of the rusher",
    "helped": "With and without help",
    "drop_depth": "By drop depth",
}
SHARES = {"beat": "beaten", "driven": "driven back", "pressure": "pressure"}
FIGURES = {
    "peak_outside": ("exposed outside", 2),
    "short_edge_seconds": ("edge short, s", 2),
    "peak_cutoff_ratio": ("cut-off ratio", 2),
    "island_seconds": ("alone with him, s", 1),
    "leverage": ("rusher outside him at contact, yd", 1),
}
COURSES = {
    "outside_exposure": "exposure outside",
    "inside_exposure": "exposure inside",
    "blocker_range": "between the two, yd",
    "distance": "rusher to passer, yd",
}


def compare_page(
    sides: Sequence[Side], wholes: Sequence[Sequence[Whole]], names: Sequence[str], without_label: Sequence[str]
) -> str:
    """The whole page as HTML. wholes: of each side the games of its reps, in their order; names: what he is called."""
    rows = compare_arrow(sides[0], sides[1], list(TITLES)[1:], without_label).to_pylist()
    courses_of = [
        aligned([whole.m for whole in some], side, without_label) for side, some in zip(sides, wholes, strict=True)
    ]
    parts = [
        ("difference", "What differs", together([el("p", NOTE, class_="rp-note"), *tables(rows, names)])),
        ("moments", "The same moments", moments(courses_of, names)),
        ("watch", "What to watch of each", watch_both(sides, wholes, names)),
        ("definitions", "Fifteen words", together([caution(), definitions(wholes[0][0].m.rules)])),
        ("made", "Made with", made_with(unique(wholes))),
    ]
    title = f"{names[0]} beside {names[1]}"
    games = plural(len(unique(wholes)), "game")
    return page(title, games, together([caution(unique(wholes)), sections(parts)]))


NOTE = (
    "Each share with its denominator and 95 % interval; the difference is the first less the second, with its own "
    "interval. An interval that holds 0 says that these reps do not tell the two apart. Many intervals at once hold by "
    "chance less than all of them, and neither man chose his rushers. Counts, not marks."
)


def unique(wholes: Sequence[Sequence[Whole]]) -> list[Whole]:
    return list({whole.m.digest: whole for some in wholes for whole in some}.values())


# -------------------------------------------------------------------------------------------------------- tables


def tables(rows: Sequence[Mapping[str, Any]], names: Sequence[str]) -> list[Html]:
    """A table a split: shares of each, how they differ; over all the medians too."""
    made = []
    for split, title in TITLES.items():
        some = [row for row in rows if row["split"] == split]
        if not some:
            continue
        headings = [Heading("" if split == WHOLE else "of", number=False), Heading("what", number=False)]
        headings += [Heading(name, number=False, close=True) for name in names]
        headings += [Heading("difference", number=False, close=True), Heading("few", number=False)]
        lines = [line for row in some for line in shares(row, split)]
        made.append(table(title, headings, lines))
    whole = next(row for row in rows if row["split"] == WHOLE)
    headings = [Heading("median of", number=False), *map(Heading, names), Heading("difference", number=False)]
    made.append(table("Medians over the judged reps", headings, [medians(whole, name) for name in FIGURES]))
    return made


def shares(row: Mapping[str, Any], split: str) -> list[list[Cell]]:
    value = "all reps" if split == WHOLE else row["value"] or "not known"
    few = Cell("few", "few") if row["small"] else Cell("")
    lines = []
    for name, says in SHARES.items():
        if split != WHOLE and name != "beat":
            continue
        both = [share(row, name, side) for side in ("one", "other")]
        lines.append([text_cell(value), text_cell(says), *both, difference(row, name, 100, 0, " %"), few])
    return lines


def share(row: Mapping[str, Any], name: str, side: str) -> Cell:
    part = row[f"{name}_share_{side}"]
    if math.isnan(part):
        return Cell(NONE)
    count = row[f"{name}_{side}"]
    of = round(count / part) if part else row[f"judged_{side}"]
    low, high = (100 * row[f"{name}_{end}_{side}"] for end in ("low", "high"))
    return Cell(f"{count} of {of}, {low:.0f} to {high:.0f} %", part)


def difference(row: Mapping[str, Any], name: str, scale: float, places: int, unit: str = "") -> Cell:
    middle, low, high = (row[f"{name}_difference{end}"] for end in ("", "_low", "_high"))
    if math.isnan(middle):
        return Cell(NONE)
    said = f"{scale * middle:+.{places}f}, {scale * low:+.{places}f} to {scale * high:+.{places}f}{unit}"
    apart = low > 0 or high < 0
    return Cell(el("b", said, class_="rp-ended") if apart else said, middle)


def medians(row: Mapping[str, Any], name: str) -> list[Cell]:
    says, places = FIGURES[name]
    both = [row[f"median_{name}_{side}"] for side in ("one", "other")]
    return [
        text_cell(says),
        *(Cell(NONE) if math.isnan(value) else Cell(f"{value:.{places}f}", value) for value in both),
        difference(row, name, 1, places),
    ]


# ------------------------------------------------------------------------------------------------------- moments


def moments(found: Sequence[Sequence[Mapping[str, Any]]], names: Sequence[str]) -> Html:
    """What the judged reps of each look like, laid together at first contact: medians, and the middle half."""
    note = (
        "Their judged reps laid together at first contact (0). Line: the median; shade: the middle half; drawn where "
        f"three reps or more are left. Solid: {names[0]}; dashed: {names[1]}."
    )
    figures = []
    for name, title in COURSES.items():
        lines = [
            [
                (row["moment"], row["low"], row["median"], row["high"], row["n"])
                for row in rows
                if row["figure"] == name and row["n"] >= 3
            ]
            for rows in found
        ]
        figures.append(courses(title, lines, names, (MOMENTS[0], MOMENTS[-1])))
    return together([el("p", note, class_="rp-note"), el("div", *figures, class_="rp-charts")])


def watch_both(sides: Sequence[Side], wholes: Sequence[Sequence[Whole]], names: Sequence[str]) -> Html:
    """Six moments of each, lost ones first, as small pictures with their film times."""
    parts = []
    for side, some, name in zip(sides, wholes, names, strict=True):
        rows = [(whole, row) for whole in some for row in whole.rows if row[side.role] == side.player]
        whole_of = {id(row): whole for whole, row in rows}
        ranked = [row for row in to_watch([row for _, row in rows]) if row["rusher"]][:SHOWN]
        figures = [figure_of(whole_of[id(row)], row) for row in ranked]
        parts += [el("h3", name), el("ol", *figures, class_="rp-six")]
    return together(parts)


def figure_of(whole: Whole, row: Mapping[str, Any]) -> Html:
    """One moment as a small picture, with where it is on the film and the rep in words."""
    _, at = moment.of_rep(whole.m, row)
    film = whole.film_clock(row["play"], at)
    head = el("b", f"{row['play']}  {film}" if film else row["play"], class_="rp-ended")
    drawn = small(whole.m, row, at, lambda man: whole.called(row["play"], man))
    return el("li", el("figure", drawn, el("figcaption", head, " ", whole.sentence(row))))
