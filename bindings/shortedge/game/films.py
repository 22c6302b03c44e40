"""Films of plays: several angles a play, each with its file, the time of the snap in it, and its frames a second.

They come in as a table of their own (play, film_time, angle, file, rate) or as film_time, film_file and film_rate of
snaps, and are kept as columns of snaps: the first angle of a play as film_time, film_file, film_rate and film_angle,
every other as film_time@angle, film_file@angle, film_rate@angle. Files, digests and parts of seasons carry them so.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from .. import _core
from .._core import InputError
from ..base.columns import Column, Floats, is_text
from ..base.text import listed, nearest, shown, word
from .columns import Table
from .ids import Joined, everywhere

if TYPE_CHECKING:
    from .game import Game

ACCEPTED = "film time of the snap, as seconds or as 26:47.4"
ANGLE = "film_angle"


@dataclass(frozen=True)
class Film:
    """One film of one play. angle, file: "" where none is said; time: film seconds at the snap; rate: frames a second
    as it came, None where none is said."""

    angle: str
    file: str
    time: float
    rate: Any

    @property
    def called(self) -> str:
        """How a page or a line names it: by its angle, else by its file."""
        return self.angle or self.file or "film"


def clock(seconds: float) -> str:
    """A film time as it is shown everywhere: minutes and seconds, 26:47.4; "" for none."""
    if math.isnan(seconds):
        return ""
    tenths = round(abs(seconds) * 10)  # rounded first: 119.97 s is 2:00.0
    minutes, rest = divmod(tenths, 600)
    return f"{'-' if seconds < 0 and tenths else ''}{minutes}:{rest // 10:02d}.{rest % 10}"


def seconds_of(text: str) -> float:
    """Film seconds as a person writes them: 1607.4, 26:47.4 or 1:02:03.5, with a point or a comma; NaN for another."""
    parts = text.strip().replace(",", ".").split(":")
    if not 1 <= len(parts) <= 3 or not all(re.fullmatch(r"[0-9]+", part) for part in parts[:-1]):
        return math.nan
    if not re.fullmatch(r"-?[0-9]*\.?[0-9]+|[0-9]+\.", parts[-1]) or (len(parts) > 1 and parts[-1].startswith("-")):
        return math.nan
    return float(sum(float(part) * 60**place for place, part in enumerate(reversed(parts))))


def film_seconds(column: Column) -> Floats:
    """A column of film times, NaN for none."""
    if not is_text(column.plain.type):
        return column.numbers(ACCEPTED)
    texts = column.words()
    known = {text: seconds_of(text) if text.strip() else math.nan for text in set(texts)}
    for text, seconds in known.items():
        if text.strip() and math.isnan(seconds):
            column.refuse(f"text, such as {shown(text)}", ACCEPTED)
    return np.array([known[text] for text in texts], float)


def films_of(game: Game | _core.Game) -> dict[str, list[Film]]:
    """The films of each play, its first angle first; none for a play that is on no film."""
    core = game if isinstance(game, _core.Game) else game.core
    snaps, kept, plays = core.snaps, dict(core.kept_snaps), core.plays
    nothing = [""] * len(snaps["play"])

    def of(angle: str | None) -> tuple[Any, Any, Any, Any]:
        if angle is None:
            names, files, rates = (kept.get(name, nothing) for name in (ANGLE, "film_file", "film_rate"))
            return snaps["film_time"].tolist(), names, files, rates
        times, files, rates = (kept.get(f"{name}@{angle}", nothing) for name in ("film_time", "film_file", "film_rate"))
        return times, [angle] * len(nothing), files, rates

    angles = [None, *(name.removeprefix("film_time@") for name in kept if name.startswith("film_time@"))]
    found: dict[str, list[Film]] = {plays[code]: [] for code in snaps["play"].tolist()}
    for angle in angles:
        times, names, files, rates = of(angle)
        for code, time, name, file, rate in zip(snaps["play"].tolist(), times, names, files, rates, strict=True):
            if not isinstance(time, str) and not math.isnan(time):
                found[plays[code]].append(Film(word(name), word(file), float(time), rate if word(rate) else None))
    return found


def with_films(snaps: Table, films: Table) -> tuple[Table, list[str]]:
    """Snaps with the films laid into their columns, and what is to be said of it. InputError for two films of one
    angle of a play, or when none is of a play of snaps."""
    ids = Joined()
    snap_codes, plays = ids.encode(snaps, "play")
    film_codes, of_films = ids.encode(films, "play")
    everywhere(film_codes, "films", "play")
    row_of = {plays[code]: row for row, code in enumerate(snap_codes.tolist()) if code >= 0}
    if of_films and not set(of_films) & set(row_of):
        raise InputError(
            f"table films, column play: found {listed(of_films, 5)}, none of which is in table snaps; accepted: its "
            f"plays{nearest(of_films[0], plays)}"
        )
    rows = len(snap_codes)
    nothing = [""] * len(film_codes)
    time = film_seconds(films.of["film_time"][0]).tolist()
    angle, file = (films.of[name][0].words() if name in films.of else nothing for name in ("angle", "file"))
    rate = films.of["rate"][0].words() if "rate" in films.of else nothing
    own = "film_time" in snaps.of  # then that is the first angle
    made: dict[str, list[Any]] = {}
    has: set[tuple[int, str]] = set()
    unknown: set[str] = set()
    first: set[int] = set()
    for n, code in enumerate(film_codes.tolist()):
        play, name = of_films[code], angle[n].strip()
        if play not in row_of:
            unknown.add(play)
            continue
        row = row_of[play]
        if (row, name) in has:
            raise InputError(
                f"table films: two films of play {shown(play)}, angle {shown(name)}; accepted: one, or angles of "
                "different names"
            )
        has.add((row, name))
        main = not own and row not in first
        first.add(row)
        end = "" if main else f"@{name or 'second film'}"
        for column, value in (("film_time", time[n]), ("film_file", file[n]), ("film_rate", rate[n])):
            made.setdefault(column + end, [math.nan if column == "film_time" else ""] * rows)[row] = value
        if main:
            made.setdefault(ANGLE, [""] * rows)[row] = name
    laid = dict(snaps.of)
    for column, values in made.items():
        laid[column] = [laid_column(column, values)]
    said = [f"films of {len(unknown)} plays that snaps lacks are left out: {listed(sorted(unknown), 5)}"]
    return Table(snaps.title, laid), said if unknown else []


def laid_column(name: str, values: list[Any]) -> Column:
    import pyarrow as pa

    numbers = name.startswith("film_time")
    array = pa.array(values, pa.float64()) if numbers else pa.array([text or None for text in values], pa.string())
    return Column("snaps", name, name, pa.chunked_array([array]))
