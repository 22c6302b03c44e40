"""`shortedge show`: a play as a picture, a page or a moving picture."""

from __future__ import annotations

import argparse
from functools import partial
from pathlib import Path
from typing import Any

from .. import draw
from .._core import InputError, Rules
from ..base.text import listed, shown
from ..measures.reps import reps_of
from ..measures.results import Measures, measure
from ..pages.board import beside
from ..pages.player import Player, data
from ..tell import moment
from ..trace.journal import ENDING as TRACE
from .games import one_play
from .inputs import PAGE, PICTURES, picture_path, rules_of, save_picture
from .parsing import IN, Commands, add_board, add_map, add_set
from .terminal import one_line

MOVING = (".mp4", ".gif")

EXAMPLES = """\
  shortedge show game.h5 P024 -o worst.png                 the moment that counts in the play
  shortedge show game.h5 P024 --at 2.1 -o frame.svg
  shortedge show game.h5 P024 --timeline -o timeline.pdf
  shortedge show game.h5 P024 --moments TK-63 -o rep.png   six moments of his rep
  shortedge show game.h5 P024 -o play.html                 a page to scrub through
  shortedge show game.h5 P024 -o play.mp4 --speed 0.5      half as fast as it was
  shortedge show game.trace P024 --on-film -o clip.mp4     the pocket on the grass of the film it was clicked on
  shortedge show game.trace P024 --on-film sideline --at 2.1 -o still.png"""


def add(commands: Commands) -> None:
    made = commands.add(
        "show",
        run,
        "Show a play: a frame, its timeline, a rep's moments, a page to scrub through, or a moving picture.",
        EXAMPLES,
        usage="%(prog)s IN PLAY -o PICTURE [options]",
    )
    made.add_argument("inputs", nargs="+", metavar="IN PLAY", help=IN + "; then the play")
    made.add_argument(
        "--at", type=float, help="s since the snap; if not said, the first beat, pressure, or greatest exposure"
    )
    made.add_argument("--timeline", action="store_true", help="the course of the whole play")
    made.add_argument("--moments", metavar="ID", help="six moments of this protector's rep, his longest in the play")
    made.add_argument(
        "--on-film",
        nargs="?",
        const="",
        metavar="ANGLE",
        help="on the film of a trace: a clip (.mp4) or a still (.png, --at); the first angle that has the play "
        "if not said. Film is somebody's property, and people are in it",
    )
    made.add_argument("--speed", type=float, help="of a moving picture: 0.5 is half as fast as it was (1; on film 0.5)")
    made.add_argument(
        "-o",
        "--out",
        required=True,
        metavar="PICTURE",
        help=f"a picture ({', '.join(PICTURES)}), a page ({PAGE}) or a moving picture ({', '.join(MOVING)})",
    )
    add_board(made)
    add_map(made)
    add_set(made)


def run(arguments: argparse.Namespace) -> int:
    rules = rules_of(arguments.set)
    if arguments.board and (arguments.on_film is not None or Path(arguments.out).suffix.lower() != PAGE):
        raise InputError(f"--board: found with {shown(arguments.out)}; accepted: with a page ({PAGE}) of the play")
    if arguments.on_film is not None:
        return on_film(arguments, rules)
    page, moving = (Path(arguments.out).suffix.lower() in ends for ends in ((PAGE,), MOVING))
    if (page or moving) and (arguments.timeline or arguments.at is not None or arguments.moments):
        raise InputError(
            f"--out is {shown(arguments.out)}; accepted with --at, --timeline and --moments: {', '.join(PICTURES)}"
        )
    if not page:
        picture_path(arguments.out, (*PICTURES, PAGE, *MOVING))
    if arguments.speed is not None and not moving:
        raise InputError(f"--speed: found with {shown(arguments.out)}; accepted: with {', '.join(MOVING)}")
    game, play = one_play("show", arguments)
    m = measure(game, rules=rules)
    if page:
        made = Player(play, m.game_name, data(m, play), partial(beside, m, play), m.sources)
        made.to_html(arguments.out, board=arguments.board)
        print(f"page in {one_line(arguments.out)}")
        return 0
    if moving:
        draw.animate(m, play, arguments.out, 1.0 if arguments.speed is None else arguments.speed)
        print(f"moving picture in {one_line(arguments.out)}")
        return 0
    if arguments.moments:
        figure = draw.rep_sheet(m, rep_of(m, play, arguments.moments))
    elif arguments.timeline:
        figure = draw.timeline(m, play)
    else:
        figure = shown_frame(m, play, arguments.at)
    save_picture(figure, arguments.out)
    return 0


def on_film(arguments: argparse.Namespace, rules: Rules | None) -> int:
    """A clip or a still of a trace's play on its own film."""
    if arguments.timeline or arguments.moments:
        raise InputError("--on-film: found with --timeline or --moments; accepted: alone, or with --at and --speed")
    if len(arguments.inputs) != 2 or Path(arguments.inputs[0]).suffix.lower() != TRACE:
        raise InputError(
            f"--on-film: found {listed(arguments.inputs[:-1])}; accepted: a trace (NAME{TRACE}) and a play"
        )
    game, play = one_play("show", arguments)
    draw.on_film(
        measure(game, rules=rules),
        play,
        arguments.out,
        arguments.inputs[0],
        arguments.on_film or None,
        0.5 if arguments.speed is None else arguments.speed,
        arguments.at,
    )
    print(f"{'still' if Path(arguments.out).suffix.lower() == '.png' else 'clip'} in {one_line(arguments.out)}")
    return 0


def shown_frame(m: Measures, play: str, at: float | None) -> draw.Drawing:
    """The frame that was asked for; else the play's own moment (tell/moment.py), with the rep that is lost then."""
    if at is not None:
        return draw.frame(m, play, at)
    rows = [row for row in reps_of(m).arrow("reps").to_pylist() if row["play"] == play]
    row, time = moment.of_play(m, rows)
    return draw.frame(m, play, time, row if row and row["protector"] and row["rusher"] else None)


def rep_of(m: Measures, play: str, protector: str) -> dict[str, Any]:
    """The longest rep of a protector in a play."""
    rows = [row for row in reps_of(m).arrow("reps").to_pylist() if row["play"] == play and row["rusher"]]
    his = [row for row in rows if row["protector"] == protector]
    if not his:
        there = listed(sorted({row["protector"] for row in rows if row["protector"]}))
        raise InputError(f"--moments: found {shown(protector)}; accepted in play {shown(play)}: {there or 'nobody'}")
    return dict(max(his, key=lambda row: row["end"] - row["start"]))
