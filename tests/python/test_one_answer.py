"""Edges, pages, sentences and reps speak of the same two men: what one of them says of a man stands in the others.

Three games: the demo game, a foreign one and one of the second script.
"""

import math
import os
import re
from collections.abc import Iterator
from typing import Any

import numpy as np
import pandas as pd
import pytest

import shortedge as se
import truth
from shortedge.pages.player_data import play_data
from shortedge.tell import moment
from shortedge.tell.called import called_in
from shortedge.tell.openings import openings

SHOWN, SHORT = 0.2, 0.5  # exposure; yd: from which an edge is shown and told as short
JUDGED = ("held", "beat", "driven")
LOST = ("beat", "driven", "free")
FULL = os.environ.get("SHORTEDGE_FULL") == "1"


@pytest.fixture(scope="module", params=["demo", "foreign", "second"])
def told(request: pytest.FixtureRequest) -> tuple[Any, Any]:
    makes = {
        "demo": se.example,
        "foreign": lambda: truth.foreign().game(),
        "second": lambda: truth.second(5, 16).game(),
    }
    m = se.measure(makes[request.param]())
    return m, se.reps(m.game, m)


def plays_of(m: Any) -> Iterator[str]:
    yield from m.game.measured()


def test_an_edges_man_is_his_rushers(told: tuple[Any, Any]) -> None:
    """edge_man is the blocker of the edge's rusher; of a free one, and with nobody, the wall's end."""
    m, _ = told
    key = ["play", "time"]
    edges = m.edges.merge(
        m.rushers[[*key, "rusher", "blocker", "corner_held", "short_edge"]], how="left", on=[*key, "rusher"]
    )
    edges = edges.merge(m.frames[[*key, "wall_left", "wall_right"]], on=key)
    has = edges["blocker"].notna()
    assert (edges["edge_man"] == edges["blocker"])[has].all()
    ends = np.where(edges["side"] == "left", edges["wall_left"], edges["wall_right"])
    assert (edges["edge_man"] == ends)[~has].all()
    free = edges["rusher"].notna() & ~has
    assert edges["corner_held_x"][free].isna().all()
    assert edges["short_edge_x"][free].isna().all()
    assert (edges["short_edge_x"] == edges["short_edge_y"])[has].all()
    assert has.sum() > 500


def test_a_rushers_man_has_a_rep_on_him(told: tuple[Any, Any]) -> None:
    """The blocker is a man with a judged rep on that rusher, and a rusher without one is free from snap to end."""
    m, reps = told
    table = reps.table
    pairs = set(map(tuple, table[table.outcome.isin(JUDGED)][["play", "protector", "rusher"]].to_numpy().tolist()))
    seen = m.rushers[["play", "blocker", "rusher"]].dropna()
    assert set(map(tuple, seen.to_numpy().tolist())) <= pairs
    had = {(play, rusher) for play, _, rusher in pairs}
    free = m.rushers[[pair not in had for pair in zip(m.rushers.play, m.rushers.rusher, strict=True)]]
    assert free.blocker.isna().all()


def test_seconds_of_a_short_edge_are_those_of_its_openings(told: tuple[Any, Any]) -> None:
    m, reps = told
    seconds: dict[tuple[str, str], float] = {}
    for one in openings(m, reps=reps):
        seconds[one.play, one.man] = seconds.get((one.play, one.man), 0.0) + float(one.seconds.sum())
    rows = reps.table.dropna(subset=["protector"]).groupby(["play", "protector"])["short_edge_seconds"].sum()
    assert (rows > 0).any()
    for pair, said in rows.items():
        assert seconds.get(pair, 0.0) == pytest.approx(said, abs=1e-9), pair


def test_who_is_past_his_man_outside_has_that_edge(told: tuple[Any, Any]) -> None:
    """With his edge short and he past his man, in an ok frame, the edge is his, or a more exposed rusher's."""
    m, _ = told
    past = m.rushers.cutoff_ratio >= 1
    his = m.rushers[past & (m.rushers.outside_exposure >= SHOWN) & (m.rushers.short_edge >= SHORT)]
    rows = his.merge(m.edges, on=["play", "time"], suffixes=("", "_edge"))
    rows["has"] = (rows.rusher_edge == rows.rusher) | (rows.exposure >= rows.outside_exposure)
    found = rows.groupby(["play", "time", "rusher"])["has"].any()
    assert len(found) > 20
    assert found.all()


