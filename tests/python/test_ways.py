"""The ways round one blocker: their geometry against the taut path, their times against integrated motion."""

import math
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

import shortedge as se
from conftest import unit_vector
from plain.ways import Way, turn_cap, way_round

Point = NDArray[np.float64]
RULES = se.Rules()
VALUES = RULES.as_dict()


def random_case(rng: np.random.Generator) -> tuple[Point, Point, Point]:
    """rusher, blocker, passer: the rusher outside the blocker's reach and farther from the passer than he."""
    passer = np.array([0.0, rng.uniform(4, 10)])
    blocker = passer + rng.uniform(1.2, 6) * unit_vector(rng.uniform(-math.pi, 0))
    rusher = blocker + rng.uniform(1.05, 4) * unit_vector(rng.uniform(-math.pi, math.pi))
    return (rusher, blocker, passer) if math.dist(rusher, passer) > math.dist(blocker, passer) else random_case(rng)


def test_the_shorter_way_is_the_taut_path(rng: np.random.Generator) -> None:
    """Round one disc the string goes one of the two ways; the other is no shorter."""
    turns = 0
    for _ in range(500):
        rusher, blocker, passer = random_case(rng)
        left, right = (se.way_round(rusher, blocker, passer, side) for side in (-1, 1))
        taut = se.taut_path(rusher, passer, blocker[None], RULES.reach)
        shorter = min(left, right, key=lambda way: way.length)
        assert shorter.length == pytest.approx(taut.length, rel=1e-12)
        assert shorter.bend == pytest.approx(taut.bend, abs=1e-9)
        turns += taut.bend > 0
    assert turns > 100


def test_a_way_passes_on_its_side(rng: np.random.Generator) -> None:
    """Looking from the rusher's side upfield, +1 leaves the blocker to the left of the path, -1 to its right: the path
    winds about him counter-clockwise and clockwise, from rusher to passer, by the same angle the two make with him."""
    for _ in range(200):
        rusher, blocker, passer = random_case(rng)
        for side in (-1, 1):
            way = se.way_round(rusher, blocker, passer, side)
            if way.bend == 0:
                continue
            np.testing.assert_array_equal(way.points[[0, -1]], [rusher, passer])
            from_him = way.points - blocker
            assert np.hypot(*from_him.T).min() > RULES.reach * math.cos(math.radians(1.5)) - 1e-9
            winding = np.unwrap(np.arctan2(from_him[:, 1], from_him[:, 0]))
            assert side * (winding[-1] - winding[0]) > 0
            polyline = float(np.hypot(*np.diff(way.points, axis=0).T).sum())
            arc = RULES.reach * math.radians(way.bend)
            assert way.length - 2e-4 * arc - 1e-9 <= polyline <= way.length + 1e-9
    # Head up, the passer straight behind: +1 goes by on the offence's right.
    assert se.way_round((0, 0), (0, 2), (0, 7), 1).points[:, 0].max() == pytest.approx(RULES.reach, abs=2e-3)
    assert se.way_round((0, 0), (0, 2), (0, 7), -1).points[:, 0].min() == pytest.approx(-RULES.reach, abs=2e-3)


def test_degenerate_ways() -> None:
    """Past: the straight line on the side he passed on, and no way on the other. The passer on the blocker: the
    straight line. On the blocker, and not past him: none."""
    for side in (-1, 1):
        past = se.way_round((0, 6), (-0.2 * side, 4), (0, 7), side)
        assert (past.length, past.bend) == (1, 0)
        gone = se.way_round((0, 6), (0.2 * side, 4), (0, 7), side)
        assert math.isinf(gone.time)
        assert math.isnan(gone.bend)
        assert len(gone.points) == 0
        assert se.way_round((0, 0), (0, 7), (0, 7), side).length == 7
        nowhere = se.way_round((0, 2 - 5e-10), (0, 2), (0, 7), side)
        assert math.isinf(nowhere.length)
        assert math.isinf(nowhere.time)
        assert math.isnan(nowhere.bend)


# --- times ---------------------------------------------------------------------------------------------------------


def ran(speed: float, distance: float, limit: float = math.inf) -> tuple[float, float, float]:
    """Forward from a speed, dv/dt = (vmax - v)/tau, until the distance or the limit of speed: s, yd, yd/s."""
    if distance <= 0 or speed >= limit:
        return 0.0, 0.0, speed
    far = lambda _, y: y[0] - distance  # noqa: E731
    fast = lambda _, y: y[1] - limit  # noqa: E731
    far.terminal = fast.terminal = True
    events = [far, fast] if math.isfinite(limit) else [far]
    law = lambda _, y: (y[1], (VALUES["vmax"] - y[1]) / VALUES["tau"])  # noqa: E731
    path = solve_ivp(law, (0, 60), (0.0, speed), method="DOP853", events=events, rtol=1e-11, atol=1e-12)
    return float(path.t[-1]), float(path.y[0, -1]), float(path.y[1, -1])


