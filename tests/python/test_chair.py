"""What linemen see and decide: exchanges, finding work, who showed and came: against scripted games, and as tables."""

from __future__ import annotations

import subprocess
import sys
import warnings
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import scipy.stats

import chair_script
import chair_truth
import shortedge as se
from chair_truth import SAME

TABLES = ("exchanges", "searches", "looks")
DATA = Path(__file__).resolve().parents[1] / "data"


@pytest.fixture(scope="module")
def made() -> chair_script.Made:
    """Two plays of every kind."""
    return chair_script.make_game(11, 2 * len(chair_script.KINDS), list(chair_script.KINDS) * 2)


@pytest.fixture(scope="module")
def reps(made: chair_script.Made) -> se.Reps:
    game = se.from_tables(*made.tables, **chair_script.HOW)
    return se.reps(game)


@pytest.mark.parametrize("title", TABLES)
def test_the_tables_agree_with_the_script(title: str, made: chair_script.Made, reps: se.Reps) -> None:
    """At least 95 % of rows, of those of the truth and those told beyond it together."""
    share = chair_truth.judged(title, getattr(made, title), getattr(reps, title))
    assert share.of >= {"exchanges": 20, "searches": 40, "looks": 250}[title]
    assert share.share >= 0.95, "\n".join(share.wrong)


def test_the_judge_sees_a_fault(made: chair_script.Made, reps: se.Reps) -> None:
    """Of every planted fault: a row lost, a man exchanged, a row too many."""
    for title in TABLES:
        good = chair_truth.judged(title, getattr(made, title), getattr(reps, title))
        told = getattr(reps, title)
        right = next(n for n in range(len(told)) if not any(str(told["play"][n]) in line for line in good.wrong))
        assert chair_truth.judged(title, getattr(made, title), told.drop(index=right)).right == good.right - 1
        twice = pd.concat([told, told.iloc[[right]]], ignore_index=True)
        assert chair_truth.judged(title, getattr(made, title), twice).of == good.of + 1
        other = told.copy()
        other.loc[right, SAME[title][0][1]] = "nobody of them"
        assert chair_truth.judged(title, getattr(made, title), other).right == good.right - 1


def test_a_mirrored_game_says_the_same(made: chair_script.Made, reps: se.Reps) -> None:
    """Left and right change places, nothing else. A rusher on the very line of a man would be right on both sides."""
    tracks, snaps, people = made.tables
    tracks, snaps, people = tracks.copy(), snaps.copy(), people.copy()
    tracks["y"], snaps["ball_y"] = 160 - tracks["y"], 160 - snaps["ball_y"]
    swap = {"LT": "RT", "LG": "RG", "RT": "LT", "RG": "LG"}
    people["position"] = people["position"].replace(swap)
    other = se.reps(se.from_tables(tracks, snaps, people, **chair_script.HOW))
    sides = {"left": "right", "right": "left"}
    for title in TABLES:
        one, two = getattr(reps, title), getattr(other, title).copy()
        for name in ("side", "slot", "from_slot", "to_slot"):
            if name in two:
                two[name] = two[name].replace(sides | swap)
        if "across" in two:
            two["across"] = -two["across"]
        pd.testing.assert_frame_equal(one, two, check_exact=False, atol=1e-6)


def test_without_roles_film_or_marks(made: chair_script.Made, reps: se.Reps) -> None:
    """Defenders may be listed as anything; there is no film time."""
    tracks, snaps, people = made.tables
    people = people.assign(position=people["position"].where(people["unit"] == "offense", "?"))
    other = se.reps(se.from_tables(tracks, snaps, people, **chair_script.HOW))
    for title in TABLES:
        pd.testing.assert_frame_equal(getattr(reps, title), getattr(other, title))
    assert reps.exchanges["film_time"].isna().all()
    with_film = snaps.assign(film_time=100.0 + np.arange(len(snaps)))
    filmed = se.reps(se.from_tables(tracks, with_film, people, **chair_script.HOW))
    offset = filmed.exchanges["play"].map(dict(zip(snaps["play"].astype(str), with_film["film_time"], strict=True)))
    np.testing.assert_allclose(filmed.exchanges["film_time"], offset + filmed.exchanges["time"], atol=1e-9)
    offset = filmed.searches["play"].map(dict(zip(snaps["play"].astype(str), with_film["film_time"], strict=True)))
    np.testing.assert_allclose(filmed.searches["film_time"], offset + filmed.searches["end"], atol=1e-9)


