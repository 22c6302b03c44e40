"""Values as JSON holds them."""

from __future__ import annotations

import math
from typing import Any


def plain_json(value: Any) -> Any:
    """Tuples as lists, NaN as None, infinity as text, which `float` reads."""
    if isinstance(value, dict):
        return {key: plain_json(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [plain_json(inner) for inner in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None if math.isnan(value) else str(value)
    return value
