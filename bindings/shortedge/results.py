"""Measuring a game, and what comes out: tables that can be kept in a file."""

from __future__ import annotations

import json
import math
import os
import shutil
import sys
import tempfile
import time as clock
from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, astuple, dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, cast

import numpy as np
import numpy.typing as npt

from . import _core
from ._core import FileError, InputError, Rules
from .game import Game
from .tables import Library, as_library, first_line, from_codes, output_library, shown, word

if TYPE_CHECKING:
    import pyarrow as pa
    from matplotlib.figure import Figure

Progress = Callable[[int, int], object] | Literal[False] | None
Coded = Mapping[str, Mapping[str, npt.NDArray[Any]]]  # title, column: names and words as codes

TITLES = ("frames", "edges", "rushers")
MOST_SEED = 2**63 - 1
HDF5 = (".h5", ".hdf5")


@dataclass(frozen=True)
class Noise:
    """The noise of position that bands were made with. found: how sigma was come by."""

    sigma: float  # yd per axis
    draws: int
    seed: int
    found: str = "stated"


def measure(
    game: Game,
    rules: Rules | None = None,
    *,
    noise: float | Literal["auto"] | None = None,
    draws: int = 100,
    seed: int = 1,
    threads: int | None = None,
    progress: Progress = None,
) -> Measures:
    """Measures every play of a game that has no problem.

    noise: yd per axis; then everything is measured again on `draws` draws (2 to 2000) of noise of position, correlated
    in time (0.7 s), for m.bands; a `seed` (0 or more) gives the same draws whatever the threads and the other plays.
    "auto": estimated from linemen at rest before the snap, and said in m.noise. Velocities are fitted to the noisy
    places, but recorded ones are kept as they are.

    threads: as many as the machine has when None; the result is the same to the bit for any number. progress: None
    shows a bar on a terminal for work over two seconds, False nothing, a function is called with (done, all) plays now
    and then. Raises InputError for arguments of another kind.
    """
    check_game(game)
    if rules is not None and not isinstance(rules, Rules):
        raise InputError(f"rules is {shown(rules)}; accepted: Rules(...)")
    rules = rules or Rules()
    used = noise_of(game, noise, draws, seed)
    coded = worked(_core.measure, game, rules, threads, progress)
    return Measures(
        coded,
        game.play_ids,
        game.player_ids,
        rules,
        game.name,
        game.digest,
        _core.__version__,
        game.library,
        used,
        banded(_core.bands, game, rules, used, threads, progress),
        game,
    )


def noise_of(game: Game, noise: object, draws: object, seed: object) -> Noise | None:
    """The noise that is asked for. InputError when it makes no sense, or cannot be estimated."""
    for name, value, least, most in (("draws", draws, 2, 2000), ("seed", seed, 0, MOST_SEED)):
        if not isinstance(value, int | np.integer) or isinstance(value, bool) or not least <= value <= most:
            raise InputError(f"{name} is {shown(value)}; accepted: a whole number from {least} to {most}")
    if noise is None:
        return None
    many, first = int(cast(int, draws)), int(cast(int, seed))
    if isinstance(noise, str) and noise == "auto":
        sigma, stances = _core.estimate_noise(game.core)
        return Noise(sigma, many, first, f"estimated from {stances} stances of linemen before the snap")
    if isinstance(noise, bool) or not isinstance(noise, int | float | np.integer | np.floating):
        raise InputError(f'noise is {shown(noise)}; accepted: yd per axis, "auto", None')
    if not (noise >= 0 and math.isfinite(noise)):
        raise InputError(f"noise is {noise}; accepted: yd per axis, 0 or more")
    return Noise(float(noise), many, first)


def banded(
    work: Callable[..., Any], game: Game, rules: Rules, noise: Noise | None, threads: int | None, progress: Progress
) -> Coded | None:
    """What the compiled side's `work` makes of a game's draws of noise; None without noise."""
    if noise is None:
        return None

    def draw(core: _core.Game, rules: Rules, threads: int, progress: Any) -> Any:
        return work(core, rules, noise.sigma, noise.draws, noise.seed, threads, progress)

    return worked(draw, game, rules, threads, progress)


