"""Many plays, measured in parts that memory holds: from files to files.

    import shortedge as se

    done = se.measure_many("season", "out", units="yd", origin="corner", y="up")
    done.problems                                     # play, reason
    pandas.read_parquet("out/frames")                 # any reader of Parquet folders; se.read("out") gives the parts

A part is some hundred whole plays. It is read, measured and written by itself, so that memory stays flat however long
the season is, parts may be made on several threads, in several processes or on the workers of a Dask cluster, and the
files are the same to the bit whoever made them. A run that was stopped is taken up where it stood: what is whole stays.

Engines that hand over groups of rows (Spark's applyInArrow) take `measure_table`; bindings/SPARK.md is the page on it.
"""

from __future__ import annotations

import json
import os
import shutil
import tempfile
import time as clocks
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import asdict, dataclass, field, replace
from functools import cached_property
from itertools import pairwise
from multiprocessing import get_context
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, get_args

import numpy as np

from .. import _core
from .._core import FileError, InputError, Rules
from ..base.files import umask, write_whole
from ..base.progress import Progress, progress_of, threads_of
from ..base.tables import (
    Codes,
    Column,
    CsvSource,
    ParquetSource,
    Source,
    _reading,
    as_library,
    first_line,
    is_text,
    listed,
    open_table,
    output_library,
    plain,
    shown,
)
from ..game.game import Game, arrow_table
from ..game.inputs import table_in
from ..game.mapping import Clock, Joined, Mapped, Table, everywhere, game_of, theirs_of, whole_numbers
from ..measures.folder import HDF5
from ..measures.noise import Noise, noise_of
from ..measures.reading import PLAN
from ..measures.results import TITLES, Measures, measure

if TYPE_CHECKING:
    import pyarrow as pa

Format = Literal["parquet", "hdf5"]

PROBLEMS = "problems"
LARGEST_GROUP = 1 << 21  # rows; larger row groups are laid out anew
LAID_GROUP = 1 << 18  # rows of a row group, as we lay them out
BUCKETS = 32  # of plays, when rows are sorted


