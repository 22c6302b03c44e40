"""A play's clock, and where everybody is at each of its frames."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from .rules import LONGEST_GAP, SAME_FRAME, TIME_EPS
from .velocity import fitted

FIELD_LENGTH, FIELD_WIDTH, OFF_FIELD = 120.0, 160.0 / 3.0, 30.0  # yd
FASTEST = 15.0  # yd/s, of a recorded velocity


class SkippedError(Exception):
    """The play cannot be measured; the text says why."""


class Whole(str):
    """An id that is a whole number, where all are: the lower number is the lower id. Else the lower text is."""

    def __lt__(self, other: str) -> bool:
        return int(self) < int(other)


def id_type(ids: Iterable[str]) -> type[str]:
    return Whole if all(re.fullmatch("0|-?[1-9][0-9]*", who) for who in ids) else str


@dataclass
class Person:
    id: str
    unit: str
    position: str
    role: str | None


@dataclass
class Play:
    """One play in the play frame: u yards to the offence's right of the ball, v yards behind it. Times in s."""

    id: str
    snap: float
    throw: float  # NaN: none
    end: float
    times: np.ndarray  # (frames,), the measured frames
    people: dict[str, Person]
    places: dict[str, np.ndarray]  # id -> (frames, 2) yd, NaN where absent
    speeds: dict[str, np.ndarray]  # id -> (frames, 2) yd/s, NaN where unknown
    label: str | None = None
    film_time: float = float("nan")  # s on the film's clock at the snap
    ball_across: float = float("nan")  # yd, the ball from the middle of the field, to the offence's right
    passer: str = ""
    linemen: dict[str, str] = field(default_factory=dict)  # id -> LT LG C RG RT
    protectors: list[str] = field(default_factory=list)
    rushers: dict[str, tuple[int, int]] = field(default_factory=dict)  # id -> first and last frame in which he counts
    late: set[str] = field(default_factory=set)  # rushers who came late (2.3)
    dropped: set[str] = field(default_factory=set)  # rushers who dropped (2.3)
    reps_end: float = float("nan")  # end of reps (6.0)

    def here(self, who: str, frame: int) -> bool:
        return not np.isnan(self.places[who][frame, 0])

    def rushing(self, who: str, frame: int) -> bool:
        """Whether this rusher counts in a frame and is there."""
        first, last = self.rushers[who]
        return first <= frame <= last and self.here(who, frame)

    def rep_frames(self) -> int:
        """How many of the frames are not after the end of reps."""
        return len(self.until(self.reps_end))

    def since_snap(self, frame: int) -> float:
        return float(self.times[frame] - self.snap)

    def wide_side(self) -> int:
        """-1 left, +1 right: the side with more field beside the ball; 0 with the ball within 1 yd of the middle."""
        return 0 if abs(self.ball_across) <= 1.0 else -1 if self.ball_across > 0 else 1

    def offense(self) -> list[str]:
        return [p for p in sorted(self.people) if self.people[p].unit == "offense"]

    def defense(self) -> list[str]:
        return [p for p in sorted(self.people) if self.people[p].unit == "defense"]

    def until(self, frame_limit: float) -> np.ndarray:
        """Indices of the measured frames up to a time."""
        return np.flatnonzero(self.times <= frame_limit + TIME_EPS)


def frame_clock(times: np.ndarray) -> np.ndarray:
    """First times of the frames: a time within 5 ms of a frame's first belongs to it."""
    firsts: list[float] = []
    for t in np.unique(times):
        if not firsts or t - firsts[-1] > SAME_FRAME + TIME_EPS:
            firsts.append(float(t))
    return np.array(firsts)


def at_frames(clock: np.ndarray, times: np.ndarray, values: np.ndarray) -> np.ndarray:
    """A player's values (n, 2) at every frame: his own sample there, else linear across at most 0.5 s, else NaN."""
    out = np.full((len(clock), 2), np.nan)
    own_frame = np.searchsorted(clock, times, side="right") - 1
    for k, t in enumerate(clock):
        own = np.flatnonzero(own_frame == k)
        if len(own):
            out[k] = values[own[0]]
            continue
        after = int(np.searchsorted(times, t))
        if after in (0, len(times)):
            continue
        t0, t1 = times[after - 1], times[after]
        if t1 - t0 <= LONGEST_GAP + TIME_EPS:
            out[k] = values[after - 1] + (values[after] - values[after - 1]) * ((t - t0) / (t1 - t0))
    return out


