"""Formations and simulated studies: who stands where, shares over the depth of the drop, and the simulator against a
recording."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.axes import Axes

from ..game.game import Man
from ..measures.drops import depth_text
from ..simulation.check import FIGURES, UNITS, inside_text
from ..simulation.plan import CONDITIONAL, MISSING, SHARES
from ..tell.labels import cut_short
from .paper import page, quiet, sheet_axes
from .pen import Pen
from .style import CARD, FONT, INK, MUTED, PAPER, WALL, Drawing

if TYPE_CHECKING:
    from ..simulation.check import SimulatorCheck
    from ..simulation.formations import Formation
    from ..simulation.study import Simulation

COLOR = {
    "hurried": "#c07b12",
    "pressure": "#a8401c",
    "arrived": INK,
    "hips": WALL,
}  # told apart by marker and label too
MARK = {"hurried": "D", "pressure": "o", "arrived": "s", "hips": "^"}
CALLED = {"hurried": "hurried", "pressure": "pressure", "arrived": "arrival", "hips": "hips opened"}
STYLE = {"clock": "-", "grows": (0, (4, 2)), "fixed": (0, (1, 2))}
ASIDE = {"clock": 0.0, "grows": 0.06, "fixed": 0.12}  # yd, so that intervals do not hide one another
MOST_POINTS = 2000
REPS = 20  # laid over one another
DUTY: dict[str, tuple[str, Any]] = {
    "passer": (INK, "-"),
    "protector": (WALL, "-"),
    "rusher": ("#a8401c", (0, (4, 1.5))),
}


# ------------------------------------------------------------------------------------------------- a formation


def formation(f: Formation) -> Drawing:
    """Who stands where at the snap; a line from each protector to the rusher he has, dotted for a chip; arrows for the
    places a rusher runs through first."""
    figure = Drawing(figsize=(9, 5.6), dpi=110, facecolor=PAPER)
    men = [f.passer, *(one.at for one in f.protectors), *(one.at for one in f.rushers)]
    men += [point for one in f.rushers for point in one.path]
    u, v = np.array(men).T
    across = max(u.max() - u.min() + 3.0, 14.0)
    middle = (u.max() + u.min()) / 2
    width, height = 0.94 * 9, 0.74 * 5.6
    top = v.min() - 1.6
    bottom = max(v.max() + 1.4, top + across * height / width)
    across = (bottom - top) * width / height
    axes = sheet_axes(figure, (0.03, 0.12, 0.94, 0.74), (middle - across / 2, middle + across / 2), (bottom, top))
    pen = Pen(axes, width * 72 / across)
    pen.line([(middle - across / 2, 0), (middle + across / 2, 0)], color=INK, width=1.6, z=1)
    at = {one.name: one.at for one in f.rushers}
    for one in f.protectors:
        if one.man:
            style = (0, (1, 2)) if one.job == "chip" else (0, (5, 3)) if one.job == "zone" else "-"
            pen.line([one.at, at[one.man]], color=WALL, width=1.2, style=style, z=2, gid=f"has_{one.name}")
    for rusher in f.rushers:
        points = [rusher.at, *rusher.path]
        for start, end in pairwise(points):
            axes.annotate(
                "",
                end,
                start,
                arrowprops={"arrowstyle": "-|>", "color": INK, "linewidth": 1.2, "shrinkA": 4, "shrinkB": 0},
                zorder=4,
            )
    for spot, man, label in _men(f):
        pen.man(man, np.asarray(spot), label, active=True)
    pen.write_labels()
    title = f.name or "Formation"
    page(figure, 0.03, 0.92, cut_short(title, 60), size=14, weight="bold")
    free = [one.name for one in f.protectors if not one.man]
    had = {one.man for one in f.protectors if one.job != "chip"}
    nobody = [one.name for one in f.rushers if one.name not in had]
    said = [f"passer {f.takes}"]
    said += [f"free to help: {', '.join(free)}"] if free else []
    said += [f"nobody has: {', '.join(nobody)}"] if nobody else []
    page(figure, 0.03, 0.88, cut_short("   ·   ".join(said), 120), size=9.5)
    note = "Lines: who has whom (dashed: exchanged when they cross; dotted: chips and leaves). Arrows: a stunt."
    page(figure, 0.03, 0.05, note, size=7.5)
    page(figure, 0.03, 0.02, "An invented formation." if not f.name else "As they stood at the snap.", size=7.5)
    return figure


def _men(f: Formation) -> list[tuple[tuple[float, float], Man, str]]:
    def man(name: str, unit: str, role: str, slot: str = "") -> Man:
        return Man(name, unit, role, slot, "", 0, 1)

    return [
        (f.passer, man(f.passer_name, "offense", "passer"), "QB"),
        *(
            (one.at, man(one.name, "offense", "protector", one.slot), one.slot or cut_short(one.name, 10))
            for one in f.protectors
        ),
        *((one.at, man(one.name, "defense", "rusher"), cut_short(one.name, 10)) for one in f.rushers),
    ]


# ----------------------------------------------------------------------------------------------------- a study


def simulated_study(one: Simulation, beside: Simulation | None = None) -> Drawing:
    """Shares over the depth of the drop with Wilson 95 % intervals, and the peak cut-off ratio to the spot; of two
    studies side by side on the same scales."""
    both = [one] if beside is None else [one, beside]
    rows = [[row for row in each.arrow().to_pylist()] for each in both]
    figure = Drawing(figsize=(7.4 if beside is None else 12.6, 9.6), dpi=110, facecolor=PAPER)
    depths = sorted({row["depth"] for each in rows for row in each})
    low, high = (min(depths) - 0.4, max(depths) + 0.4) if depths else (0, 1)
    ticks = np.arange(math.ceil(low), high)
    high += 0.2 * (high - low) if beside is None else 0.28 * (high - low)  # room for the names
    most = max((row[f"{name}_high"] for each in rows for row in each for name in SHARES), default=1.0)
    ratios = [row["cutoff_90"] for each in both for of in _edges(each).values() for row in of]
    width = 0.84 if beside is None else 0.41
    for k, (each, found) in enumerate(zip(both, rows, strict=True)):
        left = 0.10 + 0.47 * k
        shares = figure.add_axes((left, 0.475, width, 0.365), facecolor=CARD)
        quiet(shares)
        shares.set(xlim=(low, high), ylim=(0, min(1.04, 1.1 * most)), xticks=ticks)
        _shares(shares, found)
        spot = figure.add_axes((left, 0.165, width, 0.225), facecolor=CARD)
        quiet(spot)
        spot.set(xlim=(low, high), ylim=(0, max([1.05, *ratios])), xticks=ticks)
        notes = _ratios(spot, each)
        spot.set_xlabel("depth of the drop, yd", fontsize=9, fontfamily=FONT, color=INK)
        page(figure, left, 0.85, "share of draws before the throw, with 95 % intervals", size=9, weight="bold")
        title = "peak cut-off ratio to the spot, outside men: middle, 10-90 %"
        page(figure, left, 0.40, title, size=9, weight="bold")
        for under, note in enumerate(notes[:3]):
            page(figure, left, 0.108 - 0.016 * under, cut_short(note, 105 if beside is None else 85), size=7.5)
        letters = 100 if beside is None else 90
        stands = textwrap.wrap(str(each.plan.formation)[10:-1], letters)
        if len(stands) > 2:  # as much as two lines hold
            stands = [stands[0], cut_short(" ".join(stands[1:]), letters)]
        for above, text in enumerate(reversed(stands)):
            page(figure, left, 0.884 + 0.0145 * above, text, size=8)
        page(figure, left, 0.87, _made(each), size=8)
    page(figure, 0.04, 0.955, "How deep is too deep: simulated", size=15, weight="bold")
    line = "solid: thrown by the clock; of hurried also, dashed: a throw that grows, dotted: a fixed throw"
    page(figure, 0.04, 0.933, line, size=8.5)
    what = "hurried: pressure, or thrown early because of a rusher; arrival: a rusher reached the passer"
    page(figure, 0.04, 0.917, f"{what}; hips opened: an edge man turned to run", size=7.5 if beside is None else 8.5)
    page(figure, 0.04, 0.045, CONDITIONAL, size=7.5, style="italic")
    page(figure, 0.04, 0.03, MISSING, size=7.5, style="italic")
    clock = "Past 9 yd the rise is the clock's. See the sensitivity table before reading a trend."
    page(figure, 0.04, 0.015, clock, size=7.5, style="italic")
    return figure


def _made(each: Simulation) -> str:
    plan = each.plan
    grows = f", {plan.throw_per_yard:+g} s a yard where it grows" if plan.throw_per_yard else ""
    by_clock = f"clock {plan.clock}: {plan.hold:g} s after the top"
    return f"{plan.draws} draws, seed {plan.seed}; {by_clock}; else {plan.throw:g} ± {plan.throw_sd:g} s at 7 yd{grows}"


def _shares(panel: Axes, rows: Sequence[dict[str, Any]]) -> None:
    ends: list[tuple[float, str, str]] = []
    last = 0.0
    for name in SHARES:
        for kind in STYLE if name == "hurried" else ("clock",):
            of = sorted((row for row in rows if row["throw"] == kind), key=lambda row: row["depth"])
            if not of:
                continue
            depth = np.array([row["depth"] for row in of]) + ASIDE[kind]
            share = np.array([row[name] for row in of])
            spread = [share - [row[f"{name}_low"] for row in of], [row[f"{name}_high"] for row in of] - share]
            filled = COLOR[name] if kind == "clock" else CARD
            panel.errorbar(
                depth,
                share,
                np.maximum(spread, 0),
                color=COLOR[name],
                linestyle=STYLE[kind],
                linewidth=1.5,
                elinewidth=0.9,
                capsize=2.5,
                marker=MARK[name],
                markersize=4.5,
                markerfacecolor=filled,
                gid=f"{name}_{kind}",
            )
            if kind == "clock":
                ends.append((float(share[-1]), CALLED[name], COLOR[name]))
                last = float(depth[-1])
    low, high = panel.get_ylim()
    apart = 0.05 * (high - low)
    at = -math.inf
    for end, text, color in sorted(ends):
        at = max(end, at + apart)
        panel.annotate(
            text,
            (last + 0.06, at),
            (9, 0),
            textcoords="offset points",
            ha="left",
            va="center",
            fontsize=8.5,
            fontfamily=FONT,
            fontweight="bold",
            color=color,
            parse_math=False,
        )


def _edges(each: Simulation) -> dict[str, list[dict[str, Any]]]:
    """The rows of each outside protector who has a rusher, by depth, with the throw by the clock."""
    men = [row["protector"] for row in each.break_even_arrow().to_pylist()]
    rows = each.protectors_arrow().to_pylist()
    kind = each.plan.kinds()[0]
    found = {
        man: sorted(
            (
                row
                for row in rows
                if (row["protector"], row["throw"]) == (man, kind) and math.isfinite(row["cutoff_50"])
            ),
            key=lambda row: row["depth"],
        )
        for man in men
    }
    return {man: of for man, of in found.items() if of}


def _ratios(panel: Axes, each: Simulation) -> list[str]:
    """Draws the peak cut-off ratio of the outside protectors with their break-even depths, and says what is marked."""
    panel.axhline(1, color=MUTED, linewidth=0.8, linestyle=(0, (1, 2)))
    edges = _edges(each)
    low, high = panel.get_xlim()
    even = {row["protector"]: row for row in each.break_even_arrow().to_pylist()}
    called = {
        one.name: f"{one.slot} {one.name}" for one in each.plan.formation.protectors if one.slot not in ("", one.name)
    }
    notes, marks = [], []
    for k, (man, of) in enumerate(edges.items()):
        depth = np.array([row["depth"] for row in of]) + 0.07 * (k - (len(edges) - 1) / 2)
        low_, middle, high_ = (np.array([row[f"cutoff_{q}"] for row in of]) for q in (10, 50, 90))
        color, mark = (WALL, INK, MUTED)[k % 3], ("o", "s", "^")[k % 3]
        panel.errorbar(
            depth,
            middle,
            [middle - low_, high_ - middle],
            color=color,
            linewidth=1.5,
            elinewidth=0.9,
            capsize=2.5,
            marker=mark,
            markersize=4.5,
            gid=f"cutoff_{man}",
        )
        marks.append(f"{('circles', 'squares', 'triangles')[k % 3]}: {called.get(man, man)}")
    for deep in sorted({round(row["break_even"], 2) for row in even.values() if math.isfinite(row["break_even"])}):
        if low <= deep <= high:
            panel.axvline(
                deep, color=COLOR["pressure"], linewidth=1.1, linestyle=(0, (6, 3)), gid=f"break_even {deep:g}"
            )
    for man, row in even.items():
        deep = depth_text(row["break_even"]) + (" yd" if math.isfinite(row["break_even"]) else "")
        notes.append(f"{called.get(man, man)} {deep} ({row['speed_ratio']:.2f})")
    if not notes:
        return ["no outside rusher is had"]
    return [",  ".join(marks), "upright, break-even depth (speed ratio), a still frame: " + ", ".join(notes)]


# ------------------------------------------------------------------------------------------- against a recording


def simulator_check(one: SimulatorCheck) -> Drawing:
    """Recorded against simulated, a panel a figure: the middle of the draws with their 5-95 % band; on the line both
    agree. Red: the recording lies outside the band."""
    figure = Drawing(figsize=(11, 7.8), dpi=110, facecolor=PAPER)
    page(figure, 0.04, 0.945, cut_short(f"The simulator against {one.game.name}", 70), size=15, weight="bold")
    said = f"{len(one.pressures)} plays, {one.draws} draws each from the snap frame, drop and throw as recorded"
    page(figure, 0.04, 0.915, f"{said}; {one.pressure_text()}", size=9.5)
    for k, row in enumerate(one.summary_rows()):
        name = FIGURES[k]
        panel = figure.add_axes((0.065 + 0.325 * (k % 3), 0.545 - 0.42 * (k // 3), 0.26, 0.305), facecolor=CARD)
        quiet(panel)
        rows = one.both(name)
        title = f"{name.replace('_', ' ')}, {UNITS[name]}: {inside_text(row).replace(' in the 5-95 % band', ' inside')}"
        page(figure, panel.get_position().x0, panel.get_position().y1 + 0.008, title, size=9, weight="bold")
        if not rows:
            continue
        recorded, low, middle, high = (
            np.array([each[key] for each in rows]) for key in ("recorded", "low", "middle", "high")
        )
        least, most = float(min(recorded.min(), low.min())), float(max(recorded.max(), high.max()))
        room = 0.05 * (most - least) + 1e-3
        panel.set(xlim=(least - room, most + room), ylim=(least - room, most + room))
        panel.plot([least - room, most + room], [least - room, most + room], color=MUTED, linewidth=0.9, zorder=1)
        inside = np.array([each["inside"] is not False for each in rows])
        for where, color, mark in ((inside, WALL, "o"), (~inside, COLOR["pressure"], "D")):
            panel.vlines(recorded[where], low[where], high[where], color=color, linewidth=0.8, alpha=0.55, zorder=2)
            panel.plot(recorded[where], middle[where], mark, color=color, markersize=3.2, zorder=3)
        panel.set_xlabel("recorded", fontsize=8.5, fontfamily=FONT, color=INK)
        if k % 3 == 0:
            panel.set_ylabel("simulated, middle and 5-95 %", fontsize=8.5, fontfamily=FONT, color=INK)
    key = figure.add_axes((0.065 + 0.325 * 2, 0.125, 0.26, 0.305))
    key.axis("off")
    lines = (
        "Points: the middle of the draws; bars: 5-95 %.",
        "On the line recording and simulation agree.",
        "Red diamonds: the recording lies outside the bar.",
        "0.90 of the bars would hold it if the simulator",
        "were right.",
    )
    for k, text in enumerate(lines):
        page(figure, 0.715, 0.36 - 0.026 * k, text, size=8.5)
    page(figure, 0.04, 0.035, CONDITIONAL, size=7.5, style="italic")
    page(figure, 0.04, 0.015, MISSING, size=7.5, style="italic")
    return figure


def simulated_over_recorded(one: SimulatorCheck, play: str) -> Drawing:
    """Twenty simulated reps of a recorded play, laid over one another, beside its own tracks; from the snap to the
    throw, at one scale."""
    plan, shot = one.plans[play], one.game.play(play)
    takes = [plan.rep("fixed", one.depths[play], n, 20.0) for n in range(min(REPS, one.draws))]
    until = plan.throw
    protectors, rushers = len(plan.formation.protectors), len(plan.formation.rushers)
    duties = ["passer"] + ["protector"] * protectors + ["rusher"] * rushers
    simulated = [
        (duty, take["place"][take["time"] <= until + 1e-6, k]) for take in takes for k, duty in enumerate(duties)
    ]
    lasts = (shot.time >= -1e-6) & (shot.time <= until + 1e-6)
    recorded = [(man.role, shot.place[lasts, k]) for k, man in enumerate(shot.men) if man.role in DUTY]
    every = np.concatenate([track for _, track in (*simulated, *recorded)])
    u, v = every[np.isfinite(every).all(axis=1)].T
    figure = Drawing(figsize=(11, 5.6), dpi=110, facecolor=PAPER)
    width, height = 0.45 * 11, 0.7 * 5.6
    across = max(float(u.max() - u.min()) + 2.0, (float(v.max() - v.min()) + 2.0) * width / height)
    middle, top = float(u.max() + u.min()) / 2, float(v.min()) - 1.0
    limits = (middle - across / 2, middle + across / 2), (top + across * height / width, top)
    for k, (title, tracks) in enumerate(((f"{len(takes)} simulated reps", simulated), ("as recorded", recorded))):
        axes = sheet_axes(figure, (0.035 + 0.485 * k, 0.1, 0.45, 0.7), *limits)
        pen = Pen(axes, width * 72 / across)
        pen.line([(limits[0][0], 0), (limits[0][1], 0)], color=MUTED, width=1.0, z=1)
        for duty, track in tracks:
            color, style = DUTY[duty]
            thin = tracks is simulated
            axes.plot(
                *track.T, color=color, linestyle=style, linewidth=0.7 if thin else 1.8, alpha=0.5 if thin else 1.0
            )
            axes.plot(*track[-1:].T, "o" if duty != "rusher" else "X", color=color, markersize=2.5 if thin else 5)
        page(figure, 0.035 + 0.485 * k, 0.815, title, size=10, weight="bold")
    page(figure, 0.035, 0.93, cut_short(f"Play {play}, from the snap to the throw", 70), size=14, weight="bold")
    said = f"{plan.formation.takes}, {one.depths[play]:.1f} yd, thrown at {until:.1f} s"
    page(
        figure,
        0.035,
        0.885,
        f"{said}; seed {one.seed}. X: rushers, dashed; dots: protectors, and the passer in ink.",
        size=9,
    )
    page(figure, 0.035, 0.045, CONDITIONAL, size=7, style="italic")
    page(figure, 0.035, 0.02, MISSING, size=7, style="italic")
    return figure
