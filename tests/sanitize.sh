#!/usr/bin/env bash
# Runs suites under sanitizers. address: the C++ suites under AddressSanitizer with leak check and UBSan; thread: the C++
# suites under ThreadSanitizer; python: the Python suite on a module built as for address (no leak check: Python keeps
# memory on purpose; the libraries are preloaded for that one command).
# Of the Python suite these are left out, unless named: player and report (a browser started with the sanitizer's
# library breaks on it), codebase (no core in it), pictures, stills, readme and notebooks (minutes of drawing by other
# libraries, of figures that the rest asks for too).
# usage: bash tests/sanitize.sh [address|thread|python [pytest arguments]]     all three by default
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
bash tests/setup.sh

suites() {
  cmake --preset "$1" --log-level=WARNING
  cmake --build --preset "$1"
  ctest --preset "$1" --exclude-regex '^(install|consumer)$'
}

python_suite() {
  # The module beside links to the package's Python files, in front of the installed one.
  local build=build/sanitize-python site=build/sanitize-python/site/shortedge file
  cmake -G Ninja -S . -B $build --log-level=WARNING -DCMAKE_BUILD_TYPE=Debug -DSHORTEDGE_PYTHON=ON \
    -DCMAKE_CXX_FLAGS="-O1 -fsanitize=address,undefined -fno-sanitize-recover=undefined -fno-omit-frame-pointer" \
    -Dpybind11_DIR="$(.venv/bin/python -m pybind11 --cmakedir)" -DPython_EXECUTABLE="$PWD/.venv/bin/python"
  cmake --build $build --target _core
  mkdir -p $site
  cp $build/bindings/_core*.so $site/
  for file in bindings/shortedge/*; do ln -sfn "$PWD/$file" $site/"$(basename "$file")"; done
  ln -sfn "$PWD/data/demo_game" $site/demo_game
  local left=() name
  if [ $# = 0 ]; then
    for name in player report codebase pictures stills readme notebooks; do left+=("--ignore=tests/python/test_$name.py"); done
  fi
  env LD_PRELOAD="$(gcc -print-file-name=libasan.so) $(gcc -print-file-name=libstdc++.so)" \
    ASAN_OPTIONS=detect_leaks=0 PYTHONPATH=$PWD/$build/site \
    .venv/bin/python -m pytest -q -n 2 -p no:cacheprovider "${left[@]}" "$@"
}

case "${1:-all}" in
  address) suites sanitize ;;
  thread) suites thread ;;
  python) shift; python_suite "$@" ;;
  all) suites sanitize; suites thread; python_suite ;;
  *) echo "usage: bash tests/sanitize.sh [address|thread|python [pytest arguments]]" >&2; exit 2 ;;
esac
