"""Points that stand in line, on one another, touching or missing: the figures against Shapely and SciPy."""

import math
import os

import numpy as np
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar
from shapely.geometry import LineString, Point, Polygon

import shortedge as se
from conftest import LINE, taken, written
from plain.taut import taut_length
from shortedge import _core
from test_polygon import nearer

EXAMPLES = 3000 if os.environ.get("SHORTEDGE_FULL") == "1" else 60
QUICK = settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
REACH = 1.04

# A grid of halves makes men coincide, stand in line and on the line of sight; the rest lies anywhere.
coordinate = st.one_of(
    st.integers(-12, 12).map(lambda half: half / 2), st.floats(-6, 6, allow_subnormal=False).map(lambda x: round(x, 6))
)
point = st.tuples(coordinate, coordinate).map(np.array)


@st.composite
def three(draw: st.DrawFn) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Rusher, blocker, passer; often the blocker on the line of sight, or two on one spot."""
    rusher, passer = draw(point), draw(point)
    share = draw(st.one_of(st.none(), st.sampled_from([-0.5, 0.0, 0.25, 0.5, 1.0, 1.5])))
    return rusher, draw(point) if share is None else rusher + share * (passer - rusher), passer


@QUICK
@given(three())
def test_cutoff_ratio_is_the_least_speed(points: tuple[np.ndarray, np.ndarray, np.ndarray]) -> None:
    rusher, blocker, passer = points
    found = se.cutoff_ratio(rusher, blocker, passer)
    if math.dist(rusher, passer) == 0:
        assert found == math.inf
        return

    def asked(share: float) -> float:
        at = rusher + share * (passer - rusher)
        return math.dist(at, blocker) / math.dist(at, rusher)

    assert (found >= 1) == (math.dist(rusher, passer) <= math.dist(blocker, passer)) or abs(found - 1) < 1e-9
    if math.dist(rusher, blocker) == 0:
        assert found == math.dist(blocker, passer) / math.dist(rusher, passer)
        return
    grid = np.linspace(0, 1, 2001)[1:]
    near = grid[np.argmin([asked(share) for share in grid])]
    low = max(1e-9, near - 5e-4)
    best = minimize_scalar(asked, bounds=(low, min(1.0, near + 5e-4)), method="bounded", options={"xatol": 1e-13})
    assert abs(found - min(best.fun, asked(1.0))) < 1e-6 * max(1.0, found)


@QUICK
@given(three(), st.sampled_from([-1, 1]))
def test_corner_held_is_a_distance_from_the_line_of_sight(
    points: tuple[np.ndarray, np.ndarray, np.ndarray], side: int
) -> None:
    rusher, blocker, passer = points
    held = se.corner_held(rusher, blocker, passer, side)
    past = math.dist(rusher, passer) <= math.dist(blocker, passer)
    to_passer = passer - rusher
    line = LineString([rusher - 100 * to_passer, rusher + 100 * to_passer])
    across = line.distance(Point(blocker))
    turn = float(np.cross([*to_passer, 0], [*(blocker - rusher), 0])[2])
    # Coming from upfield, the right side's outside is the rusher's left: u grows to the right, v away from him.
    outside = -side * math.copysign(across, turn)
    along = float(np.dot(blocker - rusher, to_passer)) / math.hypot(*to_passer)
    if past:  # inside: not below his reach; outside: gone
        assume(abs(outside) > 1e-9)
        assert abs(held - (min(REACH + outside, 2 * REACH) if outside > 0 else 0)) < 1e-9
        return
    # On the line but not clearly between, or abreast of an end of it: either side, by a hair.
    assume(across > 1e-9 or 1e-9 < along < math.hypot(*to_passer) - 1e-9)
    assume(outside > 0 or min(abs(along), abs(along - math.hypot(*to_passer))) > 1e-9)
    if outside > 0 or 0 < along < math.hypot(*to_passer):
        assert abs(held - min(max(REACH + outside, 0), 2 * REACH)) < 1e-9
    else:
        assert held == 0


@st.composite
def discs(draw: st.DrawFn) -> tuple[np.ndarray, np.ndarray]:
    """Up to six: some coincide, some touch, some stand in line."""
    centres, radii = [], []
    for _ in range(draw(st.integers(1, 6))):
        how = draw(st.sampled_from(["anywhere", "again", "touching"])) if centres else "anywhere"
        radius = draw(st.sampled_from([0.25, 0.5, 1.04, 1.5]))
        if how == "anywhere":
            centres.append(draw(point))
        elif how == "again":
            centres.append(centres[-1])
        else:  # along an axis, so that no distance is rounded
            step = [(1, 0), (-1, 0), (0, 1), (0, -1)][draw(st.integers(0, 3))]
            radius = draw(st.sampled_from([0.25, 0.5]))
            centres.append(centres[-1] + (radius + radii[-1]) * np.array(step))
        radii.append(radius)
    return np.array(centres), np.array(radii)


def counted(start: np.ndarray, goal: np.ndarray, centres: np.ndarray, radii: np.ndarray) -> np.ndarray:
    return np.minimum.reduce([radii, np.hypot(*(centres - start).T), np.hypot(*(centres - goal).T)])


@QUICK
@given(point, point, discs())
def test_taut_path_is_the_shortest_in_the_visibility_graph(
    start: np.ndarray, goal: np.ndarray, among: tuple[np.ndarray, np.ndarray]
) -> None:
    centres, radii = among
    found = se.taut_path(start, goal, centres, radii).length
    assert found >= math.dist(start, goal) - 1e-12
    exact = counted(start, goal, centres, radii)
    assume(math.dist(start, goal) > 0)
    lengths = [taut_length(start, goal, centres, np.maximum(exact + grown, 0)) for grown in (-1e-6, 0, 1e-6)]
    if (math.isinf(lengths[2]) and math.isfinite(lengths[0])) or lengths[2] - lengths[0] > 1e-3:
        # A gap that opens or shuts by a hair: between the two answers.
        assert lengths[0] - 1e-6 <= found <= lengths[2] + 1e-6
    else:
        assert found == lengths[1] or abs(found - lengths[1]) < 1e-8


@QUICK
@given(point, point, point, st.sampled_from([0.25, 0.5, 1.04, 1.5]))
def test_the_lesser_way_round_is_the_taut_path(
    start: np.ndarray, centre: np.ndarray, goal: np.ndarray, reach: float
) -> None:
    assume(math.dist(start, centre) > reach + 1e-6 and math.dist(goal, centre) > reach + 1e-6)
    rules = se.Rules(reach=reach, bow=0.0, arm=0.0)
    ways = [se.way_round(start, centre, goal, side, rules=rules) for side in (-1, 1)]
    exact = taut_length(start, goal, centre[None], np.array([reach]))
    assert abs(min(way.length for way in ways) - exact) < 1e-8
    for way in ways:
        if len(way.points) > 1 and math.isfinite(way.length):
            drawn = LineString(way.points)
            assert drawn.length <= way.length + 1e-9
            assert drawn.length >= 0.9995 * way.length


@st.composite
def frame(draw: st.DrawFn) -> tuple[dict[str, np.ndarray], list[np.ndarray]]:
    """The men of a line and rushers; some on one spot, in line, on the passer's line of sight."""
    men = {"QB": np.array([draw(st.sampled_from([0.0, 0.5, -1.0])), draw(st.sampled_from([3.0, 5.0, 7.5]))])}
    for slot, (u, v) in LINE.items():
        spread = draw(st.sampled_from([1.0, 1.0, 0.5, 0.0]))
        moved = draw(st.tuples(st.sampled_from([0.0, 0.0, 0.5, -0.5]), st.sampled_from([0.0, 0.0, 1.0, 2.0, 4.0])))
        men[slot] = np.array([spread * u, v]) + moved
    rushers = [
        draw(st.one_of(point, st.sampled_from(list(men.values())), st.just((men["QB"] + men["LT"]) / 2)))
        for _ in range(draw(st.integers(0, 3)))
    ]
    return men, rushers


