"""One frame as a drawing with dimensions."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.patches import Circle, Polygon

from .. import _core
from ..base.text import shown, word
from ..tell.labels import CAUTION, STATUS, Row, Vector, cut_short, figure_text, free_of, is_free, text_of
from ..tell.scene import WAYS, Scene
from ..tell.words import SHOWN_FROM
from .paper import exposure_key, page, sheet_axes
from .pen import MAN, Pen, unit_of
from .style import EXPOSURE, FAINT, INK, MUTED, PAPER, POCKET, WALL, Drawing

if TYPE_CHECKING:
    from ..measures.results import Measures

BESIDE = 0.25  # s before or after a play that still show its first or last frame
INSET = 2.62  # inches, of a side


def frame(m: Measures, play: str, time: float, rep: Mapping[str, Any] | None = None) -> Drawing:
    """The frame of `play` nearest to `time` (s since the snap) as a drawing with dimensions.

    rep: a row of Reps.table; its two men are drawn with both of the rusher's ways and an inset of their own, also
    where the rep is no edge. Where the pocket is not ok the players are drawn and the status is said. InputError for
    an unknown play or a time that is not finite.
    """
    if not math.isfinite(time):
        raise _core.InputError(f"time is {time}; a number of seconds since the snap is wanted")
    check_inside(m, play, time)
    return _FrameDrawing(m, play, time, rep).figure


def check_inside(m: Measures, play: str, time: float) -> None:
    """InputError for a time that lies outside the play."""
    times = m.game.play(play).time
    first, last = max(0.0, float(times[0])), float(times[-1])
    if len(times) and not first - BESIDE <= time <= last + BESIDE:
        raise _core.InputError(
            f"time {time:g} s of play {shown(play)}: outside the play; accepted: {first:.1f} to {last:.1f} s "
            "since the snap"
        )


class _Side:
    """One edge: its row of the table, its rusher's row, and the way drawn."""

    def __init__(self, name: str, edge: Row, rusher: Row | None) -> None:
        self.name, self.edge, self.rusher = name, edge, rusher
        self.sign = -1 if name == "left" else 1
        self.exposure = float(edge["exposure"])
        self.shows_short_edge = self.exposure >= SHOWN_FROM


class _Two:
    """The two men of a rep in this frame: what an inset needs of them. `sign`: the protector's side, 0 for none."""

    def __init__(self, name: str, sign: int, rusher: Row) -> None:
        self.name, self.sign, self.rusher = name, sign, rusher
        self.held, self.short = float(rusher["corner_held"]), float(rusher["short_edge"])
        self.exposure = {which: float(rusher[f"{which}_exposure"]) for which in WAYS}
        self.shows_short_edge = self.exposure["outside"] >= SHOWN_FROM


