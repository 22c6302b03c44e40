"""The closed form beside a study: break-even depths of the still frame."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any

from ..measures.drops import break_even_depth
from .plan import OF_DEPTH, Plan

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
        yield {"protector": man.name, "rusher": rusher.name, "speed_ratio": share, "break_even": deep}


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
