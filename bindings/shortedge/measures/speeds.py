"""How fast the men are: top speed, tau and kick speed fitted to a game, and a sprint fitted to split times."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from .. import _core
from .._core import InputError, Rules
from ..base.columns import Floats
from ..base.progress import Progress
from ..base.text import listed, shown
from ..base.vocabulary import DUTIES
from ..game.game import Game, check_game
from .results import Results, made_from, rules_or_default, worked


@dataclass(eq=False, repr=False)
class Speeds(Results):
    """Top speed, tau and kick speed of the men of one game: the table `table`, and what it was made with.

    Every value can be used as it stands: where too little was recorded it is the stated default, has no interval, and
    its `_fitted` is false. Columns: core/base/COLUMNS.md and `_core.columns()`.
    """

    def __repr__(self) -> str:
        rows = self.coded["speeds"]
        counts = []
        for what, duty in (("top_speed", 0), ("tau", 0), ("kick_speed", 1)):
            whose = rows["duty"] == duty
            fitted = int((rows[f"{what}_fitted"].astype(bool) & whose).sum())
            counts.append(f"{what} of {fitted} of {int(whose.sum())} {DUTIES[duty]}s fitted")
        return f"Speeds({self.game_name!r}: {', '.join(counts)}, {self.rules})"

    @property
    def table(self) -> Any:
        """One row a man and duty: rushers by id, then protectors."""
        return self._table("speeds")

    def of(self, player: str, duty: str | None = None) -> dict[str, Any]:
        """One man's row, column to value, without the game. duty: rusher or protector, needed only for a man with both.

        InputError for a man without such a row.
        """
        if duty is not None and duty not in DUTIES:
            raise InputError(f"duty is {shown(duty)}; accepted: {listed(DUTIES)}, None")
        rows: list[dict[str, Any]] = [
            row
            for row in self.arrow("speeds").drop_columns(["game"]).to_pylist()
            if row["player"] == player and duty in (None, row["duty"])
        ]
        if not rows:
            raise InputError(
                f"player is {shown(player)}; accepted: a man who rushed or protected in game {shown(self.game_name)}"
            )
        if len(rows) > 1:
            raise InputError(
                f"player {shown(player)} both rushed and protected; say which: duty='rusher' or 'protector'"
            )
        return rows[0]


def fit_speeds(
    game: Game, *, rules: Rules | None = None, threads: int | None = None, progress: Progress = None
) -> Speeds:
    """Each rusher's top speed and tau, and each lineman's kick speed, by least squares on the sprint model.

    From a rusher's free runs, from rest to greatest speed before an offensive player is within `engage` of him; from
    a lineman's sets likewise. Intervals are 95 %, over runs. Over a rush top speed and tau can hardly be told apart:
    where tau's interval is wider than 0.75 to 1.2 s, tau is the default, 0.9, and top speed is the one that goes with
    it. Where that is too wide too, or there are fewer than five runs, both are defaults: 9.7 yd/s, inside rushers
    9.2; kick speed 2.2. A protector's top speed is always the default, 8.9. The figures are of the runs he made: a
    man who never hurried shows less. `core/study/speeds.hpp` has every rule.

    threads, progress: as in `measure`.
    """
    check_game(game)
    rules = rules_or_default(rules)
    return Speeds(worked(_core.fit_speeds, game, rules, threads, progress), *made_from(game, rules))


@dataclass(frozen=True, eq=False)
class SprintFit:
    """v = top_speed (1 - exp(-t / tau)): both with standard errors and 95 % intervals (NaN with two splits), and
    `residuals`, measured less fitted times, s."""

    top_speed: float
    top_speed_low: float
    top_speed_high: float
    top_speed_error: float
    tau: float
    tau_low: float
    tau_high: float
    tau_error: float
    residuals: Floats


def fit_sprint(distance: npt.ArrayLike, time: npt.ArrayLike) -> SprintFit:
    """Least squares in time on the splits of one sprint from rest: any unit of length; speeds are in it per second.

    A clock started by the first movement starts late, and makes tau too low: 0.3 s added to the times of one published
    sprint moves tau from 0.81 to 1.38 s. InputError for fewer than two splits, values that are not positive, finite and
    increasing, or splits no sprint fits.
    """
    made = _core.fit_splits(split_column("distance", distance), split_column("time", time))
    return SprintFit(*made["top_speed"], made["top_speed_error"], *made["tau"], made["tau_error"], made["residuals"])


def split_column(name: str, given: npt.ArrayLike) -> Floats:
    try:
        values = np.ascontiguousarray(given, np.float64)
    except (TypeError, ValueError) as why:
        raise InputError(f"{name} is {shown(given)}; accepted: numbers, one a split") from why
    if values.ndim != 1:
        raise InputError(f"{name} has {values.ndim} dimensions; accepted: one")
    return values
