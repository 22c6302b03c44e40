"""Every figure of the tables against tests/python/plain: the same definitions, written again without the library."""

from functools import cache

import numpy as np
import pandas as pd
import pytest

import odd_games
import plain
import shortedge as se
from conftest import KEYS, Tables, differing, ordered, taken

SEEDS = (2, 3, 7, 8, 11, 12, 13, 14, 16, 24, 26, 27)  # short ones that together reach everything below
MORE_SEEDS = range(1000, 1150)
TABLES = ("frames", "edges", "rushers")
# s. The plain times come from root finding, and a time divided by the horizon is an exposure.
LOOSE = {"outside_time": 1e-4, "inside_time": 1e-4}
NEAR = 1e-6
WAYS_OF_WRITING = [("m", "corner", "up"), ("m", "center", "up"), ("ft", "corner", "down"), ("yd", "center", "down")]


@cache
def game_of(seed: int) -> Tables:
    return odd_games.odd_game(seed)


@cache
def plainly(seed: int) -> dict[str, pd.DataFrame]:
    return plain.measure(*game_of(seed))


def check(game: "se.Game", reference: dict[str, pd.DataFrame]) -> None:
    skipped = sorted(reference["skipped"]["play"])
    assert sorted(game.problems["play"]) == skipped
    measured = se.measure(game)
    for name in TABLES:
        mine, his = ordered(getattr(measured, name), name), ordered(reference[name], name)
        assert list(mine.columns) == ["game", *his.columns]
        assert len(mine) == len(his), name
        for key in KEYS[name]:
            if key == "time":
                np.testing.assert_allclose(mine[key], his[key], rtol=0, atol=1e-9)
            else:
                assert list(mine[key]) == list(his[key]), (name, key)
        assert differing(mine, his, his.columns, LOOSE, NEAR) == [], name


@pytest.mark.parametrize("seed", SEEDS)
def test_every_column(seed: int) -> None:
    check(taken(game_of(seed)), plainly(seed))


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize(("units", "origin", "y"), WAYS_OF_WRITING)
def test_every_column_through_other_units(seed: int, units: str, origin: str, y: str) -> None:
    """Metres and feet, the centre of the field, y down: the reference reads yards from the corner, y up."""
    game = odd_games.as_units(game_of(seed), units, origin, y)
    check(taken(game, units, origin, y), plainly(seed))


def test_other_rules() -> None:
    """Every rule away from its default, so that none is read for another or not at all."""
    rules = {name: value * 1.2 for name, value in plain.DEFAULTS.items()}
    tables = game_of(3)
    measured, reference = se.measure(taken(tables), rules=se.Rules(**rules)), plain.measure(*tables, rules=rules)
    for name in TABLES:
        mine, his = ordered(getattr(measured, name), name), ordered(reference[name], name)
        assert len(mine) == len(his)
        assert differing(mine, his, his.columns, LOOSE, NEAR) == []


def test_the_games_reach_everything() -> None:
    """The comparison is worth something only if the odd cases occur in it."""
    games = [taken(game_of(seed)) for seed in SEEDS]
    measured = [se.measure(game) for game in games]
    frames, edges, rushers = (pd.concat([getattr(m, name) for m in measured]) for name in TABLES)
    assert set(frames["status"]) == {"ok", "thin", "collapsed", "outside", "missing"}
    assert set(rushers["lane"].dropna()) == {"in", "A", "B", "C", "D", "rear"}
    assert set(rushers["lane_side"].dropna()) == {"left", "right"}
    assert (rushers["cutoff_ratio"] >= 1).any(), "nobody gets past his man"
    assert rushers["engaged"].any()
    assert not rushers["engaged"].all()
    assert (rushers["helpers"] > 0).any()
    assert np.isinf(rushers["slack"]).any(), "no way to the passer is shut"
    assert rushers["outside_time"].isna().any(), "no centre blocks anybody"
    assert (rushers["outside_exposure"] > 0.2).any()
    assert edges["rusher"].isna().any()
    assert (edges["edge_given"] > 1).any()
    assert any(len(game.problems) for game in games)
    undetached = pd.concat([se.measure(game, rules=se.Rules(detach=100.0)).frames for game in games])
    assert (frames["pocket_width"] < undetached["pocket_width"] - 1e-6).any(), "nobody is detached"


@pytest.mark.full
@pytest.mark.parametrize("seed", MORE_SEEDS)
def test_every_column_of_many_games(seed: int) -> None:
    check(taken(game_of(seed)), plainly(seed))
