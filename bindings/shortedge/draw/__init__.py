"""Pictures: one frame as a dimensioned drawing, one play as a timeline, six moments of a rep, where short edges opened,
one man's reps side by side, a game's snaps on a sheet, curves over the depth of a drop, formations and simulations.

All return a `Drawing`, a matplotlib Figure that belongs to nobody else: pyplot and its settings are not touched. Every
text is drawn as it is written, with no markup and no mathematics in it. Lengths are in yards in the play frame: u to
the offence's right of the ball, v behind the line of scrimmage; upfield is up.

The colour of a way says its exposure and nothing else: pale for 0, dark for 1, so that it reads in grey too.
"""

from .aligned import aligned
from .drops import break_even, drop_curves
from .film import animate
from .heat_map import heat, openings
from .look import worst
from .moments import rep_sheet
from .one_frame import frame
from .one_play import timeline
from .pen import CARD, CAUTION, EXPOSURE, SHOWN_FROM, STATUS, Drawing, labels
from .simulated import formation, simulated_study, simulator_check
from .snaps import sheet

__all__ = [
    "CARD",
    "CAUTION",
    "EXPOSURE",
    "SHOWN_FROM",
    "STATUS",
    "Drawing",
    "aligned",
    "animate",
    "break_even",
    "drop_curves",
    "formation",
    "frame",
    "heat",
    "labels",
    "openings",
    "rep_sheet",
    "sheet",
    "simulated_study",
    "simulator_check",
    "timeline",
    "worst",
]
