"""Rules of the house: which layer may see which, one version, clean lint and types, every column explained."""

import ast
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from graphlib import CycleError, TopologicalSorter
from importlib.metadata import version
from pathlib import Path
from types import ModuleType

import pytest

import shortedge as se
from shortedge import _core, draw

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
import mutate

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
    "match": {"pocket", "rush", "play", "tracking", "geometry", "base"},
    "measure": {"match", "pocket", "rush", "play", "tracking", "trace", "geometry", "base"},
    "reps": {"measure", "match", "pocket", "rush", "play", "tracking", "geometry", "base"},
    "simulate": {"rush", "play", "tracking", "geometry", "base"},
    "study": {"simulate", "reps", "measure", "match", "pocket", "rush", "play", "tracking", "geometry", "base"},
    "board": {"study", "simulate", "measure", "match", "pocket", "rush", "play", "tracking", "geometry", "base"},
    "file": {"study", "reps", "measure", "tracking", "trace", "base"},
}
# What each floor of the Python half may import besides itself and the compiled module; the facade may see all.
FLOORS = {
    "base": set(),
    "game": {"base"},
    "trace": {"game", "base"},
    "film": {"trace", "game", "base"},
    "measures": {"game", "base"},
    "season": {"measures", "game", "base"},
    "simulation": {"measures", "game", "base"},
    "tell": {"measures", "game", "base"},
    "clicking": {"film", "tell", "measures", "trace", "game", "base"},
    "draw": {"film", "tell", "simulation", "measures", "trace", "game", "base"},
    "pages": {"draw", "tell", "season", "simulation", "measures", "game", "base"},
    "shown": {"pages", "draw", "tell", "simulation", "measures", "game", "base"},
    "cli": {"clicking", "pages", "draw", "film", "tell", "simulation", "season", "measures", "trace", "game", "base"},
}
PACKAGE = HOUSE / "bindings" / "shortedge"
# What is imported where it is used, so that `import shortedge` stays light, and what is not installed everywhere.
HEAVY = {
    "concurrent",  # the standard library's pools: logging, queues, sockets and more come with them
    "multiprocessing",
    "cv2",
    "pyarrow",
    "pandas",
    "polars",
    "narwhals",
    "PIL",
    "distributed",
    "imageio_ffmpeg",
    "opentimelineio",
    "shtab",
}
MOST_CPU = 0.25  # s, of `import shortedge`
NUMPY_CPU = 0.13  # s, of `import numpy` on the machine that limit was set for
NARROW = ("core", "bindings", "tests", "bench", "data")  # where no line may be over so many columns
COLUMNS = 120
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
    assert folders >= {"base", "geometry", "tracking", "play", "pocket", "rush", "match", "measure", "file"}


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


def circle_in(sees: dict[str, set[str]]) -> list[str]:
    """The first circle of a graph; none when there is none."""
    try:
        tuple(TopologicalSorter(sees).static_order())
    except CycleError as why:
        return list(why.args[1])
    return []


def test_no_header_includes_itself_over_others() -> None:
    core = HOUSE / "core"
    sees = {
        str(path.relative_to(core)): {name for name in includes(path) if (core / name).exists()}
        for path in sources(core)
    }
    assert not circle_in(sees)


# ---------------------------------------------------------------------------------------------- the Python half


def modules() -> dict[str, Path]:
    """The files of the package by module, below `shortedge`; "" is the facade."""
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE).with_suffix("").parts
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


def own_imports(module: str, path: Path) -> Iterator[tuple[str, ast.ImportFrom]]:
    """The modules of the package that a file imports, wherever it does."""
    known = modules()
    package = [part for part in module.split(".") if part]
    if path.name != "__init__.py":
        package.pop()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.ImportFrom) and node.level:
            start = package[: len(package) - (node.level - 1)]
            target = ".".join([*start, *(node.module.split(".") if node.module else [])])
            for name in node.names:
                inner = f"{target}.{name.name}".strip(".")
                if inner in known:
                    yield inner, node
                elif inner != "_core" and target != "_core":
                    yield target, node


@pytest.mark.parametrize("floor", FLOORS)
def test_a_floor_sees_only_those_below(floor: str) -> None:
    for module, path in modules().items():
        if module.split(".")[0] != floor:
            continue
        for seen, node in own_imports(module, path):
            of = seen.split(".")[0]
            assert of == floor or of in FLOORS[floor], f"{path.relative_to(HOUSE)}:{node.lineno} imports {seen}"


