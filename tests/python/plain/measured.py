"""One play measured frame by frame: what the rows of every table are made from."""

from dataclasses import dataclass, field

import numpy as np

from . import edges as edge_rules
from . import pocket
from .frames import Play
from .geometry import span
from .rush import Rush, measure_rush
from .spells import WhoHasWhom, who_has_whom
from .standing import Standing, centres, stand

Row = dict[str, object]


@dataclass
class Measured:
    play: Play
    who: WhoHasWhom
    standing: dict[str, dict[int, Standing]]  # rusher -> frame -> how he stands
    walls: list[pocket.Wall | None]
    frames: list[Row] = field(default_factory=list)  # one a frame
    edges: list[Row] = field(default_factory=list)
    rushers: list[Row] = field(default_factory=list)
    rushes: dict[str, dict[int, Row]] = field(default_factory=dict)  # rusher -> frame -> his row


def present(play: Play, frame: int) -> tuple[pocket.Spots, pocket.Spots, pocket.Spots]:
    """Where the offence but the passer, the protectors and the rushers are in a frame."""
    offense = {p: play.places[p][frame] for p in play.offense() if p != play.passer and play.here(p, frame)}
    protectors = {p: at for p, at in offense.items() if p in play.protectors}
    rushers = {r: play.places[r][frame] for r in sorted(play.rushers) if play.rushing(r, frame)}
    return offense, protectors, rushers


def wall_of(play: Play, frame: int, rules: dict[str, float]) -> pocket.Wall | None:
    if not play.here(play.passer, frame):
        return None
    _, protectors, rushers = present(play, frame)
    return pocket.build_wall(play.places[play.passer][frame], protectors, rushers, play.linemen, centres(play), rules)


def status_of(passer: np.ndarray, passer_first: np.ndarray, wall: pocket.Wall | None, enclosed: bool) -> str:
    """3.3, of a frame that has the passer."""
    if passer[1] < 0 or (not enclosed and abs(passer[0] - passer_first[0]) > 3.0):
        return "outside"
    if wall is None or len(wall.men) < 3:
        return "thin"
    return "ok" if enclosed else "collapsed"


def measure_play(play: Play, rules: dict[str, float]) -> Measured:
    """Rows of frames, edges and rushers of one play whose roles are known."""
    who = who_has_whom(play, rules)
    walls = [wall_of(play, k, rules) for k in range(len(play.times))]
    standing = {r: stand(play, r, who.has[r], walls, rules) for r in sorted(play.rushers)}
    out = Measured(play, who, standing, walls, rushes={r: {} for r in play.rushers})
    passer_first: np.ndarray | None = None
    ends_first: dict[int, float] | None = None
    for k in range(len(play.times)):
        stamp: Row = {"play": play.id, "time": play.since_snap(k)}
        if not play.here(play.passer, k):
            out.frames.append(stamp | {"status": "missing"})
            continue
        passer = play.places[play.passer][k]
        passer_first = passer if passer_first is None else passer_first
        offense, protectors, rushers = present(play, k)
        wall = walls[k]
        polygon = pocket.build_polygon(passer, wall, protectors, rules["cushion"]) if wall else []
        enclosed = wall is not None and pocket.encloses(passer, wall, protectors, polygon)
        status = status_of(passer, passer_first, wall, enclosed)
        frame = stamp | {
            "status": status,
            "passer_depth": float(passer[1]),
            "nearest_rusher": min((span(at, passer) for at in rushers.values()), default=float("inf")),
        }

        rushes: dict[str, Rush] = {}
        for r, at in rushers.items():
            speeds = play.speeds[r][k], play.speeds[play.passer][k]
            rushes[r] = measure_rush(at, speeds[0], passer, speeds[1], standing[r][k], protectors, offense, rules)
            row = stamp | {"rusher": r} | rushes[r].figures
            if status == "ok":
                row["lane"], row["lane_side"] = edge_rules.lane(at, passer, wall, polygon, play.linemen)
            out.rushers.append(row)
            out.rushes[r][k] = row

        if status == "ok":
            frame |= pocket.figures(passer, wall, protectors, polygon, rushers)
            if ends_first is None:
                ends_first = {-1: -float(protectors[wall.left][0]), 1: float(protectors[wall.right][0])}
            for side in (-1, 1):
                row = edge_rules.edge(
                    side, rushes, wall, protectors, play.linemen, passer, passer_first, ends_first[side], rules
                )
                out.edges.append(stamp | row)
                frame[f"exposure_{row['side']}"] = row["exposure"]
            inside = [x.figures["inside_exposure"] for x in rushes.values()]
            frame["exposure_inside"] = max((x for x in inside if not np.isnan(x)), default=0.0)
        out.frames.append(frame)
    return out
