"""A second, plain reading of the measurements, slow on purpose, to hold the library against.

It shares nothing with the library: areas by Shapely, velocities by NumPy least squares, times by root finding, taut
paths by a visibility graph over every tangent point, who has whom by dynamic programming over every joint assignment.
`measure` is the one entry for tables, `measured_plays` and `written` are its two halves. Section numbers in comments
are those of the specification.

Where the definitions leave room, the choice made here is marked "Reading:".
"""

from .rules import DEFAULTS
from .tables import measure, measured_plays, written

__all__ = ["DEFAULTS", "measure", "measured_plays", "written"]
