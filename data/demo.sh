#!/usr/bin/env bash
# The demo: sets up what is missing, measures the invented demo game, prints a short table, and writes the results, a
# picture of the worst short edge and its timeline into out/.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
bash tests/setup.sh

out=out/demo
mkdir -p "$out"
.venv/bin/shortedge measure data/demo_game -o "$out/pocket.h5" --map data/demo_game/map.toml
.venv/bin/python data/demo_pictures.py "$out"
