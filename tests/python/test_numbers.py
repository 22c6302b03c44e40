"""The same figures whatever does not matter, for reps as for measures (test_identities.py); and the same figures as
when the files' schema was last raised.

tests/data/golden.json holds a hash a table of the demo game's figures, rounded to a millionth: made anew, on purpose,
with SHORTEDGE_MAKE_GOLDEN=1 when a definition changes. It is no check of any figure.
"""

import hashlib
import json
import os
import re
import warnings
from pathlib import Path

import numpy as np
import pandas as pd
import pyarrow as pa
import pytest

import shortedge as se
from conftest import Tables, differing, taken
from test_identities import NEAR, SEEDS, mirror_of, moved, on_grid, shift, turn

GOLDEN = Path(__file__).parents[1] / "data" / "golden.json"
SCHEMAS = {"game": 2, "results": 3, "reps": 3}
KEYS = {"table": ["play", "start", "protector", "rusher", "outcome"], "dropbacks": ["play"]}


def reps_of(game: Tables, threads: int | None = None) -> dict[str, pd.DataFrame]:
    reps = se.reps(taken(game), threads=threads) if threads else se.reps(taken(game))
    return {name: getattr(reps, name).sort_values(keys, ignore_index=True) for name, keys in KEYS.items()}


def same(tables: dict[str, pd.DataFrame], others: dict[str, pd.DataFrame], near: float) -> None:
    for name in KEYS:
        assert len(tables[name]) == len(others[name]) > 0
        assert differing(tables[name], others[name], tables[name].columns, {}, near) == [], name


@pytest.mark.parametrize("seed", SEEDS)
def test_reps_moved_and_turned(seed: int) -> None:
    game = on_grid(seed)
    straight = reps_of(game)
    for change in (shift, turn):
        same(reps_of(moved(game, change)), straight, near=0)


@pytest.mark.parametrize("seed", SEEDS)
def test_reps_by_order_of_rows_and_threads(seed: int) -> None:
    game = on_grid(seed)
    straight = reps_of(game)
    shuffled = tuple(table.sample(frac=1, random_state=seed) for table in game)
    same(reps_of(shuffled), straight, near=0)  # type: ignore[arg-type]
    for threads in (1, 5):
        same(reps_of(game, threads), straight, near=0)


@pytest.mark.parametrize("seed", SEEDS)
def test_reps_mirrored(seed: int) -> None:
    game = on_grid(seed)
    mirrored = reps_of(mirror_of(game))
    straight = reps_of(game)

    # A man straight ahead of the passer, or on him, counts as right in either picture, and so does one head up on the
    # ball.
    rushers = se.measure(taken(game)).rushers
    even = set(rushers.loc[rushers["bearing"].abs().isin([0.0, 180.0]), "play"])
    for tables in (mirrored, straight):
        for name in KEYS:
            tables[name] = tables[name][~tables[name]["play"].isin(even)].reset_index(drop=True)
    table = mirrored["table"]
    sides = {"left": "right", "right": "left"}
    for column in ("technique_side", "lane_side", "beat_side"):
        table[column] = table[column].map(lambda side: sides.get(side, side), na_action="ignore")
    same(mirrored, straight, NEAR)


def figures(table: pa.Table) -> str:
    """A hash of a table's rows, numbers to a millionth."""
    hashed = hashlib.sha256()
    for name in table.column_names:
        column = table[name]
        hashed.update(name.encode())
        if pa.types.is_floating(column.type):
            values = column.to_numpy() * 1e6
            odd = np.select([np.isnan(values), values == np.inf, values == -np.inf], [1, 2, 3], 0)
            plain = np.where(odd > 0, 0, np.round(np.nan_to_num(values, posinf=0, neginf=0)))
            hashed.update(plain.astype(np.int64).tobytes())
            hashed.update(odd.astype(np.int8).tobytes())
        else:
            hashed.update(repr(column.to_pylist()).encode())
    return hashed.hexdigest()[:16]


def test_the_demo_games_figures_are_those_of_the_schema() -> None:
    game = se.example()
    m = se.measure(game)
    reps = se.reps(game, m)
    tables = {title: m.arrow(title) for title in ("frames", "edges", "rushers")}
    tables |= {"reps": pa.Table.from_pandas(reps.table), "dropbacks": pa.Table.from_pandas(reps.dropbacks)}
    found = {"schemas": SCHEMAS, "figures": {title: figures(table) for title, table in tables.items()}}
    if os.environ.get("SHORTEDGE_MAKE_GOLDEN") == "1":
        GOLDEN.write_text(json.dumps(found, indent=2) + "\n")
    assert json.loads(GOLDEN.read_text()) == found


def test_there_is_a_file_of_every_schema() -> None:
    """Each of them loads."""
    for kind, version in SCHEMAS.items():
        for past in range(1, version + 1):
            with warnings.catch_warnings(record=True) as said:
                warnings.simplefilter("always")
                assert se.read(GOLDEN.parent / f"schema{past}_{kind}.h5") is not None
            assert ("older definition" in " ".join(str(one.message) for one in said)) == (past < 3 and kind != "game")
    text = (Path(__file__).parents[2] / "core" / "file" / "schema.hpp").read_text()
    for kind, version in SCHEMAS.items():
        assert re.search(rf'"shortedge {kind}", {version}\b', text)
