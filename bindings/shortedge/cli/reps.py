"""`shortedge reps`: who blocked whom and how it ended."""

from __future__ import annotations

import argparse
from pathlib import Path

from .._core import InputError
from ..measures.splits import DEFAULT, OWN
from ..measures.summary import check_labels
from .games import loaded_reps
from .inputs import labels_of, targets_of
from .parsing import Commands, add_games, add_labels, add_map, add_marks, add_set
from .terminal import one_line, rep_summary

EXAMPLES = """\
  shortedge reps game.h5 -o reps.h5
  shortedge reps game.h5 -o reps.h5 --by protector --by technique --without-label screen
  shortedge reps game.h5 -o reps.h5 --by down              by a column of yours
  shortedge reps game.h5 -o reps.h5 --by hash --marks college
  shortedge reps game.h5 -o reps.h5 --of exchanges         stunts and pass-offs, a line a pair of neighbours
  shortedge reps game.h5 -o reps.h5 --of looks --by defender --by spot"""


def add(commands: Commands) -> None:
    made = commands.add("reps", run, "Who blocked whom and how it ended: keep the reps, print a summary.", EXAMPLES)
    add_games(made)
    made.add_argument(
        "-o", "--out", required=True, help="a file (.h5) or folder for the reps; of several games, a folder"
    )
    made.add_argument(
        "--of",
        choices=tuple(OWN),
        default="reps",
        help="what is summed up: reps; exchanges (stunts and pass-offs); searches (who was free to look for work); or "
        "looks (who showed and who came). All of them are kept",
    )
    made.add_argument(
        "--by",
        action="append",
        metavar="KEY",
        help="print a line each, of protector, rusher, technique, set_type, lane, helped, exchanged, drop_depth, "
        "alignment, rushers, field_side, wide_side, hash, passer, or a column of yours, such as down; given again, a "
        "line each combination (protector, if not said). The other tables have keys of their own (pair; man; spot and "
        "deep_over, if not said): an unknown one names them",
    )
    add_marks(made)
    made.add_argument("--threads", type=int, help="how many threads; as many as there are, if not said")
    add_labels(made)
    add_map(made)
    add_set(made)


def run(arguments: argparse.Namespace) -> int:
    found = loaded_reps(arguments, arguments.threads)
    by = arguments.by or list(DEFAULT[arguments.of])
    check_labels(arguments.without_label, labels_of(found))
    for _, game, made in found:
        try:
            made._splitting(arguments.marks).checked(arguments.of, by)
        except InputError as error:  # a column that one game has and another has not
            raise InputError(f"{one_line(game.name)}: {error}" if len(found) > 1 else str(error)) from None
    targets = targets_of([(stem, game) for stem, game, _ in found], Path(arguments.out), arguments)
    for (_, game, made), target in zip(found, targets, strict=True):
        made.save(target)
        print("\n".join(rep_summary(game, made, arguments.of, by, arguments.without_label, arguments.marks)))
        print(f"reps in {one_line(str(target))}")
    return int(not all(game.is_whole for _, game, _ in found))
