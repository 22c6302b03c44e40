"""Pictures: one frame as a dimensioned drawing, one play as a timeline, six moments of a rep, where short edges opened,
one man's reps side by side, a game's snaps on a sheet, curves over the depth of a drop, formations and simulations.

All return a `Drawing`, a matplotlib Figure that belongs to nobody else: pyplot and its settings are not touched. Every
text is drawn as it is written, with no markup and no mathematics in it. Lengths are in yards in the play frame: u to
the offence's right of the ball, v behind the line of scrimmage; upfield is up.

The colour of a way says its exposure and nothing else: pale for 0, dark for 1, so that it reads in grey too.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ..tell.labels import CAUTION, STATUS, labels
    from ..tell.openings import openings
    from ..tell.words import SHOWN_FROM
    from .drops import break_even, drop_curves
    from .film import animate
    from .heat_map import heat
    from .laid import on_film
    from .look import worst
    from .moments import rep_sheet
    from .one_frame import frame
    from .one_play import timeline
    from .side_by_side import aligned
    from .simulated import formation, simulated_over_recorded, simulated_study, simulator_check
    from .snaps import sheet
    from .stills import OwnFilm, clip_maker
    from .style import CARD, EXPOSURE, Drawing

__all__ = [
    "CARD",
    "CAUTION",
    "EXPOSURE",
    "SHOWN_FROM",
    "STATUS",
    "Drawing",
    "OwnFilm",
    "aligned",
    "animate",
    "break_even",
    "clip_maker",
    "drop_curves",
    "formation",
    "frame",
    "heat",
    "labels",
    "on_film",
    "openings",
    "rep_sheet",
    "sheet",
    "simulated_over_recorded",
    "simulated_study",
    "simulator_check",
    "timeline",
    "worst",
]

# Every module of this package needs matplotlib, so each is opened when something of it is first asked for: whoever asks
# for no picture never loads it. The imports above say the same to a type checker.
ROOM_OF = {
    "..tell.labels": ("CAUTION", "STATUS", "labels"),
    "..tell.openings": ("openings",),
    "..tell.words": ("SHOWN_FROM",),
    ".laid": ("on_film",),
    ".drops": ("break_even", "drop_curves"),
    ".film": ("animate",),
    ".heat_map": ("heat",),
    ".look": ("worst",),
    ".moments": ("rep_sheet",),
    ".one_frame": ("frame",),
    ".one_play": ("timeline",),
    ".style": ("CARD", "EXPOSURE", "Drawing"),
    ".side_by_side": ("aligned",),
    ".simulated": ("formation", "simulated_over_recorded", "simulated_study", "simulator_check"),
    ".snaps": ("sheet",),
    ".stills": ("OwnFilm", "clip_maker"),
}


def __getattr__(name: str) -> Any:
    for room, names in ROOM_OF.items():
        if name in names:
            return getattr(import_module(room, __name__), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
