"""Several games in one command, corrections of all of them, and what people's files and words look like."""

import re
import shutil
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

import shortedge as se
from shortedge.base.text import nearest
from shortedge.cli import main
from small_game import YARDS, assert_same, small_game, write_map, write_tables

Capture = pytest.CaptureFixture[str]
MAP = 'units = "yd"\norigin = "corner"\ny = "up"\n'


@pytest.fixture
def folders(tmp_path: Path) -> list[Path]:
    """Three games of tables, each in its folder."""
    return [write_tables(tmp_path / name, small_game()) for name in ("one", "two", "three")]


def reps_in(out: Path) -> dict[str, se.Reps]:
    return {path.stem: se.read(path) for path in sorted(out.iterdir())}


# -------------------------------------------------------------------------------------------------------- inputs


def test_folders_files_and_a_game_file(folders: list[Path], tmp_path: Path, capsys: Capture) -> None:
    """A folder, three files and a kept game are three games, under one mapping for those that need one."""
    mapped = ["--map", write_map(tmp_path)]
    assert main(["keep", str(folders[2]), *mapped, "-o", str(tmp_path / "g3.h5")]) == 0
    assert capsys.readouterr().out.splitlines() == [
        "three: 3 plays to measure, 0 skipped",
        f"game in {tmp_path / 'g3.h5'}",
    ]
    assert se.read(tmp_path / "g3.h5").name == "three"
    files = [str(folders[1] / f"{name}.csv") for name in ("tracks", "snaps", "people")]
    given = [str(folders[0]), *files, str(tmp_path / "g3.h5"), *mapped]
    assert main(["reps", *given, "-o", str(tmp_path / "out")]) == 0
    found = reps_in(tmp_path / "out")
    assert {stem: made.game_name for stem, made in found.items()} == {"g3": "three", "one": "one", "two": "two"}
    wanted = se.reps(se.from_tables(*small_game(), **YARDS)).table.drop(columns="game")
    for made in found.values():
        pd.testing.assert_frame_equal(made.table.drop(columns="game"), wanted)
    page = tmp_path / "man.html"
    assert main(["player", wanted["protector"].iloc[0], *given, "-o", str(page)]) == 0
    text = page.read_text()
    assert all(name in text for name in ("one", "two", "three"))
    assert "3 games" in text


def test_mappings_one_each_or_the_folders_own(folders: list[Path], tmp_path: Path) -> None:
    """Maps in the order of the games; none: each folder's own map.toml."""
    tracks, snaps, people = small_game()
    theirs = tracks.rename(columns={"x": "east", "y": "north"})
    write_tables(folders[1], (theirs, snaps, people))
    maps = [tmp_path / "a.toml", tmp_path / "b.toml"]
    maps[0].write_text(MAP)
    maps[1].write_text(f'name = "away"\n{MAP}[columns.tracks]\nx = "east"\ny = "north"\n')
    given = [str(folders[0]), str(folders[1])]
    each = [part for path in maps for part in ("--map", str(path))]
    assert main(["measure", *given, *each, "-o", str(tmp_path / "m")]) == 0
    found = {path.stem: se.read(path) for path in (tmp_path / "m").iterdir()}
    assert {stem: m.game_name for stem, m in found.items()} == {"one": "one", "two": "away"}
    for path, folder in zip(maps, folders, strict=False):
        shutil.copy(path, folder / "map.toml")
    assert main(["measure", *given, "-o", str(tmp_path / "own")]) == 0
    for stem, m in found.items():
        assert_same(se.read(tmp_path / "own" / f"{stem}.h5"), m)


def test_a_folder_of_folders(folders: list[Path], tmp_path: Path) -> None:
    season = tmp_path / "season"
    season.mkdir()
    for folder in folders:
        folder.rename(season / folder.name)
    assert main(["measure", str(season), "--map", write_map(tmp_path), "-o", str(tmp_path / "out")]) == 0
    assert sorted(path.stem for path in (tmp_path / "out").iterdir()) == ["one", "three", "two"]


def test_one_mapping_names_no_game_of_several(folders: list[Path], tmp_path: Path) -> None:
    (tmp_path / "map.toml").write_text(f'name = "week 1"\n{MAP}')
    given = [str(folders[0]), str(folders[1]), "--map", str(tmp_path / "map.toml"), "-o", str(tmp_path / "out")]
    assert main(["measure", *given]) == 0
    assert {se.read(path).game_name for path in (tmp_path / "out").iterdir()} == {"one", "two"}


def test_folders_of_one_name(tmp_path: Path) -> None:
    """They are told apart by the folder they lie in."""
    folders = [write_tables(tmp_path / week / "tables", small_game()) for week in ("w1", "w2")]
    given = [*map(str, folders), "--map", write_map(tmp_path), "-o", str(tmp_path / "out")]
    assert main(["measure", *given]) == 0
    assert {path.stem: se.read(path).game_name for path in (tmp_path / "out").iterdir()} == {
        "w1-tables": "w1/tables",
        "w2-tables": "w2/tables",
    }


