"""What a lineman sees and decides, in words: who picked up a blitz from the slot, who came, how a rusher changed hands.

    24 came from the slot, left, at 0.6 s: picked up outside in, LT to the blitzer, LG to 97.
    Came: 91, 97, 95, 24. Showed and stayed: 52.

Every figure and man is one of the tables looks and exchanges (core/base/COLUMNS.md).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from .called import in_a_sentence

Row = Mapping[str, Any]

KINDS = {"twist": "twist", "pass-off": "passed off", "stayed": "crossed"}


def pickup_words(row: Row, called: Callable[[str], str]) -> str:
    """The sentence of a row of looks whose defender came from the slot; "" of any other. called: what a player is
    called."""
    if not row["pickup"]:
        return ""

    def name(column: str) -> str:
        return in_a_sentence(called(row[column]))

    when = f", at {row['came']:.1f} s" if row["came"] > 0 else ""
    came = f"{name('defender')} came from the slot, {row['side']}{when}"
    if row["pickup"] == "outside in":
        took, following = name("taken_by"), name("next_taken_by")
        return f"{came}: picked up outside in, {took} to the blitzer, {following} to {name('next_rusher')}."
    took = f"{name('taken_by')} picked him up" if row["taken_by"] else "nobody picked him up"
    after = ""
    if row["next_rusher"]:
        had = name("next_taken_by") if row["next_taken_by"] else "nobody"
        after = f"; {had} had {name('next_rusher')}, the next man inside"
    return f"{came}: {took}{after}."


def came_words(rows: Iterable[Row], called: Callable[[str], str]) -> str:
    """Of one play's rows of looks who came, in the order from left to right, and who stood on the line or over the slot
    and did not; "" for no rows."""
    across = sorted(rows, key=lambda row: row["across"])
    came = [in_a_sentence(called(row["defender"])) for row in across if row["rushed"]]
    stayed = [
        in_a_sentence(called(row["defender"]))
        for row in across
        if not row["rushed"] and row["spot"] in ("line", "slot") and row["depth"] <= 8.0
    ]
    if not across:
        return ""
    return f"Came: {', '.join(came) or 'nobody'}." + (f" Showed and stayed: {', '.join(stayed)}." if stayed else "")


def exchange_words(rows: Sequence[Row]) -> str:
    """How a rusher changed hands or crossed, by his rows of exchanges: "twist", "passed off late"; "" for none."""
    said = (KINDS[row["kind"]] + (" late" if row["late"] else "") for row in sorted(rows, key=lambda row: row["time"]))
    return ", ".join(dict.fromkeys(said))
