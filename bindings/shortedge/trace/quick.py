"""One picture's camera at once, while the whole is solved when there is time."""

from __future__ import annotations

from typing import Any

import numpy as np

from .cameras import SAME_FRAME, Cameras, Reference, pairs


def look(cameras: Cameras, held: Reference, play: str, angle: str, time: float) -> dict[str, Any] | None:
    """See Trace.look. `held`: the angle as it was last solved whole."""
    marks = cameras.marks
    own = (marks["angle"] == cameras.code.get(angle, -2)) & (marks["play"] == cameras.code.get(play, -2))
    own &= np.abs(marks["time"] - time) <= SAME_FRAME
    if own.sum() < 2 or not held.view.solved:
        return None
    few = {name: values[own] for name, values in marks.items()}
    frame = held.spare
    _, _, wrong = held.view.solve_frame(
        frame, pairs(few, "x", "y"), pairs(few, "X", "Y"), np.ascontiguousarray(few["error"], float)
    )
    if not held.view.frame_solved[frame]:
        return None
    pan, tilt, log_f, roll = held.view.poses[frame]
    width, height = cameras.header["angles"][angle]
    one = np.array([frame], np.int32)
    _, xx, _, yy = held.view.sight(
        one, np.array([[width / 2, height / 2]]), np.full(1, 1e-6), np.zeros(1), np.full(1, 1e-9), 0.0
    )
    variance = float(xx[0] + yy[0]) / 2
    if not variance > 0:  # marks all at one spot say nothing of a camera
        return None
    x, y, z, k1, crown = held.view.view
    return {
        "solved": True,
        "marks": int(held.view.frame_marks[frame]),
        "rms": float(held.view.frame_rms[frame]),
        "pan": float(np.degrees(pan)),
        "tilt": float(np.degrees(tilt)),
        "roll": float(np.degrees(roll)),
        "focal": float(np.exp(log_f)),
        "x": float(x),
        "y": float(y),
        "z": float(z),
        "k1": float(k1),
        "crown": float(crown),
        "sd": float(np.sqrt(variance)),
        "wrong": [int(number) for number in few["n"][wrong]],
    }
