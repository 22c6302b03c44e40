"""Scenes that walk across each limit of who has whom: the library and tests/python/plain change sides together."""

import os
from collections.abc import Callable

import numpy as np
import pytest

import plain
from conftest import Tables, taken, written
from test_against_plain import check_tables, tables_of

FULL = os.environ.get("SHORTEDGE_FULL") == "1"
RATE, UNTIL = 20.0, 3.2
Knots = list[tuple[float, tuple[float, float]]]
# Three linemen out of everybody's reach: a play needs them.
FAR = {"LT": (-12.0, 0.8), "LG": (-10.5, 0.8)}


def along(knots: Knots) -> np.ndarray:
    """Straight between places at times, at rest before and after."""
    times, places = zip(*knots, strict=True)
    t = np.arange(0, UNTIL + 1e-9, 1 / RATE)
    return np.column_stack([np.interp(t, times, axis) for axis in zip(*places, strict=True)])


def scene(passer: tuple[float, float], **men: tuple[float, float] | Knots | np.ndarray) -> Tables:
    """Men by position, where they stand or go, or their places frame by frame (NaN: not to be seen); the rusher is
    `end`; a back is a protector by name."""
    people: dict[str, tuple[str, str, str | None]] = {"QB": ("offense", "QB", None)}
    people |= {name: ("offense", name, None) for name in FAR}
    places = {"QB": passer, **FAR}
    for name, path in men.items():
        people[name] = ("defense", "DL", "rusher") if name == "end" else ("offense", name, "protector")
        places[name] = along(path) if isinstance(path, list) else path
    if "C" not in people:
        people["C"], places["C"] = ("offense", "C", None), (-9.0, 0.5)
    tracks, snaps, who = written({"p": places}, people, rate=RATE)
    return tracks.dropna(), snaps.assign(throw_time=UNTIL - 0.2), who


def chip(stays: float) -> Tables:
    """A back within meet of the end, then gone; the tackle has the end for good."""
    back = [(0, (5, 2.4)), (0.4, (5, 1.2)), (stays, (5, 1.4)), (stays + 0.45, (8, -2))]
    end = [(0, (5.4, -1)), (0.4, (5.2, 0.6)), (0.8, (5.1, 1)), (1.1, (4.2, 2.7))]
    return scene((0, 7), RT=[(0, (3, 0.8)), (0.9, (3.5, 3.5))], RB=back, end=end)


def run_by(tackle: float) -> Tables:
    """A back is run by in a moment; the tackle comes to the end at this time."""
    end = [(0, (5, 0.6)), (0.3, (5, 1.3)), (0.55, (5.3, 1.6)), (0.7, (5.9, 2.6)), (1, (4.6, 3.9)), (3, (4.2, 4.2))]
    comes = [(0, (1.5, 4.5)), (tackle - 0.3, (1.5, 4.5)), (tackle, (3.6, 4.6))]
    return scene((0, 7), RB=(4.5, 2.4), RT=comes, end=end)


def handed_over(takes: float) -> Tables:
    """The guard lets him by to the centre on his line, whom he reaches so long after."""
    end = [(0, (2.2, -1)), (0.5, (2.1, 1.3)), (1.2, (2, 1.4)), (1.5, (0.8, 2.6)), (1.5 + takes, (0.6, 3.6))]
    return scene((0, 8), RG=(2, 2.4), C=(0.4, 4.6), end=[*end, (3.2, (0.5, 3.8))])


def trailed_at(yards: float) -> Tables:
    """A back in front of him all the way, so far off, and never nearer."""
    end = [(0, (5.6, -0.4)), (2.6, (3.2, 3.6))]
    return scene((0, 7), RB=[(t, (u - yards * 0.6, v + yards * 0.8)) for t, (u, v) in end], end=end)


def seen_until(stays: float) -> Tables:
    """A back in front of him and then not to be seen; the tackle has him from 1.3 s on."""
    end = [(0, (5.4, 0.4)), (0.8, (5.2, 1.4)), (1.4, (4.6, 2.0)), (2.8, (4.2, 3.0))]
    back = along([(t, (u - 0.4, v + 0.9)) for t, (u, v) in end])
    back[round(stays * RATE) + 1 :] = np.nan
    comes = [(0, (-2, 0.8)), (0.8, (-2, 4.0)), (1.4, (3.6, 3.5)), (2.8, (3.2, 4.4))]
    return scene((0, 7), RB=back, RT=comes, end=end)


def elsewhere_for(seconds: float) -> Tables:
    """A back in front of him all the way but for so long, when he is on the other side of the field."""
    end = [(0, (5.4, 0.4)), (2.8, (4.2, 3.0))]
    back = along([(t, (u - 0.4, v + 0.9)) for t, (u, v) in end])
    left = round(RATE * 1.0)
    back[left + 1 : left + round(RATE * seconds)] = (30, 2)
    return scene((0, 7), RB=back, end=end)


# What is walked across, with values on both sides and about it (every other one, if not with --full). Whose reps there
# are, and whether from the snap on, tells the sides apart.
WALKS: dict[str, tuple[Callable[[float], Tables], list[float]]] = {
    "half a second of help": (chip, [0.55, 0.6, 0.65, 0.7, 0.75, 0.8]),
    "contact half a second after the beat": (run_by, [1.2, 1.3, 1.4, 1.5, 1.6, 1.7, 1.9]),
    "contact three quarters of a second after the beat": (handed_over, [0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2]),
    "a spell of three tenths": (seen_until, [0.2, 0.25, 0.3, 0.35, 0.45]),
    "a break of three tenths": (elsewhere_for, [0.1, 0.25, 0.3, 0.35, 0.45]),
    "two yards": (trailed_at, [1.7, 1.9, 1.95, 2.05, 2.1, 2.3]),
}


@pytest.mark.parametrize("limit", WALKS)
def test_both_readings_change_sides_together(limit: str) -> None:
    made, values = WALKS[limit]
    reps = set()
    for value in values if FULL else values[::2]:
        tables = made(value)
        reference = plain.measure(*tables)
        check_tables(tables_of(taken(tables)), reference)
        rows = reference["reps"]
        had = rows[rows["rusher"].notna() & rows["protector"].notna() & (rows["outcome"] != "help")]
        reps.add(tuple(sorted(zip(had["protector"], had["start"] > 0, strict=True))))
    assert len(reps) > 1, reps
