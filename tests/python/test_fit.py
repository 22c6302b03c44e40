"""The simulator fitted to games: the regression against posteriors known in closed form, games of known assumptions,
and games the gate must refuse. The long proof, with its table: tests/fit.py."""

import dataclasses
import math
import re
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import polars as pl
import pyarrow.parquet as pq
import pytest
import scipy.stats

import shortedge as se
from shortedge import _core
from shortedge.cli import simulate as simulating
from shortedge.cli.commands import main
from shortedge.simulation import fit as fitting
from shortedge.simulation.regression import FOLDS, Known, Reference, Teller, Whitener, quadratic, quantiles
from shortedge.simulation.seen import SeenPlay, seen_plays
from shortedge.simulation.spots import likely_spots, with_spots

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from known_games import drawn, known_game

from plain import summaries as plain

SIGMA = 0.08  # yd
SETS, FIGURES = 400, 30


# ------------------------------------------------------------------------------------------------ the regression


def linear_world(rng: np.random.Generator) -> tuple[Any, Any]:
    """Figures A x + b + error of three assumptions, uniform between 0 and 1, of which they tell two; the errors are
    correlated. The posterior of the two is normal by least squares (cut at the ends), of the third it is even."""
    slopes = np.zeros((FIGURES, 3))
    slopes[:, :2] = rng.normal(size=(FIGURES, 2))
    mix = np.eye(FIGURES) + 0.3 * rng.normal(size=(FIGURES, FIGURES)) / math.sqrt(FIGURES)
    return slopes, 0.5 * mix


@pytest.fixture(scope="module")
def linear() -> tuple[Known, Any, Any, np.random.Generator]:
    rng = np.random.default_rng(11)
    slopes, mix = linear_world(rng)
    shares = rng.random((SETS, 3))
    figures = (shares @ slopes.T)[:, None] + rng.normal(size=(SETS, 4, FIGURES)) @ mix.T
    return Known.of(Reference(shares, figures)), slopes, mix, rng


def test_the_posterior_is_that_of_least_squares(linear: Any) -> None:
    """Generalized least squares: precision A' S^-1 A. Regression cannot be better, and must not be much worse."""
    known, slopes, mix, _ = linear
    rng = np.random.default_rng(12)
    weigh = np.linalg.inv(mix @ mix.T)
    exact = np.linalg.inv(slopes[:, :2].T @ weigh @ slopes[:, :2])
    for truth in ([0.5, 0.4, 0.5], [0.3, 0.7, 0.9]):
        summary = slopes @ truth + mix @ rng.normal(size=FIGURES)
        best = exact @ slopes[:, :2].T @ weigh @ summary
        told, far = known.tell(summary)
        values, weights = known.posterior(told)
        middle = weights @ values
        spread = np.sqrt(weights @ (values - middle) ** 2)
        sd = np.sqrt(np.diag(exact))
        assert (np.abs(middle[:2] - best) < 0.6 * sd).all()
        assert (np.abs(spread[:2] / sd - 1) < 0.25).all()
        assert spread[2] == pytest.approx(1 / math.sqrt(12), rel=0.15)  # of an even one
        assert far < known.limit(told)


def test_held_out_intervals_hold_and_ranks_are_even(linear: Any) -> None:
    known = linear[0]
    shares = known.reference.shares[:200]
    ends, ranks = [], []
    for k in range(200):
        values, weights = known.posterior(known.told[4 * k], without=k)
        ends.append(quantiles(values, weights, np.array([0.05, 0.95])))
        ranks.append(weights @ (values < shares[k]))
    low, high = np.moveaxis(np.array(ends), 1, 0)
    inside = ((low <= shares) & (shares <= high)).sum(axis=0)
    assert ((inside >= 165) & (inside <= 195)).all(), inside  # 180 of 200, four standard deviations of 4.2 either way
    limit = 1.63 / math.sqrt(200)  # Kolmogorov's 1 % limit
    assert (fitting.distances_from_even(np.array(ranks)) < limit).all()


def test_a_reference_game_is_told_without_its_own_fold(linear: Any) -> None:
    reference = linear[0].reference
    fold = np.arange(SETS) % FOLDS
    rows, off = fold[reference.of_set], np.empty_like(reference.flat)
    for k in range(FOLDS):
        others = Reference(reference.shares[fold != k], reference.summaries[fold != k])
        told, off_by = Teller(others)(reference.flat)
        np.testing.assert_allclose(linear[0].told[rows == k], told[rows == k], atol=1e-9)
        off[rows == k] = off_by[rows == k]
    # Mahalanobis's distance in what the others lie off, their covariance a tenth of the way to its diagonal.
    chance = 0.9 * np.cov(off[rows != 2].T, bias=True) + 0.1 * np.diag((off[rows != 2] ** 2).mean(axis=0))
    far = [one @ np.linalg.inv(chance) @ one / FIGURES for one in off[rows == 2]]
    np.testing.assert_allclose(linear[0].distance[rows == 2], far, rtol=0.02)  # what they lie off has hardly a mean


