"""Men's ways from their places: clocks of angles tied to the play's, clicks of other men left out, smoothed tracks."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from .. import _core
from ..base.columns import Floats
from .cameras import Cameras

LINEMEN = ("LT", "LG", "C", "RG", "RT", "T", "OT", "G", "OG", "OL")
# How men move: jerk, start_jerk (yd^2/s^5), start (yd/s^2), tail (core/trace/smoother.hpp).
MOTION = (300.0, 1500.0, 8.0, 4.0)
PLAIN = (300.0, 600.0, 6.0, np.inf)  # without tails, where clicks of other men are sought: tails would believe them
STRANGE = 4.0  # standard deviations over which a click was likely of another man
CLOCK_ERROR = 0.03  # s: an event is clicked to about a picture
CLOCKS_MEET = 0.15  # s: by how much two films may disagree on how long a play took
BEFORE_SNAP = 0.15  # s: a man in motion is seen by clicks at least this long before it
IN_MOTION = 1.0  # yd/s at the snap
STILL = 4.0  # standard deviations of speed that are no rest
REACH = 0.5  # s: how far from his first click a man at rest is followed back to the snap


@dataclass
class Moment:
    """What is known of a play's snap. Times on the play's own clock, s; NaN for none."""

    ball: tuple[float, float] = (np.nan, np.nan)
    direction: int = 0  # 0: not said
    snap_time: float = 0.0
    throw_time: float = np.nan
    end_time: float = np.nan
    said: bool = False


@dataclass
class Way:
    """One man in one play, on the play's clock."""

    player: int
    time: Floats  # of his clicks
    place: Floats  # (n, 2)
    covariance: Floats  # (n, 3): xx, xy, yy
    number: npt.NDArray[np.int64]  # of each click's act
    angle: list[str]
    film_time: Floats
    strange: npt.NDArray[np.bool_]
    rest: float | None = None
    at: Floats = field(default_factory=lambda: np.empty(0))  # times of the track
    mean: Floats = field(default_factory=lambda: np.empty((0, 6)))
    spread: Floats = field(default_factory=lambda: np.empty((0, 6, 6)))


@dataclass
class PlayTrace:
    """One play of a trace."""

    play: int
    moment: Moment
    shifts: dict[str, float]  # angle to what is taken from its film's clock
    events: dict[str, dict[str, float]]  # angle to what to time
    apart: tuple[str, str, str, float] | None  # two angles whose clocks do not meet at an event, and by how much
    ways: list[Way]

    @property
    def sd(self) -> float:
        """The median standard deviation of the tracks, an axis; NaN of none."""
        tracks = [way for way in self.ways if len(way.at)]
        variances = [np.diagonal(way.spread[:, :2, :2], axis1=1, axis2=2).mean(axis=1) for way in tracks]
        return float(np.sqrt(np.median(np.concatenate(variances)))) if variances else np.nan


