"""Semi-automatic regression ABC: from summaries of simulated games and what they were simulated with to a posterior.

Beaumont, Zhang and Balding 2002 (local linear adjustment); Fearnhead and Prangle 2012 (the summary of an assumption is
its own regression). A reference is `sets` draws of the assumptions from their ranges and, of each, a few games. Games
of one set differ by chance alone: their covariance whitens the summaries, the principal components of the sets' means
follow, and a ridge regression, quadratic in the first of them, tells each assumption. Every prediction of a reference
game is made without its own fold, as that of an unseen game is. How far a game's figures lie from what its assumptions
are expected to give is measured by Mahalanobis's distance in what other reference games lie off: by chance, and by what
the regression misses.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from ..base.columns import Floats

FOLDS = 5
COMPONENTS, SQUARED = 40, 14  # principal components; of these, whose squares and products count
RIDGES = (1.0, 10.0, 100.0, 1000.0)
SHRINKS = 0.1  # the covariance of chance toward its diagonal
FARTHEST = 8.0  # standard deviations: what lies farther counts as there
SEEN = 0.9  # of reference games that must have a figure for it to be used
NEAREST = 0.6  # share of the reference that is near
ALIKE, GATE = 0.2, 0.97  # share of the reference to compare a distance with; share of these that is let through
MOST_COEFFICIENTS = 8  # games at least for a coefficient of the local regression


@dataclass(frozen=True, eq=False)
class Reference:
    """shares: (sets, assumptions), each as a share of its range; summaries: (sets, games, figures)."""

    shares: Floats
    summaries: Floats

    @property
    def games(self) -> int:
        return int(self.summaries.shape[1])

    @property
    def each(self) -> Floats:
        """Shares, a row a game."""
        return np.repeat(self.shares, self.games, axis=0)

    @property
    def flat(self) -> Floats:
        return self.summaries.reshape(-1, self.summaries.shape[2])

    @property
    def of_set(self) -> npt.NDArray[np.int64]:
        return np.repeat(np.arange(len(self.shares)), self.games)


class Whitener:
    """Summaries to numbers whose chance is of variance 1 and uncorrelated."""

    def __init__(self, summaries: Floats) -> None:
        flat = summaries.reshape(-1, summaries.shape[2])
        there = np.isfinite(flat)
        self.used = np.flatnonzero(there.mean(axis=0) >= SEEN)
        column = np.where(there, flat, np.nan)[:, self.used]
        self.middle, spread = np.nanmean(column, axis=0), np.nanstd(column, axis=0)
        varies = spread > 1e-9
        self.used, self.middle, self.spread = self.used[varies], self.middle[varies], spread[varies]
        scaled = self.scaled(flat).reshape(*summaries.shape[:2], -1)
        off = (scaled - scaled.mean(axis=1, keepdims=True)).reshape(-1, scaled.shape[2])
        chance = off.T @ off / (len(off) * (1 - 1 / summaries.shape[1]))
        chance = (1 - SHRINKS) * chance + SHRINKS * np.diag(np.diag(chance)) + 1e-9 * np.eye(len(chance))
        values, vectors = np.linalg.eigh(chance)
        self.root, self.back = vectors / np.sqrt(values), (vectors * np.sqrt(values)).T
        self.chance = np.sqrt(np.diag(chance))

    def scaled(self, flat: Floats) -> Floats:
        """In standard deviations of the reference; what is missing is in its middle."""
        off = (flat[:, self.used] - self.middle) / self.spread
        return np.clip(np.where(np.isfinite(off), off, 0.0), -FARTHEST, FARTHEST)

    def __call__(self, flat: Floats) -> Floats:
        return np.asarray(self.scaled(flat) @ self.root)


def quadratic(z: Floats, squared: int) -> Floats:
    """1, z, and the squares and products of its first columns."""
    first = z[:, :squared]
    upper = np.triu_indices(first.shape[1])
    return np.hstack([np.ones((len(z), 1)), z, first[:, upper[0]] * first[:, upper[1]]])


class Normal:
    """The normal equations of a least squares fit of y on x, whose first column is 1; of parts they add up."""

    def __init__(self, x: Floats, y: Floats) -> None:
        self.squares, self.products = x.T @ x, x.T @ y

    def less(self, other: Normal) -> Normal:
        """Without the rows of another."""
        left = object.__new__(Normal)
        left.squares, left.products = self.squares - other.squares, self.products - other.products
        return left

    def solve(self, penalty: float) -> Floats:
        """(columns of x, columns of y), by ridge: `penalty` on all but the first."""
        on = np.full(len(self.squares), penalty)
        on[0] = 0.0
        return np.asarray(np.linalg.solve(self.squares + np.diag(on), self.products))


class Teller:
    """Tells each assumption of summaries, and how far they lie from those of anything simulated."""

    def __init__(self, reference: Reference) -> None:
        self.whiten = Whitener(reference.summaries)
        white = self.whiten(reference.flat)
        means = white.reshape(*reference.summaries.shape[:2], -1).mean(axis=1)
        self.middle = means.mean(axis=0)
        _, sizes, ways = np.linalg.svd(means - self.middle, full_matrices=False)
        self.ways = ways[:COMPONENTS].T
        self.sizes = sizes[:COMPONENTS] / np.sqrt(len(means))
        x, y = self.features(white), reference.each
        fold, every = reference.of_set % FOLDS, Normal(x, y)
        errors = np.zeros((len(RIDGES), y.shape[1]))
        for k in range(FOLDS):
            held = fold == k
            others = every.less(Normal(x[held], y[held]))
            for row, penalty in enumerate(RIDGES):
                errors[row] += ((y[held] - x[held] @ others.solve(penalty)) ** 2).sum(axis=0)
        solved = np.stack([every.solve(penalty) for penalty in RIDGES])
        self.weights = np.take_along_axis(solved, errors.argmin(axis=0)[None, None, :], axis=0)[0]
        told = self.told_of(white)
        self.expects = Normal(quadratic(told - 0.5, told.shape[1]), white).solve(1.0)

    def features(self, white: Floats) -> Floats:
        return quadratic((white - self.middle) @ self.ways / np.maximum(self.sizes, 1.0), SQUARED)

    def told_of(self, white: Floats) -> Floats:
        return np.asarray(np.clip(self.features(white) @ self.weights, -0.25, 1.25))

    def __call__(self, flat: Floats) -> tuple[Floats, Floats]:
        """Each assumption as a share of its range; and how far every figure is from what these are expected to give, in
        its own unit (0 for one that is not used)."""
        w, white = self.whiten, self.whiten(flat)
        told, off = self.told_of(white), np.zeros(flat.shape)
        off[:, w.used] = (white - self.expected(told)) @ w.back * w.spread
        return told, off

    def expected(self, told: Floats) -> Floats:
        """The whitened figures that such assumptions give."""
        return np.asarray(quadratic(told - 0.5, told.shape[1]) @ self.expects)

    def misses(self, summary: Floats) -> list[tuple[int, float, float, float]]:
        """Of one summary the figures that lie farthest from what is expected: index, as it is, as expected, and how
        many standard deviations of chance lie between."""
        w = self.whiten
        expected = (self.expected(self.told_of(w(summary[None]))) @ w.back)[0]
        off = (w.scaled(summary[None])[0] - expected) / w.chance
        worst = np.argsort(-np.abs(off), kind="stable")
        return [
            (int(w.used[k]), float(summary[w.used[k]]), float(w.middle[k] + w.spread[k] * expected[k]), float(off[k]))
            for k in worst
        ]


class Apart:
    """How far figures lie off, in what those of these games do: Mahalanobis's distance, a mean over the figures."""

    def __init__(self, off: Floats, used: npt.NDArray[np.int64]) -> None:
        self.used = used
        chance = off[:, used].T @ off[:, used] / len(off)
        self.spread = np.sqrt(np.diag(chance))
        shrunk = (1 - SHRINKS) * chance / np.outer(self.spread, self.spread) + SHRINKS * np.eye(len(used))
        self.root = np.linalg.cholesky(shrunk)

    def __call__(self, off: Floats) -> Floats:
        white = np.linalg.solve(self.root, (off[:, self.used] / self.spread).T)
        return np.asarray((white**2).mean(axis=0))


