"""Cut lists: where chosen reps are on the film."""

from __future__ import annotations

import math
import os
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from numbers import Real
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, get_args

from .._core import InputError
from ..base.columns import plain
from ..base.files import place_of, write_whole
from ..base.sources import open_table
from ..base.tables import csv_text
from ..base.text import listed, shown, visible, word
from ..game.films import Film, clock, films_of
from ..game.game import Game, check_game
from ..measures.reps import Reps

if TYPE_CHECKING:
    import pyarrow as pa

At = Literal["beat", "peak", "contact"]
Row = Mapping[str, Any]

NEEDED = ("game", "play", "protector", "rusher", "outcome", "beat_side", "ball_out", "start")
TIMES = {"beat": "beat_time", "peak": "peak_outside_time", "contact": "contact_time"}
ENDS = (".otio", ".csv")
KEEPS = (str, bool, int, float, type(None))  # what OpenTimelineIO can hold of a row; a date is kept as text
NEARBY = 0.006  # frames a second: 29.97 and 23.976 are meant as 30000/1001 and 24000/1001
TIME = 1e-6  # s, within which times are equal


@dataclass(frozen=True)
class Clip:
    """One rep on the film. Frames count from the film's first; `first` is in the clip, `end` is not. No frames when its
    play is on no film, or on one whose rate is not known."""

    row: Row
    name: str
    why: str
    moment: float  # s since the snap
    start: float  # of the clip, s since the snap
    stop: float
    film: Film | None
    rate: Fraction | None
    first: int | None
    end: int | None
    drawn: str = ""  # the file of the clip with the pocket on it, beside the list

    @property
    def seconds(self) -> tuple[float, float]:
        """Where it is on the film, s: its frames, else its times; NaN on no film."""
        if self.first is not None and self.end is not None and self.rate is not None:
            return float(self.first / self.rate), float(self.end / self.rate)
        snap = self.film.time if self.film else math.nan
        return max(0.0, snap + self.start) if self.film else math.nan, snap + self.stop


Drawer = Callable[[str, str, str, tuple[float, float], Path], bool]


def cut_arrow(
    rows: Any,
    game: Game | Sequence[Game],
    out: str | os.PathLike[str],
    *,
    before: float,
    after: float,
    at: At | None,
    angle: str | None,
    rate: float | str | None,
    draw: Drawer | None = None,
) -> pa.Table:
    """As `cut`, the table as an Arrow table. draw: what draws a clip, if they are to be drawn."""
    target = Path(out)
    if target.suffix.lower() not in ENDS:
        raise InputError(f"out is {shown(str(out))}; accepted: a name that ends in {', '.join(ENDS)}")
    for name, value in (("before", before), ("after", after)):
        if not isinstance(value, Real) or not 0 <= value < math.inf:
            raise InputError(f"{name} is {shown(value)}; accepted: s, 0 or more")
    if before + after <= 0:
        raise InputError("before and after are 0; accepted: a clip of some length")
    if at is not None and at not in get_args(At):
        raise InputError(f"at is {shown(at)}; accepted: {listed(get_args(At))}, None")
    games = by_name([game] if isinstance(game, Game) else game)
    sources = [source for one in games.values() for source in one.sources]
    sources += rows.sources if isinstance(rows, Reps) else [Path(rows)] if isinstance(rows, str | os.PathLike) else []
    place_of(target, sources)
    if isinstance(rows, Reps) and all(one.digest != rows.digest for one in games.values()):
        raise InputError(
            f"reps of game {shown(rows.game_name)}, digest {rows.digest[:12]}, belong to none of the games"
        )
    films = {name: films_of(one) for name, one in games.items()}
    if angle is not None:
        check_angle(angle, films)
    where = Where(games, films, float(before), float(after), at, angle, rate)
    clips = [clip_of(row, where) for row in read_rows(rows)]
    if not clips:
        raise InputError("rows: found no row; accepted: one rep or more")
    if target.suffix.lower() == ".otio":
        check_filmed(clips)
    if draw is not None:
        clips = drawn(clips, target, draw)
    table = clip_table(clips)
    text = otio_text(clips, target.stem) if target.suffix.lower() == ".otio" else csv_text(table)
    write_whole(target, text.encode(), sources)
    return table


def drawn(clips: Sequence[Clip], target: Path, draw: Drawer) -> list[Clip]:
    """The clips with the names of their drawn ones, which are written into a folder beside the list."""
    folder = target.with_name(f"{target.stem}_clips")
    made = []
    for number, clip in enumerate(clips, 1):
        game, play = word(clip.row["game"]), word(clip.row["play"])
        path = folder / f"{number:03d}_{re.sub(r'[^A-Za-z0-9-]+', '_', play)}.mp4"
        there = clip.film is not None and draw(game, play, clip.film.angle, (clip.start, clip.stop), path)
        made.append(replace(clip, drawn=f"{folder.name}/{path.name}" if there else ""))
    return made


