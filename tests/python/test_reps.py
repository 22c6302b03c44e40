"""Reps: their table, against plays written by hand and against what the trade knows of them."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.parquet
import pytest

import shortedge as se
import truth
from conftest import LINE, Tables, taken, written
from shortedge import _core
from shortedge.measures.reps import measured_with_reps, reps_by
from small_game import YARDS, in_library, small_game

ONE_ON_ONE = ["held", "beat", "driven"]
COLUMNS = {
    "reps": """game play protector rusher start end technique technique_side leverage set_type set_depth set_angle
        contact_time hips_time helped island_seconds outcome beat_side beat_time run_by pressure pressure_time ball_out
        peak_cutoff_ratio peak_cutoff_time foot_speed peak_outside peak_outside_time peak_inside peak_inside_time
        short_edge_seconds ground_given nearest_rusher_min peak_film_time contact_film_time beat_film_time lane
        lane_side came dropped help_side exchanged corrected""",
    "dropbacks": """game play label passer alignment drop_depth top_time hitch throw_time rushers pressure pressure_time
        push push_time push_man ball_across wide_side snap line""",
}
TEXTS = """game play protector rusher technique technique_side set_type outcome beat_side lane lane_side label passer
    alignment push_man wide_side help_side snap line"""
FLAGS = "helped run_by pressure ball_out exchanged corrected"

PEOPLE = {name: ("offense", name, None) for name in LINE} | {
    "QB": ("offense", "QB", None),
    "TE": ("offense", "TE", None),
    "R": ("defense", "DE", None),
}
SET = {"QB": (0.0, 7.0)} | {name: at for name, at in LINE.items()}


@pytest.fixture(scope="module")
def demo() -> se.Game:
    return se.example()


@pytest.fixture(scope="module")
def reps(demo: se.Game) -> se.Reps:
    return se.reps(demo)


@pytest.fixture(scope="module")
def foreign() -> se.Game:
    return truth.foreign().game()


def played(
    men: Mapping[str, Any], rate: float = 10.0, throw: float | None = None, snaps: Mapping[str, Any] | None = None
) -> se.Reps:
    """The reps of one written play of five linemen, a passer seven yards deep and the men given."""
    everyone: dict[str, Any] = {**SET, **men}
    tables = written({"p": everyone}, {name: PEOPLE[name] for name in everyone}, rate)
    return se.reps(taken(with_snaps(tables, throw_time=throw, **(snaps or {}))))


def with_snaps(tables: Tables, **columns: Any) -> Tables:
    tracks, snaps, people = tables
    return tracks, snaps.assign(**columns).astype({"throw_time": float}), people


def path(*corners: tuple[float, float, float], rate: float = 10.0) -> np.ndarray:
    """Straight from corner to corner, each (t, u, v)."""
    t, u, v = np.array(corners).T
    times = np.arange(round(t[-1] * rate) + 1) / rate
    return np.stack([np.interp(times, t, u), np.interp(times, t, v)], axis=1)


# ---------------------------------------------------------------------------------------------------- the table


@pytest.mark.parametrize("title", COLUMNS)
@pytest.mark.parametrize("library", ["pandas", "polars", "pyarrow"])
def test_columns_and_their_types(title: str, library: str) -> None:
    game = se.from_tables(*(in_library(table, library) for table in small_game()), **YARDS)
    table = se.reps(game).table if title == "reps" else se.reps(game).dropbacks
    assert type(table).__module__.split(".")[0] == library
    arrow = in_library(table, "pyarrow") if library == "pandas" else table if library == "pyarrow" else table.to_arrow()
    assert arrow.column_names == COLUMNS[title].split()
    for name in arrow.column_names:
        kind = arrow[name].type
        if name in TEXTS.split():
            assert pa.types.is_string(kind) or pa.types.is_large_string(kind), name
        elif name in FLAGS.split():
            assert pa.types.is_boolean(kind), name
        else:
            assert kind == (pa.int32() if name == "rushers" else pa.float64()), name


@pytest.mark.parametrize("title", COLUMNS)
@pytest.mark.parametrize("which", ["demo", "foreign"])
def test_what_is_never_missing_never_is(title: str, which: str, request: pytest.FixtureRequest) -> None:
    table = se.reps(request.getfixturevalue(which)).arrow(title).to_pandas()
    never = [column["name"] for column in _core.columns()[title] if column["missing"] == "never"]
    assert {"play", "outcome", "short_edge_seconds"} <= set(never) or title == "dropbacks"
    missing = table[never].isna().sum()
    assert not missing.any(), missing[missing > 0].to_dict()


@pytest.mark.parametrize("which", ["demo", "foreign"])
def test_every_lineman_has_a_row_every_play(which: str, request: pytest.FixtureRequest) -> None:
    game = request.getfixturevalue(which)
    reps = se.reps(game)
    rows = {play: set(table["protector"]) for play, table in reps.table.groupby("play")}
    for play in game.measured():
        line = {man.player for man in game.play(play).men if man.slot}
        assert len(line) == 5
        assert line <= rows[play], play
    assert sorted(reps.dropbacks["play"]) == sorted(game.measured())


@pytest.mark.parametrize("which", ["demo", "foreign"])
def test_every_rusher_has_somebody_or_is_free(which: str, request: pytest.FixtureRequest) -> None:
    game = request.getfixturevalue(which)
    table = se.reps(game).table
    table = table[table["outcome"] != "help"]
    rows = {play: set(some["rusher"].dropna()) for play, some in table.groupby("play")}
    for dropback in se.reps(game).dropbacks.itertuples():
        rushers = {man.player for man in game.play(dropback.play).men if man.role == "rusher"}
        assert rows[dropback.play] <= rushers
        assert len(rows[dropback.play]) == dropback.rushers


def test_who_stands_in_a_row(reps: se.Reps) -> None:
    by_outcome = dict(list(reps.table.groupby("outcome")))
    assert set(by_outcome) == {"held", "beat", "driven", "free", "help", "uncovered"}
    assert by_outcome["free"]["protector"].isna().all()
    assert by_outcome["uncovered"]["rusher"].isna().all()
    for outcome in (*ONE_ON_ONE, "help"):
        assert by_outcome[outcome][["protector", "rusher"]].notna().all(axis=None)
    table = reps.table
    beaten = table["outcome"] == "beat"
    assert (table["beat_time"].notna() == beaten).all()
    assert (table["beat_side"].notna() == beaten).all()
    assert not (table["ball_out"] & ~beaten).any()
    assert not (table["run_by"] & (table["outcome"] != "held")).any()
    assert (table.loc[table["outcome"] == "driven", "ground_given"] >= 1.5).all()


@pytest.mark.parametrize("which", ["demo", "foreign"])
def test_a_man_has_one_rusher_at_a_time(which: str, request: pytest.FixtureRequest) -> None:
    """And a rusher one man. Gaps of less than 0.3 s in a rep are closed, so two may share less than that."""
    table = se.reps(request.getfixturevalue(which)).table
    rows = table[table["outcome"].isin(ONE_ON_ONE)]
    seen = 0
    for who in ("protector", "rusher"):
        for key, one in rows.groupby(["play", who]):
            spans = one[["start", "end"]].sort_values("start").to_numpy()
            seen += len(spans) - 1
            assert (spans[:-1, 1] - spans[1:, 0] < 0.3).all(), key
    assert seen > 0


def test_times_on_the_film(demo: se.Game, foreign: se.Game, reps: se.Reps) -> None:
    snap = reps.table["play"].map(demo.plays.set_index("play")["film_time"])
    for what, time in (("peak", "peak_outside_time"), ("contact", "contact_time"), ("beat", "beat_time")):
        pd.testing.assert_series_equal(
            reps.table[f"{what}_film_time"], snap + reps.table[time], check_names=False, rtol=0, atol=1e-9
        )
        assert se.reps(foreign).table[f"{what}_film_time"].isna().all()
        assert reps.table[f"{what}_film_time"].notna().any()


def test_the_label_of_each_play(demo: se.Game, reps: se.Reps) -> None:
    given = demo.plays.set_index("play")["label"]
    found = reps.dropbacks.set_index("play")["label"]
    assert found.dropna().to_dict() == given.dropna().to_dict()
    assert {"screen", "moved pocket", "play action"} <= set(found.dropna())


# --------------------------------------------------------------------------------------------------- one written


@pytest.mark.parametrize("mirror", [1, -1])
@pytest.mark.parametrize(
    ("u", "v", "technique", "tight_end"),
    [
        (0.0, -1.0, "0", False),
        (0.15, -1.0, "0", False),
        (0.5, -1.0, "1", False),
        (1.1, -1.0, "2i", False),
        (1.5, -1.0, "2", False),
        (1.9, -1.0, "3", False),
        (2.6, -1.0, "4i", False),
        (3.1, -1.0, "4", False),
        (3.5, -1.0, "5", False),
        (4.4, -1.0, "5", False),
        (4.6, -1.0, "wide", False),
        (4.1, -1.0, "7", True),
        (4.5, -1.0, "6", True),
        (5.2, -1.0, "9", True),
        (6.1, -1.0, "wide", True),
        (1.5, -3.0, "off", False),
    ],
)
def test_technique(u: float, v: float, technique: str, tight_end: bool, mirror: int) -> None:
    """The common numbering: even head up (0 centre, 2 guard, 4 tackle, 6 tight end), odd the outside shade, i the
    inside shade, 7 the inside shade of the tight end (coaching pages citing Christensen and Peterson; other systems
    exist). The line stands at 0, 1.5, 3 and 4.5 yd from the ball."""
    men = {"R": path((0, mirror * u, v), (2, mirror * u, 3))}
    if tight_end:
        men["TE"] = path((0, mirror * 4.5, 0.8), (2, mirror * 4.5, 2))
    table = played(men).table
    row = table[table["rusher"] == "R"].iloc[0]
    assert row["technique"] == technique
    if technique in ("0", "off"):
        assert pd.isna(row["technique_side"])
    else:
        assert row["technique_side"] == ("right" if mirror > 0 else "left")


@pytest.mark.parametrize(
    ("back", "out", "kind"),
    [(1.0, 0.5, "jump"), (3.0, 0.5, "vertical"), (2.0, 2.0, "45"), (2.0, 3.5, "kick-out")],
)
def test_set_contact_and_leverage(back: float, out: float, kind: str) -> None:
    """A tackle goes straight to his spot by 1 s and waits; the rusher meets him there half a yard outside, 1.2 s on."""
    spot = (3.0 + out, 0.8 + back)
    meets = (spot[0] + 0.5, spot[1] - 0.9)
    men = {
        "RT": path((0, 3.0, 0.8), (1.0, *spot), (2.5, *spot)),
        "R": path((0, meets[0] + 1.5, meets[1] - 6), (1.2, *meets), (2.5, *meets)),
    }
    row = played(men, throw=2.5).table.set_index("protector").loc["RT"]
    assert row["rusher"] == "R"
    assert row["outcome"] == "held"
    contact = path((0, meets[0] + 1.5, meets[1] - 6), (1.2, *meets))
    first = next(n for n, at in enumerate(contact) if np.hypot(*(at - spot)) <= 1.2 and n > 3)
    assert row["contact_time"] == pytest.approx(first / 10)
    assert row["leverage"] == pytest.approx(contact[first][0] - spot[0])
    assert row["set_type"] == kind
    assert row["set_depth"] == pytest.approx(back)
    assert row["set_angle"] == pytest.approx(np.degrees(np.arctan2(out, back)))
    assert row["island_seconds"] == pytest.approx(2.5 - first / 10)
    assert not row["helped"]


@pytest.mark.parametrize(("ground", "outcome"), [(1.0, "held"), (2.0, "driven")])
def test_ground_given_straight_back(ground: float, outcome: str) -> None:
    """A guard is met at 1 s and walked straight back: what he gives is what he is pushed."""
    u, v = LINE["RG"]
    met, moved = v + 1.0, v + 1.0 + ground
    men = {
        "RG": path((0, u, v), (0.8, u, met), (1.0, u, met), (2.4, u * 0.9, moved), (2.8, u * 0.9, moved)),
        "R": path((0, u, -4), (1.0, u, met - 0.9), (2.4, u * 0.9, moved - 0.9), (2.8, u * 0.9, moved - 0.9)),
        "QB": (0.0, 9.0),
    }
    row = played(men, throw=2.8).table.set_index("protector").loc["RG"]
    assert row["outcome"] == outcome
    gave = np.hypot(u, 9 - met) - np.hypot(0.9 * u, 9 - moved)
    assert row["ground_given"] == pytest.approx(gave, abs=1e-6)
    assert pd.isna(row["beat_time"])


def test_a_free_rusher_and_uncovered_men() -> None:
    table = played({"R": path((0, 12, -1), (2.2, 1.5, 6.5))}, throw=2.2).table
    free = table[table["outcome"] == "free"]
    assert free["rusher"].tolist() == ["R"]
    assert free["protector"].isna().all()
    assert free["pressure"].all()
    assert set(table.loc[table["outcome"] == "uncovered", "protector"]) == set(LINE)


# ------------------------------------------------------------------------------------------- facts of the trade


def scripted(reps: se.Reps, outcome: str) -> pd.DataFrame:
    """The rows the demo game's script gives this outcome to, late beats left out."""
    known = truth.demo().truth
    known = known[(known["outcome"] == outcome) & ~known["note"].str.contains("late|untouched")]
    return reps.table.merge(known[["play", "protector", "rusher"]], on=["play", "protector", "rusher"])


