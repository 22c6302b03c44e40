#!/usr/bin/env bash
# Sets up what is missing and runs all tests: C++, then Python with the notebooks. --full adds the long ones.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
case "${1:-}" in
  "") export SHORTEDGE_FULL=0 ;;
  --full) export SHORTEDGE_FULL=1 ;;
  *) echo "usage: bash tests/run.sh [--full]" >&2; exit 2 ;;
esac
bash tests/setup.sh

cmake --preset release --log-level=WARNING
cmake --build --preset release

# Side by side: the core's tests keep one processor busy, pytest both.
echo "tests: Python and notebooks, and C++ beside them"
ctest --preset release >build/release/ctest.txt 2>&1 &
cpp=$!
python=0
.venv/bin/python -m pytest -q -n 2 --dist worksteal || python=$? # neighbours share what their fixtures made
wait $cpp || { cat build/release/ctest.txt; exit 1; }
tail -n 12 build/release/ctest.txt
[ $python = 0 ] || exit $python

if [ "$SHORTEDGE_FULL" = 1 ]; then
  echo "tests: planted faults, coverage, clang-tidy, fuzzing, sanitizers"
  export SHORTEDGE_FULL=0 # their own runs are of usual length
  .venv/bin/python tests/mutate.py --share 5 # of all faults, others each day
  bash tests/coverage.sh
  bash tests/tidy.sh
  bash tests/fuzz.sh 60
  bash tests/sanitize.sh
fi
