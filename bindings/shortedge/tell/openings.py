"""Where short edges opened: the stretches, and where they lay over the play frame."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from ..base.rows import seconds_of, stretches
from .labels import Vector
from .words import SHORT, SHOWN_FROM

if TYPE_CHECKING:
    from ..measures.results import Measures

SPREAD = 0.6  # yd, standard deviation of the smoothing
LINE = ("LT", "LG", "C", "RG", "RT")


class Opening(NamedTuple):
    """A stretch in which one edge was short: where its man stood in each frame, and how long each frame lasts."""

    play: str
    side: str
    man: str
    path: Vector  # (frames, 2)
    seconds: Vector  # (frames,)


def openings(m: Measures, player: str | None = None) -> list[Opening]:
    """Every stretch of frames up to the throw with exposure 0.2 or more and a short edge of 0.5 yd or more, of one
    side and one man who sets the edge; `player`: those of that man."""
    edges = m.coded["edges"]
    short = (edges["exposure"] >= SHOWN_FROM) & (edges["short_edge"] >= SHORT)
    if player is not None:
        short &= edges["edge_man"] == m.player_ids.index(player)
    found = []
    for code in np.unique(edges["play"][short]).tolist():
        ready = m.game.play(m.play_ids[code])
        slot = {man.player: i for i, man in enumerate(ready.men)}
        seconds = seconds_of(ready.time)
        here = np.flatnonzero(short & (edges["play"] == code))
        frames = np.searchsorted(ready.time, edges["time"][here] - 1e-9)
        until = math.inf if math.isnan(ready.throw_time) else ready.throw_time + 1e-6
        for key in sorted({(int(edges["side"][row]), int(edges["edge_man"][row])) for row in here}):
            mine = (edges["side"][here] == key[0]) & (edges["edge_man"][here] == key[1])
            flags = np.zeros(len(ready.time), bool)
            flags[frames[mine & (edges["time"][here] <= until)]] = True
            side, man = ("left", "right")[key[0]], m.player_ids[key[1]]
            for start, end in stretches(flags):
                path = ready.place[start:end, slot[man]]
                found.append(Opening(ready.id, side, man, path, seconds[start:end]))
    return found


def spread(one: Opening, u: Vector, v: Vector) -> Vector:
    """Seconds a square yard on the grid: each frame's seconds, normally spread about where he stood."""
    wide = np.exp(-0.5 * ((u[None] - one.path[:, :1]) / SPREAD) ** 2)
    long = np.exp(-0.5 * ((v[None] - one.path[:, 1:]) / SPREAD) ** 2)
    seconds: Vector = (one.seconds[:, None] * long).T @ wide / (2 * math.pi * SPREAD**2)
    return seconds


def line_at_snap(measures: Sequence[Measures]) -> dict[str, Vector]:
    """Where the line stood at the snap, by medians."""
    stood: dict[str, list[Vector]] = {}
    for m in measures:
        for play in m.game.measured():
            ready = m.game.play(play)
            for man, at in zip(ready.men, ready.place[0], strict=True):
                if man.slot in LINE and not np.isnan(at[0]):
                    stood.setdefault(man.slot, []).append(at)
    return {slot: np.median(places, axis=0) for slot, places in stood.items()}
