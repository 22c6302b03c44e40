"""What linemen see and decide, of a game and of one man: rushers who changed hands, who looked for work and found it,
who showed at the snap and came, and who picked up a blitz from the slot."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np

from ..base.text import plural
from ..base.vocabulary import SPOTS
from ..measures.splits import described
from ..measures.summary import FIGURES
from ..tell.pickup import pickup_words
from .html import Cell, Heading, Html, count_cell, el, figure_cell, interval, table, text_cell, together
from .parts import OUTCOMES, Whole

if TYPE_CHECKING:
    import numpy.typing as npt

Column = tuple[Heading, Callable[[Any], Cell]]
MATTERS = {"exchanges": ("from_man", "to_man"), "searches": ("man",)}  # whose a row is, of a protector's page
ENDS = {"LT": "left", "LG": "left", "RG": "right", "RT": "right"}  # whose side a lineman sees
WHY = {"uncovered": "no rusher at the snap", "freed": "free of his rusher", "back": "back"}
SPOT = {"line": "on the line", "box": "in the box", "slot": "over the slot", "wide": "wide of the line"}
DEEP = ("", "deep man over him")


def few_of(group: Any) -> Cell:
    return Cell("few", "few") if group["small"] else Cell("")


def share_of(name: str, count: str, of: str) -> Callable[[Any], Cell]:
    return lambda one: interval(one[f"{name}_share"], one[f"{name}_low"], one[f"{name}_high"], one[count], one[of])


def counted(title: str, name: str, says: str = "") -> Column:
    return Heading(title, says), lambda one: count_cell(one[name])


FEW = Heading("few", "fewer than 10: do not compare", number=False), few_of
EXCHANGED: tuple[Column, ...] = (
    counted("twists", "twist", "rushers who crossed with another and were handed over"),
    counted("passed off", "pass_off", "handed over without crossing another rusher"),
    counted("stayed", "stayed", "crossed with another, and their man stayed with them"),
    (Heading("handed over late", "of those handed over", number=False), share_of("late", "late", "handed_over")),
    (Heading("lost", "of those handed over", number=False), share_of("lost", "lost", "handed_over")),
    FEW,
)
SEARCHED: tuple[Column, ...] = (
    counted("searches", "searches"),
    counted("a rusher of his own", "found_rusher"),
    counted("helped another", "found_help"),
    counted("nobody", "found_nobody"),
    (Heading("found work", "a rusher or help, of searches", number=False), lambda one: found_share(one)),
    (Heading("after, s", "from when he looked to contact, median"), lambda one: figure_cell(one["median_seconds"])),
    (Heading("went, yd", "from where he looked to contact, median"), lambda one: figure_cell(one["median_distance"])),
    FEW,
)
LOOKED: tuple[Column, ...] = (
    counted("showed", "looks", "defenders who stood so at the snap, counted in every play"),
    counted("came", "came"),
    (Heading("came, share", "of those who showed", number=False), share_of("came", "came", "looks")),
    (Heading("at, s", "when they came, 0 from the line, median"), lambda one: figure_cell(one["median_came_at"])),
    FEW,
)
COLUMNS = {"exchanges": EXCHANGED, "searches": SEARCHED, "looks": LOOKED}
PAIR = Heading("the two", "neighbours, left to right", number=False, close=True)
SHOWED = (Heading("stood", number=False), Heading("behind him", number=False, close=True))
WHY_OF = Heading("why", number=False, close=True)
NOTES = {
    "exchanges": (
        "A row counts rushers who changed hands, or crossed with another. Late: nobody took him, he was past the new "
        "man, or contact came more than 0.5 s after."
    ),
    "searches": "Until first contact with a rusher who was not his at the snap, his own or another man's.",
    "looks": (
        "Every defender within 8 yd of the line at the snap, and the man over each slot. A deep man over him, 8 to 15 "
        "yd deep and within 1.5 yd across, leaves him free to come. This holds for these plays, not for the next."
    ),
}


def found_share(one: Any) -> Cell:
    count = one["found_rusher"] + one["found_help"]
    return interval(one["found_share"], one["found_low"], one["found_high"], count, one["searches"])


def grouped(title: str, caption: str, keys: Sequence[Heading], rows: Sequence[tuple[Sequence[Cell], Any]]) -> Html:
    """A table of groups with the title's figures; a line when there are none."""
    if not rows:
        return el("p", f"{caption}: none.")
    made = [[*cells, *(cell(group) for _, cell in COLUMNS[title])] for cells, group in rows]
    return table(caption, [*keys, *(heading for heading, _ in COLUMNS[title])], made)


def note(title: str) -> Html:
    return el("p", NOTES[title], class_="rp-note")


# ------------------------------------------------------------------------------------------------------ of a game