def test_a_lineman_of_another_name(made: chair_script.Made, reps: se.Reps) -> None:
    """T, G, C as generic positions: the same men, by where they stand."""
    tracks, snaps, people = made.tables
    generic = {"LT": "T", "RT": "T", "LG": "G", "RG": "G"}
    people = people.assign(position=people["position"].replace(generic))
    other = se.reps(se.from_tables(tracks, snaps, people, **chair_script.HOW))
    for title in TABLES:
        pd.testing.assert_frame_equal(getattr(reps, title), getattr(other, title))


def test_the_flag_on_reps_is_that_of_the_table(reps: se.Reps) -> None:
    handed = set(zip(reps.exchanges["play"], reps.exchanges["rusher"], strict=True))
    rows = reps.table
    wanted = [(play, rusher) in handed for play, rusher in zip(rows["play"], rows["rusher"], strict=True)]
    assert rows["exchanged"].tolist() == wanted
    assert 0 < sum(wanted) < len(rows) / 2


# ------------------------------------------------------------------------------------------------------ as tables


@pytest.mark.parametrize("library", ["pandas", "polars", "pyarrow"])
def test_the_tables_come_in_the_library_that_is_set(library: str, reps: se.Reps) -> None:
    se.set_output(library)
    try:
        fresh = se.reps(se.example())
        for title in TABLES:
            assert type(getattr(fresh, title)).__module__.startswith(library)
            assert type(fresh.summary(of=title)).__module__.startswith(library)
    finally:
        se.set_output(None)


@pytest.mark.parametrize("name", ["reps.h5", "reps"])
def test_they_are_kept(name: str, reps: se.Reps, tmp_path: Path) -> None:
    reps.save(tmp_path / name)
    back = se.read(tmp_path / name)
    for title in (*TABLES, "table", "dropbacks"):
        pd.testing.assert_frame_equal(getattr(back, title), getattr(reps, title))
    for by in ("down", "kind"):
        pd.testing.assert_frame_equal(back.summary(by), reps.summary(by))


def test_older_files_have_no_such_rows(tmp_path: Path, reps: se.Reps) -> None:
    with warnings.catch_warnings(record=True) as said:
        warnings.simplefilter("always")
        old = se.read(DATA / "schema3_reps.h5")
    assert all(any(f"missing: the table {title}" in str(one.message) for one in said) for title in TABLES)
    assert all(len(getattr(old, title)) == 0 for title in TABLES)
    reps.save(tmp_path / "older")
    for title in (*TABLES, "brought"):
        (tmp_path / "older" / f"{title}.parquet").unlink()
    with warnings.catch_warnings(record=True) as said:
        warnings.simplefilter("always")
        old = se.read(tmp_path / "older")
    assert all(any(f"missing: the table {title}" in str(one.message) for one in said) for title in TABLES)
    pd.testing.assert_frame_equal(old.table, reps.table)
    assert all(list(getattr(old, title)) == list(getattr(reps, title)) for title in TABLES)
    reps.save(tmp_path / "older")  # an older folder may be replaced
    assert len(se.read(tmp_path / "older").looks) == len(reps.looks)


# --------------------------------------------------------------------------------------------------------- splits


def test_by_a_column_that_was_brought(made: chair_script.Made, reps: se.Reps) -> None:
    snaps = made.tables[1]
    down = dict(zip(snaps["play"].astype(str), snaps["down"], strict=True))
    found = reps.summary("down")
    assert found["down"].tolist() == [1, 2, 3]
    rows = reps.table.assign(down=reps.table["play"].map(down))
    assert found["reps"].tolist() == rows.groupby("down").size().tolist()
    assert found["beat"].tolist() == (rows["outcome"] == "beat").groupby(rows["down"]).sum().tolist()
    both = reps.summary(["kind", "down"], of="searches")
    kinds = dict(zip(snaps["play"].astype(str), snaps["kind"], strict=True))
    searches = reps.searches.assign(kind=reps.searches["play"].map(kinds), down=reps.searches["play"].map(down))
    assert both["searches"].tolist() == searches.groupby(["kind", "down"]).size().tolist()
    with pytest.raises(se.InputError, match='"down", "kind"'):
        reps.summary("weather")


