"""From three tables of any layout to a game: column names, spellings, ids and times are mapped here, once.

Mappings are written `ours: theirs` for columns and `theirs: ours` for the words in a column, as one reads a table; one
written the wrong way round is recognised and refused with a word on how to turn it.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from numbers import Real
from typing import Any, Literal, get_args

import numpy as np

from .. import _core
from .._core import InputError
from ..base.tables import Codes, Column, Floats, Library, Source, listed, open_table, shown, word
from .game import Game

Time = Literal["s", "ms", "timestamp", "frame"]
Theirs = str | Sequence[str]

REQUIRED = {
    "tracks": ("play", "player", "time", "x", "y"),
    "snaps": ("play", "ball_x", "ball_y", "direction", "snap_time"),
    "people": ("player", "unit", "position"),
}
OPTIONAL = {
    "tracks": ("vx", "vy", "sd_x", "sd_y", "corr_xy"),
    "snaps": ("throw_time", "end_time", "film_time", "film_file", "film_rate", "label"),
    "people": ("play", "role", "name", "number", "team"),
}
KNOWN = {table: REQUIRED[table] + OPTIONAL[table] for table in REQUIRED}
IDS = ("play", "player")
TIMES = ("time", "snap_time", "throw_time", "end_time")
NUMBERS = ("x", "y", "vx", "vy", "sd_x", "sd_y", "corr_xy", "ball_x", "ball_y", "film_time")
WORDS = ("unit", "position", "role", "label", "film_file", "name", "team")
KEPT = ("label", "film_file", "film_rate", "name", "number", "team")  # known, and not read by the measurement

UNITS = ("offense", "defense")
ROLES = ("passer", "protector", "rusher", "other")
POSITIONS = ("QB", "LT", "LG", "C", "RG", "RT", "T", "OT", "G", "OG", "OL", "TE", "RB", "FB", "HB")
DIRECTIONS = {"1": 1.0, "+1": 1.0, "-1": -1.0}


def from_tables(
    tracks: Any,
    snaps: Any,
    people: Any,
    *,
    units: str,
    origin: str,
    y: str,
    name: str = "game",
    time: str = "s",
    rate: float | None = None,
    ball: object = None,
    orientation: str = "check",
    columns: Mapping[str, Mapping[str, Theirs]] | None = None,
    values: Mapping[str, Mapping[Any, Any]] | None = None,
) -> Game:
    """A game made of three tables: where everybody was, when each ball was snapped, who everybody is.

    tracks: play, player, time, x, y; optional vx, vy (per second), and how far off a sample may be: sd_x, sd_y
      (standard deviations, in the unit), corr_xy (their correlation, -1 to 1).
    snaps: play, ball_x, ball_y, direction (1: the offence attacks +x, -1), snap_time; optional throw_time, end_time,
      film_time (film seconds at the snap), film_file, film_rate, label. Plays come out in the order of these rows.
    people: player, unit (offense, defense), position; optional play (none: the row holds for every play), role (passer,
      protector, rusher, other: overrides the rules), name, number, team.
    Each a pandas, polars or pyarrow table, a dict of one-dimensional arrays, or the path of a CSV (.csv, .csv.gz) or
    Parquet file. Rows in any order. Further columns of snaps and people are kept.

    units: "yd", "m" or "ft". origin: "corner" or "center" of the field. y: "up", or "down" (from the corner: measured
      from the far sideline). None of them has a default.
    time: "s", "ms", "timestamp" (datetimes or ISO text; seconds then count from the first time in tracks), or "frame"
      with `rate` in frames a second. snap_time, throw_time and end_time are the same; film_time is always in seconds.
    ball: the id whose tracks are the ball; ball_x and ball_y are then not needed.
    orientation: "check" refuses input in which left and right, front and back, or lengths look wrong; "trust" does not.
    columns: {"tracks": {"x": "their name", ...}, "snaps": {...}, "people": {...}}; play and player may be a list of
      their columns, joined with "/". What is not named keeps its name.
    values: {"unit": {"their word": "offense"}, "position": {...}, "role": {...}, "direction": {"right": 1}}.

    Ids are text: 12, 12.0 and "12" are the player "12". Of equals the lower id comes first: by number when all are
    whole numbers, else by code point. A row with NaN x or y is a missing sample. A track row without a player, or of
    one people lacks, is left out and counted (`game.dropped`); one without a play or a time is refused.

    Raises InputError, before any work, naming table, column, what was found and what is accepted; FileError for a file
    that cannot be read. Plays that cannot be measured are no error: they are listed in `game.problems`.
    """
    clock = Clock(time, rate)
    mapped = Mapped(units, origin, y, name, time, rate, ball, orientation, columns or {}, values or {})
    given = {"tracks": tracks, "snaps": snaps, "people": people}
    opened = {table: open_table(table, source) for table, source in given.items()}
    tables = {table: mapped.read(source, clock) for table, source in opened.items()}
    return game_of(tables, mapped, clock, opened["tracks"].library)


@dataclass(frozen=True)
class Mapped:
    """How tables are to be read: the arguments of `from_tables`. InputError for those of another kind."""

    units: str
    origin: str
    y: str
    name: str = "game"
    time: str = "s"
    rate: float | None = None
    ball: object = None
    orientation: str = "check"
    columns: Mapping[str, Mapping[str, Theirs]] = field(default_factory=dict)
    values: Mapping[str, Mapping[Any, Any]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not isinstance(self.name, str) or not self.name:
            raise InputError(f"name is {shown(self.name)}; accepted: a text")
        known(self.columns, "columns", tuple(REQUIRED))
        known(self.values, "values", tuple(ACCEPTED))

    def read(self, source: Source, clock: Clock) -> Table:
        """The columns of a table that are wanted, under our names."""
        return read(source, self.columns.get(source.table) or {}, clock, bool(word(self.ball)))


def game_of(
    tables: Mapping[str, Table], mapped: Mapped, clock: Clock, library: Library, by_number: bool | None = None
) -> Game:
    """The game of three tables that were read. by_number: whether ids are in order by number; None: as they are here,
    which is not for a part of a game to say."""
    ball_id = word(mapped.ball)
    words = {column: mapping or {} for column, mapping in mapped.values.items()}
    ids = Joined()
    play = {table: ids.encode(read_table, "play") for table, read_table in tables.items() if "play" in read_table.of}
    player = {table: ids.encode(tables[table], "player") for table in ("tracks", "people")}
    if ball_id and ball_id not in player["tracks"][1]:
        raise InputError(
            f"ball is {shown(ball_id)}: no such player in table tracks; accepted: one of {listed(player['tracks'][1])}"
        )
    for found, table, column in ((play, "tracks", "play"), (play, "snaps", "play"), (player, "people", "player")):
        everywhere(found[table][0], table, column)
    plays = ordered({name for _, names in play.values() for name in names})
    of_people = ordered(player["people"][1], by_number)
    players = of_people + ordered(set(player["tracks"][1]) - set(of_people))  # the latter's rows are dropped

    def recoded(found: tuple[Codes, list[str]], names: list[str]) -> Codes:
        code_of = {name: code for code, name in enumerate(names)}
        return np.array([*(code_of[name] for name in found[1]), -1], np.int32)[found[0]]

    def numbers(table: str, *names: str) -> dict[str, Floats]:
        return {name: tables[table].of[name][0].numbers() for name in names if name in tables[table].of}

    def times(table: str, *names: str) -> dict[str, Floats]:
        return {name: clock.seconds(tables[table].of[name][0]) for name in names if name in tables[table].of}

    core_tracks = (
        {"play": recoded(play["tracks"], plays), "player": recoded(player["tracks"], players)}
        | times("tracks", "time")
        | numbers("tracks", "x", "y", "vx", "vy", "sd_x", "sd_y", "corr_xy")
    )
    everywhere(np.where(np.isfinite(core_tracks["time"]), 0, -1), "tracks", "time")
    core_snaps = (
        {"play": recoded(play["snaps"], plays), "direction": direction_of(tables["snaps"].of["direction"][0], words)}
        | times("snaps", "snap_time", "throw_time", "end_time")
        | numbers("snaps", "ball_x", "ball_y", "film_time")
    )
    who = tables["people"].of
    core_people: dict[str, Any] = {
        "player": recoded(player["people"], players),
        "unit": choice_of(who["unit"][0], UNITS, words).astype(np.int8),
        "position": position_of(who["position"][0], words),
    }
    if "play" in who:
        core_people["play"] = recoded(play["people"], plays)
    if "role" in who:
        core_people["role"] = choice_of(who["role"][0], ROLES, words, optional=True).astype(np.int8)
    core = _core.make_game(
        name=mapped.name,
        plays=plays,
        players=players,
        tracks=core_tracks,
        snaps=core_snaps,
        people=core_people,
        units=mapped.units,
        origin=mapped.origin,
        y=mapped.y,
        ball=players.index(ball_id) if ball_id else -1,
        kept_snaps=tables["snaps"].kept(),
        kept_people=tables["people"].kept(),
        orientation=mapped.orientation,
    )
    return Game(core, library)


# ------------------------------------------------------------------------------------------------------ columns


@dataclass
class Table:
    """An input table with our names: each a column of theirs, or several to be joined."""

    title: str
    of: dict[str, list[Column]] = field(default_factory=dict)

    def kept(self) -> list[tuple[str, Any]]:
        """The columns that are kept as they come, in order: (name, values)."""
        kept = []
        for name, (column, *_) in self.of.items():
            if name not in KNOWN[self.title]:
                kept.append((name, column.kept()))
            elif name in KEPT:
                values = column.words() if name in WORDS else column.numbers() if name in NUMBERS else column.kept()
                kept.append((name, values))
        return kept


def known(mapping: object, what: str, accepted: Collection[str]) -> None:
    if not isinstance(mapping, Mapping):
        raise InputError(
            f"{what}: found {type(mapping).__name__}; accepted: a mapping with the keys {', '.join(accepted)}"
        )
    for key, inner in mapping.items():
        if key not in accepted:
            raise InputError(f"{what}: found the key {shown(key)}; accepted: {', '.join(accepted)}")
        if inner is not None and not isinstance(inner, Mapping):
            raise InputError(f"{what}[{shown(key)}]: found {shown(inner)}; accepted: a mapping")


def read(source: Source, mapping: Mapping[str, Theirs], clock: Clock, ball: bool) -> Table:
    """Reads the columns of a table that are wanted, under our names."""
    table = source.table
    theirs = theirs_of(source, mapping)
    if ball and table == "snaps":
        theirs = {name: of for name, of in theirs.items() if name not in ("ball_x", "ball_y")}
    for name in REQUIRED[table]:
        if name in theirs or (ball and name in ("ball_x", "ball_y")):
            continue
        raise InputError(
            f"table {table}{source.origin}, column {name}: missing; found: {listed(source.names)}; name theirs with "
            f'columns={{"{table}": {{"{name}": "their name"}}}}'
        )
    text: set[str] = set()
    number: set[str] = set()
    for name, of in theirs.items():
        if name not in KNOWN[table]:
            continue
        if name in IDS or name in WORDS or (name in TIMES and clock.mode == "timestamp"):
            text.update(of)
        elif name in NUMBERS or name in TIMES:
            number.update(of)
    source.read(list(dict.fromkeys(column for of in theirs.values() for column in of)), text, number - text)
    return Table(table, {name: [source.column(name, column) for column in of] for name, of in theirs.items()})


def theirs_of(source: Source, mapping: Mapping[str, Theirs]) -> dict[str, tuple[str, ...]]:
    """Our column names to theirs: as mapped, else those of one name. A track's other columns are left out."""
    table, ours = source.table, KNOWN[source.table]
    given: dict[str, tuple[str, ...]] = {}
    for name, theirs in mapping.items():
        where = f'columns["{table}"]'
        if name not in ours and name in source.names and isinstance(theirs, str) and theirs in ours:
            raise InputError(
                f"{where} is the wrong way round: found {shown(name)}: {shown(theirs)}; accepted: ours first, "
                f"{shown(theirs)}: {shown(name)}"
            )
        if name not in ours and table == "tracks":
            raise InputError(f"{where}: found the key {shown(name)}; accepted: {', '.join(ours)}")
        parts = (theirs,) if isinstance(theirs, str) else tuple(theirs) if isinstance(theirs, list | tuple) else ()
        if not parts or not all(isinstance(part, str) for part in parts):
            raise InputError(f"{where}[{shown(name)}]: found {shown(theirs)}; accepted: the name of their column")
        if len(parts) > 1 and name not in IDS:
            raise InputError(
                f"{where}[{shown(name)}]: found {len(parts)} columns; accepted: one, for only "
                f"{' and '.join(IDS)} are joined"
            )
        for part in parts:
            if part not in source.names:
                raise InputError(
                    f"table {table}{source.origin}, column {name}: their {shown(part)} is missing; "
                    f"found: {listed(source.names)}"
                )
        given[name] = parts
    used = {part for parts in given.values() for part in parts}
    for name in source.names:
        if name not in given and (name in ours or (table != "tracks" and name not in used)):
            given[name] = (name,)
    return given


