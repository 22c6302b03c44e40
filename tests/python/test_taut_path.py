"""The taut path against a visibility graph over every tangent point, solved by SciPy, and against worked strings."""

import math

import numpy as np
import pytest
from numpy.typing import NDArray

import shortedge as se
from conftest import unit_vector
from plain.taut import taut_length

Points = NDArray[np.float64]
Case = tuple[Points, Points, Points, Points]
KINDS = ("apart", "crowd", "touching", "row", "on rims", "alike", "inside", "wall")


def case(rng: np.random.Generator, kind: str) -> Case:
    """start, goal, centres (n, 2) and radii (n,) in yd: up to eight discs about the way."""
    n = int(rng.integers(1, 9))
    start, goal = np.array([0.0, 0.0]), rng.uniform([8.0, -1.0], [10.0, 1.0])
    centres = rng.uniform([1.0, -2.5], [8.0, 2.5], (n, 2))
    radii = rng.uniform(0.1, 1.2, n)
    if kind == "apart":
        radii *= 0.5
    elif kind == "crowd":  # most overlap
        centres[:, 1] *= 0.5
        radii += 0.6
    elif kind == "touching":  # a chain, each touching the one before; 3-4-5 triangles, so that no distance is rounded
        radii = rng.integers(1, 4, n) * 5 / 16
        centres = np.round(centres * 16) / 16
        for k in range(1, n):
            ahead = rng.permutation([3, 4]) * rng.choice([-1, 1], 2) / 5
            centres[k] = centres[k - 1] + (radii[k - 1] + radii[k]) * 16 / 5 * np.round(ahead * 5) / 16
    elif kind == "row":  # centres on the straight line, start and goal too
        share = np.sort(rng.uniform(0.1, 0.9, n))
        goal = np.array([9.0, 0.0])
        centres = np.column_stack([9.0 * share, np.zeros(n)])
    elif kind == "on rims":  # the first disc begins at the start, the last one ends at the goal
        centres[0] = start + radii[0] * unit_vector(rng.uniform(-1.5, 1.5))
        centres[-1] = goal - radii[-1] * unit_vector(rng.uniform(-1.5, 1.5))
    elif kind == "alike":  # one radius, some centres twice
        radii[:] = 1.04
        centres[n // 2 :] = centres[: n - n // 2]
    elif kind == "inside":  # start and goal within discs, which shrink
        centres[0] = start + rng.uniform(-0.5, 0.5, 2)
        centres[-1] = goal + rng.uniform(-0.5, 0.5, 2)
    elif kind == "wall":  # shut, or nearly: a ring of discs round the goal
        angle = 2 * np.pi * np.arange(8) / 8
        centres = goal + 2.0 * unit_vector(angle)
        radii = np.full(8, 2.0 * math.sin(math.pi / 8)) * rng.choice([0.9, 1.1])
    return start, goal, centres, radii


def shrunk(start: Points, goal: Points, centres: Points, radii: Points) -> Points:
    """The radii as they count: no more than the distance to start and goal."""
    return np.minimum.reduce([radii, np.hypot(*(centres - start).T), np.hypot(*(centres - goal).T)])


@pytest.mark.parametrize("kind", KINDS)
def test_length_against_a_visibility_graph(kind: str, rng: np.random.Generator) -> None:
    bent = shut = 0
    for k in range(300):
        start, goal, centres, radii = case(rng, kind)
        found = se.taut_path(start, goal, centres, radii)
        brute = taut_length(start, goal, centres, shrunk(start, goal, centres, radii))
        assert found.length == pytest.approx(brute, rel=1e-9), (k, start, goal, centres, radii)
        bent += found.bend > 0
        shut += math.isinf(brute)
    assert bent > 50
    assert shut > 50 or kind != "wall"


@pytest.mark.parametrize("kind", KINDS)
def test_points_lie_on_the_path(kind: str, rng: np.random.Generator) -> None:
    """From start to goal, clear of every disc, as long as said but for the sagitta of 3 degree chords."""
    for _ in range(100):
        start, goal, centres, radii = case(rng, kind)
        path = se.taut_path(start, goal, centres, radii)
        counted = shrunk(start, goal, centres, radii)
        if math.isinf(path.length):
            assert len(path.points) == 0
            assert math.isnan(path.bend)
            continue
        np.testing.assert_array_equal(path.points[0], start)
        np.testing.assert_array_equal(path.points[-1], goal)
        gaps = np.hypot(*(path.points[:, None] - centres).transpose(2, 0, 1))
        assert (gaps > counted - 1e-8).all()
        polyline = float(np.hypot(*np.diff(path.points, axis=0).T).sum())
        arcs = math.radians(path.bend) * counted.max()  # yd of arc, at most
        chord = math.radians(3)
        assert path.length - arcs * (1 - math.sin(chord / 2) / (chord / 2)) - 1e-9 <= polyline <= path.length + 1e-9


@pytest.mark.parametrize("kind", KINDS)
def test_identities(kind: str, rng: np.random.Generator) -> None:
    """Walked the other way, mirrored, moved and turned it is as long; another disc never makes it shorter."""
    for _ in range(100):
        start, goal, centres, radii = case(rng, kind)
        length = se.taut_path(start, goal, centres, radii).length
        assert length >= math.dist(start, goal) - 1e-12
        assert se.taut_path(goal, start, centres, radii).length == pytest.approx(length, rel=1e-9)
        mirror = np.array([1.0, -1.0])
        mirrored = se.taut_path(start * mirror, goal * mirror, centres * mirror, radii)
        assert mirrored.length == pytest.approx(length, rel=1e-9)
        fewer = se.taut_path(start, goal, centres[1:], radii[1:]).length
        assert fewer <= length * (1 + 1e-9)


# Strings worked out by hand, from tangents and arcs.
WORKED = [
    # start, goal, centres, radii, length
    ((-2, 0), (2, 0), [(0, 0)], [1], 2 * math.sqrt(3) + math.pi / 3),
    ((-5, 0), (5, 0), [(0, 0)], [3], 8 + 3 * (math.pi - 2 * math.acos(0.6))),
    ((-2, 0), (0, 2), [(0, 0)], [1], 2 * math.sqrt(2)),  # the string clears the disc
    # Half of an open belt, from the rim of one wheel to the far rim of the other: radii 21 and 6, centres 30 apart.
    ((-21, 0), (36, 0), [(0, 0), (30, 0)], [21, 6], math.sqrt(675) + 16 * math.pi),
]


@pytest.mark.parametrize(("start", "goal", "centres", "radii", "length"), WORKED)
def test_worked_strings(start, goal, centres, radii, length) -> None:
    assert se.taut_path(start, goal, centres, radii).length == pytest.approx(length, rel=1e-12)


def test_a_way_between_touching_discs() -> None:
    """Two discs that touch leave a way between them, one that is shut does not."""
    assert se.taut_path((-5, 0), (5, 0), [(0, 1), (0, -1)], 1.0).length == 10
    ring = 2 * unit_vector(2 * np.pi * np.arange(8) / 8)
    assert math.isinf(se.taut_path((9, 0), (0, 0), ring, 1.0).length)


def test_no_discs() -> None:
    path = se.taut_path((1, 2), (4, 6), np.empty((0, 2)), np.empty(0))
    assert path.length == 5
    assert path.bend == 0
    np.testing.assert_array_equal(path.points, [(1, 2), (4, 6)])
    assert se.taut_path((1, 2), (4, 6), [(2, 4)], 1e-7).length == 5  # a disc under 1e-6 does not count
