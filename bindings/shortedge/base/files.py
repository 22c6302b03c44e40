"""Files that stand whole: written under another name beside their place, then renamed."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from .._core import FileError
from .tables import first_line


def write_whole(target: Path, data: bytes) -> None:
    """Writes a file; what stood there is whole until the new one is."""
    with in_place(target) as made:
        made.write_bytes(data)


@contextmanager
def in_place(target: Path) -> Iterator[Path]:
    """A name beside the target to write under; renamed to it at the end, so that no half-written file stands there."""
    made = None
    try:
        with tempfile.NamedTemporaryFile(
            dir=target.absolute().parent, prefix=f".{target.name}-", suffix=target.suffix, delete=False
        ) as file:
            made = Path(file.name)
        yield made
        with open(made, "rb+") as file:
            os.fsync(file.fileno())
        made.chmod(0o666 & ~umask())
        made.replace(target)
        made = None
    except OSError as why:
        raise FileError(f"{target}: cannot be written: {why.strerror or first_line(why)}") from why
    finally:
        if made is not None:
            made.unlink(missing_ok=True)


def put_in_place(made: Path, target: Path) -> None:
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
