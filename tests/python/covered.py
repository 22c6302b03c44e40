"""Bands held against what is truly so: a game without noise is measured, and again with noise, with bands of it.

Used by test_noise.py and tests/coverage.py. Rows are the noisy game's that the true one has too.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

import shortedge as se
import truth
from conftest import KEYS

CLIPPED = ("exposure_left", "exposure_inside", "exposure_right", "exposure", "short_edge", "corner_held")
CLIPPED += ("outside_exposure", "inside_exposure")
NEAR = 1e-9  # of rounding; figures at a bound are equal to it or not


def covered(
    case: truth.Case, sigma: float, seeds: Sequence[int], draws: int = 100, *, with_reps: bool = True
) -> pd.DataFrame:
    """A row a figure: table, figure, kind (number, name), rows, share (of rows with the true number in the band, or
    with the true name), claimed (for names: the mean share of draws that agree)."""
    game = case.game()
    true = se.measure(game)
    true_reps = se.reps(game).table if with_reps else None
    found = []
    for seed in seeds:
        noisy = truth.noisy(case, sigma, seed).game()
        m = se.measure(noisy, noise=sigma, draws=draws, seed=1000 + seed)
        for table, keys in KEYS.items():
            found += judged(table, getattr(true, table), getattr(m, table), getattr(m.bands, table), keys)
        if true_reps is None:
            continue
        reps = se.reps(noisy, m)
        found += judged("reps", numbered(true_reps), numbered(reps.table), numbered(reps.bands.table), REP_KEYS)
    rows = pd.DataFrame(found, columns=["table", "figure", "kind", "rows", "hits", "agree"])
    table = rows.groupby(["table", "figure", "kind"], sort=False, as_index=False)[["rows", "hits", "agree"]].sum()
    table["share"], table["claimed"] = table["hits"] / table["rows"], table["agree"] / table["rows"]
    return table.drop(columns=["hits", "agree"])


REP_KEYS = ["play", "protector", "rusher", "spell"]


def numbered(reps: pd.DataFrame) -> pd.DataFrame:
    """Reps with the spells of each pair counted."""
    pairs = reps.fillna({"protector": "", "rusher": ""})
    return pairs.assign(spell=pairs.groupby(["play", "protector", "rusher"]).cumcount())


def judged(
    table: str, true: pd.DataFrame, seen: pd.DataFrame, bands: pd.DataFrame, keys: list[str]
) -> list[tuple[str, str, str, int, int, float]]:
    """Each figure's kind, rows, hits and sum of agreement."""
    bands = bands.drop(columns=[name for name in bands if name in seen and name not in keys])
    both = seen.merge(bands, on=keys, validate="1:1").merge(true, on=keys, suffixes=("", "_true"), validate="1:1")
    assert len(both) > 0.9 * len(seen), f"{table}: {len(both)} rows of {len(seen)}"
    out = []
    for name in seen:
        if f"{name}_low" in both:
            value, low, high = (both[f"{name}{end}"].to_numpy(float) for end in ("_true", "_low", "_high"))
            there = ~np.isnan(value) & ~np.isnan(low)
            hits = (value[there] >= low[there] - NEAR) & (value[there] <= high[there] + NEAR)
            out.append((table, name, "number", int(there.sum()), int(hits.sum()), np.nan))
        elif f"{name}_agree" in both:
            mine, his = both[name], both[f"{name}_true"]
            same = (mine == his) | (mine.isna() & his.isna())
            out.append((table, name, "name", len(both), int(same.sum()), float(both[f"{name}_agree"].sum())))
    return out
