"""Bad input: what is refused, what is skipped, and what they say; through Python and the command line alike."""

import errno
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

import shortedge as se
from conftest import Tables
from shortedge.cli import main
from small_game import YARDS, assert_same, in_library, small_game, write_map, write_tables

Change = Callable[[dict[str, pd.DataFrame]], None]


def changed(change: Change) -> Tables:
    tables = dict(zip(("tracks", "snaps", "people"), small_game(), strict=True))
    change(tables)
    return tables["tracks"], tables["snaps"], tables["people"]


def to(table: str, column: str, value: Any, row: int | None = None) -> Change:
    """Puts a value into a column: of one row, by place, or of all."""

    def change(tables: dict[str, pd.DataFrame]) -> None:
        values = [value] * len(tables[table]) if row is None else tables[table][column].tolist()
        if row is not None:
            values[row] = value
        tables[table][column] = pd.Series(values, tables[table].index, dtype=object if isinstance(value, str) else None)

    return change


def drop(table: str, column: str) -> Change:
    return lambda tables: tables.update({table: tables[table].drop(columns=column)})


def empty(table: str) -> Change:
    return lambda tables: tables.update({table: tables[table].head(0)})


REQUIRED = {
    "tracks": ("play", "player", "time", "x", "y"),
    "snaps": ("play", "ball_x", "ball_y", "direction", "snap_time"),
    "people": ("player", "unit", "position"),
}
# What is refused: the change, and what the message must hold.
REFUSED: dict[str, tuple[Change, tuple[str, ...]]] = {
    f"{table} without {column}": (
        drop(table, column),
        (f"table {table}", f"column {column}: missing; found: ", "name theirs"),
    )
    for table, columns in REQUIRED.items()
    for column in columns
}
REFUSED |= {
    "text for a place": (
        to("tracks", "x", "left", 4),
        ("table tracks, column x: found text", '"left"', "accepted: a number"),
    ),
    "text for a time": (
        to("tracks", "time", "noon", 4),
        ("table tracks, column time: found text", '"noon"', "seconds"),
    ),
    "text for a throw": (
        to("snaps", "throw_time", "late", 1),
        ("table snaps, column throw_time: found text", '"late"'),
    ),
    "text for film": (to("snaps", "film_time", "reel 2"), ("table snaps, column film_time: found text", '"reel 2"')),
    "an unknown unit": (
        to("people", "unit", "special", 2),
        ("table people, column unit", '"special"', "offense, defense"),
    ),
    "no unit": (to("people", "unit", None, 2), ("table people, column unit: found no value in 1 of 12 rows",)),
    "an unknown role": (
        to("people", "role", "spy"),
        ("column role: found", '"spy"', "passer, protector, rusher, other"),
    ),
    "a direction in words": (
        to("snaps", "direction", "right"),
        ("table snaps, column direction", '"right"', "accepted: 1, -1"),
    ),
    "a direction of 0": (to("snaps", "direction", 0, 1), ("table snaps, column direction", '"0"', "accepted: 1, -1")),
    "no direction": (to("snaps", "direction", None, 1), ("table snaps, column direction: found no value",)),
    "a track without a play": (
        to("tracks", "play", None, 7),
        ("table tracks, column play: found no value in 1 of", "row 7"),
    ),
    "a track without a time": (to("tracks", "time", np.nan, 7), ("table tracks, column time: found no value", "row 7")),
    "a snap without a play": (to("snaps", "play", None, 0), ("table snaps, column play: found no value",)),
    "a person without an id": (
        to("people", "player", None, 3),
        ("table people, column player: found no value", "row 3"),
    ),
    "a defender to protect": (
        lambda t: t["people"].__setitem__("role", t["people"]["position"].map({"S": "protector"})),
        ("table people, player 33: role and unit disagree",),
    ),
    "two men of one id": (
        lambda t: t.update(people=pd.concat([t["people"], t["people"].head(1).assign(position="LT")])),
        ("table people: player 12 stands twice with different unit, position or role",),
    ),
    "no tracks": (empty("tracks"), ("table tracks is empty",)),
    "no snaps": (empty("snaps"), ("table snaps is empty",)),
    "no people": (empty("people"), ("table people is empty",)),
    "no valid play": (
        lambda t: t.update(people=t["people"][t["people"]["position"] != "QB"]),
        ("no play can be measured: 2: no passer", "; 10: ", "; 1: "),
    ),
    "a mirror": (
        lambda t: t["tracks"].__setitem__("y", 52 - t["tracks"]["y"]),
        ("y, direction or units look wrong", "LT stands right of RT in 3", 'orientation "trust"'),
    ),
    "the wrong way": (to("snaps", "direction", -1), ("y, direction or units look wrong", "of the ball in 3")),
    "feet for yards": (
        lambda t: t["tracks"].update({"x": 60 + (t["tracks"]["x"] - 60) * 3, "y": 26 + (t["tracks"]["y"] - 26) * 3}),
        ("y, direction or units look wrong", "over 3 yd apart in 3", "median 4.5"),
    ),
}


