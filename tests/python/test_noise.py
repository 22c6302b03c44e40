"""Bands under noise of position: the noise is what it is said to be, the bands are the quantiles of what is measured on
it, they hold what is true, and they are kept."""

from pathlib import Path
from typing import Any

import h5py
import numpy as np
import pandas as pd
import pytest

import covered
import shortedge as se
import truth
from conftest import KEYS, LINE, Tables, taken, written
from plain.tables import EDGES, FRAMES, RUSHERS
from shortedge import _core, cli
from small_game import YARDS, assert_same, small_game, write_map, write_tables

COLUMNS = {"frames": FRAMES, "edges": EDGES, "rushers": RUSHERS}
TEXT = {"status", "wall_left", "wall_right", "edge_man", "rusher", "blocker", "lane", "lane_side", "engaged"}
CORRELATION = 0.7  # s, of the noise (numbers.md 7: 0.5 to 1 s)


def leaving() -> Tables:
    """The small game; in play 10 the passer leaves the pocket, so that frames are not all ok."""
    tracks, snaps, people = small_game()
    away = (tracks["play"] == "10") & (tracks["player"] == "12")
    tracks["y"] += np.where(away, 3 * np.clip(tracks["time"] - 141, 0, None), 0)
    return tracks, snaps, people


@pytest.fixture(scope="module")
def game() -> "se.Game":
    return se.from_tables(*leaving(), **YARDS, name="week 3")


@pytest.fixture(scope="module")
def m(game: "se.Game") -> "se.Measures":
    return se.measure(game, noise=0.15, draws=12, seed=7)


@pytest.fixture(scope="module")
def clean() -> truth.Case:
    """Twelve plays of the demo's script, places as they truly were."""
    return truth.seeded(5, 12, clean=True)


def bands_of(m: "se.Measures") -> dict[str, pd.DataFrame]:
    return {title: m.band_arrow(title).to_pandas() for title in KEYS}


def assert_same_bands(m: "se.Measures", other: "se.Measures") -> None:
    for title, table in bands_of(m).items():
        pd.testing.assert_frame_equal(table, bands_of(other)[title], check_exact=True)


# ----------------------------------------------------------------------------------------------------- the noise


def test_noise_is_what_it_is_said_to_be() -> None:
    """Stationary, normal, one sigma at every sample; correlation exp(-lag / 0.7 s) at true, uneven times; axes and men
    apart. Bounds are 4.5 standard errors of 4000 draws."""
    time = np.array([-1.0, -0.9, -0.5, 0.0, 0.04, 0.5, 2.0])
    sigma, draws = 0.2, 4000
    mine = np.array([_core.draw_noise(time, "P1", "LT", sigma, 3, draw) for draw in range(draws)])
    his = np.array([_core.draw_noise(time, "P1", "LG", sigma, 3, draw) for draw in range(draws)])
    assert mine.shape == (draws, len(time), 2)
    near = 4.5 / np.sqrt(draws)
    wanted = np.exp(-np.abs(time[:, None] - time) / CORRELATION)
    for axis in (0, 1):
        assert np.abs(mine[:, :, axis].mean(0)).max() < near * sigma
        np.testing.assert_allclose(mine[:, :, axis].std(0), sigma, rtol=near / np.sqrt(2))
        np.testing.assert_allclose(np.corrcoef(mine[:, :, axis].T), wanted, atol=near)
    kurtosis = ((mine / sigma) ** 4).mean()
    assert kurtosis == pytest.approx(3.0, abs=0.15)
    one, other = mine[:, 3, 0], mine[:, 3, 1]
    for apart in (np.corrcoef(one, other), np.corrcoef(one, his[:, 3, 0])):
        assert abs(apart[0, 1]) < near


def test_noise_depends_on_ids_seed_and_draw_alone() -> None:
    time = np.arange(5) / 10
    given = ("P1", "LT", 0.1, 1, 0)
    noise = _core.draw_noise(time, *given)
    np.testing.assert_array_equal(noise, _core.draw_noise(time, *given))
    np.testing.assert_allclose(_core.draw_noise(time, "P1", "LT", 0.3, 1, 0), 3 * noise, rtol=1e-12)
    np.testing.assert_allclose(_core.draw_noise(time + 50, *given), noise, rtol=1e-9)
    others = [("P2", "LT", 0.1, 1, 0), ("P1", "LG", 0.1, 1, 0), ("P1", "LT", 0.1, 2, 0), ("P1", "LT", 0.1, 1, 1)]
    for other in [*others, ("P1L", "T", 0.1, 1, 0)]:
        assert np.abs(_core.draw_noise(time, *other) - noise).min() > 1e-6


