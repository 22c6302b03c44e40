"""`shortedge check`: what is in the input, and what is wrong with it."""

from __future__ import annotations

import argparse

from .. import draw
from .._core import InputError
from ..base.sources import TABLE_FILES
from ..game.draft import draft_map
from ..game.inputs import TABLES
from .inputs import load, save_picture, table_paths
from .parsing import Commands, add_games, add_map
from .terminal import inspection

EXAMPLES = """\
  shortedge check game/ --draft-map > map.toml
  shortedge check game/ --map map.toml --sheet snaps.png   every snap drawn: is LT on the left?"""


def add(commands: Commands) -> None:
    made = commands.add("check", run, "Say what is in the input and what is wrong with it.", EXAMPLES)
    add_games(made)
    made.add_argument(
        "--draft-map", action="store_true", help="write a first mapping, guessed from the column names, to stdout"
    )
    made.add_argument("--sheet", metavar="PICTURE", help="a sheet of snap frames, to see whether the mapping is right")
    add_map(made)


def run(arguments: argparse.Namespace) -> int:
    if arguments.draft_map:
        folder, paths = table_paths(arguments.inputs, {}, draft=True)
        expected = {f"{table}{end}" for table in TABLES for end in TABLE_FILES}
        odd = folder is not None and any(path.name not in expected for path in paths.values())
        print(draft_map(paths, {table: path.name for table, path in paths.items()} if odd else {}), end="")
        return 0
    games = load(arguments.inputs, arguments.map)
    if arguments.sheet and len(games) > 1:
        raise InputError(f"--sheet: found {len(games)} games; accepted: one")
    for _, game in games:
        print("\n".join(inspection(game)))
    if arguments.sheet:
        save_picture(draw.sheet(games[0][1]), arguments.sheet)
    return int(not all(game.is_whole for _, game in games))
