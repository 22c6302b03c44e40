"""A pen that draws men, lines, dimensions and labels in yards on one pair of axes."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib import patheffects
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Polygon, Rectangle

from ..tell.labels import Vector
from ..tell.words import SHOWN_FROM as SHOWN_FROM
from .style import CARD, FONT, INK, MUTED

if TYPE_CHECKING:
    from ..game.game import Man


MAN = 0.37  # yd, radius of an O
LETTERS = 0.62  # points of the letters in an O a point of its radius
SMALLEST = 5.5  # points, of letters in an O


class Pen:
    """Draws on one axes in yards, keeps what is taken, and puts labels where there is room."""

    def __init__(self, axes: Axes, points_per_yard: float) -> None:
        self.axes, self.scale = axes, points_per_yard
        self.radius = max(MAN, SMALLEST / (LETTERS * points_per_yard))  # yd, of an O: its letters stay readable
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
        left, air = at[0] - {"left": 0.0, "center": 0.5, "right": 1.0}[align] * width, 0.4 * size / self.scale
        self.taken.append((left - air, left + width + air, at[1] - height / 2, at[1] + height / 2))
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
        self.taken.append((at[0] - self.radius, at[0] + self.radius, at[1] - self.radius, at[1] + self.radius))
        if man.unit == "defense":
            arm = 0.62 * self.radius
            for way in (1, -1):
                self.line(
                    [(at[0] - arm, at[1] - way * arm), (at[0] + arm, at[1] + way * arm)],
                    color=color,
                    width=2.2 if active else 1.4,
                    z=6,
                )
            self.label(
                at,
                self.radius + 0.02,
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
            shape = Rectangle(
                (at[0] - 0.9 * self.radius, at[1] - 0.9 * self.radius), 1.8 * self.radius, 1.8 * self.radius
            )
        else:
            shape = Circle((at[0], at[1]), self.radius)
        shape.set(facecolor=face, edgecolor=edge, linewidth=1.5 if active else 1.0, zorder=5)
        self.axes.add_patch(shape)
        if ringed:
            self.axes.add_patch(
                Circle(
                    (at[0], at[1]),
                    self.radius + 0.12,
                    facecolor="none",
                    edgecolor=edge,
                    linewidth=1.0,
                    zorder=5,
                    gid="edge_man",
                )
            )
        size = min(8.0, LETTERS * self.scale * self.radius)
        if len(label) <= 2:
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
            self.label(at, self.radius + 0.02, label, size=8 if active else 7, color=color, prefer=(0, 1))

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
            for angle in range(0, 360, 15):
                toward = np.array([math.sin(math.radians(angle)), -math.cos(math.radians(angle))])
                for farther in (0.0, 0.3, 0.6, 0.9, 1.3):
                    spot = at + toward * (away + farther + np.abs(toward) @ (width / 2, height / 2))
                    box = (spot[0] - width / 2, spot[0] + width / 2, spot[1] - height / 2, spot[1] + height / 2)
                    off = box[0] < left or box[1] > right or box[2] < top or box[3] > bottom
                    cost = overlap(box, np.array(self.taken)) / (width * height)
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
                self.line(line, color=MUTED, width=0.6, z=3)
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


def unit_of(way: Vector) -> Vector:
    """The direction of a vector; straight back from the line for none."""
    length = float(np.hypot(*way))
    return way / length if length > 1e-9 else np.array([0.0, 1.0])


def overlap(box: tuple[float, float, float, float], others: Vector) -> float:
    """yd^2, what boxes (rows of left, right, upper, lower) take of this one in all."""
    left, right, upper, lower = others.T
    wide = np.minimum(box[1], right) - np.maximum(box[0], left)
    high = np.minimum(box[3], lower) - np.maximum(box[2], upper)
    return float((wide.clip(0) * high.clip(0)).sum())
