"""The simulator against recorded plays: simulated from their snap frames, compared with what then happened."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np

from .._core import Assumptions, InputError, Rules
from ..base.checks import whole
from ..base.progress import Progress, progress_of
from ..base.rows import slices
from ..base.tables import given_out, table_of
from ..base.text import listed
from ..game.game import Game, check_game
from ..measures.reps import Reps, reps_by
from ..measures.results import Measures, measure
from ..measures.summary import check_labels, wilson
from .as_game import Take, game_of
from .at_snap import recorded
from .formations import Formation
from .own_speeds import check_speeds
from .plan import DEEPEST, STEP, Plan
from .splits import band, brier, new_tally, split_rows, tally, trust_text

if TYPE_CHECKING:
    import pyarrow as pa

AT_THROW = ("passer_depth", "pocket_width", "pocket_depth")  # yd, of the last frame up to the throw
FIGURES = (*AT_THROW, "top_time", "contact_time")
UNITS = {"passer_depth": "yd", "pocket_width": "yd", "pocket_depth": "yd", "top_time": "s", "contact_time": "s"}
GIVEN = ("passer_depth", "top_time")  # of the passer, who is not left to chance: no band
BAND = (0.05, 0.5, 0.95)
AT_HIM = "a rusher is at the passer at the snap"  # why nothing was simulated
Made = TypeVar("Made")
AT_ONCE = 10  # recorded plays simulated before they are measured


def check_simulator(
    game: Game,
    *,
    draws: int = 40,
    seed: int = 1,
    plays: Sequence[object] | None = None,
    without_label: Sequence[str] = (),
    assumptions: Assumptions | None = None,
    speeds: Any = None,
    rules: Rules | None = None,
    threads: int | None = None,
    progress: Progress = None,
) -> SimulatorCheck:
    """Simulates recorded plays from their snap frames and compares with what then happened.

    Each play: its men where they stood at the snap, the depth of its drop and the time of its throw (without one, of
    its end) as recorded (nobody is moved from his spot by chance, and nobody throws early), the rest by chance; sampled
    as often and measured by the same measure as the recording. plays: which; None: all. without_label: labels to leave
    out, such as screen or moved pocket, which the simulator knows nothing of.
    assumptions, speeds: as in `simulate` and `formation`; speeds may be of any men of the game. A play that cannot be
    simulated is in `left_out` with its reason. Raises InputError for an unknown play, label or man, or when no play
    is left.
    """
    check_game(game)
    whole("draws", draws, 10, 10_000)
    assumed, rules = as_recorded(assumptions or Assumptions()), rules or Rules()
    m = measure(game, rules=rules, threads=threads, progress=False)
    made = reps_by(rules, game, None, threads, False)
    check_labels(without_label, made.labels)
    check_speeds(speeds, game.player_ids)
    known = dropbacks_of(made)
    wanted = list(known) if plays is None else [game.play(play).id for play in plays]

    def planned(play: str, row: dict[str, Any]) -> tuple[str, Plan]:
        f = recorded(game, play, made).with_speeds(speeds, known=game.player_ids)
        row["depth"] = depth_of(row, f)
        return play, Plan(f, assumed, draws, seed, row["thrown"], 0.0, 0.0)

    ready, left_out = made_of(game, known, wanted, without_label, planned)
    if not ready:
        raise none_left(left_out)
    rates = {play: rate_of(game.play(play).time) for play, _ in ready}
    positions = {play: {man.player: man.position for man in game.play(play).men if man.position} for play, _ in ready}
    rows: list[dict[str, Any]] = []
    pressures: list[tuple[bool, float]] = []
    was = figures_by_play(game, m, made)
    labels = {play: {"alignment": plan.formation.takes, "depth": band(known[play]["depth"])} for play, plan in ready}
    tallies = [new_tally() for _ in range(draws)]
    with progress_of(progress, "plays") as shows:
        for start in range(0, len(ready), AT_ONCE):
            some = ready[start : start + AT_ONCE]
            takes = [
                Take(
                    f"{k}/{n}",
                    plan.formation,
                    # Numbers of its own, or chance would make one draw of every play alike.
                    plan.rep("fixed", known[play]["depth"], (start + k) * draws + n, rates[play]),
                    positions[play],
                )
                for k, (play, plan) in enumerate(some)
                for n in range(draws)
            ]
            takes = [take for take in takes if len(take.rep["time"]) > 1]
            if not takes:
                left_out |= {play: AT_HIM for play, _ in some}
                continue
            simulated = game_of(takes, "simulated")
            measured = measure(simulated, rules=rules, threads=threads, progress=False)
            played = reps_by(rules, simulated, None, threads, False)
            found = figures_by_play(simulated, measured, played)
            for n in range(draws):
                tally(played, {f"{k}/{n}": labels[play] for k, (play, _) in enumerate(some)}, tallies[n])
            for k, (play, plan) in enumerate(some):
                drawn = [found[f"{k}/{n}"] for n in range(draws) if f"{k}/{n}" in found]
                if not drawn:
                    left_out[play] = AT_HIM
                    continue
                rows += compared(play, plan.formation, was[play], drawn)
                pressures.append((bool(known[play]["pressure"]), float(np.mean([one["pressure"] for one in drawn]))))
            if shows:
                shows(min(start + AT_ONCE, len(ready)), len(ready))
    if not pressures:
        raise none_left(left_out)
    kept = {play: plan for play, plan in ready if play not in left_out}
    of_recording = new_tally()
    tally(made, {play: labels[play] for play in kept}, of_recording)
    depths = {play: float(known[play]["depth"]) for play in kept}
    return SimulatorCheck(
        game, draws, seed, assumed, rows, left_out, pressures, split_rows(of_recording, tallies), kept, depths
    )


def as_recorded(assumed: Assumptions) -> Assumptions:
    """Men stand where they stood, and the ball is thrown when it was: neither is left to chance."""
    given = {"spread_across": 0.0, "spread_along": 0.0, "early_throws": 0.0}
    return Assumptions(**{**assumed.as_dict(), **given})


def none_left(left_out: Mapping[str, str]) -> InputError:
    return InputError(f"no play is left to simulate: {listed(sorted(set(left_out.values())))}")


@dataclass(eq=False, repr=False)
class SimulatorCheck:
    """The simulator against one recorded game: `table`, `summary()`, `left_out`, `draw()`, `page()`."""

    game: Game
    draws: int
    seed: int
    assumptions: Assumptions
    rows: list[dict[str, Any]]
    left_out: dict[str, str]  # play to the reason
    pressures: list[tuple[bool, float]]  # a play: pressure as recorded, share of draws with it
    split_rows: list[dict[str, Any]] = field(default_factory=list)
    plans: dict[str, Plan] = field(default_factory=dict)  # of the plays that were simulated
    depths: dict[str, float] = field(default_factory=dict)  # yd, of their drops

    def __repr__(self) -> str:
        lines = [
            f"  {row['figure']:13} {inside_text(row)}; recorded less simulated {row['median_difference']:+.2f} "
            f"{UNITS[row['figure']]} at the median"
            for row in self.summary_rows()
        ]
        said = [self.pressure_text(), *filter(None, [self.trust_text()])]
        return "\n".join([f"SimulatorCheck({self.game.name!r}, {self.draws} draws a play)", *lines, *said])

    @property
    def table(self) -> Any:
        """A row a play and figure (contact_time: and protector): play, figure, protector, rusher, recorded, low,
        middle, high (5, 50, 95 % of the draws that have the figure), draws (that have it), inside (null: no recorded
        figure, fewer than half of the draws have one, or the passer's own, who is not left to chance). passer_depth,
        pocket_width, pocket_depth: yd, in the last frame up to the throw; times: s."""
        return given_out(self.arrow(), self.game.library)

    def summary(self) -> Any:
        """A row a figure: figure, compared (recorded, and in half of the draws), inside, inside_share with its Wilson
        95 % interval (0.9 is what a right simulator would have; null and NaN for the passer's own), and of recorded
        less middle the median and the 10 and 90 % quantiles."""
        return given_out(table_of(self.summary_rows()), self.game.library)

    @property
    def splits(self) -> Any:
        """A row a split (all, technique, alignment, depth, protector), its value and a figure: how many were recorded,
        the recorded share or mean, the simulated middle and its standard deviation from draw to draw, and z, how many
        of these the recording lies off (NaN: fewer than 5 recorded, or fewer than half of the draws have it). pressure
        is of plays; held, driven and beat of reps judged; inside_beats of beats; set_depth yd, contact_time s."""
        return given_out(table_of(self.split_rows), self.game.library)

    def brier(self) -> tuple[float, float]:
        """Brier score of the simulated shares of pressure, play by play, and that of the game's own base rate."""
        return brier(self.pressures)

    def trust_text(self) -> str:
        """Where to trust the simulator on this game, in words; "" without splits."""
        return trust_text(self.split_rows, self.pressures) if self.split_rows else ""

    def arrow(self) -> pa.Table:
        """`table` as an Arrow table."""
        return table_of(self.rows)

    def summary_rows(self) -> list[dict[str, Any]]:
        said = []
        for figure in FIGURES:
            rows = self.both(figure)
            inside = None if figure in GIVEN else sum(row["inside"] for row in rows)
            low, high = wilson(inside or 0, 0 if inside is None else len(rows))
            off = [row["recorded"] - row["middle"] for row in rows] or [math.nan]
            lower, middle, upper = np.quantile(off, (0.1, 0.5, 0.9)).tolist()
            share = math.nan if inside is None or not rows else inside / len(rows)
            said.append(
                {"figure": figure, "compared": len(rows), "inside": inside, "inside_share": share}
                | {"inside_low": low, "inside_high": high, "median_difference": middle}
                | {"difference_10": lower, "difference_90": upper}
            )
        return said

    def both(self, figure: str) -> list[dict[str, Any]]:
        """The rows of a figure that the recording and half of the draws have."""
        return [
            row
            for row in self.rows
            if row["figure"] == figure and math.isfinite(row["recorded"]) and row["draws"] >= self.draws / 2
        ]

    def pressure_text(self) -> str:
        pressed = sum(was for was, _ in self.pressures)
        expected = sum(share for _, share in self.pressures)
        return f"pressure: recorded in {pressed} of {len(self.pressures)} plays, simulated {expected:.1f} on average"

    def misses(self, *, most: int = 4) -> list[dict[str, Any]]:
        """Of each figure the rows farthest outside their band, in widths of the band, worst first."""

        def beyond(row: Mapping[str, Any]) -> float:
            out = max(row["low"] - row["recorded"], row["recorded"] - row["high"])
            return float(out / max(row["high"] - row["low"], 0.05))

        worst: list[dict[str, Any]] = []
        for figure in FIGURES:
            outside = [row for row in self.rows if row["figure"] == figure and row["inside"] is False]
            worst += sorted(outside, key=lambda row: -beyond(row))[:most]
        return worst


def inside_text(row: Mapping[str, Any]) -> str:
    return "not left to chance" if row["inside"] is None else f"{row['inside']} of {row['compared']} in the 5-95 % band"


def rate_of(time: Any) -> float:
    """Samples a second, as `Plan.rep` takes them: 5 to 100, a step a multiple of the simulator's."""
    step = float(np.median(np.diff(time))) if len(time) > 1 else 0.1
    return 1 / (STEP * round(min(max(step, 0.01), 0.2) / STEP))


def thrown(game: Game, play: str, row: Mapping[str, Any]) -> float:
    """s: the throw, of a play without one its end, or leaving out sacks would leave out pressure."""
    shot = game.play(play)
    times = (row["throw_time"], shot.end_time, float(shot.time[-1]))
    return next(time for time in times if math.isfinite(time))


def reason_against(row: Mapping[str, Any], without_label: Sequence[str]) -> str:
    """Why a play cannot be simulated; "" when it can."""
    if row["label"] in without_label:
        return f"label {row['label']}"
    if not 0.5 <= row["thrown"] <= 10:
        return "a throw or an end before 0.5 or after 10 s"
    return "" if math.isfinite(row["drop_depth"]) and row["alignment"] else "the passer was not seen"


def depth_of(row: Mapping[str, Any], f: Formation) -> float:
    """yd: the drop of a play as it is simulated again, no shallower than where the passer took the snap."""
    return float(min(max(row["drop_depth"], f.passer[1]), DEEPEST))


def made_of(
    game: Game,
    known: Mapping[str, dict[str, Any]],
    wanted: Sequence[str],
    without_label: Sequence[str],
    make: Callable[[str, dict[str, Any]], Made],
) -> tuple[list[Made], dict[str, str]]:
    """What `make` makes of each play that can be simulated and its row of `known`, which gets `thrown`; of the others
    the reason, which may be the InputError of `make`."""
    found: list[Made] = []
    left_out: dict[str, str] = {}
    for play in wanted:
        row = known[play]
        row["thrown"] = thrown(game, play, row)
        why = reason_against(row, without_label)
        if not why:
            try:
                found.append(make(play, row))
            except InputError as refused:
                why = str(refused)
        if why:
            left_out[play] = why
    return found, left_out


def dropbacks_of(made: Reps) -> dict[str, dict[str, Any]]:
    return {row["play"]: row for row in made.arrow("dropbacks").to_pylist()}


def figures_by_play(game: Game, m: Measures, made: Reps) -> dict[str, dict[str, Any]]:
    """By play the figures that are compared; contact as (protector, rusher) to the time, NaN for never."""
    dropbacks = dropbacks_of(made)
    found: dict[str, dict[str, Any]] = {}
    for play, row in dropbacks.items():
        found[play] = {"top_time": row["top_time"], "pressure": bool(row["pressure"]), "contact": {}}
    throws = {play: row["throw_time"] for play, row in dropbacks.items()}
    frames = m.coded["frames"]
    names = game.play_ids
    for code, at in slices(frames["play"]).items():
        play = names[code]
        throw = throws.get(play, math.nan)
        last = at.start + int(np.searchsorted(frames["time"][at], throw + 1e-6)) - 1
        seen = math.isfinite(throw) and last >= at.start
        for name in AT_THROW:
            found[play][name] = float(frames[name][last]) if seen else math.nan
    for rep in (
        made.arrow("reps").select(["play", "protector", "rusher", "outcome", "start", "contact_time"]).to_pylist()
    ):
        if rep["protector"] and rep["rusher"] and rep["outcome"] != "help":
            found[rep["play"]]["contact"].setdefault((rep["protector"], rep["rusher"]), rep["contact_time"])
    return found


def compared(
    play: str, f: Formation, was: Mapping[str, Any], drawn: Sequence[Mapping[str, Any]]
) -> list[dict[str, Any]]:
    """The rows of one play."""

    def row(
        figure: str, protector: str | None, rusher: str | None, value: float, values: Sequence[float]
    ) -> dict[str, Any]:
        there = np.array([one for one in values if math.isfinite(one)])
        low, middle, high = np.quantile(there, BAND).tolist() if len(there) else (math.nan,) * 3
        both = math.isfinite(value) and len(there) >= len(values) / 2 and figure not in GIVEN
        return {
            "play": play,
            "figure": figure,
            "protector": protector,
            "rusher": rusher,
            "recorded": float(value),
            "low": low,
            "middle": middle,
            "high": high,
            "draws": len(there),
            "inside": bool(low - 1e-9 <= value <= high + 1e-9) if both else None,
        }

    rows = [row(name, None, None, was[name], [one[name] for one in drawn]) for name in (*AT_THROW, "top_time")]
    for man in f.protectors:
        pair = (man.name, man.man)
        if man.man and man.job != "chip":
            times = [one["contact"].get(pair, math.nan) for one in drawn]
            rows.append(row("contact_time", *pair, was["contact"].get(pair, math.nan), times))
    return rows
