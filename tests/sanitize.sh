#!/usr/bin/env bash
# Runs suites under sanitizers. address: the C++ suites under AddressSanitizer with leak check and UBSan; thread: the C++
# suites under ThreadSanitizer; python: the Python suite on a module built as for address (no leak check: Python keeps
# memory on purpose; the libraries are preloaded for that one command).
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
  env LD_PRELOAD="$(gcc -print-file-name=libasan.so) $(gcc -print-file-name=libstdc++.so)" \
    ASAN_OPTIONS=detect_leaks=0 PYTHONPATH=$PWD/$build/site SHORTEDGE_SANITIZED=1 \
    .venv/bin/python -m pytest -q -p no:cacheprovider "$@"
}

case "${1:-all}" in
  address) suites sanitize ;;
  thread) suites thread ;;
  python) shift; python_suite "$@" ;;
  all) suites sanitize; suites thread; python_suite ;;
  *) echo "usage: bash tests/sanitize.sh [address|thread|python [pytest arguments]]" >&2; exit 2 ;;
esac
