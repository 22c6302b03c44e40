"""How often the bands hold what is true, figure by figure and noise by noise.

    .venv/bin/python tests/coverage.py             # two games of the demo's script, 60 plays each: some minutes
    .venv/bin/python tests/coverage.py 7 8         # others, by seed

Prints text; the same every time. The places without noise are measured; then noise is laid on them (yd per axis,
AR(1), 0.7 s, one draw a game) and they are measured again, with bands of 100 further draws. Numbers: share of rows in
which the 5-95 % band holds the true figure. Names: share of rows with the true name, and in brackets the mean share of
draws that agree with the recording.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import pandas as pd

sys.path[0] = str(Path(__file__).parent / "python")  # not this folder: it would hide a package of this file's name
import covered  # noqa: E402
import truth  # noqa: E402
from shortedge import _core  # noqa: E402

LEVELS = (0.05, truth.make_demo().NOISE, 0.15, 0.25)


def main(seeds: Sequence[str]) -> None:
    cases = [truth.seeded(int(seed), 60, clean=True) for seed in seeds]
    tables = []
    for sigma in LEVELS:
        parts = pd.concat([covered.covered(case, sigma, [1]) for case in cases])
        weighted = parts.assign(share=parts["share"] * parts["rows"], claimed=parts["claimed"] * parts["rows"])
        total = weighted.groupby(["table", "figure", "kind"], sort=False)[["rows", "share", "claimed"]].sum()
        tables.append(total)
    print("noise".ljust(32) + "rows".rjust(8) + "".join(f"{sigma:.3f}".rjust(14) for sigma in LEVELS))
    for key in tables[0].index:
        table, figure, kind = key
        cells = []
        for total in tables:
            rows, share, claimed = total.loc[key]
            text = f"{100 * share / rows:.1f}" if rows else "-"
            cells.append(f"{text} ({100 * claimed / rows:.1f})" if kind == "name" else text)
        print(
            f"{table}.{figure}".ljust(32)
            + str(int(tables[0].loc[key, "rows"])).rjust(8)
            + "".join(c.rjust(14) for c in cells)
        )
    print("\nnoise estimated from the tracks (noise='auto'), with the first and the second draw of it:")
    for sigma in (*LEVELS, 0.4):
        found = [
            _core.estimate_noise(truth.noisy(case, sigma, draw).game().core)[0] for case in cases for draw in (1, 2)
        ]
        print(f"  {sigma:.3f}: " + ", ".join(f"{one:.3f}" for one in found))


if __name__ == "__main__":
    main(sys.argv[1:] or ["5", "6"])
