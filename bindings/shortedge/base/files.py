"""Files that stand whole: written under another name beside their place, then given its name in one step.

Every writer asks `place_of` first, the one place that refuses to write on what is read. What a killed writer leaves is
hidden, held by nobody, and swept by the next writer of the same name.
"""

from __future__ import annotations

import ctypes
import errno
import fcntl
import os
import re
import secrets
import shutil
import stat
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from .._core import FileError
from .text import first_line

HIDDEN = r"-\d+-[0-9a-f]{8}\.part(\.\w+)?"  # how the name of a file under way goes on after ".NAME"
LONGEST = 200  # bytes of NAME in it: a name may have 255
RENAME_EXCHANGE, AT_FDCWD = 2, -100  # renameat2(2)

count = 0  # of outputs that this process has brought to their places


def place_of(target: str | os.PathLike[str], inputs: Iterable[str | os.PathLike[str]] = ()) -> Path:
    """Where an output goes: its name, or what a link of that name leads to. FileError, before anything is touched, when
    it is one of the inputs (the same file of the same disk, whatever it is called), a folder that holds one, neither
    file nor folder, or a link to a file of another kind."""
    place = Path(os.path.realpath(target)) if os.path.islink(target) else Path(target)
    try:
        there = os.stat(place)
    except (FileNotFoundError, NotADirectoryError):
        there = None
    except (OSError, ValueError) as why:
        raise FileError(f"{target}: cannot be written: {getattr(why, 'strerror', '') or first_line(why)}") from why
    if place.suffix.lower() != Path(target).suffix.lower():
        raise FileError(f"{target}: is a link to {place.name}, a name of another kind; it is left as it is")
    if there is None:
        return place
    if not (stat.S_ISREG(there.st_mode) or stat.S_ISDIR(there.st_mode)):
        raise FileError(f"{target}: stands there and is neither a file nor a folder; it is left as it is")
    for one in inputs:
        called = "" if str(target) == str(one) else f" ({one})"
        if same(one, there):
            raise FileError(f"{target}: is an input{called}; it is left as it is: name another")
        if stat.S_ISDIR(there.st_mode) and any(same(above, there) for above in Path(os.path.realpath(one)).parents):
            raise FileError(f"{target}: holds an input{called}; it is left as it is: name another")
    return place


def same(path: str | os.PathLike[str], there: os.stat_result) -> bool:
    """Whether a path leads to that file or folder."""
    try:
        return os.path.samestat(os.stat(path), there)
    except (OSError, ValueError):
        return False


def from_folder(path: str | os.PathLike[str], folder: str | os.PathLike[str]) -> str:
    """A file's path from a folder on, for what is kept in it: no absolute one, and both may be moved together."""
    return os.path.relpath(os.path.realpath(path), os.path.realpath(folder))


@contextmanager
def replaced(target: str | os.PathLike[str], inputs: Iterable[str | os.PathLike[str]] = ()) -> Iterator[Path]:
    """The place of an output that is replaced by whoever writes it, as the compiled side does."""
    global count
    place = place_of(target, inputs)
    with refused_as(target):
        os.stat(place.absolute().parent)
    yield place
    count += 1


def write_whole(target: Path, data: bytes, inputs: Iterable[str | os.PathLike[str]] = ()) -> None:
    """Writes a file; what stood there is whole until the new one is."""
    with in_place(target, inputs=inputs) as made:
        made.write_bytes(data)


@contextmanager
def in_place(
    target: Path,
    *,
    inputs: Iterable[str | os.PathLike[str]] = (),
    folder: bool = False,
    swept: bool = True,
) -> Iterator[Path]:
    """A name beside the target to write a file under, or a new folder beside it to fill; brought to the disk and given
    the target's name at the end, in one step. Whatever goes wrong before that, and when the process dies, what stood
    there is as it was. FileError as `place_of`, and when the system refuses. swept: what killed writers of this name
    left is removed first."""
    global count
    place = place_of(target, inputs)
    with refused_as(target):
        if swept:
            sweep(place)
        made, held = begun(place, folder)
        done = False
        try:
            yield made
            for path in made.iterdir() if folder else ():
                sync(path)
            os.fsync(held)
            if folder and place.exists():
                exchange(made, place)
                shutil.rmtree(made, ignore_errors=True)  # what stood there
            else:
                made.replace(place)
            done = True
            count += 1
            sync(place.absolute().parent)
        finally:
            if not done and folder:
                shutil.rmtree(made, ignore_errors=True)
            elif not done:
                made.unlink(missing_ok=True)
            os.close(held)


