"""`shortedge keep`: games as one file each, which need no mapping."""

from __future__ import annotations

import argparse
from pathlib import Path

from .._core import InputError
from ..base.text import shown
from ..measures.folder import HDF5
from .games import load
from .inputs import targets_of
from .parsing import Commands, add_games, add_map
from .terminal import left_out, one_line

EXAMPLES = """\
  shortedge keep game/ --map map.toml -o game.h5
  shortedge keep g1/ g2/ g3/ --map map.toml -o games/      a file each"""


def add(commands: Commands) -> None:
    made = commands.add(
        "keep",
        run,
        "Keep a game as one file: every other command then takes it without a mapping.",
        EXAMPLES,
    )
    add_games(made)
    made.add_argument("-o", "--out", required=True, help="the file (.h5); of several games, a folder")
    add_map(made)


def run(arguments: argparse.Namespace) -> int:
    games, out = load(arguments.inputs, arguments.map), Path(arguments.out)
    if len(games) == 1 and out.suffix.lower() not in HDF5:
        raise InputError(f"--out is {shown(out.name)}; accepted: a name that ends in {HDF5[0]}")
    for (_, game), target in zip(games, targets_of(games, out, arguments), strict=True):
        game.save(target)
        plays = len(game.measured())
        print(f"{one_line(game.name)}: {plays} plays to measure, {len(game.core.problems)} skipped")
        print("\n".join([*left_out(game), f"game in {one_line(str(target))}"]))
    return int(not all(game.is_whole for _, game in games))
