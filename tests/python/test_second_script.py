"""Games of another hand and hand-made plays: they show what they say, and the library says it too.

What is scripted is looked up in the tables themselves, read here with a few lines of their own. tests/who.py asks more,
of more plays and with noise.
"""

import importlib.util
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import numpy as np
import pandas as pd
import pytest

import second_script
import third_scenes
import truth

TESTS = Path(__file__).parents[1]
SLOTS = {str(number): name for name, number in second_script.OFFENCE.items()}
TOUCH = 1.2  # yd

Paths = dict[str, np.ndarray]  # player -> u + 1j * v at every time


class Shown:
    """A game of the second script, its tables turned into paths again."""

    def __init__(self, seed: int) -> None:
        self.tables = second_script.make_game(seed, kinds=list(second_script.MIX))
        self.tracks, self.snaps, self.people, self.truth = self.tables
        self.time: dict[str, np.ndarray] = {}
        self.paths: dict[str, Paths] = {}
        for snap in self.snaps.itertuples():
            rows = self.tracks[self.tracks["play"] == snap.play]
            ball = complex(snap.ball_x, snap.ball_y)
            play = str(snap.play)
            # feet; y runs down the page: to the right of an offence that goes to +x
            self.paths[play] = {
                str(player): snap.direction
                * ((one["y"] - ball.imag).to_numpy() - 1j * (one["x"] - ball.real).to_numpy())
                / 3
                for player, one in rows.groupby("player")
            }
            self.time[play] = (rows["time"].unique() - snap.snap_time).round(6)

    def rows(self, *outcomes: str) -> Iterator[tuple[pd.Series, np.ndarray, np.ndarray, np.ndarray, np.ndarray]]:
        """Each such row of truth, its play's times and the paths of man, rusher and passer."""
        passer = str(second_script.OFFENCE["QB"])
        for _, row in self.truth[self.truth["outcome"].isin(outcomes)].iterrows():
            paths = self.paths[row["play"]]
            empty = np.full(len(self.time[row["play"]]), np.nan + 0j)
            yield (
                row,
                self.time[row["play"]],
                paths.get(row["protector"], empty),
                paths.get(row["rusher"], empty),
                paths[passer],
            )


@pytest.fixture(scope="module", params=[31, pytest.param(32, marks=pytest.mark.full)])
def shown(request: pytest.FixtureRequest) -> Shown:
    return Shown(request.param)


def test_a_seed_is_a_game() -> None:
    kinds = ["plain", "stunt", "screen"]
    first, again, other = (second_script.make_game(seed, kinds=kinds) for seed in (7, 7, 8))
    for one, two, three in zip(first, again, other, strict=True):
        pd.testing.assert_frame_equal(one, two)
        assert one is first[2] or not one.equals(three)


def test_every_kind_and_every_lineman(shown: Shown) -> None:
    assert list(shown.snaps["kind"]) == list(second_script.MIX)
    for _, rows in shown.truth.groupby("play"):
        assert {"LT", "LG", "C", "RG", "RT"} <= {SLOTS.get(man) for man in rows["protector"]}
    beaten = shown.truth[shown.truth["outcome"] == "beat"]
    assert {"outside", "inside"} <= set(beaten["side"])
    assert {"beat", "held", "driven", "free", "help", "uncovered", "none"} <= set(shown.truth["outcome"])


def test_who_is_beaten_is_behind_his_man(shown: Shown) -> None:
    """Before the beat he is nearer the passer than his rusher, a third of a second later he is not, on that side."""
    found = 0
    for row, time, man, rusher, passer in shown.rows("beat"):
        ahead = np.abs(man - passer) - np.abs(rusher - passer)
        assert (ahead[(time >= row["met"]) & (time < row["beat_time"] - 0.05)] < 0).all(), row
        later = np.interp(row["beat_time"] + 0.35, time, ahead)
        assert later > 0.3, row
        k = int(np.argmin(np.abs(time - row["beat_time"])))
        towards, across = passer[k] - rusher[k], man[k] - rusher[k]
        right = (towards.conjugate() * across).imag > 0  # he left his man on the offence's left hand, or on its right
        side = -1 if SLOTS[row["protector"]].startswith("L") else 1
        if SLOTS[row["protector"]] in ("RB", "TE"):
            side = 1 if man[k].real > passer[k].real else -1
        expected = {"outside": side, "inside": -side, "right": 1, "left": -1}[row["side"]]
        assert (1 if right else -1) == expected, row
        found += 1
    assert found >= 8


def test_who_holds_stays_between(shown: Shown) -> None:
    found = 0
    for row, time, man, rusher, passer in shown.rows("held", "driven"):
        span = (time >= row["met"]) & (time <= row["to"] + 1e-6)
        if "released" not in row["note"]:
            assert (np.abs(man - passer) < np.abs(rusher - passer))[span].all(), row
        place = passer[time <= row["to"] + 1e-6][-1]
        touching = span & (np.abs(man - rusher) <= TOUCH)
        lost = np.abs(man - place)[touching]
        assert (lost[0] - lost.min() >= 1.5) == (row["outcome"] == "driven"), row
        found += 1
    assert found >= 60


