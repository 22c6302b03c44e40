"""Small figures of points: everything in the play frame, yd."""

import numpy as np


def span(a: np.ndarray, b: np.ndarray) -> float:
    return float(np.hypot(*(a - b)))


def cross(a: np.ndarray, b: np.ndarray) -> float:
    return float(a[0] * b[1] - a[1] * b[0])


def from_segment(point: np.ndarray, a: np.ndarray, b: np.ndarray) -> float:
    """Distance of a point from the segment a-b."""
    along = b - a
    length2 = float(along @ along)
    share = 0.0 if length2 == 0 else min(1.0, max(0.0, float((point - a) @ along) / length2))
    return span(point, a + share * along)


def shrunk(radius: float, centre: np.ndarray, rusher: np.ndarray, passer: np.ndarray) -> float:
    """4.8: a disc's radius, no more than its distance from the rusher or the passer."""
    return min(radius, span(centre, rusher), span(centre, passer))


def on_line(radius: float, centre: np.ndarray, rusher: np.ndarray, passer: np.ndarray) -> bool:
    """Whether the straight line from rusher to passer enters a man's disc, shrunk, by more than 1e-6."""
    return from_segment(centre, rusher, passer) < shrunk(radius, centre, rusher, passer) - 1e-6


def outside_by(side: int, rusher: np.ndarray, blocker: np.ndarray, passer: np.ndarray) -> float:
    """4.3: o, how far the blocker stands outside the rusher's straight line; 0 with the rusher on the passer."""
    line = passer - rusher
    length = float(np.hypot(*line))
    return 0.0 if length == 0 else -side * cross(line / length, blocker - rusher)


def cutoff_ratio(rusher: np.ndarray, blocker: np.ndarray, passer: np.ndarray) -> float:
    """4.4: least blocker speed / rusher speed with which they can meet on the rusher's line to the passer.

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
