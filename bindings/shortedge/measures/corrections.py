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


COLUMNS = ("game", "play", "protector", "rusher", "outcome", "beat_time", "note")


@dataclass(frozen=True)
class Correction:
    """What somebody who saw the film says of one row. No protector: a free rusher's; no rusher: an uncovered man's."""

    play: str
    protector: str
    rusher: str
    outcome: str
    beat_time: float  # s since the snap; NaN: not said
    note: str
    game: str = field(default="", compare=False)  # its name; "": not said

    @property
    def key(self) -> tuple[str, str, str]:
        return self.play, self.protector, self.rusher

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
                "rusher, outcome, and beat_time, note, game"
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
    notes, games = (text.get(name, [""] * rows) for name in ("note", "game"))
    made = [
        Correction(*row)
        for row in zip(
            text["play"], text["protector"], text["rusher"], text["outcome"], times, notes, games, strict=True
        )
    ]
    for one in made:
        if not np.isnan(one.beat_time) and not 0 <= one.beat_time < np.inf:
            raise InputError(f"table corrections, column beat_time: found {one.beat_time}; accepted: 0 or more")
    return made


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
        for name in ("play", "protector", "rusher", "outcome", "note")
    }
    columns["beat_time"] = pa.array(np.array([one.beat_time for one in laid_over], float))
    return pa.table({name: columns[name] for name in COLUMNS})