def person_rows(people: pd.DataFrame, play: str) -> dict[str, Person]:
    """Who is who in one play: a row naming the play goes before a row that holds for every play."""
    found: dict[str, Person] = {}
    named: set[str] = set()
    for row in people.to_dict("records"):
        where = row.get("play")
        specific = where is not None and not pd.isna(where)
        if (specific and str(where) != play) or (not specific and str(row["player"]) in named):
            continue
        who = str(row["player"])
        position, role = row.get("position"), row.get("role")
        found[who] = Person(
            id=who,
            unit=str(row["unit"]),
            position="" if position is None or pd.isna(position) else str(position),
            role=None if role is None or pd.isna(role) or role == "" else str(role),
        )
        if specific:
            named.add(who)
    return found


def number(row: pd.Series, name: str) -> float:
    value = row.get(name)
    return float("nan") if value is None or pd.isna(value) else float(value)


def text(row: pd.Series, name: str) -> str | None:
    value = row.get(name)
    return None if value is None or pd.isna(value) or str(value) == "" else str(value)


def runs(true: np.ndarray) -> list[tuple[int, int]]:
    """First and last index of each stretch of neighbouring frames in which something is so."""
    found: list[tuple[int, int]] = []
    for k in np.flatnonzero(true):
        if found and found[-1][1] == k - 1:
            found[-1] = (found[-1][0], int(k))
        else:
            found.append((int(k), int(k)))
    return found


def load(tracks: pd.DataFrame, snap_row: pd.Series, people: pd.DataFrame) -> Play:
    """The play of one row of snaps. Raises SkippedError when it cannot be measured."""
    play = str(snap_row["play"])
    known = person_rows(people, play)
    rows = tracks[tracks["play"].astype(str) == play]
    rows = rows[rows["player"].notna()]
    rows = rows[rows["player"].astype(str).isin(list(known))]
    rows = rows[rows["x"].notna() & rows["y"].notna()]
    if rows.empty:
        raise SkippedError("no tracks")
    x, y = rows["x"].to_numpy(float), rows["y"].to_numpy(float)
    if not (np.isfinite(x).all() and np.isfinite(y).all()):
        raise SkippedError("infinite coordinates")
    if (
        (x < -OFF_FIELD).any()
        or (x > FIELD_LENGTH + OFF_FIELD).any()
        or (y < -OFF_FIELD).any()
        or (y > FIELD_WIDTH + OFF_FIELD).any()
    ):
        raise SkippedError("coordinates far off the field")
    if {"vx", "vy"} <= set(rows.columns) and (np.hypot(rows["vx"], rows["vy"]) > FASTEST).any():
        raise SkippedError("nobody is so fast")
    if rows.duplicated(["player", "time"]).any():
        raise SkippedError("two rows of one player at one time")

    all_times = rows["time"].to_numpy(float)
    clock = frame_clock(all_times)
    if len(clock) < 2:
        raise SkippedError("times going nowhere")
    snap, throw, end = (number(snap_row, name) for name in ("snap_time", "throw_time", "end_time"))
    if np.isnan(snap) or snap < clock[0] - TIME_EPS or snap > clock[-1] + TIME_EPS:
        raise SkippedError("no snap within the tracks")
    if np.isnan(end):
        end = float(all_times.max()) if np.isnan(throw) else throw + 1.0
    measured = (clock >= snap - TIME_EPS) & (clock <= end + TIME_EPS)
    if not measured.any():
        raise SkippedError("no frame between the snap and the end")

    direction = float(snap_row["direction"])
    ball = np.array([float(snap_row["ball_y"]), float(snap_row["ball_x"])])
    places: dict[str, np.ndarray] = {}
    speeds: dict[str, np.ndarray] = {}
    read = id_type(people["player"].astype(str))
    for who, own in rows.groupby(rows["player"].astype(str)):
        own = own.sort_values("time")
        t = own["time"].to_numpy(float)
        points = direction * (ball - own[["y", "x"]].to_numpy(float))
        if {"vx", "vy"} <= set(tracks.columns):
            velocity = -direction * own[["vy", "vx"]].to_numpy(float)
            velocity[np.isnan(velocity).any(axis=1)] = np.nan
        else:
            velocity = fitted(t, points)
        places[read(who)] = at_frames(clock, t, points)[measured]
        speeds[read(who)] = at_frames(clock, t, velocity)[measured]
    return Play(
        id=play,
        snap=snap,
        throw=throw,
        end=end,
        times=clock[measured],
        people={who: known[who] for who in places},
        places=places,
        speeds=speeds,
        label=text(snap_row, "label"),
        film_time=number(snap_row, "film_time"),
        ball_across=direction * (FIELD_WIDTH / 2 - float(ball[0])),
    )
