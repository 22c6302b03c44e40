"""A second script of invented games, of another hand than data/make_demo.py's, with known truth.

    tracks, snaps, people, truth = make_game(seed=1, plays=60)
    game = se.from_tables(tracks, snaps, people, **HOW)

Nothing is drawn beforehand here: every man is a point that is steered fifty times a second. He has a wish (a velocity),
a limited push, and an unsteadiness of his own. A rusher leans on his man, rides round him or slips off him; a blocker
mirrors the line from his rusher to the passer's spot with feet of a limited speed. What a play is about is scripted:
who takes whom, when one is passed off, who loses, when and on which side. `truth` says what was scripted; a draw whose
paths do not show it plainly (`Play.check`: in terms of who is nearer the passer and who lost ground, nothing else) is
thrown away.

Tables: feet from the corner at the far sideline (y down), 20 samples a second, whole numbers as ids, no noise of
tracking. Names are made up. `truth` has one row a man and rusher:

    play, protector, rusher (texts, "" for none), `from` and `to` (s after the snap in which he has him), `met` (first
    contact, s), outcome (held, beat, driven, free, help, uncovered), side (outside, inside; of a centre left, right),
    beat_time (s: the rusher level with his man, on his way by), throw_time (s, NaN with none), kind (of play), note

Positions inside are complex numbers: u (yards to the offence's right of the ball) + 1j * v (yards behind the line).
"""

from __future__ import annotations

import cmath
import math
import random
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

HOW = {"units": "ft", "origin": "corner", "y": "down", "name": "second script"}
RATE = 20.0
STEP = 0.02  # s
BEFORE = 0.8  # s of stance before the snap
AFTER = 1.0  # s after the throw
TOUCH = 1.15  # yd: hands reach
BODY = 0.7  # yd: no two men's middles come nearer
GRIP = 0.86  # yd between the middles of two men who block

SLOTS = {-2: "LT", -1: "LG", 0: "C", 1: "RG", 2: "RT"}
OFFENCE = {"LT": 71, "LG": 64, "C": 55, "RG": 68, "RT": 77, "QB": 9, "RB": 31, "TE": 85, "X": 13, "Y": 18, "Z": 1}
DEFENCE = {"LE": 192, "LI": 197, "RI": 193, "RE": 199, "WB": 152, "MB": 150, "SB": 156, "NB": 126, "LC": 121}
DEFENCE |= {"RC": 124, "FS": 133}
POSITION = {"X": "WR", "Y": "WR", "Z": "WR", "LE": "DE", "LI": "DT", "RI": "DT", "RE": "DE", "NB": "CB", "LC": "CB"}
POSITION |= {"RC": "CB", "WB": "OLB", "MB": "MLB", "SB": "OLB"}
DOWN = ("LE", "LI", "RI", "RE")  # who always rushes, if a play does not say otherwise

Wish = Callable[[float], complex]


class Again(Exception):
    """This draw does not show what its script says."""


def unit(z: complex) -> complex:
    return z / abs(z) if abs(z) > 1e-9 else 0j


def capped(z: complex, most: float) -> complex:
    return z if abs(z) <= most else z * (most / abs(z))


def dot(a: complex, b: complex) -> float:
    return (a.conjugate() * b).real


def cross(a: complex, b: complex) -> float:
    return (a.conjugate() * b).imag


def pick(rng: random.Random, some: Sequence[Any]) -> Any:
    """One of them. By random(), whose streams never change."""
    return some[int(len(some) * rng.random())]


@dataclass
class Man:
    at: complex
    top: float = 9.0  # yd/s
    push: float = 9.0  # yd/s/s from a stand, falling to 0 at his top speed
    sway: float = 0.12  # yd/s of unsteadiness
    v: complex = 0j
    drift: complex = 0j
    hit: float = 0.0  # until this time he brakes on another man's body


@dataclass
class Row:
    """A row of truth in the making."""

    man: str
    rusher: str
    outcome: str = "held"
    side: str = ""
    start: float = 0.0
    end: float = math.inf
    note: str = ""
    beat: float = math.nan
    met: float = math.nan


@dataclass
class Duel:
    """One man on one rusher, from `go` (the man) and `off` (the rusher) until `until`.

    ride: how fast (yd/s) the rusher works round the pocket; give: ground (yd/s) at first contact, fading; drive: ground
    (yd/s) that does not fade; lean: degrees the man stands inside his rusher's line to the spot; by: from this time on
    the rusher goes round his man, turn +1 past the man's right, -1 past his left.
    """

    man: str
    rusher: str
    side: int
    set_to: complex
    via: list[complex] = field(default_factory=list)
    go: float = 0.12
    off: float = 0.2
    until: float = math.inf
    kick: float = 2.5
    ride: float = 0.0
    give: float = 0.5
    drive: float = 0.0
    lean: float = 8.0
    by: float = math.inf
    turn: int = 0
    grab: float = 0.4  # s he stands flat-footed when he is beaten
    met: float = math.nan
    wave: float = 0.0
    set_done: bool = False


