"""Reading what was saved: a game, measures, reps, or the parts of a season."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from .. import _core
from .._core import FileError
from ..base.text import first_line
from ..game.game import Game, digest_of
from .folder import (
    HDF5,
    coded_tables,
    digests_of,
    edition,
    holds,
    made_with,
    read_bands,
    read_parquet,
    read_tables,
    told,
)
from .noise import Noise
from .reps import FIRST_TITLES, read_reps_file, read_reps_folder
from .results import TITLES, Measures

if TYPE_CHECKING:
    import pyarrow as pa

PROBLEMS = "problems"  # in that folder: a mark a part, written last, and the plays that are not measured
PLAN = "season.json"  # in the folder that measure_many made: what it is made from


def read_folder(path: Path, file: str = "{}.parquet", digests: Mapping[str, str] | None = None) -> Measures:
    """A folder of Parquet files that Measures.save wrote. file: where in it the table {} stands. digests: of each file;
    None: as the folder says."""
    tables, about = read_tables(path, TITLES, file, digests)
    coded, names = coded_tables(path, tables)
    made = Measures(coded, names["plays"], names["players"], *made_with(about, path), **edition(about))
    made.noise, made.band_coded = read_bands(path, TITLES, coded, about, file, digests)
    told(made, path)
    return made


def read_season(out: Path) -> list[Measures]:
    """The parts of a folder that measure_many made and that are whole, each as Measures."""
    parts = {mark.stem: read_mark(mark) for mark in sorted((out / PROBLEMS).glob("part-*.parquet"))}
    if any(out.glob("part-*.h5")):
        return [read(file) for part in parts if (file := out / f"{part}.h5").is_file()]
    return [
        read_folder(out, f"{{}}/{part}.parquet", mark.digests)
        for part, mark in parts.items()
        if (out / TITLES[0] / f"{part}.parquet").is_file()
    ]


@dataclass(frozen=True)
class Mark:
    """What stands in the mark of a part: the plays that are not measured, counts, and the SHA-256 of its files."""

    problems: pa.Table
    counts: dict[str, int]
    digests: dict[str, str]
    source: Any  # where its plays stand in the season's inputs, of a season with reps


def check_of(problems: pa.Table, said: Mapping[str, str]) -> str:
    """What a mark says of itself, so that a bit that turns in it shows."""
    told = {name: text for name, text in said.items() if name != "check"}
    return hashlib.sha256(json.dumps([problems.to_pydict(), sorted(told.items())]).encode()).hexdigest()


def read_mark(file: Path) -> Mark:
    """FileError for one that is damaged. Marks of before they told digests tell none."""
    try:
        problems, said = read_parquet(file.read_bytes(), file)
        counts, digests = said["counts"], said.get("digests", "")
        if digests and check_of(problems, said) != said.get("check"):
            raise ValueError("another check than is told of it")
        if list(problems.column_names) != ["game", "play", "reason"][-problems.num_columns :]:
            raise ValueError("other columns")
        source = json.loads(said.get("source", "null"))
        return Mark(problems, json.loads(counts), digests_of(digests, file), source)
    except FileError:
        raise
    except OSError as why:
        raise FileError(f"{file}: {why.strerror}") from why
    except (ValueError, KeyError, TypeError, RecursionError) as why:
        raise FileError(f"{file}: is damaged, or no mark of a part: {first_line(why)}") from why


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
        core, digest, checked = _core.read_game(os.fspath(at))
        if not checked and len(digest) == 64 and digest_of(core) != digest:  # of before files told what they add up to
            raise FileError(f"{at}: was changed after it was written: its digest is of other tables")
        return Game(core, stored_digest=digest, sources=(at.absolute(),))
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
