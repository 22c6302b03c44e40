"""Exchanges, finding work, showed and came: right against the scripted truth, noise by noise.

    .venv/bin/python tests/chair.py                        # some minutes
    .venv/bin/python tests/chair.py --plays 40 --seeds 7   # one game of 40 plays
    .venv/bin/python tests/chair.py --list                 # and every wrong row, one a line
    .venv/bin/python tests/chair.py --write                # the table goes into core/reps/RIGHT.md, between its markers

Prints Markdown; the same every time. New games of tests/python/chair_script.py, from seeds nothing was tuned to. Noise
is yd per axis, time-correlated (AR(1), 0.7 s). A row is wrong that the table lacks, tells otherwise (another man, word,
or a time more than 0.4 s off), or has beyond the truth; the share is of all of these together.
"""

from __future__ import annotations

import argparse
import re
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent / "python"))
import chair_script
import chair_truth

PAGE = Path(__file__).resolve().parents[1] / "core" / "reps" / "RIGHT.md"
BEGIN, END = "<!-- chair: made by tests/chair.py -->\n\n", "\n\n<!-- end of chair -->"
LEVELS = (0.0, 0.05, 0.12, 0.18, 0.25)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--plays", type=int, default=60, help="plays a game (60)")
    parser.add_argument("--seeds", type=int, nargs="+", default=[401, 402], help="of the games (401 402)")
    parser.add_argument("--draws", type=int, default=2, help="draws of noise a level (2)")
    parser.add_argument("--levels", type=float, nargs="+", default=list(LEVELS), help="yd of noise")
    parser.add_argument("--list", action="store_true", help="every wrong row, one a line")
    parser.add_argument("--write", action="store_true", help="the table goes into core/reps/RIGHT.md")
    given = parser.parse_args()
    games = [chair_script.make_game(seed, given.plays) for seed in given.seeds]
    wrong: list[str] = []
    lines = ["| noise | " + " | ".join(chair_truth.SAME) + " |", "|---|" + "---|" * len(chair_truth.SAME)]
    print("\n".join(lines))
    for level in given.levels:
        total = {title: chair_truth.Share() for title in chair_truth.SAME}
        for game in games:
            for draw in range(1, given.draws + 1 if level else 2):
                found = chair_truth.shares(game, level, draw)
                total = {title: share + found[title] for title, share in total.items()}
        cells = [f"{100 * share.share:.1f} % of {share.of}" for share in total.values()]
        lines.append(f"| {level:.2f} yd | " + " | ".join(cells) + " |")
        print(lines[-1], flush=True)
        wrong += [f"{level:.2f} yd, {line}" for share in total.values() for line in share.wrong]
    if given.write:
        text = PAGE.read_text(encoding="utf-8")
        table = BEGIN + "\n".join(lines) + END
        PAGE.write_text(re.sub(f"{BEGIN}.*{END}", lambda _: table, text, flags=re.DOTALL), encoding="utf-8")
    if given.list:
        print("\n".join(["", *wrong]))
    return 0


if __name__ == "__main__":
    sys.exit(main())
