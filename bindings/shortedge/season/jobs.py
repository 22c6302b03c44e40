"""Jobs: each makes one part of a season, and leaves out the plays that cannot be measured."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from .._core import InputError, Rules
from ..base.columns import is_text
from ..base.files import in_place
from ..base.stopping import asked
from ..game.game import arrow_table
from ..measures.folder import write_parquet
from ..measures.noise import Noise, noise_of
from ..measures.reading import PROBLEMS, check_of
from ..measures.reps import REP_TABLES, Reps, measured_with_reps
from ..measures.results import TITLES, BandedResults, Measures, measure
from .pieces import Piece

if TYPE_CHECKING:
    import pyarrow as pa

NOTHING = "no play can be measured"  # how the core's error begins when a game has no play that can be
DOUBT = "y, direction or units look wrong"  # and when it looks mirrored
RAISED = (InputError, ValueError, RuntimeError)  # by one play's data; FileError, which is no play's fault, goes on


@dataclass(frozen=True)
class Job:
    """One part: what is read, measured and written. A trial writes nothing."""

    number: int
    piece: Piece
    out: Path
    rules: Mapping[str, float]
    noise: Noise | None
    format: str
    reps: bool = False
    without: tuple[tuple[str, str], ...] = ()  # plays that are left out, and why
    trial: bool = False
    deaths: int = field(default=0, compare=False)

    @property
    def part(self) -> str:
        return f"part-{self.number:05d}"

    @property
    def marker(self) -> Path:
        """Written last: a part is whole when it stands."""
        return self.out / PROBLEMS / f"{self.part}.parquet"


@dataclass(frozen=True)
class Made:
    """What is made of a part."""

    measures: Measures
    reps: Reps | None

    def tables(self) -> dict[str, tuple[pa.Table, BandedResults]]:
        """All its tables by title, texts as dictionaries, and of which results each is."""
        of = [self.measures, *([self.reps] if self.reps else [])]
        return {title: (table, results) for results in of for title, table in results.with_codes().items()}


def titles_of(reps: bool) -> tuple[str, ...]:
    """The tables that a season keeps."""
    return TITLES + (REP_TABLES if reps else ())


def make(job: Job) -> int:
    """Makes one part; returns its number. A play that raises is left out and named."""
    left_out = dict(job.without)
    measured: Made | None
    try:
        measured = measured_of(job, left_out)
    except RAISED as why:
        if job.trial:
            raise
        suspects = [play for play in job.piece.plays if play not in left_out]
        doubtful = str(why).startswith(DOUBT)  # the mapping, or all of them: no one play is to blame
        left_out |= dict.fromkeys(suspects, str(why)) if doubtful else poisonous(job, suspects, str(why))
        measured = measured_of(job, left_out) if len(left_out) < len(job.piece.plays) else None
    if not job.trial:
        try:
            keep(job, measured, left_out)
        except BaseException:
            if not job.marker.exists():  # nothing half-made stays
                for file in (*job.out.glob(f"*/{job.part}.*"), job.out / f"{job.part}.h5"):
                    file.unlink(missing_ok=True)
            raise
    return job.number


def measured_of(job: Job, left_out: Mapping[str, str]) -> Made:
    game, rules, noise = job.piece.game(tuple(left_out)), Rules(**job.rules), job.noise
    how: dict[str, Any] = {"noise": None, "draws": 100, "seed": 1}
    if noise is not None:
        how = {"noise": "tracks" if noise.of_tracks else noise.sigma, "draws": noise.draws, "seed": noise.seed}
    if job.reps:
        return Made(*measured_with_reps(game, rules, noise_of(game, **how), asked))
    return Made(measure(game, rules=rules, **how, threads=1, progress=asked), None)


def poisonous(job: Job, plays: Sequence[str], why: str) -> dict[str, str]:
    """Which of these plays make the part fail, each by itself, and how it says so."""
    if len(plays) == 1:
        return {plays[0]: why.removeprefix(f"{NOTHING}: {plays[0]}: ")}
    found: dict[str, str] = {}
    for half in (plays[: len(plays) // 2], plays[len(plays) // 2 :]):
        others = {play: "" for play in job.piece.plays if play not in half}
        try:
            measured_of(job, others)
        except RAISED as reason:
            found |= poisonous(job, half, str(reason))
    return found or dict.fromkeys(plays, why)  # they fail together only


def keep(job: Job, measured: Made | None, left_out: Mapping[str, str]) -> None:
    """Writes a part: each file beside its place, then renamed; the marker last."""
    import pyarrow as pa

    game = measured.measures.game if measured else None
    counts = {"plays": len(game.core.measured) if game else 0}
    digests: dict[str, str] = {}
    tables = measured.tables() if measured else {}
    for title in titles_of(job.reps):
        counts[title] = tables[title][0].num_rows if measured else 0
    if measured and job.format == "hdf5":
        measured.measures.save(job.out / f"{job.part}.h5")
        if measured.reps:
            measured.reps.save(job.out / REP_TABLES[0] / f"{job.part}.h5")
    elif measured:
        for title, (table, results) in tables.items():
            name = f"{title}/{job.part}.parquet"
            digests[name] = write_part(table, job.out / name, results._about | {"digests": PROBLEMS})
    found = arrow_table(game.core, "problems") if game else pa.table({"play": pa.array([], pa.string()), "reason": []})
    plays = [*found["play"].to_pylist(), *left_out]
    reasons = [*found["reason"].to_pylist(), *left_out.values()]
    counts["few_linemen"] = len(game.few_linemen) if game else 0
    counts |= {"problems": len(plays)} | {f"dropped_{what}": n for what, n in (game.dropped if game else {}).items()}
    texts = {"game": [job.piece.name] * len(plays), "play": plays, "reason": reasons}
    problems = pa.table({name: pa.array(values, pa.string()) for name, values in texts.items()})
    said = {"counts": json.dumps(counts), "digests": json.dumps(digests)}
    said |= {"source": json.dumps(job.piece.source(job.out))} if job.reps else {}
    write_part(problems, job.marker, said | {"check": check_of(problems, said)})


def write_part(table: pa.Table, path: Path, about: Mapping[str, str]) -> str:
    """Writes a file of a part; its SHA-256."""
    import pyarrow as pa

    texts = [field.name for field in table.schema if is_text(field.type) or pa.types.is_dictionary(field.type)]
    keys = [name for name in ("game", "play", "time") if name in table.column_names]  # what one looks rows up by
    how = {"compression": "snappy", "use_dictionary": texts, "write_statistics": keys, "store_schema": False}
    with in_place(path, swept=False) as made:
        return write_parquet(table, made, about, **how)
