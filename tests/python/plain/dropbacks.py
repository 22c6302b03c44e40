"""6.4, 6.6 and 6.8: the passer's drop, pressure, and the interior push."""

from dataclasses import dataclass

import numpy as np

from .ends import bad_snap
from .frames import Play, runs
from .measured import Measured, Row
from .pocket import bearing
from .rules import TIME_EPS
from .rush import NAN

BACKS = ("RB", "FB", "HB")


def alignment(play: Play) -> str | None:
    """6.4, at the first measured frame: under, pistol, short gun or gun; None: the passer is not seen then."""
    if not play.here(play.passer, 0):
        return None
    u, v = play.places[play.passer][0]
    if v < 2.0:
        return "under"
    backs = [play.places[p][0] for p in play.offense() if play.people[p].position in BACKS and play.here(p, 0)]
    if 3.0 <= v <= 4.5 and any(at[1] > v and abs(at[0] - u) <= 1.0 for at in backs):
        return "pistol"
    return "gun" if v >= 4.5 else "short gun"


def snap(play: Play) -> str | None:
    """Whether the snap was clean; None: the passer is not seen then."""
    if not play.here(play.passer, 0):
        return None
    return "bad" if bad_snap(play) else "clean"


def line(play: Play) -> str:
    """short: fewer than five linemen at the snap; moved: from left to right they do not stand LT LG C RG RT, or,
    named by where they stand, a listed tackle is a guard or the other way round; else whole."""
    there = [p for p in play.offense() if p in play.linemen and play.here(p, 0)]
    if len(there) < 5:
        return "short"
    row = sorted(there, key=lambda p: play.places[p][0][0])
    order = [("LT", "LG", "C", "RG", "RT").index(play.linemen[p]) for p in row]
    inner = {"T", "OT"} & {play.people[p].position for p in there if play.linemen[p] in ("LG", "RG")}
    outer = {"G", "OG"} & {play.people[p].position for p in there if play.linemen[p] in ("LT", "RT")}
    return "moved" if order != sorted(order) or inner or outer else "whole"


def drop_frames(play: Play) -> np.ndarray:
    """Frames from the snap to the throw, else to the end of reps, that have the passer."""
    frames = play.until(play.reps_end if np.isnan(play.throw) else min(play.throw, play.end))
    return frames[~np.isnan(play.places[play.passer][frames, 0])]


def top_of_drop(play: Play) -> int | None:
    """6.4: the last moment at which v is within 0.3 yd of its greatest so far and backward speed falls below 0.5 yd/s.

    Reading: it falls in the first frame under 0.5 after one at or over it (frames without the passer are passed over);
    once it has exceeded 1.5 it need not do so again for a later fall to count.
    """
    v, speed = play.places[play.passer][:, 1], play.speeds[play.passer][:, 1]
    top, greatest, was_fast, before = None, -np.inf, False, NAN
    for k in drop_frames(play):
        greatest = max(greatest, v[k])
        if was_fast and before >= 0.5 and speed[k] < 0.5 and v[k] >= greatest - 0.3:
            top = int(k)
        was_fast = was_fast or speed[k] > 1.5
        before = speed[k]
    return top


def spot(play: Play) -> np.ndarray | None:
    """6.4: the passer's place at the top, else at the end of reps (his last by then)."""
    top = top_of_drop(play)
    if top is None:
        seen = [k for k in range(play.rep_frames()) if play.here(play.passer, k)]
        if not seen:
            return None
        top = seen[-1]
    return play.places[play.passer][top]


def pressure_from(play: Play) -> float:
    """6.6: the moment pressure counts from: 0.8 s, and from under centre 3 yd of depth; +inf: never."""
    moment = play.snap + 0.8
    if alignment(play) == "under":
        deep = np.flatnonzero(play.places[play.passer][:, 1] >= 3.0)
        moment = max(moment, float(play.times[deep[0]]) if len(deep) else np.inf)
    return moment


