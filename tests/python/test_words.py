"""A play in words: every number and name in a sentence stands in the tables, found there by other means."""

import math
import re

import numpy as np
import pandas as pd
import pytest

import odd_games
import shortedge as se
import truth
from conftest import LINE, taken, written

STARTS = {"under centre": "under", "the pistol": "pistol", "the gun": "gun", "the short gun": "short gun"}
PLACES = {"tackle": "T", "guard": "G", "centre": "C"}
N = r"(\d+\.\d)"
EARLY = r"at \d+\.\d s, thrown at \d+\.\d s"  # the tracks end before the throw
# Every kind of clause there is; a clause that is none of these fails the test.
CLAUSES = {
    "drop": rf"{N} yd drop(?: from (.+?))?, (?:top at {N} s|no top)",
    "rush": r"(\d+) rushed|nobody rushed",
    "pocket": rf"pocket {N} wide, {N} deep (?:at the throw \({N} s\)|at {N} s, no throw|{EARLY})",
    "broken": rf"(?:pocket {N} wide, {N} deep at {N} s, )?"
    r"(collapsed|pocket collapsed|passer out of the pocket|fewer than three in the wall|no passer in sight)"
    rf" (?:at the throw \({N} s\)|at {N} s, no throw|{EARLY})",
    "edge": rf"(left|right) edge short by {N} yd from {N}(?: to {N})? s, set by the (.+)",
    "none": r"neither edge short",
    "beat": rf"(.+) beaten(?: (outside|inside|on his left|on his right))?(?: at {N} s)?",
    "driven": rf"(.+) driven back {N} yd",
    "more": r"(\d+) more lost",
    "free": rf"(\d+) rushers? free((?:, outside the [^,]+ from {N} s)*)",
    "pressure": rf"pressure at {N} s",
    "out": r"ball out, no pressure",
    "calm": r"no pressure",
    "snap": r"the snap went wrong, so the play says nothing of who blocked well",
    "line": r"\d linemen at the snap: no [A-Z ]+, so his rusher may be charged to another"
    r"|the line stood, left to right, [A-Z ]+: sides go by where a man stood",
}


def clauses(sentence: str) -> dict[str, list[tuple[str, ...]]]:
    found: dict[str, list[tuple[str, ...]]] = {}
    for clause in sentence.split("; "):
        kinds = [(name, re.fullmatch(rule, clause)) for name, rule in CLAUSES.items()]
        kind, match = next(((name, match) for name, match in kinds if match), (None, None))
        assert kind, f"{clause!r} of {sentence!r}"
        found.setdefault(kind, []).append(match.groups())
    return found


def tenth(value: float) -> str:
    return f"{value:.1f}"


@pytest.fixture(scope="module", params=["demo", "foreign"])
def m(request):
    return se.measure(se.example() if request.param == "demo" else truth.foreign().game())


@pytest.fixture(scope="module")
def told(m):
    return told_of(m)


def told_of(m):
    """Play -> its clauses, its dropback, its reps, its ending (s) and its frames up to then."""
    reps = se.reps(m.game, m)
    words = m.words(reps=reps)
    assert list(words.columns) == ["game", "play", "words"]
    assert words.play.tolist() == m.game.measured()
    assert set(words.game) == {m.game.name}
    out = {}
    for play, text in zip(words.play, words.words, strict=True):
        drop = reps.dropbacks[reps.dropbacks.play == play].iloc[0]
        rows = reps.table[reps.table.play == play]
        ending = drop.throw_time if not math.isnan(drop.throw_time) else rows.end.max() if len(rows) else math.inf
        frames = m.frames[(m.frames.play == play) & (m.frames.time <= ending + 1e-6)]
        out[play] = clauses(text), drop, rows, ending, frames
    return out


def test_drop_and_rush(told):
    for said, drop, *_ in told.values():
        depth, start, top = said["drop"][0]
        assert depth == tenth(drop.drop_depth)
        assert STARTS[start] == drop.alignment
        assert top == (None if math.isnan(drop.top_time) else tenth(drop.top_time))
        assert said.get("rush") == (None if drop.rushers == 4 else [(str(drop.rushers),)])


