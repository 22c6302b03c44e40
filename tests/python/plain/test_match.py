"""The plain matching by other means: every course of assignments written out, and mixed-integer programming."""

from itertools import pairwise, product

import numpy as np
import pytest
from scipy.optimize import LinearConstraint, milp
from scipy.sparse import lil_array

from .match import CHANGE, cheapest, frame_weights

MEN = ["a", "b", "c"]


def cost_of(course: tuple[tuple[int, ...], ...], tables: list[np.ndarray]) -> float:
    """What a course of joint assignments costs."""
    inside = sum(float(tables[n][k][man]) for k, frame in enumerate(course) for n, man in enumerate(frame))
    return inside + CHANGE * sum(
        p != q for before, after in pairwise(course) for p, q in zip(before, after, strict=True)
    )


def random_tables(rng: np.random.Generator, rushers: int, men: int, frames: int) -> list[np.ndarray]:
    """Costs with men who cannot be had, and nobody always to be had."""
    tables = [rng.uniform(0, 1.5, (frames, men + 1)) for _ in range(rushers)]
    for table in tables:
        table[:, :men][rng.random((frames, men)) < 0.15] = np.inf
    return tables


@pytest.mark.parametrize("seed", range(6))
def test_cheapest_of_every_course(seed: int) -> None:
    """All courses of two rushers, three men (or nobody) and four frames, one by one; one rusher absent now and then."""
    rng = np.random.default_rng(seed)
    tables = random_tables(rng, 2, 3, 4)
    plays = [np.ones(4, dtype=bool), np.ones(4, dtype=bool)]
    if seed % 2:
        plays[0][1 + seed // 2 % 3] = False
        tables[0][~plays[0]] = 0.0
    able = []
    for k in range(4):
        both = plays[0][k] and plays[1][k]
        able.append([s for s in product(range(4), repeat=2) if not (both and s[0] == s[1] < 3)])
    best = min(product(*able), key=lambda course: cost_of(course, tables))
    chosen, total = cheapest(tables, plays, [MEN, MEN])
    assert total == pytest.approx(cost_of(best, tables), abs=1e-12)
    assert cost_of(tuple(chosen), tables) == pytest.approx(total, abs=1e-12)
    for n in (0, 1):  # where he is absent, what he "has" is nobody's business
        assert [s[n] for k, s in enumerate(chosen) if plays[n][k]] == [s[n] for k, s in enumerate(best) if plays[n][k]]


@pytest.mark.parametrize("seed", range(3))
def test_cheapest_of_a_whole_play(seed: int) -> None:
    """Four rushers, six men, thirty frames, against an integer program of the same costs."""
    rng = np.random.default_rng(100 + seed)
    rushers, men, frames = 4, 6, 30
    slow = np.cumsum(rng.normal(0, 0.2, (rushers, frames, men + 1)), axis=1)
    tables = [0.5 + abs(slow[n] + rng.uniform(0, 1, men + 1)) for n in range(rushers)]
    names = [f"p{n}" for n in range(men)]
    chosen, total = cheapest(tables, [np.ones(frames, dtype=bool)] * rushers, [names] * rushers)

    size = rushers * frames * (men + 1)
    had = np.arange(size).reshape(rushers, frames, men + 1)
    changed = size + np.arange(rushers * (frames - 1)).reshape(rushers, frames - 1)
    price = np.concatenate([np.array(tables).ravel(), np.full(changed.size, CHANGE)])
    rows: list[tuple[list[int], list[float], float, float]] = []
    for k in range(frames):
        rows += [(list(had[n, k]), [1.0] * (men + 1), 1, 1) for n in range(rushers)]
        rows += [(list(had[:, k, p]), [1.0] * rushers, 0, 1) for p in range(men)]
    for n, k, p in product(range(rushers), range(frames - 1), range(men + 1)):
        rows.append(([had[n, k + 1, p], had[n, k, p], changed[n, k]], [1.0, -1.0, -1.0], -np.inf, 0))
    matrix = lil_array((len(rows), len(price)))
    for row, (where, values, _, _) in enumerate(rows):
        matrix[row, where] = values
    limits = LinearConstraint(matrix.tocsr(), [r[2] for r in rows], [r[3] for r in rows])
    solved = milp(price, constraints=limits, integrality=np.ones(len(price)), bounds=(0, 1))
    assert solved.success
    assert total == pytest.approx(solved.fun, abs=1e-6)
    assert cost_of(tuple(chosen), tables) == pytest.approx(total, abs=1e-9)
    assert any(p != q for p, q in pairwise(chosen)), "nobody changes, so nothing was tried"


def test_frame_weights() -> None:
    """Half the time to the neighbours on both sides: together the whole time."""
    times = np.array([0.0, 0.1, 0.3, 0.35])
    assert frame_weights(times) == pytest.approx([0.05, 0.15, 0.125, 0.025])
    assert frame_weights(times).sum() == pytest.approx(0.35)
