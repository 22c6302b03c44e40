"""Pictures: one frame as a dimensioned drawing, one play as a timeline, a game's snaps on a sheet.

All return a `Drawing`, a matplotlib Figure that belongs to nobody else: pyplot and its settings are not touched. Every
text is drawn as it is written, with no markup and no mathematics in it. Lengths are in yards in the play frame: u to
the offence's right of the ball, v behind the line of scrimmage; upfield is up.

The colour of a way says its exposure and nothing else: pale for 0, dark for 1, so that it reads in grey too.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import matplotlib
import narwhals as nw
import numpy as np
import numpy.typing as npt
from matplotlib import patheffects
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Polygon, Rectangle

from . import _core

if TYPE_CHECKING:
    from .game import Game, Man, Play
    from .results import Measures

Vector = npt.NDArray[np.float64]
Row = dict[str, Any]

CAUTION = (
    "Geometry only: sees no hands, calls or assignments.",
    "Exposure is not a threat or a probability.",
)
SHOWN_FROM = 0.2  # exposure from which a short edge means something: before that every wide man's line is outside
EXPOSURE = LinearSegmentedColormap.from_list("exposure", ["#c9c1b0", "#cf7434", "#7a1f12"])
STATUS = {
    "ok": "",
    "thin": "fewer than three men in the wall",
    "collapsed": "the wall no longer encloses the passer",
    "outside": "the passer has left the pocket",
    "missing": "no passer in this frame",
}

PAPER, CARD, INK, MUTED, FAINT = "#f7f4ec", "#fffdf8", "#23282d", "#7b7d7c", "#d6d1c4"
POCKET, WALL = "#dfe7ea", "#3f5a68"
FONT = "DejaVu Sans"
MAN = 0.37  # yd, radius of an O


class Drawing(Figure):
    """A figure that saves the same bytes every time, keeps its text as text in SVG and PDF, and shows in a notebook."""

    def savefig(self, fname: Any, *, transparent: bool | None = None, **given: Any) -> None:
        """As matplotlib's: PNG, SVG or PDF by the name's ending, or by `format`."""
        kind = str(given.get("format") or str(fname).rpartition(".")[2]).lower()
        undated = {"svg": {"Date": None}, "pdf": {"CreationDate": None}}.get(kind, {})
        given["metadata"] = {**undated, **(given.get("metadata") or {})}
        given.setdefault("facecolor", PAPER)
        with matplotlib.rc_context({"svg.fonttype": "none", "svg.hashsalt": "shortedge", "pdf.fonttype": 42}):
            super().savefig(fname, transparent=transparent, **given)

    def _repr_png_(self) -> bytes:
        from io import BytesIO

        page = BytesIO()
        self.savefig(page, format="png")
        return page.getvalue()


def worst(m: Measures) -> tuple[str, float, str]:
    """Play, time (s) and side of the greatest short edge at an exposure of 0.2 or more, up to the throw.

    Of equals one whose rusher is not yet past his man, then the most exposed, then the first in the table.
    InputError when there is none.
    """
    edges, rushers = (nw.from_native(table, eager_only=True) for table in (m.edges, m.rushers))
    exposed = edges.filter((nw.col("exposure") >= SHOWN_FROM) & (nw.col("short_edge") > 0))
    key = ["play", "time", "rusher"]
    rows = list(exposed.join(rushers.select(*key, "cutoff_ratio"), on=key, how="left").iter_rows(named=True))
    rows.sort(key=lambda row: (-row["short_edge"], row["cutoff_ratio"] >= 1, -row["exposure"]))
    throws: dict[str, float] = {}
    for row in rows:
        play, time = row["play"], row["time"]
        if play not in throws:
            throws[play] = m.game.play(play).throw_time
        if not time > throws[play] + 1e-6:
            return play, time, row["side"]
    raise _core.InputError(f"no short edge at an exposure of {SHOWN_FROM} or more in game {m.game.name!r}")


# ------------------------------------------------------------------------------------------------------ one frame


def frame(m: Measures, play: str, time: float) -> Drawing:
    """The frame of `play` nearest to `time` (s since the snap) as a drawing with dimensions.

    Where the pocket is not ok the players are drawn and the status is said. InputError for an unknown play or a time
    that is not finite.
    """
    if not math.isfinite(time):
        raise _core.InputError(f"time is {time}; a number of seconds since the snap is wanted")
    return _FrameDrawing(m, play, time).figure


class _Side:
    """One edge: its row of the table, its rusher's row, and the way drawn."""

    def __init__(self, name: str, edge: Row, rusher: Row | None) -> None:
        self.name, self.edge, self.rusher = name, edge, rusher
        self.sign = -1 if name == "left" else 1
        self.exposure = float(edge["exposure"])
        self.shows_short_edge = self.exposure >= SHOWN_FROM


