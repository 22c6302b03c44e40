"""The camera of every picture of a film: of the clicked ones as they were solved, of those between as followed, or
turned evenly from one to the next."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from .. import _core
from ..base.columns import Floats
from ..trace.cameras import Angle
from ..trace.clicks import Reading
from .pictures import Film

WIDTH = 160 / 3  # yd, of a field
BEYOND = 0.6  # s past the last clicked picture that a camera is believed to stand as it stood


@dataclass(frozen=True)
class Pose:
    """A picture's camera: view x, y, z (yd), k1, crown (yd); pose pan, tilt (radians), log of f (pixels), roll."""

    size: tuple[float, float]
    view: Floats
    pose: Floats

    def seen(self, ground: Floats, above: float = 0.0) -> Floats:
        """Pixels of points of the ground (n, 2), so many yd above it; NaN behind the camera."""
        return _core.project_ground(self.size, self.view, self.pose, np.ascontiguousarray(ground, float), above)

    def slopes(self, ground: Floats) -> tuple[Floats, Floats]:
        """Pixels (n, 2) of points of the ground, and how they move (n, 2, 9) with x, y, z, k1, crown of the view and
        pan, tilt, log f, roll of the pose; NaN behind the camera."""
        return _core.project_slopes(self.size, self.view, self.pose, np.ascontiguousarray(ground, float))

    def ground(self, pixels: Floats) -> Floats:
        """Points of the ground (n, 2) seen at pixels; NaN where none is."""
        return _core.ground_at(self.size, self.view, self.pose, np.ascontiguousarray(pixels, float))

    def inside(self, pixels: Floats, margin: float = 0.0) -> npt.NDArray[np.bool_]:
        with np.errstate(invalid="ignore"):
            found = (pixels > margin).all(axis=1) & (pixels < np.array(self.size) - margin).all(axis=1)
        return np.asarray(found, bool)

    def scale(self, ground: Floats) -> float:
        """Pixels a yd upwards at a point of the ground."""
        feet, above = self.seen(ground[None], 0.0)[0], self.seen(ground[None], 1.0)[0]
        return float(np.hypot(*(feet - above)))


TALL, WIDE = 2.15, 0.62  # yd: a man's body stands in a box so tall, and so wide to each side
UNSURE = 0.25  # yd his place may be off


def body_box(pose: Pose, place: Floats) -> tuple[float, float, float, float]:
    """The box of the picture that the body of a man at a place is in: left, top, right, bottom; NaN behind the
    camera."""
    feet, head = pose.seen(place[None])[0], pose.seen(place[None], TALL)[0]
    scale = float(np.hypot(*(feet - head))) / TALL
    wide = (WIDE + UNSURE) * scale
    return float(feet[0] - wide), float(head[1] - 0.1 * scale), float(feet[0] + wide), float(feet[1] + 0.35 * scale)


def ground_height(crown: float, y: Floats) -> Floats:
    """yd; as core/camera/camera.hpp."""
    across = y / WIDTH
    return np.asarray(4 * crown * across * (1 - across))


def pose_between(angle: Angle, play: int, time: float, size: tuple[float, float]) -> Pose | None:
    """A picture's camera from the solved pictures of its play: between two by the time between them, past the last one
    as it stood there. None where the play has none."""
    count = len(angle.frames.play)
    solved = np.flatnonzero((angle.frames.play == play) & np.asarray(angle.view.frame_solved[:count], bool))
    if not len(solved):
        return None
    times, poses = angle.frames.time[solved], angle.view.poses[solved]
    pose = np.array([np.interp(time, times, poses[:, part]) for part in range(4)])
    return Pose(size, np.asarray(angle.view.view), pose)


def clicked_poses(reading: Reading, play: str, angle: str, film: Film) -> dict[int, Pose]:
    """Picture number to its camera, of those whose marks were clicked."""
    solved = reading.cameras.angles[angle]
    size = tuple(reading.cameras.header["angles"][angle])
    count = len(solved.frames.play)
    own = np.asarray(solved.view.frame_solved[:count], bool) & (
        solved.frames.play == reading.cameras.code.get(play, -2)
    )
    view = np.asarray(solved.view.view)
    return {
        film.nearest(float(solved.frames.time[row])): Pose(size, view, np.asarray(solved.view.poses[row]))
        for row in np.flatnonzero(own)
    }