def test_a_rep_lost_though_the_ball_was_out(reps: se.Reps) -> None:
    """Both are reported (common practice): the man is beaten, and nobody is charged with a pressure."""
    beats = scripted(reps, "beat")
    out = beats[beats["ball_out"]]
    assert len(out) >= 5
    assert (out["outcome"] == "beat").all()
    assert not out["pressure"].any()
    late = beats[~beats["ball_out"]]
    thrown = late.merge(reps.dropbacks[["play", "throw_time"]], on="play")["throw_time"].notna()
    assert late["pressure"].to_numpy()[thrown.to_numpy()].all()


def test_a_man_driven_back_is_not_beaten_round_the_corner(reps: se.Reps) -> None:
    """Common practice: a bull rush is another loss than a short edge."""
    driven = scripted(reps, "driven")
    assert len(driven) >= 8
    assert (driven["outcome"] == "driven").all()
    assert driven["beat_side"].isna().all()
    assert (driven["short_edge_seconds"] == 0).all()
    assert scripted(reps, "beat").query("beat_side == 'outside'")["short_edge_seconds"].median() > 0


def test_inside_out_leverage_of_held_reps(demo: se.Game, reps: se.Reps) -> None:
    """The protector keeps half a man inside his rusher, between him and the passer (common practice): he holds more
    than half a yard of his corner, and the edge is not short."""
    held = scripted(reps, "held")
    held = held[held["set_type"].notna()]
    assert len(held) > 100
    assert held["leverage"].median() > 0
    edges = se.measure(demo).rushers
    mine = held[["play", "protector", "rusher", "contact_time", "end"]]
    both = mine.merge(edges, left_on=["play", "rusher", "protector"], right_on=["play", "rusher", "blocker"])
    both = both[(both["time"] >= both["contact_time"]) & (both["time"] <= both["end"])]
    by_rep = both.groupby(["play", "rusher"])[["corner_held", "short_edge"]].median()
    assert len(by_rep) > 100
    assert (by_rep["corner_held"] > 0.5).mean() > 0.95
    assert (by_rep["short_edge"] < 0.5).mean() > 0.95