class _FrameDrawing:
    def __init__(self, m: Measures, play: str, time: float, rep: Mapping[str, Any] | None) -> None:
        self.scene = Scene(m, play)
        self.m, self.play, self.label, self.passer = m, self.scene.play, self.scene.label, self.scene.passer
        self.k = self.scene.nearest(time)
        self.time = float(self.play.time[self.k])
        self.row = self.scene.frames[self.k]
        self.ok = self.row["status"] == "ok"
        self.place: Vector = self.scene.place[self.k]
        rushers = self.scene.rushers[self.row["time"]]
        self.sides = [
            _Side(edge["side"], edge, rushers.get(text_of(edge["rusher"])))
            for edge in self.scene.edges[self.row["time"]]
        ]
        self.two = None if rep is None else self.two_of(word(rep["protector"]), word(rep["rusher"]))
        self.wall, self.ring = self.scene.pocket(self.k)
        self.figure = Drawing(figsize=(10, 9.4), dpi=110, facecolor=PAPER)
        self.heading()
        self.main()
        self.insets()
        self.caption()

    # What is where

    def at(self, player: str) -> Vector:
        place: Vector = self.place[self.scene.code[player]]
        return place

    def called(self, player: str) -> str:
        return self.label[self.scene.code[player]]

    def two_of(self, protector: str, rusher: str) -> _Two | None:
        """Nothing while another man has that rusher, or he does not take part."""
        row, stands = self.scene.rushers[self.row["time"]].get(rusher), None
        if row is not None and text_of(row["blocker"]) == protector:
            stands = self.scene.stands(self.k, rusher)
        if row is None or stands is None:
            return None
        return _Two(f"{self.called(protector)} on {self.called(rusher)}", stands.side, row)

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
        page(
            self.figure,
            0.03,
            0.968,
            f"Play {cut_short(self.play.id, 40)}, {self.time:.2f} s after the snap",
            size=15,
            weight="bold",
        )
        page(
            self.figure,
            0.03,
            0.946,
            when + (f"   ·   pocket {status}: {STATUS[status]}" if STATUS[status] else ""),
            size=9.5,
        )
        notes = [f"{self.label[i]} detached: width set by {self.label[end]}" for i, end in self.scene.detached(self.k)]
        if notes:
            page(self.figure, 0.03, 0.927, ";  ".join(notes), size=9.5, weight="bold")
        if self.ok:  # no other frame has a way in it
            exposure_key(self.figure, (0.73, 0.955, 0.24, 0.012))

    def main(self) -> None:
        low = 0.328 if self.ok else 0.14
        width, height = 0.885 * 10, (0.923 - low) * 9.4
        near = [i for i in range(len(self.place)) if self.scene.taking_part(i, self.k) and abs(self.place[i, 0]) < 14]
        u, v = self.place[near].T if near else np.zeros((2, 1))
        rear = float(self.ring[:, 1].max()) if self.ok else float(np.nanmax(v, initial=2.0))
        top, bottom = min(-1.5, max(-5.0, float(np.nanmin(v)) - 1.0)), max(rear + (2.45 if self.ok else 1.2), 5.0)
        reach = max(float(np.nanmax(u)) - float(np.nanmin(u)) + 3.0, 16.0)
        across = max((bottom - top) * width / height, reach)
        middle = float(np.nanmin(u) + np.nanmax(u)) / 2
        bottom = max(bottom, top + across * height / width)
        axes = sheet_axes(
            self.figure, (0.085, low, 0.885, 0.923 - low), (middle - across / 2, middle + across / 2), (bottom, top)
        )
        pen = Pen(axes, width * 72 / across)
        self.field(pen)
        if self.ok:
            self.draw_pocket(pen)
        for side in self.sides:
            self.draw_way(pen, side)
        if self.two is not None:
            self.draw_ways_of(pen, self.two)
        self.players(pen)
        if self.ok:
            self.dimensions(pen, rear)
        pen.write_labels()

    def field(self, pen: Pen) -> None:
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

    def draw_pocket(self, pen: Pen) -> None:
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

    def draw_way(self, pen: Pen, side: _Side) -> None:
        if side.rusher is None:
            return
        way = self.scene.way_of_edge(self.k, side.edge)
        if not len(way):
            return
        pen.axes.plot(
            *way.T, color=EXPOSURE(side.exposure), linewidth=3, solid_capstyle="round", zorder=4, gid=f"way_{side.name}"
        )
        pen.busy(way)
        middle = way[0] + 0.42 * (way[min(1, len(way) - 1)] - way[0]) if len(way) > 2 else way.mean(axis=0)
        pen.label(middle, 0.15, f"exposure {side.exposure:.2f}", size=8, color=INK, prefer=(side.sign, 0))

    def draw_ways_of(self, pen: Pen, two: _Two, gid: str = "rep_way") -> None:
        """Both ways of a rep's rusher, but one that is drawn as an edge's."""
        rusher = two.rusher["rusher"]
        for which in WAYS:
            way = self.scene.way(self.k, rusher, which)
            if not len(way) or (
                which == "outside" and any(text_of(side.edge["rusher"]) == rusher for side in self.sides)
            ):
                continue
            color = EXPOSURE(two.exposure[which])
            pen.axes.plot(*way.T, color=color, linewidth=3, solid_capstyle="round", zorder=4, gid=f"{gid}_{which}")
            pen.busy(way)
            pen.label(
                way[len(way) // 2] if len(way) > 2 else way.mean(axis=0),
                0.15,
                f"{which} {two.exposure[which]:.2f}",
                size=8,
                color=INK,
                prefer=(0, 1),
            )

    def players(self, pen: Pen) -> None:
        edge_men = {side.edge["edge_man"] for side in self.sides}
        if self.two is not None:
            edge_men.add(self.two.rusher["blocker"])
        for i, man in enumerate(self.play.men):
            if not np.isnan(self.place[i, 0]) and pen.holds(self.place[i]):
                pen.man(
                    man,
                    self.place[i],
                    self.label[i],
                    active=self.scene.active(i, self.k),
                    ringed=man.player in edge_men,
                )

    def dimensions(self, pen: Pen, rear: float) -> None:
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

    def insets(self) -> None:
        """The two edges, and a rep's two men in the place of the edge on their side, if they are not that edge."""
        two = self.two
        shown = [self.edge_inset(side) for side in self.sides]
        if two is not None and not any(one and one.rusher["rusher"] == two.rusher["rusher"] for _, _, one in shown):
            place = two.sign or (-1 if not any(sign < 0 and one for sign, _, one in shown) else 1)
            shown = [one for one in shown if one[0] != place] + [(place, two.name, two)]
        for sign, title, one in shown:
            if isinstance(one, _Two):
                self.detail(sign, title, one)
            else:
                self.blank(sign, title, "nobody attacks it" if not self.attacked(sign) else "nobody has him")

    def edge_inset(self, side: _Side) -> tuple[int, str, _Two | None]:
        """On which side of the page, its title, and the two men; none for an edge without."""
        who = side.rusher
        two = None if who is None or not text_of(who["blocker"]) else _Two(side.name, side.sign, who)
        return side.sign, f"{side.name} edge", two

    def attacked(self, sign: int) -> bool:
        return any(side.sign == sign and side.rusher is not None for side in self.sides)

    def corner_of_page(self, sign: int) -> tuple[float, float]:
        return 0.03 if sign < 0 else 0.97 - INSET / 10, 0.025

    def blank(self, sign: int, title: str, text: str) -> None:
        corner = self.corner_of_page(sign)
        axes = sheet_axes(self.figure, (*corner, INSET / 10, INSET / 9.4), (-1, 1), (1, -1))
        Pen(axes, 72).text((0, 0), text, color=MUTED, size=8.5, align="center")
        page(self.figure, corner[0], corner[1] + INSET / 9.4 + 0.007, title, size=8.5, weight="bold")

    def detail(self, sign: int, title: str, two: _Two) -> None:
        """Two men enlarged: the rusher's straight line and ways, the blocker's reach, what of the corner is held."""
        corner, who = self.corner_of_page(sign), two.rusher
        rusher, blocker, passer = self.at(who["rusher"]), self.at(who["blocker"]), self.place[self.passer]
        rules = self.m.rules
        half = 2.3
        apart, toward = rusher - blocker, unit_of(passer - rusher)
        center = blocker + np.clip((apart + (rules.reach + 0.8) * toward) / 2, -0.9, 0.9)
        axes = sheet_axes(
            self.figure,
            (*corner, INSET / 10, INSET / 9.4),
            (center[0] - half, center[0] + half),
            (center[1] + half, center[1] - half),
        )
        pen = Pen(axes, INSET * 72 / (2 * half))
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
        ways = {which: self.scene.way(self.k, who["rusher"], which) for which in WAYS}
        for which, way in ways.items():
            if len(way) and (which == "outside" or two is self.two):
                color = EXPOSURE(two.exposure[which])
                pen.axes.plot(*way.T, color=color, linewidth=3.2, zorder=3, gid=f"detail_{which}_{two.name}")
                pen.busy(way)
        pen.line([rusher, passer], color=INK, width=0.9, style=(0, (1, 2)), z=3, gid=f"straight_{two.name}")
        for taken in (np.stack([rusher, passer]), self.place[self.wall]):
            pen.busy(taken)
        self.corner(pen, two, rusher, blocker, passer)
        for i, man in enumerate(self.play.men):
            if not np.isnan(self.place[i, 0]) and pen.holds(self.place[i], 0.2):
                pen.man(man, self.place[i], self.label[i], active=self.scene.active(i, self.k))
        pen.write_labels()
        page(self.figure, corner[0], corner[1] + INSET / 9.4 + 0.007, title, size=8.5, weight="bold")
        page(
            self.figure,
            corner[0] + INSET / 10,
            corner[1] + INSET / 9.4 + 0.007,
            f"{self.called(who['rusher'])} {who['blocker_range']:.2f} yd from {self.called(who['blocker'])}; 1 yd grid",
            size=7.5,
            color=MUTED,
            align="right",
        )

    def corner(self, pen: Pen, two: _Two, rusher: Vector, blocker: Vector, passer: Vector) -> None:
        """Across the rusher's straight line, from the blocker's centre outward: short edge, then the corner."""
        if two.sign == 0:
            pen.label(blocker, MAN + 0.1, "no corner: he is of no side", size=8.5, color=INK, prefer=(0, 1))
            return
        toward = unit_of(passer - rusher)
        outward = two.sign * np.array([toward[1], -toward[0]])
        reach, held, short = self.m.rules.reach, two.held, two.short
        rim, line = blocker + outward * reach, blocker + outward * (reach - held)
        passes = float(np.clip(outward @ (rusher - blocker), -reach, reach))
        if abs(passes - (reach - held)) > 1e-6:  # past him, or no longer before him: his corner is nowhere on the line
            gone = f"corner gone, short edge {short:.2f}" if two.shows_short_edge else "corner gone"
            text = gone if held == 0 else "past him inside"
            pen.label(blocker, MAN + 0.1, text, size=8.5, color=INK, prefer=(float(outward[0]), float(outward[1])))
            return
        shift = toward * (reach + 0.3)
        if held > 0:
            pen.dimension(line, rim, shift, f"corner held {held:.2f}", f"corner_held_{two.name}", beyond=outward)
        if two.shows_short_edge and short > 0:
            pen.dimension(blocker, line, shift, f"short edge {short:.2f}", f"short_edge_{two.name}", beyond=-outward)

    def caption(self) -> None:
        row = self.row
        x, y, step = 0.31, 0.292, 0.0172
        for k, line in enumerate(CAUTION):
            page(self.figure, x, 0.0435 - step * k, line, size=8, style="italic")
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
            page(self.figure, x + 0.20 * column, at, title, size=8, color=MUTED)
            page(self.figure, x + 0.20 * column + 0.185, at, figure_text(row[name], unit), size=8, align="right")
        if self.ok:
            self.edge_table(x, y - 3.5 * step, step)

    def edge_table(self, x: float, y: float, step: float) -> None:
        row = self.row
        edges = {side.name: side for side in self.sides}

        def attacked(side: str) -> bool:
            return side in edges and bool(text_of(edges[side].edge["rusher"]))

        def cell(side: str, name: str, unit: str = "") -> str:
            return figure_text(edges[side].edge[name], unit) if side in edges and attacked(side) else "—"

        def width(side: str) -> str:
            return figure_text(edges[side].edge["edge_width"], "yd") if side in edges else "—"

        def man(side: str, name: str) -> str:
            player = text_of(edges[side].edge[name]) if side in edges else ""
            if not player:
                return "nobody" if side in edges else "—"
            label = self.called(player)
            said = label if label == player else f"{label}  {player}"
            if name == "rusher" and is_free(edges[side].edge):
                return cut_short(f"{label} {free_of(self.called(edges[side].edge['edge_man']), True)}", 22)
            return cut_short(said, 20)

        def short(side: str) -> str:
            if attacked(side) and is_free(edges[side].edge):
                return "nobody's"
            if attacked(side) and not edges[side].shows_short_edge:
                return f"exposure under {SHOWN_FROM}"
            return cell(side, "short_edge", "yd")

        def held(side: str) -> str:
            if not attacked(side):
                return "—"
            edge = edges[side].edge
            if is_free(edge):
                return "nobody has him"
            return f"{'engaged' if edge['engaged'] else 'not engaged'}, {edge['helpers']} helping"

        lines = [
            ("", "left", "right"),
            ("exposure", figure_text(row["exposure_left"]), figure_text(row["exposure_right"])),
            ("edge set by", man("left", "edge_man"), man("right", "edge_man")),
            ("rusher", man("left", "rusher"), man("right", "rusher")),
            ("", held("left"), held("right")),
            ("edge width", width("left"), width("right")),
            ("corner held", cell("left", "corner_held", "yd"), cell("right", "corner_held", "yd")),
            ("short edge", short("left"), short("right")),
            ("way round him", cell("left", "outside_time", "s"), cell("right", "outside_time", "s")),
            ("exposure inside", figure_text(row["exposure_inside"]), ""),
        ]
        for k, (title, left, right) in enumerate(lines):
            weight = "bold" if k == 0 else "normal"
            page(self.figure, x, y - step * k, title, size=8, color=MUTED)
            page(self.figure, x + 0.1, y - step * k, left, size=8, weight=weight)
            page(self.figure, x + 0.25, y - step * k, right, size=8, weight=weight)
