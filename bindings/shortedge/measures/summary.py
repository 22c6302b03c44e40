"""Counts and shares of reps, with their denominators and intervals."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from .. import _core
from .._core import InputError
from ..base.text import listed, shown
from ..base.vocabulary import BAD, BAD_SNAP, BEAT, FREE, JUDGED, OF_A_PAIR, OUTCOMES, SNAPS

if TYPE_CHECKING:
    import pyarrow as pa

Table = Mapping[str, npt.NDArray[Any]]

KEYS = ("protector", "rusher", "technique", "set_type", "drop_depth", "lane", "helped", "alignment")
DEPTHS = {"under 6": -math.inf, "6 to 8": 6.0, "8 to 9.5": 8.0, "9.5 and more": 9.5}  # yd: each from there on
MEDIANS = ("peak_outside", "short_edge_seconds", "peak_cutoff_ratio", "island_seconds", "leverage")
FEW = 10  # judged rows: with fewer, an interval can be wider than half of all
Z = 1.959963984540054  # 95 % of a normal distribution lie within


def wilson(count: int, of: int) -> tuple[float, float]:
    """95 % interval of a share (Wilson 1927, "Probable inference, the law of succession, and statistical inference");
    NaN of nothing."""
    if of == 0:
        return math.nan, math.nan
    share, over = count / of, Z * Z / of
    middle = share + over / 2
    half = Z * math.sqrt(share * (1 - share) / of + over / (4 * of))
    return (middle - half) / (1 + over) if count else 0.0, (middle + half) / (1 + over) if count < of else 1.0


def summarise(
    rows: Table,
    measured: Table | None,
    dropbacks: Table,
    names: Mapping[str, Sequence[str]],
    by: str | Sequence[str],
    without_label: Sequence[str],
) -> pa.Table:
    """See Reps.summary. `measured`: the same rows without corrections, when there are any; all tables by codes."""
    import pyarrow as pa

    keys = checked_keys(by)
    labels = names["labels"]
    check_labels(without_label, labels)
    left_out = np.isin(dropbacks["label"], [labels.index(label) for label in without_label])
    counts = {label: int((dropbacks["label"] == labels.index(label)).sum()) for label in dict.fromkeys(without_label)}
    bad = (dropbacks["snap"] == SNAPS.index(BAD)) & ~left_out
    if bad.any():
        counts[BAD_SNAP] = int(bad.sum())
    left_out |= bad

    def in_their_groups(table: Table) -> dict[tuple[Any, ...], npt.NDArray[np.intp]]:
        """The rows that count, by the texts of their keys, in order."""
        kept = np.flatnonzero(~np.isin(table["play"], dropbacks["play"][left_out]))
        columns = {name: key_column(name, table, dropbacks, names) for name in keys}
        return {
            tuple(
                texts[value] if value >= 0 else None for value, (_, texts) in zip(values, columns.values(), strict=True)
            ): (kept[at])
            for values, at in in_groups({name: codes[kept] for name, (codes, _) in columns.items()})
        }

    groups, before = in_their_groups(rows), {} if measured is None else in_their_groups(measured)
    nothing = np.empty(0, np.intp)
    made: dict[str, list[Any]] = {name: [] for name in keys}
    for values in (
        *groups,
        *(values for values in before if values not in groups),
    ):  # those whose rows are all gone last
        where = groups.get(values, nothing)
        for name, value in zip(keys, values, strict=True):
            made[name].append(value)
        said: dict[str, Any] = {"plays": len(np.unique(rows["play"][where])), "plays_left_out": int(left_out.sum())}
        said["left_out"] = ", ".join(f"{label}: {count}" for label, count in counts.items()) or None
        said |= figures(rows, where)
        if measured is not None:
            said["corrected"] = int(rows["corrected"][where].sum())
            was = tally(measured, before.get(values, nothing))
            said |= {f"{outcome}_measured": was[outcome] for outcome in OF_A_PAIR}
        for name, value in said.items():
            made.setdefault(name, []).append(value)
    return pa.table({name: pa.array(values, kind_of(name)) for name, values in made.items()})


def checked_keys(by: str | Sequence[str]) -> list[str]:
    keys = [by] if isinstance(by, str) else list(by)
    if not keys or not set(keys) <= set(KEYS) or len(set(keys)) < len(keys):
        raise InputError(f"by is {shown(by)}; accepted: {listed(KEYS)}, or a list of different ones")
    return keys


def check_labels(wanted: Sequence[str], labels: Iterable[str]) -> None:
    """InputError for a label no play has, which would silently leave nothing out."""
    there = list(labels)
    if isinstance(wanted, str):
        raise InputError(f"without_label is {shown(wanted)}; accepted: a list of labels, such as [{shown(wanted)}]")
    for label in wanted:
        if label not in there:
            raise InputError(f"no play has the label {shown(label)}; labels: {listed(there) if there else 'none'}")


def key_column(
    name: str, rows: Table, dropbacks: Table, names: Mapping[str, Sequence[str]]
) -> tuple[npt.NDArray[np.int64], Sequence[Any]]:
    """The key of every row as a code, -1 for none, and what the codes stand for, in the order they are shown in."""
    if name in ("drop_depth", "alignment"):
        play = np.searchsorted(dropbacks["play"], rows["play"], sorter=np.argsort(dropbacks["play"]))
        dropback = np.argsort(dropbacks["play"])[play]
        if name == "drop_depth":
            depth = dropbacks["drop_depth"][dropback]
            band = np.searchsorted(list(DEPTHS.values()), depth + 1e-9, side="right") - 1
            return np.where(np.isnan(depth), -1, band), list(DEPTHS)
        column, values = described("dropbacks", name), dropbacks[name][dropback]
    else:
        column, values = described("reps", name), rows[name]
    if column["kind"] == "flag":
        return values.astype(np.int64), (False, True)
    if column["kind"] == "word":
        return values.astype(np.int64), column["words"]
    ids = names[column["names"]]
    order = sorted(range(len(ids)), key=lambda code: ids[code])
    place = np.empty(len(ids) + 1, np.int64)
    place[order], place[-1] = np.arange(len(ids)), -1
    return place[values], [ids[code] for code in order]


def described(title: str, name: str) -> _core.Column:
    return next(column for column in _core.columns()[title] if column["name"] == name)


def in_groups(columns: Mapping[str, npt.NDArray[np.int64]]) -> list[tuple[list[int], npt.NDArray[np.intp]]]:
    """Each combination of keys that occurs, in order, null last, with its rows."""
    last = np.iinfo(np.int64).max
    table = np.stack([np.where(codes < 0, last, codes) for codes in columns.values()], axis=1)
    found, which = np.unique(table, axis=0, return_inverse=True)
    return [
        ([-1 if value == last else value for value in values], np.flatnonzero(which.reshape(-1) == group))
        for group, values in enumerate(found.tolist())
    ]


def tally(rows: Table, where: npt.NDArray[np.intp]) -> dict[str, int]:
    counted = np.bincount(rows["outcome"][where], minlength=len(OUTCOMES)).tolist()
    return dict(zip(OUTCOMES, counted, strict=True))


def figures(rows: Table, where: npt.NDArray[np.intp]) -> dict[str, Any]:
    counted = tally(rows, where)
    judged = sum(counted[outcome] for outcome in JUDGED)
    outcome = rows["outcome"][where]
    is_judged = np.isin(outcome, [OUTCOMES.index(one) for one in JUDGED])
    rushed = is_judged | (outcome == OUTCOMES.index(FREE))
    pressures, out_of = int(rows["pressure"][where][rushed].sum()), int(rushed.sum())
    said: dict[str, Any] = {"reps": len(where), **counted, "judged": judged}
    said |= share("beat", counted[BEAT], judged)
    said |= {"small": judged < FEW, "pressures": pressures}
    said |= share("pressure", pressures, out_of)
    said["ball_out"] = int(rows["ball_out"][where].sum())
    for name in MEDIANS:
        values = rows[name][where][is_judged]
        values = values[~np.isnan(values)]
        said[f"median_{name}"] = float(np.median(values)) if len(values) else math.nan
    return said


def share(name: str, count: int, of: int) -> dict[str, float]:
    low, high = wilson(count, of)
    return {f"{name}_share": count / of if of else math.nan, f"{name}_low": low, f"{name}_high": high}


def kind_of(name: str) -> pa.DataType:
    import pyarrow as pa

    if name in ("small", "helped"):
        return pa.bool_()
    if name.endswith(("_share", "_low", "_high")) or name.startswith("median_"):
        return pa.float64()
    return pa.string() if name in (*KEYS, "left_out") else pa.int32()
