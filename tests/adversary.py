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
import gzip
import hashlib
import json
import os
import resource
import shutil
import signal
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
import pandas as pd

sys.path.insert(0, str(Path(__file__).resolve().parent / "python"))
import shortedge as se
from shortedge.cli import main
from shortedge.season.folder import alone_in
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


def run(*arguments: object, stdout: Any = subprocess.PIPE, **how: Any) -> subprocess.CompletedProcess[str]:
    """A command in a process of its own."""
    line = [sys.executable, "-m", "shortedge.cli", *map(str, arguments)]
    return subprocess.run(line, stdout=stdout, stderr=subprocess.PIPE, text=True, check=False, **how)


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
    os.link(folder / "game.h5", folder / "hard.html")
    for end in (".html", ".h5", ".csv", ".svg"):
        shutil.copy(tables / "map.toml", folder / f"map{end}")
    shutil.copytree(tables, folder / "again")
    (folder / "made").mkdir()
    for end in (".h5", ".html"):  # where the output of `again` would go
        shutil.copy(tables / "map.toml", folder / "made" / f"again{end}")
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
    lines += [("keep", h5, "-o", h5), ("keep", h5, "-o", folder / "link.h5"), ("keep", many, "-o", many)]
    lines += [("board", h5, "1", "-o", folder / f"{name}.html") for name in ("hard", "link")]
    lines += [
        (verb, tables, *more, "--map", folder / f"map{end}", "-o", folder / f"map{end}")
        for verb, end, *more in (
            *(("board", ".html", "1"), ("report", ".html"), ("show", ".svg", "1"), ("show", ".html", "1")),
            *(("keep", ".h5"), ("measure", ".h5"), ("reps", ".h5"), ("cut", ".csv")),
        )
    ]
    lines += [
        (verb, tables, folder / "again", "--map", folder / "made" / f"again{end}", "-o", folder / "made")
        for verb, end in (("keep", ".h5"), ("measure", ".h5"), ("reps", ".h5"), ("report", ".html"))
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
    reps.table.to_csv(folder / "rows.csv", index=False)
    (folder / "fix.csv").write_text("play,protector,rusher,outcome\n")
    corrected = reps.correct(folder / "fix.csv")
    before |= {path: state_of(path) for path in (folder / "rows.csv", folder / "fix.csv")}
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
        "cut of rows in a file": lambda: se.cut(folder / "rows.csv", from_tables, folder / "rows.csv"),
        "cut of corrected reps": lambda: se.cut(corrected, from_tables, folder / "fix.csv"),
        "report of corrected reps": lambda: se.report(from_tables, folder / "fix.csv", reps=corrected),
        "player_page of corrected reps": lambda: se.player_page(from_tables, "71", folder / "fix.csv", reps=corrected),
        "Board.to_html": lambda: m.board("1", 1.0).to_html(h5),
        "report": lambda: se.report(read, h5),
        "player_page": lambda: se.player_page(read, "71", folder / "link.h5"),
        "Player.to_html": lambda: m.play("1").to_html(h5),
        "animate": lambda: m.animate("1", folder / "link.gif"),
        "savefig": lambda: m.timeline("1").savefig(folder / "link.svg"),
        "savefig of a stated format": lambda: m.timeline("1").savefig(h5, format="svg"),
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
            for bit in random.choice(8 * len(data), 120 if long else 20, replace=False).tolist():
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


# ----------------------------------------------------------------------------------------------------------- full


def full(folder: Path, long: bool) -> Iterator[str]:
    """Outputs that cannot be written, and a second writer."""
    game_of().save(folder / "game.h5")
    h5 = folder / "game.h5"
    for line, writes in ((("measure", h5, "-o", folder / "m.h5"), True), (("check", h5), False)):
        with open("/dev/full", "w") as nowhere:
            done = run(*line, stdout=nowhere)
        hold(done.returncode == (3 if writes else 2), f"{line[0]} > /dev/full: {done.returncode} {done.stderr}")
        said = "shortedge: stdout: No space left on device"
        hold(done.stderr.startswith(said) and done.stderr.count("\n") == 1, f"{line[0]} > /dev/full: {done.stderr}")
    hold(len(se.read(folder / "m.h5").frames), "what was written stands")
    shell = f"{sys.executable} -m shortedge.cli measure {h5} -o {folder / 'closed.h5'} >&-"
    done = subprocess.run(["bash", "-c", shell], capture_output=True, text=True, check=False)
    refused(done.returncode, done.stderr, "stdout: is closed", "stdout closed")
    hold(not (folder / "closed.h5").exists(), "stdout closed: nothing is written")
    yield "stdout: three ways refused"

    def limited() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (6000, 6000))

    small: list[tuple[str, tuple[str, ...]]] = [("m2.h5", ()), ("season", ("--stream",))]
    for out, more in [*small, ("m2", ()), ("season_h5", ("--stream", "--format", "hdf5"))] if long else small:
        done = run("measure", h5, "-o", folder / out, *more, preexec_fn=limited)
        hold(done.returncode in (2, 3) and done.stderr.count("\n") == 1, f"{out}: {done.returncode} {done.stderr}")
        hold(out in done.stderr and "File too large" in done.stderr, f"{out}: {done.stderr}")
        left = [path for path in (folder / out).rglob("*") if path.is_file()]
        hold({path.name for path in left} <= {"season.json"}, f"{out}: half-made: {left}")
        hold(not [path for path in folder.rglob(".*")], f"{out}: left {list(folder.rglob('.*'))}")
    done = run("measure", h5, "-o", folder / "season", "--stream")
    hold(done.returncode == 0, f"the same run goes on: {done.returncode} {done.stderr}")
    for line, name, says in (
        (("show", h5, "1"), "s.mp4", "File size limit exceeded"),  # which ends ffmpeg
        (("board", h5, "1", "--at", 1), "b.html", "File too large"),
    ):
        out = folder / name
        out.write_bytes(b"what stood there")
        done = run(*line, "-o", out, preexec_fn=limited)
        refused(done.returncode, done.stderr, says, out.name)
        hold(str(out) in done.stderr and out.read_bytes() == b"what stood there", f"{out.name}: {done.stderr}")
        hold(not [path for path in folder.rglob(".*")], f"{out}: left {list(folder.rglob('.*'))}")
    yield "files that may not grow: one line, nothing half made, the same run goes on"

    with alone_in(folder / "season"):
        code, _, err = command("measure", h5, "-o", folder / "season", "--stream")
    refused(code, err, "another run is writing into it", "a second writer")
    names = [entry for entry, *_ in json.loads((folder / "season" / "season.json").read_text())["inputs"]]
    hold(names and not any(name.startswith("/") for name in names), f"season.json: {names}")
    yield "a second writer is refused; season.json names no absolute path"


