"""Speeds: fits of split times and of a game's runs, against SciPy, published fits and the script of the demo game."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pytest
import scipy.interpolate
import scipy.optimize
import scipy.special
import scipy.stats

import shortedge as se
import truth
from conftest import LINE, taken, written
from shortedge import _core
from small_game import YARDS, in_library, small_game

make_demo = truth.make_demo()

COLUMNS = ["game", "player", "duty", "runs", "top_speed", "top_speed_low", "top_speed_high", "top_speed_fitted"]
COLUMNS += ["tau", "tau_low", "tau_high", "tau_fitted"]
COLUMNS += ["kick_speed", "kick_speed_low", "kick_speed_high", "kick_speed_fitted"]
MEMORY = 0.7  # s, over which position errors are correlated


@pytest.fixture(scope="module")
def demo() -> se.Game:
    return se.example()


@pytest.fixture(scope="module")
def speeds(demo: se.Game) -> se.Speeds:
    return se.fit_speeds(demo)


def time_over(d: Any, top_speed: float, tau: float) -> Any:
    """The sprint's time over a distance, by Lambert's W (the published form of the fit)."""
    w = scipy.special.lambertw(-np.exp(-d / (top_speed * tau) - 1)).real
    return d / top_speed + tau + tau * w


def way(t: Any, top_speed: float, tau: float) -> Any:
    t = np.maximum(t, 0)
    return top_speed * (t + tau * np.expm1(-t / tau))


# ------------------------------------------------------------------------------------------------------- splits


def test_published_fit() -> None:
    # Documentation of a general sprint-profile package by M. Jovanovic, release 1.1.4: as printed there.
    fit = se.fit_sprint([5, 10, 15, 20, 30, 40], [1.158, 1.893, 2.541, 3.149, 4.313, 5.444])
    assert [round(fit.top_speed, 4), round(fit.tau, 4)] == [8.5911, 0.8113]
    assert [round(fit.top_speed_error, 4), round(fit.tau_error, 4)] == [0.1225, 0.0458]
    assert fit.residuals.round(3).tolist() == [-0.053, -0.004, 0.020, 0.027, 0.014, -0.022]


def test_splits_against_curve_fit(rng: np.random.Generator) -> None:
    for _ in range(50):
        distance = np.sort(rng.choice(np.arange(3, 60), rng.integers(4, 9), replace=False)).astype(float)
        time = time_over(distance, rng.uniform(6, 11), rng.uniform(0.5, 1.4)) + rng.normal(0, 0.01, len(distance))
        wanted, covariance = scipy.optimize.curve_fit(time_over, distance, time, p0=(9, 0.9), xtol=1e-13, ftol=1e-13)
        error = np.sqrt(np.diag(covariance))
        half = error * scipy.stats.t.ppf(0.975, len(distance) - 2)
        fit = se.fit_sprint(distance, time)
        np.testing.assert_allclose([fit.top_speed, fit.tau], wanted, rtol=2e-6)
        np.testing.assert_allclose([fit.top_speed_error, fit.tau_error], error, rtol=1e-4)
        np.testing.assert_allclose([fit.top_speed_low, fit.tau_low], wanted - half, rtol=1e-4)
        np.testing.assert_allclose([fit.top_speed_high, fit.tau_high], wanted + half, rtol=1e-4)
        np.testing.assert_allclose(fit.residuals, time - time_over(distance, *wanted), atol=1e-6)


def test_splits_have_no_unit() -> None:
    yards = se.fit_sprint([10, 20, 40], [1.7, 2.8, 4.8])
    metres = se.fit_sprint(np.array([10, 20, 40]) * 0.9144, [1.7, 2.8, 4.8])
    assert metres.top_speed == pytest.approx(yards.top_speed * 0.9144)
    assert metres.tau == pytest.approx(yards.tau)


@pytest.mark.parametrize(
    ("distance", "time", "says"),
    [
        ([10], [1.7], "found 1; accepted: two or more"),
        ([10, 20], [1.7], "found 2 distances and 1 times"),
        ([10, 20], [2.8, 1.7], "time: found 1.7 after 2.8"),
        ([10, np.inf], [1.7, 2.8], "distance: found inf"),
        ([np.nan, np.nan, np.nan], [1, 2, 3], "distance: found nan"),
        ([[10, 20]], [[1.7, 2.8]], "distance has 2 dimensions"),
        (["ten", "twenty"], [1.7, 2.8], "distance is"),
        ([10, 20, 30], [1, 2, 3], "no sprint fits"),
    ],
)
def test_splits_that_make_no_sense(distance: Any, time: Any, says: str) -> None:
    with pytest.raises(se.InputError, match=says):
        se.fit_sprint(distance, time)


# ------------------------------------------------------------------------------------------------------- a game


@pytest.mark.parametrize("library", ["pandas", "polars", "pyarrow"])
def test_columns_and_their_types(library: str) -> None:
    game = se.from_tables(*(in_library(table, library) for table in small_game()), **YARDS)
    table = se.fit_speeds(game).table
    assert type(table).__module__.split(".")[0] == library
    arrow = in_library(table, "pyarrow") if library == "pandas" else table if library == "pyarrow" else table.to_arrow()
    assert arrow.column_names == COLUMNS
    for name in COLUMNS:
        kind = arrow[name].type
        if name in ("game", "player", "duty"):
            assert pa.types.is_string(kind) or pa.types.is_large_string(kind), name
        elif name.endswith("_fitted"):
            assert pa.types.is_boolean(kind), name
        else:
            assert kind == (pa.int32() if name == "runs" else pa.float64()), name


@pytest.mark.parametrize("which", ["demo", "foreign"])
def test_every_row_can_be_used(which: str, demo: se.Game) -> None:
    game = demo if which == "demo" else truth.foreign().game()
    table = se.fit_speeds(game).table
    rows = {duty: table[table["duty"] == duty] for duty in ("rusher", "protector")}
    assert set(rows["rusher"]["player"]) == set(se.measure(game).rushers["rusher"])
    snaps = se.reps(game).table
    linemen = set(snaps["protector"][snaps["set_type"].notna()])
    assert linemen
    assert set(rows["protector"]["player"]) >= linemen
    never = [column["name"] for column in _core.columns()["speeds"] if column["missing"] == "never"]
    assert not table[never].isna().any().any()
    assert rows["protector"]["kick_speed"].notna().all()
    assert rows["rusher"]["kick_speed"].isna().all()
    for what in ("top_speed", "tau", "kick_speed"):
        fitted, ends = table[f"{what}_fitted"], table[[f"{what}_low", f"{what}_high"]]
        assert ends[fitted].notna().all().all()
        assert ends[~fitted].isna().all().all()
        assert ((ends[f"{what}_low"] < table[what]) & (table[what] < ends[f"{what}_high"]))[fitted].all()
        assert (table["runs"][fitted] >= 5).all()
    # Too little: what the README states.
    default = rows["rusher"][~rows["rusher"]["top_speed_fitted"]]
    assert len(default)
    assert default["top_speed"].isin([9.7, 9.2]).all()
    assert (table["tau"][~table["tau_fitted"]] == 0.9).all()
    assert (rows["protector"]["top_speed"] == 8.9).all()
    assert (rows["protector"]["kick_speed"][~rows["protector"]["kick_speed_fitted"]] == 2.2).all()


def runs_of(game: se.Game, player: str) -> list[tuple[np.ndarray, np.ndarray]]:
    found = (_core.run_of(game.core, int(row), game.player_ids.index(player), se.Rules()) for row in game.core.measured)
    return [run for run in found if run is not None]


def whitened(t: np.ndarray, values: np.ndarray) -> np.ndarray:
    keep = np.exp(-np.diff(t) / MEMORY)
    return np.append(values[:1], (values[1:] - keep * values[:-1]) / np.sqrt(1 - keep**2))


def profiles(runs: list[tuple[np.ndarray, np.ndarray]], tau: float, log_speeds: np.ndarray) -> np.ndarray:
    """(runs, speeds): each run's least sum of squares with that top speed, over its start and its place."""

    def squares(start: float, t: np.ndarray, w: np.ndarray, top_speed: float) -> float:
        error, one = whitened(t, way(t - start, top_speed, tau) - w), whitened(t, np.ones(len(t)))
        return float(error @ error - (one @ error) ** 2 / (one @ one))

    def least(t: np.ndarray, w: np.ndarray, top_speed: float) -> float:
        tried = np.arange(t[0] - 0.4, t[-1], 0.05)
        best = tried[np.argmin([squares(start, t, w, top_speed) for start in tried])]
        near = (best - 0.06, best + 0.06)
        return float(
            scipy.optimize.minimize_scalar(
                squares, bounds=near, args=(t, w, top_speed), method="bounded", options={"xatol": 1e-9}
            ).fun
        )

    return np.array([[least(t, w, top_speed) for top_speed in np.exp(log_speeds)] for t, w in runs])


