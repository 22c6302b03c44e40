"""Cut lists: read back with OpenTimelineIO and the csv module, against frames counted with whole numbers here."""

import builtins
import csv
import re
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import opentimelineio as otio
import pandas as pd
import pytest

import shortedge as se
from shortedge.cli import main
from shortedge.game.films import clock, seconds_of
from small_game import YARDS, in_library, small_game

Capture = pytest.CaptureFixture[str]

DEMO = Path(__file__).resolve().parents[2] / "data" / "demo_game"
IN = [str(DEMO), "--map", str(DEMO / "map.toml")]
RATES = {  # what a film's rate is given as, and what it is
    24: "24",
    25.0: "25",
    "30": "30",
    60: "60",
    23.976: "24000/1001",
    23.98: "24000/1001",
    29.97: "30000/1001",
    59.94: "60000/1001",
    119.88: "120000/1001",
    "30000/1001": "30000/1001",
    "60000/1001": "60000/1001",
}


@pytest.fixture(scope="module")
def demo() -> se.Game:
    return se.example()


@pytest.fixture(scope="module")
def reps(demo: se.Game) -> se.Reps:
    return se.reps(demo)


def clips_of(path: Path) -> list[Any]:
    timeline = otio.adapters.read_from_file(str(path))
    return [clip.clone() for clip in timeline.tracks[0]]  # they outlive the timeline


def filmed(**columns: Any) -> se.Game:
    """The small game with film columns in its snaps."""
    tracks, snaps, people = small_game()
    return se.from_tables(tracks, snaps.assign(**columns), people, **YARDS, name="filmed")


# -------------------------------------------------------------------------------------------------- what is read


def test_lost_reps_with_the_ball_out(demo: se.Game, reps: se.Reps, tmp_path: Path) -> None:
    """Every clip: the frame that holds the beat, three seconds before it and two after it, in whole frames of
    30000/1001 a second."""
    rows = reps.table.query("outcome == 'beat' and ball_out")
    out = tmp_path / "lost.otio"
    table = se.cut(rows, demo, before=3, after=2, out=out)
    clips = clips_of(out)
    assert len(clips) == len(rows) == len(table) > 5
    rate = Fraction(30000, 1001)
    snaps = demo.plays.set_index("play")
    for clip, row, line in zip(clips, rows.to_dict("records"), table.to_dict("records"), strict=True):
        start, length = clip.source_range.start_time, clip.source_range.duration
        assert start.rate == length.rate == 30000 / 1001
        assert Fraction(start.rate).limit_denominator(1001) == rate
        assert start.value == int(start.value)
        assert length.value == int(length.value)
        # hundredths of a second, as the input has them: whole numbers decide which frame holds a time
        beat = Fraction(round(100 * (snaps.loc[row["play"], "film_time"] + row["beat_time"])), 100)
        first, end = int(start.value), int(start.value + length.value)
        assert Fraction(first) / rate <= beat - 3 < Fraction(first + 1) / rate
        assert Fraction(end - 1) / rate < beat + 2 <= Fraction(end) / rate
        assert (line["first_frame"], line["end_frame"], line["rate"]) == (first, end, "30000/1001")
        assert line["film_start"] == pytest.approx(float(Fraction(first) / rate), abs=1e-9)
        assert isinstance(clip.media_reference, otio.schema.ExternalReference)
        assert clip.media_reference.target_url == snaps.loc[row["play"], "film_file"] == line["film_file"]
        for word in (row["play"], row["protector"], row["rusher"], "beaten", "ball out before pressure"):
            assert word in clip.name
        kept = clip.metadata["shortedge"]
        assert set(rows.columns) <= set(kept)
        for name, value in row.items():
            same = pytest.approx(value, rel=1e-12) if isinstance(value, float) else value  # JSON's last digit
            assert kept[name] == same or (kept[name] is None and pd.isna(value)), name
        assert kept["rate"] == "30000/1001"