@dataclass
class Pressure:
    rusher: str
    frame: int


def pressures(m: Measured) -> list[Pressure]:
    """6.6: every pressure: the first frame of each stretch of 0.1 s within 2 yd, or of 0.1 s about to be within 1."""
    play = m.play
    until = play.end if np.isnan(play.throw) else min(play.throw, play.end)
    counts = (play.times >= pressure_from(play) - TIME_EPS) & (play.times <= until + TIME_EPS)
    found = []
    for rusher, rows in m.rushes.items():
        near, soon = np.zeros(len(play.times), dtype=bool), np.zeros(len(play.times), dtype=bool)
        for k, row in rows.items():
            near[k] = row["distance"] <= 2.0
            soon[k] = row["closest_in"] <= 0.5 and row["closest"] <= 1.0
        for true in (near, soon):
            for first, last in runs(true & counts):
                if play.times[last] - play.times[first] >= 0.1 - TIME_EPS:
                    found.append(Pressure(rusher, first))
    return sorted(found, key=lambda p: (p.frame, p.rusher))


def push(m: Measured) -> Row:
    """6.8: greatest loss of pocket depth over half a second.

    Reading: of each ok frame the first frame half a second or more later, at most 0.75 s later, ok too; the loss over
    the true time between them.
    """
    play = m.play
    best: tuple[float, int, int] | None = None
    for k in range(play.rep_frames()):
        later = [j for j in range(k, play.rep_frames()) if play.times[j] - play.times[k] >= 0.5 - TIME_EPS]
        if not later:
            continue
        j = later[0]
        apart = float(play.times[j] - play.times[k])
        if apart > 0.75 or m.frames[k]["status"] != "ok" or m.frames[j]["status"] != "ok":
            continue
        loss = (float(m.frames[k]["pocket_depth"]) - float(m.frames[j]["pocket_depth"])) / apart
        if best is None or loss > best[0]:
            best = (loss, k, j)
    if best is None:
        return {"push": NAN}
    if best[0] <= 0:
        return {"push": 0.0}
    loss, k, j = best
    return {"push": loss, "push_time": play.since_snap(k), "push_man": push_man(m, k, j)}


def push_man(m: Measured, k: int, j: int) -> str | None:
    """Of the two men of the wall edge straight upfield the one who lost more ground; ties the lower id.

    Reading: the edge at the end of the half second, for that is where the pocket has become shallow.
    """
    play, passer = m.play, m.play.places[m.play.passer][j]
    men = m.walls[j].men
    turn = [bearing(play.places[p][j], passer) for p in men]
    right = next((n for n, b in enumerate(turn) if b > 0), len(men))
    pair = men[max(right - 1, 0) : right + 1]
    lost = [(-float(play.places[p][j][1] - play.places[p][k][1]), p) for p in pair if play.here(p, k)]
    return min(lost)[1] if lost else None


def dropback(m: Measured) -> Row:
    """10: the play's row of dropbacks."""
    play = m.play
    frames, top = drop_frames(play), top_of_drop(play)
    v = play.places[play.passer][:, 1]
    found = pressures(m)
    # Reading: who counts only after the end of reps has no row, and is none of the rush.
    rush = [r for r, (first, _) in play.rushers.items() if first < play.rep_frames()]
    row: Row = {
        "play": play.id,
        "label": play.label,
        "passer": play.passer,
        "alignment": alignment(play),
        "snap": snap(play),
        "line": line(play),
        "ball_across": play.ball_across,
        "wide_side": {-1: "left", 0: None, 1: "right"}[play.wide_side()],
        "drop_depth": float(v[frames].max()) if len(frames) else NAN,
        "throw_time": play.throw - play.snap,
        "rushers": len(rush),
        "pressure": bool(found),
        "pressure_time": play.since_snap(found[0].frame) if found else NAN,
    }
    if top is not None:
        row["top_time"] = play.since_snap(top)
        row["hitch"] = float(v[top] - v[frames[-1]])
    return row | push(m)
