"""The camera followed from clicked pictures into those between, and men from click to click, with OpenCV.

Camera: corners of the ground (men left out) are given their place on the field in a clicked picture and tracked from
picture to picture (pyramidal Lucas-Kanade, there and back); each picture's pan, tilt, zoom and roll is what puts those
places where the corners are seen, outliers left out. It is then locked onto the paint: across every line that should
be seen the picture is searched for the line's middle, along every tick of the hash rows for its ends, and the camera
moved so that they meet (Harris and Stennett 1990). Between two clicked pictures it is followed from both and blended
by the time to each.

Marks of one picture may put the camera yards away, so far off that paint at the picture's rim is not met where it is
looked for. So in the first picture the place is left open, and paint met from there, round after round.

At the end all is locked jointly: marks clicked by hand leave the camera's place and its lens open by what their errors
come to, and a picture locked alone bends to a wrong place. Paint met in many pictures of one camera says more than the
marks do, so place, lens, crown and the pictures' pan, tilt, zoom and roll are solved for together (least squares with
the arrow structure of a bundle adjustment: Triggs et al. 2000), and every picture is met again from that place.

Whatever does not hold together (few corners left, corners that disagree, a cut, a jump, lines no longer seen where they
should be, as when a wipe brings another picture) is lost from there on, and said so: nothing is passed on as good that
was not seen.

Sources: Lucas and Kanade 1981 as in Bouguet 2001; Shi and Tomasi 1994; Harris and Stennett, RAPiD, 1990; Triggs,
McLauchlan, Hartley and Fitzgibbon, Bundle adjustment - a modern synthesis, 2000.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise, permutations
from typing import Any

import numpy as np
import numpy.typing as npt

from .. import _core
from ..base.columns import Floats
from .poses import WIDTH, Pose

Image = npt.NDArray[np.uint8]
Boxes = list[tuple[float, float, float, float]]

LENGTH = 120.0
CORNERS, LEAST = 400, 24  # corners sought and needed
BACK = 0.7  # pixels a corner may be off when tracked back
CLOSE = 2.0  # pixels a corner may be off where the camera puts it
AGREE = 0.45  # the least share of corners that agree
ANEW = 6  # pictures after which corners are looked for again
JUMP = 0.35  # yd the camera may be moved by the lock at the picture's middle
STEEP = 6.0  # pixels across a line that it is sought
BESIDE = 0.25  # yd to both sides along a line at which it is looked at, too: blades of grass are no line
LINE_ERROR, TICK_ERROR = 0.5, 0.5  # pixels of what is met, correlated along a line as it is
JOINT, LEAST_JOINT = 24, 3  # pictures locked jointly, at most and at least
LOOSELY = 1 / 16  # two pixels: how firmly corners still hold a picture that many others help to meet
TICKS_NEEDED = 8  # a picture: lines alone say little of what lies along them
PLACE_OPEN, LENS_OPEN, CROWN_OPEN = 5.0, 0.03, 0.15  # yd, k1, yd: how far six marks of one picture leave a camera off
MOST_MOVED = 1.0  # yd by which the joint lock may move what a picture's middle shows
TOO_FAR = 15.0  # yd: a place that moves farther was no lock
OPENED, TICKS_MET = 6, 0.7  # rounds of a lock that leaves the place open; share of ticks met where a camera is right
PAINT_LEFT = 0.6  # of the share of paint seen in the first picture: with less, it is another picture, or lost
LINES_TELL, TICKS_TELL = 40, 16  # places on lines, and ticks, from which that share tells something
NEAR_TICK = 3.0  # pixels from where it should be that a tick counts as seen there
AHEAD = 24  # pictures decoded ahead of those that are looked at
CUT = 0.55  # correlation of two pictures, made small, under which a cut lies between them


@dataclass
class Seen:
    """Where paint is met in a picture: places of the field (n, 2), the direction each was sought along (n, 2, of length
    1), pixels (n, 2), and how far each may be off along that direction (n,); how many of them, the last, are ticks; and
    at how many places of lines, and ticks, paint should have been met."""

    places: Floats
    along: Floats
    pixels: Floats
    error: Floats
    ticks: int
    sought: tuple[int, int] = (0, 0)

    @property
    def is_tick(self) -> npt.NDArray[np.bool_]:
        return np.arange(len(self.error)) >= len(self.error) - self.ticks

    def off(self, pose: Pose) -> Floats:
        """How far a camera misses each, in its errors."""
        return np.asarray(((self.pixels - pose.seen(self.places)) * self.along).sum(axis=1) / self.error)


@dataclass
class Followed:
    """A picture's camera as followed. good: it holds together; corners: how many agreed; apart: pixels rms; seen: the
    paint that was met in it."""

    number: int
    pose: Pose
    good: bool
    corners: int = 0
    apart: float = float("nan")
    locked: bool = False
    seen: Seen | None = None


@dataclass
class Sight:
    """What was seen in one picture: grey, and where men are not."""

    grey: Image
    ground: Image  # 255 where corners may be sought

    @cached_property
    def corners(self) -> npt.NDArray[np.float32]:
        """Corners of the ground (n, 2), the strongest first."""
        import cv2

        found = cv2.goodFeaturesToTrack(self.grey, CORNERS, 0.004, 9, mask=self.ground, blockSize=5)
        return np.empty((0, 2), np.float32) if found is None else np.asarray(found.reshape(-1, 2))

    @cached_property
    def small(self) -> npt.NDArray[np.float32]:
        import cv2

        return np.asarray(cv2.resize(self.grey, (64, 36), interpolation=cv2.INTER_AREA), np.float32)


def sight_of(picture: Image, boxes: Boxes) -> Sight:
    """Grey, and a mask of the ground: of the ground's colour or white as paint, and outside men's boxes."""
    import cv2

    grey = cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY)
    height, width = grey.shape
    soft = cv2.resize(picture, (width // 2, height // 2), interpolation=cv2.INTER_AREA).astype(np.float32)
    soft = cv2.blur(soft, (3, 3))
    red, green, blue = cv2.split(soft)
    tone = green / (red + green + blue + 1e-3)
    some = tone[height // 8 :: 4, ::4]
    usual = float(np.median(some))
    ground = np.abs(tone - usual) < max(0.06, 3 * 1.4826 * float(np.median(np.abs(some - usual))))
    least, most = cv2.min(cv2.min(red, green), blue), cv2.max(cv2.max(red, green), blue)
    white = (least > 140) & (most - least < 60)
    mask = ((ground | white) * 255).astype(np.uint8)
    mask = cv2.erode(mask, np.ones((5, 5), np.uint8))
    mask = cv2.resize(mask, (width, height), interpolation=cv2.INTER_NEAREST)
    for left, top, right, bottom in boxes:
        x0, y0 = max(int(left), 0), max(int(top), 0)
        mask[y0 : max(int(bottom), 0), x0 : max(int(right), 0)] = 0
    return Sight(grey, mask)


def ground_of(pose: Pose, pixels: Floats) -> Floats:
    """The places of the ground seen at pixels; NaN where none on or near the field is."""
    found = pose.ground(pixels)
    with np.errstate(invalid="ignore"):
        on = (found[:, 0] > -6) & (found[:, 0] < LENGTH + 6) & (found[:, 1] > -6) & (found[:, 1] < WIDTH + 6)
        on &= np.hypot(*(pose.seen(found) - pixels).T) < 0.2  # no place that a lens folds back into the picture
    return np.where(on[:, None], found, np.nan)


def slopes(pose: Pose, ground: Floats) -> tuple[Floats, Floats]:
    """Pixels (n, 2) of places, and how they move with pan, tilt, log f and roll (n, 2, 4)."""
    base, by = pose.slopes(ground)
    return base, by[..., 5:]


def solved(pose: Pose, ground: Floats, pixels: Floats, rounds: int = 8) -> tuple[Pose, npt.NDArray[np.bool_], float]:
    """The camera that puts places where they are seen, those that disagree left out; which agree, and their rms."""
    wide = 20.0
    agree = np.ones(len(ground), bool)
    off = np.zeros(len(ground))
    for _ in range(rounds):
        base, by = slopes(pose, ground)
        apart = pixels - base
        off = np.hypot(*apart.T)
        finite = np.isfinite(off)
        weight = np.where(finite, 1 / (1 + (off / wide) ** 2), 0.0) ** 2
        a = np.nan_to_num(by).reshape(-1, 4)
        b = np.nan_to_num(apart).reshape(-1)
        w = np.repeat(weight, 2)
        move = np.linalg.lstsq((a * w[:, None]).T @ a + 1e-9 * np.eye(4), (a * w[:, None]).T @ b, rcond=None)[0]
        pose = Pose(pose.size, pose.view, pose.pose + move)
        wide = max(wide * 0.5, CLOSE / 2)
    base, _ = slopes(pose, ground)
    off = np.hypot(*(pixels - base).T)
    agree = np.isfinite(off) & (off < CLOSE)
    rms = float(np.sqrt(np.mean(off[agree] ** 2) / 2)) if agree.any() else float("nan")
    return pose, agree, rms


class Tracker:
    """Follows the camera from a picture whose camera is known, one picture after the other."""

    def __init__(self, pose: Pose, sight: Sight, ticks: Floats) -> None:
        self.pose, self.last, self.ticks = pose, sight, ticks
        self.lost, self.since, self.stale = False, 0, False
        self.paint = paint_met(pose, sight, ticks)
        self.corners = np.empty((0, 2), np.float32)
        self.ground = np.empty((0, 2))
        self._seek()

    def _seek(self) -> None:
        corners = self.last.corners
        ground = ground_of(self.pose, corners.astype(float) + 0.5)
        kept = np.isfinite(ground).all(axis=1)
        self.corners, self.ground, self.since, self.stale = corners[kept], ground[kept], 0, False

    def step(self, number: int, now: Sight) -> Followed:
        """The next picture's camera."""
        import cv2

        if self.stale:
            self._seek()
        if self.lost or len(self.corners) < LEAST or little_in_common(self.last.small, now.small):
            self.lost = True
            return Followed(number, self.pose, False)
        how: dict[str, Any] = {"winSize": (15, 15), "maxLevel": 4}
        there, ok, _ = cv2.calcOpticalFlowPyrLK(self.last.grey, now.grey, self.corners.reshape(-1, 1, 2), None, **how)
        back, ok_back, _ = cv2.calcOpticalFlowPyrLK(now.grey, self.last.grey, there, None, **how)
        there, back = there.reshape(-1, 2), back.reshape(-1, 2)
        kept = (ok.ravel() == 1) & (ok_back.ravel() == 1) & (np.hypot(*(back - self.corners).T) < BACK)
        kept &= ground_still(now.ground, there)
        if kept.sum() < LEAST:
            self.lost = True
            return Followed(number, self.pose, False, int(kept.sum()))
        pose, agree, rms = solved(self.pose, self.ground[kept], there[kept].astype(float) + 0.5)
        corners = int(agree.sum())
        if corners < LEAST or agree.mean() < AGREE:
            self.lost = True
            return Followed(number, self.pose, False, corners, rms)
        locked, seen = lock(pose, now, self.ticks)
        paint = paint_seen(locked, seen) if locked is not None and seen is not None else None
        if locked is not None:  # corners that stuck to the picture, as on grass without grain, are no longer in place
            pose = locked
            agree = np.hypot(*(pose.seen(self.ground[kept]) - there[kept] - 0.5).T) < CLOSE
        if paint_gone(self.paint, paint or paint_met(pose, now, self.ticks)):
            self.lost = True
            return Followed(number, self.pose, False, corners, rms)
        self.pose, self.last = pose, now
        rows = np.flatnonzero(kept)[agree]
        self.corners, self.ground = there[rows], self.ground[rows]
        self.since += 1
        self.stale = self.since >= ANEW or len(rows) < CORNERS // 4
        return Followed(number, pose, True, corners, rms, locked is not None, seen)


