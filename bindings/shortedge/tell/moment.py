"""The moment at which a rep or a play is shown, when nobody says which."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from ..base.vocabulary import LOST

if TYPE_CHECKING:
    from ..measures.results import Measures

Row = Mapping[str, Any]


def given(time: Any) -> bool:
    return time is not None and not math.isnan(time)


def of_rep(m: Measures, row: Row) -> tuple[str, float]:
    """What a rep is shown at, and when (s since the snap): its beat; else the pressure of its rusher; else the greater
    of its two greatest exposures (of equals the outside one); else the throw; else its end."""
    if given(row["beat_time"]):
        return "beaten", float(row["beat_time"])
    if row["pressure"] and given(row["pressure_time"]):
        return "pressure", float(row["pressure_time"])
    peaks = [
        (float(row[f"peak_{which}"]), which) for which in ("outside", "inside") if given(row[f"peak_{which}_time"])
    ]
    if peaks and max(peaks)[0] > 0:
        which = max(peaks)[1]
        return f"most exposed {which}", float(row[f"peak_{which}_time"])
    throw = float(m.game.play(row["play"]).throw_time)
    return ("throw", throw) if given(throw) else ("end of the rep", float(row["end"]))


def of_play(m: Measures, rows: Sequence[Row]) -> tuple[Row | None, float]:
    """The rep that counts in a play and its moment: the first beat; else the first pressure; else the most exposed rep
    of those that were lost, then of all. A play without rows: none, and its throw, or the snap."""
    beats = [row for row in rows if given(row["beat_time"])]
    if beats:
        first = min(beats, key=lambda row: float(row["beat_time"]))
        return first, float(first["beat_time"])
    pressed = [row for row in rows if row["pressure"] and given(row["pressure_time"]) and row["outcome"] != "help"]
    if pressed:
        first = min(pressed, key=lambda row: float(row["pressure_time"]))
        return first, float(first["pressure_time"])
    lost = [row for row in rows if row["outcome"] in LOST] or [
        row for row in rows if row["rusher"] and row["protector"]
    ]
    if lost:
        most = max(lost, key=exposed)
        return most, of_rep(m, most)[1]
    throw = float(m.game.play(rows[0]["play"]).throw_time) if rows else math.nan
    return None, 0.0 if math.isnan(throw) else throw


def exposed(row: Row) -> float:
    """The greater of a rep's two greatest exposures, 0 with none."""
    peaks = (row["peak_outside"], row["peak_inside"])
    return max(float(peak) if given(peak) else 0.0 for peak in peaks)