def test_every_floor_is_known() -> None:
    assert {module.split(".")[0] for module in modules()} == {*FLOORS, ""}


def test_no_module_imports_itself_over_others() -> None:
    """What only a type checker reads counts, too."""
    sees = {module: {seen for seen, _ in own_imports(module, path)} - {module} for module, path in modules().items()}
    assert sum(map(len, sees.values())) > 200
    assert not circle_in(sees)


def test_no_import_is_hidden() -> None:
    """In a function only a heavy package of others is imported; only `draw`, all of which needs one, opens its own
    modules late, and the package itself its film half."""
    late = []
    for path in modules().values():
        tree = ast.parse(path.read_text())
        for function in ast.walk(tree):
            if not isinstance(function, ast.FunctionDef):
                continue
            for node in ast.walk(function):
                if isinstance(node, ast.Import):
                    assert {name.name.split(".")[0] for name in node.names} <= HEAVY, f"{path}:{node.lineno}"
                elif isinstance(node, ast.ImportFrom):
                    assert not node.level, f"{path}:{node.lineno}"
                    assert str(node.module).split(".")[0] in HEAVY, f"{path}:{node.lineno}"
        if re.search(r"import_module|__import__", path.read_text()):
            late.append(path.relative_to(PACKAGE).as_posix())
    assert sorted(late) == ["__init__.py", "draw/__init__.py"]


def test_only_draw_knows_matplotlib() -> None:
    for module, path in modules().items():
        named = re.search(r"^\s*(from|import) matplotlib", path.read_text(), re.MULTILINE)
        assert not named or module.startswith("draw."), path


def test_draw_opens_what_it_tells_a_type_checker_of() -> None:
    tree = ast.parse((PACKAGE / "draw" / "__init__.py").read_text())
    (only_typed,) = (node for node in tree.body if isinstance(node, ast.If))
    said = {
        "." * node.level + str(node.module): tuple(name.name for name in node.names)
        for node in only_typed.body
        if isinstance(node, ast.ImportFrom)
    }
    assert said == draw.ROOM_OF
    assert sorted(draw.__all__) == sorted(name for names in said.values() for name in names)
    for name in draw.__all__:
        assert getattr(draw, name) is not None


def test_no_verb_shadows_a_package() -> None:
    """Of a package no name is bound that one of its modules has."""
    packages = [path.parent for path in modules().values() if path.name == "__init__.py"]
    assert len(packages) == len(FLOORS)  # `shown` is a module; the facade is a package
    for package in packages:
        inside = {path.stem for path in package.iterdir() if path.suffix == ".py" or path.is_dir()}
        tree = ast.parse((package / "__init__.py").read_text())
        bound = {
            name.asname or name.name
            for node in ast.walk(tree)
            if isinstance(node, ast.ImportFrom)
            for name in node.names
        }
        own = (
            {path.stem for path in package.iterdir()} & bound
            if package != PACKAGE
            else inside & bound & set(se.__all__)
        )
        assert not own, f"{package}: {own}"
    for name in se.__all__:
        assert not isinstance(getattr(se, name), ModuleType), name


def test_what_is_shown_is_one_class() -> None:
    """Results are of one class wherever they were made, and a type checker sees its methods in the facade."""
    from shortedge.measures import results

    assert se.Measures is results.Measures
    for method in ("draw", "timeline", "play", "sheet", "heat", "multiples", "animate", "words"):
        assert getattr(se.Measures, method).__module__ == "shortedge.shown"