def ground_still(mask: Image, pixels: npt.NDArray[Any]) -> npt.NDArray[np.bool_]:
    """Whether pixels lie on the mask."""
    x = np.clip(np.nan_to_num(pixels[:, 0]).astype(int), 0, mask.shape[1] - 1)
    y = np.clip(np.nan_to_num(pixels[:, 1]).astype(int), 0, mask.shape[0] - 1)
    return np.asarray(mask[y, x] > 0)


def cut_between(before: Image, after: Image) -> bool:
    """Whether a cut, a black picture or a wipe lies between two pictures: made small, they have little in common."""
    return little_in_common(*(Sight(one, one).small for one in (before, after)))


def little_in_common(a: npt.NDArray[np.float32], b: npt.NDArray[np.float32]) -> bool:
    if a.std() < 3 or b.std() < 3:
        return True
    return float(np.corrcoef(a.ravel(), b.ravel())[0, 1]) < CUT


# ---------------------------------------------------------------------------------------------------------- lock


def lines(pose: Pose) -> tuple[Floats, Floats]:
    """Places on painted lines that lie in the picture, and the same a little further along each line."""
    x, y = np.meshgrid(np.arange(10, 111, 5.0), np.arange(0.75, WIDTH, 0.75))
    points = np.column_stack([x.ravel(), y.ravel()])
    seen = pose.seen(points)
    kept = pose.inside(seen, 10)
    return points[kept], points[kept] + np.array([0.0, 0.3])


