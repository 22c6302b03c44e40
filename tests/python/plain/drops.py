"""7: another depth of the drop on a recorded play, as far as it needs no other path of the passer; break-even depth."""

import numpy as np

from .dropbacks import top_of_drop
from .frames import Play
from .geometry import cutoff_ratio
from .measured import Measured, Row
from .reps import peak
from .rush import NAN
from .spells import Spell

FARTHEST = 60.0  # yd, how deep the scan goes


def break_even_depth(rusher: np.ndarray, blocker: np.ndarray, passer: np.ndarray, share: float) -> float:
    """7.2 by a scan of 0.01 yd, then bisection: the least depth straight back at which the ratio reaches `share`.

    NaN when it is that or more already; +inf when it is not reached within 60 yd.
    """

    def ratio(depth: float) -> float:
        return cutoff_ratio(rusher, blocker, np.array([passer[0], depth]))

    if ratio(float(passer[1])) >= share:
        return NAN
    low = float(passer[1])
    while low < FARTHEST:
        high = low + 0.01
        if ratio(high) >= share:
            for _ in range(60):
                middle = (low + high) / 2
                low, high = (low, middle) if ratio(middle) >= share else (middle, high)
            return high
        low = high
    return float("inf")


def edge_of_drop(m: Measured, side: str) -> Row | None:
    """The edge of a side at the recorded top, else at the end of reps: of the last ok frame by then."""
    top = top_of_drop(m.play)
    until = m.play.rep_frames() - 1 if top is None else top
    rows = [row for row in m.edges if row["side"] == side and row["time"] <= m.play.since_snap(until) + 1e-9]
    return rows[-1] if rows else None


def rep_of_edge(m: Measured, row: Row) -> Spell | None:
    """The first rep of the edge man on the edge's rusher, else his first of all; None where nobody attacks the edge."""
    if row["rusher"] is None:
        return None
    his = sorted((s for s in m.who.reps if s.protector == row["edge_man"]), key=lambda s: (s.first, s.rusher))
    return next((s for s in his if s.rusher == row["rusher"]), his[0] if his else None)


def stretched_spot(play: Play, depth: float | None) -> np.ndarray | None:
    """Where he tops when the drop is stretched to a depth, or as it was taken. None: he never tops."""
    top = top_of_drop(play)
    if top is None:
        return None
    place = play.places[play.passer][top]
    return place if depth is None else np.array([place[0], depth])


def drop_row(m: Measured, side: str, depth: float | None, reach: float) -> Row:
    """7.1 of one side and depth; None: as taken, and only then with what depends on the passer's path."""
    play, edge = m.play, edge_of_drop(m, side)
    out: Row = {"edge_man": None, "rusher": None, "until": NAN, "peak_cutoff_ratio": NAN, "peak_cutoff_time": NAN}
    if edge is None:
        return out
    out["edge_man"] = edge["edge_man"]
    rep = rep_of_edge(m, edge)
    goal = stretched_spot(play, depth)
    if rep is None or goal is None:
        return out
    until = next(k for k in (rep.contact, rep.beat, rep.last) if k is not None)
    man, rusher = rep.protector, rep.rusher
    both = [k for k in range(until + 1) if play.rushing(rusher, k) and play.here(man, k)]
    value, when = peak({k: cutoff_ratio(play.places[rusher][k], play.places[man][k], goal) for k in both})
    out |= {"rusher": rusher, "until": play.since_snap(until), "peak_cutoff_ratio": value}
    out["peak_cutoff_time"] = NAN if when is None else play.since_snap(when)
    if depth is not None:
        return out
    rows = {k: row for k, row in m.rushes[rusher].items() if k <= until and row["blocker"] == man}
    # The quickest moment of his way is that of the greatest exposure, also where all are 0.
    _, when = peak({k: -float(row["outside_time"]) for k, row in rows.items()})
    if when is None:
        return out
    value = rows[when]["outside_exposure"]
    sign = -1 if side == "left" else 1
    width = sign * float(play.places[man][when][0] - play.places[play.passer][when][0]) + reach
    out |= {"outside_exposure": value, "exposure_time": play.since_snap(when), "edge_width": width}
    return out | {name: rows[when][name] for name in ("outside_time", "outside_bend", "short_edge")}
