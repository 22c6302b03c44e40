"""Speeds of their own that men may have: stated, or fitted."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any

from .._core import InputError
from ..base.checks import number
from ..base.text import listed, shown, word

OWN = {"kick_speed": (15.0, "yd/s"), "run_speed": (15.0, "yd/s"), "top_speed": (15.0, "yd/s"), "tau": (3.0, "s")}
FASTEST_MAN = 12.0  # yd/s: a fitted speed above it is a bad fit
OWN_OF = {"protector": ("kick_speed", "run_speed", "tau"), "rusher": ("top_speed", "tau")}


def check_speeds(speeds: Any, known: Iterable[str]) -> None:
    """Stated speeds must be of men who are there; fitted ones may be of others."""
    names = set(known)
    for player in speeds if isinstance(speeds, Mapping) else ():
        if word(player) not in names:
            raise InputError(f"speeds: found {shown(player)}; accepted: men who are there: {listed(sorted(names))}")


def speeds_of(speeds: Any) -> dict[str, dict[str, dict[str, float]]]:
    """By duty and player the speeds that are known of him; of fitted ones those no man runs are left out."""
    found: dict[str, dict[str, dict[str, float]]] = {duty: {} for duty in OWN_OF}
    if isinstance(speeds, Mapping):
        for player, own in speeds.items():
            for name, value in items(f"speeds[{shown(player)}]", own):
                if name not in OWN:
                    raise InputError(f"speeds[{shown(player)}]: found {shown(name)}; accepted: {listed(OWN)}")
                most, unit = OWN[name]
                number(f"speeds[{shown(player)}][{shown(name)}]", value, 0.0, most, unit, above=True)
                for duty, names in OWN_OF.items():
                    if name in names:
                        found[duty].setdefault(word(player), {})[name] = float(value)
        return found
    import narwhals as nw

    try:
        rows = list(nw.from_native(getattr(speeds, "table", speeds), eager_only=True).iter_rows(named=True))
        for row in rows:
            duties = (row["duty"],) if "duty" in row else tuple(OWN_OF)
            for duty in duties:
                own = {
                    name: float(row[name])
                    for name in OWN_OF[duty]
                    if name in row and row.get(f"{name}_fitted", True) and believable(name, float(row[name]))
                }
                if duty == "rusher" and "top_speed" in own and "tau" in row:
                    own["tau"] = float(row["tau"])  # the two were fitted together
                if own:
                    found[duty].setdefault(word(row["player"]), {}).update(own)
    except (TypeError, KeyError, ValueError) as why:
        raise InputError(
            f"speeds is {type(speeds).__name__}; accepted: player to a mapping with {listed(OWN)}, or fitted speeds"
        ) from why
    return found


def believable(name: str, value: float) -> bool:
    """Whether a fitted figure can be a man's. What cannot leaves out that man, not the game."""
    return math.isfinite(value) and 0 < value <= (OWN[name][0] if name == "tau" else FASTEST_MAN)


def items(what: str, given: Any) -> list[tuple[Any, Any]]:
    if not isinstance(given, Mapping):
        raise InputError(f"{what} is {shown(given)}; accepted: a mapping, name to value")
    return list(given.items())