# ----------------------------------------------------------------------------------------- rules, threads, refusal


def test_threads_and_progress_change_nothing(demo: se.Game) -> None:
    one = se.reps(demo, threads=1, progress=lambda done, all: None)
    three = se.reps(demo, threads=3, progress=False)
    for title in ("reps", "dropbacks"):
        for name, values in one.coded[title].items():
            assert values.tobytes() == three.coded[title][name].tobytes(), name


def test_measured_together_as_each_alone(demo: se.Game) -> None:
    """Every column of every table to the bit, with bands and rules of one's own."""
    rules, noise = se.Rules(reach=1.1), se.Noise(0.1, 3, 7)
    measured, reps = measured_with_reps(demo, rules, noise, False)
    m = se.measure(demo, rules=rules, noise=0.1, draws=3, seed=7)
    alone = reps_by(rules, demo, noise=noise)
    for together, apart in ((measured, m), (reps, alone)):
        for titled, same in ((together.coded, apart.coded), (together.band_coded, apart.band_coded)):
            assert titled
            assert same
            assert titled.keys() == same.keys()
            for title, columns in titled.items():
                assert columns.keys() == same[title].keys()
                for name, values in columns.items():
                    np.testing.assert_array_equal(values, same[title][name], err_msg=f"{title}.{name}")


