"""One output table of some whole plays, for engines that hand over groups of rows."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from .. import _core
from .._core import InputError, Rules
from ..base.sources import open_table
from ..base.tables import given_out
from ..base.text import shown
from ..game.clock import Clock
from ..game.ids import Joined
from ..game.mapping import Mapped
from ..measures.results import TITLES, measure
from .jobs import NOTHING
from .pieces import TablesPiece, rows_of, taken

if TYPE_CHECKING:
    import pyarrow as pa


def measure_table(
    tracks: Any, snaps: Any, people: Any, title: str, *, rules: Rules | None = None, **mapping: Any
) -> Any:
    """One of the output tables (frames, edges, rushers) of some whole plays: a pure function for engines that hand over
    groups of rows (Spark's applyInArrow, and the like). It comes in the library that tracks came in, or that set_output
    says; as an Arrow table it is of `table_schema`.

    tracks: the group. snaps, people: of those plays, or of all: snaps without tracks here are left out. A play that
    cannot be measured has no rows. orientation "check" looks at this group alone.
    """
    if title not in TITLES:
        raise InputError(f"title is {shown(title)}; accepted: {', '.join(TITLES)}")
    mapped = Mapped(**mapping)
    clock = Clock(mapped.time, mapped.rate)
    opened = {"tracks": open_table("tracks", tracks), "snaps": open_table("snaps", snaps)}
    opened["people"] = open_table("people", people)
    tables = {name: mapped.read(source, clock) for name, source in opened.items()}
    ids = Joined()
    here = set(ids.encode(tables["tracks"], "play")[1])
    snap_codes, snap_ids = ids.encode(tables["snaps"], "play")
    chosen = rows_of(snap_codes, snap_ids, here)
    piece = TablesPiece(tuple(here), taken(tables["snaps"], chosen), tables["people"], mapped, Path(), 0, 0, None)
    try:
        measured = measure(piece.game_of(tables["tracks"], ()), rules=rules, threads=1)
    except InputError as why:
        if not str(why).startswith(NOTHING):
            raise
        table = table_schema(title).empty_table()
    else:
        table = measured.arrow(title).cast(table_schema(title))
    return given_out(table, opened["tracks"].library)


def table_schema(title: str) -> pa.Schema:
    """The columns of an output table: texts, float64, int32, bool."""
    import pyarrow as pa

    kinds = {"number": pa.float64(), "count": pa.int32(), "flag": pa.bool_()}
    columns = _core.columns()[title]
    return pa.schema([("game", pa.string()), *((c["name"], kinds.get(c["kind"], pa.string())) for c in columns)])
