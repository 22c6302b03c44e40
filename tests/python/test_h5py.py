"""Files are plain HDF5: another library reads them, beside this one in either order of import."""

import subprocess
import sys
from pathlib import Path

import h5py
import numpy as np
import pytest

import shortedge as se

BOTH_WAYS = """
import numpy as np
{imports}
game = se.example()
m = se.measure(game)
m.save(sys.argv[1])
with h5py.File(sys.argv[1]) as file:
    width = file["frames/pocket_width"][:]
assert np.array_equal(width, m.frames["pocket_width"].to_numpy(), equal_nan=True)
assert se.read(sys.argv[1]).frames.equals(m.frames)
"""


@pytest.mark.parametrize("imports", ["import h5py, sys, shortedge as se", "import shortedge as se, h5py, sys"])
def test_both_import_orders(imports: str, tmp_path: Path) -> None:
    program = BOTH_WAYS.format(imports=imports)
    run = subprocess.run(
        [sys.executable, "-c", program, tmp_path / "pocket.h5"], capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stderr


def test_every_table_reads_as_it_was(tmp_path: Path) -> None:
    m = se.measure(se.example())
    m.save(tmp_path / "pocket.h5")
    with h5py.File(tmp_path / "pocket.h5") as file:
        players = [name.decode() for name in file["players/name"][:]]
        rows = file["rushers/rusher"][:]
        assert [players[code] for code in rows] == m.rushers["rusher"].tolist()
        assert file["edges/edge_width"].attrs["unit"] in ("yd", b"yd")
        depth = file["frames/pocket_depth"][:]
    assert np.array_equal(depth, m.frames["pocket_depth"].to_numpy(), equal_nan=True)
