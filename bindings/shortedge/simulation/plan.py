"""What a study is made with.

All of it is conditional on the assumptions (`Assumptions`), of which none is measured.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args

from .. import _core
from .._core import Assumptions, InputError
from ..base.checks import chosen_word, number, whole
from ..base.text import shown
from ..measures.drops import sequence
from .formations import Formation

Throw = Literal["clock", "grows", "fixed"]
Clock = Literal["drawn", "quick", "late"]
HOLD, HOLD_SD, SECOND_TAKES = 0.65, 0.15, 0.5  # s after the top, of its logarithm, s more for a second read
SECOND_READ = {"drawn": 0.3, "quick": 0.0, "late": 1.0}  # share of draws that make one
DEPTHS = (5.0, 7.0, 9.0, 10.0)
OF_DEPTH = 7.0  # yd, the drop `throw` is for
DEEPEST = 30.0  # yd
STEP = 0.01  # s
MOST_DRAWS = 1_000_000_000
SHARES = ("arrived", "pressure", "hurried", "hips")
OUTCOMES = (*SHARES, "hips_early")
QUANTILES = ("hips_time", "arrival_time", "cutoff", "exposure")
PERCENTS = (10, 50, 90)
RISE = (7.0, 10.0)  # yd
RISE_DRAWS = 1000

CONDITIONAL = (
    "Conditional on assumptions of which none is measured; a share is of simulated draws, not a chance on the field."
)
MISSING = "Which case is harder can be trusted where HOW_RIGHT.md (core/simulate) says pass; how hard it is, never."


@dataclass(frozen=True)
class Plan:
    """What a study is made with. clock, hold: of the throw by the clock (`simulate`). throw: s after the snap of a drop
    of seven yards, throw_sd: s, throw_per_yard: s a yard deeper; step: s."""

    formation: Formation
    assumptions: Assumptions
    draws: int = 2000
    seed: int = 1
    throw: float = 2.7
    throw_sd: float = 0.3
    throw_per_yard: float = 0.12
    step: float = STEP
    clock: Clock = "drawn"
    hold: float = HOLD

    def __post_init__(self) -> None:
        if not isinstance(self.formation, Formation):
            raise InputError(f"f is {type(self.formation).__name__}; accepted: a Formation, made by formation(...)")
        if not isinstance(self.assumptions, Assumptions):
            raise InputError(f"assumptions is {shown(self.assumptions)}; accepted: Assumptions(...)")
        whole("draws", self.draws, 1, MOST_DRAWS)
        whole("seed", self.seed, 0, 2**64 - 1)
        number("throw", self.throw, 0.5, 10, "s")
        number("throw_sd", self.throw_sd, 0, 2, "s")
        number("throw_per_yard", self.throw_per_yard, -1, 1, "s/yd")
        number("step", self.step, 1e-4, 0.02, "s")
        number("hold", self.hold, 0, 5, "s")
        chosen_word("clock", self.clock, tuple(SECOND_READ))

    def throws(self, kind: Throw) -> tuple[bool, list[float]]:
        """As the compiled side takes them."""
        if kind == "clock":
            return True, [self.hold, HOLD_SD, SECOND_READ[self.clock], SECOND_TAKES]
        return False, [self.throw, self.throw_sd, self.throw_per_yard if kind == "grows" else 0.0]

    def thrown(self, kind: Throw, depth: float, top: float) -> float:
        """s: when the ball is to be thrown, in the middle; top: s, of the drop."""
        if kind == "clock":
            return max(0.5, top + self.hold + (SECOND_TAKES if self.clock == "late" else 0.0))
        _, (time, _, per_yard) = self.throws(kind)
        return max(0.5, time + per_yard * (depth - OF_DEPTH))

    def kinds(self) -> tuple[Throw, ...]:
        return get_args(Throw) if self.throw_per_yard else ("clock", "fixed")

    def as_dict(self) -> dict[str, Any]:
        return {
            "library_version": _core.__version__,
            "formation": self.formation.as_dict(),
            "assumptions": self.assumptions.as_dict(),
            "draws": int(self.draws),
            "seed": int(self.seed),
            "throw": float(self.throw),
            "throw_sd": float(self.throw_sd),
            "throw_per_yard": float(self.throw_per_yard),
            "step": float(self.step),
            "clock": self.clock,
            "hold": float(self.hold),
        }

    def depth(self, kind: Throw, depth: float, threads: int, progress: Callable[[int, int], object] | None) -> Any:
        return _core.simulate_depth(
            self.formation.core,
            self.assumptions,
            self.throws(kind),
            depth,
            self.seed,
            self.draws,
            self.step,
            threads,
            progress,
        )

    def rep(self, kind: Throw, depth: float, draw: int | None, rate: float) -> _core.SimulatedRep:
        """One play up to a second after the throw. draw None: every man as assumed."""
        return _core.simulate_rep(
            self.formation.core,
            self.assumptions,
            self.throws(kind),
            depth,
            self.seed,
            draw,
            1.0,
            1 / rate,
            self.step,
        )


def checked_depths(depths: Sequence[float], f: Formation) -> tuple[float, ...]:
    wanted = sequence("depths", depths).tolist()
    for depth in wanted:
        number("depths", depth, f.passer[1], DEEPEST, "yd (from where the passer takes the snap on)")
    if len(set(wanted)) < len(wanted):
        raise InputError(f"depths is {shown(list(depths))}; accepted: each once")
    return tuple(wanted)


def two_depths(depths: Sequence[float], f: Formation) -> tuple[float, float]:
    wanted = checked_depths(depths, f)
    if len(wanted) != 2:
        raise InputError(f"depths is {shown(depths)}; accepted: two depths")
    return wanted[0], wanted[1]


def part(
    shows: Callable[[int, int], object] | None, k: int, parts: int, draws: int
) -> Callable[[int, int], object] | None:
    """Progress of one of several parts, as progress of the whole."""
    return None if shows is None else lambda done, _: shows(k * draws + done, parts * draws)


def rise_text(rows: Sequence[Mapping[str, Any]]) -> str:
    """What the rise from the shallowest to the deepest drop depends on, in words; "" without two depths."""
    depths = sorted({row["depth"] for row in rows})
    if len(depths) < 2:
        return ""
    first, last = depths[0], depths[-1]
    share = {(row["throw"], row["depth"]): row["hurried"] for row in rows}
    called = {"clock": "by the clock", "grows": "with a throw that grows", "fixed": "with a fixed throw"}
    said = [
        f"{100 * (share[kind, last] - share[kind, first]):+.0f} points {name}"
        for kind, name in called.items()
        if (kind, first) in share and (kind, last) in share
    ]
    return (
        f"From {first:g} to {last:g} yd the share hurried moves by {', '.join(said)}: "
        "past 9 yd the rise is the clock's, how much longer the ball is held. "
        "That deeper is harder is supported; how hard it is, as a level, is not."
    )
