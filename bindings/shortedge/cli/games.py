"""The games that commands are given: folders, files and traces, one or several, each read by its mapping."""

from __future__ import annotations

import argparse
import os
import tomllib
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from .. import _core
from .._core import FileError, InputError
from ..base.files import place_of
from ..base.sources import TABLE_FILES
from ..base.text import first_line, listed, nearest, shown
from ..game.game import Game
from ..game.inputs import FILMS, TABLES, films_in, table_in
from ..game.mapping import from_tables
from ..measures.corrections import corrections_of
from ..measures.folder import HDF5, holds
from ..measures.reading import PLAN, read
from ..measures.reps import FIRST_TITLES, Reps, reps_by
from ..measures.results import TITLES
from ..season.one_man import is_season, plays_of
from ..trace.as_game import from_trace
from ..trace.journal import ENDING
from .inputs import rules_of

MAP_KEYS = ("units", "origin", "y", "name", "time", "rate", "ball", "orientation", "columns", "values", "files")
OWN_MAP = "map.toml"  # of a folder, taken when no --map is given
INPUT = (
    "a game file (.h5), a trace (.trace), a folder with the tables tracks, snaps and people, or the three files "
    "tracks, snaps, people; or several of these"
)
READ = ("inputs", "map", "corrections", "game", "against", "against_in")  # what arguments name that is read
WRITTEN = ("out", "table", "sheet")  # and that is written
LARGEST_MAP, LONGEST_LINE = 1 << 18, 1 << 13  # bytes; a name of thousands of parts takes minutes to read
KEEP = "shortedge keep IN --map map.toml -o game.h5"


@dataclass(frozen=True)
class Given:
    """One game as it was given: a file, or three tables in a folder or by themselves."""

    path: Path  # the file or folder; of three tables the first
    tables: tuple[Path, ...] = ()  # when they were named one by one
    mapped: bool = False  # whether it needs a mapping

    def stems(self) -> tuple[str, ...]:
        """Names for it, each longer than the one before."""
        at = self.path.absolute()
        if self.tables:
            first = at.name.split(".")[0]
            return at.parent.name, f"{at.parent.name}/{first}", str(at)
        stem = at.name if self.mapped else at.stem
        return stem, f"{at.parent.name}/{stem}", str(at)


def keep_apart(arguments: argparse.Namespace) -> None:
    """Before any work: FileError when what is to be written is, or lies in the way of, what is read; `arguments.read`
    is that from now on."""
    arguments.read = read = read_files(arguments)
    for name in WRITTEN:
        if target := getattr(arguments, name, None):
            place = place_of(target)
            several = place.is_dir() and name == "out"  # a folder of outputs: targets_of looks at each
            place_of(target, () if several else read)


def read_files(arguments: argparse.Namespace) -> list[Path]:
    """The files that a command will read."""
    found: list[Path] = []
    for name in READ:
        given = getattr(arguments, name, None)
        found += map(Path, [given] if isinstance(given, str) else given or ())
    for path in found.copy():
        if path.is_dir():
            try:
                own = given_games([str(path)])
                given = getattr(arguments, "map", None)
                maps = maps_of(own, [given] if isinstance(given, str) else given)
                for one, (map_file, _) in zip((one for one in own if one.mapped), maps, strict=False):
                    found += table_paths(one, read_map(map_file).get("files", {})).values()
                found += [one.path for one in own if not one.mapped]
            except (InputError, FileError):  # which the command itself will say
                continue
    return found


def load(inputs: Sequence[str], maps: Sequence[str] | None) -> list[tuple[str, Game]]:
    """The games of the inputs, each with a name for its file. One mapping is for all tables, several are one each."""
    given = given_games(inputs)
    stems = told_apart(given)
    mappings = iter(maps_of(given, maps))
    games = []
    for one, stem in zip(given, stems, strict=True):
        if one.mapped:
            games.append((stem, mapped_game(one, stem, *next(mappings))))
        elif one.path.suffix.lower() == ENDING:
            games.append((stem, from_trace(one.path)))
        else:
            games.append((stem, game_file(one.path)))
    return games


def game_file(path: Path) -> Game:
    if path.exists() and _core.file_kind(os.fspath(path)) != "game":
        raise InputError(results_given(path))
    game: Game = read(path)
    return game


def results_given(path: Path) -> str:
    return (
        f"{path}: found results, which hold no coordinates; accepted: the game they were made of: its tables with "
        f"--map, or a game file (`{KEEP}` writes one)"
    )