def check_game(game: object) -> None:
    if not isinstance(game, Game):
        raise InputError(f"game is {type(game).__name__}; accepted: a Game, made by from_tables, read or example")


def worked(work: Callable[..., Any], game: Game, rules: Rules, threads: int | None, progress: Progress) -> Coded:
    """What the compiled side's `work` makes of a game; `threads` and `progress` as in `measure`."""
    if threads is not None and (not isinstance(threads, int) or isinstance(threads, bool) or threads < 1):
        raise InputError(f"threads is {shown(threads)}; accepted: a whole number from 1, None")
    bar = Bar() if progress is None and sys.stderr.isatty() else None
    try:
        return cast(Coded, work(game.core, rules, threads or 0, bar or progress or None))
    finally:
        if bar:
            bar.clear()


class Bar:
    """A progress bar on stderr, shown when the work has taken two seconds."""

    width = 30

    def __init__(self) -> None:
        self.start, self.drawn = clock.monotonic(), False

    def __call__(self, done: int, all: int) -> None:
        if clock.monotonic() - self.start > 2:
            full = self.width * done // max(all, 1)
            sys.stderr.write(f"\r[{'#' * full}{'.' * (self.width - full)}] {done} of {all} plays")
            sys.stderr.flush()
            self.drawn = True

    def clear(self) -> None:
        if self.drawn:
            sys.stderr.write("\r\033[K")


@dataclass(eq=False, repr=False)
class Results:
    """Tables of one game as codes and numbers, and what they were made with."""

    coded: Coded
    play_ids: list[str]
    player_ids: list[str]
    rules: Rules
    game_name: str
    digest: str  # of the game: Game.digest
    library_version: str = _core.__version__  # of shortedge, when it measured
    library: Library = "pandas"
    noise: Noise | None = None  # that the bands were made with
    band_coded: Coded | None = field(default=None, repr=False)

    def band_arrow(self, title: str) -> pa.Table:
        """The bands of one of the tables as an Arrow table. InputError when there are none."""
        if self.band_coded is None:
            raise InputError("measured without noise, so there are no bands; accepted: measure(game, noise=...)")
        return self._uncoded(title, {**self.coded[title], **self.band_coded[f"{title}_bands"]}, _core.band_columns())

    def arrow(self, title: str) -> pa.Table:
        """One of the tables as an Arrow table: texts, float64, int32, bool."""
        return self._uncoded(title, self.coded[title])

    @property
    def _names(self) -> dict[str, list[str]]:
        return {"plays": self.play_ids, "players": self.player_ids}

    @cached_property
    def _given_out(self) -> dict[tuple[str, Library], Any]:
        return {}

    def _table(self, title: str) -> Any:
        key = (title, output_library(self.library))
        if key not in self._given_out:
            self._given_out[key] = as_library(self.arrow(title), key[1])
        return self._given_out[key]

    def _banded(self, title: str) -> Any:
        key = (f"{title}_bands", output_library(self.library))
        if key not in self._given_out:
            self._given_out[key] = as_library(self.band_arrow(title), key[1])
        return self._given_out[key]

    def _uncoded(
        self,
        title: str,
        coded: Mapping[str, npt.NDArray[Any]],
        described: Mapping[str, list[_core.Column]] | None = None,
    ) -> pa.Table:
        import pyarrow as pa

        columns: dict[str, Any] = {}
        for column in (described or _core.columns())[title]:
            values = coded[column["name"]]
            if column["kind"] in ("name", "word"):
                columns[column["name"]] = from_codes(values, self._names.get(column["names"], column["words"]))
            else:
                columns[column["name"]] = pa.array(values.astype(bool) if column["kind"] == "flag" else values)
        game = pa.repeat(pa.scalar(self.game_name, pa.string()), len(coded["play"]))
        return pa.table({"game": game} | columns)

    def _folder(self, tables: Mapping[str, pa.Table]) -> dict[str, pa.Table]:
        """The tables a folder keeps: these, and the bands of those that have some."""
        bands = self.band_coded or {}
        return {**tables, **{f"{title}_bands": self.band_arrow(title) for title in tables if f"{title}_bands" in bands}}

    @property
    def _about(self) -> dict[str, str]:
        return {
            "game": self.game_name,
            "digest": self.digest,
            "library_version": self.library_version,
            "rules": json.dumps(self.rules.as_dict()),
            "noise": json.dumps(asdict(self.noise)) if self.noise else "",
        }