def test_sentences_say_what_the_tables_say(told: tuple[Any, Any]) -> None:
    """An edge told as short is short in the edges table then, and a man told as beaten is so in reps."""
    m, reps = told
    edges, short = m.edges, 0
    for play, words in zip(*(m.words(reps=reps)[name] for name in ("play", "words")), strict=True):
        mine = edges[(edges.play == play) & (edges.exposure >= SHOWN) & (edges.short_edge >= SHORT)]
        for side, worst in re.findall(r"(left|right) edge short by (\d+\.\d) yd", words):
            short += 1
            there = mine[mine.side == side]
            assert worst in [f"{value:.1f}" for value in there.short_edge], (play, words)
            assert there.rusher.notna().all()
        rows = reps.table[reps.table.play == play]
        count = re.findall(r"(\d+) rushers? free", words)
        assert int(count[0]) if count else (rows.outcome == "free").sum() == 0
        beaten = len(re.findall(r"beaten", words))
        assert beaten <= (rows.outcome == "beat").sum()
        if (rows.outcome == "beat").sum() == 1 and (rows.outcome == "driven").sum() == 0:
            assert beaten == 1
    assert short > 2


def numbers(code: list[Any]) -> list[float]:
    """Steps as the page's script reads them."""
    out: list[float] = []
    last = 0
    for one in code:
        if isinstance(one, list):
            out += [math.nan] * one[0]
        elif one == "inf":
            out.append(math.inf)
        else:
            last += one
            out.append(last / 100)
    return out


def lasting(code: list[Any]) -> list[Any]:
    return [value for k in range(0, len(code), 2) for value in [code[k]] * code[k + 1]]


