"""What bindings/wheel_test.sh runs with a wheel: a game to a page, a file and back, h5py beside it, and the board."""

import re
import subprocess
import sys
from pathlib import Path

HERE = Path(sys.argv[1])
OWN = re.compile(r"hdf5|deflate|libz\b|libsz|curl|krb5|ldap|ssl", re.IGNORECASE)
WHOLE = """
import sys
{first}
import shortedge as se
{last}
game = se.example()
m = se.measure(game)
reps = se.reps(game, m)
se.report(game, "report.html", m=m, reps=reps)
m.save("pocket.h5")
again = se.read("pocket.h5")
assert (again.frames.fillna(-1) == m.frames.fillna(-1)).all().all()
m.board("P024", 2.1).to_html("board.html")
if "h5py" in sys.modules:
    import h5py
    with h5py.File("pocket.h5") as file:
        assert len(file)
    with h5py.File("other.h5", "w") as file:
        file["a"] = [1.0, 2.0]
print(open("/proc/self/maps").read())
"""


def run(first: str, last: str) -> set[str]:
    """The libraries the process had mapped, by their files."""
    done = subprocess.run(
        [sys.executable, "-P", "-c", WHOLE.format(first=first, last=last)], capture_output=True, text=True, cwd=HERE
    )
    assert done.returncode == 0, done.stderr
    return {line.split()[-1] for line in done.stdout.splitlines() if ".so" in line and len(line.split()) > 5}


alone = run("", "")
packages = str(Path(sys.prefix))
foreign = sorted(path for path in alone if OWN.search(Path(path).name) and not path.startswith(packages))
assert foreign == [] or all(Path(path).name.startswith("libz.so") for path in foreign), (
    foreign
)  # libz: the interpreter's own
mine = sorted(path for path in alone if "/shortedge" in path)
assert [Path(path).name.startswith("_core") for path in mine] == [True], mine
for first, last in (("import h5py", ""), ("", "import h5py")):
    run(first, last)

import nbformat  # noqa: E402
from nbclient import NotebookClient  # noqa: E402

notebook = nbformat.read(HERE / "01_measure_a_game.ipynb", as_version=4)
NotebookClient(notebook, timeout=600, resources={"metadata": {"path": str(HERE)}}).execute()
assert (HERE / "board.html").stat().st_size < 300_000
print("  a game to a page, a file and back; h5py before and after; a board; notebook 01; one library of ours is mapped")
