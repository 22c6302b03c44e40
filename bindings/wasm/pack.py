"""Packs the board's core for the package, with a digest of every source it was built from.

    python bindings/wasm/pack.py build/wasm

core.wasm.z is the module, deflated without a header; core.json says what it was built from: source to digest. A
comment does not count.
"""

from __future__ import annotations

import hashlib
import json
import re
import subprocess
import sys
import zlib
from pathlib import Path

HOUSE = Path(__file__).resolve().parents[2]
INTO = HOUSE / "bindings" / "shortedge" / "pages" / "board_parts"
SETTINGS = ("bindings/wasm/CMakeLists.txt", "bindings/wasm/toolchain.cmake")


def digest(source: Path) -> str:
    """Of a source's text without comments and without the blanks between its words."""
    text = source.read_text(encoding="utf-8")
    if source.suffix in (".cpp", ".hpp"):
        text = re.sub(r'("(?:\\.|[^"\\\n])*")|//[^\n]*|/\*.*?\*/', lambda of: of[1] or " ", text, flags=re.DOTALL)
    return hashlib.sha256(" ".join(text.split()).encode()).hexdigest()[:16]


def sources(build: Path) -> list[str]:
    """Every file of ours that what was linked is made of."""
    trace = subprocess.run(["ninja", "-C", build, "-t", "deps"], capture_output=True, text=True, check=True).stdout
    linked = set(re.findall(r"libshortedge_core\.a\((\w+\.cpp)\.obj\):", (build / "core.map").read_text()))
    found: set[str] = set(SETTINGS)
    for block in trace.split("\n\n"):
        head, *files = block.strip().splitlines() or [""]
        made = re.match(r"(?:core|bindings)/.*?/(\w+\.cpp)\.obj:", head)
        if not made or (head.startswith("core/") and made[1] not in linked):
            continue
        for file in files:
            path = Path(file.strip())
            path = (path if path.is_absolute() else build / path).resolve()
            if path.is_relative_to(HOUSE) and not path.is_relative_to(build):
                found.add(path.relative_to(HOUSE).as_posix())
    return sorted(found)


def stale() -> list[str]:
    """The sources that have changed, or are gone, since the packed core was built."""
    said = json.loads((INTO / "core.json").read_text())["sources"]
    return [name for name, was in said.items() if not (HOUSE / name).exists() or digest(HOUSE / name) != was]


def main(build: Path) -> None:
    module = (build / "bindings" / "wasm" / "core.wasm").read_bytes()
    packer = zlib.compressobj(9, zlib.DEFLATED, -15)
    (INTO / "core.wasm.z").write_bytes(packer.compress(module) + packer.flush())
    about = {"size": len(module), "sources": {name: digest(HOUSE / name) for name in sources(build)}}
    (INTO / "core.json").write_text(json.dumps(about, indent=0) + "\n")
    print(f"{len(module)} bytes, packed {(INTO / 'core.wasm.z').stat().st_size}, of {len(about['sources'])} sources")


if __name__ == "__main__":
    main(Path(sys.argv[1]).resolve())
