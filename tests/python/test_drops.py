"""Depth of the drop: break-even depths against SciPy's root finder, and other depths of recorded drops."""

import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.parquet
import pytest
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.text import Text
from scipy.optimize import brentq

import shortedge as se
import truth
from conftest import LINE, taken, written
from shortedge import _core
from shortedge.cli import main
from shortedge.pages import man_page
from shortedge.pages.parts import Whole
from shortedge.tell import margins
from small_game import YARDS, in_library, small_game

DEMO = Path(se.__file__).parent / "demo_game"
DEPTHS = [float(depth) for depth in np.arange(5.0, 12.1, 0.5)]
FIGURES = ["outside_exposure", "outside_time", "outside_bend", "short_edge"]


@pytest.fixture(scope="module")
def demo() -> se.Game:
    return se.example()


@pytest.fixture(scope="module")
def m(demo: se.Game) -> se.Measures:
    return se.measure(demo)


@pytest.fixture(scope="module")
def reps(demo: se.Game) -> se.Reps:
    return se.reps(demo)


@pytest.fixture(scope="module")
def studies(demo: se.Game) -> dict[str, se.DropStudy]:
    """Every play, at the usual depths."""
    return {play: se.drop_study(demo, play) for play in demo.measured()}


@pytest.fixture(scope="module")
def rows(studies: dict[str, se.DropStudy]) -> pd.DataFrame:
    return pd.concat([study.table for study in studies.values()], ignore_index=True)


# ------------------------------------------------------------------------------------------------ break-even depth


def test_against_a_root_finder(rng: np.random.Generator) -> None:
    """A scan of 0.01 yd brackets the first depth at which the ratio is reached, SciPy's brentq finds it in there."""
    found = {"root": 0, "none": 0, "already": 0}
    depths = np.arange(0, 50, 0.01)
    for _ in range(1500):
        rusher, blocker = rng.uniform([-8, -3], [8, 4]), rng.uniform([-5, -1], [5, 5])
        passer, share = rng.uniform([-2, 0], [2, 6]), rng.uniform(0.1, 1.3)
        got = se.break_even_depth(rusher, blocker, passer, speed_ratio=share)

        def over(depth: Any, r=rusher, b=blocker, q=passer, k=share) -> Any:
            return se.cutoff_ratio(r, b, np.stack([np.full(np.shape(depth), q[0]), depth], axis=-1)) - k

        scan = over(passer[1] + depths)
        if scan[0] >= 0:
            assert math.isnan(got)
            found["already"] += 1
            continue
        if not (scan >= 0).any():
            if got < passer[1] + depths[-1]:  # over it for less than a step
                assert over(got) == pytest.approx(0, abs=1e-9)
            found["none"] += 1
            continue
        k = int(np.argmax(scan >= 0))
        root = brentq(over, *(passer[1] + depths[k - 1 : k + 1]), xtol=1e-12)
        if got < root - 1e-6:
            assert over(got) == pytest.approx(0, abs=1e-9)
        else:
            assert got == pytest.approx(root, abs=1e-6)
            found["root"] += 1
    assert min(found.values()) > 100


# Tackle at (3.2, 0.7), rusher w yd outside him at v -0.9, passer from (0, 1): by bisection, printed to a tenth.
PRINTED = {
    2: (7.8, 10.5, 15.1, 26.4, 107.4),
    3: (6.1, 7.9, 10.5, 14.9, 25.3),
    4: (5.6, 7.3, 9.4, 12.8, 19.3),
}


def test_the_printed_table() -> None:
    sheet = se.break_even_study(widths=list(PRINTED), speed_ratios=(0.35, 0.45, 0.55, 0.65, 0.75), passer=(0, 1))
    got = sheet.table["break_even"].to_numpy().reshape(3, 5)
    np.testing.assert_allclose(got, list(PRINTED.values()), rtol=0, atol=0.05)
    by_default = se.break_even_study(widths=list(PRINTED)).table["break_even"].to_numpy().reshape(3, 5)
    np.testing.assert_allclose(by_default, got, rtol=1e-12)