def test_pocket_at_the_throw_or_the_end(m, told):
    kinds = set()
    for said, drop, _, ending, frames in told.values():
        last = frames.iloc[-1]
        when = (tenth(ending), None) if not math.isnan(drop.throw_time) else (None, tenth(last.time))
        if last.status == "ok":
            assert said["pocket"] == [(tenth(last.pocket_width), tenth(last.pocket_depth), *when)]
            continue
        (width, depth, time, what, *at) = said["broken"][0]
        assert tuple(at) == when
        known = {"collapsed": "collapsed", "passer out of the pocket": "outside", "no passer in sight": "missing"}
        assert known.get(what.removeprefix("pocket "), "thin") == last.status
        ok = frames[frames.status == "ok"]
        expected = [tenth(v) for v in ok.iloc[-1][["pocket_width", "pocket_depth", "time"]]] if len(ok) else [None] * 3
        assert [width, depth, time] == expected
        kinds.add(last.status)
    assert len(kinds) >= (2 if m.game.name.startswith("demo") else 0)


def stretches(m, play, side, ending):
    """Runs of frames in which a side's edge is short, frame by frame: from, to, shortest, man then, whether it lasts to
    the end. A frame without a pocket has no edge and ends a run."""
    of_side = m.edges[(m.edges.play == play) & (m.edges.side == side)]
    edges = {edge.time: edge for edge in of_side.itertuples() if edge.time <= ending + 1e-6}
    times = m.game.play(play).time.tolist()
    runs = [[]]
    for time in times:
        edge = edges.get(time)
        if edge is not None and edge.exposure >= 0.2 and edge.short_edge >= 0.5:
            runs[-1].append(edge)
        else:
            runs.append([])
    after = [*times[1:], times[-1] + (np.median(np.diff(times)) if len(times) > 1 else 0.1)]
    following, last = dict(zip(times, after, strict=True)), max(time for time in times if time <= ending + 1e-6)
    out = []
    for run in runs:
        if run and following[run[-1].time] - run[0].time >= 0.2 - 1e-6:
            worst = max(run, key=lambda edge: edge.short_edge)
            out.append((run[0].time, run[-1].time, worst.short_edge, worst.edge_man, run[-1].time == last))
    return out


def check_short_edges(m, told):
    """How many of a game's sentences tell of a short edge, each as the tables have it."""
    seen = 0
    for play, (said, _, rows, ending, frames) in told.items():
        slots = {man.player: (man.slot, man.position) for man in m.game.play(play).men}
        edges = {clause[0]: clause[1:] for clause in said.get("edge", [])}
        for side in ("left", "right"):
            found = stretches(m, play, side, ending)
            assert (side in edges) == bool(found), (play, side)
            if not found:
                continue
            seen += 1
            short, start, end, who = edges[side]
            most = max(stretch[2] for stretch in found)
            fitting = [
                stretch
                for stretch in found
                if abs(stretch[2] - most) < 1e-9
                and start == tenth(stretch[0])
                and (end is None) == stretch[4]
                and end in (None, tenth(stretch[1]))
            ]
            assert len(fitting) == 1, (play, side, found)
            assert short == tenth(most)
            during = frames[(frames.time >= float(start) + 0.05) & (frames.time <= float(end or ending) - 0.05)]
            assert (during.status == "ok").all(), (play, side)  # no edge is told of while there is no pocket
            slot, position = slots[fitting[0][3]]
            place = who.split()[-1]
            if not slot and position not in ("RB", "FB", "HB", "TE"):
                assert who == position
                continue
            assert place in (PLACES.get(position, ""), *(k for k, v in PLACES.items() if v == slot[-1:])) or (
                position in ("RB", "FB", "HB", "TE") and who in ("back", "tight end")
            )
            own = {"L": "left", "R": "right"}.get(slot[:1]) if slot else None
            assert who.startswith(f"{own} ") == bool(own and own != side and place != "centre")
        attacked, told_of_reps = (
            m.edges[m.edges.play == play].rusher.notna().any(),
            (rows.short_edge_seconds >= 0.05).any(),
        )
        assert ("none" in said) == (not edges and bool(attacked) and not told_of_reps)
    return seen


