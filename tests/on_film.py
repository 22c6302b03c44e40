"""How good what is followed on film is, and what lies on it, on films made here; prints every figure with its limit.

    .venv/bin/python tests/on_film.py                 # all; about half an hour on two cores, most of it drawing films
    .venv/bin/python tests/on_film.py 1 --seconds 2   # the camera alone, on shorter films

1: the camera followed from one clicked picture, and between clicked ones. 2: a hand with following (pictures every 0.5
s) beside one without (every 0.3 s): men's places and acts a play. 3: how quickly the server answers, and follows (on a
machine with nothing else to do). 4: twenty plays the whole way, from film by clicks to reps, three of them in a
browser. 5: the pocket on the film: its corners against the true camera, plates, men's pixels changed.
Films are drawn by data/make_film.py with seeds, cameras, grain, shaking, rates and compression given below; its
projection shares nothing with the library. Exit code 1 when a limit is missed.
"""

from __future__ import annotations

import argparse
import http.client
import json
import os
import re
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any
from urllib.parse import urlencode, urlsplit

import numpy as np
from PIL import Image, ImageDraw

sys.path.insert(0, str(Path(__file__).parent / "python"))
import shortedge as se
import truth
from browser import chromium
from made_film import maker
from shortedge.clicking.server import TAB, TOKEN, Server
from shortedge.clicking.work import Work
from shortedge.draw import laid
from shortedge.draw.laid import Clip, lay
from shortedge.film.following import follow_camera, ground_of, ticks_of
from shortedge.film.pictures import Film
from shortedge.film.poses import clicked_poses
from shortedge.film.ready import Shelf
from shortedge.trace.clicks import Reading
from shortedge.trace.journal import Journal

MISSED: list[str] = []
MARKS = {"end zone": 6, "sideline": 8}
SEEN_OFF = 3.0  # pixels of 720 by which a followed place is off before a hand puts it right; it is off by 4 itself
WHOLE, WHOLE_SEED, WHOLE_OF, WHOLE_RATE, PAGED = 20, 721, 26, 15, 3  # plays clicked the whole way, and how
WORST_SEEN = 0.35  # yd: how far off a man may be in a picture whose camera is said to be seen
LIMITS = {"end zone": (0.04, 0.08), "sideline": (0.05, 0.12)}


@dataclass(frozen=True)
class Kind:
    """How a film is taken."""

    name: str
    angle: str
    seed: int
    play: str
    place: tuple[float, float, float]
    rate: str = "30"
    crf: int = 27
    grain: float = 1.0
    shake: float = 0.0  # yd at the ground, one standard deviation a picture
    form: str = ""  # interlaced, variable: other than pictures at even times


KINDS = (
    Kind("end zone", "end zone", 711, "P002", (-15.0, 25.5, 14.0)),
    Kind("end zone, weak grass, crf 30", "end zone", 712, "P003", (-12.0, 29.0, 12.0), crf=30, grain=0.4),
    Kind("end zone, shaken, 29.97", "end zone", 713, "P004", (-13.0, 24.0, 16.0), rate="30000/1001", shake=0.04),
    Kind("sideline, 25", "sideline", 714, "P002", (58.0, -34.0, 20.0), rate="25", crf=23),
    Kind("sideline, strong grass, crf 30", "sideline", 715, "P005", (63.0, -38.0, 22.0), crf=30, grain=1.6),
    Kind("end zone, 59.94, crf 18", "end zone", 716, "P003", (-16.0, 26.5, 13.0), rate="60000/1001", crf=18),
    Kind("end zone, interlaced 25", "end zone", 717, "P002", (-13.0, 28.0, 15.0), rate="25", form="interlaced"),
    Kind("sideline, shaken, variable rate", "sideline", 718, "P004", (60.0, -35.0, 21.0), shake=0.04, form="variable"),
)
# Kinds that were written down before any of them was followed, when all constants of following stood (--unseen).
UNSEEN = (
    Kind("end zone, 24", "end zone", 821, "P004", (-18.0, 30.5, 15.5), rate="24", crf=24, grain=0.7),
    Kind("end zone, low, 50, crf 29", "end zone", 834, "P004", (-11.0, 22.5, 11.0), rate="50", crf=29, grain=1.3),
    Kind("end zone, shaken, weak grass", "end zone", 847, "P006", (-14.5, 31.0, 17.5), "30000/1001", 20, 0.5, 0.05),
    Kind(
        "end zone, interlaced", "end zone", 888, "P002", (-13.5, 23.5, 13.5), "24000/1001", 25, 0.9, 0.0, "interlaced"
    ),
    Kind("sideline, weak grass, 59.94", "sideline", 862, "P005", (64.0, -33.0, 23.0), "60000/1001", 28, 0.6),
    Kind("sideline, shaken, strong grass", "sideline", 879, "P002", (61.0, -40.0, 24.0), "25", 21, 1.5, 0.03),
    Kind("sideline, 30, crf 26", "sideline", 893, "P003", (57.0, -36.0, 19.0), crf=26, grain=1.2),
)
VARIABLE = 4  # every fourth picture is left out of a film of variable rate


def say(what: str, shown: str, limit: str, ok: bool | None) -> None:
    word = "" if ok is None else "pass" if ok else "MISS"
    print(f"{what:78} {shown:>16} {limit:>16} {word}", flush=True)
    if ok is False:
        MISSED.append(what)