# -------------------------------------------------------------------------------------------------- brute force


def pinned(tables: Tables, game: "se.Game") -> pd.DataFrame:
    """people with every man's role in every play as the recording has it."""
    position = tables[2].set_index("player")["position"]
    return pd.DataFrame(
        [
            {"play": play, "player": man.player, "unit": man.unit, "position": position[man.player], "role": man.role}
            for play in game.measured()
            for man in game.play(play).men
        ]
    )


def redrawn(tables: Tables, game: "se.Game", sigma: float, seed: int, draw: int) -> "se.Game":
    """The game with one draw of noise laid on its tables by hand, roles as before."""
    tracks = tables[0].copy()
    snap = tables[1].set_index("play")["snap_time"]
    for (play, player), rows in tracks.groupby(["play", "player"]):
        time = rows["time"].to_numpy() - snap[play]
        u, v = _core.draw_noise(np.ascontiguousarray(time), play, player, sigma, seed, draw).T
        tracks.loc[rows.index, "x"] -= v  # the offence attacks +x: v = ball_x - x, u = ball_y - y
        tracks.loc[rows.index, "y"] -= u
    return se.from_tables(tracks, tables[1], pinned(tables, game), **YARDS)


def weibull(values: np.ndarray, p: float) -> float:
    """numpy's, which knows no infinity: between a finite and an infinite value we say infinite."""
    values = np.sort(values[~np.isnan(values)])
    if np.isfinite(values).all():
        return float(np.quantile(values, p, method="weibull"))
    at = np.clip(p * (len(values) + 1) - 1, 0, len(values) - 1)
    finite = values[np.isfinite(values)]
    return float(np.interp(at, np.arange(len(finite)), finite)) if at <= len(finite) - 1 else np.inf


def carried(
    title: str, column: str, recorded: np.ndarray, low: np.ndarray, high: np.ndarray, sigma: float, speeds: bool
) -> tuple[np.ndarray, np.ndarray]:
    """The band of a figure that noise pushes one way, from that of the draws and the table
    (core/measure/carried.hpp)."""
    figure = next((one for one in _core.carried_figures() if (one["table"], one["column"]) == (title, column)), None)
    if figure is None:
        return low, high
    if sigma > figure["most_sigma"] or 0 < sigma < figure["least_sigma"] or (speeds and figure["of_speed"]):
        return np.full(len(low), np.nan), np.full(len(low), np.nan)
    if not figure["ends"]:
        return low, high
    sigmas, first, last = np.array(figure["ends"]).T
    width = high - low
    moved = np.isfinite(width) & (width > 0) & np.isfinite(recorded)
    ends = [
        np.clip(
            recorded + np.interp(sigma, sigmas, shares) * np.where(moved, width, 0), figure["least"], figure["greatest"]
        )
        for shares in (first, last)
    ]
    return np.where(moved, ends[0], low), np.where(moved, ends[1], high)


def assert_bands(
    title: str,
    seen: pd.DataFrame,
    draws: list[pd.DataFrame],
    bands: pd.DataFrame,
    keys: list[str],
    sigma: float,
    speeds: bool,
) -> None:
    """Every column of the bands from the tables of the draws. speeds: velocities are recorded."""
    drawn = [seen[keys].merge(draw, on=keys, how="left", indicator=True, validate="1:1") for draw in draws]
    there = np.array([draw["_merge"] == "both" for draw in drawn])
    checked = 0
    for name in bands:
        column, _, what = name.rpartition("_")
        if name in keys or name == "game":
            continue
        checked += 1
        if what == "agree":
            same = [(draw[column] == seen[column]) | (draw[column].isna() & seen[column].isna()) for draw in drawn]
            np.testing.assert_allclose(bands[name], (np.array(same) & there).mean(0), atol=1e-12, err_msg=name)
        else:
            values = np.array([draw[column].to_numpy(float) for draw in drawn])
            recorded = seen[column].to_numpy(float)
            low, high = (
                np.array(
                    [
                        np.nan if np.isnan(one) or np.isnan(column_values).all() else weibull(column_values, p)
                        for one, column_values in zip(recorded, values.T, strict=True)
                    ]
                )
                for p in (0.05, 0.95)
            )
            with np.errstate(invalid="ignore"):
                ends = carried(title, column, recorded, low, high, sigma, speeds)
            wanted = ends[0 if what == "low" else 1]
            np.testing.assert_allclose(bands[name], wanted, rtol=1e-9, atol=1e-9, err_msg=name)
    assert checked > 10


