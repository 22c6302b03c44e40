"""The pocket drawn on the film it was clicked on: on the grass, in perspective, under the men.

Each picture of the film has its camera: as its marks put it, followed between them where OpenCV is there, else turned
evenly from one clicked picture to the next. What lies on the ground (pocket, wall, ways, reach and short edge) is
projected with it and laid under the men: where a man's body must be and the colour is not the ground's, the film stays
as it is. Plates with figures stand outside the pocket, led to the man they speak of, and over nobody.
"""

from __future__ import annotations

import math
import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from importlib.util import find_spec
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt
from matplotlib import font_manager
from PIL import Image as Pillow
from PIL import ImageDraw, ImageFilter, ImageFont

from .._core import FileError, InputError
from ..base.files import in_place
from ..base.text import shown
from ..film.following import follow_camera, ticks_of
from ..film.pictures import Film, ffmpeg_path
from ..film.poses import Pose, body_box, clicked_poses, pose_between
from ..measures.reps import reps_of
from ..tell.labels import Row, Vector, rows_of, text_of
from ..tell.scene import Scene
from ..tell.words import SHOWN_FROM
from ..trace.clicks import Reading
from ..trace.journal import Journal
from ..trace.ways import PlayTrace
from .film import encode
from .style import EXPOSURE

if TYPE_CHECKING:
    from ..measures.reps import Reps
    from ..measures.results import Measures

Image = npt.NDArray[np.uint8]
Box = tuple[float, float, float, float]  # of a picture: left, top, right, bottom

ENDS, STILLS = (".mp4",), (".png",)
SPEED = 0.5  # of the film, if not said
FREEZE = 1.2  # s the picture stands still at a beat and at the greatest short edge
LEAD_IN = 0.4  # s before the snap
TOLD_FROM = 0.5  # yd of short edge that a plate tells
FINE = 2  # what lies on the ground is drawn at twice the size and made smaller
PAINT, INK = (255, 253, 248), (20, 24, 28)
POCKET = (120, 190, 225)
WALL = (230, 244, 250)
BEYOND = 0.6  # s past the last clicked picture that a camera is believed to stand as it stood
LARGER = (2.4, 2.2, 2.0, 1.8, 1.6, 1.4)  # times that the pocket is shown larger from the sideline
INSET_EVERY = 0.2  # s between pictures that its corner is chosen by
FARTHER = 20  # a plate lies beside an inset if that is but so much (of the picture's height) farther from its man
NO_ROOM = 9.0  # men covered, that a picture without room for it counts as
BITES = 0.80  # how much of the ground a line hides
TINT = 0.26


def on_film(
    m: Measures,
    play: str,
    out: str | os.PathLike[str],
    trace: str | os.PathLike[str],
    angle: str | None = None,
    speed: float = SPEED,
    time: float | None = None,
    reps: Reps | None = None,
) -> None:
    """Writes a clip (.mp4), or a still (.png) at a time, of a play with its pocket drawn on its film.

    trace: the file the game was made from, its films beside it. angle: which film; the first that has the play, if not
    said. Film is somebody's property, and people are in it: keep what is made as such. InputError for a play, angle or
    time that is not there, or another ending; FileError for a film that cannot be read.
    """
    target = Path(out)
    kind = target.suffix.lower()
    if kind not in (*ENDS, *STILLS):
        raise InputError(f"out is {shown(str(out))}; accepted: a name that ends in {', '.join((*ENDS, *STILLS))}")
    if not 0.05 <= speed <= 4:
        raise InputError(f"speed is {shown(speed)}; accepted: 0.05 to 4, 1 for as it was")
    clip = Clip(m, play, trace, angle, reps)
    read = (*m.sources, Path(trace), clip.film.path)
    if kind in STILLS:
        picture = clip.still(clip.moments[0][0] if time is None and clip.moments else 0.0 if time is None else time)
        with in_place(target, inputs=read) as made:
            Pillow.fromarray(picture).save(made)
        return
    with in_place(target, inputs=read) as made:
        write_film(made, clip.pictures(speed), clip.size, clip.film.rate)


@dataclass
class Shown:
    """One picture of the film: which, its camera, and the time since the snap."""

    number: int
    time: float
    pose: Pose


