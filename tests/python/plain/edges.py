"""4.9 and 5: lanes and edges, what needs the pocket and the rush both."""

import numpy as np

from .pocket import LEFT_CORNER, RIGHT_CORNER, Spots, Wall, bearing, in_polygon
from .rush import NAN, Rush

SIDES = {-1: "left", 1: "right"}


def letter(wall: Wall, inner: int, linemen: dict[str, str]) -> str:
    """Gap letter by the linemen from the centre (not counted) out to the man at place `inner` of the wall."""
    middle = wall.men.index(wall.centre)
    out = wall.men[middle + 1 : inner + 1] if inner > middle else wall.men[inner:middle]
    return "ABCD"[min(3, sum(p in linemen for p in out))]


def lane(
    rusher: np.ndarray, passer: np.ndarray, wall: Wall, polygon: list[tuple[str, np.ndarray]], linemen: dict[str, str]
) -> tuple[str, str]:
    """Where his straight line to the passer enters the pocket: (A B C D in rear, left or right)."""
    if in_polygon(polygon, rusher):
        turn = bearing(rusher, passer) if (rusher != passer).any() else 0.0
        return "in", "right" if turn >= 0 else "left"
    best, found = -np.inf, 0
    crossing = passer
    for k in range(len(polygon)):  # the edge his line crosses: ahead of the passer, between its two ends
        a, b = polygon[k][1], polygon[(k + 1) % len(polygon)][1]
        sides = np.column_stack([rusher - passer, a - b])
        if abs(np.linalg.det(sides)) < 1e-14:
            continue
        out, share = np.linalg.solve(sides, a - passer)
        if out > 0 and min(share, 1 - share) > best:
            best, found, crossing = min(share, 1 - share), k, a + share * (b - a)
    if found == len(polygon) - 1:
        return "rear", "right" if crossing[0] >= passer[0] else "left"
    ends = (polygon[found][0], polygon[found + 1][0])
    if RIGHT_CORNER in ends:
        return letter(wall, len(wall.men) - 1, linemen), "right"
    if LEFT_CORNER in ends:
        return letter(wall, 0, linemen), "left"
    middle = wall.men.index(wall.centre)
    i, j = (wall.men.index(man) for man in ends)
    inner, outer = (i, j) if abs(i - middle) <= abs(j - middle) else (j, i)
    return letter(wall, inner, linemen), "right" if outer > middle else "left"


SHOWN = 0.2  # exposure


def most_exposed(rushes: dict[str, Rush]) -> str:
    """Greatest outside_exposure; ties: least outside_time, then id."""
    return min(rushes, key=lambda r: (-rushes[r].figures["outside_exposure"], rushes[r].figures["outside_time"], r))


def takes(rush: Rush, side: int, end: str, wall: Wall, rules: dict[str, float]) -> bool:
    """Whether a rusher takes the edge of a side, whose wall ends with `end`."""
    stands = rush.standing
    if stands.side != side or not stands.outside:
        return False
    exposed = rush.figures["outside_exposure"]
    if stands.past:
        return exposed >= SHOWN
    if stands.free:
        return exposed >= rules["takeover"]
    setting = stands.blocker == end or (stands.blocker in wall.men and rush.figures["engaged"])
    return bool(setting and exposed >= rules["takeover"])


def edge_owner(
    side: int, rushes: dict[str, Rush], wall: Wall, linemen: dict[str, str], rules: dict[str, float]
) -> str | None:
    """The rusher to whom the edge of a side belongs."""
    end = wall.left if side < 0 else wall.right
    taking = {r: x for r, x in rushes.items() if takes(x, side, end, wall, rules)}
    if taking:
        return most_exposed(taking)
    of_end = {r: x for r, x in rushes.items() if x.standing.blocker == end}
    wanted = of_end
    if not of_end:  # the end has nobody: a back, or another who is no lineman, may have taken the edge for him
        wanted = {
            r: x for r, x in rushes.items() if x.standing.blocker in wall.men and x.standing.blocker not in linemen
        }
    wanted = {r: x for r, x in wanted.items() if x.standing.side == side and not x.past_inside}
    return most_exposed(wanted) if wanted else None


def edge(
    side: int,
    rushes: dict[str, Rush],
    wall: Wall,
    spots: Spots,
    linemen: dict[str, str],
    passer: np.ndarray,
    passer_first: np.ndarray,
    end_first: float,
    rules: dict[str, float],
) -> dict[str, object]:
    """5: one side's edge in an ok frame. end_first: u * side of the wall's end at the play's first ok frame."""
    owner = edge_owner(side, rushes, wall, linemen, rules)
    man = wall.left if side < 0 else wall.right
    out: dict[str, object] = {
        "side": SIDES[side],
        "rusher": owner,
        "drift": float(passer[0] - passer_first[0]) * side,
        "corner_held": NAN,
        "short_edge": 0.0,
        "outside_time": float("inf"),
        "exposure": 0.0,
        "engaged": False,
        "helpers": 0,
    }
    if owner is not None:
        his = rushes[owner]
        if his.standing.blocker is not None:
            man = his.standing.blocker
        for name in ("corner_held", "short_edge", "outside_time", "engaged", "helpers"):
            out[name] = his.figures[name]
        out["exposure"] = his.figures["outside_exposure"]
    width = float(spots[man][0] - passer[0]) * side
    out["edge_man"] = man
    out["edge_width"] = width + rules["reach"]
    out["edge_given"] = end_first - width
    return out
