"""Velocity at a player's own samples."""

import numpy as np

from .rules import LONGEST_GAP, TIME_EPS


def window_length(step: float, held: int) -> int:
    """Samples in the window: the odd number nearest 0.5 s / step (ties up), at least 5, at most the odd number held."""
    nearest = 2 * int(np.floor(0.5 / step / 2 + 1e-9)) + 1
    return min(max(nearest, 5), held if held % 2 else held - 1)


def stretches(times: np.ndarray) -> list[np.ndarray]:
    """Indices of the samples, cut where two neighbours are more than 0.5 s apart."""
    return np.split(np.arange(len(times)), np.flatnonzero(np.diff(times) > LONGEST_GAP + TIME_EPS) + 1)


def fitted(times: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Derivative at each sample of a least-squares quadratic over a window of samples on their true times.

    times (n,) in s, ascending; points (n, 2) in yd; returns (n, 2) in yd/s, NaN in stretches of fewer than 5 samples.
    The window is centred and shifted inwards at a stretch's ends (Savitzky and Golay 1964, for uneven times).
    """
    out = np.full((len(times), 2), np.nan)
    for part in stretches(times):
        if len(part) < 5:
            continue
        t, p = times[part], points[part]
        n = window_length(float(np.median(np.diff(t))), len(part))
        for i in range(len(part)):
            first = min(max(i - n // 2, 0), len(part) - n)
            here = slice(first, first + n)
            shifted = t[here] - t[i]
            powers = np.column_stack([np.ones(n), shifted, shifted**2])
            out[part[i]] = np.linalg.lstsq(powers, p[here], rcond=None)[0][1]
    return out
