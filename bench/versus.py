"""The same frames through this library and through what one would write with NumPy and Shapely's array functions.

    python bench/versus.py [--plays 200] [--rounds 5]

The baseline takes all frames of all plays at once: no Python loop over frames, closed forms throughout, Shapely 2's
array functions for everything with a polygon, SciPy's Savitzky-Golay filter for the velocities. It may leave out what
its invented input has not: absent men, uneven times, men at one bearing, a passer without a line. Roles are given to
both. The taut path, for which no general library has a function, is shown apart: a graph over every tangent point and
SciPy's Dijkstra (tests/python/plain/taut.py), one case at a time, after a test over all cases at once whether the
straight line is clear. Outputs are asserted equal to 1e-6 before anything is timed.

"kernel" begins with positions, velocities and roles, "end to end" with tables as pandas reads them.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import shapely
from scipy.signal import savgol_filter
from scipy.special import lambertw

HOUSE = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(HOUSE / "data"), str(HOUSE / "tests" / "python")]

import make_season  # noqa: E402

import shortedge as se  # noqa: E402
from plain.taut import taut_length  # noqa: E402
from shortedge import _core  # noqa: E402

RULES = se.Rules().as_dict()
TURN = 2 * np.pi
FAR = 400.0
SIDE = {"LT": -1, "LG": -1, "C": 0, "RG": 1, "RT": 1}
OWN = 2  # side by where he stands
PLACE = {"units": "yd", "origin": "corner", "y": "up"}
Arrays = dict[str, np.ndarray]


# -------------------------------------------------------------------------------------------------- the baseline


def prepare(tracks: pd.DataFrame, snaps: pd.DataFrame, people: pd.DataFrame) -> Arrays:
    """Positions, velocities and roles as arrays over frames: every play has 22 men and the same number of frames."""
    plays, men, samples = len(snaps), 22, len(tracks) // len(snaps) // 22
    # Rows come by play and time; within a play by player.
    tracks = tracks.merge(people, on=["play", "player"], how="left", sort=False)
    tracks = tracks.merge(snaps[["play", "ball_x", "ball_y", "direction", "snap_time", "end_time"]], on="play")
    tracks = tracks.sort_values(["play", "player", "time"], kind="stable")
    shape = (plays, men, samples)

    def cube(name: str) -> np.ndarray:
        return tracks[name].to_numpy().reshape(shape)

    way = cube("direction")
    uv = np.stack([way * (cube("ball_y") - cube("y")), way * (cube("ball_x") - cube("x"))], axis=-1)
    clock = cube("time")[:, 0]
    step = float(np.median(np.diff(clock, axis=1)))
    velocity = savgol_filter(uv, 5, 2, deriv=1, delta=step, axis=2, mode="interp")
    since = clock - cube("snap_time")[:, 0]
    measured = (since >= -1e-6) & (clock <= cube("end_time")[:, 0] + 1e-6)
    role, position = cube("role")[:, :, 0], cube("position")[:, :, 0]
    start = np.argmax(measured, axis=1)
    first = np.take_along_axis(uv[..., 1], start[:, None, None], axis=2)[..., 0]
    seen = measured[:, None] & ((uv[..., 1] >= -1) | (first >= -2)[..., None])
    counts_from = np.where(seen.any(axis=2), np.argmax(seen, axis=2), samples)
    play, frame = np.nonzero(measured)
    here = uv.swapaxes(1, 2)[play, frame]  # (frames, men, 2)
    speed = velocity.swapaxes(1, 2)[play, frame]
    order = np.argsort(np.select([role == "passer", role == "protector", role == "rusher"], [0, 1, 2], 3), axis=1)
    return packed(play, since[play, frame], here, speed, role, position, counts_from, frame, order)


def from_plays(game: se.Game, plays: list[str]) -> Arrays:
    """The same from plays the library has made ready, for the kernels alone."""
    ready = [game.play(play) for play in plays]
    frames = [len(one.time) for one in ready]
    play = np.repeat(np.arange(len(ready)), frames)
    frame = np.concatenate([np.arange(n) for n in frames])
    role = np.array([[man.role for man in one.men] for one in ready])
    slot = np.array([[man.slot or man.position for man in one.men] for one in ready])
    counts = np.array([[man.counts_from for man in one.men] for one in ready])
    places, speeds = (np.concatenate([getattr(one, name) for one in ready]) for name in ("place", "velocity"))
    return packed(play, np.concatenate([one.time for one in ready]), places, speeds, role, slot, counts, frame, None)


def packed(
    play: np.ndarray,
    since: np.ndarray,
    here: np.ndarray,
    speed: np.ndarray,
    role: np.ndarray,
    slot: np.ndarray,
    counts_from: np.ndarray,
    frame: np.ndarray,
    order: Any,
) -> Arrays:
    """Men by what they do, each kind in as many places as the play with the most of them has; NaN where nobody is."""
    offence = np.isin(slot, ["QB", "RB", "TE", "WR", *SIDE])

    def men(mask: np.ndarray) -> np.ndarray:
        width = int(mask.sum(axis=1).max())
        index = np.argsort(~mask, axis=1, kind="stable")[:, :width]
        return np.where(np.take_along_axis(mask, index, axis=1), index, -1)

    def places(index: np.ndarray, values: np.ndarray) -> np.ndarray:
        found = np.take_along_axis(values, np.maximum(index, 0)[play][..., None], axis=1)
        return np.where((index >= 0)[play][..., None], found, np.nan)

    passer, blockers, rushers = (men(role == name) for name in ("passer", "protector", "rusher"))
    others = men(offence & (role != "passer") & (role != "protector"))
    starts = np.take_along_axis(counts_from, np.maximum(rushers, 0), axis=1)
    counts = (rushers >= 0)[play] & (frame[:, None] >= starts[play])
    sides = np.vectorize(lambda name: SIDE.get(name, OWN))(np.take_along_axis(slot, np.maximum(blockers, 0), axis=1))
    r, w = places(rushers, here), places(rushers, speed)
    return {
        "play": play,
        "time": since,
        "q": places(passer, here)[:, 0],
        "qv": places(passer, speed)[:, 0],
        "p": places(blockers, here),
        "o": places(others, here),
        "side": sides[play],
        "r": np.where(counts[..., None], r, np.nan),
        "rv": np.where(counts[..., None], w, np.nan),
        "blockers": blockers[play],
        "rushers": rushers[play],
    }


def hypot(a: np.ndarray) -> np.ndarray:
    return np.hypot(a[..., 0], a[..., 1])


def bearing(points: np.ndarray, q: np.ndarray) -> np.ndarray:
    off = points - q
    return np.degrees(np.arctan2(off[..., 0], -off[..., 1]))


def pick(values: np.ndarray, index: np.ndarray) -> np.ndarray:
    """values (n, m, ...) at index (n, k)."""
    extra = values.ndim - index.ndim
    return np.take_along_axis(values, index.reshape(index.shape + (1,) * extra), axis=1)


def sprint_time(length: np.ndarray, speed: np.ndarray) -> np.ndarray:
    """Least time over a straight at dv/dt = (vmax - v)/tau, by Lambert's W and two Newton steps."""
    vmax, tau = RULES["vmax"], RULES["tau"]
    a, d = (vmax - speed) / vmax, np.maximum(length, 0) / (vmax * tau)
    x = d + a + lambertw(-a * np.exp(-(d + a))).real
    for _ in range(2):
        slope = 1 - a * np.exp(-x)
        x = np.where(slope > 1e-12, x - (x + a * np.expm1(-x) - d) / np.maximum(slope, 1e-12), x)
    return np.where(length > 0, np.maximum(x, 0) * tau, 0.0)


