"""Every figure of the tables against tests/python/plain: the same definitions, written again without the library.

Numbers agree within 1e-6, relative above 1, times along a way within 1e-4 s (the plain ones come from root finding),
text and yes or no exactly. No column is left out and no row either: a rep that begins or ends in another frame is a
difference, as are two reps for one.
"""

from collections import Counter
from functools import cache

import numpy as np
import pandas as pd
import pytest

import odd_games
import plain
import shortedge as se
from conftest import KEYS, LINE, Tables, differing, taken, written
from plain.dropbacks import top_of_drop
from plain.drops import FARTHEST, break_even_depth, drop_row
from plain.fired import fired
from plain.measured import Measured, Row
from plain.speeds import speeds

# Few games that reach every rule but those in SELDOM, and many that reach every rule.
SEEDS = (0, 1, 7, 25, 26, 29, 41, 49, 63, 65, 77, 81)
MORE_SEEDS = (*range(48), 50, 63, 101)
SLOW_SEEDS = (1, 7, 29)  # the longest of them
# Games of the slot and of twists, for exchanges, searches and looks.
LATER_SEEDS, MORE_LATER_SEEDS = (1004, 1008), (1001, 1002, 1003, 1010)
TABLE_KEYS = KEYS | {
    "reps": ["play", "protector", "rusher", "start"],
    "dropbacks": ["play"],
    "exchanges": ["play", "rusher", "time"],
    "searches": ["play", "man", "start"],
    "looks": ["play", "defender"],
}
# s. The plain times come from root finding, and a time divided by the horizon is an exposure.
LOOSE = {"outside_time": 1e-4, "inside_time": 1e-4}
NEAR = 1e-6
WAYS_OF_WRITING = [("m", "corner", "up"), ("m", "center", "up"), ("ft", "corner", "down"), ("yd", "center", "down")]


# What must occur in the games, as plain.fired names it. No game reaches two: a free rusher in a frame with no wall, and
# two reps of one rusher that run at the same time.
SELDOM = {"late and dropped", "exchange pass-off", "look pickup back"}
RULES = (
    "alignment None",
    "alignment gun",
    "alignment pistol",
    "alignment short gun",
    "alignment under",
    "assigned without a spell",
    "ball_out",
    "beat inside",
    "beat left",
    "beat outside",
    "beat right",
    "beaten in a short spell and nobody came",
    "blocker beyond engage",
    "blocker not there",
    "corner gone though not past",
    "corner partly held",
    "counts from later than the snap",
    "dropped",
    "edge man no lineman",
    "edge man not in the wall",
    "edge nobody's",
    "edge nobody's though the end has a man",
    "edge of a man past outside, hardly exposed",
    "edge of the back's man, the end having none",
    "edge of the end's own man",
    "edge taken of another man",
    "edge taken of the end",
    "edge taken past a man not in the wall",
    "edge taken past his man",
    "edge with two takers",
    "exchange free",
    "exchange from a spell that is no rep",
    "exchange of one who crossed with two",
    "exchange of two who stood in order",
    "exchange pass-off",
    "exchange pass-off late",
    "exchange stayed",
    "exchange twist",
    "exchange twist late",
    "exchange waited for behind the line",
    "film time",
    "free edge",
    "free inside",
    "free outside",
    "free with a man between",
    "guard as edge man",
    "had by the first to come",
    "had by the last who had him",
    "held up short of the line",
    "help by a man who is no lineman",
    "helped",
    "hips",
    "lane in reps",
    "late",
    "late and dropped",
    "late rusher matched",
    "late rusher's nearest man taken by another",
    "let go",
    "let go, then beaten",
    "look and came",
    "look and dropped",
    "look box",
    "look field side None",
    "look field side short",
    "look field side wide",
    "look line",
    "look over nobody",
    "look over the slot from deep",
    "look pickup None",
    "look pickup back",
    "look pickup inside",
    "look pickup nobody",
    "look pickup outside in",
    "look pickup tackle",
    "look pickup without a next rusher",
    "look pickup, the next rusher nobody's",
    "look slot",
    "look under a deep man",
    "look wide",
    "man who has him changes",
    "man who has him not there",
    "never between",
    "no centre",
    "no contact",
    "no pressure",
    "no push to tell",
    "no side, centre",
    "no side, no lineman",
    "no throw",
    "no top",
    "nobody has him",
    "only helped (a)",
    "outcome beat",
    "outcome driven",
    "outcome free",
    "outcome held",
    "outcome help",
    "outcome uncovered",
    "passed on (b)",
    "past inside",
    "past inside, now outside",
    "past outside",
    "past outside, now inside",
    "past with a man between",
    "past without a side",
    "pressure",
    "push",
    "push 0",
    "rep of a man who is no lineman",
    "reps end before the throw",
    "reps end where the passer leaves",
    "reps end with a man on the passer",
    "role given to a rusher",
    "run_by",
    "rusher missing in between",
    "rusher only after the end of reps",
    "search back help",
    "search back nobody",
    "search back rusher",
    "search freed help",
    "search freed nobody",
    "search freed rusher",
    "search of one absent at its end",
    "search of one who had a rusher",
    "search of one who had found a rusher",
    "search side None",
    "search side left",
    "search side right",
    "search that finds at once",
    "search uncovered help",
    "search uncovered nobody",
    "search uncovered rusher",
    "second man without an exchange",
    "set 45",
    "set jump",
    "set kick-out",
    "set vertical",
    "seven rushers",
    "short edge seconds",
    "showed and dropped",
    "side another than listed",
    "side another than where he is now",
    "side of no lineman",
    "status collapsed",
    "status missing",
    "status ok",
    "status outside",
    "status thin",
    "technique 0",
    "technique 1",
    "technique 2",
    "technique 2i",
    "technique 3",
    "technique 4",
    "technique 4i",
    "technique 5",
    "technique 6",
    "technique 7",
    "technique 9",
    "technique off",
    "technique wide",
    "throw",
    "top",
    "two centres",
    "two reps of one protector",
    "two reps of one rusher",
)


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
    found |= {"reps": reps.table, "dropbacks": reps.dropbacks}
    return found | {"exchanges": reps.exchanges, "searches": reps.searches, "looks": reps.looks}


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


