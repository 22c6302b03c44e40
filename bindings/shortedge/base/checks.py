"""Checks of what was given: numbers, whole numbers, words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from .._core import InputError
from .text import listed, shown


def number(what: str, value: Any, least: float, most: float, unit: str, *, above: bool = False) -> float:
    """A number within bounds; `above`: more than the least."""
    good = isinstance(value, int | float | np.integer | np.floating) and not isinstance(value, bool)
    if good and (least < value if above else least <= value) and value <= most:
        return float(value)
    found = f"{value:g} {unit}".rstrip() if good else shown(value)
    limits = f"{'more than ' if above else ''}{least:g} to {most:g} {unit}".rstrip()
    raise InputError(f"{what} is {found}; accepted: {limits}")


def chosen_word(what: str, value: Any, accepted: Sequence[str]) -> str:
    if not isinstance(value, str) or value not in accepted:
        raise InputError(f"{what} is {shown(value)}; accepted: {listed(accepted)}")
    return value


def whole(what: str, value: Any, least: int, most: int) -> int:
    if not isinstance(value, int | np.integer) or isinstance(value, bool) or not least <= value <= most:
        raise InputError(f"{what} is {shown(value)}; accepted: a whole number, {least} to {most}")
    return int(value)
