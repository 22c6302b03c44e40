"""What a pair of protector and rusher did, in figures, and their means and spreads over pairs.

By the definitions of core/study/summaries.hpp, in loops: places (frames, 2) in the play frame, yd; times in s.
"""

import math
import statistics
from itertools import pairwise

import numpy as np

from .rules import TIME_EPS

MET, TOGETHER = 1.3, 1.6  # yd
AFTER = 0.8  # s
FAST = 3.3  # yd/s
PAST = 0.2  # yd
BESIDE = 0.15  # s
NAN = float("nan")


def mean(values: list[float]) -> float:
    return statistics.fmean(values) if values else NAN


def velocities(times: list[float], way: np.ndarray) -> np.ndarray:
    step = (times[-1] - times[0]) / (len(times) - 1)
    beside = max(1, math.floor(BESIDE / step + 0.5 + 1e-9))
    last = len(times) - 1
    ends = [(max(0, k - beside), min(last, k + beside)) for k in range(len(times))]
    return np.array([(way[b] - way[a]) / (times[b] - times[a]) for a, b in ends])


def read_at(times: list[float], values: np.ndarray, wanted: float) -> np.ndarray | None:
    """Between samples in proportion; None after the last one."""
    if wanted > times[-1] + TIME_EPS:
        return None
    return np.array([np.interp(wanted, times, values[:, axis]) for axis in (0, 1)])


def away(times: list[float], way: np.ndarray, far: float) -> float:
    gone = [math.dist(at, way[0]) for at in way]
    for k, (was, now) in enumerate(pairwise(gone)):
        if now >= far:
            return times[k] + (far - was) / (now - was) * (times[k + 1] - times[k])
    return NAN


def across(a: np.ndarray, b: np.ndarray) -> float:
    return float(a[0] * b[1] - a[1] * b[0])