def given_games(inputs: Sequence[str]) -> list[Given]:
    """What each input is, folders of games taken apart."""
    found: list[Given] = []
    paths = [Path(path) for path in inputs]
    while paths:
        path = paths.pop(0)
        if path.is_dir():
            found += in_folder(path)
        elif path.suffix.lower() in (*HDF5, ENDING):
            found.append(Given(path))
        elif path.name.lower().endswith(TABLE_FILES):
            tables = (path, *paths[:2])
            if len(tables) < 3 or not all(one.name.lower().endswith(TABLE_FILES) for one in tables):
                raise InputError(f"input: found {listed([str(one) for one in tables])}; accepted: {INPUT}")
            del paths[:2]
            found.append(Given(path, tables, True))
        elif not path.exists():
            raise FileError(f"{path}: no such file or folder")
        else:
            excel = path.suffix.lower() in (".xlsx", ".xls", ".ods")
            how = "; save each sheet as CSV UTF-8 first" if excel else ""
            raise InputError(f"input: found {shown(str(path))}; accepted: {INPUT}{how}")
    return found


def in_folder(folder: Path) -> list[Given]:
    """The games of a folder: its tables, else its game files and traces, else those of the folders in it."""
    if (folder / PLAN).is_file():
        raise InputError(
            f"{folder}: found the results of a season; accepted here: games (one man of a season: shortedge player ID "
            f"{folder} -o page.html)"
        )
    if holds(folder, TITLES) or holds(folder, FIRST_TITLES):
        raise InputError(results_given(folder))
    there = sorted(folder.iterdir())
    files = [path for path in there if path.suffix.lower() in (*HDF5, ENDING)]
    games = [path for path in files if path.suffix.lower() == ENDING or _core.file_kind(os.fspath(path)) == "game"]
    tables = [path for path in there if path.name.lower().endswith(TABLE_FILES)]
    if games and (not tables or not (folder / OWN_MAP).is_file()):
        return [Given(path) for path in games]
    if files and not tables and not games:
        raise InputError(results_given(files[0]))
    inner = [path for path in there if path.is_dir() and not path.name.startswith(".")]
    if not tables and inner:
        return [one for path in inner for one in in_folder(path)]
    return [Given(folder, mapped=True)]


def told_apart(given: Sequence[Given]) -> list[str]:
    """A name for each, the shortest by which all differ."""
    for names in zip(*(one.stems() for one in given), strict=True):
        if len(set(names)) == len(names):
            return list(names)
    twice = next(name for name, count in Counter(one.stems()[-1] for one in given).items() if count > 1)
    raise InputError(f"{twice}: given twice; accepted: each game once")


def maps_of(given: Sequence[Given], maps: Sequence[str] | None) -> list[tuple[str | None, bool]]:
    """The mapping file of each input that needs one, and whether it is for that one alone."""
    needed = [one for one in given if one.mapped]
    if maps and not needed:
        if all(one.path.suffix.lower() == ENDING for one in given):
            raise InputError("--map: found with a trace; accepted: with tables, for a trace is in yards of the field")
        raise InputError("--map: found with game files; accepted: with tables, for a game file is mapped already")
    if not maps:
        own = [one.path / OWN_MAP for one in needed]
        return [(str(path) if path.is_file() else None, True) for path in own]
    if len(maps) not in (1, len(needed)):
        raise InputError(
            f"--map: found {len(maps)} for {len(needed)} games of tables; accepted: one for all, or one each, in the "
            "order of the games"
        )
    if len(maps) == 1:
        return [(maps[0], len(needed) == 1)] * len(needed)
    return [(map_file, True) for map_file in maps]


def mapped_game(one: Given, stem: str, map_file: str | None, own: bool) -> Game:
    tables, mapping = mapped_tables(one, stem, map_file, own)
    films = tables.pop(FILMS, None)
    return from_tables(tables["tracks"], tables["snaps"], tables["people"], films=films, **mapping)


def mapped_tables(one: Given, stem: str, map_file: str | None, own: bool) -> tuple[dict[str, Path], dict[str, Any]]:
    """The tables of a game, and how they are to be read. own: the mapping is for this game alone."""
    mapping = read_map(map_file)
    tables = table_paths(one, mapping.pop("files", {}))
    if not own:
        mapping.pop("name", None)  # one name would be that of all
    mapping.setdefault("name", stem)
    missing = [key for key in ("units", "origin", "y") if key not in mapping]
    if missing:
        where = f"{map_file}: lacks" if map_file else "no --map is given to state"
        raise InputError(
            f"{where} {', '.join(missing)}; accepted: units yd, m or ft; origin corner or center; y up or down "
            "(`shortedge check IN --draft-map` writes a first map)"
        )
    return tables, mapping