@dataclass(frozen=True, eq=False)
class Known:
    """A reference that is told of: told (games, assumptions) and distance (games,), each without its own fold."""

    reference: Reference
    tellers: tuple[Teller, ...]
    apart: tuple[Apart, ...]
    told: Floats
    distance: Floats

    @classmethod
    def of(cls, reference: Reference) -> Known:
        fold = np.arange(len(reference.shares)) % FOLDS
        told, off = np.empty_like(reference.each), np.empty_like(reference.flat)
        tellers = []
        for k in range(FOLDS):
            teller = Teller(Reference(reference.shares[fold != k], reference.summaries[fold != k]))
            held = fold[reference.of_set] == k
            told[held], off[held] = teller(reference.flat[held])
            tellers.append(teller)
        used = np.array(sorted(set.intersection(*(set(teller.whiten.used.tolist()) for teller in tellers))), np.int64)
        apart, far = [], np.empty(len(off))
        for k in range(FOLDS):
            held = fold[reference.of_set] == k
            apart.append(Apart(off[~held], used))
            far[held] = apart[k](off[held])
        return cls(reference, tuple(tellers), tuple(apart), told, far)

    def tell(self, summary: Floats) -> tuple[Floats, float]:
        """What one unseen summary tells: the middle of the folds."""
        each = [teller(summary[None]) for teller in self.tellers]
        far = [apart(off)[0] for apart, (_, off) in zip(self.apart, each, strict=True)]
        return np.mean([told[0] for told, _ in each], axis=0), float(np.mean(far))

    def limit(self, told: Floats) -> float:
        """The distance that but few of the reference games have whose assumptions are much like these.

        Games of one set are no independent ones, so it is sets that count: of m of them an unseen game lies beyond the
        ceil(GATE (m + 1))th of m in at most 1 - GATE of cases (split conformal prediction: Lei and others 2018). The
        quantile of that rank is taken of all near games."""
        far = (((self.told - told) / np.maximum(self.told.std(axis=0), 1e-6)) ** 2).sum(axis=1)
        near = np.argsort(far, kind="stable")[: max(40, int(ALIKE * len(far)))]
        sets = len(np.unique(self.reference.of_set[near]))
        rank = min(sets, math.ceil(GATE * (sets + 1)))
        return float(np.quantile(self.distance[near], rank / sets))

    def posterior(self, told: Floats, without: int = -1) -> tuple[Floats, Floats]:
        """Adjusted shares and their weights; `without`: a set that is left out.

        What is left of the regression is widened by what its own coefficients are unsure of, as a prediction's is:
        sqrt(n / (n - p) (1 + p / n)), p coefficients of n sets (Kish's effective number of weighted ones; games of one
        set do not count apart)."""
        of_set = self.reference.of_set
        rows = np.flatnonzero(of_set != without)
        off = self.told[rows] - told
        far = np.sqrt(((off / np.maximum(self.told[rows].std(axis=0), 1e-6)) ** 2).sum(axis=1))
        near = np.argsort(far, kind="stable")[: max(MOST_COEFFICIENTS * off.shape[1], int(NEAREST * len(rows)))]
        weight = 1 - (far[near] / (far[near[-1]] * (1 + 1e-9))) ** 2
        y, x = self.reference.each[rows[near]], np.hstack([np.ones((len(near), 1)), off[near]])
        root = np.sqrt(weight)[:, None]
        fitted = Normal(x * root, y * root).solve(1e-3)
        left = y - x @ fitted
        of_each = np.bincount(of_set[rows[near]], weight)
        sets, coefficients = of_each.sum() ** 2 / (of_each**2).sum(), x.shape[1]
        left *= np.sqrt(sets / max(1.0, sets - coefficients) * (1 + coefficients / sets))
        return np.clip(fitted[0] + left, 0.0, 1.0), weight / weight.sum()


def quantiles(values: Floats, weights: Floats, wanted: Floats) -> Floats:
    """(wanted, columns): weighted quantiles."""
    found = np.empty((len(wanted), values.shape[1]))
    for j in range(values.shape[1]):
        order = np.argsort(values[:, j], kind="stable")
        below = np.cumsum(weights[order]) - weights[order] / 2
        found[:, j] = np.interp(wanted, below, values[order, j])
    return found