def test_rules_come_from_the_measures(demo: se.Game) -> None:
    m = se.measure(demo, rules=se.Rules(meet=1.0))
    reps = se.reps(demo, m)
    assert reps.rules == m.rules
    assert not reps.table["contact_time"].equals(se.reps(demo).table["contact_time"])


def test_refused(demo: se.Game) -> None:
    other = se.measure(se.from_tables(*small_game(), **YARDS, name="another"))
    with pytest.raises(se.InputError, match=r'measures of game "another", digest .* do not belong to game "demo'):
        se.reps(demo, other)
    with pytest.raises(se.InputError, match="m is str; accepted: Measures of this game, None"):
        se.reps(demo, "measures")  # type: ignore[arg-type]
    with pytest.raises(se.InputError, match="game is dict; accepted: a Game"):
        se.reps({})  # type: ignore[arg-type]
    with pytest.raises(se.InputError, match="threads is 0"):
        se.reps(demo, threads=0)


# --------------------------------------------------------------------------------------------------- corrections


def correction(row: Any, outcome: str, **more: Any) -> dict[str, list[Any]]:
    given = {name: None if pd.isna(row[name]) else row[name] for name in ("play", "protector", "rusher")}
    return {name: [value] for name, value in (given | {"outcome": outcome} | more).items()}