class Ways:
    """The plays of a trace as they stand."""

    def __init__(self, cameras: Cameras, rate: float = 10.0) -> None:
        self.cameras = cameras
        self.rate = rate
        self.acts = cameras.journal.acts
        self.texts = cameras.texts

    @cached_property
    def people(self) -> dict[tuple[int, int], tuple[str, str]]:
        """(player, play or -1) to unit and position; the last word counts."""
        men = self.acts.columns("man")
        return {
            (player, play): (self.texts[unit], self.texts[position])
            for player, play, unit, position in zip(
                *(men[key].tolist() for key in ("player", "play", "unit", "position")), strict=True
            )
        }

    def who(self, player: int, play: int) -> tuple[str, str]:
        return self.people.get((player, play)) or self.people.get((player, -1)) or ("", "")

    @cached_property
    def order(self) -> list[int]:
        """Codes of plays in the order in which the trace first names them."""
        first: dict[int, int] = {}
        for kind in ("snap", "event", "ball", "mark", "foot"):
            acts = self.acts.columns(kind)
            for number, play in zip(acts["n"].tolist(), acts["play"].tolist(), strict=True):
                first[play] = min(first.get(play, number), number)
        return sorted(first, key=lambda play: first[play])

    @cached_property
    def events(self) -> dict[int, dict[str, dict[str, float]]]:
        """Play to angle to what to film time; the last word counts."""
        acts = self.acts.columns("event")
        found: dict[int, dict[str, dict[str, float]]] = {}
        for play, angle, what, time in zip(
            *(acts[key].tolist() for key in ("play", "angle", "what", "time")), strict=True
        ):
            found.setdefault(play, {}).setdefault(self.texts[angle], {})[self.texts[what]] = time
        return found

    @cached_property
    def own_films(self) -> dict[tuple[int, str], str]:
        """(play, angle) to the file of its film, where a play has its own; the last word counts."""
        acts = self.acts.columns("film")
        return {
            (play, self.texts[angle]): self.texts[file]
            for play, angle, file in zip(*(acts[key].tolist() for key in ("play", "angle", "file")), strict=True)
        }

    def film_of(self, play: int, angle: str) -> str:
        """The file of a play's film from an angle; empty for none."""
        whole = self.cameras.header["films"].get(angle, {})
        return self.own_films.get((play, angle)) or str(whole.get("file", ""))

    @cached_property
    def snaps(self) -> dict[int, Moment]:
        acts = self.acts.columns("snap")
        keys = ("play", "ball_x", "ball_y", "direction", "snap_time", "throw_time", "end_time")
        return {
            play: Moment((x, y), int(direction), snap, throw, end, True)
            for play, x, y, direction, snap, throw, end in zip(*(acts[key].tolist() for key in keys), strict=True)
        }

    @cached_property
    def balls(self) -> dict[int, list[tuple[str, float, Floats, Floats]]]:
        """Play to what was clicked of its ball: angle, film time, place, covariance."""
        acts = self.acts.columns("ball")
        found: dict[int, list[tuple[str, float, Floats, Floats]]] = {}
        for name, angle in self.cameras.angles.items():
            own = {key: values[acts["angle"] == self.cameras.code.get(name, -2)] for key, values in acts.items()}
            none = np.full(len(own["n"]), -1, np.int32)
            feet = self.cameras.sighted(
                own | {"at": none, "hidden": none.astype(float), "followed": none.astype(float)}, angle
            )
            for i in range(len(own["n"])):
                found.setdefault(int(own["play"][i]), []).append(
                    (name, float(own["time"][i]), feet["place"][i], feet["covariance"][i])
                )
        return found

    @cached_property
    def plays(self) -> dict[int, PlayTrace]:
        feet: dict[int, list[tuple[str, int]]] = {}
        for name, angle in self.cameras.angles.items():
            for row, play in enumerate(angle.feet["play"].tolist()):
                feet.setdefault(play, []).append((name, row))
        return {play: self._play(play, feet.get(play, [])) for play in self.order}

    def _play(self, play: int, feet: list[tuple[str, int]]) -> PlayTrace:
        moment = self.snaps.get(play, Moment())
        events = self.events.get(play, {})
        tied = {angle: known["snap"] - moment.snap_time for angle, known in events.items() if "snap" in known}
        shifts = {angle: tied.get(angle, 0.0) for angle in self.cameras.angles}
        apart, first = None, next((angle for angle in self.cameras.angles if angle in tied), None)
        clicks = self._clicks(feet, shifts)
        for angle in tied if first else ():
            if angle == first:
                continue
            assert first is not None
            late = {
                what: (events[first][what] - tied[first]) - (events[angle][what] - tied[angle])
                for what in ("throw", "end")
                if what in events[first] and what in events[angle]
            }
            for what, by in late.items():
                if abs(by) > CLOCKS_MEET and apart is None:
                    apart = (first, angle, what, by)
            known = [0.0, *late.values()]  # the snap says 0
            middle = float(np.mean(known)) if apart is None else 0.0
            found = self._offset(clicks, first, angle, middle, CLOCK_ERROR / np.sqrt(len(known)), moment.snap_time)
            shifts[angle] -= middle + found
        clicks = self._clicks(feet, shifts)
        ways = [self._way(play, player, own, moment.snap_time) for player, own in sorted(clicks.items())]
        moment = self._moment(play, moment, shifts, [way for way in ways if len(way.at)])
        return PlayTrace(play, moment, shifts, events, apart, ways)

    def _clicks(self, feet: list[tuple[str, int]], shifts: dict[str, float]) -> dict[int, list[tuple[Any, ...]]]:
        """Player to his clicks with a place: time on the play's clock, place, covariance, act, angle, film time."""
        found: dict[int, list[tuple[Any, ...]]] = {}
        for name, row in feet:
            own = self.cameras.angles[name].feet
            if np.isnan(own["place"][row, 0]):
                continue
            time = float(own["time"][row])
            found.setdefault(int(own["player"][row]), []).append(
                (time - shifts[name], own["place"][row], own["covariance"][row], int(own["n"][row]), name, time)
            )
        return found

    def _offset(
        self,
        clicks: dict[int, list[tuple[Any, ...]]],
        first: str,
        angle: str,
        middle: float,
        error: float,
        rest: float,
    ) -> float:
        """What two films' clicks of the same men say of their clocks, beside what the events say."""
        men = []
        for own in clicks.values():
            sides = [[click for click in own if click[4] == name] for name in (first, angle)]
            if all(len(side) > 1 for side in sides):
                shifted = [[(click[0] + middle * k, *click[1:]) for click in side] for k, side in enumerate(sides)]
                men.append((arrays(shifted[0])[:3], arrays(shifted[1])[:3], rest))
        return _core.fit_offset(men, error, PLAIN)[0] if len(men) > 1 else 0.0

    def _way(self, play: int, player: int, clicks: list[tuple[Any, ...]], snap: float) -> Way:
        clicks = sorted(clicks, key=lambda click: (click[0], click[3]))
        time, place, covariance = arrays(clicks)
        number = np.array([click[3] for click in clicks])
        angle, film = [click[4] for click in clicks], np.array([click[5] for click in clicks])
        way = Way(player, time, place, covariance, number, angle, film, np.zeros(len(clicks), bool))
        way.rest = None if self._moves(way, play, snap) else snap
        way.strange = _core.strange_clicks(time, place, covariance, way.rest, STRANGE, PLAIN)
        kept = ~way.strange | np.isin(number, self.accepted)
        first, last = float(time[kept][0]), float(time[kept][-1])
        if way.rest is not None and first - REACH <= snap < first:
            first = snap
        step = 1 / self.rate
        at = snap + step * np.arange(np.ceil((first - snap) / step - 1e-6), np.floor((last - snap) / step + 1e-6) + 1)
        made = _core.smooth(time[kept], place[kept], covariance[kept], way.rest, at, MOTION)
        way.at, way.mean, way.spread = at, made["mean"], made["covariance"]
        return way

    def _moves(self, way: Way, play: int, snap: float) -> bool:
        """Whether he is in motion at the snap: only who was clicked before it can be."""
        if not len(way.time) > 1 or way.time[0] > snap - BEFORE_SNAP:
            return False
        made = _core.smooth(way.time, way.place, way.covariance, None, np.array([snap]), PLAIN)
        speed, spread = made["mean"][0, 2:4], made["covariance"][0, 2:4, 2:4]
        size = float(np.sqrt(speed @ np.linalg.solve(spread, speed)))
        return bool(np.hypot(*speed) > IN_MOTION and size > STILL)

    @cached_property
    def accepted(self) -> npt.NDArray[np.int64]:
        """Numbers of the clicks that were doubted and said to be right."""
        acts = self.acts.columns("accept")
        wanted = {
            (play, angle, player, round(time, 3))
            for play, angle, player, time in zip(
                *(acts[key].tolist() for key in ("play", "angle", "player", "time")), strict=True
            )
        }
        feet = self.acts.columns("foot")
        keys = zip(*(feet[key].tolist() for key in ("play", "angle", "player", "time")), strict=True)
        return np.array(
            [
                number
                for number, (play, angle, player, time) in zip(feet["n"].tolist(), keys, strict=True)
                if (play, angle, player, round(time, 3)) in wanted
            ],
            np.int64,
        )

    def _moment(self, play: int, moment: Moment, shifts: dict[str, float], ways: list[Way]) -> Moment:
        """What was said of the snap, and what clicks and events add to it."""
        ball, direction = moment.ball, moment.direction
        seen = [(place, spread) for _, _, place, spread in self.balls.get(play, []) if not np.isnan(place[0])]
        if not moment.said and seen:
            place, spread = seen[0][0], square(seen[0][1])
            for other, error in seen[1:]:
                place, spread = _core.fuse(place, spread, other, square(error))
            ball = (float(place[0]), float(place[1]))
        if not direction:
            sides: dict[str, list[float]] = {"offense": [], "defense": []}
            for way in ways:
                unit = self.who(way.player, play)[0]
                if unit in sides:
                    sides[unit].append(float(way.mean[0, 0]))
            if sides["offense"] and sides["defense"]:
                direction = 1 if np.mean(sides["defense"]) > np.mean(sides["offense"]) else -1
        times = {"throw": moment.throw_time, "end": moment.end_time}
        for what, said in times.items():
            if np.isnan(said):
                seen_at = [
                    known[what] - shifts[angle]
                    for angle, known in self.events.get(play, {}).items()
                    if what in known and angle in shifts
                ]
                times[what] = float(np.mean(seen_at)) if seen_at else np.nan
        return Moment(ball, direction, moment.snap_time, times["throw"], times["end"], moment.said)


def arrays(clicks: list[tuple[Any, ...]]) -> tuple[Floats, Floats, Floats]:
    """Times, places and covariances of clicks."""
    return (
        np.array([click[0] for click in clicks], float),
        np.ascontiguousarray(np.array([click[1] for click in clicks], float).reshape(-1, 2)),
        np.ascontiguousarray(np.array([click[2] for click in clicks], float).reshape(-1, 3)),
    )


def square(covariance: Floats) -> Floats:
    """xx, xy, yy as a matrix."""
    return np.array([[covariance[0], covariance[1]], [covariance[1], covariance[2]]])
