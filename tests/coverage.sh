#!/usr/bin/env bash
# Lines of core/ that the C++ tests run, by file, and the lines no test runs. Fails under 95 %.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
bash tests/setup.sh

cmake --preset coverage --log-level=WARNING
cmake --build --preset coverage
find build/coverage -name '*.gcda' -delete
ctest --preset coverage --exclude-regex '^(install|consumer)$'
.venv/bin/python -m gcovr --root . --object-directory build/coverage --filter 'core/' --gcov-executable gcov \
  --exclude-throw-branches --txt - --fail-under-line 95 build/coverage/core build/coverage/tests
