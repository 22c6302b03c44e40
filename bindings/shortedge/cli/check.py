"""`shortedge check`: what is in the input, and what is wrong with it."""

from __future__ import annotations

import argparse
from pathlib import Path

from .. import draw
from .._core import FileError, InputError
from ..base.sources import TABLE_FILES
from ..game.draft import draft_map, likely_tables
from ..game.inputs import FILMS, TABLES
from .games import Given, given_games, load, table_paths
from .inputs import save_picture
from .parsing import Commands, add_games, add_map
from .terminal import inspection

MOST_FILES = 8  # of a folder whose tables are told by their columns

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
        paths = drafted_tables(given[0])
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
    return int(not all(game.is_whole for _, game in games))


def drafted_tables(given: Given) -> dict[str, Path]:
    """The tables to draft a mapping for: by their names, else by their columns."""
    try:
        return table_paths(given, {}, draft=True)
    except FileError:
        names = sorted(path.name for path in given.path.iterdir() if path.name.lower().endswith(TABLE_FILES))
        if given.tables or not len(TABLES) <= len(names) <= MOST_FILES:
            raise
        return likely_tables(given.path, names, TABLES)