@pytest.mark.parametrize(
    "seed",
    [pytest.param(seed, marks=pytest.mark.full) if seed in SLOW_SEEDS else seed for seed in (*SEEDS, *LATER_SEEDS)],
)
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


def check_drops(seed: int) -> None:
    """As taken: every figure; 12 yd deep: what depends on the spot alone, and not on the passer's way there."""
    game = taken(game_of(seed))
    for play in plain_plays(seed)[0]:
        top = top_of_drop(play.play)
        if top is None:
            continue
        refused = ""
        try:
            rows = se.drop_study(game, play=play.play.id, depths=[12.0]).table
        except se.InputError as why:
            refused = str(why)
        if refused:
            assert "never drops, or is not seen where he gathers" in refused
            way = play.play.places[play.play.passer][: top + 1]
            assert np.isnan(way).any() or way[-1][1] <= way[0][1]
            rows = se.drop_study(game, play=play.play.id).table
            assert rows.taken.all()
        for row in rows.to_dict("records"):
            depth = None if row["taken"] else row["depth"]
            his = drop_row(play, row["side"], depth, plain.DEFAULTS["reach"])
            mine = pd.DataFrame([{name: row[name] for name in his}])
            assert differing(mine, pd.DataFrame([his]), list(his), LOOSE, NEAR) == [], (
                play.play.id,
                row["side"],
                depth,
            )


@pytest.mark.parametrize("seed", SEEDS)
def test_drops_of_recorded_plays(seed: int) -> None:
    check_drops(seed)


@pytest.mark.full
@pytest.mark.parametrize("seed", MORE_SEEDS)
def test_drops_of_many_games(seed: int) -> None:
    check_drops(seed)


def sprint(t: np.ndarray, top_speed: float, tau: float) -> np.ndarray:
    since = np.maximum(t, 0.0)
    return top_speed * (since + tau * np.expm1(-since / tau))


def runners(rng: np.random.Generator) -> Tables:
    """Eight plays with a man for each kind of answer: sprinters seen for long and for a second, one who runs another
    sprint in every play, one who runs in four plays only, and tackles who set."""
    t = np.arange(0, 2.4, 0.05)
    people = {name: ("offense", name, None) for name in LINE} | {"QB": ("offense", "QB", None)}
    people |= {name: ("defense", "DL", "rusher") for name in ("long", "short", "unlike", "few", "inside")}
    plays = {}
    for k in range(8):
        start = rng.uniform(0.1, 0.3)

        def path(u: float, way: np.ndarray) -> np.ndarray:
            return np.column_stack([np.full(len(t), u), way]) + rng.normal(0, 0.01, (len(t), 2))

        plays[f"p{k}"] = LINE | {
            "QB": (0.0, 20.0),
            "LT": path(-3.0, 0.8 + sprint(np.minimum(t, 1.2) - start, 2.4 + rng.normal(0, 0.05), 0.15)),
            "RT": path(3.0, 0.8 + sprint(np.minimum(t, 1.3) - start, 2.9 + rng.normal(0, 0.05), 0.15)),
            "long": path(9.0, -1 + sprint(t - start, 9.1, 1.0)),
            "short": path(-9.0, -1 + sprint(np.minimum(t, 1.1 + start) - start, 8.3 + rng.normal(0, 0.1), 0.9)),
            "unlike": path(12.0, -1 + sprint(t - start, rng.uniform(4.0, 9.0), 0.9)),
            "few": path(-12.0, -1 + sprint((t if k < 4 else 0 * t) - start, 8.8, 0.9)),
            "inside": path(0.7, -1.2 + 0.1 * t),
        }
    return written(plays, people, rate=20.0)