@contextmanager
def refused_as(target: object) -> Iterator[None]:
    """What the system refuses within, as a FileError that names the target."""
    try:
        yield
    except FileError:
        raise
    except OSError as why:
        said, folder = why.strerror or first_line(why), Path(str(target)).parent
        if why.errno == errno.ENOENT and not folder.exists():
            said = f"there is no folder {folder}; make it first"
        raise FileError(f"{target}: cannot be written: {said}") from why


def begun(place: Path, folder: bool) -> tuple[Path, int]:
    """A new file or folder beside the place, and a descriptor that holds it: who sweeps leaves it alone."""
    name = os.fsdecode(os.fsencode(place.name)[:LONGEST])
    while True:
        made = place.with_name(f".{name}-{os.getpid()}-{secrets.token_hex(4)}.part{'' if folder else place.suffix}")
        try:
            if folder:
                made.mkdir()
                held = os.open(made, os.O_RDONLY | os.O_DIRECTORY)
            else:
                held = os.open(made, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o666)
        except FileExistsError:
            continue
        hold(held, wait=True)
        if same(made, os.fstat(held)):  # nobody swept it before it was held
            return made, held
        os.close(held)


def hold(descriptor: int, *, wait: bool = False) -> bool:
    """Whether nobody else holds it; from now on this process does, until the descriptor is closed. Where the file
    system knows no locks, everybody holds everything."""
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except OSError:
        return False
    return True


def sweep(place: Path) -> None:
    """Removes what killed writers of this name left beside it. What somebody still holds stays."""
    name = os.fsdecode(os.fsencode(place.name)[:LONGEST])
    leftover = re.compile(re.escape(f".{name}") + HIDDEN)
    with os.scandir(place.absolute().parent) as entries:
        found = [Path(entry.path) for entry in entries if entry.name[0] == "." and leftover.fullmatch(entry.name)]
    for path in found:
        remove_unheld(path)


def remove_unheld(path: Path) -> None:
    """Removes a file or folder that nobody holds."""
    try:
        held = os.open(path, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK)
    except OSError:
        return
    try:
        if hold(held) and same(path, os.fstat(held)):
            if path.is_dir():
                shutil.rmtree(path, ignore_errors=True)
            else:
                path.unlink(missing_ok=True)
    except OSError:  # it stays, then
        pass
    finally:
        os.close(held)


def sync(path: Path) -> None:
    """Brings a file, or a folder's list of names, to the disk."""
    descriptor = os.open(path, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    except OSError as why:
        if why.errno not in (errno.EINVAL, errno.EBADF) or not path.is_dir():  # some file systems sync no folders
            raise
    finally:
        os.close(descriptor)


def exchange(one: Path, other: Path) -> None:
    """Two folders take each other's name, in one step: at no moment is one of the names without a folder."""
    renameat2 = getattr(ctypes.CDLL(None, use_errno=True), "renameat2", None)
    if renameat2 is None:
        raise FileError(f"{other}: this system cannot replace a folder in one step; remove it first, or write a .h5")
    if renameat2(AT_FDCWD, os.fsencode(one), AT_FDCWD, os.fsencode(other), RENAME_EXCHANGE) != 0:
        code = ctypes.get_errno()
        if code in (errno.EINVAL, errno.ENOSYS):
            raise FileError(f"{other}: its file system cannot replace a folder in one step; remove it, or write a .h5")
        raise OSError(code, os.strerror(code))
