"""How often the bands hold what is true, figure by figure, noise by noise, on scripts of several hands.

    .venv/bin/python tests/coverage.py                     # every script; some minutes
    .venv/bin/python tests/coverage.py --plays 12 --draws 40 --levels 0.08 0.18
    .venv/bin/python tests/coverage.py --write             # the table goes into core/measure/NOISE.md

Prints Markdown; the same every time. The places without noise are measured; then noise is laid on them (yd per axis,
AR(1), 0.7 s, one draw a game) and they are measured again, with bands. Numbers: share of rows in which the 5-95 %
band holds the true figure, of the rows that have a band; first all scripts together, then the worst script's, and
which it is. Names: share of rows with the true name, in brackets the mean share of draws that agree with the
recording, and the worst script's share. The demo's script, which the table of bands was learnt on
(tests/band_table.py, other seeds), is measured and not counted.
"""

from __future__ import annotations

import argparse
import math
import re
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pandas as pd

sys.path[0] = str(Path(__file__).parent / "python")  # not this folder: it would hide a package of this file's name
import covered  # noqa: E402
import other_scripts  # noqa: E402
import truth  # noqa: E402

PAGE = Path(__file__).parents[1] / "core" / "measure" / "NOISE.md"
BEGIN, END = "<!-- coverage -->\n", "<!-- end of coverage -->"
LEVELS = (0.05, 0.08, 0.12, 0.18, 0.25)
FEWEST = 30  # rows of a script, to say a share of them
CARRIED = {"exposure_inside", "approach_angle", "closest", "closest_in", "cutoff_ratio", "slack", "peak_outside"}
CARRIED |= {"peak_inside", "peak_cutoff_ratio", "nearest_rusher_min", "foot_speed"}
NAMES = {"blocker", "edge_man", "lane", "outcome", "engaged"}
NEVER = {"peak_cutoff_time"}  # a band with no noise at all
LEFT_OUT = {"helpers", "came", "dropped", "start", "end", "hips_time", "pressure_time"}  # of the match, or seldom there
HANDS: dict[str, Callable[[int], truth.Case]] = {
    "demo's, 10 Hz": lambda plays: truth.seeded(5, plays, clean=True),
    "second, 20 Hz": lambda plays: truth.second(42, plays),
    "second, 5 Hz": lambda plays: truth.thinned(truth.second(43, plays), 5),
    "drawn, 25 Hz": lambda plays: other_scripts.drawn(7, plays),
    "steered, 10 Hz": lambda plays: other_scripts.steered(7, plays),
    "steered, 25 Hz": lambda plays: other_scripts.steered(8, plays, 25.0),
}
LEARNT_ON = "demo's, 10 Hz"


def held(plays: int, draws: int, levels: list[float]) -> pd.DataFrame:
    """A row a script, sigma and figure, as covered.covered gives them."""
    parts = []
    for hand, make in HANDS.items():
        case = make(plays)
        for sigma in levels:
            parts.append(covered.covered(case, sigma, [1], draws).assign(hand=hand, sigma=sigma))
            print(f"  {hand}, {sigma:.2f} yd: done", file=sys.stderr, flush=True)
    return pd.concat(parts, ignore_index=True)


def shares(rows: pd.DataFrame) -> tuple[float, float, str]:
    """Of the scripts of other hands that have a band: the share in all, that of the worst, and which it is."""
    rows = rows[rows["rows"] >= FEWEST]
    if rows.empty:
        return float("nan"), float("nan"), ""
    worst = rows.loc[rows["share"].idxmin()]
    return float((rows["share"] * rows["rows"]).sum() / rows["rows"].sum()), float(worst["share"]), str(worst["hand"])


def cell(rows: pd.DataFrame, kind: str) -> str:
    share, worst, hand = shares(rows)
    if math.isnan(share):
        return "no band"
    if kind == "name":
        agree = (rows["claimed"] * rows["rows"]).sum() / rows["rows"].sum()
        return f"{100 * share:.0f} ({100 * agree:.0f}); {100 * worst:.0f} %"
    return f"{100 * share:.0f}; {100 * worst:.0f} % {hand.split(',')[0]}"


def markdown(found: pd.DataFrame) -> Iterator[str]:
    """The table of NOISE.md: figures that are held alike everywhere in one row, the others one by one."""
    found = found[found["hand"] != LEARNT_ON]
    levels = sorted(found["sigma"].unique())
    yield "| figure | " + " | ".join(f"{sigma:.2f} yd" for sigma in levels) + " |"
    yield "|---|" + "---|" * len(levels)
    alike: list[str] = []
    single: list[str] = []
    never: list[str] = []
    for (table, figure, kind), rows in found.groupby(["table", "figure", "kind"], sort=False):
        if figure in LEFT_OUT or (kind == "name" and figure not in NAMES):
            continue
        many = rows[rows["rows"] >= FEWEST]["share"]
        if kind == "number" and figure not in CARRIED and len(many) and many.between(0.85, 0.97).all():
            alike.append(f"{table}.{figure}" if figure in {"exposure", "short_edge"} else figure)
            continue
        cells = [cell(rows[rows["sigma"] == sigma], str(kind)) for sigma in levels]
        if set(cells) == {"no band"}:
            if figure in NEVER:
                never.append(figure)
            continue
        single.append(f"| {table}.{figure}{'' if figure not in CARRIED else ' (table)'} | " + " | ".join(cells) + " |")
    yield f"| {', '.join(dict.fromkeys(alike))} |" + " 85-97 % on every script |" * len(levels)
    yield from single
    yield from (f"| {figure} |" + " no band |" * len(levels) for figure in never)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--plays", type=int, default=24, help="plays a script (24)")
    parser.add_argument("--draws", type=int, default=50, help="draws a band (50)")
    parser.add_argument("--levels", type=float, nargs="+", default=list(LEVELS), help="yd of noise")
    parser.add_argument("--write", action="store_true", help="the table goes into core/measure/NOISE.md")
    given = parser.parse_args()
    lines = list(markdown(held(given.plays, given.draws, given.levels)))
    print("\n".join(lines))
    if given.write:
        text = PAGE.read_text(encoding="utf-8")
        PAGE.write_text(
            re.sub(f"{BEGIN}.*{END}", lambda _: BEGIN + "\n".join([*lines, END]), text, flags=re.DOTALL),
            encoding="utf-8",
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
