"""Pictures and clips of the film a game was clicked on, for pages and cut lists: the pocket on its own grass.

Only where they are asked for: film is somebody's property, and people are in it.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from PIL import Image as Pillow

from .._core import InputError
from ..base.files import in_place
from ..base.text import shown
from ..measures.reps import reps_of
from ..measures.results import measure
from ..trace.clicks import Reading
from ..trace.journal import ENDING, Journal
from .laid import SPEED, Clip, write_film

if TYPE_CHECKING:
    from ..game.game import Game
    from ..measures.reps import Reps
    from ..measures.results import Measures

WIDE, QUALITY = 800, 60  # pixels of a still, and of its JPEG: about 60 KB of a game's film
MOST = 24  # stills of one game on one page


@dataclass(frozen=True)
class Still:
    """A picture of film with the pocket on it. at: s since the snap."""

    jpeg: bytes
    size: tuple[int, int]
    angle: str
    at: float


class OwnFilm:
    """The film of one game that was made of a trace. InputError for a game that was not."""

    def __init__(self, m: Measures, reps: Reps) -> None:
        self.m, self.reps = m, reps
        self.trace = trace_of(m.game)
        self.made: list[Still] = []
        self._clips: dict[tuple[str, str | None], Clip | None] = {}

    @cached_property
    def reading(self) -> Reading:
        return Reading(Journal(self.trace, write=False))

    def clip(self, play: str, angle: str | None = None) -> Clip | None:
        """A play on film, the same for all that is drawn of it; None where no film of it has known cameras. FileError
        for a film that cannot be read."""
        if (play, angle) not in self._clips:
            try:
                self._clips[play, angle] = Clip(self.m, play, self.trace, angle, self.reps, reading=self.reading)
            except InputError:
                self._clips[play, angle] = None
        return self._clips[play, angle]

    def still(self, play: str, time: float) -> Still | None:
        """The picture at a time (s since the snap), with what lies on its grass and whose edge it is; None where the
        play is on no film then, and when the page has enough of them."""
        if len(self.made) >= MOST:
            return None
        clip = self.clip(play)
        if clip is None:
            return None
        try:
            shot = clip.at(time)
            picture = Pillow.fromarray(clip.still_of(shot))
        except InputError:
            return None
        if picture.width > WIDE:
            picture = picture.resize((WIDE, round(picture.height * WIDE / picture.width)), Pillow.Resampling.LANCZOS)
        text = io.BytesIO()
        picture.save(text, "JPEG", quality=QUALITY, optimize=True, progressive=True)
        self.made.append(Still(text.getvalue(), picture.size, clip.angle, shot.time))
        return self.made[-1]


def trace_of(game: Game) -> Path:
    """The trace a game was made of. InputError for a game made of something else."""
    found = [path for path in map(Path, game.sources) if path.suffix.lower() == ENDING]
    if not found:
        raise InputError(
            f"with film: game {shown(game.name)} was made of no trace; accepted: a trace (NAME{ENDING}) with its films "
            "beside it"
        )
    return found[0]


def clip_maker(
    games: dict[str, Game], reps: dict[str, Reps]
) -> Callable[[str, str, str, tuple[float, float], Path], bool]:
    """What draws the clips of a cut list: given a game's name, a play, an angle, from when to when (s since the snap)
    and a path, it writes that stretch with the pocket on its grass, and says whether there was film to draw it on.
    InputError for a game that was made of no trace."""
    for game in games.values():
        trace_of(game)
    films: dict[str, OwnFilm] = {}

    def make(name: str, play: str, angle: str, lasts: tuple[float, float], out: Path) -> bool:
        if name not in films:
            own = reps.get(name)
            m = measure(games[name], rules=own.rules if own else None)
            films[name] = OwnFilm(m, reps_of(m, own))
        film = films[name]
        clip = film.clip(play, angle)
        shots = clip.shots_in(lasts) if clip else []
        if clip is None or not shots:
            return False
        out.parent.mkdir(parents=True, exist_ok=True)
        with in_place(out, inputs=(*film.m.sources, clip.film.path)) as made:
            write_film(made, clip.pictures(SPEED, shots), clip.size, clip.film.rate)
        return True

    return make
