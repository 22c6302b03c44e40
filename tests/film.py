"""How good coordinates from clicks are: made cameras, made clicks on games whose truth is known, every figure with its
limit.

    .venv/bin/python tests/film.py            # all checks, some minutes
    .venv/bin/python tests/film.py 1 3        # some of them
    .venv/bin/python tests/film.py --plays 20 # fewer plays a game

The projection is written here anew, by look-at vectors, and shares nothing with core/camera; only the picture's
convention is the same (one radial term of the undistorted radius over half the diagonal). Prints text; the same every
time.

Where the made cameras stand decides what can be reached: marks of 2 pixels leave a bound that no solver beats, and
check 1 prints it beside what was reached. The figures a prototype had for feet clicked to 3 pixels (end zone 0.104 and
0.255 yd at the median and 95 %, both views 0.080 and 0.167) tell its cameras: a click is worth 0.053 yd across the view
and 0.13 along it, so an end-zone picture about 23 yd across seen from 25 degrees up. Ours stand so: on an upper deck
behind either end line. What lower ones give is printed beside, without a limit.
"""

from __future__ import annotations

import argparse
import os
import signal
import sys
import tempfile
import time as clock
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from functools import cached_property
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

sys.path.insert(0, str(Path(__file__).parent / "python"))
import shortedge as se
import truth

WIDTH, LENGTH = 160 / 3, 120.0
PICTURE = (1280.0, 720.0)
HASH = {"pro": (70 * 12 + 9) / 36, "college": 20.0, "school": WIDTH / 3}  # yd from the sideline
CROWNS = (0.0, 0.2, 0.55)
LENSES = (-0.05, 0.0, 0.05)
SEEDS = (4101, 4102, 4103)  # games of the demo's script that nothing was tuned on
RIGHT_END = "end zone, right"
FILM_LATE = 250.0  # s
MOVED = 0.12  # yd, one deviation of each coordinate: about what is left of clicks of 4 px along an end-zone view

lines: list[str] = []  # of the part at hand
misses: list[str] = []


def head(text: str) -> None:
    lines.append(f"\n{text}")


def tell(text: str) -> None:
    lines.append(f"    ({text})")


def say(what: str, value: float, limit: str, ok: bool, shown: str = "") -> None:
    """One line of the report."""
    lines.append(f"  {what:<62} {shown or f'{value:.3f}':>16}   {limit:<16} {'pass' if ok else 'MISS'}")
    if not ok:
        misses.append(f"{what}: {shown or f'{value:.3f}'}, {limit}")


def at_most(what: str, value: float, most: float) -> None:
    say(what, value, f"<= {most:g}", bool(value <= most))


def at_least(what: str, value: float, least: float) -> None:
    say(what, value, f">= {least:g}", bool(value >= least))


def between(what: str, value: float, least: float, most: float) -> None:
    say(what, value, f"{least:g} to {most:g}", bool(least <= value <= most))


# ------------------------------------------------------------------------------------------------- made cameras


@dataclass
class Shot:
    """One picture of a made camera."""

    place: np.ndarray
    right: np.ndarray
    down: np.ndarray
    ahead: np.ndarray
    f: float
    k1: float
    crown: float

    def height(self, points: np.ndarray) -> np.ndarray:
        across = points[..., 1] / WIDTH
        return 4 * self.crown * across * (1 - across)

    def see(self, ground: np.ndarray, above: float = 0.0) -> tuple[np.ndarray, np.ndarray]:
        """Pixels of ground points, and which of them lie in the picture."""
        ground = np.atleast_2d(ground)
        rays = np.column_stack([ground, self.height(ground) + above]) - self.place
        depth = rays @ self.ahead
        flat = (
            self.f
            * np.column_stack([rays @ self.right, rays @ self.down])
            / np.where(depth > 0, depth, np.nan)[:, None]
        )
        radius = np.hypot(*flat.T) / (np.hypot(*PICTURE) / 2)
        pixel = np.array(PICTURE) / 2 + flat * (1 + self.k1 * radius**2)[:, None]
        inside = (pixel > 8).all(axis=1) & (pixel < np.array(PICTURE) - 8).all(axis=1) & (radius < 1.3)
        return pixel, inside


@dataclass
class Stand:
    """A made camera of one game."""

    angle: str
    place: np.ndarray
    k1: float
    crown: float

    def shot(self, rng: np.random.Generator, target: np.ndarray, wide: float, place: np.ndarray | None = None) -> Shot:
        """Looks at a ground point, so zoomed that the picture is `wide` yards across there."""
        at = self.place if place is None else place
        toward = np.array([*target, 0.0]) - at
        distance = float(np.linalg.norm(toward))
        ahead = toward / distance
        right = np.cross(ahead, [0.0, 0.0, 1.0])
        right /= np.linalg.norm(right)
        down = np.cross(ahead, right)
        lean = np.radians(rng.normal(0, 0.5))
        right, down = right * np.cos(lean) + down * np.sin(lean), down * np.cos(lean) - right * np.sin(lean)
        return Shot(at, right, down, ahead, PICTURE[0] * distance / wide, self.k1, self.crown)


def stand(rng: np.random.Generator, angle: str, side: int, k1: float, crown: float, low: bool = False) -> Stand:
    """A camera behind the end line (side -1: x below 0) or beside the sideline (side -1: y below 0). Behind the end
    line it stands on a stadium's upper deck, 27 to 32 yd up; `low`: on a mast of 9 to 13."""
    if angle.startswith("end zone"):
        x = -rng.uniform(10, 16)
        place = [
            x if side < 0 else LENGTH - x,
            WIDTH / 2 + rng.uniform(-4, 4),
            rng.uniform(9, 13) if low else rng.uniform(27, 32),
        ]
    else:
        y = -rng.uniform(30, 45)
        place = [60 + rng.uniform(-8, 8), y if side < 0 else WIDTH - y, rng.uniform(18, 24)]
    return Stand(angle, np.array(place), k1, crown)


