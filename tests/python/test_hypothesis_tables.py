"""The mapping and the CSV door on whatever tables come: a game or a refusal with a text, never anything else."""

import csv
import math
import os
import tempfile
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import shortedge as se
from conftest import LINE, written
from small_game import YARDS, assert_same, small_game

EXAMPLES = 1000 if os.environ.get("SHORTEDGE_FULL") == "1" else 20
QUICK = settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)

odd_text = st.one_of(
    st.sampled_from(
        ["", " ", "NaN", "nan", "null", "None", "NA", "-", "1e999", "0x10", "1,5", "'", '"', "a\nb", "\ufeff1"]
    ),
    st.sampled_from(
        ["<script>alert(1)</script>", "=1+1", "ש\u200f", "\u202edlof", "\0", "é", "12.0", "+1", "-0", "1_000"]
    ),
    st.text(max_size=8).filter(lambda text: text.isprintable()),
    st.floats().map(repr),
    st.integers(-(10**20), 10**20).map(str),
)
TABLES = ("tracks", "snaps", "people")


def base() -> dict[str, pd.DataFrame]:
    return dict(zip(TABLES, small_game(), strict=True))


def made(*tables: Any, **mapping: Any) -> tuple[Any, Exception | None]:
    """The game of these tables, or what refuses them."""
    try:
        return se.from_tables(*tables, **mapping), None
    except (se.InputError, se.FileError) as refusal:
        return None, refusal


@QUICK
@given(data=st.data())
def test_a_csv_with_spoiled_cells_gives_a_game_or_a_refusal(data: st.DataObject) -> None:
    tables = {name: table.astype(str).replace("nan", "") for name, table in base().items()}
    for _ in range(data.draw(st.integers(1, 4))):
        table = tables[data.draw(st.sampled_from(TABLES))]
        row = data.draw(st.integers(0, len(table) - 1))
        column = data.draw(st.integers(0, len(table.columns) - 1))
        table.iat[row, column] = data.draw(odd_text)
    with tempfile.TemporaryDirectory() as folder:
        paths = []
        for name, table in tables.items():
            paths.append(Path(folder) / f"{name}.csv")
            table.to_csv(paths[-1], index=False)
        game, refusal = made(*paths, **YARDS)
    if refusal is not None:
        assert ".csv" in str(refusal) if isinstance(refusal, se.FileError) else str(refusal)
        return
    m = se.measure(game)
    assert set(m.frames["play"]) | {problem for problem in game.problems["play"]} >= set(game.plays["play"])


