"""The cut-off ratio against a brute search along the line, the circle of Apollonius and the lead law; broadcasting."""

import math

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

import shortedge as se
from conftest import unit_vector


def test_against_a_search_along_the_line(rng: np.random.Generator) -> None:
    """Meeting him at a point asks the blocker's distance over the rusher's; the least of it over the whole line."""
    for _ in range(1000):
        rusher, blocker, passer = rng.uniform([-8, -3], [8, 10], (3, 2))

        def asked(share: float, r=rusher, b=blocker, q=passer) -> float:
            point = r + share * (q - r)
            return math.dist(point, b) / math.dist(point, r)

        grid = np.linspace(0, 1, 201)[1:]
        near = grid[np.argmin([asked(share) for share in grid])]
        bounds = (max(1e-9, near - 0.005), min(1.0, near + 0.005))
        best = minimize_scalar(asked, bounds=bounds, method="bounded", options={"xatol": 1e-12})
        least = min(best.fun, asked(1.0))
        assert se.cutoff_ratio(rusher, blocker, passer) == pytest.approx(least, rel=1e-7)


def test_at_or_above_one_exactly_when_past(rng: np.random.Generator) -> None:
    points = rng.uniform(-5, 5, (3, 20_000, 2))
    rusher, blocker, passer = points
    past = np.hypot(*(rusher - passer).T) <= np.hypot(*(blocker - passer).T)
    assert 0.2 < past.mean() < 0.8
    np.testing.assert_array_equal(se.cutoff_ratio(rusher, blocker, passer) >= 1, past)


# The slower man at E, the faster at P, speeds in the ratio g: the points both reach together lie on a circle with
# centre k d beyond E on the line PE and radius d g / (1 - g^2), k = g^2 / (1 - g^2) (Apollonius; the formula read on a
# public wiki, the rows computed). For the rusher at P, the blocker at E and the passer on its near arc the ratio is g.
CIRCLES = [
    # distance PE, g, centre, radius
    (10.0, 0.5, 13.3333, 6.6667),
    (5.0, 0.8, 13.8889, 11.1111),
]


@pytest.mark.parametrize(("d", "g", "centre", "radius"), CIRCLES)
def test_circle_of_apollonius(d: float, g: float, centre: float, radius: float) -> None:
    blocker = (d, 0.0)
    assert se.cutoff_ratio((0, 0), blocker, (centre - radius, 0.0)) == pytest.approx(g, abs=1e-4)  # nearest point
    tangent = math.asin(g)  # half-angle of the cone in which his lines meet the circle
    assert tangent == pytest.approx(math.asin(radius / centre), abs=1e-5)
    for angle in (0.3 * tangent, 0.8 * tangent):
        reach = centre * math.cos(angle) - math.sqrt(radius**2 - (centre * math.sin(angle)) ** 2)
        assert se.cutoff_ratio((0, 0), blocker, reach * unit_vector(angle)) == pytest.approx(g, abs=1e-4)
    # Far beyond the circle only the direction counts: sin of the angle, so g on the cone.
    for angle in (0.5 * tangent, tangent, 1.2 * tangent):
        assert se.cutoff_ratio((0, 0), blocker, 1000 * unit_vector(angle)) == pytest.approx(math.sin(angle), rel=1e-12)
    assert math.degrees(math.asin(0.5)) == pytest.approx(30)


# Intercepts: speeds of the faster and the slower man, their distance, the slower man's course off the line of sight;
# where they meet and the faster man's lead, sin(lead) = g sin(psi) (computed from the law of sines).
LEADS = [
    # faster, slower, d, psi, meeting point, lead in degrees
    (8.0, 5.0, 10.0, 90.0, (10.0, 8.0064077), 38.682187),
    (8.0, 4.0, 6.0, 60.0, (8.3027756, 3.9885244), 25.658906),
]


