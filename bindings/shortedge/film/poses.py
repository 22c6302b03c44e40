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
        height = ground_height(float(self.view[4]), ground[:, 1]) + above
        return _core.project(self.size, self.view, self.pose, np.column_stack([ground, height]))

    def inside(self, pixels: Floats, margin: float = 0.0) -> npt.NDArray[np.bool_]:
        with np.errstate(invalid="ignore"):
            found = (pixels > margin).all(axis=1) & (pixels < np.array(self.size) - margin).all(axis=1)
        return np.asarray(found, bool)

    def scale(self, ground: Floats) -> float:
        """Pixels a yd upwards at a point of the ground."""
        feet, above = self.seen(ground[None], 0.0)[0], self.seen(ground[None], 1.0)[0]
        return float(np.hypot(*(feet - above)))


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


def poses_of(reading: Reading, play: int, angle: str, film: Film, numbers: list[int]) -> list[Pose | None]:
    """A camera for each picture; None far from any clicked one."""
    solved = reading.cameras.angles[angle]
    size = tuple(reading.cameras.header["angles"][angle])
    own = solved.frames.time[(solved.frames.play == play)]
    found: list[Pose | None] = []
    for number in numbers:
        time = float(film.stamps[number])
        near = len(own) and own.min() - BEYOND <= time <= own.max() + BEYOND
        found.append(pose_between(solved, play, time, size) if near else None)
    return found
