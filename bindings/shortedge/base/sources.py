"""Tables as they come in: of any table library, of arrays, or of a file.

The heavy libraries are imported where they are used, so that `import shortedge` stays light.
"""

from __future__ import annotations

import codecs
import gzip
import os
import re
import zlib
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from .._core import FileError, InputError
from .columns import Column, from_array, is_text, plain
from .tables import Library
from .text import first_line, listed, shown

if TYPE_CHECKING:
    import pyarrow as pa

TABLE_FILES = (".csv", ".csv.gz", ".parquet")
SHEETS = (".xlsx", ".xls", ".ods", ".numbers")  # of spreadsheets, which save CSV when told so
SAVE_AS = " (in a spreadsheet: save as CSV UTF-8)"


class Source:
    """One input table: the names of its columns at once, the columns when they are asked for.

    A file's needed columns are read by `read`, which is told their types; for other tables it does nothing.
    """

    of_text = False  # whether all its values are written as text

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
        return Column(self.table, name, theirs, values, self.of_text)


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


@dataclass(frozen=True)
class Dialect:
    """How a CSV file is written: as most programs do, or as a spreadsheet of another country does."""

    encoding: str = "utf8"
    delimiter: str = ","
    decimal: str = "."

    def read(self, block: int) -> Any:
        from pyarrow import csv

        return csv.ReadOptions(block_size=block, encoding=self.encoding)

    def names(self, path: Path) -> list[str]:
        from pyarrow import csv

        parsing = csv.ParseOptions(delimiter=self.delimiter)
        with csv.open_csv(path, read_options=self.read(1 << 20), parse_options=parsing) as reader:
            return list(reader.schema.names)


def dialect_of(path: Path) -> Dialect:
    """Told from how the file begins: UTF-16 by its mark; semicolons or tabs where the first line has them and no
    comma; a decimal comma where then figures have one and none has a point."""
    opened = gzip.open if path.name.lower().endswith(".gz") else open
    try:
        with opened(path, "rb") as file:
            start = file.read(1 << 16)
    except (EOFError, zlib.error):  # damaged: the reader says so
        return Dialect()
    encoding = "utf16" if start[:2] in (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE) else "utf8"
    text = start[: len(start) // 2 * 2].decode(encoding, errors="replace").lstrip("\ufeff")
    lines = text.splitlines()
    if not lines:
        return Dialect(encoding)
    counts = {mark: lines[0].count(mark) for mark in (",", ";", "\t")}
    delimiter = max(counts, key=lambda mark: counts[mark])
    if delimiter == "," or not counts[delimiter]:
        return Dialect(encoding)
    cells = [cell.strip(' "') for line in lines[1:-1] or lines[1:] for cell in line.split(delimiter)]
    commas, points = (any(re.fullmatch(rf"-?\d+{mark}\d+", cell) for cell in cells) for mark in (",", r"\."))
    if commas and points:
        raise InputError(
            f"{path}: found figures with a decimal comma and figures with a point; accepted: one of them in all "
            "columns (in a spreadsheet: set the decimal separator, then save as CSV UTF-8)"
        )
    return Dialect(encoding, delimiter, "," if commas else ".")


class CsvSource(Source):
    of_text = True

    def __init__(self, table: str, path: Path, library: Library = "pandas") -> None:
        self.path = path
        with _reading(table, path):
            self.dialect = dialect_of(path)
            names = self.dialect.names(path)
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

        dialect = self.dialect
        # The type of a column that is only kept is found in the first block, which therefore holds the whole table.
        stated = set(names) <= set(types)
        most = self.path.stat().st_size * (32 if self.path.suffix == ".gz" else 1)
        return csv.read_csv(
            self.path,
            read_options=dialect.read(1 << 22 if stated else min(max(most, 1 << 16), (1 << 31) - 1)),
            parse_options=csv.ParseOptions(delimiter=dialect.delimiter, newlines_in_values=not stated),
            convert_options=csv.ConvertOptions(
                include_columns=list(names), column_types=dict(types), decimal_point=dialect.decimal
            ),
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
            how = SAVE_AS if "UTF8" in str(why) else ""
            raise InputError(f"{self.where}: {first_line(why)}{how}") from why
        if isinstance(why, UnicodeDecodeError):
            raise InputError(f"{self.where}: a column's name is not UTF8{SAVE_AS}") from why
        if isinstance(why, OSError):
            raise FileError(f"{self.where}: {first_line(why)}") from why


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
        sheet = "; save the sheet as CSV UTF-8" if path.suffix.lower() in SHEETS else ""
        raise InputError(f"table {table}: found the file {shown(path.name)}; accepted: {', '.join(TABLE_FILES)}{sheet}")
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
