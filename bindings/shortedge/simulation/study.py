"""Drop studies by simulation: shares over the depth of the drop, paired comparisons, and what they hang on.

All of it is conditional on the assumptions (`Assumptions`), of which none is measured.
"""

from __future__ import annotations

import json
import math
import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, get_args

import numpy as np

from .. import _core
from .._core import Assumptions, FileError, InputError
from ..base.files import write_whole
from ..base.progress import Progress, progress_of, threads_of
from ..base.tables import first_line, given_out, listed, shown
from ..game.game import Game
from ..measures.drops import break_even_depth, save_table, sequence, table_path
from ..measures.summary import Z, wilson
from .as_game import Take, as_game
from .formations import Formation, formation, number, plain_json

if TYPE_CHECKING:
    import pyarrow as pa

Throw = Literal["grows", "fixed"]

DEPTHS = (5.0, 7.0, 9.0, 10.0)
OF_DEPTH = 7.0  # yd, the drop `throw` is for
DEEPEST = 30.0  # yd
CLEAR = 3.0  # yd: shallower than that a still frame says little of the drop
STEP = 0.005  # s
MOST_DRAWS = 1_000_000_000
SHARES = ("arrived", "pressure", "hips")
OUTCOMES = (*SHARES, "hips_early")
QUANTILES = ("hips_time", "arrival_time", "cutoff", "exposure")
PERCENTS = (10, 50, 90)
BENDS = ("kick_speed", "run_speed", "grip", "reach", "end_speed", "a_lat", "throw", "opens_at")
BY = 0.2  # how far each of them is moved, as a share
RISE = (7.0, 10.0)  # yd
RISE_DRAWS = 1000
FORMAT = "shortedge simulation 1"
LARGEST = 50_000_000  # bytes of a file of finished depths

CONDITIONAL = (
    "Conditional on assumptions of which none is measured; a share is of simulated draws, not a chance on the field."
)
MISSING = "Not in it: moves and counters, a passer who reacts, inside pressure from a push."


class Interrupted(KeyboardInterrupt):
    """Ctrl-C in a study; `study` holds the depths that were finished."""

    def __init__(self, study: Simulation) -> None:
        super().__init__("interrupted")
        self.study = study


@dataclass(frozen=True)
class Plan:
    """What a study is made with. throw: s after the snap of a drop of seven yards, throw_sd: s, throw_per_yard: s a
    yard deeper; step: s."""

    formation: Formation
    assumptions: Assumptions
    draws: int = 2000
    seed: int = 1
    throw: float = 2.7
    throw_sd: float = 0.3
    throw_per_yard: float = 0.12
    step: float = STEP

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

    def throws(self, kind: Throw) -> tuple[float, float, float]:
        """As the compiled side takes them."""
        return self.throw, self.throw_sd, self.throw_per_yard if kind == "grows" else 0.0

    def thrown(self, kind: Throw, depth: float) -> float:
        """s: when the ball is thrown, in the middle."""
        time, _, per_yard = self.throws(kind)
        return max(0.5, time + per_yard * (depth - OF_DEPTH))

    def kinds(self) -> tuple[Throw, ...]:
        return get_args(Throw) if self.throw_per_yard else ("fixed",)

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


