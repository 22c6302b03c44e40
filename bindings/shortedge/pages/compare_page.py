"""Two men side by side on one page, or one man in two spans of games: the same splits, differences with intervals, and
both at the same moments."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from ..base.text import plural
from ..measures.compare import SPLITS, Side, aligned, compare_arrow
from .charts import laid_together
from .html import NONE, Cell, Heading, Html, el, table, text_cell, together
from .parts import Whole, caution, definitions, made_with, page, sections

SPLIT_TITLES = {
    "all": "All",
    "technique": "alignment of the rusher",
    "helped": "help",
    "drop_depth": "drop, yd",
}
SHARES = {"beat": ("Beaten", "of judged"), "driven": ("Driven back", "of judged"), "pressure": ("Pressure", "")}
FIGURES = {
    "peak_outside": ("greatest exposure outside", 2),
    "short_edge_seconds": ("short edge, s", 2),
    "peak_cutoff_ratio": ("greatest cut-off ratio", 2),
    "island_seconds": ("alone, s", 1),
    "leverage": ("leverage at the snap, yd", 2),
}
CURVES = {
    "blocker_range": "How far he is from his man, yd",
    "distance": "How far the rusher is from the passer, yd",
    "cutoff_ratio": "Cut-off ratio: at 1 the rusher is past",
    "outside_exposure": "Exposure round the outside",
}
LEAST = 3  # reps that a moment's median is drawn of
PICTURES = 12  # reps a side, laid together at contact


@dataclass(frozen=True)
class Compared:
    """One of the two on the page."""

    side: Side
    wholes: tuple[Whole, ...]

    @property
    def called(self) -> str:
        """His id, with name and position where they are known."""
        man = self.side.player
        told = next((whole.people[man] for whole in self.wholes if man in whole.people), ("", ""))
        return ", ".join(text for text in (man, *told) if text)

    @property
    def games(self) -> str:
        return self.wholes[0].name if len(self.wholes) == 1 else f"{len(self.wholes)} games"


def compare_page(
    one: Compared,
    other: Compared,
    without_label: Sequence[str],
    by: Sequence[str] = (),
    marks: str = "professional",
) -> str:
    """The whole page as HTML; by: further splits."""
    keys = list(dict.fromkeys((*SPLITS, *by)))
    rows = compare_arrow(one.side, other.side, keys, without_label, marks).to_pylist()
    names = called(one, other)
    wholes = list({id(whole): whole for whole in (*one.wholes, *other.wholes)}.values())
    parts = [
        ("short", "In short", el("ol", *(el("li", line) for line in lines(rows[0], names)), class_="rp-lines")),
        ("splits", "The same splits", together([el("p", READ, class_="rp-note"), *split_tables(rows, names, keys)])),
        ("moments", "The same moments", moments(one, other, names, without_label)),
        ("reps", "Reps laid together at contact", pictures(one, other, names)),
        ("definitions", "Definitions and cautions", together([caution(), definitions(wholes[0].m.rules)])),
        ("made", "Made with", made_with(wholes)),
    ]
    games = one.games if one.games == other.games else f"{one.games} and {other.games}"
    return page(f"{one.called} beside {other.called}", games, together([caution(wholes), sections(parts)]))


READ = (
    "Behind each share its 95 % interval (Wilson). Difference: the first less the second, with its 95 % interval "
    "(shares: Newcombe; figures: how far the one's reps lie above the other's, from their ranks). An interval that "
    "holds 0 cannot tell the two apart; of twenty such intervals about one misses by chance alone. *: fewer than 10 "
    "judged reps on a side. Who they faced differs, too: no grade."
)


def called(one: Compared, other: Compared) -> tuple[str, str]:
    """Short names of both, which differ."""
    first, second = one.side.player, other.side.player
    return (first, second) if first != second else (f"{first} in {one.games}", f"{second} in {other.games} (2nd)")


def lines(row: Mapping[str, Any], names: tuple[str, str]) -> list[str]:
    made = []
    for name, end in zip(names, ("one", "other"), strict=True):
        judged = plural(row[f"judged_{end}"], "judged rep")
        low, high = (f"{100 * row[f'beat_{what}_{end}']:.0f}" for what in ("low", "high"))
        interval = f" (95 % interval {low} to {high} %)" if row[f"judged_{end}"] else ""
        made.append(
            f"{name}: beaten in {row[f'beat_{end}']} of {judged}{interval}, driven back in {row[f'driven_{end}']}; his "
            f"rusher got to the passer in {row[f'pressure_{end}']}."
        )
    made.append(told(row, names))
    return made


def told(row: Mapping[str, Any], names: tuple[str, str]) -> str:
    low, high = row["beat_difference_low"], row["beat_difference_high"]
    if not math.isfinite(low):
        return "One of them has no judged rep: nothing to compare."
    said = (
        f"Beaten share, {names[0]} less {names[1]}: {100 * row['beat_difference']:+.0f} points ({between(low, high)})."
    )
    return said + (" These reps cannot tell the two apart." if low <= 0 <= high else "")


def between(low: float, high: float) -> str:
    return f"{100 * low:+.0f} to {100 * high:+.0f}"


def split_tables(rows: Sequence[Mapping[str, Any]], names: tuple[str, str], keys: Sequence[str]) -> list[Html]:
    made = []
    for split in ("all", *keys):
        title = SPLIT_TITLES.get(split, split.replace("_", " "))
        mine = [row for row in rows if row["split"] == split]
        if mine:
            made.append(split_table(title, split, mine, names))
    return made


def split_table(title: str, split: str, rows: Sequence[Mapping[str, Any]], names: tuple[str, str]) -> Html:
    """Shares of both and their difference, a row a value; of the whole also the figures."""
    headings = [Heading("figure" if split == "all" else title, number=False)]
    headings += [Heading(name, number=False, close=True) for name in names] + [Heading("difference", close=True)]
    lines = []
    for row in rows:
        for share, (word, of) in SHARES.items():
            if split != "all" and share == "driven":
                continue
            if split != "all" and not any(math.isfinite(row[f"{share}_share_{end}"]) for end in ("one", "other")):
                continue  # neither has a rep that is judged
            few = "*" if row["small"] else ""
            value = "" if split == "all" else f"{row['value'] or 'not known'}: "
            head = f"{value}{word.lower() if value else word}{' ' + of if of and not value else ''}{few}"
            cells = [share_cell(row, share, end) for end in ("one", "other")]
            lines.append([Cell(head), *cells, difference(row, share, 100, 0, " points")])
        if split == "all":
            for figure, (word, places) in FIGURES.items():
                cells = [figure_text(row[f"median_{figure}_{end}"], places) for end in ("one", "other")]
                lines.append([Cell(f"Median {word}"), *cells, difference(row, figure, 1, places, "")])
    caption = "All reps" if split == "all" else f"By {title}"
    return table(caption, headings, lines)


def share_cell(row: Mapping[str, Any], share: str, end: str) -> Cell:
    value = row[f"{share}_share_{end}"]
    if not math.isfinite(value):
        return Cell(NONE)
    low, high = (f"{100 * row[f'{share}_{what}_{end}']:.0f}" for what in ("low", "high"))
    of = row[f"{'rushed' if share == 'pressure' else 'judged'}_{end}"]
    return Cell(f"{row[f'{share}_{end}']} of {of}, {100 * value:.0f} % ({low} to {high})", value)


def difference(row: Mapping[str, Any], name: str, scale: float, places: int, unit: str) -> Cell:
    value, low, high = (row[f"{name}_difference{end}"] for end in ("", "_low", "_high"))
    if not math.isfinite(value):
        return Cell(NONE)
    text = f"{scale * value:+.{places}f}{unit} ({scale * low:+.{places}f} to {scale * high:+.{places}f})"
    return Cell(el("span", text) if low <= 0 <= high else el("b", text), value)


def figure_text(value: float, places: int) -> Cell:
    return text_cell(f"{value:.{places}f}" if math.isfinite(value) else "")


def moments(one: Compared, other: Compared, names: tuple[str, str], without_label: Sequence[str]) -> Html:
    """Both at the same moments after first contact: medians, with the middle half of the reps as a band."""
    found = [aligned([whole.m for whole in side.wholes], side.side, without_label) for side in (one, other)]
    note = (
        f"Medians of the judged reps at the same moment, s after first contact; band: the middle half. Full line: "
        f"{names[0]}; dashed: {names[1]}. A moment is drawn if {LEAST} reps or more reach it; reps that ended earlier "
        "are not in it, so later moments are of the longer reps alone."
    )
    charts = [
        curves(title, [[row for row in rows if row["figure"] == name] for rows in found])
        for name, title in CURVES.items()
    ]
    return together([el("p", note, class_="rp-note"), el("div", *charts, class_="rp-charts"), numbers(found, names)])


def curves(title: str, sides: Sequence[Sequence[Mapping[str, Any]]]) -> Html:
    wide, high, left, right, top, bottom = 460, 220, 46, 10, 10, 36
    drawn = [[row for row in rows if row["n"] >= LEAST] for rows in sides]
    values = [row[what] for rows in drawn for row in rows for what in ("low", "high")]
    times = [row["moment"] for rows in sides for row in rows]
    low, up = min([0.0, *values]), max([0.4, *values])

    def x(time: float) -> float:
        return float(left + (wide - left - right) * (time - times[0]) / (max(times) - times[0]))

    def y(value: float) -> float:
        return float(high - bottom - (high - bottom - top) * (value - low) / (up - low))

    parts = [el("rect", x=left, y=top, width=wide - left - right, height=high - top - bottom, class_="rp-sheet")]
    step = next(step for step in (0.2, 0.5, 1.0, 2.0, 5.0, 10.0) if (up - low) / step <= 6)
    for k in range(math.ceil(low / step), math.floor(up / step) + 1):
        parts.append(line(left, y(k * step), wide - right, y(k * step), "rp-faint"))
        parts.append(text(left - 6, y(k * step) + 4, f"{k * step:g}", "end"))
    parts.append(line(x(0), top, x(0), high - bottom, "rp-axis"))
    for time in (-0.5, 0.0, 0.5, 1.0, 1.5, 2.0):
        anchor = "end" if time == times[-1] else "middle"
        parts.append(text(x(time), high - bottom + 16, "contact" if time == 0 else f"{time:+g} s", anchor))
    for n, rows in enumerate(drawn):
        band = [(x(r["moment"]), y(r["high"])) for r in rows] + [(x(r["moment"]), y(r["low"])) for r in reversed(rows)]
        if len(rows) > 1:
            points = " ".join(f"{a:.1f},{b:.1f}" for a, b in band)
            parts.append(el("polygon", points=points, class_="rp-band", fill_opacity="0.16" if n else "0.24"))
        for first, second in pairwise(rows):
            ends = (x(first["moment"]), y(first["median"]), x(second["moment"]), y(second["median"]))
            parts.append(line(*ends, "rp-second" if n else "rp-first"))
    label = f"{title}, over s after first contact; the table below holds the figures"
    made = el("svg", *parts, viewBox=f"0 0 {wide} {high}", class_="rp-chart", role="img", aria_label=label)
    return el("figure", el("figcaption", title), made)


def numbers(found: Sequence[Sequence[Mapping[str, Any]]], names: tuple[str, str]) -> Html:
    """What the charts show, as a table."""
    headings = [Heading("s after contact")]
    headings += [
        Heading(f"{name}: {what}") for name in names for what in ("reps", *("median " + w for w in SHORT.values()))
    ]
    lines = []
    for moment in dict.fromkeys(row["moment"] for row in found[0]):
        cells = [Cell(f"{moment:g}", moment)]
        for rows in found:
            here = {row["figure"]: row for row in rows if row["moment"] == moment}
            cells.append(Cell(str(max(row["n"] for row in here.values()))))
            cells += [figure_text(here[name]["median"], 2) for name in SHORT]
        lines.append(cells)
    return el("details", el("summary", "The figures"), table("Medians at the same moments", headings, lines))


SHORT = {"blocker_range": "yd from his man", "distance": "yd to the passer", "cutoff_ratio": "cut-off ratio"}


def pictures(one: Compared, other: Compared, names: tuple[str, str]) -> Html:
    """The reps of both that were lost first, then the rest, each laid so that he stands at the cross at contact."""
    made: list[Html] = []
    for side, name in ((one, names[0]), (other, names[1])):
        rows = [
            (whole, row)
            for whole in side.wholes
            for row in whole.rows
            if row[side.side.role] == side.side.player and row["contact_time"] is not None and row["outcome"] in ORDER
        ]
        rows.sort(key=lambda pair: (not pair[1]["pressure"], ORDER.index(pair[1]["outcome"])))
        drawn = [figure for whole, row in rows[:PICTURES] for figure in laid_together(whole.m, [row])]
        title = f"{name}: {min(len(rows), PICTURES)} of {plural(len(rows), 'rep')}"
        made += [el("h3", title), el("ul", *drawn, class_="rp-reps")]
    note = (
        "Each man stands at the cross at first contact, all to one scale; pressures first, then beaten, driven, held. "
        "Thick: the protector, from the snap; thin: the rusher; dashed: from the rusher to the passer at the end."
    )
    return together([el("p", note, class_="rp-note"), *made])


ORDER = ("beat", "driven", "held")


def line(x1: float, y1: float, x2: float, y2: float, name: str) -> Html:
    return el("line", x1=f"{x1:.1f}", y1=f"{y1:.1f}", x2=f"{x2:.1f}", y2=f"{y2:.1f}", class_=name)


def text(x: float, y: float, says: str, anchor: str) -> Html:
    return el("text", says, x=f"{x:.1f}", y=f"{y:.1f}", text_anchor=anchor)
