"""A play in words: one sentence of plain coach's English, made from the figures of the tables.

    7.8 yd drop from under centre, top at 1.9 s; pocket 7.4 wide, 4.9 deep at the throw (2.8 s); right edge short by
    0.9 yd from 2.1 s, set by the guard; right guard beaten outside at 2.3 s; ball out, no pressure

Its parts, each left out where there is nothing to say of it:

- the drop: its depth behind the line, what it started from, when it tops.
- the rush, when it was not four men.
- the pocket at the throw, without one where the reps end (`ending`), or where the tracks end before that; where it is
  not ok then, what it is instead, and its last figures.
- the edges that were short: exposure 0.2 or more and a short edge of 0.5 yd or more, for 0.2 s or more on end, up to
  that moment; of several such stretches on a side the one with the shortest edge, of equals the longest. A frame
  without a pocket ends a stretch.
- who was beaten or driven back, which rushers were free and outside or inside of whom, and whether there was pressure.

Yards to a tenth, seconds to a tenth. Geometry, not a grade.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from .. import _core
from ..base.rows import seconds_of, slices, stretches
from ..base.vocabulary import BAD, LINE, LOST, SIDES
from ..measures.summary import described
from .rep_words import short_seconds

if TYPE_CHECKING:
    from ..game.game import Man
    from ..measures.reps import Reps
    from ..measures.results import Measures

Row = Mapping[str, Any]
Times = npt.NDArray[np.float64]  # s since the snap, a frame each

SHOWN_FROM = _core.SHOWN_EXPOSURE  # exposure from which a short edge is to be read
SHORT = _core.TOLD_SHORT  # yd, from which an edge is called short, as in short_edge_seconds
LASTS = 0.2  # s, less is not told
NEAR = 1e-6  # s, within which times are equal
USUAL_RUSH = 4
MOST_LOST = 3  # lost reps told in a sentence

STARTS = {"under": "under centre", "pistol": "the pistol", "gun": "the gun", "short gun": "the short gun"}
PLACES = {"T": "tackle", "G": "guard", "C": "centre"}
POSITIONS = {"TE": "tight end", "RB": "back", "FB": "back", "HB": "back"}
NOT_OK = {
    "missing": "no passer in sight",
    "outside": "passer out of the pocket",
    "thin": "fewer than three in the wall",
    "collapsed": "pocket collapsed",
}


def sentences(m: Measures, reps: Reps, only: str | None = None) -> dict[str, str]:
    """A sentence for every play that is measured, in order, or for one."""
    rows, dropbacks = by_play(reps.arrow("reps").to_pylist()), reps.arrow("dropbacks").to_pylist()
    at = {title: slices(m.coded[title]["play"]) for title in ("frames", "edges")}
    codes = {play: code for code, play in enumerate(m.play_ids)}
    made = {}
    for dropback in dropbacks:
        play = dropback["play"]
        if only is not None and play != only:
            continue
        frames, edges = (in_slice(m, title, at[title].get(codes[play])) for title in ("frames", "edges"))
        men = {man.player: man for man in m.game.play(play).men}
        if play in m.game.swamped:
            edges = {name: values[:0] if name != "players" else values for name, values in edges.items()}
        said = sentence(dropback, rows[play], frames, edges, men)
        if play in m.game.swamped:
            said += f"; short edges not shown: places are known to {m.game.errors[play]:.2f} yd only"
        if dropback["snap"] == BAD:
            said += "; the snap went wrong, so the play says nothing of who blocked well"
        if remark := m.game.remark_of.get(play):
            said += f"; {remark}"
        made[play] = said
    return made


def by_play(rows: Sequence[Row]) -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = defaultdict(list)
    for row in rows:
        found[row["play"]].append(row)
    return found


def in_slice(m: Measures, title: str, at: slice | None) -> dict[str, Any]:
    return {name: values[at] if at is not None else values[:0] for name, values in m.coded[title].items()} | {
        "players": m.player_ids
    }


def sentence(dropback: Row, reps: Sequence[Row], frames: Row, edges: Row, men: Mapping[str, Man]) -> str:
    """One play's sentence, from its rows of dropbacks, reps, frames and edges (the last two by codes)."""
    ending = ending_of(dropback, reps)
    parts = [
        drop(dropback),
        rush(dropback),
        pocket(frames, ending, dropback),
        *short_edges(edges, frames["time"], ending, men, reps),
        *lost(reps, men),
        *free(reps, edges, ending, men),
        pressure(dropback, reps),
    ]
    return "; ".join(part for part in parts if part)