def ticks_of(field: str) -> Floats:
    """The ends of the one-yard ticks of the hash rows of a kind of field, (n, 2, 2)."""
    names, places, _ = _core.field_marks(field)
    at = {name: place for name, place in zip(names, np.asarray(places, float), strict=True)}
    ends = [(at[name.removesuffix(" outer")], place) for name, place in at.items() if name.endswith("hash outer")]
    return np.array(ends).reshape(-1, 2, 2)


NO_TICKS = np.empty((0, 2, 2))


def sampled(grey: Image, here: Floats, beside: Floats, along: Floats, reach: Floats) -> npt.NDArray[np.float32]:
    """How light a picture is along directions through pixels, (n, how far): the mean of the way through each and of
    those a step to both sides of it."""
    import cv2

    maps = []
    for axis in range(2):
        middle = (here[:, axis, None] - 0.5 + along[:, axis, None] * reach).astype(np.float32)
        step = beside[:, axis, None].astype(np.float32)
        maps.append(np.concatenate([middle - step, middle, middle + step]))
    light = cv2.remap(grey, maps[0], maps[1], cv2.INTER_LINEAR).reshape(3, len(here), -1)
    return np.asarray(light.sum(axis=0, dtype=np.float32) / 3)


def lock(pose: Pose, sight: Sight, ticks: Floats = NO_TICKS) -> tuple[Pose | None, Seen | None]:
    """The camera moved so that paint is met where it is seen, None where too little is, or it would be moved by more
    than a jump; and what was met. What paint does not tell stays as the corners put it."""
    moved, seen = pose, None
    for _ in range(2):
        seen = met(moved, sight, ticks)
        if seen is None:
            return None, None
        moved = meeting(moved, seen, pose, 1)
    middle = ground_of(pose, np.array([[pose.size[0] / 2, pose.size[1] * 0.55]]))
    if not np.isfinite(middle).all():
        return None, None
    shifted = ground_of(moved, pose.seen(middle))
    held = np.isfinite(shifted).all() and np.hypot(*(shifted - middle)[0]) <= JUMP
    return (moved if held else None), seen


def opened(pose: Pose, sight: Sight, ticks: Floats) -> Pose | None:
    """A picture's camera locked onto the paint with its place, lens and crown left open: a few marks may put it yards
    off, from where paint far from them is not met and no turning makes it meet. None where that does not meet most of
    it, and as much as a turn does."""
    usual, _ = lock(pose, sight, ticks)
    moved, seen = pose, met(pose, sight, ticks)
    if seen is None:
        return None
    for _ in range(OPENED):
        view = joint_view([Followed(0, moved, True, seen=seen)], pose.view)
        turned = None if view is None else seen_from(moved, view)
        if turned is None:
            break
        moved = meeting(turned, seen, turned, 4, LOOSELY)
        now = met(moved, sight, ticks)
        if now is None:
            return None
        seen = now
    before, after = (paint_met(one, sight, ticks)[1] for one in (usual or pose, moved))
    held = after >= TICKS_MET and not after < before and apart_in_yards(pose, moved) <= MOST_MOVED
    return moved if held else None


def holding(pose: Pose) -> Floats:
    """How firmly corners hold what paint leaves open: each part to what moves the picture by half a pixel at its
    rim."""
    half, f = pose.size[0] / 2, float(np.exp(pose.pose[2]))
    return np.diag([(f / 0.5) ** 2, (f / 0.5) ** 2, (half / 0.5) ** 2, (half / 0.5) ** 2])


def meeting(pose: Pose, seen: Seen, usual: Pose, rounds: int, firm: float = 1.0) -> Pose:
    """The camera nearest to `usual` that puts paint where it was met, what lies far off left out. firm: how firmly
    it is held to `usual`, 1 as corners hold it."""
    moved = pose
    for _ in range(rounds):
        _, by = slopes(moved, seen.places)
        a = np.einsum("ni,nik->nk", seen.along, by)
        apart = seen.off(moved) * seen.error
        kept = np.isfinite(apart) & np.isfinite(a).all(axis=1)
        a, apart = a[kept], apart[kept]
        weight = 1 / (1 + (apart / usual_miss(apart, seen.is_tick[kept])) ** 2) ** 2
        hold = holding(moved) * firm
        left = hold @ (usual.pose - moved.pose)
        move = np.linalg.solve((a * weight[:, None]).T @ a + hold, (a * weight[:, None]).T @ apart + left)
        moved = Pose(pose.size, pose.view, moved.pose + move)
    return moved


def usual_miss(apart: Floats, is_tick: npt.NDArray[np.bool_]) -> Floats:
    """From how many pixels on what is missed counts less, each: three times what the half of its kind is missed by, a
    pixel at least. A picture that corners put wrong misses all ticks by as much, and they are to say so, not to be left
    out."""
    usual = np.ones(len(apart))
    for kind in (is_tick, ~is_tick):
        if kind.any():
            usual[kind] = max(1.0, 3 * float(np.median(np.abs(apart[kind]))))
    return usual


def met(pose: Pose, sight: Sight, ticks: Floats) -> Seen | None:
    """Paint where it is seen: lines, and ticks; None where too few lines are."""
    of_lines, *found = lines_met(pose, sight)
    if len(found[0]) < LEAST_ON_LINES:
        return None
    of_ticks, *ended = ticks_met(pose, sight, ticks)
    places, along, apart = (np.concatenate(both) for both in zip(found, ended, strict=True))
    error = np.repeat([LINE_ERROR, TICK_ERROR], [len(found[0]), len(ended[0])])
    pixels = pose.seen(places) + along * apart[:, None]
    return Seen(places, along, pixels, error, len(ended[0]), (of_lines, of_ticks))


LEAST_RISE = 10.0  # grey levels by which a tick is lighter than what lies beyond it
TICK_STEPS = 24  # of a tick's length: how finely it is sought along it


