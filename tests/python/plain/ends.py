"""6.0: the end of reps. It depends on no role but the passer's."""

import numpy as np

from .frames import Play, runs
from .rules import TIME_EPS

RUN = 1.5  # yd/s


def leaves(play: Play) -> float:
    """When the passer leaves the pocket: +inf, never.

    At the start of his first stretch, beginning more than 0.3 s after the snap, of sideways speed above 1.5 yd/s that
    carries him 2 yd or more, or of the upfield run at that speed that takes him to v < 0.

    Reading: a stretch goes one way and has the passer in all its frames; it may go on after the throw; 2 yd are
    between its first frame and its last; the 0.3 s are asked of the sideways stretch only.
    """
    place, speed = play.places[play.passer], play.speeds[play.passer]
    starts = [float("inf")]
    for way in (-1, 1):
        for first, last in runs(way * speed[:, 0] > RUN):
            late_enough = play.times[first] - play.snap > 0.3 + TIME_EPS
            if late_enough and way * (place[last, 0] - place[first, 0]) >= 2.0:
                starts.append(float(play.times[first]))
    for first, last in runs(-speed[:, 1] > RUN):
        if (place[first : last + 1, 1] < 0).any():
            starts.append(float(play.times[first]))
    return min(starts)


def reached(play: Play) -> float:
    """First frame with any defender within 1 yd of the passer: +inf, never."""
    passer = play.places[play.passer]
    for k, time in enumerate(play.times):
        if any(np.hypot(*(play.places[who][k] - passer[k])) <= 1.0 for who in play.defense()):
            return float(time)
    return float("inf")


def bad_snap(play: Play) -> bool:
    """Whether the passer's way says that the snap went wrong.

    From under centre (v < 2 at the first frame): not thrown by 1.5 s, and in no frame up to 1.5 s 3 yd deep or beyond
    the line; there must be one from 1 s on. From deeper: within 2 s more than 6 yd deeper than he stood.
    """
    if not play.here(play.passer, 0):
        return False
    depth = play.places[play.passer][:, 1]
    since = play.times - play.snap
    if depth[0] >= 2.0:
        return bool((depth[since <= 2.0 + TIME_EPS] - depth[0] > 6.0).any())
    if play.throw - play.snap <= 1.5 + TIME_EPS:
        return False
    early = (since <= 1.5 + TIME_EPS) & ~np.isnan(depth)
    if since[early].max() < 1.0 - TIME_EPS:
        return False
    return not ((depth[early] >= 3.0) | (depth[early] < 0)).any()


def end_of_reps(play: Play) -> float:
    """The earliest of the throw, the passer's leaving (which after a bad snap is none), without a throw a defender
    within 1 yd, and the end."""
    away = np.inf if bad_snap(play) else leaves(play)
    return min(away, reached(play) if np.isnan(play.throw) else play.throw, play.end)
