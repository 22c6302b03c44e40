"""Learns the table of the bands that noise pushes one way, and writes core/measure/carried_table.inc.

    nice .venv/bin/python tests/band_table.py              # minutes; then build again
    .venv/bin/python tests/band_table.py --sigma 0.12      # only says what it finds at one sigma, and writes nothing

Learnt on games of the demo's script from seeds of their own (SEEDS): their true places are measured, noise is laid on
(AR(1), 0.7 s), they are measured again with the bands of the draws alone, and of each figure the 3 % and 97 %
quantiles of (true - recorded) / width are taken. Judged elsewhere: tests/coverage.py, on scripts of other hands.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import numpy as np
import pandas as pd

sys.path[0] = str(Path(__file__).parent / "python")  # not this folder: it would hide a package of this file's name
import covered  # noqa: E402
import shortedge as se  # noqa: E402
import truth  # noqa: E402
from conftest import KEYS  # noqa: E402
from shortedge import _core  # noqa: E402

OUT = Path(__file__).parents[1] / "core" / "measure" / "carried_table.inc"
SIGMAS = (0.05, 0.08, 0.12, 0.18, 0.25)  # carried_sigmas of core/measure/carried.hpp
SEEDS = (901, 902, 903)
PLAYS, DRAWS = 60, 60
LOW, HIGH = 0.03, 0.97
BOUNDS = {  # table, figure: least, greatest, made of speeds, most sigma with a band
    ("frames", "exposure_inside"): (0, 1, True, None),
    ("rushers", "approach_angle"): (0, 180, True, None),
    ("rushers", "closest"): (0, None, True, 0.15),
    ("rushers", "closest_in"): (0, None, True, 0.1),
    ("rushers", "cutoff_ratio"): (0, None, False, None),
    ("rushers", "slack"): (0, None, False, None),
    ("reps", "peak_outside"): (0, 1, True, None),
    ("reps", "peak_inside"): (0, 1, True, None),
    ("reps", "peak_cutoff_ratio"): (0, None, False, 0.2),
    ("reps", "nearest_rusher_min"): (0, None, False, 0.2),
    ("reps", "foot_speed"): (0, None, True, 0.1),
}


def shares(case: truth.Case, sigma: float, seed: int, draws: int = DRAWS) -> dict[tuple[str, str], np.ndarray]:
    """Of each figure (true - recorded) / width, a number a row whose band has a width."""
    true_game, game = case.game(), truth.noisy(case, sigma, seed).game()
    true, seen = se.measure(true_game), se.measure(game)
    given = (game.core, seen.rules, sigma, draws, 1000 + seed, 1, None, False)
    bands = {title.removesuffix("_bands"): pd.DataFrame(dict(table)) for title, table in _core.bands(*given).items()}
    bands |= {title.removesuffix("_bands"): pd.DataFrame(dict(t)) for title, t in _core.rep_bands(*given).items()}
    tables = {title: (getattr(true, title), getattr(seen, title), keys) for title, keys in KEYS.items()}
    both_reps = (covered.numbered(se.reps(true_game).table), covered.numbered(se.reps(game, seen).table))
    tables["reps"] = (*both_reps, covered.REP_KEYS)
    found = {}
    for table, column in BOUNDS:
        truly, recorded, keys = tables[table]
        rows = recorded[[*keys, column]].assign(width=bands[table][f"{column}_high"] - bands[table][f"{column}_low"])
        rows = rows.merge(truly[[*keys, column]], on=keys, suffixes=("", "_true"), validate="1:1")
        share = ((rows[f"{column}_true"] - rows[column]) / rows["width"].where(rows["width"] > 0)).to_numpy(float)
        found[table, column] = share[np.isfinite(share)]
    return found


def learn(sigma: float, plays: int = PLAYS, draws: int = DRAWS) -> dict[tuple[str, str], tuple[float, float, int]]:
    """A, B and the rows they rest on, by table and figure."""
    parts = [shares(truth.seeded(seed, plays, clean=True), sigma, 1, draws) for seed in SEEDS]
    learnt = {}
    for key in BOUNDS:
        all_of_it = np.concatenate([part[key] for part in parts])
        low, high = np.quantile(all_of_it, (LOW, HIGH))
        learnt[key] = (float(low), float(high), len(all_of_it))
    return learnt


def line(key: tuple[str, str], ends: list[tuple[float, float, int]]) -> str:
    least, greatest, of_speed, most = BOUNDS[key]
    written = ", ".join(f"{{{low:.3f}, {high:.3f}}}" for low, high, _ in ends)
    return (
        f'CarriedFigure{{"{key[0]}", "{key[1]}", {least}, {"always" if greatest is None else greatest}, '
        f"{str(of_speed).lower()}, {'always' if most is None else most},\n              {{{{{written}}}}}}},"
    )


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sigma", type=float, help="only say what is found at this sigma")
    parser.add_argument("--plays", type=int, default=PLAYS, help=f"plays a game ({PLAYS})")
    parser.add_argument("--draws", type=int, default=DRAWS, help=f"draws a band ({DRAWS})")
    given = parser.parse_args()
    learnt = {}
    for sigma in (given.sigma,) if given.sigma else SIGMAS:
        learnt[sigma] = learn(sigma, given.plays, given.draws)
        for (table, column), (low, high, rows) in learnt[sigma].items():
            print(f"{sigma:.2f} yd  {table}.{column}".ljust(40) + f"{low:8.3f}{high:8.3f}{rows:9d} rows", flush=True)
    if given.sigma:
        return 0
    lines = [line(key, [learnt[sigma][key] for sigma in SIGMAS]) for key in BOUNDS]
    head = "// Made by tests/band_table.py: do not edit. {A, B} of each sigma of carried_sigmas.\n"
    OUT.write_text(head + "\n".join(lines) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
