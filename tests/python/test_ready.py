"""Pictures of films made ready behind what a person does: the right ones, in bounded room, and none left behind."""

from __future__ import annotations

import io
import os
import stat
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from PIL import Image

import shortedge as se
from shortedge.film import ready
from shortedge.film.pictures import Film
from shortedge.film.ready import PREFIX, Shelf

COUNT = 48


@pytest.fixture(scope="module", params=["even", "variable", "interlaced"])
def film(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Film, list[float]]:
    """A film whose picture N is as grey as 40 + 4 N, with whole pictures 20 apart; and how grey each is, 0 to 255."""
    return grey(tmp_path_factory.mktemp("grey") / "a.mp4", request.param)


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> tuple[Film, list[float]]:
    return grey(tmp_path_factory.mktemp("plain") / "a.mp4")


def grey(path: Path, form: str = "even") -> tuple[Film, list[float]]:
    source = "color=black:s=64x48:r=30,geq=lum='40+4*N':cb=128:cr=128"
    how = {
        "even": ["-c:v", "libx264"],
        "variable": ["-vf", "select='mod(n\\,3)'", "-fps_mode", "passthrough", "-c:v", "libx264"],
        "interlaced": ["-c:v", "libx264", "-flags", "+ildct+ilme", "-x264opts", "tff=1"],
    }[form]
    count = 32 if form == "variable" else COUNT
    command = ["ffmpeg", "-loglevel", "error", "-y", "-f", "lavfi", "-i", source, "-frames:v", str(count), *how]
    subprocess.run([*command, "-g", "20", "-bf", "2", str(path)], check=True)
    kept = [number for number in range(COUNT) if form != "variable" or number % 3][:count]
    return Film(path), [(40 + 4 * number - 16) * 255 / 219 for number in kept]  # of a video's range (ITU-R BT.601)


def shade(jpeg: bytes) -> float:
    return float(np.asarray(Image.open(io.BytesIO(jpeg)), float).mean())


def until_ready(shelf: Shelf, film: Film) -> None:
    until(lambda: shelf.ready(film) == 1)


def at_rest(shelf: Shelf) -> bool:
    """Nothing is made, and nothing is left to be made."""
    with shelf._changed:
        return shelf._run is None and shelf._choice() is None


def until(done: Callable[[], bool]) -> None:
    end = time.monotonic() + 30
    while not done():
        assert time.monotonic() < end
        time.sleep(0.01)


def test_any_jump_brings_that_very_picture(film: tuple[Film, list[float]], tmp_path: Path) -> None:
    """While they are being made, and then from the disk alone."""
    film_, shades = film
    shelf = Shelf(kept=1, folder=tmp_path)
    order = np.random.default_rng(1).permutation(len(shades))
    try:
        for number in order[:6]:
            assert abs(shade(shelf.get(film_, int(number))) - shades[number]) < 2  # of 4.7 to the next picture
        until_ready(shelf, film_)
        begun = time.perf_counter()
        for number in order:
            assert abs(shade(shelf.get(film_, int(number))) - shades[number]) < 2
        assert (time.perf_counter() - begun) / len(order) < 0.05  # s; each alone takes ffmpeg longer to begin
    finally:
        shelf.close()


def test_nothing_stays_and_nobody_else_may_look(plain: tuple[Film, list[float]], tmp_path: Path) -> None:
    film, _ = plain
    shelf = Shelf(folder=tmp_path)
    assert shelf.folder is None  # nothing is made before it is asked for
    shelf.get(film, 30)
    assert shelf.folder is not None
    assert stat.S_IMODE(shelf.folder.stat().st_mode) == 0o700
    assert list(shelf.folder.iterdir())
    shelf.close()
    assert not list(tmp_path.iterdir())
    with pytest.raises(se.FileError, match="closed"):
        shelf.get(film, 3)