def ticks_met(pose: Pose, sight: Sight, ticks: Floats) -> tuple[int, Floats, Floats, Floats]:
    """Where ticks are met: first how many should be seen; then of those that are their middles, the direction along
    each in the picture, and how far along it was found (pixels). A tick is lighter than what lies half its length
    beyond both ends."""

    none = (0, np.empty((0, 2)), np.empty((0, 2)), np.empty(0))
    if not len(ticks):
        return none
    middles = ticks.mean(axis=1)
    here = pose.seen(middles)
    near = pose.inside(here, 20)
    middles, here, ticks = middles[near], here[near], ticks[near]
    if not len(middles):
        return none
    along = pose.seen(ticks[:, 1]) - pose.seen(ticks[:, 0])
    length = np.hypot(*along.T)
    with np.errstate(all="ignore"):
        along /= length[:, None]
    wide = pose.seen(middles + np.array([1 / 36, 0.0])) - here  # a quarter of its width
    across = np.abs(wide[:, 0] * along[:, 1] - wide[:, 1] * along[:, 0]) * 4
    kept = np.isfinite(along).all(axis=1) & (length > 5) & (across > 0.45)
    # Half of a thin tick's white is neither ground nor paint, so it is beside it that nobody may stand.
    for side in (-1, 1):
        beside = pose.seen(middles + np.array([side * 0.3, 0.0]))
        for share in (-0.5, 0.0, 0.5):
            kept &= ground_still(sight.ground, beside + along * (length * share)[:, None])
    if not kept.any():
        return none
    middles, here, along, length, wide = middles[kept], here[kept], along[kept], length[kept], wide[kept]
    reach = np.arange(-2 * TICK_STEPS, 2 * TICK_STEPS + 1) / TICK_STEPS
    profile = sampled(sight.grey, here, wide, along, length[:, None] * reach)
    half = TICK_STEPS // 2
    total = np.concatenate([np.zeros((len(here), 1)), np.cumsum(profile, axis=1, dtype=float)], axis=1)
    starts = np.arange(2 * half, len(reach) - 2 * half)  # the middles that are tried
    inner = total[:, starts + half + 1] - total[:, starts - half]
    outer = total[:, starts + 2 * half + 1] - total[:, starts - 2 * half]
    rise = inner / (2 * half + 1) - (outer - inner) / (2 * half)
    best = rise.argmax(axis=1)
    rows = np.arange(len(best))
    noise = 1.4826 * np.median(np.abs(np.diff(profile, axis=1)))
    kept = (best > 1) & (best < rise.shape[1] - 2) & (rise[rows, best] > LEAST_RISE + 3 * noise)
    rows, best = rows[kept], best[kept]
    low, mid, high = (rise[rows, best + k] for k in (-1, 0, 1))
    bend = low - 2 * mid + high
    peak = (
        reach[starts[best]] + np.where(bend < -1e-6, 0.5 * (low - high) / np.where(bend == 0, 1, bend), 0) / TICK_STEPS
    )
    return len(middles), middles[rows], along[rows], peak * length[rows]


LEAST_ON_LINES = 12  # places, with fewer nothing is locked


def paint_met(pose: Pose, sight: Sight, ticks: Floats) -> tuple[float, float]:
    """The share of places on lines that show a line, and of ticks that are met within NEAR_TICK of where they should
    be; NaN where too few lie in the picture to tell."""
    lines, there, _, _ = lines_met(pose, sight)
    marks, _, _, apart = ticks_met(pose, sight, ticks)
    return shares((lines, marks), len(there), apart)


def paint_seen(pose: Pose, seen: Seen) -> tuple[float, float]:
    """The same of what was met from next to where the camera stands."""
    apart = (seen.off(pose) * seen.error)[seen.is_tick]
    return shares(seen.sought, len(seen.error) - seen.ticks, apart)


def shares(sought: tuple[int, int], on_lines: int, ticks_apart: Floats) -> tuple[float, float]:
    lines, marks = sought
    return (
        on_lines / lines if lines >= LINES_TELL else float("nan"),
        float((np.abs(ticks_apart) <= NEAR_TICK).sum()) / marks if marks >= TICKS_TELL else float("nan"),
    )


def paint_gone(first: tuple[float, float], now: tuple[float, float]) -> bool:
    """Whether lines or ticks are no longer seen where they should be, as they were in the first picture."""
    return any(after < PAINT_LEFT * before for before, after in zip(first, now, strict=True))


def lines_met(pose: Pose, sight: Sight) -> tuple[int, Floats, Floats, Floats]:
    """Where lines are met: first at how many places one should be seen; then of those where it is the places, the
    direction across each in the picture, and how far off it was found (pixels)."""

    none = (0, np.empty((0, 2)), np.empty((0, 2)), np.empty(0))
    places, further = lines(pose)
    if len(places) < 12:
        return none
    here, further = pose.seen(places), pose.seen(further)
    along = further - here
    length = np.hypot(*along.T)
    with np.errstate(all="ignore"):
        along /= length[:, None]
    normals = np.column_stack([-along[:, 1], along[:, 0]])
    # Paint narrower than a fifth of a pixel is not seen, and lines nearer than twice the search are mixed up.
    beside = np.hypot(*(pose.seen(places + np.array([1.0, 0.0])) - here).T)
    kept = (
        np.isfinite(normals).all(axis=1)
        & (beside * 5 > 3 * STEEP)
        & (beside * 4 / 36 > 0.35)
        & ground_still(sight.ground, here)
    )
    if kept.sum() < 12:
        return none
    places, here, normals = places[kept], here[kept], normals[kept]
    on = (further[kept] - here) * (BESIDE / 0.3)
    reach = np.arange(-STEEP - 2, STEEP + 2.01, 0.5)
    profile = sampled(sight.grey, here, on, normals, reach[None])
    # A line is lighter than what lies two to three pixels to both its sides.
    rise = np.zeros_like(profile)
    rise[:, 6:-6] = profile[:, 6:-6] - 0.5 * (profile[:, :-12] + profile[:, 12:])
    best = rise.argmax(axis=1)
    rows = np.arange(len(best))
    inner = (best > 6) & (best < len(reach) - 7)
    # How much the ground alone rises so: by what three pixels beside the line differ, and no line has a part in it.
    ground = np.concatenate([profile[:, 6:12] - profile[:, :6], profile[:, -12:-6] - profile[:, -6:]])
    noise = np.sqrt(1.5 / 2) * 1.4826 * np.median(np.abs(ground)) + 1.0
    kept = inner & (rise[rows, best] > 4 * noise)
    rows, best = rows[kept], best[kept]
    low, mid, high = (rise[rows, best + k] for k in (-1, 0, 1))
    bend = low - 2 * mid + high
    peak = reach[best] + np.where(np.abs(bend) > 1e-6, 0.25 * (low - high) / np.where(bend == 0, 1, bend), 0.0)
    return len(kept), places[rows], normals[rows], peak.astype(float)


# ------------------------------------------------------------------------------------------------------- a play


class Reel:
    """What is seen in pictures asked for stretch by stretch, later ones last: a film is decoded once from end to end,
    and not from its last whole picture anew for every stretch. Where it breaks off, the next stretch asks again."""

    def __init__(
        self, pictures: Callable[[int, int], Iterator[Image]], boxes: Callable[[int], Boxes], last: int
    ) -> None:
        self._pictures, self._boxes, self._last = pictures, boxes, last
        self._coming: Iterator[Image] = iter(())
        self._next = -1  # the number of the picture that comes
        self._held: tuple[int, Sight] | None = None  # the last one seen, with which the next stretch may begin

    def sights(self, start: int, end: int) -> list[Sight]:
        """Those from one number to another; fewer where the film ends."""
        found = [self._held[1]] if self._held is not None and self._held[0] == start else []
        number = start + len(found)
        if not 0 <= self._next <= number:
            self._coming, self._next = self._pictures(number, self._last - number + 1), number
        for picture in self._coming:
            self._next += 1
            if self._next > number:
                found.append(sight_of(picture, self._boxes(number)))
                number += 1
            if number > end:
                self._held = (end, found[-1])
                return found
        self._next = -1
        return found


