"""From three tables of any layout to a game: column names, spellings, ids and times are mapped here, once.

Mappings are written `ours: theirs` for columns and `theirs: ours` for the words in a column, as one reads a table; one
written the wrong way round is recognised and refused with a word on how to turn it.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from .. import _core
from .._core import InputError
from ..base.columns import Codes, Floats
from ..base.sources import Source, open_table
from ..base.tables import Library
from ..base.text import listed, shown, word
from ..base.vocabulary import POSITIONS, ROLES, UNITS
from .clock import Clock
from .columns import REQUIRED, Table, Theirs, read
from .films import film_seconds, with_films
from .game import Game
from .ids import Joined, everywhere, ordered
from .words import ACCEPTED, choice_of, direction_of, position_of


def from_tables(
    tracks: Any,
    snaps: Any,
    people: Any,
    *,
    films: Any = None,
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
      film_time (film seconds at the snap, or 26:47.4), film_file, film_rate, label. Plays come out in the order of
      these rows.
    people: player, unit (offense, defense), position; optional play (none: the row holds for every play), role (passer,
      protector, rusher, other: overrides the rules), name, number, team.
    films: play, film_time (film seconds at the snap, or 26:47.4); optional angle, file, rate (frames a second): a row a
      play and angle. A play's first row is its film_time, film_file and film_rate, unless snaps have film_time.
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
    if films is not None:
        given["films"] = films
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
    """The game of tables that were read. by_number: whether ids are in order by number; None: as they are here,
    which is not for a part of a game to say."""
    ball_id = word(mapped.ball)
    tables, notes = dict(tables), list[str]()
    if (films := tables.pop("films", None)) is not None:
        tables["snaps"], notes = with_films(tables["snaps"], films)
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
        | numbers("snaps", "ball_x", "ball_y")
    )
    if "film_time" in tables["snaps"].of:
        core_snaps["film_time"] = film_seconds(tables["snaps"].of["film_time"][0])
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
    core = made_game(
        core_people["position"],
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
    return Game(core, library, ball_id=ball_id, notes=(*ids.said(), *notes))


def made_game(positions: Collection[str], **given: Any) -> _core.Game:
    """The compiled side's game; when it has no line or no passer, the words for positions are said."""
    try:
        return _core.make_game(**given)
    except InputError as why:
        strange = sorted({word for word in positions if word and word not in POSITIONS})
        if not any(part in str(why) for part in ("linemen", "passer")) or not strange:
            raise
        found = sorted({word for word in positions if word in POSITIONS})
        raise InputError(
            f"{why}. Words for positions: {listed(found) or 'none'} have a meaning, {listed(strange, 20)} have none; "
            f"accepted: {', '.join(POSITIONS)}; spell theirs with "
            'values={"position": {"their word": "LG"}}'
        ) from None


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