@pytest.mark.parametrize("velocities", ["fitted", "recorded"])
def test_bands_are_quantiles_of_what_is_measured_on_noisy_tables(velocities: str) -> None:
    """Tables with noise laid on by hand, read and measured anew; quantiles by numpy.quantile(method="weibull").
    Recorded velocities stay as they are."""
    tables = leaving()
    if velocities == "recorded":
        tables[0]["vx"], tables[0]["vy"] = 1.0, -0.5
    game = se.from_tables(*tables, **YARDS)
    sigma, seed, count = 0.15, 7, 12
    m = se.measure(game, noise=sigma, draws=count, seed=seed)
    games = [redrawn(tables, game, sigma, seed, draw) for draw in range(count)]
    drawn = [se.measure(one) for one in games]
    for title, keys in KEYS.items():
        tables = [getattr(one, title) for one in drawn]
        assert_bands(title, getattr(m, title), tables, getattr(m.bands, title), keys, sigma, velocities == "recorded")
    status = m.bands.frames["status_agree"]
    assert 0 < status.min() < 1  # some draws have frames that are not ok where the recording's is, and so no edges
    reps = se.reps(game, m)
    assert_bands(
        "reps",
        covered.numbered(reps.table).drop(columns="start"),
        [covered.numbered(se.reps(one).table).drop(columns="start") for one in games],
        covered.numbered(reps.bands.table).drop(columns="start"),
        covered.REP_KEYS,
        sigma,
        velocities == "recorded",
    )
    assert reps.bands.table["outcome_agree"].min() < 1


def test_no_noise_no_band(game: "se.Game") -> None:
    """Sigma 0: low = high = the figure, and everything agrees."""
    m = se.measure(game, noise=0, draws=2)
    for title, bands in [*bands_of(m).items(), ("reps", se.reps(game, m).bands.table)]:
        table = se.reps(game).table if title == "reps" else getattr(m, title)
        for name in bands:
            column, _, what = name.rpartition("_")
            if what in ("low", "high"):
                np.testing.assert_array_equal(bands[name], table[column], err_msg=name)
            elif what == "agree":
                assert (bands[name] == 1).all(), name


def test_nobody_rushes() -> None:
    """Infinite stays infinite: nearest_rusher with no rusher, outside_time of an edge nobody attacks."""
    men = LINE | {"QB": (0.0, 5.0), "S": (0.0, -15.0)}
    people = {name: ("offense", name, None) for name in [*LINE, "QB"]} | {"S": ("defense", "S", None)}
    m = se.measure(taken(written({"1": men}, people)), noise=0.05, draws=5)
    assert np.isinf(m.frames["nearest_rusher"]).all()
    assert np.isinf(m.bands.frames[["nearest_rusher_low", "nearest_rusher_high"]]).all(axis=None)
    assert np.isinf(m.bands.edges[["outside_time_low", "outside_time_high"]]).all(axis=None)
    assert (m.bands.edges["rusher_agree"] == 1).all()


# --------------------------------------------------------------------------------------------------------- tables


def test_columns_of_bands(m: "se.Measures") -> None:
    """The same keys; each number becomes _low and _high, each text and true or false _agree, in the table's order."""
    for title, names in COLUMNS.items():
        wanted = ["game", *KEYS[title]]
        for name in names:
            if name not in KEYS[title]:
                wanted += [f"{name}_agree"] if name in TEXT else [f"{name}_low", f"{name}_high"]
        bands = getattr(m.bands, title)
        assert list(bands) == wanted
        table = getattr(m, title)
        pd.testing.assert_frame_equal(bands[["game", *KEYS[title]]], table[["game", *KEYS[title]]])
        for name in names:
            if f"{name}_low" in bands:
                there = table[name].notna() & (name != "closest_in")  # which has no band with more than 0.1 yd of noise
                assert (bands.loc[there, f"{name}_low"] <= bands.loc[there, f"{name}_high"]).all(), name
                assert bands.loc[~there, [f"{name}_low", f"{name}_high"]].isna().all(axis=None), name
            elif f"{name}_agree" in bands:
                assert bands[f"{name}_agree"].between(0, 1).all()


