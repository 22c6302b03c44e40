"""One man out of a season: his plays, read from where the season was read."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from .. import _core
from .._core import InputError, Rules
from ..base.sources import ParquetSource, open_table
from ..base.text import listed, nearest, shown
from ..game.clock import Clock
from ..game.films import with_films
from ..game.game import Game
from ..game.ids import Joined, whole_numbers
from ..game.mapping import Mapped
from ..measures.reading import PLAN, read
from ..measures.reps import REP_TABLES
from .inputs import GameInput, TablesInput, inputs_of
from .jobs import PROBLEMS
from .pieces import TablesPiece, rows, rows_of, taken


@dataclass(frozen=True)
class Found:
    """What a season's folder says of the men asked for: the rules it was measured by, and the games of their plays."""

    rules: Rules
    games: list[Game]


def is_season(path: Any) -> bool:
    """Whether a path is a folder that measure_many made."""
    return isinstance(path, str | os.PathLike) and (Path(path) / PLAN).is_file()


def plays_of(out: str | os.PathLike[str], players: Iterable[str]) -> Found:
    """The games of a season, each with those plays only in which one of these men has a row of reps, read from the
    inputs of the season. InputError for a season without reps, for a man who has none, and when an input has changed
    since; FileError when one is gone."""
    folder, wanted = Path(out), set(players)
    plan = json.loads((folder / PLAN).read_text(encoding="utf-8"))
    if not plan.get("reps"):
        raise InputError(
            f"{folder}: found a season without reps; accepted: one measured with reps (shortedge measure IN -o OUT "
            "--stream --reps; measure_many(..., reps=True))"
        )
    parts = sorted((folder / REP_TABLES[0]).glob("part-*"))
    plays: dict[int, set[str]] = {}
    sources: dict[int, dict[str, Any]] = {}
    known: set[str] = set()
    seen: set[str] = set()
    for part in parts:
        his, everybody = rows_with(part, wanted)
        known |= everybody
        seen |= everybody & wanted
        if his:
            number = int(part.stem.removeprefix("part-"))
            plays[number], sources[number] = his, source_of(folder, part.stem)
    for player in sorted(wanted - seen):
        raise InputError(
            f"no rep of player {shown(player)} in {folder}; accepted: a protector or a rusher of these games"
            f"{nearest(player, sorted(known))}"
        )
    mapping = plan["mapping"]
    ends = np.cumsum(plan["files"]).tolist()
    said = [plan["inputs"][start:end] for start, end in zip([0, *ends], ends, strict=False)]
    inputs = inputs_of(paths_of(said), mapping)
    check_unchanged(folder, inputs, said)
    by_input: dict[int, list[int]] = {}
    for number in plays:
        by_input.setdefault(sources[number]["input"], []).append(number)
    games = []
    for number, own in sorted(by_input.items()):
        one = inputs[number]
        his = {play for part in own for play in plays[part]}
        if isinstance(one, GameInput):
            games.append(some_of_game(one.path, his))
        else:
            games.append(some_of_tables(folder, one, [sources[part] for part in own], his))
    return Found(Rules(**plan["rules"]), games)


def paths_of(said: list[list[Any]]) -> list[Any]:
    """The inputs of a plan, as measure_many takes them."""
    return [tuple(file[0] for file in files) if len(files) > 1 else files[0][0] for files in said]


def check_unchanged(folder: Path, inputs: Iterable[TablesInput | GameInput], said: list[Any]) -> None:
    """InputError when a file of the season is another one now."""
    for one, was in zip(inputs, said, strict=True):
        if one.said() != was:
            files = listed([Path(file[0]).name for file, now in zip(was, one.said(), strict=True) if file != now])
            raise InputError(f"{folder}: {files} changed since the season was measured; accepted: measure it again")


def rows_with(part: Path, wanted: set[str]) -> tuple[set[str], set[str]]:
    """The plays in which one of these men has a row in a part, and everybody who has one."""
    if part.suffix != ".parquet":
        table = read(part).arrow(REP_TABLES[0])
    else:
        from pyarrow import parquet

        with parquet.ParquetFile(part) as file:
            table = file.read(["play", "protector", "rusher"])
    import pyarrow as pa
    import pyarrow.compute as pc

    men = pa.array(sorted(wanted), pa.string())
    his, everybody = None, set()
    for who in ("protector", "rusher"):
        column = table[who].cast(pa.string())
        everybody |= set(pc.unique(column).to_pylist()) - {None}
        has = pc.is_in(column, men)
        his = has if his is None else pc.or_(his, has)
    return set(pc.unique(table["play"].filter(his)).to_pylist()), everybody


def source_of(folder: Path, part: str) -> dict[str, Any]:
    from pyarrow import parquet

    said = parquet.read_metadata(folder / PROBLEMS / f"{part}.parquet").metadata
    found: dict[str, Any] = json.loads(said[b"shortedge.source"])
    return found


def some_of_game(path: Path, plays: set[str]) -> Game:
    """Some plays of a game file."""
    _, ids, starts = _core.game_rows(os.fspath(path))
    his = [number for number, play in enumerate(ids) if play in plays]
    first, end = his[0], his[-1] + 1
    left_out = [number for number in range(first, end) if ids[number] not in plays]
    rows = (int(starts[first]), int(starts[end]))
    core, digest = _core.read_game_part(os.fspath(path), (first, end), rows, left_out)
    return Game(core, "pyarrow", digest)


def some_of_tables(folder: Path, one: TablesInput, sources: list[dict[str, Any]], plays: set[str]) -> Game:
    """Some plays of tables, their tracks read where they stand together."""
    mapped = Mapped(**one.mapping)
    clock = Clock(mapped.time, mapped.rate)
    opened = {name: open_table(name, path) for name, path in one.files.items() if name != "tracks"}
    ids = Joined()
    snaps, people = (mapped.read(opened[name], clock) for name in ("snaps", "people"))
    if "films" in opened:
        snaps, _ = with_films(snaps, mapped.read(opened["films"], clock))
    by_number = whole_numbers(ids.encode(people, "player")[1])
    snaps = taken(snaps, rows_of(*ids.encode(snaps, "play"), plays))
    if "play" in people.of:
        codes, names = ids.encode(people, "play")
        people = taken(people, np.sort(np.concatenate([rows_of(codes, names, plays), np.flatnonzero(codes < 0)])))
    path = folder / sources[0]["tracks"]  # an absolute one stays as it is
    source = SomeRows(path, [(start, stop) for start, stop in (one["rows"] for one in sources)])
    tracks = mapped.read(source, clock)
    tracks = taken(tracks, rows_of(*Joined().encode(tracks, "play"), plays))
    piece = TablesPiece(tuple(plays), snaps, people, mapped, path, 0, 0, by_number)
    return piece.game_of(tracks, ())


class SomeRows(ParquetSource):
    """Several ranges of rows of a Parquet file."""

    def __init__(self, path: Path, ranges: list[tuple[int, int]]) -> None:
        super().__init__("tracks", path)
        self.ranges = ranges

    def read(self, names: Any, text: Any, number: Any) -> None:
        import pyarrow as pa

        parts = [rows(self.path, list(names), list(text), start, stop) for start, stop in self.ranges]
        self.data = pa.concat_tables([part.unify_dictionaries() for part in parts])
