"""Stills of film in reports and players' pages, and drawn clips of cut lists, on a small film drawn for it: only where
they are asked for, only of a game clicked on film, and said to be film."""

import base64
import io
import json
import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

import shortedge as se
from made_film import PLAY, MadeFilm, click, make_film, maker
from shortedge.cli.commands import main
from shortedge.cli.terminal import play_rows
from shortedge.draw import laid
from shortedge.draw.laid import Clip
from shortedge.draw.stills import OwnFilm
from shortedge.film.pictures import Film

MAN = "TK-63"


RATE = 15  # pictures a second of the film: half as many to draw


@pytest.fixture(scope="module")
def filmed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[MadeFilm]:
    usual = maker().FPS
    maker().FPS = RATE
    made = make_film(tmp_path_factory.mktemp("with_film"), "end zone", 1.5, (480, 270), start=-0.1)
    click(made, [0, 5, 10, 15, 21], mark_error=0.3, foot_error=0.5).close()
    yield made
    maker().FPS = usual


def pictures_in(page: Path) -> list[bytes]:
    return [base64.b64decode(text) for text in re.findall(r'src="data:image/jpeg;base64,([^"]+)"', page.read_text())]


def test_pages_hold_stills_of_film_only_where_they_are_asked_for(filmed: MadeFilm, tmp_path: Path) -> None:
    game = se.from_trace(filmed.trace)
    made = se.reps(game)
    row = next(row for row in made.table.to_dict("records") if row["protector"] and row["rusher"])
    for write, name in (
        (lambda out, **how: se.report(game, out, **how), "report"),
        (lambda out, **how: se.player_page(game, row["protector"], out, **how), "man"),
    ):
        plain, page = tmp_path / f"{name}.html", tmp_path / f"{name}_film.html"
        write(plain)
        assert not pictures_in(plain)
        assert "somebody's property" not in plain.read_text()
        assert "img-src" not in plain.read_text()
        write(page, with_film=True)
        found = pictures_in(page)
        assert found
        text = page.read_text()
        said = re.search(r"(\d+) pictures? of film in this page, (\d+\.\d) MB", text)
        assert said is not None
        assert int(said[1]) == len(found)
        grown = (page.stat().st_size - plain.stat().st_size) / 1e6
        assert abs(float(said[2]) - grown) < 0.06 + 0.01 * len(found)
        assert "img-src data:" in text
        assert "people are in it" in text
        for jpeg in found:
            assert Image.open(io.BytesIO(jpeg)).size == filmed.size