def test_rep_bands_stand_beside_the_rows(game: "se.Game", m: "se.Measures") -> None:
    reps = se.reps(game, m)
    keys = ["game", "play", "protector", "rusher", "start"]
    pd.testing.assert_frame_equal(reps.bands.table[keys], reps.table[keys])
    assert {"outcome_agree", "beat_side_agree", "peak_outside_low"} <= set(reps.bands.table)
    assert "corrected_agree" not in reps.bands.table
    assert reps.noise == m.noise


def test_timeline_shows_the_bands(game: "se.Game", m: "se.Measures") -> None:
    """Bars from low to high, a frame each; none without noise."""
    bars = [
        line for panel in m.timeline("2").axes for line in panel.collections if (line.get_gid() or "")[:4] == "band"
    ]
    names = ["pocket_width", "pocket_depth", "exposure_left", "exposure_inside", "exposure_right"]
    assert [bar.get_gid() for bar in bars][:5] == [f"band {name}" for name in names]
    rows = m.bands.frames[m.bands.frames["play"] == "2"]
    for bar, name in zip(bars, names, strict=False):
        drawn = np.array([(x, low, high) for (x, low), (_, high) in bar.get_segments()])
        np.testing.assert_array_equal(drawn, rows[["time", f"{name}_low", f"{name}_high"]])
    plain = [line.get_gid() or "" for panel in se.measure(game).timeline("2").axes for line in panel.collections]
    assert not [gid for gid in plain if gid.startswith("band")]


# ---------------------------------------------------------------------------------------------------- determinism


@pytest.mark.parametrize("threads", [1, 2, 8])
def test_threads_do_not_matter(threads: int, game: "se.Game", m: "se.Measures") -> None:
    again = se.measure(game, noise=0.15, draws=12, seed=7, threads=threads)
    assert_same_bands(again, m)
    pd.testing.assert_frame_equal(se.reps(game, again, threads=threads).bands.table, se.reps(game, m).bands.table)


def test_order_of_plays_and_rows_does_not_matter(m: "se.Measures") -> None:
    tracks, snaps, people = leaving()
    shuffled = tracks.sample(frac=1, random_state=1), snaps.iloc[::-1], people.iloc[::-1]
    other = se.measure(se.from_tables(*shuffled, **YARDS, name="week 3"), noise=0.15, draws=12, seed=7)
    alone = tracks[tracks["play"] == "10"], snaps[snaps["play"] == "10"], people
    one = se.measure(se.from_tables(*alone, **YARDS, name="week 3"), noise=0.15, draws=12, seed=7)
    for title, keys in KEYS.items():
        mine, his, its = (bands_of(each)[title].sort_values(keys, ignore_index=True) for each in (m, other, one))
        pd.testing.assert_frame_equal(mine, his, check_exact=True)
        pd.testing.assert_frame_equal(mine[mine["play"] == "10"].reset_index(drop=True), its, check_exact=True)


def test_the_seed_matters_and_the_figures_do_not_change(game: "se.Game", m: "se.Measures") -> None:
    other = se.measure(game, noise=0.15, draws=12, seed=8)
    assert_same(other, m)
    assert_same(se.measure(game), m)
    depth = "passer_depth_low"
    assert (bands_of(other)["frames"][depth] != bands_of(m)["frames"][depth]).all()


def test_more_noise_wider_bands(game: "se.Game") -> None:
    """Of a figure that is a coordinate the width of the band is in proportion: 2 x 1.645 sigma in the long run."""
    narrow, wide = (se.measure(game, noise=sigma, draws=300).bands.frames for sigma in (0.05, 0.1))
    width = [bands["passer_depth_high"] - bands["passer_depth_low"] for bands in (narrow, wide)]
    np.testing.assert_allclose(width[1], 2 * width[0], rtol=1e-6)
    assert width[1].mean() == pytest.approx(2 * 1.6449 * 0.1, rel=0.05)


# ----------------------------------------------------------------------------------------------------------- auto


