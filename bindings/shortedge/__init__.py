"""The passing pocket in American football, measured from tracking coordinates, frame by frame.

    import shortedge as se

    game = se.from_tables("tracks.csv", "snaps.csv", "people.csv", units="m", origin="center", y="up")
    m = se.measure(game)
    m.frames, m.edges, m.rushers

Yards, seconds and degrees in every table. Errors: InputError (a ValueError) and FileError (an OSError), whose text says
what was found and what is accepted.
"""

from pathlib import Path

from ._core import FileError, InputError, Rules, __version__
from .cut import cut
from .game import Game, Man, Play
from .mapping import from_tables
from .points import TautPath, WayRound, corner_held, cutoff_ratio, taut_path, way_round
from .reps import Reps, reps
from .results import Bands, Measures, Noise, measure, read
from .tables import set_output

__all__ = [
    "Bands",
    "FileError",
    "Game",
    "InputError",
    "Man",
    "Measures",
    "Noise",
    "Play",
    "Reps",
    "Rules",
    "TautPath",
    "WayRound",
    "__version__",
    "corner_held",
    "cut",
    "cutoff_ratio",
    "example",
    "from_tables",
    "measure",
    "read",
    "reps",
    "set_output",
    "taut_path",
    "way_round",
]


def example() -> Game:
    """The demo game: an invented game of two invented teams, about 60 drop-backs at 10 Hz."""
    folder = Path(__file__).parent / "demo_game"
    return from_tables(
        folder / "tracks.csv.gz",
        folder / "snaps.csv",
        folder / "people.csv",
        units="yd",
        origin="corner",
        y="up",
        name="demo game (invented)",
    )