def test_break_even_broadcasts(rng: np.random.Generator) -> None:
    rusher, blocker = rng.uniform([4, -2], [8, 0], (4, 1, 2)), rng.uniform([2, 0], [4, 2], (3, 2))
    share = np.linspace(0.2, 0.9, 5)[:, None, None]
    depths = se.break_even_depth(rusher, blocker, (0, 1), speed_ratio=share)
    assert depths.shape == (5, 4, 3)
    assert np.isfinite(depths).sum() > 10
    for i, j, k in np.ndindex(5, 4, 3):
        one = se.break_even_depth(rusher[j, 0], blocker[k], (0, 1), speed_ratio=float(share[i, 0, 0]))
        assert isinstance(one, float)
        np.testing.assert_equal(one, depths[i, j, k])
    assert math.isnan(se.break_even_depth((math.nan, 0), (3, 0), (0, 1)))
    assert se.break_even_depth(np.empty((0, 2)), (3, 0), (0, 1)).shape == (0,)


def test_the_sheet_agrees_with_itself() -> None:
    """The ratio asked at a break-even depth is that speed ratio; wider and slower means shallower (the trade's
    judgement: common practice, no source)."""
    sheet = se.break_even_study()
    table = sheet.table
    assert list(table) == ["width", "speed_ratio", "break_even"]
    finite = table[np.isfinite(table["break_even"])]
    assert len(finite) > 30
    asked = sheet.asked(finite["width"].to_numpy(), finite["break_even"].to_numpy())
    np.testing.assert_allclose(asked, finite["speed_ratio"], atol=1e-9)
    grid = table.pivot(index="width", columns="speed_ratio", values="break_even").to_numpy()
    with np.errstate(invalid="ignore"):
        assert (np.diff(grid, axis=1)[np.isfinite(grid[:, 1:])] > 0).all()
        assert (np.diff(grid, axis=0)[np.isfinite(grid[:-1])] < 0.05).all()
        assert (np.diff(grid[:6], axis=0)[np.isfinite(grid[:5])] < 0).all()  # to 3.5 yd; from 4 on it hardly differs
    ratios = sheet.ratios
    assert list(ratios) == ["width", "depth", "cutoff_ratio"]
    assert len(ratios) == len(sheet.widths) * len(sheet.depths)
    mirrored = se.break_even_study(tackle=(-3.2, 0.7))
    np.testing.assert_allclose(mirrored.table["break_even"], table["break_even"], rtol=1e-12)
    se.set_output("polars")
    try:
        assert type(sheet.table).__module__.split(".")[0] == "polars"
    finally:
        se.set_output(None)


# ------------------------------------------------------------------------------------- the drop as it was taken


def test_the_row_taken_is_what_is_measured(rows: pd.DataFrame, m: se.Measures, reps: se.Reps) -> None:
    """Edge protector, rusher, contact, ratio, exposure and width are those of measure and reps, to the bit."""
    mine = rows[rows["taken"]]
    assert (mine.groupby("play").size() == 2).all()
    drops = mine.merge(reps.dropbacks, on="play", suffixes=("", "_rep"))
    topped = drops[drops["top_time_rep"].notna()]
    assert len(topped) > 100
    assert (topped["top_time"] == topped["top_time_rep"]).all()
    table = reps.table.rename(columns={"protector": "edge_man"})
    blocked = table[~table["outcome"].isin(["help", "uncovered"])]
    both = mine.merge(blocked, on=["play", "edge_man", "rusher"], suffixes=("", "_rep"))
    both = both.sort_values("start").drop_duplicates(["play", "side"])
    assert len(both) > 100
    assert len(both) == mine["rusher"].notna().sum()
    met = both[both["contact_time"].notna()]
    assert (met["until"] == met["contact_time"]).all()
    assert (both["peak_cutoff_ratio"] == both["peak_cutoff_ratio_rep"]).all()
    assert (both["peak_cutoff_time"] == both["peak_cutoff_time_rep"]).all()
    frames = m.rushers.merge(mine[["play", "rusher", "edge_man", "until"]], on=["play", "rusher"])
    frames = frames[(frames["blocker"] == frames["edge_man"]) & (frames["time"] <= frames["until"] + 1e-6)]
    best = frames.sort_values(["outside_time", "time"]).drop_duplicates(["play", "rusher"])
    joined = best.merge(mine, on=["play", "rusher"], suffixes=("", "_drop"))
    assert len(joined) > 90
    assert (joined["time"] == joined["exposure_time"]).all()
    for name in FIGURES:
        assert (joined[name] == joined[f"{name}_drop"]).all(), name
    peak = frames.groupby(["play", "rusher"])["outside_exposure"].max()
    assert (peak == joined.set_index(["play", "rusher"])["outside_exposure_drop"].reindex(peak.index)).all()
    edges = m.edges.merge(mine, left_on=["play", "side", "time"], right_on=["play", "side", "exposure_time"])
    edges = edges[edges["edge_man_x"] == edges["edge_man_y"]]
    assert len(edges) > 80
    assert (edges["edge_width_x"] == edges["edge_width_y"]).all()


