"""Who is the passer, who protects him, who rushes, and from when."""

import numpy as np

from .frames import Play, SkippedError
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


def rushes(play: Play, who: str) -> bool:
    """Whether a defender comes across the line, or stood close to it and is held up by protectors for 0.3 s."""
    limit = play.end if np.isnan(play.throw) else play.throw
    frames = play.until(min(limit, play.snap + 2.5))
    own = play.places[who]
    for k in frames:
        if own[k, 1] >= 0.5 and abs(own[k, 0]) <= 15.0:
            return True
    if not (own[0, 1] >= -2.0 and abs(own[0, 0]) <= 8.0):
        return False
    since = None
    for k in frames:
        near = any(np.linalg.norm(own[k] - play.places[p][k]) <= 1.2 for p in play.protectors)
        if not near:
            since = None
            continue
        since = play.times[k] if since is None else since
        if play.times[k] - since >= 0.3 - TIME_EPS:
            return True
    return False


def first_counted(play: Play, who: str) -> int | None:
    """Frame from which a rusher counts: the first if he then stood at v >= -2, else the first with v >= -1."""
    v = play.places[who][:, 1]
    if v[0] >= -2.0:
        return 0
    close = np.flatnonzero(v >= -1.0)
    return int(close[0]) if len(close) else None


def assign(play: Play) -> None:
    """Fill in the play's passer, linemen, protectors and rushers. Raises SkippedError when it cannot."""
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
    for who in play.defense():
        role = play.people[who].role
        if role == "rusher" or (role is None and rushes(play, who)):
            start = first_counted(play, who)
            if start is not None:
                play.rushers[who] = start
