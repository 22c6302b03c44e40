"""Small made games, each from a seed, built to reach the odd frames and the odd plays: gaps, uneven clocks, broken
pockets, free men, men who come late or drop, stunts, backs who block, chips, tackles who let their man go.

Everything is invented. Times in s, places in yd from the field's corner, y up; `as_units` writes the same game in other
units.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

Game = tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]

STEP = 0.02  # s, of the paths the samples are taken from
FAULTS = ("two passers", "no passer", "two linemen", "late snap", "twice", "far off")  # each makes a play be skipped
LINE_U = {"LT": -3.0, "LG": -1.5, "C": 0.0, "RG": 1.5, "RT": 3.0}


class Man:
    """Somebody with a start and a rule for where he wants to go. Play frame: u right, v behind the line, yd."""

    def __init__(self, key: str, unit: str, position: str, start: tuple[float, float], top: float = 6.0):
        self.key, self.unit, self.position, self.top = key, unit, position, top
        self.at = np.array(start, dtype=float)
        self.speed = np.zeros(2)
        self.goal: Callable[[float], np.ndarray] | None = None  # where he wants to be at a time
        self.path: list[np.ndarray] = []
        self.slip = 0.0  # sideways speed in contact
        self.exact = False  # he is where he wants to be, whatever that asks of his legs


def toward(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    gap = float(np.hypot(*(b - a)))
    return (b - a) / gap if gap > 1e-9 else np.zeros(2)


def hold(point: tuple[float, float]) -> Callable[[float], np.ndarray]:
    fixed = np.array(point, dtype=float)
    return lambda _: fixed


def along(*stops: tuple[float, float, float]) -> Callable[[float], np.ndarray]:
    """Stops (time, u, v), straight between them."""
    t, u, v = (np.array(part, dtype=float) for part in zip(*stops, strict=True))
    return lambda now: np.array([np.interp(now, t, u), np.interp(now, t, v)])


@dataclass
class Stage:
    """A play in the making: its men, and what its kind asks of the clock. Times in s after the snap."""

    rng: np.random.Generator
    men: dict[str, Man] = field(default_factory=dict)
    after: tuple[float, float] = (1.6, 3.6)  # how long it goes on
    throws: bool | None = None  # None: perhaps
    throw_once: tuple[str, float] | None = None  # thrown just after this man reaches this depth
    glued: dict[str, tuple[str, float]] = field(default_factory=dict)  # from so long before the end at another's place
    slow: bool = False  # few samples a second

    @property
    def passer(self) -> Man:
        return self.men["QB"]

    def add(self, key: str, unit: str, position: str, start: tuple[float, float], top: float = 6.0) -> Man:
        self.men[key] = Man(key, unit, position, start, top)
        return self.men[key]

    def near(self, u: float, v: float, spread: float = 0.2) -> tuple[float, float]:
        return u + self.rng.uniform(-spread, spread), v + self.rng.uniform(-spread, spread) / 2

    def side(self) -> int:
        return int(self.rng.choice([-1, 1]))

    def rush(self, key: str, after: float = 0.15, aim: tuple[float, float] = (0.0, 0.0)) -> None:
        """He goes for the passer, at first for a place beside him."""
        man, passer = self.men[key], self.passer
        begin, shift = man.at.copy(), np.array(aim)
        man.goal = lambda now: begin if now < after else passer.at + shift * max(0.0, 1 - now / 1.5)
        man.slip = float(self.rng.choice([-1.0, 0.0, 1.0]) * self.rng.uniform(0.3, 2.5))

    def block(self, key: str, whom: Callable[[float], str]) -> None:
        """He stays between the passer and the man who is his at a time."""
        passer = self.passer

        def goal(now: float) -> np.ndarray:
            his = self.men[whom(now)]
            gap = float(np.hypot(*(his.at - passer.at)))
            return passer.at + toward(passer.at, his.at) * max(0.6, min(gap - 0.9, 0.75 * gap))

        self.men[key].goal = goal

    def stall(self) -> None:
        """The four are slow and the line is good, so that reps go on."""
        for key in ("DT0", "DT1", "DE0", "DE1"):
            self.men[key].top, self.men[key].slip = float(self.rng.uniform(2.2, 3.2)), 0.0
        for name in LINE_U:
            self.men[name].top = 5.0
        passer = self.passer
        passer.goal = along((0, *passer.at), (1.8, 0.0, 8.5))

    def drop(self) -> None:
        """The passer and how he drops; the back, whose place depends on it."""
        rng = self.rng
        start = float(rng.choice([1.2, 1.2, 5.0, 5.0, 3.6, 2.6]))
        depth = max(rng.uniform(5.0, 10.0), start + 0.5)
        passer = self.add("QB", "offense", "QB", self.near(0, start, 0.1), 5.0)
        topped, drift = rng.uniform(1.2, 2.0), rng.uniform(-1.0, 1.0)
        hitch = rng.uniform(0.2, 1.0)
        passer.goal = along((0, *passer.at), (topped, drift, depth), (topped + 0.5, drift, depth - hitch))
        if rng.random() < 0.75 or start == 3.6:
            pistol = start == 3.6 and rng.random() < 0.7
            spot = self.near(0, 6.5) if pistol else self.near(1.5 * self.side(), 6.0 if start < 4 else 5.0)
            back = self.add("RB", "offense", str(rng.choice(["RB", "HB", "FB"])), spot, 5.0)
            choice, out = rng.random(), self.side()
            if choice < 0.3:
                back.goal = along((0, *back.at), (0.8, 4.0 * out, 3.0), (3, 9.0 * out, -2.0))
            elif choice < 0.4:
                back.goal = along((0, *back.at), (3, 8.0 * out, 5.0))


def cast(rng: np.random.Generator, kind: str) -> Stage:
    """The two sides and what each man means to do."""
    s = Stage(rng)
    s.drop()
    for name, u in LINE_U.items():
        s.add(name, "offense", name, s.near(u, 0.8 if name != "C" else 0.5), rng.uniform(2.0, 4.0))
    if rng.random() < 0.6:
        side = s.side()
        tight = s.add("TE", "offense", "TE", s.near(4.4 * side, 0.8), rng.uniform(2.5, 6.0))
        if rng.random() < 0.5:
            tight.goal = along((0, *tight.at), (3, 6.0 * side, -12.0))
    for n in range(3):
        wide = s.add(f"WR{n}", "offense", "WR", s.near((-18.0, 14.0, 19.0)[n], 0.5 + n / 3), 8.0)
        wide.goal = along((0, *wide.at), (3, wide.at[0] + rng.uniform(-4, 4), rng.uniform(-25, -6)))
    s.add("DT0", "defense", "DT", s.near(-float(rng.choice([0.0, 0.7, 1.0, 1.5, 1.9])), -1.0), rng.uniform(5, 7))
    s.add("DT1", "defense", "DT", s.near(float(rng.choice([0.7, 1.0, 1.6, 2.0, 2.6])), -1.0), rng.uniform(5, 7))
    s.add("DE0", "defense", "DE", s.near(-rng.uniform(2.6, 7.0), -1.0), rng.uniform(6, 9))
    s.add("DE1", "defense", "DE", s.near(rng.uniform(2.6, 7.0), -1.0), rng.uniform(6, 9))
    for n in range(2):
        backer = s.add(f"LB{n}", "defense", "LB", s.near((-2.5, 2.5)[n], -4.5, 0.5), rng.uniform(5, 8))
        backer.goal = along((0, *backer.at), (2, backer.at[0] * 2, rng.uniform(-9, -5)))
    for n in range(2):
        corner = s.add(f"CB{n}", "defense", "CB", s.near((-18.0, 18.0)[n], -6.0), 8.0)
        corner.goal = along((0, *corner.at), (3, corner.at[0], -25.0))
    for key in ("DT0", "DT1"):
        s.rush(key, float(rng.uniform(0.05, 0.3)))
    for key, side in (("DE0", -1), ("DE1", 1)):
        s.rush(key, float(rng.uniform(0.05, 0.3)), (side * rng.uniform(0, 3), 0))
    (KINDS | LATER_KINDS)[kind](s)
    mirror_all(s)
    return s


# The kinds of plays: each changes what some men mean to do.


def plain_rush(_: Stage) -> None:
    """Four men and whoever has them."""


def kickout(s: Stage) -> None:
    """A tackle goes far out to a wide blitzer."""
    side, rng = s.side(), s.rng
    blitzer = s.add("OB", "defense", "OLB", s.near(side * rng.uniform(8, 10), -1.0), 8.0)
    s.rush(blitzer.key, 0.1, (side * 4.0, 0.0))
    tackle = s.men["RT" if side > 0 else "LT"]
    tackle.top = 7.0
    tackle.goal = along((0, *tackle.at), (1.0, side * rng.uniform(6.0, 8.0), 2.5), (3, side * 6.0, 5.0))


def scramble(s: Stage) -> None:
    side = s.side()
    s.passer.top = 8.0
    s.passer.goal = along((0, *s.passer.at), (1.2, 0, 7.0), (3.2, side * 12.0, 6.0))
    if s.rng.random() < 0.6:  # somebody comes once he runs
        s.men["LB1"].at, s.men["LB1"].top = np.array(s.near(2.5 * side, -3.4)), 8.0
        s.rush("LB1", 1.2)
        s.after, s.throws = (2.6, 3.6), False


def upfield(s: Stage) -> None:
    s.passer.top = 8.0
    s.passer.goal = along((0, *s.passer.at), (1.0, 0.5, 4.5), (2.4, 1.0, -4.0))


def screen(s: Stage) -> None:
    """Linemen set, and go out."""
    for name in s.rng.permutation(list(LINE_U))[: int(s.rng.integers(2, 6))]:
        man = s.men[name]
        man.top = 7.0
        man.goal = along((0, *man.at), (1.0, LINE_U[name], 1.5), (2.2, LINE_U[name] * 2, -6.0))


def collapsed(s: Stage) -> None:
    side = s.side()
    s.passer.top = 7.0
    s.passer.goal = along((0, *s.passer.at), (1.2, 0, 6.0), (2.2, 2.4 * side, 6.0), (3.0, 2.6 * side, 3.0))
    for name in LINE_U:
        s.men[name].top = 5.0
        s.men[name].goal = along((0, *s.men[name].at), (2.0, LINE_U[name] * 0.6 - 1.4 * side, 3.0))


def free(s: Stage) -> None:
    """A tackle sets too far inside. Now and then his man ends up on the passer."""
    key = str(s.rng.choice(["DE0", "DE1"]))
    s.men[key].top = 9.0
    s.men[key].slip = 3.0 * np.sign(s.men[key].at[0])
    inside = -1.0 if key == "DE0" else 1.0
    s.men["LT" if key == "DE0" else "RT"].goal = hold((inside * s.rng.uniform(2.0, 3.0), s.rng.uniform(1.0, 2.5)))
    onto_passer(s)


def onto_passer(s: Stage) -> None:
    if s.rng.random() < 0.5:
        s.glued["DE0"] = ("QB", 0.5)


def delayed(s: Stage) -> None:
    key = str(s.rng.choice(["LB0", "LB1"]))
    s.rush(key, float(s.rng.uniform(0.5, 1.2)))


def no_rush(s: Stage) -> None:
    for key in ("DT0", "DT1", "DE0", "DE1"):
        man = s.men[key]
        man.at = man.at + np.array([0.0, -2.5])
        man.goal = along((0, *man.at), (3, man.at[0] * 1.5, -9.0))


def doubled(s: Stage) -> None:
    for key in ("LG", "C", "RG"):
        s.men[key].top = 4.5
        s.men[key].goal = lambda _, who=s.men["DT1"]: who.at + 0.9 * toward(who.at, s.passer.at)


def bull(s: Stage) -> None:
    for key in ("DT0", "DT1", "DE0", "DE1"):
        s.men[key].slip = 0.0
    for name in LINE_U:
        s.men[name].top = 1.5
    onto_passer(s)


def stunt(s: Stage) -> None:
    """Two men change lanes, and their blockers run with them."""
    s.rush("DE1", 0.15, (-4.0, -4.0))
    s.rush("DT1", 0.15, (5.0, -2.0))


def crowd(s: Stage) -> None:
    for n in range(2):
        s.rush(f"LB{n}", float(s.rng.uniform(0, 0.3)))
    s.passer.goal = along((0, *s.passer.at), (1.0, 0, 4.0), (3.0, 0.3, 2.2))
    onto_passer(s)


def hidden(s: Stage) -> None:
    """The passer and perhaps some linemen are not seen for a while; nobody throws."""
    s.throws = False


def passed(s: Stage) -> None:
    """A stunt passed off: the inside man loops out past the guard to the tackle, the end comes in to the guard."""
    s.stall()
    side, rng = s.side(), s.rng
    end, nose = ("DE1", "DT1") if side > 0 else ("DE0", "DT0")
    tackle, guard = ("RT", "RG") if side > 0 else ("LT", "LG")
    out, inn = s.men[nose], s.men[end]
    out.at, inn.at = np.array(s.near(side * 1.7, -1.0, 0.1)), np.array(s.near(side * 3.6, -1.0, 0.1))
    out.top = inn.top = 7.0
    s.men[tackle].exact = out.exact = True
    loop = float(rng.uniform(0.9, 1.1))
    out.goal = along(
        (0, *out.at),
        (0.45, side * 1.8, 0.3),
        (loop, side * 3.0, 2.6),
        (loop + 0.5, side * 2.7, 3.2),
        (4, 0.5 * side, 7),
    )
    inn.goal = along(
        (0, *inn.at), (0.5, side * 4.2, 0.5), (loop, side * 4.2, 0.8), (loop + 0.6, side, 0.9), (4, side, 3)
    )
    s.men[guard].top = s.men[tackle].top = 6.0
    s.men[guard].goal = along((0, *s.men[guard].at), (0.4, side * 1.5, 1.2), (4, side * 1.3, 2.0))
    late = loop + float(rng.uniform(-0.3, 0.1))
    begin = s.men[tackle].at
    s.men[tackle].goal = along(
        (0, *begin), (0.5, side * 3.5, 1.5), (late, side * 2.9, 2.9), (loop + 0.5, side * 2.4, 4.1), (4, 0, 7)
    )
    if rng.random() < 0.6:  # or the end drops off, and the tackle waits for the other farther back
        inn.goal = along((0, *inn.at), (2.5, side * 9.0, -8.0))
        ahead, passer = float(rng.uniform(2.2, 2.8)), s.passer
        s.men[tackle].top = 8.0
        s.men[tackle].goal = lambda now: (
            out.at + (ahead if now < loop else 0.9) * toward(out.at, passer.at) if now > 0.3 else begin
        )
    s.after = (2.0, 3.6)


def chip(s: Stage) -> None:
    """A back, and perhaps the tight end, hits an end on his way out."""
    side = s.side()
    end = s.men["DE1" if side > 0 else "DE0"]
    end.at = np.array(s.near(side * 4.6, -1.0))
    back = s.add("RB", "offense", "RB", s.near(1.8 * side, 4.5), 8.0)
    begin, until = back.at.copy(), float(s.rng.uniform(0.9, 1.4))
    back.goal = lambda now: end.at + 0.7 * toward(end.at, begin) if now < until else np.array([12.0 * side, -3.0])
    if s.rng.random() < 0.6:
        tight = s.add("TE", "offense", "TE", s.near(4.4 * side, 0.8), 7.0)
        away, wait = tight.at.copy(), float(s.rng.uniform(0.4, 0.8))
        tight.goal = lambda now: end.at + 0.7 * toward(end.at, away) if now < wait else np.array([6.0 * side, -14.0])


def show(s: Stage) -> None:
    """A backer on the line touches a guard and drops; an end comes a little way and drops."""
    s.stall()
    side, rng = s.side(), s.rng
    backer = s.men["LB0"]
    backer.at = np.array(s.near(-0.8 * side, -1.2))
    backer.goal = along((0, *backer.at), (0.4, -1.2 * side, 0.0), (0.9, -1.2 * side, 0.1), (2.4, -2.0, -7.0))
    backer.top = 7.0
    end = s.men["DE1" if side > 0 else "DE0"]
    end.at = np.array(s.near(6.0 * side, -1.0))
    end.top = 7.0
    deep = float(rng.uniform(1.0, 1.8))
    end.goal = along((0, *end.at), (0.8, 6.0 * side, deep), (1.1, 6.5 * side, deep), (2.2, 8.0 * side, -6.0))
    s.after = (2.4, 3.6)
    s.throws = False


def later(s: Stage) -> None:
    """The line holds, and a backer or two come after all; nobody throws."""
    rng, s.after = s.rng, (3.8, 4.6)
    s.stall()
    passer = s.passer
    for n in range(1 + int(rng.random() < 0.6)):
        backer = s.men[f"LB{n}"]
        start, spot = float(rng.uniform(1.9, 2.6)), backer.at.copy()
        wide = float(rng.choice([0.0, 0.0, 7.0]) * (-1, 1)[n])
        backer.top = 8.0
        backer.goal = lambda now, t=start, p=spot, w=wide: (
            p if now < t else passer.at + np.array([w, -2.0]) * max(0.0, 1 - (now - t))
        )
    if rng.random() < 0.4:  # and turns back
        backer = s.men["LB0"]
        backer.top = 14.0
        for key in ("DT0", "DT1", "DE0", "DE1"):
            s.men[key].top = 1.5
        backer.goal = along((0, *backer.at), (2.0, *backer.at), (2.7, -4.0, 1.6), (2.9, -4.5, 1.6), (3.4, -5.0, -5.5))
        s.after = (5.0, 5.4)
    s.throws = False


def seven(s: Stage) -> None:
    """Seven men come."""
    side = s.side()
    for n in range(2):
        s.men[f"LB{n}"].at = np.array(s.near((-0.6, 0.9)[n], -1.6))
        s.rush(f"LB{n}", float(s.rng.uniform(0, 0.4)))
    s.add("OB", "defense", "OLB", s.near(side * s.rng.uniform(5.5, 8), -1.0), 7.0)
    s.rush("OB", 0.1, (side * 2.0, 0.0))
    s.slow = True
    s.after = (1.6, 2.4)


def back_out(s: Stage) -> None:
    """The end goes inside the tackle; the back takes the blitzer who comes outside."""
    side, rng = s.side(), s.rng
    end = s.men["DE1" if side > 0 else "DE0"]
    end.at = np.array(s.near(side * 2.0, -1.0))
    s.men["DT1" if side > 0 else "DT0"].at = np.array(s.near(side * 0.4, -1.0))
    s.rush(end.key, 0.1, (0.0, 0.0))
    end.top = 4.5
    blitzer = s.add("OB", "defense", "OLB", s.near(side * rng.uniform(5.5, 7.0), -1.5), float(rng.uniform(5, 7)))
    s.rush(blitzer.key, 0.3, (side * 2.0, 0.0))
    blitzer.slip = 0.5 * side
    back = s.add("RB", "offense", str(rng.choice(["RB", "FB"])), s.near(2.5 * side, 4.5), 6.0)
    s.men.pop("TE", None)
    s.block(back.key, lambda _: blitzer.key)
    if rng.random() < 0.6:  # the guard takes the end, the tackle nobody
        s.block("RG" if side > 0 else "LG", lambda _: end.key)
        tackle = s.men["RT" if side > 0 else "LT"]
        tackle.goal = along((0, *tackle.at), (1.5, side * 3.4, 3.0))


def gap_blitz(s: Stage) -> None:
    """A backer through the middle, and the back steps up to him."""
    backer = s.men["LB0"]
    backer.at = np.array(s.near(-0.7, -2.2))
    s.rush("LB0", float(s.rng.uniform(0.0, 0.3)))
    back = s.add("RB", "offense", "HB", s.near(float(s.rng.choice([-1.0, 1.0])), 4.6), 5.0)
    s.block(back.key, lambda _: "LB0")


def inside_then_behind(s: Stage) -> None:
    """An end beats his tackle inside and runs round behind him, so that he ends up outside of him."""
    side, rng = s.side(), s.rng
    end = s.men["DE1" if side > 0 else "DE0"]
    end.at = np.array(s.near(side * 4.0, -1.0))
    end.top, end.slip = 9.0, 0.0
    tackle = s.men["RT" if side > 0 else "LT"]
    tackle.top = 5.0
    spot = (side * rng.uniform(2.9, 3.4), rng.uniform(2.2, 3.0))
    tackle.goal = along((0, *tackle.at), (0.7, *spot), (3.0, *spot))
    turn = float(rng.uniform(0.8, 1.0))
    end.goal = along(
        (0, *end.at), (turn, spot[0] - 1.5 * side, 2.6), (turn + 0.5, spot[0] + 0.2 * side, 5.0), (3, side * 5.5, 6.0)
    )
    s.passer.goal = along((0, *s.passer.at), (1.6, 0.5 * side, 8.5))


def let_go(s: Stage) -> None:
    """A tackle sets, lets his man by, and goes out himself; or comes back, and is beaten after all."""
    side, rng = s.side(), s.rng
    again = rng.random() < 0.6
    end = s.men["DE1" if side > 0 else "DE0"]
    tackle = s.men["RT" if side > 0 else "LT"]
    if again:
        s.stall()
        s.men["LB0"].at = np.array(s.near(0.2, -1.0))
        s.rush("LB0")
        for key, u in (("LB0", 0.2), ("DT0", -1.6), ("DT1", 1.6), ("DE0", -3.4), ("DE1", 3.4)):  # a man for everybody
            s.men[key].top, s.men[key].at = 1.6, np.array(s.near(u, -1.0))
        end.exact = tackle.exact = True
        for key in ("TE", "RB"):  # nobody else takes the end
            s.men.pop(key, None)
        s.after, s.throws = (3.4, 3.8), False
    end.at = np.array(s.near(side * 4.2, -1.0))
    end.top, end.slip, tackle.top = 7.0, 0.001, 7.0
    go = float(rng.uniform(0.5, 0.8))
    out = side * float(rng.uniform(2.5, 4.5))
    tackle.goal = along((0, *tackle.at), (go, side * 3.0, 1.4), (go + 1.2, out, -5.0))
    if again:
        begin, set_at = (0, *tackle.at), (go, side * 3.0, 1.4)
        tackle.goal = along(begin, set_at, (go + 0.5, side * 3.0, -0.4), (go + 1.4, side * 2.4, 4.2))
        end.goal = along(
            (0, *end.at),
            (go, side * 4.0, 1.2),
            (go + 0.5, side * 4.2, 2.6),
            (go + 1.4, side * 3.6, 3.2),
            (go + 2.0, side * 3.6, 5.6),
            (go + 2.8, side * 0.5, 8.0),
        )


def glued(s: Stage) -> None:
    """A rusher stands on his blocker's very point, another behind a third man's."""
    s.glued["DT1"] = ("RG", float(s.rng.uniform(0.3, 1.2)))
    if s.rng.random() < 0.5:
        s.glued["C"] = ("LG", 0.4)


def last_moment(s: Stage) -> None:
    """A backer comes so late that the ball is gone before anybody has had him for long."""
    key = str(s.rng.choice(["LB0", "LB1"]))
    s.men[key].at = np.array(s.near(float(s.rng.uniform(-4, 4)), -5.5))
    s.men[key].top = 9.0
    s.rush(key, float(s.rng.uniform(0.3, 0.9)))
    for other in ("DT0", "DT1"):
        s.men[other].top = 3.0
    s.throws, s.throw_once = True, (key, 0.55)


def unbalanced(s: Stage) -> None:
    """A sixth lineman, outside of one tackle, and the ball not before the middle man."""
    side = s.side()
    s.add("XT", "offense", "T", s.near(4.5 * side, 0.8), 3.5)
    shift = float(s.rng.choice([0.0, 0.0, 1.5 * side]))
    for name in (*LINE_U, "XT"):
        s.men[name].at = s.men[name].at + np.array([shift, 0.0])
    if s.rng.random() < 0.4:  # the centre does not snap it: a guard stands on the other side of him
        guard, centre = s.men["LG" if side < 0 else "RG"], s.men["C"]
        guard.at, centre.at = centre.at, guard.at
    s.men.pop("TE", None)


def wide_end(s: Stage) -> None:
    """A wide end, and a tackle who sets back and out to him, more or less."""
    side, rng = s.side(), s.rng
    end = s.men["DE1" if side > 0 else "DE0"]
    tackle = s.men["RT" if side > 0 else "LT"]
    tackle.top = end.top = 8.0
    back = float(rng.uniform(1.8, 2.4))
    out = back * float(rng.choice([0.7, 1.2, 2.0, 2.4]))
    u, v = tackle.at
    tackle.goal = along((0, u, v), (0.8, u + side * out, v + back), (2.4, u, v + back + 2))
    end.at = np.array(s.near(u + side * (out + 1.5), -1.0))
    end.goal = along((0, *end.at), (1.0, u + side * (out + 0.4), v + back - 0.5), (2.4, 0.5 * side, 7.5))


def run_around(s: Stage) -> None:
    """A wide end is pushed past behind the passer."""
    s.stall()
    side = s.side()
    end = s.men["DE1" if side > 0 else "DE0"]
    end.at = np.array(s.near(side * 4.5, -1.0))
    end.top, end.slip = 8.0, 0.001  # not slowed where he is met
    end.goal = along((0, *end.at), (0.9, side * 4.2, 3.0), (1.6, side * 3.2, 7.0), (2.4, side * 1.5, 9.5))
    tackle = s.men["RT" if side > 0 else "LT"]
    tackle.top = 8.0
    tackle.goal = lambda _: end.at + 1.1 * toward(end.at, s.passer.at)
    s.passer.goal = along((0, *s.passer.at), (1.4, 0.0, 7.0), (1.9, 0.0, 6.0))
    s.after, s.throws = (2.4, 3.6), False


KINDS: dict[str, Callable[[Stage], None]] = {
    "plain": plain_rush,
    "kickout": kickout,
    "scramble": scramble,
    "upfield": upfield,
    "screen": screen,
    "collapsed": collapsed,
    "free": free,
    "delayed": delayed,
    "no rush": no_rush,
    "doubled": doubled,
    "bull": bull,
    "stunt": stunt,
    "crowd": crowd,
    "hidden": hidden,
    "passed": passed,
    "chip": chip,
    "show": show,
    "later": later,
    "seven": seven,
    "back out": back_out,
    "gap blitz": gap_blitz,
    "inside then behind": inside_then_behind,
    "let go": let_go,
    "glued": glued,
    "last moment": last_moment,
    "unbalanced": unbalanced,
    "wide end": wide_end,
    "run around": run_around,
}


def slot_blitz(s: Stage) -> None:
    """A man over the slot comes, or does not; a deep man stands over him, or not quite; another is deep himself."""
    side, rng = s.side(), s.rng
    out = float(rng.uniform(7.0, 8.5))
    inside = s.add("WR1", "offense", "WR", s.near(side * out, float(rng.choice([0.5, 1.5]))), 8.0)
    s.men["WR2"].at = np.array(s.near(side * 15.0, 0.6))
    for who in (inside, s.men["WR2"]):
        who.goal = along((0, *who.at), (3, who.at[0], -20.0))
    nickel = s.add("NB", "defense", "CB", s.near(side * (out + float(rng.uniform(-2.5, 0.5))), -2.0, 1.0), 8.0)
    safety = s.add("FS", "defense", "FS", s.near(side * out, -float(rng.uniform(7.0, 16.0)), 1.0), 8.0)
    safety.goal = hold(tuple(safety.at))
    other = s.add("SS", "defense", "SS", s.near(-side * 13.5, -9.0, 0.5), 8.0)
    other.goal = hold(tuple(other.at))
    slot = s.add("WR0", "offense", "WR", s.near(-side * 13.5, 1.0), 8.0)
    wide = s.add("WR3", "offense", "WR", s.near(-side * 19.0, 0.5), 8.0)
    slot.goal, wide.goal = (along((0, *man.at), (3, man.at[0], -20.0)) for man in (slot, wide))
    if rng.random() < 0.85:
        s.rush(nickel.key, 0.2, (side * 2.5, 0.0))
    end = "DE1" if side > 0 else "DE0"
    s.men[end].at = np.array(s.near(side * float(rng.uniform(3.6, 4.4)), -1.0))
    s.men.pop("TE", None)
    tackle, guard = ("RT", "RG") if side > 0 else ("LT", "LG")
    choice = rng.random()
    if choice < 0.4:  # outside in
        s.men[tackle].top = s.men[guard].top = 7.0
        s.block(tackle, lambda _: nickel.key)
        s.block(guard, lambda _: end)
    elif choice < 0.6:
        s.men[tackle].top = 7.0
        s.block(tackle, lambda _: nickel.key)
    elif choice < 0.8 and "RB" in s.men:
        s.block("RB", lambda _: nickel.key)
    s.stall()


# Kinds that came later: they make up the games of seeds from LATER on, so that earlier games stay what they are.
LATER = 1000
LATER_KINDS: dict[str, Callable[[Stage], None]] = {
    "slot blitz": slot_blitz,
    "passed": passed,
    "slot blitz again": slot_blitz,
    "show": show,
}


def mirror_all(s: Stage) -> None:
    """Whoever has no errand yet blocks, or stays where he is."""
    taken: set[str] = set()
    for key in ("LT", "RT", "LG", "RG", "TE", "C", "RB", "XT"):
        if key in s.men and s.men[key].goal is None:
            mirror(s, key, taken)
    for man in s.men.values():
        if man.goal is None:
            man.goal = hold(tuple(man.at))


def mirror(s: Stage, name: str, taken: set[str]) -> None:
    """He blocks the nearest defender by u at the snap that nobody has yet, else drops back."""
    me = s.men[name]
    near = [
        m for m in s.men.values() if m.unit == "defense" and m.at[1] > -2.5 and abs(m.at[0]) < 10 and m.key not in taken
    ]
    if not near:
        me.goal = along((0, *me.at), (2, me.at[0], me.at[1] + 1.5))
        return
    his = min(near, key=lambda m: abs(m.at[0] - me.at[0]))
    taken.add(his.key)
    s.block(name, lambda _: his.key)


def run(men: dict[str, Man], before: float, after: float) -> np.ndarray:
    """Walk everybody along; returns the times. Each man's path gets one point a step."""
    times = np.arange(-before, after + STEP / 2, STEP)
    everyone = list(men.values())
    for now in times:
        for man in everyone:
            man.path.append(man.at.copy())
        if now < 0:
            continue
        for man in everyone:
            goal = man.goal(now)
            if man.exact:
                man.speed = (man.goal(now + STEP) - man.at) / STEP
                continue
            gap = float(np.hypot(*(goal - man.at)))
            wanted = toward(man.at, goal) * min(man.top, gap / 0.15)
            if man.unit == "defense" and man.slip:
                for other in everyone:
                    apart = float(np.hypot(*(other.at - man.at)))
                    if other.unit == "offense" and other.key != "QB" and apart < 1.0:
                        to = toward(man.at, other.at)
                        wanted = wanted - to * max(0.0, float(wanted @ to)) * 0.85
                        wanted = wanted + man.slip * np.array([-to[1], to[0]])
            elif man.unit == "defense":
                for other in everyone:
                    apart = float(np.hypot(*(other.at - man.at)))
                    if other.unit == "offense" and other.key != "QB" and apart < 1.0:
                        wanted = wanted * 0.25
            change = (wanted - man.speed) / 0.15
            size = float(np.hypot(*change))
            man.speed = man.speed + change * min(1.0, 11.0 / size if size > 0 else 1.0) * STEP
        for man in everyone:
            man.at = man.at + man.speed * STEP
    return times