def check_angle(angle: str, films: Mapping[str, Mapping[str, Sequence[Film]]]) -> None:
    there = sorted({film.called for of in films.values() for found in of.values() for film in found})
    if angle not in there:
        raise InputError(
            f"angle is {shown(angle)}; accepted: {listed(there) if there else 'none, for there is no film'}"
        )


def check_filmed(clips: Sequence[Clip]) -> None:
    """InputError for clips that cannot be put on a timeline."""
    for clip in clips:
        if clip.film is not None and clip.rate is None:
            raise InputError(
                f"play {shown(word(clip.row['play']))} has a film time but no rate; accepted for .otio: film_rate in "
                "snaps, rate in films, or rate=; without: .csv"
            )
    if all(clip.first is None for clip in clips):
        raise InputError(
            "no row has a film time; accepted for .otio: a game with films; without: .csv, which gives play and "
            "seconds after the snap"
        )


def by_name(games: Sequence[Game]) -> dict[str, Game]:
    if not isinstance(games, list | tuple) or not games:
        raise InputError(f"game is {type(games).__name__}; accepted: a Game, or a list of them")
    found: dict[str, Game] = {}
    for game in games:
        check_game(game)
        if game.name in found:
            raise InputError(f"two games called {shown(game.name)}; accepted: games of different names")
        found[game.name] = game
    return found


# -------------------------------------------------------------------------------------------------------- clips


def read_rows(rows: Any) -> list[Row]:
    """The rows as dicts; a missing value is None, whatever it came as."""
    source = open_table("rows", rows.table if isinstance(rows, Reps) else rows)
    wanted = [*NEEDED, *TIMES.values(), "peak_outside"]
    missing = [name for name in wanted if name not in source.names]
    if missing:
        raise InputError(f"table rows: no column {listed(missing)}; accepted: rows of Reps.table")
    source.read(source.names, (), ())
    columns = {name: [present(value) for value in plain(source.values(name)).to_pylist()] for name in source.names}
    return [dict(zip(columns, values, strict=True)) for values in zip(*columns.values(), strict=True)]


def present(value: Any) -> Any:
    return None if isinstance(value, float) and math.isnan(value) else value


@dataclass(frozen=True)
class Where:
    """What clips are made of, beside their rows."""

    games: Mapping[str, Game]
    films: Mapping[str, Mapping[str, Sequence[Film]]]
    before: float
    after: float
    at: At | None
    angle: str | None
    rate: float | str | None


def clip_of(row: Row, where: Where) -> Clip:
    game, play = word(row["game"]), word(row["play"])
    if game not in where.games or play not in where.films[game]:
        raise InputError(f"table rows: found play {shown(play)} of game {shown(game)}; no such play in the games given")
    what, moment = moment_of(row, where.at)
    name, why = in_words(row, where.games[game]), why_of(row, what, moment)
    start, stop = moment - where.before, moment + where.after
    film = next((film for film in where.films[game][play] if where.angle in (None, film.called)), None)
    given = where.rate if film is None or film.rate is None else film.rate
    if film is None or given is None:
        return Clip(row, name, why, moment, start, stop, film, None, None, None)
    fps = exact_rate(given)
    first = max(0, math.floor((film.time + start + TIME) * fps))
    end = max(first + 1, math.ceil((film.time + stop - TIME) * fps))
    return Clip(row, name, why, moment, start, stop, film, fps, first, end)


def moment_of(row: Row, at: At | None) -> tuple[str, float]:
    """What the clip is about, and when: s since the snap."""
    usual = ("beat", "peak", "contact")
    for what in (at, *usual) if at else usual:
        time = row[TIMES[what]]
        if time is not None and (what != "beat" or row["outcome"] == "beat"):
            return what, float(time)
    return "start", float(row["start"])


def why_of(row: Row, what: str, moment: float) -> str:
    if what == "peak":
        return f"most exposed outside ({row['peak_outside']:.2f}) at {moment:.1f} s"
    says = {"beat": "beaten", "contact": "contact", "start": "start"}
    return f"{says[what]} at {moment:.1f} s"


def in_words(row: Row, game: Game) -> str:
    """Who on whom, and how it ended."""
    play = word(row["play"])
    protector, rusher = (man_of(row[who], play, game) for who in ("protector", "rusher"))
    if not protector:
        return f"{play}: {rusher} free"
    if not rusher:
        return f"{play}: {protector} uncovered"
    outcome = {"held": "held", "driven": "driven back", "help": "helped", "beat": "beaten"}.get(row["outcome"], "")
    side = row["beat_side"] if row["outcome"] == "beat" else None
    how = {None: "", "outside": " outside", "inside": " inside"}.get(side, f" on his {side}")
    out = ", ball out before pressure" if row["ball_out"] else ""
    return f"{play}: {protector} on {rusher}, {outcome}{how}{out}"


