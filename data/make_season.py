"""Make a season of drop-backs, for benchmarks and long tests: invented, large, and not kept in the repository.

    python data/make_season.py out/season                            # 20,000 plays x 22 players x 60 frames, Parquet
    python data/make_season.py out/season --plays 2000 --csv         # smaller, as CSV
    python data/make_season.py out/season --plays 2000 --shuffle     # rows of tracks in no order

Some plays are scripted as for the demo game (make_demo.py), with seeds of their own. Every play of the season is one of
them run again: mirrored or not, up to 5 % faster or slower, each man up to some tenths of a yard off his path, with new
noise, between two of 32 invented teams. There is no truth beside them. A second of stance, then 5 s from the snap, all
of them measured (end_time). The same arguments give the same tables.
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Iterator
from pathlib import Path

import make_demo as demo
import numpy as np
import pyarrow as pa
from pyarrow import csv, parquet

SEED = 70707
PLAYS = 20_000
FRAMES = 60
BEFORE = 10  # frames of stance
TEAMS = 32
SCRIPTS = 60
BLOCK = 500  # plays made at a time
SCHEMA = pa.schema(
    [
        ("play", pa.dictionary(pa.int32(), pa.string())),
        ("player", pa.dictionary(pa.int32(), pa.string())),
        ("time", pa.float64()),
        ("x", pa.float64()),
        ("y", pa.float64()),
    ]
)
MEN = (*demo.OFFENCE, *demo.DEFENCE)


class Scripts:
    """The scripted plays: paths on one grid of times, from the demo's stance on."""

    def __init__(self, rng: np.random.RandomState, count: int) -> None:
        drawn = [demo.draw(rng, scenario, passer) for scenario, passer in demo.deal(rng, count)]
        steps = max(len(script.t) for script in drawn)
        self.start = float(drawn[0].t[0])
        self.throw = np.array([script.throw if script.thrown else np.nan for script in drawn])
        self.label = [script.label for script in drawn]
        self.paths = np.empty((count, len(MEN), steps, 2), np.float32)
        for path, script in zip(self.paths, drawn, strict=True):
            for man, name in enumerate(MEN):
                path[man, : len(script.t)] = script.at[name]
                path[man, len(script.t) :] = script.at[name][-1]


def player(team: int, man: int) -> str:
    return f"T{team:02d}-{demo.NUMBERS[man]}"


def people() -> pa.Table:
    positions = [role if role in demo.LINE or role in ("QB", "RB", "TE") else demo.POSITION[role[0]] for role in MEN]
    return pa.table(
        {
            "player": [player(team, man) for team in range(TEAMS) for man in range(len(MEN))],
            "unit": ["offense" if man < 11 else "defense" for man in range(len(MEN))] * TEAMS,
            "position": positions * TEAMS,
            "team": [f"Team {team:02d} (invented)" for team in range(TEAMS) for _ in MEN],
        }
    )


