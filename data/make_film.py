"""Make a small film of invented plays, from behind the end zone and from the sideline, and clicks on it.

The plays are those of data/make_demo.py, where everybody truly was; everything else is drawn here: a ground with grain,
lines, ticks and numbers, men with legs and shadows, a camera that follows the play. Nobody in it exists.

    python data/make_film.py --out film                   # two plays, both views: film/*.mp4 and the tables
    python data/make_film.py --plays P003 --seconds 4     # one play, four seconds of it

people.csv and snaps.csv say who the men are and where each ball lies, as `shortedge trace` takes them.
clicks.csv is what a careful person would click on the film: marks of the field (2 px off) and men's feet (3 px off),
every 0.3 s. film.json says how each picture was taken. The projection is written here, by look-at vectors; it shares
nothing with the library. Needs ffmpeg.
"""

from __future__ import annotations

import argparse
import csv
import importlib.util
import json
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

WIDTH = 160 / 3  # yd, across
LENGTH = 120.0
HASH = (70 * 12 + 9) / 36  # yd: a pro field
LINE = 4 / 36  # yd, the width of a line
TICK = 24 / 36
CROWN = 0.25  # yd
FPS = 30
BEFORE = 0.5  # s of film before the snap
SIZE = (1280, 720)
EVERY = 0.3  # s between clicked pictures
MARK_ERROR, FOOT_ERROR = 2.0, 3.0  # pixels
GRASS = np.array([62, 104, 58.0])
PAINT = np.array([226, 228, 220.0])
SHIRTS = (np.array([176, 58, 46.0]), np.array([226, 226, 214.0]))  # offense, defense
TROUSERS = (np.array([216, 210, 200.0]), np.array([52, 66, 110.0]))
SKIN, HELMET, SHOE = (
    np.array([150, 110, 84.0]),
    (np.array([120, 30, 30.0]), np.array([40, 52, 96.0])),
    np.array([30, 30, 30.0]),
)
# Digits of the numbers painted on the ground: 5 columns, 7 rows, from the top.
DIGITS = {
    "0": "01110 10001 10001 10001 10001 10001 01110",
    "1": "00100 01100 00100 00100 00100 00100 01110",
    "2": "01110 10001 00001 00110 01000 10000 11111",
    "3": "01110 10001 00001 00110 00001 10001 01110",
    "4": "00010 00110 01010 10010 11111 00010 00010",
    "5": "11111 10000 11110 00001 00001 10001 01110",
}


