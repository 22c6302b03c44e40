"""Pages to mail: a game's report and one man's page, each one self-contained HTML file that opens offline.

A page loads nothing and runs only its own scripts, by its Content-Security-Policy. Names are text in it, never markup.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from .._core import InputError, Rules
from ..base.files import place_of, write_whole
from ..base.text import word
from ..game.game import check_game
from ..measures.reps import reps_by
from ..measures.results import check_same_game, measure
from ..measures.summary import check_labels
from ..tell.cut import by_name
from .game_page import game_page
from .man_page import man_page
from .parts import Whole

if TYPE_CHECKING:
    from ..game.game import Game
    from ..measures.reps import Reps
    from ..measures.results import Measures


def report(
    game: Game,
    out: str | os.PathLike[str],
    *,
    m: Measures | None = None,
    reps: Reps | None = None,
    without_label: Sequence[str] = (),
) -> None:
    """Writes a game's report as one HTML file: the game in ten lines, ten reps to watch with the player, tables of
    protectors and rushers, drop depth against stress, every play in words, what was skipped, definitions.

    m, reps: of this game; None: by the default rules. without_label: plays with these labels are left out of counts and
    charts, and said. What stood there before is whole until the new file is. InputError for measures or reps of another
    game, reps by other rules than the measures, or a label no play has; FileError when it cannot be written or is a
    file the game was read from.
    """
    check_game(game)
    place_of(out, game.sources)
    whole = whole_of(game, m, reps, without_label)
    check_labels(without_label, whole.reps.labels)
    write_whole(Path(out), game_page(whole).encode(), game.sources)


def player_page(
    games: Game | Sequence[Game],
    player: object,
    out: str | os.PathLike[str],
    *,
    rules: Rules | None = None,
    reps: Reps | None = None,
    without_label: Sequence[str] = (),
) -> None:
    """Writes one man's page over one game or several: his reps in counts and intervals, split by alignment, help and
    drop depth, twelve moments to watch with the player, every rep with its film time. No grade.

    player: his id, the same in every game; a protector or a rusher. reps: of the game, if it is one, such as corrected
    ones. without_label: as in `report`. InputError when he has no rep in them, or for reps by other rules; FileError as
    in `report`.
    """
    given = by_name(games if isinstance(games, list | tuple) else [games])  # type: ignore[list-item]
    sources = [source for game in given.values() for source in game.sources]
    place_of(out, sources)
    wholes = [whole_of(game, None, reps, without_label, rules) for game in given.values()]
    check_labels(without_label, sorted({label for whole in wholes for label in whole.reps.labels}))
    write_whole(Path(out), man_page(wholes, word(player)).encode(), sources)


def whole_of(
    game: Game,
    m: Measures | None,
    reps: Reps | None,
    without_label: Sequence[str],
    rules: Rules | None = None,
) -> Whole:
    m = m or measure(game, rules=rules or (reps.rules if reps else None))
    check_same_game("measures", m, game.name, game.digest)
    if reps is not None:
        check_same_game("reps", reps, m.game_name, m.digest)
    if reps and reps.rules != m.rules:
        his, mine = reps.rules.as_dict(), m.rules.as_dict()
        name = next(name for name in mine if his[name] != mine[name])
        raise InputError(
            f"reps were made with {name}={his[name]:g}, measures with {name}={mine[name]:g}; accepted: the same rules"
        )
    m.attach(game)
    return Whole(m, reps or reps_by(m.rules, game), tuple(without_label))
