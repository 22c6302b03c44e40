"""Tables in and out: the columns of any table library or file as Arrow arrays, and Arrow tables as any library's.

The heavy libraries are imported where they are used, so that `import shortedge` stays light.
"""

from __future__ import annotations

import csv
import io
import json
import math
import os
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, NoReturn, get_args

import numpy as np
import numpy.typing as npt

from .._core import FileError, InputError

if TYPE_CHECKING:
    import pyarrow as pa

Library = Literal["pandas", "polars", "pyarrow"]
Codes = npt.NDArray[np.int32]
Floats = npt.NDArray[np.float64]

TABLE_FILES = (".csv", ".csv.gz", ".parquet")
_output: Library | None = None


# ---------------------------------------------------------------------------------------------------------- out


def set_output(library: Library | None) -> None:
    """The library every table comes out in from now on; None: the one the input came in, pandas for files.

    Raises InputError for any other name.
    """
    global _output
    if library is not None and library not in get_args(Library):
        raise InputError(f"set_output: {shown(library)}; accepted: {', '.join(get_args(Library))}, None")
    _output = library


def output_library(came_in: Library) -> Library:
    """The library to give tables out in, for an input that came in `came_in`."""
    return _output or came_in


def given_out(table: pa.Table, came_in: Library = "pandas") -> Any:
    """An Arrow table as the user wants it, of an input that came in `came_in`."""
    return as_library(table, output_library(came_in))


class GivesTables:
    """Gives its tables out in the library that is wanted, each made once a library."""

    library: Library

    def arrow(self, title: str) -> pa.Table:
        raise NotImplementedError

    @cached_property
    def _given_out(self) -> dict[tuple[str, Library], Any]:
        return {}

    def _table(self, title: str) -> Any:
        return self._made_once(title, lambda: self.arrow(title))

    def _made_once(self, title: str, make: Callable[[], pa.Table]) -> Any:
        key = (title, output_library(self.library))
        if key not in self._given_out:
            self._given_out[key] = as_library(make(), key[1])
        return self._given_out[key]


def as_library(table: pa.Table, library: Library) -> Any:
    """An Arrow table in that library: missing text null, missing numbers NaN in each."""
    if library == "pandas":
        return table.to_pandas()
    if library == "polars":
        import polars

        return polars.from_arrow(table)
    return table


def from_codes(codes: npt.NDArray[Any], names: Collection[str]) -> pa.Array:
    """Names by code as text; -1 is null."""
    import pyarrow as pa

    return pa.array(list(names), pa.string()).take(pa.array(codes, mask=codes < 0))


def coded_from(codes: npt.NDArray[Any], names: Collection[str]) -> pa.Array:
    """The same as a dictionary of names."""
    import pyarrow as pa

    return pa.DictionaryArray.from_arrays(pa.array(codes, mask=codes < 0), pa.array(list(names), pa.string()))


def csv_text(table: pa.Table) -> str:
    """An Arrow table as CSV: numbers to three places, nothing for a missing value. A text a spreadsheet might run,
    beginning with = + - or @, gets an apostrophe before it."""
    text = io.StringIO()
    sheet = csv.writer(text, lineterminator="\n")
    sheet.writerow(table.column_names)
    for row in zip(*(table[name].to_pylist() for name in table.column_names), strict=True):
        sheet.writerow([cell(value) for value in row])
    return text.getvalue()


def cell(value: Any) -> str:
    if isinstance(value, float):
        return "" if math.isnan(value) else f"{value:.3f}"
    text = word(value)
    return f"'{text}" if isinstance(value, str) and text.startswith(("=", "+", "-", "@", "\t", "\r")) else text


def texts(values: Collection[str]) -> pa.Array:
    """Texts, "" as null."""
    import pyarrow as pa

    return pa.array([value or None for value in values], pa.string())


# ----------------------------------------------------------------------------------------------------------- in


