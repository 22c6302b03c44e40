"""One man's page, over one game or several."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from .._core import InputError
from ..base.text import nearest, plural, shown
from ..base.vocabulary import HELD, JUDGED, LOST
from ..measures.drops import drop_study
from ..measures.splits import DEPTHS, described
from ..measures.summary import figures
from ..tell import moment
from ..tell.margins import gone_at, known, margin_words
from ..tell.rep_words import short_seconds
from .charts import laid_together, opened, small
from .game_page import COUNTS, FIGURES, few_note, group_cells
from .html import Cell, Heading, Html, count_cell, el, figure_cell, interval, plain_table, table, text_cell, together
from .parts import (
    OUTCOMES,
    RANKED,
    Shelf,
    Whole,
    caution,
    counted_openings,
    definitions,
    made_with,
    page,
    percent,
    sections,
    to_watch,
    watch,
)
from .player import as_json
from .seen import seen_by_man

if TYPE_CHECKING:
    import numpy.typing as npt

MOMENTS = 6  # on the sheet of paper
MOST_OPEN = 200  # reps that open on one page; lost ones open whatever their number
MOST_DRAWN = 60
SPLITS = {
    "technique": ("By alignment of the rusher", "alignment", "not seen at the snap"),
    "helped": ("With and without help", "help", ""),
    "drop_depth": ("By drop depth", "drop, yd", "not seen"),
}
MORE_SPLITS = {"exchanged": ("Straight rushes and stunts", "his rusher", "")}  # not on the sheet of paper
SIDES = {"protector": "Protecting", "rusher": "Rushing"}
EDGES = ("left", "right")
EDGE_DEPTHS = (5.0, 7.0, 9.0, 11.0)  # yd
Rows = Sequence[tuple[Whole, Any]]


def man_page(wholes: Sequence[Whole], man: str, by: Sequence[str] = (), marked: str = "professional") -> str:
    """The whole page as HTML. by: further splits; marked: by which marks of the field. InputError when he has no row in
    any game, or for a split that a game has not."""
    for whole in wholes if by else ():
        whole.reps._splitting(marked).checked("reps", by)
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
    ranked = in_rank(rows)
    lost = [one for one in ranked if one[1]["outcome"] in LOST]
    others = [one for one in ranked if one[1]["outcome"] not in LOST]
    numbered = {id(row): n + 1 for n, (_, row) in enumerate(ranked)}
    shelf = Shelf()

    def of(whole: Whole) -> str:
        return whole.name if len(wholes) > 1 else ""

    def opened_reps(some: Rows) -> Html:
        return together(
            watch(whole, row, n, shelf, row["outcome"] in LOST or n <= MOST_OPEN, of(whole))
            for whole, row in some
            for n in (numbered[id(row)],)
        )

    name, position = next((w.people[man] for w in wholes if man in w.people), ("", ""))
    who = ", ".join(text for text in (name, position) if text)
    games = wholes[0].name if len(wholes) == 1 else f"{len(wholes)} games"
    title = f"{man}, {who}" if who else man
    parts = [
        ("short", "One sheet to print", sheet(wholes, man, role, rows, ranked)),
        (
            "lost",
            plural(len(lost), "lost rep"),
            together([el("p", RANKED, class_="rp-note"), opened_reps(lost) if lost else el("p", "None.")]),
        ),
        ("others", f"{plural(len(others), 'other rep')}", opened_reps(others) if others else el("p", "None.")),
        ("marks", "Marked on film", marks(wholes, man, role, rows)),
        *his_edge(wholes, rows, man, role),
        ("splits", "Splits", splits(wholes, man, role, by, marked)),
        ("seen", "Stunts, work, looks", seen_by_man(wholes, man, role)),
        ("reps", "Every rep", every_rep(rows, role, numbered)),
        *pictures(wholes, man, role, rows),
        ("definitions", "Fifteen words", together([caution(), definitions(wholes[0].m.rules)])),
        ("made", "Made with", made_with(wholes)),
    ]
    return page(
        title,
        games,
        together([caution(wholes), sections(parts)]),
        pictures=any(whole.with_film for whole in wholes),
        board=any(whole.board for whole in wholes),
    )


def in_rank(rows: Rows) -> list[tuple[Whole, Any]]:
    """Lost ones first, then held ones, then those that are not judged, in the order of the table."""
    whole_of = {id(row): whole for whole, row in rows}
    judged = to_watch([row for _, row in rows])
    there = {id(row) for row in judged}
    rest = [row for _, row in rows if id(row) not in there]
    return [(whole_of[id(row)], row) for row in (*judged, *rest)]


# ------------------------------------------------------------------------------------------------------ the sheet


def sheet(wholes: Sequence[Whole], man: str, role: str, rows: Rows, ranked: Rows) -> Html:
    """What a coach reads in five minutes and prints on one side: the count, three splits, six moments."""
    pooled_rows = pooled(wholes, man, role, list(SPLITS))
    split_tables = [
        short_split(key.removesuffix(", yd"), key, pooled_rows, f"by {name}", words_of(name), none)
        for name, (_, key, none) in SPLITS.items()
    ]
    moments = [
        figure_of(whole, row, whole.name if len(wholes) > 1 else "")
        for whole, row in ranked[:MOMENTS]
        if row["outcome"] in (*LOST, HELD) and row["rusher"]
    ]
    tools = el(
        "p",
        el("button", "print this side", type="button", data_rp_print="sheet"),
        " ",
        el("button", "print everything", type="button", data_rp_print="all"),
        class_="rp-tools",
    )
    return el(
        "div",
        tools,
        el("ol", *(el("li", line) for line in lines(wholes, man, role, rows)), class_="rp-lines"),
        el("div", *split_tables, class_="rp-three"),
        el("ol", *moments, class_="rp-six"),
    )


def short_split(title: str, key: str, rows: dict[str, Any], by: str, says: Sequence[Any], none: str) -> Html:
    codes = rows[by]
    made = []
    for code in sorted(set(codes.tolist()), key=lambda code: (code < 0, code)):
        group = figures(rows, np.flatnonzero(codes == code))
        if not group["judged"] + group["free"]:
            continue
        share = interval(group["beat_share"], group["beat_low"], group["beat_high"], group["beat"], group["judged"])
        text = str(says[code]) if code >= 0 else none
        made.append([Cell(text), share, Cell(str(group["pressures"]))])
    headings = [Heading(key, number=False), Heading("beaten, of judged", number=False), Heading("pressures")]
    return plain_table(title, headings, made)


def figure_of(whole: Whole, row: Any, game: str) -> Html:
    """One moment as a small picture, with its game, where it is on the film and the rep in words."""
    _, at = moment.of_rep(whole.m, row)
    film = whole.film_clock(row["play"], at)
    head = el("b", "  ".join(text for text in (game, row["play"], film) if text), class_="rp-ended")
    drawn = small(whole.m, row, at, lambda man: whole.called(row["play"], man))
    return el("li", el("figure", drawn, el("figcaption", head, " ", whole.sentence(row))))


# ------------------------------------------------------------------------------------------------------ the marks


def marks(wholes: Sequence[Whole], man: str, role: str, rows: Rows) -> Html:
    """Counts as measured and as marked, what was marked before, and the buttons that write marks to a file. The page's
    script adds what is marked on it."""
    measured = [(whole, row) for whole in wholes for row in whole.measured_rows if row[role] == man]
    counted = [("as measured", measured), ("as marked", rows)]
    headings = [
        Heading("", number=False),
        *(Heading(name) for name in ("judged", "held", "beaten", "driven back", "helped")),
    ]
    lines_of = []
    for title, some in counted:
        count = Counter(row["outcome"] for _, row in some)
        judged = sum(count[name] for name in JUDGED)
        cells = [
            count_cell(number) for number in (judged, count["held"], count["beat"], count["driven"], count["help"])
        ]
        lines_of.append([Cell(title), *cells])
    before = [
        [
            text_cell(one.play),
            *((text_cell(whole.name),) if len(wholes) > 1 else ()),
            text_cell(one.protector),
            text_cell(one.rusher),
            text_cell(one.says),
            text_cell(one.note),
        ]
        for whole in wholes
        for one in whole.reps.laid_over
        if man in (one.protector, one.rusher, one.given_to)
    ]
    names = ("play", *(("game",) if len(wholes) > 1 else ()), "protector", "rusher", "marked", "note")
    table_of = (
        [table("Marked before this page was made", [Heading(name, number=False) for name in names], before)]
        if before
        else []
    )
    note = (
        "Open a rep and mark what the film shows: how it ended, when, whose man it was, help, a note, or that it was "
        "no rep. Marks stay in this browser, for every page of the same game. Save them as a file and give it to "
        "shortedge with --corrections: counts are then as marked, with those as measured beside them."
    )
    tools = el(
        "p",
        el("button", "save my marks as a file", type="button", data_rp_marks=True),
        " ",
        el("span", class_="rp-note", data_rp_kept=True, role="status"),
        class_="rp-tools",
    )
    data = {
        "man": man,
        "role": role,
        "games": {whole.m.digest[:16]: whole.name for whole in wholes},
        "rows": [[whole.m.digest[:16], row["play"], *whole.key_of(row), row["outcome"]] for whole, row in rows],
        "before": [[whole.m.digest[:16], *one.as_marked] for whole in wholes for one in whole.reps.laid_over],
    }
    script = Html(f'<script type="application/json" class="rp-rows">{as_json(data)}</script>')
    return together(
        [el("p", note, class_="rp-note"), tools, plain_table("His count", headings, lines_of), *table_of, script]
    )


# ------------------------------------------------------------------------------------------------------- his edge


def his_edge(wholes: Sequence[Whole], rows: Rows, man: str, role: str) -> list[tuple[str, str, Html]]:
    """Of a man who was the edge: how long after the throw his rusher would have been there, by the drop."""
    if role != "protector":
        return []
    made, gone, taken, asked = [], [], [], set()
    for whole, row in rows:
        play = row["play"]
        if (whole.name, play) in asked:
            continue
        asked.add((whole.name, play))
        try:
            found = drop_study(whole.game, play, depths=EDGE_DEPTHS, rules=whole.m.rules).arrow("drops").to_pylist()
        except InputError:  # the passer never drops so far
            continue
        for side in EDGES:
            mine = known(one for one in found if one["side"] == side and one["edge_man"] == man)
            words = margin_words(one for one in mine if not one["taken"])
            if not words:
                continue
            then = next((one for one in mine if one["taken"]), None)
            taken += [then["margin"]] if then else []
            gone.append(gone_at(mine))
            made.append(
                [
                    text_cell(play),
                    *((text_cell(whole.name),) if len(wholes) > 1 else ()),
                    text_cell(whole.called(play, mine[0]["rusher"])),
                    figure_cell(number(then["depth"] if then else None)),
                    figure_cell(number(then["margin"] if then else None)),
                    text_cell(f"his edge {words}"),
                ]
            )
    if not made:
        return []
    short = sum(margin <= 0 for margin in taken)
    depths = [depth for depth in gone if math.isfinite(depth)]
    said = (
        f"{plural(len(made), 'edge')}: with the drop as it was, his rusher would have been there before the throw on "
        f"{short}."
    )
    if depths:
        said += f" His edge is gone at a depth of {np.median(depths):.1f} yd (median of {plural(len(depths), 'edge')})."
    names = ("play", *(("game",) if len(wholes) > 1 else ()), "rusher")
    headings = [*(Heading(name, number=False) for name in names), Heading("drop, yd"), Heading("margin, s")]
    note = (
        "Margin: the way round his outside to the top of the drop from first contact on, less the throw that goes with "
        "the depth; below 0 the rusher is there before the ball is out. Geometry of recorded tracks, not a grade."
    )
    shown = table("Edge by edge", [*headings, Heading("by the depth of the drop", number=False)], made)
    return [("edge", "His edge by the drop", together([el("p", said), shown, el("p", note, class_="rp-note")]))]


# -------------------------------------------------------------------------------------------------------- figures


def pooled(
    wholes: Sequence[Whole], man: str, role: str, keys: Sequence[str], marked: str = "professional"
) -> dict[str, Any]:
    """His rows of all games as columns by codes, and the keys asked for: their codes, and under "of ..." what they
    stand for; games is one: which game."""
    says: dict[str, dict[Any, int]] = {name: {} for name in keys}
    columns: dict[str, list[npt.NDArray[Any]]] = {}
    for n, whole in enumerate(wholes):
        reps = whole.reps
        if man not in reps.player_ids:
            continue
        coded, splitting = reps.coded_with_corrections, reps._splitting(marked)
        kept = np.array([whole.counts(reps.play_ids[code]) for code in coded["play"].tolist()], bool)
        where = np.flatnonzero(kept & (coded[role] == reps.player_ids.index(man)))
        for name, values in coded.items():
            columns.setdefault(name, []).append(values[where])
        for name in keys:
            codes, meant = splitting.column("reps", name, coded)
            place = [says[name].setdefault(value, len(says[name])) for value in meant]
            columns.setdefault(f"by {name}", []).append(np.array([*place, -1])[codes[where]])
        columns.setdefault("by game", []).append(np.full(len(where), n))
    told = {f"of {name}": list(found) for name, found in says.items()}
    return {name: np.concatenate(parts) for name, parts in columns.items()} | told


def words_of(name: str) -> Sequence[Any]:
    if name == "drop_depth":
        return list(DEPTHS)
    if name == "exchanged":
        return "came straight", "changed hands or crossed"
    return ("alone", "with help") if name == "helped" else described("reps", name)["words"]


def splits(wholes: Sequence[Whole], man: str, role: str, by: Sequence[str], marked: str) -> Html:
    rows = pooled(wholes, man, role, [*SPLITS, *MORE_SPLITS])
    made: list[Html] = []
    for name, (title, key, none) in (SPLITS | MORE_SPLITS).items():
        says = words_of(name)
        made.append(
            split(title, key, rows, f"by {name}", lambda code, says=says, none=none: says[code] if code >= 0 else none)
        )
    own = [name for name in by if name not in SPLITS and name not in MORE_SPLITS]
    brought = pooled(wholes, man, role, own, marked)
    for name in own:
        title = name.replace("_", " ")
        says = brought[f"of {name}"]
        if len(wholes) > 1:  # of one game they are in order
            ordered = sorted(says, key=lambda value: (isinstance(value, str), value))
            place = np.array([*(ordered.index(value) for value in says), -1])
            says, brought[f"by {name}"] = ordered, place[brought[f"by {name}"]]
        made.append(split(f"By {title}", title, brought, f"by {name}", in_words(says)))
    if len(wholes) > 1:
        made.append(split("By game", "game", rows, "by game", lambda code: wholes[code].name))
    return together([*made, few_note()])


def in_words(values: Sequence[Any]) -> Any:
    """What a code of a split stands for."""

    def says(code: int) -> str:
        if code < 0:
            return "not known"
        value = values[code]
        return ("no", "yes")[value] if isinstance(value, bool) else str(value)

    return says


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
            f"{plural(plays, 'play')} in {plural(len(wholes), 'game')}: {plural(group['judged'], 'judged rep')}, "
            f"{group['help']} helping, {group['uncovered']} with nobody.",
            f"Held {group['held']}, beaten {group['beat']}, driven back {group['driven']}.",
            f"Beaten in {beaten}{of_judged}.{few}",
            f"The ball was out before the rusher got there in {group['ball_out']} of {group['beat']} beaten reps.",
            f"His rusher got to the passer in {plural(group['pressures'], 'rep')}.",
            f"In {plural(sum(bool(row['helped']) for _, row in rows), 'rep')} he had help after contact.",
            f"His edge was short in {plural(sum(short_seconds(row) > 0 for _, row in rows), 'rep')}, for "
            f"{sum(short_seconds(row) for _, row in rows):.1f} s in all.",
        ]
    return [
        f"{plural(plays, 'play')} in {plural(len(wholes), 'game')}: {plural(group['judged'], 'judged rep')}, "
        f"{group['free']} in which nobody had him.",
        f"The man against him held {group['held']}, was beaten {group['beat']} and driven back {group['driven']} "
        f"times.",
        f"He beat his man in {beaten}{of_judged}.{few}",
        f"The ball was out before he got there in {group['ball_out']} of these {group['beat']}.",
        f"He got to the passer in {plural(group['pressures'], 'rep')}.",
        f"In {plural(sum(bool(row['helped']) for _, row in rows), 'rep')} his man had help after contact.",
    ]


def every_rep(rows: Rows, role: str, numbered: Mapping[int, int]) -> Html:
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
        Heading("stunt", number=False),
        Heading("exposed outside"),
        Heading("short edge, s"),
        Heading("film", number=False, close=True),
    ]
    made = []
    for whole, row in rows:
        side = f" {row['beat_side']}" if row["outcome"] == "beat" and row["beat_side"] else ""
        out = ", ball out" if row["ball_out"] else ""
        corrected = " (marked)" if row["corrected"] else ""
        _, at = moment.of_rep(whole.m, row)
        made.append(
            [
                Cell(el("a", row["play"], href=f"#rep-{numbered[id(row)]}"), row["play"]),
                *((text_cell(whole.name),) if several else ()),
                text_cell(whole.called(row["play"], row[other]) if row[other] else ""),
                text_cell(row["technique"] or ""),
                text_cell(OUTCOMES[row["outcome"]] + side + out + corrected),
                figure_cell(at),
                figure_cell(whole.dropbacks[row["play"]]["drop_depth"]),
                text_cell("yes" if row["helped"] else ""),
                text_cell(whole.exchanged.get((row["play"], row["rusher"] or ""), "")),
                figure_cell(number(row["peak_outside"]), 2),
                figure_cell(short_seconds(row), 1),
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
    drawn = [figure for whole, row in met[:MOST_DRAWN] for figure in laid_together(whole.m, [row], len(wholes) > 1)]
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