@QUICK
@given(frame())
def test_the_pocket_is_shapelys(of: tuple[dict[str, np.ndarray], list[np.ndarray]]) -> None:
    men, rushers = of
    people = {"QB": ("offense", "QB", None)} | {slot: ("offense", slot, None) for slot in LINE}
    people |= {f"R{n}": ("defense", "DL", "rusher") for n in range(len(rushers))}
    game = taken(written({"p": men | {f"R{n}": at for n, at in enumerate(rushers)}}, people))
    row = se.measure(game).frames.iloc[0]
    if row["status"] != "ok":
        assert math.isnan(row["pocket_area"])
        return
    at = _core.picture(game.core, 0, se.Rules())["frames"][0]
    pocket, passer = Polygon(at["ring"]), men["QB"]
    assert pocket.is_valid
    assert pocket.exterior.is_ccw
    assert pocket.distance(Point(passer)) < 1e-9
    left, _, right, _ = pocket.bounds
    assert abs(right - left - row["pocket_width"]) < 1e-9
    assert abs(pocket.area - row["pocket_area"]) < 1e-9
    assert abs(LineString([passer, passer - [0, 300]]).intersection(pocket).length - row["pocket_depth"]) < 1e-9
    room = pocket
    for rusher in rushers:
        if math.dist(rusher, passer) > 1e-9 and not room.is_empty:
            room = room.intersection(nearer(passer, rusher))
    if all(math.dist(rusher, passer) > 1e-9 and rusher[1] >= -1 for rusher in rushers):
        assert abs(room.area - row["passer_room"]) < 1e-7