def shown(value: object) -> str:
    """A value as an error message shows it: on one line, its quotes escaped, cut when it is long."""
    text = json.dumps(value, ensure_ascii=False) if isinstance(value, str) else str(value).replace("\n", " ")
    return text if len(text) <= 80 else text[:77] + "..."


def listed(values: Collection[object], most: int = 12) -> str:
    """Values one after another, the first few of many."""
    some = [shown(value) for value in list(values)[:most]]
    return ", ".join(some) + (f" and {len(values) - most} more" if len(values) > most else "")


def word(value: object) -> str:
    """A value of an id or word column as text: 12, 12.0 and "12" are "12"; "" for a missing one."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float | Decimal):
        if math.isnan(value):
            return ""
        return str(int(value)) if math.isfinite(value) and value == int(value) else str(value)
    return str(value)


@dataclass(frozen=True)
class Column:
    """One input column: `name` is ours, `theirs` the table's own. Texts may come as a dictionary, which `encode` takes
    as it is; for all else the column is `plain` first."""

    table: str
    name: str
    theirs: str
    values: pa.ChunkedArray
    of_text: bool = False  # from a text file: a number may have been read as text

    @property
    def where(self) -> str:
        return f"table {self.table}, column {self.name}" + (
            "" if self.theirs == self.name else f" (their {shown(self.theirs)})"
        )

    def refuse(self, found: str, accepted: str) -> NoReturn:
        raise InputError(f"{self.where}: found {found}; accepted: {accepted}")

    def __len__(self) -> int:
        return len(self.values)

    @property
    def plain(self) -> pa.ChunkedArray:
        return plain(self.values)

    def taken(self, rows: Any) -> Column:
        """Some rows of the column."""
        return replace(self, values=self.values.take(rows))

    def encode(self) -> tuple[Codes, list[str]]:
        """Codes into a list of texts, -1 for a missing value. Texts, numbers and true/false are taken (see `word`)."""
        import pyarrow as pa

        values, kind = self.values, self.values.type
        if pa.types.is_temporal(kind) or pa.types.is_nested(kind):
            self.refuse(f"values of type {kind}", "text or whole numbers")
        if pa.types.is_null(kind) or not len(values):
            return np.full(len(values), -1, np.int32), []
        encoded = values.dictionary_encode().unify_dictionaries()
        codes = np.concatenate([chunk.indices.cast(pa.int32()).fill_null(-1).to_numpy() for chunk in encoded.chunks])
        found = [word(value) for value in encoded.chunk(0).dictionary.to_pylist()]
        used = np.zeros(len(found) + 1, bool)  # a dictionary may hold words that no row has
        used[codes] = True
        names = list(dict.fromkeys(name for name, some in zip(found, used.tolist(), strict=False) if name and some))
        code_of = {name: code for code, name in enumerate(names)}
        new = np.array([*(code_of.get(name, -1) for name in found), -1], np.int32)
        return new[codes], names

    def words(self) -> list[str]:
        """The texts, row by row, "" for a missing one."""
        codes, names = self.encode()
        return np.array([*names, ""], object)[codes].tolist()  # type: ignore[no-any-return]

    def numbers(self, accepted: str = "a number") -> Floats:
        """float64, NaN for a missing value. InputError for anything but numbers."""
        import pyarrow as pa
        import pyarrow.compute as pc

        values = self.plain
        kind = values.type
        if pa.types.is_null(kind):
            return np.full(len(values), np.nan)
        if is_text(kind):
            bad = self._not_castable(pa.float64())
            if bad is not None or not self.of_text:
                self.refuse(f"text, such as {shown(bad if bad is not None else first(values))}", accepted)
            values = pc.if_else(pc.equal(values, ""), None, values)
        elif not (pa.types.is_integer(kind) or pa.types.is_floating(kind) or pa.types.is_decimal(kind)):
            self.refuse(f"values of type {kind}, such as {shown(first(values))}", accepted)
        number = pc.cast(values, pa.float64(), safe=False)
        return pc.fill_null(number, math.nan).to_numpy()  # type: ignore[no-any-return]

    def stamps(self) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.bool_], bool]:
        """Nanoseconds since 1970, which rows have none, and whether a time zone is given.

        Datetimes of any precision, or ISO text; InputError for anything else.
        """
        import pyarrow as pa
        import pyarrow.compute as pc

        accepted = 'datetimes or ISO text, such as "2030-09-08 13:05:07.25"'
        values = self.plain
        kind = values.type
        if is_text(kind):
            values = pc.if_else(pc.equal(values, ""), None, values)
            sample = first(values)
            zone = "UTC" if sample is not None and _has_zone(sample) else None
            bad = self._not_castable(pa.timestamp("ns", zone))
            if bad is not None:
                self.refuse(f"text, such as {shown(bad)}", accepted + ", all with a time zone or all without")
        elif pa.types.is_timestamp(kind) or pa.types.is_date(kind):
            zone = kind.tz if pa.types.is_timestamp(kind) else None
        elif pa.types.is_null(kind):
            zone = None
        else:
            self.refuse(f"values of type {kind}, such as {shown(first(values))}", accepted)
        try:
            stamps = pc.cast(values, pa.timestamp("ns", zone))
        except pa.ArrowInvalid:
            self.refuse(f"times such as {shown(first(values))}", "times between the years 1678 and 2261")
        missing = pc.is_null(stamps).to_numpy()
        return pc.fill_null(pc.cast(stamps, pa.int64()), 0).to_numpy(), missing, zone is not None

    def kept(self) -> list[str] | npt.NDArray[Any]:
        """A column that is only kept: int64, float64 (NaN: missing) or a list of texts ("": missing)."""
        import pyarrow as pa
        import pyarrow.compute as pc

        values = self.plain
        kind = values.type
        if pa.types.is_integer(kind) and not values.null_count and not pa.types.is_uint64(kind):
            return pc.cast(values, pa.int64()).to_numpy()  # type: ignore[no-any-return]
        if pa.types.is_integer(kind) or pa.types.is_floating(kind) or pa.types.is_decimal(kind):
            return self.numbers()
        if pa.types.is_temporal(kind):
            return ["" if value is None else value for value in pc.cast(values, pa.string()).to_pylist()]
        return self.words()

    def _not_castable(self, kind: pa.DataType) -> str | None:
        """The first text that is no value of this type; None when all are."""
        import pyarrow as pa
        import pyarrow.compute as pc

        distinct = pc.unique(self.plain)
        try:
            pc.cast(pc.if_else(pc.equal(distinct, ""), None, distinct), kind)
            return None
        except pa.ArrowInvalid:
            pass
        for text in distinct.to_pylist():
            try:
                pa.scalar(text or None, pa.string()).cast(kind)
            except pa.ArrowInvalid:
                return str(text)
        return str(first(self.plain))


def is_text(kind: pa.DataType) -> bool:
    import pyarrow as pa

    return bool(pa.types.is_string(kind) or pa.types.is_large_string(kind))


def first(values: pa.ChunkedArray) -> Any:
    """The first value that is there; None when there is none."""
    import pyarrow.compute as pc

    there = pc.drop_null(values)
    return there[0].as_py() if len(there) else None


def _has_zone(stamp: str) -> bool:
    time = stamp[10:]
    return time.endswith(("Z", "z")) or "+" in time or "-" in time


class Source:
    """One input table: the names of its columns at once, the columns when they are asked for.

    A file's needed columns are read by `read`, which is told their types; for other tables it does nothing.
    """

    def __init__(self, table: str, names: list[str], library: Library, origin: str = "") -> None:
        self.table, self.names, self.library, self.origin = table, names, library, origin
        twice = sorted({name for name in names if names.count(name) > 1})
        if twice:
            raise InputError(f"table {table}{origin}: two columns called {listed(twice)}")

    def read(self, names: Collection[str], text: Collection[str], number: Collection[str]) -> None: ...

    def values(self, name: str) -> Any:
        raise NotImplementedError

    def column(self, name: str, theirs: str) -> Column:
        """The column `theirs` as a Column, its values plain (no views, no dictionaries but of text)."""
        import pyarrow as pa

        try:
            values = plain(self.values(theirs), keep=True)
        except (pa.ArrowException, TypeError, ValueError, OverflowError) as why:
            raise InputError(
                f"table {self.table}, column {name}: found values of several kinds ({first_line(why)}); "
                "accepted: values of one kind, text or numbers"
            ) from why
        return Column(self.table, name, theirs, values, isinstance(self, CsvSource))


class FrameSource(Source):
    def __init__(self, table: str, frame: Any, library: Library) -> None:
        super().__init__(table, list(frame.columns), library)
        self.frame = frame

    def values(self, name: str) -> Any:
        import pyarrow as pa

        try:
            return self.frame.get_column(name).to_arrow()
        except pa.ArrowNotImplementedError:
            return from_array(self.frame.get_column(name).to_numpy())


class DictSource(Source):
    def __init__(self, table: str, arrays: Mapping[str, Any]) -> None:
        super().__init__(table, [str(name) for name in arrays], "pandas")
        self.arrays = {str(name): values for name, values in arrays.items()}

    def values(self, name: str) -> Any:
        import pyarrow as pa

        values = self.arrays[name]
        if isinstance(values, np.ndarray):
            if values.ndim != 1:
                raise InputError(
                    f"table {self.table}, column {name}: found an array of {values.ndim} dimensions; accepted: one"
                )
            return from_array(values)
        if not hasattr(values, "__arrow_c_array__") and not hasattr(values, "__arrow_c_stream__"):
            values = list(values)
        return pa.array(values, from_pandas=True)


class CsvSource(Source):
    def __init__(self, table: str, path: Path, library: Library = "pandas") -> None:
        from pyarrow import csv

        self.path = path
        with _reading(table, path), csv.open_csv(path) as reader:
            names = reader.schema.names
        super().__init__(table, names, library, f" ({path})")

    def read(self, names: Collection[str], text: Collection[str], number: Collection[str]) -> None:
        import pyarrow as pa

        types = {name: pa.string() for name in text} | {name: pa.float64() for name in number}
        try:
            self.data = self._read(names, types)
        except pa.ArrowInvalid:  # a value of another type: taken as text, it is found and named where it is used
            with _reading(self.table, self.path):
                self.data = self._read(names, {name: pa.string() for name in names})

    def _read(self, names: Collection[str], types: Mapping[str, pa.DataType]) -> pa.Table:
        from pyarrow import csv

        # The type of a column that is only kept is found in the first block, which therefore holds the whole table.
        stated = set(names) <= set(types)
        most = self.path.stat().st_size * (32 if self.path.suffix == ".gz" else 1)
        return csv.read_csv(
            self.path,
            read_options=csv.ReadOptions(block_size=1 << 22 if stated else min(max(most, 1 << 16), (1 << 31) - 1)),
            parse_options=csv.ParseOptions(newlines_in_values=not stated),
            convert_options=csv.ConvertOptions(include_columns=list(names), column_types=dict(types)),
        )

    def values(self, name: str) -> Any:
        return self.data.column(name)


class ParquetSource(Source):
    def __init__(self, table: str, path: Path) -> None:
        from pyarrow import parquet

        self.path = path
        with _reading(table, path):
            names = parquet.read_schema(path).names
        super().__init__(table, names, "pandas", f" ({path})")

    def read(self, names: Collection[str], text: Collection[str], number: Collection[str]) -> None:
        from pyarrow import parquet

        with _reading(self.table, self.path):
            texts = [
                field.name for field in parquet.read_schema(self.path) if is_text(field.type) and field.name in text
            ]
            with parquet.ParquetFile(self.path, read_dictionary=texts) as file:  # read_table would import pandas
                self.data = file.read(list(names))

    def values(self, name: str) -> Any:
        return self.data.column(name)


class _reading:
    """Turns what a reader raises into an error that names the table and the file."""

    def __init__(self, table: str, path: Path) -> None:
        self.where, self.path = f"table {table} ({path})", path

    def __enter__(self) -> None:
        if not self.path.is_file():
            raise FileError(f"{self.where}: no such file")

    def __exit__(self, kind: object, why: BaseException | None, trace: object) -> None:
        import pyarrow as pa

        if isinstance(why, pa.ArrowInvalid | pa.ArrowNotImplementedError):
            raise InputError(f"{self.where}: {first_line(why)}") from why
        if isinstance(why, UnicodeDecodeError):
            raise InputError(f"{self.where}: a column's name is not UTF8") from why
        if isinstance(why, OSError):
            raise FileError(f"{self.where}: {first_line(why)}") from why


def from_array(values: npt.NDArray[Any]) -> pa.Array:
    """A numpy array as Arrow takes it: of the machine's byte order, texts as objects."""
    import pyarrow as pa

    if values.dtype.kind == "T":
        values = values.astype(object)
    return pa.array(values.astype(values.dtype.newbyteorder("=")), from_pandas=True)