def test_asked_for_the_depth_taken_it_is_the_same(demo: se.Game, studies: dict[str, se.DropStudy]) -> None:
    for play in demo.measured()[::10]:
        depth = float(studies[play].table.query("taken")["depth"].iloc[0])
        table = se.drop_study(demo, play, depths=[depth]).table
        assert len(table) == 4
        for _, side in table.groupby("side"):
            pd.testing.assert_series_equal(
                side.iloc[0].drop("taken"), side.iloc[1].drop("taken"), check_names=False, check_exact=True
            )


def test_depths_top_times_and_own_drop_speed(studies: dict[str, se.DropStudy]) -> None:
    """From the drop taken on, each yard takes what a yard of the drop took."""
    seen = 0
    for study in studies.values():
        left = study.table[study.table["side"] == "left"]
        assert left["depth"].is_monotonic_increasing
        assert left["top_time"].is_monotonic_increasing
        assert 1.9 < study.drop_speed < 4
        deeper = left[left["depth"] >= left.loc[left["taken"], "depth"].iloc[0]]
        if len(deeper) > 1:
            seen += 1
            np.testing.assert_allclose(np.diff(deeper["depth"]), study.drop_speed * np.diff(deeper["top_time"]))
    assert seen == len(studies)


# ---------------------------------------------------------------------------------------------- facts of the trade


def wide_rush(rows: pd.DataFrame, demo: se.Game) -> pd.DataFrame:
    """Rows of rushers who align two yards or more outside their man, met by him."""
    found = []
    for (play, _), side in rows.groupby(["play", "side"]):
        if side["rusher"].isna().any():
            continue
        ready = demo.play(play)
        at = {man.player: ready.place[0, k] for k, man in enumerate(ready.men)}
        out = abs(at[side["rusher"].iloc[0]][0]) - abs(at[side["edge_man"].iloc[0]][0])
        if out >= 2:
            found.append(side)
    assert len(found) >= 15
    return pd.concat(found)


def test_ten_yards_asks_more_of_the_tackle_than_seven(rows: pd.DataFrame, demo: se.Game) -> None:
    """Ten yards is a very deep drop, seven to nine a normal seven-step one (common practice, no source): the peak
    cut-off ratio to the spot rises with the depth for a wide rusher, and at ten is clearly above that at seven."""
    peaks = wide_rush(rows[~rows["taken"]], demo).pivot(
        index=["play", "side"], columns="depth", values="peak_cutoff_ratio"
    )
    deep = peaks[[7.0, 8.0, 9.0, 10.0]].dropna()
    rising = (np.diff(deep, axis=1) > 0).all(axis=1)
    assert rising.mean() > 0.8
    assert (deep[10.0] / deep[7.0]).median() > 1.15


def test_a_deep_drop_straightens_the_way_and_shortens_the_edge(rows: pd.DataFrame, reps: se.Reps) -> None:
    """Rusher and tackle held where they meet (common practice, no source): with the passer on the spot the bend falls
    and the short edge grows with the depth, on every edge the tackle still holds."""
    held = reps.table.query("outcome == 'held' and contact_time.notna()").rename(columns={"protector": "edge_man"})
    mine = rows[~rows["taken"] & (rows["depth"] >= 6)].merge(held[["play", "edge_man", "rusher"]].drop_duplicates())
    sides = list(mine.groupby(["play", "side"]))
    assert len(sides) > 50
    for key, side in sides:
        assert (np.diff(side["spot_bend"]) <= 1e-9).all(), key
        assert (np.diff(side["spot_short_edge"]) >= -1e-9).all(), key
    least, most = (
        mine[mine["depth"] == 7].set_index(["play", "side"]),
        mine[mine["depth"] == 10].set_index(["play", "side"]),
    )
    assert (least["spot_bend"] - most["spot_bend"]).median() > 5
    assert (most["spot_short_edge"] - least["spot_short_edge"]).median() > 0.1