@pytest.mark.parametrize(("fast", "slow", "d", "psi", "meet", "lead"), LEADS)
def test_lead_law(fast: float, slow: float, d: float, psi: float, meet: tuple[float, float], lead: float) -> None:
    """The faster man runs at the meeting point: the slower one needs no more than sin(lead), with which he meets him at
    a right angle to his own line of sight, and with slow / fast he is there at the same time."""
    ratio = se.cutoff_ratio((0, 0), (d, 0), meet)
    assert ratio == pytest.approx(math.sin(math.radians(lead)), abs=1e-6)
    assert ratio == pytest.approx(slow / fast * math.sin(math.radians(psi)), abs=1e-6)
    assert math.dist(meet, (d, 0)) / math.dist(meet, (0, 0)) == pytest.approx(slow / fast, abs=1e-6)


def test_degenerate_answers() -> None:
    rusher, passer = (1.0, 0.0), (0.0, 7.0)
    assert se.cutoff_ratio(rusher, rusher, passer) == 1  # on the blocker: |blocker passer| / |rusher passer|
    assert math.isinf(se.cutoff_ratio(passer, rusher, passer))
    assert math.isinf(se.cutoff_ratio(passer, passer, passer))
    assert se.cutoff_ratio(rusher, passer, passer) == 0
    assert se.cutoff_ratio((0, 0), (0, 3), (0, 7)) == 0
    assert se.cutoff_ratio((0, 0), (0, -7), (0, 7)) == 2  # behind him
    for missing in range(3):
        points = [np.array(rusher), np.array([0.5, 2.0]), np.array(passer)]
        points[missing] = np.array([math.nan, 0.0])
        assert math.isnan(se.cutoff_ratio(*points))
    assert math.isnan(se.cutoff_ratio((math.nan, 7.0), rusher, (math.nan, 7.0)))


def test_broadcasting(rng: np.random.Generator) -> None:
    """Any shapes that broadcast, as NumPy does; a single case is a float. Every element is as a call alone gives it."""
    rusher, blocker = rng.uniform(-5, 5, (4, 1, 2)), rng.uniform(-5, 5, (3, 2))
    passer, side = rng.uniform(-5, 5, (5, 1, 1, 2)), np.array([-1, 0, 1])
    ratios, corners = se.cutoff_ratio(rusher, blocker, passer), se.corner_held(rusher, blocker, passer, side)
    assert ratios.shape == corners.shape == (5, 4, 3)
    for i, j, k in np.ndindex(5, 4, 3):
        one = rusher[j, 0], blocker[k], passer[i, 0, 0]
        ratio, corner = se.cutoff_ratio(*one), se.corner_held(*one, int(side[k]))
        assert isinstance(ratio, float)
        assert isinstance(corner, float)
        assert ratio == ratios[i, j, k]
        np.testing.assert_equal(corner, corners[i, j, k])
    assert se.cutoff_ratio(np.empty((0, 2)), blocker[0], passer[0, 0, 0]).shape == (0,)


def test_corner_held() -> None:
    """The rusher straight ahead of the passer, his line u = 0: reach, and how far outside it the blocker is."""
    rusher, passer, reach = (0.0, 0.0), (0.0, 8.0), 1.04

    def held(u: float, v: float, side: int) -> float:
        return float(se.corner_held(rusher, (u, v), passer, side))

    for side in (-1, 1):
        assert held(0.0, 3.0, side) == pytest.approx(reach)
        assert held(0.3 * side, 3.0, side) == pytest.approx(reach + 0.3)  # outside the line: more than his corner
        assert held(-0.3 * side, 3.0, side) == pytest.approx(reach - 0.3)  # inside it: part of it is lost
        assert held(-2.0 * side, 3.0, side) == 0
        assert held(2.0 * side, 3.0, side) == pytest.approx(2 * reach)
        assert held(-0.3 * side, -0.5, side) == 0  # inside, and no longer between the two
        assert held(0.3 * side, -0.5, side) == pytest.approx(reach + 0.3)  # past him inside: that corner is not lost
        assert held(0.3 * side, 9.0, side) == pytest.approx(reach + 0.3)  # beyond the passer, but outside
    assert math.isnan(held(0.3, 3.0, 0))
    assert math.isnan(held(0.3, -0.5, 0))  # a man without a side has no corner, past or not
