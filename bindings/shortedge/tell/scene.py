"""A play as pictures need it: who stands where in a frame, the pocket round him, who has whom, and his rows of the
tables."""

from __future__ import annotations

import math
from collections import defaultdict
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from .. import _core
from ..base.text import shown
from .labels import Row, Vector, free_of, labels, rows_of, text_of

if TYPE_CHECKING:
    from ..measures.results import Measures


STEP = math.radians(3)  # of an arc drawn as chords


class Stands:
    """How a rusher stands in one frame to the man who has him, with the ways he has; see _core.Picture."""

    def __init__(self, picture: _core.Picture, row: int) -> None:
        self.man = int(picture["man"][row])  # -1: free
        self.side, self.past = int(picture["side"][row]), bool(picture["past"][row])
        self.outside = bool(picture["outside"][row])
        both = (picture["outside_way"], picture["inside_way"])
        self.ways = {which: way.reshape(-1, 10)[row] for which, way in zip(WAYS, both, strict=True)}

    def arc(self, which: str) -> tuple[Vector, Vector, Vector, float, float] | None:
        """Of one way its arc: from, to, centre, radius and radians turned; None of a straight way, or none."""
        way = self.ways[which]
        return None if not way[8] > 0 else (way[2:4], way[4:6], way[6:8], float(way[8]), float(way[9]))

    def begins_on_arc(self, which: str) -> bool:
        """He is nearer than that to the man: the way begins on the rim."""
        return bool(self.ways[which][8] > 0 and np.array_equal(self.ways[which][:2], self.ways[which][2:4]))

    def points(self, which: str, goal: Vector) -> Vector:
        """The outside or inside way to the passer as points, its arc in chords; none when there is no such way."""
        way = self.ways[which]
        if math.isnan(way[0]):
            return np.empty((0, 2))
        arc = self.arc(which)
        if arc is None:
            return np.stack([way[:2], goal])
        on, _, center, _, turn = arc
        angles = np.linspace(0, turn, max(2, math.ceil(abs(turn) / STEP) + 1))
        out = on - center
        turned = np.cos(angles) * out[0] - np.sin(angles) * out[1], np.sin(angles) * out[0] + np.cos(angles) * out[1]
        round_him = center + np.stack(turned, axis=1)
        return np.concatenate([way[None, :2], round_him, goal[None]])


WAYS = ("outside", "inside")


def check_current(made: Any) -> None:
    """Pictures and pages are drawn by this library's definitions, so results must be made by them. InputError."""
    if made.definition != _core.DEFINITION:
        raise _core.InputError(
            f"{shown(made.game_name)}: its results are made by definition {made.definition} of edges and blockers; "
            f"this library has {_core.DEFINITION}: measure the game again to draw or tell it"
        )


class Scene:
    """One play of a game. `k` is a frame, `i` a man of the play; places in yd in the play frame."""

    def __init__(self, m: Measures, play: str) -> None:
        check_current(m)
        self.m, self.play = m, m.game.play(play)
        self.row = m.game.row(play)
        self.time: Vector = np.asarray(self.play.time)
        self.place: Vector = np.asarray(self.play.place)
        self.code = {man.player: i for i, man in enumerate(self.play.men)}
        self.label = labels(self.play)
        self.passer = next((i for i, man in enumerate(self.play.men) if man.role == "passer"), -1)

    @cached_property
    def frames(self) -> list[Row]:
        return rows_of(self.m.frames, self.play.id)

    @cached_property
    def edges(self) -> dict[float, list[Row]]:
        found: dict[float, list[Row]] = defaultdict(list)
        for row in rows_of(self.m.edges, self.play.id):
            found[row["time"]].append(row)
        return found

    @cached_property
    def rushers(self) -> dict[float, dict[str, Row]]:
        found: dict[float, dict[str, Row]] = defaultdict(dict)
        for row in rows_of(self.m.rushers, self.play.id):
            found[row["time"]][row["rusher"]] = row
        return found

    def nearest(self, time: float) -> int:
        """The frame nearest to a time."""
        return int(np.abs(self.time - time).argmin())

    def last(self, time: float) -> int:
        """The last frame up to a time; the first, where there is none."""
        return max(int(np.searchsorted(self.time, time + 1e-6, side="right")) - 1, 0)

    @cached_property
    def picture(self) -> _core.Picture:
        return _core.picture(self.m.game.core, self.row, self.m.rules)

    @cached_property
    def _stands(self) -> dict[tuple[int, int], int]:
        where = zip(self.picture["frame"].tolist(), self.picture["rusher"].tolist(), strict=True)
        return {key: row for row, key in enumerate(where)}

    def pocket(self, k: int) -> tuple[list[int], Vector]:
        """The wall's men left to right and the pocket's ring; both empty in a frame that is not ok."""
        frame = self.picture["frames"][k]
        return frame["wall"].tolist(), frame["ring"]

    def detached(self, k: int) -> list[tuple[int, int]]:
        """Men left out of the wall for standing too far outside, each with the end that sets the width instead."""
        found = self.picture["frames"][k]["detached"].tolist()
        if not found:
            return []
        wall = self.frames[k]
        left, right = self.code[wall["wall_left"]], self.code[wall["wall_right"]]
        return [(i, left if self.place[k, i, 0] < self.place[k, left, 0] else right) for i in found]

    def stands(self, k: int, rusher: str) -> Stands | None:
        """How a rusher stands to the man who has him; None where he has no row."""
        row = self._stands.get((k, self.code[rusher]))
        return None if row is None else Stands(self.picture, row)

    def way(self, k: int, rusher: str, which: str) -> Vector:
        """The points of a rusher's outside or inside way; none when there is no such way."""
        stands = self.stands(k, rusher)
        return np.empty((0, 2)) if stands is None else stands.points(which, self.place[k, self.passer])

    def way_of_edge(self, k: int, edge: Row) -> Vector:
        """The outside way of an edge's rusher; none without one."""
        rusher = text_of(edge["rusher"])
        return self.way(k, rusher, "outside") if rusher else np.empty((0, 2))

    def has(self, k: int, rusher: str) -> str:
        """Who has a rusher, in short: a label, or "free, outside RT" of one whom nobody has."""
        stands = self.stands(k, rusher)
        if stands is None:
            return ""
        if stands.man >= 0:
            return self.label[stands.man]
        end = text_of(self.frames[k]["wall_left" if stands.side < 0 else "wall_right"])
        return free_of(self.label[self.code[end]] if end else "", stands.outside)

    def counts(self, i: int, k: int) -> bool:
        """Whether he takes part then, if he is a rusher."""
        man = self.play.men[i]
        return man.role != "rusher" or man.counts_from <= k < man.counts_to

    def active(self, i: int, k: int) -> bool:
        return self.play.men[i].role != "other" and self.counts(i, k)

    def seen(self, i: int, k: int) -> bool:
        return not np.isnan(self.place[k, i, 0])

    def taking_part(self, i: int, k: int) -> bool:
        return self.active(i, k) and self.seen(i, k)
