"""Columns as they come in: one column of any table library or file as an Arrow array."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, NoReturn

import numpy as np
import numpy.typing as npt

from .._core import InputError
from .text import shown, word

if TYPE_CHECKING:
    import pyarrow as pa

Codes = npt.NDArray[np.int32]
Floats = npt.NDArray[np.float64]


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
        held = encoded.chunk(0).dictionary
        used = np.zeros(len(held) + 1, bool)  # a dictionary may hold many words that no row has
        used[codes] = True
        places = np.flatnonzero(used[:-1])
        found = [word(value) for value in held.take(pa.array(places)).to_pylist()]
        names = list(dict.fromkeys(name for name in found if name))
        code_of = {name: code for code, name in enumerate(names)}
        new = np.full(len(used), -1, np.int32)
        new[places] = [code_of.get(name, -1) for name in found]
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


def from_array(values: npt.NDArray[Any]) -> pa.Array:
    """A numpy array as Arrow takes it: of the machine's byte order, texts as objects."""
    import pyarrow as pa

    if values.dtype.kind == "T":
        values = values.astype(object)
    return pa.array(values.astype(values.dtype.newbyteorder("=")), from_pandas=True)


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
