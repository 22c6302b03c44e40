"""From clicks on film to coordinates: the trace file, its cameras, men and doubts, and a game made of them."""

from .as_game import from_trace
from .trace import Trace

__all__ = ["Trace", "from_trace"]
