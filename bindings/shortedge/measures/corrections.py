"""Corrections: what somebody who saw the film says of rows of reps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from .._core import InputError
from ..base.sources import open_table
from ..base.tables import texts
from ..base.text import listed, nearest, shown

if TYPE_CHECKING:
    import pyarrow as pa


NO_REP = "none"  # an outcome of corrections alone: the row is no rep
YES_NO = {"yes": True, "no": False}
NEEDED = ("play", "protector", "rusher", "outcome")
OTHERS = ("beat_time", "note", "given_to", "helped", "game")  # columns a table of corrections may have
COLUMNS = ("game", *NEEDED, "beat_time", "given_to", "helped", "note")


@dataclass(frozen=True)
class Correction:
    """What somebody who saw the film says of one row. No protector: a free rusher's; no rusher: an uncovered man's.

    outcome: "" as measured, "none" for what is no rep. given_to: the man whose rep it was, "" for the one who was
    measured. helped: "yes", "no", or "" as measured."""

    play: str
    protector: str
    rusher: str
    outcome: str
    beat_time: float  # s since the snap; NaN: not said
    note: str
    given_to: str = ""
    helped: str = ""
    game: str = field(default="", compare=False)  # its name; "": not said

    @property
    def key(self) -> tuple[str, str, str]:
        return self.play, self.protector, self.rusher

    @property
    def as_marked(self) -> list[Any]:
        """Play, protector, rusher, outcome, beat time (or None), given to, helped, note."""
        time = None if np.isnan(self.beat_time) else self.beat_time
        return [self.play, self.protector, self.rusher, self.outcome, time, self.given_to, self.helped, self.note]

    @property
    def says(self) -> str:
        """What is marked, in words, without the note."""
        time = "" if np.isnan(self.beat_time) else f" at {self.beat_time:g} s"
        named = {"beat": "beaten", "driven": "driven back", "help": "helped", NO_REP: "no rep"}
        parts = [named.get(self.outcome, self.outcome) + time] if self.outcome else []
        parts += [f"the rep of {self.given_to}"] if self.given_to else []
        parts += [{"yes": "with help", "no": "without help"}[self.helped]] if self.helped else []
        return ", ".join(parts)

    def __str__(self) -> str:
        return f"play {shown(self.play)}, protector {shown(self.protector)}, rusher {shown(self.rusher)}"


def read_corrections(given: Any) -> list[Correction]:
    """The rows of a table of corrections. InputError for a missing column or a wrong type."""
    source = open_table("corrections", given)
    wanted = [name for name in COLUMNS if name in source.names]
    for name in ("play", "protector", "rusher", "outcome"):
        if name not in wanted:
            raise InputError(
                f"table corrections: no column {name}; found: {listed(source.names)}; accepted: play, protector, "
                f"rusher, outcome, and {', '.join(OTHERS)}"
            )
    source.read(
        wanted, [name for name in wanted if name != "beat_time"], ["beat_time"] if "beat_time" in wanted else []
    )
    text = {name: source.column(name, name).words() for name in wanted if name != "beat_time"}
    rows = len(text["play"])
    if "beat_time" in wanted:
        times = source.column("beat_time", "beat_time").numbers("s since the snap, or nothing").tolist()
    else:
        times = [np.nan] * rows
    said = {name: [in_full(value) for value in values] for name, values in text.items()}
    none = [""] * rows
    made = [
        Correction(play, protector, rusher, outcome, time, *more)
        for play, protector, rusher, outcome, time, more in zip(
            *(said[name] for name in NEEDED),
            times,
            zip(*(said.get(name, none) for name in OTHERS[1:]), strict=True),
            strict=True,
        )
    ]
    for one in made:
        if not np.isnan(one.beat_time) and not 0 <= one.beat_time < np.inf:
            raise InputError(f"table corrections, column beat_time: found {one.beat_time}; accepted: 0 or more")
        if one.helped and one.helped not in YES_NO:
            raise InputError(f"table corrections, column helped: found {shown(one.helped)}; accepted: yes, no, nothing")
    return made


def in_full(text: str) -> str:
    """A text as it was before a writer put an apostrophe before what a spreadsheet would have run."""
    return text[1:] if len(text) > 1 and text[0] == "'" and text[1] in "=+-@" else text


def corrections_of(given: Any, games: Sequence[str]) -> dict[str, list[Correction]]:
    """The rows of a table of corrections of several games, by game. InputError for a row of another game, or of none
    where there are several."""
    found: dict[str, list[Correction]] = {}
    for one in read_corrections(given):
        game = one.game or (games[0] if len(games) == 1 else "")
        if not game:
            raise InputError(
                f"table corrections, column game: found no game for {one}; accepted with {len(games)} games: "
                f"{listed(games)}"
            )
        if game not in games:
            raise InputError(
                f"table corrections, column game: found {shown(game)}; accepted: {listed(games)}{nearest(game, games)}"
            )
        found.setdefault(game, []).append(one)
    return found


def corrections_table(laid_over: Sequence[Correction], game: str) -> pa.Table:
    import pyarrow as pa

    columns: dict[str, Any] = {"game": texts([game] * len(laid_over))} | {
        name: texts([getattr(one, name) for one in laid_over])
        for name in ("play", "protector", "rusher", "outcome", "note", "given_to", "helped")
    }
    columns["beat_time"] = pa.array(np.array([one.beat_time for one in laid_over], float))
    return pa.table({name: columns[name] for name in COLUMNS})
