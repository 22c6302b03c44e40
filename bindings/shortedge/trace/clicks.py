"""A trace: what was clicked on film, and the coordinates that come of it."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Self

import numpy as np

from .. import _core
from .._core import InputError
from ..base.tables import given_out, texts
from ..base.text import listed, shown, word
from .cameras import Cameras, Reference
from .doubts import Doubt, doubts_of
from .journal import Journal, films_of, new_header
from .quick import look
from .ways import Ways

if TYPE_CHECKING:
    import pyarrow as pa

EVENTS = ("snap", "throw", "end")
AT = ("foot", "between", "waist")
UNITS = ("offense", "defense")
END_ZONE = "end zone"
Number = float | int | np.floating[Any] | np.integer[Any]


class Reading:
    """What a journal says as it stands: cameras, places, ways and doubts, each worked out when it is asked for."""

    def __init__(self, journal: Journal, rate: float = 10.0) -> None:
        self.journal = journal
        self.cameras = Cameras(journal)
        self.ways = Ways(self.cameras, rate)

    @cached_property
    def doubts(self) -> list[Doubt]:
        return doubts_of(self.cameras, self.ways)


class Trace:
    """Clicks on film, kept in a file act by act, and what they say of the field.

    path: NAME.trace; made when there is none, then `field` ("pro", "college", "school": where its hashes lie) and
      `angles` (a name to its picture's width and height in pixels, as {"end zone": (1280, 720)}) are needed. "end zone"
      and "sideline" say where the camera stands; any other name may stand anywhere.
    films: an angle's film, the name of a file beside the trace, or {"file": name, "rate": "30000/1001"}; optional.
    errors: how well one clicks, if not as assumed: mark 2, foot 3, hidden 6 (pixels, one standard deviation an axis),
      posture 0.15 (yd: a foot is not the middle of a man).

    `time` is the clock of that angle's film in seconds. When that angle's snap of the play is said (`event`), it is
    tied to the play's clock, in which the snap is at `snap_time`; else it is the play's clock. Pixels: x to the right,
    y down, from the picture's upper left corner. Field: X along, 0 to 120 yd from the back of one end zone; Y across, 0
    to 160/3.

    Every act is on the disk before its method returns. One program at a time may hold a trace open; `close()` or a
    `with` block lets it go. Raises InputError for arguments that make no sense, FileError for a file that is damaged
    (by the number of the act), locked or no trace.

    A whole play five yards off, or the field turned round, shows in no figure: say where the ball lies (`snap`), and
    click it as well (`ball`), and a difference is doubted.
    """

    def __init__(
        self,
        path: str | os.PathLike[str],
        field: str | None = None,
        angles: Mapping[str, tuple[float, float]] | None = None,
        *,
        films: Mapping[str, Any] | None = None,
        errors: Mapping[str, float] | None = None,
    ) -> None:
        header = None
        if field is not None or angles is not None:
            header = new_header(field or "", angles or {}, films, errors, Path(path).parent)
        self._journal = Journal(path, header, write=True)
        self._read: Reading | None = None
        self._held: dict[str, Reference] = {}  # for `look`
        if header is not None and (header["field"], header["angles"]) != (self.field, self._journal.header["angles"]):
            self.close()
            raise InputError(
                f"{path}: found field {shown(self.field)} with angles {listed(list(self.angles))} of other name or "
                "size; accepted: those it was made with, or none"
            )

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def __repr__(self) -> str:
        return f"Trace({str(self._journal.path)!r}: {self.field}, {len(self)} acts)"

    def __len__(self) -> int:
        """How many acts were written, undone ones too."""
        return self._journal.acts.lines - 1

    @property
    def path(self) -> Path:
        return self._journal.path

    @property
    def acts(self) -> _core.Journal:
        """The acts as the compiled side holds them: `columns(kind)`, texts as codes into `texts`."""
        return self._journal.acts

    @property
    def field(self) -> str:
        return str(self._journal.header["field"])

    @property
    def angles(self) -> dict[str, tuple[float, float]]:
        """Angle to the size of its picture, pixels."""
        return {name: (size[0], size[1]) for name, size in self._journal.header["angles"].items()}

    @property
    def films(self) -> dict[str, str]:
        """Angle to its film, a file beside the trace, where it has one for the whole game."""
        return {name: str(film["file"]) for name, film in self._journal.header["films"].items()}

    def close(self) -> None:
        """Lets the file go. Nothing is lost: every act is on the disk already."""
        self._journal.close()

    @contextmanager
    def together(self) -> Iterator[None]:
        """Acts within the block are written together at its end, or not at all when it fails. For many at once."""
        with self._journal.together():
            yield

    # --------------------------------------------------------------------------------------------------- acts

    def mark(
        self,
        play: object,
        angle: str,
        time: Number,
        x: Number,
        y: Number,
        X: Number | str,
        Y: Number | None = None,
        *,
        followed: bool = False,
    ) -> int:
        """A mark of the field seen at a pixel: its place X, Y in yards, or its name (`se.field_marks`) for X. Gives the
        act's number, as every act does. followed: nobody clicked it, a program followed the picture to it and a person
        accepted that."""
        place: dict[str, Any] = {"X": X, "Y": Y}
        if isinstance(X, str):
            names = _core.field_marks(self.field)[0]
            if X not in names or Y is not None:
                raise InputError(
                    f"mark is {shown(X)}; accepted: the name of a mark on a field of kind {self.field}, as {names[0]!r}"
                )
            place = {"mark": X}
        elif Y is None:
            raise InputError(f"mark is X {shown(X)} without Y; accepted: both in yards, or a mark's name")
        said = {"play": id_of("play", play), "angle": self._angle(angle), "time": time}
        return self._add("mark", **said, x=x, y=y, **place, followed=1 if followed else None)

    def foot(
        self,
        play: object,
        angle: str,
        time: Number,
        player: object,
        x: Number,
        y: Number,
        *,
        hidden: bool = False,
        at: str = "foot",
        followed: bool = False,
    ) -> int:
        """Where a man stands: at="foot" is one foot, "between" the ground between his feet, "waist" his waist (1 yd
        up), for men whose feet are covered, from the end zone only. hidden: guessed behind another man (6 pixels).
        followed: a program followed him there from a click and a person accepted that (6 pixels, too)."""
        if at not in AT:
            raise InputError(f"at is {shown(at)}; accepted: {', '.join(AT)}")
        if at == "waist" and angle != END_ZONE:
            raise InputError(
                f'at is "waist" from {shown(angle)}; accepted: from the end zone, where height costs little'
            )
        said = {
            "play": id_of("play", play),
            "angle": self._angle(angle),
            "time": time,
            "player": id_of("player", player),
        }
        flags = {"hidden": 1 if hidden else None, "followed": 1 if followed else None}
        return self._add("foot", **said, x=x, y=y, at=at, **flags)

    def person(self, player: object, unit: str, position: str, *, play: object = None) -> int:
        """Who a man is, in every play or in one: unit "offense" or "defense", position as in the table people."""
        if unit not in UNITS:
            raise InputError(f"unit is {shown(unit)}; accepted: {', '.join(UNITS)}")
        where = None if play is None else id_of("play", play)
        return self._add(
            "man", player=id_of("player", player), unit=unit, position=id_of("position", position), play=where
        )

    def snap(
        self,
        play: object,
        ball_x: Number,
        ball_y: Number,
        direction: int,
        *,
        snap_time: Number = 0.0,
        throw_time: Number | None = None,
        end_time: Number | None = None,
    ) -> int:
        """What is known of a play: where the ball lies (yd), the direction the offense attacks (1: +x, -1), and times
        on the play's own clock. Said again, the last word counts."""
        if direction not in (1, -1):
            raise InputError(f"direction is {shown(direction)}; accepted: 1 (the offense attacks +x), -1")
        times = {"snap_time": snap_time, "throw_time": throw_time, "end_time": end_time}
        return self._add("snap", play=id_of("play", play), ball_x=ball_x, ball_y=ball_y, direction=direction, **times)

    def ball(self, play: object, angle: str, time: Number, x: Number, y: Number) -> int:
        """The ball before the snap, at a pixel."""
        return self._add("ball", play=id_of("play", play), angle=self._angle(angle), time=time, x=x, y=y)

    def event(self, play: object, what: str, angle: str, time: Number) -> int:
        """When something is seen in an angle's film: "snap", "throw" or "end". The snap ties that film's clock to the
        play's; a further one checks it, and ties two films closer."""
        if what not in EVENTS:
            raise InputError(f"event is {shown(what)}; accepted: {', '.join(EVENTS)}")
        return self._add("event", play=id_of("play", play), what=what, angle=self._angle(angle), time=time)

    def accept(self, play: object, angle: str, time: Number, player: object) -> int:
        """A doubted click of a man is right after all."""
        said = {
            "play": id_of("play", play),
            "angle": self._angle(angle),
            "time": time,
            "player": id_of("player", player),
        }
        return self._add("accept", **said)

    def note(self, text: str, *, play: object = None) -> int:
        """Words for whoever reads the file."""
        return self._add("note", text=text, play=None if play is None else id_of("play", play))

    def film(self, play: object, angle: str, file: str) -> int:
        """The film of one play from an angle, a file beside the trace, where plays have films of their own."""
        said = films_of({self._angle(angle): file}, self.angles, self._journal.path.parent)[angle]
        return self._add("film", play=id_of("play", play), angle=angle, **said)

    def strike(self, act: int) -> int:
        """Lets one act stand no more, whichever it is: a click that is put right. An undo gives it back."""
        if not (isinstance(act, int) and self._journal.acts.can_strike(act)):
            raise InputError(f"strike is {shown(act)}; accepted: the number of an act that stands")
        return self._add("strike", act=act)

    def undo(self) -> int:
        """Takes the last act back that stands, by an act of its own; gives the number of what was taken back."""
        taken = self._journal.acts.next_undone
        if not taken:
            raise InputError("undo: found no act to take back")
        self._add("undo")
        return taken

    def redo(self) -> int:
        """Gives back what the last undo took; gives its number."""
        given = self._journal.acts.next_redone
        if not given:
            raise InputError("redo: found no act that was taken back")
        self._add("redo")
        return given

    def _add(self, do: str, **fields: Any) -> int:
        number = self._journal.add(do, **fields)
        self._read = None
        return number

    def _angle(self, angle: str) -> str:
        if angle not in self._journal.header["angles"]:
            raise InputError(f"angle is {shown(angle)}; accepted: {', '.join(self.angles)}")
        return angle

    # ------------------------------------------------------------------------------------------------ results

    @property
    def reading(self) -> Reading:
        """What the acts say now."""
        if self._read is None:
            self._read = Reading(self._journal)
        return self._read

    @property
    def cameras(self) -> Any:
        """One row a picture with marks: play, angle, time, solved, marks (that count), rms (pixels an axis), pan, tilt,
        roll (degrees), focal (pixels), x, y, z (yd, of the camera), k1, crown (yd). NaN where it is not solved."""
        return given_out(cameras_table(self.reading.cameras))

    @property
    def points(self) -> Any:
        """One row a click of a man: play, angle, time, player, x, y, sd_x, sd_y (yd), corr_xy. NaN where no camera is
        known."""
        return given_out(points_table(self.reading.cameras))

    @property
    def doubts(self) -> Any:
        """What looks wrong: play, angle, time, what (field, mark, picture, camera, man, speed, clocks, ball, line,
        passer), says (in words, with what to do)."""
        import pyarrow as pa

        rows = self.reading.doubts
        table = {name: texts([getattr(row, name) or "" for row in rows]) for name in ("play", "angle", "what", "says")}
        table["time"] = pa.array([row.time for row in rows], pa.float64())
        return given_out(pa.table({name: table[name] for name in Doubt._fields}))

    @property
    def tracks(self) -> Any:
        """Men's ways at 10 Hz on the plays' clocks: play, player, time, x, y, vx, vy, sd_x, sd_y, corr_xy."""
        return given_out(tracks_table(self.reading.ways))

    def hold(self, reading: Reading) -> None:
        """Looks from here on take place and lens from there: a reading of this file, worked out elsewhere."""
        solved = reading.cameras.angles.values()
        self._held = {angle.name: Reference(angle.view, len(angle.frames.play)) for angle in solved}

    def look(self, play: object, angle: str, time: Number) -> dict[str, Any] | None:
        """One picture's camera now, quickly: from its own marks, with place and lens as all pictures gave them before
        its last click. None with fewer than two marks. Keys as in `cameras`, and sd: yd at the picture's middle."""
        cameras = self.reading.cameras
        held = self._held.get(self._angle(angle))
        if held is None:
            solved = cameras.angles[angle]
            held = self._held[angle] = Reference(solved.view, len(solved.frames.play))
        return look(cameras, held, id_of("play", play), angle, float(time))


def id_of(what: str, value: object) -> str:
    text = word(value)
    if not text:
        raise InputError(f"{what} is {shown(value)}; accepted: an id")
    return text


def cameras_table(cameras: Cameras) -> pa.Table:
    import pyarrow as pa

    columns: dict[str, list[Any]] = {name: [] for name in ("play", "angle")}
    numbers: dict[str, list[Any]] = {}
    for angle in cameras.angles.values():
        view, count = angle.view, len(angle.frames.play)
        columns["play"] += [cameras.texts[code] for code in angle.frames.play.tolist()]
        columns["angle"] += [angle.name] * count
        solved = view.frame_solved[:count]
        pose = view.poses[:count]
        parts = {
            "time": angle.frames.time,
            "solved": solved,
            "marks": view.frame_marks[:count],
            "rms": view.frame_rms[:count],
            "pan": np.degrees(pose[:, 0]),
            "tilt": np.degrees(pose[:, 1]),
            "roll": np.degrees(pose[:, 3]),
            "focal": np.exp(pose[:, 2]),
        }
        for name, value in zip(("x", "y", "z", "k1", "crown"), view.view, strict=True):
            parts[name] = np.where(solved, value, np.nan)
        for name, values in parts.items():
            numbers.setdefault(name, []).append(values)
    table: dict[str, Any] = {name: texts(values) for name, values in columns.items()}
    return pa.table(table | {name: pa.array(np.concatenate(values)) for name, values in numbers.items()})


def points_table(cameras: Cameras) -> pa.Table:
    import pyarrow as pa

    rows = [(angle, row) for angle in cameras.angles.values() for row in range(len(angle.feet["n"]))]
    rows.sort(key=lambda one: int(one[0].feet["n"][one[1]]))

    def column(key: str) -> list[Any]:
        return [angle.feet[key][row] for angle, row in rows]

    place = np.array(column("place"), float).reshape(len(rows), 2)
    spread = np.array(column("covariance"), float).reshape(len(rows), 3)
    sd = np.sqrt(spread[:, [0, 2]])
    return pa.table(
        {
            "play": texts([cameras.texts[code] for code in column("play")]),
            "angle": texts([angle.name for angle, _ in rows]),
            "time": pa.array(np.array(column("time"), float)),
            "player": texts([cameras.texts[code] for code in column("player")]),
            "x": pa.array(place[:, 0]),
            "y": pa.array(place[:, 1]),
            "sd_x": pa.array(sd[:, 0]),
            "sd_y": pa.array(sd[:, 1]),
            "corr_xy": pa.array(spread[:, 1] / (sd[:, 0] * sd[:, 1])),
        }
    )


def track_columns(ways: Ways, plays: list[int]) -> dict[str, Any]:
    """The tracks of some plays as columns."""
    kept = [(trace.play, way) for trace in map(ways.plays.__getitem__, plays) for way in trace.ways if len(way.at)]
    counts = [len(way.at) for _, way in kept]
    mean = np.concatenate([way.mean for _, way in kept]) if kept else np.empty((0, 6))
    spread = np.concatenate([way.spread for _, way in kept]) if kept else np.empty((0, 6, 6))
    sd_x, sd_y = np.sqrt(spread[:, 0, 0]), np.sqrt(spread[:, 1, 1])
    return {
        "play": np.repeat(np.array([ways.texts[play] for play, _ in kept], object), counts),
        "player": np.repeat(np.array([ways.texts[way.player] for _, way in kept], object), counts),
        "time": np.concatenate([way.at for _, way in kept]) if kept else np.empty(0),
        "x": mean[:, 0],
        "y": mean[:, 1],
        "vx": mean[:, 2],
        "vy": mean[:, 3],
        "sd_x": sd_x,
        "sd_y": sd_y,
        "corr_xy": spread[:, 0, 1] / (sd_x * sd_y),
    }


def tracks_table(ways: Ways) -> pa.Table:
    import pyarrow as pa

    columns = track_columns(ways, ways.order)
    return pa.table(
        {name: texts(values.tolist()) if values.dtype == object else values for name, values in columns.items()}
    )
