"""Rows that stand together, runs of true, and how long frames last."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt


def slices(codes: npt.NDArray[Any]) -> dict[int, slice]:
    """Where each play's rows stand; rows of one play stand together."""
    if not len(codes):
        return {}
    starts = np.flatnonzero(np.diff(codes, prepend=codes[0] - 1))
    ends = [*starts[1:].tolist(), len(codes)]
    return {int(codes[start]): slice(start, end) for start, end in zip(starts.tolist(), ends, strict=True)}


def stretches(flags: npt.NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Where runs of true begin and end."""
    changes = np.flatnonzero(np.diff(flags, prepend=False, append=False)).tolist()
    return list(zip(changes[::2], changes[1::2], strict=True))


def seconds_of(times: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """s each frame stands for: until the next; the last as long as the middle one, a single one 0.1."""
    last = float(np.median(np.diff(times))) if len(times) > 1 else 0.1
    return np.append(np.diff(times), last)
