"""The README's generated parts are what the library makes today."""

import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

ROOT = Path(__file__).parents[2]


def texts(svg: Path) -> list[str]:
    """What a picture says: every word and number drawn in it, in order. Lines may differ by the plotting library."""
    return re.findall(r"<text[^>]*>(.*?)</text>", svg.read_text(), flags=re.DOTALL)


def test_columns_are_the_librarys() -> None:
    run = subprocess.run([sys.executable, ROOT / "tests/columns_page.py", "--check"], check=False)
    assert run.returncode == 0, "run tests/columns_page.py"


def test_the_column_it_splits_the_demo_game_by_is_there() -> None:
    (name,) = re.findall(r"shortedge reps .* such as --by (\w+)", (ROOT / "README.md").read_text())
    columns = (ROOT / "data/demo_game/snaps.csv").read_text().split("\n", 1)[0].split(",")
    assert name in columns


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("pictures")
    subprocess.run([sys.executable, ROOT / "tests/readme_pictures.py", folder], check=True)
    return folder


@pytest.mark.parametrize("name", ["frame.svg", "timeline.svg", "moments.svg", "drops.svg", "break_even.svg"])
def test_pictures_say_what_they_would_say_today(name: str, drawn: Path) -> None:
    said = texts(drawn / name)
    assert len(said) > 20
    assert said == texts(ROOT / "data/pictures" / name)


@pytest.mark.full
def test_the_picture_on_film_is_what_its_script_makes_today(tmp_path: Path) -> None:
    """Drawn, compressed, clicked, measured and drawn on again: the same but for what compression and fonts change."""
    subprocess.run([sys.executable, ROOT / "data/make_on_film.py", tmp_path / "a.jpg"], check=True)
    with Image.open(tmp_path / "a.jpg") as made, Image.open(ROOT / "data/pictures/on_film.jpg") as kept:
        assert made.size == kept.size
        apart = np.abs(np.asarray(made.convert("RGB"), float) - np.asarray(kept.convert("RGB"), float))
    assert apart.mean() < 2
    assert (apart.max(axis=2) > 40).mean() < 0.005