@pytest.mark.parametrize("library", ["pandas", "polars", "pyarrow"])
@pytest.mark.parametrize("what", REFUSED)
def test_refused(what: str, library: str) -> None:
    change, says = REFUSED[what]
    tables = [in_library(of_one_kind(table), library) for table in changed(change)]
    with pytest.raises(se.InputError) as caught:
        se.from_tables(*tables, **YARDS)
    for part in says:
        assert part in str(caught.value)
    assert isinstance(caught.value, ValueError)


def of_one_kind(table: pd.DataFrame) -> pd.DataFrame:
    """A column of numbers with a text among them is a column of texts; mixed ones have a test of their own."""
    for name in table:
        kinds = {type(value) for value in table[name].dropna()}
        if str in kinds and len(kinds) > 1:
            table = table.assign(**{name: [None if pd.isna(value) else str(value) for value in table[name]]})
    return table


@pytest.mark.parametrize("end", [".csv", ".csv.gz"])
@pytest.mark.parametrize("what", REFUSED)
def test_refused_at_the_command_line(what: str, end: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    change, says = REFUSED[what]
    write_tables(tmp_path / "in", changed(change), end)
    out = tmp_path / "out"
    assert main(["measure", str(tmp_path / "in"), "--map", write_map(tmp_path), "-o", str(out)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("shortedge: ")
    assert said.err.count("\n") == 1
    for part in says:
        assert part in said.err
    assert not out.exists()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["in", "map.toml"]


def test_mixed_values_are_refused() -> None:
    says = "table tracks, column {}: found values of several kinds .*; accepted: values of one kind, text or numbers"
    for name, value in (("player", 12), ("x", "left")):
        tracks, snaps, people = small_game()
        tracks[name] = tracks[name].astype(object).where(tracks.index != 3, value)
        with pytest.raises(se.InputError, match=says.format(name)):
            se.from_tables(tracks, snaps, people, **YARDS)


@pytest.mark.parametrize(
    ("name", "given", "says"),
    [
        (
            "tracks",
            5,
            "table tracks: found int; accepted: a pandas, polars or pyarrow table, a dict of arrays, or the path",
        ),
        ("snaps", "snaps.xls", 'table snaps: found the file "snaps.xls"; accepted: .csv, .csv.gz, .parquet'),
        ("people", {"player": np.zeros((2, 2))}, "table people, column unit: missing"),
    ],
)
def test_no_table(name: str, given: Any, says: str) -> None:
    tables = dict(zip(("tracks", "snaps", "people"), small_game(), strict=True)) | {name: given}
    with pytest.raises(se.InputError, match=says):
        se.from_tables(*tables.values(), **YARDS)


def test_arrays_of_one_dimension() -> None:
    tracks, snaps, people = (in_library(table, "dict") for table in small_game())
    tracks["x"] = np.column_stack([tracks["x"], tracks["x"]])
    with pytest.raises(se.InputError, match="table tracks, column x: found an array of 2 dimensions; accepted: one"):
        se.from_tables(tracks, snaps, people, **YARDS)
    tracks["x"] = tracks["x"][:5, 0]
    with pytest.raises(se.InputError, match="table tracks, column x: 5 rows, where the table has"):
        se.from_tables(tracks, snaps, people, **YARDS)


# ------------------------------------------------------------------------------------------------------- skipped


def rows(tables: dict[str, pd.DataFrame], play: str, player: str | None = None) -> pd.Series:
    tracks = tables["tracks"]
    return (tracks["play"] == play) & ((tracks["player"] == player) if player else True)


def put(play: str, player: str | None, **values: Any) -> Change:
    """Sets columns of a play's tracks: of one man, or of all."""

    def change(tables: dict[str, pd.DataFrame]) -> None:
        for name, value in values.items():
            tables["tracks"][name] = tables["tracks"][name].mask(rows(tables, play, player), value)

    return change


def without(play: str, *players: str) -> Change:
    def change(tables: dict[str, pd.DataFrame]) -> None:
        for player in players:
            tables["tracks"] = tables["tracks"][~rows(tables, play, player)]

    return change


SKIPPED: dict[str, tuple[Change, str]] = {
    "no passer": (without("10", "12"), "no passer"),
    "two passers": (
        lambda t: t.update(
            people=pd.concat(
                [
                    t["people"].assign(play=None),
                    t["people"][t["people"]["player"] == "80"].assign(position="QB", play="10"),
                ]
            )
        ),
        "2 passers",
    ),
    "two linemen": (without("10", "71", "62", "9"), "linemen"),
    "no snap": (to("snaps", "snap_time", np.nan, 1), "no snap in range: no snap_time"),
    "a snap out of range": (to("snaps", "snap_time", 900.0, 1), "no snap in range: snap at 900 s"),
    "a man twice at one time": (
        lambda t: t.update(tracks=pd.concat([t["tracks"], t["tracks"][rows(t, "10", "33")].head(1)])),
        "player 33 at 140 s: two rows at one time",
    ),
    "infinite": (put("10", "33", x=np.inf), "player 33 at 140 s: x inf"),
    "off the field": (put("10", "33", y=-31.0), "more than 30 yd off the field"),
    "times going nowhere": (put("10", None, time=140.0), "two rows at one time"),
    "every sample of a man at another second": (
        lambda t: t["tracks"].__setitem__(
            "time", t["tracks"]["time"].mask(rows(t, "10"), (t["tracks"]["time"] - 140) * 40 + 140)
        ),
        "times go nowhere",
    ),
    "a throw before the snap": (to("snaps", "throw_time", 100.0, 1), "the throw before the snap"),
    "no place of the ball": (to("snaps", "ball_x", np.nan, 1), "no place of the ball"),
}


@pytest.mark.parametrize("what", SKIPPED)
def test_skipped(what: str) -> None:
    change, reason = SKIPPED[what]
    game = se.from_tables(*changed(change), **YARDS)
    assert list(game.problems.columns) == ["play", "reason"]
    assert list(game.problems["play"]) == ["10"]
    assert reason in game.problems["reason"][0]
    assert list(se.measure(game).frames["play"].unique()) == ["2", "1"]
    with pytest.raises(se.InputError, match='play "10" is not measured: '):
        game.play(10)


@pytest.mark.parametrize("what", SKIPPED)
def test_skipped_at_the_command_line(what: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    change, reason = SKIPPED[what]
    folder = str(write_tables(tmp_path / "in", changed(change), ".parquet"))
    mapped = ["--map", write_map(tmp_path)]
    out = tmp_path / "out"
    assert main(["measure", folder, *mapped, "-o", str(out), "--strict"]) == 2
    strict = capsys.readouterr()
    assert 'shortedge: 1 plays of "in" cannot be measured (--strict): 10: ' in strict.err
    assert reason in strict.err
    assert not out.exists()
    assert main(["measure", folder, *mapped, "-o", str(out)]) == 1
    said = capsys.readouterr().out
    assert "2 plays measured, 1 skipped" in said
    assert f"skipped 10: {se.from_tables(*changed(change), **YARDS).problems['reason'][0]}" in said
    assert set(se.read(out).frames["play"]) == {"1", "2"}
    assert main(["check", folder, *mapped]) == 1
    assert "skipped 10: " in capsys.readouterr().out


def test_tracks_without_a_snap_are_listed() -> None:
    tracks, snaps, people = small_game()
    game = se.from_tables(tracks, snaps[snaps["play"] != "10"], people, **YARDS)
    assert game.problems.to_numpy().tolist() == [["10", "no row in snaps"]]


def test_trust_lets_a_mirror_pass() -> None:
    tracks, snaps, people = changed(REFUSED["a mirror"][0])
    assert len(se.from_tables(tracks, snaps, people, **YARDS, orientation="trust").problems) == 0


# --------------------------------------------------------------------------------------------------------- files


def test_files_that_cannot_be_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = write_tables(tmp_path / "in", small_game())
    paths = [folder / f"{name}.csv" for name in ("tracks", "snaps", "people")]
    with pytest.raises(se.FileError, match=r"table tracks \(.*no.csv\): no such file"):
        se.from_tables(folder / "no.csv", *paths[1:], **YARDS)
    paths[1].write_text("play,ball_x\n2,60\n10,60\n", encoding="utf-8")
    with pytest.raises(se.InputError, match=r"table snaps \(.*snaps.csv\).*column ball_y: missing"):
        se.from_tables(*paths, **YARDS)
    paths[1].write_text("play,ball_x,ball_y,direction,snap_time\n2,60,26,1,100\n10,60\n", encoding="utf-8")
    with pytest.raises(se.InputError, match=r"table snaps \(.*snaps.csv\): .*Expected 5 columns, got 2"):
        se.from_tables(*paths, **YARDS)
    paths[1].write_bytes(b"")
    with pytest.raises(se.InputError, match=r"table snaps \(.*snaps.csv\): "):
        se.from_tables(*paths, **YARDS)
    (folder / "snaps.parquet").write_bytes(b"PAR1 and nothing more")
    with pytest.raises(se.InputError, match=r"table snaps \(.*snaps.parquet\): "):
        se.from_tables(paths[0], folder / "snaps.parquet", paths[2], **YARDS)
    assert main(["measure", *map(str, paths), "--map", write_map(tmp_path), "-o", str(tmp_path / "out")]) == 2
    assert capsys.readouterr().err.startswith("shortedge: table snaps (")


def test_a_file_that_is_not_utf8(tmp_path: Path) -> None:
    folder = write_tables(tmp_path, small_game())
    people = (folder / "people.csv").read_text(encoding="utf-8").replace("Somebody 33", "Soméone")
    (folder / "people.csv").write_bytes(people.encode("latin-1"))
    with pytest.raises(se.InputError, match=r"table people \(.*people.csv\): .*UTF8"):
        se.from_tables(*(folder / f"{name}.csv" for name in ("tracks", "snaps", "people")), **YARDS)


def test_a_column_name_that_is_not_utf8(tmp_path: Path) -> None:
    folder = write_tables(tmp_path, small_game())
    (folder / "snaps.csv").write_bytes((folder / "snaps.csv").read_bytes().replace(b"down", b"d\xffwn", 1))
    with pytest.raises(se.InputError, match=r"table snaps \(.*snaps.csv\): a column's name is not UTF8"):
        se.from_tables(*(folder / f"{name}.csv" for name in ("tracks", "snaps", "people")), **YARDS)


@pytest.mark.parametrize(
    ("path", "says"),
    [("none.h5", "none.h5: no such file"), ("none", "none: no such file"), (".", "no game or results file in it")],
)
def test_read_of_nothing(path: str, says: str, tmp_path: Path) -> None:
    with pytest.raises(se.FileError, match=says):
        se.read(tmp_path / path)


def test_a_results_folder_of_something_else(tmp_path: Path) -> None:
    m = se.measure(se.from_tables(*small_game(), **YARDS))
    m.save(tmp_path / "a")
    other = se.measure(se.from_tables(*small_game(), **YARDS, name="other"))
    other.save(tmp_path / "b")
    os.replace(tmp_path / "b" / "edges.parquet", tmp_path / "a" / "edges.parquet")
    with pytest.raises(se.FileError, match="was not written by shortedge together with the others"):
        se.read(tmp_path / "a")
    m.save(tmp_path / "a")
    data = (tmp_path / "a" / "rushers.parquet").read_bytes()
    (tmp_path / "a" / "rushers.parquet").write_bytes(data[: len(data) // 2])
    with pytest.raises(se.FileError, match=r"rushers\.parquet: "):
        se.read(tmp_path / "a")


def test_save_leaves_a_stranger_alone(tmp_path: Path) -> None:
    (tmp_path / "notes").mkdir()
    (tmp_path / "notes" / "mine.txt").write_text("keep")
    m = se.measure(se.from_tables(*small_game(), **YARDS))
    with pytest.raises(se.FileError, match="is no results folder; it is left as it is"):
        m.save(tmp_path / "notes")
    assert (tmp_path / "notes" / "mine.txt").read_text() == "keep"
    for name in ("folder", "results.h5"):
        with pytest.raises(se.FileError, match=rf"{name}: cannot be written: there is no folder .*such; make it first"):
            m.save(tmp_path / "no" / "such" / name)


WRITER = """
import os, resource, signal, sys
sys.path.insert(0, {tests!r})
import shortedge as se
from pyarrow import parquet
from small_game import YARDS, small_game
m = se.measure(se.from_tables(*small_game(), **YARDS), rules=se.Rules(reach=1.2))
if {how!r} == "full":
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (4000, 4000))
else:
    write = parquet.ParquetWriter.write_table
    def write_half(writer, table):
        write(writer, table[: table.num_rows // 2])
        os.kill(os.getpid(), signal.SIGKILL)
    parquet.ParquetWriter.write_table = write_half
try:
    m.save({target!r})
except se.FileError as why:
    print("FileError", why)
"""


@pytest.mark.parametrize("how", ["full", "killed"])
@pytest.mark.parametrize("before", [True, False])
def test_a_writer_that_fails(how: str, before: bool, tmp_path: Path) -> None:
    """A full disk (here: a limit on the size of files) or a kill half-way: the old results stand, nothing half new."""
    target = tmp_path / "out"
    m = se.measure(se.from_tables(*small_game(), **YARDS))
    if before:
        m.save(target)
    code = WRITER.format(tests=str(Path(__file__).parent), how=how, target=str(target))
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=120, check=False)
    if how == "full":
        assert done.stdout.startswith(f"FileError {target}: cannot be written: "), done.stderr
        assert os.strerror(errno.EFBIG) in done.stdout
        assert [path.name for path in tmp_path.iterdir()] == (["out"] if before else [])
    else:
        assert done.returncode == -signal.SIGKILL, done.stderr
    assert target.exists() == before
    if before:
        kept = se.read(target)
        assert kept.rules == m.rules
        assert kept.frames.equals(m.frames)


# --------------------------------------------------------------------------------------------------------- names

ODD = {
    "33": "<script>alert(1)</script>",
    "90": "quo\"te's & <b>",
    "91": "עברית Name",
    "92": "\u202egnp.exe",
    "105": "\x1b[31mred\x1b[0m\nnew line",
    "71": "$\\frac{1}{2}$ 名前",
}


def odd_names() -> Tables:
    tracks, snaps, people = small_game()
    for table in (tracks, people):
        table["player"] = table["player"].replace(ODD)
    for table in (tracks, snaps):
        table["play"] = table["play"].replace({"2": "<i>2</i>", "10": "=1+1;\u202e", "1": "\x1b]0;title\x07"})
    return tracks, snaps, people


@pytest.mark.parametrize("library", ["pandas", "polars", "pyarrow", "dict"])
def test_names_are_text(library: str) -> None:
    game = se.from_tables(*(in_library(table, library) for table in odd_names()), **YARDS)
    assert {man.player for man in game.play("<i>2</i>").men} >= set(ODD.values())
    rushers = se.measure(game).arrow("rushers")["rusher"].unique().to_pylist()
    assert set(rushers) == {ODD[rusher] for rusher in ("90", "91", "92", "105")}


def test_names_come_back_from_a_file(tmp_path: Path) -> None:
    m = se.measure(se.from_tables(*odd_names(), **YARDS, name="\u202e<b>week</b>"))
    m.save(tmp_path / "out")
    assert_same(se.read(tmp_path / "out"), m)


def test_names_on_a_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What a terminal would run or turn round is written out."""
    write_tables(tmp_path / "in", odd_names(), ".parquet")
    arguments = [str(tmp_path / "in"), "--map", write_map(tmp_path)]
    assert main(["measure", *arguments, "-o", str(tmp_path / "out")]) == 0
    assert main(["check", *arguments]) == 0
    assert main(["show", *arguments[:1], "\x1b[2J", *arguments[1:], "-o", str(tmp_path / "f.svg")]) == 2
    said = capsys.readouterr()
    for text in (said.out, said.err):
        assert all(char.isprintable() or char == "\n" for char in text)
    assert "<i>2</i>" in said.out
    assert "=1+1;\\u202e" in said.out
    assert "\\u001b]0;title" in said.out