def test_figures_lie_off_as_generalized_least_squares_leaves_them(linear: Any) -> None:
    """What is left of a figure, in its own unit, is what the exact fit leaves, to a third of chance; the distance is
    the residuals' chi square, over the figures."""
    known, slopes, mix, rng = linear
    two, cov = slopes[:, :2], mix @ mix.T
    weigh = np.linalg.inv(cov)
    left = np.eye(FIGURES) - two @ np.linalg.solve(two.T @ weigh @ two, two.T @ weigh)
    chance = np.sqrt(np.diag(cov))
    distances = []
    for _ in range(60):
        summary = slopes @ rng.uniform(0.1, 0.9, 3) + mix @ rng.normal(size=FIGURES)
        _, off = known.tellers[0](summary[None])
        assert np.sqrt(np.mean(((off[0] - left @ summary) / chance) ** 2)) < 0.4
        exact = left @ summary
        distances.append((known.tell(summary)[1], exact @ weigh @ exact / (FIGURES - 2)))
    mine, chi = np.array(distances).T
    assert np.corrcoef(mine, chi)[0, 1] > 0.85
    assert mine.mean() == pytest.approx(chi.mean(), rel=0.15)


def test_the_limit_is_that_of_games_much_like_it(linear: Any) -> None:
    """Of the fifth of the games whose assumptions were told nearest, each in its own spread: of m sets of four the
    ceil(0.97 (m + 1))th (split conformal prediction)."""
    known = linear[0]
    assert known.distance.mean() == pytest.approx(1, abs=0.25)  # whitened, and less what is expected: chance alone
    told = known.told * [1.0, 20.0, 1.0]
    known = dataclasses.replace(known, told=told, distance=told[:, 1] ** 2)
    for at in (told[7], told[1200]):
        far = [sum(((row - at) / told.std(axis=0)) ** 2) for row in told]
        near = sorted(range(len(told)), key=far.__getitem__)[: len(told) // 5]
        sets = len({k // 4 for k in near})
        rank = min(sets, math.ceil(0.97 * (sets + 1)))
        assert known.limit(at) == pytest.approx(np.quantile(told[near, 1] ** 2, rank / sets))


def test_the_gate_refuses_what_lies_off(linear: Any) -> None:
    """Figures moved by some standard deviations of chance in one direction no assumption moves them in."""
    known, slopes, mix, _ = linear
    rng = np.random.default_rng(13)
    refused = {0.0: 0, 12.0: 0}
    for _ in range(60):
        truth, off = rng.uniform(0.1, 0.9, 3), rng.normal(size=FIGURES)
        for far in refused:
            moved = slopes @ truth + mix @ (rng.normal(size=FIGURES) + far * off / np.linalg.norm(off))
            told, distance = known.tell(moved)
            refused[far] += distance > known.limit(told)
    assert refused[0.0] <= 9  # 5 % of 60 is 3, with standard deviation 1.7
    assert refused[12.0] >= 57


def test_games_of_one_set_count_as_one_for_the_gate() -> None:
    """Four games of a set, equally far off: of m sets as likely as the game's own as many as are wanted for 97 of 100
    lie within the limit. By brute force: with the game among them it is one of m + 1 whose order is by chance."""
    for sets in (30, 60, 200):
        shares = np.full((sets, 1), 0.5)
        far = np.random.default_rng(sets).permutation(np.arange(1.0, sets + 1))
        reference = Reference(shares, np.zeros((sets, 4, 1)))
        known = Known(reference, (), (), np.full((4 * sets, 1), 0.5), np.repeat(far, 4))
        near = known.reference.of_set[np.arange(max(40, int(0.2 * 4 * sets)))]  # all as near: the first
        among = np.unique(far[near])
        limit = known.limit(np.array([0.5]))
        # A new game's distance is as likely in any of the gaps between those of m sets: in how many is it refused?
        assert (among > limit).sum() / (len(among) + 1) <= 0.03
        lower = among[among < limit].max()
        assert (among > lower - 1e-9).sum() / (len(among) + 1) > 0.03  # and not much more seldom than it may be


def test_what_lies_off_is_named_with_what_was_expected(linear: Any) -> None:
    """One figure moved by eight standard deviations of chance: it comes first; expected of all is what generalized
    least squares fits, to less than half a standard deviation."""
    known, slopes, mix, _ = linear
    truth, chance = np.array([0.4, 0.6, 0.5]), np.sqrt(np.diag(mix @ mix.T))
    weigh, two = np.linalg.inv(mix @ mix.T), slopes[:, :2]
    for moved in (3, 17):
        summary = slopes @ truth
        summary[moved] += 8 * chance[moved]
        fitted = two @ np.linalg.solve(two.T @ weigh @ two, two.T @ weigh @ summary)
        misses = known.tellers[0].misses(summary)
        index, recorded, expected, off = (np.array(column) for column in zip(*misses, strict=True))
        assert index[0] == moved
        assert sorted(index) == list(range(FIGURES))
        np.testing.assert_array_equal(recorded, summary[index])
        assert np.sqrt(np.mean(((expected - fitted[index]) / chance[index]) ** 2)) < 0.4
        np.testing.assert_allclose(off, (recorded - expected) / chance[index], rtol=0.15)


def test_figures_are_whitened_by_chance_alone_and_rare_or_even_ones_left_out() -> None:
    """Chance of variance 1 in every direction, but for what the covariance is shrunk by; a figure that is missing
    counts as the middle one."""
    rng = np.random.default_rng(6)
    _, mix = linear_world(rng)
    figures = 5 * rng.normal(size=(SETS, 1, FIGURES)) + rng.normal(size=(SETS, 4, FIGURES)) @ mix.T
    figures[rng.random((SETS, 4)) < 0.2, 4] = np.nan
    figures[rng.random((SETS, 4)) < 0.04, 9] = np.nan
    figures[..., 20] = 3.0
    made = Whitener(figures)
    assert list(made.used) == [k for k in range(FIGURES) if k not in (4, 20)]
    white = made(figures.reshape(-1, FIGURES)).reshape(SETS, 4, -1)
    chance = (white - white.mean(axis=1, keepdims=True)).reshape(-1, white.shape[2])
    spread = np.linalg.eigvalsh(chance.T @ chance / (SETS * 3))
    assert spread.min() > 0.8
    assert spread.max() < 1.2
    one = figures[0, 0].copy()
    one[9] = np.nan
    other = one.copy()
    other[9] = np.nanmean(figures[..., 9])
    np.testing.assert_allclose(made(one[None]), made(other[None]), atol=1e-9)


def test_a_quadratic_has_every_square_and_product_of_its_first_columns() -> None:
    a, b, c = z = np.random.default_rng(7).normal(size=(3, 5))
    wanted = {tuple(column) for column in (np.ones(5), a, b, c, a * a, a * b, b * b)}
    assert {tuple(column) for column in quadratic(z.T, 2).T} == wanted


def test_weighted_quantiles_are_numpys_when_weights_are_equal() -> None:
    values = np.random.default_rng(3).normal(size=(101, 2))
    found = quantiles(values, np.full(101, 1 / 101), np.array([0.05, 0.5, 0.95]))
    np.testing.assert_allclose(found, np.quantile(values, (0.05, 0.5, 0.95), axis=0, method="hazen"), atol=1e-12)


def test_ranks_that_are_even_lie_near_an_even_distribution() -> None:
    """Against scipy's Kolmogorov and Smirnov."""
    ranks = np.random.default_rng(4).random((50, 3)) ** [1, 2, 0.5]
    wanted = [scipy.stats.kstest(ranks[:, k], "uniform").statistic for k in range(3)]
    np.testing.assert_allclose(fitting.distances_from_even(ranks), wanted, atol=1e-12)


# --------------------------------------------------------------------------------------------- figures of pairs


def walk(rng: np.random.Generator, start: tuple[float, float], toward: tuple[float, float], frames: int) -> Any:
    """A man who goes in a bent line, faster and slower."""
    ends = np.array([start, toward]) + rng.normal(scale=0.4, size=(2, 2))
    share = np.cumsum(rng.uniform(0, 1.6, frames)) / frames
    bend = np.column_stack([np.sin(3 * share), np.cos(2 * share)]) * rng.normal(scale=0.5, size=2)
    return ends[0] + (ends[1] - ends[0]) * share[:, None] + bend - bend[0]


def test_figures_of_pairs_are_those_of_a_second_reading() -> None:
    """Men who meet, pass, stand and run either way, at 10 Hz and at uneven times of 25; some plays are over early."""
    rng = np.random.default_rng(8)
    f = se.formation()
    plays, places, pairs = [], [], []
    for n in range(40):
        frames = int(rng.integers(6, 30))
        times = 0.3 + 0.1 * np.arange(frames) - 0.3 if n % 2 else np.cumsum(rng.uniform(0.03, 0.05, 2 * frames))
        times = np.array(times)
        ways = [walk(rng, (0, 1), (0, 7), len(times))]
        goes = 4 if n % 4 else -3  # some go forward
        ways += [walk(rng, one.at, (1.2 * one.at[0], goes), len(times)) for one in f.protectors]
        ways += [walk(rng, one.at, (0.5 * one.at[0], rng.uniform(3, 8)), len(times)) for one in f.rushers]
        chosen = [(0, 0, False, -1), (1, 1, True, -1), (3, 2, True, 1), (4, 3, False, 1)]
        plays.append((f.core, 7.0, math.nan, float(times[-1]), times, chosen, np.empty((0, 2))))
        places.append(np.ascontiguousarray(np.stack(ways, axis=1).reshape(-1, 2)))
        for k, j, inside, side in chosen:
            men = ways[0], ways[1 + k], ways[1 + len(f.protectors) + j]
            pairs.append((inside, plain.figures(times.tolist(), *men, side)))
    wanted = plain.summary(pairs)
    names = [re.sub(r" \([^)]*\)(?=, (mean|spread)$)", "", name) for name in _core.summary_names()]
    assert names == list(wanted)
    np.testing.assert_allclose(_core.recorded_summary(plays, places), list(wanted.values()), atol=1e-9)
    assert np.isfinite(list(wanted.values())).all()


# ------------------------------------------------------------------------------------------------------- a game


@pytest.fixture(scope="module")
def game() -> se.Game:
    return known_game(10, {"rusher_reaction": 0.3, "reach": 0.9}, sigma=SIGMA, seed=5)


@pytest.fixture(scope="module")
def fit(game: se.Game) -> se.SimulatorFit:
    return se.fit_simulator(game, noise=SIGMA, sets=100, progress=False)


def test_what_ten_plays_tell(fit: se.SimulatorFit) -> None:
    """When rushers move, which is far from what is assumed, is found even so."""
    assert not fit.refused, fit.refused
    rows = fit.table.set_index("assumption")
    assert list(rows.index) == list(fitting.RANGES)
    assert (rows["range_low"] <= rows["low"]).all()
    assert (rows["low"] < rows["middle"]).all()
    assert (rows["middle"] < rows["high"]).all()
    assert (rows["high"] <= rows["range_high"]).all()
    moves = rows.loc["rusher_reaction"]
    assert moves["found"]
    assert moves["low"] <= 0.3 <= moves["high"]
    assert not rows.loc["grip_open"]["found"]
    said = fit.words()
    assert "when rushers move (rusher_reaction)" in said
    outside = [row for _, row in rows[rows["found"]].iterrows() if not row["low"] <= row["assumed"] <= row["high"]]
    assert said.count(" as assumed") == len(outside) > 0
    assert "Not found from this game" in said
    assert said in repr(fit)


def test_seed_and_threads(game: se.Game, fit: se.SimulatorFit) -> None:
    made = se.reps(game, progress=False)
    plays, _ = seen_plays(game, made, game.measured()[:2], ())
    some = [fitting.simulated_by(se.Assumptions(), row) for row in fit.known.reference.shares[:3]]
    assert all(one.spread_across == one.spread_along == 0 for one in some)  # all as recorded
    assert all(one.early_throws == se.Assumptions().early_throws for one in some)
    core = [play.core for play in plays]
    one, two, other = (_core.simulated_summaries(core, some, SIGMA, *how, None) for how in ((1, 1), (1, 2), (2, 2)))
    np.testing.assert_array_equal(one, two)
    assert not np.array_equal(one, other, equal_nan=True)
    # The fit's own reference is simulated with the noise it was told, from where men may have stood, and its own seed.
    whole = [play.core for play in with_spots(seen_plays(game, made, game.measured(), ())[0], SIGMA, fit.seed)]
    own = _core.simulated_summaries(whole, some, SIGMA, fit.seed, 1, None)
    there = np.isfinite(own)  # what no pair of a game tells is filled in
    assert there.mean() > 0.5
    np.testing.assert_array_equal(own[there], fit.known.reference.summaries[:3][there])


SPREAD = 0.15  # yd an axis: how far apart a man's true spots lie from play to play


@pytest.fixture(scope="module")
def lined_up() -> tuple[list[SeenPlay], Any, Any]:
    """300 plays of one formation, men's true spots moved from play to play and seen with noise; (plays, men, 2)."""
    rng, f = np.random.default_rng(5), se.formation()
    at = np.array([f.passer, *(man.at for man in f.protectors), *(man.at for man in f.rushers)])
    true = at + SPREAD * rng.standard_normal((300, *at.shape))
    seen = true + SIGMA * rng.standard_normal(true.shape)
    plays = []
    for row in seen.tolist():
        men = iter(map(tuple, row[1:]))
        there = dataclasses.replace(
            f,
            passer=tuple(row[0]),
            protectors=tuple(dataclasses.replace(man, at=next(men)) for man in f.protectors),
            rushers=tuple(dataclasses.replace(man, at=next(men)) for man in f.rushers),
        )
        nothing = np.empty((0, len(at), 2))
        plays.append(SeenPlay(f"P{len(plays)}", there, 7.0, math.nan, 2.0, np.empty(0), nothing, ()))
    return plays, true, seen


def test_spots_are_drawn_as_the_true_ones_lie(lined_up: Any) -> None:
    """A draw given what was seen is to that as the truth is: off by the noise; and draws of all lie as the true ones
    do. Gauss: the truth given what was seen varies by 1 / (1 / spread^2 + 1 / noise^2)."""
    plays, true, seen = lined_up
    spots = np.array([one.spots.reshape(-1, *true.shape[1:]) for one in with_spots(plays, SIGMA, 1)])
    assert ((spots - seen[:, None]) ** 2).mean() == pytest.approx(SIGMA**2, rel=0.1)
    assert spots.var(axis=(0, 1)).mean() == pytest.approx(SPREAD**2, rel=0.1)
    leaves = 1 / (1 / SPREAD**2 + 1 / SIGMA**2)
    assert spots.var(axis=1).mean() == pytest.approx(leaves, rel=0.2)
    assert ((spots - true[:, None]) ** 2).mean() == pytest.approx(2 * leaves, rel=0.2)
    # Men apart: no one is drawn where another man of the line stands.
    assert np.abs(spots - seen[:, None]).max() < 6 * SIGMA


def test_without_noise_men_stand_where_they_were_seen(lined_up: Any) -> None:
    plays, _, _ = lined_up
    assert all(one.spots.size == 0 for one in with_spots(plays, 0.0, 1))


def test_the_distribution_of_spots_is_the_likeliest() -> None:
    """Kiefer and Wolfowitz: of the likeliest distribution no spot's gradient exceeds 1 (Lindsay 1983)."""
    rng = np.random.default_rng(8)
    at = np.concatenate([rng.normal(0, 0.2, (60, 2)), rng.normal(1, 0.05, (40, 2))])
    chance = likely_spots(at, SIGMA)
    np.testing.assert_allclose(chance.sum(axis=1), 1)
    weight = chance.mean(axis=0)
    likely = np.exp(-((at[:, None] - at) ** 2).sum(axis=2) / (2 * SIGMA**2))
    gradient = (likely / (likely @ weight)[:, None]).mean(axis=0)
    assert gradient.max() < 1.02
    np.testing.assert_allclose(gradient[weight > 0.01], 1, atol=0.02)


def test_plays_are_simulated_from_the_spots_they_are_given(game: se.Game) -> None:
    """From other spots: as if the men had been recorded there. What is seen goes on from where they were seen, and an
    error fades as noise does (exp(-t / 0.7 s), core/measure/NOISE.md): two men are as far apart, and 0.25 yd by which
    they were seen too near to the line are made good in that time."""
    made = se.reps(game, progress=False)
    play = seen_plays(game, made, game.measured()[:1], ())[0][0]
    f, moved = play.formation, (0.5, 0.25)
    there = dataclasses.replace(
        f,
        passer=tuple(np.add(f.passer, moved)),
        protectors=tuple(dataclasses.replace(man, at=tuple(np.add(man.at, moved))) for man in f.protectors),
        rushers=tuple(dataclasses.replace(man, at=tuple(np.add(man.at, moved))) for man in f.rushers),
    )
    at = np.array([there.passer, *(man.at for man in there.protectors), *(man.at for man in there.rushers)])
    some = [se.Assumptions()]
    one = _core.simulated_summaries([dataclasses.replace(play, formation=there).core] * 3, some, 0.0, 1, 1, None)
    other = _core.simulated_summaries([dataclasses.replace(play, spots=at).core] * 3, some, 0.0, 1, 1, None)
    here = _core.simulated_summaries([play.core] * 3, some, 0.0, 1, 1, None)
    names = _core.summary_names()
    for k, name in enumerate(names):
        if "how far apart they are by" in name:
            np.testing.assert_allclose(other[..., k], one[..., k], atol=1e-9)
        if "how far back" in name and " by " in name and name.endswith("mean"):
            time = float(name.split(" by ")[1].split(" s")[0])
            fades = moved[1] * (1 - math.exp(-time / 0.7))
            np.testing.assert_allclose(other[..., k], one[..., k] + fades, atol=1e-9)
    assert not np.allclose(here, one, equal_nan=True)
    # Of several draws each gets its turn: seen 1 yd too near, men are seen to go back by 0.25 yd in 0.2 s.
    seen = at - moved
    both = dataclasses.replace(play, spots=np.concatenate([seen, np.add(seen, (0.0, 1.0))])).core
    back = names.index("edge: how far back the protector has gone by 0.2 s (yd), mean")
    gone = [_core.simulated_summaries([both], some, 0.0, seed, 1, None)[0, 0, back] > 0.15 for seed in range(20)]
    assert 4 <= sum(gone) <= 16


def test_a_simulated_play_is_looked_at_up_to_its_own_early_throw(game: se.Game) -> None:
    """A recorded play that went on to its end had nobody free before it. So where balls are thrown early, men are seen
    less near to the passer, and of the last of a long play there is less to see."""
    made = se.reps(game, progress=False)
    play = seen_plays(game, made, game.measured()[:1], ())[0][0]
    times = np.arange(0, 3.001, 0.1)
    long = dataclasses.replace(play, until=3.0, times=times).core
    names, beaten = _core.summary_names(), se.Assumptions(hands_won=1.0)
    late, early = (
        _core.simulated_summaries(
            [long] * 20, [se.Assumptions(**{**beaten.as_dict(), "early_throws": share})], 0.0, 1, 1, None
        )[0].mean(axis=0)
        for share in (0.0, 1.0)
    )
    nearest = names.index("edge: the rusher's least distance from the passer (yd), mean")
    assert early[nearest] > late[nearest]
    soon, at_end = (names.index(f"edge: how far apart they are by {time} s (yd), mean") for time in (0.4, 2.5))
    assert early[soon] == pytest.approx(late[soon])
    assert not np.isclose(early[at_end], late[at_end])


def test_a_fit_that_is_stopped_says_so(game: se.Game, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(_core, "simulated_summaries", lambda *given: None)  # as after Ctrl-C
    with pytest.raises(KeyboardInterrupt):
        se.fit_simulator(game, noise=SIGMA, sets=100, progress=False)


def test_calibration_says_how_held_out_games_came_out(fit: se.SimulatorFit) -> None:
    rows = fit.calibration
    assert (rows["games"] == 100).all()
    assert 0.8 <= rows["held"].mean() <= 0.97
    np.testing.assert_array_equal(rows["held"], fit.table["held"])
    assert ((rows["held_low"] <= rows["held"]) & (rows["held"] <= rows["held_high"])).all()
    uneven = scipy.stats.kstwobign.ppf(0.95) / 10  # Kolmogorov's limit, of a hundred
    assert list(rows["ranks_even"]) == [bool(row <= uneven) for row in rows["ranks"]]
    known, reach = fit.known, list(fitting.RANGES).index("reach")
    widths = []
    for k in range(100):
        values, weights = known.posterior(known.told[4 * k], without=k)
        widths.append(np.ptp(quantiles(values, weights, np.array([0.05, 0.95]))[:, reach]))
    assert rows.set_index("assumption")["half_width"]["reach"] == pytest.approx(0.4 / 2 * np.mean(widths))  # yd
    unsure = dataclasses.replace(fit)
    vars(unsure)["calibration_rows"] = [{**row, "held": 0.79} for row in fit.calibration_rows]
    assert fit.table["found"].any()
    assert not unsure.table["found"].any()


def test_the_posterior_lies_as_the_table_says(fit: se.SimulatorFit) -> None:
    drawn_sets = fit.posterior(2000)
    for row in fit.table.itertuples():
        values = [getattr(one, row.assumption) for one in drawn_sets]
        low, middle, high = np.quantile(values, (0.05, 0.5, 0.95))
        width = row.high - row.low
        assert abs(low - row.low) < 0.15 * width
        assert abs(middle - row.middle) < 0.15 * width
        assert abs(high - row.high) < 0.15 * width
    assert [one.as_dict() for one in fit.posterior(2000)[:3]] == [one.as_dict() for one in drawn_sets[:3]]
    assert fit.posterior(1, seed=2)[0].early_throws == se.Assumptions().early_throws


def test_a_study_from_the_plays(fit: se.SimulatorFit) -> None:
    """Its middle is the median of studies of the same draws, made one by one."""
    told: list[tuple[int, int]] = []
    found = fit.study(
        depths=[7, 9], posterior=3, draws=60, seed=4, progress=lambda done, every: told.append((done, every))
    )
    assert told == [(1, 3), (2, 3), (3, 3)]
    table = found.table.set_index("depth")
    for depth in (7.0, 9.0):
        shares = []
        for assumed in fit.posterior(3, seed=4):
            alone = se.simulate(depths=[depth], draws=60, seed=4, assumptions=assumed, progress=False).table
            shares.append(alone[alone["throw"] == "clock"]["hurried"].item())
        assert table["hurried_middle"][depth] == np.median(shares)
    assert "From your plays" in found.words()
    assert "From 7 to 9 yd" in repr(found)
    deep = fit.study(se.formation(passer_at=(0, 6)), posterior=2, draws=5, progress=False)
    assert deep.depths == (7.0, 9.0, 10.0)  # no drop ends before it began


def test_a_study_from_plays_in_figures_and_words() -> None:
    shares = np.random.default_rng(9).random((30, 2, 3))
    shares[:10, 1, 0] = shares[:10, 0, 0]  # neither up nor down
    made = fitting.FromPlays("a game", se.formation(), (7.0, 9.0), 100, shares)
    table = made.table.set_index("depth")
    for k, name in enumerate(("hurried", "pressure", "arrived")):
        for j, depth in enumerate((7.0, 9.0)):
            for end, share in (("low", 0.05), ("middle", 0.5), ("high", 0.95)):
                assert table[f"{name}_{end}"][depth] == pytest.approx(np.quantile(shares[:, j, k], share))
    rise = shares[:, 1, 0] - shares[:, 0, 0]
    said = made.words()
    assert f"From 7 to 9 yd {100 * np.median(rise):+.0f} points" in said
    assert f"up in {int((rise > 0).sum())} of 30 draws" in said
    for depth in (7.0, 9.0):
        assert f"{depth:g} yd: hurried in {100 * table['hurried_middle'][depth]:.0f} of 100" in said


def test_the_gate_is_shut_beyond_its_limit(fit: se.SimulatorFit) -> None:
    told, _, limit = fit.told
    for share in (0.99, 1.01):
        fit = dataclasses.replace(fit)
        vars(fit)["told"] = (told, share * limit, limit)
        assert bool(fit.refused) == (share > 1)


def test_another_noise_than_said_is_refused(fit: se.SimulatorFit) -> None:
    """The same plays, seen with 0.3 yd, against the reference of 0.08 yd."""
    loud = known_game(10, {"rusher_reaction": 0.3, "reach": 0.9}, sigma=0.3, seed=5)
    plays, _ = seen_plays(loud, se.reps(loud, progress=False), loud.measured(), ())
    figures = _core.recorded_summary([play.core for play in plays], [play.flat for play in plays])
    fit = dataclasses.replace(fit, recorded=figures)
    assert "does not look like anything simulated" in fit.refused
    assert fit.words() == fit.refused
    assert f"Either the noise of position is not {SIGMA:.2f} yd" in fit.refused
    assert not fit.table["found"].any()
    assert fit.table[["low", "middle", "high"]].isna().all().all()
    assert len(fit.farthest) == 20
    for call in (lambda: fit.posterior(3), lambda: fit.study(depths=[7])):
        with pytest.raises(se.InputError, match="does not look like anything simulated"):
            call()


def test_snaps_half_a_second_early_are_not_told_as_noise(fit: se.SimulatorFit) -> None:
    """Everybody is where he was 0.4 s later: so much further than noise goes in the mean."""
    late = []
    for play in fit.plays:
        k = int(np.searchsorted(play.times, 0.4))
        places = np.concatenate([play.places[k:], np.repeat(play.places[-1:], k, axis=0)])
        places[0] = play.places[0]
        late.append(dataclasses.replace(play, places=places))
    figures = _core.recorded_summary([play.core for play in late], [play.flat for play in late])
    fit = dataclasses.replace(fit, recorded=figures)
    assert "the times of the snaps are off" in fit.refused
    assert "noise of position is not" not in fit.refused


@pytest.mark.full
def test_a_scripted_game_is_refused() -> None:
    demo = se.example()
    fit = se.fit_simulator(demo, plays=demo.measured()[:9], sets=100, progress=False)
    assert fit.noise.found.startswith("estimated from")
    assert fit.refused
    assert fit.words().startswith("The game does not look like anything simulated")
    assert "the times of the snaps are off" in fit.refused


def test_what_it_refuses(game: se.Game) -> None:
    refusals: list[tuple[dict[str, Any], str]] = [
        ({"noise": "loud"}, "noise is"),
        ({"noise": "auto"}, "stances"),
        ({"noise": 0.1, "sets": 50}, "sets is 50; accepted: a whole number, 100 to 20000"),
        ({"noise": 0.1, "plays": ["P000"]}, "1 plays can be simulated; accepted: 8 or more"),
        ({"noise": 0.1, "plays": ["nobody"]}, "no play"),
        ({"noise": 0.1, "without_label": ["simulated"]}, "no play is left to simulate"),
        ({"noise": 0.1, "without_label": ["no label"]}, "no play has the label"),
    ]
    for given, says in refusals:
        with pytest.raises(se.InputError, match=says):
            se.fit_simulator(game, **given)


def test_ctrl_c_and_progress(game: se.Game) -> None:
    told: list[tuple[int, int]] = []

    def shows(done: int, all: int) -> None:
        told.append((done, all))
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        se.fit_simulator(game, noise=SIGMA, sets=1000, progress=shows)
    ((done, every),) = told
    assert every == 10_000
    assert done < 100


def test_options_that_go_with_a_fit_alone(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["simulate", "--noise", "0.1"]) == 2
    assert "found without --fit" in capsys.readouterr().err
    assert main(["simulate", "--fit", "game.h5", "--front", "wide L"]) == 2
    assert '"--front": found with --fit' in capsys.readouterr().err
    assert main(["simulate", "--fit", "game.h5", "--noise", "loud"]) == 2
    assert "--noise is" in capsys.readouterr().err
    assert main(["simulate", "--against", "game.h5", "--fit", "game.h5", "--tries", "200"]) == 2
    assert '"--fit", "--tries": found with --against' in capsys.readouterr().err
    assert main(["simulate", "--fit", "game.h5", "--play-action", "-o", "fit.svg"]) == 2
    assert '"--play-action", "--out": found with --fit' in capsys.readouterr().err
    assert main(["simulate", "--fit", "game.h5", "--draws", "20"]) == 2
    assert "--draws: found with --fit without --depths" in capsys.readouterr().err


def test_the_command_hands_on_what_it_is_told(
    tmp_path: Path,
    game: se.Game,
    fit: se.SimulatorFit,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    given: dict[str, Any] = {}

    def told(*_: object, **how: Any) -> se.SimulatorFit:
        given.update(how)
        return fit

    monkeypatch.setattr(simulating, "fit_simulator", told)
    game.save(tmp_path / "game.h5")
    asked = ["simulate", "--fit", str(tmp_path / "game.h5"), "--table", str(tmp_path / "fit.parquet"), "--seed", "4"]
    more = ["--noise", "0.1", "--tries", "123", "--threads", "1", "--set", "arm=0.9", "--without-label", "simulated"]
    assert main([*asked, *more, "--depths", "7", "--draws", "4"]) == 0
    assert given.pop("assumptions") == se.Assumptions(arm=0.9)
    assert given == {"noise": 0.1, "sets": 123, "seed": 4, "threads": 1, "without_label": ["simulated"]}
    said = capsys.readouterr().out
    for row in fit.rows:
        line = next(line for line in said.splitlines() if line.startswith(f"{row['assumption']} ")).split()
        shown = [line.pop(0), *([line.pop(0)] if row["unit"] else [])]
        assert shown == [row["assumption"], *([row["unit"]] if row["unit"] else [])]
        numbers = [f"{row[name]:.2f}" for name in ("assumed", "middle", "low", "high")]
        assert line == [*numbers[:3], "to", numbers[3], "yes" if row["found"] else "no", f"{row['held']:.2f}"]
    assert said.rstrip().endswith(fit.study(depths=[7], draws=4, seed=4, progress=False).words())
    about = pq.read_table(tmp_path / "fit.parquet").schema.metadata
    assert about[b"shortedge.digest"] == game.digest.encode()
    assert about[b"shortedge.noise"] == b"0.08"
    given.clear()
    assert main(asked) == 0
    assert given["noise"] == "auto"
    assert "sets" not in given  # as many as the function takes if nothing is said
    capsys.readouterr()
    fit = dataclasses.replace(fit, recorded=2 * fit.recorded)
    assert main([*asked, "--depths", "7"]) == 1
    said = capsys.readouterr().out
    assert fit.refused in said
    assert "kick_speed" not in said
    assert "From your plays" not in said


@pytest.mark.full
def test_the_command(tmp_path: Path, game: se.Game, fit: se.SimulatorFit, capsys: pytest.CaptureFixture[str]) -> None:
    game.save(tmp_path / "game.h5")
    more = ["--noise", str(SIGMA), "--tries", "100", "--table", str(tmp_path / "fit.csv")]
    assert main(["simulate", "--fit", str(tmp_path / "game.h5"), *more, "--depths", "7", "--draws", "20"]) == 0
    said = capsys.readouterr().out
    assert "rusher_reaction" in said
    assert "From your plays" in said
    table = pd.read_csv(tmp_path / "fit.csv")
    np.testing.assert_allclose(table["middle"], fit.table["middle"], atol=6e-4)


def test_tables_come_out_in_the_library_that_is_set(fit: se.SimulatorFit) -> None:
    try:
        se.set_output("polars")
        given = [fit.table, fit.calibration, fit.farthest, fit.study(depths=[7], posterior=2, draws=4).table]
        assert all(isinstance(table, pl.DataFrame) for table in given)
    finally:
        se.set_output(None)


# -------------------------------------------------------------------------------------------------- long proofs


@pytest.mark.full
def test_games_of_known_assumptions_are_found_again() -> None:
    """Intervals hold 90 % of 8 games' 15 assumptions; the gate lets right games through and refuses wrong noise."""
    rng = np.random.default_rng(2)
    held = asked = refused = wrong = 0
    for n in range(8):
        truth = drawn(rng)
        game = known_game(32, truth, sigma=SIGMA, seed=100 + n)
        fit = se.fit_simulator(game, noise=SIGMA, sets=200, progress=False)
        wrong += bool(se.fit_simulator(game, noise=0.0, sets=100, progress=False).refused)
        if fit.refused:
            refused += 1
            continue
        for row in fit.rows:
            held += row["low"] <= truth[row["assumption"]] <= row["high"]
            asked += 1
    assert refused <= 2
    assert wrong >= 7
    assert held / asked >= 0.8  # 0.9 of 90 or more, which depend on one another
    assert held < asked
