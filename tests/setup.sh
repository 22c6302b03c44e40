#!/usr/bin/env bash
# Installs what the project needs and is missing: Debian packages, then a Python environment in .venv.
# Called by data/demo.sh and the scripts of tests/; safe to run again, quick when nothing is missing. SHORTEDGE_SETUP names
# further Debian packages, for the long tests.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

packages=(g++ cmake ninja-build git ca-certificates libeigen3-dev libboost1.81-dev libhdf5-dev libdeflate-dev doctest-dev libbenchmark-dev chromium ffmpeg strace)
read -ra further <<< "${SHORTEDGE_SETUP:-}"
packages+=("${further[@]}")
python=${PYTHON:-python3}
# A Python that can make environments and build extensions; Debian's own where there is none.
usable='import ensurepip, os, sys, sysconfig, venv; sys.exit(sys.version_info < (3, 11) or not os.path.exists(sysconfig.get_path("include") + "/Python.h"))'
if ! "$python" -c "$usable" 2>/dev/null; then
  packages+=(python3 python3-venv python3-dev)
  python=/usr/bin/python3
fi

missing=()
for package in "${packages[@]}"; do
  [ "$(dpkg-query -W -f='${db:Status-Status}' "$package" 2>/dev/null)" = installed ] || missing+=("$package")
done
if [ ${#missing[@]} -gt 0 ]; then
  echo "setup: installing ${missing[*]}"
  as_root=(); [ "$(id -u)" = 0 ] || as_root=(sudo)
  "${as_root[@]}" apt-get -qq update
  "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get -qq install -y --no-install-recommends "${missing[@]}" >/dev/null
fi

# The environment is made anew when the list of Python packages changes.
wanted=$(sha256sum tests/requirements.txt | cut -c1-16)
if [ "$(cat .venv/.requirements 2>/dev/null)" != "$wanted" ]; then
  echo "setup: making .venv"
  rm -rf .venv
  "$python" -m venv .venv
  .venv/bin/python -m pip --quiet --disable-pip-version-check install -r tests/requirements.txt
  echo "$wanted" > .venv/.requirements
fi

# The library and its package, built where the release preset builds (kept, so that a second run only compiles what changed,
# and the tests take the library as it is).
stamp=$(find CMakeLists.txt pyproject.toml core bindings data -type f -not -name '*.pyc' -print0 | sort -z | xargs -0 sha256sum | sha256sum | cut -c1-16)
if [ "$(cat .venv/.shortedge 2>/dev/null)" != "$stamp" ]; then
  echo "setup: building the package"
  cmake --preset release --log-level=WARNING
  .venv/bin/python -m pip --quiet --disable-pip-version-check install --no-build-isolation --no-deps . \
    -C build-dir=build/release -C build.targets=_core
  echo "$stamp" > .venv/.shortedge
fi