def wide_of(angle: str, rng: np.random.Generator) -> float:
    return float(rng.uniform(22, 26) if angle.startswith("end zone") else rng.uniform(40, 46))


def crossings(kind: str, ticks: bool = True) -> np.ndarray:
    """Places a person can click: yard lines at sidelines and hashes, and ticks at the hashes."""
    rows = (0.0, HASH[kind], WIDTH - HASH[kind], WIDTH)
    places = [(x, y) for x in range(10, 111, 5) for y in rows]
    if ticks:
        places += [(x, y) for x in range(10, 111) if x % 5 for y in rows[1:3]]
    return np.array(places, float)


def pick(rng: np.random.Generator, pixels: np.ndarray, many: int) -> np.ndarray:
    """Marks far from one another, as one clicks them: each next one is the farthest from those there are."""
    chosen = [int(rng.integers(len(pixels)))]
    apart = np.full(len(pixels), np.inf)
    while len(chosen) < min(many, len(pixels)):
        apart = np.minimum(apart, np.hypot(*(pixels - pixels[chosen[-1]]).T))
        chosen.append(int(np.argmax(apart)))
    return np.array(chosen[:many])


def marks_in(shot: Shot, kind: str, rng: np.random.Generator, many: int, noise: float) -> tuple[np.ndarray, np.ndarray]:
    """Clicked pixels and their places."""
    places = crossings(kind)
    pixels, inside = shot.see(places)
    places, pixels = places[inside], pixels[inside]
    rows = pick(rng, pixels, many)
    return pixels[rows] + rng.normal(0, noise, (len(rows), 2)), places[rows]


# ------------------------------------------------------------------------------------------------- made traces


@dataclass
class Script:
    """A game whose places are known: clean tracks, snaps, people, truth of reps."""

    name: str
    tracks: pd.DataFrame  # play, player, time, x, y in yards of the field
    snaps: pd.DataFrame
    people: pd.DataFrame
    truth: pd.DataFrame
    perfect: se.Game
    _by: dict[str, dict[str, tuple[np.ndarray, np.ndarray]]] = field(default_factory=dict)

    @cached_property
    def measured(self) -> pd.DataFrame:
        """Frames of perfect coordinates, with short edges."""
        return frames_of(self.perfect)

    def places(self, play: str) -> dict[str, tuple[np.ndarray, np.ndarray]]:
        """Player to his times and places."""
        if not self._by:
            for (one, player), rows in self.tracks.groupby(["play", "player"], sort=True):
                of = self._by.setdefault(str(one), {})
                of[str(player)] = (rows["time"].to_numpy(), rows[["x", "y"]].to_numpy())
        return self._by[play]


def demo_script(seed: int, plays: int) -> Script:
    made = truth.seeded(seed, plays, clean=True)
    tracks, snaps, people = made.tables
    tracks = tracks.sort_values(["play", "player", "time"], ignore_index=True)
    return Script(f"demo script, seed {seed}", tracks, snaps, people, made.truth, made.game())


def foreign_script(plays: int) -> Script:
    """The foreign game; its own 4 cm of white noise is part of its truth."""
    return by_the_door("foreign game", truth.foreign(), plays)


def second_script(plays: int) -> Script:
    return by_the_door(f"second script, seed {SEEDS[0]}", truth.second(SEEDS[0], plays), plays)


def by_the_door(name: str, made: truth.Case, plays: int) -> Script:
    """A game of tables of any kind, as the library reads them."""
    game = made.game()
    columns = game.core.tracks
    ids, players = game.core.plays, game.core.players
    tracks = pd.DataFrame(
        {
            "play": np.array(ids, object)[columns["play"]],
            "player": np.array(players, object)[columns["player"]],
            "time": columns["time"],
            "x": columns["x"],
            "y": columns["y"],
        }
    )
    game.library = "pandas"
    return Script(name, tracks, game.plays.iloc[:plays], game.people, made.truth, game)


@dataclass
class Clicking:
    """How a made person clicks."""

    angles: tuple[str, ...] = ("end zone",)
    every: float = 0.3
    foot: float = 4.0
    mark: float = 2.0
    posture: float = 0.0
    sway: float = 0.1
    kind: str = "pro"
    crown: float = 0.2
    k1: float = 0.0
    seed: int = 1
    mast: bool = False  # one low camera behind one end line for the whole game
    film: str = ""  # a file in the folder: the first angle's film, whose clock is FILM_LATE behind the play's


