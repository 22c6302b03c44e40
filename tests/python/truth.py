"""Reps judged against a truth that was written down when the game was made.

A truth table has one row a man and rusher: play, protector, rusher, start_s (when they met) to end_s (the pass-off, or
the end of the reps), outcome, side and beat_s of a beat, throw_s, note. Not judged are rows noted "untouched" (passed
off before they met) and "late" (the beat begins less than 0.2 s before the throw, or after it), nor plays without
rows (screens, moved pockets).

The games: the demo game, a foreign game from another script, and new games from the demo's script and from a second
script (second_script.py). Each can be made worse: time-correlated noise on every place, fewer samples a second. Used by
test_truth.py, tests/confusion.py and tests/who.py.
"""

from __future__ import annotations

import importlib.util
import sys
import tomllib
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pandas as pd

import second_script
import shortedge as se
from conftest import Tables

ROOT = Path(__file__).resolve().parents[2]
ONE_ON_ONE = ("held", "beat", "driven")
NOISE_TIME = 0.7  # s, correlation time of the noise
LIMITS = {  # what is promised up to 0.12 yd of noise; shares at least, the others at most
    "right": 0.98,
    "right in stunts": 0.85,
    "side": 0.95,
    "man": 0.95,
    "beat time": 0.2,
    "unknown": 0.03,
}


@dataclass(frozen=True)
class Case:
    """A game's tables, how they are to be read, and its truth. noise: correlated noise it comes with, yd per axis."""

    name: str
    tables: Tables
    how: dict[str, Any]
    truth: pd.DataFrame
    noise: float = 0.0

    def game(self) -> se.Game:
        return se.from_tables(*self.tables, **self.how)

    def judged(self) -> Judged:
        return judge(self.game(), self.truth)


def demo() -> Case:
    folder = ROOT / "data" / "demo_game"
    made = case("demo game", folder, folder / "map.toml", folder / "truth.csv")
    return replace(made, noise=make_demo().NOISE)


def foreign() -> Case:
    folder = ROOT / "tests" / "data"
    return case("foreign game", folder, folder / "foreign_map.toml", folder / "foreign_truth.csv.gz")


def case(name: str, folder: Path, map_file: Path, truth: Path) -> Case:
    how = tomllib.loads(map_file.read_text(encoding="utf-8"))
    files = how.pop("files")
    tables = tuple(pd.read_csv(folder / files[table]) for table in ("tracks", "snaps", "people"))
    return Case(name, tables, how, as_truth(pd.read_csv(truth)))


def seeded(seed: int, plays: int, *, clean: bool = False) -> Case:
    """A new game from the demo game's script. clean: every place where the man truly was, without noise."""
    made = make_demo().make(seed=seed, plays=plays)
    tracks = pd.DataFrame(made.tracks, columns=["play", "player", "time", "x", "y"])
    if clean:
        tracks[["x", "y"]] = made.clean
    truth = pd.DataFrame(made.truth)
    numbers = ["start_s", "end_s", "beat_s", "throw_s"]
    truth[numbers] = truth[numbers].apply(pd.to_numeric)
    snaps = pd.DataFrame(made.snaps)
    snaps["throw_time"] = pd.to_numeric(snaps["throw_time"])
    how = {"units": "yd", "origin": "corner", "y": "up", "name": f"seed {seed}"}
    noise = 0.0 if clean else make_demo().NOISE
    return Case(f"demo script, seed {seed}", (tracks, snaps, pd.DataFrame(made.people)), how, as_truth(truth), noise)


def second(seed: int, plays: int) -> Case:
    """A new game from the second script, without noise."""
    tracks, snaps, people, told = second_script.make_game(seed, plays)
    told = told.rename(columns={"to": "end_s", "beat_time": "beat_s", "throw_time": "throw_s"})
    told["start_s"] = told["met"].fillna(told["from"])
    apart = told["outcome"] == "none"  # he had him and passed him off before they met
    told["note"] = told["note"].where(~apart, told["note"] + ", untouched")
    told["outcome"] = told["outcome"].where(~apart, "held")
    how = second_script.HOW | {"name": f"second script, seed {seed}"}
    return Case(f"second script, seed {seed}", (tracks, snaps, people), how, as_truth(told))