class Ahead:
    """What is seen in the pictures of spans, worked out in a thread of its own a little ahead of those who look at it.
    Where the film breaks off a span ends, and the next one is asked for anew. What fails there fails here."""

    def __init__(self, reel: Reel, spans: list[tuple[int, int]]) -> None:
        self._reel, self._spans = reel, spans
        self._sights: dict[int, Sight] = {}
        self._ends: dict[int, int] = {}  # of a span, by its first picture, once it is there: the last one
        self._upto = AHEAD + (spans[0][1] if spans else 0)
        self._failed: BaseException | None = None
        self._stopped = False
        self._changed = threading.Condition()
        self._thread = threading.Thread(target=self._run, daemon=True)

    def __enter__(self) -> Ahead:
        self._thread.start()
        return self

    def __exit__(self, *why: object) -> None:
        with self._changed:
            self._stopped = True
            self._changed.notify_all()
        self._thread.join()

    def sight(self, number: int) -> Sight | None:
        """Waits for it; None where its span ended before."""
        with self._changed:
            self._changed.wait_for(lambda: number in self._sights or self._over(number))
            if number not in self._sights and self._failed is not None:
                raise self._failed
            return self._sights.get(number)

    def end(self, start: int) -> int:
        """The last picture of the span that begins there; the one before, if there is none."""
        with self._changed:
            self._changed.wait_for(lambda: start in self._ends or self._failed is not None)
            if self._failed is not None:
                raise self._failed
            return self._ends[start]

    def let_go(self, before: int, upto: int) -> None:
        """Forgets the pictures before one, and goes on to AHEAD after another."""
        with self._changed:
            self._sights = {number: one for number, one in self._sights.items() if number >= before}
            self._upto = upto + AHEAD
            self._changed.notify_all()

    def _over(self, number: int) -> bool:
        return (
            self._failed is not None
            or self._stopped
            or all(start in self._ends for start, last in self._spans if start <= number <= last)
        )

    def _run(self) -> None:
        try:
            for start, last in self._spans:
                number = start
                while number <= last:
                    with self._changed:
                        while number > self._upto and not self._stopped:
                            self._changed.wait()
                        if self._stopped:
                            return
                        there = number in self._sights
                    if not there:
                        if not (found := self._reel.sights(number, number)):
                            break
                        with self._changed:
                            self._sights[number] = found[0]
                            self._changed.notify_all()
                    number += 1
                with self._changed:
                    self._ends[start] = number - 1
                    self._changed.notify_all()
        except BaseException as why:
            with self._changed:
                self._failed = why
                self._changed.notify_all()


def follow_camera(
    pictures: Callable[[int, int], Iterator[Image]],
    known: dict[int, Pose],
    first: int,
    last: int,
    boxes: Callable[[int], Boxes] = lambda number: [],
    going_on: Callable[[float], bool] = lambda share: True,
    ticks: Floats = NO_TICKS,
) -> dict[int, Followed]:
    """Every picture's camera from `first` to `last`: known ones moved onto the paint where it is met, the others
    followed. One camera took them all: where paint puts the first known one elsewhere (`opened`), all stand there.

    pictures(first, count): pictures in order, (height, width, 3). known: number to the camera its marks gave. boxes:
    where men's bodies are in a picture. going_on: told the share done; False stops, with what is there. Between two
    known pictures it is followed from both ends and blended by the time to each where both hold and agree. ticks: of
    the kind of field (`ticks_of`). At the end all good pictures are locked jointly (`jointly`).
    """
    numbers = sorted(number for number in known if first <= number <= last)
    found: dict[int, Followed] = {number: Followed(number, known[number], True) for number in numbers}
    if not numbers:
        return {}
    spans = [(first, numbers[0])] if numbers[0] > first else []
    spans += [(a, b) for a, b in pairwise(numbers) if b > a + 1]
    spans += [(numbers[-1], last)] if numbers[-1] < last else []
    whole = sum((b - a) * ((a in known) + (b in known)) for a, b in spans)
    steps: list[int] = []  # pictures stepped to
    counting = threading.Lock()
    locks = dict[int, tuple[Pose | None, Seen | None]]()

    def locked(number: int, sight: Sight) -> None:
        if number in known and number not in locks:
            locks[number] = lock(known[number], sight, ticks)

    def way_of(begin: int, order: range) -> dict[int, Followed]:
        """From a known picture one after the other, as far as it holds."""
        made: dict[int, Followed] = {}
        sight = ahead.sight(begin)
        if begin in known and sight is not None:
            locked(begin, sight)
            tracker = Tracker(locks[begin][0] or known[begin], sight, ticks)
            for number in order:
                if (now := ahead.sight(number)) is None:
                    break
                made[number] = tracker.step(number, now)
                with counting:  # both ways count, and what is told rises
                    steps.append(number)
                    over = tracker.lost or not going_on(min(len(steps) / whole, 1.0))
                if over:
                    break
        return made

    with Ahead(Reel(pictures, boxes, last), spans) as ahead, ThreadPoolExecutor(1) as other:
        if spans and (sight := ahead.sight(numbers[0])) is not None:
            closer = opened(known[numbers[0]], sight, ticks)
            if closer is not None:  # one camera took them all, so it stood there in all
                known = {number: seen_from(pose, closer.view) or pose for number, pose in known.items()}
                known[numbers[0]] = closer
                found |= {number: Followed(number, known[number], True) for number in numbers}
        for start, end in spans:
            forwards = other.submit(way_of, start, range(start + 1, end + 1))
            end = ahead.end(start)
            backwards = way_of(end, range(end - 1, start - 1, -1)) if end > start else {}
            ways = [forwards.result(), backwards]
            for number in (start, end):
                if (sight := ahead.sight(number)) is not None:
                    locked(number, sight)
            for number in range(start, end + 1):
                if number in known:
                    closer, seen = locks[number]
                    if closer is not None:
                        found[number] = Followed(number, closer, True, locked=True, seen=seen)
                    continue
                good = [way[number] for way in ways if number in way and way[number].good]
                if len(good) == 2:
                    share = (number - start) / (end - start)
                    blended = good[0].pose.pose * (1 - share) + good[1].pose.pose * share
                    both = Pose(good[0].pose.size, good[0].pose.view, blended)
                    meets = apart_in_yards(good[0].pose, good[1].pose) < JUMP
                    found[number] = Followed(
                        number,
                        both,
                        meets,
                        min(one.corners for one in good),
                        max(one.apart for one in good),
                        good[0].locked,
                        good[0 if share < 0.5 else 1].seen,
                    )
                elif good:
                    found[number] = good[0]
            if not going_on(min(len(steps) / whole, 1.0)):
                break
            ahead.let_go(*next(((a, b) for a, b in spans if a >= end), (end, end)))
    return jointly(found)


