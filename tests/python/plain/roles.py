"""2.3: who is the passer, who protects him, who rushes, from when and until when."""

import numpy as np

from .ends import end_of_reps
from .frames import Play, SkippedError, runs
from .rules import TIME_EPS

LINE = ("LT", "LG", "C", "RG", "RT")
ANY_LINEMAN = ("T", "OT", "G", "OG", "C", "OL")


def find_passer(play: Play) -> str:
    """The man whose role says so, else the one offensive QB with tracks. Raises SkippedError at none or two."""
    attack = [play.people[p] for p in play.offense()]
    passers = [p.id for p in attack if p.role == "passer"] or [
        p.id for p in attack if p.role is None and p.position == "QB"
    ]
    if len(passers) != 1:
        raise SkippedError("no passer" if not passers else "two passers")
    return passers[0]


def find_linemen(play: Play) -> dict[str, str]:
    """id -> LT LG C RG RT: as listed, or five generic linemen named by where they stood at the first frame."""
    able = [p for p in play.offense() if p != play.passer and play.people[p].role in (None, "protector")]
    position = {p: play.people[p].position for p in able}
    if any(position[p] in ("LT", "LG", "RG", "RT") for p in able):
        return {p: position[p] for p in able if position[p] in LINE}
    at_snap = {p: play.places[p][0] for p in able if position[p] in ANY_LINEMAN and play.here(p, 0)}
    near = sorted((abs(at_snap[p][0]), p) for p in at_snap if at_snap[p][1] <= 2.0)[:5]
    five = [p for _, p in near]
    if not five:
        return {}
    centre = next((p for p in five if position[p] == "C"), five[0])
    row = sorted(five, key=lambda p: (at_snap[p][0], p))
    middle = row.index(centre)
    named = {centre: "C"}
    for steps, left, right in ((1, "LG", "RG"), (2, "LT", "RT")):
        if middle - steps >= 0:
            named[row[middle - steps]] = left
        if middle + steps < len(row):
            named[row[middle + steps]] = right
    return named


def protects(play: Play, who: str) -> bool:
    """Whether a man who is no lineman stays near: |u| <= 7 and v >= -1 from the snap to min(throw, snap + 2.5 s)."""
    own = play.places[who][play.until(np.nanmin([play.throw, play.snap + 2.5]))]
    own = own[~np.isnan(own[:, 0])]
    return len(own) > 0 and bool(np.all((np.abs(own[:, 0]) <= 7.0) & (own[:, 1] >= -1.0)))


def rush_limit(play: Play) -> float:
    """The time by which a man must have shown that he rushes: min(throw, else end; snap + 2.5 s)."""
    return min(play.end if np.isnan(play.throw) else play.throw, play.snap + 2.5)


def showed_and_dropped(play: Play, who: str) -> bool:
    """Whether within that time he was never 1 yd deep, within 15 yd across, and last stood 3 yd off the line."""
    own = play.places[who][play.until(rush_limit(play))]
    own = own[~np.isnan(own[:, 0])]
    if not len(own) or np.any((own[:, 1] >= 1.0) & (np.abs(own[:, 0]) <= 15.0)):
        return False
    return bool(own[-1, 1] < -3.0)


def rushes(play: Play, who: str) -> bool:
    """Whether a defender comes across the line, or stood close to it and is held up by protectors for 0.3 s."""
    if showed_and_dropped(play, who):
        return False
    frames = play.until(rush_limit(play))
    own = play.places[who]
    for k in frames:
        if own[k, 1] >= 0.5 and abs(own[k, 0]) <= 15.0:
            return True
    if not (own[0, 1] >= -2.0 and abs(own[0, 0]) <= 8.0):
        return False
    near = np.zeros(len(play.times), dtype=bool)
    for k in frames:
        near[k] = any(np.linalg.norm(own[k] - play.places[p][k]) <= 1.2 for p in play.protectors)
    return any(play.times[last] - play.times[first] >= 0.3 - TIME_EPS for first, last in runs(near))


def first_counted(play: Play, who: str) -> int | None:
    """Frame from which a rusher counts: the first if he then stood at v >= -2, else the first with v >= -1."""
    v = play.places[who][:, 1]
    if v[0] >= -2.0:
        return 0
    close = np.flatnonzero(v >= -1.0)
    return int(close[0]) if len(close) else None


def late_from(play: Play, who: str) -> int | None:
    """Frame from which a late rusher counts; None: he is none.

    After the time of the others and by the end of reps he is in some frame at v >= 0.5 within 9 yd of the passer; he
    counts from the first frame of the stretch with v >= -1 that leads to the first such frame. Missing frames do not
    break it.
    """
    own, passer = play.places[who], play.places[play.passer]
    for k in range(play.rep_frames()):
        if play.times[k] <= rush_limit(play) + TIME_EPS or not (own[k, 1] >= 0.5):
            continue
        if not np.hypot(*(own[k] - passer[k])) <= 9.0:
            continue
        first = k
        for before in range(k - 1, -1, -1):
            if own[before, 1] < -1.0:
                break
            if play.here(who, before):
                first = before
        return first
    return None


def last_counted(play: Play, who: str, first: int) -> int | None:
    """Last frame in which a rusher who dropped counts; None: he did not drop.

    He dropped when his last frame by the end of reps is at v < -3; he counts up to his last by then within 1 yd of his
    greatest depth.
    """
    v = play.places[who][: play.rep_frames(), 1]
    own = np.array([k for k in range(first, len(v)) if not np.isnan(v[k])], dtype=int)
    if not len(own) or not v[own[-1]] < -3.0:
        return None
    return int(own[v[own] >= v[own].max() - 1.0][-1])


def assign(play: Play) -> None:
    """Fill in the play's passer, linemen, protectors, end of reps and rushers. Raises SkippedError when it cannot."""
    play.passer = find_passer(play)
    play.linemen = find_linemen(play)
    if len(play.linemen) < 3:
        raise SkippedError("fewer than three linemen")
    for who in play.offense():
        role = play.people[who].role
        if who == play.passer:
            continue
        if role == "protector" or (role is None and (who in play.linemen or protects(play, who))):
            play.protectors.append(who)
    play.reps_end = end_of_reps(play)
    for who in play.defense():
        role = play.people[who].role
        first = None
        if role == "rusher" or (role is None and rushes(play, who)):
            first = first_counted(play, who)
        elif role is None:
            first = late_from(play, who)
            if first is not None:
                play.late.add(who)
        if first is None:
            continue
        # Reading: a man whose role is given as rusher can still drop: his role says what he is, not until when.
        last = last_counted(play, who, first)
        if last is not None:
            play.dropped.add(who)
        play.rushers[who] = (first, len(play.times) - 1 if last is None else last)
