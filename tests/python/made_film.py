"""A small film of an invented play for tests, drawn by data/make_film.py, and where its camera truly was.

The renderer's projection is its own and shares nothing with the library.
"""

from __future__ import annotations

import importlib.util
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

import shortedge as se

HOUSE = Path(__file__).parents[2]
PLACES = {"end zone": np.array([-14.0, 28.0, 13.0]), "sideline": np.array([61.0, -36.0, 21.0])}
PLAY = "P003"


def maker() -> Any:
    """data/make_film.py as a module."""
    if "make_film" not in sys.modules:
        spec = importlib.util.spec_from_file_location("make_film", HOUSE / "data" / "make_film.py")
        assert spec is not None
        assert spec.loader is not None
        sys.modules["make_film"] = module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
    return sys.modules["make_film"]


@dataclass
class MadeFilm:
    """A play on film: times since the snap and the true cameras of its pictures, in a folder with its trace."""

    folder: Path
    angle: str
    size: tuple[int, int]
    play: Any
    people: dict[str, Any]
    times: np.ndarray
    shots: list[Any]

    @property
    def film(self) -> Path:
        return self.folder / "film.mp4"

    @property
    def trace(self) -> Path:
        return self.folder / "game.trace"

    @property
    def near(self) -> list[str]:
        """The men within twelve yards of the ball at the snap."""
        ball = np.array([self.play.snap["ball_x"], self.play.snap["ball_y"]])
        return [player for player in self.play.paths if np.hypot(*(self.play.at(player, 0.0) - ball)) < 12]

    def seen(self, number: int, ground: np.ndarray) -> np.ndarray:
        """Pixels of points of the ground, by the renderer's own camera."""
        make = maker()
        return np.array([self.shots[number].see(make.on_ground(point))[0] for point in ground])

    def feet(self, player: str, number: int) -> np.ndarray:
        """The pixel between a man's feet."""
        make, time = maker(), float(self.times[number])
        man = make.standing(self.play, player, str(self.people[player]["unit"]), time)
        left, right = man.feet()
        return np.asarray(self.shots[number].see(make.on_ground((left + right) / 2))[0])


def make_film(
    folder: Path, angle: str, seconds: float, size: tuple[int, int] = (640, 360), start: float = -0.3, draw: bool = True
) -> MadeFilm:
    make = maker()
    make.SIZE = size
    game = make.demo(20240, 6)
    people = {str(person["player"]): person for person in game.people}
    play = make.plays_of(game, [PLAY])[0]
    times = np.arange(start, start + seconds, 1 / make.FPS)
    passer = next(player for player in play.paths if people[player]["position"] == "QB")
    shots = make.shots_of(play, angle, PLACES, times, passer)
    units = {player: str(person["unit"]) for player, person in people.items()}
    rng = np.random.default_rng(5)
    folder.mkdir(exist_ok=True)
    if draw:
        pictures = (
            make.picture_of(play, shot, units, float(time), rng) for shot, time in zip(shots, times, strict=True)
        )
        make.encode(folder / "film.mp4", pictures)
    return MadeFilm(folder, angle, size, play, people, times, shots)


def click(
    made: MadeFilm, numbers: list[int], marks: int = 8, mark_error: float = 0.5, foot_error: float = 1.0
) -> se.Trace:
    """A trace of the film with marks and men clicked in some of its pictures, a little off as a hand is."""
    rng = np.random.default_rng(11)
    films = {made.angle: "film.mp4"} if made.film.exists() else None
    trace = se.Trace(made.trace, "pro", {made.angle: made.size}, films=films)
    names = se.field_marks("pro").to_pandas() if hasattr(se.field_marks("pro"), "to_pandas") else se.field_marks("pro")
    names = names[names["error"] == 0]
    places = names[["x", "y"]].to_numpy()
    snap = made.play.snap
    with trace.together():
        for player in made.near:
            trace.person(player, made.people[player]["unit"], made.people[player]["position"])
        trace.snap(PLAY, snap["ball_x"], snap["ball_y"], int(snap["direction"]))
        trace.event(PLAY, "snap", made.angle, float(-made.times[0]))
        for number in numbers:
            pixels = made.seen(number, places)
            inside = np.flatnonzero((pixels > 8).all(axis=1) & (pixels < np.array(made.size) - 8).all(axis=1))
            chosen = [int(inside[0])]
            while len(chosen) < min(marks, len(inside)):
                apart = np.min([np.hypot(*(pixels[inside] - pixels[one]).T) for one in chosen], axis=0)
                chosen.append(int(inside[np.argmax(apart)]))
            time = number / maker().FPS
            for one in chosen:
                x, y = pixels[one] + rng.normal(0, mark_error, 2)
                trace.mark(PLAY, made.angle, time, x, y, names["name"].iloc[one])
            for player in made.near:
                x, y = made.feet(player, number) + rng.normal(0, foot_error, 2)
                trace.foot(PLAY, made.angle, time, player, x, y, at="between")
    return trace