def read_map(map_file: str | None) -> dict[str, Any]:
    if map_file is None:
        return {}
    try:
        with Path(map_file).open("rb") as file:
            text = file.read(LARGEST_MAP + 1)
        if len(text) > LARGEST_MAP or max(map(len, text.split(b"\n"))) > LONGEST_LINE:
            raise InputError(
                f"{map_file}: accepted: a map of at most {LARGEST_MAP} bytes, and {LONGEST_LINE} in a line"
            )
        mapping = tomllib.loads(text.decode("utf-8-sig").replace("\r\n", "\n"))
        check_numbers(mapping, map_file)
    except OSError as why:
        raise FileError(f"{map_file}: {why.strerror}") from why
    except RecursionError as why:
        raise InputError(f"{map_file}: is nested too deep; accepted: tables of names and words") from why
    except InputError:
        raise
    except ValueError as why:  # no TOML, no UTF-8, or a number with more digits than are read
        raise InputError(f"{map_file}: {first_line(why)}") from why
    for key in mapping:
        if key not in MAP_KEYS:
            raise InputError(f"{map_file}: found the key {shown(key)}; accepted: {', '.join(MAP_KEYS)}")
    return mapping


def check_numbers(value: Any, map_file: str) -> None:
    """InputError for a whole number of more than 64 bits, which TOML has not."""
    if isinstance(value, int) and not -(2**63) <= value < 2**63:
        raise InputError(f"{map_file}: found a whole number of {value.bit_length()} bits; accepted: at most 64")
    for inner in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
        check_numbers(inner, map_file)


def table_paths(one: Given, files: Mapping[str, str], draft: bool = False) -> dict[str, Path]:
    """The paths of a game's three tables, and of its films where it has them."""
    if one.tables:
        return dict(zip(TABLES, one.tables, strict=True))
    known = (*TABLES, FILMS)
    if not isinstance(files, Mapping) or not all(key in known and isinstance(name, str) for key, name in files.items()):
        raise InputError(f"[files]: found {shown(files)}; accepted: {', '.join(known)}, each the name of a file")
    folder = one.path
    tables = {table: folder / files[table] if table in files else table_in(folder, table, draft) for table in TABLES}
    films = folder / files[FILMS] if FILMS in files else films_in(folder)
    return tables | ({FILMS: films} if films else {})


def one_play(command: str, arguments: argparse.Namespace) -> tuple[Game, str]:
    """The game and the play of a command that takes IN and PLAY."""
    if len(arguments.inputs) < 2:
        found = "one argument" if arguments.inputs else "no argument"
        raise InputError(f"{command}: found {found}; accepted: IN and PLAY")
    *inputs, play = arguments.inputs
    game = one_game(command, inputs, arguments.map)
    game.row(play)
    return game, play


def one_game(what: str, inputs: Sequence[str], maps: Sequence[str] | None) -> Game:
    games = load(inputs, maps)
    if len(games) > 1:
        raise InputError(f"{what}: found {len(games)} games; accepted: one")
    return games[0][1]


def loaded_reps(
    arguments: argparse.Namespace, threads: int | None, players: Sequence[str] = ()
) -> list[tuple[str, Game, Reps]]:
    """The reps of every game of the inputs, corrections laid over. players: out of a season, only plays of these men
    are read, and its rules hold."""
    rules = rules_of(arguments.set)
    if players and len(arguments.inputs) == 1 and is_season(arguments.inputs[0]):
        if arguments.map or arguments.set:
            raise InputError("--map, --set: found with a season, which was measured by its own; accepted: with games")
        found = plays_of(arguments.inputs[0], players)
        games, rules = [(game.name, game) for game in found.games], found.rules
    else:
        games = load(arguments.inputs, arguments.map)
    names = [game.name for _, game in games]
    given = corrections_of(arguments.corrections, names) if arguments.corrections else {}
    return [(stem, game, reps_by(rules, game, given.get(game.name), threads)) for stem, game in games]


def unknown_players(what: str, wanted: Iterable[str], reps: Sequence[Reps]) -> None:
    """InputError for a man who is in none of the games, with those of the nearest ids."""
    known = sorted({player for made in reps for player in made.player_ids})
    games = listed([made.game_name for made in reps], 5)
    for player in wanted:
        if player not in known:
            raise InputError(f"{what}: found {shown(player)}; no such player in {games}{nearest(player, known)}")
