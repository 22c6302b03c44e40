"""The passing pocket in American football, measured from tracking coordinates, frame by frame.

    import shortedge as se

    game = se.from_tables("tracks.csv", "snaps.csv", "people.csv", units="m", origin="center", y="up")
    m = se.measure(game)
    m.frames, m.edges, m.rushers

Yards, seconds and degrees in every table. Errors: InputError (a ValueError) and FileError (an OSError), whose text says
what was found and what is accepted.
"""

from .base import loading as _loading  # first: from here on Ctrl-C is answered

# isort: split
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ._core import Assumptions, FileError, InputError, Rules, __version__
from .base.tables import set_output
from .game.game import Game, Man, Play
from .game.mapping import from_tables
from .game.points import TautPath, WayRound, corner_held, cutoff_ratio, taut_path, way_round
from .measures.compare import compare
from .measures.drops import break_even_depth
from .measures.noise import Noise
from .measures.reading import read
from .measures.results import Bands
from .measures.speeds import Speeds, SprintFit, fit_speeds, fit_sprint
from .pages.board import Board, board
from .shown import (
    BreakEven,
    DropStudy,
    Formation,
    Measures,
    Reps,
    Simulation,
    SimulatorCheck,
    break_even_study,
    check_simulator,
    cut,
    drop_study,
    formation,
    formation_of,
    measure,
    reps,
    simulate,
)
from .simulation.pairs import Paired, paired
from .simulation.study import Interrupted

if TYPE_CHECKING:
    from .pages.report import player_page, report
    from .season.many import Season, measure_many
    from .season.one_table import measure_table, table_schema
    from .simulation.fit import FromPlays, SimulatorFit, fit_simulator
    from .trace.as_game import from_trace
    from .trace.cameras import field_marks
    from .trace.clicks import Trace

__all__ = [
    "Assumptions",
    "Bands",
    "Board",
    "BreakEven",
    "DropStudy",
    "FileError",
    "Formation",
    "FromPlays",
    "Game",
    "InputError",
    "Interrupted",
    "Man",
    "Measures",
    "Noise",
    "Paired",
    "Play",
    "Reps",
    "Rules",
    "Season",
    "Simulation",
    "SimulatorCheck",
    "SimulatorFit",
    "Speeds",
    "SprintFit",
    "TautPath",
    "Trace",
    "WayRound",
    "__version__",
    "board",
    "break_even_depth",
    "break_even_study",
    "check_simulator",
    "compare",
    "corner_held",
    "cut",
    "cutoff_ratio",
    "drop_study",
    "example",
    "field_marks",
    "fit_simulator",
    "fit_speeds",
    "fit_sprint",
    "formation",
    "formation_of",
    "from_tables",
    "from_trace",
    "measure",
    "measure_many",
    "measure_table",
    "paired",
    "player_page",
    "read",
    "report",
    "reps",
    "set_output",
    "simulate",
    "table_schema",
    "taut_path",
    "way_round",
]


# What most notebooks never touch is opened when it is first asked for: film, seasons, reports, the simulator's fit.
_LATE = {
    name: module
    for module, names in {
        ".pages.report": ("player_page", "report"),
        ".season.many": ("Season", "measure_many"),
        ".season.one_table": ("measure_table", "table_schema"),
        ".simulation.fit": ("FromPlays", "SimulatorFit", "fit_simulator"),
        ".trace.as_game": ("from_trace",),
        ".trace.cameras": ("field_marks",),
        ".trace.clicks": ("Trace",),
    }.items()
    for name in names
}


def __getattr__(name: str) -> Any:
    if name in _LATE:
        return getattr(import_module(_LATE[name], __name__), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *_LATE})


_loading.loaded()


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
