"""How right a fit of the simulator is: python tests/fit.py [games] [--plays N] [--sets N] [--demo].

Simulated games of known assumptions, drawn anywhere in their ranges, are seen with noise, go through the door as tables
and are fitted. Printed: of each assumption how often its 90 % interval holds the truth, in held-out reference games
(simulation-based calibration: the ranks, too) and in the games themselves; how wide intervals are; and how often the
gate refuses games with the right noise and with another. --demo: what it says of the demo game, which is scripted.
"""

from __future__ import annotations

import argparse
import math
from typing import Any

import numpy as np
from known_games import drawn, known_game

import shortedge as se
from shortedge.measures.summary import wilson
from shortedge.simulation.fit import RANGES

SIGMA, OTHER = 0.08, (0.0, 0.16)  # yd an axis; games seen with SIGMA and fitted as if with another


def share(held: int, count: int) -> str:
    low, high = wilson(held, count)
    return f"{held}/{count} [{low:.2f}, {high:.2f}]" if count else "-"


def show(games: int, plays: int, sets: int, seed: int) -> None:
    rng = np.random.default_rng(seed)
    held, found = dict.fromkeys(RANGES, 0), dict.fromkeys(RANGES, 0)
    told = refused = 0
    reference = dict.fromkeys(RANGES, 0)
    checked, widths, uneven = 0, {name: [] for name in RANGES}, dict.fromkeys(RANGES, 0)
    for n in range(games):
        truth = drawn(rng)
        game = known_game(plays, truth, sigma=SIGMA, seed=1000 * seed + n)
        fit = se.fit_simulator(game, noise=SIGMA, sets=sets, seed=n + 1, progress=False)
        told += 1
        refused += bool(fit.refused)
        for row in fit.calibration_rows:
            reference[row["assumption"]] += round(row["held"] * row["games"])
            widths[row["assumption"]].append(row["half_width"])
            uneven[row["assumption"]] += not row["ranks_even"]
        checked += fit.calibration_rows[0]["games"]
        if fit.refused:
            continue
        for row in fit.rows:
            held[row["assumption"]] += row["low"] <= truth[row["assumption"]] <= row["high"]
            found[row["assumption"]] += row["found"]
    kept = told - refused
    print(f"{told} games of {plays} plays, {sets} sets, noise {SIGMA} yd; the gate refused {share(refused, told)}")
    print("assumption | half-width | held out: held | uneven ranks | games: held | found")
    for name in RANGES:
        print(
            f"{name} | {np.mean(widths[name]):.3f} | {share(reference[name], checked)} | {uneven[name]}/{told} | "
            f"{share(held[name], kept)} | {found[name]}/{kept}",
            flush=True,
        )
    every = sum(held.values())
    print(f"all | | {share(sum(reference.values()), checked * len(RANGES))} | | {share(every, kept * len(RANGES))}")


def gate(games: int, plays: int, sets: int, seed: int) -> None:
    rng = np.random.default_rng(seed + 1)
    for sigma in OTHER:
        refused = 0
        for n in range(games):
            game = known_game(plays, drawn(rng), sigma=SIGMA, seed=2000 * seed + n)
            refused += bool(se.fit_simulator(game, noise=sigma, sets=sets, seed=n + 1, progress=False).refused)
        print(f"seen with {SIGMA} yd, said to be {sigma} yd: the gate refused {share(refused, games)}", flush=True)


def scripted(sets: int) -> None:
    fit: Any = se.fit_simulator(se.example(), sets=sets)
    _, far, limit = fit.told
    print(f"demo game: distance {far:.1f}, limit {limit:.1f}, noise {fit.noise.sigma:.3f} yd; {fit.words()}")


if __name__ == "__main__":
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("games", nargs="?", type=int, default=20)
    asked.add_argument("--plays", type=int, default=64)
    asked.add_argument("--sets", type=int, default=300)
    asked.add_argument("--seed", type=int, default=4711)
    asked.add_argument("--demo", action="store_true")
    given = asked.parse_args()
    if given.demo:
        scripted(given.sets)
    else:
        show(given.games, given.plays, given.sets, given.seed)
        gate(math.ceil(given.games / 2), given.plays, given.sets, given.seed)
