"""Where short edges opened: a heat over the play frame, of a game or of one man."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.patches import Circle, Rectangle

from .. import _core
from ..base.text import shown
from ..tell.labels import CAUTION, cut_short
from ..tell.openings import line_at_snap, openings, spread
from .paper import page, sheet_axes
from .pen import Pen
from .style import CARD, FAINT, FONT, INK, MUTED, PAPER, Drawing

if TYPE_CHECKING:
    from ..measures.results import Measures

HEAT = LinearSegmentedColormap.from_list("heat", [CARD, "#b9cad1", "#5f8294", "#1f3a47"])


def heat(measures: Sequence[Measures], player: str | None = None) -> Drawing:
    """Where the men who set the edge stood while it was short, of one game or several: seconds a square yard, summed
    over the plays and smoothed over 0.6 yd. A ring is where one opened. The line is where it stood at the snap, by
    medians. InputError for an unknown player.
    """
    if player is not None and not any(player in m.player_ids for m in measures):
        raise _core.InputError(f"no player {shown(player)} in {', '.join(shown(m.game_name) for m in measures)}")
    found = [one for m in measures if player is None or player in m.player_ids for one in openings(m, player)]
    plays = sum(len(m.game.measured()) for m in measures)
    size = (9.0, 6.9)
    figure = Drawing(figsize=size, dpi=110, facecolor=PAPER)
    whose = f", {cut_short(player, 40)}" if player is not None else ""
    games = cut_short(measures[0].game_name, 40) if len(measures) == 1 else f"{len(measures)} games"
    page(figure, 0.04, 0.945, f"Where short edges opened: {games}{whose}", size=14, weight="bold")
    seconds = float(sum(one.seconds.sum() for one in found))
    count = f"{len(found)} openings in {len({(one.play) for one in found})} of {plays} plays, {seconds:.1f} s in all."
    page(figure, 0.04, 0.912, f"{count}  {CAUTION[0]}", size=9)

    across, top = 18.0, -2.0
    box = (0.075, 0.075, 0.8, 0.815)
    high = across * box[3] * size[1] / (box[2] * size[0])
    axes = sheet_axes(figure, box, (-across / 2, across / 2), (top + high, top))
    pen = Pen(axes, box[2] * size[0] * 72 / across)
    u, v = np.linspace(-across / 2, across / 2, 181), np.linspace(top, top + high, int(10 * high) + 1)
    density = sum((spread(one, u, v) for one in found), np.zeros((len(v), len(u))))
    most = max(float(density.max()), 1e-9)
    image = axes.imshow(
        density, cmap=HEAT, vmin=0, vmax=most, extent=(u[0], u[-1], v[-1], v[0]), aspect="auto", zorder=0.2
    )
    if found:
        levels = most * np.array([0.25, 0.5, 0.75])
        axes.contour(u, v, density, levels=levels, colors=[INK], linewidths=0.5, alpha=0.6, zorder=1)
    axes.set(xlim=(-across / 2, across / 2), ylim=(top + high, top))
    for line in range(math.ceil(top), math.floor(top + high) + 1):
        if line % 5 == 0 and line:
            pen.line([(-across / 2, line), (across / 2, line)], color=FAINT, width=0.8, z=0.5)
            pen.margin(line, f"{line} yd")
    pen.line([(-across / 2, 0), (across / 2, 0)], color=INK, width=1.4, z=1)
    pen.margin(0, "line of\nscrimmage")
    for name, (a, b) in line_at_snap(measures).items():
        shape = Rectangle((a - 0.3, b - 0.3), 0.6, 0.6) if name == "C" else Circle((a, b), 0.33)
        shape.set(facecolor="none", edgecolor=MUTED, linewidth=1.0, zorder=3)
        axes.add_patch(shape)
        pen.text((a, b), name, size=6.5, color=MUTED, align="center")
    for one in found:
        axes.add_patch(
            Circle(tuple(one.path[0]), 0.14, facecolor="none", edgecolor=INK, linewidth=1.0, zorder=4, gid="opening")
        )
    if not found:
        pen.text((0, 3.5), "no edge was short", size=10, color=MUTED, align="center")
    key = figure.add_axes((0.9, 0.3, 0.018, 0.4))
    bar = figure.colorbar(image, cax=key)
    bar.outline.set_visible(False)
    bar.ax.tick_params(colors=INK, labelsize=7.5, length=2, labelfontfamily=FONT)
    page(figure, 0.9, 0.715, "seconds a\nsquare yard", size=8)
    note = "Shade: where the man who set the edge stood while it was short by 0.5 yd or more. Ring: where it opened."
    page(figure, 0.075, 0.035, note, size=8, color=INK)
    return figure
