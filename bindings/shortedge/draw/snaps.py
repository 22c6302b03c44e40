"""A game's snaps on a sheet."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from ..tell.labels import cut_short
from .paper import page, sheet_axes
from .pen import Pen
from .style import INK, PAPER, Drawing

if TYPE_CHECKING:
    from ..game.game import Game


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
    title = f"{cut_short(game.name, 40)}: {text}" if game.name else text
    hint = "Check: the passer stands below the line, LT is on the left, X faces O."
    page(figure, 0.2 / size[0], 1 - 0.32 / size[1], title, size=12, weight="bold")
    page(figure, 0.2 / size[0], 1 - 0.55 / size[1], hint, size=8.5)
    for n, name in enumerate(plays):
        row, column = divmod(n, columns)
        left, bottom = 0.2 + column * cell_w, size[1] - head - (row + 1) * cell_h
        box = (left / size[0], bottom / size[1], (cell_w - 0.12) / size[0], (cell_h - 0.3) / size[1])
        across = 16.0
        height = across * (cell_h - 0.3) / (cell_w - 0.12)
        axes = sheet_axes(figure, box, (-across / 2, across / 2), (height - 3.4, -3.4))
        page(figure, box[0], box[1] + box[3] + 0.03 / size[1], cut_short(name, 22), size=7.5)
        pen = Pen(axes, (cell_w - 0.12) * 72 / across)
        play = game.play(name)
        pen.line([(-across, 0), (across, 0)], color=INK, width=0.8, z=0)
        for man, at in zip(play.men, play.place[0], strict=True):
            if not np.isnan(at[0]) and pen.holds(at):
                pen.small_man(man, at)
    return figure
