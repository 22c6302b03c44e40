"""One play over time."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.axes import Axes

from ..base.rows import seconds_of
from ..base.vocabulary import SIDES
from ..tell.labels import CAUTION, Row, Vector, cut_short, labels, rows_of
from ..tell.words import SHOWN_FROM
from .paper import heading, note_at, page, quiet
from .style import CARD, EXPOSURE, FAINT, FONT, INK, MUTED, PAPER, WALL, Drawing

if TYPE_CHECKING:
    from ..measures.results import Measures


def timeline(m: Measures, play: str) -> Drawing:
    """A play over time: pocket width and depth, exposure left, inside and right, short edge left and right.

    Times in s since the snap. Frames that are not ok are shaded, with their status. A short edge is drawn only where
    the exposure is 0.2 or more. Measures made with noise have its 5-95 % bands round the lines. InputError for an
    unknown play.
    """
    ready = m.game.play(play)
    frames = rows_of(m.frames, play)
    bands = rows_of(m.bands.frames, play) if m.noise else []
    edge_bands = rows_of(m.bands.edges, play) if m.noise else []
    edges = {side: [row for row in rows_of(m.edges, play) if row["side"] == side] for side in SIDES}
    label = {man.player: name for man, name in zip(ready.men, labels(ready), strict=True)}
    time = np.array([row["time"] for row in frames])
    figure = Drawing(figsize=(10, 9), dpi=110, facecolor=PAPER)
    page(figure, 0.05, 0.962, f"Play {cut_short(ready.id, 40)} over time", size=15, weight="bold")
    page(figure, 0.05, 0.941, f"{len(frames)} frames.  {'  '.join(CAUTION)}", size=9, color=INK)
    if m.noise:
        about = f"bands: 5-95 % of {m.noise.draws} draws of {m.noise.sigma:.2g} yd of noise ({m.noise.found})"
        page(figure, 0.95, 0.962, about, size=7.5, color=MUTED, align="right")

    heights = (1.1, 1.1, 0.8, 0.8, 0.8, 0.8, 0.8)
    gaps = (0.42, 0.12, 0.42, 0.06, 0.06, 0.42, 0.06)  # above each, inches
    panels: list[Axes] = []
    y = 8.2
    for height, gap in zip(heights, gaps, strict=True):
        y -= gap + height
        panel = figure.add_axes((0.09, y / 9, 0.86, height / 9), facecolor=CARD, sharex=panels[0] if panels else None)
        quiet(panel)
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
    heading(
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
    heading(
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
            note_at(
                panel,
                (time[0] + time[-1]) / 2,
                0.5,
                f"no exposure of {SHOWN_FROM} or more",
                align="center",
                over="center",
            )
        panel.set_ylabel(f"{side}, yd", fontsize=9, fontfamily=FONT, color=INK)
    heading(
        figure,
        rest[3],
        "short edge",
        f"only where the exposure is {SHOWN_FROM} or more; at most the reach, {m.rules.reach:g} yd",
    )

    _gaps(panels, time, [row["status"] for row in frames])
    moments = [("snap", 0.0), ("top of the drop", ready.top_time), ("throw", ready.throw_time)]
    _moments(panels, [(name, at) for name, at in moments if time[0] - 1e-6 <= at <= time[-1] + 1e-6])
    return figure


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
        short = cut_short(name, 16)
        if name and until - time > span * (0.008 + 0.009 * len(short)):
            note_at(panel, time + 0.004 * span, 0.97, short, align="left", over="top")


def _gaps(panels: Sequence[Axes], time: Vector, status: Sequence[str]) -> None:
    """Frames that are not ok, shaded half a step to either side, the status written in the first panel."""
    step = float(seconds_of(time)[-1])
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
            note_at(panels[0], middle, 0.5, status[start], align="center", over="center", rotation=90 * upright)
        start = k


def _moments(panels: Sequence[Axes], moments: Sequence[tuple[str, float]]) -> None:
    left, right = panels[0].get_xlim()
    for k, (name, at) in enumerate(moments):
        for panel in panels:
            panel.axvline(at, color=INK, linewidth=0.9, linestyle=(0, (5, 3)), zorder=1.5, gid=f"moment {name}")
        crowded = k + 1 < len(moments) and moments[k + 1][1] - at < 0.2 * (right - left)
        side = "right" if crowded and k else "left"
        note_at(panels[0], at, 1.24, f"{name} {at:.2f} s" if at else name, align=side, over="bottom")