def ids_for(rng: np.random.Generator, keys: list[str]) -> dict[str, str]:
    """Names that sort in another order than the positions do."""
    numbers = rng.permutation(np.arange(1, 99))[: len(keys)]
    style = rng.integers(3)
    return {
        key: (f"p{n:02d}", str(n), f"{'abcd'[n % 4]}-{n}")[style] for key, n in zip(keys, numbers.tolist(), strict=True)
    }


def sample_times(rng: np.random.Generator, clock: np.ndarray, jitter: float, whole_ms: bool) -> np.ndarray:
    """One player's times: the play's clock with his own jitter."""
    times = clock + rng.uniform(0, 1, len(clock)) * jitter
    return np.round(times, 3) if whole_ms else times


def odd_game(seed: int) -> Game:
    """tracks, snaps and people of one made game of two to four plays. The same seed gives the same game."""
    rng = np.random.default_rng(seed)
    plays = int(rng.integers(2, 5))
    able = list(KINDS if seed < LATER else LATER_KINDS)
    kinds = [able[(seed + 5 * n) % len(able)] for n in range(plays)]
    stages = [cast(rng, kind) for kind in kinds]
    casts = [stage.men for stage in stages]
    fault = str(rng.choice(FAULTS)) if rng.random() < 0.2 else ""  # in the last play
    if fault == "two passers":
        casts[-1]["QB2"] = Man("QB2", "offense", "QB", (-10.0, 4.0))
        casts[-1]["QB2"].goal = hold((-9.0, 3.0))
    keys = sorted({key for men in casts for key in men})
    ids = ids_for(rng, keys)
    generic = rng.random() < 0.3
    two_centres = rng.random() < 0.15
    with_film = rng.random() < 0.5
    with_speed = rng.random() < 0.3
    missing_speed = with_speed and rng.random() < 0.2
    with_roles = rng.random() < 0.3
    per_play = rng.random() < 0.3
    noise = float(rng.choice([0.0, 0.01, 0.03]))

    tracks: list[dict[str, object]] = []
    snaps: list[dict[str, object]] = []
    for n, (kind, stage) in enumerate(zip(kinds, stages, strict=True)):
        men = stage.men
        play = f"play {n + 1}"
        after = float(rng.uniform(*stage.after))
        before = float(rng.choice([0.1, 0.5, 1.0]))
        fine = run(men, before + 0.1, after + 0.1)
        rates = [5.0, 8.0, 10.0, 10.0, 12.5, 20.0, 25.0]
        rate = float(rng.choice(rates[:4] if stage.slow or stage.after[0] > 3 else [*rates, 30.0]))
        origin = float(rng.choice([0.0, 12.34, 1000.0]))
        clock = np.arange(0, int((before + after) * rate)) / rate - before
        if rng.random() < 0.3:  # an uneven clock
            clock = np.sort(clock + rng.uniform(-0.3, 0.3, len(clock)) / rate)
            clock[0] = -before
        jitter = float(rng.choice([0.0, 0.0, 0.004, 0.005, 0.009]))
        whole_ms = bool(rng.random() < 0.5)
        direction = int(rng.choice([-1, 1]))
        ball_x = float(np.round(rng.uniform(35, 85), 2))
        ball_y = float(rng.choice([160 / 6, 70.75 / 3, 160 / 3 - 70.75 / 3, 20.0, 100 / 3]))
        snap = origin if rng.random() < 0.7 else origin + float(rng.uniform(0, 0.05))
        throw = origin + float(rng.uniform(1.0, after - 0.1)) if rng.random() < 0.6 else np.nan
        end = origin + float(rng.uniform(1.5, after + 0.3)) if rng.random() < 0.5 else np.nan
        if stage.throws is False:
            throw = end = np.nan
        if stage.throw_once is not None:
            there = np.flatnonzero(np.array(men[stage.throw_once[0]].path)[:, 1] >= stage.throw_once[1])
            throw = origin + (float(fine[there[0]]) if len(there) else 1.5) + float(rng.uniform(0.02, 0.12))
        snaps.append(
            {
                "play": play,
                "ball_x": ball_x,
                "ball_y": ball_y,
                "direction": direction,
                "snap_time": snap,
                "throw_time": throw,
                "end_time": end,
            }
        )
        if with_film:
            snaps[-1]["film_time"] = float(np.round(rng.uniform(10, 4000), 2))
            snaps[-1]["label"] = str(rng.choice(["", "screen", "play action"])) or None
        broken = fault if n == plays - 1 else ""
        absent = {"no passer": {"QB"}, "two linemen": {"LT", "C", "RG"}}.get(broken, set())
        if broken == "late snap":
            snaps[-1]["snap_time"] = origin + after + 5.0
        if rng.random() < 0.1:
            absent = absent | {str(rng.choice(list(LINE_U)))}
        sampled: dict[str, tuple[np.ndarray, np.ndarray, np.ndarray]] = {}
        for key, man in men.items():
            if key in absent:
                continue
            times = sample_times(rng, clock, jitter, whole_ms)
            path = np.array(man.path)
            spot = np.column_stack([np.interp(times, fine, path[:, c]) for c in (0, 1)])
            ahead = np.column_stack([np.interp(times + STEP, fine, path[:, c]) for c in (0, 1)])
            speed = (ahead - spot) / STEP
            spot = spot + rng.normal(0, 1, spot.shape) * noise
            if key in stage.glued and stage.glued[key][0] in sampled:  # at another's place, at the very same times
                leader, before_end = stage.glued[key]
                late = times > after - before_end
                times, spot, speed = (
                    np.where(late if mine.ndim == 1 else late[:, None], his, mine)
                    for mine, his in zip((times, spot, speed), sampled[leader], strict=True)
                )
            sampled[key] = (times, spot, speed)
            gone = np.zeros(len(times), dtype=bool)
            luck = rng.random()
            if luck < 0.25:  # a hole: short ones are filled in, long ones are not
                begin = float(rng.uniform(0, after))
                width = float(rng.choice([0.15, 0.3, 0.45, 0.5, 0.7]))
                if width == 0.5 and jitter == 0:  # exactly half a second between two samples
                    first = int(np.searchsorted(times, begin))
                    gone = (np.arange(len(times)) > first) & (times < times[min(first, len(times) - 1)] + 0.5 - 1e-4)
                else:
                    gone = (times > begin) & (times < begin + width)
            elif luck < 0.32:  # comes late or goes early
                gone = times < rng.uniform(0, 1.0) if rng.random() < 0.5 else times > rng.uniform(1.0, after)
            if kind == "hidden" and key == "QB":
                gone = (times > 0.6) & (times < 1.6)
            if kind == "hidden" and key in ("LG", "RG", "C") and rng.random() < 0.6:
                gone = times > 1.9
            blank = gone & (rng.random() < 0.5)
            for t, (u, v), (su, sv), hidden, nan in zip(times, spot, speed, gone, blank, strict=True):
                if hidden and not nan:
                    continue
                row = {
                    "play": play,
                    "player": ids[key],
                    "time": origin + t,
                    "x": np.nan if nan else ball_x - direction * v,
                    "y": np.nan if nan else ball_y - direction * u,
                }
                if with_speed:
                    unknown = nan or (missing_speed and rng.random() < 0.05)
                    row["vx"] = np.nan if unknown else -direction * sv
                    row["vy"] = np.nan if unknown else -direction * su
                tracks.append(row)
        last = tracks[-1]
        if broken == "twice":
            tracks.append(last | {"x": last["x"] + 0.5})
        elif broken == "far off":
            tracks.append(last | {"x": 200.0, "time": last["time"] + 0.02})
        elif rng.random() < 0.3:  # somebody the people table does not know, on a clock of his own
            tracks.extend(last | {"player": "stranger", "time": origin + t} for t in np.arange(0.013, 1.0, 0.037))

    people: list[dict[str, object]] = []
    extra_centre = generic and rng.random() < 0.3
    for n in range(plays if per_play else 1):
        for key in keys:
            man = next(men[key] for men in casts if key in men)
            position = man.position
            if generic and key in LINE_U:
                position = {"T": "T", "G": "G", "C": "C"}[key[-1]]
                style = (seed + n) % 4
                if style == 1 or (style == 3 and position == "C"):  # style 3: guards and tackles, and no centre
                    position = "OL"
                elif style == 2 and position != "C":
                    position = "O" + position
                if extra_centre and key == "LG":
                    position = "C"
            elif two_centres and key == "RG":
                position = "C"
            row = {
                "player": ids[key],
                "unit": man.unit,
                "position": position,
            }
            if per_play:
                row["play"] = f"play {n + 1}"
            if with_roles:
                row["role"] = None
                luck = rng.random()
                if key in ("RB", "TE", "WR0") and luck < 0.4:
                    row["role"] = str(rng.choice(["protector", "other"]))
                elif man.unit == "defense" and luck < 0.15:
                    row["role"] = str(rng.choice(["rusher", "other"]))
                elif key == "RT" and luck < 0.1:
                    row["role"] = str(rng.choice(["protector", "other"]))
                elif key == "QB" and luck < 0.3:
                    row["role"] = "passer"
            people.append(row)
    if per_play and rng.random() < 0.5:  # one man in general, and otherwise in one play
        general = {"player": ids["WR1"], "unit": "offense", "position": "WR", "play": None}
        people = [p for p in people if p["player"] != ids["WR1"] or p["play"] == "play 1"]
        people.append(general)
    order = rng.permutation(len(tracks))
    table = pd.DataFrame([tracks[k] for k in order])
    return table, pd.DataFrame(snaps), pd.DataFrame(people)


def as_units(game: Game, units: str, origin: str, y: str) -> Game:
    """The same game written otherwise. units: yd, m or ft; origin: corner or center; y: up or down.

    With y down and the origin in the corner, the corner is the one at the far sideline.
    """
    tracks, snaps, people = (table.copy() for table in game)
    scale = {"yd": 1.0, "m": 0.9144, "ft": 3.0}[units]
    length, width = 120.0, 160.0 / 3.0
    for table, name_x, name_y in ((tracks, "x", "y"), (snaps, "ball_x", "ball_y")):
        across = table[name_y] if y == "up" else width - table[name_y]
        shift_x, shift_y = {"corner": (0.0, 0.0), "center": (length / 2, width / 2)}[origin]
        table[name_x] = (table[name_x] - shift_x) * scale
        table[name_y] = (across - shift_y) * scale
    if "vx" in tracks:
        tracks["vx"] = tracks["vx"] * scale
        tracks["vy"] = tracks["vy"] * (scale if y == "up" else -scale)
    return tracks, snaps, people
