"""Simulated games of known assumptions, seen with noise: what a fit of the simulator must find again."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

import shortedge as se
from shortedge.simulation.as_game import Take, game_of
from shortedge.simulation.fit import RANGES
from shortedge.simulation.plan import Plan

MEMORY = 0.7  # s, correlation time of the noise, as core/measure/noise.hpp has it
RATE = 10.0
SPOTS = 0.15  # yd: no man lines up twice on the same spot
WIDE = "wide L, 3 L, 1 R, wide R"
FRONTS = (
    se.formation(),
    se.formation(passer="gun"),
    se.formation(front=WIDE, width=3.0),
    se.formation(front="wide L, 3 L, 1 R, 3 R, wide R"),
)
DEPTHS = (7.0, 8.0, 9.0, 10.0)


def drawn(rng: np.random.Generator) -> dict[str, float]:
    """Assumptions anywhere in their ranges."""
    return {name: float(rng.uniform(*ends)) for name, ends in RANGES.items()}


def seen_with(place: Any, time: Any, sigma: float, rng: np.random.Generator) -> Any:
    """Places (frames, men, 2) with first-order autoregressive noise of that size."""
    error = sigma * rng.standard_normal(place.shape)
    for k in range(1, len(time)):
        keep = np.exp(-(time[k] - time[k - 1]) / MEMORY)
        error[k] = keep * error[k - 1] + np.sqrt(1 - keep**2) * error[k]
    return place + error


def lined_up(f: Any, rng: np.random.Generator) -> Any:
    """The same formation on other spots."""

    def moved(man: Any) -> Any:
        return replace(man, at=tuple(np.asarray(man.at) + SPOTS * rng.standard_normal(2)))

    return replace(f, protectors=tuple(map(moved, f.protectors)), rushers=tuple(map(moved, f.rushers)))


def known_game(plays: int, truth: dict[str, float], *, sigma: float, seed: int) -> se.Game:
    """Plays of four fronts and four depths in turn, thrown by the clock, as the simulator has them; sigma: yd an axis.
    Where a man lines up is part of the play."""
    rng, takes = np.random.default_rng(seed), []
    assumed = se.Assumptions(**{"spread_across": 0.0, "spread_along": 0.0, **truth})
    for n in range(plays):
        f = lined_up(FRONTS[n % len(FRONTS)], rng)
        depth = DEPTHS[n // len(FRONTS) % len(DEPTHS)]
        rep: Any = dict(Plan(f, assumed, seed=seed).rep("clock", depth, n, RATE))
        rep["place"] = seen_with(rep["place"], rep["time"], sigma, rng)
        takes.append(Take(f"P{n:03}", f, rep))
    return game_of(takes, "simulated (invented)")
