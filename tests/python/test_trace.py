"""The trace file: what is kept, refused and taken back, and the game that comes of it."""

import errno
import json
import os
import signal
import subprocess
import sys
import time
import zlib
from pathlib import Path

import numpy as np
import pytest

import shortedge as se

SIZE = (1280.0, 720.0)
ANGLES = {"end zone": SIZE, "sideline": SIZE}


def small(path: Path) -> se.Trace:
    t = se.Trace(path, "pro", ANGLES)
    for k in range(5):
        t.mark("p1", "end zone", 0.1 * k, 100 + k, 200.5, 40 + k, 20)
    t.mark("p1", "end zone", 0.9, 5, 6, "50, lower hash")
    t.foot("p1", "end zone", 0.1, "a 1", 300, 400, hidden=True)
    return t


def lines_of(path: Path) -> list[dict[str, object]]:
    return [json.loads(line) for line in path.read_text().splitlines()]


def test_every_line_is_json_with_its_number_and_a_checksum_anybody_can_make(tmp_path: Path) -> None:
    small(tmp_path / "a.trace").close()
    text = (tmp_path / "a.trace").read_text()
    for number, line in enumerate(text.splitlines()):
        act = json.loads(line)
        assert act["n"] == number
        body = line[: line.rindex(',"crc"')]
        assert act["crc"] == f"{zlib.crc32(body.encode()):08x}"
    assert lines_of(tmp_path / "a.trace")[7] == {
        "n": 7,
        "do": "foot",
        "play": "p1",
        "angle": "end zone",
        "time": 0.1,
        "player": "a 1",
        "x": 300.0,
        "y": 400.0,
        "at": "foot",
        "hidden": 1.0,
        "crc": lines_of(tmp_path / "a.trace")[7]["crc"],
    }


def test_an_act_is_on_the_disk_before_it_is_answered(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    t = small(tmp_path / "a.trace")
    synced = []
    true_sync = os.fsync
    monkeypatch.setattr(os, "fsync", lambda file: (synced.append(os.fstat(file).st_size), true_sync(file)))
    before = (tmp_path / "a.trace").stat().st_size
    t.note("here")
    assert synced == [(tmp_path / "a.trace").stat().st_size] != [before]


def test_a_full_disk_leaves_no_half_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    t = small(tmp_path / "a.trace")
    text = (tmp_path / "a.trace").read_bytes()
    true_write = os.write

    def short(file: int, data: bytes) -> int:
        if len(data) > 10:
            return true_write(file, data[:10])
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "write", short)
    with pytest.raises(se.FileError, match="No space left"):
        t.note("a note that is long enough to be cut")
    monkeypatch.undo()
    assert (tmp_path / "a.trace").read_bytes() == text
    assert t.note("goes on") == 8


def test_a_trace_that_cannot_be_begun_leaves_no_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.trace"

    def full(descriptor: int, data: bytes) -> int:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patched:
        patched.setattr(os, "write", full)
        with pytest.raises(se.FileError, match="No space left"):
            se.Trace(path, "pro", ANGLES)
        assert not path.exists()
        path.write_bytes(b"")  # which somebody else put there
        with pytest.raises(se.FileError, match="No space left"):
            se.Trace(path, "pro", ANGLES)
    assert path.read_bytes() == b""


def test_replay_undo_and_redo(tmp_path: Path) -> None:
    path = tmp_path / "a.trace"
    with small(path) as t:
        assert t.undo() == 7
        assert t.undo() == 6
        assert t.redo() == 6
        with pytest.raises(se.InputError, match="play is None"):
            t.mark(None, "end zone", 0, 0, 0, 1, 1)
    with se.Trace(path) as t:
        assert len(t) == 10
        assert len(t.points) == 0
        assert t.redo() == 7
        assert len(t.points) == 1
        t.note("x")
        with pytest.raises(se.InputError, match="no act that was taken back"):
            t.redo()
    fresh = se.Trace(tmp_path / "b.trace", "pro", ANGLES)
    with pytest.raises(se.InputError, match="no act to take back"):
        fresh.undo()


