"""The whole measurement: three tables in, eight tables and the skipped plays out."""

import pandas as pd

from . import roles
from .dropbacks import dropback
from .exchanges import exchange_rows
from .frames import SkippedError, load
from .looks import look_rows
from .measured import Measured, Row, measure_play
from .reps import rep_rows
from .rules import with_defaults
from .searches import search_rows

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
REPS = [
    "play",
    "protector",
    "rusher",
    "start",
    "end",
    "technique",
    "technique_side",
    "leverage",
    "set_type",
    "set_depth",
    "set_angle",
    "contact_time",
    "hips_time",
    "helped",
    "island_seconds",
    "outcome",
    "beat_side",
    "beat_time",
    "run_by",
    "pressure",
    "pressure_time",
    "ball_out",
    "peak_cutoff_ratio",
    "peak_cutoff_time",
    "foot_speed",
    "peak_outside",
    "peak_outside_time",
    "peak_inside",
    "peak_inside_time",
    "short_edge_seconds",
    "ground_given",
    "nearest_rusher_min",
    "peak_film_time",
    "contact_film_time",
    "beat_film_time",
    "lane",
    "lane_side",
    "came",
    "dropped",
    "help_side",
    "exchanged",
    "corrected",
]
DROPBACKS = [
    "play",
    "label",
    "passer",
    "alignment",
    "drop_depth",
    "top_time",
    "hitch",
    "throw_time",
    "rushers",
    "pressure",
    "pressure_time",
    "push",
    "push_time",
    "push_man",
    "ball_across",
    "wide_side",
    "snap",
    "line",
]
EXCHANGES = [
    "play",
    "time",
    "kind",
    "rusher",
    "from_man",
    "to_man",
    "crossed_with",
    "cross_time",
    "contact_time",
    "cutoff_ratio",
    "late",
    "outcome",
    "from_slot",
    "to_slot",
    "film_time",
]
SEARCHES = [
    "play",
    "man",
    "slot",
    "why",
    "start",
    "end",
    "found",
    "rusher",
    "helped",
    "until",
    "side",
    "distance",
    "film_time",
]
LOOKS = [
    "play",
    "defender",
    "spot",
    "side",
    "across",
    "depth",
    "over",
    "deep_over",
    "deep_man",
    "field_side",
    "rushed",
    "came",
    "dropped",
    "taken_by",
    "pickup",
    "next_rusher",
    "next_taken_by",
]
COLUMNS = {"frames": FRAMES, "edges": EDGES, "rushers": RUSHERS, "reps": REPS, "dropbacks": DROPBACKS}
COLUMNS |= {"exchanges": EXCHANGES, "searches": SEARCHES, "looks": LOOKS}
TEXT = {"play", "status", "wall_left", "wall_right", "side", "edge_man", "blocker", "lane", "lane_side"}
TEXT |= {"protector", "rusher", "technique", "technique_side", "set_type", "outcome", "beat_side"}
TEXT |= {"label", "passer", "alignment", "push_man", "snap", "line", "help_side", "wide_side"}
TEXT |= {"kind", "from_man", "to_man", "crossed_with", "from_slot", "to_slot"}
TEXT |= {"man", "slot", "why", "found", "defender", "spot", "over", "deep_man", "field_side", "taken_by", "pickup"}
TEXT |= {"next_rusher", "next_taken_by"}
TRUE_FALSE = {"engaged", "helped", "run_by", "pressure", "ball_out", "corrected", "exchanged", "late"}
TRUE_FALSE |= {"deep_over", "rushed"}
COUNTS = {"helpers", "rushers"}


def as_table(rows: list[Row], columns: list[str]) -> pd.DataFrame:
    """Rows as a table: missing text None, missing number NaN."""
    data = {}
    for name in columns:
        values = [row.get(name) for row in rows]
        if name in TEXT or (name == "helped" and columns is SEARCHES):  # there the man who was helped
            data[name] = pd.Series([None if v is None else str(v) for v in values], dtype=object)
        elif name in TRUE_FALSE:
            data[name] = pd.Series(values, dtype=bool)
        elif name in COUNTS:
            data[name] = pd.Series(values, dtype="int64")
        else:
            data[name] = pd.Series([float("nan") if v is None else float(v) for v in values], dtype=float)
    return pd.DataFrame(data, columns=columns)


def measured_plays(
    tracks: pd.DataFrame, snaps: pd.DataFrame, people: pd.DataFrame, rules: dict[str, float] | None = None
) -> tuple[list[Measured], list[Row]]:
    """The plays that can be measured, and play and reason of those that cannot."""
    values = with_defaults(rules)
    plays: list[Measured] = []
    skipped: list[Row] = []
    for _, snap_row in snaps.iterrows():
        try:
            play = load(tracks, snap_row, people)
            roles.assign(play)
        except SkippedError as why:
            skipped.append({"play": str(snap_row["play"]), "reason": str(why)})
            continue
        plays.append(measure_play(play, values))
    return plays, skipped


def written(
    plays: list[Measured], skipped: list[Row], rules: dict[str, float] | None = None
) -> dict[str, pd.DataFrame]:
    """The tables of measured plays: frames, edges, rushers, reps, dropbacks, exchanges, searches, looks and skipped."""
    rows: dict[str, list[Row]] = {name: [] for name in COLUMNS}
    for m in plays:
        rows["frames"] += m.frames
        rows["edges"] += m.edges
        rows["rushers"] += m.rushers
        rows["reps"] += rep_rows(m, with_defaults(rules))
        rows["exchanges"] += exchange_rows(m, with_defaults(rules))
        rows["searches"] += search_rows(m, with_defaults(rules))
        rows["looks"] += look_rows(m)
        rows["dropbacks"].append(dropback(m))
    out = {name: as_table(rows[name], columns) for name, columns in COLUMNS.items()}
    return out | {"skipped": pd.DataFrame(skipped, columns=["play", "reason"])}


def measure(
    tracks: pd.DataFrame, snaps: pd.DataFrame, people: pd.DataFrame, rules: dict[str, float] | None = None
) -> dict[str, pd.DataFrame]:
    """frames, edges, rushers, reps, dropbacks, exchanges, searches, looks and skipped (play, reason) of a game.

    tracks: play, player, time (s), x, y (yd, from the corner, y up), optional vx, vy (yd/s); snaps: play, ball_x,
    ball_y, direction, snap_time, optional throw_time, end_time, film_time, label; people: player, unit, position,
    optional play, role. Ids are text. Rows come in the order of snaps, then time, then side (left, right) or rusher;
    those of one play's reps in no order. Angles in degrees.
    """
    return written(*measured_plays(tracks, snaps, people, rules), rules)