def seen_in_game(whole: Whole) -> Html:
    """Tables of a game: exchanges by the two men, searches by man, looks by where they stood; blitzes of the slot."""

    def groups(of: str, *by: str) -> list[dict[str, Any]]:
        made: list[dict[str, Any]] = whole.reps.summary_arrow(by, whole.without_label, True, of=of).to_pylist()
        return made

    pairs = [([text_cell(one["pair"] or "one of them unknown")], one) for one in groups("exchanges", "pair")]
    men = [
        ([text_cell(one["man"]), text_cell(whole.people.get(one["man"], ("", ""))[1]), text_cell(WHY[one["why"]])], one)
        for one in groups("searches", "man", "why")
    ]
    spots = sorted(groups("looks", "spot", "deep_over"), key=lambda one: (SPOTS.index(one["spot"]), one["deep_over"]))
    shown = [([text_cell(SPOT[one["spot"]]), text_cell(DEEP[one["deep_over"]])], one) for one in spots]
    who = (
        Heading("player", number=False),
        Heading("at", "position", number=False),
        Heading("why", number=False, close=True),
    )
    picked = [row for row in whole.seen("looks") if row["pickup"]]
    return together(
        [
            grouped("exchanges", "Rushers who changed hands", [PAIR], pairs),
            note("exchanges"),
            grouped("searches", "Who looked for work", who, men),
            note("searches"),
            grouped("looks", "Who showed at the snap, and came", SHOWED, shown),
            note("looks"),
            pickups([(whole, row) for row in picked], len({whole.name})),
        ]
    )


def pickups(rows: Sequence[tuple[Whole, Any]], games: int) -> Html:
    """Each blitz from the slot in a sentence, with its place on the film."""
    if not rows:
        return el("p", "Nobody came from the slot.")
    headings = [
        Heading("play", number=False),
        *((Heading("game", number=False),) if games > 1 else ()),
        Heading("blitz from the slot", number=False),
        Heading("film", number=False, close=True),
    ]
    made = [
        [
            text_cell(row["play"]),
            *((text_cell(whole.name),) if games > 1 else ()),
            text_cell(pickup_words(row, partial(whole.called, row["play"]))),
            text_cell(whole.film(row["play"], 0.0)),
        ]
        for whole, row in rows
    ]
    return table(f"Who picked up {plural(len(rows), 'blitz', 'blitzes')} from the slot", headings, made)


# ------------------------------------------------------------------------------------------------------- of a man


def seen_by_man(wholes: Sequence[Whole], man: str, role: str) -> Html:
    """Of a protector his exchanges by partner, his searches, what showed on his side, the slot blitzes he had to do
    with; of a rusher where he changed hands and how often he came from where."""
    several = len(wholes)
    if role == "rusher":
        his = [[row["defender"] == man for row in whole.all_seen("looks")] for whole in wholes]
        picked = [(whole, row) for whole in wholes for row in whole.seen("looks") if row["defender"] == man]
        changed = exchanges(wholes, man, ("rusher",))
        shown = together([showed(wholes, his, "Where he stood at the snap, and came"), note("looks")])
        return together([*changed, shown, pickups([one for one in picked if one[1]["pickup"]], several)])
    near = [on_his_side(whole, man) for whole in wholes]
    columns = ("taken_by", "next_taken_by")
    picked = [
        (whole, row)
        for whole in wholes
        for row in whole.seen("looks")
        if row["pickup"] and man in (row[name] for name in columns)
    ]
    return together(
        [
            *exchanges(wholes, man, MATTERS["exchanges"]),
            *searches(wholes, man),
            showed(wholes, near, "Who showed at the snap on his side in his plays, and came"),
            note("looks"),
            el("p", "His side is that of his place in the line; of the centre and of backs both.", class_="rp-note"),
            pickups(picked, several) if picked else el("p", "He picked up no blitz from the slot."),
        ]
    )


def on_his_side(whole: Whole, man: str) -> list[bool]:
    """Of every row of looks, whether it is of a play in which he protects, on the side he plays on; of the centre and
    of others on both."""
    plays = {row["play"] for row in whole.rows if row["protector"] == man}
    sides = {}
    for play in plays:
        slot = next((one.slot for one in whole.game.play(play).men if one.player == man), "")
        sides[play] = ENDS.get(slot, "")
    return [row["play"] in plays and sides[row["play"]] in ("", row["side"]) for row in whole.all_seen("looks")]


Picked = Sequence[Sequence[bool]]  # a game each, whether a row of its table is meant


def pooled_seen(wholes: Sequence[Whole], title: str, picked: Picked, keys: Sequence[str]) -> list[tuple[Any, Any]]:
    """The meant rows of all games that count, by keys: what they stand for, and the group's figures."""
    columns: dict[str, list[npt.NDArray[Any]]] = {}
    codes: dict[tuple[Any, ...], int] = {}
    for whole, which in zip(wholes, picked, strict=True):
        coded, reps = whole.reps.coded[title], whole.reps
        counts = [whole.counts(reps.play_ids[code]) for code in coded["play"].tolist()]
        splitting = reps._splitting()
        read = [splitting.column(title, name, coded) for name in keys]
        where = np.flatnonzero(np.array(counts, bool) & np.array(which, bool))
        told = [tuple(says[code[row]] if code[row] >= 0 else None for code, says in read) for row in where.tolist()]
        group = [codes.setdefault(one, len(codes)) for one in told]
        for name, values in coded.items():
            columns.setdefault(name, []).append(values[where])
        columns.setdefault("group", []).append(np.array(group, int))
    table_of = {name: np.concatenate(parts) for name, parts in columns.items()}
    return [(key, FIGURES[title](table_of, np.flatnonzero(table_of["group"] == code))) for key, code in codes.items()]


