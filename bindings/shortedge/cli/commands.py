"""The command line: shortedge measure, check, keep, show, reps, cut, report, player, trace, drop, simulate, completion.

Exit codes: 0 clean, 1 plays were skipped, 2 refused, 3 stopped half-way (one line on stderr says why), 130 stopped by
the keyboard.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from contextlib import redirect_stdout
from io import TextIOBase, TextIOWrapper
from pathlib import Path
from typing import Any, TextIO

from .. import _core
from .._core import FileError, InputError
from ..base import files, loading
from ..base.stopping import answering
from . import board, check, completion, cut, drop, keep, measure, report, reps, show, simulate, trace
from .games import keep_apart
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
    closed = sys.stdout is None
    open_streams()
    if closed:
        return refused("stdout: is closed; accepted: one that can be written", 0)
    written, told = files.count, Told(sys.stdout)
    with redirect_stdout(told), answering() as answered:
        try:
            loading.over()
            arguments = parser().parse_args(argv)
            keep_apart(arguments)
            code = int(arguments.run(arguments))
        except KeyboardInterrupt:
            code = 130
        except (InputError, FileError, OSError) as why:
            code = refused(str(why), written)
        except MemoryError:
            code = refused("out of memory; accepted: a smaller input, more memory, or --stream for a season", written)
        except Exception as why:  # no traceback reaches a user
            code = refused(f"a fault of the program, please report it: {type(why).__name__}: {why}", written)
        finally:
            answered()
            told.flush()
    if told.failed is None or isinstance(told.failed, BrokenPipeError):  # a reader that has read enough is no error
        return code
    return refused(f"stdout: {told.failed.strerror}; what was to be printed is lost", written)


def refused(why: str, written: int) -> int:
    """Says why in one line; 2 when nothing was written since so many outputs were, else 3."""
    print(f"shortedge: {one_line(why)}", file=sys.stderr)
    return 3 if files.count > written else 2


def open_streams() -> None:
    """Streams that are closed lead nowhere from now on: no file that is written takes their number, and nobody prints
    into it."""
    while (number := os.open(os.devnull, os.O_RDWR)) < 3:
        pass
    os.close(number)
    if sys.stderr is None:
        sys.stderr = os.fdopen(2, "w")
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


class Told(TextIOBase):
    """What is printed. When it cannot be, the work goes on: `failed` says why."""

    def __init__(self, to: TextIO) -> None:
        self.to = to
        self.failed: OSError | None = None

    def write(self, text: str) -> int:
        return self.tried(lambda: self.to.write(text)) or len(text)

    def flush(self) -> None:
        self.tried(self.to.flush)

    def tried(self, do: Callable[[], Any]) -> Any:
        if self.failed is not None:
            return None
        try:
            return do()
        except OSError as why:
            self.failed = why
            os.dup2(os.open(os.devnull, os.O_WRONLY), self.to.fileno())  # what is held back goes nowhere
            return None

    def isatty(self) -> bool:
        return self.to.isatty()

    def fileno(self) -> int:
        return self.to.fileno()


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
    board.add(commands)
    completion.add(commands)
    return top
