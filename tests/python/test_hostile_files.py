"""Files forged with another HDF5 library, of every kind: each is refused with a clear text, and the system sees no file
opened but the one that was named."""

import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import h5py
import numpy as np
import pytest

import shortedge as se
from small_game import YARDS, small_game

COLUMN = {
    "game": "tracks/x",
    "results": "frames/pocket_width",
    "reps": "reps/start",
    "results with bands": "frames_bands/pocket_width_low",
    "reps with bands": "reps_bands/end_low",
}
OUTSIDE = "outside.h5"
ROWS = 50
OURS = {"chunks": (ROWS,), "shuffle": True, "compression": "gzip", "fletcher32": True}

Forge = Callable[[h5py.File, str], None]


def instead(make: Callable[[h5py.File, str], None]) -> Forge:
    """What stands in a column's place."""

    def forge(file: h5py.File, column: str) -> None:
        del file[column]
        make(file, column)

    return forge


def external_link(file: h5py.File, column: str) -> None:
    file[column] = h5py.ExternalLink(OUTSIDE, column)


def external_table(file: h5py.File, column: str) -> None:
    table = column.split("/")[0]
    del file[table]
    file[table] = h5py.ExternalLink(OUTSIDE, table)


def external_storage(file: h5py.File, column: str) -> None:
    file.create_dataset(column, (ROWS,), "<f8", external=[(OUTSIDE, 0, 8 * ROWS)])


def virtual(file: h5py.File, column: str) -> None:
    layout = h5py.VirtualLayout((ROWS,), "<f8")
    layout[:] = h5py.VirtualSource(OUTSIDE, column, (ROWS,))
    file.create_virtual_dataset(column, layout)


def of_type(kind: str) -> Forge:
    return instead(lambda file, column: file.create_dataset(column, data=np.zeros(ROWS, kind), **OURS) and None)


def variable_text(file: h5py.File, column: str) -> None:
    file.create_dataset(column, data=["text"] * ROWS, dtype=h5py.string_dtype(), chunks=(ROWS,))


def huge(file: h5py.File, column: str) -> None:
    file.create_dataset(column, (2**50,), "<f8", **{**OURS, "chunks": (1000,)})


def growing(file: h5py.File, column: str) -> None:
    file.create_dataset(column, (ROWS,), "<f8", maxshape=(None,), **OURS)


def other_filter(file: h5py.File, column: str) -> None:
    file.create_dataset(column, data=np.zeros(ROWS), chunks=(ROWS,), compression="lzf")


def cycle(file: h5py.File, column: str) -> None:
    file[column.split("/")[0] + "/round"] = file["/"]


def itself(file: h5py.File, column: str) -> None:
    file[column] = file["/"]


def no_version(file: h5py.File, column: str) -> None:
    row = list(file["file/name"][:]).index(b"schema_version")
    texts = file["file/text"][:]
    texts[row] = b"0"
    file["file/text"][:] = texts


FORGED: dict[str, tuple[Forge, str]] = {
    "external link": (instead(external_link), "an external link; only hard links are followed"),
    "external table": (external_table, "an external link; only hard links are followed"),
    "soft link": (
        instead(lambda file, column: file.__setitem__(column, h5py.SoftLink("/plays/name"))),
        "a soft link; only hard links are followed",
    ),
    "external storage": (instead(external_storage), "external storage"),
    "virtual dataset": (instead(virtual), "a virtual dataset"),
    "huge shape": (instead(huge), "rows declared"),
    "growing": (instead(growing), "a dataset that can grow"),
    "other filter": (instead(other_filter), "its filters are not shuffle, deflate and fletcher32"),
    "float32": (of_type("<f4"), "floating-point numbers of 4 bytes; this library reads floating-point numbers of 8"),
    "big-endian": (of_type(">f8"), "floating-point numbers of 8 bytes"),
    "int64": (of_type("<i8"), "integers of 8 bytes"),
    "compound": (of_type("i4,f4"), "values of another class"),
    "variable text": (instead(variable_text), "text of variable length"),
    "missing": (instead(lambda file, column: None), "is missing"),
    "cycle": (cycle, "columns; this library reads"),
    "itself": (instead(itself), "not a dataset"),
    "no version": (no_version, "schema version 0; this library reads 1"),
    "extra table": (lambda file, column: file.create_group("more") and None, "tables; this library reads"),
}


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("good")
    game = se.from_tables(*small_game(), **YARDS)
    game.save(folder / "game.h5")
    m = se.measure(game)
    m.save(folder / "results.h5")
    se.reps(game, m).save(folder / "reps.h5")
    m = se.measure(game, noise=0.1, draws=3)
    m.save(folder / "results with bands.h5")
    se.reps(game, m).save(folder / "reps with bands.h5")
    return folder