def test_a_users_own_columns_are_kept(demo: se.Game, reps: se.Reps, tmp_path: Path) -> None:
    """A date, which OpenTimelineIO has no place for, as text; numbers of numpy's kinds are numbers."""
    rows = reps.table.query("outcome == 'beat'").head(2).assign(seen=pd.Timestamp("2031-05-04"), mark=[np.inf, 7.0])
    numbers: dict[str, Any] = {"before": np.int64(3), "after": np.float32(2), "rate": np.int64(30)}
    table = se.cut(rows, demo, tmp_path / "cut.otio", **numbers)
    clips = clips_of(tmp_path / "cut.otio")
    kept = [clip.metadata["shortedge"] for clip in clips]
    assert [one["seen"][:10] for one in kept] == ["2031-05-04"] * 2
    assert [one["mark"] for one in kept] == [np.inf, 7.0]
    pd.testing.assert_frame_equal(table, se.cut(rows, demo, before=3, after=2, out=tmp_path / "cut.csv"))


@pytest.mark.parametrize("given", RATES, ids=str)
@pytest.mark.parametrize("where", ["snaps", "argument"])
def test_exact_rates(given: Any, where: str, tmp_path: Path) -> None:
    film = {"film_time": [5.0, 95.5, 1000.25]}
    game = filmed(**film, film_rate=[given] * 3) if where == "snaps" else filmed(**film)
    rows = se.reps(game).table
    table = se.cut(rows, game, out=tmp_path / "c.otio", rate=given if where == "argument" else None)
    assert set(table["rate"]) == {RATES[given]}
    for clip in clips_of(tmp_path / "c.otio"):
        assert Fraction(clip.source_range.start_time.rate).limit_denominator(1001) == Fraction(RATES[given])
        assert clip.source_range.start_time.value == int(clip.source_range.start_time.value)
        assert isinstance(clip.media_reference, otio.schema.MissingReference)


@pytest.mark.parametrize("given", [29.5, 0, -25, float("inf"), "thirty", "30/0", 1e9])
def test_rates_refused(given: Any, tmp_path: Path) -> None:
    game = filmed(film_time=1.0)
    with pytest.raises(se.InputError, match=r"film_rate is .*; accepted: a whole number, 23.976"):
        se.cut(se.reps(game), game, out=tmp_path / "c.csv", rate=given)


def test_a_moment_on_a_frame(tmp_path: Path) -> None:
    """At 25 frames a second and times in tenths nothing lies between two frames but by rounding: 3 s before and 2 s
    after are 125 frames, from the frame of the moment less 75; at the film's beginning the clip is cut short."""
    game = filmed(film_time=[10.4, 0.2, 70.0], film_rate=25)
    reps = se.reps(game)
    table = se.cut(reps, game, out=tmp_path / "c.csv", at="contact")
    snap = table["play"].map(game.plays.set_index("play")["film_time"])
    for row, at in zip(table.to_dict("records"), snap + table["moment"], strict=True):
        exact = Fraction(at).limit_denominator(1000) * 25
        assert row["first_frame"] == max(0, int(np.floor(float(exact - 75))))
        assert row["end_frame"] == int(np.ceil(float(exact + 50)))
    assert (table["first_frame"] == 0).any()


def test_which_moment(demo: se.Game, reps: se.Reps, tmp_path: Path) -> None:
    rows = reps.table
    for at in (None, "beat", "peak", "contact"):
        table = se.cut(rows, demo, out=tmp_path / "c.csv", at=at)
        usual = rows["beat_time"].fillna(rows["peak_outside_time"]).fillna(rows["contact_time"]).fillna(rows["start"])
        wanted = {
            None: usual,
            "beat": usual,
            "peak": rows["peak_outside_time"].fillna(usual),
            "contact": rows["contact_time"].fillna(usual),
        }[at]
        np.testing.assert_allclose(table["moment"], wanted, rtol=0, atol=1e-12)
    says = dict(zip(rows.index, table["why"], strict=True))
    assert says[rows["contact_time"].first_valid_index()].startswith("contact at ")


