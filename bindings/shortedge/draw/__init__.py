"""Pictures: one frame as a dimensioned drawing, one play as a timeline, a game's snaps on a sheet.

All return a `Drawing`, a matplotlib Figure that belongs to nobody else: pyplot and its settings are not touched. Every
text is drawn as it is written, with no markup and no mathematics in it. Lengths are in yards in the play frame: u to
the offence's right of the ball, v behind the line of scrimmage; upfield is up.

The colour of a way says its exposure and nothing else: pale for 0, dark for 1, so that it reads in grey too.
"""

from .look import worst
from .one_frame import frame
from .one_play import timeline
from .pen import CARD, CAUTION, EXPOSURE, SHOWN_FROM, STATUS, Drawing, labels
from .snaps import sheet

__all__ = [
    "CARD",
    "CAUTION",
    "EXPOSURE",
    "SHOWN_FROM",
    "STATUS",
    "Drawing",
    "frame",
    "labels",
    "sheet",
    "timeline",
    "worst",
]
