"""What the rise in pressure depends on."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from .._core import Assumptions, InputError
from ..base.checks import whole
from ..base.progress import Progress, progress_of, threads_of
from ..base.tables import table_of
from .pairs import matched_difference, pair_counts
from .plan import MOST_DRAWS, OUTCOMES, Plan, part, two_depths

if TYPE_CHECKING:
    import pyarrow as pa

BENDS = ("kick_speed", "run_speed", "grip", "reach", "end_speed", "a_lat", "hold", "opens_at", "hands_won", "push")
BY = 0.2  # how far each of them is moved, as a share


def sensitivity(plan: Plan, depths: Sequence[float], draws: int, threads: int | None, progress: Progress) -> pa.Table:
    """See Simulation.sensitivity."""
    first, second = two_depths(depths, plan.formation)
    count, cases = threads_of(threads), list(bent(plan, whole("draws", draws, 1, MOST_DRAWS)))
    rows = []
    with progress_of(progress, "draws") as shows:
        for k, (name, change, value, plan) in enumerate(cases):
            counts = pair_counts(plan, first, plan, second, "clock", count, part(shows, k, len(cases), draws))
            neither, only_first, only_second, both = counts[OUTCOMES.index("hurried")]
            rise, low, high = matched_difference(neither, only_first, only_second, both)
            said = {"assumption": name, "change": change, "value": value, "draws": draws}
            said |= {"shallow": (only_first + both) / draws, "deep": (only_second + both) / draws}
            rows.append({**said, "rise": rise, "low": low, "high": high})
    return table_of(rows)


def bent(plan: Plan, draws: int) -> Iterable[tuple[str, float, float, Plan]]:
    """The plan as assumed, then with each of BENDS lower and higher if that is accepted: name, change, value, plan."""
    yield "as assumed", 0.0, math.nan, replace(plan, draws=draws)
    values = plan.assumptions.as_dict()
    for name in BENDS:
        for change in (-BY, BY):
            factor = 1 + change
            value = (plan.hold if name == "hold" else values[name]) * factor
            try:
                if name == "hold":
                    bends = replace(plan, draws=draws, hold=value)
                else:
                    changed = Assumptions(**{**values, name: value})
                    men = plan.formation.scaled(name, factor)
                    bends = replace(plan, draws=draws, assumptions=changed, formation=men)
            except InputError:
                continue
            yield name, change, value, bends
