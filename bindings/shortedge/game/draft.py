"""A first mapping for tables nobody has mapped yet: guessed from the column names, for a person to finish."""

from __future__ import annotations

import difflib
import json
import re
from collections.abc import Iterable, Mapping, Sequence
from itertools import permutations
from pathlib import Path

import numpy as np

from .._core import InputError
from ..base.sources import Source, open_table
from ..base.vocabulary import POSITIONS, ROLES, UNITS
from .columns import KNOWN, NUMBERS, REQUIRED
from .words import DIRECTIONS

SURE, UNSURE = 0.75, 0.5

# Words people use for each column, general ones only; FILLERS beside them say nothing.
WORDS: dict[str, Sequence[str]] = {
    "play": ("play", "rep", "clip"),
    "player": ("player", "athlete", "man", "person", "who"),
    "time": ("time", "t", "clock", "timestamp", "frame"),
    "x": ("x", "pos x", "pos long", "pos along", "x coordinate", "long", "along", "length"),
    "y": ("y", "pos y", "pos wide", "pos across", "y coordinate", "wide", "across", "width"),
    "vx": ("vx", "velocity x", "vel x", "x speed"),
    "vy": ("vy", "velocity y", "vel y", "y speed"),
    "sd_x": ("sd x", "sigma x", "error x"),
    "sd_y": ("sd y", "sigma y", "error y"),
    "corr_xy": ("corr xy", "correlation xy", "rho"),
    "ball_x": ("ball x", "ball long", "ball along", "spot x", "spot long", "spot along"),
    "ball_y": ("ball y", "ball wide", "ball across", "spot y", "spot wide", "spot across"),
    "direction": ("direction", "attack", "attacks", "heading", "goes", "going", "offense goes", "offence goes"),
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
    "angle": ("angle", "view", "camera"),
    "file": ("file", "film", "video"),
    "rate": ("rate", "fps"),
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


SHARED = {"play": ("tracks", "snaps"), "player": ("tracks", "people")}  # ids, and the tables that have them
SHOWN_IDS = 5
MOST_WORDS = 40
LEAST_WORDS = 3  # for positions, by which their column is known whatever its name

# What the trade's words for positions are made of; a word that holds anything else is not guessed.
SIDE_OF = {"l": "L", "left": "L", "lt": "L", "r": "R", "right": "R", "rt": "R"}
KIND_OF = {
    "g": "G",
    "guard": "G",
    "t": "T",
    "tackle": "T",
    "c": "C",
    "center": "C",
    "centre": "C",
    "quarterback": "QB",
    "passer": "QB",
    "tight end": "TE",
    "running back": "RB",
    "tailback": "RB",
    "tail back": "RB",
    "fullback": "FB",
    "full back": "FB",
    "halfback": "HB",
    "half back": "HB",
}
SPELLED = {"off", "offense", "offensive"}  # beside them, saying nothing


def draft_map(paths: Mapping[str, Path], files: Mapping[str, str]) -> str:
    """The text of a first mapping file (TOML) for three tables, and films where there are some; `files` names those
    that `[files]` must state. What is not sure is a comment."""
    sources = {table: open_table(table, path) for table, path in paths.items()}
    guesses = {table: checked(source, guess(source.names, KNOWN[table])) for table, source in sources.items()}
    for name, tables in SHARED.items():
        name_shared(name, [(sources[table].names, guesses[table]) for table in tables])
    units = hint(guesses["tracks"], ("x", "y"), LENGTHS)
    time = hint(guesses["tracks"], ("time",), CLOCKS)
    ids = {table: ids_of(sources[table], guesses[table], "player") for table in ("tracks", "people")}
    lines = [
        "# A first mapping, guessed from the column names. Read every line: those that start with # are open.",
        *ranges(sources["tracks"], guesses["tracks"]),
        stated("units", units, "yd, m or ft"),
        below_zero(sources["tracks"], guesses["tracks"]),
        '# y = "up"  # or "down"',
        stated("time", time, "s, ms, timestamp, or frame with rate = frames a second"),
        *ball_lines(ids, "ball_x" in guesses["snaps"]),
    ]
    if files:
        lines += ["", "[files]", *(f"{table} = {quoted(name)}" for table, name in files.items())]
    for table, source in sources.items():
        lines += mapped(table, source, guesses[table])
        for name in ("play", "player"):
            lines += id_lines(table, name, ids_of(source, guesses[table], name))
    lines += respelled(sources["people"], guesses["people"], "unit", UNITS)
    lines += position_lines(sources["people"], guesses["people"])
    lines += respelled(sources["snaps"], guesses["snaps"], "direction", tuple(DIRECTIONS))
    return "\n".join(lines) + "\n"


def checked(source: Source, guessed: dict[str, tuple[str, float]]) -> dict[str, tuple[str, float]]:
    """The same, less sure of a column whose values are not what ours holds."""
    sure = {}
    for name, (theirs, score) in guessed.items():
        wrong = name == "role" and not set(words_in(source, name, theirs)) <= set(ROLES)
        wrong = wrong or (name in NUMBERS and not holds_numbers(source, name, theirs))
        sure[name] = (theirs, min(score, UNSURE) if wrong else score)
    if source.table == "people" and sure.get("position", ("", 0.0))[1] < SURE:
        sure |= position_by_words(source, sure)
    return sure


def name_shared(name: str, tables: Sequence[tuple[Sequence[str], dict[str, tuple[str, float]]]]) -> None:
    """Adds, as unsure, the one column that all of these tables have and none uses, for an id that none has found."""
    if any(name in guessed for _, guessed in tables):
        return
    used = {theirs for _, guessed in tables for theirs, _ in guessed.values()}
    shared = [theirs for theirs in tables[0][0] if theirs not in used and all(theirs in names for names, _ in tables)]
    if len(shared) == 1:
        for _, guessed in tables:
            guessed[name] = (shared[0], UNSURE)


def position_by_words(source: Source, guessed: Mapping[str, tuple[str, float]]) -> dict[str, tuple[str, float]]:
    """The column whose words are those of positions, whatever it is called; nothing when none is."""
    used = {theirs for name, (theirs, score) in guessed.items() if score >= SURE}
    counts = {}
    for theirs in source.names:
        if theirs not in used:
            words = words_in(source, "position", theirs)
            counts[theirs] = sum(word.strip() in POSITIONS or bool(position_like(word)[0]) for word in words)
    best = max(counts, key=lambda theirs: counts[theirs], default="")
    return {"position": (best, 1.0)} if best and counts[best] >= LEAST_WORDS else {}


def words_in(source: Source, name: str, theirs: str) -> list[str]:
    source.read([theirs], [theirs], [])
    found: list[str] = source.column(name, theirs).encode()[1]
    return found


def holds_numbers(source: Source, name: str, theirs: str) -> bool:
    source.read([theirs], [], [theirs])
    try:
        source.column(name, theirs).numbers()
    except InputError:
        return False
    return True


def ranges(source: Source, guessed: Mapping[str, tuple[str, float]]) -> list[str]:
    """How far the coordinates go, from which unit and origin can be told."""
    said = []
    for name in ("x", "y"):
        theirs, score = guessed.get(name, ("", 0.0))
        if score >= UNSURE and holds_numbers(source, name, theirs):
            values = source.column(name, theirs).numbers()
            if np.isfinite(values).any():
                said.append(f"{name} runs from {np.nanmin(values):.1f} to {np.nanmax(values):.1f}")
    field = "a field is 120 by 53.3 yd, 109.7 by 48.8 m, 360 by 160 ft"
    return [f"# {', '.join(said)}; {field}, end zones included"] if said else []


def below_zero(source: Source, guessed: Mapping[str, tuple[str, float]]) -> str:
    """The origin, open; the center first where both coordinates go well below 0, which none from a corner does."""
    least = []
    for name in ("x", "y"):
        theirs, score = guessed.get(name, ("", 0.0))
        if score >= UNSURE and holds_numbers(source, name, theirs):
            least.append(float(np.nanmin(source.column(name, theirs).numbers(), initial=np.inf)))
    if len(least) == 2 and max(least) < -5:
        return '# origin = "center"  # both go well below 0; or "corner" of the field'
    return '# origin = "corner"  # or "center" of the field'


def ids_of(source: Source, guessed: Mapping[str, tuple[str, float]], name: str) -> list[str]:
    """The ids of a column, in order of appearance; none when the column is not known."""
    theirs, score = guessed.get(name, ("", 0.0))
    if score < SURE:
        return []
    try:
        return words_in(source, name, theirs)
    except InputError:
        return []


def id_lines(table: str, name: str, found: Sequence[str]) -> list[str]:
    if not found:
        return []
    some = ", ".join(quoted(one) for one in found[:SHOWN_IDS])
    more = f" and {len(found) - SHOWN_IDS} more" if len(found) > SHOWN_IDS else ""
    return [f"# {len(found)} ids of {name}s: {some}{more}"]


def ball_lines(ids: Mapping[str, Sequence[str]], has_ball: bool) -> list[str]:
    """The ball's id, where it has tracks; other ids of tracks that people lacks."""
    known = {one.strip() for one in ids["people"]}
    strange = [one for one in ids["tracks"] if one.strip() not in known] if known else []
    balls = [one for one in ids["tracks"] if "ball" in parts(one)]
    lines = []
    if balls:
        line = f"ball = {quoted(balls[0])}"
        lines.append(f"# {line}  # its tracks, in place of ball_x and ball_y of snaps" if has_ball else line)
    others = [one for one in strange if one not in balls]
    if others:
        some = ", ".join(quoted(one) for one in others[:SHOWN_IDS])
        lines.append(f"# ids of tracks that people lacks, left out when it is read: {some} ({len(others)} in all)")
    return lines


def mapped(table: str, source: Source, guessed: Mapping[str, tuple[str, float]]) -> list[str]:
    """The lines of one `[columns.…]` table: ours = theirs, unsure ones commented out."""
    used = {theirs for theirs, score in guessed.values() if score >= SURE}
    lines = []
    for ours in KNOWN[table]:
        theirs, score = guessed.get(ours, ("", 0.0))
        if theirs == ours and score >= SURE:
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
    return ["", f"[columns.{table}]", *lines]


def respelled(
    source: Source, guessed: Mapping[str, tuple[str, float]], name: str, accepted: Sequence[str]
) -> list[str]:
    """The lines of one `[values.…]` table: the words that column holds now."""
    theirs, score = guessed.get(name, ("", 0.0))
    if score < UNSURE:
        return []
    found = [word for word in words_in(source, name, theirs) if word not in accepted][:20]
    lines = []
    for word in found:
        like = unit_like(word) if name == "unit" else ""
        first, other = accepted[0], accepted[-1]
        if name == "direction" and word.lower()[:1] in ("l", "-"):
            first, other = accepted[-1], accepted[0]
        lines.append(
            f"{quoted(word)} = {quoted(like)}" if like else f"# {quoted(word)} = {quoted(first)}  # or {other}"
        )
    return ["", f"[values.{name}]", *lines] if lines else []


def unit_like(word: str) -> str:
    return next((unit for unit in UNITS if word.lower()[:3] == unit[:3]), "")


def position_lines(source: Source, guessed: Mapping[str, tuple[str, float]]) -> list[str]:
    """The lines of `[values.position]`: the words of the offence, with what they seem to mean. Those that say it
    plainly are stated, the others comments."""
    position, unit = guessed.get("position", ("", 0.0)), guessed.get("unit", ("", 0.0))
    if position[1] < SURE:
        return []
    units_of: dict[str, set[str]] = {}
    source.read([position[0], *([unit[0]] if unit[1] >= SURE else [])], [position[0], unit[0]], [])
    words = source.column("position", position[0]).words()
    units = source.column("unit", unit[0]).words() if unit[1] >= SURE else [""] * len(words)
    for word, its in zip(words, units, strict=True):
        if word and word.strip() not in POSITIONS:
            units_of.setdefault(word, set()).add(its if its in UNITS else unit_like(its))
    stated, open_ = [], []
    for word, sides in list(units_of.items())[:MOST_WORDS]:
        if sides == {UNITS[1]}:
            continue  # a defender's word means nothing to us
        meant, plain = position_like(word)
        if meant and plain and sides == {UNITS[0]}:
            stated.append(f"{quoted(word)} = {quoted(meant)}")
        else:
            open_.append(f"# {quoted(word)} = {quoted(meant or '?')}  # unsure; as it is, it has no meaning")
    if not stated and not open_:
        return []
    return ["", "[values.position]", f"# with a meaning: {', '.join(POSITIONS)}", *stated, *open_]


def position_like(word: str) -> tuple[str, bool]:
    """Which of our positions a word seems to mean ("" for none), and whether it says so in full."""
    said = [part for part in parts(word) if part not in SPELLED]
    sides = [SIDE_OF[part] for part in said if part in SIDE_OF]
    rest = " ".join(part for part in said if part not in SIDE_OF)
    kind = KIND_OF.get(rest, "")
    if len(sides) > 1 or not kind:
        return "", False
    of_a_side = kind in ("G", "T")
    meant = "".join(sides) + kind if of_a_side or not sides else ""
    return meant, bool(meant) and len(rest) > 1


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


def likely_tables(folder: Path, names: Sequence[str], tables: Sequence[str]) -> dict[str, Path]:
    """Which file of a folder is which of the tables, by their columns; of equals the first by name."""
    paths = [folder / name for name in names]
    fits = {path: {table: fit(open_table(table, path).names, table) for table in tables} for path in paths}
    best = max(
        permutations(paths, len(tables)), key=lambda some: sum(fits[p][t] for p, t in zip(some, tables, strict=True))
    )
    return dict(zip(tables, best, strict=True))


def fit(names: Sequence[str], table: str) -> float:
    guessed = guess(names, KNOWN[table])
    return sum(guessed[ours][1] for ours in REQUIRED[table] if ours in guessed) / len(REQUIRED[table])


def quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