@pytest.mark.parametrize("which", ["demo", "foreign"])
def test_the_margin_falls_with_depth(which: str, demo: se.Game) -> None:
    """A deeper drop tops later and the ball is out later (common practice, no source): how long before the throw the
    edge bears falls with the depth on at least 95 % of edges of any game, though the cut-off ratio need not rise."""
    game = demo if which == "demo" else truth.foreign().game()
    edges = falls = 0
    for play in game.measured()[::2]:
        try:
            table = se.drop_study(game, play, depths=[7, 8, 9, 10]).table
        except se.InputError:  # a passer who never drops, or stands deeper
            continue
        for _, side in table[~table["taken"]].groupby("side"):
            margin = side.sort_values("depth")["margin"].to_numpy()
            if len(margin) < 4 or not np.isfinite(margin).all():
                continue
            edges += 1
            falls += bool((np.diff(margin) < 0).all())
    assert edges > 20
    assert falls >= 0.95 * edges


# ----------------------------------------------------------------------------------------------- plays by hand

RATE = 20.0


def path(*corners: tuple[float, float, float]) -> np.ndarray:
    t, u, v = np.array(corners).T
    times = np.arange(round(2.8 * RATE) + 1) / RATE
    return np.stack([np.interp(times, t, u), np.interp(times, t, v)], axis=1)


PEOPLE = {name: ("offense", name, None) for name in LINE} | {"QB": ("offense", "QB", None)}
PEOPLE |= {"LE": ("defense", "DE", None), "RE": ("defense", "DE", None)}
SEVEN = path((0, 0, 1), (0.1, 0, 1), (1.7, 0, 7), (2.0, 0, 6.6))
WIDE = {
    "LT": path((0.1, *LINE["LT"]), (1.6, -3.9, 4.2), (2.8, -3, 5.5)),
    "RT": path((0.1, *LINE["RT"]), (1.6, 3.9, 4.2), (2.8, 3, 5.5)),
    "LE": path((0.2, -6.6, -1), (1.7, -4.6, 3.6), (2.8, -3.4, 4.8)),
    "RE": path((0.2, 6.6, -1), (1.7, 4.6, 3.6), (2.8, 3.4, 4.8)),
}


def game_of(qb: Any, **men: Any) -> se.Game:
    everyone = {**LINE, **WIDE, "QB": qb, **men}
    tracks, snaps, people = written({"p": everyone}, {name: PEOPLE[name] for name in everyone}, RATE)
    return taken((tracks, snaps.assign(throw_time=2.6), people))


def test_a_hand_made_play_is_the_same_mirrored() -> None:
    table = se.drop_study(game_of(SEVEN), "p", depths=[6, 8, 10]).table
    left, right = (table[table["side"] == side].reset_index(drop=True) for side in ("left", "right"))
    assert left["edge_man"].unique().tolist() == ["LT"]
    assert right["rusher"].unique().tolist() == ["RE"]
    numbers = [name for name in table.columns if table[name].dtype == float]
    pd.testing.assert_frame_equal(left[numbers], right[numbers], rtol=1e-9)
    assert left["peak_cutoff_ratio"].is_monotonic_increasing
    assert left["taken"].tolist() == [False, True, False, False]


def test_a_stretched_play_measured_as_if_it_had_been_recorded() -> None:
    """The other way to the same: the passer's deeper path written into the tracks of a second game, and that measured.

    The yards are put in where he begins to gather, at his own drop speed."""
    game = game_of(SEVEN)
    study = se.drop_study(game, "p", depths=[9.0])
    row = study.table.query("depth == 9 and side == 'left'").iloc[0]
    ready = game.play("p")
    passer = next(k for k, man in enumerate(ready.men) if man.role == "passer")
    depth, speed = ready.place[:, passer, 1], ready.velocity[:, passer, 1]
    k = max(i for i in range(len(depth)) if ready.time[i] <= ready.top_time + 1e-6 and speed[i] >= study.drop_speed)
    share = (speed[k] - study.drop_speed) / (speed[k] - speed[k + 1])
    gather = ready.time[k] + share * (ready.time[k + 1] - ready.time[k])
    more = 9.0 - study.table.query("taken")["depth"].iloc[0]
    knots = np.interp(gather, ready.time, depth)
    later = more / study.drop_speed
    held = (ready.time > gather) & (ready.time < gather + later)
    deeper = np.interp(np.where(ready.time <= gather, ready.time, ready.time - later), ready.time, depth)
    deeper = np.where(
        ready.time <= gather, deeper, np.where(held, knots + study.drop_speed * (ready.time - gather), deeper + more)
    )
    rebuilt = se.measure(game_of(np.stack([ready.place[:, passer, 0], deeper], axis=1)))
    frames = rebuilt.rushers[(rebuilt.rushers["rusher"] == "LE") & (rebuilt.rushers["time"] <= row["until"] + 1e-6)]
    best = frames.sort_values("outside_time").iloc[0]
    for name in FIGURES:
        assert best[name] == pytest.approx(row[name], abs=1e-9), name
    spot = se.cutoff_ratio([(-6.6, -1)], [LINE["LT"]], [(0, 9)])[0]
    assert row["peak_cutoff_ratio"] >= spot