def fresh(code: str, **more: str) -> str:
    """What a new Python says, with these variables in its environment."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    command = [sys.executable, "-c", code]
    return subprocess.run(command, capture_output=True, text=True, check=True, env=kept | more).stdout


def test_importing_loads_nothing_heavy() -> None:
    said = fresh("import shortedge, sys; print(*sorted(name.split('.')[0] for name in sys.modules))")
    assert not set(said.split()) & (HEAVY | {"matplotlib"})


def test_garbage_is_collected_again_once_it_is_loaded() -> None:
    assert fresh("import gc, shortedge; print(gc.isenabled())").split() == ["True"]
    assert fresh("import gc; gc.disable(); import shortedge; print(gc.isenabled())").split() == ["False"]
    assert fresh("import gc, shortedge; print(gc.get_freeze_count())").split() == ["0"]
    kept = "import gc; gc.freeze(); n = gc.get_freeze_count(); import shortedge; print(gc.get_freeze_count() > n / 2)"
    assert fresh(kept).split() == ["True"]  # what others froze stays so


def test_what_is_opened_late_is_there_when_asked_for() -> None:
    assert set(se.__all__) <= set(dir(se))
    with pytest.raises(AttributeError, match="'shortedge' has no attribute 'nothing'"):
        se.nothing  # noqa: B018


def test_a_page_to_play_needs_no_matplotlib() -> None:
    code = "import sys, shortedge as se; m = se.measure(se.example()); m.play('P024').to_html(); print(*sys.modules)"
    assert "matplotlib" not in fresh(code).split()


def test_importing_is_quick(tmp_path: Path) -> None:
    """CPU seconds of a whole Python that imports shortedge and finds it compiled, of the quickest of some: others at
    work make it slower. On a machine where numpy alone takes longer than NUMPY_CPU, it may take as much longer."""

    def seconds(package: str) -> float:
        code = (
            f"import {package}, resource as r; used = r.getrusage(r.RUSAGE_SELF); print(used.ru_utime + used.ru_stime)"
        )
        return float(fresh(code, PYTHONPYCACHEPREFIX=str(tmp_path)))

    least = numpy = float("inf")
    for _ in range(15):
        least, numpy = min(least, seconds("shortedge")), min(numpy, seconds("numpy"))
        if least <= MOST_CPU:
            break
    assert least <= MOST_CPU * max(1.0, numpy / NUMPY_CPU), f"{least:.3f} s, numpy alone {numpy:.3f} s"


# -------------------------------------------------------------------------------------------------------- style


@pytest.mark.parametrize("folder", NARROW)
def test_no_line_is_too_wide(folder: str) -> None:
    wide = [
        f"{path.relative_to(HOUSE)}:{number}"
        for path in sorted((HOUSE / folder).rglob("*"))
        if path.suffix in (".py", ".pyi", ".hpp", ".cpp")
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if len(line) > COLUMNS
    ]
    assert not wide, f"{len(wide)} lines over {COLUMNS} columns: {wide[:5]}"


def test_one_version() -> None:
    project = tomllib.loads((HOUSE / "pyproject.toml").read_text())["project"]["version"]
    cmake = re.search(r"project\(shortedge VERSION ([\d.]+)", (HOUSE / "CMakeLists.txt").read_text())
    assert cmake
    assert cmake[1] == project == se.__version__ == _core.__version__ == version("shortedge")


@pytest.mark.parametrize(
    "command",
    [
        ("ruff", "check", "--no-cache", "."),
        ("ruff", "format", "--check", "--no-cache", "bench", "bindings", "data", "tests"),
        ("mypy", "--strict", "--cache-dir", ".venv/.mypy_cache"),  # most of it is what other packages say
    ],
    ids=["lint", "format", "types"],
)
def test_lint_and_types(command: tuple[str, ...]) -> None:
    done = subprocess.run([sys.executable, "-m", *command], cwd=HOUSE, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


def test_layout_of_the_core() -> None:
    """As .clang-format says, by the one version of clang-format that tests/requirements.txt names."""
    files = [str(path) for path in kept_files() if path.suffix in (".hpp", ".cpp")]
    command = [Path(sys.executable).parent / "clang-format", "--dry-run", "-Werror", *files]
    done = subprocess.run(command, cwd=HOUSE, capture_output=True, text=True)
    assert len(files) > 200
    assert done.returncode == 0, done.stderr[:2000]


def test_every_planted_fault_has_its_place() -> None:
    """tests/mutate.py plants faults by their text, so the text must still stand, once."""
    lost = [
        f"{fault.file}: {fault.old}"
        for fault in mutate.FAULTS
        if (HOUSE / "core" / fault.file).read_text(encoding="utf-8").count(fault.old) != 1
    ]
    assert not lost
    assert len(mutate.FAULTS) >= 60


def test_readme_explains_every_column() -> None:
    """In the page of columns a row starts with the column's name."""
    rows = re.findall(r"^\|\s*`(\w+)`", (HOUSE / "core/base/COLUMNS.md").read_text(), re.MULTILINE)
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
