#!/usr/bin/env bash
# clang-tidy with the checks of .clang-tidy over core/; every finding is an error.
# usage: bash tests/tidy.sh [file...]
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
SHORTEDGE_SETUP="clang clang-tidy libclang-rt-14-dev" bash tests/setup.sh

cmake --preset fuzz --log-level=WARNING -DCMAKE_EXPORT_COMPILE_COMMANDS=ON
files=("$@"); [ $# -gt 0 ] || mapfile -t files < <(find core -name '*.cpp' | sort)
printf '%s\n' "${files[@]}" | xargs -P "$(nproc)" -n 4 clang-tidy -p build/fuzz --quiet
