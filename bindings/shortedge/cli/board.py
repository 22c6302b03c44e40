"""`shortedge board`: a frame whose men can be moved, as a page."""

from __future__ import annotations

import argparse
from pathlib import Path

from .._core import InputError
from ..base.text import shown
from ..measures.reps import reps_of
from ..measures.results import measure
from ..pages import board as boards
from ..simulation.fronts import FRONT, formation
from ..tell import moment
from .games import one_play
from .inputs import PAGE, rules_of
from .parsing import IN, Commands, add_map, add_set
from .terminal import one_line

EXAMPLES = """\
  shortedge board -o board.html                                 a usual front, to move the men of
  shortedge board --front "5 L, 1 L, 3 R, wide R" --depth 9 -o board.html
  shortedge board game.h5 P042 --at 2.1 -o board.html           a recorded frame
  shortedge board game.h5 P042 -o board.html                    the moment the play is lost, else its end"""


def add(commands: Commands) -> None:
    made = commands.add(
        "board",
        run,
        "A board to move men on: pocket, edges, ways and break-even follow the hand, in a page that opens offline.",
        EXAMPLES,
        usage="%(prog)s [IN PLAY] -o PAGE [options]",
    )
    made.add_argument("inputs", nargs="*", metavar="IN PLAY", help=f"{IN}; then the play. Without them: a front")
    made.add_argument("--at", type=float, help="s since the snap; if not said, the first beat, else the end of reps")
    made.add_argument("--front", help=f"the rushers left to right, in the words of a formation ({FRONT})")
    made.add_argument(
        "--passer", choices=("under", "pistol", "gun"), help="where he takes the snap, of a front (under)"
    )
    made.add_argument("--depth", type=float, help=f"yd, how deep he is at first, of a front ({boards.DEPTH:g})")
    made.add_argument("-o", "--out", required=True, metavar="PAGE", help=f"a name that ends in {PAGE}")
    add_map(made)
    add_set(made)


def run(arguments: argparse.Namespace) -> int:
    if Path(arguments.out).suffix.lower() != PAGE:
        raise InputError(f"page {shown(arguments.out)}; accepted: a name that ends in {PAGE}")
    rules = rules_of(arguments.set)
    of_front = {name: getattr(arguments, name) for name in ("front", "passer", "depth")}
    given = [f"--{name}" for name, value in of_front.items() if value is not None]
    if arguments.inputs:
        if given:
            raise InputError(f"{given[0]}: found with a recorded play; accepted: without one")
        game, play = one_play("board", arguments)
        m = measure(game, rules=rules)
        at = arguments.at
        if at is None:
            rows = [row for row in reps_of(m).arrow("reps").to_pylist() if row["play"] == play]
            at = moment.of_play(m, rows)[1]
        made = boards.recorded(m, play, at)
    else:
        if arguments.at is not None or arguments.map is not None:
            raise InputError("--at and --map: found without a play; accepted: with IN and PLAY")
        f = formation(front=arguments.front, passer=arguments.passer or "under")
        depth = boards.DEPTH if arguments.depth is None else arguments.depth
        made = boards.board(f, depth=depth, rules=rules)
    made.to_html(arguments.out)
    print(f"board in {one_line(arguments.out)}")
    return 0
