"""How right the reps are, by game, by noise and by rate.

    .venv/bin/python tests/confusion.py            # the demo game and a foreign game
    .venv/bin/python tests/confusion.py 7 8 9      # and new games from the demo's script, by seed, of 60 plays each
    .venv/bin/python tests/confusion.py --write    # the table goes into core/reps/RIGHT.md

Prints text; the same every time. Noise is yd per axis in all, time-correlated (AR(1), 0.7 s); the shares under noise
are means over three draws of it.
"""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Sequence
from pathlib import Path

import pandas as pd

sys.path.insert(0, str(Path(__file__).parent / "python"))
import truth

PAGE = Path(__file__).parents[1] / "core" / "reps" / "RIGHT.md"
BEGIN, END = "<!-- confusion -->\n", "<!-- end of confusion -->"
LEVELS = (0.06, 0.12, 0.18, 0.25)
DRAWS = 3
HEADING = ("game", "right", "stunts", "side", "beat time", "man", "unknown", "help", "told help")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("seeds", type=int, nargs="*", help="further games of the demo's script")
    parser.add_argument("--write", action="store_true", help="the table goes into core/reps/RIGHT.md")
    given = parser.parse_args()
    games = [truth.demo(), truth.foreign(), truth.second(301, 60), *(truth.seeded(seed, 60) for seed in given.seeds)]
    lines = []
    for game in games:
        judged = game.judged()
        lines.append(cells(game.name, [judged]))
        noisy = [
            (level, [truth.noisy(game, level, draw) for draw in range(1, DRAWS + 1)])
            for level in LEVELS
            if level > game.noise
        ]
        lines += [cells(f"... {level:.2f} yd noise", [one.judged() for one in draws]) for level, draws in noisy]
        lines.append(cells("... 5 samples a second", [truth.thinned(game, 5).judged()]))
        show(game, judged)
    print("Outcome right (stunts apart), side of the beats found, error of their times (s, median), share of frames")
    print("after contact with the right man, share of rep rows the truth knows nothing of; of the helpers by the truth")
    print("the share told as help on that rusher, and of the rows told so the share that is true:\n")
    print("\n".join(map(row, [HEADING, *lines])))
    if given.write:
        marked = [HEADING, ["---"] * len(HEADING), *lines]
        table = "\n".join(
            "|" + "|".join(f" {cell} " if cell != "---" else cell for cell in one) + "|" for one in marked
        )
        text = PAGE.read_text(encoding="utf-8")
        made = re.sub(f"{BEGIN}.*{END}", lambda _: f"{BEGIN}{table}\n{END}", text, flags=re.DOTALL)
        PAGE.write_text(made, encoding="utf-8")


def show(game: truth.Case, judged: truth.Judged) -> None:
    """One game's confusion tables and what went wrong."""
    rows = judged.rows
    stunt = rows["note"].str.contains("stunt")
    print(f"{game.name}: {len(rows)} judged rows, {judged.reps} rep rows\n")
    for what, some in (("no stunt", rows[~stunt]), ("stunts", rows[stunt])):
        table = pd.crosstab(some["outcome"], some["got"], rownames=["true"], colnames=[what])
        print(table.to_string(), "\n")
    missed, made_up = judged.help[~judged.help["told"]], judged.told_help[~judged.told_help["true"]]
    wrong = {
        "wrong": judged.wrong,
        "not in the truth": judged.unknown,
        "help not told": missed,
        "help made up": made_up,
    }
    for what, some in wrong.items():
        if len(some):
            print(f"{what}:\n{some.to_string(index=False, na_rep='-')}\n")


def cells(name: str, judged: Sequence[truth.Judged]) -> Sequence[str]:
    figures = pd.DataFrame([one.figures for one in judged]).mean()
    shares = {key: "-" if pd.isna(value) else f"{100 * value:.1f} %" for key, value in figures.items()}
    shares["beat time"] = f"{figures['beat time']:.2f} s"
    order = ("right", "right in stunts", "side", "beat time", "man", "unknown", "help", "told help")
    return name, *(shares[key] for key in order)


def row(cells: Sequence[str]) -> str:
    return cells[0].ljust(28) + "".join(cell.rjust(11) for cell in cells[1:])


if __name__ == "__main__":
    main()