def make_demo() -> ModuleType:
    if "make_demo" not in sys.modules:
        spec = importlib.util.spec_from_file_location("make_demo", ROOT / "data" / "make_demo.py")
        assert spec is not None
        assert spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        sys.modules["make_demo"] = module
        spec.loader.exec_module(module)
    return sys.modules["make_demo"]


def as_truth(table: pd.DataFrame) -> pd.DataFrame:
    """Texts as texts, "" for none."""
    text = ["play", "protector", "rusher", "outcome", "side", "note"]
    return table.assign(**{name: table[name].fillna("").astype(str) for name in text})


# ------------------------------------------------------------------------------------------------- worse games


def noisy(good: Case, sigma: float, seed: int = 1) -> Case:
    """The same game with AR(1) noise of `sigma` yd per axis in all on every place: what it has counts."""
    assert sigma > good.noise
    tracks, snaps, people = good.tables
    ours = good.how.get("columns", {}).get("tracks", {})
    play, player, time, x, y = (ours.get(name, name) for name in ("play", "player", "time", "x", "y"))
    tracks = tracks.sort_values([play, player, time], ignore_index=True)
    rng = np.random.default_rng(seed)
    new = rng.standard_normal((len(tracks), 2)) * np.sqrt(sigma**2 - good.noise**2)
    man = tracks.groupby([play, player], sort=False)
    number = man.cumcount().to_numpy()
    keep = np.exp(-man[time].diff().to_numpy() / NOISE_TIME)
    for n in range(1, number.max() + 1):  # the n-th sample of every man in every play
        rows = np.flatnonzero(number == n)
        old = keep[rows, None]
        new[rows] = old * new[rows - 1] + np.sqrt(1 - old * old) * new[rows]
    tracks[[x, y]] += new * {"yd": 1.0, "m": 0.9144, "ft": 3.0}[good.how["units"]]
    return replace(good, name=f"{good.name}, {sigma:.2f} yd noise", tables=(tracks, snaps, people), noise=sigma)


def thinned(good: Case, rate: int) -> Case:
    """The same game at `rate` samples a second, which the samples' times must hold."""
    tracks, snaps, people = good.tables
    ours = good.how.get("columns", {}).get("tracks", {})
    play, time = ours.get("play", "play"), ours.get("time", "time")
    step = (tracks[time] - tracks.groupby(play)[time].transform("min")) * rate
    kept = tracks[(step - step.round()).abs() < 1e-6]
    assert np.isclose(kept[time].drop_duplicates().sort_values().diff().min(), 1 / rate)
    return replace(good, name=f"{good.name}, {rate} Hz", tables=(kept, snaps, people))


# ----------------------------------------------------------------------------------------------------- judging


