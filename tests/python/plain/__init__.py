"""A second, plain reading of the measurements, slow on purpose, to hold the library against.

It shares nothing with the library: areas by Shapely, velocities by NumPy least squares, times by root finding, taut
paths by a visibility graph over every tangent point, who has whom by dynamic programming over every joint assignment.
`measure` is the one entry. Section numbers in the comments are those of the specification, which is not shipped.

Where the definitions leave room, the choice made here is marked "Reading:".
"""

from .rules import DEFAULTS
from .tables import measure

__all__ = ["DEFAULTS", "measure"]