# -------------------------------------------------------------------------------------------------------- hostile


def hostile(folder: Path, long: bool) -> Iterator[str]:
    """What was made to break a reader."""
    write_tables(folder / "in", small_game(), ".csv")
    good = write_map(folder)
    maps = {
        "arrays": "x = " + "[" * 100_000,
        "lines of arrays": "x = " + "[\n" * 100_000,
        "tables": "\n".join(f"[{'.'.join('a' * n)}]" for n in range(1, 500, 100)) + "\nx = " + "{a=" * 2000,
        "a name of 100,000 parts": ".".join("a" * 100_000) + " = 1",
        "5,000 digits": "rate = " + "9" * 5000,
        "4,000 digits": "rate = " + "9" * 4000,
        "no UTF-8": 'name = "\udcff"',
        "a NUL": 'name = "\0"',
    }
    for name, text in maps.items():
        (folder / "bad.toml").write_bytes(text.encode("utf-8", "surrogateescape"))
        code, _, err = command("measure", folder / "in", "--map", folder / "bad.toml", "-o", folder / "out.h5")
        refused(code, err, "bad.toml", f"map: {name}")
    yield f"{len(maps)} maps refused"
    bomb = folder / "bomb.csv.gz"
    with gzip.open(bomb, "wb", 9) as file:
        file.write(b"play,player,time,x,y\n")
        for _ in range(400):
            file.write(b"1,2,0.1,3.0,4.0\n" * 65536)
    three = (bomb, folder / "in" / "snaps.csv", folder / "in" / "people.csv")
    for more in ((), ("--stream",)) if long else ((),):
        code, _, err = command("measure", *three, "--map", good, "-o", folder / "bombed", *more)
        refused(code, err, "unpacks to over", "a gzip bomb")
    yield f"a gzip bomb of {bomb.stat().st_size} bytes refused"
    tracks, snaps, people = (table.assign(**{}) for table in small_game())
    big = folder / "big"
    many = pd.concat([tracks.assign(play=f"{name}") for name in range(400)], ignore_index=True)
    more_snaps = pd.concat([snaps.head(1).assign(play=f"{name}") for name in range(400)], ignore_index=True)
    write_tables(big, (many, more_snaps, people), ".csv")
    seen: dict[int, int] = {}
    for megabytes in (600, 700, 800, 1000, 1500) if long else (700,):

        def limited(most: int = megabytes) -> None:
            resource.setrlimit(resource.RLIMIT_AS, (most << 20, most << 20))

        done = run("measure", big, "--map", good, "-o", folder / "big.h5", preexec_fn=limited, env=single())
        hold("Traceback" not in done.stderr, f"{megabytes} MB: {done.stderr}")
        hold(done.returncode in (0, 1, 2, 3), f"{megabytes} MB: ended with {done.returncode}: {done.stderr[-300:]}")
        seen[done.returncode] = seen.get(done.returncode, 0) + 1
    yield f"out of memory: exit codes {seen}"


def single() -> dict[str, str]:
    """Few threads, each of which takes memory for its stack."""
    return {**os.environ, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "ARROW_IO_THREADS": "1"}


