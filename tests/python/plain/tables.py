"""The whole measurement: three tables in, three tables and the skipped plays out."""

import numpy as np
import pandas as pd

from . import edges as edge_rules
from . import pocket, roles
from .frames import Play, SkippedError, load
from .rules import with_defaults
from .rush import measure_rush

FRAMES = [
    "play",
    "time",
    "status",
    "passer_depth",
    "pocket_width",
    "wall_left",
    "wall_right",
    "pocket_depth",
    "pocket_area",
    "passer_room",
    "nearest_rusher",
    "exposure_left",
    "exposure_inside",
    "exposure_right",
]
EDGES = [
    "play",
    "time",
    "side",
    "edge_man",
    "rusher",
    "edge_width",
    "edge_given",
    "drift",
    "corner_held",
    "short_edge",
    "outside_time",
    "exposure",
    "engaged",
    "helpers",
]
RUSHERS = [
    "play",
    "time",
    "rusher",
    "distance",
    "bearing",
    "closing",
    "approach_angle",
    "closest",
    "closest_in",
    "blocker",
    "blocker_range",
    "engaged",
    "helpers",
    "cutoff_ratio",
    "corner_held",
    "short_edge",
    "outside_time",
    "outside_bend",
    "outside_exposure",
    "inside_time",
    "inside_exposure",
    "path_length",
    "slack",
    "lane",
    "lane_side",
]
TEXT = {"play", "status", "wall_left", "wall_right", "side", "edge_man", "rusher", "blocker", "lane", "lane_side"}

Row = dict[str, object]


def measure_play(play: Play, rules: dict[str, float]) -> tuple[list[Row], list[Row], list[Row]]:
    """Rows of frames, edges and rushers of one play whose roles are known."""
    frame_rows: list[Row] = []
    edge_rows: list[Row] = []
    rusher_rows: list[Row] = []
    passer_first: np.ndarray | None = None
    ends_first: dict[int, float] | None = None
    for k, clock in enumerate(play.times):
        stamp: Row = {"play": play.id, "time": float(clock - play.snap)}
        if not play.here(play.passer, k):
            frame_rows.append(stamp | {"status": "missing"})
            continue
        passer = play.places[play.passer][k]
        passer_first = passer if passer_first is None else passer_first
        offense = {p: play.places[p][k] for p in play.offense() if p != play.passer and play.here(p, k)}
        protectors = {p: at for p, at in offense.items() if p in play.protectors}
        rushers = {r: play.places[r][k] for r, start in play.rushers.items() if k >= start and play.here(r, k)}

        wall = pocket.build_wall(passer, protectors, rushers, play.linemen, rules)
        polygon = pocket.build_polygon(passer, wall, protectors, rules["cushion"]) if wall else []
        enclosed = wall is not None and pocket.encloses(passer, wall, protectors, polygon)
        if passer[1] < 0 or (not enclosed and abs(passer[0] - passer_first[0]) > 3.0):
            status = "outside"
        elif wall is None or len(wall.men) < 3:
            status = "thin"
        else:
            status = "ok" if enclosed else "collapsed"
        frame = stamp | {
            "status": status,
            "passer_depth": float(passer[1]),
            "nearest_rusher": min((pocket.span(at, passer) for at in rushers.values()), default=float("inf")),
        }

        rushes = {}
        for r in sorted(rushers):
            rushes[r] = measure_rush(
                rushers[r],
                play.speeds[r][k],
                passer,
                play.speeds[play.passer][k],
                protectors,
                offense,
                play.linemen,
                rules,
            )
            row = stamp | {"rusher": r} | rushes[r].figures
            if status == "ok":
                row["lane"], row["lane_side"] = edge_rules.lane(rushers[r], passer, wall, polygon, play.linemen)
            rusher_rows.append(row)

        if status == "ok":
            frame |= pocket.figures(passer, wall, protectors, polygon, rushers)
            if ends_first is None:
                ends_first = {-1: -float(protectors[wall.left][0]), 1: float(protectors[wall.right][0])}
            for side in (-1, 1):
                row = edge_rules.edge(side, rushes, wall, protectors, passer, passer_first, ends_first[side], rules)
                edge_rows.append(stamp | row)
                frame[f"exposure_{row['side']}"] = row["exposure"]
            frame["exposure_inside"] = max((x.figures["inside_exposure"] for x in rushes.values()), default=0.0)
        frame_rows.append(frame)
    return frame_rows, edge_rows, rusher_rows


def as_table(rows: list[Row], columns: list[str]) -> pd.DataFrame:
    """Rows as a table: missing text None, missing number NaN."""
    data = {}
    for name in columns:
        values = [row.get(name) for row in rows]
        if name in TEXT:
            data[name] = pd.Series([None if v is None else str(v) for v in values], dtype=object)
        elif name == "engaged":
            data[name] = pd.Series(values, dtype=bool)
        elif name == "helpers":
            data[name] = pd.Series(values, dtype="int64")
        else:
            data[name] = pd.Series([float("nan") if v is None else float(v) for v in values], dtype=float)
    return pd.DataFrame(data, columns=columns)


def measure(
    tracks: pd.DataFrame, snaps: pd.DataFrame, people: pd.DataFrame, rules: dict[str, float] | None = None
) -> dict[str, pd.DataFrame]:
    """frames, edges, rushers and skipped (play, reason) of a game.

    tracks: play, player, time (s), x, y (yd, from the corner, y up), optional vx, vy (yd/s); snaps: play, ball_x,
    ball_y, direction, snap_time, optional throw_time, end_time; people: player, unit, position, optional play, role.
    Ids are text. Rows come in the order of snaps, then time, then side (left, right) or rusher. Angles in degrees.
    """
    values = with_defaults(rules)
    frame_rows: list[Row] = []
    edge_rows: list[Row] = []
    rusher_rows: list[Row] = []
    skipped: list[Row] = []
    for _, snap_row in snaps.iterrows():
        try:
            play = load(tracks, snap_row, people)
            roles.assign(play)
        except SkippedError as why:
            skipped.append({"play": str(snap_row["play"]), "reason": str(why)})
            continue
        for rows, more in zip((frame_rows, edge_rows, rusher_rows), measure_play(play, values), strict=True):
            rows.extend(more)
    return {
        "frames": as_table(frame_rows, FRAMES),
        "edges": as_table(edge_rows, EDGES),
        "rushers": as_table(rusher_rows, RUSHERS),
        "skipped": pd.DataFrame(skipped, columns=["play", "reason"]),
    }
