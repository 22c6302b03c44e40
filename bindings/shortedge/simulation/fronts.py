"""Formations by words and by coordinates: `formation` and its vocabulary."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, get_args

from .._core import InputError
from ..base.checks import chosen_word, number
from ..base.text import listed, shown, word
from ..base.vocabulary import LINE, SIDES
from .formations import Formation, Man, Order, Place, Protector, Rusher, RushPlan, place
from .own_speeds import items

TAKES = {"under": (0.0, 1.0), "pistol": (0.0, 4.0), "gun": (0.0, 5.0)}  # where the passer takes the snap
LINE_DEPTH = {"LT": 0.7, "LG": 0.5, "C": 0.3, "RG": 0.5, "RT": 0.7}  # yd behind the line
SPLIT = 1.6  # yd from lineman to lineman
WIDTH = 2.6  # yd from the line's widest man to a wide rusher
SLOT = 6.0  # yd from him to a slot blitzer
RUSHER_DEPTH = -0.9
FRONT = "wide L, 3 L, 2i R, wide R"
PROTECTIONS = ("man", "slide left", "slide right")
SIGNS = dict(zip(SIDES, (-1, 1), strict=True))
HEAD_UP = {"0": "C", "2": "G", "4": "T", "6": "TE"}
OUTSIDE = {"3": "G", "5": "T", "9": "TE"}
INSIDE = {"2i": "G", "4i": "T", "7": "TE"}
OFF_OUTSIDE, OFF_INSIDE, OFF_CENTRE = 0.3, 0.6, 0.4  # yd a shade stands beside its man; 1 is a shade of the centre
TECHNIQUES = ("0", "1", "2i", "2", "3", "4i", "4", "5", "6", "7", "9", "wide", "slot")
TIGHT_END, BACK = "TE", "RB"
ORDERS, PLANS = get_args(Order)[1:], get_args(RushPlan)[1:]
ROLL, FAKE = 5.0, 0.5  # yd, s


def formation(
    *,
    passer: str = "under",
    protectors: Mapping[str, Sequence[float]] | None = None,
    rushers: Mapping[str, Sequence[float]] | None = None,
    man: Mapping[str, str] | None = None,
    front: str | None = None,
    splits: float = SPLIT,
    width: float = WIDTH,
    protection: str = "man",
    tight_end: str | None = None,
    back: str | None = None,
    chip: str | Sequence[str] | Mapping[str, str] | None = None,
    passer_at: Sequence[float] | None = None,
    sets: Mapping[str, str] | None = None,
    plans: Mapping[str, str] | None = None,
    roll: str | float | None = None,
    play_action: bool | float = False,
) -> Formation:
    """A formation to simulate. With no arguments the base case: four rushers with wide ends against five protectors,
    the passer under centre.

    passer: under, pistol or gun; passer_at: (u, v) where he takes the snap, if not at (0, 1), (0, 4), (0, 5).

    By coordinates: `protectors` and `rushers`, name to (u, v) in yd (v behind the line: rushers have v below 0); the
    names LT LG C RG RT are linemen. `man`: protector to the rusher he has; who has nobody is free to help.

    By words, for whatever of it is not given by coordinates:
    front: the rushers left to right, each a technique and a side, such as "wide L, 3 L, 1 R, wide R". Even: head up
      (0 centre, 2 guard, 4 tackle, 6 tight end); odd: outside shade (3, 5, 9; 1 is a shade of the centre); with an i,
      and 7: inside shade; wide; slot: a blitzer from the slot, to whom the tackle kicks out.
    splits: yd from lineman to lineman. width: yd from the widest man of the line to a wide rusher.
    protection: "man": linemen and tight end take the rushers in order from the side, the back whoever is left;
      "slide left", "slide right": each has the gap to that side, neighbours exchange men who cross, and a back takes
      the widest rusher of the other side.
    tight_end: left or right, beside the tackle. back: left or right, beside the passer's way.
    chip: whom a wing man chips before he leaves, such as "wide L", or of each side one; or which protector chips whom,
      {"TE": "wide R"}.

    sets: how deep protectors are told to set, such as {"LT": "vertical"}: jump, 45, vertical; else by the drop. plans:
    how rushers rush, such as {"wide R": "outside"}: outside, power, inside (he sells outside and counters); else by
    chance. roll: left or right (5 yd), or yd to the offence's right: the top of the drop lies so far beside the passer,
    and the protection moves with it. play_action: True (0.5 s), or s: protectors set that late, and the drop tops that
    late.

    Stunts, places that rushers run through first, and speeds of their own: see Formation.with_stunts, with_paths and
    with_speeds. The formation of a recorded play: `formation_of`.

    Raises InputError that names the field, what was found and what is accepted.
    """
    takes = chosen_word("passer", passer, tuple(TAKES))
    chosen_word("protection", protection, PROTECTIONS)
    number("splits", splits, 0.8, 4.0, "yd")
    number("width", width, 0.0, 12.0, "yd")
    stands = place("passer_at", passer_at) if passer_at is not None else TAKES[takes]
    if protectors is not None:
        blockers = [
            Protector(
                named_man("protectors", name), place(f"protectors[{shown(name)}]", at), name if name in LINE else ""
            )
            for name, at in items("protectors", protectors)
        ]
        refuse(tight_end, "tight_end", "protectors")
        refuse(back, "back", "protectors")
    else:
        blockers = line(splits, tight_end, back, stands)
    if rushers is not None:
        refuse(front, "front", "rushers")
        rush = [
            (named_man("rushers", name), place(f"rushers[{shown(name)}]", at)) for name, at in items("rushers", rushers)
        ]
    else:
        rush = front_places(FRONT if front is None else front, blockers, width)
    tackle = max((abs(one.at[0]) for one in blockers if one.slot), default=2 * SPLIT)
    rushing = [Rusher(name, at, abs(at[0]) <= tackle + 0.2) for name, at in rush]
    blockers = with_chips(blockers, rushing, chip)
    if man is None:
        blockers = with_men(blockers, rushing, protection, splits)
    else:
        blockers = with_stated_men(blockers, rushing, man)
    if protection != "man":
        blockers = [replace(one, job="zone") if one.job == "block" and one.slot else one for one in blockers]
    blockers = [replace(one, order=order) for one, order in told(blockers, "sets", sets, ORDERS)]
    rushing = [replace(one, plan=plan) for one, plan in told(rushing, "plans", plans, PLANS)]
    return Formation(
        takes,
        stands,
        tuple(blockers),
        tuple(rushing),
        roll=rolled(roll),
        fake=FAKE * play_action if isinstance(play_action, bool) else number("play_action", play_action, 0, 2, "s"),
        slide={"slide left": -1, "slide right": 1}.get(protection, 0),
    )


def told(men: Sequence[Man], what: str, given: Mapping[str, str] | None, words: Sequence[str]) -> list[tuple[Man, Any]]:
    """Each man with what he is told, "" for nothing."""
    names = [one.name for one in men]
    said: dict[str, str] = {}
    for name, order in items(what, given or {}):
        if name not in names:
            raise InputError(f"{what}: found {shown(name)}; accepted: {listed(names)}")
        said[name] = chosen_word(f"{what}[{shown(name)}]", order, tuple(words))
    return [(one, said.get(one.name, "")) for one in men]


def rolled(roll: str | float | None) -> float:
    """yd to the offence's right."""
    if roll is None:
        return 0.0
    if isinstance(roll, str):
        return ROLL * SIGNS[chosen_word("roll", roll, SIDES)]
    return number("roll", roll, -15, 15, "yd")