class _FrameDrawing:
    def __init__(self, m: Measures, play: str, time: float) -> None:
        self.m, self.play = m, m.game.play(play)
        self.k = int(np.abs(np.asarray(self.play.time) - time).argmin())
        self.time = float(self.play.time[self.k])
        self.row = _rows(m.frames, play)[self.k]
        self.ok = self.row["status"] == "ok"
        self.place: Vector = np.asarray(self.play.place[self.k])
        self.code = {man.player: i for i, man in enumerate(self.play.men)}
        self.label = _labels(self.play)
        self.passer = next((i for i, man in enumerate(self.play.men) if man.role == "passer"), -1)
        rushers = {row["rusher"]: row for row in _rows(m.rushers, play, self.time)}
        self.sides = [
            _Side(edge["side"], edge, rushers.get(_text(edge["rusher"]))) for edge in _rows(m.edges, play, self.time)
        ]
        self.wall, self.ring = self.pocket(m.rules)
        self.figure = Drawing(figsize=(10, 9.4), dpi=110, facecolor=PAPER)
        self.heading()
        self.main()
        for side in self.sides:
            self.detail(side)
        self.caption()

    # What is where

    def pocket(self, rules: _core.Rules) -> tuple[list[int], Vector]:
        """The wall's men left to right and the pocket's ring; both empty in a frame that is not ok."""
        if not self.ok:
            return [], np.empty((0, 2))
        game = self.m.game
        at = _core.pocket_at(game.core, game.row(self.play.id), self.k, rules)
        return [self.code[game.core.players[player]] for player in at["wall"]], at["ring"]

    def at(self, player: str) -> Vector:
        place: Vector = self.place[self.code[player]]
        return place

    def called(self, player: str) -> str:
        return self.label[self.code[player]]

    def detached(self) -> list[tuple[int, str]]:
        """Men left out of the wall because they stand too far outside, and the end that sets the width instead."""
        if not self.ok:
            return []
        everybody = _core.Rules(**{**self.m.rules.as_dict(), "detach": 1e6})
        left, right = self.row["wall_left"], self.row["wall_right"]
        return [
            (i, left if self.place[i, 0] < self.at(left)[0] else right)
            for i in self.pocket(everybody)[0]
            if i not in self.wall and not self.at(left)[0] <= self.place[i, 0] <= self.at(right)[0]
        ]

    # The parts of the page

    def heading(self) -> None:
        throw = self.play.throw_time - self.time
        if math.isnan(throw):
            when = "no throw"
        elif abs(throw) < 0.005:
            when = "at the throw"
        else:
            when = f"{abs(throw):.2f} s {'before' if throw > 0 else 'after'} the throw"
        status = self.row["status"]
        _page(
            self.figure,
            0.03,
            0.968,
            f"Play {_cut(self.play.id, 40)}, {self.time:.2f} s after the snap",
            size=15,
            weight="bold",
        )
        _page(
            self.figure,
            0.03,
            0.946,
            f"{when}   ·   pocket {status}" + (f": {STATUS[status]}" if STATUS[status] else ""),
            size=9.5,
        )
        notes = [f"{self.label[i]} detached: width set by {self.called(end)}" for i, end in self.detached()]
        if notes:
            _page(self.figure, 0.03, 0.927, ";  ".join(notes), size=9.5, weight="bold")
        _exposure_key(self.figure, (0.73, 0.955, 0.24, 0.012))

    def main(self) -> None:
        low = 0.328 if self.ok else 0.14
        width, height = 0.885 * 10, (0.923 - low) * 9.4
        near = [i for i in range(len(self.place)) if self.takes_part(i) and abs(self.place[i, 0]) < 14]
        u, v = self.place[near].T if near else np.zeros((2, 1))
        rear = float(self.ring[:, 1].max()) if self.ok else float(np.nanmax(v, initial=2.0))
        top, bottom = min(-1.5, max(-5.0, float(np.nanmin(v)) - 1.0)), max(rear + (2.45 if self.ok else 1.2), 5.0)
        reach = max(float(np.nanmax(u)) - float(np.nanmin(u)) + 3.0, 16.0)
        across = max((bottom - top) * width / height, reach)
        middle = float(np.nanmin(u) + np.nanmax(u)) / 2
        bottom = max(bottom, top + across * height / width)
        axes = _sheet(
            self.figure, (0.085, low, 0.885, 0.923 - low), (middle - across / 2, middle + across / 2), (bottom, top)
        )
        pen = _Pen(axes, width * 72 / across)
        self.field(pen)
        if self.ok:
            self.draw_pocket(pen)
        for side in self.sides:
            self.draw_way(pen, side)
        self.players(pen)
        if self.ok:
            self.dimensions(pen, rear)
        pen.write_labels()

    def takes_part(self, i: int) -> bool:
        man = self.play.men[i]
        return man.role != "other" and not np.isnan(self.place[i, 0]) and self.counts(i)

    def counts(self, i: int) -> bool:
        return self.play.men[i].role != "rusher" or self.k >= self.play.men[i].counts_from

    def field(self, pen: _Pen) -> None:
        (left, right), (bottom, top) = pen.axes.get_xlim(), pen.axes.get_ylim()
        for v in range(math.ceil(top), math.floor(bottom) + 1):
            if v % 5 == 0 and v:
                pen.line([(left, v), (right, v)], color=FAINT, width=0.9, z=0)
                pen.margin(v, f"{v} yd" if v > 0 else f"{-v} yd\nupfield")
            else:
                for u in (left, right - 0.25):
                    pen.line([(u, v), (u + 0.25, v)], color=FAINT, width=0.9, z=0)
        pen.line([(left, 0), (right, 0)], color=INK, width=1.6, z=1)
        pen.busy(np.array([(left, 0.0), (right, 0.0)]))
        pen.margin(0, "line of\nscrimmage")

    def draw_pocket(self, pen: _Pen) -> None:
        pen.axes.add_patch(
            Polygon(
                self.ring,
                closed=True,
                facecolor=POCKET,
                edgecolor=WALL,
                linewidth=0.8,
                linestyle=(0, (4, 3)),
                zorder=1,
                gid="pocket",
            )
        )
        pen.line(self.place[self.wall], color=WALL, width=2.2, z=2, gid="wall")

    def draw_way(self, pen: _Pen, side: _Side) -> None:
        if side.rusher is None:
            return
        way = self.way(side, side.rusher)
        if not len(way):
            return
        pen.axes.plot(
            *way.T, color=EXPOSURE(side.exposure), linewidth=3, solid_capstyle="round", zorder=4, gid=f"way_{side.name}"
        )
        pen.busy(way)
        middle = way[0] + 0.42 * (way[min(1, len(way) - 1)] - way[0]) if len(way) > 2 else way.mean(axis=0)
        pen.label(middle, 0.15, f"exposure {side.exposure:.2f}", size=8, color=INK, prefer=(side.sign, 0))

    def way(self, side: _Side, who: Row) -> Vector:
        """The points of the outside way, a straight line when nobody is between; none when there is no way."""
        rusher, passer = self.at(who["rusher"]), self.place[self.passer]
        blocker = _text(who["blocker"])
        if not blocker:
            return np.stack([rusher, passer])
        speed = self.play.velocity[self.k][self.code[who["rusher"]]]
        return _core.way_round(rusher, self.at(blocker), passer, side.sign, speed, self.m.rules)["points"]

    def players(self, pen: _Pen) -> None:
        edge_men = {side.edge["edge_man"] for side in self.sides}
        for i, man in enumerate(self.play.men):
            if not np.isnan(self.place[i, 0]) and pen.holds(self.place[i]):
                pen.man(
                    man,
                    self.place[i],
                    self.label[i],
                    active=man.role != "other" and self.counts(i),
                    ringed=man.player in edge_men,
                )

    def dimensions(self, pen: _Pen, rear: float) -> None:
        row, passer = self.row, self.place[self.passer]
        left, right = self.at(row["wall_left"]), self.at(row["wall_right"])
        names = f"{self.called(row['wall_left'])} to {self.called(row['wall_right'])}"
        text = f"pocket width {row['pocket_width']:.2f} yd, {names}"
        pen.dimension((left[0], rear), (right[0], rear), (0, 0.75), text, "pocket_width")
        front = passer - (0, row["pocket_depth"])
        pen.dimension(passer, front, (0, 0), f"depth {row['pocket_depth']:.2f} yd", "pocket_depth")
        pen.line(
            [(passer[0], passer[1] + MAN), (passer[0], rear + 2.1)], color=INK, width=0.6, style=(0, (9, 3, 2, 3)), z=3
        )
        for side in self.sides:
            man = side.edge["edge_man"]
            outer = passer[0] + side.sign * side.edge["edge_width"]
            text = f"{side.name} edge {side.edge['edge_width']:.2f} yd, {self.called(man)}"
            start = self.at(man)[1] if abs(outer - self.at(man)[0]) > 1e-9 else rear
            pen.dimension(
                (passer[0], rear),
                (outer, start),
                (0, rear + 1.75 - start),
                text,
                f"edge_width_{side.name}",
                level=rear + 1.75,
            )

    def detail(self, side: _Side) -> None:
        """One edge enlarged: the rusher's straight line, his blocker's reach, and what of the corner is held."""
        inches = 2.62
        corner = (0.03 if side.sign < 0 else 0.97 - inches / 10, 0.025)
        who = side.rusher
        title = f"{side.name} edge"
        if who is None or not _text(who["blocker"]):
            blank = _sheet(self.figure, (*corner, inches / 10, inches / 9.4), (-1, 1), (1, -1))
            text = "nobody attacks it" if who is None else "nobody blocks him"
            _Pen(blank, 72).text((0, 0), text, color=MUTED, size=8.5, align="center")
            _page(self.figure, corner[0], corner[1] + inches / 9.4 + 0.007, title, size=8.5, weight="bold")
            return
        rusher, blocker, passer = self.at(who["rusher"]), self.at(who["blocker"]), self.place[self.passer]
        rules = self.m.rules
        half = 2.3
        apart, toward = rusher - blocker, _unit(passer - rusher)
        center = blocker + np.clip((apart + (rules.reach + 0.8) * toward) / 2, -0.9, 0.9)
        axes = _sheet(
            self.figure,
            (*corner, inches / 10, inches / 9.4),
            (center[0] - half, center[0] + half),
            (center[1] + half, center[1] - half),
        )
        pen = _Pen(axes, inches * 72 / (2 * half))
        for step in range(-3, 4):
            for line in (
                [(center[0] + step, center[1] - half), (center[0] + step, center[1] + half)],
                [(center[0] - half, center[1] + step), (center[0] + half, center[1] + step)],
            ):
                pen.line(line, color=FAINT, width=0.4, z=0)
        axes.add_patch(Polygon(self.ring, closed=True, facecolor=POCKET, edgecolor="none", zorder=0.5))
        pen.line(self.place[self.wall], color=WALL, width=2.0, z=1)
        axes.add_patch(
            Circle(
                tuple(blocker),
                rules.reach,
                facecolor="none",
                edgecolor=INK,
                linewidth=0.8,
                linestyle=(0, (4, 3)),
                zorder=2,
            )
        )
        axes.plot(
            *self.way(side, who).T,
            color=EXPOSURE(side.exposure),
            linewidth=3.2,
            zorder=3,
            gid=f"detail_way_{side.name}",
        )
        pen.line([rusher, passer], color=INK, width=0.9, style=(0, (1, 2)), z=3, gid=f"straight_{side.name}")
        for taken in (self.way(side, who), np.stack([rusher, passer]), self.place[self.wall]):
            pen.busy(taken)
        self.corner(pen, side, rusher, blocker, passer)
        for i, man in enumerate(self.play.men):
            if not np.isnan(self.place[i, 0]) and pen.holds(self.place[i], 0.2):
                pen.man(man, self.place[i], self.label[i], active=man.role != "other" and self.counts(i))
        pen.write_labels()
        _page(self.figure, corner[0], corner[1] + inches / 9.4 + 0.007, title, size=8.5, weight="bold")
        _page(
            self.figure,
            corner[0] + inches / 10,
            corner[1] + inches / 9.4 + 0.007,
            f"{self.called(who['rusher'])} {who['blocker_range']:.2f} yd from {self.called(who['blocker'])}; 1 yd grid",
            size=7.5,
            color=MUTED,
            align="right",
        )

    def corner(self, pen: _Pen, side: _Side, rusher: Vector, blocker: Vector, passer: Vector) -> None:
        """Across the rusher's straight line, from the blocker's centre outward: short edge, then the corner."""
        toward = _unit(passer - rusher)
        outward = side.sign * np.array([toward[1], -toward[0]])
        reach, held, short = self.m.rules.reach, float(side.edge["corner_held"]), float(side.edge["short_edge"])
        rim, line = blocker + outward * reach, blocker + outward * (reach - held)
        passes = float(np.clip(outward @ (rusher - blocker), -reach, reach))
        if abs(passes - (reach - held)) > 1e-6:  # past him, or no longer before him: his corner is nowhere on the line
            text = f"corner gone, short edge {short:.2f}" if side.shows_short_edge else "corner gone"
            pen.label(blocker, MAN + 0.1, text, size=8.5, color=INK, prefer=(float(outward[0]), float(outward[1])))
            return
        shift = toward * (reach + 0.3)
        if held > 0:
            pen.dimension(line, rim, shift, f"corner held {held:.2f}", f"corner_held_{side.name}", beyond=outward)
        if side.shows_short_edge and short > 0:
            pen.dimension(blocker, line, shift, f"short edge {short:.2f}", f"short_edge_{side.name}", beyond=-outward)

    def caption(self) -> None:
        row = self.row
        x, y, step = 0.31, 0.292, 0.0172
        for k, line in enumerate(CAUTION):
            _page(self.figure, x, 0.0435 - step * k, line, size=8, style="italic")
        pocket = [
            ("pocket width", "pocket_width", "yd"),
            ("pocket depth", "pocket_depth", "yd"),
            ("pocket area", "pocket_area", "yd²"),
            ("room for the passer", "passer_room", "yd²"),
            ("passer behind the line", "passer_depth", "yd"),
            ("nearest rusher", "nearest_rusher", "yd"),
        ]
        if not self.ok:
            pocket, y = pocket[4:], 0.105
        for k, (title, name, unit) in enumerate(pocket):
            column, line_of = divmod(k, 3)
            at = y - step * line_of
            _page(self.figure, x + 0.20 * column, at, title, size=8, color=MUTED)
            _page(self.figure, x + 0.20 * column + 0.185, at, _figure(row[name], unit), size=8, align="right")
        if self.ok:
            self.edge_table(x, y - 3.5 * step, step)

    def edge_table(self, x: float, y: float, step: float) -> None:
        row = self.row
        edges = {side.name: side for side in self.sides}

        def attacked(side: str) -> bool:
            return side in edges and bool(_text(edges[side].edge["rusher"]))

        def cell(side: str, name: str, unit: str = "") -> str:
            return _figure(edges[side].edge[name], unit) if side in edges and attacked(side) else "—"

        def width(side: str) -> str:
            return _figure(edges[side].edge["edge_width"], "yd") if side in edges else "—"

        def man(side: str, name: str) -> str:
            player = _text(edges[side].edge[name]) if side in edges else ""
            if not player:
                return "nobody" if side in edges else "—"
            label = self.called(player)
            return _cut(label if label == player else f"{label}  {player}", 20)

        def short(side: str) -> str:
            if attacked(side) and not edges[side].shows_short_edge:
                return f"exposure under {SHOWN_FROM}"
            return cell(side, "short_edge", "yd")

        def held(side: str) -> str:
            if not attacked(side):
                return "—"
            edge = edges[side].edge
            return f"{'engaged' if edge['engaged'] else 'not engaged'}, {edge['helpers']} helping"

        lines = [
            ("", "left", "right"),
            ("exposure", _figure(row["exposure_left"]), _figure(row["exposure_right"])),
            ("edge set by", man("left", "edge_man"), man("right", "edge_man")),
            ("rusher", man("left", "rusher"), man("right", "rusher")),
            ("", held("left"), held("right")),
            ("edge width", width("left"), width("right")),
            ("corner held", cell("left", "corner_held", "yd"), cell("right", "corner_held", "yd")),
            ("short edge", short("left"), short("right")),
            ("way round him", cell("left", "outside_time", "s"), cell("right", "outside_time", "s")),
            ("exposure inside", _figure(row["exposure_inside"]), ""),
        ]
        for k, (title, left, right) in enumerate(lines):
            weight = "bold" if k == 0 else "normal"
            _page(self.figure, x, y - step * k, title, size=8, color=MUTED)
            _page(self.figure, x + 0.1, y - step * k, left, size=8, weight=weight)
            _page(self.figure, x + 0.25, y - step * k, right, size=8, weight=weight)


