"""The report of one game."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from typing import Any

from ..base.text import plural
from ..base.vocabulary import JUDGED, SIDES
from ..measures.summary import wilson
from ..tell.words import called
from .charts import Point, opened, scatter
from .html import NONE, Cell, Heading, Html, count_cell, el, figure_cell, interval, table, text_cell, together
from .parts import (
    RANKED,
    Shelf,
    Whole,
    caution,
    counted_openings,
    definitions,
    made_with,
    median_text,
    page,
    percent,
    sections,
    to_watch,
    watch,
)
from .seen import seen_in_game

SHOWN = 10
STARTS = {"under": "under centre", "pistol": "pistol", "short gun": "short gun", "gun": "gun"}
LEFT_OUT = {"no_player": "without a player", "not_in_people": "of players people lacks", "missing": "without x or y"}


def game_page(whole: Whole) -> str:
    """The whole page as HTML."""
    found = to_watch(whole.rows, SHOWN)
    shelf = Shelf()
    watched = [watch(whole, row, n + 1, shelf) for n, row in enumerate(found)]
    lines = ten_lines(whole)
    parts = [
        (
            "game",
            "The game in ten lines" if len(lines) == 10 else "The game in short",
            el("ol", *(el("li", line) for line in lines), class_="rp-lines"),
        ),
        ("watch", f"{plural(len(found), 'rep')} to watch", together([el("p", RANKED, class_="rp-note"), *watched])),
        ("protectors", "Protectors", protectors(whole)),
        ("rushers", "Rushers", rushers(whole)),
        ("seen", "Stunts, work, looks", seen_in_game(whole)),
        ("drop", "Drop depth against stress", stress(whole)),
        (
            "edges",
            "Where short edges opened",
            el("div", opened([whole.m], counted_openings(whole)), class_="rp-charts"),
        ),
        ("plays", "Every play in words", plays(whole)),
        ("skipped", "What was skipped, and why", skipped(whole)),
        ("definitions", "Fifteen words", together([caution(), definitions(whole.m.rules)])),
        ("made", "Made with", made_with([whole])),
    ]
    measured = plural(len(whole.dropbacks), "drop-back")
    return page(
        f"Pass protection, {whole.name}",
        measured,
        together([caution([whole]), sections(parts)]),
        pictures=whole.with_film,
        board=whole.board,
    )


# ---------------------------------------------------------------------------------------------------- ten lines


def ten_lines(whole: Whole) -> list[str]:
    """The game in ten lines; in two when no play counts."""
    drops = [row for play, row in whole.dropbacks.items() if whole.counts(play)]
    thrown = [row["throw_time"] for row in drops if not math.isnan(row["throw_time"])]
    starts = Counter(row["alignment"] for row in drops)
    from_where = ", ".join(f"{starts[name]} {says}" for name, says in STARTS.items() if starts[name])
    skipped_count = len(whole.game.core.problems)
    left_out = Counter(why for play in whole.dropbacks if (why := whole.left_out(play)))
    sizes = pockets_at_throw(whole)
    rows = whole.rows
    count = Counter(row["outcome"] for row in rows)
    beats = Counter(row["beat_side"] for row in rows if row["outcome"] == "beat")
    judged = sum(count[outcome] for outcome in JUDGED)
    pressed = sum(bool(row["pressure"]) for row in drops)
    low, high = wilson(pressed, len(drops))
    left = f"; left out: {', '.join(f'{name} {n}' for name, n in left_out.items())}" if left_out else ""
    measured = f"{plural(len(whole.dropbacks), 'drop-back')} measured, {skipped_count} skipped{left}."
    if not drops:
        return [measured, "No drop-back is left to count."]
    return [
        measured,
        f"Drops: median {median_text([row['drop_depth'] for row in drops])} yd behind the line"
        + (f"; {from_where}." if from_where else "."),
        f"The ball was thrown at a median of {median_text(thrown)} s after the snap; {len(drops) - len(thrown)} "
        f"without a throw."
        if thrown
        else f"No throw in {plural(len(drops), 'drop-back')}.",
        f"Pocket at the throw: median {median_text([width for width, _ in sizes])} yd wide and "
        f"{median_text([depth for _, depth in sizes])} yd deep, in the {len(sizes)} plays in which it still stood."
        if sizes
        else "Pocket at the throw: it stood in no play.",
        edges_line(whole),
        f"{plural(judged, 'judged rep')}: {count['held']} held, {count['beat']} beaten ({beats['outside']} outside, "
        f"{beats['inside']} inside{centre(beats)}), {count['driven']} driven back; "
        f"{plural(count['free'], 'free rusher')}.",
        f"The ball was out before the rusher got there in {sum(bool(row['ball_out']) for row in rows)} of "
        f"{count['beat']} beaten reps.",
        f"Pressure in {pressed} of {plural(len(drops), 'drop-back')} ({percent(low)} to {percent(high)} %).",
        push_line(whole, drops),
        depth_line(rows, whole),
    ]


def centre(beats: Counter[str | None]) -> str:
    of_centre = beats["left"] + beats["right"]
    return f", {of_centre} past the centre" if of_centre else ""


def pockets_at_throw(whole: Whole) -> list[tuple[float, float]]:
    """Width and depth in the last frame up to the throw, of the plays in which the pocket was ok in it."""
    frames = whole.m.arrow("frames").to_pydict()
    throws = {play: row["throw_time"] for play, row in whole.dropbacks.items() if whole.counts(play)}
    last: dict[str, int] = {}
    for k, (play, time) in enumerate(zip(frames["play"], frames["time"], strict=True)):
        if time <= throws.get(play, math.nan) + 1e-6:
            last[play] = k
    return [
        (frames["pocket_width"][k], frames["pocket_depth"][k]) for k in last.values() if frames["status"][k] == "ok"
    ]


def edges_line(whole: Whole) -> str:
    found = counted_openings(whole)
    sides = {side: len({one.play for one in found if one.side == side}) for side in SIDES}
    men = {play: {man.player: man for man in whole.game.play(play).men} for play in {one.play for one in found}}
    set_by = sorted({(one.play, called(men[one.play][one.man], one.side)) for one in found})
    who = ", ".join(f"the {name} in {count}" for name, count in Counter(name for _, name in set_by).most_common(4))
    plays = len({one.play for one in found})
    said = f"An edge was short in {plural(plays, 'play')}: the left in {sides['left']}, the right in {sides['right']}"
    return said + (f"; set by {who}." if who else ".")


def push_line(whole: Whole, drops: Sequence[Any]) -> str:
    pushed = [row for row in drops if not math.isnan(row["push"])]
    if not pushed:
        return "Push from inside: not measured in any play."
    worst = max(pushed, key=lambda row: row["push"])
    man = f", against {worst['push_man']}" if worst["push_man"] else ""
    return (
        f"Push from inside, the greatest loss of depth over half a second: median "
        f"{median_text([row['push'] for row in pushed])} yd/s, most {worst['push']:.1f} in {worst['play']}{man}."
    )


def depth_line(rows: Sequence[Any], whole: Whole) -> str:
    """Judged reps that were lost, of drops under 8 yd and of 8 yd and more."""
    said = []
    for name, low, high in (("of less than 8 yd", -math.inf, 8.0), ("of 8 yd or more", 8.0, math.inf)):
        mine = [
            row
            for row in rows
            if row["outcome"] in JUDGED and low <= whole.dropbacks[row["play"]]["drop_depth"] + 1e-9 < high
        ]
        lost = sum(row["outcome"] != "held" for row in mine)
        lowest, highest = wilson(lost, len(mine))
        shares = f" ({percent(lowest)} to {percent(highest)} %)" if mine else ""
        said.append(f"{lost} of {plural(len(mine), 'judged rep')} lost on drops {name}{shares}")
    return f"{said[0]}, {said[1]}."


# ------------------------------------------------------------------------------------------------------- tables

SHARE = "of judged reps (held, beaten, driven back), with the Wilson 95 % interval"
COUNTS = (
    Heading("judged", "held, beaten and driven back"),
    Heading("held"),
    Heading("beaten"),
    Heading("driven back"),
    Heading("ball out", "beaten, but the ball was gone before the rusher got there"),
    Heading("pressures", "judged or free reps whose rusher got to the passer"),
)
FIGURES = (
    Heading("beaten, share", SHARE, number=False),
    Heading("few", "fewer than 10 judged reps: do not compare", number=False),
    Heading("exposed outside", "greatest exposure round the outside in a rep, median"),
    Heading("short edge, s", "time with a short edge in a rep, median"),
)


def group_cells(group: Any) -> tuple[list[Cell], list[Cell]]:
    counts = [count_cell(group[name]) for name in ("judged", *JUDGED, "ball_out", "pressures")]
    share = interval(group["beat_share"], group["beat_low"], group["beat_high"], group["beat"], group["judged"])
    few = Cell("few", "few") if group["small"] else Cell("")
    medians = [figure_cell(group["median_peak_outside"], 2), figure_cell(group["median_short_edge_seconds"], 2)]
    return counts, [share, few, *medians]


def man_cells(whole: Whole, player: str) -> list[Cell]:
    name, position = whole.people.get(player, ("", ""))
    return [text_cell(player), text_cell(name), text_cell(position)]


WHO = (
    Heading("player", number=False),
    Heading("name", number=False, close=True),
    Heading("at", "position", number=False),
)


def protectors(whole: Whole) -> Html:
    rows = []
    for group in whole.reps.summary_arrow(["protector"], whole.without_label, True).to_pylist():
        if group["protector"] is not None:
            counts, rest = group_cells(group)
            more = [count_cell(group["help"]), count_cell(group["uncovered"])]
            rows.append([*man_cells(whole, group["protector"]), *counts, *more, *rest])
    headings = [
        *WHO,
        *COUNTS,
        Heading("helped", "a second man on a rusher"),
        Heading("had nobody", "a lineman with no rusher"),
        *FIGURES,
    ]
    return together([table("Protectors", headings, rows), few_note()])


def rushers(whole: Whole) -> Html:
    rows = []
    for group in whole.reps.summary_arrow(["rusher"], whole.without_label, True).to_pylist():
        if group["rusher"] is not None:
            counts, rest = group_cells(group)
            rows.append([*man_cells(whole, group["rusher"]), *counts, count_cell(group["free"]), *rest])
    headings = [*WHO, *COUNTS, Heading("free", "plays in which nobody had him"), *FIGURES]
    return together([table("Rushers: what became of the men against them", headings, rows), few_note()])


def few_note() -> Html:
    text = (
        "Counts, not grades. Sort by a heading. Intervals that overlap do not tell two men apart; few: under 10 judged "
        "reps."
    )
    return el("p", text, class_="rp-note")


def plays(whole: Whole) -> Html:
    headings = (
        Heading("play", number=False),
        Heading("label", number=False),
        Heading("drop, yd"),
        Heading("throw, s"),
        Heading("film", number=False, close=True),
        Heading("in words", number=False),
    )
    rows = [
        [
            text_cell(play),
            text_cell(row["label"] or ""),
            figure_cell(row["drop_depth"]),
            figure_cell(row["throw_time"]),
            Cell(whole.film(play, 0.0) or NONE, film_key(whole, play)),
            text_cell(whole.words[play]),
        ]
        for play, row in whole.dropbacks.items()
    ]
    return table("Every play", headings, rows)


def film_key(whole: Whole, play: str) -> float | None:
    time = whole.films[play][0].time if whole.films[play] else math.nan
    return None if math.isnan(time) else float(time)


# -------------------------------------------------------------------------------------------------------- charts


def stress(whole: Whole) -> Html:
    """Per play, over its drop depth: what the drop asked of the tackles, and how long an edge was short."""
    ratio: dict[str, float] = {}
    short: dict[str, float] = {}
    slots = {play: {man.player: man.slot for man in whole.game.play(play).men} for play in whole.dropbacks}
    for row in whole.rows:
        play = row["play"]
        if row["protector"] and row["rusher"]:
            if row["short_edge_seconds"] is not None:
                short[play] = max(short.get(play, 0.0), row["short_edge_seconds"])
            asked = row["peak_cutoff_ratio"]
            if slots[play].get(row["protector"]) in ("LT", "RT") and asked is not None and math.isfinite(asked):
                ratio[play] = max(ratio.get(play, 0.0), asked)

    def points(values: dict[str, float], unit: str) -> list[Point]:
        made = []
        for play, value in values.items():
            row = whole.dropbacks[play]
            if not math.isnan(row["drop_depth"]):
                says = f"{play}: {row['drop_depth']:.1f} yd, {value:.2f}{unit}"
                made.append(Point(row["drop_depth"], value, row["alignment"] == "under", says))
        return made

    ratios = points(ratio, "")
    note = (
        "A point a play: filled from under centre, open from pistol or gun. Bars: medians of the drops under 6, 6 to "
        "8, 8 to 9.5, and 9.5 yd and more, with how many. One game is no study: who rushed, from where and how wide "
        "differs between these plays too."
    )
    charts = [
        scatter(
            ratios,
            "What the drop asks of the tackles",
            "drop depth, yd behind the line",
            "greatest cut-off ratio to the spot of a tackle's rep; the drop's spot, from the snap to contact",
            f"{len(ratios)} plays; correlation by ranks {rank_correlation(ratios)}",
        ),
        scatter(
            points(short, " s"),
            "How long an edge was short",
            "drop depth, yd behind the line",
            "longest time of one rep with exposure 0.2 or more and a short edge of 0.5 yd or more, s",
            f"{len(short)} plays",
        ),
    ]
    return together([el("p", note, class_="rp-note"), el("div", *charts, class_="rp-charts")])


def rank_correlation(points: Sequence[Point]) -> str:
    """Of x and y by ranks, ties at their mean; a dash for fewer than three points, or none that differ."""
    import pandas as pd

    if len(points) < 3:
        return NONE
    table = pd.DataFrame({"x": [one.x for one in points], "y": [one.y for one in points]})
    found = float(table.corr("spearman").to_numpy()[0, 1])
    return f"{found:.2f}" if math.isfinite(found) else NONE


def skipped(whole: Whole) -> Html:
    game = whole.game
    parts: list[Html] = []
    problems = [[text_cell(game.play_ids[play]), text_cell(reason)] for play, reason in game.core.problems]
    if problems:
        headings = (Heading("play", number=False), Heading("why", number=False))
        parts.append(table("Plays that were skipped", headings, problems))
    else:
        parts.append(el("p", "No play was skipped."))
    dropped = [f"{count} {LEFT_OUT[what]}" for what, count in game.dropped.items() if count]
    parts.append(el("p", "Rows of tracks left out: " + (", ".join(dropped) if dropped else "none") + "."))
    labels = Counter(why for play in whole.dropbacks if (why := whole.left_out(play)))
    said = ", ".join(f"{label} ({count})" for label, count in labels.items()) or "none"
    parts.append(el("p", f"Plays left out of counts and charts, by their label or a bad snap: {said}."))
    if whole.reps.laid_over:
        changed = len(whole.reps.laid_over)
        parts.append(el("p", f"{plural(changed, 'row')} of the reps corrected by somebody who saw the film."))
    return together(parts)
