"""Measuring a game, and what comes out: tables that can be kept in a file."""

from __future__ import annotations

import json
import math
import os
import shutil
import sys
import tempfile
import time as clock
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, astuple, dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, cast

import numpy as np
import numpy.typing as npt

from .. import _core
from .._core import FileError, InputError, Rules
from ..base.tables import GivesTables, Library, coded_from, first_line, from_codes, given_out, shown, word
from ..game.game import Game

if TYPE_CHECKING:
    import pyarrow as pa
    from matplotlib.figure import Figure

    from ..pages.player import Player
    from .reps import Reps

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
    rules = rules_or_default(rules)
    used = noise_of(game, noise, draws, seed)
    coded = worked(_core.measure, game, rules, threads, progress)
    bands = banded(_core.bands, game, rules, used, threads, progress)
    return Measures(coded, *made_from(game, rules, game.stored_digest), used, bands, game)


def noise_of(game: Game | None, noise: object, draws: object, seed: object) -> Noise | None:
    """The noise that is asked for. InputError when it makes no sense or cannot be estimated, as without a game."""
    for name, value, least, most in (("draws", draws, 2, 2000), ("seed", seed, 0, MOST_SEED)):
        if not isinstance(value, int | np.integer) or isinstance(value, bool) or not least <= value <= most:
            raise InputError(f"{name} is {shown(value)}; accepted: a whole number from {least} to {most}")
    if noise is None:
        return None
    many, first = int(cast(int, draws)), int(cast(int, seed))
    if game and isinstance(noise, str) and noise == "auto":
        sigma, stances = _core.estimate_noise(game.core)
        return Noise(sigma, many, first, f"estimated from {stances} stances of linemen before the snap")
    if isinstance(noise, bool) or not isinstance(noise, int | float | np.integer | np.floating):
        auto = '"auto", ' if game else ""
        raise InputError(f"noise is {shown(noise)}; accepted: yd per axis, {auto}None")
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


def rules_or_default(rules: Rules | None) -> Rules:
    if rules is not None and not isinstance(rules, Rules):
        raise InputError(f"rules is {shown(rules)}; accepted: Rules(...)")
    return rules or Rules()


def made_from(
    game: Game, rules: Rules, digest: str | None = None
) -> tuple[list[str], list[str], Rules, str, str, str, Library]:
    """What Results keep beside their tables, of a game; its digest unless another is given."""
    known = game.digest if digest is None else digest
    return game.play_ids, game.player_ids, rules, game.name, known, _core.__version__, game.library


def worked(work: Callable[..., Any], game: Game, rules: Rules, threads: int | None, progress: Progress) -> Coded:
    """What the compiled side's `work` makes of a game; `threads` and `progress` as in `measure`."""
    count = threads_of(threads)
    with progress_of(progress, "plays") as shows:
        return cast(Coded, work(game.core, rules, count, shows))


def threads_of(threads: int | None) -> int:
    """As the compiled side takes it: 0 for as many as the machine has."""
    if threads is not None and (not isinstance(threads, int) or isinstance(threads, bool) or threads < 1):
        raise InputError(f"threads is {shown(threads)}; accepted: a whole number from 1, None")
    return threads or 0


@contextmanager
def progress_of(progress: Progress, what: str) -> Iterator[Callable[[int, int], object] | None]:
    """What is called with (done, all) of `what`: for None a bar on a terminal, for False nothing."""
    bar = Bar(what) if progress is None and sys.stderr.isatty() else None
    try:
        yield bar or progress or None
    finally:
        if bar:
            bar.clear()


class Bar:
    """A progress bar on stderr, shown when the work has taken two seconds."""

    width = 30

    def __init__(self, what: str = "plays") -> None:
        self.what, self.start, self.drawn = what, clock.monotonic(), False

    def __call__(self, done: int, all: int) -> None:
        if clock.monotonic() - self.start > 2:
            full = self.width * done // max(all, 1)
            sys.stderr.write(f"\r[{'#' * full}{'.' * (self.width - full)}] {done} of {all} {self.what}")
            sys.stderr.flush()
            self.drawn = True

    def clear(self) -> None:
        if self.drawn:
            sys.stderr.write("\r\033[K")


