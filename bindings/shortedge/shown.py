"""What results can show of themselves: pictures, pages and words.

Results stand low in the house and know nothing of pictures and pages, which stand on them. So the methods that show
results are written here, above both, and put on the classes below. `extends` puts them there when shortedge is
imported: there is one class, and every object of it has them, wherever it was made. A type checker, which does not run
it, sees a subclass with these methods; `gives` tells it that a function returns that subclass. Nothing is wrapped.
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Mapping, Sequence
from numbers import Real
from typing import TYPE_CHECKING, Any, ParamSpec, TypeVar, cast

from . import draw
from ._core import InputError
from .base.tables import given_out
from .base.text import shown, word
from .game.game import Game
from .measures import drops, results
from .measures import reps as measured_reps
from .measures.reps import reps_of
from .pages import board as boards
from .pages.check import write_page
from .pages.player import Player, data
from .simulation import at_snap, check, formations, fronts, study
from .tell.cut import At, by_name, cut_arrow
from .tell.rep_words import callers, rep_words
from .tell.words import sentences

if TYPE_CHECKING:
    from .draw import Drawing

Given = ParamSpec("Given")
Class = TypeVar("Class", bound=type[Any])
Made = TypeVar("Made")


def extends(low: type[Any]) -> Callable[[Class], Class]:
    """Puts the methods of the class it decorates on `low`, which stands for it from then on."""

    def put(shows: Class) -> Class:
        for name, member in vars(shows).items():
            if not name.startswith("__"):
                assert name not in vars(low), f"{low.__name__} has {name} already"
                setattr(low, name, member)
        return cast(Class, low)

    return put


def gives(shows: type[Made], function: Callable[Given, Any]) -> Callable[Given, Made]:
    """The function itself; to a type checker it returns objects of the class `shows`."""
    return function


@extends(results.Measures)
class Measures(results.Measures):
    """What was measured of one game, to draw, play and tell."""

    def draw(self, play: object, time: float, *, rep: Mapping[str, Any] | None = None) -> Drawing:
        """A picture of one frame: the one nearest to `time` s since the snap. rep: a row of Reps.table, whose two men
        are drawn with both ways and an inset of their own, also where the rep is no edge."""
        return draw.frame(self, word(play), time, rep)

    def timeline(self, play: object) -> Drawing:
        """A picture of one play's course: width, depth, exposure and short edge."""
        return draw.timeline(self, word(play))

    def play(self, play: object, *, reps: Reps | None = None) -> Player:
        """One play to scrub through: a notebook shows it, `.to_html(path)` writes it as a page. reps of this game,
        corrected or not, give its contact and beats; None: as measured. InputError for an unknown play."""
        made = data(self, play, reps)
        return Player(word(play), self.game_name, made, lambda: boards.beside(self, play), self.sources)

    def board(self, play: object, time: float) -> boards.Board:
        """One frame to move the men of, the one nearest to `time` s since the snap: pocket, edges, ways and break-even
        follow the hand. A notebook shows it, `.to_html(path)` writes it as a page. InputError for an unknown play."""
        return boards.recorded(self, play, time)

    def sheet(self, rep: Mapping[str, Any]) -> Drawing:
        """A picture of six moments of one rep. rep: a row of Reps.table, such as `reps.table.iloc[0]` or a dict."""
        return draw.rep_sheet(self, rep)

    def heat(self, player: object = None) -> Drawing:
        """A picture of where short edges opened, over the play frame; player: only those he set."""
        return draw.heat([self], None if player is None else word(player))

    def multiples(self, player: object, *, reps: Reps | None = None) -> Drawing:
        """A picture of one protector's reps side by side, laid together at first contact."""
        return draw.aligned(self, reps_of(self, reps), word(player))

    def animate(self, play: object, out: str | os.PathLike[str], *, speed: float = 1.0) -> None:
        """Writes a play as moving pictures: .mp4 (needs ffmpeg) or .gif; speed 0.5 is half as fast as it was."""
        draw.animate(self, word(play), out, speed)

    def on_film(
        self,
        play: object,
        out: str | os.PathLike[str],
        *,
        trace: str | os.PathLike[str],
        angle: str | None = None,
        time: float | None = None,
        speed: float = 0.5,
        reps: Reps | None = None,
    ) -> None:
        """Draws the pocket on the film the play was clicked on: a clip (.mp4), or a still (.png) at `time` s since the
        snap. trace: the file the game was made from, its films beside it; angle: which of them, the first, if not
        said. Stands still at beats and at the greatest short edge of each side. Film is somebody's property, and
        people are in it: keep what is made as such. InputError for a play, angle or time that is not there."""
        draw.on_film(self, word(play), out, trace, angle, speed, time, reps)

    def words(self, play: object = None, *, reps: Reps | None = None) -> Any:
        """A play in one sentence of plain English, made from the figures; None: of every play, as a table game, play,
        words. reps of this game, corrected or not; None: as measured. What is said when: see shortedge.tell.words."""
        import pyarrow as pa

        used = reps_of(self, reps)
        wanted = None if play is None else word(play)
        if wanted is not None:
            self.game.row(wanted)
        made = sentences(self, used, wanted)
        if wanted is not None:
            return made[wanted]
        table = pa.table({"game": [self.game_name] * len(made), "play": list(made), "words": list(made.values())})
        return given_out(table, self.library)


