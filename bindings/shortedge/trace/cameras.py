"""The cameras of a trace: marks clicked in pictures to a solved view an angle, and men clicked to places on the
field."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from .. import _core
from ..base.columns import Floats
from ..base.tables import given_out, texts
from .journal import Journal

Ints = npt.NDArray[np.int32]
SAME_FRAME = 0.005  # s: clicks nearer than this are of one picture
WAIST, WAIST_ERROR = 1.0, 0.1  # yd above the ground
TINY = 1e-9  # yd: heights of feet are known
FARTHEST = 1.0  # s between two marked pictures over which no camera is drawn between them


@dataclass
class Frames:
    """The pictures of one angle that marks were clicked in, in order of play and time."""

    play: Ints
    time: Floats

    def find(self, play: Ints, time: Floats) -> Ints:
        """Each one's frame, -1 for none."""
        found = np.full(len(play), -1, np.int32)
        for code in np.unique(play):
            rows = np.flatnonzero(self.play == code)
            if not len(rows):
                continue
            of = play == code
            after = np.clip(np.searchsorted(self.time[rows], time[of]), 0, len(rows) - 1)
            before = np.maximum(after - 1, 0)
            nearer = np.where(
                np.abs(self.time[rows[before]] - time[of]) <= np.abs(self.time[rows[after]] - time[of]), before, after
            )
            near = rows[nearer]
            found[of] = np.where(np.abs(self.time[near] - time[of]) <= SAME_FRAME, near, -1)
        return found


def frames_of(play: Ints, time: Floats) -> tuple[Frames, Ints]:
    """The pictures, and each click's."""
    order = np.lexsort((time, play))
    new = np.ones(len(order), bool)
    if len(order):
        apart = np.diff(time[order]) > SAME_FRAME
        new[1:] = apart | (np.diff(play[order]) != 0)
    number = np.cumsum(new) - 1
    frame = np.empty(len(order), np.int32)
    frame[order] = number
    first = order[new]
    return Frames(play[first], time[first]), frame


@dataclass
class Between:
    """A camera of a picture that has fewer than two marks, drawn between its neighbours'."""

    frame: int  # in the view
    after: float  # s
    before: float
    marks: int


@dataclass
class Angle:
    """One angle, solved."""

    name: str
    frames: Frames
    view: _core.SolvedView
    marks: dict[str, npt.NDArray[Any]]  # n, play, time, x, y, name (code, -1), X, Y, error, frame
    feet: dict[str, npt.NDArray[Any]]  # n, play, time, player, x, y, hidden, at, and place (n, 2), covariance (n, 3)
    other: tuple[str, bool, float, float] | None = field(default=None)  # a field that fits better
    between: dict[tuple[int, float], Between] = field(default_factory=dict)  # by play and time
    unrest: Floats = field(default_factory=lambda: np.zeros(4))

    def cameras_at(self, play: Ints, time: Floats) -> Ints:
        """Each one's frame in the view, -1 for none: its own picture's, else one drawn between the marked pictures
        before and after it in the play."""
        frame = self.frames.find(play, time)
        solved = self.view.frame_solved
        for row in np.flatnonzero((frame < 0) | ~solved[frame]):
            frame[row] = self._between(int(play[row]), float(time[row]), int(frame[row]))
        return frame

    def _between(self, play: int, time: float, own: int) -> int:
        key = (play, round(time / SAME_FRAME) * SAME_FRAME)
        if key in self.between:
            return self.between[key].frame
        count = len(self.frames.play)
        rows = np.flatnonzero((self.frames.play == play) & self.view.frame_solved[:count])
        times = self.frames.time[rows]
        at = int(np.searchsorted(times, time))
        if not 0 < at < len(rows) or times[at] - times[at - 1] > FARTHEST:
            return -1
        marks = self.marks["frame"] == own if own >= 0 else np.zeros(len(self.marks["n"]), bool)
        marks &= ~self.view.marks[2]
        few = {name: values[marks] for name, values in self.marks.items()}
        after, before = float(time - times[at - 1]), float(times[at] - time)
        found = self.view.add_between(
            int(rows[at - 1]),
            int(rows[at]),
            after,
            before,
            self.unrest,
            pairs(few, "x", "y"),
            pairs(few, "X", "Y"),
            np.ascontiguousarray(few["error"], float),
        )
        self.between[key] = Between(found, after, before, int(marks.sum()))
        return found