class Play:
    """One play. s: the side its point is on, +1 the offence's right."""

    def __init__(self, rng: random.Random, kind: str) -> None:
        self.rng = rng
        self.kind = kind
        self.s = 1 if rng.random() < 0.5 else -1
        self.men: dict[str, Man] = {}
        self.wish: dict[str, Wish] = {}
        self.duels: list[Duel] = []
        self.rows: list[Row] = []
        self.rushers: set[str] = set(DOWN)
        self.notes: list[str] = []
        self.label = ""
        self.sack = False
        self.again: list[str] = []  # why earlier draws were thrown away
        self.rescues: list[tuple[Duel, str, float]] = []
        self.line_up()
        self.clock()

    # Chance

    def u(self, low: float, high: float) -> float:
        return low + (high - low) * self.rng.random()

    def bell(self) -> float:
        """Standard normal."""
        return math.sqrt(-2 * math.log(1 - self.rng.random())) * math.cos(2 * math.pi * self.rng.random())

    # Names by the side of the point: +1 the point's side

    def t(self, side: int = 1) -> str:
        return "RT" if side * self.s > 0 else "LT"

    def g(self, side: int = 1) -> str:
        return "RG" if side * self.s > 0 else "LG"

    def e(self, side: int = 1) -> str:
        return "RE" if side * self.s > 0 else "LE"

    def i(self, side: int = 1) -> str:
        return "RI" if side * self.s > 0 else "LI"

    def b(self, side: int = 1) -> str:
        return "SB" if side * self.s > 0 else "WB"

    def p(self, out: float, back: float, side: int = 1) -> complex:
        """A place, out to the point's side."""
        return complex(out * self.s * side, back)

    # Before the snap

    def line_up(self) -> None:
        self.stance = pick(self.rng, ("under", "gun", "gun", "pistol"))
        self.depth = {"under": pick(self.rng, (7.0, 7.0, 8.5)), "gun": self.u(6.6, 8.2), "pistol": self.u(6.5, 7.8)}[
            self.stance
        ]
        self.gap = self.u(1.25, 1.5)
        for slot, name in SLOTS.items():
            deep = {0: 0.4, 1: 0.8, 2: 1.1}[abs(slot)]
            self.stand(name, complex(slot * self.gap, deep), top=7.6, push=6.5)
        v = {"under": self.u(1.2, 1.4), "gun": self.u(4.7, 5.2), "pistol": self.u(3.6, 4.2)}[self.stance]
        self.stand("QB", complex(0, v), top=8.0, push=7.0, loose=0.0)
        back = {
            "under": complex(0, 6.8),
            "gun": self.p(1.3, v + 0.1, pick(self.rng, (-1, 1))),
            "pistol": complex(0, 7.2),
        }[self.stance]
        self.stand("RB", back, top=8.8)
        self.stand("TE", self.p(6.8, 1.2, -1), top=8.2)
        self.stand("X", complex(-self.u(15, 18), 0.6))
        self.stand("Z", complex(self.u(15, 18), 1.2))
        self.stand("Y", self.p(self.u(8.0, 9.5), 1.1))
        t = 2 * self.gap
        self.stand("LE", complex(-t - self.u(0.9, 1.9), -1.0), top=8.8, push=9.5)
        self.stand("RE", complex(t + self.u(0.9, 1.9), -1.0), top=8.8, push=9.5)
        self.stand("LI", complex(-self.gap - self.u(0.35, 0.65), -1.0), top=8.2, push=8.8)
        self.stand("RI", complex(self.gap + self.u(0.35, 0.65), -1.0), top=8.2, push=8.8)
        self.stand("WB", complex(-self.u(2.5, 3.5), -4.6))
        self.stand("MB", complex(self.u(-0.5, 0.5), -4.9))
        self.stand("SB", complex(self.u(2.5, 3.5), -4.6))
        self.stand("NB", self.men["Y"].at - 5.5j - self.p(0.6, 0))
        self.stand("LC", self.men["X"].at - 6.5j + 0.8)
        self.stand("RC", self.men["Z"].at - 6.5j - 0.8)
        self.stand("FS", complex(self.u(-2, 2), -13))

    def stand(self, name: str, at: complex, top: float = 9.2, push: float = 9.0, loose: float = 0.06) -> None:
        self.men[name] = Man(at + complex(self.u(-loose, loose), self.u(-loose, loose)), top, push)

    def move(self, name: str, at: complex, loose: float = 0.06) -> None:
        self.men[name].at = at + complex(self.u(-loose, loose), self.u(-loose, loose))

    def clock(self) -> None:
        back = self.depth - self.men["QB"].at.imag
        self.topped = max(0.35, (0.26 * back + 0.25) if self.stance == "under" else 0.28 * back + 0.25)
        self.throw = self.u(max(2.3, self.topped + 0.5), max(2.8, self.topped + 1.0))

    def hold_ball(self, low: float, high: float) -> None:
        """The ball is held until between so many seconds."""
        self.throw = max(self.topped + 0.4, self.u(low, high))

    @property
    def spot(self) -> complex:
        return complex(self.slide, self.depth)

    # Wishes of men who fight nobody

    def go_to(
        self, name: str, points: Iterable[complex], start: float = 0.1, speed: float = 9.0, soft: bool = True
    ) -> None:
        """Through points; at the last he stops, softly or running through."""
        way = list(points)
        man = self.men[name]

        def wish(t: float) -> complex:
            if t < start:
                return 0j
            while len(way) > 1 and abs(way[0] - man.at) < 0.8:
                way.pop(0)
            left = way[0] - man.at
            return unit(left) * (min(speed, 4.0 * abs(left)) if soft and len(way) == 1 else speed)

        self.wish[name] = wish

    def come_free(self, name: str, points: Iterable[complex] = (), start: float = 0.2) -> None:
        """Nobody has him: through points, then at the passer."""
        way = list(points)
        man = self.men[name]

        def wish(t: float) -> complex:
            if t < start:
                return 0j
            while way and abs(way[0] - man.at) < 0.8:
                way.pop(0)
            return self.at_passer(man, t) if not way else unit(way[0] - man.at) * 9.0

        self.wish[name] = wish
        self.rushers.add(name)

    def at_passer(self, man: Man, t: float) -> complex:
        left = self.men["QB"].at - man.at
        speed = min(9.2, 5.0 * max(abs(left) - 0.75, 0.0))
        if not self.sack and t > self.throw + 0.1:
            speed = min(speed, max(1.0, 6 - 8 * (t - self.throw)))
        return unit(left) * speed

    def drop(self) -> None:
        qb = self.men["QB"]
        hitch = self.u(0.3, 0.7)
        speed = 1.25 * (self.depth - qb.at.imag) / self.topped

        def wish(t: float) -> complex:
            if t < 0.08:
                return 0j
            if t < self.topped:
                return capped((self.spot - qb.at) * 5.0, speed)
            return capped((self.spot - hitch * 1j - qb.at) * 2.5, 1.6)

        self.wish["QB"] = wish

    def others(self) -> None:
        """Who has nothing to do with the rush runs a route or covers one."""
        free = [
            n for n in ("X", "Y", "Z", "TE", "RB") if n not in self.wish and not any(d.man == n for d in self.duels)
        ]
        for name in free:
            at = self.men[name].at
            side = 1 if at.real > 0 else -1
            if name == "RB":
                side = -self.s
                way = [
                    complex(side * 3.5, at.imag - 0.2),
                    complex(side * 7.5, 3.0),
                    complex(side * 10, -3),
                    complex(side * 10, -30),
                ]
            else:
                stem = self.u(6, 12)
                way = [at - stem * 1j, at - (stem + 4) * 1j - side * self.u(-3, 7), at - 40j - side * self.u(-3, 9)]
            self.go_to(name, way, 0.12, self.u(6.6, 7.8))
        for name, target, off in (
            ("LC", "X", -1.5j + 0.8),
            ("RC", "Z", -1.5j - 0.8),
            ("NB", "Y", -1.4j),
            ("FS", "", 0j),
        ):
            if name in self.wish or any(d.rusher == name for d in self.duels):
                continue
            self.wish[name] = self.covering(name, target, off)
        for name, at in (("WB", complex(-5, -7.5)), ("MB", complex(0, -9)), ("SB", complex(5, -7.5))):
            if name not in self.wish and not any(d.rusher == name for d in self.duels):
                self.go_to(name, [at], 0.35, 4.5)

    def covering(self, name: str, target: str, off: complex) -> Wish:
        man = self.men[name]

        def wish(t: float) -> complex:
            if t < 0.25:
                return 0j
            if not target:
                return -4.5j
            other = self.men[target]
            near = abs(other.at - man.at) < 4.5
            return capped((other.at + off - man.at) * 2.0 + other.v, 9.0) if near else complex(0, -2.6)

        return wish

    # Duels

    def block(
        self,
        man: str,
        rusher: str,
        outcome: str = "held",
        side: str = "",
        note: str = "",
        after: float = 0.35,
        **more: float | complex | list[complex],
    ) -> Duel:
        """One man takes one rusher. A beat begins `after` seconds after they met."""
        slot = next((k for k, name in SLOTS.items() if name == man), None)
        at, his = self.men[man].at, self.men[rusher].at
        sign = (1 if his.real > 0 else -1) if not slot else (1 if slot > 0 else -1)
        edge = slot is None or abs(slot) == 2
        if edge:
            wide = min(abs(his.real) - abs(at.real), 2.5) if slot else 0.0
            set_to = at + complex(sign * (0.25 + 0.3 * max(wide, 0.0)), self.u(1.5, 2.0))
            via = [complex(his.real * 1.01, 0.4)]
        else:
            set_to = complex(at.real + (his.real - at.real) * 0.6, at.imag + self.u(0.7, 1.0))
            via = []
        duel = Duel(man, rusher, sign, set_to, via)
        duel.off = self.u(0.17, 0.27)
        duel.go = self.u(0.08, 0.17)
        duel.ride = self.u(0.9, 1.5) if edge else self.u(-0.15, 0.35)
        duel.give = self.u(0.35, 0.7) if edge else self.u(0.2, 0.6)
        duel.lean = self.u(6, 14) if edge else self.u(-4, 8)
        duel.wave = self.u(0, 6.3)
        if man == "RB" or man == "TE":
            duel.kick = 5.0
        if outcome == "driven":
            duel.drive, duel.ride, duel.lean = self.u(1.6, 2.0), self.u(-0.1, 0.2), self.u(-4, 4)
        if outcome == "beat":
            duel.turn = {"outside": sign, "inside": -sign, "right": 1, "left": -1}[side]
            duel.by = -after  # a stretch after they met; made a time when they meet
        for name, value in more.items():
            assert hasattr(duel, name)
            setattr(duel, name, value)
        self.duels.append(duel)
        self.rows.append(Row(man, rusher, outcome, side, max(0.0, duel.go if duel.go > 0.3 else 0.0), duel.until, note))
        return duel

    def step_duel(self, d: Duel, t: float, wants: dict[str, complex]) -> None:
        man, rusher = self.men[d.man], self.men[d.rusher]
        mine, his = d.go <= t < d.until, d.off <= t < d.until
        b, r, gap = man.at, rusher.at, abs(man.at - rusher.at)
        spot = self.spot if t < self.topped else self.men["QB"].at
        to_spot = unit(spot - r)
        if math.isnan(d.met):
            if mine and his and gap < TOUCH - 0.1:
                d.met = t
                rusher.hit = man.hit = t + 0.35
                if d.by < 0:
                    d.by = t - d.by
            if his:
                while d.via and abs(d.via[0] - r) < 0.7:
                    d.via.pop(0)
                aim = d.via[0] if d.via else b if mine else spot
                wants[d.rusher] = unit(aim - r) * (4.2 if gap < 2.0 and not d.via else 8.5)
            if mine:
                d.set_done = d.set_done or abs(d.set_to - b) < 0.3 or gap < 1.8
                line = spot + abs(d.set_to - spot) * unit(r - spot)
                aim = line if d.set_done and not d.via else d.set_to
                wants[d.man] = capped((aim - b) * 4.0, d.kick)
            return
        if t >= d.by:
            self.step_beaten(d, t, wants, mine, his)
            return
        since = t - d.met
        outward = to_spot * (-1j) * d.side
        fade = math.exp(-since / 0.7)
        room = min(1.0, max(0.0, (abs(b - spot) - 1.2) / 0.8))
        if his:
            ground = d.give * fade + d.drive * min(1.0, since / 0.3) * room
            wave = 0.25 * math.sin(d.wave + 5.5 * t)
            press = unit(b - r) * max(-1.5, min(1.5, (gap - GRIP) * 4.0))
            wants[d.rusher] = to_spot * ground + outward * (d.ride * (1 - fade) * min(1.0, room + 0.3) + wave) + press
            if not self.sack and t > self.throw + 0.2:
                wants[d.rusher] *= 0.5
        if mine:
            front = to_spot * cmath.exp(1j * math.radians(d.lean) * d.side)
            aim = r + GRIP * front
            wants[d.man] = capped((aim - b) * 6.0 + 0.8 * rusher.v, 3.4)

    def step_beaten(self, d: Duel, t: float, wants: dict[str, complex], mine: bool, his: bool) -> None:
        man, rusher = self.men[d.man], self.men[d.rusher]
        b, r, q = man.at, rusher.at, self.men["QB"].at
        if his:
            line = unit(q - r)
            ahead, beside = dot(line, b - r), abs(cross(line, b - r))
            if ahead > -0.1 and beside < 1.1:
                away = unit(r - b)
                wants[d.rusher] = away * 1j * d.turn * 4.4 + away * (1.1 - abs(r - b)) * 6.0
            else:
                wants[d.rusher] = self.at_passer(rusher, t)
        if mine:
            if t < d.by + d.grab:
                wants[d.man] = 0.35 * man.v
            else:
                behind = r - 0.95 * unit(rusher.v) - b
                wants[d.man] = unit(behind) * min(4.4, 5.0 * abs(behind))

    # The clock runs

    def run(self) -> None:
        self.slide = self.u(-0.4, 0.4)
        getattr(self, self.kind.replace(" ", "_").replace("-", "_"))()
        self.drop()
        self.others()
        end = self.throw + (1.9 if self.sack else AFTER) + 0.1
        names = list(self.men)
        steps = round(end / STEP)
        self.time = np.arange(steps + 1) * STEP
        self.path = {name: np.empty(steps + 1, complex) for name in names}
        for k in range(steps + 1):
            t = k * STEP
            for name in names:
                self.path[name][k] = self.men[name].at
            wants: dict[str, complex] = {name: wish(t) for name, wish in self.wish.items()}
            self.rescue(t)
            for duel in self.duels:
                self.step_duel(duel, t, wants)
            for name in names:
                self.push(self.men[name], wants.get(name, 0j), t)
            self.part(names)
        self.finish()

    def rescue(self, t: float) -> None:
        """Another man sees the rusher get by his own, cuts him off and takes him."""
        for one in self.rescues:
            lost, name, late = one
            man, rusher, passer = self.men[name], self.men[lost.rusher], self.men["QB"]
            if math.isnan(lost.met) or t < lost.by + late:
                continue
            cut = rusher.at + 3.0 * unit(passer.at - rusher.at)
            self.wish[name] = lambda _, gap=cut - man.at: capped(gap * 6.0, 6.0)
            if abs(man.at - rusher.at) > 1.0:
                continue
            self.rescues.remove(one)
            lost.until = t
            side = -1 if rusher.at.real < 0 else 1
            duel = Duel(name, lost.rusher, side, man.at, go=t, off=t, give=0.1, lean=0.0, met=t)
            rusher.hit = man.hit = t + 0.35
            self.duels.append(duel)
            self.rows.append(Row(name, lost.rusher, start=t, note="cleans up"))
            return

    def push(self, man: Man, want: complex, t: float) -> None:
        kick = complex(self.bell(), self.bell())
        man.drift = 0.94 * man.drift + 0.34 * man.sway * kick if t > 0.1 else 0j
        if want == 0 and abs(man.v) < 0.05:
            man.drift *= 0.5
        change = (capped(want, man.top) + man.drift - man.v) / 0.09
        ahead = unit(man.v) if abs(man.v) > 0.5 else unit(want)
        forward, across = dot(ahead, change), cross(ahead, change)
        brake = 24.0 if t < man.hit else 11.0
        most = max(man.push * (1 - abs(man.v) / man.top), 0.3) if t >= man.hit else 24.0
        forward = max(-brake, min(most, forward))
        across = max(-12.0, min(12.0, across))
        man.v += complex(ahead) * complex(forward, across) * STEP
        man.at += man.v * STEP

    def part(self, names: list[str]) -> None:
        men = [self.men[name] for name in names]
        for k, one in enumerate(men):
            for other in men[k + 1 :]:
                apart = one.at - other.at
                if abs(apart.real) < BODY and abs(apart.imag) < BODY and abs(apart) < BODY:
                    short = unit(apart) * (BODY - abs(apart)) * 0.5
                    if one is self.men["QB"]:
                        other.at -= short
                    elif other is self.men["QB"]:
                        one.at += short
                    else:
                        one.at += 0.5 * short
                        other.at -= 0.5 * short

    # What came of it

    def gap_between(self, a: str, b: str) -> np.ndarray:
        return np.asarray(np.abs(self.path[a] - self.path[b]))

    def finish(self) -> None:
        q = self.path["QB"]
        self.stop = self.throw
        self.over = self.throw + AFTER
        if self.sack:
            near = np.min([np.abs(self.path[r] - q) for r in self.rushers], axis=0)
            hit = np.flatnonzero((near < 1.0) & (self.time > 0.3))
            if not len(hit):
                raise Again("no sack")
            self.stop = float(self.time[hit[0]])
            self.over = self.stop + 0.5
        keep = self.time <= self.over + 1e-9
        self.time = self.time[keep]
        self.path = {name: path[keep] for name, path in self.path.items()}
        self.check()

    def check(self) -> None:
        """The rows as the paths show them, or Again."""
        before = self.time <= self.stop + 1e-9
        for row in self.rows:
            row.end = min(row.end, self.stop)
            what = f"{row.man} on {row.rusher}: {row.outcome}"
            if row.outcome in ("free", "uncovered") or not row.rusher:
                continue
            gap = self.gap_between(row.man, row.rusher)
            span = before & (self.time >= row.start - 1e-9) & (self.time <= row.end + 1e-9)
            touch = span & (gap <= TOUCH) & (self.time >= 0.3)
            if row.outcome == "none":  # he had him but they never met
                if gap[span].min() < TOUCH + 0.2:
                    raise Again(f"{what}: they met")
                continue
            if touch.sum() * STEP < 0.25:
                raise Again(f"{what}: hardly met")
            row.met = float(self.time[touch][0])
            if row.outcome == "help":
                continue
            his, mine = (self.gap_between(name, "QB") for name in (row.rusher, row.man))
            ahead = mine - his  # the rusher is so much nearer
            if row.outcome == "beat":
                self.check_beat(row, ahead, his)
                continue
            watched = span & (self.time >= row.met)
            if "released" not in row.note and ahead[watched].max() > -0.2:
                raise Again(f"{what}: {ahead[watched].max():.2f} nearer")
            place = self.path["QB"][before][-1]
            mine = np.abs(self.path[row.man] - place)
            lost = mine[touch][0] - mine[touch].min()
            if row.note == "cleans up":
                self.check_rescue(row)
            if (row.outcome == "driven" and lost < 1.9) or (row.outcome == "held" and lost > 1.25):
                raise Again(f"{what}: {lost:.2f} yd lost")
        self.check_rest(before)

    def check_beat(self, row: Row, ahead: np.ndarray, his: np.ndarray) -> None:
        what = f"{row.man} on {row.rusher}: beat {row.side}"
        level = np.flatnonzero((ahead[1:] >= 0) & (ahead[:-1] < 0) & (self.time[1:] > row.met)) + 1
        for k in level:
            later = (self.time >= self.time[k]) & (self.time <= self.time[k] + 0.5)
            if ahead[later].max() >= 0.6 and ahead[later].min() >= -0.05:
                break
        else:
            raise Again(f"{what}: never by him")
        row.beat = float(self.time[k])
        if row.beat > self.stop - 0.3:
            raise Again(f"{what}: too late")
        if ahead[(self.time >= row.met) & (self.time < row.beat)].max(initial=-1.0) > 0:
            raise Again(f"{what}: by him twice")
        r, p, q = (self.path[name][k] for name in (row.rusher, row.man, "QB"))
        right = cross(r - p, q - p) > 0
        slot = next((k for k, name in SLOTS.items() if name == row.man), None)
        if slot == 0:
            side = "right" if right else "left"
        else:
            sign = np.sign(slot) if slot else np.sign(p.real - q.real)
            side = "outside" if right == (sign > 0) else "inside"
        if side != row.side:
            raise Again(f"{what}: {side}")
        if abs(r - p) < 0.8:
            raise Again(f"{what}: through him")

    def check_rescue(self, row: Row) -> None:
        """It took a while: he was not passed on."""
        beaten = next(one for one in self.rows if one.rusher == row.rusher and one.outcome == "beat")
        if not 0.3 <= row.met - beaten.beat <= 0.8:
            raise Again(f"{row.man} is there {row.met - beaten.beat:.2f} s after the beat")
        r, c, q = (self.path[name][round(beaten.beat / STEP)] for name in (row.rusher, row.man, "QB"))
        if abs(cross(unit(q - r), c - r)) < 1.2:
            raise Again(f"{row.man} is in the way at the beat")
        if self.stop - row.met < 0.7:
            raise Again(f"{row.man} has him for {self.stop - row.met:.2f} s")

    def check_rest(self, before: np.ndarray) -> None:
        """Nobody helps who is not said to, nobody comes to the passer who should not."""
        for row in self.rows:
            if row.outcome == "uncovered":
                self.helps(row, before)
        said = {(row.man, row.rusher) for row in self.rows}
        losers = {row.rusher for row in self.rows if row.outcome in ("beat", "free") or "released" in row.note}
        for man in OFFENCE:
            if man in ("QB", "X", "Z"):
                continue
            for rusher in self.rushers:
                if (man, rusher) not in said:
                    close = before & (self.gap_between(man, rusher) < TOUCH + 0.1) & (self.time > 0.3)
                    if close.sum() * STEP > (0.45 if rusher in losers else 0.3):
                        raise Again(f"{man} is on {rusher} unsaid")
        driven = {row.rusher for row in self.rows if row.outcome == "driven"}
        for rusher in self.rushers - losers:
            near = self.gap_between(rusher, "QB")[before].min()
            if near < (1.3 if rusher in driven else 2.0):
                raise Again(f"{rusher} comes within {near:.1f}")
        fast = max(np.abs(np.diff(path)).max() / STEP for path in self.path.values())
        if fast > 10.3:
            raise Again(f"somebody runs at {fast:.1f}")

    def helps(self, row: Row, before: np.ndarray) -> None:
        """Who looks on and finds himself beside another's rusher has helped: not for longer than that man had him."""
        now = before & (self.time > 0.3)
        beside = {rusher: (now & (self.gap_between(row.man, rusher) < TOUCH)).sum() for rusher in self.rushers}
        rusher = max(sorted(beside), key=lambda name: beside[name])
        if beside[rusher] * STEP < 0.2:
            return
        his = [one for one in self.rows if one.rusher == rusher and one.outcome != "help" and one.man]
        if any(one.outcome == "beat" for one in his):
            raise Again(f"{row.man} is on {rusher}, who beats his man")
        own = max(((now & (self.gap_between(one.man, rusher) < TOUCH)).sum() for one in his), default=0)
        if beside[rusher] > 0.6 * own:
            raise Again(f"{row.man} is as long on {rusher} as his own man")
        row.rusher, row.outcome = rusher, "help"

    # ------------------------------------------------------------------------------------------ what plays are about

    def outcome(self) -> str:
        return "driven" if self.rng.random() < 0.08 else "held"

    def rest(self, *but: str, centre: bool = True) -> None:
        """The ordinary: tackles on the ends, guards on the inside men, the centre looks on; not those named."""
        for side in (-1, 1):
            if self.t(side) not in but:
                self.block(self.t(side), self.e(side), self.outcome())
            if self.g(side) not in but:
                self.block(self.g(side), self.i(side), self.outcome())
        if centre and "C" not in but:
            self.look("C")

    def look(self, man: str, to: complex | None = None, note: str = "") -> None:
        """He sets and finds nobody."""
        at = self.men[man].at
        self.go_to(man, [at + complex(self.u(-0.1, 0.1), self.u(1.3, 1.7)) if to is None else to], 0.15, 1.8)
        self.rows.append(Row(man, "", "uncovered", note=note))

    def plain(self) -> None:
        self.rest()

    def tackle_outside(self) -> None:
        self.hold_ball(2.9, 3.5)
        self.rest(self.t())
        self.block(self.t(), self.e(), "beat", "outside", after=self.u(0.25, 0.7))

    def tackle_inside(self) -> None:
        self.hold_ball(2.7, 3.3)
        self.move(self.i(), self.p(self.gap - 0.3, -1.0))
        self.nose(-1)
        self.block(self.t(-1), self.e(-1), self.outcome())
        self.block(self.g(), self.i(), set_to=self.p(self.gap - 0.4, 1.5), lean=-5.0, ride=0.0)
        self.block(self.t(), self.e(), "beat", "inside", after=self.u(0.25, 0.6), lean=self.u(-12, -4))

    def guard_outside(self) -> None:
        self.hold_ball(2.5, 3.2)
        self.move(self.e(), self.p(2 * self.gap + self.u(1.6, 2.4), -1.0))
        self.move(self.i(), self.p(self.gap + 0.2, -1.0))
        self.rest(self.g())
        self.block(self.g(), self.i(), "beat", "outside", after=self.u(0.35, 0.9), set_to=self.p(self.gap - 0.1, 1.6))

    def guard_inside(self) -> None:
        self.hold_ball(2.5, 3.2)
        self.nose(-1, shade=1.1)
        self.block(self.t(-1), self.e(-1), self.outcome())
        self.block(self.t(), self.e(), self.outcome())
        self.move(self.i(), self.p(self.gap + 0.65, -1.0))
        set_to = self.p(self.gap + 0.4, 1.7)
        self.block(self.g(), self.i(), "beat", "inside", after=self.u(0.35, 0.9), set_to=set_to, ride=0.2)

    def nose(self, side: int, outcome: str = "held", shade: float = 0.5) -> None:
        """The inside man of that side over the centre's shoulder; the centre has him, the guard looks wide."""
        self.move(self.i(side), self.p(shade, -0.9, side))
        self.block("C", self.i(side), outcome, set_to=self.p(shade - 0.1, 1.3, side), ride=self.u(-0.1, 0.15))
        self.look(self.g(side), self.p(self.gap + 0.3 + 0.6 * shade, 2.1, side))

    def centre_beaten(self) -> None:
        self.hold_ball(2.5, 3.2)
        side = pick(self.rng, ("left", "right"))
        self.move(self.i(-1), self.p(0.25, -0.9, -1))
        self.move(self.i(1), self.p(self.gap + 0.5, -1.0))
        set_to = self.p(0.15, 1.3, -1)
        self.block("C", self.i(-1), "beat", side, after=self.u(0.4, 0.9), set_to=set_to, ride=0.0)
        self.look(self.g(-1), self.p(self.gap + 1.0, 2.2, -1))
        self.block(self.g(), self.i(), set_to=self.p(self.gap + 0.7, 1.7))
        self.block(self.t(-1), self.e(-1))
        self.block(self.t(), self.e())

    def driven(self) -> None:
        """One man, any of the five, is walked back."""
        who = pick(self.rng, "tgc")
        self.hold_ball(2.7, 3.3)
        if who == "c":
            self.nose(-1, "driven")
            self.rest("C", self.g(-1))
        else:
            man, rusher = (self.t(), self.e()) if who == "t" else (self.g(), self.i())
            self.rest(man)
            self.block(man, rusher, "driven")

    def half_slide(self) -> None:
        """Centre, guard and tackle of the far side take gaps; a linebacker comes through the far inside gap."""
        self.move(self.i(-1), self.p(self.gap + 0.75, -1.0, -1))
        self.move(self.b(-1), self.p(0.5, -2.6, -1))
        beaten = self.rng.random() < 0.35
        if beaten:
            self.hold_ball(2.6, 3.2)
        self.block("C", self.b(-1), set_to=self.p(0.4, 1.5, -1), off=self.u(0.1, 0.3))
        self.block(self.g(-1), self.i(-1), set_to=self.p(self.gap + 0.6, 1.7, -1))
        self.block(self.t(-1), self.e(-1), "beat" if beaten else "held", "outside" if beaten else "", after=0.4)
        self.rushers.add(self.b(-1))
        self.block(self.g(), self.i())
        self.block(self.t(), self.e())

    def full_slide(self) -> None:
        """All five take a gap toward the far side; the back has the near end."""
        self.move(self.i(-1), self.p(self.gap + 0.75, -1.0, -1))
        self.move(self.i(), self.p(self.gap - 0.35, -1.0))
        self.move(self.b(-1), self.p(0.75, -2.6, -1))
        self.move(self.e(), self.p(2 * self.gap + self.u(1.5, 2.3), -1.0))
        self.rushers.add(self.b(-1))
        self.block(self.t(-1), self.e(-1))
        self.block(self.g(-1), self.i(-1), set_to=self.p(self.gap + 0.6, 1.7, -1))
        self.block("C", self.b(-1), set_to=self.p(0.65, 1.5, -1), off=self.u(0.1, 0.3))
        self.block(self.g(), self.i(), set_to=self.p(self.gap - 0.55, 1.6))
        self.look(self.t(), self.p(2 * self.gap - 0.7, 2.0), "slides away from the end")
        self.back_on(self.e())

    def back_on(self, rusher: str, outcome: str = "held", side: str = "", after: float = 0.4) -> None:
        """The back takes a rusher who comes wide."""
        self.move(
            "RB", self.p(1.4, max(5.2, self.men["QB"].at.imag + 0.1)) if self.stance != "under" else self.p(0.9, 6.4)
        )
        his = self.men[rusher].at
        out = 1 if his.real > 0 else -1
        self.block(
            "RB",
            rusher,
            outcome,
            side,
            after=after,
            set_to=complex(out * self.u(3.5, 4.0), self.u(4.0, 4.6)),
            via=[complex(his.real + 0.3 * out, 0.6), complex(out * 4.9, 2.6)],
            ride=self.u(0.4, 0.8),
        )

    def clean_up(self) -> None:
        """A guard is beaten inside; the centre, who leans the other way with nobody, comes back and stops the man."""
        self.hold_ball(3.3, 3.8)
        self.rest(self.g(), self.g(-1), "C")
        self.move(self.i(-1), self.p(self.gap + 0.9, -1.0, -1))
        self.block(self.g(-1), self.i(-1), set_to=self.p(self.gap + 0.75, 1.7, -1))
        self.move(self.i(), self.p(self.gap + 0.9, -1.0))
        set_to = self.p(self.gap + 0.65, 1.7)
        d = self.block(
            self.g(), self.i(), "beat", "inside", note="cleaned up", after=self.u(0.3, 0.6), set_to=set_to, ride=0.2
        )
        self.go_to("C", [self.p(-1.6, 3.2)], 0.15, 2.4)
        self.rescues.append((d, "C", self.u(0.35, 0.45)))

    def end_drops(self) -> None:
        """The near end shows, looks in and drops under a route; a linebacker comes outside instead."""
        self.move(self.e(), self.p(2 * self.gap + self.u(0.6, 1.0), -1.0))
        self.move(self.b(), self.p(2 * self.gap + self.u(2.0, 2.8), -2.4))
        self.rest(self.t())
        self.rushers.discard(self.e())
        self.rushers.add(self.b())
        at = self.men[self.e()].at
        self.go_to(self.e(), [at + 0.5j, at + self.p(0.6, -1.5), at + self.p(2.2, -6.5)], 0.22, 5.5)
        self.block(self.t(), self.b(), off=self.u(0.15, 0.35), note="end dropped")
        self.notes.append(f"{self.e()} drops")

    def kicked_out_beaten(self) -> None:
        """The tackle goes out to a wide blitzer and loses him; the guard sets the edge on the end before."""
        self.hold_ball(2.9, 3.4)
        self.kick_out()
        out = self.rows[-2]
        duel = self.duels[-2]
        out.outcome, out.side, out.note = "beat", "outside", "kicked out"
        duel.by, duel.turn = -self.u(0.25, 0.5), duel.side

    def kicked_out(self) -> None:
        self.kick_out()

    def kick_out(self) -> None:
        blitzer = "NB"
        self.move("Y", self.p(11.5, 1.1))
        self.move(blitzer, self.p(2 * self.gap + self.u(4.2, 4.8), -1.4))
        self.move(self.e(), self.p(2 * self.gap + self.u(0.3, 0.6), -1.0))
        self.move(self.i(), self.p(0.5, -1.0))
        self.rushers.add(blitzer)
        self.block(self.t(-1), self.e(-1))
        self.block(self.g(-1), self.i(-1))
        self.block("C", self.i(), set_to=self.p(0.4, 1.4))
        self.block(
            self.t(),
            blitzer,
            note="kicked out",
            set_to=self.p(2 * self.gap + 3.1, 2.6),
            via=[self.p(2 * self.gap + 4.4, 0.8)],
            kick=3.4,
        )
        self.block(
            self.g(),
            self.e(),
            note="guard sets the edge",
            set_to=self.p(self.gap + 0.9, 2.4),
            via=[self.p(2 * self.gap + 0.3, 0.6)],
            ride=self.u(0.5, 0.9),
            kick=2.9,
        )

    def double_team(self) -> None:
        """Guard and centre on the far inside man; the centre leaves him to look for others."""
        self.move(self.i(-1), self.p(0.75, -1.0, -1))
        self.rest(self.g(-1), "C")
        self.block(self.g(-1), self.i(-1), set_to=self.p(self.gap - 0.35, 1.6, -1), lean=-12.0)
        leave = self.u(1.3, 1.7)
        self.help_with("C", self.i(-1), self.p(0.85, 0.3), leave, self.p(0.1, 2.6), "double team")

    def help_with(
        self, man: str, rusher: str, beside: complex, leave: float, then: complex, note: str, start: float = 0.12
    ) -> None:
        """He leans on another's rusher and leaves."""
        helper, other, first = self.men[man], self.men[rusher], self.wish.get(man)

        def wish(t: float) -> complex:
            if t < start:
                return first(t) if first else 0j
            aim = other.at + beside if t < leave else then
            return capped((aim - helper.at) * 4.0 + (other.v if t < leave else 0j), 3.0 if t < leave else 3.5)

        self.wish[man] = wish
        self.rows.append(Row(man, rusher, "help", note=note, start=0.0, end=leave + 0.4))

    def end_chip(self) -> None:
        """A tight end beside the tackle brushes the end and goes into his route."""
        self.end_leaves(self.u(0.75, 0.95), "chip")

    def end_double(self) -> None:
        """Tight end and tackle double the end; later the tight end leaves him to the tackle."""
        self.hold_ball(2.5, 3.0)
        self.end_leaves(self.u(1.3, 1.6), "leaves the double team")

    def end_leaves(self, leave: float, note: str) -> None:
        t = 2 * self.gap
        self.move("TE", self.p(t + 1.35, 1.0))
        self.move(self.e(), self.p(t + self.u(1.7, 2.1), -1.0))
        self.rest()
        te, end = self.men["TE"], self.men[self.e()]

        def wish(t: float) -> complex:
            if t < 0.1:
                return 0j
            if t < leave:
                return capped((end.at + self.p(0.75, 0.45) - te.at) * 5.0 + end.v, 4.0)
            return unit(self.p(2.5, -25)) * 7.5

        self.wish["TE"] = wish
        self.rows.append(Row("TE", self.e(), "help", note=note, end=leave + 0.3))

    def rides_past(self) -> None:
        """The end runs the hoop, the tackle runs with him, inside him all the way."""
        self.hold_ball(2.7, 3.2)
        self.rest(self.t())
        self.block(self.t(), self.e(), ride=self.u(2.4, 3.0), give=0.4, lean=self.u(0, 6), note="rides him past")

    def two_beaten(self) -> None:
        """Guard and tackle of one side both lose outside."""
        self.hold_ball(2.8, 3.3)
        self.move(self.e(), self.p(2 * self.gap + self.u(1.6, 2.4), -1.0))
        self.move(self.i(), self.p(self.gap + 0.2, -1.0))
        self.rest(self.g(), self.t())
        self.block(self.t(), self.e(), "beat", "outside", after=self.u(0.3, 0.7))
        self.block(self.g(), self.i(), "beat", "outside", after=self.u(0.5, 1.0), set_to=self.p(self.gap - 0.1, 1.6))

    def back_edge(self) -> None:
        """The tackle blocks down on the inside man; the back has the end on the edge."""
        self.back_takes_edge("held", "")

    def back_beaten(self) -> None:
        self.hold_ball(2.9, 3.5)
        self.back_takes_edge("beat", "outside")

    def back_takes_edge(self, outcome: str, side: str) -> None:
        t = 2 * self.gap
        self.move(self.i(), self.p(self.gap + 0.75, -1.0))
        self.move("MB", self.p(1.2, -2.8))
        self.move(self.e(), self.p(t + self.u(1.4, 2.2), -1.0))
        self.rushers.add("MB")
        self.block(self.t(-1), self.e(-1))
        self.nose(-1, shade=0.8)
        self.block(self.g(), "MB", set_to=self.p(self.gap - 0.25, 1.6), off=self.u(0.1, 0.3))
        self.block(self.t(), self.i(), set_to=self.p(self.gap + 0.95, 1.8), ride=0.0, lean=0.0, note="blocks down")
        self.back_on(self.e(), outcome, side, after=self.u(0.3, 0.6))

    def screen(self) -> None:
        """The near guard holds his man, lets him go and leads; nobody is beaten."""
        self.label = "screen"
        self.hold_ball(2.3, 2.7)
        release = self.u(1.15, 1.4)
        self.rest(self.g(), "C")
        d = self.block(self.g(), self.i(), note="released")
        d.until = release
        way = [self.p(self.gap + 0.9, 0.5), self.p(6.5, -0.6), self.p(10, -6)]
        self.after(self.g(), release, way, 6.5)
        self.after_rush(self.i(), release)
        self.look("C")
        self.rows.pop()
        self.rows.append(Row("C", "", "uncovered", note="leads"))
        self.after("C", 0.9, [self.p(1.5, 0.6), self.p(5.0, -2.0), self.p(8, -8)], 6.5)
        self.go_to("RB", [self.p(3.5, self.depth - 1.0), self.p(6.5, 4.2), self.p(7.5, 3.0)], 0.6, 5.0)

    def after(self, name: str, when: float, way: list[complex], speed: float) -> None:
        """From then on he runs another way."""
        old = self.wish.get(name)
        self.go_to(name, way, when, speed)
        new = self.wish[name]
        self.wish[name] = lambda t: new(t) if t >= when or old is None else old(t)

    def after_rush(self, name: str, when: float) -> None:
        """From then on nobody is on him."""
        man = self.men[name]
        self.wish[name] = lambda t: self.at_passer(man, t) if t >= when else 0j

    def stunt(self) -> None:
        """End and inside man exchange; tackle and guard pass them off."""
        self.twist()

    def stunt_beaten(self) -> None:
        """Passed off, and the guard is beaten inside by the looping end."""
        self.hold_ball(3.0, 3.5)
        self.twist("beat", "inside")

    def twist(self, outcome: str = "held", side: str = "") -> None:
        t = 2 * self.gap
        self.hold_ball(max(self.throw, 2.7), 3.4)
        self.move(self.e(), self.p(t + self.u(1.0, 1.5), -1.0))
        self.block(self.t(-1), self.e(-1))
        if self.rng.random() < 0.5 and outcome != "beat":
            self.block(self.g(-1), self.i(-1))
            self.look("C", self.p(-0.3, 1.7))
        else:
            self.nose(-1, shade=1.1)
        swap = self.u(1.15, 1.35)
        first = self.block(
            self.g(), self.i(), set_to=self.p(self.gap + 0.3, 1.5), note="stunt, passed off", until=swap, ride=2.2
        )
        first.lean = 25.0
        self.rows.append(Row(self.t(), self.e(), "none", end=swap, note="stunt, passed off"))
        self.go_to(self.t(), [self.p(t + 0.15, 2.7)], 0.12, 2.2)
        second = self.block(self.t(), self.i(), note="stunt", set_to=self.p(t + 0.2, 2.9), go=swap, off=swap)
        second.via = []
        self.block(
            self.g(),
            self.e(),
            outcome,
            side,
            note="stunt",
            after=self.u(0.25, 0.4),
            set_to=self.p(self.gap + 0.1, 2.5),
            go=swap,
            off=self.u(0.45, 0.6),
            via=[self.p(t + 0.6, -0.2), self.p(self.gap + 0.6, 0.2)],
            kick=2.9,
        )

    def stunt_not_passed(self) -> None:
        """The same exchange, not passed off: tackle and guard both stay on the inside man, the end loops in free."""
        t = 2 * self.gap
        self.throw = max(self.topped + 0.4, self.u(2.3, 2.7))
        self.move(self.e(), self.p(t + self.u(0.9, 1.3), -1.0))
        self.block(self.t(-1), self.e(-1))
        self.nose(-1, shade=1.1)
        self.block(self.g(), self.i(), set_to=self.p(self.gap + 0.6, 1.6), note="stunt, not passed off", ride=1.6)
        self.go_to(self.t(), [self.p(t + 0.2, 2.4)], 0.12, 2.4)
        self.help_with(self.t(), self.i(), self.p(0.75, 0.55), 9.0, 0j, "stunt, not passed off", 0.75)
        at = self.men[self.e()].at
        way = [
            at + self.p(0.1, 0.5),
            self.p(t + 0.2, -0.5),
            self.p(self.gap, -0.5),
            self.p(0.95, 1.0),
            self.p(0.8, 3.0),
        ]
        self.come_free(self.e(), way, self.u(0.2, 0.3))
        self.rows.append(Row("", self.e(), "free", note="stunt, not passed off"))

    def gap_free(self) -> None:
        """A linebacker through a gap nobody has."""
        self.hold_ball(max(self.topped + 0.4, 1.9), 2.3)
        self.throw = max(self.topped + 0.35, self.u(1.9, 2.3))
        self.move("MB", self.p(0.8, -2.2))
        self.move(self.i(), self.p(self.gap + 1.0, -1.0))
        self.rest("C", self.g(), self.g(-1))
        self.block(self.g(), self.i(), set_to=self.p(self.gap + 0.9, 1.7), lean=-8.0)
        self.nose(-1, shade=1.0)
        self.come_free("MB", [self.p(0.85, 0.4), self.p(0.9, 2.2)], self.u(0.1, 0.25))
        self.rows.append(Row("", "MB", "free"))

    def wide_free(self) -> None:
        """A slot corner comes outside of everybody."""
        self.throw = max(self.topped + 0.35, self.u(2.1, 2.4))
        self.move("NB", self.p(2 * self.gap + self.u(3.6, 4.4), -1.4))
        self.move("Y", self.p(11.5, 1.1))
        self.move(self.e(), self.p(2 * self.gap + self.u(0.6, 1.0), -1.0))
        self.rest()
        self.come_free("NB", [self.p(2 * self.gap + 3.0, 2.2)], self.u(0.1, 0.25))
        self.rows.append(Row("", "NB", "free"))

    def sacked(self) -> None:
        """A tackle is beaten outside and the ball is never thrown."""
        self.sack = True
        self.hold_ball(3.2, 3.6)
        self.rest(self.t())
        self.block(self.t(), self.e(), "beat", "outside", after=self.u(0.3, 0.7))


