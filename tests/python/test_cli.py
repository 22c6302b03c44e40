"""The commands, as a user types them."""

import signal
import subprocess
import sys
import tomllib
from pathlib import Path

import pandas as pd
import pytest

import shortedge as se
from odd_games import as_units
from shortedge.cli import main
from small_game import YARDS, assert_same, small_game, write_map, write_tables
from test_mapping import foreign

Capture = pytest.CaptureFixture[str]


@pytest.fixture
def tables(tmp_path: Path) -> list[str]:
    """IN and its map, as arguments."""
    return [str(write_tables(tmp_path / "in", small_game())), "--map", write_map(tmp_path)]


def test_as_a_program() -> None:
    command = [sys.executable, "-m", "shortedge.cli"]
    done = subprocess.run([*command, "--version"], capture_output=True, text=True, check=True)
    assert done.stdout == f"shortedge {se.__version__}\n"
    assert subprocess.run([*command, "measure"], capture_output=True, check=False).returncode == 2


# ------------------------------------------------------------------------------------------------------- measure


def test_measure(tables: list[str], tmp_path: Path, capsys: Capture) -> None:
    out = tmp_path / "out"
    assert main(["measure", *tables, "-o", str(out), "--set", "reach=1.1", "--threads", "1"]) == 0
    m = se.measure(se.from_tables(*small_game(), **YARDS, name="in"), rules=se.Rules(reach=1.1))
    kept = se.read(out)
    assert_same(kept, m)
    assert kept.rules == se.Rules(reach=1.1)
    said = capsys.readouterr()
    assert said.err == ""
    lines = said.out.splitlines()
    assert lines[0] == "in: 3 plays measured, 0 skipped"
    assert lines[1].split() == ["play", "deepest", "width", "room", "worst", "edge", "exposure", "at", "short", "edge"]
    assert lines[-1] == f"results in {out}"
    by_play = {line.split()[0]: line.split() for line in lines[2:5]}
    assert list(by_play) == ["2", "10", "1"]
    throws = {"2": 2.0, "10": 2.25, "1": float("inf")}
    for play, cells in by_play.items():
        frames = m.frames[(m.frames["play"] == play) & (m.frames["time"] <= throws[play] + 1e-6)]
        edges = m.edges[(m.edges["play"] == play) & (m.edges["time"] <= throws[play] + 1e-6)].reset_index()
        worst = edges.loc[edges["exposure"].idxmax()]
        assert cells[1:4] == [
            f"{frames['passer_depth'].max():.1f}",
            f"{frames['pocket_width'].iloc[-1]:.1f}",
            f"{frames['pocket_depth'].iloc[-1]:.1f}",
        ]
        position = {"71": "LT", "78": "RT", "62": "LG", "63": "RG"}[worst["edge_man"]]
        assert cells[4:7] == [worst["side"], position, worst["edge_man"]]
        assert cells[7:9] == [f"{worst['exposure']:.2f}", f"{worst['time']:.1f}"]
        assert cells[9] == (f"{worst['short_edge']:.1f}" if worst["exposure"] >= 0.2 else "-")


def test_three_files(tmp_path: Path) -> None:
    folder = write_tables(tmp_path / "in", small_game(), ".csv.gz")
    paths = [str(folder / f"{name}.csv.gz") for name in ("tracks", "snaps", "people")]
    assert main(["measure", *paths, "--map", write_map(tmp_path), "-o", str(tmp_path / "out")]) == 0
    assert_same(se.read(tmp_path / "out"), se.measure(se.from_tables(*small_game(), **YARDS, name="in")))


