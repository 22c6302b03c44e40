"""What stands on a sheet beside what is drawn: axes, titles, notes, keys."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.figure import Figure

from ..tell.labels import Vector
from .style import CARD, EXPOSURE, FAINT, FONT, INK, MUTED


def sheet_axes(
    figure: Figure, box: tuple[float, float, float, float], across: tuple[float, float], along: tuple[float, float]
) -> Axes:
    axes = figure.add_axes(box, facecolor=CARD)
    axes.set(xlim=across, ylim=along, xticks=[], yticks=[])
    for spine in axes.spines.values():
        spine.set(edgecolor=FAINT, linewidth=0.8)
    return axes


def quiet(axes: Axes) -> None:
    for name, spine in axes.spines.items():
        spine.set(visible=name in ("left", "bottom"), edgecolor=MUTED, linewidth=0.8)
    axes.tick_params(colors=INK, labelsize=8, length=3, width=0.7, labelfontfamily=FONT)
    axes.grid(axis="y", color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)


def page(
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


def exposure_key(figure: Figure, box: tuple[float, float, float, float]) -> None:
    shade_key(figure, box, EXPOSURE, "ways coloured by exposure", np.linspace(0, 1, 128))


def shade_key(
    figure: Figure, box: tuple[float, float, float, float], shades: LinearSegmentedColormap, title: str, steps: Vector
) -> None:
    """What the shades from 0 to 1 mean, the title before them."""
    axes = figure.add_axes(box)
    axes.imshow(steps[None], cmap=shades, aspect="auto", extent=(0, 1, 0, 1), vmin=0, vmax=1)
    axes.set(yticks=[], xticks=[0, 0.5, 1])
    axes.tick_params(colors=INK, labelsize=7.5, length=2, pad=1, labelfontfamily=FONT)
    for spine in axes.spines.values():
        spine.set_visible(False)
    page(figure, box[0] - 0.008, box[1] - 0.002, title, size=8, align="right")


def heading(figure: Figure, panel: Axes, title: str, note: str) -> None:
    """A panel's title, and a note at its right end."""
    box = panel.get_position()
    text = page(figure, box.x0, box.y1 + 0.006, title, size=9, weight="bold")
    text.set_gid("heading")
    page(figure, box.x1, box.y1 + 0.006, note, size=7.5, color=MUTED, align="right")


def note_at(panel: Axes, x: float, y: float, text: str, *, align: str, over: str, **given: Any) -> None:
    """A text at a value across, and at a share of the panel's height."""
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