def run(time: np.ndarray, speed: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Distance and speed after a time of sprint."""
    vmax, tau = RULES["vmax"], RULES["tau"]
    return vmax * time + (vmax - speed) * tau * np.expm1(-time / tau), vmax - (vmax - speed) * np.exp(-time / tau)


def way(r: np.ndarray, b: np.ndarray, q: np.ndarray, hand: int, past: np.ndarray) -> tuple[np.ndarray, ...]:
    """First tangent, arc, last tangent, bend, radius and first direction of one way round."""
    to_r, to_q = r - b, q - b
    gap, goal = hypot(to_r), hypot(to_q)
    radius = np.minimum(RULES["reach"], goal)
    from_angle, to_angle = np.arctan2(to_r[..., 1], to_r[..., 0]), np.arctan2(to_q[..., 1], to_q[..., 0])
    inside = gap <= radius
    begin = np.where(inside[..., None], b + radius[..., None] * to_r / gap[..., None], r)
    out = np.maximum(gap, radius)
    leave = np.arccos(radius / out)
    arrive = np.arccos(np.minimum(radius / goal, 1))
    bend = (hand * (to_angle - from_angle)) % TURN - leave - arrive
    start = np.where(past[..., None], r, begin)
    straight = past | (bend <= 0)
    direct = q - start
    touch = from_angle + hand * leave
    heading = hand * np.stack([-np.sin(touch), np.cos(touch)], axis=-1)
    first = np.where(straight, hypot(direct), np.sqrt(np.maximum(out**2 - radius**2, 0)))
    last = np.where(straight, 0, np.sqrt(np.maximum(goal**2 - radius**2, 0)))
    bend = np.where(straight, 0, bend)
    length = np.maximum(hypot(direct), 1e-300)[..., None]
    heading = np.where(straight[..., None], direct / length, heading)
    return first, np.where(straight, 0, radius * bend), last, bend, radius, heading


def time_of(found: tuple[np.ndarray, ...], velocity: np.ndarray) -> np.ndarray:
    first, arc, last, bend, radius, heading = found
    left = first + arc + last - RULES["arm"]
    over = np.maximum(left, 0)
    first = np.minimum(first, over)
    arc = np.minimum(arc, over - first)
    last = over - first - arc
    vmax, tau, brake = RULES["vmax"], RULES["tau"], RULES["a_brake"]
    speed = np.clip((velocity * heading).sum(axis=-1), 0, vmax)
    on_arc = arc > 0
    rise = np.where(bend < np.pi, 1 / np.cos(np.minimum(bend, np.pi * (1 - 1e-12)) / 2) - 1, np.inf)
    rho = radius + RULES["bow"] / np.maximum(rise, 1e-300)
    cap = np.where(on_arc, np.minimum(vmax, np.sqrt(RULES["a_lat"] * rho)), np.inf)
    limit = np.where(on_arc, np.sqrt(cap**2 + 2 * brake * first), vmax)
    speed = np.minimum(speed, limit)
    total = sprint_time(first, speed)
    after = run(total, speed)[1]
    braking = on_arc & (first > 0) & (after > cap)
    if braking.any():
        v0, c, size = speed[braking], cap[braking], first[braking]
        low, high = np.zeros_like(v0), total[braking]
        for _ in range(52):
            middle = (low + high) / 2
            far, fast = run(middle, v0)
            too_far = far + np.maximum(0, fast**2 - c**2) / (2 * brake) >= size
            low, high = np.where(too_far, low, middle), np.where(too_far, middle, high)
        total[braking] = high + (run(high, v0)[1] - c) / brake
        after[braking] = c
    speed = np.where(first > 0, after, speed)
    with np.errstate(divide="ignore", invalid="ignore"):
        at_cap = np.where(cap <= speed, 0, np.where(cap >= vmax, np.inf, tau * np.log((vmax - speed) / (vmax - cap))))
    finite = np.where(np.isfinite(at_cap), at_cap, 0)
    free = np.where(np.isfinite(at_cap), run(finite, speed)[0], np.inf)
    whole = free >= arc
    spent = sprint_time(arc, speed)
    steady = np.where(on_arc, cap, 1)
    total += np.where(on_arc, np.where(whole, spent, finite + (arc - np.where(whole, 0, free)) / steady), 0)
    speed = np.where(on_arc, np.where(whole, run(spent, speed)[1], cap), speed)
    return np.where(left > 0, total + sprint_time(last, speed), 0)


def wall_of(a: Arrays) -> Arrays:
    """Who is in the wall, the ring of the pocket in order of bearing, and who stands outermost."""
    p, q, r, side = a["p"], a["q"][:, None], a["r"], a["side"]
    near = (hypot(p[:, :, None] - r[:, None]) <= RULES["engage"]).any(axis=2)
    turn = bearing(p, q)
    member = ((side != OWN) | near) & (p[..., 1] >= -3) & (hypot(p - q) > 0.05) & (np.abs(turn) <= 135)
    u = np.where(member, p[..., 0], np.inf)
    order = np.argsort(u, axis=1)
    centre_here = pick(member & (side == 0), order)
    lineman = pick(member & (side != OWN), order)
    sorted_u = pick(u, order)
    off = np.abs(sorted_u)
    nearest = np.where(centre_here, -2.0, np.where(lineman.any(axis=1, keepdims=True) & ~lineman, np.inf, off))
    middle = np.argmin(nearest, axis=1)[:, None]
    with np.errstate(invalid="ignore"):
        holes = np.cumsum(np.diff(sorted_u, axis=1, prepend=-np.inf) > RULES["detach"], axis=1)
    kept = (holes == np.take_along_axis(holes, middle, axis=1)) & np.isfinite(sorted_u)
    member = np.zeros_like(member)
    np.put_along_axis(member, order, kept, axis=1)
    u_low, u_high = np.where(member, p[..., 0], np.inf), np.where(member, p[..., 0], -np.inf)
    left, right = np.argmin(u_low, axis=1), np.argmax(u_high, axis=1)
    u_min, u_max = u_low.min(axis=1), u_high.max(axis=1)
    rear = np.maximum(np.where(member, p[..., 1], -np.inf).max(axis=1), a["q"][:, 1]) + RULES["cushion"]
    corners = np.stack([np.stack([u_min, rear], -1), np.stack([u_max, rear], -1)], axis=1)
    points = np.concatenate([p, corners], axis=1)
    there = np.concatenate([member, np.ones((len(p), 2), bool)], axis=1)
    angle = np.where(there, bearing(points, q), np.inf)
    ring = np.argsort(angle, axis=1)
    angle = pick(angle, ring)
    count = there.sum(axis=1)
    slot = np.where(np.concatenate([side, np.full((len(p), 2), OWN)], axis=1) == 0, 0, 1)
    return {
        "member": member, "left": left, "right": right, "u_min": u_min, "u_max": u_max, "points": points, "ring": ring,
        "angle": angle, "count": count, "centre": pick(order, middle)[:, 0], "slot": slot,
    }  # fmt: skip


def measure(a: Arrays, taut: Callable[..., np.ndarray] | None = None) -> dict[str, Arrays]:
    """All figures of all frames."""
    q, qv, p, o, r, rv, side = (a[name] for name in ("q", "qv", "p", "o", "r", "rv", "side"))
    frames, men, rushers = len(q), p.shape[1], r.shape[1]
    rows = np.arange(frames)
    present = ~np.isnan(r[..., 0])
    w = wall_of(a)
    gaps = np.diff(np.where(np.isfinite(w["angle"]), w["angle"], np.nan), axis=1)
    closing_gap = w["angle"][:, 0] + 360 - np.take_along_axis(w["angle"], w["count"][:, None] - 1, axis=1)[:, 0]
    widest = np.fmax(np.nanmax(gaps, axis=1), closing_gap)
    wall_men = w["member"].sum(axis=1)
    enclosed = (wall_men >= 3) & (w["u_min"] < q[:, 0]) & (q[:, 0] < w["u_max"]) & (widest < 180)
    start = np.flatnonzero(np.diff(a["play"], prepend=-1))
    u_first = q[start, 0][a["play"]]
    outside = (q[:, 1] < 0) | (~enclosed & (np.abs(q[:, 0] - u_first) > 3))
    status = np.select([outside, wall_men < 3, enclosed], ["outside", "thin", "ok"], "collapsed")
    ok = status == "ok"

    # Rusher to passer.
    to_q = q[:, None] - r
    distance = hypot(to_q)
    out: Arrays = {"distance": distance, "bearing": bearing(r, q[:, None])}
    out["closing"] = (rv * to_q).sum(axis=-1) / distance
    angle = np.degrees(np.arctan2(np.abs(rv[..., 0] * to_q[..., 1] - rv[..., 1] * to_q[..., 0]), (rv * to_q).sum(-1)))
    out["approach_angle"] = np.where(hypot(rv) >= 0.3, angle, np.nan)
    relative = qv[:, None] - rv
    rate = hypot(relative)
    when = -(to_q * relative).sum(axis=-1) / rate**2
    passed = when <= 0
    nearest = hypot(to_q + np.maximum(when, 0)[..., None] * relative)
    out["closest"] = np.where(rate >= 0.3, np.where(passed, distance, nearest), np.nan)
    out["closest_in"] = np.where(rate >= 0.3, np.maximum(when, 0), np.nan)
    between = hypot(r[:, :, None] - p[:, None])  # (frames, rushers, men)
    blocker = np.argmin(np.where(np.isnan(between), np.inf, between), axis=2)
    b = pick(p, blocker)
    out["blocker"] = blocker
    out["blocker_range"] = np.take_along_axis(between, blocker[..., None], axis=2)[..., 0]
    out["engaged"] = out["blocker_range"] <= RULES["meet"]
    helps = (between <= RULES["engage"]).sum(axis=2) - (out["blocker_range"] <= RULES["engage"])
    out["helpers"] = helps + (hypot(r[:, :, None] - o[:, None]) <= RULES["engage"]).sum(axis=2)
    own = pick(side, blocker)
    own = np.where(own == OWN, np.where(b[..., 0] >= q[:, None, 0], 1, -1), own)
    past = distance <= hypot(b - q[:, None])
    his = np.where(past, np.where(r[..., 0] >= q[:, None, 0], 1, -1), own)
    e = to_q / distance[..., None]
    off = b - r
    along = (off * e).sum(axis=-1)
    square = (off**2).sum(axis=-1)
    k = np.maximum(1 / distance, along / square)
    out["cutoff_ratio"] = hypot(k[..., None] * off - e)
    outside_by = -his * (e[..., 0] * off[..., 1] - e[..., 1] * off[..., 0])
    holds = ((along > 0) & (along < distance)) | (outside_by > 0)
    held = np.where(past | ~holds, 0, np.clip(RULES["reach"] + outside_by, 0, 2 * RULES["reach"]))
    out["corner_held"] = np.where(his == 0, np.nan, held)
    out["short_edge"] = np.maximum(0, RULES["reach"] - out["corner_held"])
    both = {hand: way(r, b, np.broadcast_to(q[:, None], r.shape), hand, past) for hand in (-1, 1)}
    times = {hand: time_of(found, rv) for hand, found in both.items()}
    sided = his != 0
    out["outside_time"] = np.where(sided, np.where(his > 0, times[1], times[-1]), np.nan)
    out["outside_bend"] = np.where(sided, np.degrees(np.where(his > 0, both[1][3], both[-1][3])), np.nan)
    out["outside_exposure"] = np.maximum(0, 1 - out["outside_time"] / RULES["horizon"])
    least = np.minimum(times[1], times[-1])
    out["inside_time"] = np.where(sided, np.where(his > 0, times[-1], times[1]), least)
    out["inside_exposure"] = np.maximum(0, 1 - out["inside_time"] / RULES["horizon"])
    if taut is not None:
        radii = np.where(np.arange(men) == blocker[..., None], RULES["reach"], RULES["body"])
        radii = np.minimum(np.minimum(radii, between), hypot(p - q[:, None])[:, None])
        out["path_length"] = taut(r, q, p, radii, present)
        out["slack"] = out["path_length"] - distance

    # The pocket.
    frame: Arrays = {"status": status, "passer_depth": q[:, 1]}
    frame["nearest_rusher"] = np.where(present, distance, np.inf).min(axis=1)
    used = np.arange(men + 2) < w["count"][:, None]
    ring = pick(w["points"], w["ring"])
    yes = np.flatnonzero(ok)
    of_ring = np.repeat(np.arange(len(yes)), w["count"][yes])
    polygon = shapely.polygons(shapely.linearrings(ring[yes][used[yes]], indices=of_ring))
    nothing = np.full(frames, np.nan)

    def in_ok(values: np.ndarray) -> np.ndarray:
        filled = nothing.copy()
        filled[yes] = values
        return filled

    frame["pocket_width"] = np.where(ok, w["u_max"] - w["u_min"], np.nan)
    frame["wall_left"], frame["wall_right"] = w["left"], w["right"]
    frame["pocket_area"] = in_ok(shapely.area(polygon))
    upfield = shapely.linestrings(np.stack([q[yes], q[yes] - [0, FAR]], axis=1))
    frame["pocket_depth"] = in_ok(shapely.length(shapely.intersection(upfield, polygon)))
    room = polygon
    for man in range(rushers):
        away = e[yes, man] * -1
        middle = (r[yes, man] + q[yes]) / 2
        across = np.stack([-away[:, 1], away[:, 0]], axis=-1)
        sheet = np.stack([middle + FAR * across, middle - FAR * across], axis=1)
        sheet = np.concatenate([sheet, sheet[:, ::-1] - FAR * away[:, None]], axis=1)
        here = present[yes, man]
        cut = room.copy()
        cut[here] = shapely.intersection(room[here], shapely.polygons(sheet[here]))
        room = cut
    frame["passer_room"] = in_ok(shapely.area(room))

    # Lanes: between which two of the ring his bearing lies.
    turn = out["bearing"]
    place = (w["angle"][:, None] <= turn[..., None]).sum(axis=2) - 1
    before = np.where(place < 0, w["count"][:, None] - 1, place)
    after = (before + 1) % w["count"][:, None]
    wraps = after == 0
    first, second = pick(w["ring"], before), pick(w["ring"], after)
    inside = np.zeros(present.shape, bool)
    points = shapely.points(np.nan_to_num(r[yes], nan=FAR))
    inside[yes] = shapely.covers(polygon[:, None], points)
    by_bearing = np.where(w["ring"] < men, 1, 0) * used
    number = np.zeros((frames, men + 2), int)  # place in the wall, by bearing
    np.put_along_axis(number, w["ring"], np.cumsum(by_bearing, axis=1) - 1, axis=1)
    lineman = np.concatenate([side != OWN, np.zeros((frames, 2), bool)], axis=1)
    middle = np.take_along_axis(number, w["centre"][:, None], axis=1)
    i, j = pick(number, first), pick(number, second)
    corner_right, corner_left = first == men + 1, first == men
    corner_right |= second == men + 1
    corner_left |= second == men
    last_man = wall_men[:, None] - 1
    nearer = np.abs(i - middle) <= np.abs(j - middle)
    inner = np.where(corner_right, last_man, np.where(corner_left, 0, np.where(nearer, i, j)))
    outer = np.where(nearer, j, i)
    lines_at = np.zeros((frames, men + 3), int)  # linemen up to a place in the wall
    in_wall = np.concatenate([w["member"], np.zeros((frames, 2), bool)], axis=1)
    np.add.at(lines_at, (rows[:, None], np.where(in_wall, number, men + 2)), (lineman & in_wall).astype(int))
    lines_at[:, men + 2] = 0
    summed = np.concatenate([np.zeros((frames, 1), int), np.cumsum(lines_at, axis=1)], axis=1)
    right_of = pick(summed, inner + 1) - pick(summed, middle + 1)
    left_of = pick(summed, middle) - pick(summed, inner)
    steps = np.clip(np.where(inner > middle, right_of, left_of), 0, 3)
    lane = np.array(["A", "B", "C", "D"])[steps]
    a1, a2 = pick(w["points"], first), pick(w["points"], second)
    with np.errstate(divide="ignore", invalid="ignore"):
        edge = a2 - a1
        reach = a1 - q[:, None]
        share = (reach[..., 0] * edge[..., 1] - reach[..., 1] * edge[..., 0]) / (
            -e[..., 0] * edge[..., 1] + e[..., 1] * edge[..., 0]
        )
        crossing = q[:, None, 0] - share * e[..., 0]
    to_right = np.where(corner_right, True, np.where(corner_left, False, outer > middle))
    to_right = np.where(wraps, crossing >= q[:, None, 0], to_right)
    lane = np.where(inside, "in", np.where(wraps, "rear", lane))
    to_right = np.where(inside, turn >= 0, to_right)
    out["lane"] = np.where(ok[:, None], lane, "")
    out["lane_side"] = np.where(ok[:, None], np.where(to_right, "right", "left"), "")

    # Edges.
    edges: dict[int, Arrays] = {}
    first_ok = np.full(len(start), frames)
    np.minimum.at(first_ok, a["play"][yes], yes)
    first_ok = np.minimum(first_ok, frames - 1)[a["play"]]
    blocks = np.take_along_axis(w["member"], blocker, axis=1)
    for hand, name, outermost, extreme in ((-1, "left", w["left"], w["u_min"]), (1, "right", w["right"], w["u_max"])):
        can = present & (his == hand) & (past | blocks)
        exposure = np.where(can, out["outside_exposure"], -1)
        best = exposure.max(axis=1, keepdims=True)
        tied = np.where(can & (exposure == best), out["outside_time"], np.inf)
        taken = np.argmin(np.where(tied == tied.min(axis=1, keepdims=True), np.arange(rushers), rushers), axis=1)
        strong = best[:, 0] >= RULES["takeover"]
        by_end = can & ~past & (blocker == outermost[:, None])
        exposure_end = np.where(by_end, out["outside_exposure"], -1)
        best_end = exposure_end.max(axis=1, keepdims=True)
        tied = np.where(by_end & (exposure_end == best_end), out["outside_time"], np.inf)
        taken_end = np.argmin(np.where(tied == tied.min(axis=1, keepdims=True), np.arange(rushers), rushers), axis=1)
        owner = np.where(strong, taken, np.where(by_end.any(axis=1), taken_end, -1))
        has = owner >= 0
        at = np.maximum(owner, 0)

        def of(column: str, none: float, at: np.ndarray = at, has: np.ndarray = has) -> np.ndarray:
            return np.where(has, out[column][rows, at], none)

        man = np.where(has & blocks[rows, at] & (own[rows, at] == hand), blocker[rows, at], outermost)
        width = (p[rows, man, 0] - q[:, 0]) * hand
        edges[hand] = {
            "edge_man": man,
            "rusher": owner,
            "edge_width": width + RULES["reach"],
            "edge_given": extreme[first_ok] * hand - width,
            "drift": (q[:, 0] - u_first) * hand,
            "corner_held": of("corner_held", np.nan),
            "short_edge": of("short_edge", 0),
            "outside_time": of("outside_time", np.inf),
            "exposure": of("outside_exposure", 0),
            "engaged": of("engaged", 0),
            "helpers": of("helpers", 0),
        }
        frame[f"exposure_{name}"] = np.where(ok, edges[hand]["exposure"], np.nan)
    inside_most = np.where(present, out["inside_exposure"], 0).max(axis=1)
    frame["exposure_inside"] = np.where(ok, inside_most, np.nan)
    both_edges = {name: np.stack([edges[-1][name], edges[1][name]], axis=1)[ok] for name in edges[1]}
    return {"frames": frame, "edges": both_edges, "rushers": {name: value[present] for name, value in out.items()}}


def taut_by_graph(r: np.ndarray, q: np.ndarray, p: np.ndarray, radii: np.ndarray, present: np.ndarray) -> np.ndarray:
    """Lengths of the taut paths: the straight line where it is clear, else a graph over the tangent points."""
    to = p[:, None] - r[:, :, None]
    along = (q[:, None] - r)[:, :, None]
    share = np.clip((to * along).sum(-1) / (along**2).sum(-1), 0, 1)
    free = ~(hypot(to - share[..., None] * along) < radii - 1e-9).any(axis=2)
    lengths = hypot(q[:, None] - r)
    for frame, man in zip(*np.nonzero(present & ~free), strict=True):
        there = ~np.isnan(radii[frame, man])
        lengths[frame, man] = taut_length(r[frame, man], q[frame], p[frame, there], radii[frame, man, there])
    return lengths


# ------------------------------------------------------------------------------------------------------ the bench


def same(ours: se.Measures, game: se.Game, a: Arrays, theirs: dict[str, Arrays]) -> int:
    """Asserts that every column is equal to 1e-6; returns how many values were compared."""
    plays = game.measured()
    men = np.array([[game.player_ids.index(man.player) for man in game.play(play).men] for play in plays])
    blockers = np.take_along_axis(men[a["play"]], np.maximum(a["blockers"], 0), axis=1)
    rushers = np.take_along_axis(men[a["play"]], np.maximum(a["rushers"], 0), axis=1)
    present = ~np.isnan(a["r"][..., 0])
    frame_of = np.nonzero(present)[0]
    ok = theirs["frames"]["status"] == "ok"
    ok_frames = np.repeat(np.flatnonzero(ok), 2)
    compared = 0
    for title, columns in theirs.items():
        words = {column["name"]: column["words"] for column in _core.columns()[title] if column["kind"] == "word"}
        for name, values in columns.items():
            mine = ours.coded[title][name]
            if name in ("blocker", "wall_left", "wall_right", "edge_man"):
                rows = {"rushers": frame_of, "frames": np.arange(len(ok)), "edges": ok_frames}[title]
                values = blockers[rows, values.ravel()]
                values = np.where(ok, values, -1) if title == "frames" else values
            elif name == "rusher":
                values = np.where(values.ravel() >= 0, rushers[ok_frames, np.maximum(values.ravel(), 0)], -1)
            elif name in words:
                mine = np.array([*words[name], ""])[mine]
                assert (mine == values).all(), f"{title}, {name}: {(mine != values).sum()} of {len(mine)} differ"
                compared += len(mine)
                continue
            np.testing.assert_allclose(values.ravel().astype(float), mine, rtol=0, atol=1e-6, err_msg=f"{title} {name}")
            compared += len(mine)
    assert len(theirs["rushers"]) == len(_core.columns()["rushers"]) - 3
    return compared


def timed(what: dict[str, Callable[[], object]], rounds: int) -> dict[str, list[float]]:
    """CPU seconds would hide threads: wall seconds, all ways in turn in every round."""
    seconds: dict[str, list[float]] = {name: [] for name in what}
    for _ in range(rounds):
        for name, work in what.items():
            start = time.perf_counter()
            work()
            seconds[name].append(time.perf_counter() - start)
    return seconds


def main() -> None:
    parser = argparse.ArgumentParser(description="This library against NumPy and Shapely's array functions.")
    parser.add_argument("--plays", type=int, default=200)
    parser.add_argument("--rounds", type=int, default=5)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        make_season.make(Path(folder), given.plays, seed=11, scripts=12)
        tracks, snaps, people = (pd.read_parquet(f"{folder}/{name}.parquet") for name in ("tracks", "snaps", "people"))
    first = se.from_tables(tracks, snaps, people, **PLACE)
    plays = first.measured()
    everybody = [(play, man) for play in plays for man in first.play(play).men]
    men = [(play, man.player, man.unit, man.slot or man.position, man.role) for play, man in everybody]
    people = pd.DataFrame(men, columns=["play", "player", "unit", "position", "role"])
    snaps = snaps[snaps["play"].isin(plays)]
    tracks = tracks[tracks["play"].isin(plays)]
    game = se.from_tables(tracks, snaps, people, **PLACE)
    game.digest  # noqa: B018  kept, not part of a measurement
    ready = from_plays(game, game.measured())
    frames, rules = len(ready["time"]), se.Rules()

    ours = se.measure(game)
    compared = same(ours, game, ready, measure(ready, taut_by_graph))
    prepared = prepare(tracks, snaps, people)
    compared += same(ours, game, prepared, measure(prepared, taut_by_graph))
    print(f"{frames} frames of {len(plays)} plays; {compared} values equal to 1e-6; load {os.getloadavg()[0]:.1f}")

    def to_tables(loaded: se.Game, threads: int | None) -> None:
        made = se.measure(loaded, rules=rules, threads=threads)
        for title in ("frames", "edges", "rushers"):
            made.arrow(title).to_pandas()

    def end_to_end(threads: int | None) -> None:
        to_tables(se.from_tables(tracks, snaps, people, **PLACE), threads)

    seconds = timed(
        {
            "library, kernel with preparation, 1 thread": lambda: _core.measure(game.core, rules, 1, None),
            "library, kernel with preparation, all threads": lambda: _core.measure(game.core, rules, 0, None),
            "library, loaded game to tables, 1 thread": lambda: to_tables(game, 1),
            "library, loaded game to tables, all threads": lambda: to_tables(game, None),
            "library, end to end, 1 thread": lambda: end_to_end(1),
            "library, end to end, all threads": lambda: end_to_end(None),
            "arrays, kernel without the taut path": lambda: measure(ready),
            "arrays, end to end without the taut path": lambda: measure(prepare(tracks, snaps, people)),
        },
        given.rounds,
    )
    few = {name: value[: frames // 20] for name, value in ready.items()}
    seconds |= timed({"taut path by a graph": lambda: measure(few, taut_by_graph)}, 1)
    alone = timed({"without": lambda: measure(few)}, 1)["without"][0]
    taut = (seconds.pop("taut path by a graph")[0] - alone) / len(few["time"])
    print(f"{'':48s}{'median us a frame':>18s}  least to greatest")
    for name, found in seconds.items():
        low, middle, high = (1e6 * f(found) / frames for f in (min, statistics.median, max))
        print(f"{name:48s}{middle:18.2f}  {low:.2f} to {high:.2f}")
    print(f"{'arrays, the taut path by a graph alone':48s}{1e6 * taut:18.2f}")

    def ratios(over: str, under: str, more: float = 0.0) -> str:
        each = [(a + more) / b for a, b in zip(seconds[over], seconds[under], strict=True)]
        return f"{statistics.median(each):8.0f} x  ({min(each):.0f} to {max(each):.0f})"

    kernel = "library, kernel with preparation, "
    arrays = "arrays, kernel without the taut path"
    print("\nratios, each within one round:")
    for threads in ("1 thread", "all threads"):
        print(f"whole frame, kernel, {threads}:                   {ratios(arrays, kernel + threads, taut * frames)}")
        print(f"  the baseline spared the taut path:             {ratios(arrays, kernel + threads)}")
        whole, ends = "arrays, end to end without the taut path", f"library, end to end, {threads}"
        print(f"whole frame, end to end, {threads}:               {ratios(whole, ends, taut * frames)}")
        print(f"  the baseline spared the taut path:             {ratios(whole, ends)}")
    one, two = (seconds[kernel + threads] for threads in ("1 thread", "all threads"))
    print(f"all threads against one, kernel:  {statistics.median(a / b for a, b in zip(one, two, strict=True)):.2f} x")


if __name__ == "__main__":
    main()
