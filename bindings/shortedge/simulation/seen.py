"""Recorded plays as they are given to be simulated again: who stood where, the drop, the throw, and who had whom."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from .. import _core
from .._core import InputError
from ..base.columns import Floats
from ..game.game import Game
from ..measures.reps import Reps
from .at_snap import recorded
from .check import depth_of, dropbacks_of, made_of
from .formations import Formation

NO_PAIR = "no protector and rusher are seen together to the throw"

CorePlay = tuple[_core.Formation, float, float, float, Floats, list[tuple[int, int, bool, int]], Floats]


@dataclass(frozen=True, eq=False)
class SeenPlay:
    """One recorded play. depth: yd, of the drop; top_time: s, when it topped, NaN where no top was seen; times: s after
    the snap, of its samples up to `until`, the throw or SUMMARY_END; places: (frames, men, 2), the passer, the
    protectors, the rushers, yd, NaN where a man is not there, but finite for the passer and all of `pairs`: protector,
    rusher, inside, side (-1 left, 1 right). A centre is in none: which of two had the man between them is seen only by
    what came of it."""

    play: str
    formation: Formation
    depth: float
    top_time: float
    until: float
    times: Floats
    places: Floats
    pairs: tuple[tuple[int, int, bool, int], ...]
    spots: Floats = field(default_factory=lambda: np.empty((0, 2)))

    @property
    def core(self) -> CorePlay:
        return self.formation.core, self.depth, self.top_time, self.until, self.times, list(self.pairs), self.spots

    @property
    def flat(self) -> Floats:
        return np.ascontiguousarray(self.places.reshape(-1, 2))


def seen_plays(
    game: Game, made: Reps, wanted: Sequence[str], without_label: Sequence[str]
) -> tuple[list[SeenPlay], dict[str, str]]:
    """The plays that can be simulated, and of the others the reason."""
    known = dropbacks_of(made)
    return made_of(game, known, wanted, without_label, lambda play, row: seen(game, play, made, row))


def seen(game: Game, play: str, made: Reps, row: Mapping[str, Any]) -> SeenPlay:
    """One play. InputError when it has no formation, or no pair that is seen to the throw."""
    f, shot = recorded(game, play, made), game.play(play)
    until = min(row["thrown"], _core.SUMMARY_END)
    frames = np.flatnonzero((shot.time >= -1e-6) & (shot.time <= until + 1e-6))
    column = {man.player: k for k, man in enumerate(shot.men)}
    names = [f.passer_name, *(one.name for one in f.protectors), *(one.name for one in f.rushers)]
    places = shot.place[frames][:, [column[name] for name in names]]
    whole = np.isfinite(places).reshape(len(frames), len(names), 2).min(axis=(0, 2))
    rushers, sides = {one.name: k for k, one in enumerate(f.rushers)}, f.sides
    pairs = tuple(
        (k, j, f.rushers[j].inside, sides[man.name])
        for k, man in enumerate(f.protectors)
        for j in [rushers.get(man.man, -1)]
        if j >= 0 and man.job != "chip" and man.slot != "C" and whole[1 + k] and whole[1 + len(f.protectors) + j]
    )
    if not (pairs and whole[0] and len(frames) > 3):
        raise InputError(NO_PAIR)
    times = np.ascontiguousarray(shot.time[frames], float)
    return SeenPlay(play, f, depth_of(row, f), row["top_time"], until, times, places, pairs)
