"""Two more scripts of games, of other hands than the demo's and the second one's: bands are judged on them.

    drawn(seed, plays)    the hand-made plays (third_scenes.py), each time drawn anew: other tempo, width and paths
    steered(seed, plays)  men as points that steer: a rusher at the passer by a way of his own, a blocker at the spot
    between
                          the two with a lag, a passer who drops and slides

Places are where the men truly are, without noise; the truths of outcomes are not told (their rows are none).
Everything is invented, as everywhere here.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

import third_scenes
import truth

YARDS = {"units": "yd", "origin": "corner", "y": "up"}
NO_TRUTH = pd.DataFrame(
    {"play": [], "protector": [], "rusher": [], "outcome": [], "side": [], "note": [], "start_s": [], "end_s": []}
)


def drawn(seed: int, plays: int, rate: float = 25.0) -> truth.Case:
    """The hand-made plays in turn, drawn anew."""
    rng = np.random.default_rng(seed)
    scenes = [scene for scene in third_scenes.SCENES if scene.over > 2 and not scene.role]
    tracks, snaps, people = [], [], {}
    for number in range(plays):
        scene = scenes[int(rng.integers(len(scenes)))]
        tempo, width, play = rng.uniform(0.9, 1.12), rng.uniform(0.93, 1.1), f"D{number:03d}"
        over = scene.over * tempo
        times = np.arange(-round(third_scenes.BEFORE * rate), np.floor(over * rate + 1e-6) + 1) / rate
        ball = np.array([rng.uniform(30, 80), rng.uniform(22, 31)])
        direction = int(rng.choice([-1, 1]))
        for name, path in scene.paths(times / tempo).items():
            own = wander(rng, times, 0.07)
            u, v = path[:, 0] * width + own[:, 0], path[:, 1] + own[:, 1]
            where = ball - direction * np.stack([v, u], axis=1)
            who = f"{name} {number:03d}"
            tracks.append(
                pd.DataFrame({"play": play, "player": who, "time": times, "x": where[:, 0], "y": where[:, 1]})
            )
            unit = "offense" if name in third_scenes.OFFENCE else "defense"
            people[who] = {"player": who, "unit": unit, "position": scene.listed(name, False)}
        throw = np.nan if scene.throw is None else scene.throw * tempo
        snaps.append({"play": play, "ball_x": ball[0], "ball_y": ball[1], "direction": direction, "snap_time": 0.0})
        snaps[-1] |= {"throw_time": throw, "end_time": over}
    return case(f"drawn plays, seed {seed}", tracks, snaps, list(people.values()))


def wander(rng: np.random.Generator, times: np.ndarray, size: float) -> np.ndarray:
    """A man's own way off the drawn one, yd: a few slow waves that begin with the play."""
    out = np.zeros((len(times), 2))
    for axis in (0, 1):
        for period in (1.3, 2.1, 3.7):
            out[:, axis] += size * rng.standard_normal() * np.sin(2 * np.pi * times / period + rng.uniform(0, 6.28))
    return out * np.clip(times / 0.6, 0, 1)[:, None]


# ------------------------------------------------------------------------------------------------- men who steer


STEP = 0.02  # s
LINE_U = {"LT": -3.0, "LG": -1.5, "C": 0.0, "RG": 1.5, "RT": 3.0}