@dataclass(eq=False, repr=False)
class Results(GivesTables):
    """Tables of one game as codes and numbers, and what they were made with."""

    coded: Coded
    play_ids: list[str]
    player_ids: list[str]
    rules: Rules
    game_name: str
    stored_digest: str  # of the game; "" until it is asked for
    library_version: str = _core.__version__  # of shortedge, when it measured
    library: Library = "pandas"

    @property
    def digest(self) -> str:
        """The game's: Game.digest."""
        return self.stored_digest

    def arrow(self, title: str) -> pa.Table:
        """One of the tables as an Arrow table: texts, float64, int32, bool."""
        return self._uncoded(title, self.coded[title])

    @property
    def _names(self) -> dict[str, list[str]]:
        return {"plays": self.play_ids, "players": self.player_ids}

    def with_codes(self) -> dict[str, pa.Table]:
        """All tables, their texts as dictionaries, for a writer that keeps them so."""
        return {title: self._uncoded(title, columns, texts_of=coded_from) for title, columns in self.coded.items()}

    def _uncoded(
        self,
        title: str,
        coded: Mapping[str, npt.NDArray[Any]],
        described: Mapping[str, list[_core.Column]] | None = None,
        texts_of: Callable[..., Any] = from_codes,
    ) -> pa.Table:
        import pyarrow as pa

        columns: dict[str, Any] = {}
        for column in (described or _core.columns())[title]:
            values = coded[column["name"]]
            if column["kind"] in ("name", "word"):
                columns[column["name"]] = texts_of(values, self._names.get(column["names"], column["words"]))
            else:
                columns[column["name"]] = pa.array(values.astype(bool) if column["kind"] == "flag" else values)
        game = texts_of(np.zeros(len(next(iter(coded.values()))), np.int8), [self.game_name])
        return pa.table({"game": game} | columns)

    @property
    def _about(self) -> dict[str, str]:
        return {
            "game": self.game_name,
            "digest": self.digest,
            "library_version": self.library_version,
            "rules": json.dumps(self.rules.as_dict()),
        }


@dataclass(eq=False, repr=False)
class BandedResults(Results):
    """Results that may have bands under noise of position."""

    noise: Noise | None = None  # that the bands were made with
    band_coded: Coded | None = None

    def band_arrow(self, title: str) -> pa.Table:
        """The bands of one of the tables as an Arrow table. InputError when there are none."""
        if self.band_coded is None:
            raise InputError("measured without noise, so there are no bands; accepted: measure(game, noise=...)")
        return self._uncoded(title, {**self.coded[title], **self.band_coded[f"{title}_bands"]}, _core.band_columns())

    def with_codes(self) -> dict[str, pa.Table]:
        tables, described = super().with_codes(), _core.band_columns()
        for bands, columns in (self.band_coded or {}).items():
            title = bands.removesuffix("_bands")
            tables[bands] = self._uncoded(title, {**self.coded[title], **columns}, described, coded_from)
        return tables

    def _banded(self, title: str) -> Any:
        return self._made_once(f"{title}_bands", lambda: self.band_arrow(title))

    def _folder(self, tables: Mapping[str, pa.Table]) -> dict[str, pa.Table]:
        """The tables a folder keeps: these, and the bands of those that have some."""
        bands = self.band_coded or {}
        return {**tables, **{f"{title}_bands": self.band_arrow(title) for title in tables if f"{title}_bands" in bands}}

    @property
    def _about(self) -> dict[str, str]:
        return {**super()._about, "noise": json.dumps(asdict(self.noise)) if self.noise else ""}


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
class Measures(BandedResults):
    """What was measured of one game: tables `frames`, `edges`, `rushers`, and what they were made with.

    Every column is described in the README and by `_core.columns()`. Lengths in yd, times in s since the snap, angles
    in degrees. A missing text is null, a missing number NaN.
    """

    _game: Game | None = None

    def __repr__(self) -> str:
        return f"Measures({self.game_name!r}: {len(self.coded['frames']['play'])} frames, {self.rules})"

    @property
    def digest(self) -> str:
        """The game's: Game.digest."""
        if not self.stored_digest:
            self.stored_digest = self.game.digest
        return self.stored_digest

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

    @cached_property
    def reps_as_measured(self) -> Reps:
        """The reps of the game by these rules, made when first asked for."""
        from .reps import reps_by

        return reps_by(self.rules, self.game, progress=False)

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
        from .. import draw

        return draw.frame(self, word(play), time)

    def timeline(self, play: object) -> Figure:
        """A picture of one play's course: width, depth, exposure and short edge."""
        from .. import draw

        return draw.timeline(self, word(play))

    def play(self, play: object, reps: Reps | None = None) -> Player:
        """One play to scrub through: a notebook shows it, `.to_html(path)` writes it as a page. reps of this game,
        corrected or not, give its contact and beats; None: as measured. InputError for an unknown play."""
        from ..pages.player import Player, data

        return Player(word(play), self.game_name, data(self, play, reps))

    def sheet(self, rep: Mapping[str, Any]) -> Figure:
        """A picture of six moments of one rep. rep: a row of Reps.table, such as `reps.table.iloc[0]` or a dict."""
        from .. import draw

        return draw.rep_sheet(self, rep)

    def heat(self, player: object = None) -> Figure:
        """A picture of where short edges opened, over the play frame; player: only those he set."""
        from .. import draw

        return draw.heat([self], None if player is None else word(player))

    def multiples(self, player: object, reps: Reps | None = None) -> Figure:
        """A picture of one protector's reps side by side, laid together at first contact."""
        from .. import draw

        self.check_reps(reps)
        return draw.aligned(self, reps or self.reps_as_measured, word(player))

    def animate(self, play: object, out: str | os.PathLike[str], speed: float = 1.0) -> None:
        """Writes a play as moving pictures: .mp4 (needs ffmpeg) or .gif; speed 0.5 is half as fast as it was."""
        from .. import draw

        draw.animate(self, word(play), out, speed)

    def words(self, play: object = None, reps: Reps | None = None) -> Any:
        """A play in one sentence of plain English, made from the figures; None: of every play, as a table game, play,
        words. reps of this game, corrected or not; None: as measured. What is said when: see shortedge.words."""
        import pyarrow as pa

        from ..tell.words import sentences

        self.check_reps(reps)
        wanted = None if play is None else word(play)
        if wanted is not None:
            self.game.row(wanted)
        made = sentences(self, reps or self.reps_as_measured, wanted)
        if wanted is not None:
            return made[wanted]
        table = pa.table({"game": [self.game_name] * len(made), "play": list(made), "words": list(made.values())})
        return given_out(table, self.library)

    def check_reps(self, reps: Reps | None) -> None:
        """InputError for reps of another game."""
        if reps is not None and reps.digest != self.digest:
            raise InputError(
                f"reps of game {shown(reps.game_name)}, digest {reps.digest[:12]}, do not belong to game "
                f"{shown(self.game_name)}, digest {self.digest[:12]}"
            )

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


