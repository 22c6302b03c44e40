"""Drop studies by simulation: shares over the depth of the drop, paired comparisons, and what they depend on.

All of it is conditional on the assumptions (`Assumptions`), of which none is measured.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, get_args

from .._core import Assumptions, InputError
from ..base.checks import number, whole
from ..base.files import write_whole
from ..base.progress import Progress, progress_of, threads_of
from ..base.tables import given_out, table_of
from ..base.text import listed, shown
from ..game.game import Game
from ..measures.drops import save_table, table_path
from ..measures.summary import wilson
from .as_game import Take, game_of
from .closed_form import break_evens
from .finished import kept, kept_text
from .formations import Formation
from .fronts import formation
from .plan import (
    CONDITIONAL,
    DEPTHS,
    HOLD,
    MISSING,
    MOST_DRAWS,
    OF_DEPTH,
    PERCENTS,
    QUANTILES,
    RISE,
    RISE_DRAWS,
    SHARES,
    STEP,
    Clock,
    Plan,
    Throw,
    checked_depths,
    part,
)
from .sensitivity import sensitivity

if TYPE_CHECKING:
    import pyarrow as pa


class Interrupted(KeyboardInterrupt):
    """Ctrl-C in a study; `study` holds the depths that were finished."""

    def __init__(self, study: Simulation) -> None:
        super().__init__("interrupted")
        self.study = study


def simulate(
    f: Formation | None = None,
    out: str | os.PathLike[str] | None = None,
    *,
    depths: Sequence[float] | None = None,
    draws: int = 2000,
    seed: int = 1,
    throw: float = 2.7,
    throw_sd: float = 0.3,
    throw_per_yard: float = 0.12,
    assumptions: Assumptions | None = None,
    threads: int | None = None,
    progress: Progress = None,
    step: float = STEP,
    clock: Clock = "drawn",
    hold: float = HOLD,
) -> Simulation:
    """Plays one formation many times at each depth of the drop.

    f: None: the base case, `formation()`. depths: yd; None: 5, 7, 9, 10, those behind where the passer takes the snap.
    Each depth is run with three throws, of which none is measured. "clock": `hold` s after the drop tops (lognormal, 15
    %), in 30 % of draws 0.5 s later for a second read (fewer of a drop that tops before 1.7 s, of one that tops by 1.05
    s none); clock="quick": never, "late": always. "fixed": throw s after the snap, normal with throw_sd. "grows": that
    at seven yards, throw_per_yard s later for each yard more. With each the passer throws early when he sees a rusher
    come free. assumptions: of the men (`Assumptions(kick_speed=2.4)`). Draw n is the same man for man whatever the
    depth, and in any formation with as many rushers: protectors added last change nobody, a rusher more changes what
    the protectors draw. The results are the same to the bit for any number of threads.

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
        clock,
        hold,
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
                if kind != "clock" and same in study.finished and depth == OF_DEPTH:
                    found = study.finished[same]
                else:
                    found = plan.depth(kind, depth, count, part(shows, k, len(ahead), plan.draws))
                    if found is None:
                        raise KeyboardInterrupt
                study.finished[kind, depth] = found
                if keep is not None:
                    write_whole(keep, kept_text(plan, study.finished).encode())
    except KeyboardInterrupt:
        raise Interrupted(study) from None
    return study


@dataclass(eq=False, repr=False)
class Simulation:
    """A drop study by simulation: `table`, `protectors`, `break_even`, `sensitivity()`, `as_game()`, `save()`."""

    plan: Plan
    depths: tuple[float, ...]
    finished: dict[tuple[str, float], Any] = field(default_factory=dict)

    def __repr__(self) -> str:
        depths = ", ".join(f"{depth:g}" for depth in self.depths)
        return (
            f"Simulation(depths {depths} yd, {self.plan.draws} draws, seed {self.plan.seed}, {self.plan.formation})\n"
            f"{CONDITIONAL} {MISSING} See .sensitivity()."
        )

    @property
    def table(self) -> Any:
        """A row a throw (clock, grows, fixed) and depth: throw, depth (yd), draws, then of all draws the share with an
        arrival before the throw, with pressure as reps measure it, hurried (pressure, or the ball thrown early because
        of a rusher), with hips opened, each with its Wilson 95 % interval; hips_early, the share
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
        where the passer begins); margin (s, of a drop of seven yards thrown by the clock: how long after the throw the
        rusher would be at the spot, from rest round the outside of a man who stays there) and margin_gone (yd: the
        depth at which that is 0; NaN: it is not above 0 at first; infinite: it always is)."""
        return given_out(self.break_even_arrow())

    def sensitivity(
        self,
        *,
        depths: Sequence[float] = RISE,
        draws: int = RISE_DRAWS,
        threads: int | None = None,
        progress: Progress = None,
    ) -> Any:
        """What the rise in the share with pressure from one depth to another depends on: as assumed, and with each of
        the assumptions that bend it most 20 % lower and higher: assumption ("as assumed" first, without a value: NaN),
        change, value, draws, shallow, deep (shares), rise, low, high (95 %, paired draws; the throw growing). A row
        whose assumption would leave its accepted range is left out. It simulates: `draws` at each depth, a row each."""
        return given_out(sensitivity(self.plan, depths, draws, threads, progress))

    def as_game(
        self, depth: float, *, draws: Iterable[int] | None = range(20), rate: float = 10.0, throw: Throw = "clock"
    ) -> Game:
        """Simulated plays as a game, to measure, draw and play like any other; labelled "simulated".

        draws: which of the study's; None: one play, every man as assumed. rate: samples a second, 5 to 100 and at most
        one a step, rounded to whole steps of the study (of 0.01 s: 30 gives 33.3).
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
        return game_of(takes, f"simulated, {wanted:g} yd, seed {self.plan.seed}")

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

    def counted(self) -> list[tuple[str, float, Any]]:
        """Throw, depth and what was counted, of every depth that is finished."""
        return [
            (kind, depth, self.finished[kind, depth])
            for kind in self.plan.kinds()
            for depth in self.depths
            if (kind, depth) in self.finished
        ]

    def arrow(self) -> pa.Table:
        """`table` as an Arrow table."""
        return table_of(self.counted_rows())

    def counted_rows(self) -> list[dict[str, Any]]:
        """`table` row by row. Arrow loads pandas when it makes a table, which takes longer than Ctrl-C may."""
        return [self.figures(kind, depth, found, found) for kind, depth, found in self.counted()]

    def protectors_arrow(self) -> pa.Table:
        """`protectors` as an Arrow table."""
        men = self.plan.formation.protectors
        return table_of(
            [
                {"protector": man.name, **self.figures(kind, depth, found, of)}
                for k, man in enumerate(men)
                for kind, depth, found in self.counted()
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
        return row | {
            "top_time": found["top_time"],
            "throw_time": self.plan.thrown(self.kind(kind), depth, found["top_time"]),
        }

    def break_even_arrow(self) -> pa.Table:
        """`break_even` as an Arrow table."""
        return table_of(self.break_even_rows())

    def break_even_rows(self) -> list[dict[str, Any]]:
        return list(map(dict, break_evens(self.plan)))
