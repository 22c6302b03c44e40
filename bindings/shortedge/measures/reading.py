"""Reading what was saved: a game, measures, reps, or the parts of a season."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from .. import _core
from .._core import FileError
from ..game.game import Game
from .folder import HDF5, coded_tables, edition, holds, made_with, read_bands, read_tables, told
from .noise import Noise
from .reps import FIRST_TITLES, read_reps_file, read_reps_folder
from .results import TITLES, Measures

PLAN = "season.json"  # in the folder that measure_many made: what it is made from


def read_folder(path: Path, file: str = "{}.parquet") -> Measures:
    """A folder of Parquet files that Measures.save wrote. file: where in it the table {} stands."""
    tables, about = read_tables(path, TITLES, file)
    coded, names = coded_tables(path, tables)
    made = Measures(coded, names["plays"], names["players"], *made_with(about), **edition(about))
    made.noise, made.band_coded = read_bands(path, TITLES, coded, about, file)
    told(made, path)
    return made


def read_season(out: Path) -> list[Measures]:
    """The parts of a folder that measure_many made, each as Measures."""
    files = sorted(out.glob("part-*.h5"))
    if files:
        return [read(file) for file in files]
    return [read_folder(out, "{}/" + part.name) for part in sorted((out / TITLES[0]).glob("part-*.parquet"))]


def read(path: Any) -> Any:
    """Reads what was saved: a Game, Measures or Reps.

    A game or results file (HDF5), or a results folder (Parquet): one of them. A list of paths, a folder of such files,
    or one that measure_many made: a list of them. Raises FileError for what is no such file: missing, truncated,
    foreign, hostile.
    """
    if isinstance(path, list | tuple):
        return [read(one) for one in path]
    at = Path(path)
    if (at / "season.json").is_file():
        return read_season(at)
    if holds(at, TITLES):
        return read_folder(at)
    if holds(at, FIRST_TITLES):
        return read_reps_folder(at)
    if at.is_dir():
        files = sorted(file for file in at.iterdir() if file.suffix.lower() in HDF5)
        if not files:
            raise FileError(f"{at}: no game or results file in it")
        return [read(file) for file in files]
    if not at.exists():
        raise FileError(f"{at}: no such file")
    kind = _core.file_kind(os.fspath(at))
    if kind == "reps":
        return read_reps_file(at)
    if kind == "game":
        core, digest = _core.read_game(os.fspath(at))
        return Game(core, stored_digest=digest)
    kept = _core.read_results(os.fspath(at))
    made = Measures(
        {title: kept[title] for title in TITLES},
        kept["plays"],
        kept["players"],
        kept["rules"],
        kept["game_name"],
        kept["digest"],
        kept["library_version"],
        noise=kept["noise"] and Noise(*kept["noise"]),
        band_coded=kept["bands"],
        definition=kept["definition"],
        notes=tuple(kept["notes"]),
    )
    told(made, at)
    return made