def the(reps: se.Reps, row: Any) -> Any:
    """The same row of another table."""
    table = reps.table
    return table[
        (table["play"] == row["play"]) & (table["protector"] == row["protector"]) & (table["start"] == row["start"])
    ].iloc[0]


def test_a_held_rep_corrected_to_a_beat(demo: se.Game, reps: se.Reps) -> None:
    row = reps.table[(reps.table["outcome"] == "held") & ~reps.table["pressure"]].iloc[0]
    new = reps.correct(correction(row, "beat", beat_time=1.7, note="lost him by the hands"))
    got = the(new, row)
    assert (got["outcome"], got["beat_time"], got["corrected"]) == ("beat", 1.7, True)
    assert pd.isna(got["beat_side"])
    assert got["ball_out"]
    assert got["beat_film_time"] - got["contact_film_time"] == pytest.approx(1.7 - got["contact_time"])
    changed = ["outcome", "beat_time", "beat_film_time", "ball_out", "corrected", "run_by"]
    pd.testing.assert_series_equal(got.drop(changed), row.drop(changed), check_names=False)
    assert new.table["corrected"].sum() == 1
    pd.testing.assert_frame_equal(new.as_measured, reps.table)
    assert not reps.table["corrected"].any()
    said = new.corrections.drop(columns=["given_to", "helped"])
    assert said.to_dict("list") == {"game": [demo.name]} | correction(
        row, "beat", beat_time=1.7, note="lost him by the hands"
    )
    assert new.corrections[["given_to", "helped"]].isna().all(axis=None)
    assert pd.isna(the(reps.correct(correction(row, "beat")), row)["beat_time"])