def test_what_is_no_game_says_how_to_get_one(folders: list[Path], tmp_path: Path, capsys: Capture) -> None:
    game = se.from_tables(*small_game(), **YARDS)
    m = se.measure(game)
    m.save(tmp_path / "pocket.h5")
    se.reps(game).save(tmp_path / "reps")
    (tmp_path / "sheet.xlsx").write_bytes(b"PK")
    for given, says in (
        ("pocket.h5", "found results, which hold no coordinates; accepted: the game they were made of"),
        ("reps", "found results, which hold no coordinates"),
        ("sheet.xlsx", "save each sheet as CSV UTF-8 first"),
        ("one/tracks.csv", "or the three files tracks, snaps, people"),
    ):
        assert main(["show", str(tmp_path / given), "2", "-o", str(tmp_path / "f.svg")]) == 2
        said = capsys.readouterr().err
        assert says in said
        assert said.count("\n") == 1
    assert main(["keep", str(folders[0]), "--map", write_map(tmp_path), "-o", "game.parquet"]) == 2
    assert 'out is "game.parquet"; accepted: a name that ends in .h5' in capsys.readouterr().err


# --------------------------------------------------------------------------------------------------- corrections


def test_corrections_of_several_games(folders: list[Path], tmp_path: Path, capsys: Capture) -> None:
    game = se.from_tables(*small_game(), **YARDS)
    row = se.reps(game).table.query("outcome == 'held'").iloc[0]
    pair = {name: row[name] for name in ("play", "protector", "rusher")}
    table = pd.DataFrame([{"game": "one", **pair, "outcome": "driven"}, {"game": "two", **pair, "outcome": "beat"}])
    given = [*map(str, folders), "--map", write_map(tmp_path), "--corrections", str(tmp_path / "c.csv")]
    table.to_csv(tmp_path / "c.csv", index=False)
    assert main(["reps", *given, "-o", str(tmp_path / "out")]) == 0
    found = reps_in(tmp_path / "out")
    assert {stem: len(made.corrections) for stem, made in found.items()} == {"one": 1, "three": 0, "two": 1}
    both = pd.concat([made.corrections for made in found.values() if len(made.corrections)])
    assert both[["game", "outcome"]].values.tolist() == [["one", "driven"], ["two", "beat"]]
    both.to_csv(tmp_path / "c.csv", index=False)  # what came out goes in again
    assert main(["reps", *given, "-o", str(tmp_path / "again")]) == 0
    pd.testing.assert_frame_equal(reps_in(tmp_path / "again")["two"].table, found["two"].table)
    page = tmp_path / "man.html"
    assert main(["player", pair["protector"], *given, "-o", str(page)]) == 0
    assert page.read_text().count("(marked)") >= 2
    capsys.readouterr()
    for change, says in (
        ({"game": "thre"}, 'column game: found "thre"; accepted: "one", "two", "three"; nearest: "three"'),
        ({"game": ""}, "column game: found no game for play"),
        ({"play": "77"}, "there is no such rep"),
    ):
        table.assign(**change).to_csv(tmp_path / "c.csv", index=False)
        assert main(["reps", *given, "-o", str(tmp_path / "out")]) == 2
        assert says in capsys.readouterr().err


# -------------------------------------------------------------------------------------------- what people write


@pytest.mark.parametrize(
    ("encoding", "mark", "decimal"),
    [
        ("utf-16", "\t", "."),
        ("utf-16", ";", ","),
        ("utf-8-sig", ";", ","),
        ("utf-8-sig", ",", "."),
        ("utf-8", "\t", ","),
    ],
)
def test_tables_of_a_spreadsheet(encoding: str, mark: str, decimal: str, tmp_path: Path, capsys: Capture) -> None:
    """As other countries' spreadsheets save them: the same figures."""
    for name, table in zip(("tracks", "snaps", "people"), small_game(), strict=True):
        text = table.to_csv(index=False, sep=mark, decimal=decimal, lineterminator="\r\n")
        (tmp_path / f"{name}.csv").write_bytes(text.encode(encoding))
    files = [tmp_path / f"{name}.csv" for name in ("tracks", "snaps", "people")]
    game = se.from_tables(*files, **YARDS, name="in")
    wanted = se.from_tables(*small_game(), **YARDS, name="in")
    assert game.digest == wanted.digest
    assert_same(se.measure(game), se.measure(wanted))
    pd.testing.assert_frame_equal(game.plays, wanted.plays)
    (tmp_path / "map.toml").write_bytes(MAP.encode("utf-8-sig"))
    out = tmp_path / "out"
    assert main(["measure", str(tmp_path), "-o", str(out), "--stream"]) == 0
    assert len(pd.read_parquet(out / "frames")) == len(se.measure(wanted).frames)