def line(splits: float, tight_end: str | None, back: str | None, passer: Place) -> list[Protector]:
    """Five linemen, a tight end a split outside his tackle, a back clear of where the passer drops."""
    men = [Protector(name, ((k - 2) * splits, LINE_DEPTH[name]), name) for k, name in enumerate(LINE)]
    if tight_end is not None:
        side = SIGNS[chosen_word("tight_end", tight_end, SIDES)]
        men.append(Protector(TIGHT_END, (side * 3 * splits, LINE_DEPTH["RT"])))
    if back is not None:
        side = SIGNS[chosen_word("back", back, SIDES)]
        men.append(Protector(BACK, (passer[0] + side * 2.0, max(passer[1], 4.5))))
    return men


def front_places(front: str, blockers: Sequence[Protector], width: float) -> list[tuple[str, Place]]:
    """The rushers of a front, by name and place."""
    if not isinstance(front, str) or not front.strip():
        raise InputError(f"front is {shown(front)}; accepted: techniques left to right, such as {shown(FRONT)}")
    at = {one.name: one.at[0] for one in blockers if one.slot or one.name == TIGHT_END}
    lacking = [name for name in LINE if name not in at]
    if lacking:
        raise InputError(
            f"front is {shown(front)}, and protectors lack {', '.join(lacking)}; accepted: rushers by coordinates"
        )
    found: list[tuple[str, Place]] = []
    for item in front.split(","):
        match = re.fullmatch(r"\s*(\w+)(?:\s+([LR]))?\s*", item)
        technique, letter = (match[1].lower(), match[2]) if match else ("", None)
        if technique not in TECHNIQUES or (letter is None) != (technique == "0"):
            raise InputError(
                f"front: found {shown(item.strip())}; accepted: {', '.join(TECHNIQUES)}, each but 0 followed by L or R"
            )
        side = -1 if letter == "L" else 1
        u = technique_place(technique, side, at, width)
        name = f"{technique} {letter}" if letter else technique
        if found and u <= found[-1][1][0]:
            raise InputError(
                f"front: found {shown(name)} after {shown(found[-1][0])}; accepted: left to right, each once"
            )
        found.append((name, (u, RUSHER_DEPTH)))
    return found