def ending_of(dropback: Row, reps: Sequence[Row]) -> float:
    """s: the throw, without one the end of the reps, without reps the end."""
    throw = float(dropback["throw_time"])
    return max((row["end"] for row in reps), default=math.inf) if math.isnan(throw) else throw


def drop(dropback: Row) -> str:
    depth, top, start = dropback["drop_depth"], dropback["top_time"], dropback["alignment"]
    if math.isnan(depth):
        return ""
    said = f"{depth:.1f} yd drop" + (f" from {STARTS[start]}" if start else "")
    return said + (", no top" if math.isnan(top) else f", top at {top:.1f} s")


def rush(dropback: Row) -> str:
    count = dropback["rushers"]
    return "" if count == USUAL_RUSH else "nobody rushed" if count == 0 else f"{count} rushed"


def pocket(frames: Row, ending: float, dropback: Row) -> str:
    """Width and depth in the last frame up to the throw, or the end of the reps."""
    before = np.flatnonzero(frames["time"] <= ending + NEAR)
    if not len(before):
        return ""
    words = described("frames", "status")["words"]
    thrown = not math.isnan(dropback["throw_time"])
    last = int(before[-1])
    seen = frames["time"][last]
    gone = ending > seen + seconds_of(frames["time"])[last] + NEAR  # the tracks end, or have a hole, before the throw
    when = f"at {seen:.1f} s, thrown at {ending:.1f} s" if gone else f"at the throw ({ending:.1f} s)"
    when = when if thrown else f"at {seen:.1f} s, no throw"
    status = words[frames["status"][last]]
    if status == "ok":
        return f"pocket {size(frames, last)} {when}"
    good = [k for k in before.tolist() if words[frames["status"][k]] == "ok"]
    was = f"pocket {size(frames, good[-1])} at {frames['time'][good[-1]]:.1f} s, " if good else ""
    said = NOT_OK[status].removeprefix("pocket ") if good else NOT_OK[status]
    return f"{was}{said} {when}"


def size(frames: Row, k: int) -> str:
    return f"{frames['pocket_width'][k]:.1f} wide, {frames['pocket_depth'][k]:.1f} deep"


# -------------------------------------------------------------------------------------------------------- edges


def short_edges(edges: Row, times: Times, ending: float, men: Mapping[str, Man], reps: Sequence[Row]) -> list[str]:
    """The edges that were short. That neither was is said only where no man's rep has a time with a short edge, however
    it is cut up: the sentence and the rows say the same."""
    if not len(edges["time"]):
        return []
    said = []
    for side in SIDES:
        told = shortest(edges, times, side, ending)
        if told is None:
            continue
        first, last, worst, open_still = told
        man = men[edges["players"][edges["edge_man"][worst]]]
        until = "" if open_still else f" to {times[last]:.1f}"
        said.append(
            f"{side} edge short by {edges['short_edge'][worst]:.1f} yd from {times[first]:.1f}{until} s, "
            f"set by the {called(man, side)}"
        )
    quiet = np.all(edges["rusher"] < 0) or any(short_seconds(row) > 0 for row in reps)
    return said or ([] if quiet else ["neither edge short"])