def slices(codes: npt.NDArray[Any]) -> dict[int, slice]:
    """Where each play's rows stand; rows of one play stand together."""
    if not len(codes):
        return {}
    starts = np.flatnonzero(np.diff(codes, prepend=codes[0] - 1))
    ends = [*starts[1:].tolist(), len(codes)]
    return {int(codes[start]): slice(start, end) for start, end in zip(starts.tolist(), ends, strict=True)}


def stretches(flags: npt.NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Where runs of true begin and end."""
    changes = np.flatnonzero(np.diff(flags, prepend=False, append=False)).tolist()
    return list(zip(changes[::2], changes[1::2], strict=True))


def seconds_of(times: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """s each frame stands for: until the next; the last as long as the middle one, a single one 0.1."""
    last = float(np.median(np.diff(times))) if len(times) > 1 else 0.1
    return np.append(np.diff(times), last)


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


def write_whole(target: Path, data: bytes) -> None:
    """Writes a file; what stood there is whole until the new one is."""
    with in_place(target) as made:
        made.write_bytes(data)


@contextmanager
def in_place(target: Path) -> Iterator[Path]:
    """A name beside the target to write under; renamed to it at the end, so that no half-written file stands there."""
    made = None
    try:
        with tempfile.NamedTemporaryFile(
            dir=target.absolute().parent, prefix=f".{target.name}-", suffix=target.suffix, delete=False
        ) as file:
            made = Path(file.name)
        yield made
        with open(made, "rb+") as file:
            os.fsync(file.fileno())
        made.chmod(0o666 & ~umask())
        made.replace(target)
        made = None
    except OSError as why:
        raise FileError(f"{target}: cannot be written: {why.strerror or first_line(why)}") from why
    finally:
        if made is not None:
            made.unlink(missing_ok=True)


def umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def read_folder(path: Path, file: str = "{}.parquet") -> Measures:
    """A folder of Parquet files that Measures.save wrote. file: where in it the table {} stands."""
    tables, about = read_tables(path, TITLES, file)
    coded, names = coded_tables(path, tables)
    made = Measures(coded, names["plays"], names["players"], *made_with(about))
    made.noise, made.band_coded = read_bands(path, TITLES, coded, about, file)
    return made


def read_bands(
    path: Path, titles: Iterable[str], coded: Coded, about: Mapping[str, str], file: str = "{}.parquet"
) -> tuple[Noise | None, Coded | None]:
    """The bands of a folder's tables, and their noise; None of a folder without."""
    if not about["noise"]:
        return None, None
    tables, said = read_tables(path, [f"{title}_bands" for title in titles], file)
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


def read_tables(
    path: Path, titles: Iterable[str], file: str = "{}.parquet"
) -> tuple[dict[str, pa.Table], dict[str, str]]:
    """The tables of a folder, and what they were made with. file: where in it the table {} stands."""
    import pyarrow as pa
    from pyarrow import parquet

    tables: dict[str, pa.Table] = {}
    about: dict[str, str] = {}
    for title in titles:
        at = path / file.format(title)
        try:
            with parquet.ParquetFile(at) as stored:
                tables[title], metadata = stored.read(), stored.metadata.metadata or {}
        except (pa.ArrowInvalid, OSError) as why:
            raise FileError(f"{at}: {first_line(why)}") from why
        said = {key.decode(): value.decode() for key, value in metadata.items() if key != b"ARROW:schema"}
        this = {
            key: said.get(f"shortedge.{key}", "") for key in ("game", "digest", "library_version", "rules", "noise")
        }
        about = about or this
        if this != about or not this["digest"]:
            raise FileError(f"{at}: was not written by shortedge together with the others in its folder")
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

    A game or results file (HDF5), or a results folder (Parquet): one of them. A list of paths, a folder of such files,
    or one that measure_many made: a list of them. Raises FileError for what is no such file: missing, truncated,
    foreign, hostile.
    """
    from .reps import REP_TITLES, read_reps_file, read_reps_folder

    if isinstance(path, list | tuple):
        return [read(one) for one in path]
    at = Path(path)
    if (at / "season.json").is_file():
        from ..season.season import read_season

        return read_season(at)
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
