"""What the player's module is given of one play: the tables' figures as short integers."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ..reps import Reps
    from ..results import Measures


def play_data(m: Measures, play: object, reps: Reps | None) -> dict[str, Any]:
    return {"play": str(play), "time": []}
