"""Exchanges: rushers who change hands, and rushers who cross."""

from dataclasses import dataclass

import numpy as np

from .frames import Play
from .geometry import cutoff_ratio, span
from .measured import Measured, Row
from .outcomes import outcome_of
from .rules import TIME_EPS
from .rush import NAN
from .spells import Spell, gap

APART = 0.5  # yd across, before and after a crossing
CLEAR = 2.5  # yd from the passer, more than that
DEEPEST = 4.0  # yd behind the line
TURNED = 0.5  # s within which they are apart the other way round
TOGETHER = 1.0  # s between a crossing and the change that belongs to it
HELD = 0.3  # s within meet from which a spell that is no rep counts
STAYS = 0.5  # s after which who is still there makes a double team
IN_TIME = 0.5  # s


@dataclass
class Crossing:
    frame: int
    other: str


def across(play: Play, a: str, b: str, frame: int) -> float:
    """How far a stands to the right of b."""
    return float(play.places[a][frame][0] - play.places[b][frame][0])


def crossing_of(play: Play, a: str, b: str) -> int | None:
    """The frame in which two rushers change places across; None: they do not cross.

    Reading: of several changes the first that is a crossing; a change is from one frame that has both to the next, and
    both count as rushers by the time they are apart the other way round, with no change back before.
    """
    if a in play.dropped or b in play.dropped or not (play.here(a, 0) and play.here(b, 0)):
        return None
    stood = across(play, a, b, 0)
    if abs(stood) < APART:
        return None
    way = 1 if stood > 0 else -1
    both = [k for k in range(play.rep_frames()) if play.here(a, k) and play.here(b, k)]
    turned = False
    for k in both:
        before, turned = turned, way * across(play, a, b, k) < 0
        if before or not turned or not play.here(play.passer, k):
            continue
        passer = play.places[play.passer][k]
        clear = all(span(play.places[r][k], passer) > CLEAR and play.places[r][k][1] <= DEEPEST for r in (a, b))
        soon = [j for j in both if j >= k and play.times[j] <= play.times[k] + TURNED + TIME_EPS]
        back = next((j for j in soon if way * across(play, a, b, j) >= 0), len(play.times))
        soon = [j for j in soon if j < back and play.rushing(a, j) and play.rushing(b, j)]
        if clear and any(way * across(play, a, b, j) <= -APART for j in soon):
            return k
    return None


def crossings(play: Play) -> dict[str, list[Crossing]]:
    """Of each rusher whom he crosses with, the first first."""
    out: dict[str, list[Crossing]] = {}
    for a in sorted(play.rushers):
        found = [(crossing_of(play, a, b), b) for b in sorted(play.rushers) if b != a]
        out[a] = sorted((Crossing(k, b) for k, b in found if k is not None), key=lambda c: (c.frame, c.other))
    return out


def no_reps(m: Measured) -> list[Spell]:
    """The spells that are no rep."""
    return [*m.who.never_between, *m.who.helped_only, *m.who.passed_on, *m.who.brushed]


def reps_of(m: Measured, rusher: str) -> list[Spell]:
    return sorted((s for s in m.who.reps if s.rusher == rusher), key=lambda s: (s.first, s.protector))


def changes(m: Measured, rusher: str) -> list[tuple[Spell, Spell]]:
    """The pairs of one man's time on a rusher and the next man's rep, before it is told whether that is an exchange."""
    reps = reps_of(m, rusher)
    others = [
        s for s in no_reps(m) if s.rusher == rusher and s.meet_time >= HELD - TIME_EPS and s not in m.who.never_between
    ]
    found = []
    for rep in reps:
        before = [s for s in [*reps, *others] if s.first < rep.first]
        if not before:
            continue
        last = max(before, key=lambda s: s.first)
        if last.protector != rep.protector:
            found.append((last, rep))
    return found


def double_team(m: Measured, first: Spell, second: Spell, meet: float) -> bool:
    """Whether the first man is still within meet half a second after the second's rep began, or at the end of reps."""
    play = m.play
    later = np.flatnonzero(play.times >= play.times[second.first] + STAYS - TIME_EPS)
    last = play.rep_frames() - 1
    return gap(play, first.protector, first.rusher, min([last, *later[:1]])) <= meet


def belongs(play: Play, crossed: list[Crossing], frame: int) -> Crossing | None:
    """The crossing that belongs to a change: the nearest of those at most a second from it."""
    near = [(abs(float(play.times[c.frame] - play.times[frame])), c.frame, c.other, c) for c in crossed]
    near = [n for n in near if n[0] <= TOGETHER + TIME_EPS]
    return min(near, key=lambda n: n[:3])[3] if near else None


def man_after(m: Measured, rusher: str, crossing: Crossing) -> Spell | None:
    """The last rep on him that begins by a second after the crossing, else the first of all."""
    by = m.play.times[crossing.frame] + TOGETHER + TIME_EPS
    reps = reps_of(m, rusher)
    able = [s for s in reps if m.play.times[s.first] <= by]
    return (able[-1:] + reps[:1] + [None])[0]


