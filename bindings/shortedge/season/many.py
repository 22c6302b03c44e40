"""Many plays, measured in parts that memory holds: from files to files.

    import shortedge as se

    done = se.measure_many("season", "out", units="yd", origin="corner", y="up")
    done.problems                                     # play, reason
    pandas.read_parquet("out/frames")                 # any reader of Parquet folders; se.read("out") gives the parts

A part is some hundred whole plays. It is read, measured and written by itself, so that memory stays flat however long
the season is, parts may be made on several threads, in several processes or on the workers of a Dask cluster, and the
files are the same to the bit whoever made them. A run that was stopped is taken up where it stood: what is whole stays.

Engines that hand over groups of rows (Spark's applyInArrow) take `measure_table`; bindings/SPARK.md is the page on it.
"""

from __future__ import annotations

import json
import os
import shutil
import tempfile
import time as clocks
from dataclasses import asdict, dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, get_args

from .. import _core
from .._core import InputError, Rules
from ..base import files
from ..base.files import place_of
from ..base.progress import Progress, progress_of, threads_of
from ..base.tables import as_library, output_library
from ..base.text import shown
from ..measures.noise import noise_of
from ..measures.reading import PROBLEMS, Mark, read_mark
from .folder import TRACKS, alone_in, prepare_folder, sweep
from .inputs import inputs_of
from .jobs import NOTHING, Job
from .workers import backend, run

if TYPE_CHECKING:
    import pyarrow as pa

Format = Literal["parquet", "hdf5"]


def measure_many(
    paths: Any,
    out: str | os.PathLike[str],
    *,
    client: Any = None,
    processes: int | None = None,
    threads: int | None = None,
    rules: Rules | None = None,
    noise: float | None = None,
    draws: int = 100,
    seed: int = 1,
    format: str = "parquet",
    reps: bool = False,
    plays_per_part: int = 500,
    progress: Progress = None,
    **mapping: Any,
) -> Season:
    """Measures all plays of some files, part by part, into a folder.

    paths: one of these or a list of them: a game file (.h5); a folder of game files; a folder with tables tracks, snaps
      and people (CSV, Parquet; films, where it has them), or a tuple of these files. Tables need `mapping`: the
      keywords of `from_tables`.
    out: a folder; with format "parquet" it holds a folder of parts each for frames, edges, rushers and problems, with
      "hdf5" a results file a part, and problems; with `noise` also the bands of each table. If it holds part of the
      same run, the rest is made; what belongs to another run is refused and left as it is.
    reps: also the tables of `se.reps` (reps, dropbacks, exchanges, searches, looks), part by part; `player_page` then
      reads one man out of the folder. Tracks that had to be laid out again are kept in it for that, in `tracks`.
    client: a `distributed.Client` (Dask): the parts are made by its workers, which must see the files under the same
      names. Or processes: a number of processes of this machine (in a script: under `if __name__ == "__main__":`, as
      for all of Python's process pools). Else `threads` of this process (None: as many as the machine has). The results
      are the same to the bit.
    noise, draws, seed: as in `measure`; "auto" is refused, since each part would find another sigma: state the one that
      `measure(game, noise="auto").noise` finds for a game.

    Rows of tracks are best sorted so that a play's stand together; else they are first sorted to a temporary file in
    `out`, as CSV is first turned into one (`Season.seconds["laying out"]`). Parts with orientation "check" are checked
    each by itself.

    A play that makes a part fail, be it by an error or by the death of the process, is named in `Season.problems`, as
    those that cannot be measured are, and the rest is finished. Raises InputError and FileError, before any work, for
    what concerns the whole.
    """
    if rules is not None and not isinstance(rules, Rules):
        raise InputError(f"rules is {shown(rules)}; accepted: Rules(...)")
    if format not in get_args(Format):
        raise InputError(f"format is {shown(format)}; accepted: {', '.join(get_args(Format))}")
    for name, count in (("plays_per_part", plays_per_part), ("processes", processes)):
        if count is not None and (not isinstance(count, int) or isinstance(count, bool) or count < 1):
            raise InputError(f"{name} is {shown(count)}; accepted: a whole number from 1")
    if client is not None and processes is not None:
        raise InputError("client and processes are both given; accepted: one of them")
    if isinstance(noise, str) and noise == "auto":
        raise InputError(
            'noise is "auto", which each part would find another sigma by; accepted: yd per axis, such as '
            'measure(game, noise="auto").noise finds for one game'
        )
    used = noise_of(None, noise, draws, seed)
    threads = threads_of(threads) or os.cpu_count() or 1
    inputs = inputs_of(paths, mapping)
    target = place_of(out, [path for one in inputs for path in one.paths])
    plan: dict[str, Any] = {
        "shortedge": _core.__version__,
        "rules": (rules or Rules()).as_dict(),
        "noise": used and asdict(used),
        "format": format,
        "reps": bool(reps),
        "plays_per_part": plays_per_part,
        "inputs": [said for one in inputs for said in one.said(target)],
        "mapping": json.loads(json.dumps(mapping, default=str)),
    }
    if reps:
        plan["files"] = [len(one.said(target)) for one in inputs]  # of each input
    with alone_in(target):
        prepare_folder(target, plan)
        start = clocks.monotonic()
        with tempfile.TemporaryDirectory(prefix=".laid-out-", dir=target) as scratch:
            place = kept_tracks(target) if reps else Path(scratch)
            jobs: list[Job] = []
            for number, one in enumerate(inputs):
                for piece in one.pieces(place, plays_per_part, number):
                    jobs.append(Job(len(jobs), piece, target, plan["rules"], used, format, bool(reps)))
            laid_out = clocks.monotonic() - start
            left = [job for job in jobs if not job.marker.exists()]
            all = sum(len(job.piece.plays) for job in jobs)
            done = all - sum(len(job.piece.plays) for job in left)
            with progress_of(progress, "plays") as shows:
                for job in run(left, backend(client, processes, threads)):
                    files.count += 1  # whoever wrote it
                    done += len(job.piece.plays)
                    if shows:
                        shows(done, all)
        sweep(target)
    made = Season(target, len(jobs), len(jobs) - len(left), {})
    if not made.counts.get("plays"):
        reasons = made.problems_arrow().slice(0, 3).to_pylist()
        raise InputError(f"{NOTHING}: " + "; ".join(f"{row['play']}: {row['reason']}" for row in reasons))
    seconds = {"laying out": laid_out, "measuring": clocks.monotonic() - start - laid_out}
    return replace(made, seconds=seconds)