def test_a_foreign_folder_through_a_map(tmp_path: Path) -> None:
    """Everything a map can say, against the same through Python."""
    (tracks, snaps, people), how = foreign()
    folder = tmp_path / "theirs"
    folder.mkdir()
    tracks.to_csv(folder / "where.csv.gz", index=False)
    snaps.to_parquet(folder / "starts.parquet")
    people.to_csv(folder / "who.csv", index=False)
    text = """
        units = "m"
        origin = "center"
        y = "up"
        time = "ms"
        name = "their week"
        orientation = "check"
        [files]
        tracks = "where.csv.gz"
        snaps = "starts.parquet"
        people = "who.csv"
        [columns.tracks]
        play = ["drive", "rep"]
        player = "wearer"
        time = "at"
        x = "lengthwise"
        y = "crosswise"
        [columns.snaps]
        play = ["drive", "rep"]
        ball_x = "bx"
        ball_y = "by"
        snap_time = "start"
        direction = "toward"
        label = "kind"
        [columns.people]
        player = "wearer"
        position = "slot"
        unit = "squad"
        [values.unit]
        "with the ball" = "offense"
        "against it" = "defense"
        [values.position]
        thrower = "QB"
        "tackle L" = "LT"
        [values.direction]
        "home end" = 1
    """
    arguments = [str(folder), "--map", write_map(tmp_path, text), "-o", str(tmp_path / "out")]
    assert main(["measure", *arguments]) == 0
    m = se.measure(se.from_tables(tracks, snaps, people, **YARDS | how, name="their week"))
    assert_same(se.read(tmp_path / "out"), m)


def test_frames_a_ball_and_feet_through_a_map(tmp_path: Path) -> None:
    tracks, snaps, people = as_units(small_game(), "ft", "corner", "down")
    ball = tracks[tracks["player"] == "12"].assign(player="egg", x=snaps["ball_x"][0], y=snaps["ball_y"][0])
    tracks = pd.concat([tracks, ball])
    tracks["time"] = (tracks["time"] * 8).astype(int)
    for name in ("snap_time", "throw_time", "end_time"):
        snaps[name] *= 8
    write_tables(tmp_path / "in", (tracks, snaps.drop(columns=["ball_x", "ball_y"]), people))
    text = 'units = "ft"\norigin = "corner"\ny = "down"\ntime = "frame"\nrate = 8\nball = "egg"\n'
    arguments = [str(tmp_path / "in"), "--map", write_map(tmp_path, text), "-o", str(tmp_path / "out")]
    assert main(["measure", *arguments]) == 0
    assert_same(se.read(tmp_path / "out"), se.measure(se.from_tables(*small_game(), **YARDS, name="in")), near=1e-9)