def test_what_no_setting_can_read(tmp_path: Path) -> None:
    tracks, snaps, people = small_game()
    people["name"] = "Ærø"
    for name, table in (("tracks", tracks), ("snaps", snaps), ("people", people)):
        (tmp_path / f"{name}.csv").write_bytes(table.to_csv(index=False, sep=";").encode("cp1252"))
    files = [tmp_path / f"{name}.csv" for name in ("tracks", "snaps", "people")]
    with pytest.raises(se.InputError, match=r"table people .*UTF8.*in a spreadsheet: save as CSV UTF-8"):
        se.from_tables(*files, **YARDS)
    lines = tracks.to_csv(index=False, sep=";").splitlines()
    lines[1] = re.sub(r"\.", ",", lines[1])
    files[0].write_text("\n".join(lines))
    with pytest.raises(se.InputError, match="decimal comma and figures with a point"):
        se.from_tables(*files, **YARDS)


@pytest.mark.parametrize("table", ["tracks", "snaps", "people"])
def test_blanks_at_the_ends_of_ids(table: str, tmp_path: Path, capsys: Capture) -> None:
    """Cut off on either side, and said."""
    tables = dict(
        zip(
            ("tracks", "snaps", "people"),
            (table.astype({"play": str} if "play" in table else {}) for table in small_game()),
            strict=True,
        )
    )
    wanted = se.from_tables(*tables.values(), **YARDS)
    changed = dict(tables)
    for name in ("play", "player"):
        if name in changed[table]:
            changed[table] = changed[table].assign(**{name: " " + changed[table][name].astype(str) + "  "})
    game = se.from_tables(*changed.values(), **YARDS)
    assert game.digest == wanted.digest
    assert_same(se.measure(game), se.measure(wanted))
    assert wanted.notes == ()
    assert any(f"table {table}, column pl" in note and "blanks at the ends" in note for note in game.notes)
    write_tables(tmp_path / "in", tuple(changed.values()))
    assert main(["check", str(tmp_path / "in"), "--map", write_map(tmp_path)]) == 0
    assert f"table {table}, column pl" in capsys.readouterr().out


def test_positions_without_a_meaning_are_listed(tmp_path: Path, capsys: Capture) -> None:
    tracks, snaps, people = small_game()
    renamed = people.assign(position=people["position"].replace({"LG": "guard l", "RG": "guard r"}))
    write_tables(tmp_path / "in", (tracks, snaps, renamed))
    mapped = ["--map", write_map(tmp_path)]
    assert main(["check", str(tmp_path / "in"), *mapped]) == 1  # two guards fewer are known as linemen
    said = capsys.readouterr().out
    assert "positions with a meaning, and men: QB 1, LT 1, C 1, RT 1" in said
    assert '"guard l" 1' in said
    assert '"guard r" 1' in said
    renamed["position"] = [word if word == "QB" else f"the {word}" for word in people["position"]]
    write_tables(tmp_path / "in", (tracks, snaps, renamed))
    assert main(["check", str(tmp_path / "in"), *mapped]) == 2
    said = capsys.readouterr().err
    assert "fewer than three linemen" in said
    assert 'Words for positions: "QB" have a meaning, ' in said
    assert '"the LG"' in said


def test_the_nearest(tmp_path: Path, capsys: Capture) -> None:
    known = ["TK-63", "TK-66", "QM-91", "P001"]
    assert nearest("TK63", known) == '; nearest: "TK-63", "TK-66"'
    assert nearest("63", known) == '; nearest: "TK-63"'
    assert nearest("tk-63 ", known).startswith('; nearest: "TK-63"')
    assert nearest("zzz", known) == ""
    folder, mapped = str(write_tables(tmp_path / "in", small_game())), ["--map", write_map(tmp_path)]
    out = ["-o", str(tmp_path / "p.html")]
    for command, says in (
        (["player", "630", folder, *mapped, *out], 'nearest: "63"'),
        (
            ["show", folder, "100", *mapped, *out],
            'no play "100" in game "in"; its plays: "2", "10", "1"; nearest: "10", "1"',
        ),
        (["cut", folder, *mapped, "--player", "630", "-o", str(tmp_path / "c.csv")], 'nearest: "63"'),
    ):
        assert main(command) == 2
        assert says in capsys.readouterr().err


def test_a_time_outside_the_play(tmp_path: Path, capsys: Capture) -> None:
    folder, mapped = str(write_tables(tmp_path / "in", small_game())), ["--map", write_map(tmp_path)]
    picture = ["-o", str(tmp_path / "f.svg")]
    for at in ("-1", "9", "900"):
        assert main(["show", folder, "10", *mapped, "--at", at, *picture]) == 2
        assert "outside the play; accepted: 0.0 to 2.5 s since the snap" in capsys.readouterr().err
    assert main(["show", folder, "10", *mapped, "--at", "2.5", *picture]) == 0


def test_notes_and_numbers(tmp_path: Path) -> None:
    """Ids that differ in blanks alone are one man: two rows at one time, and so no play."""
    tracks, snaps, people = small_game()
    twice: Any = pd.concat(
        [tracks.astype({"player": str}), tracks.astype({"player": str}).assign(player=lambda t: t["player"] + " ")]
    )
    with pytest.raises(se.InputError, match="no play can be measured"):
        se.from_tables(twice, snaps, people, **YARDS)
    assert np.isfinite(se.measure(se.from_tables(tracks, snaps, people, **YARDS)).frames["time"]).all()
