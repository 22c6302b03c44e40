"""Where the three tables of a game lie."""

from __future__ import annotations

from pathlib import Path

from .._core import FileError
from ..base.sources import TABLE_FILES
from ..base.text import listed

TABLES = ("tracks", "snaps", "people")
FILMS = "films"


def films_in(folder: Path) -> Path | None:
    """The file of the table films in a folder, which need not be there."""
    there = [folder / f"{FILMS}{end}" for end in TABLE_FILES if (folder / f"{FILMS}{end}").exists()]
    return there[0] if there else None


def table_in(folder: Path, table: str, draft: bool) -> Path:
    """The file of one table in a folder; for a draft the one of the likeliest name will do."""
    there = [folder / f"{table}{end}" for end in TABLE_FILES if (folder / f"{table}{end}").exists()]
    if len(there) == 1:
        return there[0]
    names = sorted(path.name for path in folder.iterdir() if path.name.lower().endswith(TABLE_FILES))
    if draft and not there:
        words = {
            "tracks": ("track", "position", "coord", "frame"),
            "snaps": ("snap", "play"),
            "people": ("people", "player", "roster"),
        }
        there = [folder / name for word in words[table] for name in names if word in name.lower()][:1]
        if there:
            return there[0]
    wanted = " or ".join(f"{table}{end}" for end in TABLE_FILES)
    raise FileError(
        f"{folder}: found {listed(names) or 'no table'}; accepted: one {wanted}, or its name under [files] in the map"
    )
