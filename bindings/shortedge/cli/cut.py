"""`shortedge cut`: a cut list of chosen reps."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any, get_args

import numpy as np

from .. import draw
from .._core import InputError
from ..base.vocabulary import OUTCOMES
from ..measures.reps import Reps
from ..measures.summary import check_labels
from ..tell.cut import ENDS, At, cut_arrow
from .games import loaded_reps, unknown_players
from .inputs import labels_of
from .parsing import Commands, add_film, add_games, add_labels, add_map, add_set
from .terminal import one_line, table

EXAMPLES = """\
  shortedge cut game.h5 --player TK-63 --outcome beat -o guard.otio
  shortedge cut week1.h5 week2.h5 --top 12 -o worst.csv
  shortedge cut game.trace --player TK-63 --with-film -o guard.csv      and every clip drawn, in guard_clips/"""


def add(commands: Commands) -> None:
    made = commands.add("cut", run, "Write a cut list of chosen reps: where they are on the film.", EXAMPLES)
    add_games(made)
    made.add_argument("-o", "--out", required=True, metavar="LIST", help=f"the cut list ({', '.join(ENDS)})")
    made.add_argument("--player", action="append", default=[], metavar="ID", help="reps of this man, on either side")
    made.add_argument("--outcome", action="append", default=[], choices=OUTCOMES, help="reps that ended so")
    made.add_argument("--ball-out", action="store_true", help="reps lost, but with the ball out before any pressure")
    made.add_argument("--min-short-edge-seconds", type=float, metavar="S", help="reps with a short edge that long")
    made.add_argument(
        "--top", type=int, metavar="N", help="the N with the longest short edge, then the most exposed; worst first"
    )
    made.add_argument("--at", choices=get_args(At), help="the moment a clip is about; the usual one, if not said")
    made.add_argument("--before", type=float, default=3.0, metavar="S", help="s before that moment (3)")
    made.add_argument("--after", type=float, default=2.0, metavar="S", help="s after it (2)")
    made.add_argument(
        "--angle", help="which film, by its angle (else by its file); the first of each play, if not said"
    )
    made.add_argument("--rate", help="frames a second of the film, where the game does not say")
    add_film(made, "also draw every clip, the pocket on its grass, into a folder beside the list")
    add_labels(made)
    add_map(made)
    add_set(made)


def run(arguments: argparse.Namespace) -> int:
    found = loaded_reps(arguments, None, arguments.player)
    check_labels(arguments.without_label, labels_of(found))
    unknown_players("--player", arguments.player, [made for _, _, made in found])
    rows = [row for _, _, made in found for row in chosen(made, arguments)]
    if arguments.top is not None:
        if arguments.top < 1:
            raise InputError(f"--top is {arguments.top}; accepted: 1 or more")
        rows = sorted(rows, key=lambda row: (-row["short_edge_seconds"], -np.nan_to_num(row["peak_outside"])))[
            : arguments.top
        ]
    if not rows:
        raise InputError("no rep is left to cut; accepted: filters that leave one or more")
    columns = {name: [row[name] for row in rows] for name in rows[0]}
    maker = None
    if arguments.with_film:
        games = {game.name: game for _, game, _ in found}
        maker = draw.clip_maker(games, {game.name: made for _, game, made in found})
    clips = cut_arrow(
        columns,
        [game for _, game, _ in found],
        before=arguments.before,
        after=arguments.after,
        out=arguments.out,
        at=arguments.at,
        angle=arguments.angle,
        rate=arguments.rate,
        draw=maker,
    )
    lines = [("clip", "angle", "film", "after the snap", "rep", "why")]
    without = 0
    for clip in clips.to_pylist():
        without += clip["angle"] is None
        seconds = f"{clip['start']:.1f} to {clip['end']:.1f}"
        lines.append(
            (str(clip["clip"]), clip["angle"] or "-", clip["film_clock"] or "-", seconds, clip["name"], clip["why"])
        )
    print("\n".join(table(lines)))
    if without:
        print(f"{without} of {len(lines) - 1} reps are on no film: find them by play and seconds after the snap")
    if drawn := sum(name is not None for name in clips["drawn_file"].to_pylist()):
        folder = Path(arguments.out).with_name(f"{Path(arguments.out).stem}_clips")
        print(f"{drawn} drawn clips in {one_line(str(folder))}: pass them on only as you may pass on the film")
    print(f"cut list in {one_line(arguments.out)}; film: minutes and seconds where the clip starts, on the angle named")
    return int(not all(game.is_whole for _, game, _ in found))


def chosen(made: Reps, arguments: argparse.Namespace) -> list[dict[str, Any]]:
    """The rows of the reps table that the arguments ask for."""
    label = dict(zip(*(made.arrow("dropbacks")[name].to_pylist() for name in ("play", "label")), strict=True))
    least = arguments.min_short_edge_seconds
    players = set(arguments.player)
    return [
        row
        for row in made.arrow("reps").to_pylist()
        if (not players or players & {row["protector"], row["rusher"]})
        and (not arguments.outcome or row["outcome"] in arguments.outcome)
        and (not arguments.ball_out or row["ball_out"])
        and (least is None or row["short_edge_seconds"] >= least - 1e-6)
        and label[row["play"]] not in arguments.without_label
    ]