def blocks(
    scripts: Scripts, rng: np.random.RandomState, plays: int, by_time: bool
) -> Iterator[tuple[pa.Table, pa.Table]]:
    """Tracks and snaps, some plays at a time."""
    names = pa.array([player(team, man) for team in range(TEAMS) for man in range(len(MEN))])
    twins = np.array([MEN.index(demo.OTHER_SIDE.get(name, name)) for name in MEN])
    keep = math.exp(-1 / (demo.RATE * demo.NOISE_TIME))
    clock = 0.0
    for first in range(0, plays, BLOCK):
        n = min(BLOCK, plays - first)
        script = rng.randint(len(scripts.throw), size=n)
        mirror = rng.randint(2, size=n) * 2 - 1
        pace = rng.uniform(0.95, 1.05, n)
        offence = rng.randint(TEAMS, size=n)
        defence = (offence + rng.randint(1, TEAMS, size=n)) % TEAMS
        ball = np.round(np.stack([rng.uniform(20, 100, n), 160 / 6 + 18.5 / 6 * rng.randint(-1, 2, n)], axis=1), 3)
        direction = rng.randint(2, size=n) * 2 - 1
        snap = np.round(clock + np.cumsum(rng.uniform(25, 40, n)), 1)
        clock = snap[-1]

        since = (np.arange(FRAMES) - BEFORE) / demo.RATE
        at = (pace[:, None] * since - scripts.start) / demo.STEP
        at = np.clip(at, 0, scripts.paths.shape[2] - 1.001)
        low, share = at.astype(int), (at % 1)[:, None, :, None]
        who = np.arange(len(MEN))[None, :, None]
        picked = script[:, None, None]
        uv = (1 - share) * scripts.paths[picked, who, low[:, None]] + share * scripts.paths[
            picked, who, low[:, None] + 1
        ]
        off = rng.standard_normal((n, len(MEN), 1, 2)) * 0.1
        uv += off * np.clip(since / 1.5, 0.3, 1)[:, None]
        uv[..., 0] *= mirror[:, None, None]
        noise = rng.standard_normal(uv.shape) * demo.NOISE
        for frame in range(1, FRAMES):
            noise[:, :, frame] = keep * noise[:, :, frame - 1] + math.sqrt(1 - keep * keep) * noise[:, :, frame]
        uv += noise
        x = ball[:, 0, None, None] - direction[:, None, None] * uv[..., 1]
        y = ball[:, 1, None, None] - direction[:, None, None] * uv[..., 0]
        man = np.where(mirror[:, None] > 0, np.arange(len(MEN)), twins)
        code = np.where(np.arange(len(MEN)) < 11, offence[:, None], defence[:, None]) * len(MEN) + man
        whole = (n, len(MEN), FRAMES)
        columns = {
            "play": np.broadcast_to(np.arange(n, dtype=np.int32)[:, None, None], whole),
            "player": np.broadcast_to(code.astype(np.int32)[..., None], whole),
            "time": np.broadcast_to(np.round(snap[:, None, None] + since, 2), whole),
            "x": np.round(x, 3),
            "y": np.round(y, 3),
        }
        flat = {name: (v.swapaxes(1, 2) if by_time else v).reshape(-1) for name, v in columns.items()}
        ids = pa.array([f"P{first + k:05d}" for k in range(n)])
        flat["play"] = pa.DictionaryArray.from_arrays(flat["play"], ids)
        flat["player"] = pa.DictionaryArray.from_arrays(flat["player"], names)
        throw = np.round(snap + scripts.throw[script] / pace, 2)
        snaps = {
            "play": ids,
            "ball_x": ball[:, 0],
            "ball_y": ball[:, 1],
            "direction": direction,
            "snap_time": snap,
            "throw_time": pa.array(throw, mask=np.isnan(throw)),
            "end_time": np.round(snap + (FRAMES - 1 - BEFORE) / demo.RATE, 2),
            "label": pa.array([scripts.label[k] or None for k in script], pa.string()),
        }
        yield pa.table(flat, SCHEMA), pa.table(snaps)


def shuffled(tables: list[pa.Table], rng: np.random.RandomState) -> pa.Table:
    whole = pa.concat_tables(tables).unify_dictionaries()
    return whole.take(pa.array(rng.permutation(whole.num_rows)))


def make(
    out: Path,
    plays: int = PLAYS,
    seed: int = SEED,
    as_csv: bool = False,
    shuffle: bool = False,
    by_time: bool = False,
    scripts: int = SCRIPTS,
) -> int:
    """Writes tracks, snaps and people into a folder; returns how many rows tracks has."""
    out.mkdir(parents=True, exist_ok=True)
    rng = np.random.RandomState(seed)
    made = blocks(Scripts(rng, scripts), rng, plays, by_time)
    end = "csv" if as_csv else "parquet"
    write = csv.write_csv if as_csv else parquet.write_table
    kinds = pa.schema([(f.name, pa.string() if pa.types.is_dictionary(f.type) else f.type) for f in SCHEMA])
    path = out / f"tracks.{end}"
    writer = csv.CSVWriter(path, kinds) if as_csv else parquet.ParquetWriter(path, SCHEMA, store_schema=False)
    rows, snaps, kept = 0, [], []
    with writer:
        for tracks, of_block in made:
            rows += tracks.num_rows
            snaps.append(of_block)
            if shuffle:
                kept.append(tracks)
            else:
                writer.write_table(tracks.cast(kinds) if as_csv else tracks)
        if shuffle:
            whole = shuffled(kept, rng)
            writer.write_table(whole.cast(kinds) if as_csv else whole)
    write(pa.concat_tables(snaps), out / f"snaps.{end}")
    write(people(), out / f"people.{end}")
    (out / "map.toml").write_text('name = "season (invented)"\nunits = "yd"\norigin = "corner"\ny = "up"\n')
    return rows


def main() -> None:
    parser = argparse.ArgumentParser(description="Make an invented season of drop-backs.")
    parser.add_argument("out", type=Path)
    parser.add_argument("--plays", type=int, default=PLAYS)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--scripts", type=int, default=SCRIPTS, help="how many plays are scripted anew")
    parser.add_argument("--csv", action="store_true", help="CSV instead of Parquet")
    parser.add_argument("--shuffle", action="store_true", help="rows of tracks in no order")
    parser.add_argument("--by-time", action="store_true", help="a play's rows by time, then player")
    given = parser.parse_args()
    rows = make(given.out, given.plays, given.seed, given.csv, given.shuffle, given.by_time, given.scripts)
    print(f"{given.out}: {given.plays} plays, {rows} rows of tracks")


if __name__ == "__main__":
    main()
