"""What the commands are given: games, settings and numbers, and where tables and pictures are to go."""

from __future__ import annotations

import argparse
import tomllib
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, Literal

import numpy as np

from .._core import FileError, InputError, Rules
from ..base.files import place_of
from ..base.text import first_line, listed, shown
from ..game.game import Game
from ..game.inputs import TABLES, table_in
from ..game.mapping import from_tables
from ..measures.folder import HDF5
from ..measures.reading import read
from ..measures.reps import Reps, reps_by
from ..trace.as_game import from_trace
from ..trace.journal import ENDING
from .terminal import one_line

MAP_KEYS = ("units", "origin", "y", "name", "time", "rate", "ball", "orientation", "columns", "values", "files")
PICTURES = (".svg", ".png", ".pdf")
PAGE = ".html"
LARGEST_MAP, LONGEST_LINE = 1 << 18, 1 << 13  # bytes; a name of thousands of parts takes minutes to read
MOST_NUMBERS = 1000  # in a range that is typed
READ = ("map", "corrections", "game", "against")  # options that name what is read, beside the inputs
WRITTEN = ("out", "table", "sheet")  # options that name what is written


def keep_apart(arguments: argparse.Namespace) -> None:
    """Before any work: FileError when what is to be written is, or lies in the way of, what is read."""
    read = read_files(arguments)
    for name in WRITTEN:
        if target := getattr(arguments, name, None):
            place = place_of(target)
            several = place.is_dir() and name == "out"  # a folder of outputs: targets_of looks at each
            place_of(target, () if several else read)


def read_files(arguments: argparse.Namespace) -> list[Path]:
    """The files that a command will read."""
    given = [Path(path) for name in READ if (path := getattr(arguments, name, None))]
    inputs = list(getattr(arguments, "inputs", None) or ())
    found = given + [Path(path) for path in inputs]
    map_file = getattr(arguments, "map", None)
    for folder in (path for path in found.copy() if path.is_dir()):
        try:
            found += (
                game_files([str(folder)], map_file)
                or table_paths([str(folder)], read_map(map_file).get("files", {}))[1].values()
            )
        except (InputError, FileError):  # which the command itself will say
            continue
    return found


def load(inputs: Sequence[str], map_file: str | None) -> list[tuple[str, Game]]:
    """The games of the inputs, each with a name for its file."""
    if traces := trace_files(inputs, map_file):
        return [(path.stem, from_trace(path)) for path in traces]
    if paths := game_files(inputs, map_file):
        games = [(path.stem, read(path)) for path in paths]
        for path, (_, game) in zip(paths, games, strict=True):
            if not isinstance(game, Game):
                raise InputError(f"{path}: found results; accepted: a game file")
        return games
    stem, tables, mapping = mapped_tables(inputs, map_file)
    return [(stem, from_tables(tables["tracks"], tables["snaps"], tables["people"], **mapping))]


def trace_files(inputs: Sequence[str], map_file: str | None) -> list[Path]:
    """The trace files that the inputs are; none when they are something else."""
    paths = [Path(path) for path in inputs]
    if not all(path.suffix.lower() == ENDING for path in paths):
        return []
    if map_file:
        raise InputError("--map: found with a trace; accepted: with tables, for a trace is in yards of the field")
    return paths


def game_files(inputs: Sequence[str], map_file: str | None) -> list[Path]:
    """The game files that the inputs are, or the folder holds; none when they are tables."""
    paths = [Path(path) for path in inputs]
    if len(paths) == 1 and paths[0].is_dir() and not map_file:
        files = sorted(path for path in paths[0].iterdir() if path.suffix.lower() in HDF5)
        paths = files or paths
    if not all(path.suffix.lower() in HDF5 for path in paths):
        return []
    if map_file:
        raise InputError("--map: found with game files; accepted: with tables, for a game file is mapped already")
    return paths


def mapped_tables(inputs: Sequence[str], map_file: str | None) -> tuple[str, dict[str, Path], dict[str, Any]]:
    """A name for the game's file, its three tables, and how they are to be read."""
    mapping = read_map(map_file)
    folder, tables = table_paths(inputs, mapping.pop("files", {}))
    stem = (folder or tables["tracks"].absolute().parent).absolute().name
    mapping.setdefault("name", stem)
    missing = [key for key in ("units", "origin", "y") if key not in mapping]
    if missing:
        where = f"{map_file}: lacks" if map_file else "no --map is given to state"
        raise InputError(
            f"{where} {', '.join(missing)}; accepted: units yd, m or ft; origin corner or center; y up or down "
            "(`shortedge check IN --draft-map` writes a first map)"
        )
    return stem, tables, mapping


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
        mapping = tomllib.loads(text.decode())
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


