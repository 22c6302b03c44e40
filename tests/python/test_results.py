"""What comes out: tables of one shape in every library, figures of single points, and results that can be kept."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import polars as pl
import pyarrow as pa
import pytest
from pyarrow import parquet

import shortedge as se
from plain.tables import EDGES, FRAMES, RUSHERS, TEXT
from small_game import YARDS, assert_same, in_library, small_game

COLUMNS = {"frames": FRAMES, "edges": EDGES, "rushers": RUSHERS}
# Games with frames of every status are in test_against_plain.py; here the passer leaves the pocket in one play.


@pytest.fixture(scope="module")
def game() -> "se.Game":
    tracks, snaps, people = small_game()
    away = (tracks["play"] == "10") & (tracks["player"] == "12")
    tracks["y"] += np.where(away, 6 * np.clip(tracks["time"] - 141, 0, None), 0)
    return se.from_tables(tracks, snaps, people, **YARDS, name="week 3")


@pytest.fixture(scope="module")
def m(game: "se.Game") -> "se.Measures":
    return se.measure(game)


# -------------------------------------------------------------------------------------------------------- tables


@pytest.mark.parametrize("title", COLUMNS)
def test_columns_and_types(title: str, m: "se.Measures") -> None:
    table = m.arrow(title)
    assert table.column_names == ["game", *COLUMNS[title]]
    for name in table.column_names:
        kind = table.schema.field(name).type
        if name in TEXT or name == "game":
            assert kind == pa.string(), name
        else:
            assert kind == {"engaged": pa.bool_(), "helpers": pa.int32()}.get(name, pa.float64()), name
            assert table[name].null_count == 0, name  # a missing number is NaN, a count or flag is never missing
    assert set(table["game"].to_pylist()) == {"week 3"}


def test_missing_values(m: "se.Measures") -> None:
    """Pocket and edge figures exist in ok frames only; elsewhere NaN or null, never 0."""
    frames = m.frames
    out = frames[frames["status"] == "outside"]
    assert len(out) > 0
    assert set(frames["status"]) == {"ok", "outside"}
    blank = ["pocket_width", "wall_left", "wall_right", "pocket_depth", "pocket_area", "passer_room"]
    blank += ["exposure_left", "exposure_inside", "exposure_right"]
    assert out[blank].isna().all(axis=None)
    assert frames[frames["status"] == "ok"].notna().all(axis=None)
    assert out[["passer_depth", "nearest_rusher"]].notna().all(axis=None)
    ok = set(map(tuple, frames.loc[frames["status"] == "ok", ["play", "time"]].to_numpy()))
    assert set(map(tuple, m.edges[["play", "time"]].to_numpy())) == ok
    lanes = m.rushers.merge(frames[["play", "time", "status"]], on=["play", "time"])
    assert (lanes["lane"].isna() == (lanes["status"] != "ok")).all()


@pytest.mark.parametrize("library", ["pandas", "polars", "pyarrow", "dict"])
def test_tables_come_out_in_the_library_they_came_in(library: str) -> None:
    m = se.measure(se.from_tables(*(in_library(table, library) for table in small_game()), **YARDS))
    wanted = {"polars": pl.DataFrame, "pyarrow": pa.Table}.get(library, pd.DataFrame)
    for table in (m.frames, m.edges, m.rushers, m.game.plays, m.game.people, m.game.problems):
        assert isinstance(table, wanted)


def test_set_output(m: "se.Measures") -> None:
    try:
        se.set_output("polars")
        polars = m.frames
        se.set_output("pyarrow")
        arrow = m.frames
    finally:
        se.set_output(None)
    pandas = m.frames
    assert polars.schema == {
        name: pl.String if name in TEXT or name == "game" else pl.Float64 for name in ("game", *FRAMES)
    }
    assert isinstance(arrow, pa.Table)
    for name in pandas:
        texts = name in TEXT or name == "game"
        assert (pandas[name].dtype == float) == (not texts)
        values = [None if pd.isna(value) else value for value in pandas[name]]
        assert [None if value != value else value for value in polars[name].to_list()] == values
        assert [None if value != value else value for value in arrow[name].to_pylist()] == values
    with pytest.raises(se.InputError, match='set_output: "excel"; accepted: pandas, polars, pyarrow, None'):
        se.set_output("excel")  # type: ignore[arg-type]


def test_a_play(game: "se.Game", m: "se.Measures") -> None:
    play = game.play(2)
    assert play.id == "2"
    assert (play.throw_time, play.end_time) == (2.0, 2.5)
    assert np.isnan(game.play("1").throw_time)
    np.testing.assert_allclose(play.time, np.arange(21) / 8)
    assert play.place.shape == play.velocity.shape == (21, len(play.men), 2)
    by_role = {role: [man.player for man in play.men if man.role == role] for role in ("passer", "protector", "rusher")}
    assert by_role == {
        "passer": ["12"],
        "protector": ["9", "62", "63", "71", "78"],
        "rusher": ["90", "91", "92", "105"],
    }
    assert {man.slot: man.player for man in play.men if man.slot} == {
        "LT": "71",
        "LG": "62",
        "C": "9",
        "RG": "63",
        "RT": "78",
    }
    passer = [man.player for man in play.men].index("12")
    np.testing.assert_allclose(play.place[[0, -1], passer], [[0, 1], [0, 7]])  # as it was written
    frames = m.frames[m.frames["play"] == "2"]
    np.testing.assert_allclose(frames["passer_depth"], play.place[:, passer, 1])
    linemen = [i for i, man in enumerate(play.men) if man.slot]
    np.testing.assert_allclose(frames["pocket_width"].iloc[0], np.ptp(play.place[0, linemen, 0]))
    with pytest.raises(se.InputError, match='no play "7" in game "week 3"; its plays: "2", "10", "1"'):
        game.play(7)


# --------------------------------------------------------------------------------------------------------- rules


@pytest.mark.parametrize(
    ("rules", "says"),
    [
        ({"reech": 1}, "no rule is called reech; accepted: reach, body, engage"),
        ({"reach": -1}, "reach"),
        ({"reach": float("nan")}, "reach"),
        ({"vmax": 0}, "vmax"),
        ({"tau": float("inf")}, "tau"),
        ({"reach": "wide"}, "rule reach is 'wide'; a number in yd is wanted"),
        ({"reach": None}, "rule reach is None; a number in yd is wanted"),
    ],
)
def test_rules_refused(rules: dict[str, Any], says: str) -> None:
    with pytest.raises(se.InputError, match=says):
        se.Rules(**rules)


def test_rules_are_kept_and_count(game: "se.Game", m: "se.Measures") -> None:
    wider = se.measure(game, rules=se.Rules(reach=1.5))
    assert wider.rules == se.Rules(reach=1.5) != m.rules == se.Rules()
    # edge_width is how far out the edge man stands, and the reach beyond. With more reach another man may set the edge.
    same = m.edges["edge_man"] == wider.edges["edge_man"]
    assert same.mean() > 0.9
    np.testing.assert_allclose((wider.edges["edge_width"] - m.edges["edge_width"])[same], 1.5 - 1.04, atol=1e-12)


@pytest.mark.parametrize(
    ("how", "says"),
    [
        ({"rules": {"reach": 1}}, "rules is .*; accepted: Rules"),
        ({"threads": 0}, "threads is 0; accepted: a whole number from 1, None"),
        ({"threads": 1.5}, "threads is 1.5"),
        ({"game": "game.h5"}, "game is str; accepted: a Game"),
    ],
)
def test_measure_refuses(game: "se.Game", how: dict[str, Any], says: str) -> None:
    with pytest.raises(se.InputError, match=says):
        se.measure(**({"game": game} | how))


@pytest.mark.parametrize("threads", [1, 2, 7])
def test_threads_do_not_matter(threads: int, m: "se.Measures", game: "se.Game") -> None:
    assert_same(se.measure(game, threads=threads), m)


# ------------------------------------------------------------------------------------------------------ progress


def test_progress_is_told(game: "se.Game") -> None:
    seen: list[tuple[int, int]] = []
    big = se.from_tables(*repeated(200), **YARDS)
    se.measure(big, threads=1, progress=lambda done, all: seen.append((done, all)))
    assert seen
    assert seen == sorted(seen)
    assert {all for _, all in seen} == {600}


def test_an_error_in_progress_stops_the_work(game: "se.Game") -> None:
    def fail(done: int, all: int) -> None:
        raise KeyError("stop")

    with pytest.raises(KeyError, match="stop"):
        se.measure(se.from_tables(*repeated(200), **YARDS), threads=1, progress=fail)


def test_bar(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """On a terminal and after two seconds only."""
    from shortedge.base import progress

    now = [0.0]
    monkeypatch.setattr(progress.clock, "monotonic", lambda: now[0])
    bar = progress.Bar()
    for now[0], done in ((1.9, 3), (2.1, 15), (3.0, 30)):
        bar(done, 30)
    bar.clear()
    assert capsys.readouterr().err == f"\r[{'#' * 15}{'.' * 15}] 15 of 30 plays\r[{'#' * 30}] 30 of 30 plays\r\033[K"


def repeated(times: int) -> tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]:
    tracks, snaps, people = small_game()

    def copies(table: pd.DataFrame) -> pd.DataFrame:
        return pd.concat([table.assign(play=f"{k}-" + table["play"]) for k in range(times)], ignore_index=True)

    return copies(tracks), copies(snaps), people


# --------------------------------------------------------------------------------------------------------- files


def test_a_folder_of_parquet(tmp_path: Path, m: "se.Measures") -> None:
    m.save(tmp_path / "out")
    m.save(tmp_path / "out")  # over itself
    kept = se.read(tmp_path / "out")
    assert_same(kept, m)
    for name in ("rules", "digest", "game_name", "library_version"):
        assert getattr(kept, name) == getattr(m, name)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out"]
    # Another program reads it, and finds beside the figures what they were made with.
    for title in COLUMNS:
        table = parquet.read_table(tmp_path / "out" / f"{title}.parquet")
        assert table.column_names == ["game", *COLUMNS[title]]
        about = {key.decode(): value.decode() for key, value in table.schema.metadata.items()}
        assert json.loads(about["shortedge.rules"]) == m.rules.as_dict()
        assert about["shortedge.digest"] == m.digest
        assert about["shortedge.library_version"] == se.__version__
        assert json.loads(about["shortedge.units"])["time"] == "s"


def test_results_file(tmp_path: Path, m: "se.Measures") -> None:
    m.save(tmp_path / "pocket.h5")
    kept = se.read(tmp_path / "pocket.h5")
    assert_same(kept, m)
    for name in ("rules", "digest", "game_name", "library_version"):
        assert getattr(kept, name) == getattr(m, name)
    kept.save(tmp_path / "folder")
    assert_same(se.read(tmp_path / "folder"), m)


def test_game_file(tmp_path: Path, game: "se.Game", m: "se.Measures") -> None:
    game.save(tmp_path / "game.h5")
    kept = se.read(tmp_path / "game.h5")
    assert (kept.name, kept.digest, kept.dropped) == (game.name, game.digest, game.dropped)
    for name in ("plays", "people", "problems"):
        pd.testing.assert_frame_equal(getattr(kept, name), getattr(game, name))
    assert_same(se.measure(kept), m)
    kept.stored_digest = ""
    again = se.read(tmp_path / "game.h5")
    again.stored_digest = ""
    assert again.digest == game.digest


def test_read_several(tmp_path: Path, game: "se.Game", m: "se.Measures") -> None:
    game.save(tmp_path / "a.h5")
    m.save(tmp_path / "b.h5")
    for several in (se.read([tmp_path / "a.h5", str(tmp_path / "b.h5")]), se.read(tmp_path)):
        assert [type(one) for one in several] == [se.Game, se.Measures]


def test_attach(tmp_path: Path, game: "se.Game", m: "se.Measures") -> None:
    m.save(tmp_path / "out")
    kept = se.read(tmp_path / "out")
    with pytest.raises(se.InputError, match="attach it"):
        _ = kept.game
    with pytest.raises(se.InputError, match=r'results of game "week 3", digest .* do not belong to game "game"'):
        kept.attach(se.from_tables(*small_game(), **YARDS))
    assert kept.attach(game).game is game


# ------------------------------------------------------------------------------------------------- single points


def test_points_broadcast(rng: np.random.Generator) -> None:
    """As NumPy does: every element is the call with its own three points."""
    rusher, blocker, passer = rng.uniform(-5, 5, (4, 1, 2)), rng.uniform(-5, 5, (3, 2)), np.array([0.0, 7.0])
    side = rng.choice([-1, 0, 1], (4, 3))
    ratio, held = se.cutoff_ratio(rusher, blocker, passer), se.corner_held(rusher, blocker, passer, side)
    assert ratio.shape == held.shape == (4, 3)
    for i in range(4):
        for k in range(3):
            one = se.cutoff_ratio(rusher[i, 0], blocker[k], passer)
            assert type(one) is float
            assert one == ratio[i, k]
            held_one = se.corner_held(rusher[i, 0], blocker[k], passer, side[i, k])
            np.testing.assert_equal(held_one, held[i, k])
    assert se.cutoff_ratio(np.zeros((0, 2)), [1, 1], passer).shape == (0,)
    assert np.isnan(se.cutoff_ratio([np.nan, 0], [1, 1], passer))
    # Fortran order, strides, float32 and lists hold the same points.
    many = rng.uniform(-5, 5, (6, 2)).astype(np.float32)
    wanted = se.cutoff_ratio(many.astype(float), [1, 1], passer)
    for form in (many, np.asfortranarray(many), np.repeat(many, 2, axis=0)[::2], many.tolist()):
        np.testing.assert_array_equal(se.cutoff_ratio(form, [1, 1], passer), wanted)


def test_corner_held_of_the_tables(game: "se.Game", m: "se.Measures") -> None:
    """The tables' figure from the tables' own points."""
    play = game.play("2")
    at = {man.player: play.place[:, i] for i, man in enumerate(play.men)}
    rows = m.rushers[(m.rushers["play"] == "2") & (m.rushers["rusher"] == "105") & (m.rushers["blocker"] == "78")]
    assert len(rows) > 5
    k = np.searchsorted(play.time, rows["time"] - 1e-9)
    np.testing.assert_allclose(rows["cutoff_ratio"], se.cutoff_ratio(at["105"][k], at["78"][k], at["12"][k]))
    np.testing.assert_allclose(rows["corner_held"], se.corner_held(at["105"][k], at["78"][k], at["12"][k], 1))
    wide = se.Rules(reach=2.0)
    assert se.corner_held([5.0, 0], [5.0, 2], [5.0, 7], 1, rules=wide) == 2.0  # straight on: his whole reach


def test_one_way_round(m: "se.Measures") -> None:
    """A half circle between two tangents: 3 yd from the middle on both sides, radius 1: 2 (sqrt 8 + asin(1/3)) long."""
    way = se.way_round((0, 0), (0, 3), (0, 6), 1, rules=se.Rules(reach=1.0))
    assert way.length == pytest.approx(2 * (np.sqrt(8) + np.arcsin(1 / 3)), abs=1e-12)
    assert way.bend == pytest.approx(2 * np.degrees(np.arcsin(1 / 3)), abs=1e-9)
    path = se.taut_path((0, 0), (0, 6), [(0, 3)], 1.0)
    assert path.length == pytest.approx(way.length, abs=1e-12)
    assert path.bend == pytest.approx(way.bend, abs=1e-9)
    np.testing.assert_array_equal(way.points[[0, -1]], [(0, 0), (0, 6)])
    np.testing.assert_array_equal(path.points[[0, -1]], [(0, 0), (0, 6)])
    assert se.way_round((0, 0), (0, 3), (0, 6), 1, velocity=(0, 9)).time < way.time
    nothing = se.taut_path((0, 0), (3, 4), [], 1.0)
    assert (nothing.length, nothing.bend, nothing.points.tolist()) == (5.0, 0.0, [[0, 0], [3, 4]])


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: se.cutoff_ratio([1, 2, 3], [1, 2], [1, 2]), r"rusher of shape \(3,\); accepted: \(\.\.\., 2\)"),
        (lambda: se.cutoff_ratio("here", [1, 2], [1, 2]), 'rusher is "here"; accepted: numbers'),
        (lambda: se.cutoff_ratio(np.zeros((3, 2)), np.zeros((4, 2)), [1, 2]), "do not broadcast: rusher"),
        (
            lambda: se.corner_held([1, 2], [1, 2], [1, 2], 2),
            r"side is 2; accepted: -1 \(left\), 1 \(right\), 0 \(none\)",
        ),
        (lambda: se.way_round([1, np.nan], [1, 2], [1, 2], 1), "rusher is .*; accepted: two finite numbers"),
        (lambda: se.way_round([1, 2], [1, np.inf], [1, 2], 1), "blocker is .*; accepted: two finite numbers"),
        (lambda: se.way_round([1, 2], [1, 2], [1, 2], 0), "side is 0; accepted"),
        (lambda: se.way_round([1, 2], [1, 2], [1, 2], 1, velocity=[0, np.nan]), "velocity is .*; accepted"),
        (lambda: se.taut_path([0, 0], [1, np.inf], [[1, 1]], 1), "goal is .*; accepted: two finite numbers"),
        (lambda: se.taut_path([0, 0], [1, 1], [[1, np.nan]], 1), "centers of shape .*; accepted: finite points"),
        (lambda: se.taut_path([0, 0], [1, 1], [[1, 1]], -1), "reach is -1; accepted: one radius of 0 or more"),
        (lambda: se.taut_path([0, 0], [1, 1], [[1, 1]], [1, 1]), "or one for each of 1 discs"),
    ],
)
def test_points_refused(call: Any, says: str) -> None:
    with pytest.raises(se.InputError, match=says):
        call()


# ------------------------------------------------------------------------------------------------------- package


def test_example() -> None:
    game = se.example()
    assert "invented" in game.name
    assert 50 <= len(game.measured()) == len(game.plays)


def test_import_is_light() -> None:
    """The table and picture libraries are loaded when they are used."""
    heavy = ["pandas", "polars", "pyarrow", "narwhals", "matplotlib"]
    code = f"import sys, shortedge; print([name for name in {heavy} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"