def test_a_killed_programs_pictures_are_deleted_by_the_next_one(
    plain: tuple[Film, list[float]], tmp_path: Path
) -> None:
    film, _ = plain
    gone = subprocess.run([sys.executable, "-c", "import os; print(os.getpid())"], capture_output=True, text=True)
    gone_number, others = gone.stdout.strip(), [os.getppid(), os.getpid()]
    killed = [tmp_path / f"{PREFIX}{gone_number}-x", *(tmp_path / f"{PREFIX}{one}-old" for one in others)]
    just_made = tmp_path / f"{PREFIX}{os.getppid()}-x"  # and not locked yet
    elsewhere = tmp_path / f"{PREFIX}{gone_number}-y"  # of a program that others here do not see, as in a container
    for folder in (*killed, just_made, elsewhere):
        folder.mkdir()
        (folder / "y").write_bytes(b"a picture")
    for folder in (*killed[1:], elsewhere):  # of which the first two have numbers that other programs have by now
        os.utime(folder, (time.time() - 3600,) * 2)
    held, shelf = ready.hold(elsewhere), Shelf(folder=tmp_path)
    assert held is not None
    shelf.get(film, 0)
    assert shelf.folder is not None
    os.utime(shelf.folder, (time.time() - 3600,) * 2)
    ready.sweep(tmp_path)
    assert shelf.folder.exists()  # it is locked
    shelf.close()
    os.close(held)
    assert sorted(tmp_path.iterdir()) == sorted([just_made, elsewhere])


