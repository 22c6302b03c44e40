"""Corrections: what somebody who saw the film says of rows of reps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from .._core import InputError
from ..base.sources import open_table
from ..base.tables import texts
from ..base.text import listed, shown

if TYPE_CHECKING:
    import pyarrow as pa


NO_REP = "none"  # an outcome of corrections alone: the row is no rep
YES_NO = {"yes": True, "no": False}
OTHERS = ("beat_time", "given_to", "helped", "note")  # columns a table of corrections may have


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
    wanted = [name for name in ("play", "protector", "rusher", "outcome", *OTHERS) if name in source.names]
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
    others = [[in_full(value) for value in text.get(name, [""] * rows)] for name in ("note", "given_to", "helped")]
    keys = [[in_full(value) for value in text[name]] for name in ("play", "protector", "rusher", "outcome")]
    made = [Correction(*row) for row in zip(*keys, times, *others, strict=True)]
    for one in made:
        if not np.isnan(one.beat_time) and not 0 <= one.beat_time < np.inf:
            raise InputError(f"table corrections, column beat_time: found {one.beat_time}; accepted: 0 or more")
        if one.helped and one.helped not in YES_NO:
            raise InputError(f"table corrections, column helped: found {shown(one.helped)}; accepted: yes, no, nothing")
    return made


def in_full(text: str) -> str:
    """A text as it was before a writer put an apostrophe before what a spreadsheet would have run."""
    return text[1:] if len(text) > 1 and text[0] == "'" and text[1] in "=+-@" else text


def corrections_table(laid_over: Sequence[Correction]) -> pa.Table:
    import pyarrow as pa

    columns: dict[str, Any] = {
        name: texts([getattr(one, name) for one in laid_over])
        for name in ("play", "protector", "rusher", "outcome", "note", "given_to", "helped")
    }
    columns["beat_time"] = pa.array(np.array([one.beat_time for one in laid_over], float))
    order = ("play", "protector", "rusher", "outcome", *OTHERS)
    return pa.table({name: columns[name] for name in order})