def test_short_edges(m, told):
    assert check_short_edges(m, told) > 5


def test_a_short_edge_ends_where_the_pocket_does():
    """Plays with a passer or a wall that is gone for a while."""
    seen = cut_off = 0
    for seed in range(24):
        m = se.measure(taken(odd_games.odd_game(seed)))
        seen += check_short_edges(m, told_of(m))
        status = m.frames.groupby("play").status
        cut_off += int(((m.frames.status != "ok") & (status.shift() == "ok")).sum())
    assert seen > 20
    assert cut_off > 10


def test_an_edge_of_one_frame_is_not_told():
    """The passer is out of sight after the first frame in which the right edge is short: 0.1 s of it."""
    time = np.arange(FRAMES) / 10

    def along(*knots):  # (s, u, v)
        at = np.array(knots)
        return np.column_stack([np.interp(time, at[:, 0], at[:, k]) for k in (1, 2)])

    round_him = along((0, 5, -1), (1, 4.9, 2.8), (1.4, 5.2, 4.2), (2.4, 1.2, 7.2))
    men = {**MEN, "DE": round_him, "RT": along((0, 3, 0.8), (1, 4, 3.5))}
    people = {**PEOPLE, "DE": ("defense", "DE", "rusher")}
    whole = se.measure(taken(written({"1": men}, people))).edges
    short = whole[(whole.side == "right") & (whole.exposure >= 0.2) & (whole.short_edge >= 0.5)].time
    assert len(short) > 2
    seen = np.array(men["QB"], float)
    seen[round(short.iloc[0] * 10) + 1 :] = np.nan
    m = se.measure(taken(written({"1": {**men, "QB": seen}}, people)))
    mine = m.edges[(m.edges.side == "right") & (m.edges.exposure >= 0.2) & (m.edges.short_edge >= 0.5)]
    assert list(mine.time) == [short.iloc[0]]
    assert "edge" not in clauses(m.words("1"))


def test_lost_reps_and_pressure(m, told):
    seen = {"beat": 0, "driven": 0, "free": 0}
    for play, (said, drop, rows, *_) in told.items():
        slots = {man.player: man.slot for man in m.game.play(play).men}
        beats, driven = rows[rows.outcome == "beat"], rows[rows.outcome == "driven"]
        assert len(said.get("beat", [])) + len(said.get("driven", [])) == min(len(beats) + len(driven), 3)
        for who, how, time in said.get("beat", []):
            fitting = beats[(beats.beat_time.map(tenth) == time)]
            side = (how or "").removeprefix("on his ")
            fitting = fitting[fitting.beat_side == side]
            assert any(named(who, slots[player]) for player in fitting.protector), (play, who)
            seen["beat"] += 1
        for who, given in said.get("driven", []):
            fitting = driven[driven.ground_given.map(tenth) == given]
            assert any(named(who, slots[player]) for player in fitting.protector), (play, who)
            seen["driven"] += 1
        free = int((rows.outcome == "free").sum())
        assert [clause[0] for clause in said.get("free", [])] == ([str(free)] if free else [])
        seen["free"] += free
        assert said.get("pressure") == ([(tenth(drop.pressure_time),)] if drop.pressure else None)
        assert ("out" in said) == (not drop.pressure and bool(rows.ball_out.any()))
        lost = len(beats) + len(driven) + free > 0
        assert ("calm" in said) == (lost and not drop.pressure and not rows.ball_out.any())
    assert min(seen["beat"], seen["driven"]) > 3
    assert seen["free"] >= (1 if m.game.name.startswith("demo") else 0)


def named(who: str, slot: str) -> bool:
    side = {"L": "left ", "R": "right "}.get(slot[:1], "") if slot != "C" else ""
    place = next((name for name, letter in PLACES.items() if letter == slot[-1:]), None)
    return who == f"{side}{place}" if place else True


def test_never_a_threat_a_probability_or_a_grade(m):
    for text in m.words().words:
        assert not re.search(r"threat|probab|likel|danger|risk|grade|score|chance|nan|inf\b|None", text), text