def test_a_beat_corrected_away_and_again(reps: se.Reps) -> None:
    row = reps.table[reps.table["ball_out"]].iloc[0]
    held = the(reps.correct(correction(row, "held")), row)
    assert held["outcome"] == "held"
    assert not held["ball_out"]
    assert pd.isna(held[["beat_time", "beat_side", "beat_film_time"]]).all()
    again = reps.correct(correction(row, "driven")).correct(correction(row, "beat", note="no, he was by"))
    got = the(again, row)
    assert (got["outcome"], got["beat_time"], got["beat_side"]) == ("beat", row["beat_time"], row["beat_side"])
    assert got["ball_out"]
    assert len(again.corrections) == 1


def test_a_pressure_is_no_ball_out(reps: se.Reps) -> None:
    row = reps.table[reps.table["pressure"] & (reps.table["outcome"] == "held")].iloc[0]
    assert not the(reps.correct(correction(row, "beat")), row)["ball_out"]


def test_corrections_from_anywhere(demo: se.Game, reps: se.Reps, tmp_path: Path) -> None:
    rows = reps.table[reps.table["outcome"] == "held"].head(3)
    table = rows[["play", "protector", "rusher"]].assign(outcome="driven", note="walked back")
    table.to_csv(tmp_path / "c.csv", index=False)
    table.to_parquet(tmp_path / "c.parquet")
    wanted = reps.correct(table).table
    assert (wanted.loc[rows.index, "outcome"] == "driven").all()
    for given in (
        tmp_path / "c.csv",
        str(tmp_path / "c.parquet"),
        in_library(table, "polars"),
        in_library(table, "dict"),
    ):
        pd.testing.assert_frame_equal(se.reps(demo, corrections=given).table, wanted)


def test_a_free_rusher_may_be_noted(reps: se.Reps) -> None:
    row = reps.table[reps.table["outcome"] == "free"].iloc[0]
    new = reps.correct(correction(row, "free", note="hot route: nobody's man"))
    assert new.table["corrected"].sum() == 1
    assert (new.table["outcome"] == reps.table["outcome"]).all()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"play": "P999"}, 'found play "P999", protector .*there is no such rep'),
        ({"rusher": None}, 'rusher ""; there is no such rep'),
        ({"outcome": "lost"}, 'column outcome: found "lost"; accepted: "held", "beat", "driven", "free", "help"'),
        ({"given_to": "nobody"}, 'column given_to: found "nobody" for .*accepted: a man of the game'),
        ({"helped": "maybe"}, 'column helped: found "maybe"; accepted: yes, no, nothing'),
        ({"outcome": "free"}, 'found "free" for .*accepted: "held", "beat", "driven", "help"'),
        ({"beat_time": 2.0}, "beat_time: found 2.0 for .*whose outcome is held; accepted: none, or the outcome beat"),
        ({"beat_time": -1.0}, "beat_time: found -1.0; accepted: 0 or more"),
        ({"beat_time": "soon"}, "beat_time: found text"),
    ],
)
def test_corrections_refused(change: dict[str, Any], says: str, reps: se.Reps) -> None:
    row = reps.table[reps.table["outcome"] == "held"].iloc[0]
    with pytest.raises(se.InputError, match=says):
        reps.correct(correction(row, "held") | {name: [value] for name, value in change.items()})


def test_corrections_twice_or_without_columns(reps: se.Reps) -> None:
    row = reps.table[reps.table["outcome"] == "held"].iloc[0]
    twice = {name: values * 2 for name, values in correction(row, "driven").items()}
    with pytest.raises(se.InputError, match=r"two rows for play .*; accepted: one"):
        reps.correct(twice)
    with pytest.raises(
        se.InputError, match=r"no column outcome; found: .*; accepted: play, protector, rusher, outcome"
    ):
        reps.correct({"play": ["P001"], "protector": ["a"], "rusher": ["b"]})


