"""Exchanges, searches and looks judged against what was scripted (chair_script.py).

A row is right when the table has it with the same words and men and, where the truth tells a time, within WITHIN. Wrong
are rows the table lacks, has otherwise, or has beyond the truth. Used by test_chair.py and tests/chair.py.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import pandas as pd

import chair_script
import shortedge as se
import truth

WITHIN = 0.4  # s
SAME = {  # table: what makes a row, what must be the same, the times that must be near
    "exchanges": (["play", "rusher"], ["kind", "from_man", "to_man", "crossed_with", "late"], ["time"]),
    "searches": (["play", "man", "found", "rusher"], ["why", "helped", "side"], ["start", "end"]),
    "looks": (["play", "defender"], ["spot", "deep_over", "rushed", "taken_by", "pickup"], []),
}


@dataclass
class Share:
    """Rows of a table: right, of all that the truth or the table has; the wrong ones in words."""

    right: int = 0
    of: int = 0
    wrong: list[str] = field(default_factory=list)

    def __add__(self, other: Share) -> Share:
        return Share(self.right + other.right, self.of + other.of, self.wrong + other.wrong)

    @property
    def share(self) -> float:
        return self.right / self.of


def plain(table: pd.DataFrame) -> pd.DataFrame:
    """Texts as texts, "" for none."""
    texts = [name for name in table if table[name].dtype.kind not in "bif"]
    return table.assign(
        **{name: table[name].astype(object).where(table[name].notna(), "").astype(str) for name in texts}
    )


def judged(title: str, truth_rows: pd.DataFrame, told: pd.DataFrame) -> Share:
    keys, same, times = SAME[title]
    share = Share()
    told, truth_rows = plain(told), plain(truth_rows)
    found = {key: list(rows.itertuples()) for key, rows in told.groupby(keys)}
    for row in truth_rows.itertuples():
        rows = found.get(tuple(getattr(row, key) for key in keys), [])
        share.of += 1
        if not rows:
            share.wrong.append(f"{title}: lacks {said(row)}")
            continue
        near = min(rows, key=lambda one: sum(abs(getattr(one, name) - getattr(row, name)) for name in times))
        rows.remove(near)
        off = [name for name in same if getattr(near, name) != getattr(row, name)]
        off += [name for name in times if abs(getattr(near, name) - getattr(row, name)) > WITHIN]
        share.right += not off
        if off:
            told_as = ", ".join(f"{name} {getattr(near, name)}" for name in off)
            share.wrong.append(f"{title}: {said(row)}; told as {told_as}")
    for rows in found.values():
        for row in rows:
            share.of += 1
            share.wrong.append(f"{title}: beyond the truth {said(row)}")
    return share


def said(row: object) -> str:
    fields = row._asdict()  # type: ignore[attr-defined]
    kept = {name: value for name, value in fields.items() if name != "Index" and value not in ("", None)}
    return " ".join(
        f"{name}={value:.2f}" if isinstance(value, float) else f"{name}={value}" for name, value in kept.items()
    )


def shares(made: chair_script.Made, sigma: float = 0.0, seed: int = 1) -> dict[str, Share]:
    """Each table against the truth, with sigma yd of correlated noise on every place."""
    case = truth.Case("chair", made.tables, chair_script.HOW, pd.DataFrame())
    game = (truth.noisy(case, sigma, seed) if sigma else case).game()
    game.library = "pandas"
    reps = se.reps(game, progress=False)
    told = {title: getattr(reps, title) for title in SAME}
    return {title: judged(title, getattr(made, title), told[title]) for title in SAME}


def lines(total: dict[str, Share]) -> Iterator[str]:
    for title, share in total.items():
        yield f"{title}: {share.right} of {share.of} right ({100 * share.share:.1f} %)"
