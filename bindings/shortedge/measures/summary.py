"""Counts and shares of reps, with their denominators and intervals."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from .._core import InputError
from ..base.text import listed, shown
from ..base.vocabulary import BAD, BAD_SNAP, BEAT, EXCHANGES, FOUND, FREE, JUDGED, LOST, OF_A_PAIR, OUTCOMES, SNAPS
from .splits import DEPTHS as DEPTHS
from .splits import Splitting, Table, in_groups, key_type
from .splits import described as described

if TYPE_CHECKING:
    import pyarrow as pa

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
    title: str,
    rows: Table,
    measured: Table | None,
    splitting: Splitting,
    by: str | Sequence[str] | None,
    without_label: Sequence[str],
) -> pa.Table:
    """See Reps.summary. `measured`: the same rows without corrections, when there are any; all tables by codes."""
    import pyarrow as pa

    keys = splitting.checked(title, by)
    labels, dropbacks = splitting.names["labels"], splitting.dropbacks
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
        columns = {name: splitting.column(title, name, table) for name in keys}
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
        said |= FIGURES[title](rows, where)
        if measured is not None:
            said["corrected"] = int(rows["corrected"][where].sum())
            was = tally(measured, before.get(values, nothing))
            said |= {f"{outcome}_measured": was[outcome] for outcome in OF_A_PAIR}
        for name, value in said.items():
            made.setdefault(name, []).append(value)
    kinds = {name: key_type(value for value in made[name] if value is not None) for name in keys}
    return pa.table({name: pa.array(values, kinds.get(name) or kind_of(name)) for name, values in made.items()})


def check_labels(wanted: Sequence[str], labels: Iterable[str]) -> None:
    """InputError for a label no play has, which would silently leave nothing out."""
    there = list(labels)
    if isinstance(wanted, str):
        raise InputError(f"without_label is {shown(wanted)}; accepted: a list of labels, such as [{shown(wanted)}]")
    for label in wanted:
        if label not in there:
            raise InputError(f"no play has the label {shown(label)}; labels: {listed(there) if there else 'none'}")


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
    return said | {f"median_{name}": median(rows[name][where][is_judged]) for name in MEDIANS}


def exchange_figures(rows: Table, where: npt.NDArray[np.intp]) -> dict[str, Any]:
    """Of exchanges: how many of each kind; of those handed over how many late, how many lost."""
    kinds = np.bincount(rows["kind"][where], minlength=len(EXCHANGES)).tolist()
    handed = rows["kind"][where] != EXCHANGES.index("stayed")
    outcome = rows["outcome"][where]
    out_of, late = int(handed.sum()), int(rows["late"][where].sum())
    lost = int((handed & np.isin(outcome, [OUTCOMES.index(one) for one in LOST])).sum())
    said: dict[str, Any] = {"exchanges": len(where)}
    said |= {kind.replace("-", "_"): count for kind, count in zip(EXCHANGES, kinds, strict=True)}
    said |= {"handed_over": out_of, "late": late} | share("late", late, out_of) | {"lost": lost}
    return said | share("lost", lost, out_of) | {"small": out_of < FEW}


def search_figures(rows: Table, where: npt.NDArray[np.intp]) -> dict[str, Any]:
    """Of searches: what was found how often, and of those who found how long it took and how far they went."""
    found = rows["found"][where]
    counted = np.bincount(found, minlength=len(FOUND)).tolist()
    came_upon = len(where) - counted[FOUND.index("nobody")]
    said: dict[str, Any] = {"searches": len(where)}
    said |= {f"found_{what}": count for what, count in zip(FOUND, counted, strict=True)}
    said |= share("found", came_upon, len(where)) | {"small": len(where) < FEW}
    there = where[found != FOUND.index("nobody")]
    said["median_seconds"] = median(rows["end"][there] - rows["start"][there])
    return said | {"median_distance": median(rows["distance"][there])}


def look_figures(rows: Table, where: npt.NDArray[np.intp]) -> dict[str, Any]:
    """Of looks: how often who showed it came."""
    came = int(rows["rushed"][where].sum())
    said: dict[str, Any] = {"looks": len(where), "came": came} | share("came", came, len(where))
    return said | {"small": len(where) < FEW, "median_came_at": median(rows["came"][where])}


def median(values: npt.NDArray[Any]) -> float:
    known = values[~np.isnan(values)]
    return float(np.median(known)) if len(known) else math.nan


FIGURES: dict[str, Callable[[Table, npt.NDArray[np.intp]], dict[str, Any]]] = {
    "reps": figures,
    "exchanges": exchange_figures,
    "searches": search_figures,
    "looks": look_figures,
}


def share(name: str, count: int, of: int) -> dict[str, float]:
    low, high = wilson(count, of)
    return {f"{name}_share": count / of if of else math.nan, f"{name}_low": low, f"{name}_high": high}


def kind_of(name: str) -> pa.DataType:
    import pyarrow as pa

    if name == "small":
        return pa.bool_()
    if name.endswith(("_share", "_low", "_high")) or name.startswith("median_"):
        return pa.float64()
    return pa.string() if name == "left_out" else pa.int32()
