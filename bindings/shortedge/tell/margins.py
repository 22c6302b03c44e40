"""The margin of a drop (core/base/COLUMNS.md, drops) in words: how long the edge held beyond the throw, and where that
is gone.

    his edge held 0.3 s past the throw at 7 yd, gone at 8.6
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from itertools import pairwise
from typing import Any

Row = Mapping[str, Any]


def known(rows: Iterable[Row]) -> list[Row]:
    """Those with a margin, by depth."""
    return sorted((row for row in rows if math.isfinite(row["margin"])), key=lambda row: row["depth"])


def gone_at(rows: Iterable[Row]) -> float:
    """yd: the depth at which the margin is 0, straight between the depths told; NaN where it is at none of them."""
    for one, other in pairwise(known(rows)):
        if one["margin"] > 0 >= other["margin"]:
            share = one["margin"] / (one["margin"] - other["margin"])
            return float(one["depth"] + share * (other["depth"] - one["depth"]))
    return math.nan


def margin_words(rows: Iterable[Row]) -> str:
    """One sentence's end of the rows of one edge; "" with fewer than two depths."""
    told = known(rows)
    if len(told) < 2:
        return ""
    first, last, gone = told[0], told[-1], gone_at(told)
    if math.isfinite(gone):
        return f"held {first['margin']:.1f} s past the throw at {first['depth']:g} yd, gone at {gone:.1f}"
    if first["margin"] <= 0:
        return f"was gone {-first['margin']:.1f} s before the throw even at {first['depth']:g} yd"
    said = f"held {first['margin']:.1f} s past the throw at {first['depth']:g} yd"
    return f"{said}, {last['margin']:.1f} at {last['depth']:g}"
