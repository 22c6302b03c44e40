"""4: one rusher in one frame: distances, the corner, the ways round or past, and the taut path."""

from dataclasses import dataclass

import numpy as np

from .geometry import cutoff_ratio, outside_by, span
from .pocket import Spots, bearing
from .standing import Standing
from .taut import taut_length
from .ways import straight, time_of, way_round

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
    """A rusher's figures (columns of the rushers table) and how he stands to the man who has him."""

    figures: dict[str, object]
    standing: Standing

    @property
    def past_inside(self) -> bool:
        return self.standing.past and not self.standing.outside


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


def corner(rusher: np.ndarray, blocker: np.ndarray, passer: np.ndarray, standing: Standing, reach: float) -> float:
    """4.5: corner_held in yd, 0 to 2 * reach; NaN of a blocker without a side."""
    if standing.side == 0:
        return NAN
    o = outside_by(standing.side, rusher, blocker, passer)
    if standing.past:
        return 0.0 if standing.outside else float(np.clip(reach + o, reach, 2 * reach))
    line = passer - rusher
    length = float(np.hypot(*line))  # not 0: a rusher on the passer is past
    if 0 < float((blocker - rusher) @ line) / length < length or o > 0:
        return float(np.clip(reach + o, 0.0, 2 * reach))
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


def straight_or_round(
    rusher: np.ndarray,
    speed: np.ndarray,
    passer: np.ndarray,
    between: np.ndarray | None,
    rules: dict[str, float],
) -> tuple[float, float]:
    """Time and turn of the way left to a man past or free: the straight line, or the quicker way round a man between.

    Of equal times (1e-9) the shorter.
    """
    if between is None:
        return time_of(straight(rusher, passer), speed, rules), 0.0
    ways = [way_round(rusher, between, passer, hand, rules["body"]) for hand in (-1, 1)]
    timed = [(time_of(way, speed, rules), way) for way in ways]
    least = min(time for time, _ in timed)
    if np.isinf(least):
        return least, NAN
    time, way = min((t for t in timed if t[0] <= least + 1e-9), key=lambda t: t[1].length)
    return time, float(np.degrees(way.bend))


def ways_past(
    rusher: np.ndarray,
    speed: np.ndarray,
    passer: np.ndarray,
    blocker: np.ndarray | None,
    between: np.ndarray | None,
    standing: Standing,
    rules: dict[str, float],
) -> dict[str, float]:
    """4.6 and 4.7: times of the outside and the inside way, and the outside one's turn."""
    if standing.past or standing.free:
        time, turn = straight_or_round(rusher, speed, passer, between, rules)
        if standing.past and standing.side == 0:
            return {"outside_time": NAN, "outside_bend": NAN, "inside_time": time}
        if standing.outside:
            return {"outside_time": time, "outside_bend": turn, "inside_time": float("inf")}
        return {"outside_time": float("inf"), "outside_bend": NAN, "inside_time": time}
    ways = {hand: way_round(rusher, blocker, passer, hand, rules["reach"]) for hand in (-1, 1)}
    times = {hand: time_of(way, speed, rules) for hand, way in ways.items()}
    side = standing.side
    if side == 0:
        return {"outside_time": NAN, "outside_bend": NAN, "inside_time": min(times.values())}
    way = ways[side]
    return {
        "outside_time": times[side],
        "outside_bend": NAN if way is None else float(np.degrees(way.bend)),
        "inside_time": times[-side],
    }


def measure_rush(
    rusher: np.ndarray,
    speed: np.ndarray,
    passer: np.ndarray,
    passer_speed: np.ndarray,
    standing: Standing,
    protectors: Spots,
    offense: Spots,
    rules: dict[str, float],
) -> Rush:
    """All the figures of one rusher but the lane. `offense` holds everyone on offence present but the passer."""
    out = motion(rusher, speed, passer, passer_speed)
    blocker = standing.blocker
    out["blocker"] = blocker
    out["helpers"] = sum(p != blocker and span(at, rusher) <= rules["engage"] for p, at in offense.items())
    out["path_length"] = taut(rusher, passer, blocker, protectors, rules)
    out["slack"] = out["path_length"] - out["distance"]
    out["engaged"] = False
    out.update(dict.fromkeys(BLOCKER_FIGURES, NAN))
    if blocker is None and not standing.free:
        return Rush(out, standing)
    at = None
    if blocker is not None:
        at = protectors[blocker]
        out["blocker_range"] = span(at, rusher)
        out["engaged"] = out["blocker_range"] <= rules["meet"]
        out["cutoff_ratio"] = cutoff_ratio(rusher, at, passer)
        out["corner_held"] = corner(rusher, at, passer, standing, rules["reach"])
        out["short_edge"] = NAN if standing.side == 0 else max(0.0, rules["reach"] - out["corner_held"])
    between = None if standing.between is None else protectors[standing.between]
    out.update(ways_past(rusher, speed, passer, at, between, standing, rules))
    for name in ("outside", "inside"):
        time = out[f"{name}_time"]
        out[f"{name}_exposure"] = NAN if np.isnan(time) else exposure(time, rules["horizon"])
    return Rush(out, standing)