def check_speeds(tables: Tables) -> pd.DataFrame:
    """Every column but the name of the game, and every man. Returns the reference."""
    mine, his = se.fit_speeds(taken(tables)).table.drop(columns="game"), speeds(*tables)
    assert list(zip(mine["player"], mine["duty"], strict=True)) == list(zip(his["player"], his["duty"], strict=True))
    assert list(mine.columns) == list(his.columns)
    assert differing(mine, his, his.columns, {}, NEAR) == []
    return his


@pytest.mark.parametrize("seed", SEEDS)
def test_speeds(seed: int) -> None:
    check_speeds(game_of(seed))


@pytest.mark.full
@pytest.mark.parametrize("seed", MORE_SEEDS)
def test_speeds_of_many_games(seed: int) -> None:
    check_speeds(game_of(seed))


def test_speeds_of_men_with_many_plays(rng: np.random.Generator) -> None:
    """Men with runs enough to be fitted; every kind of figure stands once and falls back once."""
    his = check_speeds(runners(rng)).set_index("player")
    assert his["tau_fitted"].to_dict() == {who: who == "long" for who in his.index}
    assert his.index[his["top_speed_fitted"]].tolist() == ["long", "short"]
    assert his.index[his["kick_speed_fitted"]].tolist() == ["LT", "RT"]
    assert (his["runs"] >= 5).to_dict() == {who: who in ("long", "short", "unlike", "LT", "RT") for who in his.index}
    assert his["top_speed"][["unlike", "few", "inside"]].tolist() == [9.7, 9.7, 9.2]


@pytest.mark.parametrize("share", [0.55, *(pytest.param(share, marks=pytest.mark.full) for share in (0.35, 0.8))])
def test_break_even_depths(share: float) -> None:
    """The closed form against a scan and bisection, of every rep of the few games at its first frame that has all."""
    compared = 0
    for seed in SEEDS:
        for m in plain_plays(seed)[0]:
            play = m.play
            for rep in m.who.reps:
                names = (rep.rusher, rep.protector, play.passer)
                frame = next((k for k in range(len(play.times)) if all(play.here(p, k) for p in names)), None)
                if frame is None:
                    continue
                points = [play.places[p][frame] for p in names]
                mine, his = se.break_even_depth(*points, speed_ratio=share), break_even_depth(*points, share)
                if np.isinf(his):
                    assert mine > FARTHEST
                else:
                    assert mine == pytest.approx(his, abs=1e-6, nan_ok=True)
                    compared += not np.isnan(his)
    assert compared >= 10


def fired_in(seeds: tuple[int, ...]) -> Counter[str]:
    """Rule -> how often it fires in the games of these seeds, by the plain reading."""
    total = Counter[str]()
    for seed in seeds:
        for play in plain_plays(seed)[0]:
            total.update(fired(play, plain.DEFAULTS))
    return total


def test_the_games_reach_the_rules() -> None:
    """The comparison is worth something only if the odd cases occur in it."""
    count = fired_in(SEEDS + LATER_SEEDS)
    assert [rule for rule in RULES if rule not in SELDOM and count[rule] == 0] == []


@pytest.mark.full
def test_many_games_reach_every_rule() -> None:
    count = fired_in(MORE_SEEDS + LATER_SEEDS + MORE_LATER_SEEDS)
    assert [rule for rule in RULES if count[rule] == 0] == []


def test_a_wall_without_detachment_is_wider() -> None:
    """A man is detached in these games, which no column says."""
    games = [taken(game_of(seed)) for seed in SEEDS]
    frames = pd.concat([se.measure(game).frames for game in games])
    attached = pd.concat([se.measure(game, rules=se.Rules(detach=100.0)).frames for game in games])
    assert (frames["pocket_width"] < attached["pocket_width"] - 1e-6).any()


@pytest.mark.full
@pytest.mark.parametrize("seed", [*MORE_SEEDS, *MORE_LATER_SEEDS])
def test_every_column_of_many_games(seed: int) -> None:
    check(taken(game_of(seed)), plainly(seed))
