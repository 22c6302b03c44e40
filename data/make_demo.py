"""Make the demo game: an invented game of drop-backs, scripted, with known truth.

Plain kinematics, numpy alone, nothing of the library: paths are drawn in the play frame (u = yards to the offence's
right of the ball, v = yards behind the line), turned on to the field, and given the noise of a good tracking system.
The same seed gives the same files.

    python data/make_demo.py                                   # writes data/demo_game
    python data/make_demo.py --seed 7 --plays 120 --out week7  # another game from the same scenarios

How a play is made. The passer's drop is written first. Each rusher sprints from his stance to where his protector sets,
at v = vmax (1 - exp(-t/tau)), braking as they meet. Then the two move together in polar coordinates round the passer's
place at the throw (`Script.lock`): a held man rides round the pocket, a driven man loses ground. A rusher who wins
leaves that hold and runs round his man (`Script.escape`). Last, all paths are smoothed and bodies that come too near
are pushed apart. The truth is read off the finished noise-free paths; a draw in which they do not clearly show what its
script says is thrown away and drawn again.
"""

from __future__ import annotations

import argparse
import csv
import gzip
import io
import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

SEED = 20240
STEP = 0.02  # s, of the paths before they are sampled
RATE = 10  # samples a second
BEFORE = 1.0  # s of stance before the snap
AFTER = 1.0  # s after the throw
PAD = 0.5  # s beyond both ends, for the smoothing
NOISE = 0.1 / 0.9144 / math.sqrt(2)  # yd per axis: 0.1 m radial
NOISE_TIME = 0.7  # s, correlation time of the noise
MEET = 1.2  # yd, a man is in contact within this
REACH = 1.04  # yd, a rusher's centre this far from his man's is clear of him
TOP_SPEED = 10.3  # yd/s, no path may be faster
HARDEST = 21.0  # yd/s/s over a tenth of a second: two men meeting
LEAST_GAP = 0.5  # yd, no two bodies may be nearer

LINE = ("LT", "LG", "C", "RG", "RT")
OFFENCE = (*LINE, "QB", "RB", "TE", "W1", "W2", "W3")
DEFENCE = ("E1", "T1", "T2", "E2", "B1", "B2", "N", "C1", "C2", "S1", "S2")
POSITION = {"W": "WR", "E": "DE", "T": "DT", "B": "LB", "N": "NB", "C": "CB", "S": "S"}  # by the first letter
OTHER_SIDE = {"LT": "RT", "LG": "RG", "RG": "LG", "RT": "LT"}

TEAMS = (("Quillmarsh Herons", "QM"), ("Tarrowby Kilns", "TK"))
NUMBERS = (74, 66, 52, 63, 78, 8, 27, 86, 11, 17, 83, 91, 95, 98, 94, 54, 58, 24, 21, 29, 33, 38)
SURNAMES = """
    Abberlock Brindlow Corvane Dastrel Elmquoy Farnibel Gosswick Hallumby Ixworthen Jandrel Kettomar
    Lorvane Mossenby Nettlequay Oddrick Pellimore Quenderby Rastoval Sillowan Tremmick Ulverdon Vantreely
    Wexomer Yarlowin Zandrick Ashquell Bettomar Crindleby Dovanick Emberlow Fennimore-Oy Grastwick Hobbelin
    Istrow Jorquil Kindlemar Lathomby Murrowick Norbeline Osquith Pandrelow Quarnock Rindomar Settlewyn
""".split()  # noqa: SIM905

# How often each scenario comes up in 60 plays, with the passer's alignments and drops it may have.
LONG = ("under 7", "under 9", "under 10", "gun 7", "gun 9", "pistol 7", "pistol 9")
ANY = ("under 5", *LONG)
DEEP = ("under 7", "under 9", "under 10", "gun 9", "pistol 9")
MIX: dict[str, tuple[int, tuple[str, ...]]] = {
    "base": (3, ANY),
    "speed rush": (4, DEEP),
    "ball out": (2, LONG),
    "inside spin": (2, ("under 9", "gun 7", "gun 9", "pistol 7")),
    "guard rip": (3, LONG),
    "interior bull": (3, LONG),
    "edge bull": (2, LONG),
    "stunt": (3, LONG),
    "stunt beat": (1, DEEP),
    "edge blitz": (2, LONG),
    "interior blitz": (2, ANY),
    "interior blitz free": (1, ("under 5", "gun 7")),
    "slot kick-out": (3, LONG),
    "slot kick-out rip": (1, DEEP),
    "slot free": (2, ("under 7", "gun 7", "pistol 7")),
    "six men": (2, LONG),
    "six men free": (1, ("under 5", "gun 7")),
    "slide": (2, LONG),
    "back chip": (2, DEEP),
    "end chip": (2, LONG),
    "double team": (2, ANY),
    "recovered": (2, LONG),
    "beat recovered": (1, DEEP),
    "edge sack": (2, DEEP),
    "inside sack": (1, LONG),
    "late beat": (2, ("under 5", "under 7", "gun 7")),
    "scramble": (2, LONG),
    "screen": (2, ("under 7", "gun 7")),
    "moved pocket": (1, ("under 7",)),
    "play action": (2, ("under 7", "under 9")),
}
LABELS = ("screen", "scramble", "moved pocket", "play action")


class DrawAgain(Exception):
    """This draw does not fit its script."""


@dataclass
class Rep:
    """One protector on one rusher, as the script has it. Times in s after the snap."""

    man: str
    rusher: str
    kind: str = "held"  # held, driven, beat, late, recovered, help, free, uncovered, untouched
    side: str = ""
    start: float = 0.0
    end: float = math.inf
    notes: list[str] = field(default_factory=list)
    beat: float | None = None


@dataclass
class Game:
    """The four tables as rows, and the paths without noise beside the tracks (x, y in the same order)."""

    tracks: list[tuple[str, str, float, float, float]]
    clean: np.ndarray
    snaps: list[dict[str, object]]
    people: list[dict[str, object]]
    truth: list[dict[str, object]]


def sprint(t: np.ndarray | float, tau: float) -> np.ndarray:
    """Distance run by t with a top speed of 1 yd/s."""
    t = np.maximum(t, 0.0)
    return t - tau * (1 - np.exp(-t / tau))


def arrive(t: np.ndarray | float, end: float, tau: float) -> np.ndarray:
    """Distance run by t with a top speed of 1 yd/s, braking to half his speed in the last 0.4 s before the end."""
    last = min(0.4, end / 2)
    return sprint(t, tau) - 0.25 * (1 - math.exp(-end / tau)) * np.clip(t - (end - last), 0.0, last) ** 2 / last


def ease(t: np.ndarray, start: float, end: float) -> np.ndarray:
    """0 before start, 1 after end, smooth between."""
    w = np.clip((t - start) / (end - start), 0.0, 1.0)
    return w * w * (3 - 2 * w)


def unit(a: np.ndarray) -> np.ndarray:
    return a / np.maximum(np.linalg.norm(a, axis=-1, keepdims=True), 1e-9)