def simulate(
    f: Formation | None = None,
    depths: Sequence[float] | None = None,
    draws: int = 2000,
    seed: int = 1,
    throw: float = 2.7,
    throw_sd: float = 0.3,
    throw_per_yard: float = 0.12,
    assumptions: Assumptions | None = None,
    threads: int | None = None,
    out: str | os.PathLike[str] | None = None,
    progress: Progress = None,
    step: float = STEP,
) -> Simulation:
    """Plays one formation many times at each depth of the drop.

    f: None: the base case, `formation()`. depths: yd; None: 5, 7, 9, 10, those behind where the passer takes the snap.
    throw: s after the snap, of a drop of seven yards, normal with throw_sd; a throw that grows comes throw_per_yard s
    later for each yard more. Each depth is run with the throw growing and with it fixed. assumptions: of the men
    (`Assumptions(kick_speed=2.4)`). Draw n is the same man for man whatever the depth, and in any formation with as
    many rushers: protectors added last change nobody, a rusher more changes what the protectors draw. The results are
    the same to the bit for any number of threads.

    out: a file (JSON) that keeps finished depths, so that Ctrl-C (which raises Interrupted, a KeyboardInterrupt with
    `.study`) loses none; the same call again goes on where it stopped and gives what it would have given. A file made
    with anything else is refused. progress: as in `measure`, in draws. Raises InputError before any work.
    """
    plan = Plan(
        formation() if f is None else f,
        Assumptions() if assumptions is None else assumptions,
        draws,
        seed,
        throw,
        throw_sd,
        throw_per_yard,
        step,
    )
    if depths is None:
        depths = [depth for depth in DEPTHS if depth >= plan.formation.passer[1]]
    wanted = checked_depths(depths, plan.formation)
    count = threads_of(threads)
    study = Simulation(plan, wanted)
    keep = None if out is None else Path(out)
    if keep is not None and keep.exists():
        study.finished.update(kept(keep, plan))
    ahead = [(kind, depth) for depth in wanted for kind in plan.kinds() if (kind, depth) not in study.finished]
    try:
        with progress_of(progress, "draws") as shows:
            for k, (kind, depth) in enumerate(ahead):
                same = ("grows" if kind == "fixed" else "fixed", depth)
                if same in study.finished and plan.thrown("grows", depth) == plan.thrown("fixed", depth):
                    found = study.finished[same]
                else:
                    found = plan.depth(kind, depth, count, part(shows, k, len(ahead), plan.draws))
                    if found is None:
                        raise KeyboardInterrupt
                study.finished[kind, depth] = found
                if keep is not None:
                    write_whole(keep, kept_text(study).encode())
    except KeyboardInterrupt:
        raise Interrupted(study) from None
    return study


