"""A first mapping for tables nobody has mapped yet: guessed from the column names, for a person to finish."""

from __future__ import annotations

import difflib
import json
import re
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from ..base.columns import Column
from ..base.sources import Source, open_table
from ..base.vocabulary import UNITS
from .columns import KNOWN, REQUIRED
from .words import DIRECTIONS

SURE, UNSURE = 0.75, 0.5

# Words people use for each column, general ones only; FILLERS beside them say nothing.
WORDS: dict[str, Sequence[str]] = {
    "play": ("play", "rep", "clip"),
    "player": ("player", "athlete", "man", "person", "who"),
    "time": ("time", "t", "clock", "timestamp", "frame"),
    "x": ("x", "pos x", "x coordinate", "long", "along", "length"),
    "y": ("y", "pos y", "y coordinate", "wide", "across", "width"),
    "vx": ("vx", "velocity x", "vel x", "x speed"),
    "vy": ("vy", "velocity y", "vel y", "y speed"),
    "ball_x": ("ball x", "ball long", "ball along", "spot x"),
    "ball_y": ("ball y", "ball wide", "ball across", "spot y"),
    "direction": ("direction", "attack", "attacks", "heading"),
    "snap_time": ("snap time", "snap", "snap clock", "snap frame", "time of snap"),
    "throw_time": ("throw time", "throw", "throw clock", "throw frame", "release time", "release", "release clock"),
    "end_time": ("end time", "end", "end clock", "end frame", "whistle", "stop"),
    "film_time": ("film time", "video time", "film clock"),
    "film_file": ("film file", "video file", "film", "video"),
    "film_rate": ("film rate", "video rate", "fps"),
    "label": ("label", "tag", "note"),
    "unit": ("unit", "squad", "side of ball"),
    "position": ("position", "pos", "spot", "alignment"),
    "role": ("role", "job", "assignment"),
    "name": ("name", "full name"),
    "number": ("number", "shirt", "shirt number"),
    "team": ("team", "side"),
}
FILLERS = ("id", "code", "number", "no", "key", "index")
LENGTHS = {"m": "m", "meters": "m", "metres": "m", "yd": "yd", "yds": "yd", "yards": "yd", "ft": "ft", "feet": "ft"}
CLOCKS = {
    "s": "s",
    "sec": "s",
    "secs": "s",
    "seconds": "s",
    "ms": "ms",
    "millis": "ms",
    "frame": "frame",
    "timestamp": "timestamp",
}


def draft_map(paths: Mapping[str, Path], files: Mapping[str, str]) -> str:
    """The text of a first mapping file (TOML) for three tables; `files` names those that `[files]` must state."""
    sources = {table: open_table(table, path) for table, path in paths.items()}
    guesses = {table: guess(source.names, KNOWN[table]) for table, source in sources.items()}
    units = hint(guesses["tracks"], ("x", "y"), LENGTHS)
    time = hint(guesses["tracks"], ("time",), CLOCKS)
    lines = [
        "# A first mapping, guessed from the column names. Read every line: those that start with # are open.",
        stated("units", units, "yd, m or ft"),
        '# origin = "corner"  # or "center" of the field',
        '# y = "up"  # or "down"',
        stated("time", time, "s, ms, timestamp, or frame with rate = frames a second"),
    ]
    if files:
        lines += ["", "[files]", *(f"{table} = {quoted(name)}" for table, name in files.items())]
    for table, source in sources.items():
        lines += mapped(table, source, guesses[table])
    lines += respelled(sources["people"], guesses["people"], "unit", UNITS)
    lines += respelled(sources["snaps"], guesses["snaps"], "direction", tuple(DIRECTIONS))
    return "\n".join(lines) + "\n"


def mapped(table: str, source: Source, guessed: Mapping[str, tuple[str, float]]) -> list[str]:
    """The lines of one `[columns.…]` table: ours = theirs, unsure ones commented out."""
    used = {theirs for theirs, score in guessed.values() if score >= SURE}
    lines = []
    for ours in KNOWN[table]:
        theirs, score = guessed.get(ours, ("", 0.0))
        if theirs == ours:
            continue
        if score >= SURE:
            lines.append(f"{ours} = {quoted(theirs)}")
        elif score >= UNSURE:
            lines.append(f"# {ours} = {quoted(theirs)}  # unsure")
        elif ours in REQUIRED[table]:
            lines.append(f"# {ours} = {quoted('?')}  # needed; not found")
    left = [quoted(name) for name in source.names if name not in used]
    if left:
        lines.append(f"# their other columns: {', '.join(left)}")
    return ["", f"[columns.{table}]", *lines] if lines else []


def respelled(
    source: Source, guessed: Mapping[str, tuple[str, float]], name: str, accepted: Sequence[str]
) -> list[str]:
    """The lines of one `[values.…]` table: the words that column holds now."""
    theirs, score = guessed.get(name, ("", 0.0))
    if score < UNSURE:
        return []
    source.read([theirs], [theirs], [])
    column: Column = source.column(name, theirs)
    found = [word for word in column.encode()[1] if word not in accepted][:20]
    lines = []
    for word in found:
        like = [ours for ours in accepted if name == "unit" and word.lower()[:3] == ours[:3]]
        lines.append(
            f"{quoted(word)} = {quoted(like[0])}"
            if like
            else f"# {quoted(word)} = {quoted(accepted[0])}  # or {accepted[-1]}"
        )
    return ["", f"[values.{name}]", *lines] if lines else []


def guess(names: Sequence[str], ours: Iterable[str]) -> dict[str, tuple[str, float]]:
    """For each of our names the most likely of theirs, each used once, and how sure: 1 is certain."""
    pairs = sorted(
        ((likeness(name, theirs), name, theirs) for name in ours for theirs in names),
        key=lambda pair: (-pair[0], names.index(pair[2])),
    )
    guessed: dict[str, tuple[str, float]] = {}
    for score, name, theirs in pairs:
        if score >= UNSURE and name not in guessed and theirs not in {used for used, _ in guessed.values()}:
            guessed[name] = (theirs, score)
    return guessed


def likeness(ours: str, theirs: str) -> float:
    if ours == theirs:
        return 1.0
    said = [part for part in parts(theirs) if part not in LENGTHS and part not in ("s", "sec", "ms")]
    words = [part for part in said if part not in FILLERS] or said or parts(theirs)
    best = 0.0
    for phrase in WORDS[ours]:
        wanted = phrase.split()
        shared = len(set(wanted) & set(words)) / max(len(wanted), len(words))
        spelled = difflib.SequenceMatcher(None, "".join(wanted), "".join(words)).ratio()
        best = max(best, 0.99 * shared, 0.8 * spelled if min(len("".join(words)), len(phrase)) > 2 else 0.0)
    return best


def parts(name: str) -> list[str]:
    """A column's name as words: "snapClock_ms" is snap, clock, ms."""
    spaced = re.sub(r"(?<=[a-z0-9])(?=[A-Z])", " ", name)
    return [part for part in re.split(r"[^a-z0-9]+", spaced.lower()) if part]


def hint(guessed: Mapping[str, tuple[str, float]], names: Sequence[str], words: Mapping[str, str]) -> str | None:
    """What the names of those columns say of their unit, when they say one thing."""
    theirs = [guessed[name][0] for name in names if name in guessed]
    found = {words[part] for name in theirs for part in parts(name) if part in words}
    return found.pop() if len(found) == 1 else None


def stated(key: str, value: str | None, accepted: str) -> str:
    return f'{key} = "{value}"  # {accepted}' if value else f'# {key} = "?"  # {accepted}'


def quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