# ------------------------------------------------------------------------------------------------------ odd plays

FRAMES = 26
DROP = np.column_stack([np.zeros(FRAMES), np.minimum(np.linspace(1, 9, FRAMES), 7.0)])
MEN = {"QB": DROP, **{slot: (u, v) for slot, (u, v) in LINE.items()}}
PEOPLE = {"QB": ("offense", "QB", None), **{slot: ("offense", slot, None) for slot in LINE}}


def words_of(men, people, **snaps):
    tracks, table, who = written({"1": {**MEN, **men}}, {**PEOPLE, **people})
    for name, value in snaps.items():
        table[name] = value
    return se.measure(taken((tracks, table, who))).words("1")


def test_tracks_that_end_before_the_throw():
    """Figures of 1.2 s are not told as those of a throw at 2.0 s."""
    early = {name: np.broadcast_to(path, (FRAMES, 2))[:13] for name, path in MEN.items()}
    for throw, says in (
        (2.0, "at 1.2 s, thrown at 2.0 s"),
        (1.2, "at the throw (1.2 s)"),
        (1.25, "at the throw (1.2 s)"),
    ):
        tracks, snaps, who = written({"1": early}, PEOPLE)
        m = se.measure(taken((tracks, snaps.assign(throw_time=throw), who)))
        assert m.game.play("1").time[-1] == pytest.approx(1.2)
        depth = early["QB"][-1, 1] - 0.5
        assert m.words("1").split("; ")[-1 if "edge" not in m.words("1") else -2].endswith(says)
        assert f"{depth:.1f} deep {says}" in m.words("1")


def test_nobody_rushes():
    said = clauses(words_of({"S": (0.0, -12.0)}, {"S": ("defense", "S", None)}, throw_time=2.0))
    assert said["rush"] == [()] or said["rush"] == [(None,)]
    assert "none" not in said
    assert "edge" not in said


def test_a_rusher_nobody_has():
    """He runs from far outside straight at the passer; no protector comes near."""
    path = np.linspace((9.0, -1.0), (0.4, 6.6), FRAMES)
    said = clauses(words_of({"DE": path}, {"DE": ("defense", "DE", "rusher")}))
    ((count, outside, _),) = said["free"]
    assert count == "1"
    assert outside.startswith(", outside the right tackle from ")
    assert said["rush"] == [("1",)]
    assert "pressure" in said


def test_no_top_no_throw_and_a_passer_who_is_never_in_a_pocket():
    """He stands still in the gun with two men before him: no top, thin, no throw."""
    tracks, snaps, people = written(
        {"1": {"QB": (0.0, 5.0), "C": (0.0, 0.5), "LG": (-1.5, 0.8), "RG": (1.5, 0.8), "DT": (0.8, -0.6)}},
        {
            "QB": ("offense", "QB", None),
            "C": ("offense", "C", None),
            "LG": ("offense", "LG", None),
            "RG": ("offense", "RG", None),
            "DT": ("defense", "DT", "rusher"),
        },
    )
    text = se.measure(taken((tracks, snaps, people))).words("1")
    said = clauses(text)
    assert said["drop"] == [("5.0", "the gun", None)]
    assert "no throw" in text


def test_corrections_are_told_and_other_games_refused(m):
    reps = se.reps(m.game, m)
    row = reps.table[reps.table.outcome == "beat"].iloc[0]
    corrected = reps.correct(
        pd.DataFrame({"play": [row.play], "protector": row.protector, "rusher": row.rusher, "outcome": ["held"]})
    )
    before, after = m.words(row.play), m.words(row.play, reps=corrected)
    assert len(clauses(after).get("beat", [])) == len(clauses(before)["beat"]) - 1
    tracks, snaps, people = written({"1": MEN}, PEOPLE)
    other = se.measure(taken((tracks, snaps, people)))
    with pytest.raises(se.InputError, match="do not belong"):
        other.words("1", reps=reps)
    with pytest.raises(se.InputError, match="no play"):
        m.words("no such play")