@dataclass
class Ground:
    """What lies on the ground at a time, in yards of the field, and what plates say of it."""

    ring: Vector = field(default_factory=lambda: np.empty((0, 2)))
    wall: Vector = field(default_factory=lambda: np.empty((0, 2)))
    ways: list[tuple[Vector, float]] = field(default_factory=list)  # points, exposure
    reach: list[tuple[Vector, float]] = field(default_factory=list)  # whose, radius
    short: list[tuple[Vector, Vector]] = field(default_factory=list)  # from the man's middle to the line past him
    plates: list[tuple[Vector, str]] = field(default_factory=list)  # the man's place, the words
    says: str = ""


class Clip:
    """One play on one film. reading: of the trace, where several plays share it."""

    def __init__(
        self,
        m: Measures,
        play: str,
        trace: str | os.PathLike[str],
        angle: str | None,
        reps: Reps | None = None,
        *,
        reading: Reading | None = None,
    ) -> None:
        path = Path(trace)
        self.reading = reading or Reading(Journal(path, write=False))
        ways = self.reading.ways
        code = self.reading.cameras.code.get(play, -2)
        if code not in ways.plays:
            raise InputError(f"play {shown(play)}: the trace {path} has no such play")
        self.trace: PlayTrace = ways.plays[code]
        films = {name: ways.film_of(code, name) for name in self.reading.cameras.angles}
        seen = [name for name, file in films.items() if file and self.has_cameras(name, code)]
        if angle is not None and angle not in seen:
            raise InputError(f"angle is {shown(angle)}; accepted for play {shown(play)}: {', '.join(seen) or 'none'}")
        if not seen:
            raise InputError(f"play {shown(play)}: the trace {path} names no film of it with known cameras")
        self.angle = angle or seen[0]
        self.film = Film(path.parent / films[self.angle])
        self.size = self.film.size
        self.scene = Scene(m, play)
        self.m, self.play = m, play
        self.swamped = play in m.game.swamped  # short edges that the error of places swamps are not shown
        self.radius = m.rules.reach
        self.zero = self.trace.shifts[self.angle] + self.trace.moment.snap_time  # on the film's clock, the snap
        made = reps_of(m, reps)
        self.moments = self._moments(rows_of(made.table, play))

    def has_cameras(self, angle: str, play: int) -> bool:
        solved = self.reading.cameras.angles[angle]
        count = len(solved.frames.play)
        return bool((np.asarray(solved.view.frame_solved[:count], bool) & (solved.frames.play == play)).any())

    def _moments(self, reps: list[Row]) -> list[tuple[float, str]]:
        """When the picture stands still, s since the snap: beats, and the greatest short edge of each side."""
        found = []
        for row in reps:
            if math.isfinite(row["beat_time"]):
                found.append((float(row["beat_time"]), ""))
        for side in ("left", "right"):
            told = [
                edge
                for edge in rows_of(self.m.edges, self.play)
                if edge["side"] == side and edge["exposure"] >= SHOWN_FROM and edge["short_edge"] >= TOLD_FROM
            ]
            if told and not self.swamped:
                found.append((float(max(told, key=lambda edge: edge["short_edge"])["time"]), ""))
        return sorted({round(time, 3): (time, says) for time, says in found}.values())

    @cached_property
    def shots(self) -> list[Shown]:
        """Every picture of the play that has a camera, followed once for all that is drawn of it."""
        return self._shots(list(self.turned))

    def shots_in(self, lasts: tuple[float, float]) -> list[Shown]:
        """Those from one time to another, s since the snap."""
        return [shot for shot in self.shots if lasts[0] - 1e-6 <= shot.time <= lasts[1] + 1e-6]

    def _shots(self, numbers: list[int]) -> list[Shown]:
        """Pictures one after the other, their cameras followed from the clicked pictures beside them."""
        if not numbers:
            return []
        first = max((one for one in self.clicked if one <= numbers[0]), default=numbers[0])
        last = min((one for one in self.clicked if one >= numbers[-1]), default=numbers[-1])
        poses = self._followed({number: pose for number, pose in self.turned.items() if first <= number <= last})
        return [Shown(number, float(self.film.stamps[number]) - self.zero, poses[number]) for number in numbers]

    @cached_property
    def turned(self) -> dict[int, Pose]:
        """A camera for each picture of the play, but far from any clicked one: turned evenly from one clicked picture
        to the next."""
        start, end = self.zero - LEAD_IN, self.zero + float(self.scene.time[-1])
        solved = self.reading.cameras.angles[self.angle]
        own = solved.frames.time[solved.frames.play == self.trace.play]
        found: dict[int, Pose] = {}
        for number in range(self.film.at(max(start, 0.0)), self.film.at(end) + 1):
            time = float(self.film.stamps[number])
            pose = pose_between(solved, self.trace.play, time, self.size)
            if pose is not None and own.min() - BEYOND <= time <= own.max() + BEYOND:
                found[number] = pose
        return found

    @cached_property
    def clicked(self) -> dict[int, Pose]:
        """The cameras of the pictures whose marks were clicked."""
        return clicked_poses(self.reading, self.play, self.angle, self.film)

    def _followed(self, found: dict[int, Pose]) -> dict[int, Pose]:
        """Cameras of pictures one after the other, followed where OpenCV is there and holds; else as they are."""
        if find_spec("cv2") is None:
            return found
        numbers, known = sorted(found), self.clicked

        def boxes(number: int) -> list[tuple[float, float, float, float]]:
            return self.bodies(float(self.film.stamps[number]) - self.zero, found[number]) if number in found else []

        ticks = ticks_of(self.reading.cameras.header["field"])
        followed = follow_camera(self.film.arrays, known, numbers[0], numbers[-1], boxes, ticks=ticks)
        return found | {number: one.pose for number, one in followed.items() if one.good and number in found}

    # --------------------------------------------------------------------------------------------- pictures

    def at(self, time: float) -> Shown:
        """The picture at a time, followed from the clicked pictures beside it alone. InputError where there is none."""
        times = {number: float(self.film.stamps[number]) - self.zero for number in self.turned}
        if not times or not min(times.values()) - 0.06 <= time <= max(times.values()) + 0.06:
            span = f"{min(times.values()):.2f} to {max(times.values()):.2f}" if times else "none"
            raise InputError(f"time is {time:g}; accepted: {span} s since the snap")
        return self._shots([min(times, key=lambda one: abs(times[one] - time))])[0]

    def still(self, time: float) -> Image:
        return self.still_of(self.at(time))

    def still_of(self, shot: Shown) -> Image:
        picture = next(self.film.arrays(shot.number, 1), None)
        if picture is None:
            raise FileError(f"{self.film.path}: picture {shot.number} cannot be decoded")
        return self.drawn(shot, picture, True)

    def pictures(self, speed: float, shots: list[Shown] | None = None) -> Iterator[Image]:
        """Every picture as often as slow motion and standing still ask for. shots: of which pictures; all, if not
        said."""
        shots = self.shots if shots is None else shots
        if not shots:
            return
        waiting = [time for time, _ in self.moments if time >= shots[0].time - 1e-6]
        due, shown_for = 0.0, 0
        first = shots[0].number
        for shot, picture in zip(shots, self.film.arrays(first, len(shots)), strict=False):
            made = self.drawn(shot, picture, False)
            due += 1 / speed
            times = max(round(due) - shown_for, 0)
            shown_for += times
            for _ in range(times):
                yield made
            if waiting and shot.time >= waiting[0] - 1e-6:
                waiting.pop(0)
                stands = self.drawn(shot, picture, True)
                for _ in range(round(FREEZE * self.film.rate)):
                    yield stands

    def drawn(self, shot: Shown, picture: Image, plates: bool) -> Image:
        """One picture with the pocket on its ground; with plates where it stands still."""
        ground = self.ground(shot.time)
        boxes = self.bodies(shot.time, shot.pose)
        paper = lay(picture, shot.pose, ground, boxes)
        draw = ImageDraw.Draw(paper)
        height = self.size[1]
        insets = self.insets(shot, ground)
        larger = [(magnified(paper, shot.pose, ground, where), where) for where in insets[1:]]  # without plates
        self.caption(draw, shot, ground, height)
        for part, (left, top, right, bottom) in larger:
            draw.rectangle((left - 2, top - 2, right + 1, bottom + 1), fill=PAINT)
            paper.paste(part, (int(left), int(top)))
        above(paper, self, ground, shot.time)
        if plates:
            put_plates(draw, shot.pose, ground, [*boxes, insets[0]], height, self.size, insets[1:])
        return np.asarray(paper)

    def insets(self, shot: Shown, ground: Ground) -> list[Box]:
        """What of a picture the play from above covers and, from the sideline, the pocket shown larger: in the clip's
        corner, smaller if it must be, or in another where it would cover the pocket there, if it has room at all."""
        boxes = [above_box(self.size)]
        if self.angle == "sideline" and (found := inset_boxes(self.size, shot.pose, ground)):
            corner, times = self.inset_corner
            boxes.append(min(found, key=lambda one: (one[0] != corner, one[1] > times, -one[1], one[0]))[2])
        return boxes

    @cached_property
    def inset_corner(self) -> tuple[int, float]:
        """In which corner, and how many times larger, the pocket is shown so that over the whole clip it covers the
        fewest men: a man covered in every other picture counts as much as one size less."""
        covered = dict.fromkeys([(corner, times) for corner in range(3) for times in LARGER], 0.0)
        numbers = list(self.turned)[:: max(1, round(INSET_EVERY * self.film.rate))]
        for number in numbers:
            pose, time = self.turned[number], float(self.film.stamps[number]) - self.zero
            there = {(corner, times): box for corner, times, box in inset_boxes(self.size, pose, self.ground(time))}
            men = self.bodies(time, pose) if there else []
            for one in covered:
                covered[one] += sum(overlap(man, there[one]) for man in men) if one in there else NO_ROOM * bool(there)
        best = {one: count / max(len(numbers), 1) + (LARGER[0] - one[1]) / 0.4 for one, count in covered.items()}
        return min(best, key=lambda one: (best[one], one))

    def caption(self, draw: ImageDraw.ImageDraw, shot: Shown, ground: Ground, height: int) -> None:
        when = f"{shot.time:.2f} s" if shot.time >= 0 else "before the snap"
        text = f"{self.play}   {when}   {ground.says}"
        size = max(height // 40, 11)
        letters = font(size)
        left, top = height // 40, height - int(2.1 * size)
        box = draw.textbbox((left, top), text, font=letters)
        pad = size // 2
        draw.rectangle((box[0] - pad, box[1] - pad, box[2] + pad, box[3] + pad), fill=(*INK, 255))
        draw.text((left, top), text, font=letters, fill=PAINT)

    # ------------------------------------------------------------------------------------------ what is where

    def field(self, points: Vector) -> Vector:
        """Play frame to yards of the field."""
        ball, direction = self.trace.moment.ball, self.trace.moment.direction
        points = np.asarray(points, float).reshape(-1, 2)
        return np.column_stack([ball[0] - direction * points[:, 1], ball[1] - direction * points[:, 0]])

    def bodies(self, time: float, pose: Pose) -> list[tuple[float, float, float, float]]:
        """Boxes of the picture that men's bodies are in: left, top, right, bottom."""
        at = time + self.trace.moment.snap_time
        found = []
        for way in self.trace.ways:
            if not len(way.at) or not way.at[0] - 0.3 <= at <= way.at[-1] + 0.3:
                continue
            place = np.array([np.interp(at, way.at, way.mean[:, axis]) for axis in range(2)])
            box = body_box(pose, place)
            if np.isfinite(box).all():
                found.append(box)
        return found

    def ground(self, time: float) -> Ground:
        """What lies on the ground at a time; between two measured frames by the time between, where both have the same
        men at the pocket's corners."""
        scene = self.scene
        if time < scene.time[0] - 0.05:
            return Ground()
        after = int(np.clip(np.searchsorted(scene.time, time), 0, len(scene.time) - 1))
        before = max(after - 1, 0) if scene.time[after] > time else after
        share = 0.0
        if after > before:
            share = float((time - scene.time[before]) / (scene.time[after] - scene.time[before]))
        k = after if share > 0.5 else before
        made = self._ground(k)
        if 0 < share < 1:
            other = self._ground(before if k == after else after)
            part = share if k == before else 1 - share
            if self._corners(before) == self._corners(after) and len(made.ring) == len(other.ring):
                made.ring = made.ring + (other.ring - made.ring) * part
            if len(made.wall) == len(other.wall) and scene.pocket(before)[0] == scene.pocket(after)[0]:
                made.wall = made.wall + (other.wall - made.wall) * part
        return made

    def _corners(self, k: int) -> list[int]:
        corners: list[int] = self.scene.picture["frames"][k]["corners"].tolist()
        return corners

    def _ground(self, k: int) -> Ground:
        scene, row = self.scene, self.scene.frames[k]
        made = Ground()
        if row["status"] != "ok":
            made.says = f"pocket {row['status']}"
            return made
        wall, ring = scene.pocket(k)
        made.ring, made.wall = self.field(ring), self.field(scene.place[k, wall])
        made.says = f"pocket {row['pocket_width']:.1f} yd wide, {row['pocket_depth']:.1f} deep"
        for edge in scene.edges[row["time"]]:
            rusher, man = text_of(edge["rusher"]), text_of(edge["edge_man"])
            exposure = float(edge["exposure"])
            if not rusher or not exposure >= SHOWN_FROM:
                continue
            way = scene.way_of_edge(k, edge)
            if len(way):
                made.ways.append((self.field(way), exposure))
            his = scene.rushers[row["time"]].get(rusher)
            blocker = text_of(his["blocker"]) if his else ""
            if not blocker or his is None:
                continue
            stands = scene.place[k, scene.code[blocker]]
            made.reach.append((self.field(stands)[0], self.radius))
            if self.swamped:
                continue
            short = float(edge["short_edge"])
            if short > 0:
                foot = foot_on_line(stands, scene.place[k, scene.code[rusher]], scene.place[k, scene.passer])
                made.short.append((self.field(stands)[0], self.field(foot)[0]))
            if short >= TOLD_FROM:
                name = scene.label[scene.code[blocker]]
                made.plates.append((self.field(stands)[0], f"{name}: edge short by {short:.1f} yd"))
            elif man:
                name = scene.label[scene.code[man]]
                made.plates.append(
                    (self.field(scene.place[k, scene.code[man]])[0], f"{name} holds the {edge['side']} edge")
                )
        return made


def foot_on_line(point: Vector, start: Vector, end: Vector) -> Vector:
    """The point of a line nearest to another."""
    along = end - start
    share = float((point - start) @ along) / max(float(along @ along), 1e-12)
    return np.asarray(start + share * along)


# ------------------------------------------------------------------------------------------------------- drawing


def font(size: int) -> Any:
    return ImageFont.truetype(font_manager.findfont("DejaVu Sans"), size)


def lay(picture: Image, pose: Pose, ground: Ground, boxes: list[tuple[float, float, float, float]]) -> Any:
    """What lies on the ground, under the men. Only the part of the picture in which something lies is worked on."""
    height, width = picture.shape[:2]
    thick = max(height / 240, 1.5) * FINE
    paths: list[tuple[Vector, tuple[int, ...], int]] = []  # pixels, colour, how wide; 0 for a filled polygon

    def path(points: Vector, fill: tuple[int, ...], wide: float) -> None:
        seen = pose.seen(dense(points)) * FINE
        seen = seen[np.isfinite(seen).all(axis=1)]
        if len(seen) > 1:  # of one point there is nothing to draw
            paths.append((seen, fill, round(wide)))

    if len(ground.ring):
        closed = np.concatenate([ground.ring, ground.ring[:1]])
        path(closed, (*POCKET, int(255 * TINT)), 0)
        path(closed, (*POCKET, int(255 * BITES)), thick * 0.7)
    if len(ground.wall):
        path(ground.wall, (*WALL, int(255 * BITES)), thick * 1.3)
    for middle, radius in ground.reach:
        turn = np.linspace(0, 2 * np.pi, 49)
        path(middle + radius * np.column_stack([np.cos(turn), np.sin(turn)]), (*WALL, 170), thick * 0.6)
    for points, exposure in ground.ways:
        colour = tuple(int(255 * part) for part in EXPOSURE(0.25 + 0.75 * exposure)[:3])
        path(points, (*colour, 225), thick * 1.5)
    for start, end in ground.short:
        path(np.stack([start, end]), (255, 226, 90, 235), thick * 1.8)
    if not paths:
        return Pillow.fromarray(picture)
    rim = max(wide for _, _, wide in paths) / FINE + 2
    everything = np.concatenate([seen for seen, _, _ in paths]) / FINE
    left, top = (int(x) for x in np.clip(np.floor(everything.min(axis=0) - rim), 0, (width, height)))
    right, bottom = (int(x) for x in np.clip(np.ceil(everything.max(axis=0) + rim), 0, (width, height)))
    if left >= right or top >= bottom:
        return Pillow.fromarray(picture)
    sheet = Pillow.new("RGBA", ((right - left) * FINE, (bottom - top) * FINE), (0, 0, 0, 0))
    draw = ImageDraw.Draw(sheet)
    for seen, fill, wide in paths:
        there = [(float(x), float(y)) for x, y in seen - np.array([left, top]) * FINE]
        if wide:
            draw.line(there, fill=fill, width=wide, joint="curve")
        else:
            draw.polygon(there, fill=fill)
    whole = np.asarray(sheet.resize((right - left, bottom - top), Pillow.Resampling.BOX), np.float32)
    about = np.zeros((height, width), bool)
    about[top:bottom, left:right] = whole[..., 3] > 0
    if not about.any():
        return Pillow.fromarray(picture)
    part = np.s_[top:bottom, left:right]
    alpha = whole[..., 3:] / 255 * (1 - men_mask(picture, boxes, about)[part])[..., None]
    laid = picture.copy()
    laid[part] = np.clip(picture[part] * (1 - alpha) + whole[..., :3] * alpha + 0.5, 0, 255).astype(np.uint8)
    return Pillow.fromarray(laid)


def dense(points: Vector) -> Vector:
    """Points of a path at least every half yard, so that it follows the crowned ground."""
    found = [points[:1]]
    for a, b in pairwise(points):
        count = max(math.ceil(float(np.hypot(*(b - a))) / 0.5), 1)
        found.append(a + (b - a) * (np.arange(1, count + 1) / count)[:, None])
    return np.concatenate(found)


def men_mask(
    picture: Image, boxes: list[tuple[float, float, float, float]], about: npt.NDArray[np.bool_]
) -> npt.NDArray[np.float32]:
    """1 where a man is, 0 on the ground, blended at the rims. A man is what is not of the ground's colour, within the
    boxes; outside them also, unless it is as white as paint."""
    height, width = about.shape
    found = np.zeros((height, width), np.float32)
    rows, columns = np.flatnonzero(about.any(axis=1)), np.flatnonzero(about.any(axis=0))
    top, bottom = max(rows[0] - 8, 0), min(rows[-1] + 9, height)
    left, right = max(columns[0] - 8, 0), min(columns[-1] + 9, width)
    part = Pillow.fromarray(picture[top:bottom, left:right])
    # A small blur keeps the grain of the grass out, and no limb is that thin.
    colours = np.asarray(part.filter(ImageFilter.GaussianBlur(0.8)), np.float32)
    light = colours.sum(axis=2) + 1e-3
    tone = np.stack([colours[..., 0] / light, colours[..., 1] / light], axis=-1)
    inside = np.zeros(light.shape, bool)
    for box in boxes:
        x0, y0 = max(int(box[0]) - left, 0), max(int(box[1]) - top, 0)
        x1, y1 = max(math.ceil(box[2]) - left, 0), max(math.ceil(box[3]) - top, 0)
        inside[y0:y1, x0:x1] = True
    free = ~inside if (~inside).mean() > 0.1 else np.ones_like(inside)
    middle = np.median(tone[free], axis=0)
    spread = np.maximum(1.4826 * np.median(np.abs(tone[free] - middle), axis=0), 0.004)
    usual = np.median(light[free])
    apart = np.sqrt((((tone - middle) / spread) ** 2).sum(axis=-1))
    # A shadow is of the ground's tone and darker; clothes of that tone are not.
    odd = (apart > 5) | (light < 0.22 * usual)
    white = (colours.min(axis=2) > 150) & (np.ptp(colours, axis=2) < 60)
    man = odd & (inside | ~white)
    # Outside the boxes what is thinner than a limb is the rim of a painted line.
    thick = (
        Pillow.fromarray((man * 255).astype(np.uint8)).filter(ImageFilter.MinFilter(5)).filter(ImageFilter.MaxFilter(7))
    )
    man &= inside | (np.asarray(thick) > 0)
    shape = Pillow.fromarray((man * 255).astype(np.uint8))
    shape = (
        shape.filter(ImageFilter.MedianFilter(5)).filter(ImageFilter.MaxFilter(5)).filter(ImageFilter.GaussianBlur(0.7))
    )
    found[top:bottom, left:right] = np.asarray(shape, np.float32) / 255
    return found


def put_plates(
    draw: ImageDraw.ImageDraw,
    pose: Pose,
    ground: Ground,
    boxes: list[tuple[float, float, float, float]],
    height: int,
    size: tuple[int, int],
    insets: Sequence[Box] = (),
) -> list[Box]:
    """Plates with what is to be said of a man, outside the pocket, led to his feet, over nobody who is known; and where
    they are. One lies over a part of an inset rather than much farther from its man, where others may stand."""
    letters = font(max(height // 36, 12))
    taken, put = list(boxes), list[Box]()
    if len(ground.ring):
        seen = pose.seen(ground.ring)
        taken.append((*seen.min(axis=0), *seen.max(axis=0)))
    for place, text in ground.plates:
        feet = pose.seen(place[None])[0]
        box = draw.textbbox((0, 0), text, font=letters)
        pad = height // 90
        wide, tall = box[2] - box[0] + 2 * pad, box[3] - box[1] + 2 * pad
        spots = [free_spot(feet, (wide, tall), [*taken, *there], size) for there in (insets, ())]
        beside, any_place = (
            (math.inf, None) if one is None else (from_plate(feet, one, (wide, tall)), one) for one in spots
        )
        _, spot = beside if beside[0] <= any_place[0] + height / FARTHER else any_place
        if spot is None:
            continue
        x, y = spot
        put.append((x, y, x + wide, y + tall))
        taken.append(put[-1])
        end = (float(np.clip(feet[0], x, x + wide)), float(np.clip(feet[1], y, y + tall)))
        draw.line([tuple(feet), end], fill=INK, width=max(height // 200, 3))
        draw.line([tuple(feet), end], fill=PAINT, width=max(height // 400, 1))
        draw.rectangle((x, y, x + wide, y + tall), fill=PAINT, outline=INK, width=2)
        draw.text((x + pad - box[0], y + pad - box[1]), text, font=letters, fill=INK)
    return put


def from_plate(feet: Vector, spot: tuple[float, float], wanted: tuple[float, float]) -> float:
    """How far a man's feet are from a plate, pixels."""
    (x, y), (wide, tall) = spot, wanted
    return math.hypot(max(x - feet[0], 0, feet[0] - x - wide), max(y - feet[1], 0, feet[1] - y - tall))


def free_spot(
    feet: Vector, wanted: tuple[float, float], taken: list[tuple[float, float, float, float]], size: tuple[int, int]
) -> tuple[float, float] | None:
    """The place for a plate nearest to a man that covers nothing taken and lies in the picture above its caption."""
    wide, tall = wanted
    low = size[1] * 0.93
    best, least = None, math.inf
    for x in np.arange(8, size[0] - wide - 8, max(size[0] / 80, 8)):
        for y in np.arange(8, low - tall, max(size[1] / 60, 8)):
            if any(
                x < right and x + wide > left and y < bottom and y + tall > top for left, top, right, bottom in taken
            ):
                continue
            far = from_plate(feet, (x, y), wanted)
            if far < least:
                best, least = (float(x), float(y)), far
    return best


def above_box(size: tuple[int, int]) -> Box:
    width, height = size
    across, down = int(height * 0.30), int(height * 0.24)
    left, top = width - across - height // 50, height // 50
    return float(left), float(top), float(left + across), float(top + down)


def above(paper: Any, clip: Clip, ground: Ground, time: float) -> None:
    """An inset from above, in the upper right corner: the pocket, the men, the line they started from."""
    left, top, right, bottom = above_box(clip.size)
    across, down = int(right - left), int(bottom - top)
    sheet = Pillow.new("RGB", (across * FINE, down * FINE), PAINT)
    draw = ImageDraw.Draw(sheet)
    span = 16.0
    scale = across * FINE / span
    ball, direction = np.array(clip.trace.moment.ball), clip.trace.moment.direction

    def flat(points: Vector) -> list[tuple[float, float]]:
        off = (np.asarray(points, float).reshape(-1, 2) - ball) * -direction
        return [(float((u + span / 2) * scale), float((v + 2.5) * scale)) for v, u in off]

    draw.line([(0, 2.5 * scale), (across * FINE, 2.5 * scale)], fill=(123, 125, 124), width=FINE)
    if len(ground.ring):
        draw.polygon(flat(ground.ring), fill=(223, 231, 234), outline=(63, 90, 104))
    for points, exposure in ground.ways:
        draw.line(flat(points), fill=tuple(int(255 * part) for part in EXPOSURE(exposure)[:3]), width=3 * FINE)
    k = clip.scene.last(max(time, float(clip.scene.time[0])))
    for i, man in enumerate(clip.scene.play.men):
        if not clip.scene.seen(i, k):
            continue
        (x, y), r = flat(clip.field(clip.scene.place[k, i]))[0], 0.34 * scale
        if man.unit == "defense":
            draw.line([(x - r, y - r), (x + r, y + r)], fill=INK, width=2 * FINE)
            draw.line([(x - r, y + r), (x + r, y - r)], fill=INK, width=2 * FINE)
        else:
            draw.ellipse((x - r, y - r, x + r, y + r), fill=PAINT, outline=INK, width=2 * FINE)
    small = sheet.resize((across, down), Pillow.Resampling.BOX)
    corner = (int(left), int(top))
    ImageDraw.Draw(paper).rectangle(
        (corner[0] - 2, corner[1] - 2, corner[0] + across + 1, corner[1] + down + 1), fill=INK
    )
    paper.paste(small, corner)


def magnified(paper: Any, pose: Pose, ground: Ground, where: Box) -> Any:
    """The pocket, which is small from the sideline, as large as the box it is to be shown in."""
    around = pocket_box(paper.size, pose, ground)
    assert around is not None
    size = int(where[2] - where[0]), int(where[3] - where[1])
    return paper.crop(around).resize(size, Pillow.Resampling.LANCZOS)


def pocket_box(size: tuple[int, int], pose: Pose, ground: Ground) -> tuple[int, int, int, int] | None:
    """What is shown larger: the pocket, and a man above its far side."""
    seen = pose.seen(ground.ring) if len(ground.ring) else np.empty((0, 2))
    seen = seen[np.isfinite(seen).all(axis=1)]
    if not len(seen):
        return None
    (left, top), (right, bottom) = seen.min(axis=0), seen.max(axis=0)
    return int(left - 16), int(top - size[1] / 12), int(right + 16), int(bottom + 16)


def inset_boxes(size: tuple[int, int], pose: Pose, ground: Ground) -> list[tuple[int, float, Box]]:
    """Where the pocket may be shown larger without covering it: the corner (0 to 2: lower right, lower left over the
    caption, upper left), how many times larger, and the box."""
    around = pocket_box(size, pose, ground)
    if around is None:
        return []
    (width, height), gap = size, size[1] // 50
    left, top, right, bottom = around
    pocket = (left + 10, top + height // 12 - 6, right - 10, bottom - 10)
    found = []
    for times in LARGER:
        wide, high = int((right - left) * times), int((bottom - top) * times)
        corners = (
            (width - wide - gap, height - high - gap),
            (gap, height - high - gap - height // 12),
            (gap, gap),
        )
        for corner, (x, y) in enumerate(corners):
            box = (float(x), float(y), float(x + wide), float(y + high))
            if x >= 0 and y >= 0 and not overlap(box, pocket):
                found.append((corner, times, box))
    return found


def overlap(a: Box, b: Box) -> bool:
    return a[0] < b[2] and a[2] > b[0] and a[1] < b[3] and a[3] > b[1]


def write_film(path: Path, pictures: Iterator[Image], size: tuple[int, int], rate: float) -> None:
    even = ["-crf", "19", "-vf", "pad=ceil(iw/2)*2:ceil(ih/2)*2"]
    encode(ffmpeg_path(), path, pictures, size, f"{rate:.6g}", even)
