"""`shortedge report` and `shortedge player`: pages that open offline from a mail."""

from __future__ import annotations

import argparse
from pathlib import Path

from .._core import InputError
from ..base.text import shown
from ..measures.results import measure
from ..measures.summary import check_labels
from ..pages.report import player_page, report
from .inputs import PAGE, labels_of, loaded_reps, rules_of, targets_of
from .parsing import Commands, add_games, add_labels, add_map, add_set
from .terminal import left_out, one_line

GAME_EXAMPLES = """\
  shortedge report game.h5 -o report.html --without-label screen
  shortedge report season/ -o reports/                     a page a game"""
PLAYER_EXAMPLES = """\
  shortedge player TK-63 game.h5 -o guard.html
  shortedge player TK-63 season/ -o guard.html             over every game file of a folder"""


def add_report(commands: Commands) -> None:
    made = commands.add(
        "report", run_report, "Write a game's report: one page that opens offline from a mail.", GAME_EXAMPLES
    )
    add_games(made)
    made.add_argument("-o", "--out", required=True, help="the page (.html); of several games, a folder")
    add_labels(made)
    add_map(made)
    add_set(made)


def add_player(commands: Commands) -> None:
    made = commands.add(
        "player",
        run_player,
        "Write one man's page, over one game or several: his reps, and what to watch.",
        PLAYER_EXAMPLES,
    )
    made.add_argument("player", metavar="ID", help="his id, the same in every game")
    add_games(made)
    made.add_argument("-o", "--out", required=True, help="the page (.html)")
    add_labels(made)
    add_map(made)
    add_set(made)


def run_report(arguments: argparse.Namespace) -> int:
    out, found = Path(arguments.out), loaded_reps(arguments, None)
    check_labels(arguments.without_label, labels_of(found))
    page_path(out, len(found))
    targets = targets_of([(stem, game) for stem, game, _ in found], out, PAGE)
    for (_, game, made), target in zip(found, targets, strict=True):
        m = measure(game, rules=made.rules)
        without = [name for name in arguments.without_label if name in made.labels]
        report(game, target, m=m, reps=made, without_label=without)
        print("\n".join([f"report in {one_line(str(target))}", *left_out(game)]))
    return int(not all(game.is_whole for _, game, _ in found))


def run_player(arguments: argparse.Namespace) -> int:
    found = loaded_reps(arguments, None)
    page_path(Path(arguments.out), 1)
    player_page(
        [game for _, game, _ in found],
        arguments.player,
        arguments.out,
        rules=rules_of(arguments.set),
        reps=found[0][2] if len(found) == 1 else None,
        without_label=arguments.without_label,
    )
    print(f"page in {one_line(arguments.out)}")
    return int(not all(game.is_whole for _, game, _ in found))


def page_path(out: Path, games: int) -> None:
    if games == 1 and out.suffix.lower() != PAGE:
        raise InputError(f"--out is {shown(out.name)}; accepted: a name that ends in {PAGE}")