def test_game_files(tmp_path: Path, capsys: Capture) -> None:
    game = se.from_tables(*small_game(), **YARDS)
    for name in ("one", "two"):
        (tmp_path / "games").mkdir(exist_ok=True)
        game.save(tmp_path / "games" / f"{name}.h5")
    files = [str(tmp_path / "games" / f"{name}.h5") for name in ("one", "two")]
    m = se.measure(game)
    assert main(["measure", files[0], "-o", str(tmp_path / "one.h5")]) == 0
    assert_same(se.read(tmp_path / "one.h5"), m)
    for number, given in enumerate((files, [str(tmp_path / "games")])):
        out = tmp_path / f"out{number}"
        assert main(["measure", *given, "-o", str(out)]) == 0
        assert sorted(path.name for path in out.iterdir()) == ["one.h5", "two.h5"]
        assert_same(se.read(out / "two.h5"), m)
    capsys.readouterr()
    for given, says in (
        ([*files, "-o", str(tmp_path / "all.h5")], "accepted for 2 games: a folder"),
        ([files[0], files[0], "-o", str(tmp_path / "all")], "given twice; accepted: each game once"),
        ([files[0], "--map", write_map(tmp_path), "-o", str(tmp_path / "all")], "--map: found with game files"),
        (
            [str(tmp_path / "one.h5"), "-o", str(tmp_path / "all")],
            "one.h5: found results, which hold no coordinates; accepted: the game they were made of",
        ),
    ):
        assert main(["measure", *given]) == 2
        assert says in capsys.readouterr().err
    assert not (tmp_path / "all").exists()


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            'units = "yd"\n',
            "map.toml: lacks origin, y; accepted: units yd, m or ft; origin corner or center; y up or down",
        ),
        ('unit = "yd"\n', 'map.toml: found the key "unit"; accepted: units, origin, y, name, time'),
        ("units = yd\n", "map.toml: "),
        ('units = "yd"\norigin = "corner"\ny = "up"\nfiles = 3\n', "[files]: found 3; accepted: tracks, snaps, people"),
        ('units = "yd"\norigin = "corner"\ny = "up"\n[files]\nball = "b.csv"\n', "[files]: found"),
        ('units = "yd"\norigin = "corner"\ny = "up"\n[files]\nsnaps = "no.csv"\n', "no.csv): no such file"),
        ('units = "yd"\norigin = "corner"\ny = "up"\n[columns.tracks]\nx = 3\n', "accepted: the name of their column"),
        ('units = "yd"\norigin = "corner"\ny = "up"\ncolumns = 3\n', "columns: found int; accepted: a mapping"),
        ('units = "yd"\norigin = "corner"\ny = "up"\n[columns.tracks]\nlong = "x"\n', 'found the key "long"'),
        ('units = "yd"\norigin = "corner"\ny = "up"\ntime = "frame"\n', "rate is None"),
        ('units = "mile"\norigin = "corner"\ny = "up"\n', 'units is "mile"; accepted: yd, m, ft'),
    ],
)
def test_map_refused(text: str, says: str, tables: list[str], tmp_path: Path, capsys: Capture) -> None:
    write_map(tmp_path, text)
    assert main(["measure", *tables, "-o", str(tmp_path / "out")]) == 2
    assert says in capsys.readouterr().err


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (["--set", "reach"], '--set: found "reach"; accepted: RULE=NUMBER'),
        (["--set", "reach=wide"], '--set: found "reach=wide"'),
        (["--set", "reech=1"], "no rule is called reech; accepted: reach"),
        (["--set", "reach=-1"], "reach"),
        (["--threads", "0"], "threads is 0"),
        (["--map", "none.toml"], "--map: found 2 for 1 games of tables; accepted: one for all, or one each"),
    ],
)
def test_arguments_refused(more: list[str], says: str, tables: list[str], tmp_path: Path, capsys: Capture) -> None:
    assert main(["measure", *tables, "-o", str(tmp_path / "out"), *more]) == 2
    assert says in capsys.readouterr().err
    assert not (tmp_path / "out").exists()
    assert main(["measure", tables[0], "--map", "none.toml", "-o", str(tmp_path / "out")]) == 2
    assert "none.toml: No such file" in capsys.readouterr().err


def test_inputs_refused(tables: list[str], tmp_path: Path, capsys: Capture) -> None:
    out = ["-o", str(tmp_path / "out")]
    (tmp_path / "nothing").mkdir()
    for given, says in (
        ([tables[0]], "no --map is given to state units, origin, y; accepted: "),
        ([str(tmp_path / "nothing"), *tables[1:]], "nothing: found no table; accepted: one tracks.csv or"),
        ([str(tmp_path / "none"), *tables[1:]], "none: no such file or folder"),
        ([tables[0], tables[0], *tables[1:]], "in: given twice; accepted: each game once"),
        ([f"{tables[0]}/tracks.csv", *tables[1:]], "accepted: a game file (.h5), a trace (.trace), a folder"),
        ([str(tmp_path / "none.h5")], "none.h5: no such file"),
    ):
        assert main(["measure", *given, *out]) == 2
        said = capsys.readouterr().err
        assert says in said
        assert said.count("\n") == 1


# --------------------------------------------------------------------------------------------------------- check


