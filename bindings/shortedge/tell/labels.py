"""What pictures and pages say alike: short names of men, figures as text, what a status means, what to keep in mind."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from ..game.game import Play

Vector = npt.NDArray[np.float64]
Row = dict[str, Any]

CAUTION = (
    "Geometry only: sees no hands, calls or assignments.",
    "Exposure is not a threat or a probability.",
)
STATUS = {
    "ok": "",
    "thin": "fewer than three men in the wall",
    "collapsed": "the wall no longer encloses the passer",
    "outside": "the passer has left the pocket",
    "missing": "no passer in this frame",
}


def labels(play: Play) -> list[str]:
    """A short name for every man: where he plays on the line, else his position if no other of his unit has it, else
    his id without what all of his unit begin with."""
    names = []
    for man in play.men:
        mates = [other for other in play.men if other.unit == man.unit]
        common = shared([other.player for other in mates])
        position = man.position if sum(other.position == man.position for other in mates) == 1 else ""
        if man.role == "passer":
            names.append("QB")
        else:
            names.append(man.slot or cut_short(position, 10) or cut_short(man.player[common:], 10))
    return names


def free_of(end: str, outside: bool) -> str:
    """A rusher whom nobody has, and where he is: outside or inside of the wall's end on his side ("" for no wall)."""
    return f"free, {'outside' if outside else 'inside'} {end}" if end else "free"


def is_free(edge: Any) -> bool:
    """Whether a row of edges belongs to a rusher whom nobody has: his corner is nobody's, so it is missing."""
    return bool(text_of(edge["rusher"])) and math.isnan(edge["corner_held"])


def shared(names: Sequence[str]) -> int:
    """How many characters all names begin with, up to and with a separator."""
    same = 0
    for letters in zip(*names, strict=False):
        if len(set(letters)) > 1:
            break
        same += 1
    while same and names[0][same - 1] not in " -_./:":
        same -= 1
    return same if len(names) > 1 and all(len(name) > same for name in names) else 0


def cut_short(text: str, most: int) -> str:
    text = " ".join(text.split())
    return text if len(text) <= most else text[: most - 1] + "…"


def figure_text(value: Any, unit: str = "") -> str:
    value = float(value)
    if math.isnan(value):
        return "—"
    return f"{value:.2f} {unit}".strip() if math.isfinite(value) else "never"


def text_of(value: Any) -> str:
    """A name of a table; "" for a missing one, whatever the library calls it."""
    return value if isinstance(value, str) else ""


def rows_of(table: Any, play: str, time: float | None = None) -> list[Row]:
    import narwhals as nw

    wanted = nw.from_native(table, eager_only=True).filter(nw.col("play") == play)
    if time is not None:
        wanted = wanted.filter(nw.col("time") == time)
    return list(wanted.iter_rows(named=True))
