"""The closed form beside a study: break-even depths of the still frame."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any

from .. import _core
from .._core import Rules
from ..measures.drops import break_even_depth, still_margin
from .formations import Protector, Rusher
from .plan import DEEPEST, OF_DEPTH, Plan

CLEAR = 3.0  # yd: shallower than that a still frame says little of the drop


def break_evens(plan: Plan) -> Iterable[Mapping[str, Any]]:
    """See Simulation.break_even."""
    f, a = plan.formation, plan.assumptions
    by_name = {one.name: one for one in f.rushers}
    u, v = f.passer
    for man in f.protectors:
        rusher = by_name.get(man.man)
        if rusher is None or rusher.inside or man.job == "chip":
            continue
        top = a.end_speed if math.isnan(rusher.top_speed) else rusher.top_speed
        tau = a.tau if math.isnan(rusher.tau) else rusher.tau
        kick = a.kick_speed if math.isnan(man.kick_speed) else man.kick_speed
        way = math.dist(rusher.at, (u, max(OF_DEPTH, v)))
        share = kick * sprint_time(way, top, tau) / way
        deep = break_even_depth(rusher.at, man.at, (u, max(v, CLEAR)), speed_ratio=share)
        yield (
            {"protector": man.name, "rusher": rusher.name, "speed_ratio": share, "break_even": deep}
            | {"margin": margin(plan, man, rusher, max(OF_DEPTH, v)), "margin_gone": margin_gone(plan, man, rusher)}
        )


def margin(plan: Plan, man: Protector, rusher: Rusher, depth: float) -> float:
    """s: the margin of the snap frame (`still_margin`) for a drop of that depth, thrown by the clock."""
    f, a = plan.formation, plan.assumptions
    spot = (f.passer[0] + f.roll, depth)
    top = _core.planned_top(f.takes, f.passer, f.roll, f.fake, depth, a)
    speed = a.end_speed if math.isnan(rusher.top_speed) else rusher.top_speed
    tau = a.tau if math.isnan(rusher.tau) else rusher.tau
    rules = Rules(reach=a.reach, a_lat=a.a_lat, a_brake=a.a_brake, arm=a.arm, bow=a.bow)
    side = f.sides[man.name] or (-1 if rusher.at[0] < man.at[0] else 1)  # of a centre, the side his man rushes on
    throw = plan.thrown("clock", depth, top)
    return still_margin(rusher.at, man.at, side, spot, throw, top_speed=speed, tau=tau, rules=rules)


def margin_gone(plan: Plan, man: Protector, rusher: Rusher) -> float:
    """yd: the depth, from CLEAR or the passer's own on, at which that margin is 0, by bisection (it falls with depth:
    the clock gains more a yard than the way); NaN where it is not above 0 at first, infinite where it is at any."""
    low, high = max(CLEAR, plan.formation.passer[1]), DEEPEST
    if not margin(plan, man, rusher, low) > 0:
        return math.nan
    if margin(plan, man, rusher, high) > 0:
        return math.inf
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if margin(plan, man, rusher, middle) > 0 else (low, middle)
    return high


def sprint_time(way: float, top: float, tau: float) -> float:
    """s from rest over a straight way, v = top (1 - exp(-t / tau)): Newton's method, from above, on a convex way."""
    time = way / top + tau
    for _ in range(50):
        gone = top * (time - tau * (1 - math.exp(-time / tau)))
        step = (gone - way) / (top * (1 - math.exp(-time / tau)))
        time -= step
        if abs(step) < 1e-12:
            break
    return time
