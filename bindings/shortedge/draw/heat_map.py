"""Where short edges opened: a heat over the play frame, of a game or of one man."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.patches import Circle, Rectangle

from .. import _core
from ..base.tables import shown
from ..measures.results import seconds_of, stretches
from ..tell.words import SHORT, SHOWN_FROM
from .pen import CARD, CAUTION, FAINT, FONT, INK, MUTED, PAPER, Drawing, Pen, Vector, cut_short, page, sheet_axes

if TYPE_CHECKING:
    from ..measures.results import Measures

SPREAD = 0.6  # yd, standard deviation of the smoothing
HEAT = LinearSegmentedColormap.from_list("heat", [CARD, "#b9cad1", "#5f8294", "#1f3a47"])
LINE = ("LT", "LG", "C", "RG", "RT")


class Opening(NamedTuple):
    """A stretch in which one edge was short: where its man stood in each frame, and how long each frame lasts."""

    play: str
    side: str
    man: str
    path: Vector  # (frames, 2)
    seconds: Vector  # (frames,)


def openings(m: Measures, player: str | None = None) -> list[Opening]:
    """Every stretch of frames up to the throw with exposure 0.2 or more and a short edge of 0.5 yd or more, of one
    side and one man who sets the edge; `player`: those of that man."""
    edges = m.coded["edges"]
    short = (edges["exposure"] >= SHOWN_FROM) & (edges["short_edge"] >= SHORT)
    if player is not None:
        short &= edges["edge_man"] == m.player_ids.index(player)
    found = []
    for code in np.unique(edges["play"][short]).tolist():
        ready = m.game.play(m.play_ids[code])
        slot = {man.player: i for i, man in enumerate(ready.men)}
        seconds = seconds_of(ready.time)
        here = np.flatnonzero(short & (edges["play"] == code))
        frames = np.searchsorted(ready.time, edges["time"][here] - 1e-9)
        until = math.inf if math.isnan(ready.throw_time) else ready.throw_time + 1e-6
        for key in sorted({(int(edges["side"][row]), int(edges["edge_man"][row])) for row in here}):
            mine = (edges["side"][here] == key[0]) & (edges["edge_man"][here] == key[1])
            flags = np.zeros(len(ready.time), bool)
            flags[frames[mine & (edges["time"][here] <= until)]] = True
            side, man = ("left", "right")[key[0]], m.player_ids[key[1]]
            for start, end in stretches(flags):
                path = ready.place[start:end, slot[man]]
                found.append(Opening(ready.id, side, man, path, seconds[start:end]))
    return found


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


def spread(one: Opening, u: Vector, v: Vector) -> Vector:
    """Seconds a square yard on the grid: each frame's seconds, normally spread about where he stood."""
    wide = np.exp(-0.5 * ((u[None] - one.path[:, :1]) / SPREAD) ** 2)
    long = np.exp(-0.5 * ((v[None] - one.path[:, 1:]) / SPREAD) ** 2)
    seconds: Vector = (one.seconds[:, None] * long).T @ wide / (2 * math.pi * SPREAD**2)
    return seconds


def line_at_snap(measures: Sequence[Measures]) -> dict[str, Vector]:
    """Where the line stood at the snap, by medians."""
    stood: dict[str, list[Vector]] = {}
    for m in measures:
        for play in m.game.measured():
            ready = m.game.play(play)
            for man, at in zip(ready.men, ready.place[0], strict=True):
                if man.slot in LINE and not np.isnan(at[0]):
                    stood.setdefault(man.slot, []).append(at)
    return {slot: np.median(places, axis=0) for slot, places in stood.items()}
