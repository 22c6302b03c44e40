"""The simulator fitted to a recorded game: which assumptions its plays tell of, and studies that follow from them.

How: bindings/FIT.md and `regression`. What it assumes: that the game was played by the simulator's rules. A gate comes
first that says when it was not, and then nothing is told.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from .. import _core
from .._core import Assumptions, InputError, Rules
from ..base.checks import whole
from ..base.columns import Floats
from ..base.progress import Progress, progress_of, threads_of
from ..base.tables import given_out, table_of
from ..game.game import Game, check_game
from ..measures.noise import Noise, noise_of
from ..measures.reps import reps_by
from ..measures.summary import check_labels, wilson
from .check import as_recorded, none_left
from .formations import Formation
from .fronts import formation
from .plan import DEPTHS, MISSING, MOST_DRAWS, Plan, checked_depths
from .regression import GATE, Known, Reference, quantiles
from .seen import SeenPlay, seen_plays
from .spots import with_spots

if TYPE_CHECKING:
    import pyarrow as pa

# What is fitted, and between what it is sought: wider than anything the sources of core/simulate/assumptions.hpp say.
RANGES: dict[str, tuple[float, float]] = {
    "rusher_reaction": (0.12, 0.34),
    "protector_reaction": (0.06, 0.30),
    "tau": (0.7, 1.2),
    "end_speed": (8.5, 10.9),
    "inside_speed": (8.0, 10.4),
    "run_speed": (7.6, 10.0),
    "kick_speed": (1.8, 3.4),
    "set_per_yard": (0.2, 0.6),
    "opens_at": (0.8, 1.6),
    "reach": (0.85, 1.25),
    "grip": (0.7, 2.3),
    "grip_open": (0.2, 0.7),
    "push": (0.0, 0.8),
    "push_power": (0.3, 1.7),
    "hands_won": (0.1, 0.75),
}
SAYS = {
    "rusher_reaction": "when rushers move",
    "protector_reaction": "when protectors move",
    "tau": "how slowly men speed up",
    "end_speed": "top speed of outside rushers",
    "inside_speed": "top speed of inside rushers",
    "run_speed": "top speed of protectors who have turned to run",
    "kick_speed": "kick speed",
    "set_per_yard": "how much deeper tackles set for each yard of the drop",
    "opens_at": "when a protector opens his hips (in kick speeds)",
    "reach": "reach of a facing blocker",
    "grip": "grip of a facing blocker's hands",
    "grip_open": "grip with open hips",
    "push": "how fast a rusher moves his man back",
    "push_power": "how much faster with power",
    "hands_won": "sideways moves that win the hands",
}
UNITS = {  # none: a ratio
    "rusher_reaction": "s",
    "protector_reaction": "s",
    "tau": "s",
    "end_speed": "yd/s",
    "inside_speed": "yd/s",
    "run_speed": "yd/s",
    "kick_speed": "yd/s",
    "reach": "yd",
    "push": "yd/s",
    "push_power": "yd/s",
}
FEWEST_PLAYS, FEWEST_SETS, MOST_SETS = 8, 100, 20_000
BAND = np.array([0.05, 0.5, 0.95])
NARROW = 0.5  # an assumption is found when its interval is at most so much of the one before the game was seen
HOLDS = 0.8  # and held-out intervals hold at least so often
LISTED = 20  # figures, of those that are farthest off
CHECKS = 200  # held-out games
EVEN = 1.358  # Kolmogorov's 5 % limit, over the root of how many
FROM_PLAYS = f"Shares are of simulated draws, not chances on the field. {MISSING}"
STUDIED = ("hurried", "pressure", "arrived")
PLACES = ("how far back the ", "how far outward the ")  # by a time: noise, which has no mean, moves no mean of theirs
NO_NOISE = 0.25  # yd: farther outside all simulated games is not the noise (0.3 yd of it moved one of 10 plays by 0.11)


def fit_simulator(
    game: Game,
    *,
    noise: Any = "auto",
    sets: int = 600,
    seed: int = 1,
    plays: Sequence[object] | None = None,
    without_label: Sequence[str] = (),
    assumptions: Assumptions | None = None,
    rules: Rules | None = None,
    threads: int | None = None,
    progress: Progress = None,
) -> SimulatorFit:
    """Which assumptions of the simulator a recorded game tells of, each with its 90 % interval, by regression ABC.

    `sets` draws of the assumptions from their ranges; with each of them the game's own plays are simulated four times
    from where men stood at the snap, the drop and the throw as recorded, with the tracks' noise, sampled at the same
    times, each up to the throw or its own early throw. What the coordinates of these games come to is held against the
    recording's.

    noise: of position, as in `measure`: "auto" is estimated from the linemen before the snap, "tracks" the tracks' own,
    or yd an axis (0: none). It must be right: with another noise the answers would be wrong, and then the game is
    refused. A game that looks like nothing simulated is refused as well: `.refused` says so, and nothing is found.
    plays, without_label: as in `check_simulator`. assumptions: of what is not fitted. The same game, sets and seed give
    the same answers. A game of 64 plays takes about half a minute on two cores, one of 288 some three minutes.
    progress: as in `measure`, in simulated plays. InputError for an unknown play or label, fewer than 8 plays that can
    be simulated, and a noise that cannot be estimated.
    """
    check_game(game)
    whole("sets", sets, FEWEST_SETS, MOST_SETS)
    whole("seed", seed, 0, 2**63 - 1)
    found_noise = noise_of(game, 0.0 if noise is None else noise, 2, seed)
    assert found_noise is not None
    count = threads_of(threads)
    made = reps_by(rules or Rules(), game, None, threads, False)
    check_labels(without_label, made.labels)
    wanted = game.measured() if plays is None else [game.play(play).id for play in plays]
    seen, left_out = seen_plays(game, made, wanted, without_label)
    if not seen:
        raise none_left(left_out)
    if len(seen) < FEWEST_PLAYS:
        raise InputError(f"{len(seen)} plays can be simulated; accepted: {FEWEST_PLAYS} or more")
    seen = with_spots(seen, found_noise.sigma, seed)
    base = assumptions or Assumptions()
    shares = np.random.default_rng(seed).random((sets, len(RANGES)))
    tried = [simulated_by(base, row) for row in shares]
    with progress_of(progress, "simulated plays") as shows:
        summaries = _core.simulated_summaries([one.core for one in seen], tried, found_noise.sigma, seed, count, shows)
    if summaries is None:
        raise KeyboardInterrupt
    figures = _core.recorded_summary([one.core for one in seen], [one.flat for one in seen])
    known = Known.of(Reference(shares, summaries))
    return SimulatorFit(game, found_noise, seed, base, seen, left_out, known, figures)


def in_ranges(shares: Floats) -> dict[str, float]:
    """The fitted assumptions by name, of each one's share of its range."""
    return {name: low + (high - low) * float(x) for (name, (low, high)), x in zip(RANGES.items(), shares, strict=True)}