def kept_tracks(out: Path) -> Path:
    """An empty folder for tracks as they were laid out: a run that goes on lays them out again."""
    folder = out / TRACKS
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    return folder


@dataclass(frozen=True)
class Season:
    """What `measure_many` made. seconds: "laying out" (sorting, or turning CSV into Parquet, where that was needed) and
    "measuring" (all the rest: reading, measuring, writing)."""

    out: Path
    parts: int
    resumed: int  # parts that were whole already
    seconds: dict[str, float]

    def __repr__(self) -> str:
        counts = self.counts
        return (
            f"Season({str(self.out)!r}: {counts['plays']} plays, {counts['frames']} frames in {self.parts} parts, "
            f"{counts['problems']} skipped)"
        )

    @cached_property
    def counts(self) -> dict[str, int]:
        """Plays measured, rows of frames, edges, rushers and problems, rows of tracks dropped."""
        total: dict[str, int] = {}
        for mark in self._marks:
            for name, count in mark.counts.items():
                total[name] = total.get(name, 0) + count
        return total

    @cached_property
    def _marks(self) -> list[Mark]:
        return [read_mark(file) for file in sorted((self.out / PROBLEMS).glob("part-*.parquet"))]

    @property
    def problems(self) -> Any:
        """The plays that are not measured: game, play, reason."""
        return as_library(self.problems_arrow(), output_library("pandas"))

    def problems_arrow(self) -> pa.Table:
        import pyarrow as pa

        return pa.concat_tables([mark.problems.replace_schema_metadata() for mark in self._marks])
