"""What rows can be split by: their own columns, what holds of their play, and the columns the user brought."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from .. import _core
from .._core import InputError
from ..base.text import listed, shown
from ..base.vocabulary import LINE

if TYPE_CHECKING:
    import pyarrow as pa

Table = Mapping[str, npt.NDArray[Any]]
Codes = npt.NDArray[np.int64]

# The columns of each table that make groups; the first is taken when nothing is said.
OWN = {
    "reps": ("protector", "rusher", "technique", "set_type", "lane", "helped", "exchanged"),
    "exchanges": ("pair", "kind", "rusher", "from_man", "to_man", "from_slot", "to_slot", "crossed_with", "outcome"),
    "searches": ("man", "slot", "why", "found", "helped", "side"),
    "looks": ("spot", "deep_over", "defender", "side", "over", "taken_by", "pickup"),
}
DEFAULT = {"reps": ("protector",), "exchanges": ("pair",), "searches": ("man",), "looks": ("spot", "deep_over")}
OF_PLAY = ("drop_depth", "alignment", "rushers", "field_side", "wide_side", "hash", "passer")
DEPTHS = {"under 6": -math.inf, "6 to 8": 6.0, "8 to 9.5": 8.0, "9.5 and more": 9.5}  # yd: each from there on
SIDE_OF_ROW = {"reps": "technique_side", "searches": "side"}  # looks say their field_side themselves

# Where the marks across the field lie, yd from the middle. From the sideline they are published as 70 ft 9 in
# (professional rules), 60 ft (college) and 53 ft 4 in (high school, thirds of the field); the field is 160 ft wide.
MARKS = {"professional": (80 - 70.75) / 3, "college": (80 - 60) / 3, "high school": (80 - 160 / 3) / 3}
ON_MARK = 0.5  # yd inside a mark and everything beyond it is on that hash; this project's own choice
HASHES = ("left", "middle", "right")


@dataclass(frozen=True)
class Splitting:
    """Everything that rows are grouped with. brought: columns of snaps beside the rows of dropbacks; marks: a key of
    MARKS."""

    dropbacks: Table
    names: Mapping[str, Sequence[str]]
    brought: Mapping[str, Any] = field(default_factory=dict)
    marks: str = "professional"

    def __post_init__(self) -> None:
        if self.marks not in MARKS:
            raise InputError(f"marks is {shown(self.marks)}; accepted: {listed(MARKS)}")

    def keys_of(self, title: str) -> list[str]:
        """What rows of a table can be split by."""
        known = [*OWN[title], *OF_PLAY]
        if title == "exchanges":
            known.remove("field_side")
        return [*known, *(name for name in self.brought if name not in known)]

    def checked(self, title: str, by: str | Sequence[str] | None) -> list[str]:
        """The keys asked for. InputError for one that is none, or twice the same."""
        keys = list(DEFAULT[title]) if by is None else [by] if isinstance(by, str) else list(by)
        accepted = self.keys_of(title)
        if not keys or not set(keys) <= set(accepted) or len(set(keys)) < len(keys):
            given, known = shown(keys[0] if len(keys) == 1 else by), listed(accepted, len(accepted))
            raise InputError(f"by is {given}; accepted: {known}, or a list of different ones")
        return keys

    def column(self, title: str, name: str, rows: Table) -> tuple[Codes, Sequence[Any]]:
        """The key of every row as a code, -1 for none, and what the codes stand for, in the order they are shown in."""
        if name == "pair":
            return self.pairs(rows)
        if name in OWN[title] or (name == "field_side" and title == "looks"):
            return self.told(title, name, rows[name])
        at = self.dropback_of(rows)
        if name == "drop_depth":
            depth = self.dropbacks["drop_depth"][at]
            band = np.searchsorted(list(DEPTHS.values()), depth + 1e-9, side="right") - 1
            return np.where(np.isnan(depth), -1, band), list(DEPTHS)
        if name == "field_side":
            side, wide = rows[SIDE_OF_ROW[title]].astype(np.int64), self.dropbacks["wide_side"][at].astype(np.int64)
            return np.where((side < 0) | (wide < 0), -1, np.where(side == wide, 0, 1)), ("wide", "short")
        if name == "hash":
            across, mark = self.dropbacks["ball_across"][at], MARKS[self.marks] - ON_MARK
            place = np.where(across <= -mark + 1e-9, 0, np.where(across >= mark - 1e-9, 2, 1))
            return np.where(np.isnan(across), -1, place), HASHES
        if name in OF_PLAY:
            return self.told("dropbacks", name, self.dropbacks[name][at])
        codes, values = of_values(self.brought[name])
        return codes[at], values

    def dropback_of(self, rows: Table) -> npt.NDArray[np.intp]:
        """The row of dropbacks of each row's play."""
        order = np.argsort(self.dropbacks["play"])
        return order[np.searchsorted(self.dropbacks["play"], rows["play"], sorter=order)]

    def told(self, title: str, name: str, values: npt.NDArray[Any]) -> tuple[Codes, Sequence[Any]]:
        column = described(title, name)
        if column["kind"] == "flag":
            return values.astype(np.int64), (False, True)
        if column["kind"] == "word":
            return values.astype(np.int64), column["words"]
        if column["kind"] == "count":
            found, codes = np.unique(values, return_inverse=True)
            return codes.astype(np.int64), found.tolist()
        ids = self.names[column["names"]]
        order = sorted(range(len(ids)), key=lambda code: ids[code])
        place = np.empty(len(ids) + 1, np.int64)
        place[order], place[-1] = np.arange(len(ids)), -1
        return place[values], [ids[code] for code in order]

    def pairs(self, rows: Table) -> tuple[Codes, Sequence[str]]:
        """The two men of each exchange, by their places in the line from left to right ("LT-LG"), else by their ids.
        Where one man stayed with his rusher, he and who has the rusher it crossed with; null where one of two is not
        known."""
        ids, named = self.names["players"], []
        mates = {
            (play, rusher, crossed): (to_man, to_slot)
            for play, rusher, crossed, to_man, to_slot in zip(
                *(rows[name].tolist() for name in ("play", "rusher", "crossed_with", "to_man", "to_slot")), strict=True
            )
        }
        columns = ("play", "rusher", "crossed_with", "from_man", "from_slot", "to_man", "to_slot")
        for play, rusher, crossed, *men in zip(*(rows[name].tolist() for name in columns), strict=True):
            first, second = tuple(men[:2]), tuple(men[2:])
            if first == second or first[0] < 0 or second[0] < 0:
                known = second if second[0] >= 0 else first
                first, second = known, mates.get((play, crossed, rusher), (-1, -1))
            if first[0] < 0 or second[0] < 0 or first[0] == second[0]:
                named.append("")
            elif first[1] >= 0 and second[1] >= 0:
                named.append("-".join(LINE[slot] for slot in sorted((first[1], second[1]))))
            else:
                named.append(" and ".join(sorted((ids[first[0]], ids[second[0]]))))
        return of_values(named)