def gap(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    return np.linalg.norm(a - b, axis=-1)


def smooth(paths: np.ndarray, width: float) -> np.ndarray:
    """Gaussian mean along time (axis 0); it cannot make anybody faster."""
    n = round(4 * width / STEP)
    kernel = np.exp(-0.5 * (np.arange(-n, n + 1) * STEP / width) ** 2)
    kernel /= kernel.sum()
    padded = np.concatenate([np.repeat(paths[:1], n, axis=0), paths, np.repeat(paths[-1:], n, axis=0)])
    return sum(k * padded[i : i + len(paths)] for i, k in enumerate(kernel))


def rounded(points: np.ndarray) -> np.ndarray:
    """A polyline with its corners cut."""
    for _ in range(3 if len(points) > 2 else 0):
        a, b = points[:-1], points[1:]
        cut = np.stack([0.75 * a + 0.25 * b, 0.25 * a + 0.75 * b], axis=1).reshape(-1, 2)
        points = np.concatenate([points[:1], cut, points[-1:]])
    return points


class Script:
    """One play in the play frame, drawn so that its point is on the offence's right; mirrored at the end if need be."""

    def __init__(self, rng: np.random.RandomState, scenario: str, passer: str) -> None:
        self.rng = rng
        self.scenario = scenario
        self.alignment, depth = passer.split()
        self.depth = float(depth)
        self.label = scenario if scenario in LABELS else ""
        self.thrown = True
        self.reps: list[Rep] = []
        self.routes = {"RB", "TE", "W1", "W2", "W3"}
        self.blitzers: set[str] = set()
        self.draw_times()
        self.t = np.arange(-BEFORE - PAD, self.last + AFTER + 2 * PAD, STEP)
        self.line_up()
        self.drop_back()

    def u(self, low: float, high: float) -> float:
        return low + (high - low) * float(self.rng.random_sample())

    # The passer

    def draw_times(self) -> None:
        v0 = {"under": self.u(1.15, 1.35), "pistol": self.u(3.8, 4.2), "gun": self.u(4.8, 5.2)}[self.alignment]
        self.passer_v = v0
        drop = 0.325 * self.depth - 0.575 if self.alignment == "under" else 0.325 * (self.depth - v0) + 0.2
        self.drop_time = max(drop, 0.3)
        least = {5.0: self.u(1.6, 1.9), 7.0: self.u(2.4, 2.8)}.get(self.depth, self.u(2.7, 3.2))
        if self.scenario in ("interior blitz free", "six men free"):
            least = self.u(1.5, 1.7)
        elif self.scenario == "slot free":
            least = self.u(2.15, 2.4)
        elif self.scenario == "screen":
            least = self.u(2.1, 2.4)
        held = {"speed rush": 0.4, "stunt beat": 0.4, "beat recovered": 0.6}.get(self.scenario, 0.0)
        if held:
            held += self.u(0.0, 0.3)
        self.throw = round(max(self.drop_time + 0.4 + self.u(0.0, 0.25), least) + held, 2)
        self.last = self.throw
        if "sack" in self.scenario:
            self.thrown = False
            self.last = self.throw + 1.6  # cut to the sack once it is known
        elif self.scenario == "scramble":
            self.thrown = False
            self.leave = self.throw
            self.last = self.throw + 1.0

    def drop_back(self) -> None:
        """A trapezoid of speed to the drop's depth, half a yard of hitch, then still."""
        w = np.clip((self.t - 0.1) / (self.drop_time - 0.1), 0, 1)
        ramp = 0.35  # share of the time he speeds up, and slows down
        end = 1 - w
        s = np.select([w < ramp, end < ramp], [w * w / 2, ramp * (1 - ramp) - end * end / 2], ramp * (w - ramp / 2))
        s /= ramp * (1 - ramp)
        top = self.drop_time
        v = self.passer_v + (self.depth - self.passer_v) * s - 0.5 * ease(self.t, top, top + 0.4)
        u = self.u(-0.3, 0.3) * ease(self.t, 0.2, top)
        q = np.stack([u, v], axis=1)
        if self.scenario == "scramble":
            after = self.t > self.leave
            start = q[np.argmax(after)]
            path = np.array([start, [start[0] + 4.5, start[1] + 0.4], [8.5, 4.0], [10.5, -1.0], [12.0, -9.0]])
            q[after] = self.along(rounded(path), 7.0 * sprint(self.t[after] - self.leave, 0.5))
        elif self.scenario == "moved pocket":
            after = self.t > 0.25
            path = np.array([q[np.argmax(after)], [1.0, 4.5], [4.0, 7.0], [7.5, 6.6], [11.0, 4.2], [14.0, 2.0]])
            q[after] = self.along(rounded(path), 5.4 * sprint(self.t[after] - 0.25, 0.35))
        elif self.scenario == "screen":
            q[:, 1] += 2.2 * ease(self.t, self.drop_time, self.throw)
        self.at["QB"] = q

    # Who stands where

    def line_up(self) -> None:
        split = self.u(1.12, 1.3)
        self.split = split
        self.tackle = 2 * split
        place = {"C": (0.0, 0.45)}
        for name, k in (("LT", -2), ("LG", -1), ("RG", 1), ("RT", 2)):
            place[name] = (k * split, (0.75 if abs(k) == 1 else 0.95) + self.u(-0.06, 0.06))
        place["QB"] = (0.0, self.passer_v)
        back = {"under": (0.7, 6.6), "pistol": (0.4, 7.0), "gun": (1.5, 5.3)}[self.alignment]
        place["RB"] = (back[0], back[1] + self.u(-0.2, 0.2))
        place["TE"] = (-self.u(6.6, 7.6), 1.0)
        place["W1"] = (-self.u(14.0, 17.0), 0.6)
        place["W2"] = (self.u(14.0, 16.5), 0.6)
        place["W3"] = (self.u(7.4, 8.6), 1.2)
        place["E1"] = (-self.tackle - self.u(0.7, 2.4), -0.9)
        place["E2"] = (self.tackle + self.u(0.8, 2.2), -0.9)
        place["T1"] = (-split - self.u(0.3, 0.45), -0.9)
        place["T2"] = (split + self.u(0.3, 0.45), -0.9)
        place["B1"] = (-self.u(1.6, 2.4), -self.u(4.3, 5.0))
        place["B2"] = (self.u(1.6, 2.4), -self.u(4.3, 5.0))
        place["N"] = (place["W3"][0] - 0.4, -self.u(4.0, 5.0))
        place["C1"] = (place["W1"][0] + 0.5, -self.u(5.0, 7.0))
        place["C2"] = (place["W2"][0] - 0.5, -self.u(5.0, 7.0))
        place["S1"] = (place["TE"][0] + 0.8, -self.u(8.0, 9.5))
        place["S2"] = (self.u(1.0, 4.0), -self.u(12.0, 13.5))
        self.at: dict[str, np.ndarray] = {}
        for name in (*OFFENCE, *DEFENCE):
            self.put(name, *place[name])

    def put(self, name: str, u: float, v: float) -> None:
        """A stance, with a little of the untidiness of any line."""
        jitter = 0.05 if name in LINE or v <= -0.8 else 0.0
        where = np.array([u + self.u(-jitter, jitter), v + self.u(-jitter, jitter)])
        self.at[name] = np.repeat(where[None], len(self.t), axis=0)

    def i(self, when: float) -> int:
        return round((when - float(self.t[0])) / STEP)

    def here(self, name: str, when: float) -> np.ndarray:
        return self.at[name][self.i(when)].copy()

    # Moves

    @staticmethod
    def along(points: np.ndarray, s: np.ndarray) -> np.ndarray:
        length = np.concatenate([[0.0], np.cumsum(gap(points[1:], points[:-1]))])
        return np.stack([np.interp(s, length, points[:, k]) for k in (0, 1)], axis=1)

    def run(
        self,
        name: str,
        start: float,
        points: Iterable[tuple[float, float] | np.ndarray],
        end: float = math.nan,
        top: float = 9.8,
        tau: float = 0.9,
    ) -> None:
        """Sprint through the points to their end; with an end time, just fast enough to be there then, braking."""
        path = rounded(np.array([self.here(name, start), *map(np.asarray, points)]))
        length = gap(path[1:], path[:-1]).sum()
        after = slice(self.i(start), None)
        t = self.t[after] - start
        if math.isnan(end):
            s = length - 0.6 * np.logaddexp(0.0, (length - top * sprint(t, tau)) / 0.6)
        else:
            need = length / arrive(end - start, end - start, tau)
            if need > top:
                raise DrawAgain(f"{name} would need {need:.1f} yd/s")
            s = need * arrive(np.minimum(t, end - start), end - start, tau)
        self.at[name][after] = self.along(path, s)

    def join(self, name: str, other: str, start: float, end: float, offset: tuple[float, float] | np.ndarray) -> None:
        """Drift from where he is to a place beside another man, then move with him."""
        w = ease(self.t, start, end)[:, None]
        after = slice(self.i(start), None)
        self.at[name][after] = ((1 - w) * self.here(name, start) + w * (self.at[other] + np.asarray(offset)))[after]

    @property
    def spot(self) -> np.ndarray:
        """The passer's place at the throw (at the end of his hitch when there is none)."""
        if self.scenario == "moved pocket":
            return np.array([2.5, 6.5])
        return self.here("QB", self.throw)

    def meet(
        self,
        man: str,
        rusher: str,
        set_to: tuple[float, float],
        lean: float = 12.0,
        side: int = 0,
        via: Iterable[tuple[float, float]] = (),
        start: float = 0.0,
        off: float = 0.0,
        soonest: float = 0.0,
        kick: float = 2.45,
    ) -> float:
        """The man sets to a place and his rusher meets him there; returns when.

        lean: degrees the rusher is outside his man's line to the spot; start and off: when the man and when the rusher
        go, if not at the snap.
        """
        side = side or self.side(man)
        place = np.array(set_to)
        theta = self.bearing(place, side)
        front = place + 0.93 * self.ray(theta + math.radians(lean), side)
        begin = max(0.14, start) + self.u(0.0, 0.06)
        leave = max(0.16, off) + self.u(0.0, 0.1)
        step = float(gap(place, self.here(man, begin)))
        path = rounded(np.array([self.here(rusher, leave), *map(np.asarray, via), front]))
        length = gap(path[1:], path[:-1]).sum()
        top = (9.2 if rusher[0] == "T" else 9.5) * (1 + self.u(-0.03, 0.02))
        when = max(begin + 0.3, soonest)
        limit = kick if man in LINE else 6.0
        tau = 0.15 if man in LINE else 0.6
        while (
            length / arrive(when - leave, when - leave, 0.9) > top
            or step / arrive(when - begin, when - begin, tau) > limit
        ):
            when += STEP
        self.run(man, begin, [place], when, top=limit, tau=tau)
        self.run(rusher, leave, [*via, front], when)
        return when

    def side(self, man: str) -> int:
        if man in ("LT", "LG"):
            return -1
        return 1 if man != "C" else (1 if self.rng.random_sample() < 0.5 else -1)

    def bearing(self, place: np.ndarray, side: int) -> float:
        """Angle at the spot from straight upfield out to the place (rad)."""
        d = place - self.spot
        return math.atan2(d[0] * side, -d[1])

    @staticmethod
    def ray(theta: np.ndarray | float, side: int) -> np.ndarray:
        return np.stack([np.sin(theta) * side, -np.cos(theta)], axis=-1)

    def lock(
        self,
        man: str,
        rusher: str,
        when: float,
        side: int,
        lose: np.ndarray | float,
        ride: np.ndarray | float,
        lean: np.ndarray | float,
        until: float = math.inf,
    ) -> None:
        """The two together in polar coordinates round the spot.

        lose: ground lost (yd); ride: degrees ridden round the spot; lean: degrees the rusher is outside his man.
        """
        after = self.t >= when - 1e-9
        if until < math.inf:
            after &= self.t <= until + 1e-9
        p, r = self.here(man, when), self.here(rusher, when)
        place = self.spot
        theta0 = self.bearing(p, side)
        t = self.t[after]
        rho = float(gap(p, place)) - np.broadcast_to(lose, self.t.shape)[after]
        theta = theta0 + np.radians(np.broadcast_to(ride, self.t.shape)[after])
        d = r - p
        lean0 = math.degrees(math.atan2(d[0] * side, -d[1]) - theta0)
        w = ease(t, when, when + 0.5)
        gamma = (1 - w) * lean0 + w * np.broadcast_to(lean, self.t.shape)[after]
        sway = self.u(0, 6.3) + 2 * math.pi * t / self.u(0.9, 1.4)
        gamma = gamma + 3 * w * np.sin(sway)
        distance = float(np.linalg.norm(d)) + w * (0.9 + 0.04 * np.sin(0.7 * sway) - float(np.linalg.norm(d)))
        first = self.i(when)
        pos = place + rho[:, None] * self.ray(theta, side)
        for name, path in ((man, pos), (rusher, pos + distance[:, None] * self.ray(theta + np.radians(gamma), side))):
            self.at[name][first : first + len(path)] = path
            self.at[name][first + len(path) :] = path[-1]

    def fade(self, when: float, tau: float) -> np.ndarray:
        return 1 - np.exp(-np.maximum(self.t - when, 0) / tau)

    def hold(self, man: str, rusher: str, when: float, side: int = 0, until: float = math.inf) -> None:
        """Held: an edge man rides round the pocket, an inside man gives a yard."""
        edge = man in ("LT", "RT", "RB", "TE") or abs(self.here(man, when)[0]) > 1.9
        lose = (self.u(0.45, 0.8) if edge else self.u(0.3, 0.7)) * self.fade(when, 0.8)
        ride = (self.u(20, 30) if edge else self.u(-3, 4)) * self.fade(when, 1.0)
        self.lock(
            man, rusher, when, side or self.side(man), lose, ride, self.u(10, 17) if edge else self.u(-4, 10), until
        )

    def drive(self, man: str, rusher: str, when: float, side: int = 0) -> None:
        """Driven: straight back towards the passer, to an arm's length of him at most."""
        room = float(gap(self.here(man, when), self.spot))
        speed = self.u(1.55, 1.95)
        lose = np.minimum(speed * sprint(np.minimum(self.t, self.throw + 0.2) - when, 0.15), room - 1.25)
        self.lock(
            man,
            rusher,
            when,
            side or self.side(man),
            smooth(lose[:, None], 0.1)[:, 0],
            3 * self.fade(when, 0.8),
            self.u(-3, 5),
        )

    def escape(self, man: str, rusher: str, when: float, turn: int) -> None:
        """From then on the rusher runs round his man to the passer: turn +1 past the man's right, -1 past his left."""
        n = self.i(when)
        r, p = self.at[rusher][n].copy(), self.at[man][n].copy()
        drift = (self.at[man][n] - self.at[man][n - 1]) / STEP
        fast, chase = 1.8, 0.0
        heading = np.zeros(2)
        for k in range(n + 1, len(self.t)):
            q, t = self.at["QB"][k], self.t[k]
            to_q = unit(q - r)
            e = unit(r - p)
            ahead = float((p - r) @ to_q)
            beside = abs(float((p - r) @ np.array([-to_q[1], to_q[0]])))
            if ahead > 0 and beside < 0.97:
                tangent = np.array([-e[1], e[0]]) * turn
                way = unit(tangent + 2.5 * (0.95 - float(gap(r, p))) * e)
                fast += (3.4 - fast) / 0.25 * STEP  # a tight bend
            else:
                way = to_q
                fast += (9.3 - fast) / 0.9 * STEP
            heading = unit(heading + 0.25 * (way - heading)) if heading.any() else way
            left = float(gap(r, q)) - 0.72
            fast = min(fast, math.sqrt(2 * 8.0 * max(left, 0.0)))
            if self.thrown and t > self.throw + 0.15:
                fast *= 1 - STEP / 0.35
            r = r + fast * STEP * heading
            if t < when + 0.4:  # it takes him this long to turn after his man
                p = p + drift * math.exp(-(t - when) / 0.25) * STEP
            else:
                behind = r - 0.95 * heading - p
                chase += (4.3 - chase) / 0.45 * STEP
                p = p + min(chase, float(np.linalg.norm(behind)) / 0.15) * STEP * unit(behind)
            self.at[rusher][k], self.at[man][k] = r, p

    def home(self, name: str, start: float, via: Iterable[tuple[float, float]]) -> None:
        """Unblocked: through the points, then at the passer, braking as he comes."""
        n = self.i(start)
        r = self.at[name][n].copy()
        points = [np.array(p) for p in via]
        fast = 0.0
        heading = np.zeros(2)
        for k in range(n + 1, len(self.t)):
            q = self.at["QB"][k]
            while points and gap(r, points[0]) < 0.8:
                points.pop(0)
            way = unit((points[0] if points else q) - r)
            heading = unit(heading + 0.12 * (way - heading)) if heading.any() else way
            fast += (9.3 - fast) / 0.9 * STEP
            fast = min(fast, math.sqrt(2 * 7.0 * max(float(gap(r, q)) - 0.72, 0.0)))
            if self.thrown and self.t[k] > self.throw + 0.15:
                fast *= 1 - STEP / 0.35
            r = r + fast * STEP * heading
            self.at[name][k] = r

    def cover(self, name: str, man: str, offset: np.ndarray) -> None:
        """Back-pedal, then turn and run with a receiver as he comes near."""
        d, fast = self.here(name, 0.0), np.zeros(2)
        start, turned = self.i(0.3 + self.u(0.0, 0.1)), False
        for k in range(start, len(self.t)):
            m = self.at[man][k]
            turned = turned or float(gap(m, d)) < 3.5
            ahead = (m + offset - d) / 0.5 + (m - self.at[man][k - 1]) / STEP
            want = ahead if turned else np.array([0.3 * (m[0] - d[0]), -2.5])
            want = want * min(1.0, 9.2 / max(float(np.linalg.norm(want)), 1e-9))
            fast = fast + (want - fast) / 0.35 * STEP
            d = d + fast * STEP
            self.at[name][k] = d

    # The rest of the field

    def others(self) -> None:
        """Receivers run plain routes, coverage goes with them."""
        routes = {
            "W1": [(0, -8), (self.u(-2, 6), -22), (self.u(0, 10), -50)],
            "W2": [(0, -8), (self.u(-6, 2), -22), (self.u(-10, 0), -50)],
            "W3": [(0.3, -7), (self.u(-3, 4), -18), (self.u(-4, 8), -45)],
            "TE": [(-0.5, -6), (self.u(0, 4), -16), (self.u(2, 8), -40)],
        }
        for name, legs in routes.items():
            if name in self.routes:
                start = self.here(name, 0.0)
                self.run(name, 0.12 + self.u(0, 0.06), [start + np.array(p) for p in legs], top=self.u(7.4, 8.6))
        if "RB" in self.routes:
            side = -1 if self.scenario in ("scramble", "speed rush") else (1 if self.here("RB", 0)[0] > 0 else -1)
            start = self.here("RB", 0.0)
            self.run(
                "RB",
                0.15,
                [(side * 4.0, start[1] + 0.3), (side * 8.5, 3.2), (side * 11.0, -2.0), (side * 12, -30)],
                top=self.u(7.0, 7.8),
            )
        for name, target, off in (
            ("C1", "W1", (0.6, -1.2)),
            ("C2", "W2", (-0.6, -1.2)),
            ("N", "W3", (-0.7, -1.0)),
            ("S1", "TE", (0.7, -2.0)),
        ):
            if name not in self.blitzers:
                self.cover(name, target, np.array(off))
        s2 = self.here("S2", 0)
        self.run("S2", 0.35, [s2 + np.array([0.0, -25.0])], top=self.u(4.0, 4.8))
        for name, side in (("B1", -1), ("B2", 1)):
            if name not in self.blitzers:
                if self.scenario == "scramble" and name == "B2":
                    self.run(name, 0.4, [(5.0, -7.5)], top=4.0)
                    self.run(name, self.leave + 0.2, [(10.0, -7.5)], top=6.0)
                else:
                    deep = np.array([side * self.u(3.5, 5.5), -self.u(8.5, 10.5)])
                    self.at[name] = self.at[name] + (deep - self.at[name]) * ease(self.t, 0.4, 3.0)[:, None]

    # Blocks of a script

    def edge_set(self, man: str, short: float = 1.0) -> tuple[float, float]:
        """Where a tackle sets: deeper for a deeper drop."""
        back = {5.0: self.u(1.0, 1.3), 7.0: self.u(1.5, 1.9)}.get(self.depth, self.u(1.8, 2.2)) * short
        wide = abs(self.here("E1" if man == "LT" else "E2", 0)[0]) - self.tackle
        out = (0.3 + 0.25 * min(wide, 2.2) + self.u(-0.1, 0.15)) * short
        start = self.here(man, 0)
        return (start[0] + out * self.side(man), start[1] + back)

    def edge(self, man: str, rusher: str, kind: str = "held", short: float = 1.0) -> float:
        """A tackle against an end, held or driven; the time they meet."""
        side = self.side(man)
        start = self.here(rusher, 0)
        when = self.meet(
            man, rusher, self.edge_set(man, short), lean=self.u(12, 22), via=[(start[0] * 0.96, start[1] + 0.9)]
        )
        (self.drive if kind == "driven" else self.hold)(man, rusher, when, side)
        self.reps.append(Rep(man, rusher, kind))
        return when

    def inside(
        self,
        man: str,
        rusher: str,
        kind: str = "held",
        to: tuple[float, float] | None = None,
        lean: float | None = None,
    ) -> float:
        """A guard or the centre against an inside rusher; the time they meet."""
        start, stand = self.here(rusher, 0), self.here(man, 0)
        side = self.side(man)
        if to is None:
            to = (stand[0] * 0.55 + start[0] * 0.4, stand[1] + self.u(0.6, 0.9))
        when = self.meet(man, rusher, to, lean=self.u(0, 10) if lean is None else lean, side=side)
        (self.drive if kind == "driven" else self.hold)(man, rusher, when, side)
        self.reps.append(Rep(man, rusher, kind))
        return when

    def free_centre(self) -> None:
        """Nobody over him: he sets and looks."""
        self.run("C", 0.15, [(self.u(-0.15, 0.15), self.u(1.7, 1.9))], self.u(1.05, 1.25), top=2.6, tau=0.15)
        self.reps.append(Rep("C", "", "uncovered"))

    def nose(self) -> None:
        """The left inside man on the centre's shade: left guard takes him, the centre doubles."""
        self.put("T1", -self.u(0.55, 0.7), -0.9)
        self.inside("LG", "T1", to=(-self.u(0.9, 1.0), self.u(1.45, 1.7)), lean=-8)
        self.join("C", "T1", 0.25, self.u(0.85, 1.0), (self.u(0.8, 0.85), self.u(0.38, 0.5)))
        self.reps.append(Rep("C", "T1", "help", notes=["double"]))

    def inside_three(self, guard: bool = True) -> None:
        """Left guard, centre and right guard against the two inside men."""
        if self.rng.random_sample() < 0.5:
            self.nose()
        else:
            self.inside("LG", "T1")
            self.free_centre()
        if guard:
            self.inside("RG", "T2")

    def win(
        self, man: str, rusher: str, start: float, side: str, kind: str = "beat", notes: Iterable[str] = ()
    ) -> None:
        """From start on the rusher beats his man on that side."""
        sign = self.side(man)
        self.escape(man, rusher, start, sign if side == "outside" else -sign)
        self.reps = [r for r in self.reps if not (r.man == man and r.rusher == rusher)]
        self.reps.append(Rep(man, rusher, kind, side, notes=list(notes)))

    def pick_up(self, rusher: str, to: tuple[float, float], via: Iterable[tuple[float, float]]) -> None:
        """The back meets a rusher."""
        self.routes.discard("RB")
        side = 1 if to[0] > 0 else -1
        when = self.meet("RB", rusher, to, lean=self.u(10, 18), side=side, via=via)
        self.hold("RB", rusher, when, side)
        self.reps.append(Rep("RB", rusher))

    def kick_out(self, blitzer: str) -> float:
        """The right tackle goes out to a blitzer wide of the end, the guard takes the end, the centre the inside man.

        Returns when guard and end meet.
        """
        self.put("E2", self.tackle + self.u(0.6, 0.9), -0.9)
        self.put("T2", self.u(0.35, 0.5), -0.9)
        self.inside("LG", "T1")
        self.inside("C", "T2", to=(self.u(0.3, 0.45), self.u(1.2, 1.5)))
        start = self.here(blitzer, 0)
        to = (self.tackle + self.u(1.7, 2.1), self.u(2.6, 3.0))
        when = self.meet("RT", blitzer, to, lean=self.u(8, 16), via=[(start[0] - 0.4, 0.0)], kick=3.0)
        self.hold("RT", blitzer, when)
        self.reps.append(Rep("RT", blitzer, "held", notes=["kicked out"]))
        self.blitzers.add(blitzer)
        guard = self.meet(
            "RG", "E2", (self.split + self.u(0.6, 0.8), self.u(2.0, 2.3)), lean=self.u(10, 16), soonest=0.85
        )
        self.hold("RG", "E2", guard)
        self.reps.append(Rep("RG", "E2", "held", notes=["guard sets the edge"]))
        return guard

    def exchange(self) -> float:
        """Tackle-end exchange: the inside man goes out first, the end loops in behind him, their men pass them off.

        Returns when guard and end meet.
        """
        self.put("E2", self.tackle + self.u(1.2, 1.7), -0.9)
        s = self.split
        first = self.meet("RG", "T2", (s + 0.1, 1.45), lean=4)
        passed = first + self.u(0.45, 0.6)
        lean = 4 + 40 * ease(self.t, first, passed)
        self.lock("RG", "T2", first, 1, 0.3 * self.fade(first, 0.6), 5 * self.fade(first, 0.5), lean, passed)
        self.run("RT", 0.15, [(self.tackle + 0.3, 2.6)], passed, top=2.6, tau=0.15)
        outside = self.meet("RT", "T2", (self.tackle + 0.4, 2.8), lean=-12, start=passed, off=passed)
        self.hold("RT", "T2", outside)
        e = self.here("E2", 0)
        via = [(e[0] - 0.2, 0.3), (self.tackle + 0.4, 0.1), (s + 0.9, 0.3)]
        inside = self.meet(
            "RG", "E2", (s + 0.15, 2.2), lean=6, start=passed, soonest=outside + self.u(0.05, 0.2), via=via
        )
        self.hold("RG", "E2", inside)
        self.reps += [
            Rep("RG", "T2", end=passed, notes=["stunt", "passed off"]),
            Rep("RT", "E2", "untouched", end=passed, notes=["stunt", "passed off", "untouched"]),
            Rep("RT", "T2", start=passed, notes=["stunt"]),
            Rep("RG", "E2", start=passed, notes=["stunt"]),
        ]
        return inside

    def between(self, early: float, late: float) -> float:
        """A time in a stretch, if there is one."""
        if late <= early:
            raise DrawAgain("no time for it")
        return self.u(early, late)

    def any_kind(self) -> str:
        """Most men who are not the point of the play hold; a few are driven."""
        return "driven" if self.rng.random_sample() < 0.06 and self.depth > 5 else "held"

    # The scenarios

    def base(self) -> None:
        self.edge("LT", "E1", self.any_kind())
        self.edge("RT", "E2", self.any_kind())
        self.inside_three()

    def rest(self, *but: str) -> None:
        """Four men rush; those not named are blocked in the plain way."""
        if "LT" not in but:
            self.edge("LT", "E1", self.any_kind())
        if "RT" not in but:
            self.edge("RT", "E2", self.any_kind())
        self.inside_three("RG" not in but)

    def wide_end(self, low: float, high: float) -> None:
        self.put("E2", self.tackle + self.u(low, high), -0.9)

    def speed_rush(self) -> None:
        self.wide_end(1.4, 3.0)
        self.rest("RT")
        when = self.edge("RT", "E2")
        self.win("RT", "E2", self.between(when + 0.05, min(self.throw - 1.3, when + 0.6)), "outside")

    def ball_out(self) -> None:
        self.rest("RT")
        when = self.edge("RT", "E2")
        self.win("RT", "E2", self.between(max(when + 0.1, self.throw - 1.15), self.throw - 0.95), "outside")

    def inside_spin(self) -> None:
        self.rest("RT")
        when = self.edge("RT", "E2")
        self.win("RT", "E2", self.between(max(when + 0.2, self.throw - 1.3), self.throw - 0.9), "inside")

    def guard_rip(self) -> None:
        self.rest("RG")
        when = self.inside("RG", "T2")
        self.win("RG", "T2", self.between(max(when + 0.3, self.throw - 1.5), self.throw - 1.0), "outside")

    def interior_bull(self) -> None:
        if self.rng.random_sample() < 0.5:
            self.rest("RG")
            self.inside("RG", "T2", "driven")
        else:
            self.edge("LT", "E1")
            self.edge("RT", "E2")
            self.inside("LG", "T1", "driven")
            self.free_centre()
            self.inside("RG", "T2")

    def edge_bull(self) -> None:
        self.wide_end(0.7, 1.6)
        self.rest("RT")
        self.edge("RT", "E2", "driven")

    def stunt(self) -> None:
        self.edge("LT", "E1")
        self.inside_three(guard=False)
        self.exchange()

    def stunt_beat(self) -> None:
        self.edge("LT", "E1")
        self.nose()
        when = self.exchange()
        self.win("RG", "E2", self.between(when + 0.15, self.throw - 0.95), "inside", notes=["stunt"])
        self.reps[-1].start = next(r.start for r in self.reps if (r.man, r.rusher) == ("RT", "T2"))

    def edge_blitz(self) -> None:
        if self.rng.random_sample() < 0.5:
            self.put("B2", self.tackle + self.u(2.4, 3.0), -1.4)
            self.kick_out("B2")
            self.edge("LT", "E1")
        else:
            self.wide_end(0.7, 1.0)
            self.put("B2", self.tackle + self.u(2.5, 2.9), -1.3)
            self.rest()
            self.blitzers.add("B2")
            self.pick_up("B2", (self.u(3.7, 4.0), self.u(4.6, 5.0)), [(self.tackle + 2.9, 1.5)])

    def middle(self, kind: str) -> None:
        """A linebacker through the middle on the centre, the inside men wide on the guards."""
        self.put("B2", self.u(0.2, 0.5), -self.u(2.6, 3.4))
        self.blitzers.add("B2")
        self.inside("LG", "T1")
        self.inside("RG", "T2")
        self.inside("C", "B2", kind, to=(self.u(0.0, 0.15), self.u(1.3, 1.6)), lean=self.u(0, 6))

    def interior_blitz(self) -> None:
        self.edge("LT", "E1")
        self.edge("RT", "E2")
        self.middle("driven" if self.rng.random_sample() < 0.4 and self.depth > 5 else "held")

    def interior_blitz_free(self) -> None:
        self.put("B2", self.u(0.6, 0.8), -self.u(2.4, 3.0))
        self.put("T2", self.split + 0.7, -0.9)
        self.blitzers.add("B2")
        self.edge("LT", "E1")
        self.edge("RT", "E2")
        self.nose()
        self.inside("RG", "T2", to=(self.split + 0.35, 1.5))
        self.home("B2", 0.2, [(0.75, 0.3), (0.75, 2.0)])
        self.reps.append(Rep("", "B2", "free"))

    def slot_kick_out(self) -> None:
        self.put("N", self.tackle + self.u(3.4, 4.0), -1.8)
        self.edge("LT", "E1")
        self.kick_out("N")

    def slot_kick_out_rip(self) -> None:
        self.put("N", self.tackle + self.u(3.6, 4.2), -1.8)
        self.edge("LT", "E1")
        guard = self.kick_out("N")
        start = self.between(max(guard + 0.2, self.throw - 1.3), self.throw - 0.9)
        self.win("RG", "E2", start, "outside", notes=["guard sets the edge"])

    def slot_free(self) -> None:
        self.put("N", self.tackle + self.u(3.4, 4.0), -1.6)
        self.blitzers.add("N")
        self.wide_end(0.7, 1.2)
        self.rest()
        self.home("N", 0.2, [(self.tackle + 3.0, 2.0)])
        self.reps.append(Rep("", "N", "free"))

    def left_edge_linebacker(self) -> None:
        self.put("E1", -self.tackle - self.u(0.7, 0.9), -0.9)
        self.put("B1", -self.tackle - self.u(2.6, 3.0), -1.3)
        self.blitzers.add("B1")
        self.edge("LT", "E1")
        self.edge("RT", "E2")
        self.middle("held")

    def six_men(self) -> None:
        self.left_edge_linebacker()
        self.pick_up("B1", (-self.u(3.7, 4.0), self.u(4.6, 5.0)), [(-self.tackle - 3.0, 1.5)])

    def six_men_free(self) -> None:
        self.left_edge_linebacker()
        self.home("B1", 0.2, [(-self.tackle - 2.6, 1.8)])
        self.reps.append(Rep("", "B1", "free"))

    def slide(self) -> None:
        """The line slides left, to a linebacker in the left inside gap; the back has the right end."""
        self.put("B1", -self.u(0.4, 0.6), -self.u(2.4, 3.0))
        self.blitzers.add("B1")
        self.put("T2", self.u(0.9, 1.1), -0.9)
        self.wide_end(2.6, 3.1)
        self.edge("LT", "E1")
        self.inside("LG", "T1", to=(-self.split - 0.25, 1.6))
        self.inside("C", "B1", to=(-self.u(0.3, 0.4), 1.5), lean=4)
        self.inside("RG", "T2", to=(self.split - 0.35, 1.5), lean=2)
        self.run("RT", 0.15, [(self.tackle - 0.2, 2.0)], 0.9, top=2.6, tau=0.15)
        self.reps.append(Rep("RT", "", "uncovered"))
        self.pick_up("E2", (self.u(3.4, 3.8), self.u(4.4, 4.8)), [(self.tackle + 2.9, 1.2)])

    def back_chip(self) -> None:
        self.wide_end(1.0, 1.8)
        self.rest()
        self.routes.discard("RB")
        met = self.u(1.5, 1.6)
        self.join("RB", "E2", 0.15, met, (0.7, 0.6))
        out = met - self.u(0.26, 0.34)
        self.run(
            "RB",
            out,
            [self.here("RB", out) + np.array(d) for d in ((1.5, -0.3), (4.5, -2.0), (8.0, -8.0))],
            top=8.0,
            tau=0.5,
        )
        self.reps.append(Rep("RB", "E2", "help", notes=["chip"]))

    def end_chip(self) -> None:
        self.put("TE", self.tackle + 1.25, 0.9)
        self.put("S1", self.tackle + 3.0, -8.0)
        self.put("E2", self.tackle + self.u(1.9, 2.2), -0.9)
        self.rest()
        self.routes.discard("TE")
        self.join("TE", "E2", 0.1, 0.5, (-0.65, 0.6))
        out = self.u(0.46, 0.52)
        end = self.here("TE", out)
        self.run("TE", out, [end + np.array(d) for d in ((-0.3, -1.0), (0.0, -4.0), (2.0, -40.0))], top=8.0, tau=0.5)
        self.reps.append(Rep("TE", "E2", "help", notes=["chip"]))

    def double_team(self) -> None:
        self.edge("LT", "E1")
        self.edge("RT", "E2")
        self.nose()
        self.inside("RG", "T2")

    def round_the_hoop(self, kind: str, lean: float, ride: float, lose: float, turn: float) -> None:
        """An end gets level with his tackle or by him; the tackle runs with him and rides him past the passer."""
        self.rest("RT")
        when = self.edge("RT", "E2")
        start = self.between(when + 0.2, max(when + 0.21, self.throw - 1.3))
        level = start + turn * self.u(0.95, 1.05)
        back = level + turn
        angles = 15 + (lean - 15) * ease(self.t, start, level) + (45 - lean) * ease(self.t, level, back)
        self.lock(
            "RT", "E2", start, 1, lose * ease(self.t, start, back), ride * ease(self.t, start, back + 0.2), angles
        )
        self.reps = [r for r in self.reps if r.man != "RT"] + [Rep("RT", "E2", kind, "outside", notes=["recovered"])]

    def recovered(self) -> None:
        self.round_the_hoop("recovered", self.u(82, 90), self.u(55, 70), 0.7, 0.8)

    def beat_recovered(self) -> None:
        self.round_the_hoop("beat", self.u(145, 155), self.u(70, 85), 1.6, 1.05)

    def edge_sack(self) -> None:
        self.wide_end(1.4, 2.6)
        self.rest("RT")
        when = self.edge("RT", "E2")
        self.win("RT", "E2", when + self.u(0.15, 0.45), "outside")

    def inside_sack(self) -> None:
        self.rest("RG")
        when = self.inside("RG", "T2")
        self.win("RG", "T2", when + self.u(0.4, 0.6), "outside")

    def late_beat(self) -> None:
        self.rest("RT")
        when = self.edge("RT", "E2")
        self.win(
            "RT", "E2", self.between(max(when + 0.02, self.throw - 0.4), self.throw - 0.3), "outside", "late", ["late"]
        )

    def scramble(self) -> None:
        self.base()

    def screen(self) -> None:
        self.edge("LT", "E1")
        self.edge("RT", "E2")
        self.inside("LG", "T1")
        self.free_centre()
        self.inside("RG", "T2")
        for man, rusher, turn, start, way in (
            ("RG", "T2", -1, 1.0, [(2.4, 1.5), (3.6, 0.2), (6.0, -1.0), (9.0, -6.0)]),
            ("LG", "T1", -1, 1.05, [(-0.4, 0.9), (1.0, -1.2), (6.0, -6.0)]),
        ):
            self.escape(man, rusher, start, turn)
            self.run(man, start + 0.1, way, top=6.5)
        self.run("C", 0.85, [(0.2, 0.2), (2.5, -1.8), (7.0, -6.0)], top=6.5)
        self.routes.discard("RB")
        self.run("RB", 0.7, [(4.5, 6.0), (7.0, 4.8), (8.5, 1.0)], top=6.0)
        self.reps = []

    def moved_pocket(self) -> None:
        self.base()
        self.routes.discard("RB")
        self.run("RB", 0.15, [(3.5, 6.0), (7.5, 4.0), (13.0, -4.0)], top=7.0)
        self.reps = []

    def play_action(self) -> None:
        self.edge("LT", "E1", short=0.6)
        self.edge("RT", "E2", short=0.6)
        self.inside_three()
        self.routes.discard("RB")
        self.run("RB", 0.15, [(1.0, 4.9), (1.1, 4.0)], 1.35, top=6.8)

    # The finished paths and what they show

    def finish(self) -> None:
        getattr(self, self.scenario.replace(" ", "_").replace("-", "_"))()
        self.others()
        paths = smooth(np.stack([self.at[name] for name in (*OFFENCE, *DEFENCE)], axis=1), 0.08)
        self.at = {name: p for name, p in zip((*OFFENCE, *DEFENCE), np.moveaxis(self.part(paths), 1, 0), strict=True)}
        self.find_end()
        inside = (self.t >= -BEFORE) & (self.t <= self.last + 0.01)
        self.at = {name: p[inside] for name, p in self.at.items()}
        self.t = self.t[inside]
        self.check_bodies()
        self.truth = [self.row(rep) for rep in self.reps]
        self.check_story()

    @staticmethod
    def part(paths: np.ndarray) -> np.ndarray:
        """Push bodies that are too near apart, half each; the passer gives way to nobody."""
        near = 0.74
        weight = np.ones(paths.shape[1])
        weight[OFFENCE.index("QB")] = 0.0
        for _ in range(12):
            x, y = np.moveaxis(paths, 2, 0)
            r = np.sqrt((x[:, :, None] - x[:, None]) ** 2 + (y[:, :, None] - y[:, None]) ** 2)
            r[:, np.arange(r.shape[1]), np.arange(r.shape[1])] = np.inf
            short = np.maximum(near - r, 0.0)
            if not (short > 1e-3).any():
                break
            share = weight[:, None] / np.maximum(weight[:, None] + weight[None], 1e-9)
            push, some = np.zeros_like(paths), (short > 0).any(axis=(1, 2))  # nobody is pushed at most instants
            d = paths[some][:, :, None] - paths[some][:, None]
            push[some] = (d / r[some][..., None] * (short[some] * share)[..., None]).sum(axis=2)
            paths = paths + smooth(push, 0.1) * 1.2
        return paths

    def rushers(self) -> list[str]:
        return [d for d in DEFENCE if d[0] in "ET" or d in self.blitzers]

    def find_end(self) -> None:
        """When reps end, and when the play does."""
        self.stop = self.throw
        if "sack" in self.scenario:
            after = self.t > 0.3
            nearest = np.min([gap(self.at[r], self.at["QB"]) for r in self.rushers()], axis=0)
            there = np.flatnonzero(after & (nearest <= 1.0))
            if not len(there):
                raise DrawAgain("no sack")
            self.stop = float(self.t[there[0]])
            self.last = round(self.stop + 0.6, 1)
            if self.last > self.t[-1] - PAD or self.stop < self.drop_time:
                raise DrawAgain("sack too late or too early")
        elif self.scenario == "scramble":
            self.last = round(self.leave + 2.6, 1)
        else:
            self.last = self.throw + AFTER

    def check_bodies(self) -> None:
        paths = np.stack(list(self.at.values()), axis=1)
        speed = np.linalg.norm(np.diff(paths, axis=0), axis=-1) / STEP
        if speed.max() > TOP_SPEED:
            raise DrawAgain(f"{list(self.at)[int(speed.max(axis=0).argmax())]} runs at {speed.max():.1f} yd/s")
        tenth = round(1 / (RATE * STEP))
        change = np.linalg.norm(np.diff(paths[::tenth], 2, axis=0), axis=-1) * RATE**2
        if change.max() > HARDEST:
            raise DrawAgain(f"{list(self.at)[int(change.max(axis=0).argmax())]} turns at {change.max():.0f} yd/s/s")
        r = np.linalg.norm(paths[:, :, None] - paths[:, None], axis=-1)
        r[:, np.arange(22), np.arange(22)] = np.inf
        if r.min() < LEAST_GAP:
            a, b = np.unravel_index(r.min(axis=0).argmin(), (22, 22))
            raise DrawAgain(f"{list(self.at)[a]} and {list(self.at)[b]} are {r.min():.2f} yd apart")

    def beat(self, man: str, rusher: str, start: float, until: float) -> tuple[float, str] | None:
        """When and on which side the rusher gets past his man.

        The start of the first stretch in which he is no farther from the passer than the man is, has a clear line to
        him, and gets half a yard nearer.
        """
        p, r, q = self.at[man], self.at[rusher], self.at["QB"]
        rq, pq, pr = gap(r, q), gap(p, q), gap(p, r)
        w = np.clip(((p - r) * (q - r)).sum(axis=1) / np.maximum(rq * rq, 1e-9), 0, 1)[:, None]
        clear = gap(p, r + w * (q - r)) >= np.minimum(np.minimum(REACH, pr), pq) - 1e-6
        won = (rq <= pq) & clear
        edges = np.flatnonzero(np.diff(np.concatenate([[0], won.astype(int), [0]])))
        for a, b in zip(edges[::2], edges[1::2], strict=True):
            if start <= self.t[a] <= until and (pq - rq)[a:b].max() >= 0.5:
                a_, b_ = (r - p)[a], (q - p)[a]
                cross = float(a_[0] * b_[1] - a_[1] * b_[0])
                if man == "C":
                    return float(self.t[a]), "right" if cross > 0 else "left"
                return float(self.t[a]), "outside" if cross * np.sign(self.at[man][0, 0]) > 0 else "inside"
        return None

    def row(self, rep: Rep) -> Rep:
        """The rep as the finished paths have it, or DrawAgain when they do not clearly show it."""
        before = self.t <= self.stop + 1e-9
        out = Rep(rep.man, rep.rusher, rep.kind, "", rep.start, min(rep.end, self.stop), rep.notes)
        what = f"{rep.man} on {rep.rusher} ({rep.kind})"
        if rep.kind == "uncovered":
            return out
        if rep.kind == "free":
            v = self.at[rep.rusher][:, 1]
            now = self.t >= 0
            out.start = 0.0 if v[now][0] >= -2 else float(self.t[now & (v >= -1)][0])
            return out
        d = gap(self.at[rep.man], self.at[rep.rusher])
        if rep.kind == "untouched":
            if d[self.t <= out.end].min() < MEET + 0.15:
                raise DrawAgain(f"{what}: touched")
            return out
        close = before & (d <= MEET) & (self.t >= max(0.3, rep.start)) & (self.t <= out.end)
        if close.sum() * STEP < 0.25:
            raise DrawAgain(f"{what}: hardly met")
        out.start = float(self.t[close][0])
        if rep.kind == "help":
            out.end = float(self.t[close][-1])
            long = close.sum() * STEP
            if not (0.25 <= long <= 0.48 if "chip" in rep.notes else long >= 0.5):
                raise DrawAgain(f"{what}: {long:.2f} s")
            return out
        beat = self.beat(rep.man, rep.rusher, out.start, out.end + (0.5 if rep.kind == "late" else 0.15))
        if rep.kind in ("beat", "late"):
            if beat is None or beat[1] != rep.side:
                raise DrawAgain(f"{what}: {beat}")
            late = beat[0] > self.stop - 0.2
            if late != (rep.kind == "late") or (not late and beat[0] > self.stop - 0.3):
                raise DrawAgain(f"{what}: beat at {beat[0]:.2f}, over at {self.stop:.2f}")
            out.beat, out.side = beat
            out.kind = "beat"
            return out
        if beat is not None:
            raise DrawAgain(f"{what}: beat at {beat[0]:.2f}")
        place = self.at["QB"][before][-1]
        mine = gap(self.at[rep.man], place)
        lost = float(mine[close][0] - mine[close].min())
        if (rep.kind == "driven" and lost < 1.9) or (rep.kind == "held" and lost > 1.25):
            raise DrawAgain(f"{what}: {lost:.2f} yd lost")
        lead = gap(self.at[rep.rusher], self.at["QB"]) - gap(self.at[rep.man], self.at["QB"])
        least = float(lead[close].min())
        if rep.kind == "recovered":
            if least > 0.3 or lead[close][-1] < 0.4:
                raise DrawAgain(f"{what}: {least:.2f} yd ahead of him")
            out.kind = "held"
        elif least < 0.25:
            raise DrawAgain(f"{what}: nearly by him")
        return out

    def check_story(self) -> None:
        """Pressure where the script has it and only there, nobody helping unsaid."""
        before = (self.t >= 0.3) & (self.t <= self.stop)
        q = self.at["QB"]
        near = {r: gap(self.at[r], q)[before] for r in self.rushers()}
        closest = min(float(d.min()) for d in near.values())
        if (
            self.scenario in ("speed rush", "slot free")
            and not (np.min(list(near.values()), axis=0) < 1.8).sum() * STEP >= 0.14
        ):
            raise DrawAgain(f"no pressure: {closest:.2f}")
        if self.scenario in ("base", "ball out", "recovered", "scramble", "late beat") and closest < 2.3:
            raise DrawAgain(f"pressure: {closest:.2f}")
        if not self.reps:
            return
        known = {r.man for r in self.truth if r.kind != "uncovered"}
        for man in OFFENCE:
            if man not in known and man != "QB":
                for rusher in self.rushers():
                    if (gap(self.at[man], self.at[rusher])[before] < MEET + 0.1).sum() * STEP > 0.05:
                        raise DrawAgain(f"{man} helps on {rusher}")
        lost = [m for m in LINE if m not in {r.man for r in self.truth}]
        if lost:
            raise AssertionError(f"{self.scenario}: nothing said of {lost}")


def noise(rng: np.random.RandomState, n: int) -> np.ndarray:
    """n samples of AR(1) noise in x and y, yd."""
    keep = math.exp(-1 / (RATE * NOISE_TIME))
    e = rng.standard_normal((n, 2)) * NOISE
    for k in range(1, n):
        e[k] = keep * e[k - 1] + math.sqrt(1 - keep * keep) * e[k]
    return e


def deal(rng: np.random.RandomState, plays: int) -> list[tuple[str, str]]:
    """Scenario and alignment of each play, in the shares of MIX, shuffled."""
    hands: list[tuple[str, str]] = []
    while len(hands) < plays:
        hand = []
        for name, (count, passers) in MIX.items():
            first = int(rng.randint(len(passers)))
            hand += [(name, passers[(first + k) % len(passers)]) for k in range(count)]
        hands += [hand[k] for k in rng.permutation(len(hand))]
    return hands[:plays]


def draw(rng: np.random.RandomState, scenario: str, passer: str) -> Script:
    """One play of a scenario, drawn again until it fits."""
    for _ in range(400):
        script = Script(rng, scenario, passer)
        try:
            script.finish()
        except DrawAgain:
            continue
        return script
    raise RuntimeError(f"no draw of {scenario} ({passer}) fits its script")


def make(seed: int = SEED, plays: int = 60) -> Game:
    """The whole game. RandomState, because NumPy promises that its streams never change."""
    rng = np.random.RandomState(seed)
    game = Game([], np.empty((0, 2)), [], [], [])
    for team, (name, code) in enumerate(TEAMS):
        for k, role in enumerate((*OFFENCE, *DEFENCE)):
            game.people.append(
                {
                    "player": f"{code}-{NUMBERS[k]}",
                    "unit": "offense" if k < 11 else "defense",
                    "position": role if role in LINE or role in ("QB", "RB", "TE") else POSITION[role[0]],
                    "name": f"{'ABDEHJKLMNRSTVW'[(7 * k + 4 * team) % 15]}. {SURNAMES[(2 * k + team) % 44]}",
                    "number": NUMBERS[k],
                    "team": name,
                }
            )
    clean: list[np.ndarray] = []
    clock, offence, left, ball_x = 0.0, 0, 0, 0.0
    for number, (scenario, passer) in enumerate(deal(rng, plays), start=1):
        script = draw(rng, scenario, passer)
        mirror = -1 if rng.random_sample() < 0.5 else 1
        quarter = 4 * (number - 1) // plays
        if left == 0:
            offence, left = 1 - offence, 4 + int(rng.randint(3))
            ball_x = 20.0 + 15.0 * rng.random_sample()
        left -= 1
        ball_x += 1.0 + 7.0 * rng.random_sample()
        direction = 1 if (offence + quarter) % 2 == 0 else -1
        ball = np.round(
            [ball_x if direction > 0 else 120 - ball_x, 160 / 6 + (18.5 / 6) * (int(rng.randint(3)) - 1)], 3
        )
        clock += round(25.0 + 15.0 * rng.random_sample(), 1)
        snap = round(clock, 1)
        play = f"P{number:03d}"

        def who(name: str, mirror: int = mirror, offence: int = offence) -> str:
            if name and mirror < 0:
                name = OTHER_SIDE.get(name, name)
            team = offence if name in OFFENCE else 1 - offence
            return f"{TEAMS[team][1]}-{NUMBERS[(*OFFENCE, *DEFENCE).index(name)]}" if name else ""

        times = np.arange(-round(BEFORE * RATE), math.floor(script.last * RATE + 1e-6) + 1) / RATE
        for name, path in sorted(script.at.items(), key=lambda item: who(item[0])):
            uv = np.stack([np.interp(times, script.t, path[:, k]) for k in (0, 1)], axis=1)
            xy = ball - direction * np.stack([uv[:, 1], mirror * uv[:, 0]], axis=1)
            seen = xy + noise(rng, len(times))
            clean.append(xy)
            game.tracks += [(play, who(name), snap + t, x, y) for t, (x, y) in zip(times, seen.tolist(), strict=True)]
        game.snaps.append(
            {
                "play": play,
                "ball_x": ball[0],
                "ball_y": ball[1],
                "direction": direction,
                "snap_time": snap,
                "throw_time": round(snap + script.throw, 2) if script.thrown else "",
                "end_time": round(snap + script.last, 2),
                "film_time": round(snap + 312.0 + 780.0 * (quarter > 1), 2),
                "film_file": f"invented_half_{1 + quarter // 2}.mp4",
                "film_rate": 29.97,
                "label": script.label,
                "scenario": scenario,
            }
        )
        for rep in script.truth:
            side = {"left": "right", "right": "left"}.get(rep.side, rep.side) if mirror < 0 else rep.side
            game.truth.append(
                {
                    "play": play,
                    "protector": who(rep.man),
                    "rusher": who(rep.rusher),
                    "start_s": f"{rep.start:.2f}",
                    "end_s": f"{rep.end:.2f}",
                    "outcome": "held" if rep.kind == "untouched" else rep.kind,
                    "side": side,
                    "beat_s": "" if rep.beat is None else f"{rep.beat:.2f}",
                    "throw_s": f"{script.throw:.2f}" if script.thrown else "",
                    "note": ", ".join(rep.notes),
                }
            )
    game.clean = np.concatenate(clean)
    return game


def write(game: Game, out: Path) -> None:
    """The five files; the same bytes every time."""
    out.mkdir(parents=True, exist_ok=True)
    text = io.StringIO()
    text.write("play,player,time,x,y\n")
    for play, player, time, x, y in game.tracks:
        text.write(f"{play},{player},{time:.1f},{x:.3f},{y:.3f}\n")
    with (out / "tracks.csv.gz").open("wb") as raw, gzip.GzipFile("", "wb", 9, raw, mtime=0) as packed:
        packed.write(text.getvalue().encode())
    for name, rows in (("snaps", game.snaps), ("people", game.people), ("truth", game.truth)):
        with (out / f"{name}.csv").open("w", newline="", encoding="utf-8") as file:
            table = csv.DictWriter(file, rows[0].keys(), lineterminator="\n")
            table.writeheader()
            table.writerows(rows)


def main() -> None:
    here = Path(__file__).resolve().parent
    parser = argparse.ArgumentParser(description="Make an invented game of drop-backs with known truth.")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--plays", type=int, default=60)
    parser.add_argument("--out", type=Path, default=here / "demo_game")
    given = parser.parse_args()
    game = make(given.seed, given.plays)
    write(game, given.out)
    print(f"{given.out}: {len(game.snaps)} plays, {len(game.tracks)} samples, {len(game.truth)} rows of truth")


if __name__ == "__main__":
    main()