def field_marks(field: str) -> Any:
    """The marks of a kind of field ("pro", "college", "school") that a camera is found from: name, x, y, error (yd:
    corners of numbers are only recommended by the codes). "left" has x under 60, "lower" the smaller y."""
    import pyarrow as pa

    names, places, errors = _core.field_marks(field)
    return given_out(pa.table({"name": texts(names), "x": places[:, 0], "y": places[:, 1], "error": errors}))


class Cameras:
    """All angles of a journal as it stands."""

    def __init__(self, journal: Journal) -> None:
        self.journal = journal
        self.header = journal.header
        self.texts = journal.acts.texts
        self.code = {text: code for code, text in enumerate(self.texts)}

    @cached_property
    def marks(self) -> dict[str, npt.NDArray[Any]]:
        """Clicked marks with the places of those given by name."""
        marks = self.journal.acts.columns("mark")
        names, places, errors = _core.field_marks(self.header["field"])
        at = {name: row for row, name in enumerate(names)}
        row = np.array([at.get(self.texts[code], -1) if code >= 0 else -1 for code in marks["mark"].tolist()], int)
        named = row >= 0
        marks["X"] = np.where(named, places[row, 0], marks["X"])
        marks["Y"] = np.where(named, places[row, 1], marks["Y"])
        marks["error"] = np.where(named, errors[row], 0.0)
        # A place that is a mark's is that mark: a number's corner has its error however it was named.
        for (x, y), error in zip(places[errors > 0], errors[errors > 0], strict=True):
            here = ~named & (np.abs(marks["X"] - x) < 1e-6) & (np.abs(marks["Y"] - y) < 1e-6)
            marks["error"][here] = error
        return marks

    @cached_property
    def angles(self) -> dict[str, Angle]:
        """By name; every angle of the header, solved or not."""
        errors = self.header["errors"]
        feet = self.journal.acts.columns("foot")
        solved = {}
        for name, size in self.header["angles"].items():
            code = self.code.get(name, -2)
            marks = {key: values[self.marks["angle"] == code] for key, values in self.marks.items()}
            frames, frame = frames_of(marks["play"], marks["time"])
            marks["frame"] = frame
            pixel, place = pairs(marks, "x", "y"), pairs(marks, "X", "Y")
            error = np.ascontiguousarray(marks["error"], float)
            view = _core.solve_view((size[0], size[1]), name, errors["mark"], frame, pixel, place, error)
            other = view.other_field(self.header["field"], frame, pixel, place, error) if len(frame) else None
            own = {key: values[feet["angle"] == code] for key, values in feet.items()}
            none = np.empty((0, 2))
            view.solve_frame(len(frames.play), none, none, np.empty(0))  # the spare one, for looks
            angle = solved[name] = Angle(name, frames, view, marks, {}, other)
            if view.solved:
                angle.unrest = view.pose_unrest(frames.play, frames.time)
            angle.feet = self.sighted(own, angle)
        return solved

    def sighted(self, feet: dict[str, npt.NDArray[Any]], angle: Angle) -> dict[str, npt.NDArray[Any]]:
        """Feet with their places on the field; NaN where no camera is known."""
        errors, view = self.header["errors"], angle.view
        feet["frame"] = angle.cameras_at(feet["play"], feet["time"])
        waist = feet["at"] == self.code.get("waist", -2)
        hidden = (feet["hidden"] == 1) | (feet["followed"] == 1)
        place, xx, xy, yy = view.sight(
            feet["frame"],
            pairs(feet, "x", "y"),
            np.where(hidden, errors["hidden"], errors["foot"]),
            np.where(waist, WAIST, 0.0),
            np.where(waist, WAIST_ERROR, TINY),
            errors["posture"],
        )
        feet["place"] = place
        feet["covariance"] = np.stack([xx, xy, yy], axis=1)
        return feet


def pairs(columns: dict[str, npt.NDArray[Any]], x: str, y: str) -> Floats:
    """Two columns as points."""
    return np.ascontiguousarray(np.stack([columns[x], columns[y]], axis=1), float)


@dataclass
class Reference:
    """A view as it was last solved whole, with a spare frame for looks at one picture."""

    view: _core.SolvedView
    spare: int
