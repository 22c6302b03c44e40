"""`shortedge drop`: what another depth of the drop would have asked, or break-even depths."""

from __future__ import annotations

import argparse

from .. import draw
from .._core import InputError
from ..base.text import listed
from ..measures.drops import (
    DEPTHS,
    SPEED_RATIOS,
    TABLE_ENDS,
    WIDTHS,
    BreakEven,
    DropStudy,
    break_even_study,
    drop_study,
    table_path,
)
from .games import one_play
from .inputs import PICTURES, numbers_of, picture_path, rules_of, save_study
from .parsing import IN, Commands, add_map, add_set
from .terminal_drops import drop_summary, still_summary

EXAMPLES = """\
  shortedge drop game.h5 P040 --depths 5,7,9,10 -o drops.svg
  shortedge drop game.h5 P040 --depths 5:12:0.5 --table drops.csv
  shortedge drop --still --widths 1:5:0.5 -o break_even.svg   break-even depths, no play"""


def add(commands: Commands) -> None:
    made = commands.add(
        "drop",
        run,
        "What another depth of the drop would have asked of the edge protectors of a play; or, with --still, "
        "break-even depths of a still frame.",
        EXAMPLES,
        usage="%(prog)s IN PLAY [options]\n       %(prog)s --still [options]",
    )
    made.add_argument("inputs", nargs="*", metavar="IN PLAY", help=IN + "; then the play")
    made.add_argument("--depths", metavar="YD", help="5,7,9,10 or first:last:step, such as 5:12:0.5")
    made.add_argument("--still", action="store_true", help="no play: alignment width by the protector's speed")
    made.add_argument(
        "--widths", metavar="YD", help="with --still: yd the rusher stands outside the tackle, as --depths"
    )
    made.add_argument(
        "--speed-ratios",
        metavar="K",
        help="with --still: the protector's speed as a share of the rusher's, as --depths",
    )
    made.add_argument("-o", "--out", metavar="PICTURE", help=f"a picture ({', '.join(PICTURES)})")
    made.add_argument("--table", metavar="FILE", help=f"the table ({', '.join(TABLE_ENDS)})")
    add_map(made)
    add_set(made)


def run(arguments: argparse.Namespace) -> int:
    rules = rules_of(arguments.set)
    if arguments.out:
        picture_path(arguments.out)
    if arguments.table:
        table_path(arguments.table)
    depths = numbers_of("--depths", arguments.depths)
    widths, ratios = (
        numbers_of(f"--{name.replace('_', '-')}", getattr(arguments, name)) for name in ("widths", "speed_ratios")
    )
    study: DropStudy | BreakEven
    if arguments.still:
        if arguments.inputs:
            raise InputError(f"--still: found {listed(arguments.inputs)}; accepted: no IN and no PLAY")
        study = break_even_study(widths=widths or WIDTHS, depths=depths or DEPTHS, speed_ratios=ratios or SPEED_RATIOS)
        print("\n".join(still_summary(study)))
    else:
        for name, values in (("--widths", widths), ("--speed-ratios", ratios)):
            if values is not None:
                raise InputError(f"{name}: found without --still; accepted: with it")
        game, play = one_play("drop", arguments)
        study = drop_study(game, play, depths=depths, rules=rules)
        print("\n".join(drop_summary(study)))
    save_study(study, draw.break_even if isinstance(study, BreakEven) else draw.drop_curves, arguments)
    return 0