@extends(measured_reps.Reps)
class Reps(measured_reps.Reps):
    """The reps of one game, to tell."""

    def words(self, row: Mapping[str, Any]) -> str:
        """One rep in a sentence as a coach says it: "RG lost outside to 97 at 2.0 s; pressure 2.4; ball out 2.6." At
        most 25 words, both men by place on the line, number or name; of reps from a file, until their game is attached,
        by id. row: of `table`, as a dict or a row of a table. What holds for the whole play is Measures.words.
        InputError for a row without the columns of `table`, or of an unknown play."""
        return told_rep(self, row)


@extends(drops.DropStudy)
class DropStudy(drops.DropStudy):
    """A recorded play with other depths of the drop, to draw."""

    def draw(self) -> Drawing:
        """A picture of the curve, left and right, with the depth actually taken."""
        return draw.drop_curves(self)


@extends(drops.BreakEven)
class BreakEven(drops.BreakEven):
    """Break-even depths of a still frame, to draw and to move."""

    def board(
        self, width: float = boards.WIDTH, *, speed_ratio: float = 0.45, depth: float = boards.DEPTH
    ) -> boards.Board:
        """The still frame as a board: a rusher `width` yd outside the tackle, the passer `depth` yd deep."""
        return boards.of_study(self, width, speed_ratio, depth)

    def draw(self) -> Drawing:
        """A picture over alignment width and depth of the drop."""
        return draw.break_even(self)


@extends(formations.Formation)
class Formation(formations.Formation):
    """Who stands where at the snap, to draw and to move."""

    def draw(self) -> Drawing:
        """A picture of who stands where, who has whom, and the stunts."""
        return draw.formation(self)


@extends(study.Simulation)
class Simulation(study.Simulation):
    """A drop study by simulation, to draw."""

    def draw(self, beside: Simulation | None = None) -> Drawing:
        """A picture of the shares over depth with their intervals and of the peak cut-off ratio with its quantiles, the
        break-even depth marked; of two studies side by side."""
        return draw.simulated_study(self, beside)


@extends(check.SimulatorCheck)
class SimulatorCheck(check.SimulatorCheck):
    """The simulator against one recorded game, as a picture and a page."""

    def draw(self) -> Drawing:
        """A picture of recorded against simulated, a panel a figure."""
        return draw.simulator_check(self)

    def page(self, path: str | os.PathLike[str]) -> None:
        """Writes a page (HTML, one file, nothing from elsewhere) with the summary, the picture, what reps of each kind
        came to, twenty reps laid over one another beside the recorded ones, and the worst misses."""
        write_page(self, path)


