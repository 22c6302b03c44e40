"""A play as pictures need it: who stands where in a frame, the pocket round him, and his rows of the tables."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from .. import _core
from .labels import Row, Vector, labels, rows_of, text_of

if TYPE_CHECKING:
    from ..measures.results import Measures


def without_gaps(rules: _core.Rules) -> _core.Rules:
    """Rules by which no man is detached."""
    return _core.Rules(**{**rules.as_dict(), "detach": 1e6})


def left_out(u: Vector, wall: Sequence[int], everybody: Sequence[int], ends: tuple[int, int]) -> list[tuple[int, int]]:
    """Men of `everybody` (the wall without_gaps) outside the wall's ends, each with the end that sets the width
    instead."""
    left, right = ends
    return [
        (i, left if u[i] < u[left] else right) for i in everybody if i not in wall and not u[left] <= u[i] <= u[right]
    ]


class Scene:
    """One play of a game. `k` is a frame, `i` a man of the play; places in yd in the play frame."""

    def __init__(self, m: Measures, play: str) -> None:
        self.m, self.play = m, m.game.play(play)
        self.row = m.game.row(play)
        self.time: Vector = np.asarray(self.play.time)
        self.place: Vector = np.asarray(self.play.place)
        self.code = {man.player: i for i, man in enumerate(self.play.men)}
        self.label = labels(self.play)
        self.passer = next((i for i, man in enumerate(self.play.men) if man.role == "passer"), -1)
        self.frames = rows_of(m.frames, play)
        self.edges: dict[float, list[Row]] = defaultdict(list)
        self.rushers: dict[float, dict[str, Row]] = defaultdict(dict)
        for row in rows_of(m.edges, play):
            self.edges[row["time"]].append(row)
        for row in rows_of(m.rushers, play):
            self.rushers[row["time"]][row["rusher"]] = row

    def nearest(self, time: float) -> int:
        """The frame nearest to a time."""
        return int(np.abs(self.time - time).argmin())

    def last(self, time: float) -> int:
        """The last frame up to a time; the first, where there is none."""
        return max(int(np.searchsorted(self.time, time + 1e-6, side="right")) - 1, 0)

    def pocket(self, k: int, rules: _core.Rules | None = None) -> tuple[list[int], Vector]:
        """The wall's men left to right and the pocket's ring; both empty in a frame that is not ok."""
        if self.frames[k]["status"] != "ok":
            return [], np.empty((0, 2))
        at = _core.pocket_at(self.m.game.core, self.row, k, rules or self.m.rules)
        return [self.code[self.m.game.player_ids[player]] for player in at["wall"]], at["ring"]

    def way(self, k: int, rusher: str, blocker: str, side: int) -> Vector:
        """The points of the way round a blocker's `side`, a straight line without one; none when there is no way."""
        man, passer = self.place[k, self.code[rusher]], self.place[k, self.passer]
        if not blocker:
            return np.stack([man, passer])
        speed = self.play.velocity[k][self.code[rusher]]
        return _core.way_round(man, self.place[k, self.code[blocker]], passer, side, speed, self.m.rules)["points"]

    def way_of_edge(self, k: int, edge: Row) -> Vector:
        """The outside way of an edge's rusher; none without one."""
        rusher = text_of(edge["rusher"])
        if not rusher:
            return np.empty((0, 2))
        row = self.rushers[self.frames[k]["time"]].get(rusher)
        blocker = text_of(row["blocker"]) if row else ""
        return self.way(k, rusher, blocker, -1 if edge["side"] == "left" else 1)

    def counts(self, i: int, k: int) -> bool:
        """Whether he takes part by then, if he is a rusher."""
        return self.play.men[i].role != "rusher" or k >= self.play.men[i].counts_from

    def active(self, i: int, k: int) -> bool:
        return self.play.men[i].role != "other" and self.counts(i, k)

    def seen(self, i: int, k: int) -> bool:
        return not np.isnan(self.place[k, i, 0])

    def taking_part(self, i: int, k: int) -> bool:
        return self.active(i, k) and self.seen(i, k)
