"""Outcomes, sides, times and matching against truths written down before: two games of two scripts, and new ones.

tests/confusion.py prints the same as tables.
"""

from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest

import truth

GAMES = {"demo": truth.demo, "foreign": truth.foreign}


@pytest.fixture(scope="module", params=GAMES)
def case(request: pytest.FixtureRequest) -> truth.Case:
    return GAMES[request.param]()


def holds(judged: truth.Judged, least: int) -> None:
    """Every promised figure, of at least so many judged rows."""
    assert len(judged.rows) >= least
    said = f"{judged.broken()}\n{judged.wrong.to_string()}\n{judged.unknown.to_string()}"
    assert not judged.broken(), said


def test_the_limits() -> None:
    """What is promised; a limit that is let down must be let down here too."""
    assert truth.LIMITS == {
        "right": 0.98,
        "right in stunts": 0.85,
        "side": 0.95,
        "man": 0.95,
        "beat time": 0.2,
        "unknown": 0.03,
    }


def test_as_recorded(case: truth.Case) -> None:
    judged = case.judged()
    holds(judged, 120)
    assert not any(np.isnan(judged.figures[name]) for name in truth.LIMITS)
    if len(judged.help):  # the foreign game's truth tells of none
        assert judged.figures["help"] >= 0.9
        assert judged.figures["told help"] >= 0.95
    assert {"held", "beat", "driven"} <= set(judged.rows["outcome"])
    assert (judged.rows["note"].str.contains("stunt")).sum() >= 6
    assert judged.rows["frames"].sum() > 2000


def test_at_five_samples_a_second(case: truth.Case) -> None:
    holds(truth.thinned(case, 5).judged(), 120)


def test_with_noise(case: truth.Case) -> None:
    """At 0.12 yd of correlated noise in all."""
    holds(truth.noisy(case, 0.12).judged(), 120)


def test_rows_the_truth_does_not_know_with_noise(case: truth.Case) -> None:
    """Men are not swapped for nothing: of three draws of noise at most 3 % of rep rows are of pairs that never met."""
    draws = [truth.noisy(case, 0.12, seed).judged() for seed in (1, 2, 3)]
    assert sum(len(one.unknown) for one in draws) <= 0.03 * sum(one.reps for one in draws)


def test_shares_fall_with_noise_but_hold_the_sides() -> None:
    """At 0.25 yd the outcome is still right more often than always saying held would be."""
    judged = truth.noisy(truth.foreign(), 0.25).judged()
    assert judged.figures["right"] > (judged.rows["outcome"] == "held").mean()
    assert judged.figures["side"] >= 0.9


@pytest.mark.parametrize("seed", [11, *(pytest.param(seed, marks=pytest.mark.full) for seed in (12, 13, 14))])
def test_games_not_seen_before(seed: int) -> None:
    """Other draws of the demo's scenarios; the long ones are of 60 plays."""
    holds(truth.seeded(seed, 20 if seed == 11 else 60).judged(), 60)


# ------------------------------------------------------------------------------------------- the judge is judged


def wrong_about(change: Callable[[pd.DataFrame], pd.DataFrame]) -> dict[str, float]:
    """What the judge finds in a game whose truth was changed."""
    case = truth.foreign()
    return truth.judge(case.game(), change(case.truth)).broken()


def test_a_wrong_truth_is_found_out() -> None:
    swap = {"held": "driven", "driven": "held"}
    assert "right" in wrong_about(lambda rows: rows.assign(outcome=rows["outcome"].replace(swap)))
    sides = {"outside": "inside", "inside": "outside"}
    assert set(wrong_about(lambda rows: rows.assign(side=rows["side"].replace(sides)))) == {"side"}
    assert set(wrong_about(lambda rows: rows.assign(beat_s=rows["beat_s"] + 0.4))) == {"beat time"}
    one = wrong_about(lambda rows: rows.assign(protector=rows["protector"].str.replace("RG", "RT")))
    assert {"right", "man", "unknown"} <= set(one)