def table_paths(
    inputs: Sequence[str], files: Mapping[str, str], draft: bool = False
) -> tuple[Path | None, dict[str, Path]]:
    """The folder, if it is one, and the paths of the three tables."""
    if len(inputs) == 3:
        return None, dict(zip(TABLES, map(Path, inputs), strict=True))
    folder = Path(inputs[0])
    if len(inputs) != 1 or (folder.exists() and not folder.is_dir()):
        raise InputError(
            f"input: found {listed(inputs)}; accepted: a game file (.h5), a trace (.trace), a folder, or the three "
            "files tracks, snaps, people"
        )
    if not folder.exists():
        raise FileError(f"{folder}: no such file or folder")
    if not isinstance(files, Mapping) or not all(
        key in TABLES and isinstance(name, str) for key, name in files.items()
    ):
        raise InputError(f"[files]: found {shown(files)}; accepted: {', '.join(TABLES)}, each the name of a file")
    return folder, {
        table: folder / files[table] if table in files else table_in(folder, table, draft) for table in TABLES
    }


def one_play(command: str, arguments: argparse.Namespace) -> tuple[Game, str]:
    """The game and the play of a command that takes IN and PLAY."""
    if len(arguments.inputs) < 2:
        found = "one argument" if arguments.inputs else "no argument"
        raise InputError(f"{command}: found {found}; accepted: IN and PLAY")
    *inputs, play = arguments.inputs
    game = one_game(command, inputs, arguments.map)
    game.row(play)
    return game, play


def one_game(what: str, inputs: Sequence[str], map_file: str | None) -> Game:
    games = load(inputs, map_file)
    if len(games) > 1:
        raise InputError(f"{what}: found {len(games)} games; accepted: one")
    return games[0][1]


def loaded_reps(arguments: argparse.Namespace, threads: int | None) -> list[tuple[str, Game, Reps]]:
    """The reps of every game of the inputs, corrections laid over."""
    rules = rules_of(arguments.set)
    games = load(arguments.inputs, arguments.map)
    if arguments.corrections and len(games) > 1:
        raise InputError(f"--corrections: found {len(games)} games; accepted: one")
    return [(stem, game, reps_by(rules, game, arguments.corrections, threads)) for stem, game in games]


def labels_of(found: Iterable[tuple[str, Game, Reps]]) -> list[str]:
    return sorted({label for _, _, made in found for label in made.labels})


def targets_of(games: Sequence[tuple[str, Game]], out: Path, end: str = ".h5") -> list[Path]:
    """Where what is made of each game goes, none on what a game was read from; the folder of several is made."""
    sources = [source for _, game in games for source in game.sources]
    if len(games) == 1:
        place_of(out, sources)
        return [out]
    if out.suffix.lower() in (*HDF5, PAGE):
        raise InputError(f"--out is {shown(out.name)}; accepted for {len(games)} games: a folder")
    targets = [out / f"{stem}{end}" for stem, _ in games]
    twice = [name for name, count in Counter(targets).items() if count > 1]
    if twice:
        raise InputError(f"two inputs would both be written to {twice[0]}; accepted: files of different names")
    for target in targets:
        place_of(target, sources)
    out.mkdir(parents=True, exist_ok=True)
    return targets


# ----------------------------------------------------------------------------------------- settings and pictures


def rules_of(settings: Iterable[str]) -> Rules:
    return Rules(**settings_of(settings, "RULE=NUMBER, such as reach=1.1"))


def settings_of(settings: Iterable[str], accepted: str) -> dict[str, float]:
    """Numbers by name as they are typed: reach=1.1."""
    given: dict[str, float] = {}
    for setting in settings:
        name, _, value = setting.partition("=")
        try:
            given[name] = float(value)
        except ValueError:
            raise InputError(f"--set: found {shown(setting)}; accepted: {accepted}") from None
    return given


def noise_of(text: str | None) -> float | Literal["auto", "tracks"] | None:
    """Noise as it is typed: yd per axis, auto or tracks."""
    if text is None:
        return None
    if text == "auto" or text == "tracks":
        return "auto" if text == "auto" else "tracks"
    try:
        return float(text)
    except ValueError:
        raise InputError(f"--noise: found {shown(text)}; accepted: yd per axis, auto, tracks") from None


def numbers_of(name: str, text: str | None) -> list[float] | None:
    """Numbers as they are typed: 5,7,9,10 or first:last:step, the last one included."""
    if text is None:
        return None
    try:
        parts = [float(part) for part in text.split(":" if ":" in text else ",")]
    except ValueError:
        parts = []
    if ":" not in text and parts:
        return parts
    if len(parts) == 3 and np.isfinite(parts).all():
        first, last, step = parts
        if step > 0 and last >= first and (last - first) / step < MOST_NUMBERS:
            return [first + k * step for k in range(int((last - first) / step + 1e-9) + 1)]
    raise InputError(
        f"{name}: found {shown(text)}; accepted: numbers such as 5,7,9,10, or first:last:step, as 5:12:0.5"
    )


def picture_path(path: str, accepted: Sequence[str] = PICTURES) -> None:
    if Path(path).suffix.lower() not in accepted:
        raise InputError(f"picture {shown(path)}; accepted: a name that ends in {', '.join(accepted)}")


def save_picture(figure: Any, path: str) -> None:
    picture_path(path)
    figure.savefig(path)
    print(f"picture in {one_line(path)}")


def save_study(study: Any, picture: Callable[[Any], Any], arguments: argparse.Namespace) -> None:
    """Keeps a study's table and its picture where they are asked for."""
    if arguments.table:
        study.save(arguments.table)
        print(f"table in {one_line(arguments.table)}")
    if arguments.out:
        save_picture(picture(study), arguments.out)
