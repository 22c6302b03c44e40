"""What the player's module is given of one play: where everybody is, and the tables' figures, as short integers.

Everything is by frame. Men are named by their index in `men`, null for nobody. Three codes:

- steps: numbers in hundredths, rounded as Python's `.2f` rounds; the first one, then differences from the last number.
  [n]: n missing ones; "inf": infinite. The tables' figures are shown to these hundredths, so they lose nothing.
- runs: value, how many frames it lasts, value, ...
- changes: [frame, value] for every frame whose value is not that of the frame before.

    game, play      text
    time            steps, s since the snap
    view            left, right, upper, lower edge of what is shown of the field, yd; the same in every frame
    digest          of the game, under which marks are kept
    men             [label, what he is called, "O" or "X", role, place in the line, first frame in which he counts, the
                    one from which he no longer does, his id]: all who are ever in view
    u, v            steps a man, yd
    ring            changes: the pocket's corners by bearing, -1 and -2 the rear corners; [] when the pocket is not ok
    rear            steps, v of the rear corners
    detached        changes: [[man left out of the wall, the man who sets the width instead], ...]
    frames          columns of the frames table: runs of texts and men, steps of numbers
    edges           left, right: the same of the edges table; who attacks it is `rusher`, and all that holds of him
                    stands with him
    rushers         a rusher each: his columns of the rushers table, and: `tells`, whether his outside exposure is such
                    that a short edge is shown; `side` of the man who has him (-1, 0, 1) and `outside`, whether he is
                    outside of him, null while nobody has him; `free`: of one whom nobody has 1 outside the wall's end,
                    2 inside, less than 0 on the left; else 0; and his `way` and `inside_way`
    reps            a rep each: [protector, rusher, outcome, frame it opens at, in words, lost or not, mark]; the two
                    men null where there is none. mark: what was marked before, with `of`, whose it was; null for none
    rep             the rep that is shown first, by its place in reps; null: the play
    at              the frame that is shown first

    A way is, by frame, none, the straight line, or an arc: the runs of null, 0 and 1; and of the arcs, one after
    another, their ends (u, v, u, v) and radius in hundredths, and 1 for more than half a turn plus 2 for a way that
    begins on it plus 4 for one that turns from right to down, each as the difference from the arc before.

    seen            sentences: who came and who showed and stayed; who picked up a blitz from the slot
    events          [what, time, frame]: the snap, first contact, beats, top of the drop, the throw; in order
    throw           hundredths of s since the snap, maybe after the last frame; null for none
    reach           yd
    shown_from      the exposure from which a short edge is shown
    says, caution   what each status means; what to keep in mind
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from functools import cache, cached_property
from itertools import groupby
from typing import TYPE_CHECKING, Any
from weakref import WeakKeyDictionary

import numpy as np
import numpy.typing as npt

from .. import _core
from ..base.text import word
from ..base.vocabulary import LOST, SIDES
from ..measures.reps import reps_of
from ..tell import moment
from ..tell.called import called_in
from ..tell.labels import CAUTION, STATUS
from ..tell.pickup import came_words, pickup_words
from ..tell.rep_words import rep_words
from ..tell.scene import Scene, Stands
from ..tell.words import SHOWN_FROM

if TYPE_CHECKING:
    from ..game.game import Play
    from ..measures.reps import Reps
    from ..measures.results import Measures

Codes = npt.NDArray[Any]
Table = dict[str, Codes]

FRAME_FIGURES = (
    "passer_depth",
    "pocket_width",
    "pocket_depth",
    "pocket_area",
    "passer_room",
    "nearest_rusher",
    "exposure_left",
    "exposure_inside",
    "exposure_right",
)
REP_KEY = ("protector", "rusher", "start")
EDGE_FIGURES = ("edge_width", "edge_given", "drift", "outside_time")
RUSHER_FIGURES = (
    "distance",
    "closing",
    "blocker_range",
    "cutoff_ratio",
    "outside_exposure",
    "inside_exposure",
    "corner_held",
    "short_edge",
)


def play_data(m: Measures, play: object, reps: Reps | None, rep: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """See player.data. rep: the row of reps the page is about."""
    return _Data(m, word(play), reps, rep).all()


class _Data:
    def __init__(self, m: Measures, id: str, reps: Reps | None, rep: Mapping[str, Any] | None) -> None:
        self.reps, self.rep = reps_of(m, reps), rep
        self.m, self.game = m, m.game
        self.scene = Scene(m, id)
        self.play = self.scene.play
        place = np.asarray(self.play.place)
        self.view = view(self.play)
        left, right, upper, lower = self.view
        u, v = place[:, :, 0], place[:, :, 1]
        inside = np.any((left < u) & (u < right) & (upper < v) & (v < lower), axis=0).tolist()
        kept = [i for i, man in enumerate(self.play.men) if man.role != "other" or inside[i]]
        self.shown = {i: here for here, i in enumerate(kept)}  # index in the play to index on the page
        self.men = [self.play.men[i] for i in kept]
        self.place = np.ascontiguousarray(place[:, kept])
        self.index = {man.player: i for i, man in enumerate(self.men)}
        names = called_in(self.game, self.play)
        self.label = [names[i] for i in kept]
        self.by_label = {man.player: one.label for man, one in zip(self.play.men, names, strict=True)}
        self.frames = self.rows("frames")
        self.count = len(self.frames["time"])
        self.rushers = self.by(self.rows("rushers"), "rusher")
        self.sides = self.by(self.rows("edges"), "side")

    # The tables

    def rows(self, title: str) -> Table:
        """This play's rows, as codes."""
        coded = self.m.coded[title]
        here = np.flatnonzero(coded["play"] == self.m.play_ids.index(self.play.id))
        rows = {name: values[here] for name, values in coded.items()}
        if title in ("edges", "rushers") and self.play.id in self.game.swamped:
            rows["short_edge"] = np.full(len(here), np.nan)
        return rows

    def by(self, table: Table, key: str) -> dict[int, Table]:
        """A table's rows by the code of one of its columns, each with the frame it belongs to."""
        table = {**table, "frame": np.searchsorted(self.frames["time"], table["time"])}
        codes = sorted(set(table[key].tolist()))
        return {code: {name: values[table[key] == code] for name, values in table.items()} for code in codes}

    def column(self, title: str, name: str, table: Table) -> list[Any]:
        """One value a frame, None where the table has no row: a number, true or false, a text, or a man's index."""
        column = described(title, name)
        out: list[Any] = [None] * self.count
        for frame, value in zip(table["frame"].tolist(), table[name].tolist(), strict=True):
            if column["kind"] == "word":
                out[frame] = column["words"][value] if value >= 0 else None
            elif column["kind"] == "name":
                out[frame] = self.index[self.m.player_ids[value]] if value >= 0 else None
            elif column["kind"] == "flag":
                out[frame] = int(value)
            else:
                out[frame] = value
        return out

    # The parts

    def all(self) -> dict[str, Any]:
        frames = {**self.frames, "frame": np.arange(self.count)}
        ring, rear, detached = self.pockets()
        return {
            "game": self.m.game_name,
            "play": self.play.id,
            "digest": self.m.digest[:16],
            "time": steps(self.frames["time"].tolist()),
            "view": self.view,
            "men": [
                [
                    label,
                    called,
                    "O" if man.unit == "offense" else "X",
                    man.role,
                    man.slot,
                    man.counts_from,
                    man.counts_to,
                    man.player,
                ]
                for man, (label, called) in zip(self.men, self.label, strict=True)
            ],
            "u": [steps(path.tolist()) for path in self.place[:, :, 0].T],
            "v": [steps(path.tolist()) for path in self.place[:, :, 1].T],
            "ring": changes(ring),
            "rear": steps(rear),
            "detached": changes(detached),
            "frames": {
                **{name: runs(self.column("frames", name, frames)) for name in ("status", "wall_left", "wall_right")},
                **{name: steps(self.column("frames", name, frames)) for name in FRAME_FIGURES},
            },
            "edges": {side: self.edge(code) for code, side in enumerate(SIDES)},
            "rushers": sorted((self.rusher(table) for table in self.rushers.values()), key=lambda his: his["man"]),
            "reps": self.rep_list(),
            "rep": self.rep_shown(),
            "at": self.opens_at(),
            "seen": self.seen(),
            "events": self.events(),
            "throw": None if math.isnan(self.play.throw_time) else hundredths(self.play.throw_time),
            "reach": self.m.rules.reach,
            "shown_from": SHOWN_FROM,
            "says": STATUS,
            "caution": list(CAUTION),
        }

    def pockets(self) -> tuple[list[list[int]], list[float | None], list[list[list[int]]]]:
        """By frame: the ring, its rear, and who is detached; empty where the pocket is not ok."""
        rings: list[list[int]] = []
        rears: list[float | None] = []
        detached: list[list[list[int]]] = []
        for k, frame in enumerate(self.scene.picture["frames"]):
            corners, ring = frame["corners"].tolist(), frame["ring"]
            rings.append([self.shown[corner] if corner >= 0 else corner for corner in corners])
            rears.append(float(ring[:, 1].max()) if len(ring) else None)
            detached.append([[self.shown[i] for i in pair] for pair in self.scene.detached(k)])
        return rings, rears, detached

    def edge(self, code: int) -> dict[str, Any]:
        table = self.sides.get(code)
        if table is None:
            return {}
        return {
            **{name: runs(self.column("edges", name, table)) for name in ("edge_man", "rusher")},
            **{name: steps(self.column("edges", name, table)) for name in EDGE_FIGURES},
        }

    def free(self, k: int, who: int) -> int | None:
        stands = self.scene.stands(k, self.men[who].player)
        return None if stands is None else 0 if stands.man >= 0 else stands.side * (1 if stands.outside else 2)

    def way(self, stands: Stands | None, which: str) -> list[int] | int | None:
        """One way as a page has it; see above."""
        if stands is None or math.isnan(stands.ways[which][0]):
            return None
        arc = stands.arc(which)
        if arc is None:
            return 0
        on, off, _, radius, turn = arc
        flags = int(abs(turn) > math.pi) + 2 * stands.begins_on_arc(which) + 4 * (turn > 0)
        return [*map(hundredths, (*on.tolist(), *off.tolist(), radius)), flags]

    # The reps

    @cached_property
    def told(self) -> list[dict[str, Any]]:
        """The play's rows of reps, with a man or two, those that were lost first, in the order of time."""
        found = rows_by_play(self.reps)[self.play.id]
        return sorted(found, key=lambda row: (row["outcome"] not in LOST, moment.of_rep(self.m, row)[1]))

    def rep_list(self) -> list[list[Any]]:
        return [
            [
                self.index.get(row["protector"]),
                self.index.get(row["rusher"]),
                row["outcome"],
                self.nearest(moment.of_rep(self.m, row)[1]),
                rep_words(row, self.by_label.__getitem__, self.play.throw_time),
                int(row["outcome"] in LOST),
                self.mark_of(row),
            ]
            for row in self.told
        ]

    def seen(self) -> list[str]:
        rows = rows_by_play(self.reps, "looks")[self.play.id]
        said = [came_words(rows, self.by_label.__getitem__)]
        return [*said, *filter(None, (pickup_words(row, self.by_label.__getitem__) for row in rows))]

    def mark_of(self, row: Mapping[str, Any]) -> dict[str, Any] | None:
        """What was marked of a row before, and of whom it was as measured."""
        key = self.play.id, row["protector"] or "", row["rusher"] or ""
        for one in self.reps.laid_over:
            if (one.play, one.given_to or one.protector, one.rusher) == key:
                names = ("outcome", "beat_time", "given_to", "helped", "note")
                said = {
                    name: value for name, value in zip(names, one.as_marked[3:], strict=True) if value not in ("", None)
                }
                return said | {"of": one.protector}
        return None

    def rep_shown(self) -> int | None:
        if self.rep is None:
            return None
        key = [self.rep[name] for name in REP_KEY]
        return next((k for k, row in enumerate(self.told) if [row[name] for name in REP_KEY] == key), None)

    def opens_at(self) -> int:
        shown = self.rep_shown()
        if shown is not None:
            return self.nearest(moment.of_rep(self.m, self.told[shown])[1])
        return self.nearest(moment.of_play(self.m, self.told)[1])

    def nearest(self, time: float) -> int:
        return int(np.abs(self.frames["time"] - time).argmin())

    def rusher(self, table: Table) -> dict[str, Any]:
        lane = self.column("rushers", "lane", table)
        side = self.column("rushers", "lane_side", table)
        both = [a and (a if a == "in" or b is None else f"{a} {b}") for a, b in zip(lane, side, strict=True)]
        id = self.m.player_ids[int(table["rusher"][0])]
        who, exposure = self.index[id], self.column("rushers", "outside_exposure", table)
        there = set(table["frame"].tolist())
        stands = [self.scene.stands(k, id) if k in there else None for k in range(self.count)]
        return {
            "man": who,
            "lane": runs(both),
            "free": runs([None if one is None else self.free(k, who) for k, one in enumerate(stands)]),
            "side": runs([None if one is None or one.man < 0 else one.side for one in stands]),
            "outside": runs([None if one is None or one.man < 0 else int(one.outside) for one in stands]),
            "tells": runs([e if e is None else int(e >= SHOWN_FROM) for e in exposure]),
            "way": arcs([self.way(one, "outside") for one in stands]),
            "inside_way": arcs([self.way(one, "inside") for one in stands]),
            **{name: runs(self.column("rushers", name, table)) for name in ("blocker", "engaged", "helpers")},
            **{name: steps(self.column("rushers", name, table)) for name in RUSHER_FIGURES},
        }

    def events(self) -> list[list[Any]]:
        contacts = [row["contact_time"] for row in self.told if not math.isnan(row["contact_time"])]
        found: list[tuple[float, str]] = [(0.0, "snap")]
        found += [(min(contacts), "first contact")] if contacts else []
        found += [
            (row["beat_time"], f"beat: {self.by_label[row['protector']]}")
            for row in self.told
            if row["protector"] is not None and not math.isnan(row["beat_time"])
        ]
        found += [(self.play.top_time, "top of the drop"), (self.play.throw_time, "throw")]
        times = self.frames["time"]
        return [
            [what, hundredths(time), int(np.abs(times - time).argmin())]
            for time, what in sorted(found, key=lambda event: event[0])
            if times[0] - 0.5 <= time <= times[-1] + 1e-6
        ]


