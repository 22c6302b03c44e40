"""Finished depths of a study, kept in a file."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from .._core import FileError, InputError
from ..base.plain_json import plain_json
from ..base.text import first_line, shown
from .plan import PERCENTS, QUANTILES, Plan

FORMAT = "shortedge simulation 2"
LARGEST = 50_000_000  # bytes of a file of finished depths


def kept_text(plan: Plan, finished: Mapping[tuple[str, float], Any]) -> str:
    """Finished depths as JSON; numbers come back to the bit."""
    rows = [{"throw": kind, "depth": depth, "counted": plain_json(found)} for (kind, depth), found in finished.items()]
    page = {"format": FORMAT, "made_with": plan.as_dict(), "finished": rows}
    return json.dumps(page, allow_nan=False, indent=1) + "\n"


def kept(path: Path, plan: Plan) -> dict[tuple[str, float], Any]:
    """The finished depths of a file; FileError for another file, InputError for one made with anything else."""
    try:
        if path.stat().st_size > LARGEST:
            raise FileError(f"{path}: is larger than a study's file can be; it is left as it is")
        page = json.loads(path.read_text(encoding="utf-8"))
        if page["format"] != FORMAT:
            raise ValueError("another format")
        made_with, rows = dict(page["made_with"]), list(page["finished"])
        found = {(str(row["throw"]), float(row["depth"])): counted(row["counted"]) for row in rows}
    except OSError as why:
        raise why if isinstance(why, FileError) else FileError(f"{path}: {why.strerror or first_line(why)}") from why
    except (ValueError, KeyError, TypeError, OverflowError, RecursionError) as why:
        raise FileError(f"{path}: is no file of finished depths of a simulation; it is left as it is") from why
    difference = differs(plan.as_dict(), made_with)
    if difference:
        raise InputError(f"out {shown(str(path))}: {difference}; accepted: the same, or another file")
    return found


def counted(row: Any) -> dict[str, Any]:
    """One depth as the compiled side gave it; ValueError for anything else."""
    whole_numbers, numbers = ("arrived", "pressure", "hurried", "hips", "hips_early"), ("depth", "top_time")

    def outcomes(of: Any) -> dict[str, Any]:
        shares = {name: int(of[name]) for name in whole_numbers}
        lists = {name: [math.nan if value is None else float(value) for value in of[name]] for name in QUANTILES}
        if any(len(values) != len(PERCENTS) for values in lists.values()):
            raise ValueError("a quantile is missing")
        return shares | lists

    more = {name: float(row[name]) for name in numbers} | {"draws": int(row["draws"])}
    return outcomes(row) | more | {"protectors": [outcomes(of) for of in row["protectors"]]}


def differs(asked: Any, found: Any, where: str = "") -> str:
    """The first thing in which two plans differ, in words."""
    if isinstance(asked, dict) and isinstance(found, dict):
        for key in (*asked, *(key for key in found if key not in asked)):
            inner = differs(asked.get(key), found.get(key), f"{where} {key}".strip())
            if inner:
                return inner
        return ""
    if isinstance(asked, list) and isinstance(found, list) and len(asked) == len(found):
        return next((text for k in range(len(asked)) if (text := differs(asked[k], found[k], f"{where} {k}"))), "")
    return "" if asked == found else f"was made with {where} {shown(found)}, asked for {shown(asked)}"
