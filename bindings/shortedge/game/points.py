"""The figures of single points, as one call each.

Play frame: u yards to the offence's right, v yards behind the line; any frame of the same handedness will do.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from .. import _core
from .._core import InputError, Rules
from ..base.columns import Floats
from ..base.text import shown

Points = npt.ArrayLike  # (..., 2)


@dataclass(frozen=True, eq=False)
class WayRound:
    """The way round a blocker: `length` (yd), `bend` (degrees turned), `time` (s), `points` (n, 2), arcs as short
    chords. With no way: length and time infinite, bend NaN, no points."""

    length: float
    bend: float
    time: float
    points: Floats


@dataclass(frozen=True, eq=False)
class TautPath:
    """The shortest path: `length` (yd), `bend` (degrees turned in all), `points` (n, 2), arcs as short chords. Shut in:
    length infinite, bend NaN, no points."""

    length: float
    bend: float
    points: Floats


def cutoff_ratio(rusher: Points, blocker: Points, passer: Points) -> Any:
    """The least speed, as a share of the rusher's, with which the blocker still meets him on his straight line to the
    passer; at or above 1 exactly when the rusher is no farther from the passer than the blocker (Apollonius).

    Points (..., 2) in yd, broadcast as NumPy does; an array (...), a float for single points. NaN in, NaN out; +inf
    with the rusher on the passer. InputError for other shapes.
    """
    shape, (r, b, q) = together({}, rusher=rusher, blocker=blocker, passer=passer)
    return given_back(_core.cutoff_ratio(r, b, q), shape)


def corner_held(
    rusher: Points, blocker: Points, passer: Points, side: npt.ArrayLike, *, rules: Rules | None = None
) -> Any:
    """How much of his corner the blocker still holds: yd, 0 to twice the reach; not below the reach when the rusher is
    past him inside.

    `side` is the blocker's: -1 left, 1 right, 0 none (then NaN); it broadcasts with the points
    (..., 2). Otherwise as cutoff_ratio.
    """
    sides = np.asarray(side)
    if not np.isin(sides, (-1, 0, 1)).all():
        raise InputError(f"side is {shown(side)}; accepted: -1 (left), 1 (right), 0 (none)")
    shape, (r, b, q) = together({"side": sides.shape}, rusher=rusher, blocker=blocker, passer=passer)
    each = np.ascontiguousarray(np.broadcast_to(sides, shape).reshape(-1), np.int64)
    return given_back(_core.corner_held(r, b, q, each, (rules or Rules()).reach), shape)


def way_round(
    rusher: Points,
    blocker: Points,
    passer: Points,
    side: int,
    velocity: Points = (0.0, 0.0),
    *,
    rules: Rules | None = None,
) -> WayRound:
    """The way to the passer round one blocker, as if he alone were there: a tangent, an arc, a tangent.

    `side` 1 passes on the blocker's right, -1 on his left. Past him it is the straight line, when he does not stand
    outside it on that side; else, and on top of him, there is none: length and time infinite, bend NaN, no points.
    `velocity` (yd/s) is the rusher's now. Single finite points (2,) in yd, else InputError.
    """
    if side not in (-1, 1):
        raise InputError(f"side is {shown(side)}; accepted: -1 (left), 1 (right)")
    r, b, q, v = (
        single(rusher, "rusher"),
        single(blocker, "blocker"),
        single(passer, "passer"),
        single(velocity, "velocity"),
    )
    way = _core.way_round(r, b, q, int(side), v, rules or Rules())
    return WayRound(way["length"], way["bend"], way["time"], way["points"])


def taut_path(start: Points, goal: Points, centers: Points, reach: npt.ArrayLike) -> TautPath:
    """The shortest path from start to goal clear of discs: a string pulled taut among them.

    start, goal (2,), centers (n, 2), reach one radius or one a disc; yd. A disc is shrunk to its distance from start or
    goal where that is less. Finite values and radii of 0 or more, else InputError.
    """
    at = numbers(centers, "centers")
    at = at.reshape(0, 2) if at.size == 0 else at
    if at.ndim != 2 or at.shape[1] != 2 or not np.isfinite(at).all():
        raise InputError(f"centers of shape {at.shape}; accepted: finite points of shape (n, 2)")
    radius = numbers(reach, "reach")
    if (
        radius.ndim > 1
        or (radius.ndim == 1 and len(radius) != len(at))
        or not ((radius >= 0) & np.isfinite(radius)).all()
    ):
        raise InputError(
            f"reach is {shown(reach)}; accepted: one radius of 0 or more, or one for each of {len(at)} discs"
        )
    radii = np.ascontiguousarray(np.broadcast_to(radius, len(at)))
    path = _core.taut_path(single(start, "start"), single(goal, "goal"), np.ascontiguousarray(at), radii)
    return TautPath(path["length"], path["bend"], path["points"])


def numbers(value: npt.ArrayLike, name: str) -> Floats:
    try:
        return np.asarray(value, float)
    except (TypeError, ValueError) as why:
        raise InputError(f"{name} is {shown(value)}; accepted: numbers") from why


def single(value: Points, name: str) -> Floats:
    point = numbers(value, name)
    if point.shape != (2,) or not np.isfinite(point).all():
        raise InputError(f"{name} is {shown(value)}; accepted: two finite numbers")
    return point


def together(shapes: Mapping[str, tuple[int, ...]], **points: Points) -> tuple[tuple[int, ...], list[Floats]]:
    """The common leading shape, also of arrays of these other shapes, and each of the points as (n, 2)."""
    arrays = {name: numbers(value, name) for name, value in points.items()}
    for name, array in arrays.items():
        if array.ndim == 0 or array.shape[-1] != 2:
            raise InputError(f"{name} of shape {array.shape}; accepted: (..., 2)")
    try:
        shape = np.broadcast_shapes(*shapes.values(), *(array.shape[:-1] for array in arrays.values()))
    except ValueError as why:
        found = ", ".join(f"{name} {array.shape}" for name, array in arrays.items())
        raise InputError(
            f"shapes that do not broadcast: {found}" + "".join(f", {name} {shape}" for name, shape in shapes.items())
        ) from why
    return shape, [
        np.ascontiguousarray(np.broadcast_to(array, (*shape, 2)).reshape(-1, 2)) for array in arrays.values()
    ]


def given_back(values: Floats, shape: tuple[int, ...]) -> Any:
    return values.reshape(shape) if shape else float(values[0])
