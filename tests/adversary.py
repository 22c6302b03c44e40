#!/usr/bin/env python3
"""What an adversary tries on files: each check is named for what it tries, prints a line a case, and fails aloud.

    .venv/bin/python tests/adversary.py                        every check, quickly (minutes)
    .venv/bin/python tests/adversary.py kills flips --long     some of them, every case

inputs   an output that is an input, by name, by link, by another name of one file: refused wherever anything is written
kills    a writer killed at each system call that changes anything: the old or the new stands whole, leftovers are swept
flips    one bit of each Parquet file turned: refused, or read as it was
full     disk full, output that cannot be written, a second writer: one line, the help's exit code, nothing half made
hostile  TOML, numbers, memory, archives made to break a reader: exit 2 and one line
bounds   what a table may hold, refused before work
stop     Ctrl-C answered within half a second
texts    no control characters in what is written

Needs Linux, and strace for kills. Everything is made in a temporary folder.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from functools import partial
from io import StringIO
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent / "python"))
import shortedge as se
from shortedge.cli import main
from small_game import YARDS, small_game, write_map, write_tables

CHANGING = [
    *("openat", "creat", "mkdir", "mkdirat", "rename", "renameat", "renameat2", "unlink", "unlinkat", "rmdir", "link"),
    *("linkat", "symlink", "symlinkat", "ftruncate", "truncate", "fsync", "fdatasync", "write", "pwrite64", "writev"),
    *("fchmod", "chmod", "fchmodat", "fallocate", "flock"),
]


class Failed(AssertionError):
    """A check that did not hold."""


def hold(held: object, what: str) -> None:
    if not held:
        raise Failed(what)


def game_of(seed: int = 0) -> se.Game:
    """A small invented game; another one for another seed."""
    tracks, snaps, people = small_game()
    tracks.loc[tracks["player"] == "12", "x"] -= 0.1 * seed
    snaps["film_time"] = 10.0 * (1 + np.arange(len(snaps)))
    snaps["film_rate"] = "25"
    return se.from_tables(tracks, snaps, people, **YARDS)


def state_of(path: Path) -> str:
    """A digest of everything under a name; "" when nothing stands there."""
    if not path.exists():
        return ""
    files = sorted(file for file in path.rglob("*") if file.is_file()) if path.is_dir() else [path]
    found = hashlib.sha256()
    for file in files:
        found.update(f"{file.relative_to(path)} {hashlib.sha256(file.read_bytes()).hexdigest()} ".encode())
    return found.hexdigest()


def command(*arguments: object) -> tuple[int, str, str]:
    """Exit code, stdout and stderr of a command, in this process."""
    out, err = StringIO(), StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        try:
            code = main([str(one) for one in arguments])
        except SystemExit as ended:
            code = int(ended.code or 0)
    return code, out.getvalue(), err.getvalue()


def run(*arguments: object, **how: Any) -> subprocess.CompletedProcess[str]:
    """A command in a process of its own."""
    line = [sys.executable, "-m", "shortedge.cli", *map(str, arguments)]
    return subprocess.run(line, capture_output=True, text=True, check=False, **how)


def refused(code: int, err: str, says: str, what: str) -> None:
    hold(code == 2, f"{what}: exit code {code}, {err}")
    hold(err.count("\n") == 1 and err.startswith("shortedge: ") and says in err, f"{what}: said {err!r}")


# --------------------------------------------------------------------------------------------------------- inputs


def inputs(folder: Path, long: bool) -> Iterator[str]:
    """Every command and function that writes, on what it reads."""
    game = game_of()
    game.save(folder / "game.h5")
    game_of(1).save(folder / "other.h5")
    many = folder / "many"
    many.mkdir()
    shutil.copy(folder / "game.h5", many / "a.h5")
    shutil.copy(folder / "other.h5", many / "b.h5")
    tables = folder / "tables"
    write_tables(tables, small_game(), ".csv")
    shutil.copy(write_map(folder), tables / "map.toml")
    how = ("--map", tables / "map.toml")
    (folder / "link.h5").symlink_to("game.h5")
    os.link(folder / "game.h5", folder / "hard.h5")
    for end in (".svg", ".html", ".csv", ".gif", ".parquet", ".otio"):
        (folder / f"link{end}").symlink_to("game.h5")
    (folder / "to.csv").symlink_to(tables / "tracks.csv")
    (folder / "to_many").symlink_to("many")
    before = {path: state_of(path) for path in folder.rglob("*") if path.is_file()}
    h5, csv = folder / "game.h5", tables / "tracks.csv"
    lines: list[tuple[object, ...]] = [
        (verb, given, "-o", out)
        for verb in ("measure", "reps")
        for given, out in (
            (h5, h5),
            (h5, folder / "link.h5"),
            (folder / "link.h5", h5),
            (h5, folder / "hard.h5"),
            (folder / "hard.h5", folder / "link.h5"),
            (many, many),
            (many, folder / "to_many"),
            (many / "a.h5", many),
        )
    ]
    lines += [(verb, many / "a.h5", many / "b.h5", "-o", many) for verb in ("measure", "reps")]
    lines += [("measure", tables, *how, "-o", out) for out in (tables, csv, tables / "map.toml")]
    lines += [("measure", tables, *how, "--stream", "-o", tables), ("measure", many, "--stream", "-o", many)]
    lines += [("measure", *(tables / f"{name}.csv" for name in ("tracks", "snaps", "people")), *how, "-o", tables)]
    lines += [("show", h5, "1", "-o", folder / "link.svg"), ("show", h5, "1", "-o", folder / "link.html")]
    lines += [("show", h5, "1", "-o", folder / "link.gif"), ("check", h5, "--sheet", folder / "link.svg")]
    lines += [("report", h5, "-o", folder / "link.html"), ("player", "71", h5, "-o", folder / "link.html")]
    lines += [("cut", h5, "-o", folder / f"link{end}") for end in (".csv", ".otio")]
    lines += [("cut", tables, *how, "-o", out) for out in (csv, folder / "to.csv")]
    lines += [("drop", tables, "1", *how, "--table", out) for out in (csv, folder / "to.csv", tables / "map.toml")]
    lines += [("drop", h5, "1", "--table", folder / "link.parquet"), ("drop", h5, "1", "-o", folder / "link.svg")]
    lines += [
        ("simulate", "--game", tables, "--play", "1", *how, "--draws", 5, "--sensitivity", 0, "--table", csv),
        ("simulate", "--against", tables, *how, "--draws", 5, "--table", folder / "to.csv"),
        ("simulate", "--against", h5, "--draws", 5, "-o", folder / "link.html"),
    ]
    for line in lines:
        code, _, err = command(*line)
        said = " ".join(str(part).removeprefix(f"{folder}/") for part in line)
        refused(code, err, "", said)
        hold(
            any(word in err for word in ("input", "another kind", "accepted: a name that ends")), f"{said}: said {err}"
        )
        hold(before == {path: state_of(path) for path in folder.rglob("*") if path.is_file()}, f"{said}: changed files")
    yield f"{len(lines)} commands refused, no file changed"

    read, from_tables = (
        se.read(h5),
        se.from_tables(*(tables / f"{n}.csv" for n in ("tracks", "snaps", "people")), **YARDS),
    )
    m, t = se.measure(read), se.measure(from_tables)
    reps = se.reps(from_tables)
    writes: dict[str, Callable[[], object]] = {
        "Game.save": lambda: read.save(folder / "hard.h5"),
        "Measures.save": lambda: m.save(folder / "link.h5"),
        "Measures.save of another game's file": lambda: m.save(folder / "other.h5"),
        "Measures.save, attached": lambda: se.measure(game_of()).attach(read).save(h5),
        "Measures.save to a folder": lambda: t.save(tables),
        "Reps.save": lambda: se.reps(read).save(h5),
        "Reps.save, corrected": lambda: (
            se.reps(read).correct({n: [] for n in ("play", "protector", "rusher", "outcome")}).save(h5)
        ),
        "measure_many": lambda: se.measure_many(tables, tables, **YARDS),
        "cut": lambda: se.cut(reps, from_tables, csv),
        "report": lambda: se.report(read, h5),
        "player_page": lambda: se.player_page(read, "71", folder / "link.h5"),
        "Player.to_html": lambda: m.play("1").to_html(h5),
        "animate": lambda: m.animate("1", folder / "link.gif"),
        "savefig": lambda: m.timeline("1").savefig(folder / "link.svg"),
        "DropStudy.save": lambda: se.drop_study(from_tables, "1").save(folder / "to.csv"),
        "SimulatorCheck.page": lambda: se.check_simulator(read, draws=2).page(folder / "link.html"),
        "simulate": lambda: se.simulate(draws=5, depths=[7], out=h5),
    }
    for name, write in writes.items():
        try:
            write()
        except (se.FileError, se.InputError):
            pass
        else:
            raise Failed(f"{name}: wrote on what it reads")
        hold(before == {path: state_of(path) for path in folder.rglob("*") if path.is_file()}, f"{name}: changed files")
    yield f"{len(writes)} functions refused, no file changed"


# ---------------------------------------------------------------------------------------------------------- kills

Writer = tuple[Callable[[Path, int], object], str]  # writes content 0 or 1, under that name in a folder


def writers(long: bool) -> dict[str, Writer]:
    """Every writer. What they need is made here, once."""
    games = [game_of(seed) for seed in (0, 1)]
    measured = [se.measure(game) for game in games]
    reps = [se.reps(game) for game in games]
    studies = [se.drop_study(game, "1") for game in games]
    pictures = [m.timeline("1") for m in measured]
    players = [m.play("1") for m in measured]
    table = [made.table for made in reps]
    seeds = (1, 2)
    found: dict[str, Writer] = {
        "game": (lambda at, k: games[k].save(at), "it.h5"),
        "results": (lambda at, k: measured[k].save(at), "it.h5"),
        "reps": (lambda at, k: reps[k].save(at), "it.h5"),
        "results folder": (lambda at, k: measured[k].save(at), "it"),
        "reps folder": (lambda at, k: reps[k].save(at), "it"),
        "drop table": (lambda at, k: studies[k].save(at), "it.csv"),
        "drop table, Parquet": (lambda at, k: studies[k].save(at), "it.parquet"),
        "picture": (lambda at, k: pictures[k].savefig(at), "it.svg"),
        "play page": (lambda at, k: players[k].to_html(at), "it.html"),
        "cut list": (lambda at, k: se.cut(table[k], games[k], at), "it.csv"),
        "study": (lambda at, k: se.simulate(draws=5, depths=[7], seed=seeds[k], threads=1).save(at), "it.csv"),
    }
    if long:
        found |= {
            "report": (lambda at, k: se.report(games[k], at), "it.html"),
            "man's page": (lambda at, k: se.player_page(games[k], "71", at), "it.html"),
            "cut list, OTIO": (lambda at, k: se.cut(table[k], games[k], at), "it.otio"),
            "moving picture": (lambda at, k: measured[k].animate("1", at), "it.gif"),
        }
    return found


def forked(do: Callable[[], object], trace: tuple[str, int] | None = None) -> int:
    """Does something in a process of its own; what waitpid says of its end. trace: killed as it enters a system call
    for the n-th time."""
    ready, go = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(go)
        os.read(ready, 1)
        try:
            do()
        except BaseException as why:  # no test goes on in the child
            os.write(2, f"{type(why).__name__}: {why}\n".encode())
            os._exit(1)
        os._exit(0)
    os.close(ready)
    tracer = None
    if trace is not None:
        call, n = trace
        inject = f"inject={call}:signal=KILL:when={n}"
        line = ["strace", "-f", "-qq", "-o", "/dev/null", "-e", f"trace={call}", "-e", inject, "-p", str(child)]
        tracer = subprocess.Popen(line)
        while "TracerPid:\t0" in Path(f"/proc/{child}/status").read_text():
            hold(tracer.poll() is None, "strace cannot trace here")
            time.sleep(0.002)
    os.close(go)
    _, status = os.waitpid(child, 0)
    if tracer is not None:
        tracer.wait()
    return status


def killed_everywhere(
    name: str, write: Callable[[Path, int], object], it: Path, calls: Sequence[str]
) -> tuple[int, int]:
    """How often one writer was killed, and how many files and folders it left, which the next one swept."""
    wholes = []
    for k in (0, 1):
        hold(forked(partial(write, it, k)) == 0, f"{name}: cannot be written")
        wholes.append(state_of(it))
    hold(wholes[0] != wholes[1], f"{name}: its two contents are one")
    killed = leftovers = 0
    for call in calls:
        for n in range(1, 10_000):
            status = forked(partial(write, it, killed % 2), (call, n))
            if os.WIFEXITED(status):
                hold(os.WEXITSTATUS(status) == 0, f"{name}: failed under strace at {call} {n}")
                break
            killed += 1
            hold(state_of(it) in wholes, f"{name}: lost or half, killed at {call} {n}")
            leftovers += sum(path != it for path in it.parent.iterdir())
            hold(forked(partial(write, it, killed % 2)) == 0, f"{name}: cannot be written after {call} {n}")
            left = sorted(path.name for path in it.parent.iterdir())
            hold(left == [it.name], f"{name}: not swept after {call} {n}: {left}")
    return killed, leftovers


def kills(folder: Path, long: bool) -> Iterator[str]:
    """Each writer, killed as it enters each call that changes anything, for the first, second, ... time."""
    for module in ("ctypes", "pyarrow.parquet", "matplotlib.backends.backend_svg", "matplotlib.backends.backend_agg"):
        __import__(module)  # so that the child loads nothing
    calls = CHANGING if long else [call for call in CHANGING if call not in ("write", "openat", "flock")]
    everything = 0
    for name, (write, target) in writers(long).items():
        house = folder / name
        house.mkdir()
        killed, leftovers = killed_everywhere(name, write, house / target, calls)
        yield f"{name}: {killed} kills, 0 lost, {leftovers} leftovers swept"
        everything += killed
    yield f"{everything} kills in all"


# ---------------------------------------------------------------------------------------------------------- flips

FLIPS = 120


def told(made: Any) -> str:
    """Everything that is read, as text."""
    if isinstance(made, list):
        return "".join(map(told, made))
    titles = ("frames", "edges", "rushers") if isinstance(made, se.Measures) else ("reps", "dropbacks", "corrections")
    tables = [made.arrow(title).to_pydict() for title in titles]
    bands = [made.band_arrow(title).to_pydict() for title in titles if f"{title}_bands" in (made.band_coded or {})]
    return repr(
        [made.game_name, made.digest, made.library_version, made.definition, made.rules, made.noise, tables, bands]
    )


def flips(folder: Path, long: bool) -> Iterator[str]:
    """Bits turned in every Parquet file we write, one at a time, and what is read then."""
    random = np.random.default_rng(18)
    game = game_of()
    m = se.measure(game, noise=0.1, draws=2)
    m.save(folder / "results")
    se.reps(game, m).save(folder / "reps")
    game.save(folder / "game.h5")
    season = folder / "season"
    done = se.measure_many(folder / "game.h5", season, threads=1)
    counts = [done.counts, done.problems.to_dict()]

    def seen(at: Path) -> str:
        if at != season:
            return told(se.read(at))
        again = se.Season(season, done.parts, 0, {})
        return told(se.read(at)) + repr([again.counts, again.problems.to_dict()])

    hold(repr(counts) in seen(season), "a season's counts")
    everything = {"refused": 0, "as it was": 0}
    for at in (folder / "results", folder / "reps", season):
        before = seen(at)
        for file in sorted(at.rglob("*.parquet")):
            data, found = file.read_bytes(), {"refused": 0, "as it was": 0}
            for bit in random.choice(8 * len(data), FLIPS, replace=False).tolist():
                turned = bytearray(data)
                turned[bit // 8] ^= 1 << bit % 8
                file.write_bytes(turned)
                try:
                    same = seen(at) == before
                except se.FileError:
                    found["refused"] += 1
                    continue
                hold(same, f"{file.relative_to(folder)}: bit {bit} is read as other figures")
                found["as it was"] += 1
            file.write_bytes(data)
            for what, count in found.items():
                everything[what] += count
        hold(seen(at) == before, f"{at.name} is whole again")
    yield f"{sum(everything.values())} bits turned: " + ", ".join(f"{n} {what}" for what, n in everything.items())

    edited = folder / "game.h5"
    import h5py

    with h5py.File(edited, "r+") as file:
        file["tracks/x"][5] += 1
    try:
        se.read(edited)
    except se.FileError:
        yield "tracks edited with valid checksums: refused"
    else:
        raise Failed("tracks edited with valid checksums: read without a word")
    try:
        se.measure_many(edited, folder / "again", threads=1)
    except se.FileError:
        yield "and by parts"
    else:
        raise Failed("tracks edited with valid checksums: read by parts without a word")


CHECKS = {"inputs": inputs, "kills": kills, "flips": flips}


@contextmanager
def scratch() -> Iterator[Path]:
    with tempfile.TemporaryDirectory(prefix="adversary-") as folder:
        yield Path(folder)


def all_of(names: list[str], long: bool) -> int:
    failed = 0
    for name in names:
        start = time.monotonic()
        with scratch() as folder:
            try:
                for line in CHECKS[name](folder, long):
                    print(f"{name}: {line}", flush=True)
            except Failed as why:
                failed += 1
                print(f"{name}: FAILED: {why}", flush=True)
        print(f"{name}: {time.monotonic() - start:.0f} s", flush=True)
    return int(failed > 0)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("checks", nargs="*", choices=[*CHECKS, []], metavar="check")
    parser.add_argument("--long", action="store_true", help="every case")
    given = parser.parse_args()
    sys.exit(all_of(given.checks or list(CHECKS), given.long))