def best(log_speeds: np.ndarray, squares: np.ndarray) -> float:
    spline = scipy.interpolate.CubicSpline(log_speeds, squares)
    turns = spline.derivative().roots(extrapolate=False)
    return float(turns[np.argmin(spline(turns))])


@pytest.mark.parametrize(("what", "duty", "tau"), [("top_speed", "rusher", 0.9), ("kick_speed", "protector", 0.15)])
def test_a_row_against_scipy(what: str, duty: str, tau: float, demo: se.Game, speeds: se.Speeds) -> None:
    table = speeds.table
    row = table[(table["duty"] == duty) & table[f"{what}_fitted"]].iloc[1]
    runs = runs_of(demo, row["player"])
    assert len(runs) == row["runs"]
    log_speeds = np.log(row[what]) + np.linspace(-0.06, 0.06, 13)
    squares = profiles(runs, tau, log_speeds)
    whole = best(log_speeds, squares.sum(axis=0))
    assert row[what] == pytest.approx(np.exp(whole), rel=1e-4)
    # The jackknife with every refit carried to its end; the library takes one step of it.
    without = np.array([best(log_speeds, squares.sum(axis=0) - one) for one in squares])
    error = np.sqrt((len(runs) - 1) / len(runs) * ((without - whole) ** 2).sum())
    half = error * scipy.stats.t.ppf(0.975, len(runs) - 1)
    assert np.log(row[f"{what}_high"] / row[f"{what}_low"]) == pytest.approx(2 * half, rel=0.15)