def test_pages_say_what_the_tables_say(told: tuple[Any, Any]) -> None:
    """Every play's page (of the demo game every third, if not with --full): who has whom, whose the edges are, how
    short they are, who is free."""
    m, reps = told
    shown = 0
    plays = list(plays_of(m))
    for play in plays if FULL else plays[:: 1 + len(plays) // 25]:
        rows = reps.table[(reps.table.play == play) & reps.table.outcome.isin(JUDGED)]
        rep = None if rows.empty else rows.iloc[0].to_dict()
        data = play_data(m, play, reps, rep)
        ids = {i: man.player for i, man in enumerate(_men(m, play, data))}
        times = m.frames[m.frames.play == play].time.tolist()
        of_rusher = {his["man"]: his for his in data["rushers"]}
        for side in ("left", "right"):
            table = m.edges[(m.edges.play == play) & (m.edges.side == side)].set_index("time")
            if not data["edges"][side]:
                assert table.empty
                continue
            part = data["edges"][side]
            who, man = (lasting(part[name]) for name in ("rusher", "edge_man"))
            for k, time in enumerate(times):
                if time not in table.index:
                    assert who[k] is None
                    assert man[k] is None
                    continue
                row = table.loc[time]
                assert ids[man[k]] == row.edge_man
                assert (who[k] is None) == pd.isna(row.rusher)
                shown += 1
                if who[k] is None:
                    continue
                his = of_rusher[who[k]]
                assert ids[who[k]] == row.rusher
                assert (lasting(his["free"])[k] != 0) == math.isnan(row.corner_held)
                assert (lasting(his["way"][0])[k] is None) == math.isinf(row.outside_time)
                for name in ("corner_held", "short_edge"):
                    assert numbers(his[name])[k] == pytest.approx(round(row[name], 2), abs=0.0051, nan_ok=True)
        for his in data["rushers"]:
            table = m.rushers[(m.rushers.play == play) & (m.rushers.rusher == ids[his["man"]])].set_index("time")
            blocker = [None if time not in table.index else table.loc[time].blocker for time in times]
            has = [who is not None and not pd.isna(who) for who in blocker]
            assert [None if one is None else ids[one] for one in lasting(his["blocker"])] == [
                who if had else None for who, had in zip(blocker, has, strict=True)
            ]
            assert [value is not None for value in lasting(his["side"])] == has
        assert len(data["reps"]) == (reps.table.play == play).sum()
        if rep is not None:
            protector, rusher, outcome, at, words, lost, mark = data["reps"][data["rep"]]
            assert (ids[protector], ids[rusher], outcome) == (rep["protector"], rep["rusher"], rep["outcome"])
            assert data["at"] == at == np.abs(np.array(times) - moment.of_rep(m, rep)[1]).argmin()
            assert (lost, mark) == (int(outcome in LOST), None)
            assert reps.words(rep) == words
    assert shown > 1000


def _men(m: Any, play: str, data: dict[str, Any]) -> list[Any]:
    """The men of a page, in its order: those of the play whose paths it has."""
    ready = m.game.play(play)
    paths = [numbers(code) for code in data["u"]]
    left = list(range(len(ready.men)))
    found = []
    for path in paths:
        for i in left:
            if np.allclose(ready.place[:, i, 0], path, atol=0.0051, equal_nan=True):
                found.append(ready.men[i])
                left.remove(i)
                break
    assert len(found) == len(paths)
    return found


def test_a_rep_is_shown_at_its_beat_else_its_pressure_else_most_exposed(told: tuple[Any, Any]) -> None:
    m, reps = told
    kinds = set()
    for row in reps.table.to_dict("records"):
        what, time = moment.of_rep(m, row)
        kinds.add(what)
        if not math.isnan(row["beat_time"]):
            assert (what, time) == ("beaten", row["beat_time"])
            continue
        if row["pressure"]:
            assert (what, time) == ("pressure", row["pressure_time"])
            continue
        peaks = {
            name: 0.0 if math.isnan(row[f"peak_{name}"]) else row[f"peak_{name}"] for name in ("outside", "inside")
        }
        if max(peaks.values()) == 0:
            throw = m.game.play(row["play"]).throw_time
            assert (what, time) == (("end of the rep", row["end"]) if math.isnan(throw) else ("throw", throw))
            continue
        which = max(peaks, key=lambda name: peaks[name])
        assert (what, time) == (f"most exposed {which}", row[f"peak_{which}_time"])
        his = m.rushers[(m.rushers.play == row["play"]) & (m.rushers.rusher == row["rusher"])].set_index("time")
        assert his.loc[time, f"{which}_exposure"] == max(peaks.values())
    assert kinds >= {"beaten", "most exposed outside", "most exposed inside", "throw"}


SAYS = {
    "beat": r"{man} lost(?: outside| inside)? to {rusher}(?: on his (?:left|right))?(?: at (?P<beat>\d\.\d) s)?",
    "driven": r"{man} got walked back (?P<ground>\d\.\d) yd by {rusher}",
    "held": r"{man} (?:held {rusher}|ran {rusher} by)(?P<helped> with help)?",
    "help": r"{man} helped on {rusher}",
    "free": r"Nobody had {rusher}",
    "uncovered": r"{man} had nobody",
}
MORE = (
    r"(?:; edge short (?P<short>\d\.\d) s)?(?:; pressure (?P<pressure>\d\.\d))?"
    r"(?:; (?P<throw>ball out \d\.\d|no throw))?\."
)


def test_a_reps_sentence_says_its_row(told: tuple[Any, Any]) -> None:
    """At most 25 words; both men by name or number; every figure is the row's, and none of the row's is left out."""
    m, reps = told
    for row in reps.table.to_dict("records"):
        said = reps.words(row)
        assert len(said.split()) <= 25
        ready = m.game.play(row["play"])
        label = {man.player: one.label for man, one in zip(ready.men, called_in(m.game, ready), strict=True)}
        men = {who: "" if pd.isna(row[who]) else re.escape(label[row[who]]) for who in ("protector", "rusher")}
        rule = SAYS[row["outcome"]].replace("{man}", men["protector"]).replace("{rusher}", men["rusher"])
        match = re.fullmatch(rule + MORE, said)
        assert match, (said, row["outcome"])
        found = match.groupdict()
        short = row["short_edge_seconds"]
        assert (found["short"] or "0.0") == (f"{short:.1f}" if short >= 0.05 else "0.0")
        pressed = row["pressure"] and row["outcome"] != "help"
        assert (found["pressure"] is not None) == pressed
        if pressed:
            assert found["pressure"] == f"{row['pressure_time']:.1f}"
        assert found.get("beat", None) == (f"{row['beat_time']:.1f}" if row["outcome"] == "beat" else None)
        if row["outcome"] == "held":
            assert bool(found["helped"]) == row["helped"]
        if row["outcome"] in LOST:
            throw = ready.throw_time
            assert found["throw"] == ("no throw" if math.isnan(throw) else f"ball out {throw:.1f}")
        else:
            assert found["throw"] is None


def test_no_sentence_of_a_play_contradicts_its_reps(told: tuple[Any, Any]) -> None:
    """An edge told as short is some man's whose row has at least that; "neither edge short": no row has a time."""
    m, reps = told
    told_short = 0
    for play, words in zip(*(m.words(reps=reps)[name] for name in ("play", "words")), strict=True):
        rows = reps.table[(reps.table.play == play) & (reps.table.short_edge_seconds >= 0.05)]
        if "neither edge short" in words:
            assert rows.empty, (play, words)
        for _ in re.findall(r"edge short by", words):
            told_short += 1
            assert not rows.empty, (play, words)
    assert told_short > 2
