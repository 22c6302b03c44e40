"""A season file to file: seconds, memory, and how they grow with its plays.

    python bench/season.py [--folder DIR] [--plays 20 200 2000 20000] [--ways parquet hdf5 csv shuffled]

Makes invented seasons (data/make_season.py) in a folder, each once, and measures each way in a process of its own:
parquet, reps (the same with reps and drop-backs) and hdf5 say what comes out of Parquet; csv and shuffled (rows in no
order) what goes in; tables is a loaded game to pandas tables, the median of five (more than 2,000 plays take much
memory). Every run's counts are asserted: all plays, 50 frames each.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "data"))

import make_season

WAYS = ("parquet", "reps", "hdf5", "csv", "shuffled", "tables")
ONE = """
import json, os, resource, sys, time
import shortedge as se
folder, out, format, threads, reps = sys.argv[1:]
start = time.perf_counter()
how = {"units": "yd", "origin": "corner", "y": "up", "reps": reps == "reps"}
done = se.measure_many(folder, out, threads=int(threads), format=format, **how)
wall, used = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_SELF)
print(json.dumps({"wall": wall, "cpu": used.ru_utime + used.ru_stime, "peak": used.ru_maxrss / 1024} | done.counts
      | done.seconds | {"out": sum(f.stat().st_size for f in done.out.rglob("*") if f.is_file()) / 2**20}))
"""

LOADED = """
import json, resource, statistics, sys, time
import shortedge as se
folder, _, _, threads, _ = sys.argv[1:]
files = [f"{folder}/{name}.parquet" for name in ("tracks", "snaps", "people")]
game = se.from_tables(*files, units="yd", origin="corner", y="up")
walls, cpus = [], []
for _ in range(5):
    start, used = time.perf_counter(), time.process_time()
    m = se.measure(game, threads=int(threads))
    frames = len(m.frames) + 0 * len(m.edges) * len(m.rushers)
    walls.append(time.perf_counter() - start)
    cpus.append(time.process_time() - used)
print(json.dumps({"wall": statistics.median(walls), "cpu": statistics.median(cpus), "laying out": 0, "out": 0,
                  "plays": len(game.measured()), "frames": frames, "problems": len(game.problems),
                  "peak": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024}))
"""


def one(folder: Path, way: str, threads: int) -> dict[str, float]:
    with tempfile.TemporaryDirectory(dir=folder.parent) as out:
        format = "hdf5" if way == "hdf5" else "parquet"
        line = [
            sys.executable,
            "-c",
            LOADED if way == "tables" else ONE,
            str(folder),
            f"{out}/results",
            format,
            str(threads),
            way,
        ]
        return json.loads(subprocess.run(line, capture_output=True, text=True, check=True).stdout)


def main() -> None:
    parser = argparse.ArgumentParser(description="A season file to file.")
    parser.add_argument("--folder", type=Path, default=Path("out/seasons"))
    parser.add_argument("--plays", type=int, nargs="+", default=[20, 200, 2000, 20000])
    parser.add_argument("--ways", nargs="+", choices=WAYS, default=["parquet"])
    parser.add_argument("--threads", type=int, nargs="+", default=[os.cpu_count() or 1])
    given = parser.parse_args()
    print(f"{'plays':>6} {'way':>9} threads  wall s (laying out)   CPU s  us a frame  peak MB  out MB   load")
    for plays in given.plays:
        for way in given.ways:
            made = given.folder / f"{way if way in ('csv', 'shuffled') else 'parquet'}-{plays}"
            if not (made / "map.toml").exists():
                make_season.make(made, plays, as_csv=way == "csv", shuffle=way == "shuffled")
            for threads in given.threads:
                found = one(made, way, threads)
                assert (found["plays"], found["frames"], found["problems"]) == (plays, 50 * plays, 0), found
                each = 1e6 * found["wall"] / found["frames"]
                laid, cpu = f"({found['laying out']:.2f})", found["cpu"]
                print(
                    f"{plays:6d} {way:>9} {threads:7d} {found['wall']:7.2f} {laid:>14} {cpu:7.2f} {each:11.1f} "
                    f"{found['peak']:8.0f} {found['out']:7.0f} {os.getloadavg()[0]:6.1f}",
                    flush=True,
                )


if __name__ == "__main__":
    main()
