"""Reps: who blocked whom and how it ended, and what a coach who saw the film corrects."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, Self, cast
from weakref import WeakKeyDictionary

import numpy as np
import numpy.typing as npt

from .. import _core
from .._core import FileError, InputError, Rules
from ..base.files import replaced
from ..base.progress import Progress
from ..base.tables import given_out, texts
from ..base.text import listed, shown, word
from ..base.vocabulary import BEAT, HELD, OF_A_PAIR, OUTCOMES
from ..game.game import Game, check_game
from .corrections import NO_REP, YES_NO, Correction, corrections_table, read_corrections
from .folder import HDF5, Coded, coded_tables, edition, made_with, read_bands, read_tables, save_folder, told
from .noise import Noise, as_kept
from .results import (
    BandedResults,
    Bands,
    Measures,
    banded,
    check_same_game,
    made_from,
    measures_from,
    worked,
)
from .splits import OWN, Splitting
from .summary import summarise

if TYPE_CHECKING:
    import pyarrow as pa

REP_TABLES = ("reps", "dropbacks", "exchanges", "searches", "looks")  # as measured
FIRST_TITLES = ("reps", "dropbacks", "corrections")  # what a folder of every version has
FILM_TIMES = {"peak": "peak_outside_time", "contact": "contact_time", "beat": "beat_time"}
CHANGED = (
    "protector",
    "helped",
    "outcome",
    "beat_side",
    "beat_time",
    "beat_film_time",
    "run_by",
    "ball_out",
    "corrected",
)


def reps(
    game: Game,
    m: Measures | None = None,
    *,
    corrections: Any = None,
    threads: int | None = None,
    progress: Progress = None,
) -> Reps:
    """The reps of every play that is measured.

    m: measures of the same game, whose rules are taken, and whose noise, if they have some, for `bands`; None: the
    default rules, no bands. corrections: as Reps.correct takes them. threads, progress: as in `measure`. Raises
    InputError for measures of another game.
    """
    check_game(game)
    if m is not None and not isinstance(m, Measures):
        raise InputError(f"m is {type(m).__name__}; accepted: Measures of this game, None")
    if m is not None:
        check_same_game("measures", m, game.name, game.digest)
    return reps_by(m.rules if m else Rules(), game, corrections, threads, progress, m.noise if m else None)


def reps_by(
    rules: Rules,
    game: Game,
    corrections: Any = None,
    threads: int | None = None,
    progress: Progress = None,
    noise: Noise | None = None,
) -> Reps:
    """As reps, by rules that are given."""
    bands = banded(_core.rep_bands, game, rules, noise, threads, progress)
    made = reps_from(worked(_core.reps, game, rules, threads, progress), bands, rules, game, noise)
    return made if corrections is None else made.correct(corrections)


def measured_with_reps(game: Game, rules: Rules, noise: Noise | None, progress: Progress) -> tuple[Measures, Reps]:
    """What measure and reps_by give, to the bit, on one thread; each play is measured once, not twice."""
    measured, coded = worked(_core.measure_with_reps, game, rules, 1, progress)
    bands = banded(_core.bands, game, rules, noise, 1, progress)
    of_reps = banded(_core.rep_bands, game, rules, noise, 1, progress)
    m = measures_from(cast(Coded, measured), bands, rules, game, noise)
    return m, reps_from(coded, of_reps, rules, game, noise)


def reps_from(coded: Coded, bands: Coded | None, rules: Rules, game: Game, noise: Noise | None) -> Reps:
    """The reps of a game as the compiled side gave them, with its labels and kept columns."""
    kept = dict(game.core.kept_snaps)
    given = [word(label) for label in kept.get("label", [""] * len(game.core.snaps["play"]))]
    labels = sorted({label for label in given if label})
    code_of = {label: code for code, label in enumerate(labels)} | {"": -1}
    rows = coded["dropbacks"]["label"]
    by_label = {"label": np.array([code_of[given[row]] for row in rows.tolist()], np.int32)}
    return Reps(
        {**coded, "dropbacks": dict(coded["dropbacks"]) | by_label},
        *made_from(game, rules),
        noise,
        bands,
        labels,
        {name: taken(values, rows) for name, values in kept.items() if name != "label"},
        sources=game.sources,
        _game=game,
    )


def taken(values: Any, rows: npt.NDArray[np.int32]) -> Any:
    """Some rows of a kept column: an array, or a list of texts."""
    return [values[row] for row in rows.tolist()] if isinstance(values, list) else values[rows]


def reps_of(m: Measures, given: Reps | None = None) -> Reps:
    """The reps of the game that m measured: those given, else as measured by m's rules, made once. InputError for reps
    of another game."""
    if given is not None:
        check_same_game("reps", given, m.game_name, m.digest)
        return given
    if m not in AS_MEASURED:
        AS_MEASURED[m] = reps_by(m.rules, m.game, progress=False)
    return AS_MEASURED[m]


class RepsBands(Bands):
    """The bands of reps: `table`."""

    @property
    def table(self) -> Any:
        """A row a row of Reps.as_measured; keys play, protector, rusher, start. A draw without that rep does not give
        the same; `_low` and `_high` are over the draws with that rep and figure."""
        return self._of._banded("reps")


@dataclass(eq=False, repr=False)
class Reps(BandedResults):
    """The reps of one game: tables `table`, `dropbacks`, `exchanges`, `searches` and `looks`, the corrections laid over
    them, what they were made with.

    Columns: core/base/COLUMNS.md and `_core.columns()`. Lengths in yd, times in s since the snap (film
    times on the film's clock), angles in degrees. A missing text is null, a missing number NaN.

    Outcomes follow from coordinates, by stated rules; they are not a grade. Held against driven, and who had the rusher
    in a double team, err first.
    """

    labels: list[str] = field(default_factory=list)
    brought: Mapping[str, Any] = field(default_factory=dict)  # further columns of snaps, beside the rows of dropbacks
    laid_over: tuple[Correction, ...] = ()
    _game: Game | None = field(default=None, kw_only=True)  # whose names sentences say; results are whole without

    def __getstate__(self) -> dict[str, Any]:
        return {**self.__dict__, "_game": None}

    def __repr__(self) -> str:
        corrected = f", {len(self.laid_over)} corrected" if self.laid_over else ""
        return f"Reps({self.game_name!r}: {len(self.coded['reps']['play'])} rows{corrected}, {self.rules})"

    @property
    def table(self) -> Any:
        """One row a rep, and one for every free rusher, helper and uncovered lineman, corrections laid over."""
        return self._table("reps")

    @property
    def as_measured(self) -> Any:
        """The same rows without corrections."""
        return replace(self, laid_over=()).table

    @property
    def bands(self) -> RepsBands:
        """How often the rows as measured survive noise of position: its `table`. InputError when it was made without
        noise: reps(game, m) takes that of m."""
        return RepsBands(self)

    @property
    def dropbacks(self) -> Any:
        """One row a play: alignment, depth and top of the drop, pressure, push from inside."""
        return self._table("dropbacks")

    @property
    def exchanges(self) -> Any:
        """One row a rusher and change of hands: twists, pass-offs, and rushers who crossed with their men staying."""
        return self._table("exchanges")

    @property
    def searches(self) -> Any:
        """One row a search for work: of linemen who had no rusher, or none any more, and of backs who protect."""
        return self._table("searches")

    @property
    def looks(self) -> Any:
        """One row a play and defender near the line or over the slot: where he stood at the snap, if he came."""
        return self._table("looks")

    @property
    def corrections(self) -> Any:
        """What was laid over: game, play, protector, rusher, outcome, beat_time, note; no rows when nothing was."""
        return self._table("corrections")

    def correct(self, corrections: Any) -> Reps:
        """New reps with corrections laid over, and those that were laid over before; of one row the later one holds.

        corrections: a table (any library, dict of arrays, CSV or Parquet path) with play, protector, rusher, outcome
        and, if wanted, beat_time (s since the snap), given_to (the man whose rep it was), helped (yes, no), note, as a
        page of one man or of one play writes it, and game: rows that name another game are passed over. outcome:
        nothing for as measured; none for what is no rep. A row
        without a protector is a free rusher's, one without a rusher an uncovered man's. Of several reps of one pair in
        a play, the longest is meant.

        Changed: outcome; beat_time, to what is said, else to what was measured if that was a beat; beat_side, kept
        from a measured beat, else null; beat_film_time and ball_out accordingly; run_by, false unless held; protector,
        helped; corrected. What is no rep is in `table` no more. The other figures stay as measured. Raises InputError
        for a rep or a man that does not exist, an outcome that is unknown or does not fit (a pair: held, beat, driven,
        help; else the one it has), two corrections of one row, or a beat_time without a beat.
        """
        new = {one.key: one for one in self.laid_over}
        rows = corrections if isinstance(corrections, list) else read_corrections(corrections)
        given = [one for one in rows if one.game in ("", self.game_name)]
        seen = set()
        for one in given:
            if one.key in seen:
                raise InputError(f"table corrections: two rows for {one}; accepted: one")
            seen.add(one.key)
            self._check(one)
            new[one.key] = one
        read = (Path(corrections).absolute(),) if isinstance(corrections, str | os.PathLike) else ()
        return replace(self, laid_over=tuple(new.values()), sources=(*self.sources, *read))

    def summary(
        self,
        by: str | Sequence[str] | None = None,
        *,
        of: Literal["reps", "exchanges", "searches", "looks"] = "reps",
        without_label: Sequence[str] = (),
        with_corrections: bool = True,
        marks: Literal["professional", "college", "high school"] = "professional",
    ) -> Any:
        """Counts, shares and medians of one of the tables, a row a group; shares never without their denominator and
        interval.

        by: one of these, or a list; None: the first of the table (of looks spot and deep_over). Reps: protector,
        rusher, technique (the rusher's), set_type, lane, helped, exchanged. Exchanges: pair (of neighbours, left to
        right, such as LT-LG), kind, rusher, from_man, to_man, from_slot, to_slot, crossed_with, outcome. Searches:
        man, slot, why, found, helped, side. Looks: spot, deep_over, defender, side, over, taken_by, pickup. Of any,
        by the play: drop_depth (under 6, 6 to 8, 8 to 9.5, 9.5 and more yd: three, five and seven steps lie about
        their middles), alignment (the passer's), rushers (how many), passer, wide_side (the offence's side with more
        field), field_side (wide or short: where the rusher aligned, the searched rusher was, the defender stood; not
        of exchanges), hash (left, middle, right in the offence's eyes, by the field's `marks`), and every further
        column of snaps that was brought, such as "down". A missing key is a group of its own, null. Columns after the
        keys:

        - plays: in which the group has rows; plays_left_out, left_out: how many plays `without_label` left out of the
          whole, and how many of each label. A play whose snap went wrong is always left out, as "bad snap".
        - small: fewer than 10 in the denominator, with which an interval can be wider than half of all; do not compare
          such rows. Intervals (`_low`, `_high`) are Wilson's, 95 % (Wilson 1927).

        Reps:
        - reps: rows; held, beat, driven, free, help, uncovered: how many of each.
        - judged: held, beat and driven, which is the denominator of beat_share.
        - pressures: judged or free rows whose rusher got to the passer; pressure_share of those rows. ball_out: beaten,
          but the ball was out first.
        - medians over the judged rows that have the figure: peak_outside, short_edge_seconds, peak_cutoff_ratio,
          island_seconds, leverage; NaN when none has.
        - with corrections laid over: corrected, how many rows; held_measured, beat_measured, driven_measured,
          help_measured: the counts without them. with_corrections=False gives the whole as measured.

        Exchanges: how many of each kind; handed_over (twists and pass-offs), the denominator of late_share and of
        lost_share (lost: the new man was beaten or driven, or nobody took him). Searches: found_rusher, found_help,
        found_nobody, found_share; median_seconds and median_distance of those who found. Looks: came, came_share,
        median_came_at.

        There is no overall figure of a man, and none should be made of these. Raises InputError for an unknown `by`,
        `of` or `marks`, or a label no play has.
        """
        return given_out(self.summary_arrow(by, without_label, with_corrections, of=of, marks=marks), self.library)

    def summary_arrow(
        self,
        by: str | Sequence[str] | None,
        without_label: Sequence[str],
        with_corrections: bool,
        *,
        of: str = "reps",
        marks: str = "professional",
    ) -> pa.Table:
        """`summary` as an Arrow table."""
        if of not in OWN:
            raise InputError(f"of is {shown(of)}; accepted: {listed(OWN)}")
        splitting = self._splitting(marks)
        if of != "reps":
            return summarise(of, self.coded[of], None, splitting, by, without_label)
        measured = self.coded["reps"]
        rows = self.coded_with_corrections if with_corrections else measured
        both = measured if with_corrections and self.laid_over else None
        return summarise(of, rows, both, splitting, by, without_label)

    def save(self, path: str | os.PathLike[str]) -> None:
        """Keeps the reps: one HDF5 file when the path ends in .h5 or .hdf5, else a folder of Parquet files reps,
        dropbacks, exchanges, searches, looks and corrections, and brought, the further columns of snaps. Reps are kept
        as measured; corrections stand apart.

        What stood there before is whole until the new one is. FileError when it cannot be written, is a file the game
        was read from, or would replace something that is no such folder.
        """
        target = Path(path)
        if target.suffix.lower() in HDF5:
            write_reps_file(self, target)
        else:
            plain = replace(self, laid_over=())
            tables = {title: plain.arrow(title) for title in REP_TABLES}
            tables |= {"corrections": self.arrow("corrections"), "brought": self._brought_arrow}
            save_folder(self._folder(tables), self._about, target, self.sources)

    def arrow(self, title: str) -> pa.Table:
        """`reps`, `dropbacks` or `corrections` as an Arrow table: texts, float64, int32, bool."""
        if title == "corrections":
            return corrections_table(self.laid_over, self.game_name)
        return self._uncoded(title, self.coded_with_corrections if title == "reps" else self.coded[title])

    def attach(self, game: Game) -> Self:
        """Gives reps from a file their game, whose names sentences then say, and returns them. InputError for another
        game."""
        check_same_game("reps", self, game.name, game.digest)
        self._game = game
        return self

    def _splitting(self, marks: str = "professional") -> Splitting:
        return Splitting(self.coded["dropbacks"], self._names, self.brought, marks)

    @property
    def _names(self) -> dict[str, list[str]]:
        return {"plays": self.play_ids, "players": self.player_ids, "labels": self.labels}

    @property
    def _brought_arrow(self) -> pa.Table:
        """What the user brought, a row a row of dropbacks."""
        import pyarrow as pa

        columns = {name: texts(values) if isinstance(values, list) else values for name, values in self.brought.items()}
        return pa.table({"play": self.arrow("dropbacks")["play"]} | {f"brought {n}": v for n, v in columns.items()})

    @cached_property
    def _rows_of(self) -> dict[tuple[str, str, str], int]:
        """The row of each pair in a play; of several the longest, of equals the first."""
        rows = self.coded["reps"]
        players = [*self.player_ids, ""]
        found: dict[tuple[str, str, str], int] = {}
        length = (rows["end"] - rows["start"]).tolist()
        codes = zip(rows["play"].tolist(), rows["protector"].tolist(), rows["rusher"].tolist(), strict=True)
        for row, (play, protector, rusher) in enumerate(codes):
            key = self.play_ids[play], players[protector], players[rusher]
            if key not in found or length[row] > length[found[key]]:
                found[key] = row
        return found

    def _check(self, one: Correction) -> None:
        if one.key not in self._rows_of:
            raise InputError(f"table corrections: found {one}; there is no such rep")
        accepted = (*OUTCOMES, NO_REP)
        if one.outcome and one.outcome not in accepted:
            raise InputError(
                f"table corrections, column outcome: found {shown(one.outcome)}; accepted: {listed(accepted)}"
            )
        pair = bool(one.protector and one.rusher)
        measured = OUTCOMES[self.coded["reps"]["outcome"][self._rows_of[one.key]]]
        fitting = (*OF_A_PAIR, NO_REP) if pair else (measured, NO_REP)
        if one.given_to and (not pair or one.given_to not in self.player_ids):
            raise InputError(
                f"table corrections, column given_to: found {shown(one.given_to)} for {one}; accepted: a man of the "
                "game, for a row with a protector and a rusher"
            )
        if one.outcome and one.outcome not in fitting:
            raise InputError(
                f"table corrections, column outcome: found {shown(one.outcome)} for {one}; accepted: {listed(fitting)}"
            )
        if (one.outcome or measured) != BEAT and not np.isnan(one.beat_time):
            raise InputError(
                f"table corrections, column beat_time: found {one.beat_time} for {one}, whose outcome is "
                f"{one.outcome}; accepted: none, or the outcome beat"
            )

    @cached_property
    def coded_with_corrections(self) -> Mapping[str, npt.NDArray[Any]]:
        """The reps table by codes, with the corrections laid over."""
        measured = self.coded["reps"]
        if not self.laid_over:
            return measured
        new = {**measured, **{name: measured[name].copy() for name in CHANGED}}
        gone = []
        for one in self.laid_over:
            row = self._rows_of[one.key]
            if one.outcome == NO_REP:
                gone.append(row)
                continue
            was = OUTCOMES[measured["outcome"][row]]
            outcome = one.outcome or was
            was_beat, beat = was == BEAT, outcome == BEAT
            kept_time = measured["beat_time"][row] if was_beat and beat else np.nan
            beat_time = kept_time if np.isnan(one.beat_time) else one.beat_time
            new["outcome"][row] = OUTCOMES.index(outcome)
            new["beat_time"][row] = beat_time
            new["beat_film_time"][row] = beat_time + self._film_offset(int(measured["play"][row]))
            new["beat_side"][row] = measured["beat_side"][row] if was_beat and beat else -1
            new["run_by"][row] &= outcome == HELD
            new["ball_out"][row] = beat and self._ball_was_out(row)
            if one.given_to:
                new["protector"][row] = self.player_ids.index(one.given_to)
            if one.helped:
                new["helped"][row] = YES_NO[one.helped]
            new["corrected"][row] |= bool(one.outcome or one.given_to or one.helped or not np.isnan(one.beat_time))
        return {name: np.delete(values, gone) for name, values in new.items()} if gone else new

    def _film_offset(self, play: int) -> float:
        """Film time of the snap, s, read off the play's own film times; NaN when it has none."""
        rows = self.coded["reps"]
        here = rows["play"] == play
        offsets = [rows[f"{what}_film_time"] - rows[time] for what, time in FILM_TIMES.items()]
        found = np.concatenate([offset[here] for offset in offsets])
        found = found[~np.isnan(found)]
        return float(found[0]) if len(found) else np.nan

    def _ball_was_out(self, row: int) -> bool:
        """Whether the play had a throw, and the row's rusher no pressure before it."""
        rows, dropbacks = self.coded["reps"], self.coded["dropbacks"]
        same = (rows["play"] == rows["play"][row]) & (rows["rusher"] == rows["rusher"][row])
        thrown = ~np.isnan(dropbacks["throw_time"][dropbacks["play"] == rows["play"][row]])
        return bool(thrown.any() and not rows["pressure"][same].any())


# -------------------------------------------------------------------------------------------------------- files


def read_reps_folder(path: Path) -> Reps:
    """A folder of Parquet files that Reps.save wrote."""
    newer = [title for title in (*REP_TABLES, "brought") if title not in FIRST_TITLES]
    there = [title for title in newer if (path / f"{title}.parquet").is_file()]
    tables, about = read_tables(path, (*FIRST_TITLES, *there))
    kept, brought = tables.pop("corrections"), tables.pop("brought", None)
    coded, names = coded_tables(path, tables, REP_TABLES)
    made = Reps(
        coded,
        names["plays"],
        names["players"],
        *made_with(about, path),
        labels=names["labels"],
        brought=brought_of(brought),
        **edition(about),
    )
    lacks = [f"an older file; missing: the table {title}" for title in newer if title not in there]
    made = replace(made, notes=(*made.notes, *lacks))
    made.noise, made.band_coded = read_bands(path, ("reps",), coded, about)
    read = with_corrections(made, kept, path / "corrections.parquet")
    told(read, path)
    return read


def brought_of(table: pa.Table | None) -> dict[str, Any]:
    """The columns that _brought_arrow wrote; none of an older folder."""
    columns: dict[str, Any] = {}
    if table is None:
        return columns
    for name in table.column_names:
        if name.startswith("brought "):
            column = table[name].combine_chunks()
            is_text = str(column.type) in ("string", "large_string")
            texts_in = [text or "" for text in column.to_pylist()] if is_text else None
            columns[name.removeprefix("brought ")] = np.asarray(column) if texts_in is None else texts_in
    return columns


def with_corrections(made: Reps, kept: Any, file: Path) -> Reps:
    try:
        return made.correct(kept)
    except InputError as why:
        raise FileError(f"{file}: {why}") from why


def write_reps_file(made: Reps, path: Path) -> None:
    """The HDF5 file; corrections go as columns of texts ("" for none) and beat_time (NaN for none)."""
    columns: dict[str, Any] = {
        name: [getattr(one, name) for one in made.laid_over]
        for name in ("play", "protector", "rusher", "outcome", "note", "given_to", "helped")
    }
    columns["beat_time"] = np.array([one.beat_time for one in made.laid_over], float)
    with replaced(path, made.sources) as place:
        _core.write_reps(
            os.fspath(place),
            made.coded,
            made.rules,
            made.game_name,
            made.digest,
            made.library_version,
            made.definition,
            made.play_ids,
            made.player_ids,
            made.labels,
            columns,
            list(made.brought.items()),
            as_kept(made.noise),
            made.band_coded,
        )


def read_reps_file(path: Path) -> Reps:
    kept = _core.read_reps(os.fspath(path))
    made = Reps(
        cast(Coded, {title: kept[title] for title in REP_TABLES}),
        kept["plays"],
        kept["players"],
        kept["rules"],
        kept["game_name"],
        kept["digest"],
        kept["library_version"],
        labels=kept["labels"],
        brought=dict(kept["brought"]),
        noise=kept["noise"] and Noise(*kept["noise"]),
        band_coded=kept["bands"],
        definition=kept["definition"],
        notes=tuple(kept["notes"]),
    )
    read = with_corrections(made, kept["corrections"], path)
    told(read, path)
    return read


AS_MEASURED: WeakKeyDictionary[Measures, Reps] = WeakKeyDictionary()  # see reps_of
