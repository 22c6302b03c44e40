"""4.3: on which side a blocker stands, and whether his rusher is outside or inside of him, past him, or free."""

from dataclasses import dataclass

import numpy as np

from .frames import Play
from .geometry import on_line, outside_by, span
from .pocket import Wall


def first_place(play: Play, who: str) -> np.ndarray | None:
    """Where he stood in the first measured frame that has him."""
    there = np.flatnonzero(~np.isnan(play.places[who][:, 0]))
    return play.places[who][there[0]] if len(there) else None


def centres(play: Play) -> list[str]:
    """The men listed C that are ever seen: the centre, and of two the one who stood nearest u = 0 first (ties: id)."""
    stood = [(first_place(play, p), p) for p in sorted(play.linemen) if play.linemen[p] == "C"]
    return [p for _, p in sorted((abs(float(at[0])), p) for at, p in stood if at is not None)]


def centre_u(play: Play) -> float:
    """Where the centre stood, across; 0 without one."""
    found = centres(play)
    return float(first_place(play, found[0])[0]) if found else 0.0


def lineman_side(play: Play, who: str) -> int:
    """-1 left or +1 right of the centre where he stood; 0 of a centre."""
    if play.linemen[who] == "C":
        return 0
    at = first_place(play, who)
    return 1 if at is None or at[0] >= centre_u(play) else -1


def guard_of(play: Play, side: int) -> str | None:
    """The lineman who stood next to the centre on a side."""
    able = [(p, first_place(play, p)) for p in sorted(play.linemen) if lineman_side(play, p) == side]
    stood = [(abs(float(at[0]) - centre_u(play)), p) for p, at in able if at is not None]
    return min(stood)[1] if stood else None


def side_of(play: Play, who: str, frame: int) -> int:
    """A protector's side in a frame: -1, +1, or 0 for none. Of no lineman, it needs the passer there: else 0.

    A lineman who pulled across is of the other side while he is, in front of the passer, on that side of him and
    farther out than that side's guard, who must be there.
    """
    if who in play.linemen:
        stood = lineman_side(play, who)
        guard = guard_of(play, -stood) if stood else None
        if guard is None or not all(play.here(p, frame) for p in (who, guard, play.passer)):
            return stood
        at, inner, passer = (play.places[p][frame] for p in (who, guard, play.passer))
        across = (passer[0] - at[0]) * stood > 0 and (inner[0] - at[0]) * stood > 0 and at[1] < passer[1]
        return -stood if across else stood
    if not (play.here(play.passer, frame) and play.here(who, frame)):
        return 0
    at = play.places[who][frame]
    side = 1 if at[0] >= play.places[play.passer][frame][0] else -1
    guard = guard_of(play, side)
    if guard is None or not play.here(guard, frame):
        return side
    return side if side * at[0] > side * play.places[guard][frame][0] else 0


@dataclass
class Standing:
    """How a rusher stands to the man who has him in one frame."""

    blocker: str | None  # None: free, or his man is not there
    free: bool  # nobody has him
    side: int  # the blocker's; of a free rusher his own
    past: bool
    outside: bool
    between: str | None  # a man between; looked for past and free


def man_between(play: Play, rusher: str, blocker: str | None, frame: int, body: float) -> str | None:
    """S: the nearest to the rusher of the other protectors on his straight line; ties nearer the passer, then id."""
    at, passer = play.places[rusher][frame], play.places[play.passer][frame]
    able = [
        (span(play.places[p][frame], at), span(play.places[p][frame], passer), p)
        for p in play.protectors
        if p != blocker and play.here(p, frame) and on_line(body, play.places[p][frame], at, passer)
    ]
    return min(able)[2] if able else None


def stand(
    play: Play,
    rusher: str,
    has: list[str | None],
    walls: list[Wall | None],
    rules: dict[str, float],
) -> dict[int, Standing]:
    """Frame -> how this rusher stands, in the frames that have him and the passer."""
    out: dict[int, Standing] = {}
    stretch: tuple[str, bool, int] | None = None  # the man he is past; whether outside, and that man's side, at first
    for k in range(len(play.times)):
        if not (play.rushing(rusher, k) and play.here(play.passer, k)):
            continue
        at, passer, man = play.places[rusher][k], play.places[play.passer][k], has[k]
        if man is None:
            side = 1 if at[0] >= passer[0] else -1
            wall = walls[k]
            outside = True
            if wall is not None:
                end = wall.left if side < 0 else wall.right
                outside = outside_by(side, at, play.places[end][k], passer) <= 0
            out[k] = Standing(None, True, side, False, outside, man_between(play, rusher, None, k, rules["body"]))
            continue
        if not play.here(man, k):
            out[k] = Standing(None, False, 0, False, False, None)
            continue
        spot = play.places[man][k]
        side = side_of(play, man, k)
        outside = side != 0 and outside_by(side, at, spot, passer) <= 0
        past = span(at, passer) <= span(spot, passer)
        if not past:
            stretch = None
        elif stretch is None or stretch[0] != man:
            stretch = (man, outside, side)
        else:
            outside = side != 0 and stretch[1]
            side = stretch[2] if side != 0 and stretch[2] != 0 else side
        between = man_between(play, rusher, man, k, rules["body"]) if past else None
        out[k] = Standing(man, False, side, past, outside, between)
    return out
