"""The page of a check of the simulator: one file, no script, nothing from elsewhere, every text escaped."""

from __future__ import annotations

import base64
import io
from collections.abc import Mapping, Sequence
from html import escape
from typing import TYPE_CHECKING, Any

import numpy as np

from . import _core
from .simulate import CONDITIONAL, MISSING

if TYPE_CHECKING:
    from .check_simulator import SimulatorCheck

POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"
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
    from .check_simulator import UNITS, inside_text

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
    picture = io.BytesIO()
    check.draw().savefig(picture, format="svg")
    image = base64.b64encode(picture.getvalue()).decode()
    parts = [
        f"<h1>The simulator against {escape(check.game.name)}</h1>",
        f"<p>{len(check.pressures)} plays simulated {check.draws} times each from their snap frames, with the depth "
        "of the drop and the time of the throw as recorded; measured as the recording is. "
        f"{escape(check.pressure_text().capitalize())}.</p>",
        f'<p class="note"><b>{escape(CONDITIONAL)}</b> {escape(MISSING)}</p>',
        "<h2>How often the recording lies within the simulated 5-95 % band (0.90 would be right)</h2>",
        grid(("figure", "inside", "share (95 %)", "recorded less simulated, median", "10-90 %"), summary, 1),
        f'<p><img alt="recorded against simulated" src="data:image/svg+xml;base64,{image}"></p>',
        "<h2>Farthest outside</h2>",
        grid(("play", "figure", "who", "recorded", "5 %", "50 %", "95 %"), misses, 3) if misses else "<p>None.</p>",
        f'<p class="note">Left out: {escape(left_out) or "no play"}.</p>',
        f'<p class="note">shortedge {escape(_core.__version__)}, seed {check.seed}, game {escape(check.game.digest)}. '
        f"Assumptions: {escape(assumed)}.</p>",
    ]
    body = "\n".join(parts)
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{escape(POLICY)}">\n'
        f"<title>The simulator against {escape(check.game.name)}</title>\n<style>{STYLE}</style>\n</head>\n"
        f"<body>\n{body}\n</body>\n</html>\n"
    )


def grid(heading: Sequence[str], rows: Sequence[Sequence[str]], numbers_from: int) -> str:
    """A table; the columns from `numbers_from` on stand to the right."""

    def line(tag: str, cells: Sequence[str]) -> str:
        kinds = ["" if k < numbers_from else ' class="number"' for k in range(len(cells))]
        return (
            "<tr>"
            + "".join(f"<{tag}{kind}>{escape(cell)}</{tag}>" for kind, cell in zip(kinds, cells, strict=True))
            + "</tr>"
        )

    return "<table>\n" + "\n".join([line("th", heading), *(line("td", row) for row in rows)]) + "\n</table>"


def words(figure: str, units: dict[str, str]) -> str:
    return f"{figure.replace('_', ' ')}, {units[figure]}"


def interval(row: Mapping[str, Any]) -> str:
    share, low, high = (row[f"inside_{what}"] for what in ("share", "low", "high"))
    return f"{share:.2f} ({low:.2f}-{high:.2f})" if np.isfinite(share) else "-"


def signed(value: float) -> str:
    return f"{value:+.2f}" if np.isfinite(value) else "-"
