"""How fast the men of a game are: runs and sets cut out of its plays, and one sprint fitted to a man's own.

Every figure is of the definitions in the public headers (core/study/speeds.hpp, fit.hpp): the runs by loops over
frames, the fit by SciPy's trust region on all parameters at once, places projected out of the whitened errors.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pandas as pd
from scipy.optimize import least_squares
from scipy.stats import t as student

from . import roles
from .frames import Play, SkippedError, load
from .geometry import span
from .measured import Row
from .reps import technique
from .rules import DEFAULTS, TIME_EPS

TOP = {"end": 9.7, "inside": 9.2, "protector": 8.9}  # yd/s
TAU, KICK, KICK_TAU = 0.9, 2.2, 0.15  # s, yd/s, s
MEMORY = 0.7  # s
FEWEST_RUNS, FEWEST_SAMPLES = 5, 5
NAN = float("nan")


@dataclass
class Run:
    time: np.ndarray  # s since the snap
    way: np.ndarray  # yd along his own path


# ---------------------------------------------------------------------------------------------------- what is a run


def first_met(play: Play, who: str, others: list[str], within: float) -> int:
    """The first frame with one of `others` this near; the number of frames, when there is none."""
    for k in range(len(play.times)):
        if play.here(who, k) and any(
            play.here(o, k) and span(play.places[o][k], play.places[who][k]) <= within for o in others
        ):
            return k
    return len(play.times)


def speed(play: Play, who: str, frame: int) -> float:
    return float(np.hypot(*play.speeds[who][frame]))


def direction(play: Play, who: str, frame: int) -> np.ndarray:
    return play.speeds[who][frame] / speed(play, who, frame)


def moving_from(play: Play, who: str, first: int, peak: int) -> int | None:
    """The last frame up to `peak` in which he was slower than 1 yd/s."""
    slow = [k for k in range(first, peak + 1) if speed(play, who, k) < 1.0]
    return slow[-1] if slow else None


def way_of(play: Play, who: str, frames: list[int]) -> Run | None:
    """Steps projected on the direction of his velocity; below 2 yd/s on the first direction at that speed.

    Reading: a step's direction is the mean of those at both its ends; a man who never gets so fast has that of the
    run's last frame throughout.
    """
    fast = [k for k in frames if speed(play, who, k) >= 2.0] or [frames[-1]]
    way = [0.0]
    for before, k in pairwise(frames):
        of = sum(direction(play, who, f if speed(play, who, f) >= 2.0 else fast[0]) for f in (before, k))
        step = play.places[who][k] - play.places[who][before]
        way.append(way[-1] + float(step @ of) / float(np.hypot(*of)))
    return Run(np.array([play.since_snap(k) for k in frames]), np.array(way))


def whole(play: Play, who: str, frames: list[int]) -> bool:
    return all(play.here(who, k) and not np.isnan(speed(play, who, k)) for k in frames)


def frames_between(play: Play, first: int, last: int, since: float, until: float) -> list[int]:
    return [k for k in range(first, last + 1) if since - TIME_EPS <= play.times[k] <= until + TIME_EPS]


def free_run(play: Play, who: str, engage: float) -> Run | None:
    first, over = 0, min(play.rep_frames(), first_met(play, who, play.offense(), engage))
    known = [k for k in range(over) if not np.isnan(speed(play, who, k))]
    if not known:
        return None
    peak = max(known, key=lambda k: speed(play, who, k))
    slow = moving_from(play, who, first, peak)
    if slow is None or slow == peak:
        return None
    frames = frames_between(play, first, over - 1, play.times[slow] - 0.2, play.times[peak] - 0.1)
    fast = next((k for k in frames if k > slow and speed(play, who, k) >= 2.0), None)
    for k in frames:
        if fast is None or k <= fast:
            continue
        a, b = play.speeds[who][fast], play.speeds[who][k]
        if float(a @ b) < np.cos(np.pi / 4) * float(np.hypot(*a) * np.hypot(*b)):
            frames = [f for f in frames if f < k]
            break
    if not frames or not whole(play, who, list(range(frames[0], frames[-1] + 1))):
        return None
    if play.times[frames[-1]] - play.times[slow] < 0.4 - TIME_EPS or speed(play, who, frames[-1]) < 2.5:
        return None
    return way_of(play, who, frames)


def set_run(play: Play, who: str, engage: float) -> Run | None:
    met = len(play.times)
    for k in range(len(play.times)):
        if play.here(who, k) and any(
            play.rushing(r, k) and span(play.places[r][k], play.places[who][k]) <= engage for r in play.rushers
        ):
            met = k
            break
    over = min(play.rep_frames(), met)
    fast = next((k for k in range(over) if speed(play, who, k) > 3.3), over)
    over = min(over, fast)
    known = [k for k in range(over) if not np.isnan(speed(play, who, k))]
    if not known:
        return None
    peak = max(known, key=lambda k: speed(play, who, k))
    slow = moving_from(play, who, 0, peak)
    if slow is None or slow == peak:
        return None
    last = peak
    while last + 1 < over and speed(play, who, last + 1) >= 0.8 * speed(play, who, peak):
        last += 1
    frames = frames_between(play, 0, last, play.times[slow] - 0.2, play.times[last])
    if not whole(play, who, list(range(frames[0], frames[-1] + 1))):
        return None
    if play.times[last] - play.times[slow] < 0.5 - TIME_EPS:
        return None
    if play.places[who][last][1] - play.places[who][frames[0]][1] < 1.0:
        return None
    return way_of(play, who, frames)


# ------------------------------------------------------------------------------------------------------------ the fit


def whitened(time: np.ndarray, values: np.ndarray) -> np.ndarray:
    """Errors of a first-order autoregressive process, made independent and of one size; along axis 0."""
    keep = np.exp(-np.diff(time) / MEMORY).reshape(-1, *[1] * (values.ndim - 1))
    return np.concatenate([values[:1], (values[1:] - keep * values[:-1]) / np.sqrt(1 - keep**2)])


@dataclass
class Whitened:
    time: np.ndarray
    way: np.ndarray  # whitened
    one: np.ndarray  # unit vector of the run's place, whitened

    @classmethod
    def of(cls, run: Run) -> "Whitened":
        one = whitened(run.time, np.ones(len(run.time)))
        return cls(run.time, whitened(run.time, run.way), one / np.sqrt(one @ one))

    def residual(self, vmax: float, tau: float, start: float) -> tuple[np.ndarray, np.ndarray]:
        """The errors with the place taken out, and their derivatives by log vmax, log tau and start."""
        since = np.maximum(self.time - start, 0.0)
        decay = np.exp(-since / tau)
        by = np.stack(
            [
                vmax * (since + tau * (decay - 1)),
                vmax * (tau * (decay - 1) + since * decay),
                -vmax * (1 - decay),
            ],
            axis=1,
        )
        error, by = whitened(self.time, by[:, 0]) - self.way, whitened(self.time, by)
        return error - self.one * (self.one @ error), by - np.outer(self.one, self.one @ by)


@dataclass
class Fit:
    value: list[float]  # vmax, and tau when it is free
    low: list[float]
    high: list[float]


def fitted(runs: list[Run], tau: float | None) -> Fit | None:
    """One sprint to all the runs; tau held when given. None: too few, or none fits."""
    used = [Whitened.of(run) for run in runs if len(run.time) >= FEWEST_SAMPLES]
    if len(used) < FEWEST_RUNS:
        return None
    free = 1 if tau is not None else 2
    count = len(used)

    def parts(x: np.ndarray) -> list[tuple[np.ndarray, np.ndarray]]:
        this = tau if tau is not None else float(np.exp(x[1]))
        return [w.residual(float(np.exp(x[0])), this, float(x[free + n])) for n, w in enumerate(used)]

    def errors(x: np.ndarray) -> np.ndarray:
        return np.concatenate([error for error, _ in parts(x)])

    def slopes(x: np.ndarray) -> np.ndarray:
        rows = []
        for n, (_, by) in enumerate(parts(x)):
            row = np.zeros((len(by), free + count))
            row[:, :free], row[:, free + n] = by[:, :free], by[:, 2]
            rows.append(row)
        return np.concatenate(rows)

    def begun(vmax: float, at: float) -> np.ndarray:
        """Every run's start, the best of a grid."""
        starts = []
        for w in used:
            grid = np.arange(w.time[0] - 0.5, w.time[-1], 0.02)
            squares = [float(np.sum(w.residual(vmax, at, float(s))[0] ** 2)) for s in grid]
            starts.append(float(grid[int(np.argmin(squares))]))
        return np.array(starts)

    best = None
    for vmax, at in [(9.0, 0.9), (7.0, 0.7), (10.0, 1.3)] if tau is None else [(9.0, tau), (5.0, tau), (2.2, tau)]:
        first = np.concatenate([[np.log(vmax)], [] if tau is not None else [np.log(at)], begun(vmax, at)])
        try:
            found = least_squares(errors, first, slopes, xtol=1e-15, ftol=1e-15, gtol=1e-13, max_nfev=400)
        except ValueError:
            continue
        if best is None or found.cost < best.cost:
            best = found
    if best is None or np.exp(best.x[0]) < 0.3 or (tau is None and not np.exp(best.x[1]) < 20):
        return None

    # Each run's part of the normal equations of vmax and tau, its own start taken out.
    squares, pulls = [], []
    for error, by in parts(best.x):
        own = by[:, 2]
        size = float(own @ own)
        shared = by[:, :free] - np.outer(own, own @ by[:, :free]) / size if size > 0 else by[:, :free]
        squares.append(shared.T @ shared)
        pulls.append(shared.T @ error)
    total = np.sum(squares, axis=0)
    moved = np.array([np.linalg.solve(total - s, p) for s, p in zip(squares, pulls, strict=True)])
    error = np.sqrt((count - 1) / count * np.sum(moved**2, axis=0))
    half = student.ppf(0.975, count - free) * error
    value = best.x[:free]
    return Fit(*(np.exp(side).tolist() for side in (value, value - half, value + half)))