def test_csv(demo: se.Game, reps: se.Reps, tmp_path: Path) -> None:
    rows = reps.table.head(20)
    table = se.cut(rows, demo, out=tmp_path / "c.csv")
    with (tmp_path / "c.csv").open(newline="", encoding="utf-8") as file:
        kept = list(csv.DictReader(file))
    assert [line["clip"] for line in kept] == [str(n) for n in range(1, 21)]
    for line, row, clip in zip(kept, rows.to_dict("records"), table.to_dict("records"), strict=True):
        for name in ("play", "protector", "rusher", "outcome"):
            assert line[name] == ("" if pd.isna(row[name]) else row[name])
        assert int(line["first_frame"]) == clip["first_frame"]
        assert int(line["end_frame"]) == clip["end_frame"]
        assert line["rate"] == "30000/1001"
        assert float(line["film_start"]) == pytest.approx(clip["film_start"], abs=5e-4)
        assert line["why"] == clip["why"]


# ------------------------------------------------------------------------------------------------- odd and refused


def test_plays_without_a_film_time_are_listed(tmp_path: Path) -> None:
    game = filmed(film_time=[5.0, np.nan, 9.0], film_rate=25, film_file=["one.mp4", "one.mp4", None])
    reps = se.reps(game)
    table = se.cut(reps, game, out=tmp_path / "c.otio")
    without = table["play"] == "10"
    assert table.loc[without, ["first_frame", "end_frame", "rate"]].isna().all(axis=None)
    assert table.loc[~without, ["first_frame", "end_frame", "rate"]].notna().all(axis=None)
    clips = clips_of(tmp_path / "c.otio")
    assert len(clips) == (~without).sum()
    timeline = otio.adapters.read_from_file(str(tmp_path / "c.otio"))
    assert list(timeline.metadata["shortedge"]["without_film_time"]) == table.loc[without, "name"].tolist()
    kinds = {clip.metadata["shortedge"]["play"]: type(clip.media_reference).__name__ for clip in clips}
    assert kinds == {"2": "ExternalReference", "1": "MissingReference"}
    se.cut(reps, game, out=tmp_path / "c.csv")
    assert (pd.read_csv(tmp_path / "c.csv")["first_frame"].isna() == without).all()


def test_several_games(tmp_path: Path) -> None:
    games = [filmed(film_time=10.0, film_rate=rate) for rate in (25, 50)]
    other = se.from_tables(*small_game(), **YARDS, name="without film")
    second = se.from_tables(
        *small_game()[:1], small_game()[1].assign(film_time=3.0, film_rate=50), small_game()[2], **YARDS, name="second"
    )
    rows = pd.concat([se.reps(one).table for one in (second, games[0], other)])
    table = se.cut(rows, [games[0], second, other], out=tmp_path / "c.otio")
    rates = {game: set(some.dropna()) for game, some in table.groupby("game")["rate"]}
    assert rates == {"filmed": {"25"}, "second": {"50"}, "without film": set()}
    assert {clip.source_range.start_time.rate for clip in clips_of(tmp_path / "c.otio")} == {25, 50}
    with pytest.raises(se.InputError, match='two games called "filmed"'):
        se.cut(rows, games, out=tmp_path / "c.otio")
    with pytest.raises(se.InputError, match='found play "2" of game "second"; no such play in the games given'):
        se.cut(rows, games[0], out=tmp_path / "c.otio")


@pytest.mark.parametrize("library", ["pandas", "polars", "pyarrow", "dict"])
def test_rows_of_every_library(library: str, demo: se.Game, reps: se.Reps, tmp_path: Path) -> None:
    rows = reps.table.query("outcome == 'driven'")
    wanted = se.cut(rows, demo, out=tmp_path / "a.otio")
    pd.testing.assert_frame_equal(se.cut(in_library(rows, library), demo, out=tmp_path / "b.otio"), wanted)
    assert [clip.name for clip in clips_of(tmp_path / "b.otio")] == wanted["name"].tolist()


