"""Where short edges opened: the stretches, and where they lay over the play frame."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import numpy.typing as npt

from ..base.rows import slices, stretches
from ..base.vocabulary import LINE
from ..measures.reps import reps_of
from .labels import Vector
from .scene import check_current
from .words import NEAR, SHORT, SHOWN_FROM

if TYPE_CHECKING:
    from ..game.game import Play
    from ..measures.reps import Reps
    from ..measures.results import Measures

SPREAD = 0.6  # yd, standard deviation of the smoothing


class Opening(NamedTuple):
    """A stretch in which one man's edge was short: where he stood in each frame, and how long each frame counts."""

    play: str
    side: str
    man: str
    path: Vector  # (frames, 2)
    seconds: Vector  # (frames,)


def openings(m: Measures, player: str | None = None, reps: Reps | None = None) -> list[Opening]:
    """Every stretch of frames in which a man's edge was short: in his rep, his own rusher with an outside exposure of
    0.2 or more and a short edge of 0.5 yd or more, before he was beaten inside. The seconds of a man's openings in a
    rep add up to its short_edge_seconds: both are counted alike. `player`: those of that man. reps: of m, None: as
    measured."""
    check_current(m)
    made = replace(reps_of(m, reps), laid_over=())
    rows = [row for row in made.arrow("reps").to_pylist() if row["short_edge_seconds"] > 0]
    found = []
    for row in rows:
        if player is not None and row["protector"] != player:
            continue
        found += openings_of(m, row)
    return found


def short_frames(m: Measures, row: Mapping[str, Any]) -> tuple[dict[str, Any], npt.NDArray[np.bool_]]:
    """The rows of rushers of one rep's play, and which of them count as its short edge. `row`: of reps as measured."""
    rushers, names = m.coded["rushers"], {name: code for code, name in enumerate(m.player_ids)}
    at = slices(rushers["play"])[m.play_ids.index(row["play"])]
    his = {name: values[at] for name, values in rushers.items()}
    until = min(row["beat_time"] if row["beat_side"] == "inside" else math.inf, row["end"])
    short = (
        (his["rusher"] == names[row["rusher"]])
        & (his["blocker"] == names[row["protector"]])
        & (his["time"] >= row["start"] - NEAR)
        & (his["time"] < until - NEAR)
        & (his["outside_exposure"] >= SHOWN_FROM)
        & (his["short_edge"] >= SHORT)
    )
    return his, short


def openings_of(m: Measures, row: Mapping[str, Any]) -> list[Opening]:
    """Those of one rep, a row of reps as measured."""
    ready = m.game.play(row["play"])
    his, short = short_frames(m, row)
    flags = np.zeros(len(ready.time), bool)
    flags[np.searchsorted(ready.time, his["time"][short] - NEAR)] = True
    seconds = np.append(np.diff(ready.time), 0.0)
    slot = next(i for i, man in enumerate(ready.men) if man.player == row["protector"])
    out = ready.place[flags, slot, 0] - ready.place[flags, passer_of(ready), 0]
    side = "left" if np.median(out) < 0 else "right"
    return [
        Opening(ready.id, side, row["protector"], ready.place[start:end, slot], seconds[start:end])
        for start, end in stretches(flags)
    ]


def passer_of(ready: Play) -> int:
    return next(i for i, man in enumerate(ready.men) if man.role == "passer")


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
