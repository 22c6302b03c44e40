"""The command line: shortedge measure, check, keep, show, reps, cut, report, player, trace, drop, simulate, completion.

Exit codes: 0 clean, 1 plays were skipped, 2 refused (one line on stderr says why), 130 stopped by the keyboard.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from .. import _core
from .._core import FileError, InputError
from . import check, completion, cut, drop, keep, measure, report, reps, show, simulate, trace
from .parsing import CODES, Commands, Parser
from .terminal import one_line

FIRST = """\
first steps:
  shortedge check game/ --draft-map > map.toml    a first mapping of your columns; then say units, origin and y in it
  shortedge check game/ --map map.toml            what is in it, and what is wrong with it
  shortedge keep game/ --map map.toml -o game.h5  the game as one file: no mapping from here on
  shortedge measure game/ --map map.toml -o pocket.h5
  shortedge report game/ --map map.toml -o report.html

Each command explains itself: shortedge COMMAND --help.
A worked example of a mapping, position words, films and corrections:
  {example}
"""

EXAMPLE = Path(__file__).parents[1] / "YOUR_GAME.md"


def main(argv: Sequence[str] | None = None) -> int:
    """Runs one command and returns its exit code."""
    arguments = parser().parse_args(argv)
    try:
        return int(arguments.run(arguments))
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return 130
    except (InputError, FileError, OSError) as why:
        print(f"shortedge: {one_line(str(why))}", file=sys.stderr)
        return 2


def parser() -> argparse.ArgumentParser:
    top = Parser(
        prog="shortedge",
        description="Measures the passing pocket from tracking coordinates.",
        epilog=f"{FIRST.format(example=EXAMPLE)}\n{CODES}",
    )
    top.add_argument("--version", action="version", version=f"shortedge {_core.__version__}")
    top.set_defaults(parser=parser)
    commands = Commands(top)
    measure.add(commands)
    check.add(commands)
    keep.add(commands)
    show.add(commands)
    reps.add(commands)
    cut.add(commands)
    report.add_report(commands)
    report.add_player(commands)
    trace.add(commands)
    drop.add(commands)
    simulate.add(commands)
    completion.add(commands)
    return top