def test_text_that_could_run(tmp_path: Path) -> None:
    """Ids are the user's: in a sheet none becomes a formula, in the timeline they stay as they are."""
    tracks, snaps, people = small_game()
    odd = {"71": '=HYPERLINK("x")', "90": "<script>alert(1)</script>", "78": "אב ”78”"}
    for table in (tracks, people):
        table["player"] = table["player"].replace(odd)
    game = se.from_tables(tracks, snaps.assign(film_time=5.0, film_rate=25), people, **YARDS)
    reps = se.reps(game)
    se.cut(reps, game, out=tmp_path / "c.csv")
    kept = pd.read_csv(tmp_path / "c.csv")
    assert set(odd.values()) - {odd["71"]} <= set(kept["protector"]) | set(kept["rusher"])
    assert "'" + odd["71"] in set(kept["protector"])
    assert odd["71"] not in set(kept["protector"])
    se.cut(reps, game, out=tmp_path / "c.otio")
    names = " ".join(clip.name for clip in clips_of(tmp_path / "c.otio"))
    assert all(name in names for name in odd.values())


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"out": "reps.edl"}, 'out is "reps.edl"; accepted: a name that ends in .otio, .csv'),
        ({"before": -1}, "before is -1; accepted: s, 0 or more"),
        ({"after": float("nan")}, "after is nan"),
        ({"before": 0, "after": 0}, "before and after are 0"),
        ({"at": "throw"}, 'at is "throw"; accepted: "beat", "peak", "contact", None'),
        ({"out": "no/such/folder/c.csv"}, "cannot be written: there is no folder"),
    ],
)
def test_refused(more: dict[str, Any], says: str, demo: se.Game, reps: se.Reps, tmp_path: Path) -> None:
    given = {"out": "c.csv"} | more
    with pytest.raises((se.InputError, se.FileError), match=says):
        se.cut(reps, demo, **given | {"out": given["out"] if "edl" in given["out"] else tmp_path / given["out"]})
    assert not list(tmp_path.iterdir())


def test_rows_refused(demo: se.Game, reps: se.Reps, tmp_path: Path) -> None:
    out = tmp_path / "c.csv"
    with pytest.raises(se.InputError, match="found no row; accepted: one rep or more"):
        se.cut(reps.table.head(0), demo, out=out)
    with pytest.raises(se.InputError, match=r'no column "beat_side"; accepted: rows of Reps.table'):
        se.cut(reps.table.drop(columns="beat_side"), demo, out=out)
    with pytest.raises(se.InputError, match="belong to none of the games"):
        se.cut(reps, filmed(film_time=1.0), out=out)
    otio = tmp_path / "c.otio"
    with pytest.raises(se.InputError, match="no row has a film time"):
        se.cut(se.reps(filmed()), filmed(), out=otio)
    with pytest.raises(se.InputError, match=r"has a film time but no rate; accepted for \.otio: film_rate in snaps"):
        se.cut(se.reps(filmed(film_time=1.0)), filmed(film_time=1.0), out=otio)
    assert not list(tmp_path.iterdir())


def test_no_film_and_no_rate(tmp_path: Path) -> None:
    """Without a film a list says play and seconds after the snap; of a film without a rate also its times."""
    for game, film in ((filmed(), False), (filmed(film_time=[100.0, 2.0, 1607.4], film_file="end.mp4"), True)):
        made = se.cut(se.reps(game), game, tmp_path / "c.csv", before=3, after=2)
        np.testing.assert_allclose(made["start"], made["moment"] - 3)
        np.testing.assert_allclose(made["end"], made["moment"] + 2)
        assert made["first_frame"].isna().all()
        snap = made["play"].map(game.plays.set_index("play")["film_time"])
        if film:
            np.testing.assert_allclose(made["film_start"], np.maximum(0, snap + made["moment"] - 3))
            assert set(made["angle"]) == {"end.mp4"}
            for clip in made.itertuples():
                minutes, seconds = clip.film_clock.split(":")
                assert 60 * int(minutes) + float(seconds) == pytest.approx(clip.film_start, abs=0.0501)
        else:
            assert made[["angle", "film_start", "film_clock"]].isna().all(axis=None)