@dataclass(eq=False, repr=False)
class Bands:
    """How far noise of position moves what was measured: tables with the rows and keys of those they are of.

    Each number has `_low` and `_high` in place of its name: 5 % of draws lie below, 5 % above. Each text and true or
    false has `_agree`: the share of draws that give the same.
    """

    _of: Measures

    def __repr__(self) -> str:
        return f"Bands({self._of.game_name!r}: {self._of.noise})"

    @property
    def frames(self) -> Any:
        """Keys play, time."""
        return self._of._banded("frames")

    @property
    def edges(self) -> Any:
        """Keys play, time, side."""
        return self._of._banded("edges")

    @property
    def rushers(self) -> Any:
        """Keys play, time, rusher."""
        return self._of._banded("rushers")


@dataclass(eq=False, repr=False)
class Measures(Results):
    """What was measured of one game: tables `frames`, `edges`, `rushers`, and what they were made with.

    Every column is described in the README and by `_core.columns()`. Lengths in yd, times in s since the snap, angles
    in degrees. A missing text is null, a missing number NaN.
    """

    _game: Game | None = None

    def __repr__(self) -> str:
        return f"Measures({self.game_name!r}: {len(self.coded['frames']['play'])} frames, {self.rules})"

    @property
    def frames(self) -> Any:
        """One row a frame: the pocket."""
        return self._table("frames")

    @property
    def edges(self) -> Any:
        """Two rows an ok frame, left and right: the edge, and the rusher it belongs to."""
        return self._table("edges")

    @property
    def rushers(self) -> Any:
        """One row a rusher and frame."""
        return self._table("rushers")

    @property
    def bands(self) -> Bands:
        """The 5-95 % bands under noise of position. InputError when it was measured without noise."""
        if self.noise is None:
            raise InputError("measured without noise, so there are no bands; accepted: measure(game, noise=...)")
        return Bands(self)

    @property
    def game(self) -> Game:
        """The game that was measured; InputError when these results came from a file and no game was attached."""
        if self._game is None:
            raise InputError("these results came from a file without their game; attach it: m.attach(game)")
        return self._game

    def attach(self, game: Game) -> Measures:
        """Gives results from a file their game, and returns them. InputError for another game than was measured."""
        if game.digest != self.digest:
            raise InputError(
                f"results of game {shown(self.game_name)}, digest {self.digest[:12]}, do not belong to game "
                f"{shown(game.name)}, digest {game.digest[:12]}"
            )
        self._game = game
        return self

    def draw(self, play: object, time: float) -> Figure:
        """A picture of one frame: the one nearest to `time` s since the snap."""
        from . import draw

        return draw.frame(self, word(play), time)

    def timeline(self, play: object) -> Figure:
        """A picture of one play's course: width, depth, exposure and short edge."""
        from . import draw

        return draw.timeline(self, word(play))

    def save(self, path: str | os.PathLike[str]) -> None:
        """Keeps the results: one HDF5 file when the path ends in .h5 or .hdf5, else a folder of Parquet files.

        What stood there before is whole until the new one is. FileError when it cannot be written, or would replace
        something that is no results folder.
        """
        target = Path(path)
        if target.suffix.lower() in HDF5:
            _core.write_results(
                os.fspath(target),
                self.coded,
                self.rules,
                self.game_name,
                self.digest,
                self.library_version,
                self.play_ids,
                self.player_ids,
                as_kept(self.noise),
                self.band_coded,
            )
        else:
            save_folder(self._folder({title: self.arrow(title) for title in TITLES}), self._about, target)


# -------------------------------------------------------------------------------------------------------- files


