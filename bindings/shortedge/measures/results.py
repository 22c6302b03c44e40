"""Measuring a game, and what comes out: tables that can be kept in a file."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, Self, TypeVar, cast

import numpy as np
import numpy.typing as npt

from .. import _core
from .._core import InputError, Rules
from ..base.files import replaced
from ..base.progress import Progress, progress_of, threads_of
from ..base.tables import GivesTables, Library, coded_from, from_codes
from ..base.text import shown
from ..game.game import Game, check_game
from .folder import HDF5, Coded, save_folder
from .noise import Noise, as_kept, noise_of

if TYPE_CHECKING:
    import pyarrow as pa


Made = TypeVar("Made")

TITLES = ("frames", "edges", "rushers")
NO_BANDS = "measured without noise, so there are no bands; accepted: measure(game, noise=...)"


def measure(
    game: Game,
    *,
    rules: Rules | None = None,
    noise: float | Literal["auto", "tracks"] | None = None,
    draws: int = 100,
    seed: int = 1,
    threads: int | None = None,
    progress: Progress = None,
) -> Measures:
    """Measures every play of a game that has no problem.

    noise: yd per axis; then everything is measured again on `draws` draws (2 to 2000) of noise of position, correlated
    in time (0.7 s), for m.bands; a `seed` (0 or more) gives the same draws whatever the threads and the other plays.
    "auto": estimated from linemen at rest before the snap, and said in m.noise. "tracks": the tracks' own errors (sd_x,
    sd_y, corr_xy), as correlated in time; of a game traced from film, what its clicks leave open (saved and pickled
    games keep them). Velocities are fitted to the noisy places, but recorded ones are kept as they are (of a trace
    drawn with the places).

    threads: as many as the machine has when None; the result is the same to the bit for any number. progress: None
    shows a bar on a terminal for work over two seconds, False nothing, a function is called with (done, all) plays now
    and then. Raises InputError for arguments of another kind.
    """
    check_game(game)
    rules = rules_or_default(rules)
    used = noise_of(game, noise, draws, seed)
    coded = worked(_core.measure, game, rules, threads, progress)
    bands = banded(_core.bands, game, rules, used, threads, progress)
    return measures_from(cast(Coded, coded), bands, rules, game, used)


def measures_from(coded: Coded, bands: Coded | None, rules: Rules, game: Game, noise: Noise | None) -> Measures:
    """A game as the compiled side measured it."""
    return Measures(coded, *made_from(game, rules, game.stored_digest), noise, bands, game, sources=game.sources)


def banded(
    work: Callable[..., Any], game: Game, rules: Rules, noise: Noise | None, threads: int | None, progress: Progress
) -> Coded | None:
    """What the compiled side's `work` makes of a game's draws of noise; None without noise."""
    if noise is None:
        return None

    def draw(core: _core.Game, rules: Rules, threads: int, progress: Any) -> Any:
        return work(core, rules, None if noise.of_tracks else noise.sigma, noise.draws, noise.seed, threads, progress)

    return cast(Coded, worked(draw, game, rules, threads, progress))


def rules_or_default(rules: Rules | None) -> Rules:
    if rules is not None and not isinstance(rules, Rules):
        raise InputError(f"rules is {shown(rules)}; accepted: Rules(...)")
    return rules or Rules()


def check_same_game(what: str, found: Results, name: str, digest: str) -> None:
    """InputError for results (called `what`) of another game than that of this name and digest."""
    if found.digest != digest:
        raise InputError(
            f"{what} of game {shown(found.game_name)}, digest {found.digest[:12]}, do not belong to game "
            f"{shown(name)}, digest {digest[:12]}"
        )


def made_from(
    game: Game, rules: Rules, digest: str | None = None
) -> tuple[list[str], list[str], Rules, str, str, str, Library]:
    """What Results keep beside their tables, of a game; its digest unless another is given."""
    known = game.digest if digest is None else digest
    return game.play_ids, game.player_ids, rules, game.name, known, _core.__version__, game.library


def worked(work: Callable[..., Made], game: Game, rules: Rules, threads: int | None, progress: Progress) -> Made:
    """What the compiled side's `work` makes of a game; `threads` and `progress` as in `measure`."""
    count = threads_of(threads)
    with progress_of(progress, "plays") as shows:
        return work(game.core, rules, count, shows)


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
    definition: int = field(default=_core.DEFINITION, kw_only=True)  # the edition of the definitions it was measured by
    notes: tuple[str, ...] = field(
        default=(), kw_only=True
    )  # what a file it came from lacks, or has beyond this library
    sources: tuple[Path, ...] = field(default=(), kw_only=True)  # of the game: nothing is written on them

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
            "definition": str(self.definition),
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
            raise InputError(NO_BANDS)
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

    _of: BandedResults

    def __post_init__(self) -> None:
        if self._of.band_coded is None:
            raise InputError(NO_BANDS)

    def __repr__(self) -> str:
        return f"Bands({self._of.game_name!r}: {self._of.noise})"


class MeasuresBands(Bands):
    """The bands of measures: tables `frames`, `edges`, `rushers`."""

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

    Columns: core/base/COLUMNS.md and `_core.columns()`. Lengths in yd, times in s since the snap, angles
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
    def bands(self) -> MeasuresBands:
        """The 5-95 % bands under noise of position: tables `frames`, `edges`, `rushers`. InputError when it was
        measured without noise."""
        return MeasuresBands(self)

    @property
    def game(self) -> Game:
        """The game that was measured; InputError when these results came from a file and no game was attached."""
        if self._game is None:
            raise InputError("these results came from a file without their game; attach it: m.attach(game)")
        return self._game

    def attach(self, game: Game) -> Self:
        """Gives results from a file their game, and returns them. InputError for another game than was measured."""
        check_same_game("results", self, game.name, game.digest)
        self._game, self.sources = game, game.sources
        return self

    def save(self, path: str | os.PathLike[str]) -> None:
        """Keeps the results: one HDF5 file when the path ends in .h5 or .hdf5, else a folder of Parquet files.

        What stood there before is whole until the new one is. FileError when it cannot be written, is a file the game
        was read from, or would replace something that is no results folder.
        """
        target = Path(path)
        if target.suffix.lower() in HDF5:
            with replaced(target, self.sources) as place:
                _core.write_results(
                    os.fspath(place),
                    self.coded,
                    self.rules,
                    self.game_name,
                    self.digest,
                    self.library_version,
                    self.definition,
                    self.play_ids,
                    self.player_ids,
                    as_kept(self.noise),
                    self.band_coded,
                )
        else:
            tables = self._folder({title: self.arrow(title) for title in TITLES})
            save_folder(tables, self._about, target, self.sources)
