"""Times as they come in, as seconds."""

from __future__ import annotations

from numbers import Real
from typing import Literal, get_args

import numpy as np

from .._core import InputError
from ..base.columns import Column, Floats
from ..base.text import shown

Time = Literal["s", "ms", "timestamp", "frame"]


class Clock:
    """Their times as float seconds."""

    def __init__(self, mode: str, rate: float | None) -> None:
        if mode not in get_args(Time):
            raise InputError(f"time is {shown(mode)}; accepted: {', '.join(get_args(Time))}")
        counts = isinstance(rate, Real) and not isinstance(rate, bool) and 0 < rate < float("inf")
        if mode == "frame" and not counts:
            raise InputError(f'rate is {shown(rate)}; accepted with time="frame": frames a second, above 0')
        if mode != "frame" and rate is not None:
            raise InputError(f'rate is {shown(rate)}; accepted: with time="frame" only, and time is "{mode}"')
        self.mode = mode
        self.scale = 1000.0 if mode == "ms" else float(rate or 1)
        self.start: tuple[int, bool, Column] | None = None  # of timestamps: the first time in tracks; with a zone?

    def seconds(self, column: Column) -> Floats:
        """NaN for a missing time. The first column asked for must be the tracks' time."""
        if self.mode != "timestamp":
            named = {"s": "seconds", "ms": "milliseconds", "frame": "frame numbers"}[self.mode]
            return column.numbers(f'{named}, as numbers (time="{self.mode}")') / self.scale
        stamps, missing, zone = column.stamps()
        if self.start is None:
            self.start = (int(stamps[~missing].min()) if not missing.all() else 0, zone, column)
        first, first_zone, first_column = self.start
        if not missing.all() and zone != first_zone:
            column.refuse(
                f"times {'with' if zone else 'without'} a time zone",
                f"times {'with' if first_zone else 'without'} one, as in table {first_column.table}",
            )
        return np.where(missing, np.nan, (stamps - first) / 1e9)
