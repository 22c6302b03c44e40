"""What users hold goes to other processes and comes back the same: pickled, copied, through a spawned pool."""

import copy
import pickle
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from typing import Any

import numpy as np
import pandas as pd
import pytest

import shortedge as se
from odd_games import odd_game

WAYS: dict[str, Callable[[Any], Any]] = {
    "pickled": lambda one: pickle.loads(pickle.dumps(one)),
    "copied": copy.deepcopy,
}


def same_arrays(one: Any, other: Any) -> None:
    """Tables by codes, to the bit."""
    assert list(one) == list(other)
    for title, columns in one.items():
        assert list(columns) == list(other[title])
        for name, values in columns.items():
            assert values.dtype == other[title][name].dtype
            np.testing.assert_array_equal(values, other[title][name])


def same_game(one: se.Game, other: se.Game) -> None:
    """All that the compiled side holds, to the bit, and so the digest."""
    same_arrays(
        {"tracks": one.core.tracks, "snaps": one.core.snaps}, {"tracks": other.core.tracks, "snaps": other.core.snaps}
    )
    for what in ("name", "plays", "players", "problems", "dropped"):
        assert getattr(one.core, what) == getattr(other.core, what), what
    for title in ("plays", "people", "problems"):
        tables = (each.arrow(title).to_pandas() for each in (one, other))
        pd.testing.assert_frame_equal(*tables, check_exact=True)
    assert other.digest == one.digest
    assert other.library == one.library
    for play in one.measured():
        for field, value in vars(one.play(play)).items():
            np.testing.assert_equal(value, vars(other.play(play))[field])


@pytest.fixture(scope="module")
def game() -> se.Game:
    return se.example()


@pytest.fixture(scope="module")
def m(game: se.Game) -> se.Measures:
    return se.measure(game, noise=0.05, draws=5)


@pytest.mark.parametrize("way", WAYS.values(), ids=WAYS)
def test_a_game(game: se.Game, way: Callable[[Any], Any]) -> None:
    same_game(game, way(game))


@pytest.mark.parametrize("seed", range(6))
def test_an_odd_game(seed: int) -> None:
    """With rows that were dropped, plays that are not measured, columns that are kept."""
    tables = odd_game(seed)
    made = se.from_tables(*tables, units="yd", origin="corner", y="up", orientation="trust")
    same_game(made, WAYS["pickled"](made))


def test_a_game_from_a_file_keeps_its_digest(game: se.Game, tmp_path: Any) -> None:
    game.save(tmp_path / "game.h5")
    read = se.read(tmp_path / "game.h5")
    same_game(read, WAYS["pickled"](read))


@pytest.mark.parametrize("way", WAYS.values(), ids=WAYS)
def test_rules_and_assumptions(way: Callable[[Any], Any]) -> None:
    for one in (se.Rules(), se.Rules(reach=1.1, horizon=2.0), se.Assumptions(), se.Assumptions(kick_speed=2.4)):
        other = way(one)
        assert type(other) is type(one)
        assert other == one
        assert other.as_dict() == one.as_dict()
    assert way(se.Rules(reach=1.1)) != se.Rules()


def test_a_pickle_of_rules_is_checked() -> None:
    """What a pickle holds goes through the same door as what a user says."""
    data = pickle.dumps(se.Rules(reach=1.1))
    assert data.count(b"reach") == 1
    with pytest.raises(se.InputError, match="no rule is called reech"):
        pickle.loads(data.replace(b"reach", b"reech"))


@pytest.mark.parametrize("way", WAYS.values(), ids=WAYS)
def test_a_formation(way: Callable[[Any], Any]) -> None:
    f = (
        se.formation(chip="wide L", back="left")
        .with_stunts(("2i R", "wide R"))
        .with_speeds({"LT": {"kick_speed": 2.5}})
    )
    assert way(f) == f
    one, other = (se.simulate(each, depths=[7], draws=20, progress=False) for each in (f, way(f)))
    pd.testing.assert_frame_equal(one.table, other.table, check_exact=True)


@pytest.mark.parametrize("way", WAYS.values(), ids=WAYS)
def test_measures(m: se.Measures, way: Callable[[Any], Any]) -> None:
    pd.testing.assert_frame_equal(m.frames, m.frames)  # given out before: not pickled
    other = way(m)
    same_arrays(m.coded, other.coded)
    same_arrays(m.band_coded, other.band_coded)
    assert (other.rules, other.digest, other.noise) == (m.rules, m.digest, m.noise)
    pd.testing.assert_frame_equal(other.bands.edges, m.bands.edges, check_exact=True)
    same_game(m.game, other.game)
    assert other.words("P024") == m.words("P024")


@pytest.mark.parametrize("way", WAYS.values(), ids=WAYS)
def test_reps(m: se.Measures, way: Callable[[Any], Any]) -> None:
    made = se.reps(m.game, m)
    row = made.table.dropna(subset=["protector", "rusher"]).iloc[0]
    made = made.correct(pd.DataFrame([{**row[["play", "protector", "rusher"]], "outcome": "beat", "beat_time": 1.0}]))
    other = way(made)
    same_arrays(made.coded, other.coded)
    pd.testing.assert_frame_equal(other.table, made.table, check_exact=True)
    pd.testing.assert_frame_equal(other.summary("technique"), made.summary("technique"), check_exact=True)
    assert other.laid_over == made.laid_over


@pytest.mark.parametrize("way", WAYS.values(), ids=WAYS)
def test_studies(game: se.Game, way: Callable[[Any], Any]) -> None:
    study, still = se.drop_study(game, "P024"), se.break_even_study()
    pd.testing.assert_frame_equal(way(study).table, study.table, check_exact=True)
    pd.testing.assert_frame_equal(way(still).table, still.table, check_exact=True)
    simulated = se.simulate(depths=[7], draws=20, progress=False)
    pd.testing.assert_frame_equal(way(simulated).table, simulated.table, check_exact=True)
    speeds = se.fit_speeds(game, progress=False)
    pd.testing.assert_frame_equal(way(speeds).table, speeds.table, check_exact=True)


def frames_of(game: se.Game, rules: se.Rules) -> Any:
    return se.measure(game, rules=rules, threads=1, progress=False).coded["frames"]


def test_a_spawned_pool(game: se.Game) -> None:
    """A game and rules go there, tables by codes come back."""
    rules = se.Rules(reach=1.1)
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        there = pool.submit(frames_of, game, rules).result()
    same_arrays({"frames": frames_of(game, rules)}, {"frames": there})
