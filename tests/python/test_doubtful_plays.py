"""Plays that are measured and yet to be doubted: a lineman who is not listed, a line that stood otherwise than
listed, a snap that went wrong; and tables that are turned over. What is wrong is put into the small game here and
must be said everywhere."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import shortedge as se
import third_scenes
from conftest import Tables
from shortedge import cli
from small_game import NAMES, YARDS, small_game, write_map, write_tables


def without(slot: str) -> Tables:
    """The small game with one lineman left out of people; his tracks are there."""
    tracks, snaps, people = small_game()
    return tracks, snaps, people[people["player"] != NAMES[slot]]


def game_of(tables: Tables, **how: str) -> se.Game:
    return se.from_tables(*tables, **(YARDS | how))


def test_a_lineman_who_is_not_listed_is_said_of_every_play() -> None:
    game = game_of(without("RG"))
    assert not len(game.problems)
    assert list(game.remarks["play"]) == ["2", "10", "1"]
    assert game.remarks["few_linemen"].all()
    assert game.remarks["remark"].str.startswith("4 linemen at the snap: no RG").all()
    assert game.unlisted == [NAMES["RG"]]
    assert not game.is_whole
    assert set(se.reps(game).dropbacks["line"]) == {"short"}
    whole = game_of(small_game())
    assert whole.is_whole
    assert not len(whole.remarks)
    assert whole.unlisted == []
    assert set(se.reps(whole).dropbacks["line"]) == {"whole"}


def test_it_is_in_the_exit_code_the_terminal_the_words_and_on_the_pages(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = write_tables(tmp_path / "in", without("RG"))
    given = [str(folder), "--map", write_map(tmp_path)]
    for command in (["check", *given], ["measure", *given, "-o", str(tmp_path / "m.h5")]):
        assert cli.main(command) == 1
        said = capsys.readouterr().out
        assert f'of players people lacks ("{NAMES["RG"]}")' in said
        assert "10: 4 linemen at the snap: no RG" in said
    assert cli.main(["reps", *given, "-o", str(tmp_path / "r.h5")]) == 1
    assert cli.main(["report", *given, "-o", str(tmp_path / "page.html")]) == 1
    page = (tmp_path / "page.html").read_text()
    assert "4 linemen at the snap: no RG" in page
    assert f"People lacks &quot;{NAMES['RG']}&quot;" in page or f'People lacks "{NAMES["RG"]}"' in page
    clean = write_tables(tmp_path / "clean", small_game())
    assert cli.main(["check", str(clean), "--map", write_map(tmp_path)]) == 0


def test_it_is_known_of_a_game_that_was_kept(tmp_path: Path) -> None:
    game = game_of(without("RG"))
    game.save(tmp_path / "game.h5")
    kept = se.read(tmp_path / "game.h5")
    assert kept.unlisted == game.unlisted
    pd.testing.assert_frame_equal(kept.remarks, game.remarks)


def test_men_in_each_others_places_are_said_and_told_by_where_they_stood() -> None:
    tracks, snaps, people = small_game()
    people["position"] = people["position"].replace({"LT": "LG", "LG": "LT"})
    game = game_of((tracks, snaps, people))
    assert game.is_whole  # five are there
    assert list(game.remarks["play"]) == ["2", "10", "1"]
    assert game.remarks["remark"].str.contains("LG LT C RG RT").all()
    assert not game.remarks["few_linemen"].any()
    dropbacks = se.reps(game).dropbacks
    assert set(dropbacks["line"]) == {"moved"}


@pytest.mark.parametrize("plays", [["1"], ["1", "2", "10"]])
def test_x_and_y_exchanged_are_refused_on_any_number_of_plays(plays: list[str]) -> None:
    """A small game in the middle of the field, where both readings lie on it; and without any rusher."""
    tracks, snaps, people = small_game()
    tracks, snaps = tracks[tracks["play"].isin(plays)], snaps[snaps["play"].isin(plays)]
    tracks = tracks[~tracks["player"].isin(people.loc[people["unit"] == "defense", "player"])]
    for table, x, y in ((tracks, "x", "y"), (snaps, "ball_x", "ball_y")):
        across = table[y].to_numpy().copy()
        along = table[x].to_numpy().copy()
        table.loc[:, x], table.loc[:, y] = across, np.clip(along, 0, 53)
    with pytest.raises(se.InputError, match="look wrong"):
        game_of((tracks, snaps, people))


def test_a_play_whose_snap_went_wrong_is_left_out_of_every_count() -> None:
    """Two plays of one game: an ordinary one, and the fumbled snap of the scenes."""
    by_name = {scene.name: scene for scene in third_scenes.SCENES}
    made = se.reps(by_name["fumbled snap"].game())
    assert list(made.dropbacks["snap"]) == ["bad"]
    summary = made.summary()
    assert len(summary) == 0 or summary["judged"].sum() == 0
    clean = se.reps(by_name["ordinary four-man rush"].game())
    assert list(clean.dropbacks["snap"]) == ["clean"]
    assert clean.summary()["judged"].sum() == 4