# ---------------------------------------------------------------------------------------------------------- ids


class Joined:
    """Ids as codes, those of several columns joined with "/". Two different ids that join to one text are refused."""

    def __init__(self) -> None:
        self.parts: dict[tuple[str, int, str], tuple[str, ...]] = {}

    def encode(self, table: Table, name: str) -> tuple[Codes, list[str]]:
        columns = table.of[name]
        codes, found_names = columns[0].encode()
        combined: list[tuple[str, ...]] = [(text,) for text in found_names]
        for column in columns[1:]:
            more, more_names = column.encode()
            missing = (codes < 0) | (more < 0)
            pairs = np.where(missing, -1, codes.astype(np.int64) * len(more_names) + more)
            found, codes = distinct(pairs)
            combined = [combined[pair // len(more_names)] + (more_names[pair % len(more_names)],) for pair in found]
        names = ["/".join(part) for part in combined]
        for text, part in zip(names, combined, strict=True):
            other = self.parts.setdefault((name, len(part), text), part)
            if other != part:
                raise InputError(
                    f"table {table.title}, column {name}: {listed(other)} and {listed(part)} both join to "
                    f"{shown(text)}; accepted: ids that stay apart"
                )
        return codes, names


def distinct(values: np.ndarray[Any, np.dtype[np.int64]]) -> tuple[list[int], Codes]:
    """The distinct values in order of appearance, and each row's place among them; -1 where the value is -1."""
    import pyarrow as pa

    encoded = pa.array(values, mask=values < 0).dictionary_encode()
    return encoded.dictionary.to_pylist(), encoded.indices.fill_null(-1).to_numpy()


def ordered(names: Collection[str], by_number: bool | None = None) -> list[str]:
    """Ids in order: by number when all are whole numbers as one writes them, else by code point."""
    if whole_numbers(names) if by_number is None else by_number:
        return sorted(names, key=int)
    return sorted(names)


def whole_numbers(names: Collection[str]) -> bool:
    return all(re.fullmatch("0|-?[1-9][0-9]{0,17}", name) for name in names)


def everywhere(codes: np.ndarray[Any, Any], table: str, column: str) -> None:
    """Refuses a column with a missing value."""
    missing = np.flatnonzero(codes < 0)
    if len(missing):
        raise InputError(
            f"table {table}, column {column}: found no value in {len(missing)} of {len(codes)} rows, first in row "
            f"{missing[0]} (from 0); accepted: a value in every row"
        )


# --------------------------------------------------------------------------------------------------------- time


class Clock:
    """Their times as float seconds."""

    def __init__(self, mode: str, rate: float | None) -> None:
        if mode not in get_args(Time):
            raise InputError(f"time is {shown(mode)}; accepted: {', '.join(get_args(Time))}")
        counts = isinstance(rate, Real) and not isinstance(rate, bool) and 0 < rate < float("inf")
        if mode == "frame" and not counts:
            raise InputError(f'rate is {shown(rate)}; accepted with time="frame": frames a second, above 0')
        if mode != "frame" and rate is not None:
            raise InputError(f'rate is {shown(rate)}; accepted: with time="frame" only, and time is "{mode}"')
        self.mode = mode
        self.scale = 1000.0 if mode == "ms" else float(rate or 1)
        self.start: tuple[int, bool, Column] | None = None  # of timestamps: the first time in tracks; with a zone?

    def seconds(self, column: Column) -> Floats:
        """NaN for a missing time. The first column asked for must be the tracks' time."""
        if self.mode != "timestamp":
            named = {"s": "seconds", "ms": "milliseconds", "frame": "frame numbers"}[self.mode]
            return column.numbers(f'{named}, as numbers (time="{self.mode}")') / self.scale
        stamps, missing, zone = column.stamps()
        if self.start is None:
            self.start = (int(stamps[~missing].min()) if not missing.all() else 0, zone, column)
        first, first_zone, first_column = self.start
        if not missing.all() and zone != first_zone:
            column.refuse(
                f"times {'with' if zone else 'without'} a time zone",
                f"times {'with' if first_zone else 'without'} one, as in table {first_column.table}",
            )
        return np.where(missing, np.nan, (stamps - first) / 1e9)


# ------------------------------------------------------------------------------------------------------- values

ACCEPTED: dict[str, Collection[str]] = {
    "unit": UNITS,
    "position": POSITIONS,
    "role": ROLES,
    "direction": DIRECTIONS,
}


def respelled(column: Column, found: Sequence[str], words: Mapping[str, Mapping[Any, Any]]) -> list[str]:
    """The words found in a column, in our spelling."""
    mapping = {word(theirs): word(ours) for theirs, ours in words.get(column.name, {}).items()}
    accepted = ACCEPTED[column.name]
    for theirs, ours in mapping.items():
        turned = theirs in accepted and ours not in accepted
        if column.name == "position":
            turned = turned and theirs not in found and ours in found
        if turned:
            raise InputError(
                f'values["{column.name}"] is the wrong way round: found {shown(theirs)}: {shown(ours)}; accepted: '
                f"theirs first, {shown(ours)}: {shown(theirs)}"
            )
        if column.name != "position" and ours not in accepted:
            raise InputError(
                f'values["{column.name}"]: found {shown(theirs)}: {shown(ours)}; accepted: {", ".join(accepted)}'
            )
    return [mapping.get(text, text) for text in found]


def refuse_words(column: Column, found: Collection[str], accepted: Collection[str]) -> None:
    if found:
        column.refuse(
            listed(found),
            f"{', '.join(accepted)}; spell theirs with "
            f'values={{"{column.name}": {{{shown(next(iter(found)))}: "{next(iter(accepted))}"}}}}',
        )


def choice_of(
    column: Column, accepted: Sequence[str], words: Mapping[str, Mapping[Any, Any]], optional: bool = False
) -> Codes:
    """Codes into `accepted`; -1 where there is none, if that may be."""
    codes, found = column.encode()
    ours = respelled(column, found, words)
    refuse_words(column, [text for text, our in zip(found, ours, strict=True) if our not in accepted], accepted)
    new = np.array([*(accepted.index(our) for our in ours), -1], np.int32)[codes]
    if not optional:
        everywhere(new, column.table, column.name)
    return new


def position_of(column: Column, words: Mapping[str, Mapping[Any, Any]]) -> list[str]:
    """The positions, row by row; any text is kept, "" for none."""
    codes, found = column.encode()
    return np.array([*respelled(column, found, words), ""], object)[codes].tolist()  # type: ignore[no-any-return]


def direction_of(column: Column, words: Mapping[str, Mapping[Any, Any]]) -> Floats:
    """1 or -1, row by row."""
    codes, found = column.encode()
    ours = respelled(column, found, words)
    refuse_words(column, [text for text, our in zip(found, ours, strict=True) if our not in DIRECTIONS], ("1", "-1"))
    everywhere(codes, column.table, column.name)
    return np.array([DIRECTIONS[our] for our in ours], float)[codes]