def exchanges(wholes: Sequence[Whole], man: str, columns: Sequence[str]) -> list[Html]:
    picked = [[man in (row[name] for name in columns) for row in whole.all_seen("exchanges")] for whole in wholes]
    found = sorted(pooled_seen(wholes, "exchanges", picked, ["pair"]), key=lambda one: one[0][0] or "~")
    pairs = [([text_cell(key[0] or "one of them unknown")], group) for key, group in found]
    mine = of_him(wholes, "exchanges", columns, man)
    caption = "Rushers who changed hands" if columns != ("rusher",) else "He changed hands, or crossed with another"
    made = [grouped("exchanges", caption, [PAIR], pairs), note("exchanges")]
    headings = ("at, s", "kind", "rusher", "from", "to", "crossed with", "late", "ended")
    rows = [
        [
            figure_cell(row["time"]),
            text_cell(row["kind"]),
            *(text_cell(whole.called(row["play"], row[name]) if row[name] else "") for name in MEN),
            text_cell("late" if row["late"] else ""),
            text_cell(OUTCOMES[row["outcome"]]),
        ]
        for whole, row in mine
    ]
    return [*made, *listed_rows("Every one of them", headings, rows, mine, "time", len(wholes))]


MEN = ("rusher", "from_man", "to_man", "crossed_with")


def searches(wholes: Sequence[Whole], man: str) -> list[Html]:
    picked = [[row["man"] == man for row in whole.all_seen("searches")] for whole in wholes]
    words = described("searches", "why")["words"]
    found = sorted(pooled_seen(wholes, "searches", picked, ["why"]), key=lambda one: words.index(one[0][0]))
    whys = [([text_cell(WHY[key[0]])], group) for key, group in found]
    mine = of_him(wholes, "searches", MATTERS["searches"], man)
    made = [grouped("searches", "He looked for work", [WHY_OF], whys), note("searches")]
    headings = ("from, s", "to, s", "why", "found", "rusher", "whose", "side", "went, yd")
    rows = [
        [
            figure_cell(row["start"]),
            figure_cell(row["end"]),
            text_cell(WHY[row["why"]]),
            text_cell({"rusher": "his own", "help": "helped"}.get(row["found"], row["found"])),
            *(text_cell(whole.called(row["play"], row[name]) if row[name] else "") for name in ("rusher", "helped")),
            text_cell(row["side"] or ""),
            figure_cell(math.nan if row["distance"] is None else row["distance"]),
        ]
        for whole, row in mine
    ]
    return [*made, *listed_rows("Every search", headings, rows, mine, "end", len(wholes))]


def showed(wholes: Sequence[Whole], picked: Picked, caption: str) -> Html:
    found = pooled_seen(wholes, "looks", picked, ["spot", "deep_over"])
    shown = sorted(found, key=lambda one: (SPOTS.index(one[0][0]), one[0][1]))
    rows = [([text_cell(SPOT[spot]), text_cell(DEEP[deep])], group) for (spot, deep), group in shown]
    return grouped("looks", caption, SHOWED, rows)


def of_him(wholes: Sequence[Whole], title: str, columns: Sequence[str], man: str) -> list[tuple[Whole, Any]]:
    return [(whole, row) for whole in wholes for row in whole.seen(title) if man in (row[name] for name in columns)]


def listed_rows(
    caption: str,
    headings: Sequence[str],
    cells: Sequence[list[Cell]],
    rows: Sequence[tuple[Whole, Any]],
    at: str,
    games: int,
) -> list[Html]:
    """The rows themselves, each with its play before it and its moment on film behind it; folded away."""
    if not rows:
        return []
    numbers = [one.endswith((", s", ", yd")) for one in headings]
    titles = [
        Heading("play", number=False),
        *((Heading("game", number=False),) if games > 1 else ()),
        *(
            Heading(one, number=is_number, close=not is_number)
            for one, is_number in zip(headings, numbers, strict=True)
        ),
        Heading("film", number=False, close=True),
    ]
    made = [
        [
            text_cell(row["play"]),
            *((text_cell(whole.name),) if games > 1 else ()),
            *own,
            text_cell(whole.film(row["play"], row[at])),
        ]
        for own, (whole, row) in zip(cells, rows, strict=True)
    ]
    return [el("details", el("summary", f"{caption} ({len(rows)})"), table(caption, titles, made), class_="rp-all")]
