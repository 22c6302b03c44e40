"""The columns of the three tables under our names, and which of theirs each is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from .._core import InputError
from ..base.columns import Column
from ..base.sources import Source
from ..base.text import listed, shown
from .clock import Clock

Theirs = str | Sequence[str]
REQUIRED = {
    "tracks": ("play", "player", "time", "x", "y"),
    "snaps": ("play", "ball_x", "ball_y", "direction", "snap_time"),
    "people": ("player", "unit", "position"),
    "films": ("play", "film_time"),
}
OPTIONAL = {
    "tracks": ("vx", "vy", "sd_x", "sd_y", "corr_xy"),
    "snaps": ("throw_time", "end_time", "film_time", "film_file", "film_rate", "label"),
    "people": ("play", "role", "name", "number", "team"),
    "films": ("angle", "file", "rate"),
}
KNOWN = {table: REQUIRED[table] + OPTIONAL[table] for table in REQUIRED}
IDS = ("play", "player")
TIMES = ("time", "snap_time", "throw_time", "end_time")
NUMBERS = ("x", "y", "vx", "vy", "sd_x", "sd_y", "corr_xy", "ball_x", "ball_y")
WORDS = ("unit", "position", "role", "label", "film_file", "name", "team")
KEPT = ("label", "film_file", "film_rate", "name", "number", "team")  # known, and not read by the measurement


@dataclass
class Table:
    """An input table with our names: each a column of theirs, or several to be joined."""

    title: str
    of: dict[str, list[Column]] = field(default_factory=dict)

    def kept(self) -> list[tuple[str, Any]]:
        """The columns that are kept as they come, in order: (name, values)."""
        kept = []
        for name, (column, *_) in self.of.items():
            if name not in KNOWN[self.title]:
                kept.append((name, column.kept()))
            elif name in KEPT:
                values = column.words() if name in WORDS else column.numbers() if name in NUMBERS else column.kept()
                kept.append((name, values))
        return kept


def read(source: Source, mapping: Mapping[str, Theirs], clock: Clock, ball: bool) -> Table:
    """Reads the columns of a table that are wanted, under our names."""
    table = source.table
    theirs = theirs_of(source, mapping)
    if ball and table == "snaps":
        theirs = {name: of for name, of in theirs.items() if name not in ("ball_x", "ball_y")}
    for name in REQUIRED[table]:
        if name in theirs or (ball and name in ("ball_x", "ball_y")):
            continue
        raise InputError(
            f"table {table}{source.origin}, column {name}: missing; found: {listed(source.names)}; name theirs with "
            f'columns={{"{table}": {{"{name}": "their name"}}}}'
        )
    text: set[str] = set()
    number: set[str] = set()
    for name, of in theirs.items():
        if name not in KNOWN[table]:
            continue
        if table == "films" or name in IDS or name in WORDS or (name in TIMES and clock.mode == "timestamp"):
            text.update(of)
        elif name in NUMBERS or name in TIMES:
            number.update(of)
        elif name == "film_time" and source.of_text:
            text.update(of)  # as seconds, or as 26:47.4
    source.read(list(dict.fromkeys(column for of in theirs.values() for column in of)), text, number - text)
    return Table(table, {name: [source.column(name, column) for column in of] for name, of in theirs.items()})


def theirs_of(source: Source, mapping: Mapping[str, Theirs]) -> dict[str, tuple[str, ...]]:
    """Our column names to theirs: as mapped, else those of one name. A track's other columns are left out."""
    table, ours = source.table, KNOWN[source.table]
    given: dict[str, tuple[str, ...]] = {}
    for name, theirs in mapping.items():
        where = f'columns["{table}"]'
        if name not in ours and name in source.names and isinstance(theirs, str) and theirs in ours:
            raise InputError(
                f"{where} is the wrong way round: found {shown(name)}: {shown(theirs)}; accepted: ours first, "
                f"{shown(theirs)}: {shown(name)}"
            )
        if name not in ours and table == "tracks":
            raise InputError(f"{where}: found the key {shown(name)}; accepted: {', '.join(ours)}")
        parts = (theirs,) if isinstance(theirs, str) else tuple(theirs) if isinstance(theirs, list | tuple) else ()
        if not parts or not all(isinstance(part, str) for part in parts):
            raise InputError(f"{where}[{shown(name)}]: found {shown(theirs)}; accepted: the name of their column")
        if len(parts) > 1 and name not in IDS:
            raise InputError(
                f"{where}[{shown(name)}]: found {len(parts)} columns; accepted: one, for only "
                f"{' and '.join(IDS)} are joined"
            )
        for part in parts:
            if part not in source.names:
                raise InputError(
                    f"table {table}{source.origin}, column {name}: their {shown(part)} is missing; "
                    f"found: {listed(source.names)}"
                )
        given[name] = parts
    used = {part for parts in given.values() for part in parts}
    for name in source.names:
        if name not in given and (name in ours or (table != "tracks" and name not in used)):
            given[name] = (name,)
    return given