# Kinds of play and how many of them in a round of the deal.
MIX = {
    "plain": 5,
    "tackle outside": 4,
    "tackle inside": 3,
    "guard outside": 3,
    "guard inside": 3,
    "centre beaten": 2,
    "driven": 4,
    "half slide": 3,
    "full slide": 3,
    "clean up": 3,
    "end drops": 2,
    "kicked out": 1,
    "kicked out beaten": 2,
    "double team": 3,
    "end chip": 2,
    "end double": 2,
    "rides past": 2,
    "two beaten": 1,
    "back edge": 2,
    "back beaten": 2,
    "screen": 2,
    "stunt": 3,
    "stunt beaten": 1,
    "stunt not passed": 2,
    "gap free": 2,
    "wide free": 2,
    "sacked": 1,
}


def deal(rng: random.Random, plays: int) -> list[str]:
    """Kinds of play in the shares of MIX, each round of them shuffled."""
    dealt: list[str] = []
    while len(dealt) < plays:
        hand = [kind for kind, count in MIX.items() for _ in range(count)]
        for k in range(len(hand) - 1, 0, -1):
            j = int(rng.random() * (k + 1))
            hand[k], hand[j] = hand[j], hand[k]
        dealt += hand
    return dealt[:plays]


def make_play(rng: random.Random, kind: str) -> Play:
    """A play of a kind, drawn until it shows what its script says."""
    why: list[str] = []
    for _ in range(300):
        play = Play(rng, kind)
        try:
            play.run()
        except Again as again:
            why.append(str(again))
            continue
        play.again = why
        return play
    raise RuntimeError(f"{kind}: {why[-5:]}")