# ------------------------------------------------------------------------------------------------------- one play


def timeline(m: Measures, play: str) -> Drawing:
    """A play over time: pocket width and depth, exposure left, inside and right, short edge left and right.

    Times in s since the snap. Frames that are not ok are shaded, with their status. A short edge is drawn only where
    the exposure is 0.2 or more. Measures made with noise have its 5-95 % bands round the lines. InputError for an
    unknown play.
    """
    ready = m.game.play(play)
    frames = _rows(m.frames, play)
    bands = _rows(m.bands.frames, play) if m.noise else []
    edge_bands = _rows(m.bands.edges, play) if m.noise else []
    edges = {side: [row for row in _rows(m.edges, play) if row["side"] == side] for side in ("left", "right")}
    label = {man.player: name for man, name in zip(ready.men, _labels(ready), strict=True)}
    time = np.array([row["time"] for row in frames])
    figure = Drawing(figsize=(10, 9), dpi=110, facecolor=PAPER)
    _page(figure, 0.05, 0.962, f"Play {_cut(ready.id, 40)} over time", size=15, weight="bold")
    _page(figure, 0.05, 0.941, f"{len(frames)} frames.  {'  '.join(CAUTION)}", size=9, color=INK)
    if m.noise:
        about = f"bands: 5-95 % of {m.noise.draws} draws of {m.noise.sigma:.2g} yd of noise ({m.noise.found})"
        _page(figure, 0.95, 0.962, about, size=7.5, color=MUTED, align="right")

    heights = (1.1, 1.1, 0.8, 0.8, 0.8, 0.8, 0.8)
    gaps = (0.42, 0.12, 0.42, 0.06, 0.06, 0.42, 0.06)  # above each, inches
    panels: list[Axes] = []
    y = 8.2
    for height, gap in zip(heights, gaps, strict=True):
        y -= gap + height
        panel = figure.add_axes((0.09, y / 9, 0.86, height / 9), facecolor=CARD, sharex=panels[0] if panels else None)
        _quiet(panel)
        panels.append(panel)
    width, depth, *rest = panels
    span = max(float(time[-1] - time[0]), 0.1)
    width.set_xlim(time[0] - 0.01 * span, time[-1] + 0.03 * span)
    for panel in panels:
        panel.tick_params(labelbottom=panel is panels[-1])
        panel.yaxis.set_label_coords(-0.055, 0.5)
    panels[-1].set_xlabel("s since the snap", fontsize=9, fontfamily=FONT, color=INK)

    for panel, name, title in ((width, "pocket_width", "width, yd"), (depth, "pocket_depth", "depth, yd")):
        values = np.array([row[name] for row in frames], float)
        panel.plot(time, values, color=WALL, linewidth=1.8, marker=".", markersize=3.5, gid=name)
        _band(panel, name, bands)
        top = float(np.nanmax(values, initial=1.0))
        panel.set_ylim(0, 1.32 * top)
        panel.set_ylabel(title, fontsize=9, fontfamily=FONT, color=INK)
    ends = [
        (row["time"], f"{label[row['wall_left']]}-{label[row['wall_right']]}" if row["status"] == "ok" else "")
        for row in frames
    ]
    _runs(width, ends, span)
    _heading(
        figure,
        width,
        "pocket",
        "width between the ends of the wall, named where they change: it jumps when a man is detached",
    )

    exposure = {"left": rest[0], "inside": rest[1], "right": rest[2]}
    for side, panel in exposure.items():
        values = np.array([row[f"exposure_{side}"] for row in frames], float)
        _shade(panel, time, values, f"exposure_{side}")
        _band(panel, f"exposure_{side}", bands)
        panel.set_ylim(0, 1.42)
        panel.set_yticks([0, 0.5, 1], ["0", "0.5", "1"])
        panel.set_ylabel(side, fontsize=9, fontfamily=FONT, color=INK)
        if side in edges:
            _runs(panel, [(row["time"], label[row["edge_man"]]) for row in edges[side]], span)
    _heading(
        figure,
        rest[0],
        "exposure (not a threat, not a probability)",
        "0 to 1; left and right with the man who sets the edge",
    )

    for side, panel in (("left", rest[3]), ("right", rest[4])):
        shown = {row["time"]: row["short_edge"] for row in edges[side] if row["exposure"] >= SHOWN_FROM}
        values = np.array([shown.get(t, math.nan) for t in time.tolist()], float)
        panel.plot(time, values, color=INK, linewidth=1.8, marker=".", markersize=3.5, gid=f"short_edge_{side}")
        _band(panel, "short_edge", [row for row in edge_bands if row["side"] == side and row["time"] in shown])
        panel.set_ylim(-0.06 * m.rules.reach, 1.1 * m.rules.reach)
        if not shown:
            _note(
                panel,
                (time[0] + time[-1]) / 2,
                0.5,
                f"no exposure of {SHOWN_FROM} or more",
                align="center",
                over="center",
            )
        panel.set_ylabel(f"{side}, yd", fontsize=9, fontfamily=FONT, color=INK)
    _heading(
        figure,
        rest[3],
        "short edge",
        f"only where the exposure is {SHOWN_FROM} or more; at most the reach, {m.rules.reach:g} yd",
    )

    _gaps(panels, time, [row["status"] for row in frames])
    moments = [("snap", 0.0), ("top of the drop", ready.top_time), ("throw", ready.throw_time)]
    _moments(panels, [(name, at) for name, at in moments if time[0] - 1e-6 <= at <= time[-1] + 1e-6])
    return figure


