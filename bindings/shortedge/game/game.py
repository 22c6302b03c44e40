"""A game: its tables, its plays one by one, and its digest."""

from __future__ import annotations

import hashlib
import os
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from .. import _core
from .._core import InputError
from ..base.columns import Floats
from ..base.files import replaced
from ..base.tables import GivesTables, Library, from_codes, texts
from ..base.text import nearest, shown, word
from ..base.vocabulary import ROLES, UNITS

if TYPE_CHECKING:
    import pyarrow as pa

SWAMPED = 0.19  # yd: where the median error of a play's places is over this, a short edge (a few tenths) is lost in it
GRID = 1_000_000  # a digest sees lengths and times to a millionth of a yard and of a second


@dataclass(frozen=True)
class Man:
    """One man of one play. `slot` is his place in the line (LT LG C RG RT), "" for anyone else; a rusher takes part
    from frame `counts_from` to before frame `counts_to`."""

    player: str
    unit: str
    role: str
    slot: str
    position: str
    counts_from: int
    counts_to: int


@dataclass(frozen=True, eq=False)
class Play:
    """One play, made ready to measure. Times in s since the snap, NaN for none. Play frame: u yards to the offence's
    right of the ball, v yards behind the line."""

    id: str
    time: Floats  # (frames,)
    throw_time: float
    end_time: float
    top_time: float  # top of the passer's drop
    men: tuple[Man, ...]
    place: Floats  # (frames, men, 2): u, v in yd; NaN when absent
    velocity: Floats  # (frames, men, 2): yd/s; NaN when unknown, and for men who neither pass, protect nor rush
    filled: int  # places that lie between two samples