def test_films_of_two_angles(tmp_path: Path) -> None:
    """A table of films: an angle is asked for by name, a play without it is on no film; a game file keeps them all."""
    tracks, snaps, people = small_game()
    films = {
        "play": ["2", "2 ", "10", "10"],
        "angle": ["end zone", "sideline", "sideline", "end zone"],
        "file": ["e.mp4", "s.mp4", "s.mp4", "e.mp4"],
        "film_time": ["26:47.4", "100", "1:02:03,5", "0:09.96"],
        "rate": ["30000/1001", "25", "25", ""],
    }
    game = se.from_tables(tracks, snaps, people, films=films, **YARDS, name="filmed")
    game.save(tmp_path / "g.h5")
    for one in (game, se.read(tmp_path / "g.h5")):
        reps = se.reps(one)
        first = se.cut(reps, one, tmp_path / "c.csv", before=0, after=1).groupby("play").first()
        assert first.loc[["2", "10"], "angle"].tolist() == ["end zone", "sideline"]
        assert first.loc["2", "rate"] == "30000/1001"
        assert pd.isna(first.loc["1", "angle"])
        made = se.cut(reps, one, tmp_path / "c.csv", before=0, after=1, angle="end zone", rate=24)
        assert {"2": "30000/1001", "10": "24"}.items() <= dict(zip(made["play"], made["rate"], strict=True)).items()
        start = made[made["play"] == "2"].iloc[0]
        assert start["film_start"] == pytest.approx(26 * 60 + 47.4 + start["moment"], abs=1001 / 30000)
        with pytest.raises(se.InputError, match='angle is "drone"; accepted: "end zone", "sideline"'):
            se.cut(reps, one, tmp_path / "c.csv", angle="drone")


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"angle": ["end zone"] * 2}, 'two films of play "2", angle "end zone"'),
        (
            {"film_time": ["1:2:3:4", "5"]},
            'column film_time: found text, such as "1:2:3:4"; accepted: film time of the snap, as',
        ),
        ({"play": ["P2", "P2"]}, 'found "P2", none of which is in table snaps; accepted: its plays; nearest: "2"'),
    ],
)
def test_films_refused(change: dict[str, list[str]], says: str) -> None:
    films = {"play": ["2", "2"], "angle": ["end zone", "sideline"], "film_time": ["1", "2"]} | change
    with pytest.raises(se.InputError, match=re.escape(says)):
        se.from_tables(*small_game(), films=films, **YARDS)


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(1607.4, "26:47.4"), (119.97, "2:00.0"), (0.04, "0:00.0"), (3723.5, "62:03.5"), (-1.26, "-0:01.3")],
)
def test_the_clock_of_films(seconds: float, text: str) -> None:
    assert clock(seconds) == text
    assert seconds < 0 or seconds_of(text) == pytest.approx(seconds, abs=0.05)


