"""A rep in words: one sentence as a coach says it, of one man and his rusher, at most 25 words.

    RG lost outside to 97 at 2.0 s; pressure 2.4; ball out 2.6.
    LT held 91; edge short 0.4 s.
    C got walked back 2.1 yd by 95; no throw.

Every figure is one of the row, rounded; nothing is worked out again, so a sentence and a table that show the same row
agree. What holds for the whole play stands in its own sentence (`shortedge.tell.words`).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from ..base.vocabulary import BEAT, DRIVEN, FREE, HELD, HELP, LOST, UNCOVERED
from .called import called_in, in_a_sentence
from .moment import given

if TYPE_CHECKING:
    from ..game.game import Game

Row = Mapping[str, Any]

SAID_SHORT = 0.05  # s, a shorter time with a short edge is told nowhere


def short_seconds(row: Row) -> float:
    """s of the row's short edge as every text and table tells it: 0 for one that is not told. The one place."""
    seconds = row["short_edge_seconds"]
    return float(seconds) if given(seconds) and float(seconds) >= SAID_SHORT else 0.0


def rep_words(row: Row, called: Callable[[str], str], throw: float) -> str:
    """The sentence of a row. called: what a player is called; throw: s since the snap, NaN for none."""
    parts = [did(row, called)]
    if (seconds := short_seconds(row)) > 0:
        parts.append(f"edge short {seconds:.1f} s")
    if row["pressure"] and given(row["pressure_time"]) and row["outcome"] != HELP:
        parts.append(f"pressure {float(row['pressure_time']):.1f}")
    if row["outcome"] in LOST:
        parts.append("no throw" if math.isnan(throw) else f"ball out {throw:.1f}")
    return "; ".join(parts) + "."


def did(row: Row, called: Callable[[str], str]) -> str:
    """Who did what to whom, when."""
    man = in_a_sentence(called(row["protector"])) if present(row["protector"]) else ""
    rusher = in_a_sentence(called(row["rusher"])) if present(row["rusher"]) else ""
    outcome = row["outcome"]
    if outcome == FREE:
        return f"Nobody had {rusher}"
    if outcome == UNCOVERED:
        return f"{man} had nobody"
    if outcome == BEAT:
        side = row["beat_side"] if present(row["beat_side"]) else ""
        how = f" {side}" if side in ("outside", "inside") else ""
        whose = f" on his {side}" if side in ("left", "right") else ""
        at = f" at {float(row['beat_time']):.1f} s" if given(row["beat_time"]) else ""
        return f"{man} lost{how} to {rusher}{whose}{at}"
    if outcome == DRIVEN:
        given_up = f" {float(row['ground_given']):.1f} yd" if given(row["ground_given"]) else ""
        return f"{man} got walked back{given_up} by {rusher}"
    if outcome == HELP:
        return f"{man} helped on {rusher}"
    assert outcome == HELD
    how = "ran {} by" if row["run_by"] else "held {}"
    return f"{man} {how.format(rusher)}{' with help' if row['helped'] else ''}"


def present(value: Any) -> bool:
    return isinstance(value, str) and value != ""


def callers(game: Game | None) -> Callable[[str, str], str]:
    """What a player is called in a play (play, player): his label; without a game, or one the play has not, his id."""
    known: dict[str, dict[str, str]] = {}

    def called(play: str, player: str) -> str:
        if game is None:
            return player
        if play not in known:
            ready = game.play(play)
            known[play] = {man.player: one.label for man, one in zip(ready.men, called_in(game, ready), strict=True)}
        return known[play].get(player, player)

    return called
