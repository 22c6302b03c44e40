"""A small written game, and the same game as other people would hand it over.

Three plays at 8 samples a second with places on a grid of 1/64 yd, so that float32 holds every value exactly and the
same game must come out to the bit whatever type its columns have. Invented.
"""

from pathlib import Path

import numpy as np
import pandas as pd
import pyarrow as pa

import shortedge as se
from conftest import LINE, Tables, written

RATE = 8.0
FRAMES = 21
YARDS = {"units": "yd", "origin": "corner", "y": "up"}
NAMES = {"QB": "12", "LT": "71", "LG": "62", "C": "9", "RG": "63", "RT": "78", "WR": "80"}
RUSHERS = {"90": (-5.0, -1.0), "91": (-1.0, -1.0), "92": (1.0, -1.0), "105": (5.5, -1.0)}


def grid(values: object) -> np.ndarray:
    return np.round(np.asarray(values, float) * 64) / 64


def path(start: tuple[float, float], end: tuple[float, float]) -> np.ndarray:
    return grid(np.linspace(start, end, FRAMES))


def small_game() -> Tables:
    """tracks, snaps, people: plays 2, 10 and 1 in that order; yards from the corner, y up."""
    plays = {}
    for play, depth, edge in (("2", 7.0, 1.5), ("10", 9.0, 0.6), ("1", 5.0, 3.0)):
        men = {"12": path((0, 1), (0, depth)), "80": path((18, 0), (18, -15))}
        men |= {NAMES[slot]: path(at, (1.2 * at[0], at[1] + 2)) for slot, at in LINE.items()}
        for rusher, at in RUSHERS.items():
            men[rusher] = path(at, (0.4 * at[0] + (edge if at[0] > 0 else -edge), depth - 1.5))
        men["33"] = path((8, -7), (6, -12))
        plays[play] = men
    people = {name: ("offense", slot, None) for slot, name in NAMES.items()}
    people |= {name: ("defense", "DE", None) for name in RUSHERS} | {"33": ("defense", "S", None)}
    tracks, snaps, who = written(plays, people, RATE)
    tracks["time"] += snaps_at(tracks["play"])
    tracks[["x", "y"]] = grid(tracks[["x", "y"]])
    snaps["snap_time"] = snaps_at(snaps["play"])
    snaps["throw_time"] = snaps["snap_time"] + [2.0, 2.25, np.nan]
    snaps["end_time"] = snaps["snap_time"] + 2.5
    snaps["label"] = ["screen", None, "play action"]
    snaps["down"] = [1, 3, 2]
    who["name"] = [f"Somebody {number}" for number in who["player"]]
    who["number"] = who["player"].astype(int)
    return tracks, snaps, who.drop(columns="role")


def snaps_at(plays: pd.Series) -> pd.Series:
    return plays.map({"2": 100.0, "10": 140.0, "1": 180.0}).astype(float)


def in_library(table: pd.DataFrame, library: str) -> object:
    """The table in another library: dict, pandas, polars or pyarrow."""
    if library == "pandas":
        return table
    if library == "dict":
        return {name: table[name].to_numpy() for name in table}
    arrow = pa.Table.from_pandas(table, preserve_index=False).replace_schema_metadata()
    if library == "pyarrow":
        return arrow
    import polars

    return polars.from_arrow(arrow)


def assert_same(m: "se.Measures", other: "se.Measures", *, near: float = 0.0) -> None:
    """The same tables: to the bit, or with numbers within `near`."""
    for title in ("frames", "edges", "rushers"):
        mine, his = m.arrow(title), other.arrow(title)
        assert mine.schema == his.schema
        assert mine.num_rows == his.num_rows > 0
        for name in mine.column_names:
            if pa.types.is_floating(mine[name].type):
                np.testing.assert_allclose(
                    mine[name].to_numpy(), his[name].to_numpy(), rtol=0, atol=near, err_msg=f"{title} {name}"
                )
            else:
                assert mine[name].to_pylist() == his[name].to_pylist(), f"{title} {name}"


def write_tables(folder: Path, tables: Tables, end: str = ".csv") -> Path:
    """The three tables as files tracks, snaps and people in a folder, which is made."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, table in zip(("tracks", "snaps", "people"), tables, strict=True):
        if end == ".parquet":
            table.to_parquet(folder / f"{name}{end}")
        else:
            table.to_csv(folder / f"{name}{end}", index=False)
    return folder


def write_map(folder: Path, text: str = 'units = "yd"\norigin = "corner"\ny = "up"\n') -> str:
    path = folder / "map.toml"
    path.write_text(text, encoding="utf-8")
    return str(path)