def jointly(found: Mapping[int, Followed]) -> dict[int, Followed]:
    """The pictures with place, lens and crown of their camera as paint met in all of them says, each met again from
    there; as they were where too little was met, or it does not hold together."""
    usable = [
        number
        for number, one in found.items()
        if one.good and one.locked and one.seen is not None and one.seen.ticks >= TICKS_NEEDED
    ]
    if len(usable) < LEAST_JOINT:
        return dict(found)
    usable.sort()
    some = np.unique(np.linspace(0, len(usable) - 1, min(JOINT, len(usable))).round().astype(int))
    view = joint_view([found[usable[k]] for k in some])
    if view is None:
        return dict(found)
    made = {}
    for number, one in found.items():
        pose = seen_from(one.pose, view)
        if pose is None:
            made[number] = replace(one, good=False)
            continue
        if one.good and one.seen is not None:
            pose = meeting(pose, one.seen, pose, 4, LOOSELY)
        good = one.good and apart_in_yards(one.pose, pose) <= MOST_MOVED
        made[number] = replace(one, pose=pose, good=good)
    return made


def seen_from(pose: Pose, view: Floats) -> Pose | None:
    """The camera that stands elsewhere and shows the ground as nearly as it can as this one; None off the field."""
    x, y = np.meshgrid(np.arange(0, LENGTH + 1, 2.5), np.linspace(0, WIDTH, 22))
    lattice = np.column_stack([x.ravel(), y.ravel()])
    pixels = pose.seen(lattice)
    kept = pose.inside(pixels) & np.isfinite(pixels).all(axis=1)
    if kept.sum() < 8:
        return None
    # What a lens folds back into the picture lies far off after the least change of it, and is left out.
    return solved(Pose(pose.size, view, pose.pose), lattice[kept], pixels[kept], 6)[0]


def joint_view(pictures: list[Followed], marked: Floats | None = None) -> Floats | None:
    """Place, k1 and crown of the one camera of several pictures, by the paint met in them. None where it is not found,
    or would stand too far from where marks put it (`marked`; if not said, as it stands now)."""
    start = np.asarray(pictures[0].pose.view if marked is None else marked, float)
    open_ = np.array([PLACE_OPEN, PLACE_OPEN, PLACE_OPEN, LENS_OPEN, CROWN_OPEN])
    view, poses = np.array(pictures[0].pose.view, float), [one.pose for one in pictures]
    cost, damped = joint_cost(view, poses, pictures, start, open_), 1e-3
    for _ in range(12):
        parts = [joint_part(pose, one) for pose, one in zip(poses, pictures, strict=True)]
        of_view, right = np.diag(1 / open_**2), (start - view) / open_**2
        steps = []
        for a, b, both, of_a, of_b in parts:
            a = a + np.diag(np.diag(a)) * damped
            solved_ = np.linalg.solve(a, np.column_stack([both, of_a]))
            of_view = of_view + b - both.T @ solved_[:, :5]
            right = right + of_b - both.T @ solved_[:, 5]
            steps.append(solved_)
        move = np.linalg.solve(of_view + np.diag(np.diag(of_view)) * damped, right)
        tried = view + move
        turned = [
            Pose(pose.size, tried, pose.pose + step[:, 5] - step[:, :5] @ move)
            for pose, step in zip(poses, steps, strict=True)
        ]
        now = joint_cost(tried, turned, pictures, start, open_)
        if not now < cost:
            damped *= 10
            if damped > 1e4:
                break
            continue
        view, poses, damped = tried, turned, max(damped / 10, 1e-6)
        enough, cost = cost - now < 1e-4 * cost, now
        if enough:
            break
    before, after = (joint_miss(ones, pictures) for ones in ([one.pose for one in pictures], poses))
    held = np.isfinite(view).all() and np.hypot(*(view - start)[:2]) <= TOO_FAR and after <= before
    return view if held else None


def joint_part(pose: Pose, one: Followed) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """One picture's part of the normal equations: of its pose, of the view, of both, and the right sides."""
    seen = one.seen
    assert seen is not None
    _, by = pose.slopes(seen.places)
    of_view, of_pose = np.split(np.einsum("ni,nik->nk", seen.along, by) / seen.error[:, None], [5], axis=1)
    off = seen.off(pose)
    kept = np.isfinite(off) & np.isfinite(of_pose).all(axis=1) & np.isfinite(of_view).all(axis=1)
    of_pose, of_view, off = of_pose[kept], of_view[kept], off[kept]
    weight = (1 / (1 + (off / FAR) ** 2))[:, None]
    weighted = of_pose * weight
    hold = holding(pose) * LOOSELY
    return (
        weighted.T @ of_pose + hold,
        (of_view * weight).T @ of_view,
        weighted.T @ of_view,
        weighted.T @ off,
        (of_view * weight).T @ off,
    )


def joint_miss(poses: list[Pose], pictures: list[Followed]) -> float:
    """By how many of their errors cameras miss what was met, at the median."""
    off = [one.seen.off(pose) for pose, one in zip(poses, pictures, strict=True) if one.seen is not None]
    return float(np.nanmedian(np.abs(np.concatenate(off))))


FAR = 3.0  # errors from which what is met counts less and less (Cauchy)


def joint_cost(view: Floats, poses: list[Pose], pictures: list[Followed], start: Floats, open_: Floats) -> float:
    total = float((((view - start) / open_) ** 2).sum())
    for pose, one in zip(poses, pictures, strict=True):
        assert one.seen is not None
        off = one.seen.off(pose)
        total += float((FAR**2 * np.log1p((off[np.isfinite(off)] / FAR) ** 2)).sum())
    return total


def apart_in_yards(a: Pose, b: Pose) -> float:
    """How far apart two cameras put the picture's middle on the ground; infinite off the field."""
    middle = ground_of(a, np.array([[a.size[0] / 2, a.size[1] * 0.55]]))
    if not np.isfinite(middle).all():
        return float("inf")
    other = ground_of(b, a.seen(middle))
    return float(np.hypot(*(other - middle)[0])) if np.isfinite(other).all() else float("inf")


# ------------------------------------------------------------------------------------------------------------ men

WAIST = 1.0  # yd: the middle of what is looked for again
HALF_WIDE, HALF_TALL = 0.42, 0.62  # yd of it to each side, and up and down
SEARCH = 0.55  # yd about where he should be
ALIKE = 0.6  # correlation from which he is believed to be seen
NEAR = 0.6  # of correlation that he must be more alike at the rim of the search than where he should be
COVERED = 2  # pictures of those looked at in which a man may be covered before he is lost
FASTEST, STEP = 10.0, 0.3  # yd/s that a man may run from where he was seen last, and yd that he may be seen off
MEETS = 0.35  # yd by which ways from both clicks may differ
STEADY = 0.04  # yd: how far a waist moves against the feet from click to click
RISES, RISING = 0.25, 0.12  # yd: what it rises by out of a stance (hips 0.2, shoulders 0.45), and how wrong that is
SURELY, HARDLY = 0.8, 0.7  # correlation from which what two clicks differ by is known so well, and from which at all
LOOSER = 0.05  # of correlation less, with which it is known worse by as much again
LEFT = 0.5  # of a hand's error: how far off a place may be that a person saw and left where it was
ROUNDS = 12  # in which errors of a hand are found


