"""The formation of a recorded play: who stood where at the snap, and who had whom."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from .._core import InputError
from ..base.text import shown
from ..game.game import Game, check_game
from ..measures.reps import Reps, reps
from .formations import Formation, Place, Protector, Rusher
from .fronts import SPLIT

FIRST_SEEN = 0.3  # s: a man first seen later is not where he stood at the snap


def formation_of(game: Game, play: object, *, speeds: Any = None) -> Formation:
    """The formation of a recorded play: passer, protectors and rushers where they stood at the snap (who is first seen
    more than 0.3 s later is left out); each rusher has the first protector of his reps, or if that man had another
    first, the nearest one left; who chipped chips. Stunts are not taken over.

    speeds: as Formation.with_speeds takes them, of any men of the game. InputError for an unknown play, one that is not
    measured, and one without a passer or a rusher.
    """
    return recorded(game, play).with_speeds(speeds, known=game.player_ids)


def recorded(game: Game, play: object, made: Reps | None = None) -> Formation:
    """The formation of a recorded play. `made`: its reps, when they are there already."""
    check_game(game)
    shot = game.play(play)
    made = made or reps(game, progress=False)
    rows = [row for row in made.arrow("reps").to_pylist() if row["play"] == shot.id]
    dropback = next(row for row in made.arrow("dropbacks").to_pylist() if row["play"] == shot.id)
    at: dict[str, Place] = {}
    at_snap = shot.time <= shot.time[0] + FIRST_SEEN
    for i, man in enumerate(shot.men):
        seen = np.flatnonzero(~np.isnan(shot.place[:, i, 0]) & at_snap)
        if len(seen):
            u, v = shot.place[seen[0], i]
            at[man.player] = float(u), float(v)
    by_role = {
        role: [man for man in shot.men if man.role == role and man.player in at]
        for role in ("passer", "protector", "rusher")
    }
    if not by_role["passer"] or not by_role["rusher"]:
        raise InputError(f"play {shown(shot.id)} has no passer or no rusher to simulate")
    alignment = dropback["alignment"] or "under"
    takes = alignment if alignment in ("under", "pistol") else "gun"
    judged = sorted((row for row in rows if row["protector"] and row["rusher"]), key=lambda row: row["start"])
    has: dict[str, str] = {}
    had_by_somebody = {row["rusher"]: None for row in judged if row["outcome"] != "help"}
    for row in judged:
        if row["outcome"] != "help" and row["protector"] not in has and row["rusher"] not in has.values():
            has[row["protector"]] = row["rusher"]
    for rusher in had_by_somebody:  # passed off before the two met: the nearest man who is left had him at the snap
        left = [man.player for man in by_role["protector"] if man.player not in has]
        if rusher in at and rusher not in has.values() and left:
            has[min(left, key=lambda man: math.dist(at[man], at[rusher]))] = rusher
    blockers = [
        Protector(man.player, at[man.player], man.slot, "block", has.get(man.player, ""))
        for man in by_role["protector"]
    ]
    protects = {one.name for one in blockers}
    slots = {man.player: man.slot for man in shot.men}
    for row in judged:
        chips = row["outcome"] == "help" and row["protector"] not in protects and row["protector"] in at
        if chips and not slots.get(row["protector"]):
            blockers.append(Protector(row["protector"], at[row["protector"]], "", "chip", row["rusher"]))
    tackle = max((abs(one.at[0]) for one in blockers if one.slot), default=2 * SPLIT)
    rushing = [Rusher(man.player, at[man.player], abs(at[man.player][0]) <= tackle + 0.2) for man in by_role["rusher"]]
    passer = by_role["passer"][0].player
    return Formation(takes, at[passer], tuple(blockers), tuple(rushing), passer, f"play {shot.id}")
