"""One man's reps side by side, all laid with him at the same point at first contact."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.collections import LineCollection

from .. import _core
from ..base.text import shown
from ..base.vocabulary import OF_A_PAIR
from ..tell.labels import CAUTION, cut_short
from ..tell.scene import Scene
from .paper import exposure_key, page, sheet_axes
from .pen import Pen
from .style import EXPOSURE, FAINT, INK, MUTED, PAPER, WALL, Drawing

if TYPE_CHECKING:
    from ..measures.reps import Reps
    from ..measures.results import Measures

MOST = 48
ACROSS = 7.0  # yd shown


def aligned(m: Measures, reps: Reps, player: str) -> Drawing:
    """Every rep of one protector that had contact, a small frame each, laid so that he stands at the cross at contact.

    His path is the blue line, from the snap; his rusher's is coloured by exposure round the outside in the frames in
    which he has him, grey in the others; the dash is the way from the rusher to the passer at the end.
    The first 48; in the order of the plays. InputError when he has no rep.
    """
    rows = [row for row in reps.arrow("reps").to_pylist() if row["protector"] == player and row["rusher"]]
    if not rows:
        raise _core.InputError(f"no rep of protector {shown(player)} in {shown(m.game_name)}")
    met = [row for row in rows if not math.isnan(row["contact_time"])]
    shown_rows = met[:MOST]
    columns = min(6, max(3, math.ceil(math.sqrt(len(shown_rows) * 1.4))))
    lines = max(1, math.ceil(len(shown_rows) / columns))
    cell_w, cell_h, head = 1.82, 1.95, 1.0
    size = (columns * cell_w + 0.5, lines * cell_h + head + 0.45)
    figure = Drawing(figsize=size, dpi=110, facecolor=PAPER)

    def at(x: float, y: float) -> tuple[float, float]:
        return x / size[0], 1 - y / size[1]

    page(
        figure, *at(0.25, 0.38), f"{cut_short(player, 40)}: reps laid together at first contact", size=13, weight="bold"
    )
    page(figure, *at(0.25, 0.6), _counted(rows, met, shown_rows), size=8.5)
    page(figure, *at(0.25, 0.8), CAUTION[0], size=8, style="italic")
    exposure_key(figure, ((size[0] - 1.75) / size[0], 1 - 0.72 / size[1], 1.5 / size[0], 0.09 / size[1]))
    for n, row in enumerate(shown_rows):
        line, column = divmod(n, columns)
        left, bottom = 0.25 + column * cell_w, size[1] - head - (line + 1) * cell_h + 0.12
        box = (left / size[0], bottom / size[1], (cell_w - 0.12) / size[0], (cell_h - 0.42) / size[1])
        _rep(figure, box, size, m, row)
    page(figure, *at(0.25, size[1] - 0.12), _KEY, size=8)
    return figure


_KEY = (
    "Blue: he, from the snap. Coloured: his rusher, by exposure round the outside while he has him. "
    "Cross: contact. Dot: the end of the rep. 1 yd grid."
)


def _counted(rows: Sequence[Any], met: Sequence[Any], shown_rows: Sequence[Any]) -> str:
    count = {name: sum(row["outcome"] == name for row in rows) for name in OF_A_PAIR}
    said = f"{len(rows)} rep{'s' * (len(rows) > 1)}: {count['held']} held, {count['beat']} beaten, "
    said += f"{count['driven']} driven back" + (f", {count['help']} helping" if count["help"] else "")
    if len(met) < len(rows):
        said += f"; {len(rows) - len(met)} without contact are not drawn"
    if len(shown_rows) < len(met):
        said += f"; the first {len(shown_rows)} are drawn"
    return said + "."


def _rep(
    figure: Drawing,
    box: tuple[float, float, float, float],
    size: tuple[float, float],
    m: Measures,
    row: Mapping[str, Any],
) -> None:
    scene = Scene(m, row["play"])
    his, other = scene.code[row["protector"]], scene.code[row["rusher"]]
    contact, end = scene.nearest(row["contact_time"]), scene.last(row["end"])
    center = scene.place[contact, his]
    high = ACROSS * box[3] * size[1] / (box[2] * size[0])
    axes = sheet_axes(figure, box, (-ACROSS / 2, ACROSS / 2), (0.62 * high, -0.38 * high))
    pen = Pen(axes, box[2] * size[0] * 72 / ACROSS)
    for step in range(-4, 8):
        pen.line([(step, -9), (step, 9)], color=FAINT, width=0.3, z=0)
        pen.line([(-9, step), (9, step)], color=FAINT, width=0.3, z=0)
    pen.line([(-9, -center[1]), (9, -center[1])], color=INK, width=0.8, z=0.5)
    until = max(end, contact) + 1
    path, way = scene.place[:until, his] - center, scene.place[:until, other] - center
    pen.line(path, color=WALL, width=1.8, z=3, gid="protector")
    colors = [_color(scene, k, row) for k in range(until - 1)]
    segments = np.stack([way[:-1], way[1:]], axis=1)
    axes.add_collection(LineCollection(list(segments), colors=colors, linewidths=1.8, zorder=4, capstyle="round"))
    for mark in (path[-1], way[-1]):
        axes.plot(*mark, marker="o", markersize=3.2, color=INK, zorder=6)
    passer = scene.place[until - 1, scene.passer] - center
    pen.line([way[-1], passer], color=MUTED, width=0.7, style=(0, (3, 2)), z=2)
    axes.plot(0, 0, marker="+", markersize=9, markeredgewidth=1.1, color=INK, zorder=5)
    lost = {"beat": "beaten", "driven": "driven"}.get(row["outcome"], row["outcome"])
    side = f" {row['beat_side']}" if row["outcome"] == "beat" and row["beat_side"] else ""
    technique = f", {row['technique']}" if row["technique"] else ""
    top = box[1] + box[3] + 0.03 / size[1]
    title = page(figure, box[0], top, f"{cut_short(row['play'], 12)}{technique}", size=7.5)
    title.set_gid("rep")
    weight = "normal" if row["outcome"] == "held" else "bold"
    page(figure, box[0] + box[2], top, f"{lost}{side}", size=7.5, weight=weight, align="right")


def _color(scene: Scene, k: int, row: Mapping[str, Any]) -> Any:
    seen = scene.rushers[scene.frames[k]["time"]].get(row["rusher"])
    if seen is None or seen["blocker"] != row["protector"] or math.isnan(seen["outside_exposure"]):
        return MUTED
    return EXPOSURE(seen["outside_exposure"])
