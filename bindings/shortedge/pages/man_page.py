"""One man's page, over one game or several."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from .._core import InputError
from ..base.text import nearest, shown
from ..measures.summary import DEPTHS, described, figures, key_column
from ..tell import moment
from .charts import laid_together, opened
from .game_page import COUNTS, FIGURES, few_note, group_cells
from .html import Cell, Heading, Html, el, figure_cell, table, text_cell, together
from .parts import (
    OUTCOMES,
    RANKED,
    Whole,
    caution,
    counted_openings,
    definitions,
    made_with,
    page,
    percent,
    plural,
    sections,
    to_watch,
    watch,
)

if TYPE_CHECKING:
    import numpy.typing as npt

SHOWN = 12
MOST_DRAWN = 60
SPLITS = {
    "technique": ("By alignment of the rusher", "alignment", "not seen at the snap"),
    "helped": ("With and without help", "help", ""),
    "drop_depth": ("By drop depth", "drop, yd", "not seen"),
}
SIDES = {"protector": "Protecting", "rusher": "Rushing"}


def man_page(wholes: Sequence[Whole], man: str) -> str:
    """The whole page as HTML. InputError when he has no row in any game."""
    mine = {role: [(whole, row) for whole in wholes for row in whole.rows if row[role] == man] for role in SIDES}
    if not any(mine.values()):
        games = ", ".join(shown(whole.name) for whole in wholes[:5])
        known = sorted({row[role] for whole in wholes for row in whole.rows for role in SIDES if row[role]})
        raise InputError(
            f"no rep of player {shown(man)} in {games}; accepted: a protector or a rusher of these games"
            f"{nearest(man, known)}"
        )
    role = max(SIDES, key=lambda role: len(mine[role]))
    rows = mine[role]
    found = watched(rows)
    clips = [watch(whole, row, n + 1, n == 0) for n, (whole, row) in enumerate(found)]
    parts = [
        (
            "short",
            "In short",
            el("ol", *(el("li", line) for line in lines(wholes, man, role, rows)), class_="rp-lines"),
        ),
        ("watch", f"{plural(len(found), 'moment')} to watch", together([el("p", RANKED, class_="rp-note"), *clips])),
        ("splits", "Splits", splits(wholes, man, role)),
        ("reps", "Every rep", every_rep(rows, role)),
        *pictures(wholes, man, role, rows),
        ("definitions", "Definitions and cautions", together([caution(), definitions(wholes[0].m.rules)])),
        ("made", "Made with", made_with(wholes)),
    ]
    name, position = next((w.people[man] for w in wholes if man in w.people), ("", ""))
    who = ", ".join(text for text in (name, position) if text)
    games = wholes[0].name if len(wholes) == 1 else f"{len(wholes)} games"
    title = f"{man}, {who}" if who else man
    return page(title, games, together([caution(wholes), sections(parts)]))


def watched(rows: Sequence[tuple[Whole, Any]]) -> list[tuple[Whole, Any]]:
    whole_of = {id(row): whole for whole, row in rows}
    return [(whole_of[id(row)], row) for row in to_watch([row for _, row in rows], SHOWN)]


# -------------------------------------------------------------------------------------------------------- figures


def pooled(wholes: Sequence[Whole], man: str, role: str, keys: Sequence[str]) -> dict[str, Any]:
    """His rows of all games as columns by codes, and the keys asked for; games is one: which game."""
    columns: dict[str, list[npt.NDArray[Any]]] = {}
    for n, whole in enumerate(wholes):
        reps = whole.reps
        if man not in reps.player_ids:
            continue
        coded, names = reps.coded_with_corrections, {"players": reps.player_ids, "labels": reps.labels}
        kept = np.array([whole.counts(reps.play_ids[code]) for code in coded["play"].tolist()], bool)
        where = np.flatnonzero(kept & (coded[role] == reps.player_ids.index(man)))
        for name, values in coded.items():
            columns.setdefault(name, []).append(values[where])
        for name in keys:
            codes, _ = key_column(name, coded, reps.coded["dropbacks"], {"plays": reps.play_ids, **names})
            columns.setdefault(f"by {name}", []).append(codes[where])
        columns.setdefault("by game", []).append(np.full(len(where), n))
    return {name: np.concatenate(parts) for name, parts in columns.items()}


def words_of(name: str) -> Sequence[Any]:
    if name == "drop_depth":
        return list(DEPTHS)
    return ("alone", "with help") if name == "helped" else described("reps", name)["words"]


def splits(wholes: Sequence[Whole], man: str, role: str) -> Html:
    rows = pooled(wholes, man, role, list(SPLITS))
    made: list[Html] = []
    for name, (title, key, none) in SPLITS.items():
        says = words_of(name)
        made.append(
            split(title, key, rows, f"by {name}", lambda code, says=says, none=none: says[code] if code >= 0 else none)
        )
    if len(wholes) > 1:
        made.append(split("By game", "game", rows, "by game", lambda code: wholes[code].name))
    return together([*made, few_note()])


def split(title: str, key: str, rows: dict[str, Any], by: str, says: Any) -> Html:
    """A table with a row for each value of a key among his judged and free reps."""
    codes = rows[by]
    lines = []
    for code in sorted(set(codes.tolist()), key=lambda code: (code < 0, code)):
        group = figures(rows, np.flatnonzero(codes == code))
        if group["judged"] + group["free"]:
            counts, rest = group_cells(group)
            lines.append([Cell(str(says(code)), float(code) if code >= 0 else None), *counts, *rest])
    return table(title, [Heading(key, number=False), *COUNTS, *FIGURES], lines)


def lines(wholes: Sequence[Whole], man: str, role: str, rows: Sequence[tuple[Whole, Any]]) -> list[str]:
    both = pooled(wholes, man, role, [])
    group = figures(both, np.arange(len(both["outcome"])))
    plays = len({(whole.name, row["play"]) for whole, row in rows})
    beaten = f"{group['beat']} of {plural(group['judged'], 'judged rep')}"
    low, high = percent(group["beat_low"]), percent(group["beat_high"])
    of_judged = f" (95 % interval {low} to {high} %)" if group["judged"] else ""
    few = " Fewer than 10 judged reps: too few to compare with anybody." if group["small"] else ""
    if role == "protector":
        return [
            f"{plural(plays, 'play')} in {plural(len(wholes), 'game')}: {group['judged']} judged, {group['help']} "
            f"helping, {group['uncovered']} with nobody.",
            f"Held {group['held']}, beaten {group['beat']}, driven back {group['driven']}.",
            f"Beaten in {beaten}{of_judged}.{few}",
            f"The ball was out in {group['ball_out']} of the {group['beat']} beaten reps.",
            f"His rusher got to the passer in {group['pressures']}.",
            f"In {sum(bool(row['helped']) for _, row in rows)} reps he had help after contact.",
            f"An edge of his rep was short for {sum(row['short_edge_seconds'] or 0 for _, row in rows):.1f} s in all.",
        ]
    return [
        f"{plural(plays, 'play')} in {plural(len(wholes), 'game')}: {group['judged']} judged, {group['free']} in "
        f"which nobody had him.",
        f"The man against him held {group['held']}, was beaten {group['beat']} and driven back {group['driven']} "
        f"times.",
        f"He beat his man in {beaten}{of_judged}.{few}",
        f"The ball was out in {group['ball_out']} of these {group['beat']}.",
        f"He got to the passer in {group['pressures']}.",
        f"In {sum(bool(row['helped']) for _, row in rows)} reps his man had help after contact.",
    ]


def every_rep(rows: Sequence[tuple[Whole, Any]], role: str) -> Html:
    other = "rusher" if role == "protector" else "protector"
    several = len({whole.name for whole, _ in rows}) > 1
    headings = [
        Heading("play", number=False),
        *((Heading("game", number=False),) if several else ()),
        Heading(other, number=False, close=True),
        Heading("alignment", number=False),
        Heading("ended", number=False),
        Heading("at, s"),
        Heading("drop, yd"),
        Heading("help", number=False),
        Heading("exposed outside"),
        Heading("short edge, s"),
        Heading("film", number=False, close=True),
    ]
    made = []
    for whole, row in rows:
        side = f" {row['beat_side']}" if row["outcome"] == "beat" and row["beat_side"] else ""
        out = ", ball out" if row["ball_out"] else ""
        corrected = " (corrected)" if row["corrected"] else ""
        _, at = moment.of_rep(whole.m, row)
        made.append(
            [
                text_cell(row["play"]),
                *((text_cell(whole.name),) if several else ()),
                text_cell(row[other] or ""),
                text_cell(row["technique"] or ""),
                text_cell(OUTCOMES[row["outcome"]] + side + out + corrected),
                figure_cell(at),
                figure_cell(whole.dropbacks[row["play"]]["drop_depth"]),
                text_cell("yes" if row["helped"] else ""),
                figure_cell(number(row["peak_outside"]), 2),
                figure_cell(number(row["short_edge_seconds"]), 2),
                text_cell(whole.film(row["play"], at)),
            ]
        )
    return table("Every rep", headings, made)


def number(value: float | None) -> float:
    return math.nan if value is None else value


def pictures(
    wholes: Sequence[Whole], man: str, role: str, rows: Sequence[tuple[Whole, Any]]
) -> list[tuple[str, str, Html]]:
    """Where his edges opened, and his reps laid together at contact; of a protector only."""
    if role != "protector":
        return []
    met = [
        (whole, row)
        for whole, row in rows
        if row["rusher"] and row["contact_time"] is not None and row["outcome"] != "help"
    ]
    drawn = [figure for whole, row in met[:MOST_DRAWN] for figure in laid_together(whole.m, [row])]
    note = (
        "He stands at the cross at first contact. Thick: he, from the snap; thin: his rusher; dashed: from the rusher "
        "to the passer at the end. Beside the play the rusher's alignment."
    )
    if len(met) > MOST_DRAWN:
        note += f" The first {MOST_DRAWN} of {len(met)}."
    heat = el(
        "div",
        opened([whole.m for whole in wholes], [one for whole in wholes for one in counted_openings(whole, man)]),
        class_="rp-charts",
    )
    together_ = together([el("p", note, class_="rp-note"), el("ul", *drawn, class_="rp-reps")])
    return [("edges", "Where his edges opened", heat), ("together", "Reps laid together at contact", together_)]
