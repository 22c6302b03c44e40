"""What must not change the figures: the side of the field, the frame and unit of the input, order of rows, threads.

Everything in these games lies on a grid of 2^-10 yd, so that moving and turning a play about its ball is exact; then
the figures must be the same to the bit. Where a change of unit or a mirror rounds, 1e-9.
"""

from collections.abc import Callable
from functools import cache

import numpy as np
import pandas as pd
import pytest

import odd_games
import shortedge as se
from conftest import Tables, differing, ordered, taken

SEEDS = (2, 3, 7, 13, 17, 22, 24, 26)
NAMES = ("frames", "edges", "rushers")
NEAR = 1e-9
GRID = 1024
SWAP = {"LT": "RT", "LG": "RG", "RG": "LG", "RT": "LT"}


@cache
def on_grid(seed: int) -> Tables:
    tracks, snaps, people = odd_games.odd_game(seed)
    for table, columns in ((tracks, ["x", "y", "vx", "vy"]), (snaps, ["ball_x", "ball_y"])):
        for name in set(columns) & set(table.columns):
            table[name] = np.round(table[name] * GRID) / GRID
    return tracks, snaps, people


def results(tables: Tables, **frame: str) -> dict[str, pd.DataFrame]:
    measured = se.measure(taken(tables, **frame))
    return {name: ordered(getattr(measured, name), name) for name in NAMES}


def same(tables: dict[str, pd.DataFrame], others: dict[str, pd.DataFrame], near: float) -> None:
    for name in NAMES:
        assert len(tables[name]) == len(others[name]) > 0
        assert differing(tables[name], others[name], tables[name].columns, {}, near) == [], name


def moved(game: Tables, change: Callable[[pd.DataFrame, str, str], None]) -> Tables:
    """The game with `change(table, x, y)` applied in place to tracks, with each play's ball beside them, and snaps."""
    tracks, snaps, people = (table.copy() for table in game)
    tracks = tracks.merge(snaps[["play", "ball_x", "ball_y"]], on="play", how="left")
    change(tracks, "x", "y")
    change(snaps, "ball_x", "ball_y")
    return tracks.drop(columns=["ball_x", "ball_y"]), snaps, people


def shift(table: pd.DataFrame, x: str, y: str) -> None:
    """Along and across."""
    table[x] += 7.25
    table[y] -= 3.5


def turn(table: pd.DataFrame, x: str, y: str) -> None:
    """Half round about the ball, the offence attacking the other goal."""
    table[x] = 2 * table["ball_x"] - table[x]
    table[y] = 2 * table["ball_y"] - table[y]
    for speed in {"vx", "vy"} & set(table.columns):
        table[speed] *= -1
    if "direction" in table:
        table["direction"] *= -1


def mirror_of(game: Tables) -> Tables:
    """Left and right swapped, with the labels."""

    def mirror(table: pd.DataFrame, _: str, y: str) -> None:
        table[y] = 2 * table["ball_y"] - table[y]
        if "vy" in table:
            table["vy"] *= -1

    tracks, snaps, people = moved(game, mirror)
    return tracks, snaps, people.assign(position=people["position"].replace(SWAP))


@pytest.mark.parametrize("seed", [*SEEDS[:4], *(pytest.param(seed, marks=pytest.mark.full) for seed in SEEDS[4:])])
def test_moved_along_and_across(seed: int) -> None:
    game = on_grid(seed)
    same(results(moved(game, shift)), results(game), near=0)


@pytest.mark.parametrize("seed", SEEDS)
def test_direction_of_play_turned(seed: int) -> None:
    game = on_grid(seed)
    same(results(moved(game, turn)), results(game), near=0)


@pytest.mark.parametrize("seed", SEEDS)
def test_mirrored(seed: int) -> None:
    """Left and right swapped, with the labels: every figure of the left is then the right's."""
    game = on_grid(seed)
    mirrored = results(mirror_of(game))
    straight = results(game)

    # A man straight ahead of the passer, or on him, counts as right in either picture: leave out such plays.
    rushers = straight["rushers"]
    even = rushers.loc[rushers["bearing"].abs().isin([0.0, 180.0]), "play"].unique()
    for tables in (mirrored, straight):
        for name in NAMES:
            tables[name] = tables[name][~tables[name]["play"].isin(even)].reset_index(drop=True)

    sides = {"left": "right", "right": "left"}
    frames, edges, rushers = (mirrored[name] for name in NAMES)
    pairs = {"wall_left": "wall_right", "exposure_left": "exposure_right"}
    mirrored["frames"] = frames.rename(columns=pairs | {b: a for a, b in pairs.items()})[list(straight["frames"])]
    mirrored["edges"] = ordered(edges.assign(side=edges["side"].map(sides)), "edges")
    mirrored["rushers"] = rushers.assign(bearing=-rushers["bearing"], lane_side=rushers["lane_side"].map(sides))
    same(mirrored, straight, NEAR)


@pytest.mark.parametrize("seed", SEEDS)
def test_order_of_rows(seed: int) -> None:
    game = on_grid(seed)
    shuffled = tuple(table.sample(frac=1, random_state=seed) for table in game)
    same(results(shuffled), results(game), near=0)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize(
    ("units", "origin", "y"), [("m", "corner", "down"), ("ft", "center", "up"), ("yd", "center", "down")]
)
def test_units_and_frame(seed: int, units: str, origin: str, y: str) -> None:
    game = on_grid(seed)
    written_otherwise = odd_games.as_units(game, units, origin, y)
    same(results(written_otherwise, units=units, origin=origin, y=y), results(game), NEAR)


@pytest.mark.parametrize("seed", SEEDS)
def test_threads(seed: int) -> None:
    game = taken(on_grid(seed))
    one, many = se.measure(game, threads=1), se.measure(game, threads=5)
    for name in NAMES:
        pd.testing.assert_frame_equal(getattr(one, name), getattr(many, name), check_exact=True)


@pytest.mark.parametrize("seed", SEEDS[:3])
def test_clock_and_ids(seed: int) -> None:
    """The clock's zero does not matter, nor what the plays are called."""
    game = on_grid(seed)
    tracks, snaps, people = (table.copy() for table in game)
    tracks["time"] += 64.0
    for name in ("snap_time", "throw_time", "end_time"):
        snaps[name] += 64.0
    called = {play: f"9{play}" for play in snaps["play"]}
    for table in (tracks, snaps, people):
        if "play" in table:
            table["play"] = table["play"].map(called)
    renamed = results((tracks, snaps, people))
    for name in NAMES:
        renamed[name]["play"] = renamed[name]["play"].str[1:]
    same(renamed, results(game), NEAR)