def test_a_passer_who_never_drops() -> None:
    game = game_of((0, 5.0))
    study = se.drop_study(game, "p")
    assert math.isnan(study.drop_speed)
    assert study.table["taken"].tolist() == [True, True]
    assert study.table["depth"].tolist() == [5.0, 5.0]
    assert "no other depth" in repr(study)
    study.draw()
    with pytest.raises(se.InputError, match="depths: found 7 yd; accepted: none, for this passer never drops"):
        se.drop_study(game, "p", depths=[7])


def test_from_the_gun() -> None:
    qb = path((0, 0, 5), (0.5, 0, 5), (1.2, 0, 7.2), (1.6, 0, 7.0))
    study = se.drop_study(game_of(qb), "p")
    assert study.drop_speed > 2
    assert 5 < study.shallowest < 6
    depths = study.table["depth"].unique()
    assert depths.min() >= study.shallowest
    assert depths.max() == 12
    with pytest.raises(
        se.InputError, match=r"depths: found 5 yd; accepted: 5\.\d+ yd, which this drop can be shortened"
    ):
        se.drop_study(game_of(qb), "p", depths=[5, 4])
    some = se.drop_study(game_of(qb), "p", depths=[7, 5, 9, 25])
    assert some.left_out == (5, 25)
    assert sorted(set(some.table.loc[~some.table["taken"], "depth"])) == [7, 9]


def test_missing_samples_of_the_passer() -> None:
    gone = SEVEN.copy()
    gone[9:22] = np.nan
    table = se.drop_study(game_of(gone), "p", depths=[9]).table
    whole = se.drop_study(game_of(SEVEN), "p", depths=[9]).table
    assert table["until"].notna().all()
    assert not table["exposure_time"].between(0.43, 1.08).any()
    np.testing.assert_allclose(table["peak_cutoff_ratio"], whole["peak_cutoff_ratio"], rtol=0.02)
    none = SEVEN.copy()
    none[2:] = np.nan
    never = se.drop_study(game_of(none), "p").table
    assert never["taken"].all()


def test_nobody_attacks_an_edge() -> None:
    men = {name: WIDE[name] for name in ("LT", "RT", "LE")}
    everyone = {**LINE, **men, "QB": SEVEN}
    tables = written({"p": everyone}, {name: PEOPLE[name] for name in everyone}, RATE)
    study = se.drop_study(taken(tables), "p", depths=[7, 9])
    right = study.table[study.table["side"] == "right"]
    assert right["rusher"].isna().all()
    assert right[["peak_cutoff_ratio", "until", "spot_bend", *FIGURES]].isna().all(axis=None)
    assert right["edge_man"].tolist() == ["RT"] * 3
    assert "right edge: nobody attacks it" in texts(study.draw())


# ---------------------------------------------------------------------------------------------- tables and files


@pytest.mark.parametrize("library", ["pandas", "polars", "pyarrow"])
def test_the_table_of_every_library(library: str) -> None:
    game = se.from_tables(*(in_library(table, library) for table in small_game()), **YARDS)
    study = se.drop_study(game, "10", depths=[8, 10])
    assert type(study.table).__module__.split(".")[0] == library
    arrow = study.arrow("drops")
    assert arrow.column_names == ["game", *(column["name"] for column in _core.columns()["drops"])]
    assert arrow["taken"].type == pa.bool_()
    # He drops evenly from 1 to 9 yd in 2.5 s and throws at 2.25 s, before any top.
    assert repr(study) == "DropStudy('game', play '10': taken 8.2 yd, 2 depths from 8 to 10 yd)"
    never = [column["name"] for column in _core.columns()["drops"] if column["missing"] == "never"]
    assert not arrow.to_pandas()[never].isna().any(axis=None)