def measure_many(
    paths: Any,
    out: str | os.PathLike[str],
    client: Any = None,
    *,
    processes: int | None = None,
    threads: int | None = None,
    rules: Rules | None = None,
    noise: float | None = None,
    draws: int = 100,
    seed: int = 1,
    format: str = "parquet",
    plays_per_part: int = 500,
    progress: Progress = None,
    **mapping: Any,
) -> Season:
    """Measures all plays of some files, part by part, into a folder.

    paths: one of these or a list of them: a game file (.h5); a folder of game files; a folder with tables tracks, snaps
      and people (CSV, Parquet), or a tuple of these three files. Tables need `mapping`: the keywords of `from_tables`.
    out: a folder; with format "parquet" it holds a folder of parts each for frames, edges, rushers and problems, with
      "hdf5" a results file a part, and problems; with `noise` also the bands of each table. If it holds part of the
      same run, the rest is made; what belongs to another run is refused and left as it is.
    client: a `distributed.Client` (Dask): the parts are made by its workers, which must see the files under the same
      names. Or processes: so many processes of this machine (in a script: under `if __name__ == "__main__":`, as for
      all of Python's process pools). Else `threads` of this process (None: as many as the machine has). The results are
      the same to the bit.
    noise, draws, seed: as in `measure`; "auto" is refused, since each part would find another sigma: state the one that
      `measure(game, noise="auto").noise` finds for a game.

    Rows of tracks are best sorted so that a play's stand together; else they are first sorted to a temporary file in
    `out`, as CSV is first turned into one (`Season.seconds["laying out"]`). Parts with orientation "check" are checked
    each by itself.

    A play that makes a part fail, be it by an error or by the death of the process, is named in `Season.problems`, as
    those that cannot be measured are, and the rest is finished. Raises InputError and FileError, before any work, for
    what concerns the whole.
    """
    if rules is not None and not isinstance(rules, Rules):
        raise InputError(f"rules is {shown(rules)}; accepted: Rules(...)")
    if format not in get_args(Format):
        raise InputError(f"format is {shown(format)}; accepted: {', '.join(get_args(Format))}")
    for name, count in (("plays_per_part", plays_per_part), ("processes", processes)):
        if count is not None and (not isinstance(count, int) or isinstance(count, bool) or count < 1):
            raise InputError(f"{name} is {shown(count)}; accepted: a whole number from 1")
    if client is not None and processes is not None:
        raise InputError("client and processes are both given; accepted: one of them")
    if isinstance(noise, str) and noise == "auto":
        raise InputError(
            'noise is "auto", which each part would find another sigma by; accepted: yd per axis, such as '
            'measure(game, noise="auto").noise finds for one game'
        )
    used = noise_of(None, noise, draws, seed)
    threads = threads_of(threads) or os.cpu_count() or 1
    target = Path(out)
    inputs = inputs_of(paths, mapping)
    plan: dict[str, Any] = {
        "shortedge": _core.__version__,
        "rules": (rules or Rules()).as_dict(),
        "noise": used and asdict(used),
        "format": format,
        "plays_per_part": plays_per_part,
        "inputs": [said for one in inputs for said in one.said()],
        "mapping": json.loads(json.dumps(mapping, default=str)),
    }
    prepare_folder(target, plan)
    start = clocks.monotonic()
    with tempfile.TemporaryDirectory(prefix=".laid-out-", dir=target) as scratch:
        jobs: list[Job] = []
        for one in inputs:
            for piece in one.pieces(Path(scratch), plays_per_part):
                jobs.append(Job(len(jobs), piece, target, plan["rules"], used, format))
        laid_out = clocks.monotonic() - start
        left = [job for job in jobs if not job.marker.exists()]
        all = sum(len(job.piece.plays) for job in jobs)
        done = all - sum(len(job.piece.plays) for job in left)
        with progress_of(progress, "plays") as shows:
            for job in run(left, backend(client, processes, threads)):
                done += len(job.piece.plays)
                if shows:
                    shows(done, all)
    sweep(target)
    made = Season(target, len(jobs), len(jobs) - len(left), {})
    if not made.counts.get("plays"):
        reasons = made.problems_arrow().slice(0, 3).to_pylist()
        raise InputError(f"{NOTHING}: " + "; ".join(f"{row['play']}: {row['reason']}" for row in reasons))
    seconds = {"laying out": laid_out, "measuring": clocks.monotonic() - start - laid_out}
    return replace(made, seconds=seconds)


@dataclass(frozen=True)
class Season:
    """What `measure_many` made. seconds: "laying out" (sorting, or turning CSV into Parquet, where that was needed) and
    "measuring" (all the rest: reading, measuring, writing)."""

    out: Path
    parts: int
    resumed: int  # parts that were whole already
    seconds: dict[str, float]

    def __repr__(self) -> str:
        counts = self.counts
        return (
            f"Season({str(self.out)!r}: {counts['plays']} plays, {counts['frames']} frames in {self.parts} parts, "
            f"{counts['problems']} skipped)"
        )

    @cached_property
    def counts(self) -> dict[str, int]:
        """Plays measured, rows of frames, edges, rushers and problems, rows of tracks dropped."""
        from pyarrow import parquet

        total: dict[str, int] = {}
        for file in sorted((self.out / PROBLEMS).glob("part-*.parquet")):
            for name, count in json.loads(parquet.read_metadata(file).metadata[b"shortedge.counts"]).items():
                total[name] = total.get(name, 0) + count
        return total

    @property
    def problems(self) -> Any:
        """The plays that are not measured: game, play, reason."""
        return as_library(self.problems_arrow(), output_library("pandas"))

    def problems_arrow(self) -> pa.Table:
        import pyarrow as pa
        from pyarrow import parquet

        files = sorted((self.out / PROBLEMS).glob("part-*.parquet"))
        return pa.concat_tables([parquet.ParquetFile(file).read().replace_schema_metadata() for file in files])