@pytest.mark.parametrize("in_a_strip", [4, 240])
def test_the_room_is_never_more_than_was_given(
    plain: tuple[Film, list[float]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, in_a_strip: int
) -> None:
    """Little room: what is asked for comes all the same, older pictures go, and no more are made than there is room
    for."""
    film, shades = plain
    monkeypatch.setattr(ready, "IN_A_STRIP", in_a_strip)
    monkeypatch.setattr(ready, "NEXT", 2)
    one = len(next(film.jpegs(40, 1)))
    shelf = Shelf(room=13 * one, kept=one, folder=tmp_path)
    try:
        for number in (0, 47, 20, 30, 37, 0):
            assert abs(shade(shelf.get(film, number)) - shades[number]) < 2
            assert shelf.folder is not None
            laid_down = sum(file.stat().st_size for file in shelf.folder.iterdir())
            assert laid_down <= 14 * one  # one more at the moment
        until(lambda: at_rest(shelf))
        assert 4 / COUNT <= shelf.ready(film) < 15 / COUNT
        assert shelf._tried[film.path].sum() < 35
    finally:
        shelf.close()


def test_no_more_than_a_quarter_of_what_is_free_is_taken(
    plain: tuple[Film, list[float]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    film, _ = plain
    one = max(map(len, film.jpegs(0, COUNT)))
    monkeypatch.setattr(ready.shutil, "disk_usage", lambda _: SimpleNamespace(free=40 * one))
    shelf = Shelf(folder=tmp_path)
    try:
        shelf.get(film, COUNT - 1)
        shelf.get(film, 0)
        until(lambda: at_rest(shelf))
        assert shelf.folder is not None
        assert (
            5 * one < sum(file.stat().st_size for file in shelf.folder.iterdir()) <= 11 * one
        )  # one more at the moment
    finally:
        shelf.close()


def test_a_film_that_breaks_off_shows_pictures_where_it_is_whole_and_says_where_it_is_not(tmp_path: Path) -> None:
    film, shades = grey(tmp_path / "a.ts")
    text = bytearray(film.path.read_bytes())
    middle = len(text) // 2 // 188 * 188
    text[middle : middle + 188 * 4] = bytes(188 * 4)
    film.path.write_bytes(text)
    shelf = Shelf(folder=tmp_path)
    seen = 0
    try:
        for number in range(COUNT - 1, -1, -7):
            try:
                jpeg = shelf.get(film, number)
            except se.FileError:
                continue
            seen += abs(shade(jpeg) - shades[number]) < 2
        assert seen >= 3
    finally:
        shelf.close()
    film.path.unlink()
    shelf = Shelf(folder=tmp_path)
    with pytest.raises(se.FileError, match="cannot be decoded"):
        shelf.get(film, 1)
    shelf.close()


class Losing(Film):
    """A film that loses pictures on the way: whoever counts those that come is wrong after them."""

    def __init__(self, path: Path, count: int, lost: set[int]) -> None:
        self.path, self.stamps, self.lost = path, np.arange(count) / 30, lost

    def as_jpegs(self, first: int, count: int) -> subprocess.Popen[bytes]:
        text = b"".join(self.picture(number) for number in range(first, first + count) if number not in self.lost)
        self.path.write_bytes(text)
        return subprocess.Popen(["cat", str(self.path)], stdout=subprocess.PIPE)

    @staticmethod
    def picture(number: int) -> bytes:
        return b"\xff\xd8" + bytes([number]) + b"\xff\xd9"


def test_once_a_film_broke_off_what_was_made_of_it_before_is_made_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first run over it was stopped before its end, so that nobody saw that a picture was lost on the way."""
    monkeypatch.setattr(ready, "NEXT", 40)
    film, shelf = Losing(tmp_path / "film", 120, {10, 70}), Shelf(folder=tmp_path)
    try:
        shelf._full = True  # no more than is asked for
        shelf.get(film, 0)
        until(lambda: at_rest(shelf) and bool(shelf._tried[film.path][40]))
        monkeypatch.setattr(ready, "NEXT", 5)  # nothing is missing there, so no other run is begun
        assert shelf.get(film, 30) == film.picture(31)  # not known yet
        assert at_rest(shelf)
        shelf._full = False
        shelf.get(film, 69)
        until(lambda: at_rest(shelf) and bool(shelf._tried[film.path].all()))
        for number in (24, 30, 40, 60, 100, 119):
            assert shelf.get(film, number) == film.picture(number)
    finally:
        shelf.close()


def test_a_film_nobody_asked_for_yet_is_begun_for_the_play_it_shows(
    plain: tuple[Film, list[float]], tmp_path: Path
) -> None:
    """As where every play has a film of its own."""
    film, _ = plain
    shelf = Shelf(folder=tmp_path)
    shelf.want([(film, 3, 3)])
    until_ready(shelf, film)
    shelf.close()
    shelf.want([(film, 4, 4)])  # too late, and no matter
    assert not list(tmp_path.iterdir())


def test_a_full_disk_is_no_matter(
    plain: tuple[Film, list[float]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    film, shades = plain

    def full(*_: object, **__: object) -> str:
        raise OSError("no space left on device")

    monkeypatch.setattr(ready.tempfile, "mkdtemp", full)
    shelf = Shelf(folder=tmp_path)
    for number in (40, 3):
        assert abs(shade(shelf.get(film, number)) - shades[number]) < 2
    shelf.close()


def test_what_is_wished_for_comes_before_the_rest(plain: tuple[Film, list[float]], tmp_path: Path) -> None:
    """Stretches come in the order of the plays; nothing is decoded twice."""
    film, _ = plain
    shelf = Shelf(folder=tmp_path)
    shelf._films[film.path] = film
    shelf._tried[film.path], shelf._lies[film.path] = np.zeros(COUNT, bool), np.zeros(COUNT, bool)
    shelf._plays = [(film, 30, 35), (film, 10, 12)]
    shelf._wished = [(film, 20, 22)]

    def next_one() -> tuple[int, int] | None:
        choice = shelf._choice()
        if choice is None:
            return None
        (_, first, last), now = choice
        assert now == (first == 20)  # the rest lets others go before it
        shelf._tried[film.path][first : last + 1] = True
        return first, last

    assert [next_one() for _ in range(7)] == [(20, 22), (30, 35), (10, 12), (0, 9), (13, 19), (23, 29), (36, 47)]
    assert next_one() is None
    for number in (17, 40):  # nobody looks at the first any more once the second is asked for
        shelf._waiting.append((film, number))
        choice = shelf._choice()
        assert choice is not None
        assert (choice[0][1], choice[1]) == (number, True)