def bounds(folder: Path, long: bool) -> Iterator[str]:
    """Tables beyond what the door takes."""
    tracks, snaps, people = small_game()
    one = tracks["play"] == snaps["play"][0]

    def reason(change: Callable[[pd.DataFrame], pd.DataFrame], who: pd.DataFrame = people) -> str:
        game = se.from_tables(change(tracks.copy()), snaps, who, **YARDS, orientation="trust")
        return str(game.problems["reason"][0])

    def velocity(speed: float) -> Callable[[pd.DataFrame], pd.DataFrame]:
        return lambda table: table.assign(
            vx=np.where(one & (table["time"] == table["time"][one].max()), speed, 0.0), vy=0.0
        )

    fast = tracks["time"].min()
    tried = {
        "speed": (reason(velocity(15.1)), "accepted: at most 15"),
        "rate": (reason(lambda t: t.assign(time=np.where(one, fast + (t["time"] - fast) / 20, t["time"]))), "a second"),
        "degrees": (
            reason(lambda t: t.assign(x=np.where(one, 52.5 + t["x"] / 1e6, t["x"]), y=np.where(one, 13.4, t["y"]))),
            "degrees",
        ),
    }
    for name, (said, wanted) in tried.items():
        hold(wanted in said, f"{name}: {said}")
    at_most = se.from_tables(velocity(15.0)(tracks.copy()), snaps, people, **YARDS)
    hold(len(at_most.problems) == 0, "15 yd/s are accepted")
    for table, column in ((0, "player"), (0, "play"), (2, "position")):
        tables = [one_table.copy() for one_table in (tracks, snaps, people)]
        tables[table].loc[0, column] = "n" * 1025
        try:
            se.from_tables(*tables, **YARDS)
        except se.InputError as why:
            hold("1025 bytes" in str(why), f"{column}: {why}")
        else:
            raise Failed(f"a {column} of 1,025 bytes")
    yield f"{len(tried) + 3} refused"


# ----------------------------------------------------------------------------------------------------------- stop


def stop(folder: Path, long: bool) -> Iterator[str]:
    """Ctrl-C while commands work: how long until they have ended."""
    game = folder / "game.h5"
    se.example().save(game)
    for line in (
        ("measure", game, "-o", folder / "bands.h5", "--noise", "0.1", "--draws", 2000),
        ("measure", game, "-o", folder / "season", "--stream", "--noise", "0.1", "--draws", 2000),
        ("measure", game, "-o", folder / "processes", "--stream", "--noise", "0.1", "--draws", 2000, "--processes", 2),
        ("simulate", "--draws", 500_000),
    ):
        begun = [sys.executable, "-m", "shortedge.cli", *map(str, line)]
        running = subprocess.Popen(begun, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
        time.sleep(4)
        hold(running.poll() is None, f"{line[0]}: was done already")
        start = time.monotonic()
        running.send_signal(signal.SIGINT)
        _, err = running.communicate(timeout=30)
        took = time.monotonic() - start
        hold(running.returncode == 130, f"{line}: ended with {running.returncode}: {err}")
        hold("Traceback" not in err, f"{line}: {err}")
        hold(took < 0.5, f"{line}: {took:.2f} s")
        yield f"{line[0]} {' '.join(str(part) for part in line[3:] if str(part).startswith('--'))}: {took:.2f} s"


# ---------------------------------------------------------------------------------------------------------- texts

ODD = {"12": "a\x1b[31mred\x1b[0m", "71": "two\nlines\x85", "90": "\u202eturned", "33": "bell\x07\x9b"}


def texts(folder: Path, long: bool) -> Iterator[str]:
    """Names with control characters, in everything that is written as text."""
    tracks, snaps, people = small_game()
    for table in (tracks, people):
        table["player"] = table["player"].replace(ODD)
    snaps["film_time"], snaps["film_rate"], snaps["label"] = 10.0, "25", "lab\x1b]0;el\x07"
    game = se.from_tables(tracks, snaps, people, **YARDS, name="ga\x1bme\u2028")
    m, reps = se.measure(game), se.reps(game)
    writes: dict[str, Callable[[Path], object]] = {
        "cut.csv": lambda at: se.cut(reps, game, at),
        "cut.otio": lambda at: se.cut(reps, game, at),
        "drop.csv": lambda at: se.drop_study(game, "1").save(at),
        "report.html": lambda at: se.report(game, at),
        "man.html": lambda at: se.player_page(game, ODD["90"], at),
        "play.html": lambda at: m.play("1").to_html(at),
        "frame.svg": lambda at: m.draw("1", 1.0).savefig(at),
        "timeline.svg": lambda at: m.timeline("1").savefig(at),
    }
    for name, write in writes.items():
        write(folder / name)
        text = (folder / name).read_text(encoding="utf-8")
        found = sorted(
            {
                char
                for char in text
                if char not in "\n\t" and (ord(char) < 32 or 127 <= ord(char) < 160 or char in "\u202e\u2028")
            }
        )
        hold(not found, f"{name}: {found}")
    yield f"{len(writes)} files without control characters"


ALL = (inputs, kills, flips, full, hostile, bounds, stop, texts)
CHECKS: dict[str, Callable[[Path, bool], Iterator[str]]] = {check.__name__: check for check in ALL}


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
