"""`shortedge check`: what is in the input, and what is wrong with it."""

from __future__ import annotations

import argparse

from .. import draw
from .._core import InputError
from ..base.sources import TABLE_FILES
from ..game.draft import draft_map
from ..game.inputs import FILMS, TABLES
from .games import given_games, load, table_paths
from .inputs import save_picture
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
        given = given_games(arguments.inputs)
        if len(given) > 1 or not given[0].mapped:
            raise InputError("--draft-map: accepted: the tables of one game, as a folder or as three files")
        paths = table_paths(given[0], {}, draft=True)
        expected = {f"{table}{end}" for table in (*TABLES, FILMS) for end in TABLE_FILES}
        odd = not given[0].tables and any(path.name not in expected for path in paths.values())
        print(draft_map(paths, {table: path.name for table, path in paths.items()} if odd else {}), end="")
        return 0
    games = load(arguments.inputs, arguments.map)
    if arguments.sheet and len(games) > 1:
        raise InputError(f"--sheet: found {len(games)} games; accepted: one")
    for _, game in games:
        print("\n".join(inspection(game)))
    if arguments.sheet:
        save_picture(draw.sheet(games[0][1]), arguments.sheet)
    return int(any(len(game.problems) for _, game in games))
