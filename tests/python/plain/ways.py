"""4.6 and 4.7: the two ways round one blocker, and the least time along a way."""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq

TURN = 2 * np.pi


@dataclass
class Way:
    """A tangent, an arc and a tangent; lengths in yd, bend in rad. `start` is the unit direction it sets off in."""

    first: float
    arc: float
    last: float
    bend: float
    radius: float
    start: np.ndarray

    @property
    def length(self) -> float:
        return self.first + self.arc + self.last


def straight(a: np.ndarray, b: np.ndarray) -> Way:
    length = float(np.hypot(*(b - a)))
    return Way(length, 0.0, 0.0, 0.0, 0.0, (b - a) / length if length > 0 else np.zeros(2))


def unit(angle: float) -> np.ndarray:
    return np.array([np.cos(angle), np.sin(angle)])


def way_round(rusher: np.ndarray, blocker: np.ndarray, passer: np.ndarray, hand: int, reach: float) -> Way | None:
    """The way from rusher to passer that passes the blocker on his right (hand +1) or left (-1). None: no way.

    The circle's radius is the lesser of reach and the passer's distance from the blocker. A rusher inside it sets off
    from the rim at his bearing from the blocker. Built from the tangent points themselves.
    """
    if np.hypot(*(passer - blocker)) <= 1e-9:
        return straight(rusher, passer)
    gap = float(np.hypot(*(rusher - blocker)))
    if gap <= 1e-9:
        return None
    goal_gap = float(np.hypot(*(passer - blocker)))
    radius = min(reach, goal_gap)
    from_angle = float(np.arctan2(*(rusher - blocker)[::-1]))
    to_angle = float(np.arctan2(*(passer - blocker)[::-1]))
    begin = rusher
    if gap <= radius:
        gap = radius
        begin = blocker + radius * unit(from_angle)
    leave = from_angle + hand * np.arccos(radius / gap)  # where the first tangent touches
    arrive = to_angle - hand * np.arccos(radius / goal_gap)  # where the last one starts
    swept = (hand * (to_angle - from_angle)) % TURN
    bend = swept - np.arccos(radius / gap) - np.arccos(radius / goal_gap)
    if bend <= 0:
        return straight(begin, passer)
    touch, release = blocker + radius * unit(leave), blocker + radius * unit(arrive)
    first = float(np.hypot(*(touch - begin))) if gap > radius else 0.0
    last = float(np.hypot(*(passer - release))) if goal_gap > radius else 0.0
    heading = hand * np.array([-np.sin(leave), np.cos(leave)])
    return Way(first, float(radius * bend), last, float(bend), radius, heading)


class Sprint:
    """dv/dt = (vmax - v)/tau from speed v0: distance and speed after t."""

    def __init__(self, v0: float, vmax: float, tau: float):
        self.v0, self.vmax, self.tau = v0, vmax, tau

    def speed(self, t: float) -> float:
        return self.vmax - (self.vmax - self.v0) * np.exp(-t / self.tau)

    def distance(self, t: float) -> float:
        return self.vmax * t + (self.vmax - self.v0) * self.tau * np.expm1(-t / self.tau)

    def time_for(self, distance: float) -> float:
        if distance <= 0:
            return 0.0
        latest = distance / self.vmax + self.tau * 1.001
        return float(brentq(lambda t: self.distance(t) - distance, 0.0, latest, xtol=1e-15, rtol=1e-14))

    def time_to(self, speed: float) -> float:
        """When it has this speed; +inf for vmax or more, 0 when it has it at once."""
        if speed <= self.v0:
            return 0.0
        if speed >= self.vmax:
            return float("inf")
        return float(self.tau * np.log((self.vmax - self.v0) / (self.vmax - speed)))


def turn_cap(bend: float, radius: float, rules: dict[str, float]) -> float:
    """Greatest speed on the arc, yd/s."""
    rho = radius
    if bend < np.pi:
        rise = 1 / np.cos(bend / 2) - 1
        rho = radius + rules["bow"] / rise if rise > 0 else float("inf")
    return min(rules["vmax"], float(np.sqrt(rules["a_lat"] * rho)))


def sprint_then_brake(v0: float, length: float, cap: float, rules: dict[str, float]) -> tuple[float, float]:
    """Time over a straight whose end must be met at `cap` or less, and the speed there."""
    run = Sprint(v0, rules["vmax"], rules["tau"])
    whole = run.time_for(length)
    if run.speed(whole) <= cap:
        return whole, run.speed(whole)

    def too_far(t: float) -> float:
        v = run.speed(t)
        return run.distance(t) + max(0.0, v * v - cap * cap) / (2 * rules["a_brake"]) - length

    if too_far(0.0) >= 0:
        turn = 0.0
    elif too_far(whole) <= 0:
        turn = whole
    else:
        turn = float(brentq(too_far, 0.0, whole, xtol=1e-15, rtol=1e-14))
    return turn + (run.speed(turn) - cap) / rules["a_brake"], cap


def time_of(way: Way | None, velocity: np.ndarray, rules: dict[str, float]) -> float:
    """Least time in s along a way less its last `arm` yards. velocity (2,) in yd/s, NaN counts as rest. None: +inf."""
    if way is None:
        return float("inf")
    left = way.first + way.arc + way.last - rules["arm"]
    if left <= 0:
        return 0.0
    first = min(way.first, left)
    arc = min(way.arc, left - first)
    last = left - first - arc
    velocity = np.zeros(2) if np.isnan(velocity).any() else velocity
    speed = min(max(0.0, float(velocity @ way.start)), rules["vmax"])
    time = 0.0
    if arc <= 0:
        return Sprint(speed, rules["vmax"], rules["tau"]).time_for(left)
    cap = turn_cap(way.bend, way.radius, rules)
    speed = min(speed, float(np.sqrt(cap * cap + 2 * rules["a_brake"] * first)))
    if first > 0:
        time, speed = sprint_then_brake(speed, first, cap, rules)
    run = Sprint(speed, rules["vmax"], rules["tau"])
    at_cap = run.time_to(cap)
    free = float("inf") if np.isinf(at_cap) else run.distance(at_cap)
    if free >= arc:
        spent = run.time_for(arc)
        time, speed = time + spent, run.speed(spent)
    else:
        time, speed = time + at_cap + (arc - free) / cap, cap
    return time + Sprint(speed, rules["vmax"], rules["tau"]).time_for(last)
