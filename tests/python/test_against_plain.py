"""Every figure of the tables against tests/python/plain: the same definitions, written again without the library.

Numbers agree within 1e-6, relative above 1, times along a way within 1e-4 s (the plain ones come from root finding),
text and yes or no exactly. No column is left out and no row either: a rep that begins or ends in another frame is a
difference, as are two reps for one.
"""

from collections import Counter
from functools import cache

import pandas as pd
import pytest

import odd_games
import plain
import shortedge as se
from conftest import KEYS, Tables, differing, taken
from plain.fired import fired
from plain.measured import Measured, Row

# Short games that together reach every rule in RULES but the SELDOM ones, and many more that reach all of them.
SEEDS = (2, 3, 7, 8, 11, 12, 13, 14, 16, 24, 26, 27)
MORE_SEEDS = range(100, 148)
RULES = (
    *("late", "dropped", "showed and dropped", "late rusher matched", "late rusher's nearest man taken by another"),
    *("only helped (a)", "passed on (b)", "assigned without a spell", "never between", "let go"),
    *("had by the first to come", "man who has him changes", "man who has him not there", "nobody has him"),
    *(
        "past outside",
        "past inside",
        "past with a man between",
        "free with a man between",
        "free outside",
        "free inside",
    ),
    *("free edge", "edge taken past a man not in the wall", "edge of the back's man, the end having none"),
    *("edge man not in the wall", "edge man no lineman", "two centres", "no centre", "seven rushers"),
    *("beat left", "beat right", "beat inside", "set kick-out", "alignment pistol", "alignment short gun"),
)
SELDOM = ("passed on (b)",)
TABLE_KEYS = KEYS | {"reps": ["play", "protector", "rusher", "start"], "dropbacks": ["play"]}
# s. The plain times come from root finding, and a time divided by the horizon is an exposure.
LOOSE = {"outside_time": 1e-4, "inside_time": 1e-4}
NEAR = 1e-6
WAYS_OF_WRITING = [("m", "corner", "up"), ("m", "center", "up"), ("ft", "corner", "down"), ("yd", "center", "down")]


@cache
def game_of(seed: int) -> Tables:
    return odd_games.odd_game(seed)


@cache
def plain_plays(seed: int) -> tuple[list[Measured], list[Row]]:
    return plain.measured_plays(*game_of(seed))


@cache
def plainly(seed: int) -> dict[str, pd.DataFrame]:
    return plain.written(*plain_plays(seed))


def in_order(table: pd.DataFrame, name: str) -> pd.DataFrame:
    """The rows in one order, whatever they came in; a key that is not there is an empty text, and comes first."""
    keys = TABLE_KEYS[name]
    filled = {
        key: table[key].astype(object).where(table[key].notna(), "") for key in keys if key not in ("time", "start")
    }
    return table.assign(**filled).sort_values(keys, ignore_index=True)


def tables_of(game: "se.Game", rules: "se.Rules | None" = None) -> dict[str, pd.DataFrame]:
    measured = se.measure(game) if rules is None else se.measure(game, rules=rules)
    reps = se.reps(game, measured)
    found = {name: getattr(measured, name) for name in KEYS}
    return found | {"reps": reps.table, "dropbacks": reps.dropbacks}


def check_tables(found: dict[str, pd.DataFrame], reference: dict[str, pd.DataFrame]) -> None:
    for name, keys in TABLE_KEYS.items():
        mine, his = in_order(found[name], name), in_order(reference[name], name)
        assert list(mine.columns) == ["game", *his.columns]
        rows = [
            list(zip(*(t[k].round(6) if k in ("time", "start") else t[k] for k in keys), strict=True))
            for t in (mine, his)
        ]
        assert Counter(rows[0]) == Counter(rows[1]), name
        assert differing(mine, his, his.columns, LOOSE, NEAR) == [], name


def check(game: "se.Game", reference: dict[str, pd.DataFrame]) -> None:
    assert sorted(game.problems["play"]) == sorted(reference["skipped"]["play"])
    check_tables(tables_of(game), reference)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_column(seed: int) -> None:
    check(taken(game_of(seed)), plainly(seed))


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize(("units", "origin", "y"), WAYS_OF_WRITING)
def test_every_column_through_other_units(seed: int, units: str, origin: str, y: str) -> None:
    """Metres and feet, the centre of the field, y down: the reference reads yards from the corner, y up."""
    game = odd_games.as_units(game_of(seed), units, origin, y)
    check(taken(game, units, origin, y), plainly(seed))


def test_other_rules() -> None:
    """Every rule away from its default, so that none is read for another or not at all."""
    rules = {name: value * 1.2 for name, value in plain.DEFAULTS.items()}
    tables = game_of(SEEDS[1])
    found, reference = tables_of(taken(tables), se.Rules(**rules)), plain.measure(*tables, rules=rules)
    check_tables(found, reference)


def fired_in(seeds: "tuple[int, ...] | range") -> Counter[str]:
    """Rule -> how often it fires in the games of these seeds, by the plain reading."""
    total = Counter[str]()
    for seed in seeds:
        for play in plain_plays(seed)[0]:
            total.update(fired(play, plain.DEFAULTS))
    return total


def test_the_games_reach_the_rules() -> None:
    """The comparison is worth something only if the odd cases occur in it."""
    count = fired_in(SEEDS)
    assert [rule for rule in RULES if rule not in SELDOM and count[rule] == 0] == []


@pytest.mark.full
def test_many_games_reach_every_rule() -> None:
    count = fired_in(MORE_SEEDS)
    assert [rule for rule in RULES if count[rule] == 0] == []


def test_a_wall_without_detachment_is_wider() -> None:
    """A man is detached in these games, which no column says."""
    games = [taken(game_of(seed)) for seed in SEEDS]
    frames = pd.concat([se.measure(game).frames for game in games])
    attached = pd.concat([se.measure(game, rules=se.Rules(detach=100.0)).frames for game in games])
    assert (frames["pocket_width"] < attached["pocket_width"] - 1e-6).any()


@pytest.mark.full
@pytest.mark.parametrize("seed", MORE_SEEDS)
def test_every_column_of_many_games(seed: int) -> None:
    check(taken(game_of(seed)), plainly(seed))
