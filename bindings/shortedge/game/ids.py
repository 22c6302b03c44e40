"""Ids as they come in, as codes."""

from __future__ import annotations

import re
from collections.abc import Collection
from typing import Any

import numpy as np

from .._core import InputError
from ..base.columns import Codes
from ..base.text import listed, shown
from .columns import Table


class Joined:
    """Ids as codes, without blanks at their ends, those of several columns joined with "/". Two different ids that join
    to one text are refused."""

    def __init__(self) -> None:
        self.parts: dict[tuple[str, int, str], tuple[str, ...]] = {}
        self.trimmed: dict[tuple[str, str], set[str]] = {}  # ids that had blanks at their ends, by table and column

    def said(self) -> list[str]:
        """What is to be told of the ids."""
        return [
            f"table {table}, column {name}: blanks at the ends of {len(found)} ids were cut off, such as "
            f"{shown(min(found))}"
            for (table, name), found in self.trimmed.items()
        ]

    def encode(self, table: Table, name: str) -> tuple[Codes, list[str]]:
        columns = table.of[name]
        codes, found_names = self.trim(table.title, name, *columns[0].encode())
        combined: list[tuple[str, ...]] = [(text,) for text in found_names]
        for column in columns[1:]:
            more, more_names = self.trim(table.title, name, *column.encode())
            missing = (codes < 0) | (more < 0)
            pairs = np.where(missing, -1, codes.astype(np.int64) * len(more_names) + more)
            found, codes = distinct(pairs)
            combined = [combined[pair // len(more_names)] + (more_names[pair % len(more_names)],) for pair in found]
        names = ["/".join(part) for part in combined]
        for text, part in zip(names, combined, strict=True):
            other = self.parts.setdefault((name, len(part), text), part)
            if other != part:
                raise InputError(
                    f"table {table.title}, column {name}: {listed(other)} and {listed(part)} both join to "
                    f"{shown(text)}; accepted: ids that stay apart"
                )
        return codes, names

    def trim(self, table: str, name: str, codes: Codes, found: list[str]) -> tuple[Codes, list[str]]:
        """The same without blanks at the ends of ids; one of blanks alone is missing."""
        bare = [text.strip() for text in found]
        if bare == found:
            return codes, found
        changed = {text for text, new in zip(found, bare, strict=True) if text != new}
        self.trimmed.setdefault((table, name), set()).update(changed)
        names = list(dict.fromkeys(text for text in bare if text))
        code_of = {text: code for code, text in enumerate(names)}
        return np.array([*(code_of.get(text, -1) for text in bare), -1], np.int32)[codes], names


def distinct(values: np.ndarray[Any, np.dtype[np.int64]]) -> tuple[list[int], Codes]:
    """The distinct values in order of appearance, and each row's place among them; -1 where the value is -1."""
    import pyarrow as pa

    encoded = pa.array(values, mask=values < 0).dictionary_encode()
    return encoded.dictionary.to_pylist(), encoded.indices.fill_null(-1).to_numpy()


def ordered(names: Collection[str], by_number: bool | None = None) -> list[str]:
    """Ids in order: by number when all are whole numbers as one writes them, else by code point."""
    if whole_numbers(names) if by_number is None else by_number:
        return sorted(names, key=int)
    return sorted(names)


def whole_numbers(names: Collection[str]) -> bool:
    return all(re.fullmatch("0|-?[1-9][0-9]{0,17}", name) for name in names)


def everywhere(codes: np.ndarray[Any, Any], table: str, column: str) -> None:
    """Refuses a column with a missing value."""
    missing = np.flatnonzero(codes < 0)
    if len(missing):
        raise InputError(
            f"table {table}, column {column}: found no value in {len(missing)} of {len(codes)} rows, first in row "
            f"{missing[0]} (from 0); accepted: a value in every row"
        )
