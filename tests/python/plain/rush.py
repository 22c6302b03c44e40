"""One rusher in one frame: distances, his blocker, the corner, the ways round and the taut path."""

from dataclasses import dataclass

import numpy as np

from .pocket import Spots, bearing, span
from .taut import taut_length
from .ways import time_of, way_round

NAN = float("nan")
BLOCKER_FIGURES = (
    "blocker_range",
    "cutoff_ratio",
    "corner_held",
    "short_edge",
    "outside_time",
    "outside_bend",
    "outside_exposure",
    "inside_time",
    "inside_exposure",
)


@dataclass
class Rush:
    """A rusher's figures (columns of the rushers table), his side, and whether nobody is before him any more."""

    figures: dict[str, object]
    blocker: str | None = None
    past: bool = False
    side: int = 0  # -1 left, +1 right, 0 none
    blocker_side: int = 0  # the blocker's own, whatever the rusher does


def side_of(who: str, at: np.ndarray, passer: np.ndarray, linemen: dict[str, str]) -> int:
    """A protector's side: -1 or +1, 0 for the centre."""
    fixed = {"LT": -1, "LG": -1, "C": 0, "RG": 1, "RT": 1}
    name = linemen.get(who)
    if name is not None:
        return fixed[name]
    return 1 if at[0] >= passer[0] else -1


def motion(rusher: np.ndarray, speed: np.ndarray, passer: np.ndarray, passer_speed: np.ndarray) -> dict[str, object]:
    """distance, bearing, closing, approach_angle, closest and closest_in."""
    to_passer = passer - rusher
    distance = float(np.hypot(*to_passer))
    out: dict[str, object] = {"distance": distance, "bearing": 0.0, "closing": NAN, "approach_angle": NAN}
    if distance > 0:
        out["bearing"] = bearing(rusher, passer)
        out["closing"] = float(speed @ to_passer) / distance
        if np.hypot(*speed) >= 0.3:
            cross = speed[0] * to_passer[1] - speed[1] * to_passer[0]
            out["approach_angle"] = float(np.degrees(np.arctan2(abs(cross), speed @ to_passer)))
    relative = passer_speed - speed
    out["closest"], out["closest_in"] = NAN, NAN
    rate = float(np.hypot(*relative))
    if rate >= 0.3:
        when = float(-(to_passer @ relative)) / rate**2
        if when <= 0:
            out["closest"], out["closest_in"] = distance, 0.0
        else:
            out["closest"], out["closest_in"] = float(np.hypot(*(to_passer + when * relative))), when
    return out


def cutoff_ratio(rusher: np.ndarray, blocker: np.ndarray, passer: np.ndarray) -> float:
    """Least blocker speed / rusher speed with which they can meet on the rusher's line to the passer.

    Meeting s yards along the line asks |P - s e| / s = |k P - e| with k = 1/s, P from the rusher: a convex function of
    k, its least at k = P.e / |P|^2, kept to k >= 1/|RQ|.
    """
    line = passer - rusher
    length = float(np.hypot(*line))
    if length == 0:
        return float("inf")
    e, p = line / length, blocker - rusher
    k = 1 / length
    if p @ p > 0:
        k = max(k, float(p @ e) / float(p @ p))
    return float(np.hypot(*(k * p - e)))


def corner(rusher: np.ndarray, blocker: np.ndarray, passer: np.ndarray, side: int, past: bool, reach: float) -> float:
    """corner_held in yd, 0 to 2 * reach."""
    if past:
        return 0.0
    line = passer - rusher
    length = float(np.hypot(*line))
    e, b = line / length, blocker - rusher
    outside_by = -side * (e[0] * b[1] - e[1] * b[0])
    if 0 < b @ e < length or outside_by > 0:
        return float(np.clip(reach + outside_by, 0.0, 2 * reach))
    return 0.0


def exposure(time: float, horizon: float) -> float:
    return max(0.0, 1.0 - time / horizon)


def taut(
    rusher: np.ndarray, passer: np.ndarray, blocker: str | None, protectors: Spots, rules: dict[str, float]
) -> float:
    """Length of the shortest curve clear of every protector: `reach` round his blocker, `body` round the others."""
    if not protectors:
        return span(rusher, passer)
    centres = np.array(list(protectors.values()))
    radii = np.array([rules["reach"] if p == blocker else rules["body"] for p in protectors])
    radii = np.minimum(radii, np.hypot(*(centres - rusher).T))
    radii = np.minimum(radii, np.hypot(*(centres - passer).T))
    return taut_length(rusher, passer, centres, radii)


def measure_rush(
    rusher: np.ndarray,
    speed: np.ndarray,
    passer: np.ndarray,
    passer_speed: np.ndarray,
    protectors: Spots,
    offense: Spots,
    linemen: dict[str, str],
    rules: dict[str, float],
) -> Rush:
    """All the figures of one rusher but the lane. `offense` holds everyone on offence present but the passer."""
    out = motion(rusher, speed, passer, passer_speed)
    nearest = sorted(protectors, key=lambda p: (span(protectors[p], rusher), span(protectors[p], passer), p))
    blocker = nearest[0] if nearest else None
    out["blocker"] = blocker
    out["helpers"] = sum(p != blocker and span(at, rusher) <= rules["engage"] for p, at in offense.items())
    out["path_length"] = taut(rusher, passer, blocker, protectors, rules)
    out["slack"] = out["path_length"] - out["distance"]
    if blocker is None:
        out["engaged"] = False
        out.update(dict.fromkeys(BLOCKER_FIGURES, NAN))
        return Rush(out)

    at = protectors[blocker]
    out["blocker_range"] = span(at, rusher)
    out["engaged"] = out["blocker_range"] <= rules["meet"]
    out["cutoff_ratio"] = cutoff_ratio(rusher, at, passer)
    own_side = side_of(blocker, at, passer, linemen)
    past = span(rusher, passer) <= span(at, passer)
    side = (1 if rusher[0] >= passer[0] else -1) if past else own_side
    rush = Rush(out, blocker, past, side, own_side)

    out["corner_held"] = corner(rusher, at, passer, side, past, rules["reach"]) if side else NAN
    out["short_edge"] = max(0.0, rules["reach"] - out["corner_held"]) if side else NAN
    ways = {hand: way_round(rusher, at, passer, hand, past, rules["reach"]) for hand in (-1, 1)}
    times = {hand: time_of(way, speed, rules) for hand, way in ways.items()}
    if side:
        outside = ways[side]
        out["outside_time"] = times[side]
        out["outside_bend"] = NAN if outside is None else float(np.degrees(outside.bend))
        out["outside_exposure"] = exposure(times[side], rules["horizon"])
        out["inside_time"] = times[-side]
    else:
        out["outside_time"] = out["outside_bend"] = out["outside_exposure"] = NAN
        out["inside_time"] = min(times.values())
    out["inside_exposure"] = exposure(out["inside_time"], rules["horizon"])
    return rush
