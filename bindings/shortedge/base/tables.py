"""Tables in and out: the columns of any table library or file as Arrow arrays, and Arrow tables as any library's.

The heavy libraries are imported where they are used, so that `import shortedge` stays light.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable, Collection, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal, get_args

import numpy.typing as npt

from .._core import InputError
from .text import shown, visible, word

if TYPE_CHECKING:
    import pyarrow as pa

Library = Literal["pandas", "polars", "pyarrow"]

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

    def __getstate__(self) -> dict[str, Any]:
        """Without the tables that were given out: they are made again."""
        return {name: value for name, value in vars(self).items() if name != "_given_out"}

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
    beginning with = + - or @, gets an apostrophe before it; control characters are written out."""
    text = io.StringIO()
    sheet = csv.writer(text, lineterminator="\n")
    sheet.writerow(table.column_names)
    for row in zip(*(table[name].to_pylist() for name in table.column_names), strict=True):
        sheet.writerow([cell(value) for value in row])
    return text.getvalue()


def cell(value: Any) -> str:
    if isinstance(value, float):
        return "" if math.isnan(value) else f"{value:.3f}"
    text = visible(word(value))
    runs = isinstance(value, str) and value.startswith(("=", "+", "-", "@", "\t", "\r"))
    return f"'{text}" if runs else text


def texts(values: Collection[str]) -> pa.Array:
    """Texts, "" as null."""
    import pyarrow as pa

    return pa.array([value or None for value in values], pa.string())


def table_of(rows: Sequence[Mapping[str, Any]]) -> pa.Table:
    """Rows as an Arrow table: texts, float64, int64."""
    import pyarrow as pa

    return pa.table({name: [row[name] for row in rows] for name in rows[0]}) if rows else pa.table({})