def of_values(values: Any) -> tuple[Codes, list[Any]]:
    """A column of the user's own as codes, -1 for a missing one, and its values in order."""
    missing = [value == "" or value != value for value in (values if isinstance(values, list) else values.tolist())]
    plain = values if isinstance(values, list) else values.tolist()
    found = sorted({value for value, lacks in zip(plain, missing, strict=True) if not lacks})
    code_of = {value: code for code, value in enumerate(found)}
    codes = [-1 if lacks else code_of[value] for value, lacks in zip(plain, missing, strict=True)]
    whole = bool(found) and all(isinstance(value, float) and value.is_integer() for value in found)
    return np.array(codes, np.int64), [int(value) for value in found] if whole else found


def described(title: str, name: str) -> _core.Column:
    return next(column for column in _core.columns()[title] if column["name"] == name)


def in_groups(columns: Mapping[str, Codes]) -> list[tuple[list[int], npt.NDArray[np.intp]]]:
    """Each combination of keys that occurs, in order, null last, with its rows."""
    last = np.iinfo(np.int64).max
    table = np.stack([np.where(codes < 0, last, codes) for codes in columns.values()], axis=1)
    found, which = np.unique(table, axis=0, return_inverse=True)
    return [
        ([-1 if value == last else value for value in values], np.flatnonzero(which.reshape(-1) == group))
        for group, values in enumerate(found.tolist())
    ]


def key_type(values: Iterable[Any]) -> pa.DataType:
    """The Arrow type of a key's values."""
    import pyarrow as pa

    kinds = {type(value) for value in values}
    if kinds == {bool}:
        return pa.bool_()
    return pa.int64() if kinds == {int} else pa.float64() if kinds and kinds <= {int, float} else pa.string()