@QUICK
@given(
    content=st.one_of(st.binary(max_size=200), st.text(max_size=200).map(lambda text: text.encode("utf-8", "replace")))
)
def test_any_bytes_as_a_csv_are_refused(content: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        paths = [Path(folder) / f"{name}.csv" for name in TABLES]
        for path in paths:
            path.write_bytes(content)
        with pytest.raises((se.InputError, se.FileError), match=r"table|tracks"):
            se.from_tables(*paths, **YARDS)


ids = st.text(
    st.characters(exclude_categories=("Cs", "Cc", "Zs", "Zl", "Zp", "Cn", "Co")), min_size=1, max_size=6
).filter(
    lambda text: (
        not text.replace(".", "").replace("-", "").replace("+", "").isdigit()
        and text.lower()
        not in ("nan", "null", "none", "na", "inf", "infinity", "-inf", "true", "false", "n/a", "-nan", "#n/a", "nil")
    )
)


@QUICK
@given(
    names=st.lists(ids, min_size=13, max_size=13, unique=True),
    quoting=st.sampled_from([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]),
)
def test_ids_of_any_letters_come_through_a_csv_as_they_are(names: list[str], quoting: int) -> None:
    tables = base()
    players = list(tables["people"]["player"])
    new = dict(zip(players, names, strict=False))
    for name in ("tracks", "people"):
        tables[name]["player"] = tables[name]["player"].map(new)
    with tempfile.TemporaryDirectory() as folder:
        for name, table in tables.items():
            table.to_csv(Path(folder) / f"{name}.csv", index=False, quoting=quoting)
        game = se.from_tables(*(Path(folder) / f"{name}.csv" for name in TABLES), **YARDS)
    assert set(game.people["player"]) == set(new.values())


renamed = st.text("abcxyz_ .-é", min_size=1, max_size=8).filter(lambda text: text == text.strip())


@QUICK
@given(data=st.data())
def test_columns_under_any_names_in_any_order_give_the_same_game(data: st.DataObject) -> None:
    tables, columns = base(), {}
    expected = se.measure(se.from_tables(*tables.values(), **YARDS))
    for name, table in tables.items():
        given_names = list(table.columns)
        theirs = data.draw(
            st.lists(
                renamed.filter(lambda text, taken=frozenset(given_names): text not in taken),
                min_size=len(given_names),
                max_size=len(given_names),
                unique=True,
            )
        )
        columns[name] = dict(zip(given_names, theirs, strict=True))
        order = data.draw(st.permutations(theirs))
        rows = (
            np.random.default_rng(data.draw(st.integers(0, 99))).permutation(len(table))
            if name == "tracks"
            else slice(None)
        )
        tables[name] = table.rename(columns=columns[name])[list(order)].iloc[rows]
    assert_same(se.measure(se.from_tables(*tables.values(), **YARDS, columns=columns)), expected)


@QUICK
@given(words=st.lists(renamed, min_size=2, max_size=2, unique=True), data=st.data())
def test_words_in_any_spelling_give_the_same_game(words: list[str], data: st.DataObject) -> None:
    tables = base()
    expected = se.measure(se.from_tables(*tables.values(), **YARDS))
    spelling = dict(zip(("offense", "defense"), words, strict=True))
    if set(words) & {"offense", "defense"}:
        return
    tables["people"]["unit"] = tables["people"]["unit"].map(spelling)
    turned = {theirs: ours for ours, theirs in spelling.items()}
    assert_same(se.measure(se.from_tables(*tables.values(), **YARDS, values={"unit": turned})), expected)


@QUICK
@given(
    mapping=st.recursive(
        st.none() | st.booleans() | st.text(max_size=4) | st.integers(),
        lambda inner: (
            st.lists(inner, max_size=3)
            | st.dictionaries(
                st.sampled_from(["tracks", "snaps", "people", "x", "play", "unit", "q"]), inner, max_size=3
            )
        ),
        max_leaves=8,
    )
)
def test_any_mapping_is_taken_or_refused(mapping: object) -> None:
    for kind in ("columns", "values"):
        _, refusal = made(*base().values(), **YARDS, **{kind: mapping})
        assert refusal is None or (isinstance(refusal, se.InputError) and str(refusal))


coordinate = st.one_of(st.just(math.nan), st.sampled_from([0.0, 1.5, -3.0, 5.0]), st.floats(-12, 12))
place = st.tuples(coordinate, coordinate)


@settings(QUICK, max_examples=2 * EXAMPLES)
@given(
    men=st.lists(place, min_size=5, max_size=5),
    passer=place,
    rushers=st.lists(place, max_size=4),
    frames=st.sampled_from([1, 1, 2, 7]),
)
def test_one_play_of_few_frames_stacked_and_absent_men(
    men: list[tuple[float, float]], passer: tuple[float, float], rushers: list[tuple[float, float]], frames: int
) -> None:
    """A play is measured or listed with its reason, and what is measured is within its bounds."""
    where = {"QB": np.tile(passer, (frames, 1))} | {
        slot: np.tile(at, (frames, 1)) for slot, at in zip(LINE, men, strict=True)
    }
    where |= {f"R{n}": np.tile(at, (frames, 1)) for n, at in enumerate(rushers)}
    people = {"QB": ("offense", "QB", None)} | {slot: ("offense", slot, None) for slot in LINE}
    people |= {f"R{n}": ("defense", "DL", "rusher") for n in range(len(rushers))}
    game, refusal = made(*written({"only": where}, people), **YARDS, orientation="trust")
    if refusal is not None:
        assert isinstance(refusal, se.InputError)
        assert "only" in str(refusal) or "play" in str(refusal)
        return
    m = se.measure(game)
    assert len(m.frames) == (frames if game.problems.empty else 0)
    ok = m.frames["status"] == "ok"
    assert m.frames.loc[ok, ["pocket_width", "pocket_depth", "pocket_area", "passer_room"]].notna().all(axis=None)
    assert (m.rushers["path_length"] >= m.rushers["distance"] - 1e-9).all()
    for column in ("exposure_left", "exposure_inside", "exposure_right"):
        assert m.frames.loc[ok, column].between(0, 1).all()
    held = m.rushers["corner_held"].dropna()
    assert held.between(0, 2 * 1.04 + 1e-9).all()
    seen = sum(not np.isnan(at).any() for at in men)  # linemen with a place
    assert len(se.reps(game, m).table) >= seen * game.problems.empty