def test_a_still_is_the_films_picture_at_the_moment_of_the_rep_with_the_pocket_on_it(
    filmed: MadeFilm, tmp_path: Path
) -> None:
    game = se.from_trace(filmed.trace)
    se.report(game, tmp_path / "report.html", with_film=True)
    text = (tmp_path / "report.html").read_text()
    when = float(re.search(r"<figcaption>end zone, (\d\.\d) s after the snap", text)[1])  # type: ignore[index]
    still = np.asarray(Image.open(io.BytesIO(pictures_in(tmp_path / "report.html")[0])), int)
    raw = list(Film(filmed.film).arrays(0, len(filmed.times)))
    # Down the left side nothing is drawn: there it is one of the film's own pictures, the one of that time.
    left = slice(0, filmed.size[1] * 3 // 4), slice(0, filmed.size[0] // 6)
    apart = [np.abs(still[left] - one[left].astype(int)).mean() for one in raw]
    nearest = int(np.argmin(apart))
    assert abs(filmed.times[nearest] - when) <= 0.05 + 1 / RATE
    clip = Clip(se.measure(game), PLAY, filmed.trace, None)
    ring = filmed.seen(nearest, clip.ground(float(filmed.times[nearest])).ring)
    x0, y0 = np.floor(ring.min(axis=0)).astype(int)
    x1, y1 = np.ceil(ring.max(axis=0)).astype(int)
    drawn = np.abs(still[y0:y1, x0:x1] - raw[nearest][y0:y1, x0:x1].astype(int)).sum(axis=2) > 24
    assert drawn.mean() > 0.1  # the pocket is on it


def test_drawn_clips_of_a_cut_list_are_named_and_last_as_long_as_they_say(filmed: MadeFilm, tmp_path: Path) -> None:
    game = se.from_trace(filmed.trace)
    table = se.reps(game).table
    rows = table[table["rusher"].notna() & table["protector"].notna()].iloc[:2]
    plain = se.cut(rows, game, tmp_path / "plain.csv", before=0.2, after=0.2)
    assert plain["drawn_file"].isna().all()
    assert not list(tmp_path.glob("*_clips"))
    made = se.cut(rows, game, tmp_path / "list.otio", before=0.2, after=0.2, rate=RATE, with_film=True)
    names = made["drawn_file"].tolist()
    assert len(set(names)) == len(rows)
    for name, (_, clip) in zip(names, made.iterrows(), strict=True):
        film = Film(tmp_path / name)
        assert film.size == filmed.size
        moving = min(clip["end"], filmed.times[-1]) - max(clip["start"], filmed.times[0])
        # At half speed; where it stands still, it does so for 1.2 s.
        more = len(film.stamps) / RATE - 2 * moving
        assert min(abs(more - 1.2 * times) for times in range(4)) <= 3.1 / RATE, more
    told = json.loads((tmp_path / "list.otio").read_text())
    clips = told["tracks"]["children"][0]["children"]
    assert [one["metadata"]["shortedge"]["drawn_file"] for one in clips] == names


def test_the_camera_of_a_play_is_followed_once_for_all_its_clips(
    filmed: MadeFilm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    game = se.from_trace(filmed.trace)
    rows = se.reps(game).table.iloc[:3]
    followed, usual = [], laid.follow_camera

    def counted(*given: object, **how: object) -> object:
        followed.append(given)
        return usual(*given, **how)

    monkeypatch.setattr(laid, "follow_camera", counted)
    made = se.cut(rows, game, tmp_path / "list.csv", before=0.1, after=0.1, rate=RATE, with_film=True)
    assert made["drawn_file"].nunique() == 3
    assert len(followed) == 1


def test_who_has_no_film_is_told_so(filmed: MadeFilm, tmp_path: Path) -> None:
    game = se.example()
    for write in (
        lambda: se.report(game, tmp_path / "no.html", with_film=True),
        lambda: se.player_page(game, MAN, tmp_path / "no.html", with_film=True),
        lambda: se.cut(se.reps(game), game, tmp_path / "no.csv", with_film=True),
    ):
        with pytest.raises(se.InputError, match="made of no trace; accepted: a trace"):
            write()
    own = se.from_trace(filmed.trace)
    man = next(iter(se.reps(own).table["protector"].dropna()))
    with pytest.raises(se.InputError, match="accepted: one man's page alone"):
        se.player_page(own, man, tmp_path / "no.html", against="TK-66", with_film=True)
    assert not list(tmp_path.iterdir())
    film = OwnFilm(se.measure(own), se.reps(own))
    (play,) = own.plays["play"]
    assert film.clip(play) is not None
    assert film.clip(play, "sideline") is None  # no film from there


def test_the_commands_take_film_and_say_how_large_a_page_is(
    filmed: MadeFilm, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["report", str(filmed.trace), "--with-film", "-o", str(tmp_path / "report.html")]) in (0, 1)
    said = capsys.readouterr().out
    large = re.search(r"(\d+\.\d) MB with pictures of film: pass it on only as you may", said)
    assert large is not None
    assert abs(float(large[1]) - (tmp_path / "report.html").stat().st_size / 1e6) < 0.051
    cut = ["cut", str(filmed.trace), "--top", "1", "--before", "0.2", "--after", "0.1", "--with-film"]
    assert main([*cut, "-o", str(tmp_path / "worst.csv")]) in (0, 1)
    assert "1 drawn clips in" in capsys.readouterr().out
    assert len(list((tmp_path / "worst_clips").glob("*.mp4"))) == 1


def test_plates_tell_no_edge_that_the_error_swamps(filmed: MadeFilm) -> None:
    """At 270 pixels high a click of three is a third of a yard: whose edge is short, or held, is not to be told."""
    game = se.from_trace(filmed.trace)
    assert PLAY in game.swamped
    clip = Clip(se.measure(game), PLAY, filmed.trace, None)
    times = np.arange(0, filmed.times[-1], 0.1)
    assert any(len(clip.ground(time).ring) for time in times)
    assert not any(clip.ground(time).plates or clip.ground(time).short for time in times)
    clip.swamped = False
    assert any(clip.ground(time).plates for time in times)  # there was something to tell


def test_the_summary_in_the_terminal_tells_no_short_edge_that_the_error_swamps(monkeypatch: pytest.MonkeyPatch) -> None:
    m = se.measure(se.example())

    def last_cells() -> dict[str, str]:
        return {cells[0]: cells[-1] for _, cells in play_rows(m)}

    told = last_cells()
    monkeypatch.setattr(se.Game, "swamped", property(lambda game: frozenset({"P005"})))
    assert float(told["P005"]) > 0
    assert last_cells() == told | {"P005": "-"}
