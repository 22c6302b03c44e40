"""A film's pictures by number and time stamp, decoded by ffmpeg.

Every picture has the stamp its file gives it (variable rates and 30000/1001 stay exact); pictures are asked for by
number, and a number is turned into a seek to just before its stamp, so that what comes back is that very picture.
Interlaced films are deinterlaced, one picture a frame.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from collections.abc import Iterator
from functools import cached_property
from pathlib import Path
from typing import IO

import numpy as np

from .._core import FileError, InputError
from ..base.columns import Floats

QUALITY = "3"  # of a JPEG, 2 (best) to 31

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
        after = int(self.stamps.searchsorted(time))
        if after == 0 or after == len(self.stamps):
            return min(after, len(self.stamps) - 1)
        return after - int(time - self.stamps[after - 1] <= self.stamps[after] - time)

    def jpegs(self, first: int, count: int) -> Iterator[bytes]:
        """Pictures from a number on, as JPEG; fewer where the film ends or is damaged."""
        with self.as_jpegs(first, count) as process:
            assert process.stdout
            yield from split_jpegs(process.stdout)

    def as_jpegs(self, first: int, count: int) -> subprocess.Popen[bytes]:
        """The program that writes them, one after the other (`split_jpegs`)."""
        return self._decode(first, count, ["-c:v", "mjpeg", "-q:v", QUALITY, "-f", "image2pipe", "-"])

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


def split_jpegs(stream: IO[bytes]) -> Iterator[bytes]:
    """The pictures of a stream of JPEGs: each ends where the mark of an end is followed by that of a start."""
    waiting = b""
    read = getattr(stream, "read1", stream.read)  # what is there, and no waiting for more
    while text := read(1 << 16):
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
