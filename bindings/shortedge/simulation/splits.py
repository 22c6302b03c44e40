"""A check of the simulator, split: what reps of a kind came to, recorded and simulated, and how far apart both are."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from typing import Any

import numpy as np

from ..base.vocabulary import JUDGED
from ..measures.reps import Reps

Key = tuple[str, str, str]  # split, value, figure
Tally = dict[Key, list[float]]  # sum and count

OF_REPS = ("held", "driven", "beat", "inside_beats", "set_depth", "contact_time")
FIGURES = ("pressure", *OF_REPS)
CALLED = {
    "pressure": "pressure, of plays",
    "held": "held, of judged reps",
    "driven": "driven, of judged reps",
    "beat": "beat, of judged reps",
    "inside_beats": "inside, of beats",
    "set_depth": "set depth, yd",
    "contact_time": "contact, s",
}
SPLITS = ("all", "technique", "alignment", "depth", "protector")
BANDS = (6.0, 8.0, 10.0)  # yd, of drops
FEWEST = 5  # recorded, for a z
FAR = 2.0  # standard deviations


def band(depth: float) -> str:
    """Of a drop's depth."""
    if depth < BANDS[0]:
        return f"under {BANDS[0]:g} yd"
    for low, high in pairwise(BANDS):
        if depth < high:
            return f"{low:g} to {high:g} yd"
    return f"{BANDS[-1]:g} yd and more"


def tally(made: Reps, labels: Mapping[str, Mapping[str, str]], into: Tally) -> None:
    """Adds the reps and plays; labels: play to what its splits are."""

    def add(splits: Iterable[tuple[str, Any]], figure: str, value: float | None) -> None:
        if value is None or not math.isfinite(value):
            return
        for split, of in splits:
            if of:
                one = into[split, str(of), figure]
                one[0] += value
                one[1] += 1

    wanted = ["play", "protector", "technique", "outcome", "beat_side", "set_depth", "contact_time"]
    for rep in made.arrow("reps").select(wanted).to_pylist():
        if rep["play"] not in labels or not rep["protector"]:
            continue
        splits = [("all", "all"), *labels[rep["play"]].items()]
        splits += [("technique", rep["technique"]), ("protector", rep["protector"])]
        if rep["outcome"] in JUDGED:
            for outcome in ("held", "driven", "beat"):
                add(splits, outcome, float(rep["outcome"] == outcome))
            add(splits, "set_depth", rep["set_depth"])
            add(splits, "contact_time", rep["contact_time"])
        if rep["outcome"] == "beat" and rep["beat_side"] in ("inside", "outside"):
            add(splits, "inside_beats", float(rep["beat_side"] == "inside"))
    for row in made.arrow("dropbacks").select(["play", "pressure"]).to_pylist():
        if row["play"] in labels:
            add([("all", "all"), *labels[row["play"]].items()], "pressure", float(bool(row["pressure"])))


def new_tally() -> Tally:
    return defaultdict(lambda: [0.0, 0.0])


def split_rows(recorded: Tally, simulated: Sequence[Tally]) -> list[dict[str, Any]]:
    """A row a split, value and figure that the recording has. The draws play the whole game again each, so what they
    differ by is what chance does to the figure under the simulator; z is how many of its standard deviations the
    recording lies off; NaN: fewer than 5 recorded, or fewer than half of the draws have it."""
    rows = []
    for split, value, figure in sorted(recorded, key=lambda key: (SPLITS.index(key[0]), key[1], FIGURES.index(key[2]))):
        of, count = recorded[split, value, figure]
        drawn = [one[split, value, figure] for one in simulated if (split, value, figure) in one]
        each = np.array([total / n for total, n in drawn if n])
        enough = count >= FEWEST and len(each) >= max(2, len(simulated) / 2)
        middle = float(each.mean()) if len(each) else math.nan
        spread = float(each.std(ddof=1)) if len(each) > 1 else math.nan
        z = (of / count - middle) / spread if enough and spread > 0 else math.nan
        rows.append(
            {"split": split, "value": value, "figure": figure, "count": int(count), "recorded": of / count}
            | {"simulated": middle, "spread": spread, "z": z}
        )
    return rows


def brier(pressures: Sequence[tuple[bool, float]]) -> tuple[float, float]:
    """Mean squared miss of the simulated shares, and of one share for every play, the recording's own (Brier 1950)."""
    was = np.array([float(pressed) for pressed, _ in pressures])
    said = np.array([share for _, share in pressures])
    base = float(was.mean())
    return float(((said - was) ** 2).mean()), base * (1 - base)


def trust_text(rows: Sequence[Mapping[str, Any]], pressures: Sequence[tuple[bool, float]]) -> str:
    """Where to trust the simulator on this game, in words."""
    whole = {row["figure"]: row["z"] for row in rows if row["split"] == "all" and math.isfinite(row["z"])}
    near = [CALLED[name].split(",")[0] for name, z in whole.items() if abs(z) <= FAR]
    far = [f"{CALLED[name].split(',')[0]} ({z:+.1f})" for name, z in whole.items() if abs(z) > FAR]
    score, base = brier(pressures)
    better = "better than" if score < base else "no better than"
    return (
        f"Over the whole game it is within {FAR:g} standard deviations on {', '.join(near) or 'nothing'}; "
        f"off on {', '.join(far) or 'nothing'} (recorded less simulated, in standard deviations). "
        f"Play by play its shares of pressure score {score:.3f} (Brier, 0 is best), {better} this game's base rate "
        f"for every play, {base:.3f}. Where it is off, take no level from it. Whether a deeper drop or another "
        "front is harder is another question: HOW_RIGHT.md (core/simulate) says where it can be trusted on that."
    )