def test_a_file_cut_at_every_byte_loses_at_most_its_last_act(tmp_path: Path) -> None:
    path = tmp_path / "a.trace"
    small(path).close()
    text = path.read_bytes()
    ends = [k + 1 for k, byte in enumerate(text) if byte == 10]
    for cut in range(ends[0], len(text) + 1):
        path.write_bytes(text[:cut])
        with se.Trace(path) as t:
            assert len(t) == sum(end <= cut for end in ends) - 1
            t.note("goes on")
        with se.Trace(path) as t:
            assert len(t) == sum(end <= cut for end in ends)
    for cut in range(ends[0]):
        path.write_bytes(text[:cut])
        with pytest.raises(se.FileError, match="no whole header"):
            se.Trace(path)
    path.write_bytes(text[: ends[0] - 3])  # torn while it was made: nothing was in it, and it is made again
    se.Trace(path, "pro", ANGLES).close()
    assert len(lines_of(path)) == 1


def test_damage_in_the_middle_is_refused_by_number(tmp_path: Path) -> None:
    path = tmp_path / "a.trace"
    small(path).close()
    text = path.read_bytes()
    ends = [k + 1 for k, byte in enumerate(text) if byte == 10]
    for at in range(0, ends[-2], 7):
        path.write_bytes(text[:at] + bytes([text[at] ^ 1]) + text[at + 1 :])
        number = sum(end <= at for end in ends)
        for opened in (se.Trace, se.from_trace):
            with pytest.raises(se.FileError, match=rf"act {number}\b.* is damaged"):
                opened(path)
        assert path.read_bytes()[:at] == text[:at]  # refused, not repaired


def test_one_writer_at_a_time(tmp_path: Path) -> None:
    t = small(tmp_path / "a.trace")
    with pytest.raises(se.FileError, match="written by another program"):
        se.Trace(tmp_path / "a.trace")
    t.close()
    se.Trace(tmp_path / "a.trace").close()
    with pytest.raises(se.InputError, match="is closed"):
        t.note("too late")


def test_together_is_all_or_nothing(tmp_path: Path) -> None:
    t = small(tmp_path / "a.trace")

    def broken() -> None:
        with t.together():
            t.note("one")
            t.event("p1", "snap", "end zone", float("nan"))

    with pytest.raises(se.InputError, match="time is nan"):
        broken()
    assert len(t) == 7
    with t.together():
        assert t.note("one") == 8
        assert t.note("two") == 9
    assert len(t) == 9


def test_killed_while_writing(tmp_path: Path) -> None:
    """What was answered stands, whenever the writer dies; tests/film.py does it 200 times."""
    path = tmp_path / "a.trace"
    small(path).close()
    writer = (
        "import sys, shortedge as se\n"
        "with se.Trace(sys.argv[1]) as t:\n"
        "    while True: print(t.note('x'), flush=True)\n"
    )
    for wait in (0.05, 0.15):
        with subprocess.Popen([sys.executable, "-c", writer, str(path)], stdout=subprocess.PIPE) as child:
            assert child.stdout
            answered = [child.stdout.readline()]
            time.sleep(wait)
            child.send_signal(signal.SIGKILL)
            answered += child.stdout.read().splitlines(keepends=True)
        last = max(int(line) for line in answered if line.endswith(b"\n"))
        with se.Trace(path) as t:
            assert len(t) >= last


@pytest.mark.parametrize("name", ["../x.mp4", "/etc/passwd", "a/b.mp4", "..", "", "a\\b.mp4"])
def test_it_names_no_path_outside_its_folder(tmp_path: Path, name: str) -> None:
    with pytest.raises(se.InputError, match="without a path"):
        se.Trace(tmp_path / "a.trace", "pro", ANGLES, films={"end zone": name})
    assert not (tmp_path / "a.trace").exists()
    (tmp_path / "film.mp4").write_bytes(b"not much of a film")
    with se.Trace(tmp_path / "a.trace", "pro", ANGLES, films={"end zone": {"file": "film.mp4", "rate": "30000/1001"}}):
        pass
    header = lines_of(tmp_path / "a.trace")[0]
    film = header["films"]["end zone"]  # type: ignore[index]
    assert film["size"] == 18
    assert film["rate"] == "30000/1001"
    del header["crc"]
    film["file"] = name  # forged, with a good checksum
    body = json.dumps(header, separators=(",", ":"))[:-1]
    (tmp_path / "a.trace").write_text(f'{body},"crc":"{zlib.crc32(body.encode()):08x}"}}\n')
    with pytest.raises(se.FileError):
        se.Trace(tmp_path / "a.trace")


