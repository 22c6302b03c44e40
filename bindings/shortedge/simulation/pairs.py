"""The same draws twice: at two depths, of two formations, or under two assumptions."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from .. import _core
from .._core import Assumptions, InputError
from ..base.progress import Progress, progress_of, threads_of
from ..base.tables import given_out, table_of
from ..base.text import shown
from ..measures.summary import Z
from .formations import Formation
from .fronts import formation
from .plan import CONDITIONAL, HOLD, MISSING, OUTCOMES, RISE, STEP, Clock, Plan, Throw, checked_depths, part

if TYPE_CHECKING:
    import pyarrow as pa


def paired(
    f: Formation | None = None,
    against: Formation | None = None,
    *,
    depths: Sequence[float] | float = RISE,
    draws: int = 2000,
    seed: int = 1,
    throw: float = 2.7,
    throw_sd: float = 0.3,
    throw_per_yard: float = 0.12,
    assumptions: Assumptions | None = None,
    against_assumptions: Assumptions | None = None,
    threads: int | None = None,
    progress: Progress = None,
    step: float = STEP,
    clock: Clock = "drawn",
    hold: float = HOLD,
) -> Paired:
    """The same draws twice: at two depths, of two formations, or under two assumptions; second less first.

    f, assumptions at the first of `depths` against `against` (None: f), `against_assumptions` (None: assumptions) at
    the second; one number is both. The rest as in `simulate`.
    """
    one = Plan(
        formation() if f is None else f,
        Assumptions() if assumptions is None else assumptions,
        draws,
        seed,
        throw,
        throw_sd,
        throw_per_yard,
        step,
        clock,
        hold,
    )
    other = replace(
        one,
        formation=one.formation if against is None else against,
        assumptions=one.assumptions if against_assumptions is None else against_assumptions,
    )
    both = [depths, depths] if isinstance(depths, int | float | np.integer) else list(depths)
    if len(both) != 2:
        raise InputError(f"depths is {shown(depths)}; accepted: two depths, or one for both sides")
    (first,), (second,) = checked_depths(both[:1], one.formation), checked_depths(both[1:], other.formation)
    count, kinds = threads_of(threads), one.kinds()
    with progress_of(progress, "draws") as shows:
        counts = {
            kind: pair_counts(one, first, other, second, kind, count, part(shows, k, len(kinds), draws))
            for k, kind in enumerate(kinds)
        }
    return Paired(one, other, (first, second), counts)


@dataclass(eq=False, repr=False)
class Paired:
    """Two sides on the same draws: `table`. Conditional on the assumptions, as every study."""

    first: Plan
    second: Plan
    depths: tuple[float, float]
    counts: dict[
        Throw, Any
    ]  # (5, 4): arrived, pressure, hurried, hips, hips_early; neither, first alone, second alone, both

    def __repr__(self) -> str:
        rows = "".join(
            f"\n  {row['throw']:5} {row['outcome']:10} {row['difference']:+.3f} "
            f"({row['low']:+.3f} to {row['high']:+.3f})"
            for row in self.arrow().to_pylist()
        )
        shallow, deep = self.depths
        return f"Paired({shallow:g} against {deep:g} yd, {self.first.draws} draws, 95 %){rows}\n{CONDITIONAL} {MISSING}"

    @property
    def table(self) -> Any:
        """A row a throw (clock, grows, fixed) and outcome (arrived, pressure, hurried, hips, hips_early): throw,
        outcome, draws, first, second (shares), only_first, only_second, both, neither (draws), difference (second less
        first), low, high: 95 % for matched pairs (Agresti & Min 2005: Wald's with half a draw added to each of the four
        counts). per_yard and its interval: what one more yard costs, NaN where the depths are the same or the sides
        differ in more."""
        return given_out(self.arrow())

    def arrow(self) -> pa.Table:
        """`table` as an Arrow table."""
        yards = self.depths[1] - self.depths[0]
        alike = self.first.as_dict() == self.second.as_dict()
        each = 1 / yards if alike and yards else math.nan
        rows = []
        for kind, counts in self.counts.items():
            for name, (neither, first, second, both) in zip(OUTCOMES, counts, strict=True):
                draws = neither + first + second + both
                difference = matched_difference(neither, first, second, both)
                said = {"throw": kind, "outcome": name, "draws": draws}
                said |= {"first": (first + both) / draws, "second": (second + both) / draws}
                said |= {"only_first": first, "only_second": second, "both": both, "neither": neither}
                said |= dict(zip(("difference", "low", "high"), difference, strict=True))
                per_yard = sorted(value * each for value in difference[1:])
                said |= {"per_yard": difference[0] * each, "per_yard_low": per_yard[0], "per_yard_high": per_yard[1]}
                rows.append(said)
        return table_of(rows)


def pair_counts(
    one: Plan,
    first: float,
    other: Plan,
    second: float,
    kind: Throw,
    threads: int,
    progress: Callable[[int, int], object] | None,
) -> list[list[int]]:
    sides = [
        (plan.formation.core, plan.assumptions, plan.throws(kind), depth)
        for plan, depth in ((one, first), (other, second))
    ]
    found = _core.simulate_pair(sides[0], sides[1], one.seed, one.draws, one.step, threads, progress)
    if found is None:
        raise KeyboardInterrupt
    return found.tolist()  # type: ignore[no-any-return]


def matched_difference(neither: int, first: int, second: int, both: int) -> tuple[float, float, float]:
    """Second share less first share of matched pairs, and its 95 % interval: Wald's after half a pair is added to each
    of the four counts (Agresti & Min 2005, "Simple improved confidence intervals for comparing matched proportions",
    Statistics in Medicine 24:729-740)."""
    pairs = neither + first + second + both
    more, less, of = second + 0.5, first + 0.5, pairs + 2
    middle = (more - less) / of
    half = Z * math.sqrt(more + less - (more - less) ** 2 / of) / of
    return (second - first) / pairs, max(-1.0, middle - half), min(1.0, middle + half)