def technique_place(technique: str, side: int, at: Mapping[str, float], width: float) -> float:
    """Where a technique stands across the field."""
    letter = "L" if side < 0 else "R"
    beside = TIGHT_END in at and at[TIGHT_END] * side > 0
    widest = max(abs(at[f"{letter}T"]), abs(at[TIGHT_END]) if beside else 0.0)
    if technique == "wide":
        return side * (widest + width)
    if technique == "slot":
        return side * (widest + SLOT)
    if technique == "1":
        return at["C"] + side * OFF_CENTRE
    if technique == "0":
        return at["C"]
    off = 0.0 if technique in HEAD_UP else OFF_OUTSIDE if technique in OUTSIDE else -OFF_INSIDE
    whose = (HEAD_UP | OUTSIDE | INSIDE)[technique]
    if whose == TIGHT_END and not beside:
        raise InputError(
            f"front: found {technique} {letter}; accepted with tight_end={shown('left' if side < 0 else 'right')}"
        )
    return at[TIGHT_END if whose == TIGHT_END else f"{letter}{whose}"] + side * off


def with_men(
    blockers: Sequence[Protector], rushers: Sequence[Rusher], protection: str, splits: float
) -> list[Protector]:
    """Each protector with the rusher he has by the protection. See `formation`."""
    slide = {"slide left": -1, "slide right": 1}.get(protection, 0)
    in_line = sorted((one for one in blockers if one.job != "chip" and one.at[1] < 2.0), key=lambda one: one.at[0])
    others = [one for one in blockers if one.job != "chip" and one not in in_line]
    left = sorted(rushers, key=lambda one: one.at[0])
    has: dict[str, str] = {}
    if slide and others:
        away = left[-1] if slide < 0 else left[0]
        if away.at[0] * slide < 0:
            has[others[0].name] = away.name
            left.remove(away)
    shift = slide * splits / 2
    has |= in_order([(one.name, one.at[0] + shift) for one in in_line], [(one.name, one.at[0]) for one in left])
    free = [one for one in left if one.name not in has.values()]
    for one in others:
        if one.name not in has and free:
            nearest = min(free, key=lambda rusher: math.dist(rusher.at, one.at))
            has[one.name] = nearest.name
            free.remove(nearest)
    return [one if one.job == "chip" else replace(one, man=has.get(one.name, "")) for one in blockers]


