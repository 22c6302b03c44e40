"""Files that stand whole: written under another name beside their place, then renamed."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from .._core import FileError
from .text import first_line


def write_whole(target: Path, data: bytes) -> None:
    """Writes a file; what stood there is whole until the new one is."""
    with in_place(target) as made:
        made.write_bytes(data)


@contextmanager
def in_place(target: Path, *, folder: bool = False) -> Iterator[Path]:
    """A name beside the target to write a file under, or a new folder beside it to fill; brought to the disk and given
    the target's name at the end, so that no half-written one stands there. Whatever goes wrong before that, what stood
    there is as it was. FileError when the system refuses."""
    made = None
    try:
        how: dict[str, Any] = {"dir": target.absolute().parent, "prefix": f".{target.name}-"}
        if folder:
            made = Path(tempfile.mkdtemp(**how))
        else:
            with tempfile.NamedTemporaryFile(suffix=target.suffix, delete=False, **how) as file:
                made = Path(file.name)
        yield made
        for path in made.iterdir() if folder else (made,):
            with open(path, "rb+") as file:
                os.fsync(file.fileno())
        made.chmod((0o777 if folder else 0o666) & ~umask())
        if folder:
            put_in_place(made, target)
        else:
            made.replace(target)
        made = None
    except OSError as why:
        raise FileError(f"{target}: cannot be written: {why.strerror or first_line(why)}") from why
    finally:
        if made is not None and folder:
            shutil.rmtree(made, ignore_errors=True)
        elif made is not None:
            made.unlink(missing_ok=True)


def put_in_place(made: Path, target: Path) -> None:
    """A folder takes another's place, by two renames."""
    if not target.exists():
        made.rename(target)
        return
    old = made.with_name(made.name + "-old")
    target.rename(old)
    try:
        made.rename(target)
    except OSError:
        old.rename(target)
        raise
    shutil.rmtree(old)


def umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
