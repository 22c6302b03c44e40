"""Where men may truly have stood at the snap, of plays seen with noise."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ..base.columns import Floats
from .seen import SeenPlay

DRAWS = 64  # of where everybody may have stood, a play
STEPS = 400  # of EM


def with_spots(plays: Sequence[SeenPlay], sigma: float, seed: int) -> list[SeenPlay]:
    """The plays, each with draws of where its men may have stood, sigma yd an axis being the noise of one sample.

    A recorded spot is the true spot plus an error. Simulated from recorded spots, or from recorded spots with errors
    added once more, men would line up more unevenly than they did, and so would differ more from play to play. So the
    distribution of true spots is found first, separately for the passer, each place in the line, and rushers inside
    and outside: the likeliest one, of any shape, given the recorded spots (Kiefer and Wolfowitz 1956; by EM, Laird
    1978). Each man's spot is then drawn from that distribution, given his recorded one.
    """
    if sigma == 0:
        return list(plays)
    rng = np.random.default_rng(seed)
    spots = [np.empty((DRAWS, 1 + len(one.formation.protectors) + len(one.formation.rushers), 2)) for one in plays]
    pools: dict[str, list[tuple[int, int]]] = {}
    recorded: dict[tuple[int, int], tuple[float, float]] = {}
    for k, one in enumerate(plays):
        f = one.formation
        men = [("passer", f.passer), *((man.slot or "no slot", man.at) for man in f.protectors)]
        for m, (pool, at) in enumerate([*men, *(("inside" if man.inside else "outside", man.at) for man in f.rushers)]):
            pools.setdefault(pool, []).append((k, m))
            recorded[k, m] = at
    for men_of in pools.values():
        places = np.array([recorded[one] for one in men_of], float)
        chance = likely_spots(places, sigma)
        for row, (k, m) in enumerate(men_of):
            spots[k][:, m] = places[rng.choice(len(places), size=DRAWS, p=chance[row])]
    return [replace(one, spots=drawn.reshape(-1, 2)) for one, drawn in zip(plays, spots, strict=True)]


def likely_spots(at: Floats, sigma: float) -> Floats:
    """(men, spots): how likely each man's true spot is each of the recorded ones."""
    apart = ((at[:, None] - at[None]) ** 2).sum(axis=2)
    likely = np.exp(-apart / (2 * sigma**2))
    weight = np.full(len(at), 1 / len(at))
    for _ in range(STEPS):
        joint = likely * weight
        weight = (joint / joint.sum(axis=1, keepdims=True)).mean(axis=0)
    joint = likely * weight
    return np.asarray(joint / joint.sum(axis=1, keepdims=True))