def test_nobody_has_who_is_free(shown: Shown) -> None:
    blockers = [str(number) for name, number in second_script.OFFENCE.items() if name != "QB"]
    for row, time, _, rusher, passer in shown.rows("free"):
        before = (time > 0.3) & (time <= row["to"])
        for man in blockers:
            assert (np.abs(shown.paths[row["play"]][man] - rusher)[before] < TOUCH).sum() * 0.05 <= 0.4, (row, man)
        assert np.abs(rusher - passer)[before].min() < 3, row
    for row, time, man, rusher, _ in shown.rows("help"):
        assert (np.abs(man - rusher)[(time > 0.3) & (time <= row["to"] + 0.4)] < TOUCH).sum() * 0.05 >= 0.15, row


def test_they_move_as_men_do(shown: Shown) -> None:
    for play, paths in shown.paths.items():
        stop = shown.truth.loc[shown.truth["play"] == play, "to"].max()
        everybody = np.stack(list(paths.values()))[:, shown.time[play] <= stop]
        assert np.abs(np.diff(everybody, axis=1)).max() * 20 < 10.3, play
        apart = np.abs(everybody[:, None] - everybody[None])
        apart[np.arange(len(paths)), np.arange(len(paths))] = np.inf
        assert apart.min() > 0.5, play


# -------------------------------------------------------------------------------------------- what the library says


def test_outcomes_are_told_as_scripted() -> None:
    judged = truth.second(41, 25).judged()
    assert len(judged.rows) >= 90
    assert not judged.broken(), f"{judged.broken()}\n{judged.wrong.to_string()}\n{judged.unknown.to_string()}"


@pytest.fixture(scope="module")
def who() -> ModuleType:
    spec = importlib.util.spec_from_file_location("who", TESTS / "who.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("make", [lambda: truth.second(42, 30), truth.foreign], ids=["second script", "foreign game"])
def test_edges_name_the_man_who_has_him(make: object, who: ModuleType) -> None:
    """What tests/who.py promises, on one game of each hand as recorded."""
    counted = who.Count()
    who.count(make(), counted)
    share = {figure: counted.hits[figure] / counted.of[figure] for figure in who.FIGURES}
    assert counted.of["short frames"] >= 100
    assert counted.of["beats outside"] + counted.of["beats inside"] >= 12
    said = "\n".join(counted.misses)
    assert share["short frames"] >= 0.98, said
    assert share["worst edge"] <= 0.03, said
    assert share["beats outside"] >= 0.85, said
    assert share["beats inside"] >= 0.95, said


def test_who_finds_a_wrong_truth_out(who: ModuleType) -> None:
    """With left and right tackle exchanged in the truth no promise holds."""
    case = truth.foreign()
    swap = {
        name: name.replace(" LT", " RT") if " LT" in name else name.replace(" RT", " LT")
        for name in case.truth["protector"]
    }
    counted = who.Count()
    who.count(replace(case, truth=case.truth.assign(protector=case.truth["protector"].map(swap))), counted)
    assert counted.hits["short frames"] < 0.98 * counted.of["short frames"]
    assert counted.hits["worst edge"] > 0.03 * counted.of["worst edge"]
    assert counted.hits["beats outside"] < 0.85 * counted.of["beats outside"]
    assert counted.hits["outcomes"] < 0.98 * counted.of["outcomes"]


# ----------------------------------------------------------------------------------------------- hand-made plays

VIEWS = {"": {}, "mirrored, the other way": {"mirrored": True, "direction": -1}, "10 Hz": {"rate": 10.0}}


@pytest.mark.parametrize("view", ["", "mirrored, the other way", pytest.param("10 Hz", marks=pytest.mark.full)])
@pytest.mark.parametrize("scene", third_scenes.SCENES, ids=lambda scene: scene.name)
def test_a_coach_agrees(scene: third_scenes.Scene, view: str) -> None:
    how = VIEWS[view]
    assert not third_scenes.disagreements(scene, scene.game(**how), "mirrored" in how), scene.why


@pytest.mark.parametrize("scene", third_scenes.SCENES, ids=lambda scene: scene.name)
def test_scenes_are_played_by_men(scene: third_scenes.Scene) -> None:
    """Up to the throw nobody is faster than a man, nobody stands in another."""
    times = np.arange(0, (scene.throw or scene.last) + 1e-9, 0.02)
    paths = np.stack(list(scene.paths(times).values()))
    assert np.linalg.norm(np.diff(paths, axis=1), axis=-1).max() / 0.02 < 10.3
    apart = np.linalg.norm(paths[:, None] - paths[None], axis=-1)
    apart[np.arange(len(paths)), np.arange(len(paths))] = np.inf
    assert apart.min() > 0.5


def test_a_wrong_answer_is_found_out() -> None:
    """Every kind of answer, of a play of which the other is true."""
    by_name = {scene.name: scene for scene in third_scenes.SCENES}
    wrong = {
        "speed rush": """
            RT RE held
            RT RE beat inside
            RT RE beat outside 1.5
            nobody beat
            no edge RE 2.15
            left edge RT RE 2.15
            right edge RG RE 2.15
            never short RT
            no pressure
            pressure LE
            5 rushers
            RE free
            RE no row
            RE RG at 2
            nearest 3 at 1.5
            came RE 2
            dropped RE 2
            """,
        "free blitzer outside": "RT NB beat outside\nNB no row\nC LI help\nRG uncovered\nno pressure",
    }
    for name, answers in wrong.items():
        scene = replace(by_name[name], answer=answers)
        assert len(third_scenes.disagreements(scene, scene.game())) == len(scene.answers)
