"""The trace file: lines of JSON, one an act, only ever added to (core/trace/journal.hpp has the format).

An act is on the disk (fsync) before it is answered. A torn last line is dropped; a damaged line in the middle is
refused by its number. One writer at a time: the file is locked while it is open for writing. It names no path outside
its own folder.
"""

from __future__ import annotations

import fcntl
import hashlib
import json
import math
import os
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path
from typing import Any

from .. import _core
from .._core import FileError, InputError
from ..base import files
from ..base.text import shown

FORMAT = "shortedge trace"
VERSION = 1
ENDING = ".trace"
BEGINNING = b'{"n":0,"do":"header"'
FIELDS = ("pro", "college", "school")
ERRORS = {"mark": 2.0, "foot": 3.0, "hidden": 6.0, "posture": 0.15}  # pixels, pixels, pixels, yd
TEXTS = {
    "play",
    "angle",
    "player",
    "mark",
    "at",
    "what",
    "unit",
    "position",
    "text",
    "file",
    "sha256",
}  # the other fields are numbers
MOST_TEXT = 1000  # characters of an id, a name or a note


class Journal:
    """The acts of a trace file. `write`: to add to it; else it is only read, and not locked."""

    def __init__(self, path: str | os.PathLike[str], header: Mapping[str, Any] | None = None, *, write: bool) -> None:
        self.path = Path(path)
        if self.path.suffix.lower() != ENDING:
            raise InputError(f"trace {shown(str(path))}; accepted: a name that ends in {ENDING}")
        self.acts = _core.Journal()
        self._file: int | None = None
        self._waiting: list[bytes] | None = None
        if not write:
            self._take(self._whole())
            if not self.acts.lines:
                raise FileError(f"{self.path}: found no whole header; accepted: a trace file")
        else:
            self._open(header)
        self.header = header_of(self.acts.header, self.path)

    def _whole(self) -> bytes:
        try:
            return self.path.read_bytes()
        except OSError as why:
            raise FileError(f"{self.path}: {why.strerror}") from why

    def _take(self, text: bytes) -> int:
        try:
            return self.acts.read(text)
        except FileError as why:
            raise FileError(f"{self.path}: {why}") from None

    def _open(self, header: Mapping[str, Any] | None) -> None:
        flags = os.O_RDWR | os.O_APPEND | (os.O_CREAT if header is not None else 0)
        new = header is not None and not os.path.lexists(self.path)
        try:
            self._file = os.open(self.path, flags, 0o666)
        except OSError as why:
            raise FileError(f"{self.path}: {why.strerror}") from why
        try:
            try:
                fcntl.flock(self._file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except OSError:
                raise FileError(f"{self.path}: is being written by another program; accepted: one at a time") from None
            text = self._whole()
            whole = self._take(text)
            if not self.acts.lines:
                if header is None:
                    raise FileError(f"{self.path}: found no whole header; accepted: a trace file")
                if not BEGINNING.startswith(text[: len(BEGINNING)]):
                    raise FileError(f"{self.path}: found another file; accepted: a trace file, or none yet")
            if whole < len(text):
                os.ftruncate(self._file, whole)
                os.fsync(self._file)
            if not self.acts.lines:
                assert header is not None
                self._put([sealed({"n": 0, "do": "header", "format": FORMAT, "version": VERSION, **header})])
                folder = os.open(self.path.absolute().parent, os.O_RDONLY)
                try:
                    os.fsync(folder)
                finally:
                    os.close(folder)
        except BaseException:
            if new and not os.fstat(self._file).st_size:
                self.path.unlink(missing_ok=True)  # nothing half made stays
            self.close()
            raise

    def add(self, do: str, **fields: Any) -> int:
        """Writes an act and gives its number; fields that are None are left out. InputError for what no act may
        hold."""
        if self._file is None:
            raise InputError(f"{self.path}: is closed, or open for reading; accepted: a Trace that is open")
        number = self.acts.lines + len(self._waiting or ())
        act: dict[str, Any] = {"n": number, "do": do}
        for name, value in fields.items():
            if value is None:
                continue
            act[name] = text_of(name, value) if name in TEXTS else number_of(name, value)
        line = sealed(act)
        if self._waiting is None:
            self._put([line])
        else:
            self._waiting.append(line)
        return number

    def _put(self, lines: list[bytes]) -> None:
        assert self._file is not None
        text = b"".join(lines)
        before = os.fstat(self._file).st_size
        try:
            left = memoryview(text)
            while left:
                left = left[os.write(self._file, left) :]
            os.fsync(self._file)
        except OSError as why:
            os.ftruncate(self._file, before)  # nothing half written stays
            raise FileError(f"{self.path}: {why.strerror}") from why
        files.count += 1
        self._take(text)

    @contextmanager
    def together(self) -> Iterator[None]:
        """Acts within are written at the end of the block, at once. When the block fails, none of them is."""
        if self._waiting is not None:
            yield
            return
        self._waiting = []
        try:
            yield
            lines = self._waiting
        finally:
            self._waiting = None
        if lines:
            self._put(lines)

    def close(self) -> None:
        """Gives the lock back. Nothing is lost: every act is on the disk already."""
        if self._file is not None:
            os.close(self._file)
            self._file = None


def sealed(act: Mapping[str, Any]) -> bytes:
    """An act's line with its checksum."""
    body = json.dumps(act, separators=(",", ":"), allow_nan=False)[:-1]
    return f'{body},"crc":"{zlib.crc32(body.encode()):08x}"}}\n'.encode()


def text_of(name: str, value: object) -> str:
    if not isinstance(value, str) or not value or len(value) > MOST_TEXT or not value.isprintable():
        raise InputError(f"{name} is {shown(value)}; accepted: a text of 1 to {MOST_TEXT} printable characters")
    return value


def number_of(name: str, value: Any) -> float:
    try:
        number = float(value)
    except (TypeError, ValueError):
        number = math.nan
    if not math.isfinite(number) or isinstance(value, str):
        raise InputError(f"{name} is {shown(value)}; accepted: a number")
    return number


def new_header(
    field: str,
    angles: Mapping[str, tuple[float, float]],
    films: Mapping[str, Any] | None,
    errors: Mapping[str, float] | None,
    folder: Path,
) -> dict[str, Any]:
    """The header of a new trace. InputError for what makes no sense."""
    if field not in FIELDS:
        raise InputError(f"field is {shown(field)}; accepted: {', '.join(FIELDS)}")
    if not isinstance(angles, Mapping) or not angles:
        raise InputError(
            f'angles is {shown(angles)}; accepted: a name to a picture\'s size, as {{"end zone": (1280, 720)}}'
        )
    sizes: dict[str, list[float]] = {}
    for angle, size in angles.items():
        try:
            width, height = (number_of("size", part) for part in size)
        except (TypeError, ValueError) as why:
            raise InputError(f"angles[{shown(angle)}] is {shown(size)}; accepted: width and height in pixels") from why
        if not (width > 0 and height > 0):
            raise InputError(f"angles[{shown(angle)}] is {shown(size)}; accepted: width and height in pixels")
        sizes[text_of("angle", angle)] = [width, height]
    used = dict(ERRORS)
    for name, value in (errors or {}).items():
        least_allowed = 0.0 if name == "posture" else 1e-6
        if name not in ERRORS or not number_of(name, value) >= least_allowed:
            raise InputError(f"errors[{shown(name)}] is {shown(value)}; accepted: {', '.join(ERRORS)}, above 0")
        used[name] = float(value)
    return {"field": field, "angles": sizes, "errors": used, "films": films_of(films, sizes, folder)}


def films_of(
    films: Mapping[str, Any] | None, angles: Mapping[str, object], folder: Path
) -> dict[str, dict[str, object]]:
    """Each angle's film: file (in the trace's folder), size and SHA-256 of it, rate as it was stated."""
    found: dict[str, dict[str, object]] = {}
    for angle, film in (films or {}).items():
        if angle not in angles:
            raise InputError(f"films[{shown(angle)}]: no such angle; accepted: {', '.join(angles)}")
        file, rate = (film.get("file"), film.get("rate")) if isinstance(film, Mapping) else (film, None)
        name = bare_name(file)
        path = folder / name
        try:
            with path.open("rb") as stream:
                digest = hashlib.file_digest(stream, "sha256").hexdigest()
            found[angle] = {"file": name, "size": path.stat().st_size, "sha256": digest}
        except OSError as why:
            raise FileError(f"{path}: {why.strerror}") from why
        if rate is not None:
            found[angle]["rate"] = rate_of(rate)
    return found


def rate_of(rate: object) -> str:
    """Frames a second as an exact fraction, "30000/1001"."""
    try:
        exact = Fraction(str(rate))
    except (ValueError, ZeroDivisionError):
        exact = Fraction(0)
    if exact <= 0:
        raise InputError(f"rate is {shown(rate)}; accepted: frames a second, as 30 or 30000/1001")
    return f"{exact.numerator}/{exact.denominator}"


def bare_name(file: object) -> str:
    """A file's name in the trace's own folder."""
    name = os.fspath(file) if isinstance(file, str | os.PathLike) else ""
    if not name or name in (".", "..") or "/" in name or "\\" in name or not name.isprintable():
        raise InputError(f"film {shown(file)}; accepted: the name of a file in the trace's own folder, without a path")
    return name


def header_of(line: bytes, path: Path) -> dict[str, Any]:
    """The header's content. FileError for a file of another format or a later version, or a header of no sense."""
    try:
        header = json.loads(line)
        if header["format"] != FORMAT:
            raise FileError(f"{path}: found {shown(header['format'])}; accepted: {FORMAT}")
        if header["version"] != VERSION:
            raise FileError(f"{path}: found version {shown(header['version'])} of a trace; accepted: {VERSION}")
        for film in header["films"].values():
            bare_name(film["file"])
        assert header["field"] in FIELDS
        assert set(header["errors"]) == set(ERRORS)
        for width, height in header["angles"].values():
            assert width > 0
            assert height > 0
    except FileError:
        raise
    except InputError as why:
        raise FileError(f"{path}: {why}") from None
    except Exception as why:
        raise FileError(f"{path}: found a header that makes no sense; accepted: a trace file") from why
    return dict(header)
