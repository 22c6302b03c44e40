"""Simulated plays as a game, by the same door as any other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from .. import _core
from ..game.game import Game
from ..game.mapping import from_tables
from .formations import Formation, Protector

BALL = (60.0, 80.0 / 3)  # where a simulated ball is snapped: the middle of the field, yd
LABEL = "simulated"
SAME_FRAME = 0.005  # s: nearer times are one frame
POSITIONS = ("TE", "RB", "FB", "HB")


@dataclass(frozen=True)
class Take:
    """One simulated play. `positions`: player to position, of those known."""

    play: str
    formation: Formation
    rep: _core.SimulatedRep
    positions: dict[str, str] = field(default_factory=dict)


def game_of(takes: Sequence[Take], name: str) -> Game:
    """The plays as a game: samples with velocities, labelled "simulated". A play that an arrival stopped before the
    throw has no throw."""
    columns: dict[str, list[np.ndarray]] = {key: [] for key in ("play", "player", "time", "x", "y", "vx", "vy")}
    snaps: dict[str, list[object]] = {key: [] for key in ("play", "throw_time", "end_time")}
    people: dict[tuple[str, str, str, str | None], list[str]] = {}
    for take in takes:
        rep, men = take.rep, men_of(take)
        time, place, velocity = rep["time"], rep["place"], rep["velocity"]
        kept = np.append(np.diff(time) > 1.5 * SAME_FRAME, True)  # the end may come within a frame of the last sample
        time, place, velocity = time[kept], place[kept], velocity[kept]
        frames = len(time)
        columns["play"].append(np.full(frames * len(men), take.play, object))
        columns["player"].append(np.tile(np.array([man[0] for man in men], object), frames))
        columns["time"].append(np.repeat(time, len(men)))
        for axis, (along, across) in {"place": ("x", "y"), "velocity": ("vx", "vy")}.items():
            u, v = (place if axis == "place" else velocity).reshape(-1, 2).T
            columns[along].append((BALL[0] if axis == "place" else 0) - v)
            columns[across].append((BALL[1] if axis == "place" else 0) - u)
        thrown = rep["throw_time"] if rep["throw_time"] <= rep["end"] + 1e-6 else np.nan
        snaps["play"].append(take.play)
        snaps["throw_time"].append(thrown)
        snaps["end_time"].append(rep["end"])
        for man in men:
            people.setdefault(man, []).append(take.play)
    tracks = {key: np.concatenate(values) for key, values in columns.items()}
    plays = {
        "play": np.array(snaps["play"], object),
        "ball_x": np.full(len(takes), BALL[0]),
        "ball_y": np.full(len(takes), BALL[1]),
        "direction": np.ones(len(takes)),
        "snap_time": np.zeros(len(takes)),
        "throw_time": np.array(snaps["throw_time"], float),
        "end_time": np.array(snaps["end_time"], float),
        "label": np.full(len(takes), LABEL, object),
    }
    rows = [
        (man, play)
        for man, where in people.items()
        for play in ([None] if len(where) == len(takes) else where)  # of every play: one row
    ]
    who = {
        key: np.array([man[k] for man, _ in rows], object)
        for k, key in enumerate(("player", "unit", "position", "role"))
    }
    who["play"] = np.array([play for _, play in rows], object)
    return from_tables(tracks, plays, who, units="yd", origin="corner", y="up", name=name, orientation="trust")


def men_of(take: Take) -> list[tuple[str, str, str, str | None]]:
    """Player, unit, position, role of every man, in the order of the simulated film. A man who chips and leaves has the
    role the rules of measurement give him."""
    f = take.formation
    return [
        (f.passer_name, "offense", "QB", "passer"),
        *(
            (one.name, "offense", position(one, take), None if one.job == "chip" else "protector")
            for one in f.protectors
        ),
        *((one.name, "defense", take.positions.get(one.name, "rusher"), "rusher") for one in f.rushers),
    ]


def position(man: Protector, take: Take) -> str:
    known = take.positions.get(man.name, man.name if man.name in POSITIONS else "blocker")
    return man.slot or known
