#!/usr/bin/env bash
# Builds the board's core to WebAssembly and puts it into the package, where it is committed. Installs the compiler if it is missing.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/../.."
SHORTEDGE_SETUP="clang lld llvm wasi-libc libc++-dev-wasm32 libclang-rt-dev-wasm32" SHORTEDGE_SETUP_ONLY=packages bash tests/setup.sh
cmake --preset wasm --log-level=WARNING
cmake --build --preset wasm
python3 bindings/wasm/pack.py build/wasm
