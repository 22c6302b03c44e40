"""What the tests share: the switch for long checks, and games written out by hand.

The figures beside a made play are in its play frame: u yards to the offence's right of the ball, v yards behind the
line of scrimmage. Everything is invented.
"""

import os
import signal
from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd
import pytest
from numpy.typing import ArrayLike, NDArray

import shortedge as se

Tables = tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]
KEYS = {"frames": ["play", "time"], "edges": ["play", "time", "side"], "rushers": ["play", "time", "rusher"]}

BALL = np.array([60.0, 26.0])  # x, y of the ball in a written play, yd
LINE = {"LT": (-3.0, 0.8), "LG": (-1.5, 0.8), "C": (0.0, 0.5), "RG": (1.5, 0.8), "RT": (3.0, 0.8)}


# A shell's background job ignores Ctrl-C, and so would the programs that tests start to interrupt.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    if os.environ.get("SHORTEDGE_FULL") == "1":
        return
    for item in items:
        if item.get_closest_marker("full"):
            item.add_marker(pytest.mark.skip(reason="long; run with --full"))


def written(
    plays: Mapping[str, Mapping[str, ArrayLike]], people: Mapping[str, tuple[str, str, str | None]], rate: float = 10.0
) -> Tables:
    """tracks, snaps and people of plays given as play -> player -> where he is.

    Where: one (u, v) for a man who stands still, or (frames, 2), one a frame from the snap on, `rate` frames a second.
    NaN: not there. people: player -> unit, position, role. The offence attacks +x from `BALL`; yards from the field's
    corner, y up.
    """
    rows = []
    for play, men in plays.items():
        paths = {player: np.asarray(path, dtype=float) for player, path in men.items()}
        frames = max([path.shape[0] for path in paths.values() if path.ndim == 2], default=2)
        for player, path in paths.items():
            u, v = np.broadcast_to(path, (frames, 2)).T
            where = {"x": BALL[0] - v, "y": BALL[1] - u}
            rows.append(pd.DataFrame({"play": play, "player": player, "time": np.arange(frames) / rate, **where}))
    snaps = {"play": list(plays), "ball_x": BALL[0], "ball_y": BALL[1], "direction": 1, "snap_time": 0.0}
    units, positions, roles = zip(*people.values(), strict=True)
    who = {"player": list(people), "unit": units, "position": positions, "role": roles}
    return pd.concat(rows, ignore_index=True), pd.DataFrame(snaps), pd.DataFrame(who)


def taken(
    tables: Tables, units: str = "yd", origin: str = "corner", y: str = "up", orientation: str = "trust"
) -> "se.Game":
    """The game of three tables. Made games may look odd, so by default nothing is held against how they stand."""
    return se.from_tables(*tables, units=units, origin=origin, y=y, orientation=orientation)


def ordered(table: pd.DataFrame, name: str) -> pd.DataFrame:
    """The rows of `frames`, `edges` or `rushers` in one order, whatever they came in."""
    return table.sort_values(KEYS[name], ignore_index=True)


def differing(
    table: pd.DataFrame, other: pd.DataFrame, columns: Sequence[str], loose: Mapping[str, float], near: float
) -> list[str]:
    """The columns in which two tables of equal rows differ, with the first difference.

    Texts, counts and true or false are equal or not; numbers are within `near`, relative above 1, or as `loose` says.
    """
    found = []
    for column in columns:
        mine, his = table[column], other[column]
        numbers = [pd.api.types.is_numeric_dtype(one) and not pd.api.types.is_bool_dtype(one) for one in (mine, his)]
        if all(numbers):
            within = np.isclose(mine, his, rtol=0, atol=0, equal_nan=True)
            with np.errstate(invalid="ignore"):
                size = np.maximum(1.0, np.abs(his.to_numpy(float)))
                within |= np.abs(mine.to_numpy(float) - his.to_numpy(float)) <= loose.get(column, near) * size
        else:
            within = ((mine == his) | (mine.isna() & his.isna())).to_numpy(bool)
        if not within.all():
            k = int(np.argmin(within))
            found.append(f"{column}: {(~within).sum()} rows, first row {k}: {mine.iloc[k]!r} against {his.iloc[k]!r}")
    return found


@pytest.fixture
def rng(request: pytest.FixtureRequest) -> np.random.Generator:
    """Random numbers that are the same in every run, and others in every test."""
    return np.random.default_rng(list(request.node.name.encode()))


def unit_vector(angle: ArrayLike) -> NDArray[np.float64]:
    """(..., 2) from angles in radians, counted from u toward v."""
    return np.stack([np.cos(angle), np.sin(angle)], axis=-1)