@dataclass
class Apart:
    """Two of a man's clicks, by their rows: how far the first is off him more than the second (pixels), as a picture
    shows it, and how sure that is, an axis."""

    first: int
    second: int
    differ: Floats
    unsure: Floats


@dataclass
class Clicked:
    """A man in a clicked picture: pixel of his feet and place on the ground. left: he was followed there, and a person
    who saw it left him there. stoops: until the snap he stands as linemen do. act: the click's number in its trace."""

    number: int
    pixel: Floats
    place: Floats
    left: bool = False
    stoops: bool = False
    act: int = -1


def risen(click: Clicked, number: int, rises: tuple[int, int]) -> Floats:
    """How far a man's waist, against his feet, is higher in a picture than in the one he was clicked in, yd; 0 for who
    does not stoop. rises: the pictures from which and until which men come out of their stance."""
    if not click.stoops or rises[1] <= rises[0]:
        return np.zeros(2)
    now, then = (float(np.clip((one - rises[0]) / (rises[1] - rises[0]), 0, 1)) for one in (number, click.number))
    return np.array([0.0, RISES * (now - then)])


def follow_man(
    pictures: dict[int, Image],
    cameras: dict[int, Pose],
    clicks: list[Clicked],
    numbers: list[int],
    error: float,
    rises: tuple[int, int] = (0, 0),
) -> dict[int, Floats]:
    """Where a man's feet are in pictures between clicks of him: pixels by number, of those in which he is seen.

    What he looks like about the waist in each clicked picture is looked for in the pictures up to the next click, about
    where he should be on the way from one to the other. Both clicks answer for a picture, and differ by how far each
    was off the man: so much is known of a hand's errors (`error` pixels) that every click of his helps to put the
    others right, and the pictures between with them. A man who is covered, or whose looks change, is left out there.

    pictures: grey or coloured. rises: the pictures in which he comes out of his stance, where his waist tells little of
    how far away his feet are.
    """
    clicks = sorted(clicks, key=lambda one: one.number)
    looks = [look_of(pictures, cameras, one) for one in clicks]
    moves: dict[int, list[tuple[int, Floats, float, float]]] = {}  # of each picture: click, how far off, alike, scale
    apart = [
        replace(known, first=first, second=second)
        for first, second in permutations(range(len(clicks)), 2)
        if (known := click_apart(pictures, cameras, clicks[first], clicks[second], rises)) is not None
    ]
    for k, (before, after) in enumerate(pairwise(clicks)):
        differ, scales = [], []
        for number in numbers:
            if not before.number < number < after.number or number not in pictures or number not in cameras:
                continue
            share = (number - before.number) / (after.number - before.number)
            place = before.place + (after.place - before.place) * share
            feet, waist = (cameras[number].seen(place[None], above)[0] for above in (0.0, WAIST))
            if not (np.isfinite(feet).all() and np.isfinite(waist).all()):
                continue
            scale = float(np.hypot(*(feet - waist)) / WAIST)
            found = []
            for which, own in ((k, before), (k + 1, after)):
                look = looks[which]
                if look is None:
                    continue
                move, alike = sought(pictures[number], look, waist, scale)
                if alike >= ALIKE:
                    found.append((which, move + scale * risen(own, number, rises), alike, scale))
            if len(found) < 2 or np.hypot(*(found[0][1] - found[1][1])) <= MEETS * scale:
                moves[number] = found
                if len(found) == 2:
                    differ.append(found[0][1] - found[1][1])
            scales.append(scale)
        if differ:
            unsure = np.full(2, STEADY * float(np.mean(scales)))
            if before.number < rises[1] and after.number > rises[0]:
                unsure[1] = RISING * float(np.mean(scales))
            apart.append(Apart(k, k + 1, np.median(differ, axis=0), np.maximum(unsure, 1.0)))
    off = hand_errors(errors_of(clicks, error), apart)
    made: dict[int, Floats] = {}
    for number, found in moves.items():
        if not found:
            continue
        before, after = next((a, b) for a, b in pairwise(clicks) if a.number <= number <= b.number)
        share = (number - before.number) / (after.number - before.number)
        feet = cameras[number].seen((before.place + (after.place - before.place) * share)[None])[0]
        answers = np.array([move - off[which] for which, move, _, _ in found])
        weights = np.array([alike - ALIKE + 0.02 for _, _, alike, _ in found])
        if len(found) == 2:
            weights = weights * np.array([1 - share, share])
        made[number] = feet + (answers * weights[:, None]).sum(axis=0) / weights.sum()
    return made


def errors_of(clicks: list[Clicked], error: float) -> Floats:
    """How far off each of a man's clicks may be, pixels."""
    return np.array([error * (LEFT if one.left else 1.0) for one in clicks])


def click_apart(
    pictures: dict[int, Image], cameras: dict[int, Pose], one: Clicked, other: Clicked, rises: tuple[int, int]
) -> Apart | None:
    """What two of a man's clicks differ by: what he looks like at one is looked for at the other. None where he is not
    seen so. (Not only neighbouring ones: so clicks on both sides of a picture in which he is covered still put each
    other right.)"""
    look = look_of(pictures, cameras, one)
    if look is None or other.number not in pictures or other.number not in cameras:
        return None
    feet, waist = (cameras[other.number].seen(other.place[None], above)[0] for above in (0.0, WAIST))
    scale = float(np.hypot(*(feet - waist)) / WAIST)
    move, alike = sought(pictures[other.number], look, waist + other.pixel - feet, scale)
    if alike < HARDLY:
        return None
    rising = min(one.number, other.number) < rises[1] and max(one.number, other.number) > rises[0]
    steady = STEADY * (1 + max(SURELY - alike, 0.0) / LOOSER)
    unsure = scale * np.array([steady, np.hypot(steady, RISING) if rising else steady])
    return Apart(0, 1, move + scale * risen(one, other.number, rises), np.maximum(unsure, 1.0))


