"""Where to look first."""

from __future__ import annotations

from typing import TYPE_CHECKING

import narwhals as nw

from .. import _core
from ..tell.words import SHOWN_FROM

if TYPE_CHECKING:
    from ..measures.results import Measures


def worst(m: Measures) -> tuple[str, float, str]:
    """Play, time (s) and side of the greatest short edge at an exposure of 0.2 or more, up to the throw.

    Of equals one whose rusher is not yet past his man, then the most exposed, then the first in the table.
    InputError when there is none.
    """
    edges, rushers = (nw.from_native(table, eager_only=True) for table in (m.edges, m.rushers))
    told = ~nw.col("short_edge").is_nan()  # a free rusher's edge is nobody's
    exposed = edges.filter((nw.col("exposure") >= SHOWN_FROM) & told & (nw.col("short_edge") > 0))
    key = ["play", "time", "rusher"]
    rows = list(exposed.join(rushers.select(*key, "cutoff_ratio"), on=key, how="left").iter_rows(named=True))
    rows.sort(key=lambda row: (-row["short_edge"], row["cutoff_ratio"] >= 1, -row["exposure"]))
    throws: dict[str, float] = {}
    for row in rows:
        play, time = row["play"], row["time"]
        if play not in throws:
            throws[play] = m.game.play(play).throw_time
        if not time > throws[play] + 1e-6:
            return play, time, row["side"]
    raise _core.InputError(f"no short edge at an exposure of {SHOWN_FROM} or more in game {m.game.name!r}")