def in_order(blockers: Sequence[tuple[str, float]], rushers: Sequence[tuple[str, float]]) -> dict[str, str]:
    """The pairing from left to right, no two crossing, in which most rushers are had, and then the least ground lies
    between them; where there are too few men the widest rushers are left."""
    most = len(blockers)
    best: list[list[tuple[float, dict[str, str]]]] = [[(0.0, {})] * (most + 1) for _ in range(len(rushers) + 1)]
    for j, (rusher, u) in enumerate(rushers, 1):
        for i in range(most + 1):
            cost, has = best[j - 1][i]
            ways = [(cost + 100 - abs(u), has)]
            if i:
                name, at = blockers[i - 1]
                ways.append(best[j][i - 1])
                before, had = best[j - 1][i - 1]
                ways.append((before + abs(u - at), {**had, name: rusher}))
            best[j][i] = min(ways, key=lambda way: way[0])
    return best[-1][-1][1]


def with_stated_men(
    blockers: Sequence[Protector], rushers: Sequence[Rusher], man: Mapping[str, str]
) -> list[Protector]:
    names = {one.name for one in rushers}
    by_name = {one.name: one for one in blockers}
    for protector, rusher in items("man", man):
        if protector not in by_name:
            raise InputError(f"man: found {shown(protector)}; accepted: protectors: {listed(by_name)}")
        if not isinstance(rusher, str) or rusher not in names:
            raise InputError(f"man[{shown(protector)}] is {shown(rusher)}; accepted: a rusher: {listed(sorted(names))}")
        if by_name[protector].job == "chip":
            raise InputError(f"man: found {shown(protector)}, who chips; accepted: those who stay in")
        by_name[protector] = replace(by_name[protector], man=rusher)
    return list(by_name.values())


def with_chips(
    blockers: Sequence[Protector], rushers: Sequence[Rusher], chip: str | Sequence[str] | Mapping[str, str] | None
) -> list[Protector]:
    """Chips laid over the protectors; a wing man is put beside the tackle for a rusher who is only named."""
    if chip is None:
        return list(blockers)
    at = {one.name: one.at for one in rushers}
    by_name = {one.name: one for one in blockers}
    if not isinstance(chip, str | Sequence | Mapping):
        raise InputError(f"chip is {shown(chip)}; accepted: a rusher, several, or protector to rusher")
    if not isinstance(chip, Mapping):
        whom = [chip] if isinstance(chip, str) else list(chip)
        chip = {}
        for rusher in whom:
            if not isinstance(rusher, str) or rusher not in at or rusher in chip.values():
                raise InputError(f"chip: found {shown(rusher)}; accepted: rushers, each once: {listed(at)}")
            side = -1 if at[rusher][0] < 0 else 1
            widest = max(
                (abs(one.at[0]) for one in blockers if one.at[0] * side > 0 and one.at[1] < 2), default=2 * SPLIT
            )
            name = "wing L" if side < 0 else "wing R"
            if name in by_name:
                raise InputError(f"chip is {shown(whom)}; accepted: one rusher a side, or protector to rusher")
            by_name[name] = Protector(name, (side * (widest + 1.2), 1.3))
            chip[name] = rusher
    for protector, rusher in items("chip", chip):
        if protector not in by_name:
            raise InputError(f"chip: found {shown(protector)}; accepted: a protector: {listed(by_name)}")
        if not isinstance(rusher, str) or rusher not in at:
            raise InputError(f"chip[{shown(protector)}] is {shown(rusher)}; accepted: a rusher: {listed(at)}")
        if by_name[protector].slot:
            raise InputError(f"chip: found {shown(protector)}, a lineman; accepted: a tight end, a back, a wing man")
        by_name[protector] = replace(by_name[protector], job="chip", man=rusher)
    return list(by_name.values())


def named_man(what: str, name: Any) -> str:
    if not word(name):
        raise InputError(f"{what}: found the name {shown(name)}; accepted: a text")
    return word(name)


def refuse(value: Any, what: str, beside: str) -> None:
    if value is not None:
        raise InputError(f"{what}: found beside {beside}; accepted: one or the other")