def over_the_line(play: Play, rusher: str, frame: int) -> int:
    """The first frame from here on in which he is over the line of scrimmage; the last of reps when he never is."""
    able = (k for k in range(frame, play.rep_frames()) if play.rushing(rusher, k) and play.places[rusher][k][1] >= 0)
    return next(able, play.rep_frames() - 1)


def nearest_lineman(play: Play, rusher: str, but: str | None) -> str | None:
    if not play.here(rusher, 0):
        return None
    able = [(abs(across(play, p, rusher, 0)), p) for p in play.linemen if play.here(p, 0) and p != but]
    return min(able)[1] if able else None


@dataclass
class Change:
    """A rusher's way from one man to the next man's rep."""

    kind: str
    rusher: str
    from_man: str | None
    rep: Spell | None  # None: nobody took him
    frame: int
    crossed: Crossing | None


def row_of(m: Measured, change: Change, meet: float) -> Row:
    play, rusher, rep, frame = m.play, change.rusher, change.rep, change.frame
    kind, from_man, crossed = change.kind, change.from_man, change.crossed
    to_man = None if rep is None else rep.protector
    time = float(play.times[frame])
    row: Row = {
        "play": play.id,
        "time": play.since_snap(frame),
        "kind": kind,
        "rusher": rusher,
        "from_man": from_man,
        "to_man": to_man,
        "crossed_with": None if crossed is None else crossed.other,
        "cross_time": NAN if crossed is None else play.since_snap(crossed.frame),
        "outcome": "free",
        "late": True,
        "from_slot": play.linemen.get(from_man or ""),
        "to_slot": play.linemen.get(to_man or ""),
        "film_time": play.film_time + play.since_snap(frame),
    }
    if rep is None:
        return row
    row["outcome"] = outcome_of(play, rep, meet)
    ratio = NAN
    if play.rushing(rusher, frame) and play.here(rep.protector, frame) and play.here(play.passer, frame):
        ratio = cutoff_ratio(*(play.places[w][frame] for w in (rusher, rep.protector, play.passer)))
    row["cutoff_ratio"] = ratio
    met = None if rep.contact is None else float(play.times[rep.contact])
    row["contact_time"] = NAN if met is None else met - play.snap
    waited = (play.reps_end if met is None else met) - time
    row["late"] = kind != "stayed" and (ratio >= 1 or waited > IN_TIME + TIME_EPS)
    return row


def change_of_crossing(m: Measured, rusher: str, crossing: Crossing) -> Change:
    """Of a rusher who crossed, and whose reps show no change that belongs to it."""
    play, other = m.play, crossing.other
    mine, his = man_after(m, rusher, crossing), man_after(m, other, crossing)
    twist = over_the_line(play, rusher, crossing.frame)
    if mine is None:
        before = nearest_lineman(play, rusher, None if his is None else his.protector)
        return Change("twist", rusher, before, None, twist, crossing)
    had = [s for s in no_reps(m) if s.rusher == rusher and s.first < mine.first and s.protector != mine.protector]
    if had:
        last = max(had, key=lambda s: s.first)
        return Change("twist", rusher, last.protector, mine, twist, crossing)
    man = mine.protector
    if his is None:
        stayed = not abs(across(play, man, rusher, 0)) > abs(across(play, man, other, 0))
        before = nearest_lineman(play, rusher, man)
    else:
        before = his.protector
        stayed = not across(play, man, before, 0) * across(play, rusher, other, 0) < 0  # also of men not seen then
    if stayed:
        return Change("stayed", rusher, man, mine, crossing.frame, crossing)
    return Change("twist", rusher, before, mine, twist, crossing)


def exchange_rows(m: Measured, rules: dict[str, float]) -> list[Row]:
    """All rows of exchanges of one play, by rusher, then time."""
    play, meet = m.play, rules["meet"]
    crossed = crossings(play)
    rows: list[Change] = []
    for rusher in sorted(play.rushers):
        found: list[Change] = []
        for first, second in changes(m, rusher):
            crossing = belongs(play, crossed[rusher], second.first)
            if crossing is not None:
                frame = over_the_line(play, rusher, crossing.frame)
                found.append(Change("twist", rusher, first.protector, second, frame, crossing))
                continue
            beaten = first.beat is not None and first.beat <= second.first
            if beaten or double_team(m, first, second, meet):
                continue
            met = [k for k in range(second.first + 1) if gap(play, first.protector, rusher, k) <= meet]
            frame = met[-1] if met else second.first
            found.append(Change("pass-off", rusher, first.protector, second, frame, None))
        if crossed[rusher] and not found:
            found.append(change_of_crossing(m, rusher, crossed[rusher][0]))
        rows += found
    return [row_of(m, row, meet) for row in sorted(rows, key=lambda r: (r.rusher, r.frame))]