def make_game(
    seed: int, plays: int = 60, rate: float = RATE, kinds: Sequence[str] | None = None
) -> tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame, pd.DataFrame]:
    """tracks, snaps, people (all to be read with HOW) and truth. The same seed gives the same tables."""
    rng = random.Random(seed)
    dealt = deal(rng, plays) if kinds is None else list(kinds)
    tracks, snaps, truth = [], [], []
    spot, way, clock = 25.0 + 50.0 * rng.random(), 1, 900.0
    for number, kind in enumerate(dealt):
        play = make_play(rng, kind)
        if rng.random() < 0.2 or not 12 < spot < 108:  # the ball changes ends
            way, spot = -way, 30.0 + 40.0 * rng.random()
        spot += way * (1 + 5 * rng.random())
        across = 80.0 / 3 + pick(rng, (-1, 0, 1)) * 20.0 / 3  # yd from the near sideline: college hashes
        clock += 40.0
        name = 101 + number
        times = np.arange(-round(BEFORE * rate), math.floor(play.over * rate + 1e-6) + 1) / rate
        for man, path in play.path.items():
            u, v = (np.interp(times, play.time, part) for part in (path.real, path.imag))
            x, y = spot - way * v, across - way * u
            one = {"play": name, "player": (OFFENCE | DEFENCE)[man], "time": clock + times}
            tracks.append(pd.DataFrame(one | {"x": 3 * x, "y": 160 - 3 * y}))
        snaps.append(
            {
                "play": name,
                "ball_x": 3 * spot,
                "ball_y": 160 - 3 * across,
                "direction": way,
                "snap_time": clock,
                "throw_time": math.nan if play.sack else clock + play.throw,
                "end_time": clock + play.over,
                "label": play.label or None,
                "kind": kind,
            }
        )
        truth += [told(play, row, str(name)) for row in play.rows]
    team = [(OFFENCE, "offense", "Wendlow Adders"), (DEFENCE, "defense", "Port Tamsin")]
    people = [
        {"player": number, "unit": unit_, "position": POSITION.get(man, man), "team": name}
        for men, unit_, name in team
        for man, number in men.items()
    ]
    return pd.concat(tracks, ignore_index=True), pd.DataFrame(snaps), pd.DataFrame(people), pd.DataFrame(truth)


def told(play: Play, row: Row, name: str) -> dict[str, object]:
    ids = {man: str(number) for man, number in (OFFENCE | DEFENCE).items()} | {"": ""}
    return {
        "play": name,
        "protector": ids[row.man],
        "rusher": ids[row.rusher],
        "from": round(row.start, 3),
        "to": round(min(row.end, play.stop), 3),
        "met": row.met,
        "outcome": row.outcome,
        "side": row.side,
        "beat_time": row.beat,
        "throw_time": math.nan if play.sack else play.throw,
        "kind": play.kind,
        "note": "; ".join([row.note, *play.notes]).strip("; "),
    }