@dataclass(frozen=True)
class Judged:
    """What came out. rows: one a judged row of truth, with `got`, `got_side`, `got_beat_s`, `frames` after contact and
    `frames_right` in which the table has the true man on the rusher; unknown: rep rows the truth has no row for;
    help: the truth's rows of help with `told`, whether the table says so; told_help: the table's, with `true`."""

    rows: pd.DataFrame
    reps: int
    unknown: pd.DataFrame
    help: pd.DataFrame
    told_help: pd.DataFrame

    @cached_property
    def figures(self) -> dict[str, float]:
        """Shares and the median error, named as in LIMITS; NaN of nothing."""
        rows = self.rows
        right, stunt = rows["got"] == rows["outcome"], rows["note"].str.contains("stunt")
        beats = rows[right & (rows["outcome"] == "beat")]
        return {
            "right": right[~stunt].mean(),
            "right in stunts": right[stunt].mean(),
            "side": (beats["side"] == beats["got_side"]).mean(),
            "man": rows["frames_right"].sum() / rows["frames"].sum(),
            "beat time": (beats["got_beat_s"] - beats["beat_s"]).abs().median(),
            "unknown": len(self.unknown) / self.reps,
            "help": self.help["told"].mean(),
            "told help": self.told_help["true"].mean() if len(self.help) else np.nan,  # a truth may leave help out
        }

    @property
    def wrong(self) -> pd.DataFrame:
        """The rows with another outcome or side than the truth."""
        rows = self.rows
        columns = ["play", "protector", "rusher", "outcome", "side", "beat_s", "throw_s", "note"]
        wrong = (rows["got"] != rows["outcome"]) | (rows["got_side"] != rows["side"])
        return rows.loc[wrong, [*columns, "got", "got_side", "got_beat_s"]]

    def confusion(self) -> pd.DataFrame:
        """True outcome down, found outcome across."""
        return pd.crosstab(self.rows["outcome"], self.rows["got"])

    def broken(self) -> dict[str, float]:
        """The figures that miss their limit."""
        at_most = ("beat time", "unknown")
        return {
            name: value
            for name, value in self.figures.items()
            if name in LIMITS
            and not np.isnan(value)
            and (value > LIMITS[name] if name in at_most else value < LIMITS[name])
        }


def judge(game: se.Game, truth: pd.DataFrame) -> Judged:
    game.library = "pandas"
    table = se.reps(game).table
    table = table.assign(**{name: table[name].fillna("") for name in ("protector", "rusher", "beat_side")})
    reps = table[table["outcome"].isin(ONE_ON_ONE)]
    unjudged = truth["note"].str.contains("late|untouched")
    judged = truth[truth["outcome"].isin((*ONE_ON_ONE, "free")) & ~unjudged]
    by_rusher = {key: rows for key, rows in table.groupby(["play", "rusher"])}
    times = {play: game.play(play).time for play in game.measured()}
    found = []
    for row in judged.itertuples():
        his = by_rusher.get((row.play, row.rusher), table.iloc[:0])
        mine = his[(his["protector"] == row.protector) & (his["outcome"] != "help")]
        if len(mine) > 1:  # several of one pair: the one that shares most time with the truth
            overlap = np.minimum(mine["end"], row.end_s) - np.maximum(mine["start"], row.start_s)
            mine = mine.loc[[overlap.idxmax()]]
        one = mine.iloc[0] if len(mine) else None
        frames = times[row.play]
        frames = frames[(frames >= row.start_s - 1e-6) & (frames <= row.end_s + 1e-6)] if row.protector else frames[:0]
        had = np.zeros(len(frames), bool)
        for start, end in zip(
            *(
                his.loc[(his["protector"] == row.protector) & his["outcome"].isin(ONE_ON_ONE), w]
                for w in ("start", "end")
            ),
            strict=True,
        ):
            had |= (frames >= start - 1e-6) & (frames <= end + 1e-6)
        found.append(
            {
                "got": "no row" if one is None else one["outcome"],
                "got_side": "" if one is None else one["beat_side"],
                "got_beat_s": np.nan if one is None else one["beat_time"],
                "frames": len(frames),
                "frames_right": int(had.sum()),
            }
        )
    known = truth.set_index(["play", "protector", "rusher"]).index
    reps = reps[reps["play"].isin(truth["play"])]
    unknown = reps[~reps.set_index(["play", "protector", "rusher"]).index.isin(known)]
    rows = pd.concat([judged.reset_index(drop=True), pd.DataFrame(found)], axis=1)
    keys = ["play", "protector", "rusher"]
    told, true = (one.loc[one["outcome"] == "help", keys] for one in (table, truth))
    told = told[told["play"].isin(truth["play"])]
    told = told.assign(true=told.set_index(keys).index.isin(true.set_index(keys).index))
    true = true.assign(told=true.set_index(keys).index.isin(told.set_index(keys).index))
    return Judged(rows, len(reps), unknown[[*keys, "start", "end", "outcome"]], true, told)
