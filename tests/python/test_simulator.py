"""The simulator's men against the same laws written down again and integrated by SciPy."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from shortedge import _core

Vector = NDArray[np.float64]

THROWS = (False, [2.7, 0.3, 0.12])
NAN = math.nan
A_LAT, A_BRAKE, RESPONSE = 6.6, 5.5, 0.15
REACTION = 0.2  # of both men here


def drive(velocity: Vector, wanted: Vector, vmax: float, tau: float) -> Vector:
    """Spec 8.2: (wanted - v) / 0.15 s, along the velocity at most (vmax - v) / tau and a_brake, across at most a_lat;
    below 0.3 yd/s only its size is limited."""
    asked = (wanted - velocity) / RESPONSE
    speed = float(np.hypot(*velocity))
    forward = max(0.0, (vmax - speed) / tau)
    if speed < 0.3:
        return np.asarray(asked * min(1.0, forward / max(1e-300, float(np.hypot(*asked)))))
    ahead = velocity / speed
    side = np.array([-ahead[1], ahead[0]])
    return np.asarray(np.clip(asked @ ahead, -A_BRAKE, forward) * ahead + np.clip(asked @ side, -A_LAT, A_LAT) * side)


class Drop:
    """Spec 8.5: to `depth`, then half a yard toward the line in 0.4 s; speeds rise and fall as half a cosine."""

    def __init__(self, start: float, depth: float) -> None:
        self.start, self.depth = start, depth
        self.top = max(0.3, 0.325 * (depth - start) + 0.2)  # gun

    def passer(self, time: float) -> tuple[Vector, Vector]:
        """Place and velocity."""
        if time < self.top:
            share, way = time / self.top, self.depth - self.start
            slope = way * math.pi / 2 * math.sin(math.pi * share) / self.top
            return np.array([0.0, self.start + way * (1 - math.cos(math.pi * share)) / 2]), np.array([0.0, slope])
        share = min((time - self.top) / 0.4, 1.0)
        speed = -0.5 * math.pi / 2 * math.sin(math.pi * share) / 0.4
        return np.array([0.0, self.depth - 0.5 * (1 - math.cos(math.pi * share)) / 2]), np.array([0.0, speed])

    def rushed(self, time: float) -> Vector:
        """What rushers aim at: the passer carried on 0.4 s; before the top at least 7 yd deep, if the drop is."""
        place, velocity = self.passer(time)
        aim = place + 0.4 * velocity
        return np.array([0.0, max(aim[1], min(7.0, self.depth))]) if time < self.top else np.asarray(aim)

    def guarded(self, time: float) -> tuple[Vector, Vector]:
        """What protectors keep them from, place and velocity: the spot, no deeper than 8 yd or the passer carried on;
        from the top on the passer."""
        place, velocity = self.passer(time)
        if time >= self.top:
            return place, velocity
        return np.array([0.0, min(self.depth, max(8.0, place[1] + 0.4 * velocity[1]))]), np.zeros(2)


def toward(place: Vector, aim: Vector, speed: float) -> Vector:
    away = aim - place
    return np.asarray(away * (speed / np.hypot(*away)))


def protector_wants(
    place: Vector, rusher: Vector, rusher_velocity: Vector, drop: Drop, time: float, kick: float
) -> Vector:
    """Facing, told to gain no depth: to the point of the line from his man, as he sees him, to what he guards at |RP| /
    cos phi, at min(kick, gap / 0.25 s), plus half of the point's own sideways velocity, in all at most kick; not nearer
    than 0.9 yd to what he guards."""
    aim, aim_velocity = drop.guarded(time)
    goal = float(np.hypot(*(aim - rusher)))
    line = (aim - rusher) / goal
    to_man = place - rusher
    along = float(to_man @ line)
    far = float(to_man @ to_man) / along if along > 0 else math.inf
    far = min(far if far <= goal else goal, goal - 0.9)
    gap = rusher + far * line - place
    side = np.array([-line[1], line[0]])
    share = far / goal
    wants = toward(place, place + gap, min(kick, float(np.hypot(*gap)) / 0.25))
    wants = wants + 0.5 * ((1 - share) * (side @ rusher_velocity) + share * (side @ aim_velocity)) * side
    return np.asarray(wants * min(1.0, kick / float(np.hypot(*wants))))


def integrated(change: Callable[[float, Vector], Vector], start: Vector, breaks: list[float], end: float) -> Vector:
    """State at `end`; integrated piece by piece between the breaks, where the laws have corners."""
    state, time = start, REACTION
    for until in [*(b for b in breaks if REACTION < b < end), end]:
        state = solve_ivp(change, (time, until), state, method="DOP853", rtol=1e-10, atol=1e-12, max_step=0.01).y[:, -1]
        time = until
    return state


def simulated(
    protectors: list[tuple[float, float]],
    rusher: tuple[float, float],
    drop: Drop,
    end: float,
    step: float,
    **assume: float,
) -> Vector:
    """Places of the protectors and the rusher at `end`, one after another."""
    men = [(place, "RT", "block", 0, NAN, NAN, NAN, "") for place in protectors]
    rushers = [(rusher, False, [], NAN, NAN, "power", 0.0)]
    formation = _core.Formation("gun", (0.0, drop.start), men, rushers, 0.0, 0.0, 0)
    alone = {"early_throws": 0.0, "steps_first": 0.0}  # the passer does as planned
    assumptions = _core.Assumptions(rusher_reaction=REACTION, protector_reaction=REACTION, **alone, **assume)
    rep = _core.simulate_rep(formation, assumptions, THROWS, drop.depth, 1, None, 1.0, 0.1, step)
    frame = round(end / 0.1)
    assert rep["time"][frame] == pytest.approx(end)
    return np.asarray(rep["place"][frame, 1:]).ravel()


@pytest.mark.parametrize("rusher", [(9.0, 0.0), (-4.0, -3.0), (12.0, 7.0)])
def test_a_lone_rusher_turns_after_the_passer_as_integrated(rusher: tuple[float, float]) -> None:
    drop, end = Drop(5.0, 7.0), 1.4

    def change(time: float, state: Vector) -> Vector:
        return np.concatenate([state[2:], drive(state[2:], toward(state[:2], drop.rushed(time), 9.7), 9.7, 0.9)])

    exact = integrated(change, np.array([*rusher, 0.0, 0.0]), [drop.top, drop.top + 0.4], end)[:2]
    errors = [float(np.hypot(*(simulated([], rusher, drop, end, step) - exact))) for step in (0.01, 0.005, 0.0025)]
    assert errors[1] < 2e-4
    assert errors[0] / errors[1] == pytest.approx(4, abs=0.8)  # second order
    assert errors[1] / errors[2] == pytest.approx(4, abs=0.8)


@pytest.mark.parametrize("wide", [1.8, 2.6, 4.0])
def test_a_protector_sets_on_his_rusher_as_integrated(wide: float) -> None:
    """No discs, so the rusher runs straight and nobody touches; hips stay closed. The protector sees him as he was
    0.2 s before, carried on straight."""
    drop, kick = Drop(5.0, 9.0), 2.2
    tackle, end_man, end = (3.2, 0.7), (3.2 + wide, -0.9), 0.9

    def runs(time: float, state: Vector) -> Vector:
        return np.concatenate([state[2:], drive(state[2:], toward(state[:2], drop.rushed(time), 9.7), 9.7, 0.9)])

    rests = np.array([*end_man, 0.0, 0.0])
    ran = solve_ivp(
        runs, (REACTION, end), rests, method="DOP853", rtol=1e-10, atol=1e-12, max_step=0.01, dense_output=True
    )

    def seen_at(time: float) -> tuple[Vector, Vector]:
        then = max(0.0, time - REACTION)
        was = ran.sol(then) if then > REACTION else rests
        return was[:2] + (time - then) * was[2:], was[2:]

    def change(time: float, state: Vector) -> Vector:
        wants = protector_wants(state[:2], *seen_at(time), drop, time, kick)
        return np.concatenate([state[2:], drive(state[2:], wants, 8.9, 0.9)])

    breaks = [2 * REACTION, drop.top]  # where he begins to see him move
    exact = np.concatenate([integrated(change, np.array([*tackle, 0.0, 0.0]), breaks, end)[:2], ran.y[:2, -1]])
    bare = {"reach": 0.0, "reach_open": 0.0, "body": 0.0, "opens_at": 1e9, "kick_speed": kick, "kick_back": 1.0}
    bare |= {"set_most": 0.0, "set_least": 0.0}
    seen = simulated([tackle], end_man, drop, end, 0.005, **bare)
    assert np.hypot(*(exact[:2] - np.array(tackle))) > 0.25  # he has set
    assert np.hypot(*(exact[:2] - exact[2:])) > 0.3  # and has no hands on him yet
    assert seen == pytest.approx(exact, abs=1e-3)
    finer = simulated([tackle], end_man, drop, end, 0.00125, **bare)
    assert np.abs(finer - exact).max() < 0.35 * np.abs(seen - exact).max()