def measure_table(
    tracks: Any, snaps: Any, people: Any, title: str, rules: Rules | None = None, **mapping: Any
) -> pa.Table:
    """One of the output tables (frames, edges, rushers) of some whole plays, as an Arrow table of `table_schema`: a
    pure function for engines that hand over groups of rows (Spark's applyInArrow, and the like).

    tracks: the group. snaps, people: of those plays, or of all: snaps without tracks here are left out. A play that
    cannot be measured has no rows. orientation "check" looks at this group alone.
    """
    if title not in TITLES:
        raise InputError(f"title is {shown(title)}; accepted: {', '.join(TITLES)}")
    mapped = Mapped(**mapping)
    clock = Clock(mapped.time, mapped.rate)
    opened = {"tracks": open_table("tracks", tracks), "snaps": open_table("snaps", snaps)}
    opened["people"] = open_table("people", people)
    tables = {name: mapped.read(source, clock) for name, source in opened.items()}
    ids = Joined()
    here = set(ids.encode(tables["tracks"], "play")[1])
    snap_codes, snap_ids = ids.encode(tables["snaps"], "play")
    chosen = rows_of(snap_codes, snap_ids, here)
    piece = TablesPiece(tuple(here), taken(tables["snaps"], chosen), tables["people"], mapped, Path(), 0, 0, None)
    try:
        measured = measure(piece.game_of(tables["tracks"], ()), rules, threads=1)
    except InputError as why:
        if not str(why).startswith(NOTHING):
            raise
        return table_schema(title).empty_table()
    return measured.arrow(title).cast(table_schema(title))


def table_schema(title: str) -> pa.Schema:
    """The columns of an output table: texts, float64, int32, bool."""
    import pyarrow as pa

    kinds = {"number": pa.float64(), "count": pa.int32(), "flag": pa.bool_()}
    columns = _core.columns()[title]
    return pa.schema([("game", pa.string()), *((c["name"], kinds.get(c["kind"], pa.string())) for c in columns)])


NOTHING = "no play can be measured"  # how the core's error begins when a game has no play that can be
DOUBT = "y, direction or units look wrong"  # and when it looks mirrored
RAISED = (InputError, ValueError, RuntimeError)  # by one play's data; FileError, which is no play's fault, goes on


# ------------------------------------------------------------------------------------------------------- pieces


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


# ------------------------------------------------------------------------------------------------------- inputs


@dataclass(frozen=True)
class TablesInput:
    """Three files of tables."""

    files: Mapping[str, Path]
    mapping: Mapping[str, Any]

    def said(self) -> list[list[Any]]:
        return [file_said(path) for path in self.files.values()]

    def pieces(self, scratch: Path, plays: int) -> Iterator[TablesPiece]:
        mapped = Mapped(**self.mapping)
        clock = Clock(mapped.time, mapped.rate)
        opened = {name: open_table(name, path) for name, path in self.files.items()}
        ids = Joined()
        snaps = mapped.read(opened["snaps"], clock)
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
            )