@pytest.mark.parametrize("sigma", [0.05, 0.1, 0.2, 0.4])
def test_sigma_is_found_again(sigma: float, clean: truth.Case) -> None:
    """60 stances: within a tenth. The made game stands still before the snap, as linemen must."""
    case = truth.noisy(clean, sigma, seed=3)
    m = se.measure(case.game(), noise="auto", draws=2)
    assert m.noise is not None
    assert m.noise.sigma == pytest.approx(sigma, rel=0.1)
    assert m.noise.found == "estimated from 60 stances of linemen before the snap"


def test_sigma_of_the_demo_game() -> None:
    """It was made with 0.1 m of radial noise. At 5 samples a second the same."""
    case = truth.demo()
    for one in (case, truth.thinned(case, 5)):
        sigma, stances = _core.estimate_noise(one.game().core)
        assert stances == 300
        assert sigma == pytest.approx(0.1 / 0.9144 / np.sqrt(2), rel=0.05)


def test_men_who_move_before_the_snap_hardly_count(clean: truth.Case) -> None:
    """Half a yard of sway in one stance of five."""
    case = truth.noisy(clean, 0.1, seed=3)
    tracks = case.tables[0].copy()
    moving = tracks["player"].str.endswith("-74")  # a tackle
    tracks.loc[moving, "x"] += np.sin(3 * tracks.loc[moving, "time"]) / 2
    moved = truth.Case(case.name, (tracks, *case.tables[1:]), case.how, case.truth)
    sigma, _ = _core.estimate_noise(moved.game().core)
    assert sigma == pytest.approx(0.1, rel=0.25)


# ------------------------------------------------------------------------------------------------------- coverage


def test_bands_hold_what_is_true(clean: truth.Case) -> None:
    """At the noise of a good system a 5-95 % band holds the true figure in 85-95 % of frames; in 85 % or more where the
    figure is clipped at a bound, or is a whole number; in 85-97 % where a table makes it. All levels:
    tests/coverage.py."""
    table = covered.covered(clean, truth.make_demo().NOISE, range(1, 9), draws=39, with_reps=False)
    numbers = table[table["kind"] == "number"]
    assert len(numbers) == 35
    assert numbers["rows"].min() > 3500
    floor = numbers["figure"].isin([*covered.CLIPPED, "helpers"])
    assert (numbers["share"] >= 0.85).all(), numbers.to_string()
    by_table = numbers["figure"].isin({figure["column"] for figure in _core.carried_figures()})
    assert (numbers.loc[~floor & ~by_table, "share"] <= 0.95).all(), numbers.to_string()
    assert (numbers.loc[by_table, "share"] <= 0.97).all(), numbers.to_string()
    names = table[table["kind"] == "name"]
    # How often draws agree with the recording tells how often the recording agrees with the truth.
    assert (names["share"] - names["claimed"]).abs().max() < 0.05, names.to_string()


# ---------------------------------------------------------------------------------------------------------- files


def test_bands_are_kept(tmp_path: Path, game: "se.Game", m: "se.Measures") -> None:
    for name in ("pocket.h5", "folder"):
        m.save(tmp_path / name)
        m.save(tmp_path / name)  # over itself
        kept = se.read(tmp_path / name)
        assert_same(kept, m)
        assert_same_bands(kept, m)
        assert kept.noise == m.noise == se.Noise(0.15, 12, 7, "stated")
        reps = se.reps(game, m)
        reps.save(tmp_path / f"reps {name}")
        again = se.read(tmp_path / f"reps {name}")
        pd.testing.assert_frame_equal(again.bands.table, reps.bands.table)
        assert again.noise == m.noise
        # A file that came without its game has what is needed to make the reps' bands again.
        pd.testing.assert_frame_equal(se.reps(game, kept).bands.table, reps.bands.table)


def test_a_folder_with_bands_is_replaced_by_one_without(tmp_path: Path, game: "se.Game", m: "se.Measures") -> None:
    m.save(tmp_path / "out")
    se.measure(game).save(tmp_path / "out")
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == [
        "digests.json",
        "edges.parquet",
        "frames.parquet",
        "rushers.parquet",
    ]
    assert se.read(tmp_path / "out").noise is None
    m.save(tmp_path / "out")
    (tmp_path / "out" / "edges_bands.parquet").unlink()
    with pytest.raises(se.FileError, match=r"edges_bands\.parquet"):
        se.read(tmp_path / "out")


