"""Small made games, each from a seed, built to reach the odd frames: gaps, uneven clocks, broken pockets, free men.

Everything is invented. Times in s, places in yd from the field's corner, y up; `as_units` writes the same game in other
units.
"""

from collections.abc import Callable

import numpy as np
import pandas as pd

Game = tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]

STEP = 0.02  # s, of the paths the samples are taken from
KINDS = (
    "plain",
    "kickout",
    "scramble",
    "upfield",
    "screen",
    "collapsed",
    "free",
    "late",
    "norush",
    "doubled",
    "bull",
    "stunt",
    "crowd",
    "hidden",
)
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


def cast(rng: np.random.Generator, kind: str) -> dict[str, Man]:
    """The two sides and what each man means to do."""
    men: dict[str, Man] = {}

    def add(key: str, unit: str, position: str, start: tuple[float, float], top: float = 6.0) -> Man:
        men[key] = Man(key, unit, position, start, top)
        return men[key]

    def near(u: float, v: float, spread: float = 0.2) -> tuple[float, float]:
        return u + rng.uniform(-spread, spread), v + rng.uniform(-spread, spread) / 2

    gun = rng.random() < 0.4
    depth = rng.uniform(5.0, 10.0)
    passer = add("QB", "offense", "QB", near(0, 5.0 if gun else 1.2, 0.1), 5.0)
    topped = rng.uniform(1.2, 2.0)
    drift = rng.uniform(-1.0, 1.0)
    u0, v0 = passer.at
    passer.goal = along((0, u0, v0), (topped, drift, depth), (topped + 0.5, drift, depth - 0.5))
    for name, u in LINE_U.items():
        add(name, "offense", name, near(u, 0.8 if name != "C" else 0.5), rng.uniform(2.0, 4.0))
    if rng.random() < 0.6:
        side = rng.choice([-1, 1])
        tight = add("TE", "offense", "TE", near(4.4 * side, 0.8), rng.uniform(2.5, 6.0))
        if rng.random() < 0.5:
            tight.goal = along((0, *tight.at), (3, 6.0 * side, -12.0))
    if rng.random() < 0.75:
        side = rng.choice([-1, 1])
        label = str(rng.choice(["RB", "HB", "FB"]))
        back = add("RB", "offense", label, near(1.5 * side, 6.0 if not gun else 5.0), 5.0)
        choice = rng.random()
        if choice < 0.3:
            back.goal = along((0, *back.at), (0.8, 4.0 * side, 3.0), (3, 9.0 * side, -2.0))
        elif choice < 0.4:
            back.goal = along((0, *back.at), (3, 8.0 * side, 5.0))
    for n in range(3):
        wide = add(f"WR{n}", "offense", "WR", near((-18.0, 14.0, 19.0)[n], 0.5 + n / 3), 8.0)
        wide.goal = along((0, *wide.at), (3, wide.at[0] + rng.uniform(-4, 4), rng.uniform(-25, -6)))
    add("DT0", "defense", "DT", near(-1.0, -1.0), rng.uniform(5, 7))
    add("DT1", "defense", "DT", near(1.6, -1.0), rng.uniform(5, 7))
    add("DE0", "defense", "DE", near(-rng.uniform(3.6, 7.0), -1.0), rng.uniform(6, 9))
    add("DE1", "defense", "DE", near(rng.uniform(3.6, 7.0), -1.0), rng.uniform(6, 9))
    for n in range(2):
        backer = add(f"LB{n}", "defense", "LB", near((-2.5, 2.5)[n], -4.5, 0.5), rng.uniform(5, 8))
        backer.goal = along((0, *backer.at), (2, backer.at[0] * 2, rng.uniform(-9, -5)))
    for n in range(2):
        corner = add(f"CB{n}", "defense", "CB", near((-18.0, 18.0)[n], -6.0), 8.0)
        corner.goal = along((0, *corner.at), (3, corner.at[0], -25.0))

    def rush(key: str, after: float = 0.15, aim: tuple[float, float] = (0.0, 0.0)) -> None:
        man = men[key]
        begin = man.at.copy()
        shift = np.array(aim)
        man.goal = lambda now: begin if now < after else passer.at + shift * max(0.0, 1 - now / 1.5)
        man.slip = float(rng.choice([-1.0, 0.0, 1.0]) * rng.uniform(0.3, 2.5))

    for key in ("DT0", "DT1"):
        rush(key, float(rng.uniform(0.05, 0.3)))
    for key, side in (("DE0", -1), ("DE1", 1)):
        rush(key, float(rng.uniform(0.05, 0.3)), (side * rng.uniform(0, 3), 0))

    if kind == "kickout":
        side = int(rng.choice([-1, 1]))
        blitzer = add("OB", "defense", "OLB", near(side * rng.uniform(8, 10), -1.0), 8.0)
        rush(blitzer.key, 0.1, (side * 4.0, 0.0))
        tackle = men["RT" if side > 0 else "LT"]
        tackle.top = 7.0
        tackle.goal = along((0, *tackle.at), (1.0, side * rng.uniform(6.0, 8.0), 2.5), (3, side * 6.0, 5.0))
    elif kind == "scramble":
        side = int(rng.choice([-1, 1]))
        passer.top = 8.0
        passer.goal = along((0, u0, v0), (1.2, 0, depth), (3.2, side * 12.0, depth - 1))
    elif kind == "upfield":
        passer.top = 8.0
        passer.goal = along((0, u0, v0), (1.0, 0.5, 4.5), (2.4, 1.0, -4.0))
    elif kind == "screen":
        for name in rng.permutation(list(LINE_U))[: int(rng.integers(2, 5))]:
            men[name].top = 7.0
            men[name].goal = along((0, *men[name].at), (1.0, LINE_U[name], 1.5), (2.2, LINE_U[name] * 2, -6.0))
    elif kind == "collapsed":
        side = int(rng.choice([-1, 1]))
        passer.top = 7.0
        passer.goal = along((0, u0, v0), (1.2, 0, 6.0), (2.2, 2.4 * side, 6.0), (3.0, 2.6 * side, 3.0))
        for name in LINE_U:
            men[name].top = 5.0
            men[name].goal = along((0, *men[name].at), (2.0, LINE_U[name] * 0.6 - 1.4 * side, 3.0))
    elif kind == "free":
        key = str(rng.choice(["DE0", "DE1"]))
        men[key].top = 9.0
        men[key].slip = 3.0 * np.sign(men[key].at[0])
        inside = -1.0 if key == "DE0" else 1.0  # his tackle sets too far inside
        men["LT" if key == "DE0" else "RT"].goal = hold((inside * rng.uniform(2.0, 3.0), rng.uniform(1.0, 2.5)))
    elif kind == "late":
        key = str(rng.choice(["LB0", "LB1"]))
        rush(key, float(rng.uniform(0.5, 1.2)))
    elif kind == "norush":
        for key in ("DT0", "DT1", "DE0", "DE1"):
            men[key].at = men[key].at + np.array([0.0, -2.5])
            men[key].goal = along((0, *men[key].at), (3, men[key].at[0] * 1.5, -9.0))
    elif kind == "doubled":
        for key in ("LG", "C", "RG"):
            men[key].top = 4.5
            men[key].goal = lambda _, who=men["DT1"]: who.at + 0.9 * toward(who.at, passer.at)
    elif kind == "bull":
        for key in ("DT0", "DT1", "DE0", "DE1"):
            men[key].slip = 0.0
        for name in LINE_U:
            men[name].top = 1.5
    elif kind == "stunt":
        rush("DE1", 0.15, (-4.0, -4.0))
        rush("DT1", 0.15, (5.0, -2.0))
    elif kind == "crowd":
        for n in range(2):
            rush(f"LB{n}", float(rng.uniform(0, 0.3)))
        passer.goal = along((0, u0, v0), (1.0, 0, 4.0), (3.0, 0.3, 2.2))
    taken: set[str] = set()
    for key in ("LT", "RT", "LG", "RG", "TE", "C", "RB"):
        if key in men and men[key].goal is None:
            mirror(men, key, passer, taken)
    for man in men.values():
        if man.goal is None:
            man.goal = hold(tuple(man.at))
    return men