@dataclass(eq=False, repr=False)
class Simulation:
    """A drop study by simulation: `table`, `protectors`, `break_even`, `sensitivity`, `draw()`, `game()`, `save()`."""

    plan: Plan
    depths: tuple[float, ...]
    finished: dict[tuple[str, float], Any] = field(default_factory=dict)

    def __repr__(self) -> str:
        depths = ", ".join(f"{depth:g}" for depth in self.depths)
        return (
            f"Simulation(depths {depths} yd, {self.plan.draws} draws, seed {self.plan.seed}, {self.plan.formation})\n"
            f"{CONDITIONAL} {MISSING} See .sensitivity."
        )

    @property
    def table(self) -> Any:
        """A row a throw (grows, fixed) and depth: throw, depth (yd), draws, then of all draws the share with an arrival
        before the throw, with pressure, with hips opened, each with its Wilson 95 % interval; hips_early, the share
        opened by 1.2 s; the 10, 50 and 90 % quantiles of the time of opening and of arrival (s; of those draws that had
        it; NaN where none had), of the peak cut-off ratio to the spot up to engagement and of the outside exposure (the
        greatest of any man's, to the throw); top_time, throw_time (s, of the middle). A quantile of times past 12 s or
        of ratios past 10 is infinite."""
        return given_out(self.arrow())

    @property
    def protectors(self) -> Any:
        """The same for each protector: arrivals and pressures are charged to the man who had the rusher. NaN: the
        cut-off ratio and exposure of a man without a rusher and of one who chips, the exposure of a centre."""
        return given_out(self.protectors_arrow())

    @property
    def break_even(self) -> Any:
        """The closed form beside it, a row an outside protector who has a rusher: protector, rusher, speed_ratio (his
        kick speed over the rusher's mean speed on the straight line to a spot seven yards deep, from rest), break_even
        (yd; positions at the snap, so only an ordering; infinite: no depth loses him the angle, NaN: he has not got it
        where the passer begins)."""
        return given_out(self.break_even_arrow())

    @property
    def sensitivity(self) -> Any:
        """What the rise in pressure from 7 to 10 yd hangs on, 1,000 draws each; see `sensitive`."""
        return given_out(self.sensitivity_arrow)

    def sensitive(
        self,
        depths: Sequence[float] = RISE,
        draws: int = RISE_DRAWS,
        threads: int | None = None,
        progress: Progress = None,
    ) -> Any:
        """The rise in the share with pressure from one depth to another, as assumed and with each of the assumptions
        that bend it most 20 % lower and higher: assumption ("as assumed" first, without a value: NaN), change, value,
        draws, shallow, deep (shares), rise, low, high (95 %, paired draws; the throw growing). A row whose assumption
        would leave its accepted range is left out."""
        return given_out(self.sensitive_arrow(depths, draws, threads, progress))

    def game(
        self, depth: float, draws: Iterable[int] | None = range(20), rate: float = 10.0, throw: Throw = "grows"
    ) -> Game:
        """Simulated plays as a game, to measure, draw and play like any other; labelled "simulated".

        draws: which of the study's; None: one play, every man as assumed. rate: samples a second, 5 to 100 and at most
        one a step, rounded to whole steps of the study (of 0.005 s: 30 gives 28.6).
        """
        (wanted,) = checked_depths([depth], self.plan.formation)
        number("rate", rate, 5, min(100, 1 / self.plan.step), "samples a second")
        kind = self.kind(throw)
        numbers = [None] if draws is None else [whole("draws", draw, 0, MOST_DRAWS) for draw in draws]
        if not numbers:
            raise InputError("draws is empty; accepted: one number or more, None")
        takes = [
            Take(
                f"{wanted:g} yd, {'as assumed' if draw is None else f'draw {draw}'}",
                self.plan.formation,
                self.plan.rep(kind, wanted, draw, rate),
            )
            for draw in numbers
        ]
        return as_game(takes, f"simulated, {wanted:g} yd, seed {self.plan.seed}")

    def save(self, path: str | os.PathLike[str]) -> None:
        """Keeps the table: .csv, or .parquet with everything it was made with. What stood there is whole until the new
        file is. Raises FileError."""
        about = {
            key: value if isinstance(value, str) else json.dumps(value) for key, value in self.plan.as_dict().items()
        }
        save_table(self.arrow(), table_path(path), about)

    def kind(self, throw: str) -> Throw:
        if throw not in get_args(Throw):
            raise InputError(f"throw is {shown(throw)}; accepted: {listed(get_args(Throw))}")
        return throw  # type: ignore[return-value]

    def rows(self) -> list[tuple[str, float, Any]]:
        """Throw, depth and what was counted, of every depth that is finished."""
        return [
            (kind, depth, self.finished[kind, depth])
            for kind in self.plan.kinds()
            for depth in self.depths
            if (kind, depth) in self.finished
        ]

    def arrow(self) -> pa.Table:
        """`table` as an Arrow table."""
        return table_of([self.figures(kind, depth, found, found) for kind, depth, found in self.rows()])

    def protectors_arrow(self) -> pa.Table:
        """`protectors` as an Arrow table."""
        men = self.plan.formation.protectors
        return table_of(
            [
                {"protector": man.name, **self.figures(kind, depth, found, of)}
                for k, man in enumerate(men)
                for kind, depth, found in self.rows()
                for of in (found["protectors"][k],)
            ]
        )

    def figures(self, kind: str, depth: float, found: Any, of: Any) -> dict[str, Any]:
        draws = int(found["draws"])
        row: dict[str, Any] = {"throw": kind, "depth": depth, "draws": draws}
        for name in SHARES:
            row[name] = of[name] / draws
            row[f"{name}_low"], row[f"{name}_high"] = wilson(int(of[name]), draws)
        row["hips_early"] = of["hips_early"] / draws
        for name in QUANTILES:
            row |= {f"{name}_{percent}": value for percent, value in zip(PERCENTS, of[name], strict=True)}
        return row | {"top_time": found["top_time"], "throw_time": self.plan.thrown(self.kind(kind), depth)}

    def break_even_arrow(self) -> pa.Table:
        """`break_even` as an Arrow table."""
        return table_of(list(map(dict, break_evens(self.plan))))

    @cached_property
    def sensitivity_arrow(self) -> pa.Table:
        """`sensitivity` as an Arrow table."""
        return self.sensitive_arrow()

    def sensitive_arrow(
        self,
        depths: Sequence[float] = RISE,
        draws: int = RISE_DRAWS,
        threads: int | None = None,
        progress: Progress = None,
    ) -> pa.Table:
        """`sensitive` as an Arrow table."""
        first, second = two_depths(depths, self.plan.formation)
        count, cases = threads_of(threads), list(bent(self.plan, whole("draws", draws, 1, MOST_DRAWS)))
        rows = []
        with progress_of(progress, "draws") as shows:
            for k, (name, change, value, plan) in enumerate(cases):
                counts = pair_counts(plan, first, plan, second, "grows", count, part(shows, k, len(cases), draws))
                neither, only_first, only_second, both = counts[OUTCOMES.index("pressure")]
                rise, low, high = matched_difference(neither, only_first, only_second, both)
                said = {"assumption": name, "change": change, "value": value, "draws": draws}
                said |= {"shallow": (only_first + both) / draws, "deep": (only_second + both) / draws}
                rows.append({**said, "rise": rise, "low": low, "high": high})
        return table_of(rows)


