"""6.1: the matching, one protector per rusher and one rusher per protector in each frame, cheapest over the play.

Exact, by dynamic programming over every joint assignment: a table with one axis a rusher, along it the men he may have
and nobody. As a change costs the same whoever changes, the cheapest way from one frame's assignments to the next one's
is found axis by axis.
"""

from itertools import combinations

import numpy as np

from .frames import Play
from .geometry import from_segment, span

FARTHEST = 6.0  # yd, no pair beyond
NOBODY = 3.5  # yd, cost of a rusher with nobody
CHANGE = 0.45  # yd s, cost of each change of a rusher's man
FAR_SHARE = 0.25  # what a frame counts in which no protector is within meet of the rusher


def frame_weights(times: np.ndarray) -> np.ndarray:
    """The time each frame stands for: half the time to its neighbours on both sides."""
    gaps = np.diff(times) / 2
    return np.concatenate([[0.0], gaps]) + np.concatenate([gaps, [0.0]])


def costs(
    play: Play, rusher: str, men: list[str], barred: list[set[str]], meet: float
) -> tuple[np.ndarray, np.ndarray]:
    """(frames, men + 1) cost of each man, inf where it cannot be, the last column nobody; (frames,) whether he plays.

    A frame in which the rusher takes no part costs nothing whoever "has" him, so the change around it is free before
    he counts and after he dropped.

    Reading: a frame that counts a quarter does so with nobody too; the 6 yd are |PR|. An absent rusher takes no part in
    that frame: a change across it is one change, and what he had before it holds up nobody in it.
    """
    frames = play.rep_frames()
    weights = frame_weights(play.times[:frames])
    out = np.zeros((frames, len(men) + 1))
    plays = np.array([play.rushing(rusher, k) for k in range(frames)], dtype=bool)
    for k in np.flatnonzero(plays):
        at = play.places[rusher][k]
        near = any(play.here(p, k) and span(play.places[p][k], at) <= meet for p in play.protectors)
        weight = weights[k] * (1.0 if near else FAR_SHARE)
        out[k, -1] = weight * NOBODY
        for n, man in enumerate(men):
            spot = play.places[man][k]
            if not play.here(man, k) or man in barred[k] or span(spot, at) > FARTHEST:
                out[k, n] = np.inf
                continue
            off = from_segment(spot, at, play.places[play.passer][k]) if play.here(play.passer, k) else 0.0
            out[k, n] = weight * (span(spot, at) + off)
    return out, plays


def cheapest(
    tables: list[np.ndarray], plays: list[np.ndarray], men: list[list[str]]
) -> tuple[list[tuple[int, ...]], float]:
    """The cheapest joint assignment of each frame, as places along the axes, and what the whole costs.

    tables: per rusher (frames, his men + 1), the last column nobody; plays: per rusher (frames,) whether he takes part.
    """
    frames = len(tables[0])
    shape = tuple(table.shape[1] for table in tables)
    count = len(shape)

    def along(axis: int, values: np.ndarray) -> np.ndarray:
        return values.reshape([-1 if n == axis else 1 for n in range(count)])

    def one_rusher_each(parts: tuple[bool, ...]) -> np.ndarray:
        """inf where two rushers who take part have one man."""
        wrong = np.zeros(shape)
        for i, j in combinations(range(count), 2):
            if parts[i] and parts[j]:
                names_i, names_j = np.array([*men[i], ""]), np.array([*men[j], "-"])
                same = along(i, names_i) == along(j, names_j)
                wrong[np.broadcast_to(same, shape)] = np.inf
        return wrong

    shut: dict[tuple[bool, ...], np.ndarray] = {}

    def standing(k: int) -> np.ndarray:
        parts = tuple(bool(p[k]) for p in plays)
        if parts not in shut:
            shut[parts] = one_rusher_each(parts)
        total = shut[parts].copy()
        for axis, table in enumerate(tables):
            total += along(axis, table[k])
        return total

    values = standing(0)
    kept: list[tuple[np.ndarray, np.ndarray]] = []  # of each frame: the possible assignments, and what they cost
    for k in range(frames):
        if k > 0:
            for axis in range(count):
                values = np.minimum(values, values.min(axis=axis, keepdims=True) + CHANGE)
            values = values + standing(k)
        possible = np.flatnonzero(np.isfinite(values))
        kept.append((possible, values.ravel()[possible]))

    chosen: list[tuple[int, ...]] = []
    for possible, value in reversed(kept):
        places = np.unravel_index(possible, shape)
        if chosen:
            value = value + CHANGE * sum((p != c).astype(int) for p, c in zip(places, chosen[-1], strict=True))
        best = int(np.argmin(value))
        if not chosen:
            total = float(value[best])
        chosen.append(tuple(int(p[best]) for p in places))
    return chosen[::-1], total


def matching(play: Play, rushers: list[str], barred: list[set[str]], meet: float) -> dict[str, list[str | None]]:
    """Of each of these rushers the man who has him in every frame up to the end of reps.

    barred: per frame the protectors who cannot be taken in it.
    """
    frames = play.rep_frames()
    if not rushers or frames == 0:
        return {rusher: [None] * frames for rusher in rushers}
    men: list[list[str]] = []
    tables: list[np.ndarray] = []
    plays: list[np.ndarray] = []
    for rusher in rushers:
        table, taking_part = costs(play, rusher, play.protectors, barred, meet)
        able = [n for n in range(len(play.protectors)) if np.isfinite(table[taking_part, n]).any()]
        men.append([play.protectors[n] for n in able])
        tables.append(table[:, [*able, len(play.protectors)]])
        plays.append(taking_part)
    chosen, _ = cheapest(tables, plays, men)
    return {
        rusher: [men[n][chosen[k][n]] if plays[n][k] and chosen[k][n] < len(men[n]) else None for k in range(frames)]
        for n, rusher in enumerate(rushers)
    }


def match_all(play: Play, meet: float) -> dict[str, list[str | None]]:
    """The matching of a play: the late rushers after the others, among the men whom those leave free in a frame."""
    frames = play.rep_frames()
    first = matching(
        play, [r for r in sorted(play.rushers) if r not in play.late], [set() for _ in range(frames)], meet
    )
    taken = [{men[k] for men in first.values() if men[k] is not None} for k in range(frames)]
    return first | matching(play, [r for r in sorted(play.rushers) if r in play.late], taken, meet)
