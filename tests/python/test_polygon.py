"""The pocket's figures against Shapely, on thousands of random frames."""

from functools import cache

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from shapely.geometry import LineString, Point, Polygon

import shortedge as se
from conftest import LINE, taken, written
from shortedge import _core

PLAYS, FRAMES = 60, 50
RUSHERS = 5
FAR = 300.0  # yd
PEOPLE = {"QB": ("offense", "QB", None)} | {slot: ("offense", slot, None) for slot in LINE}
PEOPLE |= {f"R{n}": ("defense", "DL", "rusher") for n in range(RUSHERS)}

Frame = tuple[pd.Series, Polygon, NDArray[np.float64], NDArray[np.float64]]


@cache
def frames() -> tuple[Frame, ...]:
    """Every ok frame of a game whose men jump about: its row, the pocket, the passer, and the rushers (n, 2)."""
    rng = np.random.default_rng(20)
    plays = {}
    for n in range(PLAYS):
        men = {"QB": rng.uniform([-1.5, 2], [1.5, 9], (FRAMES, 2))}
        for slot, place in LINE.items():
            men[slot] = place + rng.uniform([-1.5, -1], [1.5, 4], (FRAMES, 2))
        for k in range(RUSHERS):
            men[f"R{k}"] = rng.uniform([-7, -1], [7, 9], (FRAMES, 2))
            men[f"R{k}"][0] = rng.uniform([-7, -1], [7, -0.5])  # they count from the snap on
        plays[f"play {n}"] = men
    game = taken(written(plays, PEOPLE, rate=FRAMES))
    rows = se.measure(game).frames
    pictures = [_core.picture(game.core, number, se.Rules()) for number in range(len(plays))]
    found = []
    for number, (play, men) in enumerate(plays.items()):
        for k, (_, row) in enumerate(rows[rows["play"] == play].sort_values("time").iterrows()):
            if row["status"] == "ok":
                ring = pictures[number]["frames"][k]["ring"]
                rushers = np.array([men[f"R{n}"][k] for n in range(RUSHERS)])
                found.append((row, Polygon(ring), men["QB"][k], rushers))
    return tuple(found)


def nearer(one: NDArray[np.float64], other: NDArray[np.float64]) -> Polygon:
    """The points nearer to one than to the other, as far as matters."""
    away = (other - one) / np.hypot(*(other - one))
    across = np.array([-away[1], away[0]])
    middle = (one + other) / 2
    return Polygon([middle + FAR * a * across - FAR * b * away for a, b in ((1, 0), (-1, 0), (-1, 1), (1, 1))])


def test_enough_frames() -> None:
    assert len(frames()) > 1500


def test_ring_is_the_wall_and_two_corners_behind() -> None:
    """An ok frame's ring is simple, counter-clockwise in (u, v), holds the passer, and is as wide as the wall."""
    for row, pocket, passer, _ in frames():
        assert pocket.is_valid
        assert pocket.exterior.is_ccw
        assert pocket.contains(Point(passer))
        left, front, right, rear = pocket.bounds
        assert right - left == np.float64(row["pocket_width"])
        assert rear >= passer[1] + 1.0 - 1e-9  # the cushion
        assert front < passer[1]


def test_area() -> None:
    areas = np.array([(row["pocket_area"], pocket.area) for row, pocket, *_ in frames()])
    np.testing.assert_allclose(areas[:, 0], areas[:, 1], rtol=1e-9, atol=1e-9)


def test_depth_is_the_room_straight_upfield() -> None:
    for row, pocket, passer, _ in frames():
        line = LineString([passer, passer - [0, FAR]])
        assert abs(line.intersection(pocket).length - row["pocket_depth"]) < 1e-9


def test_passer_room() -> None:
    """The pocket cut by the bisectors between the passer and each rusher."""
    for row, pocket, passer, rushers in frames():
        room = pocket
        for rusher in rushers:
            room = room.intersection(nearer(passer, rusher))
        assert abs(room.area - row["passer_room"]) < 1e-8


def test_everybodys_rooms_are_the_pocket() -> None:
    """The passer's room and the rushers' cells, cut alone by half-planes, add up to the pocket's area."""
    for row, pocket, passer, rushers in frames()[::3]:
        everyone = [passer, *rushers]
        cells = 0.0
        for k, man in enumerate(everyone[1:], start=1):
            cell = pocket
            for j, other in enumerate(everyone):
                if j != k:
                    cell = cell.intersection(nearer(man, other))
            cells += cell.area
        assert abs(row["passer_room"] + cells - row["pocket_area"]) < 1e-8


def test_a_worked_pocket() -> None:
    """The wall at v = 1, the passer five yards behind it: a rectangle of 6 by 6 with the cushion. One rusher straight
    upfield of him takes all beyond the bisector, v = 3."""
    wall = {slot: (u, 1.0) for slot, (u, _) in LINE.items()}
    game = taken(written({"p": {"QB": (0, 6), "R0": (0, 0), **wall}}, PEOPLE))
    row = se.measure(game).frames.iloc[0]
    assert row["status"] == "ok"
    assert row["pocket_width"] == 6
    assert abs(row["pocket_area"] - 36) < 1e-9
    assert abs(row["pocket_depth"] - 5) < 1e-9
    assert abs(row["passer_room"] - 24) < 1e-9
