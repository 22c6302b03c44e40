"""A film's pictures by number and time stamp, decoded by ffmpeg and kept while they are near.

Every picture has the stamp its file gives it (variable rates and 30000/1001 stay exact); pictures are asked for by
number, and a number is turned into a seek to just before its stamp, so that what comes back is that very picture.
Interlaced films are deinterlaced, one picture a frame.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import threading
from collections import OrderedDict
from collections.abc import Iterator
from functools import cached_property
from pathlib import Path

import numpy as np

from .._core import FileError, InputError
from ..base.columns import Floats
from ..base.text import shown

BLOCK = 24  # pictures decoded at once
KEPT = 400_000_000  # bytes of pictures kept in memory
QUALITY = "3"  # of a JPEG, 2 (best) to 31
WAIT = 60.0  # s: how long ffmpeg may take for a block

PROBE = ["-hide_banner", "-nostdin"]


NO_FFMPEG = "films need ffmpeg; accepted: ffmpeg on the PATH, or pip install 'shortedge[film]'"


def ffmpeg_path(without: str = NO_FFMPEG) -> str:
    """The program that reads and writes films; InputError with the text `without` when there is none."""
    found = shutil.which("ffmpeg")
    if found:
        return found
    try:
        import imageio_ffmpeg

        return str(imageio_ffmpeg.get_ffmpeg_exe())
    except (ImportError, RuntimeError):
        raise InputError(without) from None


class Film:
    """One film file. Raises FileError for a file ffmpeg cannot read, or without a picture.

    stamps: s of each picture, rising, from the start of the file, as every time of this film; size: width and height in
    pixels as shown (turned upright, pixels square).
    """

    def __init__(self, path: str | os.PathLike[str]) -> None:
        self.path = Path(path)
        if not self.path.is_file():
            raise FileError(f"{self.path}: no such file; accepted: a film")
        self.ffmpeg = ffmpeg_path()
        listed = subprocess.run(
            [self.ffmpeg, *PROBE, "-i", str(self.path), "-map", "0:v:0", "-c", "copy", "-f", "framecrc", "-"],
            capture_output=True,
            text=True,
            errors="replace",
        )
        self.stamps = stamps_of(listed.stdout)
        if not len(self.stamps):
            raise FileError(
                f"{self.path}: found no pictures in it ({(listed.stderr.strip().splitlines() or ['empty'])[-1]})"
            )
        said = next((line for line in listed.stderr.splitlines() if " Video: " in line), "")
        self.interlaced = any(word in said for word in ("top first", "bottom first", "top coded", "bottom coded"))
        self.square = re.search(r"SAR (\d+):(\d+)", said)

    @property
    def rate(self) -> float:
        """Pictures a second, by the median gap; NaN of a single picture."""
        return float(1 / np.median(np.diff(self.stamps))) if len(self.stamps) > 1 else float("nan")

    @cached_property
    def size(self) -> tuple[int, int]:
        jpeg = next(self.jpegs(0, 1), None)
        if jpeg is None:
            raise FileError(f"{self.path}: its first picture cannot be decoded")
        return jpeg_size(jpeg)

    def at(self, time: float) -> int:
        """The number of the picture shown at a time: the last one stamped no later (a thousandth of a second aside)."""
        return int(np.clip(np.searchsorted(self.stamps, time + 1e-3, side="right") - 1, 0, len(self.stamps) - 1))

    def nearest(self, time: float) -> int:
        """The number of the picture stamped nearest to a time."""
        return int(np.argmin(np.abs(self.stamps - time)))

    def jpegs(self, first: int, count: int) -> Iterator[bytes]:
        """Pictures from a number on, as JPEG; fewer where the film ends or is damaged."""
        form = ["-c:v", "mjpeg", "-q:v", QUALITY, "-f", "image2pipe", "-"]
        with self._decode(first, count, form) as process:
            assert process.stdout
            yield from split_jpegs(process.stdout)

    def arrays(self, first: int, count: int) -> Iterator[np.ndarray]:
        """Pictures from a number on as (height, width, 3) of red, green and blue, 0 to 255."""
        width, height = self.size
        form = ["-c:v", "rawvideo", "-pix_fmt", "rgb24", "-f", "rawvideo", "-"]
        whole = width * height * 3
        with self._decode(first, count, form) as process:
            assert process.stdout
            for _ in range(count):
                text = process.stdout.read(whole)
                if len(text) < whole:
                    return
                yield np.frombuffer(text, np.uint8).reshape(height, width, 3)

    def _decode(self, first: int, count: int, form: list[str]) -> subprocess.Popen[bytes]:
        if not 0 <= first < len(self.stamps):
            raise InputError(f"picture {first}; accepted: 0 to {len(self.stamps) - 1}")
        gap = self.stamps[first] - self.stamps[first - 1] if first else 0.0
        seek = ["-ss", f"{self.stamps[first] - gap / 2:.6f}"] if first else []
        filters = ["bwdif=mode=send_frame:deint=interlaced"] if self.interlaced else []
        if self.square and self.square[1] != self.square[2]:
            filters += ["scale=trunc(iw*sar/2)*2:ih", "setsar=1"]
        command = [self.ffmpeg, *PROBE, "-loglevel", "error", *seek, "-i", str(self.path), "-map", "0:v:0", "-an"]
        command += ["-frames:v", str(count), "-fps_mode", "passthrough"]
        command += ["-vf", ",".join(filters)] if filters else []
        return subprocess.Popen(
            [*command, *form], stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
        )


def stamps_of(listing: str) -> Floats:
    """The stamps of pictures, s, from ffmpeg's list of packets."""
    base = re.search(r"#tb 0: (\d+)/(\d+)", listing)
    if base is None:
        return np.empty(0)
    ticks = [int(line.split(",")[2]) for line in listing.splitlines() if line and not line.startswith("#")]
    return np.unique(np.array(ticks, float)) * int(base[1]) / int(base[2])


