"""Whole-play parts from files to files: the same to the bit whoever makes them, flat in memory, and hard to kill."""

import os
import re
import resource
import shutil
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc
import pytest
from pyarrow import parquet

import shortedge as se
from conftest import KEYS
from shortedge import cli
from shortedge.measures import reading
from shortedge.measures.results import TITLES
from shortedge.season import inputs, jobs, layout, workers
from shortedge.season.folder import prepare_folder, sweep
from shortedge.season.one_man import plays_of
from test_codebase import HOUSE

sys.path.insert(0, str(HOUSE / "data"))
import make_season

YARDS = {"units": "yd", "origin": "corner", "y": "up"}
PLAYS = 60
DEADLY = "P00017"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("made") / "season"
    make_season.make(folder, PLAYS, scripts=6)
    return folder


@pytest.fixture(scope="module")
def serial(made: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("serial") / "out"
    se.measure_many(made, out, threads=1, plays_per_part=7, **YARDS)
    return out


def files(out: Path) -> dict[str, bytes]:
    """Every file of the results but what says where they came from."""
    found = {str(file.relative_to(out)): file.read_bytes() for file in sorted(out.rglob("*")) if file.is_file()}
    assert found.pop(reading.PLAN)
    assert len(found) >= 8
    return found


def table(out: Path, title: str) -> pd.DataFrame:
    frame = pd.read_parquet(out / title)
    return frame.sort_values(KEYS[title], ignore_index=True) if title in KEYS else frame


def whole(folder: Path) -> se.Measures:
    return se.measure(se.from_tables(*(folder / f"{name}.parquet" for name in ("tracks", "snaps", "people")), **YARDS))


def test_parts_are_the_whole(made: Path, serial: Path) -> None:
    m = whole(made)
    for title in TITLES:
        expected = m.arrow(title).to_pandas().sort_values(KEYS[title], ignore_index=True)
        pd.testing.assert_frame_equal(table(serial, title), expected.assign(game="season"), check_exact=True)
    assert set(m.frames["play"]) == {f"P{number:05d}" for number in range(PLAYS)}


def test_parts_are_read_as_measures(made: Path, serial: Path) -> None:
    parts = se.read(serial)
    assert len(parts) == 9
    assert sum(len(part.frames) for part in parts) == len(whole(made).frames)
    assert all(len(part.digest) == 64 for part in parts)


@pytest.mark.parametrize("how", [{"threads": 2}, {"processes": 2}], ids=["threads", "processes"])
def test_whoever_makes_them(made: Path, serial: Path, tmp_path: Path, how: dict[str, int]) -> None:
    done = se.measure_many(made, tmp_path / "out", plays_per_part=7, **how, **YARDS)
    assert files(tmp_path / "out") == files(serial)
    assert (done.counts["plays"], len(done.problems)) == (PLAYS, 0)


def test_hdf5_parts_hold_the_same(made: Path, serial: Path, tmp_path: Path) -> None:
    se.measure_many(made, tmp_path / "out", plays_per_part=30, format="hdf5", **YARDS)
    for title in TITLES:
        parts = pd.concat([getattr(part, title) for part in se.read(tmp_path / "out")])
        found = parts.sort_values(KEYS[title], ignore_index=True)
        pd.testing.assert_frame_equal(found, table(serial, title), check_exact=True)


def test_game_files_in_parts(made: Path, serial: Path, tmp_path: Path) -> None:
    m = whole(made)
    m.game.save(tmp_path / "season.h5")
    se.measure_many(tmp_path / "season.h5", tmp_path / "out", plays_per_part=25, **{})
    for title in TITLES:
        expected = m.arrow(title).to_pandas().sort_values(KEYS[title], ignore_index=True)
        pd.testing.assert_frame_equal(table(tmp_path / "out", title), expected, check_exact=True)
    assert {part.digest for part in se.read(tmp_path / "out")} == {m.digest}


@pytest.mark.parametrize("format", ["parquet", "hdf5"])
def test_bands_of_parts_are_those_of_the_whole(made: Path, tmp_path: Path, format: str) -> None:
    """Draws depend on the play and the man alone, so parts change nothing."""
    how = {"noise": 0.1, "draws": 4, "seed": 7}
    tables = [made / f"{name}.parquet" for name in ("tracks", "snaps", "people")]
    bands = se.measure(se.from_tables(*tables, **YARDS), **how).bands
    se.measure_many(made, tmp_path / "out", plays_per_part=25, format=format, **how, **YARDS)
    parts = se.read(tmp_path / "out")
    assert len(parts) == 3
    for title in TITLES:
        found = pd.concat([getattr(part.bands, title) for part in parts]).sort_values(KEYS[title], ignore_index=True)
        expected = getattr(bands, title).sort_values(KEYS[title], ignore_index=True)
        pd.testing.assert_frame_equal(found, expected.assign(game="season"), check_exact=True)


# ---------------------------------------------------------------------------------------------- killed and resumed


def test_a_killed_run_resumes(made: Path, serial: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    code = (
        "import shortedge as se, sys, os, signal; from shortedge.season import jobs; kept = jobs.keep\n"
        "def keep(job, *more):\n"
        "    if job.number == 4: os.kill(os.getpid(), signal.SIGKILL)\n"
        "    kept(job, *more)\n"
        "jobs.keep = keep\n"
        "se.measure_many(sys.argv[1], sys.argv[2], threads=1, plays_per_part=7, units='yd', origin='corner', y='up')"
    )
    killed = subprocess.run([sys.executable, "-c", code, str(made), str(out)])
    assert killed.returncode == -signal.SIGKILL
    assert len(list((out / "problems").glob("part-*"))) == 4
    (out / "frames" / "part-00004.parquet").write_bytes(b"not whole: it lacks its mark")
    stamps = {file: file.stat().st_mtime_ns for file in out.glob("*/part-0000[0-3].parquet")}
    done = se.measure_many(made, out, threads=1, plays_per_part=7, **YARDS)
    assert done.resumed == 4
    assert stamps == {file: file.stat().st_mtime_ns for file in stamps}
    assert files(out) == files(serial)
    assert not list(out.rglob(".*"))


def test_another_run_is_refused(made: Path, serial: Path, tmp_path: Path) -> None:
    before = files(serial)
    with pytest.raises(se.FileError, match=r"another run \(\"rules\" differ\)"):
        se.measure_many(made, serial, plays_per_part=7, rules=se.Rules(reach=1.1), **YARDS)
    (tmp_path / "letter.txt").write_text("mine")
    with pytest.raises(se.FileError, match="no results of measure_many"):
        se.measure_many(made, tmp_path, **YARDS)
    assert files(serial) == before
    assert [file.name for file in tmp_path.iterdir()] == ["letter.txt"]


def kill_once(job: jobs.Job) -> int:
    """Kills its process in the middle of the third part, once."""
    mark = job.out / "killed"
    if job.number == 2 and not mark.exists():
        mark.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return jobs.make(job)


def kill_by_play(job: jobs.Job) -> int:
    """Kills its process whenever one play is measured, as an error in compiled code would."""
    if DEADLY in job.piece.plays and DEADLY not in dict(job.without):
        os.kill(os.getpid(), signal.SIGKILL)
    return jobs.make(job)


def jobs_of(made: Path, out: Path) -> list[jobs.Job]:
    (one,) = inputs.inputs_of(made, YARDS)
    prepare_folder(out, {"format": "parquet", "noise": None})
    pieces = one.pieces(out, 7)
    return [jobs.Job(number, piece, out, se.Rules().as_dict(), None, "parquet") for number, piece in enumerate(pieces)]


def test_a_pool_outlives_its_processes(made: Path, serial: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    done = list(workers.run(jobs_of(made, out), workers.Processes(2), kill_once))
    assert (out / "killed").exists()
    (out / "killed").unlink()
    sweep(out)  # a pool that breaks ends its other process, too, maybe in the middle of a file
    assert sorted(job.number for job in done) == list(range(9))
    assert files(out) == files(serial)


@pytest.mark.full
def test_a_deadly_play_is_named_and_the_rest_finishes(made: Path, serial: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    list(workers.run(jobs_of(made, out), workers.Processes(2), kill_by_play))
    problems = pd.read_parquet(out / "problems")
    assert problems[["play", "reason"]].values.tolist() == [[DEADLY, "the process that measured it died"]]
    for title in TITLES:
        expected = table(serial, title).query("play != @DEADLY").reset_index(drop=True)
        pd.testing.assert_frame_equal(table(out, title), expected, check_exact=True)


def test_a_cluster_outlives_a_worker(made: Path, serial: Path, tmp_path: Path) -> None:
    distributed = pytest.importorskip("distributed")
    out = tmp_path / "out"
    with (
        distributed.LocalCluster(2, threads_per_worker=1, dashboard_address=None) as cluster,
        distributed.Client(cluster) as client,
    ):
        first = next(iter(cluster.workers.values())).pid

        def kill_when_under_way() -> None:
            while len(list((out / "problems").glob("part-*"))) < 2:
                time.sleep(0.002)
            os.kill(first, signal.SIGKILL)

        killer = threading.Thread(target=kill_when_under_way)
        killer.start()
        done = se.measure_many(made, out, client=client, plays_per_part=7, **YARDS)
        killer.join()
    assert (done.parts, done.resumed) == (9, 0)
    assert files(out) == files(serial)


# ---------------------------------------------------------------------------------------------- input of all kinds


def test_a_poisonous_play_is_named_and_the_rest_finishes(made: Path, serial: Path, tmp_path: Path) -> None:
    tracks = parquet.read_table(made / "tracks.parquet")
    times = tracks["time"].to_numpy().copy()
    row = int(np.flatnonzero(tracks["play"].to_numpy() == DEADLY)[100])
    times[row] = np.inf  # refused for a whole game, as any row without a time is
    folder = tmp_path / "poisoned"
    folder.mkdir()
    for name in ("snaps.parquet", "people.parquet"):
        (folder / name).write_bytes((made / name).read_bytes())
    parquet.write_table(tracks.set_column(2, "time", pa.array(times)), folder / "tracks.parquet")
    with pytest.raises(se.InputError, match="column time"):
        whole(folder)
    done = se.measure_many(folder, tmp_path / "out", plays_per_part=7, name="season", **YARDS)
    assert done.problems["play"].tolist() == [DEADLY]
    assert "column time: found no value in 1 of 1320 rows" in done.problems["reason"][0]
    expected = table(serial, "rushers").query("play != @DEADLY").reset_index(drop=True)
    pd.testing.assert_frame_equal(table(tmp_path / "out", "rushers"), expected, check_exact=True)


def test_plays_that_cannot_be_measured_are_listed(made: Path, tmp_path: Path) -> None:
    folder = tmp_path / "odd"
    folder.mkdir()
    tracks, snaps = (parquet.read_table(made / f"{name}.parquet") for name in ("tracks", "snaps"))
    people = (made / "people.parquet").read_bytes()
    (folder / "people.parquet").write_bytes(people)
    parquet.write_table(tracks.filter(pc.not_equal(tracks["play"], "P00003")), folder / "tracks.parquet")
    parquet.write_table(snaps.filter(pc.not_equal(snaps["play"], "P00050")), folder / "snaps.parquet")
    done = se.measure_many(folder, tmp_path / "out", plays_per_part=7, **YARDS)
    expected = whole(folder).game.problems
    assert sorted(done.problems["play"]) == sorted(expected["play"]) == ["P00003", "P00050"]
    assert sorted(done.problems["reason"]) == sorted(expected["reason"])
    assert done.counts["plays"] == PLAYS - 2


@pytest.mark.parametrize("kind", ["shuffled", "csv", "one row group"])
def test_tracks_are_laid_out_first(made: Path, serial: Path, tmp_path: Path, kind: str, monkeypatch: object) -> None:
    folder = tmp_path / "season"
    folder.mkdir()
    tracks = parquet.read_table(made / "tracks.parquet")
    if kind == "csv":
        for name in ("tracks", "snaps", "people"):
            pa.csv.write_csv(parquet.read_table(made / f"{name}.parquet"), folder / f"{name}.csv")
    else:
        for name in ("snaps.parquet", "people.parquet"):
            (folder / name).write_bytes((made / name).read_bytes())
        if kind == "shuffled":
            tracks = tracks.take(pa.array(np.random.default_rng(1).permutation(len(tracks))))
        parquet.write_table(tracks, folder / "tracks.parquet", row_group_size=len(tracks))
    monkeypatch.setattr(layout, "LARGEST_GROUP", 10_000)
    done = se.measure_many(folder, tmp_path / "out", plays_per_part=7, **YARDS)
    for title in TITLES:
        pd.testing.assert_frame_equal(table(tmp_path / "out", title), table(serial, title), check_exact=True)
    assert done.seconds["laying out"] > 0
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == [
        *TITLES[1::-1],
        "problems",
        "rushers",
        reading.PLAN,
    ]


def test_what_concerns_the_whole_is_refused_before_any_work(made: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    for paths, how, says in (
        (made, {}, "tables need units, origin, y"),
        ([], YARDS, "paths is empty"),
        (made / "tracks.parquet", YARDS, "a tuple of the three files"),
        (made, YARDS | {"columns": {"tracks": {"x": "nowhere"}}}, '"nowhere" is missing'),
        (made, YARDS | {"format": "table"}, "accepted: parquet, hdf5"),
        (made, YARDS | {"plays_per_part": 0}, "a whole number from 1"),
        (made, YARDS | {"noise": "auto"}, "accepted: yd per axis, such as"),
        (made, YARDS | {"noise": 0.1, "draws": 1}, "a whole number from 2 to 2000"),
        (made, YARDS | {"noise": "much"}, "accepted: yd per axis, None"),
    ):
        with pytest.raises(se.InputError, match=says):
            se.measure_many(paths, out, **how)
    with pytest.raises(se.InputError, match="y, direction or units look wrong"):
        se.measure_many(made, tmp_path / "mirrored", **(YARDS | {"y": "down"}))
    with pytest.raises(se.FileError, match="no such"):
        se.measure_many(tmp_path / "nowhere", out, **YARDS)


def test_at_the_command_line(made: Path, serial: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    line = ["measure", str(made), "-o", str(tmp_path / "out"), "--map", str(made / "map.toml")]
    assert cli.main([*line, "--stream"]) == 0
    assert f"{PLAYS} plays measured, {len(table(serial, 'frames'))} frames, 0 plays skipped" in capsys.readouterr().out
    expected = table(serial, "edges").assign(game="season (invented)")
    pd.testing.assert_frame_equal(table(tmp_path / "out", "edges"), expected, check_exact=True)
    assert cli.main([*line, "--stream"]) == 0
    assert "1 of 1 parts were whole already" in capsys.readouterr().out
    assert cli.main([*line, "--format", "hdf5"]) == 2
    assert "accepted: with it" in capsys.readouterr().err


def test_groups_of_another_engine(made: Path, serial: Path) -> None:
    """What Spark's applyInArrow would do: a table a group, whole plays, in no order."""
    tracks, snaps, people = (parquet.read_table(made / f"{name}.parquet") for name in ("tracks", "snaps", "people"))
    tracks = tracks.take(pa.array(np.random.default_rng(2).permutation(len(tracks))))
    week = pc.utf8_slice_codeunits(tracks["play"], 4, 5)  # P00000 .. P00059: ten plays a group
    for title in TITLES:
        groups = [
            se.measure_table(tracks.filter(pc.equal(week, key)), snaps, people, title, name="season", **YARDS)
            for key in pc.unique(week).to_pylist()
        ]
        assert len(groups) == 6
        assert all(group.schema == se.table_schema(title) for group in groups)
        found = pa.concat_tables(groups).to_pandas().sort_values(KEYS[title], ignore_index=True)
        pd.testing.assert_frame_equal(found, table(serial, title), check_exact=True)


class StandIn:
    """As much of a Spark session and data frame as the page uses: read.parquet, toArrow, groupBy, applyInArrow. Spark
    itself needs a Java machine; what it would do with groups and schema is done here by Arrow."""

    def __init__(self, table: pa.Table | None = None, key: str = "") -> None:
        self.table, self.key = table, key

    @property
    def read(self) -> "StandIn":
        return self

    def parquet(self, path: Path) -> "StandIn":
        return StandIn(parquet.read_table(path))

    def toArrow(self) -> pa.Table:
        return self.table

    def groupBy(self, key: str) -> "StandIn":
        return StandIn(self.table, key)

    def applyInArrow(self, function: Callable[[pa.Table], pa.Table], ddl: str) -> pa.Table:
        kinds = {"string": pa.string(), "double": pa.float64(), "int": pa.int32(), "boolean": pa.bool_()}
        fields = [field.replace("`", "").split() for field in ddl.split(", ")]
        schema = pa.schema([(name, kinds[kind]) for name, kind in fields])
        keys = pc.unique(self.table[self.key]).to_pylist()
        groups = [function(self.table.filter(pc.equal(self.table[self.key], key))) for key in keys]
        assert len(groups) > 1
        assert all(group.schema == schema for group in groups), "Spark refuses other names, order or types"
        return pa.concat_tables(groups)


def test_the_page_on_spark(made: Path, serial: Path, tmp_path: Path) -> None:
    (code,) = re.findall(r"```python\n(.*?)```", (HOUSE / "bindings" / "SPARK.md").read_text(), re.DOTALL)
    page: dict[str, Any] = {}
    exec(code, page)
    tracks = parquet.read_table(made / "tracks.parquet")
    week = pc.utf8_slice_codeunits(tracks["play"], 4, 5)
    parquet.write_table(tracks.append_column("week", week), tmp_path / "tracks.parquet")
    for title in TITLES:
        paths = (tmp_path / "tracks.parquet", made / "snaps.parquet", made / "people.parquet")
        found = page["measured"](StandIn(), title, *paths, name="season", **YARDS).to_pandas()
        found = found.sort_values(KEYS[title], ignore_index=True)
        pd.testing.assert_frame_equal(found, table(serial, title), check_exact=True)


# ------------------------------------------------------------------------------------------------ memory and starts


@pytest.mark.full
def test_memory_is_flat(tmp_path: Path) -> None:
    code = (
        "import resource, sys, shortedge as se\n"
        "se.measure_many(sys.argv[1], sys.argv[2], threads=1, plays_per_part=50, units='yd', origin='corner', y='up')\n"
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)"
    )
    peaks = []
    for plays in (200, 2000):
        folder = tmp_path / str(plays)
        make_season.make(folder, plays, scripts=6)
        ran = subprocess.run(
            [sys.executable, "-c", code, str(folder), str(tmp_path / f"out{plays}")], capture_output=True, check=True
        )
        peaks.append(int(ran.stdout) / 1024)
    assert peaks[1] < peaks[0] + 80, f"MB: {peaks}"  # the tracks of 1,800 plays more take 95 MB, their results 100


def cpu_seconds(arguments: list[str]) -> float:
    """Of a Python of its own; what others do on the machine hardly counts."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, *arguments], capture_output=True, check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def test_it_starts_quickly() -> None:
    """import under 0.3 s, --help under 0.4 s on a quiet machine, where Python with NumPy takes about 0.1 s: as ratios
    of processor time, taken in turn, so that a busy machine does not fail it."""
    starts = {
        "numpy": ["-c", "import numpy"],
        "import": ["-c", "import shortedge"],
        "help": ["-m", "shortedge.cli", "--help"],
    }
    rounds = [{name: cpu_seconds(arguments) for name, arguments in starts.items()} for _ in range(5)]
    least = {name: min(one[name] for one in rounds) for name in starts}
    assert least["import"] < 3 * least["numpy"], least
    assert least["help"] < 4 * least["numpy"], least


@pytest.mark.full
def test_the_bench_against_arrays_still_agrees() -> None:
    """bench/versus.py asserts every figure against NumPy and Shapely's array functions before it times anything."""
    line = [sys.executable, str(HOUSE / "bench" / "versus.py"), "--plays", "30", "--rounds", "1"]
    ran = subprocess.run(line, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr
    assert "values equal to 1e-6" in ran.stdout


# ------------------------------------------------------------------------------------------------ reps and one man


@pytest.fixture(scope="module")
def with_reps(made: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("reps") / "out"
    se.measure_many(made, out, threads=2, plays_per_part=7, reps=True, **YARDS)
    return out


def whole_game(made: Path) -> se.Game:
    files = [made / f"{name}.parquet" for name in ("tracks", "snaps", "people")]
    return se.from_tables(*files, **YARDS, name=made.name)


KEYS_OF = {
    "reps": ["play", "protector", "rusher", "start"],
    "dropbacks": ["play"],
    "exchanges": ["play", "rusher", "time"],
    "searches": ["play", "man", "start"],
    "looks": ["play", "defender"],
}


@pytest.mark.parametrize("title", KEYS_OF)
def test_reps_part_by_part_are_those_of_the_whole(title: str, made: Path, with_reps: Path, serial: Path) -> None:
    whole = se.reps(whole_game(made))
    keys, wanted = KEYS_OF[title], whole.table if title == "reps" else getattr(whole, title)
    found = pd.read_parquet(with_reps / title)
    assert len(found) > 0
    pd.testing.assert_frame_equal(
        found.sort_values(keys, ignore_index=True).astype(object),
        wanted.sort_values(keys, ignore_index=True).astype(object),
    )
    for other in TITLES:
        assert table(with_reps, other).equals(table(serial, other))


@pytest.mark.parametrize("way", ["parquet", "hdf5", "csv", "game file"])
def test_one_man_out_of_a_season(way: str, made: Path, tmp_path: Path, with_reps: Path) -> None:
    """His page out of the season's folder says what his page of the whole game says, and reads his plays alone."""
    whole = whole_game(made)
    rows = se.reps(whole).table
    man = rows.groupby("protector").size().index[0]
    out = with_reps
    if way != "parquet":
        out = tmp_path / "out"
        source: Any = made
        how: dict[str, Any] = dict(YARDS)
        if way == "csv":  # laid out anew, and kept
            source = tmp_path / made.name
            source.mkdir()
            for name in ("tracks", "snaps", "people"):
                some = pd.read_parquet(made / f"{name}.parquet")
                (some.sample(frac=1, random_state=1) if name == "tracks" else some).to_csv(source / f"{name}.csv")
        if way == "game file":
            source, how = tmp_path / "g.h5", {}
            whole.save(source)
        format = "hdf5" if way == "hdf5" else "parquet"
        se.measure_many(source, out, threads=1, plays_per_part=7, reps=True, format=format, **how)
    found = plays_of(out, [man])
    plays = set(rows.loc[rows["protector"] == man, "play"])
    assert [set(game.measured()) for game in found.games] == [plays]
    mine = se.reps(found.games[0]).arrow("reps").to_pandas().query("protector == @man")
    keys = ["play", "rusher", "start"]
    wanted = rows.query("protector == @man").sort_values(keys, ignore_index=True)
    near = 1e-9 if way == "csv" else 0
    pd.testing.assert_frame_equal(mine.sort_values(keys, ignore_index=True), wanted, rtol=near, atol=near)
    page = tmp_path / "man.html"
    assert cli.main(["player", man, str(out), "-o", str(page)]) == 0
    assert man in page.read_text()
    with pytest.raises(se.InputError, match=f'no rep of player "{man}x" in .*nearest: "{man}"'):
        se.player_page(out, f"{man}x", tmp_path / "page.html")


def test_a_season_that_changed_or_has_no_reps(made: Path, serial: Path, tmp_path: Path) -> None:
    with pytest.raises(se.InputError, match="found a season without reps"):
        se.player_page(serial, "anybody", tmp_path / "page.html")
    copy = tmp_path / "season"
    shutil.copytree(made, copy)
    se.measure_many(copy, tmp_path / "out", threads=1, plays_per_part=7, reps=True, **YARDS)
    man = pd.read_parquet(tmp_path / "out" / "reps")["protector"].iloc[0]
    pd.read_parquet(copy / "snaps.parquet").assign(more=1).to_parquet(copy / "snaps.parquet")
    with pytest.raises(se.InputError, match=r"\"snaps\.parquet\" changed since the season was measured"):
        se.player_page(tmp_path / "out", man, tmp_path / "page.html")
