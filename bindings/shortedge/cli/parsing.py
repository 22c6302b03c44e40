"""How commands are declared: the parser, what several commands take, examples and exit codes in every help."""

from __future__ import annotations

import argparse
from typing import Any, NoReturn

from ..measures.splits import MARKS
from .terminal import one_line

CODES = """\
exit codes:
  0    clean
  1    done, but plays were skipped, or have fewer than five linemen at the snap: listed with their reasons
  2    refused, nothing was written: one line on stderr says why
  3    stopped half-way: what was written before stands whole; one line on stderr says why
  130  stopped by the keyboard"""

IN = "a game file (.h5), a trace, a folder with tables tracks, snaps and people, or these three files in that order"


class Parser(argparse.ArgumentParser):
    """Says what is wrong with the arguments in one line, and keeps the lines of examples as they are written."""

    def __init__(self, **given: Any) -> None:
        super().__init__(formatter_class=argparse.RawDescriptionHelpFormatter, **given)

    def error(self, message: str) -> NoReturn:
        self.exit(2, f"{self.prog}: {one_line(message)}; see {self.prog} --help\n")


class Commands:
    """The commands of a parser, each added by its own module."""

    def __init__(self, top: argparse.ArgumentParser) -> None:
        self.parsers = top.add_subparsers(required=True, metavar="COMMAND")

    def add(self, name: str, run: Any, help: str, examples: str, **more: Any) -> argparse.ArgumentParser:
        epilog = f"examples:\n{examples}\n\n{CODES}"
        made = self.parsers.add_parser(name, help=help, description=help, epilog=epilog, **more)
        made.set_defaults(run=run)
        return made


def add_games(made: argparse.ArgumentParser) -> None:
    made.add_argument("inputs", nargs="+", metavar="IN", help=IN + "; or several of these, or a folder of them")


def add_labels(made: argparse.ArgumentParser) -> None:
    made.add_argument(
        "--corrections",
        metavar="FILE",
        help="a table of corrections to lay over the reps; of several games with a column game",
    )
    made.add_argument(
        "--without-label", action="append", default=[], metavar="LABEL", help="leave out plays with this label"
    )


def add_marks(made: argparse.ArgumentParser) -> None:
    made.add_argument(
        "--marks",
        choices=tuple(MARKS),
        default="professional",
        help="of the field, by which hash is told (professional)",
    )


def add_film(made: argparse.ArgumentParser, what: str) -> None:
    made.add_argument(
        "--with-film",
        action="store_true",
        help=f"{what}, of a trace with its films beside it; off unless asked for: film is somebody's property, and "
        "people are in it",
    )


def add_board(made: argparse.ArgumentParser) -> None:
    made.add_argument(
        "--board",
        action="store_true",
        help="with a button that opens the frame that is shown as a board, to move the men of; some 250 KB more",
    )


def add_map(made: argparse.ArgumentParser) -> None:
    made.add_argument(
        "--map",
        metavar="FILE",
        action="append",
        help="how the tables are to be read (TOML): one for all games of tables, or given again, one each in their "
        "order; a folder's own map.toml, if not said",
    )


def add_set(made: argparse.ArgumentParser) -> None:
    made.add_argument(
        "--set", action="append", default=[], metavar="RULE=VALUE", help="change a rule, such as reach=1.1"
    )
