"""Finding work: what linemen without a rusher, and backs who protect, look for and find."""

from dataclasses import dataclass

import numpy as np

from .exchanges import exchange_rows
from .frames import Play
from .geometry import span
from .looks import depth_of, first_man, there, u_of
from .measured import Measured, Row
from .rules import TIME_EPS
from .rush import NAN
from .spells import gap

BACK = 2.0  # yd deep: a back
ON_LINE, REACHED = 2.0, 2.0  # yd beyond the line; across
FROM, HELP, BREAK, LEAST = 0.3, 0.2, 0.3, 0.3  # s


@dataclass
class Find:
    frame: int
    found: str
    rusher: str
    helped: str | None = None
    until: int | None = None


def is_back(play: Play, man: str) -> bool:
    return man not in play.linemen and float(play.places[man][0][1]) >= BACK


def last_of_side(play: Play, man: str) -> int:
    """-1 or +1 of the last man of a side, of those who stand on the line at the first frame; else 0."""
    row = [p for p in there(play, play.protectors) if not is_back(play, p)]
    us = [u_of(play, p) for p in row]
    return -1 if u_of(play, man) == min(us) else 1 if u_of(play, man) == max(us) else 0


def his_at_snap(m: Measured, exchanges: list[Row], man: str) -> set[str]:
    """The rushers who are his at the snap."""
    play = m.play
    if not play.here(man, 0):
        return set()
    out = set()
    for rusher in there(play, sorted(play.rushers)):
        rows = [row for row in exchanges if row["rusher"] == rusher]
        first = rows[0]["from_man"] if rows else first_man(m, rusher)
        if first != man or depth_of(play, rusher) > ON_LINE:
            continue
        off = u_of(play, rusher) - u_of(play, man)
        if abs(off) <= REACHED or off * last_of_side(play, man) > 0:
            out.add(rusher)
    return out


def beaten_by(m: Measured, man: str, rusher: str) -> bool:
    return any(s.beat is not None for s in m.who.reps if s.protector == man and s.rusher == rusher)


def freed(m: Measured, exchanges: list[Row], man: str) -> list[tuple[float, str]]:
    """s since the snap from when he is free of a rusher, and of whom."""
    play = m.play
    out = []
    for row in exchanges:
        if row["from_man"] != man or row["kind"] == "stayed":
            continue
        given = any(
            other["to_man"] == man and other["rusher"] == row["crossed_with"] and other["crossed_with"] == row["rusher"]
            for other in exchanges
        )
        if not given:
            out.append((float(row["time"]), str(row["rusher"])))
    for rusher in play.dropped:
        last = play.rushers[rusher][1]
        if m.who.has[rusher][last] == man:
            out.append((play.since_snap(last), rusher))
    left = play.reps_end - play.snap - LEAST + TIME_EPS
    return sorted((time, rusher) for time, rusher in out if time <= left and not beaten_by(m, man, rusher))


def helps_in(m: Measured, man: str, rusher: str, frames: range, meet: float) -> list[tuple[int, int]]:
    """The stretches within meet of another man's rusher, breaks closed, of 0.2 s or more."""
    play, has = m.play, m.who.has[rusher]
    parts: list[list[int]] = []
    for k in frames:
        if has[k] in (None, man) or gap(play, man, rusher, k) > meet:
            continue
        if parts and play.times[k] - play.times[parts[-1][1]] < BREAK - TIME_EPS:
            parts[-1][1] = k
        else:
            parts.append([k, k])
    return [(a, b) for a, b in parts if play.times[b] - play.times[a] >= HELP - TIME_EPS]


def next_find(m: Measured, man: str, his: set[str], start: int, meet: float) -> Find | None:
    """His first contact, from a frame on, with a rusher whom he had not: one of his own, or before that help."""
    play = m.play
    own = []
    for rep in m.who.reps:
        if rep.protector == man and rep.rusher not in his and rep.last > start:
            k = next(f for f in (rep.contact, rep.beat, rep.last) if f is not None)
            own.append(Find(max(k, start), "rusher", rep.rusher))
    mine = min(own, key=lambda f: (f.frame, f.rusher)) if own else None
    until = play.rep_frames() if mine is None else mine.frame + 1
    frames = range(max(start, int(np.argmax(play.times - play.snap >= FROM - TIME_EPS))), until)
    helped = [
        Find(a, "help", r, m.who.has[r][a], b)
        for r in sorted(play.rushers)
        if r not in his
        for a, b in helps_in(m, man, r, frames, meet)
    ]
    if not helped:
        return mine
    first = min(helped, key=lambda f: (f.frame, f.rusher))
    if mine is None or first.rusher != mine.rusher or first.until is None:
        return first
    if play.times[mine.frame] - play.times[first.until] < BREAK - TIME_EPS:
        return Find(first.frame, "rusher", first.rusher)
    return first


def frame_at(play: Play, time: float) -> int:
    """The last frame not after a time; at the snap the first of all."""
    return int(np.flatnonzero(play.times - play.snap <= time + TIME_EPS)[-1]) if time > 0 else 0


def searches_of(m: Measured, exchanges: list[Row], man: str, meet: float) -> list[Row]:
    play = m.play
    if not play.here(man, 0):
        return []
    back = is_back(play, man)
    his = set() if back else his_at_snap(m, exchanges, man)
    free = freed(m, exchanges, man)
    over = play.reps_end - play.snap
    start, why = 0.0, "back" if back else "uncovered"
    looks, had = not his, set(his)
    rows: list[Row] = []
    while True:
        if not looks:  # he has a man; he looks again when he is free of him
            free = [f for f in free if f[1] in had]
            if not free:
                return rows
            start, rusher = free.pop(0)
            his, why, looks = his | {rusher}, "back" if back else "freed", True
        a = frame_at(play, start)
        find = next_find(m, man, his, a, meet)
        end = over if find is None else play.since_snap(find.frame)
        b = frame_at(play, end)
        row: Row = {
            "play": play.id,
            "man": man,
            "slot": play.linemen.get(man),
            "why": why,
            "start": start,
            "end": end,
            "found": "nobody" if find is None else find.found,
            "distance": NAN,
            "film_time": play.film_time + end,
        }
        if play.here(man, a) and play.here(man, b):
            row["distance"] = span(play.places[man][a], play.places[man][b])
        rows.append(row)
        if find is None:
            return rows
        row |= {"rusher": find.rusher, "helped": find.helped}
        if play.here(man, a):
            off = play.places[find.rusher][b][0] - play.places[man][a][0]
            row["side"] = "right" if off >= 0 else "left"
        if find.until is None:
            looks, had, free = False, {find.rusher}, [f for f in free if f[0] >= end - TIME_EPS]
            continue
        row["until"] = play.since_snap(find.until)
        if over - row["until"] < LEAST - TIME_EPS:
            return rows
        start, why = row["until"], "back" if back else "freed"


def search_rows(m: Measured, rules: dict[str, float]) -> list[Row]:
    """All rows of searches of one play, by man, then start."""
    if m.play.rep_frames() == 0:  # thrown before the first frame
        return []
    exchanges = exchange_rows(m, rules)
    return [row for man in sorted(m.play.protectors) for row in searches_of(m, exchanges, man, rules["meet"])]
