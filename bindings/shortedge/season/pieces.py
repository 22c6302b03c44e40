"""Pieces of a season: some whole plays, and where they are read from."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from .. import _core
from ..base.columns import Codes, is_text
from ..base.sources import ParquetSource, _reading
from ..game.clock import Clock
from ..game.columns import Table
from ..game.game import Game
from ..game.ids import Joined
from ..game.mapping import Mapped, game_of

if TYPE_CHECKING:
    import pyarrow as pa


@dataclass(frozen=True)
class TablesPiece:
    """Some plays of three tables: rows of a file of tracks in which a play's rows stand together."""

    plays: tuple[str, ...]
    snaps: Table
    people: Table
    mapped: Mapped
    tracks: Path
    start: int
    stop: int
    by_number: bool | None
    input: int = 0  # which of the season's inputs

    def source(self, out: Path) -> dict[str, Any]:
        """Where its rows are read from, to be found again: what stands in the season's folder by its place there."""
        own = self.tracks.is_relative_to(out)
        tracks = self.tracks.relative_to(out) if own else self.tracks.absolute()
        return {"input": self.input, "tracks": str(tracks), "rows": [self.start, self.stop]}

    def game(self, without: Sequence[str]) -> Game:
        clock = Clock(self.mapped.time, self.mapped.rate)
        return self.game_of(self.mapped.read(RowsSource(self.tracks, self.start, self.stop), clock), without)

    def game_of(self, tracks: Table, without: Sequence[str]) -> Game:
        tables = {"tracks": tracks, "snaps": self.snaps, "people": self.people}
        if without:
            for name in ("tracks", "snaps"):
                codes, ids = Joined().encode(tables[name], "play")
                tables[name] = taken(tables[name], rows_of(codes, ids, set(ids) - set(without)))
        clock = Clock(self.mapped.time, self.mapped.rate)
        return game_of(tables, self.mapped, clock, "pyarrow", self.by_number)

    @property
    def name(self) -> str:
        return self.mapped.name


@dataclass(frozen=True)
class GamePiece:
    """Some plays of a game file: those whose rows of tracks stand in a range."""

    plays: tuple[str, ...]
    name: str
    path: Path
    first: int  # of its plays, by code
    rows: tuple[int, int]
    input: int = 0

    def source(self, out: Path) -> dict[str, Any]:
        """Where its plays are read from, to be found again."""
        return {"input": self.input}

    def game(self, without: Sequence[str]) -> Game:
        left_out = set(without)
        codes = [self.first + number for number, play in enumerate(self.plays) if play in left_out]
        span = (self.first, self.first + len(self.plays))
        core, digest = _core.read_game_part(os.fspath(self.path), span, self.rows, codes)
        return Game(core, "pyarrow", digest)


Piece = TablesPiece | GamePiece


def rows_of(codes: Codes, ids: Sequence[str], wanted: set[str]) -> Any:
    """The rows whose id is wanted."""
    return np.flatnonzero(np.array([*(one in wanted for one in ids), False])[codes])


def taken(table: Table, rows: Any) -> Table:
    return Table(table.title, {name: [column.taken(rows) for column in columns] for name, columns in table.of.items()})


class RowsSource(ParquetSource):
    """Some rows of a Parquet file."""

    def __init__(self, path: Path, start: int, stop: int) -> None:
        super().__init__("tracks", path)
        self.start, self.stop = start, stop

    def read(self, names: Any, text: Any, number: Any) -> None:
        self.data = rows(self.path, list(names), list(text), self.start, self.stop)


def rows(path: Path, names: Sequence[str], text: Sequence[str], start: int, stop: int) -> pa.Table:
    from pyarrow import parquet

    with _reading("tracks", path):
        schema = parquet.read_schema(path)
        texts = [name for name in text if is_text(schema.field(name).type)]
        with parquet.ParquetFile(path, read_dictionary=texts) as file:
            counts = [file.metadata.row_group(group).num_rows for group in range(file.num_row_groups)]
            ends = np.cumsum(counts)
            first, last = np.searchsorted(ends, [start, stop - 1], side="right")
            table = file.read_row_groups(range(first, last + 1), columns=list(names), use_threads=False)
    return table.slice(start - int(ends[first] - counts[first]), stop - start)
