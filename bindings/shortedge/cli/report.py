"""`shortedge report` and `shortedge player`: pages that open offline from a mail."""

from __future__ import annotations

import argparse
from pathlib import Path

from .._core import InputError
from ..base.text import shown
from ..measures.results import measure
from ..measures.summary import check_labels
from ..pages.report import player_page, report
from .games import loaded_reps
from .inputs import PAGE, labels_of, targets_of
from .parsing import Commands, add_board, add_film, add_games, add_labels, add_map, add_marks, add_set
from .terminal import left_out, one_line

GAME_EXAMPLES = """\
  shortedge report game.h5 -o report.html --without-label screen
  shortedge report season/ -o reports/                     a page a game
  shortedge report game.trace --with-film -o report.html   with stills of the film it was clicked on
  shortedge report game.h5 --board -o report.html          from whose plays boards open, to move the men"""
PLAYER_EXAMPLES = """\
  shortedge player TK-63 game.h5 -o guard.html
  shortedge player TK-63 game.h5 --by down --by hash --marks college -o guard.html   split by these, too
  shortedge player TK-63 g1/ g2/ g3.h5 --map map.toml -o guard.html   over several games
  shortedge player TK-63 out/ -o guard.html                           out of a season measured with --reps
  shortedge player TK-63 game.h5 --against TK-66 -o both.html         two men side by side
  shortedge player TK-63 g1.h5 g2.h5 --against-in g3.h5 g4.h5 -o spans.html   him in two spans of games
  shortedge player TK-63 game.trace --with-film -o guard.html         with stills of the film it was clicked on"""


def add_report(commands: Commands) -> None:
    made = commands.add(
        "report", run_report, "Write a game's report: one page that opens offline from a mail.", GAME_EXAMPLES
    )
    add_games(made)
    made.add_argument("-o", "--out", required=True, help="the page (.html); of several games, a folder")
    add_film(made, "also stills of the film with the pocket on its grass")
    add_board(made)
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
    made.add_argument("--against", metavar="ID", help="another man, side by side with him")
    made.add_argument(
        "--against-in", nargs="+", metavar="IN", help="other games: of the other man, or of him in another span"
    )
    made.add_argument("-o", "--out", required=True, help="the page (.html)")
    made.add_argument(
        "--by",
        action="append",
        default=[],
        metavar="KEY",
        help="split his reps by this, too: a column of yours, such as down, or hash, field_side, rushers, lane",
    )
    add_marks(made)
    add_film(made, "also stills of the film with the pocket on its grass")
    add_board(made)
    add_labels(made)
    add_map(made)
    add_set(made)


def run_report(arguments: argparse.Namespace) -> int:
    out, found = Path(arguments.out), loaded_reps(arguments, None)
    check_labels(arguments.without_label, labels_of(found))
    page_path(out, len(found))
    targets = targets_of([(stem, game) for stem, game, _ in found], out, arguments, PAGE)
    for (_, game, made), target in zip(found, targets, strict=True):
        m = measure(game, rules=made.rules)
        without = [name for name in arguments.without_label if name in made.labels]
        report(
            game, target, m=m, reps=made, without_label=without, with_film=arguments.with_film, board=arguments.board
        )
        written = f"report in {one_line(str(target))}{how_large(target) if arguments.with_film else ''}"
        print("\n".join([written, *left_out(game)]))
    return int(not all(game.is_whole for _, game, _ in found))


def run_player(arguments: argparse.Namespace) -> int:
    page_path(Path(arguments.out), 1)
    other = arguments.player if arguments.against is None else arguments.against
    if arguments.against == arguments.player and not arguments.against_in:
        raise InputError(f"--against: found {shown(other)} himself; accepted: another man, or --against-in other games")
    alone = arguments.against_in is not None
    found = loaded_reps(arguments, None, [arguments.player] if alone else [arguments.player, other])
    others = []
    if alone:
        mapped = argparse.Namespace(**(vars(arguments) | {"inputs": arguments.against_in}))
        others = loaded_reps(mapped, None, [other])
    made = [reps for _, _, reps in (*found, *others)]
    player_page(
        [game for _, game, _ in found],
        arguments.player,
        arguments.out,
        against=arguments.against,
        against_games=[game for _, game, _ in others] if alone else None,
        rules=made[0].rules,
        reps=made,
        by=arguments.by,
        marks=arguments.marks,
        without_label=arguments.without_label,
        with_film=arguments.with_film,
        board=arguments.board,
    )
    left = [line for _, game, _ in (*found, *others) for line in left_out(game)]
    large = how_large(Path(arguments.out)) if arguments.with_film else ""
    print("\n".join([f"page in {one_line(arguments.out)}{large}", *left]))
    return int(not all(game.is_whole for _, game, _ in (*found, *others)))


def how_large(page: Path) -> str:
    """What is to be said of a page with pictures of film."""
    return f", {page.stat().st_size / 1e6:.1f} MB with pictures of film: pass it on only as you may pass on the film"


def page_path(out: Path, games: int) -> None:
    if games == 1 and out.suffix.lower() != PAGE:
        raise InputError(f"--out is {shown(out.name)}; accepted: a name that ends in {PAGE}")