def test_the_old_file_stays_when_writing_fails(
    demo: se.Game, reps: se.Reps, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "c.csv"
    se.cut(reps, demo, out=out)
    before = out.read_bytes()

    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(se.FileError, match="cannot be written: No space left on device"):
        se.cut(reps.table.head(3), demo, out=out)
    assert out.read_bytes() == before
    assert list(tmp_path.iterdir()) == [out]


def test_without_opentimelineio(demo: se.Game, reps: se.Reps, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def without(name: str, *more: Any) -> Any:
        if name == "opentimelineio":
            raise ImportError(name)
        return real(name, *more)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(se.InputError, match=r"needs OpenTimelineIO \(pip install 'shortedge\[film\]'\)"):
        se.cut(reps, demo, out=tmp_path / "c.otio")
    assert len(se.cut(reps, demo, out=tmp_path / "c.csv")) == len(reps.table)


# ---------------------------------------------------------------------------------------------- the command line


def test_cut_command(demo: se.Game, reps: se.Reps, tmp_path: Path, capsys: Capture) -> None:
    """The reps a coach asks for: one man's beats with the ball out and a short edge, no screens, worst first."""
    out = tmp_path / "cut.otio"
    chosen = ["--player", "TK-78", "--outcome", "beat", "--ball-out", "--min-short-edge-seconds", "0.5"]
    more = ["--without-label", "screen", "--top", "12", "--before", "3", "--after", "2", "-o", str(out)]
    assert main(["cut", *IN, *chosen, *more]) == 0
    rows = reps.table.query(
        "protector == 'TK-78' and outcome == 'beat' and ball_out and short_edge_seconds >= 0.5 - 1e-6"
    ).sort_values("short_edge_seconds", ascending=False)
    assert len(rows) >= 2
    clips = clips_of(out)
    assert [clip.metadata["shortedge"]["play"] for clip in clips] == rows["play"].tolist()
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].split() == ["clip", "angle", "film", "after", "the", "snap", "rep", "why"]
    assert len(lines) == len(rows) + 2
    where = "film: minutes and seconds where the clip starts, on the angle named"
    assert lines[-1] == f"cut list in {out}; {where}"


def test_cut_command_top(reps: se.Reps, tmp_path: Path) -> None:
    out = tmp_path / "cut.csv"
    assert main(["cut", *IN, "--top", "5", "--without-label", "screen", "-o", str(out)]) == 0
    labels = reps.dropbacks.set_index("play")["label"]
    rows = reps.table[reps.table["play"].map(labels) != "screen"]
    worst = rows.sort_values(["short_edge_seconds", "peak_outside"], ascending=False).head(5)
    assert pd.read_csv(out)["play"].tolist() == worst["play"].tolist()


def test_cut_command_of_several_games(tmp_path: Path) -> None:
    for name, rate in (("one", 25), ("two", 50)):
        tracks, snaps, people = small_game()
        snaps = snaps.assign(film_time=5.0, film_rate=rate)
        if name == "two":  # a man who missed the other game
            tracks, people = (table.replace({"player": {"105": "106"}}) for table in (tracks, people))
        se.from_tables(tracks, snaps, people, **YARDS, name=name).save(tmp_path / f"{name}.h5")
    files = [str(tmp_path / f"{name}.h5") for name in ("one", "two")]
    assert main(["cut", *files, "--player", "71", "-o", str(tmp_path / "c.csv")]) == 0
    kept = pd.read_csv(tmp_path / "c.csv")
    assert kept.groupby("game")["rate"].first().to_dict() == {"one": 25, "two": 50}
    assert (kept["protector"].astype(str) == "71").all()
    assert main(["cut", *files, "--player", "106", "-o", str(tmp_path / "c.csv")]) == 0
    kept = pd.read_csv(tmp_path / "c.csv")
    assert set(kept["game"]) == {"two"}
    assert (kept["rusher"].astype(str) == "106").all()


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (["--player", "nobody"], '--player: found "nobody"; no such player'),
        (["--without-label", "scren"], 'no play has the label "scren"; labels: "moved pocket"'),
        (["--top", "0"], "--top is 0; accepted: 1 or more"),
        (["--min-short-edge-seconds", "60"], "no rep is left to cut"),
        (["--corrections", "none.csv"], "none.csv"),
    ],
)
def test_cut_command_refused(more: list[str], says: str, tmp_path: Path, capsys: Capture) -> None:
    assert main(["cut", *IN, *more, "-o", str(tmp_path / "c.csv")]) == 2
    assert says in capsys.readouterr().err
    assert not (tmp_path / "c.csv").exists()
