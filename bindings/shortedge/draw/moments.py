"""Six moments of one rep on a sheet: who stood where when it was decided."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from .. import _core
from ..base.text import word
from ..tell.labels import CAUTION, cut_short, text_of
from ..tell.scene import WAYS, Scene
from ..tell.words import SHOWN_FROM
from .paper import exposure_key, page, sheet_axes
from .pen import Pen
from .style import EXPOSURE, FAINT, INK, MUTED, PAPER, POCKET, WALL, Drawing

if TYPE_CHECKING:
    from ..measures.results import Measures

SHOWN = 6
# What a moment is called and where its time stands in the row of the rep; those a sheet may lack come last.
OF_REP = {
    "beat": "beat_time",
    "contact": "contact_time",
    "most exposed outside": "peak_outside_time",
    "pressure": "pressure_time",
    "hips opened": "hips_time",
}


def rep_sheet(m: Measures, rep: Mapping[str, Any]) -> Drawing:
    """Six moments of one rep: the snap, contact, the top of the drop, the beat, and what else there is, in order.

    rep: a row of Reps.table, as a dict or a row of a table. Each frame shows the pocket, the rusher's two ways round
    this man, and the paths since the moment before. InputError for a row without a protector and a rusher.
    """
    play, protector, rusher = (word(rep[name]) for name in ("play", "protector", "rusher"))
    if not protector or not rusher or protector == "nan" or rusher == "nan":
        raise _core.InputError("rep: found a row without a protector or a rusher; accepted: a row of one against one")
    return _RepSheet(Scene(m, play), rep, protector, rusher).figure


class _RepSheet:
    def __init__(self, scene: Scene, rep: Mapping[str, Any], protector: str, rusher: str) -> None:
        self.scene, self.rep = scene, rep
        self.protector, self.rusher = protector, rusher
        self.two = [scene.code[protector], scene.code[rusher]]
        self.size = (11.0, 8.7)
        self.figure = Drawing(figsize=self.size, dpi=110, facecolor=PAPER)
        self.heading()
        moments = self.moments()
        box = self.window([k for _, k in moments])
        for n, (what, k) in enumerate(moments):
            self.moment(n, what, k, moments[n - 1][1] if n else 0, box)

    def heading(self) -> None:
        rep, called = self.rep, [self.scene.label[i] for i in self.two]
        names = [name if name == label else f"{label} {name}" for name, label in zip(self.who(), called, strict=True)]
        ended = {"beat": "beaten", "driven": "driven back"}.get(rep["outcome"], rep["outcome"])
        side = word(rep["beat_side"]) if rep["outcome"] == "beat" else ""
        how = f" {side}" if side in ("outside", "inside") else f" on his {side}" if side in ("left", "right") else ""
        out = ", ball out before pressure" if rep["ball_out"] else ""
        title = f"Play {cut_short(self.scene.play.id, 30)}: {names[0]} on {names[1]}"
        page(self.figure, 0.03, 0.955, cut_short(title, 78), size=14, weight="bold")
        page(self.figure, 0.03, 0.928, f"{ended}{how}{out}.  {'  '.join(CAUTION)}", size=9)
        exposure_key(self.figure, (0.80, 0.962, 0.17, 0.012))

    def who(self) -> list[str]:
        return [cut_short(self.protector, 24), cut_short(self.rusher, 24)]

    def moments(self) -> list[tuple[str, int]]:
        """What and which frame, in order of time, at most six: what happened, then the middles of the longest waits."""
        play, rep, last = self.scene.play, self.rep, len(self.scene.time) - 1
        end = float(rep["end"])
        known = [
            ("the snap", 0.0),
            ("beat", float(rep["beat_time"])),
            ("contact", float(rep["contact_time"])),
            *((("picks him up", float(rep["start"])),) if rep["start"] > 0.3 else ()),
            ("the throw" if not math.isnan(play.throw_time) else "end of the rep", _first(play.throw_time, end)),
            ("top of the drop", play.top_time),
            *((what, float(rep[name])) for what, name in OF_REP.items() if what not in ("beat", "contact")),
        ]
        found: dict[int, str] = {}
        for what, time in known:
            if not math.isnan(time) and len({*found, k := self.scene.nearest(time)}) <= SHOWN:
                found[k] = f"{found[k]}, {what}" if k in found else what
        while len(found) < min(SHOWN, last + 1):
            frames = sorted(found)
            gaps = [(after - before, before) for before, after in zip(frames, [*frames[1:], last], strict=True)]
            wide, before = max(gaps[:-1] or gaps)
            if wide < 2:
                break
            found[before + wide // 2] = ""
        return [(found[k], k) for k in sorted(found)]

    def window(self, frames: list[int]) -> tuple[float, float, float, float]:
        """Left, right, top and bottom that hold both men and the passer in all six, in yd."""
        ratio = self.box_size()[1] / self.box_size()[0]
        there = self.scene.place[np.ix_(frames, [*self.two, self.scene.passer])].reshape(-1, 2)
        (left, top), (right, bottom) = np.nanmin(there, axis=0) - 1.3, np.nanmax(there, axis=0) + 1.3
        top = min(top, -1.5)
        middle, across = (left + right) / 2, max(right - left, (bottom - top) / ratio)
        return middle - across / 2, middle + across / 2, top, top + across * ratio

    def box_size(self) -> tuple[float, float]:
        """Inches."""
        return (self.size[0] * 0.94 - 2 * 0.18) / 3, 3.2

    def moment(self, n: int, what: str, k: int, before: int, window: tuple[float, float, float, float]) -> None:
        wide, high = self.box_size()
        row, column = divmod(n, 3)
        left = 0.03 * self.size[0] + column * (wide + 0.18)
        bottom = self.size[1] - 1.08 - high - row * (high + 0.7)
        place = (left / self.size[0], bottom / self.size[1], wide / self.size[0], high / self.size[1])
        axes = sheet_axes(self.figure, place, window[:2], (window[3], window[2]))
        title = f"{self.scene.time[k]:.2f} s" + (f"   {cut_short(what, 36)}" if what else "")
        page(self.figure, place[0], place[1] + place[3] + 0.006, title, size=9.5, weight="bold")
        for line, text in enumerate(self.figures(k)):
            page(self.figure, place[0], place[1] - 0.02 - 0.0165 * line, text, size=8, color=INK)
        pen = Pen(axes, wide * 72 / (window[1] - window[0]))
        for v in range(math.ceil(window[2]), math.floor(window[3]) + 1):
            if v % 5 == 0 and v:
                pen.line([(window[0], v), (window[1], v)], color=FAINT, width=0.8, z=0)
                self.yard(axes, k, v, window)
        pen.line([(window[0], 0), (window[1], 0)], color=INK, width=1.3, z=1)
        wall, ring = self.scene.pocket(k)
        if len(ring):
            axes.add_patch(Polygon(ring, closed=True, facecolor=POCKET, edgecolor=WALL, linewidth=0.6, zorder=0.5))
            pen.line(self.scene.place[k, wall], color=WALL, width=1.6, z=2)
        for i in (*self.two, self.scene.passer):
            path = self.scene.place[before : k + 1, i]
            pen.line(path, color=WALL if i == self.two[0] else INK, width=1.0, style=(0, (1, 1.6)), z=2.5)
        self.ways(pen, k)
        for i, man in enumerate(self.scene.play.men):
            if self.scene.seen(i, k) and pen.holds(self.scene.place[k, i], 0.3):
                active = self.scene.active(i, k) and (i in self.two or man.unit == "offense")
                pen.man(man, self.scene.place[k, i], self.scene.label[i], active=active, ringed=i == self.two[0])
        pen.write_labels()

    def yard(self, axes: Axes, k: int, v: int, window: tuple[float, float, float, float]) -> None:
        """The name of a line of the field, at the border where nobody stands on it; at neither if both are taken."""
        there = self.scene.place[k]
        for x, align, way in ((window[0] + 0.1, "left", 1), (window[1] - 0.1, "right", -1)):
            near = (np.abs(there[:, 0] - x - 0.6 * way) < 1.3) & (np.abs(there[:, 1] - v + 0.2) < 0.8)
            if not near.any():
                axes.text(x, v, f"{v} yd", fontsize=6.5, color=MUTED, va="bottom", ha=align, parse_math=False)
                return

    def ways(self, pen: Pen, k: int) -> None:
        """His rusher's ways, outside and inside, while this man has him."""
        row = self.row(k)
        if row is None or text_of(row["blocker"]) != self.protector:
            return
        for which in WAYS:
            way = self.scene.way(k, self.rusher, which)
            if len(way):
                name = f"{which}_exposure"
                pen.axes.plot(
                    *way.T, color=EXPOSURE(row[name]), linewidth=2.4, solid_capstyle="round", zorder=4, gid=name
                )
                pen.busy(way)

    def row(self, k: int) -> dict[str, Any] | None:
        return self.scene.rushers[self.scene.frames[k]["time"]].get(self.rusher)

    def figures(self, k: int) -> tuple[str, ...]:
        """The tables' figures of this rusher in this frame, a line each."""
        row = self.row(k)
        if row is None:
            return ("not counted as a rusher yet",)
        if text_of(row["blocker"]) != self.protector:
            return (f"{self.scene.has(k, self.rusher)} has him now",)
        said = [f"{name} {row[f'{name}_exposure']:.2f}" for name in WAYS]
        first = f"exposure {', '.join(text for text in said if not text.endswith('nan'))}"
        if row["outside_exposure"] >= SHOWN_FROM and not math.isnan(row["short_edge"]):
            first += f"; short edge {row['short_edge']:.2f} yd"
        apart = "engaged" if row["engaged"] else f"{row['blocker_range']:.1f} yd apart"
        return first, f"{apart}, {row['helpers']} helping"


def _first(time: float, other: float) -> float:
    return other if math.isnan(time) else time