@cache
def described(title: str, name: str) -> _core.Column:
    return next(one for one in _core.columns()[title] if one["name"] == name)


BY_PLAY: WeakKeyDictionary[Reps, dict[str, dict[str, list[dict[str, Any]]]]] = WeakKeyDictionary()


def rows_by_play(reps: Reps, title: str = "reps") -> dict[str, list[dict[str, Any]]]:
    """The rows of one of the tables of reps, of every play, made once."""
    tables = BY_PLAY.setdefault(reps, {})
    if title not in tables:
        tables[title] = defaultdict(list)
        for row in reps.arrow(title).to_pylist():
            tables[title][row["play"]].append(row)
    return tables[title]


def view(play: Play) -> list[float]:
    """Left, right, upper and lower edge: everybody who passes, protects or rushes, from the snap on, within limits, and
    a margin."""
    left, right, upper, lower = -8.5, 8.5, -2.5, 8.5
    for i, man in enumerate(play.men):
        at = np.asarray(play.place)[:, i]
        at = at[~np.isnan(at[:, 0])]
        if man.role != "other" and len(at):
            (least_u, least_v), (most_u, most_v) = at.min(axis=0), at.max(axis=0)
            left, right = max(-17.0, min(left, least_u - 1.5)), min(17.0, max(right, most_u + 1.5))
            upper, lower = max(-9.0, min(upper, least_v - 1)), min(15.0, max(lower, most_v + 1.2))
    return [round(float(edge), 2) for edge in (left, right, upper, lower)]