def as_kept(noise: Noise | None) -> tuple[float, int, int, str] | None:
    """Noise as the compiled side takes it."""
    return cast(tuple[float, int, int, str], astuple(noise)) if noise else None


def holds(path: Path, titles: Iterable[str]) -> bool:
    """Whether a path is a folder of these tables."""
    return path.is_dir() and all((path / f"{title}.parquet").is_file() for title in titles)


def save_folder(tables: Mapping[str, pa.Table], about: Mapping[str, str], target: Path) -> None:
    """Writes beside the target and renames, so that no half-written folder stands under its name."""
    from pyarrow import parquet

    there = {path.name for path in target.iterdir()} if target.is_dir() else {target.name} if target.exists() else set()
    ours = {f"{title}.parquet" for title in tables if not title.endswith("_bands")}
    bands = {f"{title}_bands.parquet" for title in _core.band_columns()}
    if there and not ours <= there <= ours | bands:
        raise FileError(f"{target}: stands there and is no results folder; it is left as it is")
    made = None
    try:
        made = Path(tempfile.mkdtemp(prefix=f".{target.name}-", dir=target.absolute().parent))
        for title, table in tables.items():
            described = {**_core.columns(), **{f"{of}_bands": has for of, has in _core.band_columns().items()}}
            units = {column["name"]: column["unit"] for column in described.get(title, ()) if column["unit"]}
            said = {**about, "units": json.dumps(units)}
            table = table.replace_schema_metadata({f"shortedge.{key}": value for key, value in said.items()})
            with open(made / f"{title}.parquet", "wb") as file:
                parquet.write_table(table, file, compression="zstd")
                file.flush()
                os.fsync(file.fileno())
        made.chmod(0o777 & ~umask())
        put_in_place(made, target)
    except OSError as why:
        raise FileError(f"{target}: cannot be written: {why.strerror or first_line(why)}") from why
    finally:
        if made is not None:
            shutil.rmtree(made, ignore_errors=True)


def put_in_place(made: Path, target: Path) -> None:
    if not target.exists():
        made.rename(target)
        return
    old = made.with_name(made.name + "-old")
    target.rename(old)
    try:
        made.rename(target)
    except OSError:
        old.rename(target)
        raise
    shutil.rmtree(old)


def umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def read_folder(path: Path) -> Measures:
    """A folder of Parquet files that Measures.save wrote."""
    tables, about = read_tables(path, TITLES)
    coded, names = coded_tables(path, tables)
    made = Measures(coded, names["plays"], names["players"], *made_with(about))
    made.noise, made.band_coded = read_bands(path, TITLES, coded, about)
    return made


def read_bands(
    path: Path, titles: Iterable[str], coded: Coded, about: Mapping[str, str]
) -> tuple[Noise | None, Coded | None]:
    """The bands of a folder's tables, and their noise; None of a folder without."""
    if not about["noise"]:
        return None, None
    tables, said = read_tables(path, [f"{title}_bands" for title in titles])
    if said != about:
        raise FileError(f"{path}: bands that were not written together with its tables")
    bands: dict[str, dict[str, npt.NDArray[Any]]] = {}
    for title in titles:
        name, rows = f"{title}_bands", len(coded[title]["play"])
        if tables[name].num_rows != rows:
            raise FileError(f"{path / name}.parquet: {tables[name].num_rows} rows, where {title} has {rows}")
        bands[name] = {
            column["name"]: recoded(tables[name], column, {}, path / f"{name}.parquet")
            for column in _core.band_columns()[title]
            if column["name"] not in coded[title]
        }
    return Noise(**json.loads(about["noise"])), bands