class Steered:
    """One play of points that steer; complex places, u + 1j * v."""

    def __init__(self, rng: np.random.Generator) -> None:
        self.rng = rng
        self.under = rng.random() < 0.4
        self.depth = rng.uniform(6.5, 9.5) if self.under else rng.uniform(6.0, 8.5)
        self.throw = rng.uniform(2.2, 3.6)
        self.slide = rng.uniform(-1.2, 1.2)
        spread = rng.uniform(0.9, 1.12)
        self.at = {name: complex(u * spread, 0.6 + 0.12 * abs(u)) for name, u in LINE_U.items()}
        self.at["C"] = complex(0, 0.3)
        self.at["QB"] = complex(0, 1.2 if self.under else 5.0)
        five = rng.random() < 0.35
        self.pairs = {"LT": "LE", "RT": "RE", "LG": "LI", "RG": "RI"} | ({"C": "MB"} if five else {})
        wide = rng.uniform(0.3, 2.2, 2)
        self.at |= {"LE": self.at["LT"] - wide[0] - 1.6j, "RE": self.at["RT"] + wide[1] - 1.8j}
        self.at |= {
            "LI": self.at["LG"] + rng.uniform(-0.7, 0.7) - 1.7j,
            "RI": self.at["RG"] + rng.uniform(-0.7, 0.7) - 1.8j,
        }
        self.at["MB"] = complex(rng.uniform(-1, 1), -1.6 if five else -4.6)
        self.of = {rusher: man for man, rusher in self.pairs.items()}
        self.v = dict.fromkeys(self.at, 0j)
        self.lag = {man: rng.uniform(0.12, 0.4) for man in LINE_U}
        self.speed = {man: rng.uniform(2.6, 4.2) for man in LINE_U}
        self.quick = {rusher: rng.uniform(3.6, 6.4) for rusher in self.of}
        # where he means to pass his man, yd to that side; small: straight through him
        self.way = {
            rusher: rng.normal(0, 1.1) + (0.9 if rusher == "RE" else -0.9 if rusher == "LE" else 0)
            for rusher in self.of
        }
        self.turns = {rusher: rng.uniform(0.9, 2.4) for rusher in self.of}  # s: goes for the passer from then on

    def wish(self, name: str, t: float) -> complex:
        """The velocity he wants."""
        passer, here = self.at["QB"], self.at[name]
        if name == "QB":
            top = complex(0, self.depth)
            goal = top if t < 1.9 else complex(self.slide, self.depth - 0.7)
            return capped((goal - here) / 0.35, 4.6 if t < 1.9 else 1.4)
        if name in self.of:
            man = self.at[self.of[name]]
            off = self.way[name] if t < self.turns[name] else self.way[name] * 0.6
            if abs(here - man) < 2.6 and abs(here - passer) > abs(man - passer) - 0.3:
                return capped(man + off * 1.3 + 0.4j * abs(off) - here, 1) * self.quick[name]
            return capped(passer - here, 1) * self.quick[name]
        if name in self.pairs:
            his = self.at[self.pairs[name]]
            toward = (passer - his) / max(abs(passer - his), 0.1)
            goal = his + self.v[self.pairs[name]] * (0.25 - self.lag[name]) + toward * 0.95
            if t < 0.9:
                goal = complex(here.real * 0.4 + goal.real * 0.6, max(goal.imag, 1.8 + 0.8 * t))
            return capped((goal - here) / 0.22, self.speed[name])
        if name in LINE_U:
            return capped((complex(here.real * 0.9, 2.0) - here) / 0.4, 1.6)
        return complex(0.2 * np.sin(3 * t), -0.9)

    def run(self) -> tuple[np.ndarray, dict[str, np.ndarray]]:
        over = self.throw + 1.0
        count = round((over + 0.6) / STEP) + 1
        times = np.round(np.arange(count) * STEP - 0.6, 6)
        ways = {name: np.zeros(count, complex) for name in self.at}
        for k, t in enumerate(times):
            for name in self.at:
                ways[name][k] = self.at[name]
            react = {name: 0.02 if name == "QB" else 0.14 if name in LINE_U else 0.2 for name in self.at}
            wishes = {name: self.wish(name, t) if t > react[name] else 0j for name in self.at}
            for name, wish in wishes.items():
                tau = 0.16 if name in LINE_U else 0.28
                self.v[name] += (wish - self.v[name]) * STEP / tau
                self.at[name] += self.v[name] * STEP
            self.part()
        return times, ways

    def part(self) -> None:
        """Men do not stand in one another: each gives half; of a blocker and his man the blocker gives more."""
        names = [name for name in self.at if name != "QB"]
        for i, one in enumerate(names):
            for other in names[:i]:
                apart = self.at[one] - self.at[other]
                short = 0.8 - abs(apart)
                if short > 0:
                    push = apart / max(abs(apart), 0.05) * short / 2
                    self.at[one] += push
                    self.at[other] -= push


def capped(z: complex, most: float) -> complex:
    return z if abs(z) <= most else z / abs(z) * most


def steered(seed: int, plays: int, rate: float = 10.0) -> truth.Case:
    """Plays of points that steer, in the centre of the field; `rate` divides 50."""
    rng = np.random.default_rng(seed)
    tracks, snaps = [], []
    for number in range(plays):
        play = Steered(rng)
        times, ways = play.run()
        kept = slice(None, None, round(1 / (rate * STEP)))
        name = f"S{number:03d}"
        for who, way in ways.items():
            where = {"x": 60 - way.imag[kept], "y": 26 - way.real[kept]}
            tracks.append(pd.DataFrame({"play": name, "player": who, "time": times[kept]} | where))
        snaps.append({"play": name, "ball_x": 60.0, "ball_y": 26.0, "direction": 1, "snap_time": 0.0})
        snaps[-1] |= {"throw_time": play.throw, "end_time": times[-1]}
    return case(f"steered plays, seed {seed}", tracks, snaps, list(listed()))


def listed() -> Iterator[dict[str, str]]:
    for who in (*LINE_U, "QB"):
        yield {"player": who, "unit": "offense", "position": who}
    for who, position in {"LE": "DE", "RE": "DE", "LI": "DT", "RI": "DT", "MB": "LB"}.items():
        yield {"player": who, "unit": "defense", "position": position}


def case(
    name: str, tracks: list[pd.DataFrame], snaps: list[dict[str, object]], people: list[dict[str, str]]
) -> truth.Case:
    tables = (pd.concat(tracks, ignore_index=True), pd.DataFrame(snaps), pd.DataFrame(people))
    return truth.Case(name, tables, YARDS | {"name": name}, NO_TRUTH)