def test_saved(demo: se.Game, tmp_path: Path) -> None:
    study = se.drop_study(demo, "P040", depths=[7, 10])
    study.save(tmp_path / "d.csv")
    kept = pd.read_csv(tmp_path / "d.csv")
    pd.testing.assert_frame_equal(kept, study.table, check_dtype=False, atol=6e-4, rtol=0)
    study.save(tmp_path / "d.parquet")
    pd.testing.assert_frame_equal(pd.read_parquet(tmp_path / "d.parquet"), study.table)
    said = pyarrow.parquet.read_schema(tmp_path / "d.parquet").metadata
    assert said[b"shortedge.digest"].decode() == demo.digest
    assert b"reach" in said[b"shortedge.rules"]
    se.break_even_study().save(tmp_path / "b.csv")
    assert len(pd.read_csv(tmp_path / "b.csv")) == 45
    with pytest.raises(se.InputError, match=r"accepted: a name that ends in \.csv, \.parquet"):
        study.save(tmp_path / "d.txt")


def test_rules_count(demo: se.Game) -> None:
    """In a play whose most exposed moments stay the same, an edge is wider by as much as the reach."""
    far = se.drop_study(demo, "P024", depths=[9], rules=se.Rules(reach=1.3))
    assert far.rules == se.Rules(reach=1.3)
    near = se.drop_study(demo, "P024", depths=[9])
    assert far.table["exposure_time"].tolist() == near.table["exposure_time"].tolist()
    wider = far.table["edge_width"] - near.table["edge_width"]
    np.testing.assert_allclose(wider, 1.3 - se.Rules().reach, atol=1e-9)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda game: se.drop_study({}, "P040"), "game is dict; accepted: a Game"),
        (lambda game: se.drop_study(game, "P999"), 'no play "P999"'),
        (lambda game: se.drop_study(game, "P040", depths=[25, 30]), "depths: found 25 yd; accepted: .* to 20 yd"),
        (lambda game: se.drop_study(game, "P040", depths=[math.nan]), "depths: found nan yd"),
        (lambda game: se.drop_study(game, "P040", depths=[]), r"depths is \[\]; accepted: one number or more"),
        (lambda game: se.drop_study(game, "P040", depths="deep"), 'depths is "deep"; accepted: numbers'),
        (lambda game: se.drop_study(game, "P040", depths=[7], rules=1), r"rules is 1; accepted: Rules"),
        (lambda game: se.break_even_study(widths=[-1]), "widths: found -1 yd; accepted: 0 to 15 yd"),
        (lambda game: se.break_even_study(depths=[2]), "depths: found 2 yd; accepted: 3 to 20 yd"),
        (lambda game: se.break_even_study(speed_ratios=[0]), "speed_ratios: found 0; accepted: more than 0 to 2"),
        (
            lambda game: se.break_even_study(rusher_depth=math.inf),
            "rusher_depth is inf; accepted: a finite number of yd",
        ),
        (lambda game: se.break_even_study(tackle=(1, math.nan)), "tackle is .*; accepted: two finite numbers"),
        (
            lambda game: se.break_even_depth((6, 0), (3, 0), (0, 1), speed_ratio=-0.1),
            "speed_ratio: found -0.1; accepted: finite, more",
        ),
        (lambda game: se.break_even_depth((6, 0), (3, 0), (0, 1), speed_ratio=math.nan), "speed_ratio: found nan"),
        (lambda game: se.break_even_depth((6, 0), (3, 0), (0, 1, 2)), r"passer of shape \(3,\)"),
        (
            lambda game: se.break_even_depth(np.zeros((3, 2)), (3, 0), (0, 1), speed_ratio=[0.5, 0.6]),
            r"do not broadcast: .*speed_ratio \(2,\)",
        ),
    ],
)
def test_refused(call: Callable[[se.Game], Any], says: str, demo: se.Game) -> None:
    with pytest.raises(se.InputError, match=says):
        call(demo)


# ----------------------------------------------------------------------------------------------------- pictures


def texts(figure: Figure) -> list[str]:
    return [text.get_text() for text in figure.findobj(Text) if text.get_text()]


def lines(figure: Figure, gid: str) -> list[Line2D]:
    return [line for line in figure.findobj(Line2D) if line.get_gid() == gid]


