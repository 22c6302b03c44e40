"""A second, plain reading of the measurements, slow on purpose, to hold the library against.

It shares nothing with the library: areas by Shapely, velocities by NumPy least squares, times by root finding, taut
paths by a visibility graph over every tangent point. `measure` is the one entry.
"""

from .rules import DEFAULTS
from .tables import measure

__all__ = ["DEFAULTS", "measure"]