def _heading(figure: Figure, panel: Axes, title: str, note: str) -> None:
    box = panel.get_position()
    text = _page(figure, box.x0, box.y1 + 0.006, title, size=9, weight="bold")
    text.set_gid("heading")
    _page(figure, box.x1, box.y1 + 0.006, note, size=7.5, color=MUTED, align="right")


def _shade(panel: Axes, time: Vector, values: Vector, gid: str) -> None:
    """Values 0 to 1 as a line over a filling, both in the colours of exposure."""
    for k in range(len(time) - 1):
        a, b = values[k], values[k + 1]
        if not math.isnan(a + b):
            panel.fill_between(time[k : k + 2], [0, 0], [a, b], color=EXPOSURE((a + b) / 2), linewidth=0.4)
    panel.plot(time, values, color=INK, linewidth=1.2, marker=".", markersize=3.5, gid=gid)


def _band(panel: Axes, name: str, rows: Sequence[Row]) -> None:
    """The band of a figure, a bar a frame."""
    if rows:
        time, low, high = (
            np.array([row[key] for row in rows], float) for key in ("time", f"{name}_low", f"{name}_high")
        )
        panel.vlines(time, low, high, color=MUTED, linewidth=3.5, alpha=0.45, zorder=1.8, gid=f"band {name}")