@pytest.fixture(scope="module")
def scripted() -> list[dict[str, float]]:
    """The demo game's script: for each play, with what top speed its men were made to run or set to where they meet."""
    needs: list[dict[str, float]] = []
    patch = pytest.MonkeyPatch()
    run: Callable[..., None] = make_demo.Script.run
    draw = make_demo.draw

    def noted(
        self: Any, name: str, start: float, points: Any, end: float = np.nan, top: float = 9.8, tau: float = 0.9
    ) -> None:
        points = list(points)
        if not np.isnan(end):
            path = make_demo.rounded(np.array([self.here(name, start), *map(np.asarray, points)]))
            length = make_demo.gap(path[1:], path[:-1]).sum()
            self.__dict__.setdefault("needs", {}).setdefault(
                name, float(length / make_demo.arrive(end - start, end - start, tau))
            )
        run(self, name, start, points, end, top, tau)

    def kept(*given: Any) -> Any:
        script = draw(*given)
        needs.append(script.__dict__.get("needs", {}))
        return script

    patch.setattr(make_demo.Script, "run", noted)
    patch.setattr(make_demo, "draw", kept)
    make_demo.make()
    patch.undo()
    return needs


def test_ends_of_the_demo_game_run_as_scripted(
    demo: se.Game, speeds: se.Speeds, scripted: list[dict[str, float]]
) -> None:
    # The script runs its ends with tau 0.9 and whatever top speed the play needs, braking over the last 0.4 of about
    # 1.05 s, then blurs all paths with a Gaussian of 0.08 s, which in so short a run looks like a lower top speed: by
    # how much, SciPy says here.
    needs = scripted
    fine = np.arange(-1, 2, 1e-3)
    kernel = np.exp(-0.5 * (np.arange(-400, 401) * 1e-3 / 0.08) ** 2)
    path = 9 * make_demo.arrive(np.clip(fine - 0.2, 0, 1.05), 1.05, 0.9)
    blurred = np.convolve(np.pad(path, 400, mode="edge"), kernel / kernel.sum(), "valid")
    t = np.arange(0, 0.81, 0.1)
    log_speeds = np.log(9) + np.linspace(-0.2, 0.1, 31)
    blur = np.exp(best(log_speeds, profiles([(t, np.interp(t, fine, blurred))], 0.9, log_speeds)[0])) / 9
    assert 0.93 < blur < 0.98
    held = 0
    for name, number in (("E1", "91"), ("E2", "94")):
        for team in ("QM", "TK"):
            player = f"{team}-{number}"
            ran = [
                need[name]
                for row, need in zip(demo.core.measured, needs, strict=True)
                if _core.run_of(demo.core, int(row), demo.player_ids.index(player), se.Rules()) is not None
            ]
            row = speeds.of(player)
            assert row["runs"] == len(ran)
            assert row["top_speed_fitted"]
            assert not row["tau_fitted"]
            assert row["top_speed"] == pytest.approx(blur * np.mean(ran), rel=0.05)
            held += row["top_speed_low"] < blur * np.mean(ran) < row["top_speed_high"]
    assert held >= 3


def test_tackles_of_the_demo_game_set_as_scripted(speeds: se.Speeds, scripted: list[dict[str, float]]) -> None:
    # A tackle's kick speed there is at most 2.45; sets differ, and the wide ones are near it.
    needs = scripted
    scripted_sets = np.array([need[man] for need in needs for man in ("LT", "RT") if 1.5 < need.get(man, 0) <= 2.45])
    for player in ("QM-74", "QM-78", "TK-74", "TK-78"):
        row = speeds.of(player)
        assert row["kick_speed_fitted"]
        assert row["kick_speed"] == pytest.approx(scripted_sets.mean(), rel=0.07)


