"""Pictures of films made ready before they are asked for, behind what a person does.

A film can be decoded from a whole picture on only, and those may lie hundreds of pictures apart: a jump costs up to a
second. So the pictures are decoded once, by one ffmpeg at a time, and laid down as JPEG: first what somebody waits for
(the picture that was asked for last: whoever asks again no longer looks at the one before), then what comes after it,
then the stretches that are wished for (the play in hand), then those of the other plays, then all the rest, as far as
there is room. What is asked for stops what is being made, and that is gone on with afterwards.

A film is somebody's property, and people are in it. The pictures lie in a folder of this machine's temporary files
that its owner alone can read, of at most ROOM bytes and no more than a quarter of what is free there. `close` deletes
it; the folder of a program that was killed is deleted by the next one: a folder in use is locked.
"""

from __future__ import annotations

import fcntl
import os
import shutil
import subprocess
import tempfile
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import numpy.typing as npt

from .._core import FileError, InputError
from ..base.text import shown
from .pictures import Film, split_jpegs

ROOM = 4_000_000_000  # bytes of pictures on the disk, at most
SHARE_OF_FREE = 0.25  # of what is free there
KEPT = 200_000_000  # bytes of pictures in memory, too
NEXT = 72  # pictures after the one asked for last that come before all else
SOON = 12  # pictures: what comes so soon is waited for
BLOCK = 24  # pictures decoded at once of a film that is damaged
IN_A_STRIP, PART = 240, 0.2  # pictures in a file, at most, and from what part of the room it is full
WAIT = 60.0  # s: how long a picture may take
PREFIX = "shortedge-film-"
LOCKED_BY = 60.0  # s after which a folder in use is surely locked

Stretch = tuple[Film, int, int]  # a film, the first picture and the last one


@dataclass(eq=False)
class Strip:
    """A file of pictures, one after the other."""

    path: Path
    film: Path
    size: int = 0
    numbers: list[int] = field(default_factory=list)


@dataclass(eq=False)
class Run:
    """An ffmpeg that decodes a film from a picture on. at: the number of the picture that comes; last: of the last one
    wanted; end: of the last one it gives."""

    film: Film
    at: int
    last: int
    end: int
    process: subprocess.Popen[bytes]
    stopped: bool = False
    behind: bool = False  # it lets others go before it, and cannot be hurried any more

    def let_others_go_first(self) -> None:
        """Where the system can."""
        setpriority: Callable[[int, int, int], None] | None = getattr(os, "setpriority", None)
        if setpriority is not None and not self.behind:
            self.behind = True
            with suppress(OSError):
                setpriority(os.PRIO_PROCESS, self.process.pid, 10)

    def comes_soon(self, film: Film, number: int) -> bool:
        soon = self.film.path == film.path and self.at <= number <= min(self.at + SOON, self.end)
        return soon and not self.behind

    def stop(self) -> None:
        self.stopped = True
        self.process.kill()


