"""What men are called: a short label for the field, and a name, both told apart within a unit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from ..base.text import word
from .labels import cut_short, labels

if TYPE_CHECKING:
    from ..game.game import Game, Play

MOST = 10  # letters of a label
MOST_WORDS = 3  # of a name in a sentence


class Called(NamedTuple):
    """Of one man in one play. label: his place on the line, his number, his position or his id, at most ten letters;
    no other man of his unit has it. name: his name, or his id."""

    label: str
    name: str


def called_in(game: Game, play: Play) -> list[Called]:
    """Every man of a play, in the order of its men."""
    said = people_of(game, play.id)
    found = []
    for man, label in zip(play.men, labels(play), strict=True):
        number = said("number", man.player)
        by_id = label not in (man.slot, man.position, "QB")
        found.append(number if number and by_id and len(number) < 5 else label)
    units = [man.unit for man in play.men]
    ids = [man.player for man in play.men]
    return [Called(label, said("name", id) or id) for label, id in zip(apart(found, units, ids), ids, strict=True)]


def people_of(game: Game, play: str) -> Callable[[str, str], str]:
    """What people says of a man in a play: a column and a player to a text, "" for none. A row for this play stands
    before one for every play."""
    kept, people = dict(game.core.kept_people), game.core.people
    code, names = game.play_ids.index(play), game.player_ids
    rows: dict[str, int] = {}
    for row, (whom, which) in enumerate(zip(people["player"].tolist(), people["play"].tolist(), strict=True)):
        if which == code or (which < 0 and names[whom] not in rows):
            rows[names[whom]] = row

    def said(column: str, player: str) -> str:
        return word(kept[column][rows[player]]) if column in kept and player in rows else ""

    return said


def apart(found: Sequence[str], units: Sequence[str], ids: Sequence[str]) -> list[str]:
    """Labels that no two men of a unit share: those that two have become the end of the id, and with that shared, too,
    the label with a number behind it."""
    out = list(found)
    for tail in (True, False):
        twice = {key for key, count in Counter(zip(units, out, strict=True)).items() if count > 1}
        seen: Counter[tuple[str, str]] = Counter()
        for i, key in enumerate(zip(units, list(out), strict=True)):
            if key not in twice:
                continue
            seen[key] += 1
            text = " ".join(ids[i].split())
            if tail:
                out[i] = text if len(text) <= MOST else "…" + text[1 - MOST :]
            else:
                end = f" {seen[key]}"
                out[i] = cut_short(key[1], MOST - len(end)) + end
    return out


def in_a_sentence(text: str) -> str:
    """A name of at most three words and 24 letters."""
    return cut_short(" ".join(text.split()[:MOST_WORDS]), 24)
