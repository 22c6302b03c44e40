"""Two men side by side: intervals against published ones and SciPy, counts against counting by hand."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import scipy.stats

import shortedge as se
from shortedge.measures.compare import MOMENTS, aligned, newcombe, shift, sides


@pytest.fixture(scope="module")
def game() -> se.Game:
    return se.example()


@pytest.fixture(scope="module")
def reps(game: se.Game) -> se.Reps:
    return se.reps(game)


# Newcombe 1998, "Interval estimation for the difference between independent proportions: comparison of eleven methods",
# Statistics in Medicine 17, 873-890, table II, method 10.
@pytest.mark.parametrize(
    ("counts", "low", "high"),
    [
        ((56, 70, 48, 80), 0.0524, 0.3339),
        ((9, 10, 3, 10), 0.1705, 0.8090),
        ((6, 7, 2, 7), 0.0582, 0.8062),
        ((5, 56, 0, 29), -0.0381, 0.1926),
        ((0, 10, 0, 20), -0.1611, 0.2775),
    ],
)
def test_difference_of_shares_as_published(counts: tuple[int, int, int, int], low: float, high: float) -> None:
    difference, found_low, found_high = newcombe(*counts)
    assert difference == pytest.approx(counts[0] / counts[1] - counts[2] / counts[3])
    assert (round(found_low, 4), round(found_high, 4)) == (low, high)


def test_no_share_of_nothing() -> None:
    assert np.isnan(newcombe(0, 0, 3, 10)).all()


@pytest.mark.parametrize(("n", "m"), [(5, 5), (6, 11), (23, 17), (40, 80)])
def test_the_shift_is_the_one_the_rank_test_lets_stand(n: int, m: int) -> None:
    """The interval holds just those shifts that the Mann-Whitney test at 5 % does not refuse."""
    drawn = np.random.default_rng(n * m)
    one, other = drawn.normal(0.4, 1, n), drawn.normal(0, 1, m)
    middle, low, high = shift(one, other)
    assert middle == pytest.approx(np.median(np.subtract.outer(one, other)))

    def p(by: float) -> float:
        test = scipy.stats.mannwhitneyu(one - by, other, use_continuity=False, method="asymptotic")
        return float(test.pvalue)

    assert p(low - 1e-9) < 0.05 <= p(low + 1e-9)
    assert p(high + 1e-9) < 0.05 <= p(high - 1e-9)


def test_too_few_to_shift() -> None:
    assert np.isnan(shift(np.arange(4.0), np.arange(20.0))).all()


def test_counts_of_two_men_by_hand(reps: se.Reps) -> None:
    table = se.compare(reps, "TK-63", against="TK-66").fillna({"value": ""}).set_index(["split", "value"])
    for man, name in (("TK-63", "one"), ("TK-66", "other")):
        his = reps.table[reps.table["protector"] == man]
        judged = his[his["outcome"].isin(["held", "beat", "driven"])]
        whole = table.loc[("all", "")]
        assert whole[f"judged_{name}"] == len(judged)
        assert whole[f"beat_{name}"] == (judged["outcome"] == "beat").sum()
        assert whole[f"pressure_{name}"] == judged["pressure"].sum()
        interval = scipy.stats.binomtest(int(whole[f"beat_{name}"]), len(judged)).proportion_ci(method="wilson")
        assert (whole[f"beat_low_{name}"], whole[f"beat_high_{name}"]) == pytest.approx(tuple(interval))
        assert whole[f"median_leverage_{name}"] == pytest.approx(judged["leverage"].median())
        for technique, some in judged.groupby("technique"):
            assert table.loc[("technique", technique), f"judged_{name}"] == len(some)
        assert table.loc[("helped", "with help"), f"judged_{name}"] == judged["helped"].sum()
    whole = table.loc[("all", "")]
    assert whole["beat_difference"] == pytest.approx(whole["beat_share_one"] - whole["beat_share_other"])
    assert set(table.index.get_level_values(0)) == {"all", "technique", "helped", "drop_depth"}


def test_one_man_in_two_spans(game: se.Game) -> None:
    """The two halves of a game add up to the whole."""
    tables = [table.to_pandas() for table in (game.arrow("plays"), game.arrow("people"))]
    plays = tables[0]["play"].tolist()
    halves = []
    for name, some in (("first", plays[::2]), ("second", plays[1::2])):
        halves.append(se.reps(part(game, name, some)))
    table = se.compare(halves[0], "TK-63", against_reps=halves[1])
    whole = se.reps(game).table.query("protector == 'TK-63' and outcome in ['held', 'beat', 'driven']")
    assert table["judged_one"].iloc[0] + table["judged_other"].iloc[0] == len(whole)
    with pytest.raises(se.InputError, match="against himself in the same games"):
        se.compare(halves[0], "TK-63", against_reps=[halves[1], halves[0]])


def part(game: se.Game, name: str, plays: list[str]) -> se.Game:
    """Some plays of the demo game."""
    folder = Path(__file__).resolve().parents[2] / "data" / "demo_game"
    tracks, snaps = (pd.read_csv(folder / file) for file in ("tracks.csv.gz", "snaps.csv"))
    some = [table[table["play"].isin(plays)] for table in (tracks, snaps)]
    return se.from_tables(*some, pd.read_csv(folder / "people.csv"), units="yd", origin="corner", y="up", name=name)


def test_refused(reps: se.Reps) -> None:
    rusher = reps.table.query("outcome == 'held'")["rusher"].iloc[0]
    with pytest.raises(se.InputError, match=r'"TK-63" protects and .* rushes'):
        se.compare(reps, "TK-63", against=rusher)
    with pytest.raises(se.InputError, match='no rep of player "nobody"'):
        se.compare(reps, "TK-63", against="nobody")
    with pytest.raises(se.InputError, match="against himself"):
        se.compare(reps, "TK-63")


def test_the_same_moments(game: se.Game, reps: se.Reps) -> None:
    """At contact and after, each figure's quartiles are those of the rushers table's frames, looked up here."""
    m = se.measure(game)
    one, _ = sides(reps, "TK-63", "TK-66", None)
    found = pd.DataFrame(aligned([m], one)).set_index(["moment", "figure"])
    his = reps.table.query("protector == 'TK-63' and outcome in ['held', 'beat', 'driven']").dropna(
        subset=["contact_time"]
    )
    for moment in (0.0, 0.5, 1.0):
        values = []
        for row in his.itertuples():
            frames = m.rushers.query("play == @row.play and rusher == @row.rusher and blocker == 'TK-63'")
            frames = frames[(frames["time"] >= row.start - 1e-6) & (frames["time"] <= row.end + 1e-6)]
            off = (frames["time"] - row.contact_time - moment).abs()
            if len(off) and off.min() <= 0.13:
                values.append(frames.loc[off.idxmin(), "cutoff_ratio"])
        said = found.loc[(moment, "cutoff_ratio")]
        assert said["n"] == len(values)
        assert (said["low"], said["median"], said["high"]) == pytest.approx(
            tuple(np.quantile(values, (0.25, 0.5, 0.75)))
        )
    assert found.index.get_level_values(0).unique().tolist() == list(MOMENTS)