# Published: the field is 160 ft wide; the marks stand 70 ft 9 in (professional), 60 ft (college) and 53 ft 4 in (high
# school: a third) from the sideline.
@pytest.mark.parametrize(
    ("marks", "feet"), [("professional", 70 + 9 / 12), ("college", 60.0), ("high school", 53 + 4 / 12)]
)
def test_the_hash_is_that_of_the_field(marks: str, feet: float, made: chair_script.Made) -> None:
    """A ball on each mark, and 2 ft inside it, in either direction: in the offence's eyes."""
    tracks, snaps, people = made.tables
    few = snaps.iloc[:4].copy()
    few["direction"] = [1, 1, -1, -1]
    few["ball_y"] = [feet, feet + 2, feet, 160 - feet]  # feet from the far sideline, y down
    moved = []
    for old, new in zip(snaps.iloc[:4].itertuples(), few.itertuples(), strict=True):
        rows = tracks[tracks["play"] == old.play].copy()
        turn = new.direction * old.direction
        rows["x"] = new.ball_x + turn * (rows["x"] - old.ball_x)
        rows["y"] = new.ball_y + turn * (rows["y"] - old.ball_y)
        moved.append(rows)
    # They attack +x: the far sideline is on their left.
    reps = se.reps(se.from_tables(pd.concat(moved), few, people, **chair_script.HOW))
    wanted = pd.Series(["left", "middle", "right", "left"], few["play"].astype(str))
    found = reps.summary(["hash", "kind"], marks=marks)
    for play in few.itertuples():
        of_play = found[found["kind"] == play.kind]
        assert wanted[str(play.play)] in of_play["hash"].tolist()
    assert found["reps"].sum() == len(reps.table)
    across = reps.dropbacks["ball_across"].to_numpy()
    np.testing.assert_allclose(across, np.array([feet - 80, feet - 78, 80 - feet, feet - 80]) / 3, atol=1e-9)
    sides = [("left" if a > 1 else "right") if abs(a) > 1 else None for a in across]
    assert reps.dropbacks["wide_side"].where(reps.dropbacks["wide_side"].notna(), None).tolist() == sides


def test_unknown_words_are_refused(reps: se.Reps) -> None:
    with pytest.raises(se.InputError, match='"professional", "college", "high school"'):
        reps.summary("hash", marks="arena")
    with pytest.raises(se.InputError, match='"exchanges", "searches", "looks"'):
        reps.summary(of="tracks")
    with pytest.raises(se.InputError, match="spot"):
        reps.summary("pair", of="looks")


def test_how_often_each_look_came(reps: se.Reps) -> None:
    rows = reps.looks
    found = reps.summary(of="looks")
    assert found[["spot", "deep_over"]].drop_duplicates().shape[0] == len(found)
    for line in found.itertuples():
        some = rows[(rows["spot"] == line.spot) & (rows["deep_over"] == line.deep_over)]
        assert (line.looks, line.came) == (len(some), some["rushed"].sum())
        low, high = scipy.stats.binomtest(line.came, line.looks).proportion_ci(0.95, method="wilson")
        np.testing.assert_allclose((line.came_low, line.came_high), (low, high), atol=1e-12)
    wide = reps.summary("field_side", of="looks")
    assert set(wide["field_side"].dropna()) == {"wide", "short"}
    assert wide["looks"].sum() == len(rows)


def test_exchanges_by_pair_of_neighbours(reps: se.Reps, made: chair_script.Made) -> None:
    found = reps.summary(of="exchanges")
    assert set(found["pair"].dropna()) <= {"LT-LG", "LG-C", "C-RG", "RG-RT"}
    assert found["exchanges"].sum() == len(reps.exchanges)
    rows = reps.exchanges
    handed = rows["kind"] != "stayed"
    assert found["handed_over"].sum() == handed.sum()
    assert found["late"].sum() == rows["late"].sum()
    lost = handed & rows["outcome"].isin(["beat", "driven", "free"])
    assert found["lost"].sum() == lost.sum()


def test_the_table_of_shares_is_printed() -> None:
    command = [
        sys.executable,
        "tests/chair.py",
        "--plays",
        "3",
        "--seeds",
        "2",
        "--levels",
        "0",
        "0.05",
        "--draws",
        "1",
    ]
    done = subprocess.run(command, cwd=DATA.parents[1], capture_output=True, text=True, check=True)
    lines = done.stdout.splitlines()
    assert lines[0] == "| noise | exchanges | searches | looks |"
    assert [line.split("|")[1].strip() for line in lines[2:]] == ["0.00 yd", "0.05 yd"]
