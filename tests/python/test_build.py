"""Who lacks what the library is built with is told all of it at once, and which compilers will do."""

import subprocess
from pathlib import Path

import pytest

from test_codebase import HOUSE

PACKAGES = {  # CMake's name: Debian's
    "Eigen3": "libeigen3-dev",
    "Boost": "libboost1.81-dev",
    "HDF5": "libhdf5-dev",
    "libdeflate": "libdeflate-dev",
    "Python": "python3-dev",
}


def configured(folder: Path, *options: str) -> tuple[int, str]:
    """CMake's exit code and what it says on stderr, on one line."""
    command = ["cmake", "-G", "Ninja", "-S", str(HOUSE), "-B", str(folder), "-DSHORTEDGE_PYTHON=ON", *options]
    done = subprocess.run(command, capture_output=True, text=True)
    return done.returncode, " ".join(done.stderr.split())


@pytest.mark.parametrize("lacking", [["Boost"], list(PACKAGES)], ids=["one", "all"])
def test_all_that_is_missing_is_named_once(tmp_path: Path, lacking: list[str]) -> None:
    code, said = configured(tmp_path, *(f"-DCMAKE_DISABLE_FIND_PACKAGE_{name}=ON" for name in lacking))
    assert code != 0
    assert said.count("CMake Error") == 1
    assert f"sudo apt-get install {' '.join(PACKAGES[name] for name in lacking)} Elsewhere" in said
    for name in set(PACKAGES) - set(lacking):
        assert PACKAGES[name] not in said


def test_without_a_compiler_it_says_so(tmp_path: Path) -> None:
    """A folder with nothing but CMake on the PATH."""
    cmake = subprocess.run(["which", "cmake"], capture_output=True, text=True, check=True).stdout.strip()
    done = subprocess.run(
        [cmake, "-S", str(HOUSE), "-B", str(tmp_path / "build")],
        capture_output=True,
        text=True,
        env={"PATH": "/nowhere"},
    )
    said = " ".join(done.stderr.split())
    assert done.returncode != 0
    assert "needs a C++ compiler (GCC 12 or newer, or Clang 14 or newer) and finds none" in said
    assert f"sudo apt-get install g++ {' '.join(PACKAGES.values())}" in said


@pytest.mark.parametrize(
    ("compiler", "version", "says"),
    [
        ("GNU", "12.2.0", ""),
        ("Clang", "14.0.6", ""),
        ("GNU", "10.2.1", "GNU 10.2.1 has not been tried: core/geometry/lanes.hpp asks for the vectors"),
        ("MSVC", "19.40", "shortedge cannot be compiled by MSVC: core/geometry/lanes.hpp needs the vectors of GCC 12"),
    ],
)
def test_which_compilers_will_do(tmp_path: Path, compiler: str, version: str, says: str) -> None:
    script = tmp_path / "script.cmake"
    script.write_text(
        f"include({HOUSE}/core/needed.cmake)\nset(CMAKE_CXX_COMPILER_ID {compiler})\n"
        f"set(CMAKE_CXX_COMPILER_VERSION {version})\nshortedge_check_compiler()\n"
    )
    done = subprocess.run(["cmake", "-P", str(script)], capture_output=True, text=True)
    said = " ".join(done.stderr.split())
    assert says in said if says else not said
    assert (done.returncode != 0) == (compiler == "MSVC")