def ran_then_braked(speed: float, distance: float, cap: float) -> tuple[float, float]:
    """Over a straight at whose end the speed must be `cap` or less: s and the speed there.

    Backward from the end at the cap, d(v^2)/ds = -2 a_brake and dt/ds = -1/v, and forward from the start; he changes
    over where the two meet.
    """
    back = lambda _, y: (-2 * VALUES["a_brake"], -1 / math.sqrt(y[0]))  # noqa: E731
    exact = {"method": "DOP853", "rtol": 1e-11, "atol": 1e-12}
    braking = solve_ivp(back, (distance, 0), (cap * cap, 0.0), dense_output=True, **exact)
    if speed * speed >= braking.y[0, -1]:  # faster than can be braked: lowered to it
        return float(braking.y[1, -1]), cap
    law = lambda _, y: (y[1], (VALUES["vmax"] - y[1]) / VALUES["tau"])  # noqa: E731
    meet = lambda _, y: y[1] ** 2 - braking.sol(min(y[0], distance))[0]  # noqa: E731
    far = lambda _, y: y[0] - distance  # noqa: E731
    meet.terminal = far.terminal = True
    path = solve_ivp(law, (0, 60), (0.0, speed), events=[far, meet], max_step=0.05, **exact)
    place, fast = float(path.y[0, -1]), float(path.y[1, -1])
    if place >= distance - 1e-9:
        return float(path.t[-1]), min(fast, cap)
    return float(path.t[-1]) + float(braking.sol(place)[1]), cap


def integrated(way: Way, velocity: Point, cap: float) -> float:
    """Least time of a way less its last arm, by integration."""
    left = way.first + way.arc + way.last - VALUES["arm"]
    first, arc = min(way.first, left), min(way.arc, max(0.0, left - way.first))
    last = left - first - arc
    speed = min(max(0.0, float(velocity @ way.start)), VALUES["vmax"])
    if arc <= 0:
        return ran(speed, left)[0]
    time = 0.0
    if first > 0:
        time, speed = ran_then_braked(speed, first, cap)
    speed = min(speed, cap)
    up, place, speed = ran(speed, arc, cap)
    time += up + (arc - place) / speed
    return time + ran(speed, last)[0]


CASES = {
    # rusher, blocker, passer, velocity
    "from rest": ((5.0, 0.0), (4.0, 1.5), (0.0, 7.0), (0.0, 0.0)),
    "moving along": ((5.0, 0.0), (4.0, 1.5), (0.0, 7.0), (0.0, 4.0)),
    "moving away": ((5.0, 0.0), (4.0, 1.5), (0.0, 7.0), (2.0, -3.0)),
    "must brake before the arc": ((0.3, 0.0), (0.0, 4.0), (0.0, 9.0), (0.0, 8.0)),
    "too fast to brake": ((0.3, 0.0), (0.0, 1.6), (0.0, 9.0), (1.0, 9.5)),
    "arm cuts into the arc": ((0.2, 0.0), (0.0, 2.0), (0.0, 3.1), (0.0, 2.0)),
    "arm cuts into the first tangent": ((0.2, 0.0), (0.0, 2.0), (0.0, 2.3), (0.0, 2.0)),
    "on the rim": ((0.0, 1.0), (0.0, 2.04), (0.0, 7.0), (0.0, 3.0)),
    "within reach": ((0.1, 1.4), (0.0, 2.0), (0.0, 7.0), (3.0, 0.0)),
    "a grazing turn": ((1.2, 0.0), (0.0, 3.0), (1.0, 8.0), (0.0, 5.0)),
}


def check_time(rusher: Point, blocker: Point, passer: Point, velocity: Point) -> list[str]:
    """Both ways' times; what happened in them."""
    seen = []
    for side in (-1, 1):
        way = way_round(rusher, blocker, passer, side, RULES.reach)
        assert way is not None
        cap = turn_cap(way.bend, way.radius, VALUES) if way.arc > 0 else math.inf
        found = se.way_round(rusher, blocker, passer, side, velocity=velocity)
        assert found.length == pytest.approx(way.first + way.arc + way.last, rel=1e-9)
        assert found.time == pytest.approx(integrated(way, velocity, cap), abs=2e-7)
        left = way.first + way.arc + way.last - VALUES["arm"]
        if way.arc > 0 and way.first < left < way.first + way.arc:
            seen.append("cut arc")
        if way.arc > 0 and way.first > 0 and ran(max(0.0, float(velocity @ way.start)), way.first)[2] > cap:
            seen.append("braked")
        if way.arc > 0 and cap == VALUES["vmax"]:
            seen.append("free")
    return seen


@pytest.mark.parametrize("name", CASES)
def test_time_against_integration(name: str) -> None:
    seen = check_time(*(np.array(point) for point in CASES[name]))
    if "brake" in name:
        assert "braked" in seen
    if "into the arc" in name:
        assert "cut arc" in seen


