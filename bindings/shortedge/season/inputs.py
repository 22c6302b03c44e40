"""What a season is made of: files of tables, and game files."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from .. import _core
from .._core import FileError, InputError
from ..base.columns import Codes
from ..base.sources import open_table
from ..base.text import shown
from ..game.clock import Clock
from ..game.films import with_films
from ..game.ids import Joined, everywhere, whole_numbers
from ..game.inputs import FILMS, TABLES, films_in, table_in
from ..game.mapping import Mapped
from ..measures.folder import HDF5
from .layout import laid_out
from .pieces import GamePiece, TablesPiece, taken


@dataclass(frozen=True)
class TablesInput:
    """Files of tables."""

    files: Mapping[str, Path]
    mapping: Mapping[str, Any]

    def said(self) -> list[list[Any]]:
        return [file_said(path) for path in self.files.values()]

    def pieces(self, scratch: Path, plays: int, number: int = 0) -> Iterator[TablesPiece]:
        mapped = Mapped(**self.mapping)
        clock = Clock(mapped.time, mapped.rate)
        opened = {name: open_table(name, path) for name, path in self.files.items()}
        ids = Joined()
        snaps = mapped.read(opened["snaps"], clock)
        if "films" in opened:
            snaps, _ = with_films(snaps, mapped.read(opened["films"], clock))
        people = mapped.read(opened["people"], clock)
        snap_codes, snap_ids = ids.encode(snaps, "play")
        everywhere(snap_codes, "snaps", "play")
        by_number = whole_numbers(ids.encode(people, "player")[1])
        tracks = laid_out(opened["tracks"], mapped, clock, snap_ids, scratch)
        # Plays in the order of their tracks; those without tracks go into the last piece, which names them.
        names, starts = tracks.plays, [*tracks.starts, tracks.rows]
        with_tracks = set(names)
        missing = [play for play in snap_ids if play not in with_tracks]
        count = max(1, -(-len(names) // plays))
        ends = [part * len(names) // count for part in range(count + 1)]
        part_of = {play: part for part in range(count) for play in names[ends[part] : ends[part + 1]]}
        part_of |= dict.fromkeys(missing, count - 1)

        def parted(codes: Codes, found: Sequence[str]) -> list[Any]:
            """The rows of each piece, and at last those of none."""
            parts = np.array([*(part_of.get(name, count) for name in found), count])[codes]
            return np.split(np.argsort(parts, kind="stable"), np.cumsum(np.bincount(parts, minlength=count + 1))[:-1])

        of_snaps, of_people, everybody = parted(snap_codes, snap_ids), None, people
        if "play" in people.of:
            codes, found = ids.encode(people, "play")
            of_people, all_game = parted(codes, found), np.flatnonzero(codes < 0)
        for part, (first, end) in enumerate(pairwise(ends)):
            own = names[first:end] + (missing if part == count - 1 else [])
            if of_people:
                everybody = taken(people, np.sort(np.concatenate([of_people[part], all_game])))
            yield TablesPiece(
                tuple(own),
                taken(snaps, of_snaps[part]),
                everybody,
                mapped,
                tracks.path,
                starts[first],
                starts[end],
                by_number,
                number,
            )


@dataclass(frozen=True)
class GameInput:
    """A game file."""

    path: Path

    def said(self) -> list[list[Any]]:
        return [file_said(self.path)]

    def pieces(self, scratch: Path, plays: int, number: int = 0) -> Iterator[GamePiece]:
        name, ids, starts = _core.game_rows(os.fspath(self.path))
        count = max(1, -(-len(ids) // plays))
        for part in range(count):
            first, end = part * len(ids) // count, (part + 1) * len(ids) // count
            rows = (int(starts[first]), int(starts[end]))
            yield GamePiece(tuple(ids[first:end]), name, self.path, first, rows, number)


def file_said(path: Path) -> list[Any]:
    """What tells a file from another, without reading it."""
    try:
        about = path.stat()
    except OSError as why:
        raise FileError(f"{path}: {why.strerror}") from why
    return [str(path.absolute()), about.st_size, about.st_mtime_ns]


def inputs_of(paths: Any, mapping: Mapping[str, Any]) -> list[TablesInput | GameInput]:
    """The inputs of `paths`, in order."""
    several = paths if isinstance(paths, list) else [paths]
    if not several:
        raise InputError("paths is empty; accepted: a game file, a folder, three files, or a list of these")
    inputs: list[TablesInput | GameInput] = []
    for one in several:
        if isinstance(one, tuple):
            if len(one) not in (3, 4):
                raise InputError(f"paths: found {len(one)} files together; accepted: tracks, snaps, people, and films")
            files = dict(zip((*TABLES, FILMS), map(Path, one), strict=False))
            inputs.append(TablesInput(files, named(mapping, files["tracks"].absolute().parent)))
            continue
        path = Path(one)
        if path.suffix.lower() in HDF5:
            inputs.append(GameInput(path))
        elif not path.is_dir():
            if not path.exists():
                raise FileError(f"{path}: no such file or folder")
            raise InputError(
                f"paths: found {shown(path.name)}; accepted: a game file (.h5), a folder, or a tuple of the three "
                "files tracks, snaps, people"
            )
        elif not mapping and (games := sorted(file for file in path.iterdir() if file.suffix.lower() in HDF5)):
            inputs += map(GameInput, games)
        else:
            files = {table: table_in(path, table, False) for table in TABLES}
            films = films_in(path)
            files |= {FILMS: films} if films else {}
            inputs.append(TablesInput(files, named(mapping, path)))
    for one in inputs:
        if isinstance(one, TablesInput):
            lacking = [name for name in ("units", "origin", "y") if name not in one.mapping]
            if lacking:
                raise InputError(f"tables need {', '.join(lacking)}; accepted: the keywords of from_tables")
            Mapped(**one.mapping)
        elif _core.file_kind(os.fspath(one.path)) != "game":
            raise InputError(f"{one.path}: found results; accepted: a game file")
    return inputs


def named(mapping: Mapping[str, Any], folder: Path) -> dict[str, Any]:
    return {"name": folder.absolute().name, **mapping}
