"""What the commands drop and simulate print."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from ..base.text import listed
from ..base.vocabulary import SIDES
from ..measures.drops import DEEPEST, depth_text
from ..simulation.check import UNITS, inside_text
from ..simulation.fit import SimulatorFit
from ..simulation.plan import CONDITIONAL, MISSING, RISE, rise_text
from ..simulation.sensitivity import sensitivity
from ..tell.margins import gone_at, known
from ..tell.words import SHOWN_FROM
from .terminal import figure_text, left_out, one_line, table

if TYPE_CHECKING:
    from ..measures.drops import BreakEven, DropStudy
    from ..simulation.check import SimulatorCheck
    from ..simulation.study import Simulation


def drop_summary(study: DropStudy) -> list[str]:
    """A line a depth, side by side with the depth taken, and what to keep in mind."""
    rows = study.arrow("drops").to_pylist()
    speed = (
        "the passer never drops, or is not seen where he gathers"
        if np.isnan(study.drop_speed)
        else f"own drop speed {study.drop_speed:.1f} yd/s"
    )
    lines = [f"{one_line(study.game_name)}, play {one_line(study.play_id)}: {speed}"]
    heading = (
        "depth",
        "top",
        "margin",
        "cut-off",
        "at",
        "exposure",
        "at",
        "outside way",
        "bend",
        "edge width",
        "short edge",
        "on the spot",
    )
    for side in SIDES:
        mine = [row for row in rows if row["side"] == side]
        edge_man, rusher = mine[0]["edge_man"], mine[0]["rusher"]
        if rusher is None:
            lines.append(f"{side} edge: " + (f"{one_line(edge_man)}, nobody attacks it" if edge_man else "no pocket"))
            continue
        lines.append(f"{side} edge: {one_line(edge_man)} against {one_line(rusher)}, up to {mine[0]['until']:.2f} s")
        lines += table([heading, *(drop_row(row) for row in mine)])
        lines += margin_lines(mine)
    if study.left_out:
        said, least = ", ".join(f"{depth:g}" for depth in study.left_out), np.ceil(100 * study.shallowest) / 100
        lines.append(f"left out: {said} yd, for this drop can be from {least:.2f} to {DEEPEST:g} yd")
    lines += [
        "* the drop as taken. margin: how long after the throw the rusher would be at the spot, round the outside from "
        "where the two met (below 0 he is there before the ball is out); cut-off: greatest ratio to the spot, where "
        "the drop tops; exposure: greatest, to the passer where he then is, with the way, bend, edge width and short "
        "edge (shown with exposure 0.2 or more) of that moment; on the spot: the short edge at the end of that time "
        "with the passer on the spot. yd, s, degrees.",
        "All but the passer keep the tracks they ran, up to the recorded contact of the two; until he gathers no depth "
        "differs from another. Geometry, not a forecast and not a grade.",
    ]
    return lines


def margin_lines(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    """Where the margin is gone, in words."""
    told = known(rows)
    if len(told) < 2:
        return []
    first, last, gone = told[0], told[-1], gone_at(told)
    said = f"margin {first['margin']:+.1f} s at {first['depth']:.1f} yd, {last['margin']:+.1f} at {last['depth']:.1f}"
    if np.isfinite(gone):
        return [f"{said}: gone at {gone:.1f} yd"]
    early = first["margin"] <= 0
    return [said + (": the rusher is there before the throw at each" if early else ": some is left at each")]


def drop_row(row: Mapping[str, Any]) -> list[str]:
    exposed = row["outside_exposure"] >= SHOWN_FROM
    figures = (
        ("top_time", 2),
        ("margin", 2),
        ("peak_cutoff_ratio", 2),
        ("peak_cutoff_time", 1),
        ("outside_exposure", 2),
        ("exposure_time", 1),
        ("outside_time", 2),
        ("outside_bend", 0),
        ("edge_width", 1),
    )
    return [
        f"{row['depth']:.1f}{'*' if row['taken'] else ' '}",
        *(figure_text(row[name], places) for name, places in figures),
        figure_text(row["short_edge"], 2) if exposed else "-",
        figure_text(row["spot_short_edge"], 2),
    ]


def still_summary(study: BreakEven) -> list[str]:
    """Break-even depths, a line a width; then the ratio asked over width and depth."""
    ends = study.depths_for(*(grid.ravel() for grid in np.meshgrid(study.widths, study.speed_ratios, indexing="ij")))
    asked = study.asked(*(grid.ravel() for grid in np.meshgrid(study.widths, study.depths, indexing="ij")))
    by_width = [f"{width:g}" for width in study.widths]
    lines = [
        "break-even depth (yd) by the rusher's alignment (yd outside the tackle) and the tackle's share of his speed:"
    ]
    cells = [[depth_text(depth).rjust(5) for depth in row] for row in ends.reshape(len(study.widths), -1)]
    rows = [[width, *row] for width, row in zip(by_width, cells, strict=True)]
    lines += table([["width", *(f"{ratio:g}" for ratio in study.speed_ratios)], *rows])
    lines.append("cut-off ratio asked of the tackle, by alignment and depth of the drop (yd):")
    cells = [[f"{ratio:.2f}" for ratio in row] for row in asked.reshape(len(study.widths), -1)]
    rows = [[width, *row] for width, row in zip(by_width, cells, strict=True)]
    lines += table([["width", *(f"{depth:g}" for depth in study.depths)], *rows])
    lines.append(
        "never: no depth loses him the angle; lost: he has not got it where the passer begins. A still frame at the "
        "snap's positions: nobody moves in it, so it is only an ordering."
    )
    return lines


def study_lines(made: Simulation) -> list[str]:
    """What a coach reads first: a line a throw and depth."""
    lines = [one_line(str(made.plan.formation)[10:-1])]
    heading = (
        "throw",
        "depth",
        "thrown",
        "hurried",
        "pressure",
        "arrival",
        "hips opened",
        "by 1.2 s",
        "opened at",
        "cut-off ratio",
    )
    rows: list[Sequence[str]] = [heading]
    for row in made.counted_rows():
        ratio = [figure_text(row[f"cutoff_{percent}"], 2) for percent in (50, 10, 90)]
        shares = [
            f"{row[name]:.2f} ({row[f'{name}_low']:.2f}-{row[f'{name}_high']:.2f})"
            for name in ("hurried", "pressure", "arrived", "hips")
        ]
        rows.append(
            (
                row["throw"],
                f"{row['depth']:g}",
                figure_text(row["throw_time"], 2),
                *shares,
                figure_text(row["hips_early"], 2),
                figure_text(row["hips_time_50"], 2),
                f"{ratio[0]} ({ratio[1]}-{ratio[2]})",
            )
        )
    lines += table(rows)
    even = [f"{row['protector']} {depth_text(row['break_even'])}" for row in made.break_even_rows()]
    lines.append(
        f"of {made.plan.draws} draws before the throw, Wilson 95 % interval behind each; depth in yd, times in s; "
        "hurried: pressure, or the ball thrown early because of a rusher; "
        "opened at: middle, of those that opened; cut-off ratio: peak to the spot, greatest of any man, 50 % (10-90 %)."
    )
    if even:
        said = f"break-even depth of the still frame, yd: {one_line(', '.join(even))}; only an ordering"
        lines.append(f"{said} (never: no depth loses him the angle; lost: he has not got it where the passer begins).")
        margins = [f"{row['protector']} {row['margin']:+.2f}" for row in made.break_even_rows()]
        lines.append(
            f"margin of the snap frame, s (round the outside of a man who stays there, less the throw; an ordering): "
            f"{one_line(', '.join(margins))}"
        )
    return [*lines, *rise_lines(made), f"{CONDITIONAL} {MISSING}"]


def rise_lines(made: Simulation) -> list[str]:
    """In words, what the rise with depth depends on."""
    said = rise_text(made.counted_rows())
    return [said] if said else []


def sensitivity_lines(made: Simulation, draws: int, threads: int | None) -> list[str]:
    """What the rise from 7 to 10 yd depends on."""
    shallow, deep = RISE
    if made.plan.formation.passer[1] > shallow:
        return []
    found = sensitivity(made.plan, RISE, draws, threads, None).to_pylist()
    rows: list[Sequence[str]] = [("assumption", "change", "value", f"at {shallow:g}", f"at {deep:g}", "rise", "95 %")]
    for row in found:
        change = f"{row['change']:+.0%}" if row["change"] else "none"
        value = figure_text(row["value"], 2) if np.isfinite(row["value"]) else "-"
        rows.append(
            (
                row["assumption"],
                change,
                value,
                f"{row['shallow']:.2f}",
                f"{row['deep']:.2f}",
                f"{row['rise']:+.2f}",
                f"{row['low']:+.2f} to {row['high']:+.2f}",
            )
        )
    gone = [f"{row['assumption']} {row['change']:+.0%}" for row in found if row["low"] <= 0]
    said = f"no rise is shown with {', '.join(gone)}" if gone else "the rise stands with each"
    return [
        "",
        f"how the rise in the share hurried from {shallow:g} to {deep:g} yd (by the clock) depends on what is assumed:",
        *table(rows),
        f"{draws} paired draws each (Agresti and Min 2005): {said}.",
    ]


def check_lines(made: SimulatorCheck) -> list[str]:
    """How often the recording lies within the band, a line a figure."""
    lines = [
        f"{one_line(made.game.name)}: {len(made.pressures)} plays simulated {made.draws} times each from their snap "
        "frames"
    ]
    rows: list[Sequence[str]] = [("figure", "recording inside", "share", "recorded less simulated", "10 %", "90 %")]
    for row in made.summary_rows():
        name = f"{row['figure'].replace('_', ' ')}, {UNITS[row['figure']]}"
        off = [figure_text(row[key], 2) for key in ("median_difference", "difference_10", "difference_90")]
        rows.append((name, inside_text(row), figure_text(row["inside_share"], 2), *off))
    lines += table(rows)
    lines += [one_line(made.pressure_text()) + "; 0.90 would lie inside if the simulator were right"]
    if made.left_out:
        lines.append(f"{len(made.left_out)} plays left out: {one_line(listed(sorted(set(made.left_out.values()))))}")
    return [*lines, f"{CONDITIONAL} {MISSING}", *left_out(made.game)]


def fit_lines(made: SimulatorFit) -> list[str]:
    """What a game tells of the assumptions, a line each."""
    noise = f"noise {made.noise.sigma:.3f} yd ({made.noise.found})"
    lines = [f"{one_line(made.game.name)}: {len(made.plays)} plays, {noise}"]
    if made.refused:
        lines += [one_line(made.refused)]
    else:
        rows: list[Sequence[str]] = [("assumption", "unit", "assumed", "middle", "90 %", "found", "held out")]
        for row in made.rows:
            ends = f"{row['low']:.2f} to {row['high']:.2f}"
            found, held = "yes" if row["found"] else "no", f"{row['held']:.2f}"
            name, unit = row["assumption"], row["unit"]
            rows.append((name, unit, f"{row['assumed']:.2f}", f"{row['middle']:.2f}", ends, found, held))
        lines += table(rows)
        lines.append(
            "found: the interval is at most half as wide as before the game was seen; held out: share of simulated "
            "games whose 90 % interval holds the truth. If the game was played by the simulator's rules."
        )
    if made.left_out:
        lines.append(f"{len(made.left_out)} plays left out: {one_line(listed(sorted(set(made.left_out.values()))))}")
    return [*lines, *left_out(made.game)]