def forged(good: Path, folder: Path, kind: str, name: str) -> Path:
    path = folder / f"{kind} {name}.h5"
    shutil.copy(good / f"{kind}.h5", path)
    shutil.copy(good / f"{kind}.h5", folder / OUTSIDE)
    with h5py.File(path, "r+", libver=("v110", "v110")) as file:
        FORGED[name][0](file, COLUMN[kind])
    return path


@pytest.mark.parametrize("kind", COLUMN)
@pytest.mark.parametrize("name", FORGED)
def test_refused(name: str, kind: str, good: Path, tmp_path: Path) -> None:
    path = forged(good, tmp_path, kind, name)
    with pytest.raises(se.FileError, match=re.escape(path.name)) as refusal:
        se.read(path)
    assert FORGED[name][1] in str(refusal.value)


@pytest.mark.parametrize("kind", COLUMN)
def test_touched_by_another_library_and_still_read(kind: str, good: Path, tmp_path: Path) -> None:
    """The forging itself is not what is refused."""
    path = tmp_path / "again.h5"
    shutil.copy(good / f"{kind}.h5", path)
    with h5py.File(path, "r+", libver=("v110", "v110")) as file:
        values = file[COLUMN[kind]][:]
        del file[COLUMN[kind]]
        file.create_dataset(COLUMN[kind], data=values, **{**OURS, "chunks": (len(values),)})
    assert type(se.read(path)) is type(se.read(good / f"{kind}.h5"))


READER = """
import os, sys
import shortedge as se
for path in sys.argv[1:]:  # the first time round, what is loaded late is loaded
    try:
        se.read(path)
    except se.FileError:
        pass
os.path.exists("/begin here")
for path in sys.argv[1:]:
    try:
        se.read(path)
        raise SystemExit(f"taken: {path}")
    except se.FileError:
        pass
os.path.exists("/end here")
"""


def test_no_other_file_is_opened(good: Path, tmp_path: Path) -> None:
    strace = shutil.which("strace")
    assert strace, "tests/setup.sh installs it"
    if subprocess.run([strace, "-o", "/dev/null", "true"], capture_output=True, check=False).returncode != 0:
        pytest.skip("this system lets no process be traced")
    paths = [forged(good, tmp_path, kind, name) for kind in COLUMN for name in FORGED]
    log = tmp_path / "log"
    calls = "trace=open,openat,openat2,creat,stat,newfstatat,statx,execve,connect,readlink,truncate,unlink,rename"
    done = subprocess.run(
        [strace, "-f", "-s", "4096", "-e", calls, "-o", log, sys.executable, "-c", READER, *paths],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    lines = log.read_text().splitlines()
    begin, end = (next(k for k, line in enumerate(lines) if f'"{mark} here", ' in line) for mark in ("/begin", "/end"))
    between = lines[begin + 1 : end]
    opened = [re.findall(r'"((?:[^"\\]|\\.)*)"', line)[0] for line in between if re.search(r"\bopen\w*\(", line)]
    assert set(opened) == {str(path) for path in paths}
    assert not [line for line in between if OUTSIDE in line or re.search(r"\b(creat|execve|connect)\(", line)]
