"""Words as they come in, in our spelling."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

import numpy as np

from .._core import InputError
from ..base.columns import Codes, Column, Floats
from ..base.text import listed, shown, word
from ..base.vocabulary import POSITIONS, ROLES, UNITS
from .ids import everywhere

DIRECTIONS = {"1": 1.0, "+1": 1.0, "-1": -1.0}
ACCEPTED: dict[str, Collection[str]] = {
    "unit": UNITS,
    "position": POSITIONS,
    "role": ROLES,
    "direction": DIRECTIONS,
}


def respelled(column: Column, found: Sequence[str], words: Mapping[str, Mapping[Any, Any]]) -> list[str]:
    """The words found in a column, in our spelling."""
    mapping = {word(theirs): word(ours) for theirs, ours in words.get(column.name, {}).items()}
    accepted = ACCEPTED[column.name]
    for theirs, ours in mapping.items():
        turned = theirs in accepted and ours not in accepted
        if column.name == "position":
            turned = turned and theirs not in found and ours in found
        if turned:
            raise InputError(
                f'values["{column.name}"] is the wrong way round: found {shown(theirs)}: {shown(ours)}; accepted: '
                f"theirs first, {shown(ours)}: {shown(theirs)}"
            )
        if column.name != "position" and ours not in accepted:
            raise InputError(
                f'values["{column.name}"]: found {shown(theirs)}: {shown(ours)}; accepted: {", ".join(accepted)}'
            )
    return [mapping.get(text, mapping.get(text.strip(), text.strip())) for text in found]


def refuse_words(column: Column, found: Collection[str], accepted: Collection[str]) -> None:
    if found:
        column.refuse(
            listed(found),
            f"{', '.join(accepted)}; spell theirs with "
            f'values={{"{column.name}": {{{shown(next(iter(found)))}: "{next(iter(accepted))}"}}}}',
        )


def choice_of(
    column: Column, accepted: Sequence[str], words: Mapping[str, Mapping[Any, Any]], optional: bool = False
) -> Codes:
    """Codes into `accepted`; -1 where there is none, if that may be."""
    codes, found = column.encode()
    ours = respelled(column, found, words)
    refuse_words(column, [text for text, our in zip(found, ours, strict=True) if our not in accepted], accepted)
    new = np.array([*(accepted.index(our) for our in ours), -1], np.int32)[codes]
    if not optional:
        everywhere(new, column.table, column.name)
    return new


def position_of(column: Column, words: Mapping[str, Mapping[Any, Any]]) -> list[str]:
    """The positions, row by row; any text is kept, "" for none."""
    codes, found = column.encode()
    return np.array([*respelled(column, found, words), ""], object)[codes].tolist()  # type: ignore[no-any-return]


def direction_of(column: Column, words: Mapping[str, Mapping[Any, Any]]) -> Floats:
    """1 or -1, row by row."""
    codes, found = column.encode()
    ours = respelled(column, found, words)
    refuse_words(column, [text for text, our in zip(found, ours, strict=True) if our not in DIRECTIONS], ("1", "-1"))
    everywhere(codes, column.table, column.name)
    return np.array([DIRECTIONS[our] for our in ours], float)[codes]