class Made:
    """A film, its true cameras, and its play."""

    def __init__(self, kind: Kind, folder: Path, seconds: float, game: Any = None) -> None:
        make = maker()
        make.FPS = eval(kind.rate)
        game = game or make.demo(kind.seed, 6)
        self.kind, self.folder, self.game = kind, folder, game
        self.people = {str(person["player"]): person for person in game.people}
        self.units = {player: str(person["unit"]) for player, person in self.people.items()}
        self.play = make.plays_of(game, [kind.play])[0]
        # Of an interlaced film both fields are drawn; its pictures are those of the first field.
        gap = 1 / make.FPS / (2 if kind.form == "interlaced" else 1)
        self.times = np.arange(-0.4, min(seconds - 0.4, float(self.play.times[-1]) - 0.1), gap)
        if kind.form == "variable":
            self.times = self.times[np.arange(len(self.times)) % VARIABLE != VARIABLE - 1]
        passer = next(player for player in self.play.paths if self.people[player]["position"] == "QB")
        place = np.array(kind.place)
        if kind.angle == "end zone" and self.play.snap["direction"] < 0:
            place[0] = make.LENGTH - place[0]
        self.shots = make.shots_of(self.play, kind.angle, {kind.angle: place}, self.times, passer)
        if kind.shake:
            rng = np.random.default_rng(kind.seed)
            self.shots = [self._shaken(shot, rng) for shot in self.shots]
        self.drawn = list(zip(self.shots, self.times, strict=True))
        if kind.form == "interlaced":
            self.drawn = self.drawn[: len(self.drawn) // 2 * 2]
            self.shots, self.times = self.shots[: len(self.drawn) : 2], self.times[: len(self.drawn) : 2]
        ball = np.array([self.play.snap["ball_x"], self.play.snap["ball_y"]])
        self.near = [one for one in self.play.paths if np.hypot(*(self.play.at(one, 0.0) - ball)) < 12]
        self.over = np.inf  # s after the snap, at which the play is said to end at the latest
        self.trace = folder / "game.trace"
        self.path = folder / "film.mp4"

    def _shaken(self, shot: Any, rng: np.random.Generator) -> Any:
        make = maker()
        far = 45.0
        target = (
            shot.place + shot.ahead * far + (shot.right * rng.normal() + shot.down * rng.normal()) * self.kind.shake
        )
        return make.Shot.at(shot.place, target, make.SIZE[0] * far / shot.f)

    def draw(self) -> None:
        make, kind = maker(), self.kind
        usual = make.grain
        make.grain = lambda *given: kind.grain * usual(*given)
        rng = np.random.default_rng(kind.seed)
        rate = f"{kind.rate}*2" if kind.form == "interlaced" else kind.rate
        form = ["-f", "rawvideo", "-pix_fmt", "rgb24", "-s", f"{make.SIZE[0]}x{make.SIZE[1]}"]
        form += ["-r", str(eval(rate)) if kind.form == "interlaced" else rate, "-i", "-"]
        to = ["-an", "-c:v", "libx264", "-preset", "veryfast", "-crf", str(kind.crf), "-pix_fmt", "yuv420p"]
        if kind.form == "interlaced":
            to += ["-vf", "interlace=scan=tff", "-flags", "+ilme+ildct", "-x264-params", "tff=1"]
        if kind.form == "variable":
            late = f"setpts=(N+floor(N/{VARIABLE - 1}))/({kind.rate}*TB)"
            to += ["-vf", late, "-fps_mode", "passthrough", "-enc_time_base", "1/90000"]
        with subprocess.Popen(
            ["ffmpeg", "-loglevel", "error", "-y", *form, *to, str(self.path)], stdin=subprocess.PIPE
        ) as process:
            assert process.stdin
            for shot, at in self.drawn:
                picture = make.picture_of(self.play, shot, self.units, float(at), rng)
                process.stdin.write(np.clip(picture, 0, 255).astype(np.uint8).tobytes())
            process.stdin.close()
        make.grain = usual

    def seen(self, number: int, ground: np.ndarray) -> np.ndarray:
        make = maker()
        return np.array([self.shots[number].see(make.on_ground(point))[0] for point in ground])

    def feet(self, player: str, number: int) -> np.ndarray:
        make = maker()
        man = make.standing(self.play, player, self.units[player], float(self.times[number]))
        left, right = man.feet()
        return np.asarray(self.shots[number].see(make.on_ground((left + right) / 2))[0])


def drawn(given: Any) -> None:
    size, *made = given
    maker().SIZE = size
    film = Made(*made)
    if not film.path.exists():
        usual, film.path = film.path, film.path.with_suffix(".part.mp4")
        film.draw()
        film.path.replace(usual)


def marks_of(
    made: Made, number: int, many: int, rng: np.random.Generator, noise: float
) -> list[tuple[str, float, float]]:
    """Marks far from one another, as a hand clicks them."""
    names, places, errors = se._core.field_marks("pro")
    sure = np.flatnonzero(np.asarray(errors) == 0)
    pixels = made.seen(number, np.asarray(places)[sure])
    size = np.array(maker().SIZE)
    inside = np.flatnonzero((pixels > 15).all(axis=1) & (pixels < size - 15).all(axis=1))
    chosen = [int(rng.choice(inside))]
    while len(chosen) < min(many, len(inside)):
        apart = np.min([np.hypot(*(pixels[inside] - pixels[one]).T) for one in chosen], axis=0)
        chosen.append(int(inside[np.argmax(apart)]))
    return [(names[sure[one]], *(pixels[one] + rng.normal(0, noise, 2))) for one in chosen]


def mark_asked(
    made: Made, number: int, wants: dict[str, Any], rng: np.random.Generator, noise: float
) -> tuple[str, float, float, bool]:
    """The mark a hand clicks next, where, and whether one act does: the first of those the page draws that is in the
    picture, and is taken for itself; or the one it asks for by name. Else one far from those clicked, which is named
    first."""
    names, places, _ = se._core.field_marks("pro")
    size = np.array(maker().SIZE)
    for name in [one["name"] for one in wants["offered"]] or [wants["next"]["name"]]:
        pixel = None if name is None else made.seen(number, np.asarray(places)[[names.index(name)]])[0]
        if pixel is not None and (pixel > 5).all() and (pixel < size - 5).all():
            x, y = pixel + rng.normal(0, noise, 2)
            nearest = min(wants["offered"], key=lambda one: np.hypot(one["x"] - x, one["y"] - y), default=None)
            at_cross = nearest and np.hypot(nearest["x"] - x, nearest["y"] - y) < AT_CROSS * size[1] / 720
            if name == (nearest["name"] if nearest and at_cross else wants["next"]["name"]):
                return name, x, y, True
    have = {one["name"] for one in wants["marks"]}
    return *next(one for one in marks_of(made, number, 40, rng, noise) if one[0] not in have), False


AT_CROSS = 15.0  # pixels of 720: a click so near to a dashed cross is of its mark, another is of the one asked for


class Alone(Work):
    """A page where OpenCV is not installed."""

    follows = False


def new_work(made: Made, every: float, follows: bool = True) -> Work:
    size = tuple(maker().SIZE)
    made.trace.unlink(missing_ok=True)
    trace = se.Trace(made.trace, "pro", {made.kind.angle: size}, films={made.kind.angle: made.path.name})
    work = (Work if follows else Alone)(trace, {made.kind.angle: Film(made.path)}, every)
    snap, play = made.play.snap, made.kind.play
    for player in made.near:
        work.do({"do": "person", "player": player, **{k: made.people[player][k] for k in ("unit", "position")}})
    throw = float(snap["throw_time"] or "nan") - float(snap["snap_time"])
    last = float(made.times[-1])
    work.do(
        {"do": "snap", "play": play, "ball_x": float(snap["ball_x"]), "ball_y": float(snap["ball_y"])}
        | {"direction": int(snap["direction"])}
    )
    work.do({"do": "event", "play": play, "what": "snap", "angle": made.kind.angle, "time": 0.4})
    end = min(throw + 0.4 if np.isfinite(throw) else last, last, made.over)
    work.do({"do": "event", "play": play, "what": "end", "angle": made.kind.angle, "time": end + 0.4})
    return work


def settle(work: Work, play: str = "") -> dict[str, Any]:
    while (state := work.state(play))["busy"] or (play and state["pocket"] is None):
        time.sleep(0.02)
    return state


class Direct:
    """A hand's acts, given to the page's state as the page would."""

    def __init__(self, made: Made, work: Work) -> None:
        self.work, self.play, self.angle = work, made.kind.play, made.kind.angle
        self.stamps = work.film(self.play, self.angle).stamps

    def look(self, number: int) -> None:
        self.number = number
        settle(self.work)

    def at(self) -> dict[str, Any]:
        return {"play": self.play, "angle": self.angle, "time": float(self.stamps[self.number])}

    def mark(self, name: str, x: float, y: float, asked: bool) -> None:
        """Clicks a mark; one the page does not ask for is named first."""
        self.work.do({"do": "mark", **self.at(), "name": name, "x": float(x), "y": float(y)})
        settle(self.work)

    def foot(self, player: str, x: float, y: float) -> int:
        """Clicks a man, and gives how many acts it takes: one if the page asks for him, or, where men are drawn where
        they were followed to or all are there, if he is the man nearest to the click, who is moved; else he is named
        first."""
        named = self.named(player, x, y)
        self.work.do({"do": "foot", **self.at(), "player": player, "x": float(x), "y": float(y), "at": "between"})
        return 2 if named else 1

    def named(self, player: str, x: float, y: float) -> bool:
        now = self.work.picture(self.play, self.angle, self.number)
        if now["next"]["what"] not in ("picture", "followed"):
            return bool(now["next"].get("player", player) != player)
        drawn = [*now["men"], *(one for one in now["guessed"] if one.get("followed"))]
        there = {one["player"]: np.hypot(one["x"] - x, one["y"] - y) for one in drawn}
        reach = 60 * maker().SIZE[1] / 720
        return there.get(player, np.inf) > min(reach, *there.values())

    def take_camera(self) -> None:
        self.work.accept_camera(self.play, self.angle, self.number)

    def take_guessed(self) -> None:
        self.work.accept_guessed(self.play, self.angle, self.number)

    def follow(self) -> None:
        """As the page does by itself, after the first picture and the last."""
        settle(self.work)
        self.work.follow(self.play, self.angle)
        self.work._jobs[self.play, self.angle].join()

    def take_men(self) -> None:
        self.work.accept_men(self.play, self.angle)


class Paged(Direct):
    """The same by mouse and keys in the page itself, in a browser."""

    def __init__(self, made: Made, work: Work, page: Any) -> None:
        super().__init__(made, work)
        self.page = page
        self.until("desk.state !== null && desk.state.plays.length === 1 && desk.picture !== null")
        self.box = page.locator("#film").bounding_box()
        self.scale = self.box["width"] / maker().SIZE[0]

    def until(self, says: str) -> None:
        for _ in range(1200):
            if self.page.evaluate(says):
                return
            self.page.wait_for_timeout(50)
        raise AssertionError(f"never: {says}")

    def look(self, number: int) -> None:
        super().look(number)
        while (there := self.page.evaluate("desk.number")) != number:
            self.page.keyboard.press("]" if there < number else "[")
            self.until(f"desk.number !== {there} && desk.picture.number === desk.number")
        self.page.evaluate("again()")
        self.until(f"desk.picture !== null && desk.picture.number === {number}")

    def click(self, x: float, y: float) -> None:
        self.page.evaluate("scrollTo(0, 0)")  # the list of names may be further down
        assert self.page.locator("#film").bounding_box() == self.box  # it never moves under a hand
        self.page.mouse.click(self.box["x"] + x * self.scale, self.box["y"] + y * self.scale)

    def mark(self, name: str, x: float, y: float, asked: bool) -> None:
        if not asked:
            self.page.keyboard.press("m")
            self.page.get_by_label("Mark", exact=True).fill(name)
            self.page.keyboard.press("Enter")
            self.until(f"desk.target?.name === {json.dumps(name)}")
        else:  # a hand looks at what is drawn, and waits for it
            offered = self.work.picture(self.play, self.angle, self.number)["offered"]
            drawn_now = json.dumps([[one["name"], int(one["x"])] for one in offered], separators=(",", ":"))
            self.page.evaluate("again()")
            self.until(
                f"JSON.stringify(desk.picture.offered.map((one) => [one.name, Math.floor(one.x)])) === '{drawn_now}'"
            )
        self.until("desk.target?.name !== undefined")
        self.click(x, y)
        self.until(f"desk.picture.marks.some((one) => one.name === {json.dumps(name)})")
        settle(self.work)

    def foot(self, player: str, x: float, y: float) -> int:
        name, count = json.dumps(player), len(self.work.trace)
        now = self.work.picture(self.play, self.angle, self.number)
        self.page.evaluate("again(true)")  # he looks at what is drawn, and waits for it
        self.until(
            f"desk.picture !== null && desk.picture.number === {self.number} && "
            f"desk.picture.next.what === {json.dumps(now['next']['what'])} && "
            f"desk.picture.men.length === {len(now['men'])}"
        )
        named = self.named(player, x, y)
        if named:
            named_so = re.compile(rf"(^|\s){re.escape(player)}(\s|$)")  # and not TK-86 where TK-8 is meant
            self.page.locator("#list").get_by_role("button", name=named_so).click()
            self.until(f"desk.target?.player === {name}")
        elif self.page.evaluate("desk.picture.next.what") == "man":
            self.until(f"desk.target?.player === {name}")
        self.click(x, y)
        for _ in range(3000):
            if len(self.work.trace) > count:
                break
            self.page.wait_for_timeout(20)
        else:
            raise AssertionError(f"{player} was not clicked: {self.page.evaluate('desk.said')}")
        near = f"Math.hypot(one.x - {x}, one.y - {y}) < 2"
        there = f"desk.picture.men.some((one) => one.player === {name} && {near})"
        self.until(f"desk.picture !== null && (desk.number !== {self.number} || {there})")
        return 2 if named else 1

    def take_camera(self) -> None:
        self.page.keyboard.press("Enter")
        self.until("desk.picture.camera !== null")

    def take_guessed(self) -> None:
        self.until("desk.picture.next.what === 'followed' && desk.target === null")
        self.page.keyboard.press("Enter")
        self.until(f"desk.number !== {self.number} || desk.picture.men.some((one) => one.followed)")

    def follow(self) -> None:
        settle(self.work)
        for _ in range(1200):
            job = self.work._jobs.get((self.play, self.angle))
            if job is not None and job is not self.joined:
                break
            self.page.wait_for_timeout(20)
        else:
            raise AssertionError("the page did not follow by itself")
        job.join()
        self.joined = job

    def take_men(self) -> None:
        count = len(self.work.trace)
        self.look(self.keys[-1])
        self.page.keyboard.press("Enter")
        while len(self.work.trace) == count:
            self.page.wait_for_timeout(20)

    keys: list[int]
    joined: Any = None


def hand(
    made: Made, follows: bool, rng: np.random.Generator, mark: float = 2.0, foot: float = 4.0, page: Any = None
) -> tuple[Work, Counter[str]]:
    """A hand clicks a play, in a browser's page if one is given; gives the page's state and how many acts it took
    (clicks and keys), a kind."""
    work, play, angle = new_work(made, 0.5 if follows else 0.3, follows), made.kind.play, made.kind.angle
    acts = Counter({"snap, end and ball": 3})
    keys = next(one for one in work.plays() if one["play"] == play)["angles"][angle]["keys"]
    scale = maker().SIZE[1] / 720
    does = Direct(made, work) if page is None else Paged(made, work, page(work))
    does.keys = keys
    order = [one["player"] for one in work.men(play) if one["player"] in made.near]
    for k, number in enumerate(keys):
        does.look(number)
        wants = work.picture(play, angle, number)
        followed = (wants["followed"] or {}).get("here")
        while wants["next"]["what"] == "mark":  # as long as the page asks for marks, and those it asks for, if seen
            name, x, y, asked_for = mark_asked(made, number, wants, rng, mark * scale)
            does.mark(name, x, y, asked_for)
            acts["marks"] += 1
            acts["marks named"] += not asked_for
            wants = work.picture(play, angle, number)
        while (wants["followed"] or {}).get("waiting"):
            time.sleep(0.02)
            wants = work.picture(play, angle, number)
        there = {one["player"]: np.array([one["x"], one["y"]]) for one in wants["guessed"] if one.get("followed")}
        off = {player: made.feet(player, number) for player in order}
        off = {player: at for player, at in off.items() if not close(there.get(player), at, SEEN_OFF * scale)}
        if followed and not there:
            does.take_camera()
            acts["pictures taken"] += 1
        # First he moves whom he sees beside their rings, then takes the others, then clicks whom the page asks for.
        for player in sorted(off, key=lambda one: one not in there):
            if player not in there and there and not set(there) <= set(off):
                does.take_guessed()
                acts["pictures taken"] += 1
                there = {}
            acts["men moved" if player in there else "men clicked"] += 1
            acts["men named"] += does.foot(player, *(off[player] + rng.normal(0, foot * scale, 2))) - 1
        if there and not set(there) <= set(off):
            does.take_guessed()
            acts["pictures taken"] += 1  # Enter: the followed camera, and all who are left
        if follows and k == 0:
            does.follow()
    if follows:
        does.follow()
        does.take_men()
        acts["men between taken"] += 1
    settle(work, play)
    return work, acts


def eleven(made: Made) -> list[str]:
    """The line, the passer, and the five of the defence who come nearest to him."""
    people, play = made.people, made.play
    passer = next(one for one in play.paths if people[one]["position"] == "QB")
    line = [one for one in play.paths if people[one]["position"] in ("LT", "LG", "C", "RG", "RT")]
    times = np.arange(0.0, min(3.0, float(play.times[-1])), 0.1)

    def apart(one: str) -> float:
        return min(float(np.hypot(*(play.at(one, at) - play.at(passer, at)))) for at in times)

    others = sorted((one for one in play.paths if made.units[one] == "defense"), key=apart)
    return [*line, passer, *others[:5]]


def close(drawn: np.ndarray | None, truth: np.ndarray, near: float) -> bool:
    """Whether a man is drawn so near to where he is that a hand leaves him there."""
    return drawn is not None and bool(np.hypot(*(drawn - truth)) <= near)


def ways_apart(made: Made) -> np.ndarray:
    """How far off men's tracks are, yd, from the snap on."""
    tracks = se.Trace(made.trace).reading.ways
    trace = tracks.plays[tracks.cameras.code[made.kind.play]]
    off = []
    for way in trace.ways:
        player = tracks.texts[way.player]
        for at, mean in zip(way.at, way.mean, strict=True):
            if 0 <= at <= float(made.times[-1]):
                off.append(float(np.hypot(*(mean[:2] - made.play.at(player, float(at))))))
    return np.array(off)


def check_camera(films: list[Made], quick: bool) -> None:
    print("1. the camera, followed")
    for made in films:
        film, rng = Film(made.path), np.random.default_rng(made.kind.seed + 1)
        numbers = [0, len(film.stamps) // 2, len(film.stamps) - 1]
        work = new_work(made, 0.3)
        for number in numbers:
            at = {"play": made.kind.play, "angle": made.kind.angle, "time": float(film.stamps[number])}
            for name, x, y in marks_of(made, number, MARKS[made.kind.angle], rng, 2.0 * maker().SIZE[1] / 720):
                work.do({"do": "mark", **at, "name": name, "x": float(x), "y": float(y)})
        settle(work)
        known = clicked_poses(work._known.reading, made.kind.play, made.kind.angle, film)
        work.close()
        median, most = LIMITS[made.kind.angle]
        for what, given in (("from one picture", {0: known[0]}), ("between three", known))[: 1 if quick else 2]:
            begun = time.process_time()
            found = follow_camera(film.arrays, given, 0, len(film.stamps) - 1, ticks=ticks_of("pro"))
            cpu = time.process_time() - begun
            good = [number for number, one in found.items() if one.good and number not in given]
            off = []
            for number in good:
                places = np.array([made.play.at(one, float(made.times[number])) for one in made.near])
                off.append(np.hypot(*(ground_of(found[number].pose, made.seen(number, places)) - places).T))
            apart = np.concatenate(off)
            shown = f"{np.nanmedian(apart):.3f} / {np.nanquantile(apart, 0.95):.3f}"
            ok = bool(np.nanmedian(apart) <= median and np.nanquantile(apart, 0.95) <= most)
            say(f"{made.kind.name}: {what}, yd, median / 95 %", shown, f"<= {median} / {most}", ok)
            say(f"... pictures followed, of {len(film.stamps) - len(given)}", str(len(good)), "", None)
            say("... pictures a second of processor time", f"{len(film.stamps) / cpu:.1f}", "", None)


def pictures_at_30(path: Path) -> int:
    """How many pictures a film comes to at 30 a second, as ffmpeg makes them."""
    ask = ["ffmpeg", "-loglevel", "error", "-i", str(path), "-vf", "fps=30,settb=1/30", "-f", "framecrc", "-"]
    lines = subprocess.run(ask, check=True, capture_output=True, text=True).stdout.splitlines()
    return sum(not line.startswith("#") for line in lines)


def check_cut_up(films: list[Made], folder: Path) -> None:
    """A file in which angles take turns: each part is followed from its first picture, and never into the next."""
    print("1. a cut-up with angles in turn")
    parts = [next((one for one in films if one.kind.angle == angle), None) for angle in MARKS]
    if None in parts:
        return
    path, trace_path, size = folder / "cut_up.mp4", folder / "cut_up.trace", tuple(maker().SIZE)
    ask = [word for one in (*parts, parts[0]) for word in ("-i", str(one.path))]
    joined = "".join(f"[{k}:v]fps=30,settb=1/30[v{k}];" for k in range(3)) + "[v0][v1][v2]concat=n=3:v=1"
    how = ["-filter_complex", joined, "-c:v", "libx264", "-crf", "23", "-pix_fmt", "yuv420p", str(path)]
    subprocess.run(["ffmpeg", "-loglevel", "error", "-y", *ask, *how], check=True)
    trace_path.unlink(missing_ok=True)
    film, start = Film(path), 0
    counts = [pictures_at_30(one.path) for one in parts]
    with se.Trace(trace_path, "pro", dict.fromkeys(MARKS, size), films=dict.fromkeys(MARKS, path.name)) as trace:
        for made in parts:
            begins = float(film.stamps[start if made is parts[0] else counts[0]])
            rng = np.random.default_rng(made.kind.seed + 4)
            for name, x, y in marks_of(made, 0, MARKS[made.kind.angle], rng, 2.0 * size[1] / 720):
                trace.mark(made.kind.play, made.kind.angle, begins, float(x), float(y), name)
    reading = Reading(Journal(trace_path, write=False))
    for made, count in zip(parts, counts, strict=True):
        known = clicked_poses(reading, made.kind.play, made.kind.angle, film)
        found = follow_camera(film.arrays, known, start, start + count + 20, ticks=ticks_of("pro"))
        off, beyond = [], 0
        for number, one in found.items():
            at = float(film.stamps[number]) - float(film.stamps[start]) + float(made.times[0])
            row = int(np.argmin(np.abs(made.times - at)))
            if not one.good or number in known:
                continue
            if number >= start + count + 1:
                beyond += 1
            elif abs(made.times[row] - at) < 1e-3:  # a picture of the film itself, none put in between
                places = np.array([made.play.at(man, float(made.times[row])) for man in made.near])
                off.append(np.hypot(*(ground_of(one.pose, made.seen(row, places)) - places).T))
        start += count
        median, most = LIMITS[made.kind.angle]
        apart = np.concatenate(off)
        ok = bool(np.nanmedian(apart) <= median and np.nanquantile(apart, 0.95) <= most)
        shown = f"{np.nanmedian(apart):.3f} / {np.nanquantile(apart, 0.95):.3f}"
        say(f"{made.kind.angle} in a cut-up, yd, median / 95 %", shown, f"<= {median} / {most}", ok)
        say("... pictures of the next part said to be seen", str(beyond), "0", beyond == 0)


def spoilt(pictures: list[np.ndarray], others: list[np.ndarray], at: int) -> dict[str, list[np.ndarray]]:
    """Films in which the camera is lost from a picture on: others are pictures of another film."""
    height, width = pictures[0].shape[:2]
    rng = np.random.default_rng(5)
    cloth = rng.integers(40, 220, (height // 8 + 1, width // 8 + 1, 3)).repeat(8, 0).repeat(8, 1).astype(np.uint8)
    wiped, crowd = [], []
    for k, picture in enumerate(pictures[at:]):
        edge = min(width, (k + 1) * width // 12)
        wiped.append(np.concatenate([others[k][:, :edge], picture[:, edge:]], axis=1))
        near = picture.copy()  # backs of men who run past the camera, as wide as the picture
        near[height // 10 :] = np.roll(cloth, 9 * k, axis=1)[height // 10 : height, :width]
        crowd.append(near)
    return {
        "a cut": [*pictures[:at], *others[: len(pictures) - at]],
        "a black picture": [*pictures[:at], np.zeros_like(pictures[0]), *pictures[at + 1 :]],
        "a replay's wipe over twelve pictures": [*pictures[:at], *wiped],
        "men filling the picture": [*pictures[:at], *crowd],
    }


def check_lost(films: list[Made]) -> None:
    """What cannot be followed is never passed on as good: of pictures said to be good the camera is right."""
    print("1. lost tracking")
    if len(films) < 2:
        print("   left out: what is cut to is another film, so two are needed (--films 1 2)")
        return
    for made, other in zip(films, films[1:] + films[:1], strict=True):
        work, film = new_work(made, 0.3), Film(made.path)
        for name, x, y in marks_of(made, 0, MARKS[made.kind.angle], np.random.default_rng(made.kind.seed), 1.5):
            at = {"play": made.kind.play, "angle": made.kind.angle, "time": float(film.stamps[0])}
            work.do({"do": "mark", **at, "name": name, "x": float(x), "y": float(y)})
        settle(work)
        known = clicked_poses(work._known.reading, made.kind.play, made.kind.angle, film)
        work.close()
        pictures, others = list(film.arrays(0, 40)), list(Film(other.path).arrays(0, 40))
        for what, given in spoilt(pictures, others, 16).items():
            found = follow_camera(
                lambda first, count, given=given: iter(given[first : first + count]),
                known,
                0,
                39,
                ticks=ticks_of("pro"),
            )
            good, worst = [number for number, one in found.items() if one.good and number], 0.0
            for number in good:
                places = np.array([made.play.at(one, float(made.times[number])) for one in made.near])
                off = np.hypot(*(ground_of(found[number].pose, made.seen(number, places)) - places).T)
                worst = max(worst, float(np.nanmax(off)))
            shown = f"{max(good)} / {worst:.2f}"
            ok = worst <= WORST_SEEN and sum(number < 16 for number in good) == 15
            say(f"{made.kind.name}: {what} at 16; last said to be seen, worst yd", shown, f"<= {WORST_SEEN}", ok)


def asked(server: Server, what: str, said: dict[str, Any] | None = None) -> tuple[float, bytes]:
    """Asks a server over its socket as the page does: how long it took, s, and what it answered."""
    begun = time.perf_counter()
    connection = http.client.HTTPConnection("127.0.0.1", server.server_address[1], timeout=60)
    heads = {TOKEN: server.token, TAB: "a-hand-at-the-page", "Content-Type": "application/json"}
    connection.request("GET" if said is None else "POST", what, None if said is None else json.dumps(said), heads)
    answer = connection.getresponse()
    found = answer.read()
    connection.close()
    assert answer.status == 200, found
    return time.perf_counter() - begun, found


def check_speed(films: list[Made]) -> None:
    """How quickly a page is answered, over its socket, while cameras, ways and pocket are worked out behind."""
    print(f"3. the server's speed; load of the machine {' '.join(f'{one:.1f}' for one in os.getloadavg())}")
    for made in films:
        work, _ = hand(made, True, np.random.default_rng(made.kind.seed + 5))
        server = Server(work)
        threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True).start()
        asked(server, "/hello", {"take": True})
        play, angle, rng = made.kind.play, made.kind.angle, np.random.default_rng(6)
        keys = next(iter(work.plays()))["angles"][angle]["keys"]
        film = work.film(play, angle)
        stamps, acts, wants = film.stamps, [], []
        for number in keys:
            where = {"play": play, "angle": angle, "time": float(stamps[number])}
            for player in made.near:
                x, y = made.feet(player, number) + rng.normal(0, 3, 2)
                said = {"do": "foot", **where, "player": player, "x": float(x), "y": float(y), "at": "between"}
                acts.append(asked(server, "/do", said)[0])
                wants.append(asked(server, "/picture", {"play": play, "angle": angle, "number": number})[0])

        def frame(number: int, play: str = play, angle: str = angle, server: Server = server) -> float:
            return asked(server, f"/frame?{urlencode({'play': play, 'angle': angle, 'number': number})}")[0]

        far = []
        for number in (len(stamps) * 3 // 4, len(stamps) // 4, len(stamps) - 1):  # nothing near was seen before
            work.shelf.close()
            work.shelf = Shelf()
            far.append(frame(number))
        work.shelf.close()
        work.shelf = Shelf(kept=1)  # from the disk
        begun = time.perf_counter()
        frame(0)
        while work.shelf.ready(film) < 1:
            time.sleep(0.02)
        made_a_second = len(stamps) / (time.perf_counter() - begun)
        on_disk = sum(file.stat().st_size for file in Path(str(work.shelf.folder)).iterdir()) / len(stamps)
        ready = [frame(int(number)) for number in rng.permutation(len(stamps))[:40]]
        work.shelf.close()
        work.shelf = Shelf()
        asked(server, "/fetch", {"play": play, "angle": angle, "first": keys[0], "last": keys[-1]})
        frame(keys[0])
        steps = []
        for number in [*keys[1:], *range(keys[0], keys[-1], 2)]:
            time.sleep(0.2)  # nobody asks faster
            steps.append(frame(number))
        begun = time.perf_counter()
        work.follow(play, angle)
        job = work._jobs[play, angle]
        job.join()
        rate = len(job.cameras) / (time.perf_counter() - begun)
        server.shutdown()
        server.server_close()
        work.close()
        size = "{} x {}".format(*maker().SIZE)
        for what, took, most in (
            ("an act answered", acts, 50),
            ("... what the picture then shows and wants", wants, 50),
            (f"a frame of {size}, picture after picture", steps, 100),
            ("... after a jump anywhere, once the film's pictures are ready", ready, 100),
            ("... after a jump, while nothing near is ready yet", far, 100),
        ):
            found = np.array(took) * 1000
            shown = f"{np.median(found):.0f} / {np.quantile(found, 0.95):.0f} / {found.max():.0f}"
            ok = bool(np.quantile(found, 0.95) < most)
            say(f"{made.kind.name}: {what}, ms, median / 95 % / most", shown, f"95 % < {most}", ok)
        say("... pictures made ready a second; kB each", f"{made_a_second:.0f}; {on_disk / 1000:.0f}", "", None)
        say("... camera and men followed, pictures a second", f"{rate:.1f}", ">= 10", rate >= 10)


def check_men(films: list[Made]) -> None:
    """Eleven men are clicked in three seconds of the play: no more, and nothing is scaled."""
    print("2, 3. a hand with following every 0.5 s, beside one without every 0.3 s")
    for made in films:
        usual, both = made.near, {}
        made.near, made.over = eleven(made), 3.0
        for follows in (True, False):
            work, acts = hand(made, follows, np.random.default_rng(made.kind.seed + 2))
            work.close()
            off = ways_apart(made)
            both[follows] = float(np.median(off))
            name = "with" if follows else "without"
            say(
                f"{made.kind.name}: {name} following, yd, median / 95 %",
                f"{np.median(off):.3f} / {np.quantile(off, 0.95):.3f}",
                "",
                None,
            )
            print("   " + ", ".join(f"{n} {what}" for what, n in acts.items() if n))
            most = 90 if follows else 160
            count = sum(acts.values())
            say("... acts for eleven men and three seconds", str(count), f"<= {most}", count <= most)
        say(
            "... as good as without",
            f"{both[True]:.3f}",
            f"<= {both[False]:.3f} + 10 %",
            both[True] <= 1.1 * both[False],
        )
        made.near, made.over = usual, np.inf


def clicked_through(given: Any) -> tuple[str, int, float, list[bool], list[bool], list[str]]:
    """One play clicked and judged: its acts, those for eleven men and three seconds, which outcomes are right, and
    which are with every man where he truly was; and in words those that are wrong."""
    size, k, one, case = given
    maker().SIZE, maker().FPS = size, WHOLE_RATE
    made = Made(*one)
    with clicked_in_browser() if k < PAGED else nullcontext() as page:
        work, acts = hand(made, True, np.random.default_rng(WHOLE_SEED + k), page=page)
        pictures = len(next(iter(work.plays()))["angles"][made.kind.angle]["keys"])
        work.close()
    of_play = case.truth[case.truth["play"] == made.kind.play]
    found, wrong = [], []
    for game in (se.from_trace(made.trace), case.game()):
        rows = truth.judge(game, of_play).rows
        found.append((rows["got"] == rows["outcome"]).tolist())
        wrong.append(rows[rows["got"] != rows["outcome"]])
    words = [" ".join(str(value) for value in row) for row in wrong[0].itertuples(index=False)]
    return made.kind.play, sum(acts.values()), of_eleven(acts, len(made.near), pictures), found[0], found[1], words


def of_eleven(acts: Counter[str], men: int, pictures: int) -> float:
    """The acts of a play as for eleven men and three seconds: what is done a man, or a picture, by their number; what
    is done once, as it is."""
    of_three = 8  # pictures every half second, from 0.3 s before the snap
    a_picture = acts["pictures taken"] * of_three / pictures
    a_man = sum(acts[what] for what in ("men clicked", "men moved", "men named")) * 11 / men * of_three / pictures
    once = sum(acts[what] for what in ("snap, end and ball", "marks", "marks named", "men between taken"))
    return once + a_picture + a_man


def check_outcomes(folder: Path, plays: int) -> None:
    """Twenty plays the whole way: drawn, clicked by a hand with following (three of them in a browser), measured, and
    their outcomes judged by what the script of the game did."""
    print("4. the whole way: film, clicks, reps")
    case = truth.seeded(WHOLE_SEED, WHOLE_OF, clean=True)
    told = case.truth[~case.truth["note"].str.contains("untouched|late")]
    names = [play for play in case.tables[1]["play"] if play in set(told["play"])][:plays]
    make, films = maker(), []
    usual, make.FPS = make.FPS, WHOLE_RATE
    game = make.demo(WHOLE_SEED, WHOLE_OF)
    for play in names:
        own = folder / "whole" / play
        own.mkdir(parents=True, exist_ok=True)
        snap = next(snap for snap in game.snaps if snap["play"] == play)
        seconds = 0.8 + (float(snap["throw_time"]) - float(snap["snap_time"]) if snap["throw_time"] else 3.4)
        kind = Kind(play, "end zone", WHOLE_SEED, play, (-14.0, 27.0, 13.5), rate=str(WHOLE_RATE))
        films.append((kind, own, min(seconds, 4.4), game))
    with ProcessPoolExecutor(2) as pool:
        list(pool.map(drawn, [(make.SIZE, *one) for one in films]))
    right: list[bool] = []
    beside: list[bool] = []
    all_acts = []
    with ProcessPoolExecutor(2) as pool:
        for done in pool.map(clicked_through, [(make.SIZE, k, one, case) for k, one in enumerate(films)]):
            play, acts, per_eleven, rows, seen, wrong = done
            all_acts.append(per_eleven)
            right += rows
            beside += seen
            where = " in the browser" if len(all_acts) <= PAGED else ""
            shown = f"{sum(right)} of {len(right)}, with true places {sum(beside)}"
            print(f"   {play}{where}: {acts} acts ({per_eleven:.0f}); right so far {shown}", flush=True)
            for words in wrong:
                print(f"      wrong: {words}", flush=True)
    make.FPS = usual
    share = 100 * np.mean(right)
    say(f"outcomes of {len(films)} plays right, %", f"{share:.1f}", ">= 95", bool(share >= 95))
    say("... with every man where he truly was", f"{100 * np.mean(beside):.1f}", "", None)
    say(
        "... acts for eleven men and three seconds, the median",
        f"{np.median(all_acts):.0f}",
        "<= 90",
        bool(np.median(all_acts) <= 90),
    )


@contextmanager
def clicked_in_browser() -> Iterator[Any]:
    """Serves a state and opens its page; nothing is asked of any other machine, and the page complains of nothing."""
    servers, said, asked = [], [], []
    with chromium() as browser:
        page = browser.new_context(viewport={"width": 1280, "height": 800}).new_page()
        page.on("console", lambda message: said.append(message.text))
        page.on("pageerror", lambda error: said.append(str(error)))
        page.on("request", lambda request: asked.append(request.url))

        def opened(work: Work) -> Any:
            servers.append(Server(work))
            threading.Thread(target=servers[0].serve_forever, args=(0.05,), daemon=True).start()
            page.goto(servers[0].address)
            return page

        yield opened
        page.close()
    hosts = {urlsplit(url).netloc for url in asked if not url.startswith("blob:")}
    assert not said, said
    assert hosts == {urlsplit(servers[0].address).netloc}, hosts
    servers[0].shutdown()
    servers[0].server_close()


def plates_of(clip: Clip, shot: laid.Shown, ground: laid.Ground) -> list[tuple[float, float, float, float]]:
    """The plates of a picture that stands still: left, top, right, bottom."""
    paper = ImageDraw.Draw(Image.new("RGB", clip.size))
    above, *larger = clip.insets(shot, ground)
    taken = [*clip.bodies(shot.time, shot.pose), above]
    return laid.put_plates(paper, shot.pose, ground, taken, clip.size[1], clip.size, larger)


def over_a_man_or_outside(made: Made, number: int, plate: tuple[float, float, float, float]) -> bool:
    """Whether a plate is not wholly in the picture, or covers the body of a man where he truly was."""
    make = maker()
    left, top, right, bottom = plate
    if left < 0 or top < 0 or right > make.SIZE[0] or bottom > make.SIZE[1]:
        return True
    for player in made.play.paths:
        man = make.standing(made.play, player, made.units[player], float(made.times[number]))
        feet, head = (made.shots[number].see(make.on_ground(man.body, above))[0] for above in (0.0, 1.9))
        half = 0.3 * made.shots[number].scale(make.on_ground(man.body))
        if left < feet[0] + half and right > feet[0] - half and top < feet[1] and bottom > head[1]:
            return True
    return False


def check_drawing(films: list[Made], every: int) -> None:
    print("5. the pocket on the film")
    make = maker()
    for made in films:
        work, _ = hand(made, True, np.random.default_rng(made.kind.seed + 3))
        work.close()
        m = se.measure(se.from_trace(made.trace))
        clip = Clip(m, made.kind.play, made.trace, None)
        clip.swamped = False  # plates are looked at, too, where the error of places would have them left out
        film, off, share, plates, ill = Film(made.path), [], [], 0, 0
        first = clip.shots[0].number
        coming = enumerate(film.arrays(first, clip.shots[-1].number - first + 1), first)
        for shot in clip.shots:
            ground = clip.ground(shot.time)
            spots = plates_of(clip, shot, ground)
            plates += len(spots)
            ill += sum(over_a_man_or_outside(made, shot.number, spot) for spot in spots)
            if not len(ground.ring):
                continue
            off.append(float(np.hypot(*(shot.pose.seen(ground.ring) - made.seen(shot.number, ground.ring)).T).max()))
            if shot.number % every:
                continue
            before = next(picture for number, picture in coming if number == shot.number)
            after = np.asarray(lay(before, shot.pose, ground, clip.bodies(shot.time, shot.pose)))
            taken = made.shots[shot.number]
            empty = make.ground_picture(taken, np.random.default_rng(1))
            men = [
                make.standing(made.play, one, made.units[one], float(made.times[shot.number]))
                for one in made.play.paths
            ]
            men.sort(key=lambda man: -float((make.on_ground(man.body) - taken.place) @ taken.ahead))
            peopled = empty.copy()
            for man in men:
                make.draw_man(peopled, taken, man)
            body = np.abs(peopled - empty).sum(axis=2) > 60
            changed = np.abs(after.astype(int) - before).sum(axis=2) > 12
            share.append(100 * float((changed & body).sum() / body.sum()))
        scale = make.SIZE[1] / 720
        say(
            f"{made.kind.name}: corners off, pixels of 720, the worst",
            f"{max(off) / scale:.2f}",
            "<= 3",
            max(off) / scale <= 3,
        )
        say("... of men's pixels changed, %, the worst picture", f"{max(share):.2f}", "< 2", max(share) < 2)
        say(f"... of {plates} plates, over a man or outside the picture", str(ill), "0", ill == 0)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("checks", nargs="*", type=int, metavar="1|2|3|4|5", help="which; all, if not said")
    parser.add_argument("--seconds", type=float, default=4.4, help="of each film")
    parser.add_argument(
        "--films", type=int, nargs="+", metavar="N", help="which of the kinds, counted from 1; else the first eight"
    )
    parser.add_argument("--unseen", action="store_true", help="the seven kinds after the usual eight, in their place")
    parser.add_argument("--quick", action="store_true", help="of check 1 only the camera followed from one picture")
    parser.add_argument("--plays", type=int, default=WHOLE, help="how many are clicked the whole way")
    parser.add_argument(
        "--every", type=int, default=10, metavar="N", help="men's pixels are looked at in every Nth picture (check 5)"
    )
    parser.add_argument("--keep", type=Path, help="a folder for the films: what stands in it is not drawn again")
    parser.add_argument("--width", type=int, default=1280, help="of the pictures, pixels")
    given = parser.parse_args()
    maker().SIZE = (given.width, given.width * 9 // 16)
    with tempfile.TemporaryDirectory() as folder:
        chosen = []
        kinds = KINDS + UNSEEN
        unseen = range(len(KINDS) + 1, len(kinds) + 1)
        for k in given.films or (unseen if given.unseen else range(1, len(KINDS) + 1)):
            kind, own = kinds[k - 1], (given.keep or Path(folder)) / str(k)
            own.mkdir(parents=True, exist_ok=True)
            chosen.append((kind, own, given.seconds))
        films = []
        if not given.checks or {1, 2, 3, 5} & set(given.checks):
            with ProcessPoolExecutor(2) as pool:
                list(pool.map(drawn, [(maker().SIZE, *one) for one in chosen]))
            films = [Made(*one) for one in chosen]
        if (not given.checks or 1 in given.checks) and not given.quick:
            check_cut_up(films, given.keep or Path(folder))
        drawing = partial(check_drawing, every=given.every)
        camera = partial(check_camera, quick=given.quick)
        for number, check in ((1, camera), (1, check_lost), (2, check_men), (3, check_speed), (5, drawing)):
            if (not given.checks or number in given.checks) and not (given.quick and check is check_lost):
                check(films)
        if not given.checks or 4 in given.checks:
            check_outcomes(given.keep or Path(folder), given.plays)
    print(f"{len(MISSED)} missed" if MISSED else "all met")
    return bool(MISSED)


if __name__ == "__main__":
    raise SystemExit(main())