@dataclass(eq=False)
class Game(GivesTables):
    """A game that can be measured; made by `from_tables`, `read` or `example`."""

    core: _core.Game = field(repr=False)
    library: Library = "pandas"
    stored_digest: str = field(default="", repr=False)
    sources: tuple[Path, ...] = field(default=(), repr=False)  # the files it was read from: nothing is written on them
    notes: tuple[str, ...] = field(default=(), repr=False, compare=False)  # what was done to its tables, to be told
    ball_id: str = field(default="", repr=False)  # among the players of tracks

    def __repr__(self) -> str:
        return f"Game({self.name!r}: {len(self.core.measured)} plays, {len(self.core.problems)} skipped)"

    @property
    def name(self) -> str:
        """The game's name, as every output table shows it."""
        return self.core.name

    @property
    def dropped(self) -> dict[str, int]:
        """Rows of tracks left out: no_player, not_in_people, missing (no x or y)."""
        return self.core.dropped

    @property
    def plays(self) -> Any:
        """One row a row of snaps, in their order: play, ball_x, ball_y (yd from the field's corner, y up), direction,
        snap_time, throw_time, end_time (s on the tracks' clock), film_time (film s), then the columns that were kept.
        """
        return self._table("plays")

    @property
    def people(self) -> Any:
        """One row a row of people: player, play (null: every play), unit, position, role (null: by the rules), then the
        columns that were kept."""
        return self._table("people")

    @property
    def problems(self) -> Any:
        """The plays that are not measured: play, reason."""
        return self._table("problems")

    @property
    def remarks(self) -> Any:
        """What to know of plays that are measured all the same: play, remark, few_linemen. A play with fewer than five
        linemen at the snap (few_linemen), of whom another may be charged with the missing man's rusher; and one in
        which a lineman stood elsewhere than he is listed: sides go by where he stood."""
        return self._table("remarks")

    @cached_property
    def few_linemen(self) -> frozenset[str]:
        """The plays that are measured with fewer than five linemen at the snap."""
        few = (self.play_ids[play] for play, _, few in self.core.remarks if few)
        return frozenset(play for play in few if play in self._measured_rows)

    @cached_property
    def remark_of(self) -> dict[str, str]:
        """The remark of each play that has one."""
        measured = self._measured_rows
        return {self.play_ids[play]: says for play, says, _ in self.core.remarks if self.play_ids[play] in measured}

    @cached_property
    def unlisted(self) -> list[str]:
        """Ids in tracks that people lacks, whose rows were left out (`dropped`, not_in_people)."""
        if not self.dropped["not_in_people"]:
            return []
        listed = set(self.core.people["player"].tolist())
        return [player for code, player in enumerate(self.player_ids) if code not in listed and player != self.ball_id]

    @property
    def is_whole(self) -> bool:
        """No play was skipped, and each has five linemen at the snap. The exit code of every command says it."""
        return not self.core.problems and not self.few_linemen

    @cached_property
    def digest(self) -> str:
        """SHA-256 of what was recorded, in hex. The same whatever the order of rows and columns, the unit, the frame
        and the table library the game came in; its name does not count. Lengths and times count to a millionth."""
        return self.stored_digest or digest_of(self.core)

    def play(self, id: object) -> Play:
        """One play. InputError when there is none of that id, or it is not measured, with the reason."""
        row = self.row(id)
        ready = self.core.prepare(row)
        code, players = int(self._snap_codes[row]), self.player_ids
        men = tuple(
            Man(players[player], unit, role, slot, self.position_of(code, player), start, end)
            for player, unit, role, slot, start, end in zip(
                ready["player"].tolist(),
                ready["unit"],
                ready["role"],
                ready["slot"],
                ready["counts_from"].tolist(),
                ready["counts_to"].tolist(),
                strict=True,
            )
        )
        return Play(
            word(id),
            ready["time"],
            ready["throw_time"],
            ready["end_time"],
            ready["top_time"],
            men,
            ready["place"],
            ready["velocity"],
            ready["filled"],
        )

    def row(self, id: object) -> int:
        """The row of `plays` of a play that is measured. InputError as in `play`."""
        rows = self._measured_rows
        play = word(id)
        if play in rows:
            return rows[play]
        for code, reason in self.core.problems:
            if self.play_ids[code] == play:
                raise InputError(f"play {shown(play)} is not measured: {reason}")
        some = ", ".join(shown(name) for name in list(rows)[:5]) + (", ..." if len(rows) > 5 else "")
        raise InputError(f"no play {shown(play)} in game {shown(self.name)}; its plays: {some}{nearest(play, rows)}")

    def measured(self) -> list[str]:
        """The ids of the plays that are measured, in order."""
        return list(self._measured_rows)

    def position_of(self, play: int, player: int) -> str:
        """A man's position in a play, both by code (indices into play_ids and player_ids); "" for none."""
        positions = self._positions
        return positions.get((play, player), positions.get((-1, player), ""))

    def save(self, path: str | os.PathLike[str]) -> None:
        """Writes the game to one HDF5 file (.h5). What stood there is whole until the new one is. Raises FileError,
        also for a file the game was read from."""
        with replaced(path, self.sources) as place:
            _core.write_game(os.fspath(place), self.core, self.digest)

    @cached_property
    def errors(self) -> dict[str, float]:
        """The median error of places in each play whose tracks bring theirs (sd_x, sd_y), yd an axis."""
        tracks = self.core.tracks
        if "sd_x" not in tracks:
            return {}
        variance = (tracks["sd_x"] ** 2 + tracks["sd_y"] ** 2) / 2
        order = np.argsort(tracks["play"], kind="stable")
        codes, starts = np.unique(tracks["play"][order], return_index=True)
        parts = np.split(variance[order], starts[1:])
        return {
            self.play_ids[code]: float(np.sqrt(np.nanmedian(part)))
            for code, part in zip(codes.tolist(), parts, strict=True)
            if not np.isnan(part).all()
        }

    @cached_property
    def swamped(self) -> frozenset[str]:
        """Plays whose short edges are smaller than the error of places, and are not shown on pages or in words."""
        return frozenset(play for play, error in self.errors.items() if error > SWAMPED)

    @cached_property
    def rests_on(self) -> str:
        """In words what the places rest on, where tracks bring their errors; "" else."""
        if not self.errors:
            return ""
        kept = dict(self.core.kept_snaps)
        said = ""
        if "seen_from" in kept and "clicks" in kept:
            measured = set(self.measured())
            codes = self._snap_codes.tolist()
            rows = [row for row, code in enumerate(codes) if self.play_ids[code] in measured]
            views: dict[str, int] = {}
            for row in rows:
                views[kept["seen_from"][row]] = views.get(kept["seen_from"][row], 0) + 1
            plays = ", ".join(f"{view} in {count}" for view, count in sorted(views.items()))
            clicks = int(np.nansum([kept["clicks"][row] for row in rows]))
            said = f"Places were clicked on film ({plays} plays; {clicks} clicks of men). "
        said += (
            f"Places are known to {float(np.median(list(self.errors.values()))):.2f} yd at the median (one standard "
        )
        said += "deviation an axis)."
        if self.swamped:
            many = len(self.swamped)
            said += f" In {many} {'play' if many == 1 else 'plays'} that is over {SWAMPED:g} yd: short edges there are "
            said += "smaller than the error and are left out."
        return said

    # Every look at a property of `core` makes new lists and arrays, so what is needed often is kept.
    @cached_property
    def play_ids(self) -> list[str]:
        """Ids of plays by code."""
        return self.core.plays

    @cached_property
    def player_ids(self) -> list[str]:
        """Ids of players by code."""
        return self.core.players

    @cached_property
    def _snap_codes(self) -> npt.NDArray[np.int32]:
        return self.core.snaps["play"]

    @cached_property
    def _measured_rows(self) -> dict[str, int]:
        return {self.play_ids[self._snap_codes[row]]: row for row in self.core.measured.tolist()}

    @cached_property
    def _positions(self) -> dict[tuple[int, int], str]:
        people = self.core.people
        return {
            (play, player): position
            for play, player, position in zip(
                people["play"].tolist(), people["player"].tolist(), people["position"], strict=True
            )
        }

    def arrow(self, title: str) -> pa.Table:
        """`plays`, `people`, `problems` or `remarks` as an Arrow table."""
        return arrow_table(self.core, title)