def hand_errors(errors: Floats, apart: list[Apart]) -> Floats:
    """By how much each of a man's clicks is most likely off him, (n, 2) pixels: least squares of errors of the sizes
    given (n,), and of what clicks were seen to differ by. What disagrees with all the rest counts less and less
    (Cauchy, FAR), and what no hand could differ by not at all: he was taken for another."""
    count = len(errors)
    off = np.zeros((count, 2))
    for axis in range(2):
        links = [
            (one.first, one.second, one.differ[axis], one.unsure[axis])
            for one in apart
            if abs(one.differ[axis]) <= FAR * np.hypot(np.hypot(*errors[[one.first, one.second]]), one.unsure[axis])
        ]
        if not links:
            continue
        first, second = (np.array([link[k] for link in links]) for k in range(2))
        differ, unsure = (np.array([link[k] for link in links]) for k in (2, 3))
        rows = (np.eye(count)[first] - np.eye(count)[second]) / unsure[:, None]
        for _ in range(ROUNDS):
            missed = (off[first, axis] - off[second, axis] - differ) / unsure
            weight = 1 / (1 + (missed / FAR) ** 2)
            a = np.diag(errors**-2.0) + rows.T @ (rows * weight[:, None])
            off[:, axis] = np.linalg.solve(a, rows.T @ (weight * differ / unsure))
    return off


def look_of(pictures: dict[int, Image], cameras: dict[int, Pose], click: Clicked) -> tuple[Image, float] | None:
    """What a man looks like about the waist, and how many pixels a yard is there."""
    if click.number not in pictures or click.number not in cameras:
        return None
    camera = cameras[click.number]
    feet, waist = camera.seen(click.place[None])[0], camera.seen(click.place[None], WAIST)[0]
    scale = float(np.hypot(*(feet - waist)) / WAIST)
    middle = waist + (click.pixel - feet)
    part = cut_out(pictures[click.number], middle, HALF_WIDE * scale, HALF_TALL * scale)
    return None if part is None else (part, scale)


def cut_out(picture: Image, middle: Floats, wide: float, tall: float) -> Image | None:
    """The part of a picture about a pixel, to half a pixel; None where it is not all there."""
    import cv2

    if not np.isfinite([*middle, wide, tall]).all() or wide < 4:
        return None
    x, y = float(middle[0]) - 0.5, float(middle[1]) - 0.5
    if x - wide < 0 or y - tall < 0 or x + wide > picture.shape[1] - 1 or y + tall > picture.shape[0] - 1:
        return None
    size = (2 * round(wide) + 1, 2 * round(tall) + 1)
    return np.asarray(cv2.getRectSubPix(picture, size, (x, y)))


def sought(picture: Image, look: tuple[Image, float], waist: Floats, scale: float) -> tuple[Floats, float]:
    """How far from where he should be a man is seen (pixels), and how alike it is, -1 to 1."""
    import cv2

    part, of_scale = look
    if abs(scale / of_scale - 1) > 0.02:
        part = cv2.resize(part, None, fx=scale / of_scale, fy=scale / of_scale, interpolation=cv2.INTER_LINEAR)
    reach = SEARCH * scale
    about = cut_out(picture, waist, reach + part.shape[1] / 2, 0.6 * reach + part.shape[0] / 2)
    if about is None or about.shape[0] <= part.shape[0] or about.shape[1] <= part.shape[1]:
        return np.zeros(2), -1.0
    alike = cv2.matchTemplate(about, part, cv2.TM_CCOEFF_NORMED)
    down, across = np.indices(alike.shape)
    far = np.hypot(across - (alike.shape[1] - 1) / 2, (down - (alike.shape[0] - 1) / 2) / 0.6) / reach
    y, x = np.unravel_index(int((alike - NEAR * far**2).argmax()), alike.shape)
    best = float(alike[y, x])
    at = np.array([float(x), float(y)])
    for axis, (low, high) in enumerate((((y, x - 1), (y, x + 1)), ((y - 1, x), (y + 1, x)))):
        inside = all(0 <= row < alike.shape[0] and 0 <= column < alike.shape[1] for row, column in (low, high))
        if inside:
            a, b = float(alike[low]), float(alike[high])
            bend = a - 2 * best + b
            at[axis] += float(np.clip(0.5 * (a - b) / bend, -0.5, 0.5)) if bend < -1e-9 else 0.0
    return at - (np.array(alike.shape[::-1], float) - 1) / 2, best


def follow_on(
    pictures: dict[int, Image],
    cameras: dict[int, Pose],
    clicks: dict[str, Clicked],
    numbers: list[int],
    stamps: Floats,
    rises: tuple[int, int] = (0, 0),
    speeds: Mapping[str, Floats] | None = None,
) -> dict[str, Floats]:
    """Where men clicked in one picture are in a later one: pixels of their feet, of those who were seen in it.

    A man who is covered on the way is thought to run on as he ran for up to COVERED pictures of it. Who would have run
    faster than FASTEST is not he. (To seek him as he looked when he was seen last finds more men, but half of those
    where they are not, and a wrong ring costs a hand more than none.)

    numbers: the pictures on the way, the last one wanted. stamps: the times of all pictures of the film, s. speeds: how
    men run when they are clicked (2,), yd/s, as far as that is known.
    """
    seen_first = {player: look_of(pictures, cameras, one) for player, one in clicks.items()}
    looks = {player: look for player, look in seen_first.items() if look is not None}
    left = dict(looks)
    place = {player: np.asarray(clicks[player].place, float) for player in left}
    begun = next(iter(clicks.values())).number if clicks else 0
    gap = float(stamps[min(begun + 1, len(stamps) - 1)] - stamps[begun]) if clicks else 0.0
    speed = {player: (speeds or {}).get(player, np.zeros(2)) * gap for player in left}  # yd a picture
    seen_at, missed = dict.fromkeys(left, begun), dict.fromkeys(left, 0)
    pixel: dict[str, Floats] = {}
    for number in numbers:
        if number not in pictures or number not in cameras or not left:
            return {}
        camera, men = cameras[number], list(left)
        seen: dict[str, Floats] = {}
        wanted = np.array([place[player] + speed[player] * (number - seen_at[player]) for player in men])
        feet, waist = camera.seen(wanted), camera.seen(wanted, WAIST)
        for k, player in enumerate(men):
            scale = float(np.hypot(*(feet[k] - waist[k])) / WAIST)
            move, alike = sought(pictures[number], left[player], waist[k], scale)
            if alike >= ALIKE:
                at = ground_of(camera, (feet[k] + move)[None])[0]
                gap = float(stamps[number] - stamps[seen_at[player]])
                if np.hypot(*(at - place[player])) <= FASTEST * gap + STEP:
                    pixel[player], seen[player] = feet[k] + move, at
                    continue
            missed[player] += 1
            if missed[player] > COVERED or number == numbers[-1]:
                del left[player]
        for player, at in seen.items():
            gone = number - seen_at[player]
            speed[player] = 0.5 * speed[player] + 0.5 * (at - place[player]) / gone
            place[player], seen_at[player], missed[player] = at, number, 0
    return {player: pixel[player] + looks[player][1] * risen(clicks[player], numbers[-1], rises) for player in left}
