"""The words that columns hold, as the compiled side has them, taken from it once; each in the order of its codes."""

from .. import _core

_WORDS = _core.vocabulary()

UNITS, ROLES, POSITIONS = _WORDS["unit"], _WORDS["role"], _WORDS["position"]
LINE = _WORDS["slot"]  # places in the line, left to right
SIDES, DUTIES = _WORDS["side"], _WORDS["duty"]
SNAPS = _WORDS["snap"]
OUTCOMES = _WORDS["outcome"]
EXCHANGES, FOUND, SPOTS, PICKUPS = _WORDS["exchange"], _WORDS["found"], _WORDS["spot"], _WORDS["pickup"]

_CLEAN, BAD = SNAPS
BAD_SNAP = "bad snap"  # what a play is left out as whose snap went wrong

# What the outcomes of reps mean together.
HELD, BEAT, DRIVEN, FREE, HELP, UNCOVERED = OUTCOMES
JUDGED = (HELD, BEAT, DRIVEN)  # a rep of one man against one: the denominator of shares
OF_A_PAIR = (*JUDGED, HELP)  # what a row with a protector and a rusher can be
LOST = (BEAT, DRIVEN, FREE)
