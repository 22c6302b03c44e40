"""Values as text: ids and words, and how an error message shows what it found."""

from __future__ import annotations

import difflib
import json
import math
import re
from collections.abc import Collection
from decimal import Decimal

HIDDEN = re.compile("[\x00-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069]")  # controls, and what turns text round


def visible(text: str) -> str:
    """A text for a file that people open: control characters, and those that turn the text round, written out."""
    if not HIDDEN.search(text):
        return text
    return HIDDEN.sub(lambda found: " " if found[0].isspace() else f"\\u{ord(found[0]):04x}", text)


def shown(value: object) -> str:
    """A value as an error message shows it: on one line, its quotes escaped, cut when it is long."""
    text = json.dumps(value, ensure_ascii=False) if isinstance(value, str) else str(value).replace("\n", " ")
    return text if len(text) <= 80 else text[:77] + "..."


def listed(values: Collection[object], most: int = 12) -> str:
    """Values one after another, the first few of many."""
    some = [shown(value) for value in list(values)[:most]]
    return ", ".join(some) + (f" and {len(values) - most} more" if len(values) > most else "")


def plural(count: int, one: str, many: str = "") -> str:
    """ "1 rep", "2 reps"."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def nearest(given: str, known: Collection[str], most: int = 3) -> str:
    """ "; nearest: ..." with those of the known ids that are most like one that is not there; "" when none is."""
    plain = {one: one.casefold().strip() for one in known}
    wanted = given.casefold().strip()
    held = [one for one, text in plain.items() if wanted and (wanted in text or (text and text in wanted))]
    alike = difflib.get_close_matches(wanted, list(plain.values()), most, 0.5)
    like = [one for text in alike for one in known if plain[one] == text]
    found = list(dict.fromkeys([*(one for one in like if one in held), *held, *like]))[:most]
    return f"; nearest: {listed(found)}" if found else ""


def word(value: object) -> str:
    """A value of an id or word column as text: 12, 12.0 and "12" are "12"; "" for a missing one."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float | Decimal):
        if math.isnan(value):
            return ""
        return str(int(value)) if math.isfinite(value) and value == int(value) else str(value)
    return str(value)


def first_line(why: BaseException) -> str:
    return str(why).strip().split("\n")[0] or type(why).__name__