def test_time_against_integration_at_random(rng: np.random.Generator) -> None:
    seen = []
    for _ in range(40):
        rusher, blocker, passer = random_case(rng)
        seen += check_time(rusher, blocker, passer, rng.uniform(0, 9) * unit_vector(rng.uniform(-math.pi, math.pi)))
    assert seen.count("braked") >= 5


def test_a_grazing_turn_costs_nothing() -> None:
    """As the blocker slides out of the straight line, time and length join those of the straight way without a jump:
    `bow` widens the arc of a slight turn. Without it the cap of the tight arc stays however slight the turn."""
    passer, rusher, velocity = np.array([0.0, 9.0]), np.array([0.0, 0.0]), np.array([0.0, 9.0])

    def at(aside: float, rules: se.Rules) -> se.WayRound:
        return se.way_round(rusher, (aside - rules.reach, 4.0), passer, 1, velocity=velocity, rules=rules)

    straight = at(-1e-9, RULES)
    assert straight.bend == 0
    for aside in (1e-8, 1e-7, 1e-6, 1e-5):
        slight = at(aside, RULES)
        assert slight.bend > 0
        assert slight.time == pytest.approx(straight.time, abs=1e-5)
    tight = se.Rules(bow=0)
    assert at(1e-6, tight).time > at(-1e-9, tight).time + 0.3


def test_time_is_continuous(rng: np.random.Generator) -> None:
    """A millionth of a yard moves no time by more than a ten thousandth of a second, away from where the blocker ceases
    to be in between."""
    for _ in range(500):
        rusher, blocker, passer = random_case(rng)
        if math.dist(rusher, passer) - math.dist(blocker, passer) < 1e-3:
            continue
        velocity = rng.uniform(-5, 5, 2)
        for side in (-1, 1):
            here = se.way_round(rusher, blocker, passer, side, velocity=velocity).time
            there = se.way_round(rusher + rng.uniform(-1e-6, 1e-6, 2), blocker, passer, side, velocity=velocity).time
            assert there == pytest.approx(here, abs=1e-4)


# --- straight sprints ----------------------------------------------------------------------------------------------


def straight_time(distance: float, speed: float, vmax: float, tau: float) -> float:
    """s over a straight way to a passer who has nobody before him."""
    rules = se.Rules(vmax=vmax, tau=tau, arm=0)
    way = se.way_round((0, 0), (0, 2 * distance + 1), (0, distance), 1, velocity=(0, speed), rules=rules)
    assert (way.length, way.bend) == (distance, 0)
    return way.time


# v = vmax (1 - e^(-t/tau)), the model of Furusawa, Hill & Parkinson 1927 (Proc R Soc B 102): computed to 4 decimals.
FROM_REST = [
    (8.0, 0.8, {1: 0.4931, 2: 0.7280, 5: 1.2592, 9.144: 1.8653, 10: 1.9829, 20: 3.2869, 36.576: 5.3710, 40: 5.7994}),
    (9.0, 1.0, {5: 1.2766, 10: 1.9719, 20: 3.1807, 40: 5.4401}),
]
AT_TIMES = [
    # vmax, tau, t: (x, v)
    (8.0, 0.8, {0.25: (0.2823, 2.1471), 0.5: (1.0257, 3.7179), 1: (3.4336, 5.7080), 2: (10.1253, 7.3433)}),
    (9.0, 1.0, {0.5: (0.9588, 3.5412), 1: (3.3109, 5.6891), 2: (10.2180, 7.7820), 3: (18.4481, 8.5519)}),
]


@pytest.mark.parametrize(("vmax", "tau", "table"), FROM_REST)
def test_sprints_from_rest(vmax: float, tau: float, table: dict[float, float]) -> None:
    for distance, time in table.items():
        assert straight_time(distance, 0, vmax, tau) == pytest.approx(time, abs=6e-5)


@pytest.mark.parametrize(("vmax", "tau", "table"), AT_TIMES)
def test_sprints_from_a_moving_start(vmax: float, tau: float, table: dict[float, tuple[float, float]]) -> None:
    """Between two rows of the table: from the speed of the one, over the distance to the other, in the time between."""
    rows = sorted(table.items())
    for (t0, (x0, v0)), (t1, (x1, _)) in pairwise(rows):
        assert straight_time(x1 - x0, v0, vmax, tau) == pytest.approx(t1 - t0, abs=1e-4)


def test_published_distances_of_a_sprint() -> None:
    """Half of the greatest acceleration at 1.3 m and 95 % of the top speed at 14 m, for vmax 8.591 m/s and tau 0.811 s:
    worked example in the documentation of Jovanovic's sprint profiles (release 1.1.4, Zenodo 4296844; read)."""
    vmax, tau = 8.591143, 0.811329
    for distance, share_left, digits in ((1.3, 0.5, 0.05), (14.0, 0.05, 0.5)):
        moment = tau * math.log(1 / share_left)  # when vmax - v has fallen to that share
        assert straight_time(distance - digits, 0, vmax, tau) < moment < straight_time(distance + digits, 0, vmax, tau)
