#!/usr/bin/env bash
# Proves the wheels in dist/: each in a clean environment of its Python, the system's HDF5 and libdeflate out of sight.
# Also that `pip install` works from the sdist (with the system's libraries).
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
work=$PWD/build/wheels/proof
rm -rf "$work"
mkdir -p "$work"

for wheel in dist/*.whl; do
  size=$(stat -c %s "$wheel")
  [ "$size" -le 4000000 ] || { echo "$wheel: $size bytes, over 4 MB" >&2; exit 1; }
  minor=$(sed -E 's/.*-cp3([0-9]+)-cp3.*/\1/' <<< "$wheel")
  python=
  for one in "python3.$minor" "$HOME/.pyenv/versions/3.$minor."*/bin/python; do
    "$one" -c "import sys; sys.exit(sys.version_info[:2] != (3, $minor))" 2>/dev/null && { python=$one; break; }
  done
  "$python" -m venv "$work/py$minor"
  "$work/py$minor/bin/python" -m pip -q --disable-pip-version-check install "$wheel" h5py nbclient nbformat ipykernel
  echo "$wheel: $size bytes"
  cp notebooks/01_measure_a_game.ipynb "$work"
  # In a namespace of its own the system's libraries of these names are covered by an empty file.
  unshare --mount bash -c '
    for library in /usr/lib/*/libhdf5* /usr/lib/*/libdeflate* /usr/lib/*/libsz* /usr/lib/*/libcurl*; do
      [ -f "$library" ] && mount --bind /dev/null "$(realpath "$library")" 2>/dev/null || true
    done
    cd "$1" && PATH="$1/py$2/bin:$PATH" "$1/py$2/bin/python" -P "$3" "$1"' _ "$work" "$minor" "$PWD/bindings/wheel_proof.py"
done

python=$(ls -d "$work"/py*/bin/python | head -1)
"$python" -m venv "$work/from_source"
"$work/from_source/bin/python" -m pip -q --disable-pip-version-check install dist/shortedge-*.tar.gz
(cd "$work" && "$work/from_source/bin/python" -P -c "import shortedge as se; m = se.measure(se.example()); print('from the sdist:', m)")
echo "proved"