def _runs(panel: Axes, named: Sequence[tuple[float, str]], span: float) -> None:
    """Names written once for every run of equal ones, with a tick where they change; a short run has no name."""
    starts = [k for k, (_, name) in enumerate(named) if not k or name != named[k - 1][1]]
    for k, following in zip(starts, [*starts[1:], None], strict=True):
        time, name = named[k]
        until = math.inf if following is None else named[following][0]
        if k and name:
            panel.plot(
                [time, time],
                [0.84, 1.0],
                transform=panel.get_xaxis_transform(),
                color=INK,
                linewidth=0.9,
                gid="change",
            )
        short = _cut(name, 16)
        if name and until - time > span * (0.008 + 0.009 * len(short)):
            _note(panel, time + 0.004 * span, 0.97, short, align="left", over="top")


def _note(panel: Axes, x: float, y: float, text: str, *, align: str, over: str, **given: Any) -> None:
    """A text at a time, and at a share of the panel's height."""
    where = panel.get_xaxis_transform()
    panel.text(
        x,
        y,
        text,
        transform=where,
        ha=align,
        va=over,
        fontsize=8,
        fontfamily=FONT,
        color=INK,
        parse_math=False,
        **given,
    )


def _gaps(panels: Sequence[Axes], time: Vector, status: Sequence[str]) -> None:
    """Frames that are not ok, shaded half a step to either side, the status written in the first panel."""
    step = float(np.median(np.diff(time))) if len(time) > 1 else 0.1
    start = 0
    for k in range(1, len(time) + 1):
        if k < len(time) and status[k] == status[start]:
            continue
        if status[start] != "ok":
            left, right = time[start] - step / 2, time[k - 1] + step / 2
            for panel in panels:
                panel.axvspan(left, right, facecolor=FAINT, edgecolor=PAPER, linewidth=1.2, alpha=0.6, zorder=0.5)
            upright = right - left < 0.12 * (time[-1] - time[0])
            middle = (left + right) / 2
            _note(panels[0], middle, 0.5, status[start], align="center", over="center", rotation=90 * upright)
        start = k