def first_line(why: BaseException) -> str:
    return str(why).strip().split("\n")[0] or type(why).__name__


def plain(values: Any, keep: bool = False) -> pa.ChunkedArray:
    """One Arrow column whatever it came as: views and bytes become plain text; dictionaries too, unless those of text
    are kept."""
    import pyarrow as pa
    import pyarrow.compute as pc

    if not isinstance(values, pa.ChunkedArray):
        values = pa.chunked_array([values])
    if pa.types.is_dictionary(values.type):
        whole = not any(chunk.dictionary.null_count for chunk in values.chunks)  # else they cannot be unified
        if keep and whole and is_text(values.type.value_type):
            return values
        values = pc.cast(values, values.type.value_type)
    kind = values.type
    if pa.types.is_string_view(kind) or pa.types.is_binary(kind) or pa.types.is_large_binary(kind):
        values = pc.cast(values, pa.large_string())
    return values


def open_table(table: str, given: Any) -> Source:
    """What was given for the table `tracks`, `snaps` or `people`, ready to be read.

    A table of any library narwhals knows, a dict of one-dimensional arrays, or the path of a CSV (.csv, .csv.gz) or
    Parquet file. InputError for anything else, FileError for a file that is not there.
    """
    if isinstance(given, str | os.PathLike):
        path = Path(given)
        kinds: dict[str, Callable[[str, Path], Source]] = {
            ".csv": CsvSource,
            ".csv.gz": CsvSource,
            ".parquet": ParquetSource,
        }
        for end in TABLE_FILES:
            if path.name.lower().endswith(end):
                return kinds[end](table, path)
        raise InputError(f"table {table}: found the file {shown(path.name)}; accepted: {', '.join(TABLE_FILES)}")
    if isinstance(given, Mapping):
        return DictSource(table, given)
    import narwhals as nw
    from narwhals.exceptions import NarwhalsError

    try:
        frame: Any = nw.from_native(given)
        if isinstance(frame, nw.LazyFrame):
            frame = frame.collect()
        implementation = frame.implementation
    except NarwhalsError as why:
        raise InputError(f"table {table}: {first_line(why)}") from why
    except (TypeError, AttributeError) as why:
        raise InputError(
            f"table {table}: found {type(given).__name__}; accepted: a pandas, polars or pyarrow table, a dict of "
            f"arrays, or the path of a file ({', '.join(TABLE_FILES)})"
        ) from why
    library: Library = (
        "polars" if implementation.is_polars() else "pyarrow" if implementation.is_pyarrow() else "pandas"
    )
    return FrameSource(table, frame, library)