def simulated_by(base: Assumptions, shares: Floats) -> Assumptions:
    """With what the plays are simulated again: as recorded, but for early throws. A play that went on to its end is one
    in which nobody came free before it; so are simulated ones, which are looked at up to their own early throw."""
    given = {**as_recorded(base).as_dict(), "early_throws": base.early_throws}
    return Assumptions(**{**given, **in_ranges(shares)})


@dataclass(eq=False, repr=False)
class SimulatorFit:
    """The simulator fitted to one game: `table`, `words()`, `refused`, `calibration`, `posterior(n)`, `study(...)`."""

    game: Game
    noise: Noise
    seed: int
    assumptions: Assumptions
    plays: list[SeenPlay]
    left_out: dict[str, str]  # play to the reason
    known: Known
    recorded: Floats  # figures of the recording, as _core.summary_names() has them

    def __repr__(self) -> str:
        return f"SimulatorFit({self.game.name!r}, {len(self.plays)} plays)\n{self.words()}"

    @cached_property
    def told(self) -> tuple[Floats, float, float]:
        """Each assumption as the regression tells it, a share of its range; the game's distance, and its limit."""
        told, far = self.known.tell(self.recorded)
        return told, far, self.known.limit(told)

    @cached_property
    def drawn(self) -> tuple[Floats, Floats]:
        """The posterior, in shares of the ranges: adjusted reference games and their weights."""
        return self.known.posterior(self.told[0])

    @cached_property
    def refused(self) -> str:
        """Why nothing is told of this game, in words; "" when it looks like games that were simulated."""
        _, far, limit = self.told
        if far <= limit:
            return ""
        worst = self.miss_rows()[:3]
        said = "; ".join(f"{row['figure']} {row['recorded']:.2f}, expected {row['expected']:.2f}" for row in worst)
        other = "it was played by other rules than the simulator's"
        figure, beyond = self.beyond()
        if beyond > NO_NOISE:
            why = (
                f"No simulated game comes within {beyond:.1f} yd of the recorded {figure}, and noise of position does "
                f"not move a mean so far: either the times of the snaps are off, or {other}."
            )
        else:
            why = f"Either the noise of position is not {self.noise.sigma:.2f} yd ({self.noise.found}), or {other}."
        return (
            f"The game does not look like anything simulated: its figures lie {far / limit:.1f} times as far off as "
            f"those of {100 * GATE:.0f} in 100 games simulated with such assumptions. Farthest off: {said}. {why} "
            "Nothing is told from it."
        )

    @property
    def table(self) -> Any:
        """A row an assumption: assumption, says, unit, assumed (its default or as given), range_low, range_high (where
        it was sought), low, middle, high (5, 50, 95 % of the posterior; NaN when the game is refused), found (the
        interval is at most half as wide as before the game was seen, and held-out intervals hold), width (of the
        interval, as a share of that before), held (share of held-out simulated games whose interval holds the truth).
        """
        return given_out(self.arrow(), self.game.library)

    @property
    def calibration(self) -> Any:
        """How simulated games came out that were held out, a row an assumption: assumption, games, held (share of 90 %
        intervals that hold the truth) with its Wilson 95 % interval, half_width (the mean, in its unit), ranks
        (greatest distance of the distribution of the truths' ranks in the posteriors from an even one), ranks_even (it
        is within Kolmogorov's 5 % limit)."""
        return given_out(table_of(self.calibration_rows), self.game.library)

    @property
    def farthest(self) -> Any:
        """The figures farthest from what the fitted assumptions give: figure, recorded, expected, off (standard
        deviations of chance)."""
        return given_out(table_of(self.miss_rows()), self.game.library)

    def arrow(self) -> pa.Table:
        """`table` as an Arrow table."""
        return table_of(self.rows)

    @cached_property
    def rows(self) -> list[dict[str, Any]]:
        ends = np.full((3, len(RANGES)), math.nan) if self.refused else quantiles(*self.drawn, BAND)
        assumed = self.assumptions.as_dict()
        rows = []
        for k, (name, (low, high)) in enumerate(RANGES.items()):
            held = self.calibration_rows[k]["held"]
            width = float(ends[2, k] - ends[0, k]) / (BAND[2] - BAND[0])
            lower, middle, upper = (low + (high - low) * ends[:, k]).tolist()
            rows.append(
                {"assumption": name, "says": SAYS[name], "unit": UNITS.get(name, ""), "assumed": assumed[name]}
                | {"range_low": low, "range_high": high, "low": lower, "middle": middle, "high": upper}
                | {"found": bool(width <= NARROW and held >= HOLDS), "width": width, "held": held}
            )
        return rows

    @cached_property
    def calibration_rows(self) -> list[dict[str, Any]]:
        reference = self.known.reference
        sets = range(min(CHECKS, len(reference.shares)))
        truths, ends, ranks = reference.shares[: len(sets)], [], []
        for k in sets:
            values, weights = self.known.posterior(self.known.told[k * reference.games], without=k)
            ends.append(quantiles(values, weights, BAND))
            ranks.append(weights @ (values < truths[k]))
        low, _, high = np.moveaxis(np.array(ends), 1, 0)
        inside, count = (low <= truths) & (truths <= high), len(sets)
        apart = distances_from_even(np.array(ranks))
        rows = []
        for k, (name, (least, most)) in enumerate(RANGES.items()):
            held = int(inside[:, k].sum())
            held_low, held_high = wilson(held, count)
            rows.append(
                {"assumption": name, "games": count, "held": held / count, "held_low": held_low, "held_high": held_high}
                | {"half_width": float((high - low)[:, k].mean() / 2 * (most - least))}
                | {"ranks": float(apart[k]), "ranks_even": bool(apart[k] <= EVEN / math.sqrt(count))}
            )
        return rows

    def miss_rows(self) -> list[dict[str, Any]]:
        names = _core.summary_names()
        return [
            {"figure": names[k], "recorded": recorded, "expected": expected, "off": off}
            for k, recorded, expected, off in self.known.tellers[0].misses(self.recorded)[:LISTED]
        ]

    def beyond(self) -> tuple[str, float]:
        """The mean of places that lies farthest outside those of all simulated games, and by how much (yd)."""
        names = _core.summary_names()
        places = [k for k, name in enumerate(names) if is_mean_place(name)]
        all_games, here = self.known.reference.flat[:, places], self.recorded[places]
        off = np.maximum(np.nanmin(all_games, axis=0) - here, here - np.nanmax(all_games, axis=0))
        k = int(np.argmax(np.where(np.isfinite(off), off, -math.inf)))
        return names[places[k]].removesuffix(", mean"), float(off[k])

    def words(self) -> str:
        """What the game tells, in plain English."""
        if self.refused:
            return self.refused
        found = [row for row in self.rows if row["found"]]
        said = [
            f"  {row['says']} ({row['assumption']}): {row['middle']:.2f} [{row['low']:.2f}, {row['high']:.2f}] "
            f"{row['unit']}".rstrip()
            + ("" if row["low"] <= row["assumed"] <= row["high"] else f", not {row['assumed']:g} as assumed")
            for row in found
        ]
        missing = [row["says"] for row in self.rows if not row["found"]]
        begins = f"From {len(self.plays)} plays, if they were played by the simulator's rules, with 90 % intervals:"
        lines = [begins, *said] if said else [f"From {len(self.plays)} plays no assumption can be found."]
        if missing:
            lines.append(f"Not found from this game: {', '.join(missing)}.")
        return "\n".join(lines)

    def posterior(self, n: int, *, seed: int = 1) -> list[Assumptions]:
        """n draws of the assumptions, as the game leaves them open: what was not found keeps much of its range.
        InputError when the game is refused."""
        whole("n", n, 1, 1_000_000)
        whole("seed", seed, 0, 2**63 - 1)
        if self.refused:
            raise InputError(self.refused)
        values, weights = self.drawn
        rows = np.random.default_rng(seed).choice(len(weights), size=n, p=weights)
        base = self.assumptions.as_dict()
        return [Assumptions(**{**base, **in_ranges(values[row])}) for row in rows]

    def study(
        self,
        f: Formation | None = None,
        *,
        depths: Sequence[float] | None = None,
        posterior: int = 20,
        draws: int = 500,
        seed: int = 1,
        threads: int | None = None,
        progress: Progress = None,
    ) -> FromPlays:
        """A drop study from these plays: of each of so many draws of the `posterior` the share of `draws` with pressure
        at each depth, thrown by the clock. f, depths: as in `simulate`. InputError when the game is refused."""
        f = formation() if f is None else f
        whole("posterior", posterior, 2, 10_000)
        whole("draws", draws, 1, MOST_DRAWS)
        wanted = checked_depths([d for d in DEPTHS if d >= f.passer[1]] if depths is None else depths, f)
        drawn, count = self.posterior(posterior, seed=seed), threads_of(threads)
        shares = np.empty((len(drawn), len(wanted), len(STUDIED)))
        with progress_of(progress, "studies") as shows:
            for k, assumed in enumerate(drawn):
                plan = Plan(f, assumed, draws, seed)
                for j, depth in enumerate(wanted):
                    # None but Ctrl-C stops it: progress is told of whole studies.
                    result = plan.depth("clock", depth, count, lambda done, all: None)
                    if result is None:
                        raise KeyboardInterrupt
                    shares[k, j] = [result[name] / draws for name in STUDIED]
                if shows:
                    shows(k + 1, len(drawn))
        return FromPlays(self.game.name, f, wanted, draws, shares, self.game.library)