# -------------------------------------------------------------------------------------------------------- codes


def hundredths(value: float) -> int:
    """Rounded as `.2f` shows it."""
    return round(float(f"{value:.2f}") * 100)


def steps(values: Iterable[float | None]) -> list[Any]:
    out: list[Any] = []
    last = 0
    for value in values:
        if value is None or math.isnan(value):
            if out and isinstance(out[-1], list):
                out[-1][0] += 1
            else:
                out.append([1])
        elif math.isinf(value):
            out.append("inf")
        else:
            now = hundredths(value)
            out.append(now - last)
            last = now
    return out


def arcs(ways: Sequence[list[int] | int | None]) -> list[Any]:
    """Ways; see above."""
    kinds = [1 if isinstance(way, list) else way for way in ways]
    found = np.array([way for way in ways if isinstance(way, list)], dtype=int).reshape(-1, 6)
    return [runs(kinds), np.diff(found, axis=0, prepend=np.zeros((1, 6), int)).ravel().tolist()]


def runs(values: Iterable[Any]) -> list[Any]:
    return [part for value, same in groupby(values) for part in (value, len(list(same)))]


def changes(values: Sequence[Any]) -> list[list[Any]]:
    return [[k, value] for k, value in enumerate(values) if not k or value != values[k - 1]]
