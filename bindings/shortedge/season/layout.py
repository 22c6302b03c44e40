"""Laying out: tracks in which a play's rows stand together, as they are or in a file made of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from .._core import InputError
from ..base.columns import Codes, Column, is_text, plain
from ..base.sources import CsvSource, ParquetSource, Source, _reading, csv_stream
from ..game.clock import Clock
from ..game.columns import Table, theirs_of
from ..game.ids import Joined, everywhere
from ..game.mapping import Mapped

if TYPE_CHECKING:
    from concurrent.futures import Future

    import pyarrow as pa

LARGEST_GROUP = 1 << 21  # rows; larger row groups are laid out again
LAID_GROUP = 1 << 18  # rows of a row group, as we lay them out
BUCKETS = 32  # of plays, when rows are sorted


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
            opened(source.path, theirs["play"]) as file,
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


def opened(path: Path, texts: Sequence[str]) -> Any:
    """A Parquet file to read, texts as dictionaries, checksums of pages verified where there are any."""
    from pyarrow import parquet

    schema = parquet.read_schema(path)
    words = [name for name in texts if is_text(schema.field(name).type)]
    return parquet.ParquetFile(path, read_dictionary=words, page_checksum_verification=True)


def parquet_blocks(path: Path, names: Sequence[str], texts: Sequence[str]) -> Iterator[Any]:
    with _reading("tracks", path), opened(path, texts) as file:
        yield from file.iter_batches(LAID_GROUP, columns=list(names))


def csv_blocks(source: CsvSource, names: Sequence[str], texts: Sequence[str]) -> Iterator[Any]:
    import pyarrow as pa
    from pyarrow import csv

    kinds = {name: pa.dictionary(pa.int32(), pa.string()) if name in texts else pa.float64() for name in names}
    with (
        _reading("tracks", source.path),
        csv.open_csv(
            csv_stream(source.path),
            read_options=source.dialect.read(1 << 24),
            parse_options=csv.ParseOptions(delimiter=source.dialect.delimiter),
            convert_options=csv.ConvertOptions(
                include_columns=list(names), column_types=kinds, decimal_point=source.dialect.decimal
            ),
        ) as reader,
    ):
        yield from reader


def rewrite(blocks: Iterator[Any], path: Path, runs: Runs) -> None:
    """Blocks of rows to a Parquet file, written while the next is read."""
    from concurrent.futures import ThreadPoolExecutor

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
    how = {"compression": "none", "write_statistics": False, "store_schema": False, "write_page_checksum": True}
    return {**how, "use_dictionary": texts}


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
        with opened(file, texts) as bucket_file:
            table = bucket_file.read()
        table = table.take(pa.array(np.argsort(places(table), kind="stable")))
        out = out or parquet.ParquetWriter(target, table.schema, **quick(table.schema))
        out.write_table(table, LAID_GROUP)
        runs.add(table)
        file.unlink()
    assert out is not None
    out.close()
    return runs
