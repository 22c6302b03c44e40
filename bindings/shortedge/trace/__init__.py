"""From clicks on film to coordinates: the trace file, its cameras, men and doubts, and a game made of them."""