def test_arguments_that_make_no_sense(tmp_path: Path) -> None:
    with pytest.raises(se.InputError, match='field is "flag"; accepted: pro, college, school'):
        se.Trace(tmp_path / "a.trace", "flag", ANGLES)
    with pytest.raises(se.InputError, match=r"name that ends in \.trace"):
        se.Trace(tmp_path / "a.json", "pro", ANGLES)
    with pytest.raises(se.FileError, match="No such file"):
        se.Trace(tmp_path / "none.trace")
    t = se.Trace(tmp_path / "a.trace", "pro", ANGLES)
    for call, says in (
        (lambda: t.mark("p", "nowhere", 0, 1, 1, 1, 1), "angle is .nowhere.; accepted: end zone, sideline"),
        (lambda: t.mark("p", "sideline", 0, 1, 1, "left 3 lower"), "name of a mark"),
        (lambda: t.mark("p", "sideline", 0, 1, 1, 30), "without Y"),
        (lambda: t.foot("p", "sideline", 0, "a", 1, 1, at="helmet"), "foot, between, waist"),
        (lambda: t.foot("p", "sideline", 0, "a", 1, 1, at="waist"), "from the end zone"),
        (lambda: t.person("a", "attack", "QB"), "offense, defense"),
        (lambda: t.snap("p", 50, 20, 0), "1 .the offense attacks"),
        (lambda: t.snap("p", "x", 20, 1), "ball_x is .x.; accepted: a number"),
        (lambda: t.event("p", "kick", "sideline", 1), "snap, throw, end"),
        (lambda: t.note("line\nbreak"), "printable"),
    ):
        with pytest.raises(se.InputError, match=says):
            call()
    assert len(t) == 0


def test_the_marks_of_a_field() -> None:
    """Published: hash rows 70 ft 9 in, 60 ft, 53 ft 4 in from the sidelines."""
    for field, feet in (("pro", 70.75), ("college", 60), ("school", 160 / 3)):
        marks = se.field_marks(field).set_index("name")
        assert marks.loc["left 35, lower hash", "y"] * 3 == pytest.approx(feet)
        assert (160 - marks.loc["50, upper hash", "y"] * 3) == pytest.approx(feet)
        assert tuple(marks.loc["right 20, upper side", ["x", "y"]]) == pytest.approx((90, 160 / 3))
        assert np.isclose(marks["error"], 0.3).sum() == marks.index.str.contains("number").sum() > 0


def test_a_struck_act_stands_no_more_until_the_strike_is_undone(tmp_path: Path) -> None:
    t = small(tmp_path / "a.trace")
    first = int(t.acts.columns("mark")["n"][0])
    t.strike(first)
    assert first not in t.acts.columns("mark")["n"]
    for wrong in (first, 0, len(t) + 1, len(t), 1.5):  # struck already, no act, no act yet, the strike itself
        with pytest.raises(se.InputError, match="accepted: the number of an act that stands"):
            t.strike(wrong)
    t.undo()
    assert first in t.acts.columns("mark")["n"]
    t.redo()
    t.close()
    with se.Trace(tmp_path / "a.trace") as again:
        assert first not in again.acts.columns("mark")["n"]


def test_a_journal_that_strikes_what_does_not_stand_is_refused_by_number(tmp_path: Path) -> None:
    path = tmp_path / "a.trace"
    small(path).close()
    number = len(path.read_text().splitlines())
    body = f'{{"n":{number},"do":"strike","act":{number}'
    path.write_text(path.read_text() + f'{body},"crc":"{zlib.crc32(body.encode()):08x}"}}\n')
    with pytest.raises(se.FileError, match=f"act {number} is damaged: it strikes an act that does not stand"):
        se.Trace(path)


def test_what_was_followed_is_kept_apart_and_known_less_well(tmp_path: Path) -> None:
    t = small(tmp_path / "a.trace")
    t.foot("p1", "end zone", 0.1, "b", 310, 400)
    t.foot("p1", "end zone", 0.1, "c", 310, 400, followed=True)
    followed = t.acts.columns("foot")["followed"]
    assert np.isnan(followed[:2]).all()
    assert followed[2] == 1
    assert lines_of(tmp_path / "a.trace")[-1]["followed"] == 1


def test_a_play_may_have_a_film_of_its_own(tmp_path: Path) -> None:
    (tmp_path / "one.mp4").write_bytes(b"a film")
    t = small(tmp_path / "a.trace")
    t.film("p1", "end zone", "one.mp4")
    with pytest.raises(se.InputError, match="without a path"):
        t.film("p1", "end zone", "../one.mp4")
    act = lines_of(tmp_path / "a.trace")[-1]
    assert (act["file"], act["size"]) == ("one.mp4", 6.0)
    assert t.reading.ways.film_of(t.reading.cameras.code["p1"], "end zone") == "one.mp4"
    assert t.reading.ways.film_of(t.reading.cameras.code["p1"], "sideline") == ""