def man_of(player: Any, play: str, game: Game) -> str:
    """Position and id; "" for nobody."""
    if player is None:
        return ""
    position = game.position_of(game.play_ids.index(play), game.player_ids.index(word(player)))
    return f"{position} {word(player)}".strip()


def exact_rate(given: float | str) -> Fraction:
    """Frames a second as a ratio of whole numbers. InputError for what is no film's rate."""
    accepted = 'a whole number, 23.976, 29.97 or 59.94 (of 1001), or text such as "30000/1001"'
    try:
        rate = Fraction(word(given))
    except (ValueError, ZeroDivisionError):
        raise InputError(f"film_rate is {shown(given)}; accepted: {accepted}") from None
    if not 1 <= rate <= 1000:
        raise InputError(f"film_rate is {shown(given)}; accepted: {accepted}")
    if rate.denominator in (1, 1001):
        return rate
    nearest = Fraction(math.ceil(rate) * 1000, 1001)
    if abs(rate - nearest) > NEARBY:
        raise InputError(f"film_rate is {shown(given)}; accepted: {accepted}")
    return nearest


# -------------------------------------------------------------------------------------------------------- files


def clip_table(clips: Sequence[Clip]) -> pa.Table:
    import pyarrow as pa

    def text(name: str) -> pa.Array:
        return pa.array([word(clip.row[name]) or None for clip in clips], pa.string())

    def texts(values: Iterable[str]) -> pa.Array:
        return pa.array([value or None for value in values], pa.string())

    keys = {name: text(name) for name in ("game", "play", "protector", "rusher", "outcome")}
    return pa.table(
        {
            "clip": pa.array(range(1, len(clips) + 1), pa.int32()),
            **keys,
            "name": pa.array([clip.name for clip in clips], pa.string()),
            "why": pa.array([clip.why for clip in clips], pa.string()),
            "moment": pa.array([clip.moment for clip in clips], pa.float64()),
            "start": pa.array([clip.start for clip in clips], pa.float64()),
            "end": pa.array([clip.stop for clip in clips], pa.float64()),
            "angle": texts(clip.film.called if clip.film else "" for clip in clips),
            "film_file": texts(clip.film.file if clip.film else "" for clip in clips),
            "rate": texts(rate_text(clip.rate) for clip in clips),
            "first_frame": pa.array([clip.first for clip in clips], pa.int64()),
            "end_frame": pa.array([clip.end for clip in clips], pa.int64()),
            "film_start": pa.array([clip.seconds[0] for clip in clips], pa.float64()),
            "film_end": pa.array([clip.seconds[1] for clip in clips], pa.float64()),
            "film_clock": texts(clock(clip.seconds[0]) for clip in clips),
            "drawn_file": texts(clip.drawn for clip in clips),
        }
    )


def rate_text(rate: Fraction | None) -> str:
    return "" if rate is None else str(rate)


def kept(value: Any) -> Any:
    """A value as OpenTimelineIO can hold it."""
    return visible(str(value)) if isinstance(value, str) or not isinstance(value, KEEPS) else value


def otio_text(clips: Sequence[Clip], name: str) -> str:
    try:
        import opentimelineio as otio
    except ImportError:
        raise InputError(
            "an .otio cut list needs OpenTimelineIO (pip install 'shortedge[film]'); accepted without it: a name that "
            "ends in .csv"
        ) from None
    track = otio.schema.Track(name="reps", kind=otio.schema.TrackKind.Video)
    for clip in clips:
        if clip.rate is None or clip.first is None or clip.end is None:
            continue
        rate = float(clip.rate)
        start, length = otio.opentime.RationalTime(clip.first, rate), clip.end - clip.first
        made = otio.schema.Clip(
            name=visible(clip.name),
            media_reference=(
                otio.schema.ExternalReference(target_url=clip.film.file)
                if clip.film and clip.film.file
                else otio.schema.MissingReference()
            ),
            source_range=otio.opentime.TimeRange(start, otio.opentime.RationalTime(length, rate)),
        )
        made.metadata["shortedge"] = {
            **{name: kept(value) for name, value in clip.row.items()},
            "why": visible(clip.why),
            "moment": clip.moment,
            "angle": clip.film.called if clip.film else "",
            "rate": rate_text(clip.rate),
            "drawn_file": clip.drawn,
        }
        track.append(made)
    timeline = otio.schema.Timeline(name=name)
    timeline.tracks.append(track)
    without = [visible(clip.name) for clip in clips if clip.first is None]
    timeline.metadata["shortedge"] = {"without_film_time": without}
    return str(timeline.to_json_string())