def mirror(men: dict[str, Man], name: str, passer: Man, taken: set[str]) -> None:
    """He stays between the passer and the nearest defender by u at the snap that nobody has yet, else drops back."""
    me = men[name]
    near = [
        m for m in men.values() if m.unit == "defense" and m.at[1] > -2.5 and abs(m.at[0]) < 10 and m.key not in taken
    ]
    begin = me.at.copy()
    if not near:
        me.goal = along((0, *begin), (2, begin[0], begin[1] + 1.5))
        return
    his = min(near, key=lambda m: abs(m.at[0] - begin[0]))
    taken.add(his.key)

    def goal(_: float) -> np.ndarray:
        gap = float(np.hypot(*(his.at - passer.at)))
        return passer.at + toward(passer.at, his.at) * max(0.6, min(gap - 0.9, 0.75 * gap))

    me.goal = goal


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
    kinds = [KINDS[(seed + 5 * n) % len(KINDS)] for n in range(plays)]
    casts = [cast(rng, kind) for kind in kinds]
    fault = str(rng.choice(FAULTS)) if rng.random() < 0.2 else ""  # in the last play
    if fault == "two passers":
        casts[-1]["QB2"] = Man("QB2", "offense", "QB", (-10.0, 4.0))
        casts[-1]["QB2"].goal = hold((-9.0, 3.0))
    keys = sorted({key for men in casts for key in men})
    ids = ids_for(rng, keys)
    generic = rng.random() < 0.3
    with_speed = rng.random() < 0.3
    missing_speed = with_speed and rng.random() < 0.2
    with_roles = rng.random() < 0.3
    per_play = rng.random() < 0.3
    noise = float(rng.choice([0.0, 0.01, 0.03]))

    tracks: list[dict[str, object]] = []
    snaps: list[dict[str, object]] = []
    for n, (kind, men) in enumerate(zip(kinds, casts, strict=True)):
        play = f"play {n + 1}"
        after = float(rng.uniform(1.6, 3.6))
        before = float(rng.choice([0.1, 0.5, 1.0]))
        fine = run(men, before + 0.1, after + 0.1)
        rate = float(rng.choice([5.0, 8.0, 10.0, 10.0, 12.5, 20.0, 25.0, 30.0, 50.0]))
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
        throw = origin + float(rng.uniform(1.4, after - 0.1)) if rng.random() < 0.6 else np.nan
        end = origin + float(rng.uniform(1.5, after + 0.3)) if rng.random() < 0.5 else np.nan
        if kind == "hidden":
            throw = end = np.nan
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
        broken = fault if n == plays - 1 else ""
        absent = {"no passer": {"QB"}, "two linemen": {"LT", "C", "RG"}}.get(broken, set())
        if broken == "late snap":
            snaps[-1]["snap_time"] = origin + after + 5.0
        if rng.random() < 0.1:
            absent = absent | {str(rng.choice(list(LINE_U)))}
        shared: dict[str, np.ndarray] = {}
        for key, man in men.items():
            if key in absent:
                continue
            times = sample_times(rng, clock, jitter, whole_ms)
            path = np.array(man.path)
            spot = np.column_stack([np.interp(times, fine, path[:, c]) for c in (0, 1)])
            ahead = np.column_stack([np.interp(times + STEP, fine, path[:, c]) for c in (0, 1)])
            speed = (ahead - spot) / STEP
            spot = spot + rng.normal(0, 1, spot.shape) * noise
            if key == "QB":
                shared = {"times": times, "spot": spot, "speed": speed}
            elif key == "DE0" and kind in ("free", "crowd", "bull") and rng.random() < 0.5:
                late = times > after - 0.5  # he ends up on the passer, at the very same place and time
                times = np.where(late, shared["times"], times)
                spot = np.where(late[:, None], shared["spot"], spot)
                speed = np.where(late[:, None], shared["speed"], speed)
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
                style = (seed + n) % 3
                if style == 1:
                    position = "OL"
                elif style == 2 and position != "C":
                    position = "O" + position
                if extra_centre and key == "LG":
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