def check_game(game: object) -> None:
    if not isinstance(game, Game):
        raise InputError(f"game is {type(game).__name__}; accepted: a Game, made by from_tables, read or example")


def arrow_table(core: _core.Game, title: str) -> pa.Table:
    """`plays`, `people`, `problems` or `remarks` of a game."""
    import pyarrow as pa

    if title == "problems":
        codes = np.array([play for play, _ in core.problems], np.int32)
        reasons = texts([reason for _, reason in core.problems])
        return pa.table({"play": from_codes(codes, core.plays), "reason": reasons})
    if title == "remarks":
        codes = np.array([play for play, _, _ in core.remarks], np.int32)
        says, few = texts([says for _, says, _ in core.remarks]), [few for _, _, few in core.remarks]
        return pa.table(
            {"play": from_codes(codes, core.plays), "remark": says, "few_linemen": pa.array(few, pa.bool_())}
        )
    if title == "plays":
        snaps = core.snaps
        columns = {"play": from_codes(snaps["play"], core.plays)}
        columns |= {
            name: pa.array(snaps[name])
            for name in ("ball_x", "ball_y", "direction", "snap_time", "throw_time", "end_time", "film_time")
        }
        kept = core.kept_snaps
    else:
        people = core.people
        columns = {
            "player": from_codes(people["player"], core.players),
            "play": from_codes(people["play"], core.plays),
            "unit": from_codes(people["unit"], UNITS),
            "position": texts(people["position"]),
            "role": from_codes(people["role"], ROLES),
        }
        kept = core.kept_people
    return pa.table(
        columns | {name: texts(values) if isinstance(values, list) else pa.array(values) for name, values in kept}
    )


def digest_of(core: _core.Game) -> str:
    """See Game.digest. Ids and words enter as text, numbers on a grid, rows in the order of their ids."""
    hash = hashlib.sha256(b"shortedge game 1")
    tracks, snaps, people = core.tracks, core.snaps, core.people
    start = tracks["time"].min(initial=np.inf)  # times count from the first: timestamps and seconds agree
    tracks["time"] = tracks["time"] - start
    for name in ("snap_time", "throw_time", "end_time"):
        snaps[name] = snaps[name] - start
    snaps |= {f"kept {name}": values for name, values in sorted(core.kept_snaps, key=lambda column: column[0])}
    people |= {f"kept {name}": values for name, values in sorted(core.kept_people, key=lambda column: column[0])}

    add(hash, "plays", core.plays)
    add(hash, "players", core.players[: int(max(people["player"], default=-1)) + 1])
    for title, table, keys in (
        ("tracks", tracks, ("play", "player", "time")),
        ("snaps", snaps, ("play",)),
        ("people", people, ("player", "play")),
    ):
        columns = {name: exact(values) for name, values in table.items()}
        rows = in_order(columns, keys)
        for name, values in columns.items():
            add(hash, f"{title} {name}", values[rows])
    return hash.hexdigest()


def add(hash: hashlib._Hash, what: str, values: npt.NDArray[Any] | list[str]) -> None:
    """Adds one column, told apart from the next by its title and length."""
    if isinstance(values, np.ndarray) and values.dtype != object:
        data: Any = np.ascontiguousarray(values).view(np.uint8)
    else:
        data = "".join(f"{len(text)}:{text}" for text in values).encode()
    hash.update(f"{what} {len(data)} ".encode())
    hash.update(data)


def exact(values: npt.NDArray[Any] | list[str]) -> npt.NDArray[Any]:
    """A column as texts or int64, numbers on a grid (`_core.on_grid`)."""
    if isinstance(values, list):
        return np.array(values, object)
    if values.dtype.kind in "iu" and values.itemsize < 8:  # as on the grid, to the bit
        places: npt.NDArray[Any] = np.multiply(values, GRID, dtype=np.int64)
        return places
    return _core.on_grid(np.ascontiguousarray(values, float))


def in_order(columns: dict[str, npt.NDArray[Any]], keys: tuple[str, ...]) -> npt.NDArray[np.intp] | slice:
    """Rows by the keys; those that agree in all keys by everything else."""
    by_keys = np.lexsort([columns[key] for key in reversed(keys)]) if len(keys) < 3 else slice(None)  # tracks come so
    same = np.logical_and.reduce([columns[key][by_keys][1:] == columns[key][by_keys][:-1] for key in keys])
    if not same.any():
        return by_keys
    rest = [
        values.astype(str) if values.dtype == object else values for name, values in columns.items() if name not in keys
    ]
    return np.lexsort([*rest, *(columns[key] for key in reversed(keys))])