def rush_game(top_speed: float, tau: float, plays: int, seconds: float) -> se.Game:
    """One end free all the way to a passer far back, `plays` times, without noise, 20 times a second."""
    t = np.arange(0, seconds, 0.05)
    people = {name: ("offense", name, None) for name in LINE} | {"QB": ("offense", "QB", None)}
    people |= {"R": ("defense", "DE", None), "S": ("defense", "S", None)}
    made = {}
    for k in range(plays):
        start = 0.2 + 0.013 * k
        path = np.stack([np.full(len(t), 6.0), -1 + way(t - start, top_speed, tau)], axis=1)
        made[f"p{k}"] = {**LINE, "QB": (0.0, 20.0), "R": path, "S": (0.0, -15.0)}
    return taken(written(made, people, rate=20.0))


def test_both_figures_of_a_man_who_runs_free() -> None:
    row = se.fit_speeds(rush_game(9.1, 1.05, 6, 2.4)).of("R")
    assert row["runs"] == 6
    assert row["top_speed_fitted"]
    assert row["tau_fitted"]
    assert row["top_speed"] == pytest.approx(9.1, rel=1e-6)
    assert row["tau"] == pytest.approx(1.05, rel=1e-6)


def test_too_few_runs_fall_back_on_the_default() -> None:
    row = se.fit_speeds(rush_game(9.1, 1.05, 4, 2.4)).of("R")
    assert row["runs"] == 4
    assert not row["top_speed_fitted"]
    assert not row["tau_fitted"]
    assert (row["top_speed"], row["tau"]) == (9.7, 0.9)
    assert np.isnan([row["top_speed_low"], row["top_speed_high"], row["tau_low"], row["tau_high"]]).all()


def test_a_man_who_never_moves_has_the_default() -> None:
    game = rush_game(1e-9, 0.9, 6, 2.4)
    with pytest.raises(se.InputError, match="accepted: a man who rushed"):
        se.fit_speeds(game).of("R")  # nor is he a rusher
    tackle = se.fit_speeds(game).of("RT")
    assert (tackle["runs"], tackle["kick_speed"], tackle["kick_speed_fitted"]) == (0, 2.2, False)


def test_inside_men_have_their_own_default(speeds: se.Speeds) -> None:
    for player in ("QM-95", "QM-98", "TK-95", "TK-98"):  # the tackles of the defence
        row = speeds.of(player)
        assert (row["top_speed_fitted"], row["top_speed"]) == (False, 9.2)


def test_the_same_for_any_number_of_threads(demo: se.Game, speeds: se.Speeds) -> None:
    for threads in (1, 3):
        again = se.fit_speeds(demo, threads=threads)
        pd.testing.assert_frame_equal(again.table, speeds.table, check_exact=True)


def test_what_is_refused(demo: se.Game, speeds: se.Speeds) -> None:
    with pytest.raises(se.InputError, match="game is str; accepted: a Game"):
        se.fit_speeds("game")  # type: ignore[arg-type]
    with pytest.raises(se.InputError, match="rules is"):
        se.fit_speeds(demo, rules=1.1)  # type: ignore[arg-type]
    with pytest.raises(se.InputError, match="threads is 0"):
        se.fit_speeds(demo, threads=0)
    with pytest.raises(se.InputError, match='player is "nobody"; accepted'):
        speeds.of("nobody")
    with pytest.raises(se.InputError, match='duty is "runner"; accepted: "rusher", "protector", None'):
        speeds.of("QM-91", "runner")
    with pytest.raises(se.InputError, match="accepted: a man who rushed"):
        speeds.of("QM-91", "protector")


def test_a_bad_fit_leaves_out_that_man_alone(demo: se.Game, speeds: se.Speeds) -> None:
    """18.7 yd/s is no speed a man runs (the fastest sprint ever timed peaked at some 13.6 yd/s, from memory): the
    table's other men keep theirs, and the formation stands."""
    table = speeds.table.copy()
    fitted = table.index[(table["duty"] == "rusher") & table["top_speed_fitted"]]
    bad = table.loc[fitted[0], "player"]
    assert (table.loc[fitted, "top_speed"] <= 12).all()
    table.loc[fitted[0], ["top_speed", "top_speed_high"]] = 18.7
    made = {play: se.formation_of(demo, play, speeds=table) for play in demo.measured()[:12]}
    own = {one.name: one.top_speed for f in made.values() for one in f.rushers}
    good = [table.loc[row, "player"] for row in fitted[1:] if table.loc[row, "player"] in own]
    assert bad not in own or np.isnan(own[bad])
    assert good
    assert all(not np.isnan(own[man]) for man in good)


def test_it_says_what_it_found(speeds: se.Speeds) -> None:
    table = speeds.table
    rushers = table[table["duty"] == "rusher"]
    assert f"top_speed of {rushers['top_speed_fitted'].sum()} of {len(rushers)} rushers fitted" in repr(speeds)