def read_tables(path: Path, titles: Iterable[str]) -> tuple[dict[str, pa.Table], dict[str, str]]:
    """The tables of a folder, and what they were made with."""
    import pyarrow as pa
    from pyarrow import parquet

    tables: dict[str, pa.Table] = {}
    about: dict[str, str] = {}
    for title in titles:
        file = path / f"{title}.parquet"
        try:
            tables[title] = parquet.read_table(file)
        except (pa.ArrowInvalid, OSError) as why:
            raise FileError(f"{file}: {first_line(why)}") from why
        said = {key.decode(): value.decode() for key, value in (tables[title].schema.metadata or {}).items()}
        this = {
            key: said.get(f"shortedge.{key}", "") for key in ("game", "digest", "library_version", "rules", "noise")
        }
        about = about or this
        if this != about or not this["digest"]:
            raise FileError(f"{file}: was not written by shortedge together with the others in its folder")
    return tables, about


def made_with(about: Mapping[str, str]) -> tuple[Rules, str, str, str]:
    """Rules, game's name, digest and library version, as Results takes them."""
    return Rules(**json.loads(about["rules"])), about["game"], about["digest"], about["library_version"]


def coded_tables(path: Path, tables: Mapping[str, pa.Table]) -> tuple[Coded, dict[str, list[str]]]:
    """Tables of a folder as the compiled side would give them, and what the codes of names stand for."""
    names: dict[str, dict[str, int]] = {"plays": {}, "players": {}, "labels": {}}
    coded = {
        title: {
            column["name"]: recoded(table, column, names, path / f"{title}.parquet")
            for column in _core.columns()[title]
        }
        for title, table in tables.items()
    }
    return coded, {what: list(known) for what, known in names.items()}


def recoded(table: pa.Table, column: _core.Column, names: dict[str, dict[str, int]], file: Path) -> npt.NDArray[Any]:
    """A column of a Parquet file as the compiled side would give it."""
    import pyarrow as pa

    name, kind = column["name"], column["kind"]
    wanted = {"number": pa.float64(), "count": pa.int32(), "flag": pa.bool_()}.get(kind, pa.string())
    if name not in table.column_names or table.schema.field(name).type != wanted:
        raise FileError(f"{file}: column {name} is missing or not of type {wanted}")
    values = table[name].combine_chunks()
    if kind not in ("name", "word"):
        return np.asarray(values.to_numpy(zero_copy_only=False))
    encoded = values.dictionary_encode()
    known = names.get(column["names"], {word: code for code, word in enumerate(column["words"])})
    found = encoded.dictionary.to_pylist()
    if kind == "name":
        for text in found:
            known.setdefault(text, len(known))
    if not set(found) <= set(known):
        raise FileError(f"{file}: column {name} holds {shown(next(iter(set(found) - set(known))))}")
    code_of = np.array([*(known[text] for text in found), -1], np.int32 if kind == "name" else np.int8)
    codes: npt.NDArray[Any] = code_of[encoded.indices.fill_null(-1).to_numpy()]
    return codes


def read(path: Any) -> Any:
    """Reads what was saved: a Game, Measures or Reps.

    A game or results file (HDF5), or a results folder (Parquet): one of them. A list of paths, or a folder of such
    files: a list of them. Raises FileError for what is no such file: missing, truncated, foreign, hostile.
    """
    from .reps import REP_TITLES, read_reps_file, read_reps_folder

    if isinstance(path, list | tuple):
        return [read(one) for one in path]
    at = Path(path)
    if holds(at, TITLES):
        return read_folder(at)
    if holds(at, REP_TITLES):
        return read_reps_folder(at)
    if at.is_dir():
        files = sorted(file for file in at.iterdir() if file.suffix.lower() in HDF5)
        if not files:
            raise FileError(f"{at}: no game or results file in it")
        return [read(file) for file in files]
    if not at.exists():
        raise FileError(f"{at}: no such file")
    kind = _core.file_kind(os.fspath(at))
    if kind == "reps":
        return read_reps_file(at)
    if kind == "game":
        core, digest = _core.read_game(os.fspath(at))
        return Game(core, stored_digest=digest)
    kept = _core.read_results(os.fspath(at))
    return Measures(
        {title: kept[title] for title in TITLES},
        kept["plays"],
        kept["players"],
        kept["rules"],
        kept["game_name"],
        kept["digest"],
        kept["library_version"],
        noise=kept["noise"] and Noise(*kept["noise"]),
        band_coded=kept["bands"],
    )