def split_jpegs(stream: object) -> Iterator[bytes]:
    """The pictures of a stream of JPEGs: each ends where the mark of an end is followed by that of a start."""
    waiting = b""
    while text := stream.read(1 << 16):  # type: ignore[attr-defined]
        waiting += text
        while (end := waiting.find(b"\xff\xd9\xff\xd8")) >= 0:
            yield waiting[: end + 2]
            waiting = waiting[end + 2 :]
    if waiting.endswith(b"\xff\xd9"):
        yield waiting


def jpeg_size(jpeg: bytes) -> tuple[int, int]:
    """Width and height, from the frame header (ISO/IEC 10918-1, B.2.2)."""
    at = 2
    while at + 9 < len(jpeg):
        kind, length = jpeg[at + 1], int.from_bytes(jpeg[at + 2 : at + 4], "big")
        if 0xC0 <= kind <= 0xC3:
            return int.from_bytes(jpeg[at + 7 : at + 9], "big"), int.from_bytes(jpeg[at + 5 : at + 7], "big")
        at += 2 + length
    raise InputError(f"a picture of {len(jpeg)} bytes: found no size in it")


class Shelf:
    """Pictures of films as JPEG, by number: decoded a block at a time, the blocks after it ahead of need, the oldest
    let go. Safe to ask from several threads."""

    def __init__(self, kept: int = KEPT) -> None:
        self._kept = kept
        self._blocks: OrderedDict[tuple[Path, int], list[bytes]] = OrderedDict()
        self._making: dict[tuple[Path, int], threading.Event] = {}
        self._lock = threading.Lock()

    def get(self, film: Film, number: int) -> bytes:
        """FileError for a picture that cannot be decoded, InputError for a number the film has not."""
        if not 0 <= number < len(film.stamps):
            raise InputError(f"picture {shown(number)}; accepted: 0 to {len(film.stamps) - 1}")
        block = self._block(film, number // BLOCK)
        if number % BLOCK >= len(block):
            raise FileError(f"{film.path}: picture {number} cannot be decoded")
        self._ahead(film, number // BLOCK + 1)
        return block[number % BLOCK]

    def fetch(self, film: Film, first: int, last: int) -> None:
        """Gets the pictures of a stretch before they are asked for, in the background."""
        for block in range(max(first, 0) // BLOCK, min(last, len(film.stamps) - 1) // BLOCK + 1):
            self._ahead(film, block)

    def _ahead(self, film: Film, block: int) -> None:
        key = (film.path, block)
        with self._lock:
            if block * BLOCK >= len(film.stamps) or key in self._blocks or key in self._making:
                return
        threading.Thread(target=self._block, args=(film, block), daemon=True).start()

    def _block(self, film: Film, block: int) -> list[bytes]:
        key = (film.path, block)
        while True:
            with self._lock:
                if key in self._blocks:
                    self._blocks.move_to_end(key)
                    return self._blocks[key]
                made = self._making.get(key)
                if made is None:
                    self._making[key] = made = threading.Event()
                    break
            if not made.wait(WAIT):
                raise FileError(f"{film.path}: ffmpeg does not answer")
        found: list[bytes] = []
        try:
            found = list(film.jpegs(block * BLOCK, BLOCK))
        finally:
            with self._lock:
                self._blocks[key] = found
                del self._making[key]
                while sum(map(sum, (map(len, block) for block in self._blocks.values()))) > self._kept:
                    if len(self._blocks) == 1:
                        break
                    self._blocks.popitem(last=False)
            made.set()
        return found
