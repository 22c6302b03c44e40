"""The folder of a season: the same run's, or new."""

from __future__ import annotations

import fcntl
import json
import os
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from .. import _core
from .._core import FileError
from ..base import files
from ..base.files import from_folder, refused_as, remove_unheld, write_whole
from ..base.text import first_line, listed
from ..measures.reading import PLAN, PROBLEMS
from ..measures.reps import REP_TABLES
from .jobs import titles_of

TRACKS = "tracks"  # in the folder: tracks that were laid out again, kept when reps are


def prepare_folder(out: Path, plan: Mapping[str, Any]) -> None:
    """Makes the folder, or finds in it the same run. FileError for anything else."""
    stands = out / PLAN
    if out.exists() and not out.is_dir():
        raise FileError(f"{out}: stands there and is no folder; it is left as it is")
    if stands.is_file():
        old = plan_in(stands)
        other = [key for key in plan if old.get(key, False) != plan[key]]
        if other:
            raise FileError(
                f"{out}: holds the results of another run ({listed(other)} differ); it is left as it is: name another "
                "folder, or remove it"
            )
    elif out.is_dir() and any(out.iterdir()):
        raise FileError(f"{out}: stands there and holds no results of measure_many; it is left as it is")
    titles = titles_of(plan.get("reps", False))
    banded = [title for title in titles if plan["noise"] and title in _core.band_columns()]
    kept = [*titles, *(f"{title}_bands" for title in banded)]
    if plan["format"] == "hdf5":
        kept = [REP_TABLES[0]] if plan.get("reps", False) else []
    for title in (*kept, PROBLEMS):
        (out / title).mkdir(parents=True, exist_ok=True)
    sweep(out)
    for folder in out.glob(".laid-out-*"):
        shutil.rmtree(folder, ignore_errors=True)
    if not stands.is_file():
        write_whole(stands, json.dumps(plan, indent=1).encode())
        files.count -= 1  # a plan is no output yet


def plan_in(file: Path) -> dict[str, Any]:
    """The plan a run was begun with; paths that older ones have absolute are from the folder on."""
    try:
        plan, out = dict(json.loads(file.read_bytes())), Path(os.path.realpath(file.parent))
        plan["inputs"] = [[from_folder(out / name, out), *said] for name, *said in plan.get("inputs", [])]
    except OSError as why:
        raise FileError(f"{file}: {why.strerror}") from why
    except (ValueError, TypeError, RecursionError) as why:
        raise FileError(f"{file}: is damaged: {first_line(why)}; the folder is left as it is") from why
    return plan


@contextmanager
def alone_in(out: Path) -> Iterator[None]:
    """Makes the folder, and writes into it alone. FileError when another run does."""
    if out.exists() and not out.is_dir():
        raise FileError(f"{out}: stands there and is no folder; it is left as it is")
    with refused_as(out):
        out.mkdir(parents=True, exist_ok=True)
        folder = os.open(out, os.O_RDONLY | os.O_DIRECTORY)
    try:
        try:
            fcntl.flock(folder, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise FileError(f"{out}: another run is writing into it; it is left as it is") from None
        except OSError:  # a file system without locks
            pass
        with refused_as(out):
            yield
    finally:
        os.close(folder)


def sweep(out: Path) -> None:
    """Removes the files that a killed process left half-written."""
    for pattern in (".part-*", "*/.part-*"):
        for file in out.glob(pattern):
            remove_unheld(file)
