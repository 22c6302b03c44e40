"""Pages to mail: a game's report and one man's page, each one self-contained HTML file that opens offline.

A page loads nothing and runs only its own scripts, by its Content-Security-Policy. Names are text in it, never markup.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from .._core import InputError, Rules
from ..base.files import place_of, write_whole
from ..base.text import shown, word
from ..game.game import check_game
from ..measures.compare import sides
from ..measures.reps import Reps, reps_by
from ..measures.results import check_same_game, measure
from ..measures.summary import check_labels
from ..season.one_man import plays_of
from ..tell.cut import by_name
from .compare_page import Compared, compare_page
from .game_page import game_page
from .man_page import man_page
from .parts import Whole

if TYPE_CHECKING:
    from ..game.game import Game
    from ..measures.results import Measures


def report(
    game: Game,
    out: str | os.PathLike[str],
    *,
    m: Measures | None = None,
    reps: Reps | None = None,
    without_label: Sequence[str] = (),
    with_film: bool = False,
    board: bool = False,
) -> None:
    """Writes a game's report as one HTML file: the game in ten lines, ten reps to watch with the player, tables of
    protectors and rushers, drop depth against stress, every play in words, what was skipped, definitions.

    m, reps: of this game; None: by the default rules. without_label: plays with these labels are left out of counts and
    charts, and said. What stood there before is whole until the new file is.

    with_film: also stills of the film a game was clicked on, the pocket on its grass, at the moment that counts of each
    rep to watch (at most 24 a game); only of games made of a trace, with its films beside it. Off unless asked for:
    film is somebody's property, and people are in it; the page says how many it holds and how large they are.

    board: with a button beside every play that opens the frame it shows as a board, to move the men of; the page is
    then some 250 KB larger, and each play half as large again.

    InputError for measures or reps of another game, reps by other rules than the measures, a label no play has, or
    film of a game without; FileError when it cannot be written or is a file the game was read from.
    """
    check_game(game)
    sources = [*game.sources, *(reps.sources if isinstance(reps, Reps) else ())]  # with those of corrections
    place_of(out, sources)
    whole = replace(whole_of(game, m, reps, without_label, with_film=with_film), board=board)
    check_labels(without_label, whole.reps.labels)
    check_film([whole])
    write_whole(Path(out), game_page(whole).encode(), sources)


def player_page(
    games: Game | Sequence[Game] | str | os.PathLike[str],
    player: object,
    out: str | os.PathLike[str],
    *,
    against: object = None,
    against_games: Game | Sequence[Game] | str | os.PathLike[str] | None = None,
    rules: Rules | None = None,
    reps: Reps | Sequence[Reps] | None = None,
    by: str | Sequence[str] = (),
    marks: Literal["professional", "college", "high school"] = "professional",
    without_label: Sequence[str] = (),
    with_film: bool = False,
    board: bool = False,
) -> None:
    """Writes one man's page over one game or several: his reps in counts and intervals, split by alignment, help and
    drop depth, every rep in words with its film time, to open and to mark, lost ones first, and on top what prints on
    one side of paper. No grade.

    games: or the folder of a season that `measure_many` made with reps: then the plays in which he has a rep are read
    from the season's inputs, and its rules hold. player: his id, the same in every game; a protector or a rusher. reps:
    of these games, such as corrected ones. by: further splits, each a key of Reps.summary: a column that was brought to
    every game, "hash" (by the field's `marks`), "field_side", and so on. without_label: as in `report`.

    with_film: also stills of the film a game was clicked on, the pocket on its grass, at the moment that counts of each
    rep to watch (at most 24 a game); only of games made of a trace, with its films beside it. Off unless asked for:
    film is somebody's property, and people are in it; the page says how many it holds and how large they are.

    board: with a button beside every play that opens the frame it shows as a board, to move the men of; the page is
    then some 250 KB larger, and each play half as large again.

    against: another man; against_games: other games, of him or of the other. With one of them the page shows both side
    by side: the same splits, differences with intervals (`compare`), and both at the same moments after first contact.
    InputError when he has no rep in them, for reps by other rules, or film of two men; FileError as in `report`.
    """
    place_of(out)
    keys = [by] if isinstance(by, str) else list(by)
    his, theirs = word(player), word(player if against is None else against)
    wanted = {his, theirs} if against_games is None else {his}
    wholes = wholes_of(games, wanted, rules, reps, without_label, with_film)
    same = against_games is None
    for name, asked in (("with_film", with_film), ("board", board)):
        if asked and not (against is None and same):
            raise InputError(f"{name}: found with another man or other games; accepted: one man's page alone")
    others = wholes if same else wholes_of(against_games, {theirs}, rules, reps, without_label)
    sources = [source for whole in (*wholes, *others) for source in (*whole.m.sources, *whole.reps.sources)]
    place_of(out, sources)
    for made in [reps] if isinstance(reps, Reps) else reps or []:
        if all(made.digest != whole.m.digest for whole in (*wholes, *others)):
            raise InputError(f"reps of game {shown(made.game_name)} belong to none of the games given")
    if against is None and same:
        check_film(wholes)
        wholes = [replace(whole, board=board) for whole in wholes]
        write_whole(Path(out), man_page(wholes, his, keys, marks).encode(), sources)
        return
    one, other = sides(
        [whole.reps for whole in wholes], his, theirs, None if same else [whole.reps for whole in others]
    )
    page = compare_page(Compared(one, tuple(wholes)), Compared(other, tuple(others)), without_label, keys, marks)
    write_whole(Path(out), page.encode(), sources)


def wholes_of(
    games: Any,
    players: Iterable[str],
    rules: Rules | None,
    reps: Reps | Sequence[Reps] | None,
    without: Sequence[str],
    with_film: bool = False,
) -> list[Whole]:
    """The games, or of a season's folder those of these men, with what was measured."""
    if isinstance(games, str | os.PathLike):
        found = plays_of(games, players)
        games, rules = found.games, rules or found.rules
    given = by_name(games if isinstance(games, list | tuple) else [games])
    made = {(one.game_name, one.digest): one for one in ([reps] if isinstance(reps, Reps) else reps or [])}
    wholes = [
        whole_of(game, None, made.get((game.name, game.digest)), without, rules, with_film) for game in given.values()
    ]
    check_labels(without, sorted({label for whole in wholes for label in whole.reps.labels}))
    return wholes


def check_film(wholes: Sequence[Whole]) -> None:
    """InputError for a game that was made of no trace, when its film is asked for."""
    for whole in wholes:
        whole.own_film  # noqa: B018 - refuses


def whole_of(
    game: Game,
    m: Measures | None,
    reps: Reps | None,
    without_label: Sequence[str],
    rules: Rules | None = None,
    with_film: bool = False,
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
    return Whole(m, reps or reps_by(m.rules, game), tuple(without_label), with_film)