# --------------------------------------------------------------------------------------------------------- files


def test_saved_and_read(reps: se.Reps, tmp_path: Path) -> None:
    row = reps.table[reps.table["outcome"] == "held"].iloc[0]
    new = reps.correct(correction(row, "beat", beat_time=1.7, note='"saw" it, <b>twice</b>'))
    out = tmp_path / "reps"
    for _ in range(2):  # and over itself
        new.save(out)
    titles = ("brought", "corrections", "dropbacks", "exchanges", "looks", "reps", "searches")
    assert {file.name for file in out.iterdir()} == {"digests.json", *(f"{title}.parquet" for title in titles)}
    assert not pd.read_parquet(out / "reps.parquet")["corrected"].any()  # the file's rows are as measured
    kept = se.read(out)
    assert isinstance(kept, se.Reps)
    for name in ("table", "as_measured", "dropbacks", "corrections"):
        pd.testing.assert_frame_equal(getattr(kept, name), getattr(new, name))
    assert (kept.rules, kept.digest, kept.game_name) == (new.rules, new.digest, new.game_name)
    assert kept.library_version == se.__version__
    pd.testing.assert_frame_equal(kept.summary("lane"), new.summary("lane"))
    assert [type(one) for one in se.read([out, out])] == [se.Reps, se.Reps]


def test_saved_and_read_as_one_file(reps: se.Reps, tmp_path: Path) -> None:
    row = reps.table[reps.table["outcome"] == "held"].iloc[0]
    new = reps.correct(correction(row, "beat", beat_time=1.7, note='"saw" it, <b>twice</b>'))
    other = next(man for man in reps.table["protector"].dropna() if man != row["protector"])
    given = reps.correct(correction(row, "held", given_to=other, helped="yes"))
    assert given.corrections[["given_to", "helped"]].iloc[0].tolist() == [other, "yes"]
    for one in (reps, new, given):
        one.save(tmp_path / "reps.h5")
        kept = se.read(tmp_path / "reps.h5")
        assert isinstance(kept, se.Reps)
        for name in ("table", "as_measured", "dropbacks", "corrections"):
            pd.testing.assert_frame_equal(getattr(kept, name), getattr(one, name))
        assert (kept.rules, kept.digest, kept.game_name) == (one.rules, one.digest, one.game_name)


def test_nothing_else_is_replaced(reps: se.Reps, demo: se.Game, tmp_path: Path) -> None:
    measures = tmp_path / "m"
    se.measure(demo).save(measures)
    with pytest.raises(se.FileError, match="is no results folder; it is left as it is"):
        reps.save(measures)
    assert isinstance(se.read(measures), se.Measures)


def test_a_damaged_folder_is_refused(reps: se.Reps, tmp_path: Path) -> None:
    reps.save(tmp_path / "reps")
    kept = tmp_path / "reps" / "corrections.parquet"
    table = pa.parquet.read_table(kept)
    wrong = pa.table(
        {name: pa.array(["x"]) for name in ("play", "protector", "rusher", "outcome", "note")}
    ).replace_schema_metadata(table.schema.metadata)
    pa.parquet.write_table(wrong, kept)
    with pytest.raises(se.FileError, match=r"corrections.parquet: is not as it was written"):
        se.read(tmp_path / "reps")
    (tmp_path / "reps" / "digests.json").unlink()
    with pytest.raises(se.FileError, match=r"digests.json, which says what is in it, is missing"):
        se.read(tmp_path / "reps")
    for file in (tmp_path / "reps").glob("*.parquet"):  # a folder of before there were digests
        table = pa.parquet.read_table(file)
        said = {name: text for name, text in table.schema.metadata.items() if name != b"shortedge.digests"}
        pa.parquet.write_table(table.replace_schema_metadata(said), file)
    with pytest.raises(se.FileError, match=r"corrections.parquet: table corrections: found play .*no such rep"):
        se.read(tmp_path / "reps")