def test_check(tmp_path: Path, capsys: Capture) -> None:
    tracks, snaps, people = small_game()
    at = tracks["time"] - tracks["play"].map({"2": 100.0, "10": 140.0, "1": 180.0})
    gone = (tracks["play"] == "2") & (tracks["player"] == "80") & at.between(0.5, 0.7)  # 2 samples: filled
    gone |= (tracks["play"] == "10") & (tracks["player"] == "80") & at.between(0.5, 1.0)  # 5 samples: too long
    tracks = tracks[~gone]
    tracks = pd.concat([tracks, tracks.head(4).assign(player="ref")])
    folder = str(write_tables(tmp_path / "in", (tracks, snaps, people)))
    assert main(["check", folder, "--map", write_map(tmp_path)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "in: 3 plays to measure, 0 skipped"
    assert lines[1].startswith("rate: 8.0 samples a second")
    assert lines[2] == "gaps: 2 places filled, 1 gaps over 0.5 s left open"
    assert lines[3:5] == ["rushers: 4 in 3 plays", "protectors: 5 in 3 plays"]
    assert lines[5].startswith("positions with a meaning, and men: QB 1, LT 1, LG 1, C 1, RG 1, RT 1")
    assert lines[6].startswith('positions without one: "DE" 4, ')
    assert lines[6].endswith("TE, RB, FB, HB")
    assert lines[8].split() == ["2", "21", "12", "LT", "LG", "C", "RG", "RT", "5", "4", "2"]
    assert lines[-1] == 'rows of tracks left out: 4 of players people lacks ("ref")'


def test_sheet(tables: list[str], tmp_path: Path, capsys: Capture) -> None:
    assert main(["check", *tables, "--sheet", str(tmp_path / "sheet.png")]) == 0
    assert (tmp_path / "sheet.png").read_bytes().startswith(b"\x89PNG")
    assert capsys.readouterr().out.endswith(f"picture in {tmp_path / 'sheet.png'}\n")


def test_draft_map(tmp_path: Path, capsys: Capture) -> None:
    """A draft of a layout with plain words is right, and its open questions are comments."""
    tracks, snaps, people = as_units(small_game(), "m", "center", "up")
    folder = tmp_path / "in"
    folder.mkdir()
    renamed = {"play": "play_id", "player": "PlayerId", "time": "time_s", "x": "x_m", "y": "y_m"}
    tracks.rename(columns=renamed).to_csv(folder / "positions.csv", index=False)
    snaps = snaps.rename(columns={"play": "play_id", "snap_time": "snap", "throw_time": "throw", "ball_x": "ballX"})
    snaps.assign(direction="right").to_csv(folder / "snaps.csv", index=False)
    people["unit"] = people["unit"].map({"offense": "OFF", "defense": "DEF"})
    people.rename(columns={"player": "PlayerId", "position": "pos"}).to_csv(folder / "roster.csv", index=False)
    assert main(["check", str(folder), "--draft-map"]) == 0
    text = capsys.readouterr().out
    draft = tomllib.loads(text)
    assert draft["units"] == "m"
    assert draft["time"] == "s"
    assert draft["files"] == {"tracks": "positions.csv", "snaps": "snaps.csv", "people": "roster.csv"}
    assert draft["columns"]["tracks"] == renamed
    assert draft["columns"]["snaps"] == {
        "play": "play_id",
        "ball_x": "ballX",
        "snap_time": "snap",
        "throw_time": "throw",
    }
    assert draft["columns"]["people"] == {"player": "PlayerId", "position": "pos"}
    assert draft["values"]["unit"] == {"OFF": "offense", "DEF": "defense"}
    assert {"origin", "y"}.isdisjoint(draft)
    # Its open lines answered, it is a map.
    text = text.replace('# origin = "center"', 'origin = "center"').replace("# y =", "y =")
    text = text.replace('# "right" = "1"  # or -1', '"right" = 1')
    assert main(["measure", str(folder), "--map", write_map(tmp_path, text), "-o", str(tmp_path / "out")]) == 0
    assert_same(se.read(tmp_path / "out"), se.measure(se.from_tables(*small_game(), **YARDS, name="in")), near=1e-9)


def test_draft_map_says_what_it_did_not_find(tmp_path: Path, capsys: Capture) -> None:
    tracks, snaps, people = small_game()
    write_tables(tmp_path, (tracks.rename(columns={"x": "qqq"}), snaps, people))
    assert main(["check", str(tmp_path), "--draft-map"]) == 0
    text = capsys.readouterr().out
    assert '# x = "?"  # needed; not found' in text
    assert '# their other columns: "qqq"' in text


# ---------------------------------------------------------------------------------------------------------- show


STARTS = {".svg": b"<?xml", ".png": b"\x89PNG", ".pdf": b"%PDF"}
HOW = (["--at", "1.5"], ["--timeline"], ["--set", "reach=1.2"])


@pytest.mark.parametrize(
    ("end", "start", "more"),
    [  # each ending and each option once; with --full each with each
        pytest.param(end, start, more, marks=() if row == column else pytest.mark.full)
        for row, (end, start) in enumerate(STARTS.items())
        for column, more in enumerate(HOW)
    ],
)
def test_show(end: str, start: bytes, more: list[str], tables: list[str], tmp_path: Path, capsys: Capture) -> None:
    picture = tmp_path / f"f{end}"
    folder, *mapped = tables
    assert main(["show", folder, "10", *mapped, "-o", str(picture), *more]) == 0
    assert picture.read_bytes().startswith(start)
    assert capsys.readouterr().out == f"picture in {picture}\n"


def test_show_refused(tables: list[str], tmp_path: Path, capsys: Capture) -> None:
    folder, *mapped = tables
    for given, says in (
        ([folder, "7", *mapped, "-o", "f.svg"], 'no play "7" in game "in"; its plays: "2", "10", "1"'),
        ([folder, *mapped, "-o", "f.svg"], "show: found one argument; accepted: IN and PLAY"),
        ([folder, "10", *mapped, "-o", "f.bmp"], 'picture "f.bmp"; accepted: a name that ends in .svg, .png, .pdf'),
        ([folder, "10", *mapped, "-o", str(tmp_path / "no" / "f.svg")], "there is no folder"),
    ):
        assert main(["show", *given]) == 2
        assert says in capsys.readouterr().err


def test_draft_map_proposes_the_column_that_tables_share(tmp_path: Path, capsys: Capture) -> None:
    """Ids under names nobody could guess, and the spot and way of the offence in plain words."""
    tracks, snaps, people = small_game()
    tracks = tracks.rename(columns={"play": "snap_no", "player": "qqq"})
    words = {"play": "snap_no", "ball_x": "spot along yd", "ball_y": "spot across yd", "direction": "offense goes"}
    write_tables(tmp_path, (tracks, snaps.rename(columns=words), people.rename(columns={"player": "qqq"})))
    assert main(["check", str(tmp_path), "--draft-map"]) == 0
    text = capsys.readouterr().out
    assert text.count('# play = "snap_no"  # unsure') == 2
    assert text.count('# player = "qqq"  # unsure') == 2
    del words["play"]
    assert tomllib.loads(text)["columns"]["snaps"] == words


def test_a_command_that_is_stopped_while_it_loads_says_nothing() -> None:
    """SIGINT as a module in the middle is asked for. Who only imports the library gets his KeyboardInterrupt."""
    text = """
import os, signal, sys
sys.argv[0] = {name!r}

class Stop:
    def find_spec(self, name, path=None, target=None):
        if name == "shortedge.measures.compare":
            os.kill(os.getpid(), signal.SIGINT)

sys.meta_path.insert(0, Stop())
import shortedge
"""
    for name, code, says in (("/usr/bin/shortedge", -signal.SIGINT, ""), ("own.py", None, "KeyboardInterrupt")):
        line = [sys.executable, "-c", text.format(name=name)]
        done = subprocess.run(line, capture_output=True, text=True, check=False)
        assert says in done.stderr
        if code is not None:
            assert done.returncode == code
            assert not done.stderr
