"""What a picture most likely shows before anything is clicked in it: its camera, the field's marks, the men."""

from __future__ import annotations

from typing import Any

import numpy as np

from .. import _core
from ..base.columns import Floats
from ..film.poses import Pose
from ..trace.cameras import SAME_FRAME, Angle

MARGIN = 12.0  # pixels: a mark nearer the rim is not offered
FEW, MANY = 2, 8  # marks to click, at most: with the camera's place known, and to find it
FIRST_MARKS = 6  # at the least, in the first picture of all, where following locks the camera onto the field later
SURE = 1.0  # yd: the error of the picture's middle with which the place counts as known
ENOUGH = 0.12  # yd: the same, with which no further mark is asked for
SPREAD = 10.0  # yd between marks that tell a camera well and are seen together
RUNS_ON = 0.35  # s over which a man is guessed to run on as he ran


def pose_at_ball(angle: Angle, ball: tuple[float, float], size: tuple[float, float]) -> Pose | None:
    """A new play's first picture: from the known place, turned to the ball, zoomed as the last picture was."""
    count = len(angle.frames.play)
    solved = np.flatnonzero(np.asarray(angle.view.frame_solved[:count], bool))
    if not len(solved) or not np.isfinite(ball).all():
        return None
    view, last = np.asarray(angle.view.view), angle.view.poses[solved[-1]]
    toward = np.array([ball[0], ball[1], 0.0]) - view[:3]
    pan, tilt = np.arctan2(toward[1], toward[0]), np.arctan2(-toward[2], np.hypot(*toward[:2]))
    return Pose(size, view, np.array([pan, tilt, last[2], last[3]]))


class FieldMarks:
    """The marks of a kind of field."""

    def __init__(self, field: str) -> None:
        names, places, errors = _core.field_marks(field)
        self.names, self.places = list(names), np.asarray(places, float)
        self.sure = np.asarray(errors) == 0
        outer = np.array([name.endswith("outer") for name in self.names])
        self.crossing = self.sure & ~outer & (np.abs(np.remainder(self.places[:, 0], 5)) < 1e-9)

    def likely(self, clicked: set[str], ball: tuple[float, float], most: int) -> list[str]:
        """Marks that are most likely in a picture whose camera is not known yet: crossings of yard lines with hash
        rows, about ten yards from one clicked and not far from all of them; before the first, about the ball. Empty
        while neither is known."""
        have = self.places[[row for row, name in enumerate(self.names) if name in clicked], :2]
        if not len(have) and not np.isfinite(ball).all():
            return []
        middle = have.mean(axis=0) if len(have) else np.array(ball)
        rows = [
            row
            for row in np.flatnonzero(self.crossing)
            if self.names[row].endswith("hash") and self.names[row] not in clicked
        ]
        worth = {}
        for row in rows:
            far = np.hypot(*(self.places[row, :2] - middle))
            apart = np.hypot(*(have - self.places[row, :2]).T).min() if len(have) else SPREAD
            worth[row] = abs(apart - SPREAD) + 0.5 * far
        return [self.names[row] for row in sorted(rows, key=lambda row: (worth[row], row))[:most]]

    def offered(self, pose: Pose, clicked: set[str], most: int) -> list[dict[str, Any]]:
        """Marks of a picture not clicked yet, crossings first, far from one another: name, x, y in pixels."""
        pixels = pose.seen(self.places)
        kept = np.flatnonzero(pose.inside(pixels, MARGIN) & self.sure)
        if not len(kept):
            return []
        here = np.array([self.names[row] in clicked for row in kept])
        seen, left, crossing = pixels[kept], ~here, np.where(self.crossing[kept], 1.0, 0.5)
        apart = np.full(len(kept), np.inf)
        for pixel in seen[here]:
            apart = np.minimum(apart, np.hypot(*(seen - pixel).T))
        found: list[int] = []
        from_middle = np.hypot(*(seen - np.array(pose.size) / 2).T)
        while left.any() and len(found) < most:
            worth = np.where(np.isfinite(apart), np.minimum(apart, 2000.0), from_middle) * crossing
            row = int(np.where(left, worth, -1.0).argmax())
            left[row] = False
            found.append(row)
            apart = np.minimum(apart, np.hypot(*(seen - seen[row]).T))
        return [{"name": self.names[kept[row]], "x": float(seen[row, 0]), "y": float(seen[row, 1])} for row in found]


def place_guess(time: Floats, place: Floats, wanted: float) -> Floats | None:
    """Where a man is at a time, from his places at others: between two on their line, past the last as he last ran,
    for a while. None without a place."""
    if not len(time):
        return None
    order = np.argsort(time)
    time, place = time[order], place[order]
    if len(time) == 1 or time[0] <= wanted <= time[-1]:
        return np.array([np.interp(wanted, time, place[:, axis]) for axis in range(2)])
    ends = (0, 1) if wanted < time[0] else (-1, -2)
    gap = time[ends[0]] - time[ends[1]]
    speed = (place[ends[0]] - place[ends[1]]) / gap if abs(gap) > SAME_FRAME else np.zeros(2)
    ahead = float(np.clip(wanted - time[ends[0]], -RUNS_ON, RUNS_ON))
    return np.asarray(place[ends[0]] + speed * ahead)