def test_a_file_has_bands_or_not(tmp_path: Path, game: "se.Game", m: "se.Measures") -> None:
    se.measure(game).save(tmp_path / "plain.h5")
    m.save(tmp_path / "bands.h5")
    for name, banded in (("plain.h5", False), ("bands.h5", True)):
        with h5py.File(tmp_path / name) as file:
            said = dict(zip(file["file/name"][:], file["file/text"][:], strict=True))
            assert said[b"schema_version"] == b"3"
            assert ("noise" in file) == banded
        assert (se.read(tmp_path / name).noise is not None) == banded
    with pytest.warns(UserWarning, match="an older definition"):
        assert se.read(Path(__file__).parents[1] / "data" / "schema1_results.h5").noise is None


def test_bands_of_other_rows_are_refused(tmp_path: Path, m: "se.Measures") -> None:
    assert m.band_coded is not None
    short = {title: {name: values[:-1] for name, values in table.items()} for title, table in m.band_coded.items()}
    wrong = se.Measures(m.coded, m.play_ids, m.player_ids, m.rules, m.game_name, m.digest)
    wrong.noise, wrong.band_coded = m.noise, short
    wrong.save(tmp_path / "wrong.h5")
    with pytest.raises(se.FileError, match=r"frames_bands, column status_agree: \d+ rows, where frames has"):
        se.read(tmp_path / "wrong.h5")


# ------------------------------------------------------------------------------------------------------- refusals


@pytest.mark.parametrize(
    ("how", "says"),
    [
        ({"noise": -0.1}, "noise is -0.1; accepted: yd per axis, 0 or more"),
        ({"noise": float("nan")}, "noise is nan; accepted"),
        ({"noise": float("inf")}, "noise is inf; accepted"),
        ({"noise": "much"}, 'noise is "much"; accepted: yd per axis, "auto", "tracks", None'),
        ({"noise": True}, "noise is True; accepted"),
        ({"noise": 0.1, "draws": 1}, "draws is 1; accepted: a whole number from 2 to 2000"),
        ({"noise": 0.1, "draws": 2001}, "draws is 2001; accepted"),
        ({"noise": 0.1, "draws": 10.0}, "draws is 10.0; accepted"),
        ({"noise": 0.1, "seed": -1}, "seed is -1; accepted: a whole number from 0"),
        (
            {"noise": "auto"},
            "only 0 stances of linemen have 4 samples between 1 s and 0.2 s before the snap; 5 are needed",
        ),
    ],
)
def test_refused(how: dict[str, Any], says: str, game: "se.Game") -> None:
    with pytest.raises(se.InputError, match=says):
        se.measure(game, **how)


def test_places_that_are_held_say_nothing(clean: truth.Case) -> None:
    with pytest.raises(se.InputError, match=r"move by .* yd: their places are held or made"):
        se.measure(clean.game(), noise="auto")


def test_no_bands_without_noise(game: "se.Game") -> None:
    m = se.measure(game)
    for call in (lambda: m.bands, lambda: se.reps(game, m).bands, lambda: se.reps(game).bands):
        with pytest.raises(se.InputError, match="measured without noise, so there are no bands"):
            call()


# --------------------------------------------------------------------------------------------------- command line


def test_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = write_tables(tmp_path / "in", small_game())
    given = ["measure", str(folder), "--map", write_map(tmp_path), "-o", str(tmp_path / "out.h5")]
    assert cli.main([*given, "--noise", "0.1", "--draws", "5", "--seed", "3"]) == 0
    said = capsys.readouterr().out
    assert "bands: 5-95 % of 5 draws of 0.100 yd of noise per axis (stated)" in said
    assert se.read(tmp_path / "out.h5").noise == se.Noise(0.1, 5, 3)
    assert cli.main([*given, "--noise", "auto"]) == 2
    assert 'noise is "auto", and only 0 stances' in capsys.readouterr().err
    assert cli.main([*given, "--noise", "lots"]) == 2
    assert '--noise: found "lots"; accepted: yd per axis, auto' in capsys.readouterr().err


def test_command_line_estimates(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    demo = truth.ROOT / "data" / "demo_game"
    out = str(tmp_path / "out.h5")
    given = ["measure", str(demo), "--map", str(demo / "map.toml"), "-o", out]
    assert cli.main([*given, "--noise", "auto", "--draws", "2"]) == 0
    assert "(estimated from 300 stances of linemen before the snap)" in capsys.readouterr().out