def shortest(edges: Row, times: Times, side: str, ending: float) -> tuple[int, int, int, bool] | None:
    """The stretch of frames with the shortest edge of a side: its first and last frame, the row of the shortest edge,
    and whether it is short still in the last frame up to `ending`; None for none. times: of all the play's frames, for
    one without a pocket has no edges and ends a stretch."""
    rows = np.flatnonzero((edges["side"] == SIDES.index(side)) & (edges["time"] <= ending + NEAR))
    rows = rows[(edges["exposure"][rows] >= SHOWN_FROM) & (edges["short_edge"][rows] >= SHORT)]
    frames = np.searchsorted(times, edges["time"][rows])
    flags = np.zeros(len(times), bool)
    flags[frames] = True
    seconds, last = seconds_of(times), int(np.sum(times <= ending + NEAR)) - 1
    best = None
    for start, end in stretches(flags):
        lasts = float(seconds[start:end].sum())
        if lasts < LASTS - NEAR:
            continue
        here = rows[(start <= frames) & (frames < end)]
        worst = int(here[np.argmax(edges["short_edge"][here])])
        key = (float(edges["short_edge"][worst]), lasts)
        if best is None or key > best[0]:
            best = key, (start, end - 1, worst, end - 1 == last)
    return None if best is None else best[1]


def called(man: Man, side: str = "") -> str:
    """What a coach calls him; a lineman of another side than `side` with his own side before it."""
    if man.slot in LINE:
        own = {"L": "left", "R": "right"}.get(man.slot[0], "")
        place = PLACES[man.slot[-1]]
        return place if own in ("", side) else f"{own} {place}"
    return POSITIONS.get(man.position, man.position or man.player)


# --------------------------------------------------------------------------------------------------------- reps


def lost(reps: Sequence[Row], men: Mapping[str, Man]) -> list[str]:
    """Who was beaten or driven back, in the order of time, and rushers whom nobody had."""
    told = []
    for row in reps:
        who = called(men[row["protector"]]) if row["protector"] else ""
        if row["outcome"] == "beat":
            side = row["beat_side"]
            how = {None: "", "outside": " outside", "inside": " inside"}.get(side, f" on his {side}")
            at = "" if math.isnan(row["beat_time"]) else f" at {row['beat_time']:.1f} s"
            told.append((nan_last(row["beat_time"]), f"{who} beaten{how}{at}"))
        elif row["outcome"] == "driven":
            given = "" if math.isnan(row["ground_given"]) else f" {row['ground_given']:.1f} yd"
            told.append((nan_last(row["contact_time"]), f"{who} driven back{given}"))
    said = [text for _, text in sorted(told, key=lambda one: one[0])]
    if len(said) > MOST_LOST:
        said = [*said[:MOST_LOST], f"{len(said) - MOST_LOST} more lost"]
    return said


def free(reps: Sequence[Row], edges: Row, ending: float, men: Mapping[str, Man]) -> list[str]:
    """The rushers whom nobody had; outside of whom, when one took an edge."""
    names = [row["rusher"] for row in reps if row["outcome"] == "free"]
    if not names:
        return []
    taken = np.flatnonzero((edges["rusher"] >= 0) & np.isnan(edges["corner_held"]) & (edges["time"] <= ending + NEAR))
    outside = []
    for name in names:
        his = [row for row in taken.tolist() if edges["players"][edges["rusher"][row]] == name]
        if his:
            most = max(his, key=lambda row: float(edges["exposure"][row]))
            man = men[edges["players"][edges["edge_man"][most]]]
            outside.append(f"outside the {called(man)} from {edges['time'][his[0]]:.1f} s")
    count = f"{len(names)} rusher{'s' * (len(names) > 1)} free"
    return [", ".join([count, *outside])]


def nan_last(time: float) -> float:
    return math.inf if math.isnan(time) else time


def pressure(dropback: Row, reps: Sequence[Row]) -> str:
    if dropback["pressure"]:
        return f"pressure at {dropback['pressure_time']:.1f} s"
    if any(row["ball_out"] for row in reps):
        return "ball out, no pressure"
    return "no pressure" if any(row["outcome"] in LOST for row in reps) else ""