@dataclass(frozen=True)
class GameInput:
    """A game file."""

    path: Path

    def said(self) -> list[list[Any]]:
        return [file_said(self.path)]

    def pieces(self, scratch: Path, plays: int) -> Iterator[GamePiece]:
        name, ids, starts = _core.game_rows(os.fspath(self.path))
        count = max(1, -(-len(ids) // plays))
        for part in range(count):
            first, end = part * len(ids) // count, (part + 1) * len(ids) // count
            yield GamePiece(tuple(ids[first:end]), name, self.path, first, (int(starts[first]), int(starts[end])))


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
            if len(one) != 3:
                raise InputError(f"paths: found {len(one)} files together; accepted: tracks, snaps, people")
            files = dict(zip(("tracks", "snaps", "people"), map(Path, one), strict=True))
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
            files = {table: table_in(path, table, False) for table in ("tracks", "snaps", "people")}
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


# --------------------------------------------------------------------------------------------------- laying out


@dataclass(frozen=True)
class Laid:
    """A Parquet file of tracks in which a play's rows stand together: its plays in order, and where each begins."""

    path: Path
    plays: list[str]
    starts: list[int]
    rows: int


class Runs:
    """Where the play changes, over blocks of rows that come one after another."""

    def __init__(self, theirs: Sequence[str]) -> None:
        self.theirs, self.ids = theirs, Joined()
        self.plays: list[str] = []
        self.starts: list[int] = []
        self.rows = 0

    def names(self, block: Any) -> tuple[Codes, list[str]]:
        columns = [Column("tracks", "play", name, plain_column(block.column(name))) for name in self.theirs]
        codes, names = self.ids.encode(Table("tracks", {"play": columns}), "play")
        if len(codes) and codes.min() < 0:
            everywhere(codes, "tracks", "play")
        return codes, names

    def add(self, block: Any) -> None:
        codes, names = self.names(block)
        if not len(codes):
            return
        starts = np.flatnonzero(np.diff(codes, prepend=-1))
        for start in starts.tolist():
            name = names[codes[start]]
            if start == 0 and self.plays and self.plays[-1] == name:
                continue
            self.plays.append(name)
            self.starts.append(self.rows + start)
        self.rows += len(codes)

    @property
    def together(self) -> bool:
        return len(set(self.plays)) == len(self.plays)


def plain_column(values: Any) -> pa.ChunkedArray:
    return plain(values, keep=True)


def laid_out(source: Source, mapped: Mapped, clock: Clock, order: Sequence[str], scratch: Path) -> Laid:
    """The source itself where it will do, else a file made of it in `scratch`."""
    from pyarrow import parquet

    theirs = theirs_of(source, mapped.columns.get("tracks") or {})
    for name in ("play", "player", "time", "x", "y"):
        if name not in theirs:
            mapped.read(source, clock)  # says what is missing
    names = list(dict.fromkeys(name for of in theirs.values() for name in of))
    texts = [*theirs["play"], *theirs["player"], *(theirs["time"] if mapped.time == "timestamp" else ())]
    runs = Runs(theirs["play"])
    path = scratch / f"tracks-{len(list(scratch.iterdir()))}.parquet"
    if isinstance(source, CsvSource):
        rewrite(csv_blocks(source, names, texts), path, runs)
        source = ParquetSource("tracks", path)
    assert isinstance(source, ParquetSource)
    if not runs.rows:
        with (
            _reading("tracks", source.path),
            parquet.ParquetFile(source.path, read_dictionary=dictionary_of(source.path, theirs["play"])) as file,
        ):
            groups = [file.metadata.row_group(group).num_rows for group in range(file.num_row_groups)]
            for block in file.iter_batches(1 << 20, columns=list(theirs["play"])):
                runs.add(block)
        if runs.together and max(groups, default=0) > LARGEST_GROUP:
            rewrite(parquet_blocks(source.path, names, texts), path, Runs(theirs["play"]))
            source = ParquetSource("tracks", path)
    if not runs.rows:
        raise InputError("table tracks is empty")
    if runs.together:
        return Laid(source.path, runs.plays, runs.starts, runs.rows)
    by_play = scratch / f"sorted-{path.name}"
    runs = sort(source.path, names, texts, theirs["play"], order, by_play)
    return Laid(by_play, runs.plays, runs.starts, runs.rows)


def dictionary_of(path: Path, names: Sequence[str]) -> list[str]:
    from pyarrow import parquet

    schema = parquet.read_schema(path)
    return [name for name in names if is_text(schema.field(name).type)]


def parquet_blocks(path: Path, names: Sequence[str], texts: Sequence[str]) -> Iterator[Any]:
    from pyarrow import parquet

    with _reading("tracks", path), parquet.ParquetFile(path, read_dictionary=dictionary_of(path, texts)) as file:
        yield from file.iter_batches(LAID_GROUP, columns=list(names))


def csv_blocks(source: CsvSource, names: Sequence[str], texts: Sequence[str]) -> Iterator[Any]:
    import pyarrow as pa
    from pyarrow import csv

    kinds = {name: pa.dictionary(pa.int32(), pa.string()) if name in texts else pa.float64() for name in names}
    with (
        _reading("tracks", source.path),
        csv.open_csv(
            source.path,
            read_options=csv.ReadOptions(block_size=1 << 24),
            convert_options=csv.ConvertOptions(include_columns=list(names), column_types=kinds),
        ) as reader,
    ):
        yield from reader


def rewrite(blocks: Iterator[Any], path: Path, runs: Runs) -> None:
    """Blocks of rows to a Parquet file, written while the next is read."""
    import pyarrow as pa
    from pyarrow import parquet

    writer = None
    try:
        with ThreadPoolExecutor(1) as pool:
            pending: Future[None] | None = None
            for block in blocks:
                if writer is None:
                    writer = parquet.ParquetWriter(path, block.schema, **quick(block.schema))
                runs.add(block)
                if pending:
                    pending.result()
                pending = pool.submit(writer.write_table, pa.table(block), LAID_GROUP)
            if pending:
                pending.result()
    finally:
        if writer:
            writer.close()


def quick(schema: pa.Schema) -> dict[str, Any]:
    """How a file that is soon thrown away is written."""
    import pyarrow as pa

    texts = [field.name for field in schema if pa.types.is_dictionary(field.type)]
    return {"compression": "none", "use_dictionary": texts, "write_statistics": False, "store_schema": False}


def sort(
    path: Path, names: Sequence[str], texts: Sequence[str], play: Sequence[str], order: Sequence[str], target: Path
) -> Runs:
    """A file in which a play's rows stand together, plays in this order, those not in it last; rows of one play keep
    their order. Rows are dealt to buckets of plays first, so that memory holds one bucket."""
    import pyarrow as pa
    from pyarrow import parquet

    place = {name: number for number, name in enumerate(order)}
    width = max(1, -(-len(place) // BUCKETS))
    runs = Runs(play)

    def places(block: Any) -> Any:
        codes, ids = runs.names(block)
        return np.array([place.setdefault(name, len(place)) for name in ids], np.int64)[codes]

    buckets: dict[int, Any] = {}
    try:
        for block in parquet_blocks(path, names, texts):
            table, bucket = pa.table(block), np.minimum(places(block) // width, BUCKETS - 1)
            by_bucket = np.argsort(bucket, kind="stable")
            dealt = table.take(pa.array(by_bucket))
            ends = np.cumsum(np.bincount(bucket, minlength=BUCKETS))
            for number, end in enumerate(ends.tolist()):
                start = int(ends[number - 1]) if number else 0
                if end > start:
                    if number not in buckets:
                        file = target.with_name(f"bucket-{number:02d}-{target.name}")
                        buckets[number] = parquet.ParquetWriter(file, table.schema, **quick(table.schema))
                    buckets[number].write_table(dealt.slice(start, end - start))
    finally:
        for writer in buckets.values():
            writer.close()
    out = None
    for number in sorted(buckets):
        file = target.with_name(f"bucket-{number:02d}-{target.name}")
        with parquet.ParquetFile(file, read_dictionary=dictionary_of(file, texts)) as bucket_file:
            table = bucket_file.read()
        table = table.take(pa.array(np.argsort(places(table), kind="stable")))
        out = out or parquet.ParquetWriter(target, table.schema, **quick(table.schema))
        out.write_table(table, LAID_GROUP)
        runs.add(table)
        file.unlink()
    assert out is not None
    out.close()
    return runs


# --------------------------------------------------------------------------------------------------------- jobs


@dataclass(frozen=True)
class Job:
    """One part: what is read, measured and written. A trial writes nothing."""

    number: int
    piece: Piece
    out: Path
    rules: Mapping[str, float]
    noise: Noise | None
    format: str
    without: tuple[tuple[str, str], ...] = ()  # plays that are left out, and why
    trial: bool = False
    deaths: int = field(default=0, compare=False)

    @property
    def part(self) -> str:
        return f"part-{self.number:05d}"

    @property
    def marker(self) -> Path:
        """Written last: a part is whole when it stands."""
        return self.out / PROBLEMS / f"{self.part}.parquet"


def make(job: Job) -> int:
    """Makes one part; returns its number. A play that raises is left out and named."""
    left_out = dict(job.without)
    measured: Measures | None
    try:
        measured = measured_of(job, left_out)
    except RAISED as why:
        if job.trial:
            raise
        suspects = [play for play in job.piece.plays if play not in left_out]
        doubtful = str(why).startswith(DOUBT)  # the mapping, or all of them: no one play is to blame
        left_out |= dict.fromkeys(suspects, str(why)) if doubtful else poisonous(job, suspects, str(why))
        measured = measured_of(job, left_out) if len(left_out) < len(job.piece.plays) else None
    if not job.trial:
        keep(job, measured, left_out)
    return job.number


def measured_of(job: Job, left_out: Mapping[str, str]) -> Measures:
    game, rules, noise = job.piece.game(tuple(left_out)), Rules(**job.rules), job.noise
    if noise is None:
        return measure(game, rules, threads=1, progress=False)
    how = {"draws": noise.draws, "seed": noise.seed}
    return measure(game, rules, noise="tracks" if noise.of_tracks else noise.sigma, **how, threads=1, progress=False)


def poisonous(job: Job, plays: Sequence[str], why: str) -> dict[str, str]:
    """Which of these plays make the part fail, each by itself, and how it says so."""
    if len(plays) == 1:
        return {plays[0]: why.removeprefix(f"{NOTHING}: {plays[0]}: ")}
    found: dict[str, str] = {}
    for half in (plays[: len(plays) // 2], plays[len(plays) // 2 :]):
        others = {play: "" for play in job.piece.plays if play not in half}
        try:
            measured_of(job, others)
        except RAISED as reason:
            found |= poisonous(job, half, str(reason))
    return found or dict.fromkeys(plays, why)  # they fail together only


def keep(job: Job, measured: Measures | None, left_out: Mapping[str, str]) -> None:
    """Writes a part: each file beside its place, then renamed; the marker last."""
    import pyarrow as pa

    game = measured.game if measured else None
    counts = {"plays": len(game.core.measured) if game else 0}
    for title in TITLES:
        counts[title] = len(measured.coded[title]["play"]) if measured else 0
    if measured and job.format == "hdf5":
        measured.save(job.out / f"{job.part}.h5")
    elif measured:
        for title, table in measured.with_codes().items():
            write_part(table, job.out / title / f"{job.part}.parquet", measured._about)
    found = arrow_table(game.core, "problems") if game else pa.table({"play": pa.array([], pa.string()), "reason": []})
    plays = [*found["play"].to_pylist(), *left_out]
    reasons = [*found["reason"].to_pylist(), *left_out.values()]
    counts |= {"problems": len(plays)} | {f"dropped_{what}": n for what, n in (game.dropped if game else {}).items()}
    texts = {"game": [job.piece.name] * len(plays), "play": plays, "reason": reasons}
    problems = pa.table({name: pa.array(values, pa.string()) for name, values in texts.items()})
    write_part(problems, job.marker, {"counts": json.dumps(counts)})


def write_part(table: pa.Table, path: Path, about: Mapping[str, str]) -> None:
    import pyarrow as pa
    from pyarrow import parquet

    texts = [field.name for field in table.schema if is_text(field.type) or pa.types.is_dictionary(field.type)]
    keys = [name for name in ("game", "play", "time") if name in table.column_names]  # what one looks rows up by
    said = {f"shortedge.{key}": value for key, value in about.items()}
    how = {"compression": "snappy", "use_dictionary": texts, "write_statistics": keys, "store_schema": False}
    handle, name = tempfile.mkstemp(prefix=f".{path.name}-", dir=path.parent)
    try:
        with open(handle, "wb") as file:
            with parquet.ParquetWriter(file, table.schema, **how) as writer:
                writer.write_table(table)
                writer.add_key_value_metadata(said)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, 0o666 & ~umask())
        os.replace(name, path)
    except OSError as why:
        Path(name).unlink(missing_ok=True)
        raise FileError(f"{path}: cannot be written: {why.strerror or first_line(why)}") from why


def prepare_folder(out: Path, plan: Mapping[str, Any]) -> None:
    """Makes the folder, or finds in it the same run. FileError for anything else."""
    stands = out / PLAN
    if out.exists() and not out.is_dir():
        raise FileError(f"{out}: stands there and is no folder; it is left as it is")
    if stands.is_file():
        old = json.loads(stands.read_text(encoding="utf-8"))
        other = [key for key in plan if old.get(key) != plan[key]]
        if other:
            raise FileError(
                f"{out}: holds the results of another run ({listed(other)} differ); it is left as it is: name another "
                "folder, or remove it"
            )
    elif out.is_dir() and any(out.iterdir()):
        raise FileError(f"{out}: stands there and holds no results of measure_many; it is left as it is")
    kept = [*TITLES, *(f"{title}_bands" for title in TITLES if plan["noise"])] if plan["format"] == "parquet" else []
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


# ------------------------------------------------------------------------------------------------- who makes them


class WorkerDied(Exception):
    """The process that made a part died."""


def backend(client: Any, processes: int | None, threads: int) -> Here | Processes | Cluster:
    if client is not None:
        return Cluster(client)
    return Processes(processes) if processes else Here(threads)


def run(jobs: Sequence[Job], where: Here | Processes | Cluster, do: Callable[[Job], int] = make) -> Iterator[Job]:
    """Makes the parts and gives each when it is whole. A job whose worker dies is done again, then alone; if it dies
    then, the plays it dies of are found by halves and left out."""
    waiting = list(reversed(jobs))
    running: dict[Any, Job] = {}
    with where:
        while waiting or running:
            while waiting and len(running) < where.most:
                job = waiting.pop()
                running[where.submit(do, job)] = job
            for future in where.finished(list(running)):
                job = running.pop(future)
                try:
                    where.result(future)
                    yield job
                except WorkerDied:
                    job = replace(job, deaths=job.deaths + 1)
                    if job.deaths <= where.chances:
                        waiting.append(job)
                        continue
                    suspects = [play for play in job.piece.plays if play not in dict(job.without)]
                    dead = deadly(job, suspects, where, do)
                    waiting.append(replace(job, deaths=0, without=job.without + tuple(dead.items())))


def deadly(
    job: Job, plays: Sequence[str], where: Here | Processes | Cluster, do: Callable[[Job], int]
) -> dict[str, str]:
    """Which of these plays kill the process that measures them; found by halves, each tried alone."""
    found: dict[str, str] = {}
    if len(plays) == 1:
        return {plays[0]: "the process that measured it died"}
    for half in (plays[: len(plays) // 2], plays[len(plays) // 2 :]):
        others = tuple((play, "") for play in job.piece.plays if play not in half)
        try:
            where.alone(do, replace(job, without=others, trial=True))
        except WorkerDied:
            found |= deadly(job, half, where, do)
        except Exception:  # raised, not died: the part itself will name it
            continue
    return found


class Here:
    """Threads of this process."""

    chances = 0

    def __init__(self, threads: int) -> None:
        self.most = threads
        self.pool: Executor = ThreadPoolExecutor(threads)

    def __enter__(self) -> Here:
        return self

    def __exit__(self, *_: object) -> None:
        self.pool.shutdown(cancel_futures=True)

    def submit(self, do: Callable[[Job], int], job: Job) -> Any:
        return self.pool.submit(do, job)

    def finished(self, futures: list[Any]) -> set[Any]:
        return set(wait(futures, return_when=FIRST_COMPLETED).done)

    def result(self, future: Any) -> Any:
        return future.result()

    def alone(self, do: Callable[[Job], int], job: Job) -> Any:
        return do(job)


class Processes(Here):
    """Processes of this machine. One that is killed takes the whole pool with it, which is then made anew."""

    chances = 2

    def __init__(self, processes: int) -> None:
        self.most = self.processes = processes
        self.pool = self.new(processes)

    @staticmethod
    def new(processes: int) -> ProcessPoolExecutor:
        return ProcessPoolExecutor(processes, mp_context=get_context("spawn"))

    def submit(self, do: Callable[[Job], int], job: Job) -> Any:
        try:
            return self.pool.submit(do, job)
        except BrokenProcessPool:
            self.pool.shutdown()
            self.pool = self.new(self.processes)
            return self.pool.submit(do, job)

    def result(self, future: Any) -> Any:
        try:
            return future.result()
        except BrokenProcessPool as why:
            raise WorkerDied from why

    def alone(self, do: Callable[[Job], int], job: Job) -> Any:
        with self.new(1) as pool:
            return self.result(pool.submit(do, job))


class Cluster(Here):
    """Workers of a Dask cluster, which does again by itself what a dead worker had."""

    chances = 0

    def __init__(self, client: Any) -> None:
        self.client = client
        self.most = 2 * max(1, sum(client.nthreads().values()))

    def __exit__(self, *_: object) -> None: ...

    def submit(self, do: Callable[[Job], int], job: Job) -> Any:
        return self.client.submit(do, job, pure=False)

    def finished(self, futures: list[Any]) -> set[Any]:
        from distributed import wait as wait_for

        done = wait_for(futures, return_when="FIRST_COMPLETED").done  # type: ignore[no-untyped-call]
        return set(done)

    def result(self, future: Any) -> Any:
        from distributed import KilledWorker

        try:
            return future.result()
        except KilledWorker as why:
            raise WorkerDied from why

    def alone(self, do: Callable[[Job], int], job: Job) -> Any:
        return self.result(self.submit(do, job))
