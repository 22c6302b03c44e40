"""The page of a check of the simulator: one file, no script, nothing from elsewhere."""

from __future__ import annotations

import base64
import io
import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from .. import _core, draw
from .._core import InputError
from ..base.files import write_whole
from ..base.text import shown
from ..simulation.check import UNITS, inside_text
from ..simulation.plan import CONDITIONAL, MISSING
from ..simulation.splits import CALLED, FEWEST, SPLITS
from . import player
from .html import Html, el, together

if TYPE_CHECKING:
    from ..simulation.check import SimulatorCheck

STYLE = """
body { max-width: 62rem; margin: 2rem auto; padding: 0 1rem; background: #f7f4ec; color: #23282d;
  font: 15px/1.5 "DejaVu Sans", Verdana, sans-serif; }
h1 { font-size: 1.5rem; } h2 { font-size: 1.1rem; margin-top: 2rem; }
table { border-collapse: collapse; font-size: 0.85rem; }
th, td { padding: 0.25rem 0.7rem; border-bottom: 1px solid #d6d1c4; text-align: left; }
th:first-child, td:first-child { padding-left: 0; }
.number { text-align: right; font-variant-numeric: tabular-nums; }
img { width: 100%; height: auto; }
.note { font-size: 0.85rem; }
"""


def page(check: SimulatorCheck) -> str:
    summary = [
        (
            words(row["figure"], UNITS),
            inside_text(row),
            interval(row),
            signed(row["median_difference"]),
            f"{signed(row['difference_10'])} to {signed(row['difference_90'])}",
        )
        for row in check.summary_rows()
    ]
    misses = [
        (
            row["play"],
            words(row["figure"], UNITS),
            f"{row['protector']} on {row['rusher']}" if row["protector"] else "",
            f"{row['recorded']:.2f}",
            f"{row['low']:.2f}",
            f"{row['middle']:.2f}",
            f"{row['high']:.2f}",
        )
        for row in check.misses()
    ]
    left_out = ", ".join(f"{play} ({why})" for play, why in check.left_out.items())
    assumed = ", ".join(f"{name} {value:g}" for name, value in check.assumptions.as_dict().items())
    title = f"The simulator against {check.game.name}"
    made = (
        f"{len(check.pressures)} plays simulated {check.draws} times each from their snap frames, with the depth of "
        "the drop and the time of the throw as recorded; measured as the recording is. "
        f"{check.pressure_text().capitalize()}."
    )
    with_what = f"shortedge {_core.__version__}, seed {check.seed}, game {check.game.digest}. Assumptions: {assumed}."
    columns = ("play", "figure", "who", "recorded", "5 %", "50 %", "95 %")
    parts = [
        el("h1", title),
        el("p", made),
        el("p", el("b", CONDITIONAL), f" {MISSING}", class_="note"),
        el("h2", "How often the recording lies within the simulated 5-95 % band (0.90 would be right)"),
        grid(("figure", "inside", "share (95 %)", "recorded less simulated, median", "10-90 %"), summary, 1),
        el("p", picture_of(draw.simulator_check(check), "recorded against simulated")),
        *split_parts(check),
        *overlaid(check),
        el("h2", "Farthest outside"),
        grid(columns, misses, 3) if misses else el("p", "None."),
        el("p", f"Left out: {left_out or 'no play'}.", class_="note"),
        el("p", with_what, class_="note"),
    ]
    return player.page(title, together(parts), styles=[STYLE], pictures=True)


def write_page(check: SimulatorCheck, path: str | os.PathLike[str]) -> None:
    target = Path(path)
    if target.suffix.lower() not in (".html", ".htm"):
        raise InputError(f"page {shown(str(target))}; accepted: a name that ends in .html")
    write_whole(target, page(check).encode(), check.game.sources)


def split_parts(check: SimulatorCheck) -> list[Html]:
    """What reps of each kind came to, recorded and simulated."""
    if not check.split_rows:
        return []
    parts = [el("h2", "Where to trust it"), el("p", check.trust_text())]
    for split in SPLITS:
        rows = [
            (
                row["value"],
                CALLED[row["figure"]],
                str(row["count"]),
                f"{row['recorded']:.2f}",
                "" if np.isnan(row["simulated"]) else f"{row['simulated']:.2f}",
                "" if np.isnan(row["z"]) else signed(row["z"]),
            )
            for row in check.split_rows
            if row["split"] == split and row["count"] >= FEWEST
        ]
        if rows:
            heading = (
                split if split != "all" else "",
                "figure",
                "recorded reps or plays",
                "recorded",
                "simulated",
                "z",
            )
            title = "All reps" if split == "all" else f"By {split}"
            made = grid(heading, rows, 2)
            parts.append(
                together([el("h3", title), made]) if split == "all" else el("details", el("summary", title), made)
            )
    said = f"z: recorded less simulated, in standard deviations of the draws; of {FEWEST} recorded or more."
    return [*parts, el("p", said, class_="note")]


def overlaid(check: SimulatorCheck) -> list[Html]:
    if not check.plans:
        return []
    play = next(iter(check.plans))
    alt = f"simulated reps of play {play} laid over one another, and the recorded tracks"
    made = picture_of(draw.simulated_over_recorded(check, play), alt)
    return [el("h2", f"Simulated reps over one another: play {play}"), el("p", made)]


def picture_of(figure: Any, alt: str) -> Html:
    made = io.BytesIO()
    figure.savefig(made, format="svg")
    data = base64.b64encode(made.getvalue()).decode()
    return el("img", alt=alt, src=f"data:image/svg+xml;base64,{data}")


def grid(heading: Sequence[str], rows: Sequence[Sequence[str]], numbers_from: int) -> Html:
    """A table; the columns from `numbers_from` on stand to the right."""

    def line(tag: str, cells: Sequence[str]) -> Html:
        kinds = ("number" if k >= numbers_from else None for k in range(len(cells)))
        return el("tr", *(el(tag, cell, class_=kind) for cell, kind in zip(cells, kinds, strict=True)))

    return el("table", line("th", heading), *(line("td", row) for row in rows))


def words(figure: str, units: dict[str, str]) -> str:
    return f"{figure.replace('_', ' ')}, {units[figure]}"


def interval(row: Mapping[str, Any]) -> str:
    share, low, high = (row[f"inside_{what}"] for what in ("share", "low", "high"))
    return f"{share:.2f} ({low:.2f}-{high:.2f})" if np.isfinite(share) else "-"


def signed(value: float) -> str:
    return f"{value:+.2f}" if np.isfinite(value) else "-"