def narrow(fit: Fit, which: int, most: float) -> bool:
    return fit.high[which] / fit.low[which] < most


# ------------------------------------------------------------------------------------------------------------- a game


INSIDE = {"0", "1", "2", "2i", "3", "4", "4i"}  # head up on a tackle, or inside


def stated(play: Play) -> set[str]:
    return {who for who in play.defense() if play.people[who].role == "rusher"}


def speed_rows(plays: list[Play], rules: dict[str, float] = DEFAULTS) -> list[Row]:
    """Rushers by id, then protectors.

    Readings: a man whose stated role is rusher rushed, though he never came near enough to count; inside is who aligns
    there in more than half of the plays in which he rushed.
    """
    rows: list[Row] = []
    for who in sorted({who for play in plays for who in stated(play).union(play.rushers)}):
        his = [play for play in plays if who in play.rushers or who in stated(play)]
        runs = [run for play in his if (run := free_run(play, who, rules["engage"])) is not None]
        insides = [technique(play, who)[0] in INSIDE for play in his]
        default = TOP["inside" if 2 * sum(insides) > len(insides) else "end"]
        row = blank(who, "rusher", len(runs), default)
        both = fitted(runs, None)
        if both is not None and narrow(both, 1, 1.6) and narrow(both, 0, 1.2):
            put(row, "top_speed", both, 0)
            put(row, "tau", both, 1)
        else:
            given = fitted(runs, TAU)
            if given is not None and narrow(given, 0, 1.2):
                put(row, "top_speed", given, 0)
        rows.append(row)
    for who in sorted({p for play in plays for p in play.protectors}):
        his = [play for play in plays if who in play.protectors]
        runs = [run for play in his if who in play.linemen if (run := set_run(play, who, rules["engage"])) is not None]
        row = blank(who, "protector", len(runs), TOP["protector"]) | {"kick_speed": KICK}
        kick = fitted(runs, KICK_TAU)
        if kick is not None and narrow(kick, 0, 1.5):
            put(row, "kick_speed", kick, 0)
        rows.append(row)
    return rows


def blank(who: str, duty: str, runs: int, top: float) -> Row:
    row: Row = {"player": who, "duty": duty, "runs": runs}
    for name, value in (("top_speed", top), ("tau", TAU), ("kick_speed", NAN)):
        row |= {name: value, f"{name}_low": NAN, f"{name}_high": NAN, f"{name}_fitted": False}
    return row


def put(row: Row, name: str, fit: Fit, which: int) -> None:
    row |= {name: fit.value[which], f"{name}_low": fit.low[which], f"{name}_high": fit.high[which]}
    row[f"{name}_fitted"] = True


def speeds(tracks: pd.DataFrame, snaps: pd.DataFrame, people: pd.DataFrame) -> pd.DataFrame:
    """The table of a game, without the game's name; tables as `plain.measure` takes them."""
    plays = []
    for _, snap_row in snaps.iterrows():
        try:
            play = load(tracks, snap_row, people)
            roles.assign(play)
        except SkippedError:
            continue
        plays.append(play)
    return pd.DataFrame(speed_rows(plays))
