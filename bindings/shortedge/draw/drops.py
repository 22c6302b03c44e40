"""What the depth of a drop asks: the curves of a recorded play, and the break-even depths of a still frame."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib import patheffects
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap

from ..base.vocabulary import SIDES
from ..tell.labels import CAUTION, Row, Vector, cut_short, figure_text, labels, rows_of, text_of
from ..tell.words import SHOWN_FROM
from .paper import heading, note_at, page, quiet, shade_key
from .style import CARD, FONT, INK, MUTED, PAPER, WALL, Drawing

if TYPE_CHECKING:
    from ..measures.drops import BreakEven, DropStudy


def drop_curves(study: DropStudy) -> Drawing:
    """What other depths of the drop would have asked, left and right, the depth actually taken marked.

    A solid line is of the moment of the greatest exposure, to the passer where he then is; a dotted one of the moment
    the figures end, with the passer on the spot.
    """
    rows = {side: [row for row in rows_of(study.table, study.play_id) if row["side"] == side] for side in SIDES}
    label: dict[str, str] = {}
    if study.game is not None:
        men = study.game.play(study.play_id)
        label = {man.player: name for man, name in zip(men.men, labels(men), strict=True)}
    taken = next(row for row in rows["left"] if row["taken"])
    figure = Drawing(figsize=(10, 12.0), dpi=110, facecolor=PAPER)
    page(
        figure,
        0.05,
        0.972,
        f"Play {cut_short(study.play_id, 40)} with another depth of the drop",
        size=15,
        weight="bold",
    )
    own = "" if math.isnan(study.drop_speed) else f", own drop speed {study.drop_speed:.1f} yd/s"
    page(
        figure,
        0.05,
        0.953,
        f"taken: {figure_text(taken['depth'], 'yd')}, top at {figure_text(taken['top_time'], 's')}{own}",
        size=9.5,
    )
    panels = (  # title, note, columns, places, the least height of the panel
        ("margin, s", "below 0 the rusher is there before the throw", ("margin",), 2, 0.5),
        ("cut-off ratio to the spot", "greatest", ("peak_cutoff_ratio",), 2, 0.5),
        ("exposure outside", "greatest; not a threat, not a probability", ("outside_exposure",), 2, 0.3),
        ("outside way, s", "", ("outside_time",), 2, 0.3),
        ("bend of that way, deg", "dotted: passer on the spot", ("outside_bend", "spot_bend"), 0, 30.0),
        ("edge width, yd", "", ("edge_width",), 2, 1.0),
        (
            "short edge, yd",
            f"solid: exposure {SHOWN_FROM} or more; dotted: passer on the spot",
            ("short_edge", "spot_short_edge"),
            2,
            0.5,
        ),
    )
    for k, (title, note, names, places, least) in enumerate(panels):
        values = np.array([row[name] for side in rows.values() for row in side for name in names], float)
        limits = _limits(values[np.isfinite(values)], k in (1, 2, 6), least)
        for side, left in (("left", 0.07), ("right", 0.55)):
            panel = figure.add_axes((left, 0.814 - 0.12 * k, 0.41, 0.083), facecolor=CARD)
            quiet(panel)
            panel.set_ylim(*limits)
            if names == ("margin",):
                panel.axhline(0, color=MUTED, linewidth=0.8, zorder=1)
            _curve(panel, rows[side], names, places)
            panel.tick_params(labelbottom=k == len(panels) - 1)
            heading(figure, panel, title, note)
            if k == 0:
                box = panel.get_position()
                page(figure, box.x0, box.y1 + 0.026, _contest(side, rows[side][0], label), size=9.5)
            if k == len(panels) - 1:
                panel.set_xlabel("depth at which the drop tops, yd", fontsize=9, fontfamily=FONT, color=INK)
    notes = (
        "Margin: from the recorded contact round the edge man's outside to the spot, less top and hold (0.65 s without",
        "a throw). All but the passer keep the tracks they ran, so nothing is said beyond the time above. The ratio is",
        "to the spot, where the drop tops. Solid: at the greatest exposure, to the passer where he then is: the same",
        "for all depths until he gathers. Dotted: at the end of that time, the passer on the spot. " + CAUTION[0],
    )
    for k, note in enumerate(notes):
        page(figure, 0.05, 0.041 - 0.0118 * k, note, size=8)
    return figure


def _contest(side: str, row: Row, label: dict[str, str]) -> str:
    edge_man, rusher = text_of(row["edge_man"]), text_of(row["rusher"])
    if not edge_man or not rusher:
        return f"{side} edge: nobody attacks it" if edge_man else f"{side} edge: no pocket up to the top"
    names = (man if man.endswith(label.get(man, "")) else f"{label[man]} {man}" for man in (edge_man, rusher))
    return f"{side} edge: {cut_short(' against '.join(names), 46)}, up to {row['until']:.2f} s"


def _limits(values: Vector, from_zero: bool, least: float) -> tuple[float, float]:
    """The range of a panel: `least` wide at least, with room for the figures written in it."""
    if not len(values):
        return 0.0, 1.0
    low, high = 0.0 if from_zero else float(values.min()), float(values.max())
    span = max(high - low, least)
    return low - (0.06 if from_zero else 0.3) * span, low + 1.35 * span


def _curve(panel: Axes, rows: Sequence[Row], names: Sequence[str], places: int) -> None:
    depth = np.array([row["depth"] for row in rows], float)
    taken = next(k for k, row in enumerate(rows) if row["taken"])
    if math.isfinite(depth[taken]):
        span = max(float(np.nanmax(depth) - np.nanmin(depth)), 1.0)
        panel.set_xlim(np.nanmin(depth) - 0.04 * span, np.nanmax(depth) + 0.04 * span)
        panel.axvline(depth[taken], color=INK, linewidth=0.9, linestyle=(0, (5, 3)), zorder=1.5, gid="taken")
    right = bool(depth[taken] > np.mean(panel.get_xlim()))
    drawn = False
    for name in names:
        spot = name.startswith("spot_")
        shown = [name != "short_edge" or row["outside_exposure"] >= SHOWN_FROM for row in rows]
        values = np.where(shown, np.array([row[name] for row in rows], float), np.nan)
        values[~np.isfinite(values)] = np.nan
        style: Any = (0, (1, 1.6)) if spot else "-"
        panel.plot(depth, values, color=WALL, linewidth=1.8, linestyle=style, gid=name)
        drawn = drawn or bool(np.isfinite(values).any())
        if not math.isfinite(values[taken]):
            continue
        panel.plot(depth[taken], values[taken], marker="o", markersize=5, color=INK, linestyle="none", zorder=4)
        leftwards = right != spot  # two figures at one depth stand to either side
        text = panel.annotate(
            f"{values[taken]:.{places}f}",
            (depth[taken], values[taken]),
            (-5 if leftwards else 5, 4),
            textcoords="offset points",
            ha="right" if leftwards else "left",
            fontsize=8,
            fontfamily=FONT,
            color=INK,
            parse_math=False,
        )
        text.set_path_effects([patheffects.withStroke(linewidth=2.2, foreground=CARD)])
    if not drawn:
        note_at(panel, panel.get_xlim()[0] + 0.2, 0.5, "no figure", align="left", over="center")


def break_even(sheet: BreakEven) -> Drawing:
    """The cut-off ratio over alignment width and depth of the drop, with the break-even depth of each speed ratio.

    Deeper is lower on the page, as on the field.
    """
    (left, right), (top, bottom) = ((float(given.min()), float(given.max())) for given in (sheet.widths, sheet.depths))
    left, right = (left, right) if right > left else (left - 0.5, right + 0.5)
    top, bottom = (top, bottom) if bottom > top else (top - 0.5, bottom + 0.5)
    figure = Drawing(figsize=(8.4, 7.4), dpi=110, facecolor=PAPER)
    page(figure, 0.06, 0.945, "Break-even depth of the drop", size=15, weight="bold")
    page(
        figure,
        0.06,
        0.915,
        "how deep the passer may go before the tackle loses the angle, by his speed as a share of the rusher's",
        size=9.5,
    )
    axes = figure.add_axes((0.09, 0.17, 0.80, 0.70), facecolor=CARD)
    wide, deep = np.meshgrid(np.linspace(max(left, 0.0), right, 121), np.linspace(top, bottom, 121))
    asked = sheet.asked(wide.ravel(), deep.ravel()).reshape(wide.shape)
    levels = np.arange(0, 1.01, 0.1)
    shades = LinearSegmentedColormap.from_list("asked", [CARD, "#b9c8cf", WALL, "#14222b"])
    axes.contourf(wide, deep, asked, levels=levels, cmap=shades, extend="max", zorder=0)
    axes.set(xlim=(left, right), ylim=(bottom, top))
    for name, spine in axes.spines.items():
        spine.set(visible=name in ("left", "bottom"), edgecolor=MUTED, linewidth=0.8)
    axes.tick_params(colors=INK, labelsize=8, length=3, width=0.7, labelfontfamily=FONT)
    axes.set_xlabel("rusher's alignment: yd outside the tackle", fontsize=9, fontfamily=FONT, color=INK)
    axes.set_ylabel("depth of the drop, yd (deeper is lower)", fontsize=9, fontfamily=FONT, color=INK)
    width = np.linspace(max(left, 0.0), right, 241)
    for share in sheet.speed_ratios:
        depth = sheet.depths_for(width, np.full(len(width), share))
        depth[~np.isfinite(depth)] = np.nan
        axes.plot(width, depth, color=INK, linewidth=1.6, zorder=3, gid=f"break_even {share:g}", clip_on=True)
        seen = np.flatnonzero((depth >= top) & (depth <= bottom))
        if len(seen):
            text = axes.annotate(
                f"{share:g}",
                (width[seen[-1]], depth[seen[-1]]),
                (5, 0),
                textcoords="offset points",
                va="center",
                fontsize=9.5,
                fontweight="bold",
                fontfamily=FONT,
                color=INK,
                parse_math=False,
                annotation_clip=False,
            )
            text.set_path_effects([patheffects.withStroke(linewidth=2.2, foreground=PAPER)])
    shade_key(figure, (0.62, 0.888, 0.27, 0.014), shades, "cut-off ratio asked", levels[:-1] + 0.05)
    tackle, passer = (f"({at[0]:g}, {at[1]:g})" for at in (sheet.tackle, sheet.passer))
    notes = (
        "Line: break-even depth for that speed ratio. Shade: the cut-off ratio asked at that width and depth.",
        f"Tackle at {tackle}, rusher at v {sheet.rusher_depth:g}, passer straight back from {passer}: u, v in yd.",
        "A still frame at the snap's positions: nobody moves in it, so it is only an ordering. " + CAUTION[0],
    )
    for k, note in enumerate(notes):
        page(figure, 0.06, 0.072 - 0.019 * k, note, size=8)
    page(figure, 0.9, 0.85, "speed ratio", size=8)
    return figure