def test_the_curves_are_the_tables(studies: dict[str, se.DropStudy]) -> None:
    study = studies["P040"]
    figure = study.draw()
    for name in (
        "margin",
        "peak_cutoff_ratio",
        "outside_exposure",
        "outside_time",
        "outside_bend",
        "edge_width",
        "spot_short_edge",
    ):
        for side, line in zip(("left", "right"), lines(figure, name), strict=True):
            wanted = study.table[study.table["side"] == side]
            np.testing.assert_array_equal(line.get_xdata(), wanted["depth"])
            np.testing.assert_array_equal(line.get_ydata(), wanted[name])
    for side, line in zip(("left", "right"), lines(figure, "short_edge"), strict=True):
        wanted = study.table[study.table["side"] == side]
        shown = wanted["short_edge"].where(wanted["outside_exposure"] >= 0.2)
        np.testing.assert_array_equal(line.get_ydata(), shown)
    depth = study.table.loc[study.table["taken"], "depth"].iloc[0]
    assert len(lines(figure, "taken")) == 14
    assert all(line.get_xdata()[0] == depth for line in lines(figure, "taken"))
    said = texts(figure)
    assert "right edge: RB TK-27 against QM-54, up to 1.70 s" in said
    assert any("nothing is said beyond" in text for text in said)


def test_plays_of_every_kind_draw(demo: se.Game, studies: dict[str, se.DropStudy]) -> None:
    for play in demo.measured()[5::9]:
        study = studies[play]
        said = " ".join(texts(study.draw()))
        assert f"Play {study.play_id} with another depth" in said
        assert f"own drop speed {study.drop_speed:.1f} yd/s" in said


def test_the_picture_of_break_even_depths() -> None:
    """Each line is the closed form, and lies where the shade has that ratio; it is named by it."""
    sheet = se.break_even_study()
    figure = sheet.draw()
    for share in (0.35, 0.45, 0.55):
        (line,) = lines(figure, f"break_even {share:g}")
        width, depth = (np.asarray(values, float) for values in line.get_data())
        seen = np.isfinite(depth)
        assert seen.sum() > 100
        np.testing.assert_allclose(sheet.asked(width[seen], depth[seen]), share, atol=1e-9)
        assert f"{share:g}" in texts(figure)
    said = " ".join(texts(figure))
    assert "A still frame at the snap's positions" in said
    assert "only an ordering" in said
    se.break_even_study(widths=[3], depths=[9], speed_ratios=[0.5]).draw()


# ------------------------------------------------------------------------------------------------- command line


def demo_arguments() -> list[str]:
    return [str(DEMO), "--map", str(DEMO / "map.toml")]


def test_drop_command(demo: se.Game, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder, *mapped = demo_arguments()
    picture, table = tmp_path / "d.svg", tmp_path / "d.csv"
    more = ["--depths", "7:10:1.5", "-o", str(picture), "--table", str(table)]
    assert main(["drop", folder, "P040", *mapped, *more]) == 0
    said = capsys.readouterr().out.splitlines()
    wanted = se.drop_study(demo, "P040", depths=[7, 8.5, 10]).table
    assert said[1] == "left edge: TK-74 against QM-94, up to 1.10 s"
    for line, (_, row) in zip(said[3:7], wanted[wanted["side"] == "left"].iterrows(), strict=True):
        cells = line.split()
        assert cells[0] == f"{row['depth']:.1f}" + ("*" if row["taken"] else "")
        assert cells[1:5] == [
            f"{row['top_time']:.2f}",
            f"{row['margin']:.2f}",
            f"{row['peak_cutoff_ratio']:.2f}",
            f"{row['peak_cutoff_time']:.1f}",
        ]
        assert cells[-2] == "-"  # exposure under 0.2
        assert cells[-1] == f"{row['spot_short_edge']:.2f}"
    assert any(line.startswith("margin ") and "yd" in line for line in said)
    assert any("recorded contact" in line for line in said)
    assert picture.read_bytes().startswith(b"<?xml")
    assert pd.read_csv(table)["depth"].tolist() == pytest.approx(wanted["depth"].tolist(), abs=6e-4)
    assert main(["drop", folder, "P040", *mapped, "--depths", "7,9", "--set", "reach=1.2"]) == 0


def test_still_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    picture = tmp_path / "b.png"
    arguments = ["--widths", "2,3,4", "--speed-ratios", "0.35,0.45,0.75", "--depths", "7,10", "-o", str(picture)]
    assert main(["drop", "--still", *arguments]) == 0
    said = capsys.readouterr().out.splitlines()
    for line, width in zip(said[2:5], PRINTED, strict=True):
        printed = PRINTED[width]
        assert line.split() == [str(width), str(printed[0]), str(printed[1]), str(printed[4])]
    assert said[6].split() == ["width", "7", "10"]
    assert any("only an ordering" in line for line in said)
    assert picture.read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["drop"], "drop: found no argument; accepted: IN and PLAY"),
        (["drop", "IN"], "drop: found one argument; accepted: IN and PLAY"),
        (["drop", "IN", "P999"], 'no play "P999"'),
        (["drop", "IN", "P040", "--depths", "deep"], '--depths: found "deep"; accepted: numbers such as 5,7,9,10'),
        (["drop", "IN", "P040", "--depths", "9:5:1"], '--depths: found "9:5:1"'),
        (["drop", "IN", "P040", "--depths", "5:9:0"], '--depths: found "5:9:0"'),
        (["drop", "IN", "P040", "--depths", "5:9:1e-9"], '--depths: found "5:9:1e-9"'),
        (["drop", "IN", "P040", "--depths", "1"], "depths: found 1 yd; accepted: "),
        (["drop", "IN", "P040", "--widths", "3"], "--widths: found without --still; accepted: with it"),
        (["drop", "IN", "P040", "-o", "d.bmp"], 'picture "d.bmp"; accepted'),
        (["drop", "IN", "P040", "--table", "d.txt"], 'table "d.txt"; accepted: a name that ends in .csv, .parquet'),
        (["drop", "IN", "--still"], "--still: found "),
        (["drop", "--still", "--widths", "99"], "widths: found 99 yd; accepted: 0 to 15 yd"),
    ],
)
def test_commands_refused(arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]) -> None:
    folder, *mapped = demo_arguments()
    given = [folder if one == "IN" else one for one in arguments]
    assert main([*given, *(mapped if "IN" in arguments else [])]) == 2
    said = capsys.readouterr()
    assert says in said.err
    assert said.err.count("\n") == 1
    assert said.out == ""


