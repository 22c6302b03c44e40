"""Tables a trace may begin with: men, plays, films."""

from __future__ import annotations

import math
import os
from typing import Any

from .._core import InputError
from ..base.sources import open_table
from ..base.text import listed, shown, word
from ..trace.clicks import Trace

Row = dict[str, Any]


def rows_of(table: str, path: str | os.PathLike[str], wanted: tuple[str, ...], also: tuple[str, ...]) -> list[Row]:
    """A table's rows: the wanted columns and, None where it lacks them, others. InputError for a column it lacks."""
    source = open_table(table, path)
    if lacking := [name for name in wanted if name not in source.names]:
        raise InputError(f"table {table} ({path}): lacks {listed(lacking)}; accepted: {', '.join(wanted + also)}")
    there = [name for name in wanted + also if name in source.names]
    source.read(there, there, ())
    columns = {name: source.column(name, name).values.to_pylist() for name in there}
    count = len(columns[there[0]])
    return [{name: columns[name][row] if name in columns else None for name in wanted + also} for row in range(count)]


def number(table: str, name: str, value: Any) -> float | None:
    if value is None or value == "":
        return None
    try:
        found = float(value)
    except (TypeError, ValueError):
        found = math.nan
    if not math.isfinite(found):
        raise InputError(f"table {table}, column {name}: found {shown(value)}; accepted: a number")
    return found


def people_of(path: str | os.PathLike[str]) -> list[Row]:
    """Men of a table people: player, unit, position, and play or None."""
    return [
        {name: None if row[name] is None or row[name] == "" else word(row[name]) for name in row}
        for row in rows_of("people", path, ("player", "unit", "position"), ("play",))
    ]


def plays_of(trace: Trace, snaps: str | os.PathLike[str] | None, films: str | os.PathLike[str] | None) -> None:
    """Writes what tables of snaps and films say of plays that the trace does not know yet: where the ball lies, which
    file an angle of a play is in, and when its snap is on that film."""
    acts = trace.acts
    said = {acts.texts[play] for play in acts.columns("snap")["play"].tolist()}
    tied = {
        (acts.texts[play], acts.texts[angle])
        for play, angle in zip(*(acts.columns("event")[name].tolist() for name in ("play", "angle")), strict=True)
    }
    own = {
        (acts.texts[play], acts.texts[angle])
        for play, angle in zip(*(acts.columns("film")[name].tolist() for name in ("play", "angle")), strict=True)
    }
    also = ("ball_x", "ball_y", "direction", "film_time")
    for row in rows_of("snaps", snaps, ("play",), also) if snaps is not None else []:
        play = word(row["play"])
        x, y, direction, time = (number("snaps", name, row[name]) for name in also)
        if play not in said and x is not None and y is not None and direction is not None:
            trace.snap(play, x, y, int(direction))
        first = next(iter(trace.angles))
        if time is not None and (play, first) not in tied:
            trace.event(play, "snap", first, time)
    for row in rows_of("films", films, ("play", "angle", "file"), ("film_time",)) if films is not None else []:
        play, angle = word(row["play"]), word(row["angle"])
        if (play, angle) not in own:
            trace.film(play, angle, str(row["file"]))
        time = number("films", "film_time", row["film_time"])
        if time is not None and (play, angle) not in tied:
            trace.event(play, "snap", angle, time)