def traced(script: Script, how: Clicking, folder: Path) -> Path:
    """The trace of a whole script, clicked so."""
    rng = np.random.default_rng(how.seed)
    path = folder / f"{script.name.replace(' ', '_').replace(',', '')}.trace"
    path.unlink(missing_ok=True)
    errors = {"mark": how.mark, "foot": how.foot, "posture": how.posture}
    # A stadium has a camera at either end, and a play is filmed from the nearer one: two angles. A mast stands at one.
    stands: dict[str, Stand] = {}
    for angle in how.angles:
        if angle == "end zone" and not how.mast:
            stands["end zone"] = stand(rng, angle, -1, how.k1, how.crown)
            stands[RIGHT_END] = stand(rng, angle, 1, how.k1, how.crown)
        else:
            stands[angle] = stand(rng, angle, int(rng.choice([-1, 1])), how.k1, how.crown, how.mast)
    position = script.people.drop_duplicates("player").set_index("player")["position"]
    unit = script.people.drop_duplicates("player").set_index("player")["unit"]
    men = sorted({player for play in script.snaps["play"] for player in script.places(str(play))})
    films = {how.angles[0]: {"file": how.film, "rate": 30}} if how.film else None
    sizes = dict.fromkeys(stands, PICTURE)
    with se.Trace(path, how.kind, sizes, films=films, errors=errors) as t, t.together():
        for player in men:
            t.person(player, str(unit[player]), str(position[player]))
        for snap in script.snaps.itertuples():
            play, start = str(snap.play), float(snap.snap_time)
            last = float(snap.end_time) if np.isfinite(snap.end_time) else float(snap.throw_time) + 1
            throw = float(snap.throw_time) if np.isfinite(snap.throw_time) else None
            t.snap(
                play, snap.ball_x, snap.ball_y, int(snap.direction), snap_time=start, throw_time=throw, end_time=last
            )
            places = script.places(play)
            near = {player for player, own in places.items() if is_clicked(str(position[player]), own, snap, throw)}
            times = start + np.arange(-1, np.ceil((last - start) / how.every) + 1) * how.every
            for view in how.angles:
                angle = RIGHT_END if RIGHT_END in stands and view == "end zone" and snap.ball_x > 60 else view
                late = FILM_LATE if how.film and angle == how.angles[0] else 0.0
                if late:
                    t.event(play, "snap", angle, start + late)
                cam = stands[angle]
                place = cam.place + rng.normal(0, how.sway, 3)
                wide = wide_of(angle, rng)
                for time in times:
                    here = {
                        player: [float(np.interp(time, own[0], own[1][:, k])) for k in (0, 1)]
                        for player, own in places.items()
                        if own[0][0] - 1e-6 <= time <= own[0][-1] + 1e-6 and player in near
                    }
                    if not here:
                        continue
                    middle = np.array([snap.ball_x - 3 * snap.direction, snap.ball_y]) + rng.normal(0, 0.5, 2)
                    shot = cam.shot(rng, middle, wide, place)
                    pixels, marked = marks_in(shot, how.kind, rng, 8 if angle == "sideline" else 6, how.mark)
                    for pixel, mark in zip(pixels, marked, strict=True):
                        t.mark(play, angle, time + late, pixel[0], pixel[1], mark[0], mark[1])
                    for player, at in here.items():
                        stood = np.array(at) + rng.normal(0, how.posture, 2) if how.posture else np.array(at)
                        pixel, inside = shot.see(stood)
                        if inside[0]:
                            seen = pixel[0] + rng.normal(0, how.foot, 2)
                            t.foot(play, angle, time + late, player, seen[0], seen[1])
    return path


def is_clicked(position: str, own: tuple[np.ndarray, np.ndarray], snap: Any, throw: float | None) -> bool:
    """Whether a person clicks him: the men near the pocket, and whoever of the others comes over the line."""
    if position == "WR":
        return False
    if position not in ("CB", "S", "SS", "FS"):
        return True
    between = (own[0] >= snap.snap_time) & (own[0] <= (own[0][-1] if throw is None else throw))
    return bool((snap.direction * (own[1][between, 0] - snap.ball_x) < 0).any())


# ---------------------------------------------------------------------------------------------------- check 1


@dataclass
class Seen:
    """What check 1 gathers: errors in yd by what they are of."""

    off: dict[str, list[float]] = field(default_factory=dict)
    inside: dict[tuple[str, float], list[bool]] = field(default_factory=dict)

    def add(self, what: str, errors: np.ndarray) -> None:
        self.off.setdefault(what, []).extend(np.where(np.isnan(errors), 99.0, errors).tolist())

    def at(self, what: str, q: float) -> float:
        return float(np.percentile(self.off[what], q))


