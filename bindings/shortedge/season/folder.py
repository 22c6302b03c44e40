"""The folder of a season: the same run's, or new."""

from __future__ import annotations

import json
import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from .. import _core
from .._core import FileError
from ..base.files import write_whole
from ..base.text import listed
from ..measures.reading import PLAN
from ..measures.reps import REP_TABLES
from .jobs import PROBLEMS, titles_of

TRACKS = "tracks"  # in the folder: tracks that were laid out again, kept when reps are


def prepare_folder(out: Path, plan: Mapping[str, Any]) -> None:
    """Makes the folder, or finds in it the same run. FileError for anything else."""
    stands = out / PLAN
    if out.exists() and not out.is_dir():
        raise FileError(f"{out}: stands there and is no folder; it is left as it is")
    if stands.is_file():
        old = json.loads(stands.read_text(encoding="utf-8"))
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


def sweep(out: Path) -> None:
    """Removes the files that a killed process left half-written."""
    for pattern in (".part-*", "*/.part-*"):
        for file in out.glob(pattern):
            file.unlink(missing_ok=True)