def cut(
    rows: Any,
    game: Game | Sequence[Game],
    out: str | os.PathLike[str],
    *,
    before: float = 3,
    after: float = 2,
    at: At | None = None,
    angle: str | None = None,
    rate: float | str | None = None,
    with_film: bool = False,
) -> Any:
    """Writes a cut list of chosen reps, one clip a rep in the order of the rows, and returns it as a table.

    rows: Reps, or rows of Reps.table, filtered as you like, in any table library. game: the game they come from; of
    rows from several games a list of them, told apart by name. A clip runs from `before` to `after` s round its moment,
    in whole frames that hold that time: the first clip frame is `first_frame`, `end_frame` the first that is not in it.
    Both count from the film's frame 0 at film time 0, and a clip never begins before it.

    at: which moment. None: the beat of a rep that was lost, else the peak of exposure round the outside, else contact,
    else the start of the rep. "beat", "peak" or "contact": that one where the rep has it, else as None.

    The films are those of the game: its table films, or film_time, film_file and film_rate of its snaps. angle: of
    which angle; None: the first of each play. `rate` is the frames a second where the film gives none. Rates are exact:
    a whole number, or 23.976, 29.97, 59.94, which stand for 24000/1001, 30000/1001, 60000/1001, or text such as
    "30000/1001".

    out: .otio (OpenTimelineIO; needs the extra `film`), each clip with its row under metadata "shortedge" and its
    film_file as the media, missing where none is given; or .csv. A text a spreadsheet might run, beginning with
    = + - or @, gets an apostrophe before it in the CSV; control characters are written out. What stood there before is
    whole until the new file is.

    with_film: also draws every clip of a game that was made of a trace, the pocket on its grass as `Measures.on_film`
    does, into a folder beside the list (guard.csv: guard_clips/), and the list names each (drawn_file). Off unless
    asked for: film is somebody's property, and people are in it; keep what is made as such.

    A rep on no film is listed by its play and seconds after the snap, and has no clip in the .otio file; of a film
    whose rate is not known the times are given, not the frames. The table: clip (its number), game, play, protector,
    rusher, outcome, name, why, moment, start, end (s since the snap), angle, film_file, rate, first_frame, end_frame,
    film_start, film_end (s), film_clock (where it starts, as 26:47.4), drawn_file. Raises InputError when no row is
    left, for an .otio file with no clip in it, a missing column, an unknown game, angle or rate, or film of a game
    without; FileError when the file cannot be written or a game was read from it.
    """
    games = [game] if isinstance(game, Game) else game
    draw_clip = None
    if with_film:
        own = {rows.game_name: rows} if isinstance(rows, measured_reps.Reps) else {}
        draw_clip = draw.clip_maker(by_name(games), own)
    made = cut_arrow(rows, game, out, before=before, after=after, at=at, angle=angle, rate=rate, draw=draw_clip)
    return given_out(made, games[0].library)


def told_rep(made: measured_reps.Reps, row: Mapping[str, Any]) -> str:
    """See Reps.words."""
    columns = made.arrow("reps").column_names
    try:
        said = {name: missing_as_none(row[name]) for name in columns}
    except (KeyError, TypeError, IndexError):
        raise InputError("row: found no row of Reps.table; accepted: a dict or a row with all its columns") from None
    play = word(said["play"])
    if play not in made.play_ids:
        raise InputError(f"row: found play {shown(play)}; there is no such play in {shown(made.game_name)}")
    drop = made.coded["dropbacks"]
    throw = float(drop["throw_time"][drop["play"] == made.play_ids.index(play)][0])
    if made._game is not None and play in made._game.swamped:
        said["short_edge_seconds"] = None
    called = callers(made._game)
    return rep_words(said, lambda man: called(play, man), throw)


def missing_as_none(value: Any) -> Any:
    missing = (isinstance(value, Real) and math.isnan(value)) or type(value).__name__ == "NAType"
    return None if missing else value


measure = gives(Measures, results.measure)
reps = gives(Reps, measured_reps.reps)
drop_study = gives(DropStudy, drops.drop_study)
break_even_study = gives(BreakEven, drops.break_even_study)
formation = gives(Formation, fronts.formation)
formation_of = gives(Formation, at_snap.formation_of)
simulate = gives(Simulation, study.simulate)
check_simulator = gives(SimulatorCheck, check.check_simulator)