def figures(
    times: list[float], passer: np.ndarray, protector: np.ndarray, rusher: np.ndarray, side: int
) -> dict[str, float]:
    """By their words, without units."""
    frames = range(len(times))
    rush, block = velocities(times, rusher), velocities(times, protector)
    rush_speed, block_speed = [math.hypot(*v) for v in rush], [math.hypot(*v) for v in block]
    apart = [math.dist(rusher[k], protector[k]) for k in frames]
    to_passer = [math.dist(rusher[k], passer[k]) for k in frames]
    met = next((k for k in frames if apart[k] < MET), None)
    before, since = [k for k in frames if met is None or k < met], [k for k in frames if met is not None and k >= met]
    meets = closes = deep = gives = NAN
    if met is not None:
        meets = times[met]
        if met > 0:
            share = (apart[met - 1] - MET) / (apart[met - 1] - apart[met])
            meets = times[met - 1] + share * (times[met] - times[met - 1])
        closes = float(rush[met] @ (protector[met] - rusher[met])) / apart[met]
        deep = protector[met][1] - protector[0][1]
        later = read_at(times, protector, times[met] + AFTER)
        if later is not None:
            gives = (later[1] - protector[met][1]) / AFTER
    gone = {k: times[k] - times[met] for k in since}
    held = [k for k in since if gone[k] <= AFTER + TIME_EPS]
    ahead = [k for k in since if to_passer[k] < math.dist(protector[k], passer[k]) - PAST]
    # How far right of the rusher's line to the passer the protector is, seen by who runs along it: play frame, v back.
    right = [-across((passer[k] - rusher[k]) / to_passer[k], protector[k] - rusher[k]) for k in frames]
    turning = [across((rusher[k] - protector[k]) / apart[k], rush[k] - block[k]) for k in held]
    out = [side * (rusher[k][0] - rusher[0][0]) for k in frames]
    found = {
        "when they met": meets,
        "their least distance": min(apart),
        "their mean distance once they have met, while within 1.6 yd": mean(
            [apart[k] for k in since if apart[k] < TOGETHER]
        ),
        "the rusher's speed toward the protector when they met": closes,
        "the rusher's greatest speed before they met": max((rush_speed[k] for k in before), default=NAN),
        "the rusher's mean speed from 0.2 to 0.7 s after they met": mean(
            [rush_speed[k] for k in since if 0.2 - TIME_EPS <= gone[k] <= 0.7 + TIME_EPS]
        ),
        "the rusher's greatest speed": max(rush_speed),
        "when the rusher was 0.3 yd from where he lined up": away(times, rusher, 0.3),
        "when the rusher was 1 yd from where he lined up": away(times, rusher, 1.0),
        "when the rusher was 3 yd from where he lined up": away(times, rusher, 3.0),
        "the protector's greatest speed before they met": max((block_speed[k] for k in before), default=NAN),
        "the protector's greatest speed after they met": max((block_speed[k] for k in since), default=NAN),
        "the protector's greatest speed outward": max(side * v[0] for v in block),
        "the protector's greatest speed straight back before they met": max(
            (max(0.0, block[k][1]) for k in before), default=NAN
        ),
        "share of the time the protector was faster than 3.3 yd/s": mean([speed > FAST for speed in block_speed]),
        "when the protector was 0.2 yd from where he lined up": away(times, protector, 0.2),
        "how deep the protector had gone when they met": deep,
        "how fast the protector went back in the 0.8 s after they met": gives,
        "mean speed round one another, either way, in the 0.8 s after they met": mean([abs(v) for v in turning]),
        "mean speed round one another, outward less inward, in the 0.8 s after they met": mean(
            [side * v for v in turning]
        ),
        "share of the time since they met with the rusher 0.2 yd nearer to the passer": mean(
            [float(k in ahead) for k in since]
        ),
        "when the rusher, once they had met, was first 0.2 yd nearer to the passer": times[ahead[0]] if ahead else NAN,
        "the rusher's least distance from the passer": min(to_passer),
        "the protector's mean distance from the rusher's line to the passer": mean([abs(off) for off in right]),
        "how far outside the rusher's line to the passer the protector was before they met": mean(
            [side * right[k] for k in before]
        ),
        "the farthest inward the rusher came from where he lined up": max(0.0, -min(out)),
        "the farthest outward the rusher came from where he lined up": max(0.0, *out),
    }
    along = (0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.2, 1.5, 1.8, 2.1, 2.5)
    for name, verb, way in (("rusher", "come", rusher), ("protector", "gone", protector)):
        for time in along:
            at = read_at(times, way, time)
            found[f"how far back the {name} has {verb} by {time:g} s"] = NAN if at is None else at[1] - way[0][1]
    for name, way in (("rusher", rusher), ("protector", protector)):
        for time in (0.5, 0.8, 1.2, 1.6, 2.1):
            at = read_at(times, way, time)
            found[f"how far outward the {name} has gone by {time:g} s"] = (
                NAN if at is None else side * (at[0] - way[0][0])
            )
    for time in (0.4, 0.6, 0.8, 1.0, 1.2, 1.5, 1.8, 2.1, 2.5):
        his, mine = read_at(times, rusher, time), read_at(times, protector, time)
        found[f"how far apart they are by {time:g} s"] = NAN if his is None or mine is None else math.dist(his, mine)
    return found


def summary(pairs: list[tuple[bool, dict[str, float]]]) -> dict[str, float]:
    """By the words of a summary, without units: of each figure the mean and the standard deviation of those who have
    it, NaN for fewer than two. pairs: inside or on the edge, and the figures."""
    found = {}
    for kind, inside in (("edge", False), ("inside", True)):
        own = [figures for is_inside, figures in pairs if is_inside == inside]
        for name in pairs[0][1]:
            values = [one[name] for one in own if not math.isnan(one[name])]
            told = len(values) > 1
            found[f"{kind}: {name}, mean"] = statistics.fmean(values) if told else NAN
            found[f"{kind}: {name}, spread"] = statistics.stdev(values) if told else NAN
    return found