# --------------------------------------------------------------------------------------------- the margin in words


def test_where_the_margin_is_gone_is_where_the_line_is_zero() -> None:
    """Margins on a line through 0 at 8.6 yd, told at four depths, in any order."""
    rows = [{"depth": depth, "margin": 0.2 * (8.6 - depth)} for depth in (9.0, 5.0, 11.0, 7.0)]
    rows.append({"depth": 8.0, "margin": math.nan})
    assert margins.gone_at(rows) == pytest.approx(8.6)
    assert margins.margin_words(rows) == "held 0.7 s past the throw at 5 yd, gone at 8.6"
    assert math.isnan(margins.gone_at(rows[2:3]))
    assert margins.margin_words(rows[2:3]) == ""
    early = [{"depth": depth, "margin": 0.2 * (4.0 - depth)} for depth in (5.0, 7.0)]
    assert margins.margin_words(early) == "was gone 0.2 s before the throw even at 5 yd"
    late = [{"depth": depth, "margin": 0.2 * (14.0 - depth)} for depth in (5.0, 7.0)]
    assert margins.margin_words(late) == "held 1.8 s past the throw at 5 yd, 1.4 at 7"


def test_a_mans_page_tells_the_margins_of_his_edges(demo: se.Game, m: se.Measures, reps: se.Reps) -> None:
    """Each figure is the drop study's own."""
    whole, man = Whole(m, reps), "QM-78"
    mine = [(whole, row) for row in whole.rows if row["protector"] == man][:4]
    ((_, _, made),) = man_page.his_edge([whole], mine, man, "protector")
    lines = [line for line in str(made).split("<tr") if "<td" in line]
    cells = [re.findall(r"<t[dh][^>]*>(.*?)</t[dh]>", line) for line in lines]
    told = [dict(zip(("play", "rusher", "drop", "margin", "words"), row, strict=True)) for row in cells]
    assert len(told) >= 2
    first_there = sum(float(row["margin"]) <= 0 for row in told)
    assert f"his rusher would have been there before the throw on {first_there}." in str(made)
    for row in told:
        play = row["play"]
        study = se.drop_study(demo, play, depths=list(man_page.EDGE_DEPTHS)).table
        edge = study[study["edge_man"] == man]
        then = edge[edge["taken"]].iloc[0]
        assert float(row["margin"]) == pytest.approx(then["margin"], abs=0.051)
        assert float(row["drop"]) == pytest.approx(then["depth"], abs=0.051)
        others = edge[~edge["taken"]].dropna(subset=["margin"]).sort_values("depth")
        first = others.iloc[0]
        assert f"{abs(first['margin']):.1f} s" in row["words"]
        assert f"at {first['depth']:g} yd" in row["words"]
    assert man_page.his_edge([whole], mine, "nobody", "protector") == []
    assert man_page.his_edge([whole], mine, man, "rusher") == []