# ----------------------------------------------------------------------------------------------------- pairs


def paired(
    f: Formation | None = None,
    depths: Sequence[float] | float = RISE,
    against: Formation | None = None,
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
    counts: dict[Throw, Any]  # (4, 4): arrived, pressure, hips, hips_early; neither, first alone, second alone, both

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
        """A row a throw (grows, fixed) and outcome (arrived, pressure, hips, hips_early): throw, outcome, draws, first,
        second (shares), only_first, only_second, both, neither (draws), difference (second less first), low, high: 95 %
        for matched pairs (Agresti & Min 2005: Wald's with half a draw added to each of the four counts). per_yard and
        its interval: what one more yard costs, NaN where the depths are the same or the sides differ in more."""
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


def bent(plan: Plan, draws: int) -> Iterable[tuple[str, float, float, Plan]]:
    """The plan as assumed, then with each of BENDS lower and higher if that is accepted: name, change, value, plan."""
    yield "as assumed", 0.0, math.nan, replace(plan, draws=draws)
    values = plan.assumptions.as_dict()
    for name in BENDS:
        for change in (-BY, BY):
            factor = 1 + change
            value = (plan.throw if name == "throw" else values[name]) * factor
            try:
                if name == "throw":
                    bends = replace(plan, draws=draws, throw=value)
                else:
                    changed = Assumptions(**{**values, name: value})
                    men = plan.formation.scaled(name, factor)
                    bends = replace(plan, draws=draws, assumptions=changed, formation=men)
            except InputError:
                continue
            yield name, change, value, bends


# ------------------------------------------------------------------------------------------------ closed form


def break_evens(plan: Plan) -> Iterable[Mapping[str, Any]]:
    """See Simulation.break_even."""
    f, a = plan.formation, plan.assumptions
    by_name = {one.name: one for one in f.rushers}
    u, v = f.passer
    for man in f.protectors:
        rusher = by_name.get(man.man)
        if rusher is None or rusher.inside or man.job == "chip":
            continue
        top = a.end_speed if math.isnan(rusher.top_speed) else rusher.top_speed
        tau = a.tau if math.isnan(rusher.tau) else rusher.tau
        kick = a.kick_speed if math.isnan(man.kick_speed) else man.kick_speed
        way = math.dist(rusher.at, (u, max(OF_DEPTH, v)))
        share = kick * sprint_time(way, top, tau) / way
        deep = break_even_depth(rusher.at, man.at, (u, max(v, CLEAR)), share)
        yield {"protector": man.name, "rusher": rusher.name, "speed_ratio": share, "break_even": deep}


def sprint_time(way: float, top: float, tau: float) -> float:
    """s from rest over a straight way, v = top (1 - exp(-t / tau)): Newton's method, from above, on a convex way."""
    time = way / top + tau
    for _ in range(50):
        gone = top * (time - tau * (1 - math.exp(-time / tau)))
        step = (gone - way) / (top * (1 - math.exp(-time / tau)))
        time -= step
        if abs(step) < 1e-12:
            break
    return time


# ------------------------------------------------------------------------------------------- finished depths


def kept_text(study: Simulation) -> str:
    """Finished depths as JSON; numbers come back to the bit."""
    rows = [
        {"throw": kind, "depth": depth, "counted": plain_json(found)} for (kind, depth), found in study.finished.items()
    ]
    page = {"format": FORMAT, "made_with": study.plan.as_dict(), "finished": rows}
    return json.dumps(page, allow_nan=False, indent=1) + "\n"


def kept(path: Path, plan: Plan) -> dict[tuple[str, float], Any]:
    """The finished depths of a file; FileError for another file, InputError for one made with anything else."""
    try:
        if path.stat().st_size > LARGEST:
            raise FileError(f"{path}: is larger than a study's file can be; it is left as it is")
        page = json.loads(path.read_text(encoding="utf-8"))
        if page["format"] != FORMAT:
            raise ValueError("another format")
        made_with, rows = dict(page["made_with"]), list(page["finished"])
        found = {(str(row["throw"]), float(row["depth"])): counted(row["counted"]) for row in rows}
    except OSError as why:
        raise why if isinstance(why, FileError) else FileError(f"{path}: {why.strerror or first_line(why)}") from why
    except (ValueError, KeyError, TypeError, OverflowError, RecursionError) as why:
        raise FileError(f"{path}: is no file of finished depths of a simulation; it is left as it is") from why
    difference = differs(plan.as_dict(), made_with)
    if difference:
        raise InputError(f"out {shown(str(path))}: {difference}; accepted: the same, or another file")
    return found


def counted(row: Any) -> dict[str, Any]:
    """One depth as the compiled side gave it; ValueError for anything else."""
    whole_numbers, numbers = ("arrived", "pressure", "hips", "hips_early"), ("depth", "top_time")

    def outcomes(of: Any) -> dict[str, Any]:
        shares = {name: int(of[name]) for name in whole_numbers}
        lists = {name: [math.nan if value is None else float(value) for value in of[name]] for name in QUANTILES}
        if any(len(values) != len(PERCENTS) for values in lists.values()):
            raise ValueError("a quantile is missing")
        return shares | lists

    more = {name: float(row[name]) for name in numbers} | {"draws": int(row["draws"])}
    return outcomes(row) | more | {"protectors": [outcomes(of) for of in row["protectors"]]}


def differs(asked: Any, found: Any, where: str = "") -> str:
    """The first thing in which two plans differ, in words."""
    if isinstance(asked, dict) and isinstance(found, dict):
        for key in (*asked, *(key for key in found if key not in asked)):
            inner = differs(asked.get(key), found.get(key), f"{where} {key}".strip())
            if inner:
                return inner
        return ""
    if isinstance(asked, list) and isinstance(found, list) and len(asked) == len(found):
        return next((text for k in range(len(asked)) if (text := differs(asked[k], found[k], f"{where} {k}"))), "")
    return "" if asked == found else f"was made with {where} {shown(found)}, asked for {shown(asked)}"


# ------------------------------------------------------------------------------------------------------ checks


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


def whole(what: str, value: Any, least: int, most: int) -> int:
    if not isinstance(value, int | np.integer) or isinstance(value, bool) or not least <= value <= most:
        raise InputError(f"{what} is {shown(value)}; accepted: a whole number, {least} to {most}")
    return int(value)


def part(
    shows: Callable[[int, int], object] | None, k: int, parts: int, draws: int
) -> Callable[[int, int], object] | None:
    """Progress of one of several parts, as progress of the whole."""
    return None if shows is None else lambda done, _: shows(k * draws + done, parts * draws)


def table_of(rows: Sequence[Mapping[str, Any]]) -> pa.Table:
    """Rows as an Arrow table: texts, float64, int64."""
    import pyarrow as pa

    return pa.table({name: [row[name] for row in rows] for name in rows[0]}) if rows else pa.table({})
