#!/usr/bin/env bash
# Fuzzes each target for so many seconds (60 by default; 3600 for an hour) from the kept inputs and what earlier runs
# found. An input that breaks one ends the run; it is written to build/fuzz/found and, made small, belongs in
# tests/data/fuzz/TARGET, where the tests run it ever after. Few small ones that reach as far as all that were found are
# kept there too, chosen by  fuzz_TARGET -set_cover_merge=1 -use_counters=0 tests/data/fuzz/TARGET build/fuzz/corpus/TARGET
# (of files those under 4 KB: whole ones are in tests/data).
# usage: bash tests/fuzz.sh [seconds] [target...]     targets: geometry, play, file
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
seconds=${1:-60}; shift || true
targets=("$@"); [ $# -gt 0 ] || targets=(geometry play file)
SHORTEDGE_SETUP="clang libclang-rt-14-dev" bash tests/setup.sh

cmake --preset fuzz --log-level=WARNING
cmake --build --preset fuzz
for target in "${targets[@]}"; do
  corpus=build/fuzz/corpus/$target found=build/fuzz/found
  mkdir -p "$corpus" "$found"
  inputs=(tests/data/fuzz/"$target"); most=1024
  if [ "$target" = file ]; then
    most=65536
    mkdir -p build/fuzz/whole && cp tests/data/schema*.h5 build/fuzz/whole
    inputs+=(build/fuzz/whole)
  fi
  echo "fuzz: $target, $seconds s"
  if ! build/fuzz/tests/fuzz/fuzz_"$target" -max_total_time="$seconds" -max_len=$most -timeout=20 -rss_limit_mb=1000 \
      -artifact_prefix="$found/$target-" "$corpus" "${inputs[@]}" > "$found/$target.log" 2>&1; then
    tail -n 60 "$found/$target.log" >&2
    exit 1
  fi
  tail -n 1 "$found/$target.log"
done
