"""Noise of position: what bands are made with."""

from __future__ import annotations

import math
from dataclasses import astuple, dataclass
from typing import cast

import numpy as np

from .. import _core
from .._core import InputError
from ..base.text import shown
from ..game.game import Game

MOST_SEED = 2**63 - 1
OF_TRACKS = "the tracks' own"


@dataclass(frozen=True)
class Noise:
    """The noise of position that bands were made with. found: how sigma was come by."""

    sigma: float  # yd per axis
    draws: int
    seed: int
    found: str = "stated"

    @property
    def of_tracks(self) -> bool:
        """Whether errors were the tracks' own; sigma is then their median."""
        return self.found.startswith(OF_TRACKS)


def noise_of(game: Game | None, noise: object, draws: object, seed: object) -> Noise | None:
    """The noise that is asked for. InputError when it makes no sense or cannot be estimated, as without a game."""
    for name, value, least, most in (("draws", draws, 2, 2000), ("seed", seed, 0, MOST_SEED)):
        if not isinstance(value, int | np.integer) or isinstance(value, bool) or not least <= value <= most:
            raise InputError(f"{name} is {shown(value)}; accepted: a whole number from {least} to {most}")
    if noise is None:
        return None
    many, first = int(cast(int, draws)), int(cast(int, seed))
    if game and isinstance(noise, str) and noise == "auto":
        sigma, stances = _core.estimate_noise(game.core)
        return Noise(sigma, many, first, f"estimated from {stances} stances of linemen before the snap")
    if game and isinstance(noise, str) and noise == "tracks":
        tracks = game.core.tracks
        if "sd_x" not in tracks:
            raise InputError('noise is "tracks", which have no sd_x, sd_y; accepted: tracks with them, or a number')
        sigma = float(np.sqrt(np.nanmedian((tracks["sd_x"] ** 2 + tracks["sd_y"] ** 2) / 2)))
        return Noise(sigma, many, first, f"{OF_TRACKS}, at the median")
    if isinstance(noise, bool) or not isinstance(noise, int | float | np.integer | np.floating):
        auto = '"auto", "tracks", ' if game else ""
        raise InputError(f"noise is {shown(noise)}; accepted: yd per axis, {auto}None")
    if not (noise >= 0 and math.isfinite(noise)):
        raise InputError(f"noise is {noise}; accepted: yd per axis, 0 or more")
    return Noise(float(noise), many, first)


def as_kept(noise: Noise | None) -> tuple[float, int, int, str] | None:
    """Noise as the compiled side takes it."""
    return cast(tuple[float, int, int, str], astuple(noise)) if noise else None