def _moments(panels: Sequence[Axes], moments: Sequence[tuple[str, float]]) -> None:
    left, right = panels[0].get_xlim()
    for k, (name, at) in enumerate(moments):
        for panel in panels:
            panel.axvline(at, color=INK, linewidth=0.9, linestyle=(0, (5, 3)), zorder=1.5, gid=f"moment {name}")
        crowded = k + 1 < len(moments) and moments[k + 1][1] - at < 0.2 * (right - left)
        side = "right" if crowded and k else "left"
        _note(panels[0], at, 1.24, f"{name} {at:.2f} s" if at else name, align=side, over="bottom")


# ------------------------------------------------------------------------------------------------------ one game


def sheet(game: Game, most: int = 96) -> Drawing:
    """The first measured frame of every play, small, to check a mapping by eye: the first `most` plays.

    Upfield is up: the passer below the line, the left tackle on the left. Offence O, defence X, the passer filled.
    """
    measured = game.measured()
    plays = measured[:most]
    columns = min(6, max(1, len(plays)))
    rows = math.ceil(len(plays) / columns)
    cell_w, cell_h, head, foot = 1.8, 1.5, 0.75, 0.15
    size = (max(columns * cell_w, 5.4) + 0.4, rows * cell_h + head + foot)
    figure = Drawing(figsize=size, dpi=110, facecolor=PAPER)
    text = f"{len(plays)} plays at the snap" + ("" if len(plays) == len(measured) else f", of {len(measured)}")
    title = f"{_cut(game.name, 40)}: {text}" if game.name else text
    hint = "Check: the passer stands below the line, LT is on the left, X faces O."
    _page(figure, 0.2 / size[0], 1 - 0.32 / size[1], title, size=12, weight="bold")
    _page(figure, 0.2 / size[0], 1 - 0.55 / size[1], hint, size=8.5)
    for n, name in enumerate(plays):
        row, column = divmod(n, columns)
        left, bottom = 0.2 + column * cell_w, size[1] - head - (row + 1) * cell_h
        box = (left / size[0], bottom / size[1], (cell_w - 0.12) / size[0], (cell_h - 0.3) / size[1])
        across = 16.0
        height = across * (cell_h - 0.3) / (cell_w - 0.12)
        axes = _sheet(figure, box, (-across / 2, across / 2), (height - 3.4, -3.4))
        _page(figure, box[0], box[1] + box[3] + 0.03 / size[1], _cut(name, 22), size=7.5)
        pen = _Pen(axes, (cell_w - 0.12) * 72 / across)
        play = game.play(name)
        pen.line([(-across, 0), (across, 0)], color=INK, width=0.8, z=0)
        for man, at in zip(play.men, play.place[0], strict=True):
            if not np.isnan(at[0]) and pen.holds(at):
                pen.small_man(man, at)
    return figure


# ----------------------------------------------------------------------------------------------------- the drawing


