"""What an adversary tries on files (tests/adversary.py), quickly; with --full every case."""

import os
import sys
from pathlib import Path

import pytest

from test_codebase import HOUSE

sys.path.insert(0, str(HOUSE / "tests"))
import adversary

LONG = os.environ.get("SHORTEDGE_FULL") == "1"
QUICK = ("inputs", "flips", "full", "hostile", "bounds", "texts")


@pytest.mark.parametrize("check", QUICK)
def test_refused(check: str, tmp_path: Path) -> None:
    assert list(adversary.CHECKS[check](tmp_path, LONG))


@pytest.mark.full
@pytest.mark.parametrize("check", [name for name in adversary.CHECKS if name not in QUICK])
def test_stands(check: str, tmp_path: Path) -> None:
    assert list(adversary.CHECKS[check](tmp_path, True))


def test_a_folder_stands_every_kill(tmp_path: Path) -> None:
    game = [adversary.game_of(seed) for seed in (0, 1)]
    measured = [adversary.se.measure(one) for one in game]
    calls = ("rename", "renameat2", "rmdir", "unlinkat")
    it = tmp_path / "it"
    killed, _ = adversary.killed_everywhere("results folder", lambda at, k: measured[k].save(at), it, calls)
    assert killed >= 3