def is_mean_place(figure: str) -> bool:
    """Whether a figure (as _core.summary_names() has it) is a mean of places at a time."""
    feature, what = figure.split(": ", 1)[1].rsplit(", ", 1)
    return what == "mean" and feature.startswith(PLACES) and " by " in feature


def distances_from_even(ranks: Floats) -> Floats:
    """Of each column the greatest distance of its distribution from an even one between 0 and 1."""
    inorder, n = np.sort(ranks, axis=0), len(ranks)
    up, down = np.arange(1, n + 1)[:, None] / n - inorder, inorder - np.arange(n)[:, None] / n
    return np.asarray(np.maximum(up.max(axis=0), down.max(axis=0)))


@dataclass(frozen=True, eq=False, repr=False)
class FromPlays:
    """A drop study over what a game leaves open: `table`, `words()`."""

    game_name: str
    formation: Formation
    depths: tuple[float, ...]
    draws: int
    shares: Floats  # (draws of the posterior, depths, STUDIED)
    library: Any = "pandas"

    def __repr__(self) -> str:
        return f"FromPlays({self.game_name!r}, {len(self.shares)} draws of the assumptions)\n{self.words()}"

    @property
    def table(self) -> Any:
        """A row a depth: depth (yd), sets (draws of the posterior), draws (of each), then for hurried, pressure and
        arrived the 5, 50 and 95 % quantiles of their shares over the posterior: hurried_low, hurried_middle, ..."""
        return given_out(self.arrow(), self.library)

    def arrow(self) -> pa.Table:
        """`table` as an Arrow table."""
        rows = []
        for j, depth in enumerate(self.depths):
            row: dict[str, Any] = {"depth": depth, "sets": len(self.shares), "draws": self.draws}
            for k, name in enumerate(STUDIED):
                ends = np.quantile(self.shares[:, j, k], BAND).tolist()
                row |= {f"{name}_{end}": value for end, value in zip(("low", "middle", "high"), ends, strict=True)}
            rows.append(row)
        return table_of(rows)

    def words(self) -> str:
        """What it comes to, in plain English."""
        said = []
        for row in self.arrow().to_pylist():
            low, middle, high = (100 * row[f"hurried_{end}"] for end in ("low", "middle", "high"))
            said.append(f"  {row['depth']:g} yd: hurried in {middle:.0f} of 100 [{low:.0f}, {high:.0f}]")
        if len(self.depths) > 1:
            rise = self.shares[:, -1, 0] - self.shares[:, 0, 0]
            low, middle, high = (100 * np.quantile(rise, BAND)).tolist()
            said.append(
                f"From {self.depths[0]:g} to {self.depths[-1]:g} yd {middle:+.0f} points [{low:+.0f}, {high:+.0f}], "
                f"up in {(rise > 0).sum()} of {len(rise)} draws of what the plays leave open."
            )
        return "\n".join([f"From your plays ({self.game_name}), 90 % intervals:", *said, FROM_PLAYS])