def check_camera(plays: int) -> None:
    head("1. Camera alone: marks 2 px, three keyframes of one play; feet 3 px")
    seen, rng = Seen(), np.random.default_rng(11)
    for kind in HASH:
        for crown in CROWNS:
            for k1 in LENSES:
                for _ in range(max(4, plays // 6)):
                    camera_game(rng, kind, crown, k1, seen)
    for angle, limits in (("end zone", (0.05, 0.10)), ("sideline", (0.10, 0.30))):
        for what, q, most in zip(("median", "95 %"), (50, 95), limits, strict=True):
            at_most(f"{angle}, places of the ground, {what} (yd)", seen.at(angle, q), most)
        tell(f"by the bound {seen.at(f'{angle} bound', 50):.3f} and {seen.at(f'{angle} bound', 95):.3f}")
    for angle, limits in (("end zone", (0.12, 0.30)), ("sideline", (0.32, 0.85)), ("both", (0.10, 0.20))):
        for what, q, most in zip(("median", "95 %"), (50, 95), limits, strict=True):
            at_most(f"{angle}, feet, {what} (yd)", seen.at(f"{angle} feet", q), most)
    for (kind, crown), hits in seen.inside.items():
        between(
            f"90 % ellipses hold, {kind}, crown {crown:g} ({len(hits)} feet, %)", 100 * float(np.mean(hits)), 86, 94
        )
    at_most("a further picture with one hash row, places, median (yd)", seen.at("one row", 50), 0.10)
    low, rng = Seen(), np.random.default_rng(12)
    for kind in HASH:
        for _ in range(max(4, plays // 3)):
            camera_game(rng, kind, 0.2, 0.0, low, mast=True)
    places, feet = ([low.at(what, q) for q in (50, 95)] for what in ("end zone", "end zone feet"))
    tell(f"from a mast of 9 to 13 yd: places {places[0]:.3f}/{places[1]:.3f}, feet {feet[0]:.3f}/{feet[1]:.3f} yd")


def camera_game(rng: np.random.Generator, kind: str, crown: float, k1: float, to: Seen, mast: bool = False) -> None:
    """One play seen from both views in three pictures, and a further picture from the end zone."""
    ball = np.array([rng.uniform(15, 60), WIDTH / 2 + rng.uniform(-4, 4)])
    men = ball + rng.uniform((-7, -5), (3, 5), (8, 2))
    truths = [men + rng.normal(0, 0.5, men.shape) for _ in range(3)]
    seen: dict[str, list[tuple[np.ndarray, np.ndarray]]] = {}
    for angle in ("end zone", "sideline"):
        cam = stand(rng, angle, -1 if angle == "end zone" else int(rng.choice([-1, 1])), k1, crown, mast)
        wide = wide_of(angle, rng)
        shots = [
            both_rows(cam, rng, kind, ball + rng.normal(0, 0.7, 2), wide * rng.uniform(0.95, 1.05)) for _ in range(3)
        ]
        frames, pixels, places = [], [], []
        for frame, shot in enumerate(shots):
            pixel, place = marks_in(shot, kind, rng, 6 if angle == "end zone" else 8, 2.0)
            frames += [frame] * len(pixel)
            pixels.append(pixel)
            places.append(place)
        view = se._core.solve_view(
            PICTURE,
            angle,
            2.0,
            np.array(frames, np.int32),
            np.concatenate(pixels),
            np.concatenate(places),
            np.zeros(len(frames)),
        )
        for spread in bound(shots, places, truths):
            to.add(f"{angle} bound", np.hypot(*rng.multivariate_normal((0, 0), spread, 4).T))
        for frame, shot in enumerate(shots):
            exact = shot.see(truths[frame])[0]
            noisy = exact + rng.normal(0, 3.0, exact.shape)
            for clicked, error, what in ((exact, 1e-9, angle), (noisy, 3.0, f"{angle} feet")):
                found, spread = sighted(view, frame, clicked, error)
                gap = found - truths[frame]
                to.add(what, np.hypot(*gap.T))
                if error > 1:
                    size = np.einsum("ni,nij,nj->n", gap, np.linalg.inv(spread), gap)
                    to.inside.setdefault((kind, crown), []).extend((size < 4.60517).tolist())
                    seen.setdefault(angle, []).append((found, spread))
        if angle == "end zone":
            one_row(cam, rng, kind, ball, wide, view, men, to)
    for frame in range(3):
        (a, spread_a), (b, spread_b) = seen["end zone"][frame], seen["sideline"][frame]
        fused = np.array([se._core.fuse(a[i], spread_a[i], b[i], spread_b[i])[0] for i in range(len(a))])
        to.add("both feet", np.hypot(*(fused - truths[frame]).T))


def both_rows(cam: Stand, rng: np.random.Generator, kind: str, at: np.ndarray, wide: float) -> Shot:
    """A picture that shows three marks or more of two hash rows: who seeks a camera picks such ones, or zooms back."""
    places = crossings(kind)
    while True:
        shot = cam.shot(rng, at, wide)
        inside = places[shot.see(places)[1]]
        if min(np.isclose(inside[:, 1], row).sum() for row in (HASH[kind], WIDTH - HASH[kind])) >= 3:
            return shot
        wide *= 1.05


def sighted(view: Any, frame: int, clicked: np.ndarray, error: float) -> tuple[np.ndarray, np.ndarray]:
    """Places and covariances of clicks on the ground."""
    flat = np.zeros(len(clicked))
    found, xx, xy, yy = view.sight(
        np.full(len(clicked), frame, np.int32), np.ascontiguousarray(clicked), flat + error, flat, flat + 1e-9, 0.0
    )
    return found, np.stack([np.stack([xx, xy], -1), np.stack([xy, yy], -1)], -2)


def one_row(
    cam: Stand,
    rng: np.random.Generator,
    kind: str,
    ball: np.ndarray,
    wide: float,
    view: Any,
    men: np.ndarray,
    to: Seen,
) -> None:
    """A further picture of a camera that is known, with four crossings of one hash row: no homography exists."""
    shot = cam.shot(rng, ball + rng.normal(0, 0.7, 2), wide)
    places = crossings(kind)
    pixels, inside = shot.see(places)
    for row in (HASH[kind], WIDTH - HASH[kind]):
        of = np.flatnonzero(inside & np.isclose(places[:, 1], row))
        if len(of) < 4:
            continue
        few = of[pick(rng, pixels[of], 4)]
        clicked = pixels[few] + rng.normal(0, 2.0, (4, 2))
        view.solve_frame(3, np.ascontiguousarray(clicked), np.ascontiguousarray(places[few]), np.zeros(4))
        found, _ = sighted(view, 3, shot.see(men)[0], 1e-9)
        to.add("one row", np.hypot(*(found - men).T))
        return


def bound(shots: list[Shot], places: list[np.ndarray], men: list[np.ndarray]) -> list[np.ndarray]:
    """The Cramer-Rao bound on places of the ground: covariances that no unbiased solver of these marks beats, by
    differences of the made cameras themselves, with the same priors (roll 1 degree, k1 0.03, crown 0.15 yd)."""
    steps = np.array([1e-3, 1e-3, 1e-3, 1e-4, 1e-3] + [1e-6, 1e-6, 1e-6, 1e-6] * len(shots))
    known = np.zeros(len(steps))
    known[3], known[4] = 1 / 0.03**2, 1 / 0.15**2
    known[8::4] = 1 / np.radians(1) ** 2

    def seen(at: np.ndarray, points: list[np.ndarray]) -> np.ndarray:
        pixels = []
        for k, shot in enumerate(shots):
            turn, nod, zoom, lean = at[5 + 4 * k : 9 + 4 * k]
            right, down, ahead = shot.right, shot.down, shot.ahead
            ahead = ahead + turn * right + nod * down
            right, down = right + lean * down - turn * shot.ahead, down - lean * right - nod * shot.ahead
            moved = Shot(
                shot.place + at[:3], right, down, ahead, shot.f * np.exp(zoom), shot.k1 + at[3], shot.crown + at[4]
            )
            pixels.append(moved.see(points[k])[0])
        return np.concatenate(pixels)

    def slopes(points: list[np.ndarray]) -> np.ndarray:
        columns = []
        for k, step in enumerate(steps):
            at = np.zeros(len(steps))
            at[k] = step
            columns.append((seen(at, points) - seen(-at, points)) / (2 * step))
        return np.stack(columns, axis=-1)

    of_marks = slopes(places).reshape(-1, len(steps)) / 2.0
    covariance = np.linalg.inv(of_marks.T @ of_marks + np.diag(known))
    of_men, still = slopes(men), np.zeros(len(steps))
    by_x, by_y = (
        (seen(still, [one + move for one in men]) - seen(still, [one - move for one in men])) / 2e-3
        for move in ((1e-3, 0.0), (0.0, 1e-3))
    )
    back = -np.linalg.inv(np.stack([by_x, by_y], axis=-1)) @ of_men
    return list(back @ covariance @ back.transpose(0, 2, 1))


# ---------------------------------------------------------------------------------------------------- check 2


# Kind of field, crown, k1 of each script's film.
SETTINGS = (
    ("pro", 0.0, -0.05),
    ("college", 0.2, 0.0),
    ("school", 0.55, 0.05),
    ("school", 0.1, 0.03),
    ("pro", 0.4, 0.02),
)


def check_men(number: int, plays: int, folder: Path) -> None:
    """One script: whole games of it clicked, measured, and judged by what it did."""
    if number < len(SEEDS):
        script = demo_script(SEEDS[number], plays)
    else:
        script = (second_script, foreign_script)[number - len(SEEDS)](plays)
    kind, crown, k1 = SETTINGS[number]
    perfect = right_share(script, script.perfect)
    base: dict[str, Any] = {"kind": kind, "crown": crown, "k1": k1}
    head(
        f"2. Men: {script.name} ({len(script.snaps)} plays, {kind} field, crown {crown:g}, k1 {k1:g}); "
        f"perfect coordinates: {perfect:.1f} %"
    )
    game = se.from_trace(traced(script, Clicking(**base), folder))
    outcomes(script, game, "end zone 0.3 s, feet 4 px", 95, perfect)
    geometry(script, game)
    game = se.from_trace(traced(script, Clicking(posture=0.15, **base), folder))
    outcomes(script, game, "the same with posture 0.15 yd", 94, None)
    bands(script, game)
    game = se.from_trace(traced(script, Clicking(angles=("sideline",), foot=2.0, **base), folder))
    outcomes(script, game, "sideline 0.3 s, feet 2 px", 95, None)
    game = se.from_trace(traced(script, Clicking(angles=("sideline",), **base), folder))
    warned(game)
    tell(f"sideline 0.3 s, feet 4 px: outcomes right {right_share(script, game):.1f} %")
    game = se.from_trace(traced(script, Clicking(mast=True, posture=0.15, **base), folder))
    tell(f"end zone from a mast of 9 to 13 yd, posture 0.15: outcomes right {right_share(script, game):.1f} %")


def right_share(script: Script, game: se.Game) -> float:
    rows = truth.judge(game, judged_truth(script, game)).rows
    return 100 * float((rows["got"] == rows["outcome"]).mean())


def judged_truth(script: Script, game: se.Game) -> pd.DataFrame:
    measured = set(game.measured()) & set(map(str, script.snaps["play"]))
    return script.truth[script.truth["play"].isin(measured)]


def outcomes(script: Script, game: se.Game, what: str, least: float, perfect: float | None) -> None:
    judged = truth.judge(game, judged_truth(script, game))
    rows = judged.rows
    right = 100 * float((rows["got"] == rows["outcome"]).mean())
    say(f"{what}: outcomes right (%)", right, f">= {least:g}", right >= least, f"{right:.1f}")
    at_least(f"{what}: plays measured (%)", 100 * len(game.measured()) / len(script.snaps), 90)
    if perfect is not None:
        at_most(f"{what}: points below perfect coordinates", perfect - right, 3)
        at_most(f"{what}: beat times, median (s)", judged.figures["beat time"], 0.1)


def frames_of(game: se.Game) -> pd.DataFrame:
    """Frames by play and hundredth of a second, with the short edges of both sides."""
    game.library = "pandas"
    m = se.measure(game, progress=False)
    frames, edges = (table.assign(tick=(table["time"] * 100).round().astype(int)) for table in (m.frames, m.edges))
    edges = edges.pivot_table(index=["play", "tick"], columns="side", values="short_edge")
    return frames.set_index(["play", "tick"]).join(edges.add_prefix("edge_"))


def geometry(script: Script, game: se.Game) -> None:
    found, true = frames_of(game), script.measured
    both = found.index.intersection(true.index)
    found, true = found.loc[both], true.loc[both]
    for column, limits in (("pocket_width", (0.10, 0.25)), ("pocket_depth", (0.15, 0.35))):
        gap = (found[column] - true[column]).abs().dropna()
        for what, q, most in zip(("median", "95 %"), (50, 95), limits, strict=True):
            at_most(f"{column}, {what} (yd, {len(gap)} frames)", float(np.percentile(gap, q)), most)
    tell(f"perfect coordinates, each moved by {MOVED} yd: pocket_depth, 95 % (yd): {depth_when_moved(script):.2f}")
    gap = pd.concat([(found[side] - true[side]).abs().dropna() for side in ("edge_left", "edge_right")])
    at_least("short edge within 0.2 yd (%)", 100 * float((gap <= 0.2).mean()), 90)


def depth_when_moved(script: Script) -> float:
    """How much the depth hangs on small errors, whoever makes them: yd at 95 % of frames."""
    tracks = script.tracks.copy()
    tracks[["x", "y"]] += np.random.default_rng(5).normal(0, MOVED, (len(tracks), 2))
    moved = frames_of(se.from_tables(tracks, script.snaps, script.people, units="yd", origin="corner", y="up"))
    gap = (moved["pocket_depth"] - script.measured["pocket_depth"]).abs().dropna()
    return float(np.percentile(gap, 95))


def bands(script: Script, game: se.Game) -> None:
    """How often the bands of frames figures hold what perfect coordinates give, at the same frames."""
    game.library = "pandas"
    m = se.measure(game, noise="tracks", draws=60, progress=False)
    low_high = m.bands.frames.assign(tick=(m.bands.frames["time"] * 100).round().astype(int)).set_index(
        ["play", "tick"]
    )
    true = script.measured
    both = low_high.index.intersection(true.index)
    low_high, true = low_high.loc[both], true.loc[both]
    for column in ("passer_depth", "pocket_width", "pocket_depth", "pocket_area", "passer_room", "nearest_rusher"):
        low, high, value = low_high[f"{column}_low"], low_high[f"{column}_high"], true[column]
        there = low.notna() & high.notna() & value.notna()
        held = 100 * float(((low <= value) & (value <= high))[there].mean())
        between(f"bands hold {column} (%, {int(there.sum())} frames)", held, 85, 95)


def warned(game: se.Game) -> None:
    """A sideline alone at 4 px: said, and no short edge shown."""
    share = 100 * len(game.swamped & set(game.measured())) / len(game.measured())
    tell(game.rests_on)
    at_least("sideline 4 px: plays whose short edge is not shown (%)", share, 90)


# ---------------------------------------------------------------------------------------------------- check 3


def check_doubts(plays: int, folder: Path) -> None:
    head("3. Doubts: wrong marks, fields, pictures and men are named")
    rng = np.random.default_rng(31)
    named = planted = falsely = marks = 0
    for game in range(max(6, plays // 4)):
        angle = "end zone" if game % 2 else "sideline"
        kind = list(HASH)[game % 3]
        cam = stand(rng, angle, -1, LENSES[game % 3], CROWNS[game % 3])
        frames, pixels, places = game_marks(rng, cam, kind, 12)
        # Of marks within 70 yd: a yard farther off is under 10 pixels from behind an end line, no five deviations.
        near = np.flatnonzero(np.hypot(*(places - cam.place[:2]).T) < 70)
        wrong = rng.choice(near, 2, replace=False)
        given = places.copy()
        for k, row in enumerate(wrong):
            # Another line, or another tick: one or five yards along. As one mistakes them, towards the field's middle.
            given[row, 0] += (1.0, 5.0)[k] * (1 if places[row, 0] < 60 else -1)
        view = se._core.solve_view(PICTURE, angle, 2.0, frames, pixels, given, np.zeros(len(frames)))
        flags = view.marks[2]
        named += int(flags[wrong].sum())
        planted += len(wrong)
        falsely += int(flags.sum() - flags[wrong].sum())
        marks += len(frames)
    say(
        f"wrong marks named ({planted} planted, within 70 yd of the camera)",
        100 * named / planted,
        "all",
        named == planted,
        f"{named} of {planted}",
    )
    at_most(f"marks named falsely (%, {marks} marks)", 100 * falsely / marks, 0.5)
    wrong_field(rng, plays)
    wrong_men(plays, folder)


def game_marks(
    rng: np.random.Generator, cam: Stand, kind: str, pictures: int, wide: float | None = None, many: int = 0
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    frames, pixels, places = [], [], []
    for frame in range(pictures):
        near = (20, 60) if cam.angle == "end zone" else (25, 95)
        ball = np.array([rng.uniform(*near), WIDTH / 2 + rng.uniform(-4, 4)])
        shot = cam.shot(rng, ball, wide or wide_of(cam.angle, rng))
        pixel, place = marks_in(shot, kind, rng, many or (6 if cam.angle == "end zone" else 8), 2.0)
        frames += [frame] * len(pixel)
        pixels.append(pixel)
        places.append(place)
    return np.array(frames, np.int32), np.concatenate(pixels), np.concatenate(places)


def wrong_field(rng: np.random.Generator, plays: int) -> None:
    """Another kind of field, and a mirrored picture; pictures wide enough that a sideline is among the marks."""
    tried = {"kind": 0, "mirrored": 0, "right": 0}
    found = dict.fromkeys(tried, 0)
    for game in range(max(6, plays // 4)):
        angle, kind = ("end zone" if game % 2 else "sideline"), list(HASH)[game % 3]
        other = list(HASH)[(game + 1) % 3]
        cam = stand(rng, angle, -1, LENSES[game % 3], CROWNS[game % 3])
        frames, pixels, places = game_marks(rng, cam, kind, 6, 62.0 if angle == "end zone" else None, 10)
        zeros = np.zeros(len(frames))
        as_other = places.copy()
        for sign, edge in ((1, 0.0), (-1, WIDTH)):
            rows = np.isclose(places[:, 1], edge + sign * HASH[kind])
            as_other[rows, 1] = edge + sign * HASH[other]
        mirrored = places * (1, -1) + (0, WIDTH)
        for what, given, field_kind in (
            ("kind", as_other, other),
            ("mirrored", mirrored, kind),
            ("right", places, kind),
        ):
            given = np.ascontiguousarray(given)
            view = se._core.solve_view(PICTURE, angle, 2.0, frames, pixels, given, zeros)
            better = view.other_field(field_kind, frames, pixels, given, zeros)
            tried[what] += 1
            if what == "kind":
                found[what] += better is not None and better[0] == kind and not better[1]
            elif what == "mirrored":
                found[what] += better is not None and better[1]
            else:
                found[what] += better is None
    for what, text in (
        ("kind", "wrong kind of field named"),
        ("mirrored", "mirrored picture named"),
        ("right", "right field left alone"),
    ):
        say(text, found[what], "all", found[what] == tried[what], f"{found[what]} of {tried[what]}")


def wrong_men(plays: int, folder: Path) -> None:
    """Another man clicked once a play; the passer before the ball."""
    script = demo_script(SEEDS[0], min(plays, 20))
    path = traced(script, Clicking(), folder)
    before = se.Trace(path)
    doubts = before.doubts
    points = before.points
    before.close()
    falsely = int((doubts["what"] == "man").sum())
    at_most(f"clicks of men named falsely (%, {len(points)} clicks)", 100 * falsely / len(points), 0.5)
    rng = np.random.default_rng(5)
    wrong: list[tuple[str, str, float]] = []
    position = script.people.drop_duplicates("player").set_index("player")["position"]
    line = ("LT", "LG", "C", "RG", "RT")
    with se.Trace(path) as t:
        reading = t.reading
        names = np.array(reading.cameras.texts, object)
        with t.together():
            for angle, solved in reading.cameras.angles.items():
                feet = solved.feet
                for play in np.unique(feet["play"]):
                    rows = np.flatnonzero(
                        (feet["play"] == play) & np.isin([position[player] for player in names[feet["player"]]], line)
                    )
                    row = int(rng.choice(rows[feet["time"][rows] > np.median(feet["time"][rows])]))
                    same = rows[(feet["time"][rows] == feet["time"][row]) & (rows != row)]
                    gap = np.hypot(*(feet["place"][same] - feet["place"][row]).T)
                    if not (gap > 2.0).any():
                        continue
                    other = int(same[np.argmin(np.where(gap > 2.0, gap, 99))])
                    man, later = str(names[feet["player"][row]]), float(feet["time"][row] + 0.1)
                    t.foot(names[play], angle, later, man, feet["x"][other], feet["y"][other])
                    wrong.append((str(names[play]), man, later))
                    frame_marks(t, solved.marks, int(play), names[play], angle, float(feet["time"][row]))
        doubts = t.doubts
    men = doubts[doubts["what"] == "man"]
    hits = sum(
        bool(((men["play"] == play) & ((men["time"] - time).abs() < 1e-6) & men["says"].str.startswith(man)).any())
        for play, man, time in wrong
    )
    say(
        "another man clicked (a neighbour over 2 yd off): named",
        hits,
        "all",
        hits == len(wrong),
        f"{hits} of {len(wrong)}",
    )
    turned = folder / "turned.trace"
    turned.unlink(missing_ok=True)
    short = Script(
        script.name,
        script.tracks,
        script.snaps.iloc[:4].assign(direction=lambda s: -s["direction"]),
        script.people,
        script.truth,
        script.perfect,
    )
    try:
        game = se.from_trace(traced(short, Clicking(), folder))
        refused = len(game.problems)
    except se.InputError as why:
        refused = str(why).count("play ") and 4
    say("passer before the ball: plays refused", refused, "all", refused == 4, f"{refused} of 4")


def frame_marks(t: se.Trace, marks: Any, code: int, play: str, angle: str, time: float) -> None:
    """The same marks a moment later, for the pictures a wrong click is put into: the camera stands still."""
    for row in np.flatnonzero((marks["play"] == code) & (np.abs(marks["time"] - time) < 1e-6)):
        x, y, along, across = (float(marks[key][row]) for key in ("x", "y", "X", "Y"))
        t.mark(play, angle, time + 0.1, x, y, along, across)


# ---------------------------------------------------------------------------------------------------- check 4


def check_file(folder: Path) -> None:
    head("4. The file: cuts, damage, kills, and time")
    path = folder / "small.trace"
    path.unlink(missing_ok=True)
    with se.Trace(path, "pro", {"end zone": PICTURE}) as t:
        for k in range(12):
            t.mark("p1", "end zone", 0.3, 100 + k, 200 - k, "50, lower hash")
        t.undo()
        t.note("an end")
    text = path.read_bytes()
    ends = [k + 1 for k in range(len(text)) if text[k : k + 1] == b"\n"]
    lost = 0
    for cut in range(ends[0], len(text) + 1):
        path.write_bytes(text[:cut])
        with se.Trace(path) as t:
            lost = max(lost, sum(end <= cut for end in ends) - 1 - len(t))
            t.note("goes on")
    say("cut at every byte: acts lost beyond the torn one", lost, "0", lost == 0, f"{lost}")
    unnamed = 0
    for at in range(ends[-2]):
        number = sum(end <= at for end in ends)
        path.write_bytes(text[:at] + bytes([text[at] ^ 4]) + text[at + 1 :])
        try:
            se.Trace(path).close()
            unnamed += 1
        except se.FileError as why:
            unnamed += f"act {number}" not in str(why)
    say(
        "flipped bytes in the middle not refused by their number",
        unnamed,
        "0",
        unnamed == 0,
        f"{unnamed} of {ends[-2]}",
    )
    killed(folder)
    million(folder)
    speed(folder)


def killed(folder: Path) -> None:
    """A writer is killed at some moment, 200 times; what it had been answered stands."""
    path = folder / "killed.trace"
    path.unlink(missing_ok=True)
    se.Trace(path, "pro", {"end zone": PICTURE}).close()
    rng = np.random.default_rng(6)
    lost = 0
    # One interpreter forks the writers: starting one anew takes longer than the writing.
    for _ in range(200):
        read_end, write_end = os.pipe()
        child = os.fork()
        if child == 0:
            try:
                with se.Trace(path) as t:
                    while True:
                        number = t.foot("p1", "end zone", 1.0, "d1", 100.5, 200.25)
                        os.write(write_end, number.to_bytes(4, "little"))
            finally:
                os._exit(1)
        os.close(write_end)
        clock.sleep(float(rng.uniform(0.005, 0.05)))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        answered = b""
        while more := os.read(read_end, 65536):
            answered += more
        os.close(read_end)
        last = int.from_bytes(answered[-4:], "little") if answered else 0
        with se.Trace(path) as t:
            lost += len(t) < last
    say("killed while writing, 200 times: answered acts lost", lost, "0", lost == 0, f"{lost}")


def million(folder: Path) -> None:
    import json
    import zlib

    path = folder / "million.trace"
    path.unlink(missing_ok=True)
    se.Trace(path, "pro", {"end zone": PICTURE}).close()
    lines = []
    for n in range(1, 1_000_001):
        act = {
            "n": n,
            "do": "foot",
            "play": f"p{n // 20000}",
            "angle": "end zone",
            "time": n % 20000 / 30,
            "player": f"d{n % 22}",
        }
        body = json.dumps(act | {"x": 100.5 + n % 7, "y": 200.25, "at": "foot"}, separators=(",", ":"))[:-1]
        lines.append(f'{body},"crc":"{zlib.crc32(body.encode()):08x}"}}\n')
    with path.open("a") as file:
        file.writelines(lines)
    start = clock.process_time()
    with se.Trace(path) as t:
        count = len(t)
    seconds = clock.process_time() - start
    at_most(f"{count} acts replayed (s of processor)", seconds, 2.0)
    path.unlink()


def speed(folder: Path) -> None:
    script = demo_script(SEEDS[0], 60)
    path = traced(script, Clicking(), folder)
    with se.Trace(path) as t:
        acts = len(t)
        start = clock.process_time()
        t.points  # noqa: B018
        at_most(f"a game of 60 plays solved, {acts} acts (s of processor)", clock.process_time() - start, 10)
        start = clock.process_time()
        t.tracks  # noqa: B018
        tell(f"and its men smoothed in {clock.process_time() - start:.1f} s")
        play, time = str(script.snaps["play"].iloc[3]), float(script.snaps["snap_time"].iloc[3])
        at = script.snaps[["ball_x", "ball_y"]].iloc[3]
        angle = "end zone" if at["ball_x"] <= 60 else RIGHT_END
        assert t.look(play, angle, time) is not None
        took = []
        for k in range(10):
            start = clock.process_time()
            t.mark(play, angle, time, 640 + k, 360, float(round(at["ball_x"])), float(at["ball_y"]))
            t.look(play, angle, time)
            took.append(clock.process_time() - start)
        at_most("one more click updates its picture, median of 10 (s of processor)", float(np.median(took)), 0.020)


# --------------------------------------------------------------------------------------------------------------


def part(check: int, number: int, plays: int) -> tuple[str, list[str]]:
    """One part of a check: its lines, and what it missed."""
    lines.clear()
    misses.clear()
    with tempfile.TemporaryDirectory() as name:
        if check == 1:
            check_camera(plays)
        elif check == 2:
            check_men(number, plays, Path(name))
        elif check == 3:
            check_doubts(plays, Path(name))
        else:
            check_file(Path(name))
    return "\n".join(lines), list(misses)


def main(arguments: Sequence[str]) -> int:
    parser = argparse.ArgumentParser(description="Coordinates from made clicks, every figure with its limit.")
    parser.add_argument("checks", nargs="*", type=int, choices=(1, 2, 3, 4), default=[])
    parser.add_argument("--plays", type=int, default=60)
    parser.add_argument("--script", type=int, choices=range(len(SETTINGS)), help="of check 2, this script alone")
    given = parser.parse_args(arguments)
    start = clock.perf_counter()
    parts = []
    for check in given.checks or [1, 2, 3, 4]:
        numbers = range(len(SETTINGS)) if check == 2 and given.script is None else [given.script or 0]
        parts += [(check, number, given.plays) for number in numbers]
    missed: list[str] = []
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
        for text, more in pool.map(part, *zip(*parts, strict=True)):
            print(text, flush=True)
            missed += more
    print(f"\n{len(missed)} missed, {clock.perf_counter() - start:.0f} s")
    for line in missed:
        print(f"  missed: {line}")
    return int(bool(missed))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