class _Pen:
    """Draws on one axes in yards, keeps what is taken, and puts labels where there is room."""

    def __init__(self, axes: Axes, points_per_yard: float) -> None:
        self.axes, self.scale = axes, points_per_yard
        self.taken: list[tuple[float, float, float, float]] = []  # left, right, upper, lower edge
        self.waiting: list[tuple[Vector, float, str, float, str, tuple[float, float], str]] = []

    def holds(self, at: Vector, margin: float = 0.5) -> bool:
        (left, right), (bottom, top) = self.axes.get_xlim(), self.axes.get_ylim()
        return bool(left + margin <= at[0] <= right - margin and top + margin <= at[1] <= bottom - margin)

    def line(
        self, points: Any, *, color: str, width: float, z: float, style: Any = "-", gid: str | None = None
    ) -> None:
        self.axes.plot(
            *np.asarray(points, float).T,
            color=color,
            linewidth=width,
            linestyle=style,
            zorder=z,
            gid=gid,
            solid_capstyle="butt",
        )

    def text(
        self,
        at: Any,
        text: str,
        *,
        color: str = INK,
        size: float = 8,
        align: str = "left",
        z: float = 8,
        box: bool = False,
        weight: str = "normal",
    ) -> None:
        width, height = self.size_of(text, size)
        left = at[0] - {"left": 0.0, "center": 0.5, "right": 1.0}[align] * width
        self.taken.append((left, left + width, at[1] - height / 2, at[1] + height / 2))
        drawn = self.axes.text(
            at[0],
            at[1],
            text,
            color=color,
            fontsize=size,
            fontfamily=FONT,
            fontweight=weight,
            ha=align,
            va="center",
            zorder=z,
            clip_on=True,
            parse_math=False,
        )
        if box:
            drawn.set_bbox({"facecolor": CARD, "edgecolor": "none", "pad": 1.2})
        else:
            drawn.set_path_effects([patheffects.withStroke(linewidth=2.2, foreground=CARD)])

    def margin(self, v: float, text: str) -> None:
        """Names a line across the sheet, left of it."""
        left = self.axes.get_xlim()[0]
        self.axes.text(
            left - 0.15, v, text, fontsize=7.5, fontfamily=FONT, color=INK, ha="right", va="center", parse_math=False
        )

    def size_of(self, text: str, size: float) -> tuple[float, float]:
        """yd, about: what is needed to keep texts apart."""
        return 0.6 * size * len(text) / self.scale, 1.25 * size / self.scale

    def busy(self, points: Vector) -> None:
        """Nothing is to be written along this line."""
        for a, b in pairwise(points):
            for share in np.linspace(0, 1, max(2, int(np.hypot(*(b - a)) / 0.25))):
                u, v = a + share * (b - a)
                self.taken.append((u - 0.08, u + 0.08, v - 0.08, v + 0.08))

    def man(self, man: Man, at: Vector, label: str, *, active: bool, ringed: bool = False) -> None:
        """The trade's marks: O for the offence (the passer's filled), a square for the centre, X for the defence."""
        color = INK if active else MUTED
        self.taken.append((at[0] - MAN, at[0] + MAN, at[1] - MAN, at[1] + MAN))
        if man.unit == "defense":
            arm = 0.62 * MAN
            for way in (1, -1):
                self.line(
                    [(at[0] - arm, at[1] - way * arm), (at[0] + arm, at[1] + way * arm)],
                    color=color,
                    width=2.2 if active else 1.4,
                    z=6,
                )
            self.label(
                at,
                MAN + 0.02,
                label,
                size=8 if active else 7,
                color=color,
                prefer=(0, -1),
                weight="bold" if active else "normal",
            )
            return
        filled = man.role == "passer"
        face, edge = (INK, INK) if filled else (CARD, color)
        shape: Circle | Rectangle
        if man.slot == "C":
            shape = Rectangle((at[0] - 0.9 * MAN, at[1] - 0.9 * MAN), 1.8 * MAN, 1.8 * MAN)
        else:
            shape = Circle((at[0], at[1]), MAN)
        shape.set(facecolor=face, edgecolor=edge, linewidth=1.5 if active else 1.0, zorder=5)
        self.axes.add_patch(shape)
        if ringed:
            self.axes.add_patch(
                Circle(
                    (at[0], at[1]),
                    MAN + 0.12,
                    facecolor="none",
                    edgecolor=edge,
                    linewidth=1.0,
                    zorder=5,
                    gid="edge_man",
                )
            )
        size = min(8.0, 0.62 * self.scale * MAN)
        if len(label) <= 2 and size >= 5.5:
            self.axes.text(
                at[0],
                at[1],
                label,
                fontsize=size,
                fontfamily=FONT,
                ha="center",
                va="center_baseline",
                color=CARD if filled else color,
                fontweight="bold" if active else "normal",
                zorder=7,
                clip_on=True,
                parse_math=False,
            )
        else:
            self.label(at, MAN + 0.02, label, size=8 if active else 7, color=color, prefer=(0, 1))

    def small_man(self, man: Man, at: Vector) -> None:
        name = man.slot or ("QB" if man.role == "passer" else "")
        active = man.role != "other"
        color = INK if active else MUTED
        if man.unit == "defense":
            self.axes.plot(
                *at, marker="x", markersize=3.6, markeredgewidth=1.2 if active else 0.7, color=color, zorder=3
            )
        else:
            face = INK if man.role == "passer" else CARD
            self.axes.plot(
                *at,
                marker="s" if man.slot == "C" else "o",
                markersize=4.6,
                markeredgewidth=0.9,
                color=color,
                markerfacecolor=face,
                zorder=3,
            )
        if name in ("LT", "RT", "QB"):
            self.axes.text(
                at[0],
                at[1] + 0.75,
                name,
                fontsize=6,
                fontfamily=FONT,
                ha="center",
                va="top",
                color=color,
                parse_math=False,
            )

    def label(
        self,
        at: Any,
        away: float,
        text: str,
        *,
        size: float,
        color: str,
        prefer: tuple[float, float],
        weight: str = "normal",
    ) -> None:
        """A label beside a point, `away` from it; written by write_labels once everything is drawn."""
        self.waiting.append((np.asarray(at, float), away, text, size, color, prefer, weight))

    def write_labels(self) -> None:
        (left, right), (bottom, top) = self.axes.get_xlim(), self.axes.get_ylim()
        for at, away, text, size, color, prefer, weight in self.waiting:
            width, height = self.size_of(text, size)
            best, least, far = at, math.inf, 0.0
            for angle in range(0, 360, 30):
                toward = np.array([math.sin(math.radians(angle)), -math.cos(math.radians(angle))])
                for farther in (0.0, 0.3, 0.9):
                    spot = at + toward * (away + farther + np.abs(toward) @ (width / 2, height / 2))
                    box = (spot[0] - width / 2, spot[0] + width / 2, spot[1] - height / 2, spot[1] + height / 2)
                    off = box[0] < left or box[1] > right or box[2] < top or box[3] > bottom
                    cost = _overlap(box, np.array(self.taken)) / (width * height)
                    cost += 5 * off + 0.12 * (1 - toward @ prefer) + 0.15 * farther
                    if cost < least:
                        best, least, far = spot, cost, farther
            if far > 0.5:
                self.line([at, best], color=color, width=0.5, z=4.5)
            self.text(best, text, size=size, color=color, align="center", weight=weight)
        self.waiting.clear()

    def dimension(
        self,
        a: Any,
        b: Any,
        shift: Any,
        text: str,
        gid: str,
        *,
        beyond: Vector | None = None,
        level: float | None = None,
    ) -> None:
        """From a to b as on an engineering drawing: extension lines, arrowheads, the figure on the line.

        The line is drawn `shift` from the two points. Where the figure does not fit on it, or with `beyond`, it stands
        off the line, on that side. With `level` the line is drawn at that v instead.
        """
        a, b, shift = np.asarray(a, float), np.asarray(b, float), np.asarray(shift, float)
        p, q = (a + shift, b + shift) if level is None else (np.array([a[0], level]), np.array([b[0], level]))
        for start, end in ((a, p), (b, q)):
            way = end - start
            if np.hypot(*way) > 0.2:
                along = way / np.hypot(*way)
                line = np.stack([start + 0.1 * along, end + 0.15 * along])
                self.line(line, color=INK, width=0.6, z=3)
                if beyond is not None:
                    self.busy(line)
        length = float(np.hypot(*(q - p)))
        if length < 1e-9:
            return
        along = (q - p) / length
        self.line([p, q], color=INK, width=0.9, z=4, gid=gid)
        head = min(6.0 / self.scale, length / 2)
        for tip, way in ((p, along), (q, -along)):
            side = 0.3 * head * np.array([-way[1], way[0]])
            self.axes.add_patch(
                Polygon(
                    [tip, tip + head * way + side, tip + head * way - side],
                    closed=True,
                    facecolor=INK,
                    edgecolor="none",
                    zorder=4,
                )
            )
        size = 8.5
        width, _ = self.size_of(text, size)
        if beyond is not None:
            self.busy(np.stack([p, q]))
            off = shift / float(np.hypot(*shift))
            prefer = off + 0.8 * beyond
            self.label(p + 0.5 * (q - p), 0.12, text, size=size, color=INK, prefer=tuple(prefer / np.hypot(*prefer)))
        elif abs(along[0]) < 0.5:
            self.busy(np.stack([p, q]))
            self.label(p + 0.62 * (q - p), 0.1, text, size=size, color=INK, prefer=(1, 0))
        elif width + 3 * head < length:
            self.text((p + q) / 2, text, size=size, align="center", box=True)
        else:
            self.text(q + 0.12 * along, text, size=size, align="left" if along[0] > 0 else "right")