class Shelf:
    """Pictures of films as JPEG, by number. room: bytes on the disk; folder: where, else the machine's temporary files.
    Nothing is decoded before a picture is asked or wished for. Safe to ask from several threads."""

    def __init__(self, room: int = ROOM, kept: int = KEPT, folder: Path | None = None) -> None:
        self._room, self._kept, self._parent = room, kept, folder
        self.folder: Path | None = None  # while there is one
        self._held: int | None = None  # its lock
        self._changed = threading.Condition()
        self._memory: OrderedDict[tuple[Path, int], bytes] = OrderedDict()
        self._in_memory = self._on_disk = 0
        self._places: dict[tuple[Path, int], tuple[Strip, int, int]] = {}
        self._strips: OrderedDict[Strip, None] = OrderedDict()  # the one used last at the end
        self._open: Strip | None = None  # that is written to
        self._tried: dict[Path, npt.NDArray[np.bool_]] = {}  # pictures made, or given up
        self._lies: dict[Path, npt.NDArray[np.bool_]] = {}  # pictures that are there
        self._films: dict[Path, Film] = {}
        self._damaged: set[Path] = set()
        self._bad: set[tuple[Path, int]] = set()
        self._waiting: list[tuple[Film, int]] = []
        self._near: tuple[Film, int] | None = None
        self._wished: list[Stretch] = []
        self._plays: list[Stretch] = []
        self._run: Run | None = None
        self._again = self._ended = self._full = False  # full: from now on only what is asked or wished for is made
        self._thread: threading.Thread | None = None

    # ----------------------------------------------------------------------------------------------- asking

    def get(self, film: Film, number: int) -> bytes:
        """FileError for a picture that cannot be decoded, InputError for a number the film has not."""
        if not 0 <= number < len(film.stamps):
            raise InputError(f"picture {shown(number)}; accepted: 0 to {len(film.stamps) - 1}")
        key, asked = (film.path, number), (film, number)
        with self._changed:
            self._begin(film)
            self._near = asked
            found = self._found(key)
            if found is None and key not in self._bad:
                self._waiting.append(asked)
                if self._run is not None and not self._run.comes_soon(film, number):
                    self._run.stop()
                self._heed()
                done = self._changed.wait_for(lambda: self._there(key), WAIT)
                self._waiting.remove(asked)
                found = self._found(key)
                if not done:
                    raise FileError(f"{film.path}: ffmpeg does not answer")
            else:
                self._heed()
        if found is None:
            raise FileError(f"{film.path}: picture {number} cannot be decoded")
        return found

    def fetch(self, film: Film, first: int, last: int) -> None:
        """Wishes for the pictures of a stretch, before those of other stretches, in the background."""
        first, last = max(first, 0), min(last, len(film.stamps) - 1)
        with self._changed:
            self._begin(film)
            self._tried[film.path][first : last + 1] = self._lies[film.path][first : last + 1]
            self._wished = [(film, first, last), *(one for one in self._wished if one != (film, first, last))][:4]
            self._heed()

    def want(self, plays: Sequence[Stretch]) -> None:
        """Stretches that come next, in this order; then all the rest of their films, and of those asked for."""
        with self._changed:
            before, now = ([(film.path, a, b) for film, a, b in some] for some in (self._plays, plays))
            if now != before and not self._ended:
                self._plays = list(plays)
                for film, _, _ in plays:
                    self._begin(film)
                self._heed()

    def ready(self, film: Film) -> float:
        """The share of a film's pictures that lie ready, 0 to 1."""
        with self._changed:
            lies = self._lies.get(film.path)
            return 0.0 if lies is None else float(lies.mean())

    def close(self) -> None:
        """Stops, and deletes the folder with all its pictures."""
        with self._changed:
            self._ended = True
            if self._run is not None:
                self._run.stop()
            self._changed.notify_all()
        if self._thread is not None:
            self._thread.join(10)
        with self._changed:
            self._memory.clear()
            self._places.clear()
            if self.folder is not None:
                shutil.rmtree(self.folder, ignore_errors=True)
                self.folder = None
                self._let_go()

    # ------------------------------------------------------------------------------------------------ keeping

    def _begin(self, film: Film) -> None:
        if self._ended:
            raise FileError(f"{film.path}: the page is closed")
        if film.path not in self._films:
            self._films[film.path] = film
            self._tried[film.path], self._lies[film.path] = (np.zeros(len(film.stamps), bool) for _ in range(2))
        if self._thread is None:
            self._thread = threading.Thread(target=self._make, daemon=True)
            self._thread.start()

    def _heed(self) -> None:
        self._again = True
        self._changed.notify_all()

    def _there(self, key: tuple[Path, int]) -> bool:
        return key in self._memory or key in self._places or key in self._bad or self._ended

    def _found(self, key: tuple[Path, int]) -> bytes | None:
        if key in self._memory:
            self._memory.move_to_end(key)
            return self._memory[key]
        if key not in self._places:
            return None
        strip, at, size = self._places[key]
        self._strips.move_to_end(strip)
        try:
            with strip.path.open("rb") as file:
                file.seek(at)
                text = file.read(size)
        except OSError:
            text = b""
        if len(text) == size:
            return text
        self._drop(strip)  # somebody cleared the folder: what lay in it is made anew
        return None

    def _keep(self, film: Film, number: int, jpeg: bytes) -> None:
        key = (film.path, number)
        self._tried[film.path][number] = True
        if self._lies[film.path][number]:
            return
        self._lies[film.path][number] = True
        self._memory[key] = jpeg
        self._in_memory += len(jpeg)
        self._lay_down(film, number, jpeg)
        while self._in_memory > self._kept and len(self._memory) > 1:
            gone, text = self._memory.popitem(last=False)
            self._in_memory -= len(text)
            self._lies[gone[0]][gone[1]] = gone in self._places

    def _lay_down(self, film: Film, number: int, jpeg: bytes) -> None:
        """Writes a picture to the disk, if there is room; what was used longest ago makes room."""
        if self._room < len(jpeg):
            self._full = self._again = True
            return
        strip = self._open
        full = strip is not None and (len(strip.numbers) >= IN_A_STRIP or strip.size >= PART * self._room)
        if strip is None or strip.film != film.path or full:
            strip = self._open = self._new_strip(film)
        if strip is None:
            return
        try:
            with strip.path.open("ab") as file:
                file.write(jpeg)
        except OSError:  # the disk is full, or the folder gone: memory must do
            self._room, self._full = 0, True
            return
        self._places[film.path, number] = (strip, strip.size, len(jpeg))
        strip.size += len(jpeg)
        strip.numbers.append(number)
        self._on_disk += len(jpeg)
        if self._on_disk >= 0.9 * self._room:
            self._full = self._again = True
        while self._on_disk > self._room and len(self._strips) > 1:
            self._drop(next(one for one in self._strips if one is not strip))

    def _new_strip(self, film: Film) -> Strip | None:
        try:
            if self.folder is None or not self.folder.is_dir():
                sweep(self._parent)
                name = f"{PREFIX}{os.getpid()}-"
                self.folder = Path(tempfile.mkdtemp(prefix=name, dir=self._parent))
                self._let_go()
                self._held = hold(self.folder)
                self._room = min(self._room, int(SHARE_OF_FREE * shutil.disk_usage(self.folder).free))
            handle, path = tempfile.mkstemp(dir=self.folder)
            os.close(handle)
        except OSError:
            self._room = 0
            return None
        strip = Strip(Path(path), film.path)
        self._strips[strip] = None
        return strip

    def _let_go(self) -> None:
        if self._held is not None:
            os.close(self._held)
            self._held = None

    def _drop(self, strip: Strip) -> None:
        for number in strip.numbers:
            key = (strip.film, number)
            if self._places.get(key, (None,))[0] is strip:
                del self._places[key]
                self._lies[strip.film][number] = key in self._memory
        self._on_disk -= strip.size
        self._strips.pop(strip, None)
        if self._open is strip:
            self._open = None
        with suppress(OSError):
            strip.path.unlink()

    # ------------------------------------------------------------------------------------------------- making

    def _choice(self) -> tuple[Stretch, bool] | None:
        """What is made next, and whether it is wanted now. What there is no room for is left."""
        for film, number in reversed(self._waiting):
            if not self._there((film.path, number)):
                return (film, number, min(number + NEXT, len(film.stamps) - 1)), True
        near = [] if self._near is None else [(self._near[0], self._near[1], self._near[1] + NEXT)]
        for film, first, last in (*near, *self._wished):
            if found := self._missing(film, first, last):
                return found, True
        if self._full:
            return None
        rest = [(film, 0, len(film.stamps) - 1) for film in self._films.values()]
        if self._near is not None:
            rest.insert(0, (self._near[0], self._near[1], len(self._near[0].stamps) - 1))
        for film, first, last in (*self._plays, *rest):
            if found := self._missing(film, first, last):
                return found, False
        return None

    def _missing(self, film: Film, first: int, last: int) -> Stretch | None:
        """The first part of a stretch that was not tried yet."""
        first = max(first, 0)
        tried = self._tried[film.path][first : last + 1]
        if not len(tried) or tried.all():
            return None
        begin = int(tried.argmin())
        end = begin + int(tried[begin:].argmax()) - 1 if tried[begin:].any() else len(tried) - 1
        return film, first + begin, first + end

    def _make(self) -> None:
        while True:
            with self._changed:
                self._changed.wait_for(lambda: self._ended or self._choice() is not None)
                choice = None if self._ended else self._choice()
                if choice is None:
                    return
                (film, first, last), now = choice
                end = len(film.stamps) - 1
                if film.path in self._damaged:
                    first = first // BLOCK * BLOCK
                    last = end = min(first + BLOCK - 1, end)
                self._again = False
                try:
                    self._run = run = Run(film, first, last, end, film.as_jpegs(first, end - first + 1))
                except OSError:  # no ffmpeg any more, or no room for it
                    self._give_up(film, first, last)
                    continue
            if not now:
                run.let_others_go_first()
            try:
                self._decode(run)
            finally:
                run.stop()
                run.process.communicate()
                with self._changed:
                    self._run = None

    def _decode(self, run: Run) -> None:
        film = run.film
        assert run.process.stdout
        for jpeg in split_jpegs(run.process.stdout):
            with self._changed:
                if run.stopped:
                    return
                self._keep(film, run.at, jpeg)
                run.at += 1
                self._changed.notify_all()
                if run.at <= run.end and (self._again or run.at > run.last):
                    self._again = False
                    choice = self._choice()
                    if choice is None or choice[0][0].path != film.path or not 0 <= choice[0][1] - run.at <= SOON:
                        return
                    run.last = choice[0][2]
                    if not choice[1]:
                        run.let_others_go_first()
                    elif run.behind:
                        return
        with self._changed:
            if run.stopped or run.at > run.end:
                return
            if film.path in self._damaged:
                self._give_up(film, run.at, run.end)
            else:  # it broke off: which numbers its pictures had is not sure, so all are made again block by block
                self._damaged.add(film.path)
                self._forget(film)
            self._changed.notify_all()

    def _give_up(self, film: Film, first: int, last: int) -> None:
        self._bad |= {(film.path, number) for number in range(first, last + 1)}
        self._tried[film.path][first : last + 1] = True
        self._changed.notify_all()

    def _forget(self, film: Film) -> None:
        for strip in [one for one in self._strips if one.film == film.path]:
            self._drop(strip)
        for key in [one for one in self._memory if one[0] == film.path]:
            self._in_memory -= len(self._memory.pop(key))
        self._lies[film.path][:] = self._tried[film.path][:] = False


def hold(folder: Path) -> int | None:
    """Locks a folder until what is given is closed, or this program ends; None where another holds it."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        os.close(handle)
        return None
    return handle


def sweep(parent: Path | None) -> None:
    """Deletes folders of programs that were killed, also where another program has the number by now."""
    for folder in Path(parent or tempfile.gettempdir()).glob(f"{PREFIX}*"):
        number = folder.name.removeprefix(PREFIX).partition("-")[0]
        with suppress(OSError):
            said = folder.stat()
            if not number.isdigit() or said.st_uid != os.getuid() or (held := hold(folder)) is None:
                continue
            if not runs(int(number)) or time.time() - said.st_mtime > LOCKED_BY:
                shutil.rmtree(folder, ignore_errors=True)
            os.close(held)


def runs(number: int) -> bool:
    """Whether a program of that number runs."""
    try:
        os.kill(number, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True
