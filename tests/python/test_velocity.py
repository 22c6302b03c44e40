"""Fitted velocities against SciPy's Savitzky-Golay filter on even clocks and NumPy's polynomials on uneven ones."""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.signal import savgol_filter

from shortedge import _core

WINDOWS = {5.0: 5, 8.0: 5, 10.0: 5, 12.5: 7, 20.0: 11, 25.0: 13, 30.0: 15, 50.0: 25, 100.0: 51}  # Hz: samples
# The odd number nearest to half a second of samples, of two as near the greater, and at least 5.


def wandering(rng: np.random.Generator, count: int) -> NDArray[np.float64]:
    """A path of that many points: (count, 2) in yd."""
    return np.cumsum(rng.normal(0, 0.5, (count, 2)), axis=0) + rng.uniform(0, 100, 2)


@pytest.mark.parametrize("rate", WINDOWS)
def test_even_clock(rate: float, rng: np.random.Generator) -> None:
    place = wandering(rng, 120)
    expected = savgol_filter(place, WINDOWS[rate], polyorder=2, deriv=1, delta=1 / rate, axis=0, mode="interp")
    found = _core.fit_velocity(np.arange(120) / rate, place)
    np.testing.assert_allclose(found, expected, rtol=0, atol=1e-8)


@pytest.mark.parametrize("held", [5, 6, 7, 8, 12])
def test_short_stretch(held: int, rng: np.random.Generator) -> None:
    """A stretch that holds less than a window: all of it, or one less where that is even."""
    place = wandering(rng, held)
    window = held - (held % 2 == 0)
    expected = savgol_filter(place, window, polyorder=2, deriv=1, delta=1 / 50, axis=0, mode="interp")
    np.testing.assert_allclose(_core.fit_velocity(np.arange(held) / 50, place), expected, rtol=0, atol=1e-8)


def by_polynomials(times: NDArray[np.float64], place: NDArray[np.float64], window: int) -> NDArray[np.float64]:
    """The slope at each time of a quadratic through the window of samples about it, shifted inwards at the ends."""
    slopes = np.empty_like(place)
    for k, now in enumerate(times):
        first = min(max(0, k - window // 2), len(times) - window)
        near = slice(first, first + window)
        slopes[k] = [np.polyfit(times[near] - now, place[near, axis], 2)[1] for axis in (0, 1)]
    return slopes


@pytest.mark.parametrize("seed", range(20))
def test_uneven_clock(seed: int) -> None:
    rng = np.random.default_rng(seed)
    rate = float(rng.choice([8.0, 10.0, 25.0, 60.0]))
    times = 1000 + np.cumsum(rng.uniform(0.4, 1.6, 80)) / rate
    place = wandering(rng, 80)
    ratio = 0.5 / float(np.median(np.diff(times)))
    window = max(5, min(range(1, 80, 2), key=lambda odd: (abs(odd - ratio), -odd)))
    found = _core.fit_velocity(times, place)
    np.testing.assert_allclose(found, by_polynomials(times, place, window), rtol=0, atol=1e-7)


def test_gaps(rng: np.random.Generator) -> None:
    """Nothing is fitted across more than half a second; a stretch of under five samples has no velocity."""
    steps = np.full(39, 0.1)
    steps[[9, 13, 24]] = [0.6, 0.8, 0.51]  # stretches of 10, 4, 11 and 15 samples
    times = np.concatenate([[0.0], np.cumsum(steps)])
    place = wandering(rng, 40)
    found = _core.fit_velocity(times, place)
    for first, last in ((0, 10), (14, 25), (25, 40)):
        expected = savgol_filter(place[first:last], 5, polyorder=2, deriv=1, delta=0.1, axis=0, mode="interp")
        np.testing.assert_allclose(found[first:last], expected, rtol=0, atol=1e-8)
    assert np.isnan(found[10:14]).all()


def test_half_a_second_is_no_gap(rng: np.random.Generator) -> None:
    times = np.array([0.0, 0.1, 0.2, 0.7, 0.8, 0.9])
    place = wandering(rng, 6)
    np.testing.assert_allclose(_core.fit_velocity(times, place), by_polynomials(times, place, 5), rtol=0, atol=1e-9)


def test_published_weights() -> None:
    """First derivative, quadratic, 5 points: -2 -1 0 1 2 over 10 (Savitzky and Golay 1964, Anal Chem 36:1627); so white
    noise of 0.10 m at 10 Hz becomes 0.316 m/s (computed from the weights)."""
    times = np.arange(5) / 10
    weights = [_core.fit_velocity(times, np.column_stack([row, row]))[2, 0] / 10 for row in np.eye(5)]
    np.testing.assert_allclose(weights, np.array([-2, -1, 0, 1, 2]) / 10, rtol=0, atol=1e-12)
    assert 0.10 * 10 * np.sqrt(np.sum(np.square(weights))) == pytest.approx(0.316, abs=5e-4)


def test_a_parabola_is_met_exactly() -> None:
    """Constant acceleration on an uneven clock: the very velocity, at the ends too."""
    times = np.array([0.0, 0.07, 0.2, 0.31, 0.39, 0.55, 0.6, 0.74, 0.9, 1.0])
    place = np.column_stack([3 - 2 * times + 4 * times**2, 60 + 5 * times - times**2])
    expected = np.column_stack([-2 + 8 * times, 5 - 2 * times])
    np.testing.assert_allclose(_core.fit_velocity(times, place), expected, rtol=0, atol=1e-10)