def _unit(way: Vector) -> Vector:
    """The direction of a vector; straight back from the line for none."""
    length = float(np.hypot(*way))
    return way / length if length > 1e-9 else np.array([0.0, 1.0])


def _overlap(box: tuple[float, float, float, float], others: Vector) -> float:
    """yd^2, what boxes (rows of left, right, upper, lower) take of this one in all."""
    left, right, upper, lower = others.T
    wide = np.minimum(box[1], right) - np.maximum(box[0], left)
    high = np.minimum(box[3], lower) - np.maximum(box[2], upper)
    return float((wide.clip(0) * high.clip(0)).sum())


def _sheet(
    figure: Figure, box: tuple[float, float, float, float], across: tuple[float, float], along: tuple[float, float]
) -> Axes:
    axes = figure.add_axes(box, facecolor=CARD)
    axes.set(xlim=across, ylim=along, xticks=[], yticks=[])
    for spine in axes.spines.values():
        spine.set(edgecolor=FAINT, linewidth=0.8)
    return axes


def _quiet(axes: Axes) -> None:
    for name, spine in axes.spines.items():
        spine.set(visible=name in ("left", "bottom"), edgecolor=MUTED, linewidth=0.8)
    axes.tick_params(colors=INK, labelsize=8, length=3, width=0.7, labelfontfamily=FONT)
    axes.grid(axis="y", color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)


def _page(
    figure: Figure,
    x: float,
    y: float,
    text: str,
    *,
    size: float,
    color: str = INK,
    weight: str = "normal",
    style: str = "normal",
    align: str = "left",
) -> Any:
    return figure.text(
        x,
        y,
        text,
        fontsize=size,
        fontfamily=FONT,
        fontweight=weight,
        fontstyle=style,
        color=color,
        ha=align,
        va="bottom",
        parse_math=False,
    )


def _exposure_key(figure: Figure, box: tuple[float, float, float, float]) -> None:
    axes = figure.add_axes(box)
    axes.imshow(np.linspace(0, 1, 128)[None], cmap=EXPOSURE, aspect="auto", extent=(0, 1, 0, 1))
    axes.set(yticks=[], xticks=[0, 0.5, 1])
    axes.tick_params(colors=INK, labelsize=7.5, length=2, pad=1, labelfontfamily=FONT)
    for spine in axes.spines.values():
        spine.set_visible(False)
    _page(figure, box[0] - 0.008, box[1] - 0.002, "ways coloured by exposure", size=8, align="right")


def _labels(play: Play) -> list[str]:
    """A short name for every man: where he plays on the line, else his position if no other of his unit has it, else
    his id without what all of his unit begin with."""
    names = []
    for man in play.men:
        mates = [other for other in play.men if other.unit == man.unit]
        shared = _shared([other.player for other in mates])
        position = man.position if sum(other.position == man.position for other in mates) == 1 else ""
        if man.role == "passer":
            names.append("QB")
        else:
            names.append(man.slot or _cut(position, 10) or _cut(man.player[shared:], 10))
    return names


def _shared(names: Sequence[str]) -> int:
    """How many characters all names begin with, up to and with a separator."""
    same = 0
    for letters in zip(*names, strict=False):
        if len(set(letters)) > 1:
            break
        same += 1
    while same and names[0][same - 1] not in " -_./:":
        same -= 1
    return same if len(names) > 1 and all(len(name) > same for name in names) else 0


def _cut(text: str, most: int) -> str:
    text = " ".join(text.split())
    return text if len(text) <= most else text[: most - 1] + "…"


def _figure(value: Any, unit: str = "") -> str:
    value = float(value)
    if math.isnan(value):
        return "—"
    return f"{value:.2f} {unit}".strip() if math.isfinite(value) else "never"


def _text(value: Any) -> str:
    """A name of a table; "" for a missing one, whatever the library calls it."""
    return value if isinstance(value, str) else ""


def _rows(table: Any, play: str, time: float | None = None) -> list[Row]:
    wanted = nw.from_native(table, eager_only=True).filter(nw.col("play") == play)
    if time is not None:
        wanted = wanted.filter(nw.col("time") == time)
    return list(wanted.iter_rows(named=True))