@dataclass
class Shot:
    """A picture's camera."""

    place: np.ndarray
    right: np.ndarray
    down: np.ndarray
    ahead: np.ndarray
    f: float

    @classmethod
    def at(cls, place: np.ndarray, target: np.ndarray, wide: float) -> Shot:
        """Looks at a point, so zoomed that the picture is `wide` yards across there."""
        toward = target - place
        distance = float(np.linalg.norm(toward))
        ahead = toward / distance
        right = np.cross(ahead, (0.0, 0.0, 1.0))
        right /= np.linalg.norm(right)
        return cls(place, right, np.cross(ahead, right), ahead, SIZE[0] * distance / wide)

    def see(self, points: np.ndarray) -> np.ndarray:
        """Pixels of points (x, y, z)."""
        rays = np.atleast_2d(points) - self.place
        depth = rays @ self.ahead
        return np.column_stack([rays @ self.right, rays @ self.down]) * (self.f / depth)[:, None] + np.array(SIZE) / 2

    def scale(self, point: np.ndarray) -> float:
        """Pixels a yard at a point."""
        return self.f / float((point - self.place) @ self.ahead)

    def ground(self, x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Where the rays of pixels meet the crowned ground; NaN above the horizon."""
        rays = (
            self.ahead
            + ((x - SIZE[0] / 2) / self.f)[..., None] * self.right
            + ((y - SIZE[1] / 2) / self.f)[..., None] * self.down
        )
        z = np.zeros(x.shape)
        with np.errstate(divide="ignore", invalid="ignore"):
            for _ in range(4):
                far = (z - self.place[2]) / rays[..., 2]
                far = np.where(far > 0, far, np.nan)
                at_y = self.place[1] + far * rays[..., 1]
                z = height(at_y)
        return self.place[0] + far * rays[..., 0], at_y


def height(y: np.ndarray | float) -> np.ndarray:
    across = np.clip(np.asarray(y, float) / WIDTH, -0.05, 1.05)
    return 4 * CROWN * across * (1 - across)


def on_ground(place: np.ndarray, above: float = 0.0) -> np.ndarray:
    return np.array([place[0], place[1], float(height(place[1])) + above])


# ------------------------------------------------------------------------------------------------------ the ground


def grain(x: np.ndarray, y: np.ndarray, cell: float, seed: int) -> np.ndarray:
    """Smooth noise that sticks to the ground: values on a lattice of `cell` yards, -1 to 1, blended between."""
    u, v = x / cell, y / cell
    i, j = np.floor(u).astype(np.int64), np.floor(v).astype(np.int64)
    a, b = u - i, v - j
    a, b = a * a * (3 - 2 * a), b * b * (3 - 2 * b)

    low, high = (i.min(), j.min()), (i.max() + 1, j.max() + 1)
    wide, tall = (int(high[axis] - low[axis]) + 1 for axis in range(2))
    if wide * tall > i.size:  # fewer pixels than values of the lattice

        def at(p: np.ndarray, q: np.ndarray) -> np.ndarray:
            return lattice(p, q, seed)
    else:
        values = lattice(np.arange(low[0], high[0] + 1)[:, None], np.arange(low[1], high[1] + 1)[None], seed).ravel()

        def at(p: np.ndarray, q: np.ndarray) -> np.ndarray:
            return values[(p - low[0]) * tall + (q - low[1])]

    top = at(i, j) * (1 - a) + at(i + 1, j) * a
    return top * (1 - b) + (at(i, j + 1) * (1 - a) + at(i + 1, j + 1) * a) * b


def lattice(p: np.ndarray, q: np.ndarray, seed: int) -> np.ndarray:
    """The value of each corner of a lattice, -1 to 1."""
    mixed = (p * 374761393 + q * 668265263 + seed * 982451653) & 0xFFFFFFFF
    mixed = ((mixed ^ (mixed >> 13)) * 1274126177) & 0xFFFFFFFF
    return ((mixed ^ (mixed >> 16)) & 0xFFFF) / 32767.5 - 1


def strip(distance: np.ndarray, half: float, pixel: np.ndarray) -> np.ndarray:
    """How much of a pixel a line of that half width covers."""
    return np.clip((half - np.abs(distance)) / pixel + 0.5, 0, 1) * np.minimum(1, 2 * half / pixel + 0.35)


def paint(x: np.ndarray, y: np.ndarray, dx: np.ndarray, dy: np.ndarray) -> np.ndarray:
    """How white the ground is; dx, dy: yards a pixel along and across."""
    near5 = x - 5 * np.round(x / 5)
    white = strip(near5, LINE / 2, dx) * ((x > 9) & (x < 111)) * ((y > 0) & (y < WIDTH))

    def lay(there: np.ndarray, covered: Callable[[np.ndarray, np.ndarray, np.ndarray, np.ndarray], np.ndarray]) -> None:
        if there.any():
            white[there] = np.maximum(white[there], covered(x[there], y[there], dx[there], dy[there]))

    inside = (x > -0.2) & (x < LENGTH + 0.2) & (y > -0.2) & (y < WIDTH + 0.2)
    for line, half in ((0, 2 * LINE), (LENGTH, 2 * LINE), (10, LINE), (110, LINE)):  # ends and goals
        near = inside & (np.abs(x - line) < half + dx)
        lay(near, lambda x, y, dx, dy, line=line, half=half: strip(x - line, half, dx))
    for line in (-1, WIDTH + 1):  # sides
        near = (np.abs(y - line) < 1 + dy) & (x > -2) & (x < LENGTH + 2)
        lay(near, lambda x, y, dx, dy, line=line: strip(y - line, 1.0, dy))
    for low, high in (
        (HASH - TICK, HASH),
        (WIDTH - HASH, WIDTH - HASH + TICK),
        (0.11, 0.78),
        (WIDTH - 0.78, WIDTH - 0.11),
    ):
        near = (y > low - dy) & (y < high + dy) & (x > 10) & (x < 110)
        lay(
            near,
            lambda x, y, dx, dy, low=low, high=high: (
                strip(x - np.round(x), LINE / 2, dx)
                * (np.clip((y - low) / dy + 0.5, 0, 1) * np.clip((high - y) / dy + 0.5, 0, 1))
            ),
        )
    return np.maximum(white, numbers(x, y))


def numbers(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """The painted numbers, 2 yd high, their tops 9 yd from the sideline, to be read from that side."""
    white = np.zeros(x.shape)
    near = ((y > 6.9) & (y < 9.1)) | ((y > WIDTH - 9.1) & (y < WIDTH - 6.9))
    if near.any():
        white[near] = digits(x[near], y[near])
    return white


def digits(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """The same of places in the rows of the numbers, (n,)."""
    white = np.zeros(x.shape)
    for line in range(20, 101, 10):
        text = str(line - 10 if line <= 60 else 110 - line)
        for lower in (True, False):
            # Upright in the number's own axes: to the right and up as its reader stands.
            right = x - line if lower else line - x
            up = y - 7.0 if lower else WIDTH - 7.0 - y
            for digit, left in zip(text, (-1 / 3 - 4 / 3, 1 / 3), strict=True):
                column, row = (right - left) / (4 / 3) * 5, (2.0 - up) / 2.0 * 7
                there = (column >= 0) & (column < 5) & (row >= 0) & (row < 7)
                if not there.any():
                    continue
                bits = np.array([[int(bit) for bit in line_] for line_ in DIGITS[digit].split()], float)
                white[there] = np.maximum(white[there], bits[row[there].astype(int), column[there].astype(int)])
    return white


ROWS = 24  # of a picture worked on at once: so many stay in the processor's own memory


def ground_picture(shot: Shot, tones: np.random.Generator) -> np.ndarray:
    """The ground as the camera sees it, (height, width, 3)."""
    wide, tall = SIZE
    colour = np.empty((tall, wide, 3))
    for top in range(0, tall, ROWS):
        bottom = min(top + ROWS, tall)
        above, below = int(top > 0), int(bottom < tall)  # rows more, for the differences from row to row
        px, py = np.meshgrid(np.arange(wide) + 0.5, np.arange(top - above, bottom + below) + 0.5)
        x, y = shot.ground(px, py)
        sky = np.isnan(x)
        x, y = np.where(sky, 0, x), np.where(sky, -99, y)
        dx = np.abs(np.gradient(x, axis=1)) + np.abs(np.gradient(x, axis=0)) + 1e-6
        dy = np.abs(np.gradient(y, axis=1)) + np.abs(np.gradient(y, axis=0)) + 1e-6
        own = slice(above, above + bottom - top)
        colour[top:bottom] = ground_colour(x[own], y[own], dx[own], dy[own])
        colour[top:bottom][sky[own]] = (150, 158, 166)
    return colour + tones.normal(0, 2.0, (tall, wide, 1))


def ground_colour(x: np.ndarray, y: np.ndarray, dx: np.ndarray, dy: np.ndarray) -> np.ndarray:
    """The colour of places; dx, dy: yards a pixel along and across."""
    fade = np.clip(0.25 / np.maximum(dx, dy), 0, 1)
    shade = 0.05 * np.sign(np.sin(np.pi * x / 5)) + 0.10 * grain(x, y, 1.7, 1) + 0.10 * grain(x, y, 0.22, 2) * fade
    shade += 0.05 * grain(x, y, 7.0, 3)
    colour = GRASS * (1 + shade)[..., None]
    off = (x < -2) | (x > LENGTH + 2) | (y < -2) | (y > WIDTH + 2)
    if off.any():
        colour[off] = np.array([96, 92, 88.0]) * (1 + 0.06 * grain(x[off], y[off], 2.5, 4))[..., None]
    white = paint(x, y, dx, dy)
    there = white > 0
    if there.any():
        some = (white[there] * (0.88 + 0.1 * grain(x[there], y[there], 0.3, 5)))[..., None]
        colour[there] = colour[there] * (1 - some) + PAINT * some
    return colour


# --------------------------------------------------------------------------------------------------------- the men


def limb(
    picture: np.ndarray, a: np.ndarray, b: np.ndarray, radius: float, colour: np.ndarray, strength: float = 1.0
) -> None:
    """A line with round ends, edges one pixel soft."""
    low = np.floor(np.minimum(a, b) - radius - 2).astype(int)
    high = np.ceil(np.maximum(a, b) + radius + 2).astype(int)
    x0, y0 = max(low[0], 0), max(low[1], 0)
    x1, y1 = min(high[0], SIZE[0]), min(high[1], SIZE[1])
    if x0 >= x1 or y0 >= y1:
        return
    px, py = np.meshgrid(np.arange(x0, x1) + 0.5, np.arange(y0, y1) + 0.5)
    along = b - a
    share = np.clip(((px - a[0]) * along[0] + (py - a[1]) * along[1]) / max(float(along @ along), 1e-9), 0, 1)
    apart = np.hypot(px - a[0] - share * along[0], py - a[1] - share * along[1])
    alpha = (np.clip(radius - apart + 0.5, 0, 1) * strength)[..., None]
    shading = (1 + 0.14 * np.clip((a[0] + share * along[0] - px) / max(radius, 1), -1, 1))[..., None]
    part = picture[y0:y1, x0:x1]
    part[:] = part * (1 - alpha) + colour * shading * alpha


@dataclass
class Standing:
    """A man at one moment: where his body is, how he moves, how far he ran."""

    body: np.ndarray
    velocity: np.ndarray
    run: float
    side: int  # 0 offense, 1 defense
    facing: float  # radians
    low: float  # 1 in his stance, 0 upright

    def feet(self) -> tuple[np.ndarray, np.ndarray]:
        """Left and right foot on the ground: apart at rest, one before the other as he runs."""
        speed = float(np.hypot(*self.velocity))
        way = self.velocity / speed if speed > 0.5 else np.array([np.cos(self.facing), np.sin(self.facing)])
        across = np.array([-way[1], way[0]])
        stride = min(0.45, 0.08 + 0.07 * speed) * np.sin(2 * np.pi * self.run / 1.6)
        apart = 0.22 if speed < 2 else 0.12
        return self.body + across * apart + way * stride, self.body - across * apart - way * stride


def draw_man(picture: np.ndarray, shot: Shot, man: Standing) -> None:
    ground = on_ground(man.body)
    size = shot.scale(ground)
    left, right = man.feet()
    lean = man.velocity * 0.04
    drop = 0.45 * man.low
    hip, neck, head = (
        shot.see(on_ground(man.body + lean * k, above))[0]
        for k, above in ((0, 1.0 - drop * 0.5), (1, 1.62 - drop), (1.3, 1.9 - drop))
    )
    for foot in (left, right):
        lifted = 0.08 if np.hypot(*man.velocity) > 2 and foot is left else 0.0
        ankle = shot.see(on_ground(foot, 0.08 + lifted))[0]
        toe = shot.see(on_ground(foot + 0.1 * np.array([np.cos(man.facing), np.sin(man.facing)]), 0.04 + lifted))[0]
        knee = (ankle + hip) / 2 + (toe - ankle) * 0.4
        limb(picture, hip, knee, 0.12 * size, TROUSERS[man.side])
        limb(picture, knee, ankle, 0.085 * size, TROUSERS[man.side] * 0.9)
        limb(picture, ankle, toe, 0.06 * size, SHOE)
    limb(picture, hip, neck, 0.235 * size, SHIRTS[man.side])
    across = np.array([-np.sin(man.facing), np.cos(man.facing)])
    for sign in (-1, 1):
        shoulder = shot.see(on_ground(man.body + lean + sign * 0.27 * across, 1.55 - drop))[0]
        hand = shot.see(
            on_ground(
                man.body + sign * 0.3 * across + 0.35 * np.array([np.cos(man.facing), np.sin(man.facing)]), 1.15 - drop
            )
        )[0]
        limb(picture, neck, shoulder, 0.13 * size, SHIRTS[man.side])
        limb(picture, shoulder, hand, 0.07 * size, SKIN)
    limb(picture, head, head, 0.155 * size, HELMET[man.side])


def shadow(picture: np.ndarray, shot: Shot, man: Standing) -> None:
    start, end = shot.see(on_ground(man.body))[0], shot.see(on_ground(man.body + np.array([0.75, 0.45])))[0]
    limb(picture, start, end, 0.16 * shot.scale(on_ground(man.body)), np.array([26, 44, 26.0]), 0.45)


# ------------------------------------------------------------------------------------------------------- the film


@dataclass
class Play:
    """One play of the demo game: men's paths from the snap on."""

    play: str
    snap: dict[str, object]
    times: np.ndarray  # s since the snap
    paths: dict[str, np.ndarray]

    def at(self, player: str, time: float) -> np.ndarray:
        """A smooth path through his samples (Catmull and Rom's cubic)."""
        path, step = self.paths[player], float(self.times[1] - self.times[0])
        k = np.clip((time - self.times[0]) / step, 0, len(path) - 1.001)
        i, u = int(k), k - int(k)
        a, b, c, d = (path[min(max(i + n, 0), len(path) - 1)] for n in (-1, 0, 1, 2))
        return 0.5 * (2 * b + (c - a) * u + (2 * a - 5 * b + 4 * c - d) * u**2 + (3 * b - a - 3 * c + d) * u**3)


def demo(seed: int, plays: int) -> object:
    spec = importlib.util.spec_from_file_location("make_demo", Path(__file__).with_name("make_demo.py"))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["make_demo"] = module
    spec.loader.exec_module(module)
    return module.make(seed=seed, plays=plays)


def plays_of(game: object, wanted: list[str]) -> list[Play]:
    found = []
    for snap in game.snaps:
        if snap["play"] not in wanted:
            continue
        paths: dict[str, list[np.ndarray]] = {}
        times: set[float] = set()
        for (play, player, time, _, _), clean in zip(game.tracks, game.clean, strict=True):
            if play == snap["play"]:
                paths.setdefault(player, []).append(clean)
                times.add(round(time - snap["snap_time"], 3))
        found.append(
            Play(snap["play"], snap, np.array(sorted(times)), {name: np.array(path) for name, path in paths.items()})
        )
    return found


def standing(play: Play, player: str, unit: str, time: float) -> Standing:
    body = play.at(player, time)
    velocity = (play.at(player, time + 0.02) - play.at(player, time - 0.02)) / 0.04
    path = play.paths[player]
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
    run = float(np.interp(time, play.times[: len(along)], along))
    ball = np.array([play.snap["ball_x"], play.snap["ball_y"]])
    toward = play.snap["direction"] * (1 if unit == "offense" else -1)
    near = abs(body[0] - ball[0]) < 2.5 and abs(body[1] - ball[1]) < 7
    low = float(np.clip(1 - (time - 0.1) / 0.35, 0, 1)) if near else 0.0
    facing = 0.0 if toward > 0 else np.pi
    return Standing(body, velocity, run, 0 if unit == "offense" else 1, facing, low)


def shots_of(play: Play, angle: str, places: dict[str, np.ndarray], times: np.ndarray, passer: str) -> list[Shot]:
    """The camera follows between the ball and the passer, a little late, and zooms as it goes."""
    ball = np.array([play.snap["ball_x"], play.snap["ball_y"]])
    target, shots = None, []
    for time in times:
        wanted = 0.55 * ball + 0.45 * play.at(passer, time)
        target = wanted if target is None else target + (wanted - target) * 0.06
        sway = 0.12 * np.array([np.sin(1.3 * time), np.cos(0.9 * time)])
        wide = (27 if angle == "end zone" else 42) * (1 + 0.04 * np.sin(0.7 * time))
        shots.append(Shot.at(places[angle], np.array([*(target + sway), 0.6]), wide))
    return shots


def encode(path: Path, pictures: object) -> None:
    command = ["ffmpeg", "-loglevel", "error", "-y", "-f", "rawvideo", "-pix_fmt", "rgb24"]
    command += [
        "-s",
        f"{SIZE[0]}x{SIZE[1]}",
        "-r",
        str(FPS),
        "-i",
        "-",
        "-an",
        "-c:v",
        "libx264",
        "-preset",
        "veryfast",
    ]
    command += ["-crf", "27", "-pix_fmt", "yuv420p", "-movflags", "+faststart", str(path)]
    with subprocess.Popen(command, stdin=subprocess.PIPE) as process:
        assert process.stdin
        for picture in pictures:
            process.stdin.write(np.clip(picture, 0, 255).astype(np.uint8).tobytes())
        process.stdin.close()
        if process.wait():
            raise SystemExit("ffmpeg failed")


def picture_of(play: Play, shot: Shot, units: dict[str, str], time: float, rng: np.random.Generator) -> np.ndarray:
    picture = ground_picture(shot, rng)
    men = [standing(play, player, units[player], time) for player in play.paths]
    men.sort(key=lambda man: -float((on_ground(man.body) - shot.place) @ shot.ahead))
    for man in men:
        shadow(picture, shot, man)
    for man in men:
        draw_man(picture, shot, man)
    ball = play.at(next(iter(play.paths)), time) * 0 + np.array([play.snap["ball_x"], play.snap["ball_y"]])
    if time < 0.1:
        spot = shot.see(on_ground(ball, 0.1))[0]
        limb(picture, spot, spot + np.array([0.1, 0.0]), 0.12 * shot.scale(on_ground(ball)), np.array([104, 62, 40.0]))
    return picture


def visible_marks(shot: Shot) -> tuple[list[tuple[float, float]], np.ndarray]:
    """Crossings and ticks that lie in the picture."""
    rows = (0.0, HASH, WIDTH - HASH, WIDTH)
    places = [(float(x), y) for x in range(10, 111, 5) for y in rows]
    places += [(float(x), y) for x in range(10, 111) if x % 5 for y in rows[1:3]]
    pixels = np.concatenate([shot.see(on_ground(np.array(place))) for place in places])
    inside = (pixels > 15).all(axis=1) & (pixels < np.array(SIZE) - 15).all(axis=1)
    return [place for place, ok in zip(places, inside, strict=True) if ok], pixels[inside]


def clicks_on(
    play: Play, angle: str, shots: list[Shot], times: np.ndarray, units: dict[str, str], rng: np.random.Generator
) -> list[dict[str, object]]:
    """What a person clicks: six marks a picture (eight from the sideline) and the feet of the men near the ball."""
    rows: list[dict[str, object]] = []
    film = times - times[0]
    for k in range(0, len(times), round(EVERY * FPS)):
        shot, common = shots[k], {"play": play.play, "angle": angle, "time": round(float(film[k]), 4)}
        places, pixels = visible_marks(shot)
        chosen = [int(rng.integers(len(places)))]
        apart = np.full(len(places), np.inf)
        while len(chosen) < min(6 if angle == "end zone" else 8, len(places)):
            apart = np.minimum(apart, np.hypot(*(pixels - pixels[chosen[-1]]).T))
            chosen.append(int(np.argmax(apart)))
        for mark in chosen:
            x, y = pixels[mark] + rng.normal(0, MARK_ERROR, 2)
            rows.append(
                {
                    **common,
                    "what": "mark",
                    "player": "",
                    "x": round(x, 1),
                    "y": round(y, 1),
                    "X": places[mark][0],
                    "Y": places[mark][1],
                }
            )
        ball = np.array([play.snap["ball_x"], play.snap["ball_y"]])
        for player in play.paths:
            man = standing(play, player, units[player], float(times[k]))
            if np.abs(man.body - ball)[1] > 9 or np.hypot(*(man.body - ball)) > 13:
                continue
            middle = (man.feet()[0] + man.feet()[1]) / 2
            x, y = shot.see(on_ground(middle))[0] + rng.normal(0, FOOT_ERROR, 2)
            if 0 < x < SIZE[0] and 0 < y < SIZE[1]:
                rows.append(
                    {**common, "what": "foot", "player": player, "x": round(x, 1), "y": round(y, 1), "X": "", "Y": ""}
                )
    return rows


def write_table(path: Path, rows: list[dict[str, object]]) -> None:
    with path.open("w", newline="", encoding="utf-8") as file:
        table = csv.DictWriter(file, rows[0].keys(), lineterminator="\n")
        table.writeheader()
        table.writerows(rows)


def main() -> None:
    parser = argparse.ArgumentParser(description="Make a small film of invented plays, and clicks on it.")
    parser.add_argument("--out", type=Path, default=Path("film"))
    parser.add_argument("--seed", type=int, default=20240, help="of the game, as data/make_demo.py takes it")
    parser.add_argument(
        "--of", type=int, default=60, help="how many plays the game has; making it takes most of the time"
    )
    parser.add_argument("--plays", nargs="+", default=["P001", "P002"])
    parser.add_argument(
        "--seconds", type=float, help="of each play, from half a second before the snap; all of it else"
    )
    parser.add_argument("--clicks-only", action="store_true", help="no film, only the tables")
    parser.add_argument("--stills", action="store_true", help="also a PNG of every half second (needs matplotlib)")
    given = parser.parse_args()
    given.out.mkdir(parents=True, exist_ok=True)
    game = demo(given.seed, given.of)
    people = {person["player"]: person for person in game.people}
    units = {player: str(person["unit"]) for player, person in people.items()}
    rng = np.random.default_rng(given.seed)
    chosen = plays_of(game, given.plays)
    end = -14.0 if sum(play.snap["direction"] for play in chosen) >= 0 else LENGTH + 14
    places = {"end zone": np.array([end, 28.0, 13.0]), "sideline": np.array([61.0, -36.0, 21.0])}
    clicks, films = [], {}
    for play in chosen:
        last = float(play.times[-1]) if given.seconds is None else min(given.seconds - BEFORE, float(play.times[-1]))
        times = np.arange(-BEFORE, last, 1 / FPS)
        passer = next(player for player in play.paths if people[player]["position"] == "QB")
        for angle in places:
            shots = shots_of(play, angle, places, times, passer)
            clicks += clicks_on(play, angle, shots, times, units, rng)
            name = f"{play.play}_{angle.replace(' ', '_')}.mp4"
            films[name] = {
                "play": play.play,
                "angle": angle,
                "snap": BEFORE,
                "fps": FPS,
                "place": places[angle].tolist(),
            }
            if not given.clicks_only:
                pictures = (
                    picture_of(play, shot, units, float(time), rng) for shot, time in zip(shots, times, strict=True)
                )
                encode(given.out / name, pictures)
            if given.stills:
                import matplotlib.image

                for k in range(0, len(times), FPS // 2):
                    still = np.clip(picture_of(play, shots[k], units, float(times[k]), rng), 0, 255).astype(np.uint8)
                    matplotlib.image.imsave(given.out / f"{name[:-4]}_{k:03d}.png", still)
    write_table(given.out / "clicks.csv", clicks)
    write_table(given.out / "snaps.csv", [play.snap for play in chosen])
    write_table(given.out / "people.csv", list(people.values()))
    truth = [
        {"play": play, "player": player, "time": round(time, 3), "x": round(x, 4), "y": round(y, 4)}
        for (play, player, time, _, _), (x, y) in zip(game.tracks, game.clean, strict=True)
        if play in given.plays
    ]
    write_table(given.out / "truth.csv", truth)
    (given.out / "film.json").write_text(json.dumps(films, indent=1))
    print(f"{len(films)} films, {len(clicks)} clicks in {given.out}")


if __name__ == "__main__":
    main()
