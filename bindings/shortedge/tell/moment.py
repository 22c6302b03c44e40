"""The moment at which a rep or a play is shown, when nobody says which."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from .openings import short_frames

if TYPE_CHECKING:
    from ..measures.results import Measures

Row = Mapping[str, Any]

SHORT_FOR = 0.2  # s of a short edge from which its most exposed frame is shown


def given(time: Any) -> bool:
    return time is not None and not math.isnan(time)


def of_rep(m: Measures, row: Row) -> tuple[str, float]:
    """What a rep is shown at, and when (s since the snap): its beat; else, with an edge short for 0.2 s or more, the
    most exposed of those frames; else its end. A free rusher: his pressure, else the end."""
    if given(row["beat_time"]):
        return "beaten", float(row["beat_time"])
    if row["outcome"] == "free" and given(row["pressure_time"]):
        return "pressure", float(row["pressure_time"])
    if (row["short_edge_seconds"] or 0.0) >= SHORT_FOR - 1e-6:
        his, short = short_frames(m, row)
        if short.any():
            most = int(np.argmax(np.where(short, his["outside_exposure"], -1.0)))
            return "most exposed, his edge short", float(his["time"][most])
    return "end of the rep", float(row["end"])


def of_play(rows: Sequence[Row], throw: float) -> float:
    """s since the snap: the first beat of a play's reps; else the end of reps; the throw of a play without rows."""
    beats = [float(row["beat_time"]) for row in rows if given(row["beat_time"])]
    if beats:
        return min(beats)
    return max((float(row["end"]) for row in rows), default=0.0 if math.isnan(throw) else throw)
