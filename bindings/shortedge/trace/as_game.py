"""A game made of a trace, by the same door as tables."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import numpy as np

from .._core import InputError
from ..game.game import Game
from ..game.mapping import from_tables
from .cameras import Cameras
from .clicks import Reading, Trace, track_columns
from .doubts import clicks_of, problem_of
from .journal import Journal
from .ways import MOTION, Ways

RATES = (5.0, 100.0)  # Hz


def from_trace(path: str | os.PathLike[str] | Trace, *, name: str | None = None, rate: float = 10.0) -> Game:
    """A game made of a trace file (or of an open Trace): tracks at `rate` Hz (5 to 100) with velocities and their
    errors (sd_x, sd_y, corr_xy), smoothed from clicks. `measure(game, noise="tracks")` draws its bands from what the
    clicks leave open.

    Plays that are not good enough are in `game.problems`, with the reason: too few marks, the camera's place not known,
    linemen missing, two films whose clocks do not meet, a play that lies the wrong way round. `game.plays` says what
    each rests on: seen_from (angles), clicks (of men), median_sd (yd an axis).

    Raises FileError for a file that is damaged or no trace, InputError when no play can be measured, with the first
    reasons.
    """
    if not RATES[0] <= rate <= RATES[1]:
        raise InputError(f"rate is {rate:g}; accepted: {RATES[0]:g} to {RATES[1]:g} Hz")
    journal = path._journal if isinstance(path, Trace) else Journal(path, write=False)
    reading = Reading(journal, rate)
    game = game_of(reading, name or Path(journal.path).stem)
    at = Path(journal.path).absolute()
    named = [film["file"] for film in journal.header["films"].values()]
    named += [journal.acts.texts[code] for code in journal.acts.columns("film")["file"].tolist()]
    game.sources = (at, *(at.with_name(name) for name in dict.fromkeys(named)))
    return game


def game_of(reading: Reading, name: str, only: list[int] | None = None) -> Game:
    """The game of what a trace says; of some plays alone, by their codes."""
    cameras, ways = reading.cameras, reading.ways
    reasons = {
        play: problem_of(cameras, ways, trace) for play, trace in ways.plays.items() if only is None or play in only
    }
    good = [play for play, reason in reasons.items() if reason is None]
    if not good:
        said = "; ".join(f"play {ways.texts[play]}: {reason}" for play, reason in list(reasons.items())[:5])
        raise InputError(f"{cameras.journal.path}: found no play that can be measured: {said or 'it names none'}")
    tracks = track_columns(ways, good)
    snaps, people, films = (
        snap_columns(ways, list(reasons)),
        people_columns(ways),
        film_columns(cameras, ways, list(reasons)),
    )
    how: dict[str, Any] = {"units": "yd", "origin": "corner", "y": "up", "name": name, "orientation": "trust"}
    game = from_tables(tracks, snaps, people, films=films, **how)
    core = game.core
    code = {play: number for number, play in enumerate(core.plays)}
    players = {player: number for number, player in enumerate(core.players)}
    core.add_problems([(code[ways.texts[play]], reason) for play, reason in reasons.items() if reason is not None])
    for play in good:
        for way in ways.plays[play].ways:
            player = players.get(ways.texts[way.player], -1)
            if player < 0 or not len(way.at):
                continue
            kept = ~way.strange | np.isin(way.number, ways.accepted)
            core.add_clicked(
                code[ways.texts[play]], player, way.time[kept], way.place[kept], way.covariance[kept], way.rest, MOTION
            )
    return game


def snap_columns(ways: Ways, plays: list[int]) -> dict[str, Any]:
    """The table snaps of some plays of a trace, good or not, with what each rests on."""
    traces = [ways.plays[play] for play in plays]
    columns: dict[str, list[Any]] = {
        key: [] for key in ("play", "ball_x", "ball_y", "direction", "snap_time", "throw_time", "end_time")
    } | {key: [] for key in ("seen_from", "clicks", "median_sd")}
    for trace in traces:
        moment, clicks = trace.moment, clicks_of(trace)
        columns["play"].append(ways.texts[trace.play])
        columns["ball_x"].append(moment.ball[0])
        columns["ball_y"].append(moment.ball[1])
        columns["direction"].append(float(moment.direction or 1))
        columns["snap_time"].append(moment.snap_time)
        columns["throw_time"].append(moment.throw_time)
        columns["end_time"].append(moment.end_time)
        columns["seen_from"].append(" + ".join(sorted(clicks)))
        columns["clicks"].append(float(sum(clicks.values())))
        columns["median_sd"].append(trace.sd)
    words = ("play", "seen_from")
    return {name: np.array(values, object if name in words else float) for name, values in columns.items()}


def film_columns(cameras: Cameras, ways: Ways, plays: list[int]) -> dict[str, Any] | None:
    """The table films: a row a play and angle whose snap is known on that film; None when there is none."""
    rates = {angle: about.get("rate") or "" for angle, about in cameras.header["films"].items()}
    rows = [
        (ways.texts[play], angle, file, ways.plays[play].events[angle]["snap"], rates.get(angle, ""))
        for play in plays
        for angle in cameras.angles
        if "snap" in ways.plays[play].events.get(angle, {}) and (file := ways.film_of(play, angle))
    ]
    if not rows:
        return None
    return dict(zip(("play", "angle", "file", "film_time", "rate"), map(list, zip(*rows, strict=True)), strict=True))


def people_columns(ways: Ways) -> dict[str, Any]:
    """The table people: everybody who was said to be somebody."""
    rows = sorted(ways.people.items())
    if not rows:
        raise InputError(f"{ways.cameras.journal.path}: found no person; accepted: Trace.person for every man clicked")
    return {
        "player": np.array([ways.texts[player] for (player, _), _ in rows], object),
        "play": np.array([ways.texts[play] if play >= 0 else None for (_, play), _ in rows], object),
        "unit": np.array([unit for _, (unit, _) in rows], object),
        "position": np.array([position for _, (_, position) in rows], object),
    }
