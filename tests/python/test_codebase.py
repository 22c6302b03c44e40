"""Rules of the house: which layer may see which, one version, clean lint and types, every column explained."""

import re
import subprocess
import sys
import tomllib
from importlib.metadata import version
from pathlib import Path

import pytest

import shortedge as se
from shortedge import _core

HOUSE = Path(__file__).resolve().parents[2]
NO_GIT = "not a git checkout"

# What each layer of core/ may include besides itself.
BELOW = {
    "base": set(),
    "geometry": {"base"},
    "camera": {"geometry", "base"},
    "trace": {"camera", "geometry", "base"},
    "tracking": {"trace", "camera", "geometry", "base"},
    "play": {"tracking", "trace", "geometry", "base"},
    "pocket": {"play", "tracking", "geometry", "base"},
    "rush": {"play", "tracking", "geometry", "base"},
    "measure": {"pocket", "rush", "play", "tracking", "trace", "geometry", "base"},
    "reps": {"measure", "pocket", "rush", "play", "tracking", "geometry", "base"},
    "simulate": {"rush", "play", "tracking", "geometry", "base"},
    "study": {"simulate", "reps", "measure", "pocket", "rush", "play", "tracking", "geometry", "base"},
    "file": {"study", "reps", "measure", "tracking", "base"},
}
FILE_SEES_OF_PLAY = "play/review.hpp"  # a game that is read is looked over like one that comes as tables


def sources(folder: Path) -> list[Path]:
    return sorted(path for path in folder.rglob("*") if path.suffix in (".hpp", ".cpp"))


def includes(path: Path) -> list[str]:
    return re.findall(r'^\s*#\s*include\s*[<"]([^">]+)[">]', path.read_text(), re.MULTILINE)


@pytest.mark.parametrize("layer", BELOW)
def test_a_layer_sees_only_those_below(layer: str) -> None:
    core = HOUSE / "core"
    for path in sources(core / layer):
        for name in includes(path):
            seen = name.split("/")[0]
            if (core / name).exists() and seen != layer:
                allowed = seen in BELOW[layer] or (layer == "file" and name == FILE_SEES_OF_PLAY)
                assert allowed, f"{path.relative_to(HOUSE)} includes {name}"


def test_every_layer_is_known() -> None:
    folders = {path.parent.relative_to(HOUSE / "core").parts[0] for path in sources(HOUSE / "core")}
    assert folders <= set(BELOW)
    assert folders >= {"base", "geometry", "tracking", "play", "pocket", "rush", "measure", "file"}


def test_the_core_knows_neither_python_nor_files() -> None:
    for path in sources(HOUSE / "core"):
        names = includes(path)
        assert not [name for name in names if re.match(r"pybind11|Python\.h|numpy", name)], path
        if path.relative_to(HOUSE / "core").parts[0] != "file":
            assert not [name for name in names if re.search(r"hdf5|fstream|filesystem", name)], path
            assert not re.search(r"\bfopen\b|\bopen\(", path.read_text()), path


def test_nothing_sees_the_bindings() -> None:
    for path in [*sources(HOUSE / "core"), *sources(HOUSE / "tests"), *sources(HOUSE / "bench")]:
        assert not [name for name in includes(path) if "bindings" in name or name == "arrays.hpp"], path
    assert "bindings" not in (HOUSE / "core" / "CMakeLists.txt").read_text()


def test_one_version() -> None:
    project = tomllib.loads((HOUSE / "pyproject.toml").read_text())["project"]["version"]
    cmake = re.search(r"project\(shortedge VERSION ([\d.]+)", (HOUSE / "CMakeLists.txt").read_text())
    assert cmake
    assert cmake[1] == project == se.__version__ == _core.__version__ == version("shortedge")


@pytest.mark.parametrize("command", [("ruff", "check", "--no-cache", "."), ("mypy", "--strict")], ids=lambda c: c[0])
def test_lint_and_types(command: tuple[str, ...]) -> None:
    done = subprocess.run([sys.executable, "-m", *command], cwd=HOUSE, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


def test_readme_explains_every_column() -> None:
    """In the README's tables of columns a row starts with the column's name."""
    rows = re.findall(r"^\|\s*`(\w+)`", (HOUSE / "README.md").read_text(), re.MULTILINE)
    for table, columns in _core.columns().items():
        missing = [column["name"] for column in columns if column["name"] not in rows]
        assert not missing, f"{table}: {missing}"


def kept_files() -> list[Path]:
    """What git keeps, or would."""
    if not (HOUSE / ".git").exists():
        pytest.skip(NO_GIT)
    command = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    names = subprocess.run(command, cwd=HOUSE, capture_output=True, text=True, check=True).stdout
    return [path for path in (HOUSE / name for name in names.split("\0") if name) if path.exists()]


def test_no_large_file() -> None:
    large = [path for path in kept_files() if path.stat().st_size > 2_000_000]
    assert not large


def test_ci_runs_the_tests_and_nothing_else() -> None:
    lines = (HOUSE / ".ci" / "run").read_text().splitlines()
    commands = [line for line in lines if line.strip() and not line.startswith("#")]
    assert commands == ["bash tests/run.sh"]
