"""Formations to simulate: by coordinates, by a small vocabulary of fronts, or from the snap of a recorded play."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from functools import cached_property
from typing import Any, Literal, TypeVar

import numpy as np

from .. import _core
from .._core import InputError
from ..base.tables import listed, shown, word
from ..game.game import Game, check_game
from ..measures.reps import Reps, reps

Place = tuple[float, float]  # u, v in yd, play frame

TAKES = {"under": (0.0, 1.0), "pistol": (0.0, 4.0), "gun": (0.0, 5.0)}  # where the passer takes the snap
LINE = ("LT", "LG", "C", "RG", "RT")
LINE_DEPTH = {"LT": 0.7, "LG": 0.5, "C": 0.3, "RG": 0.5, "RT": 0.7}  # yd behind the line
FIRST_SEEN = 0.3  # s: a man first seen later is not where he stood at the snap
SPLIT = 1.6  # yd from lineman to lineman
WIDTH = 2.6  # yd from the line's widest man to a wide rusher
SLOT = 6.0  # yd from him to a slot blitzer
RUSHER_DEPTH = -0.9
FRONT = "wide L, 3 L, 2i R, wide R"
PROTECTIONS = ("man", "slide left", "slide right")
SIDES = {"left": -1, "right": 1}
HEAD_UP = {"0": "C", "2": "G", "4": "T", "6": "TE"}
OUTSIDE = {"3": "G", "5": "T", "9": "TE"}
INSIDE = {"2i": "G", "4i": "T", "7": "TE"}
OFF_OUTSIDE, OFF_INSIDE, OFF_CENTRE = 0.3, 0.6, 0.4  # yd a shade stands beside its man; 1 is a shade of the centre
TECHNIQUES = ("0", "1", "2i", "2", "3", "4i", "4", "5", "6", "7", "9", "wide", "slot")
TIGHT_END, BACK = "TE", "RB"
FARTHEST = 30.0  # yd from the ball
OWN = {"kick_speed": (15.0, "yd/s"), "run_speed": (15.0, "yd/s"), "top_speed": (15.0, "yd/s"), "tau": (3.0, "s")}
OWN_OF = {"protector": ("kick_speed", "run_speed", "tau"), "rusher": ("top_speed", "tau")}
PASSER = "QB"
Man = TypeVar("Man", "Protector", "Rusher")
Job = Literal["block", "zone", "chip"]


@dataclass(frozen=True)
class Protector:
    """One protector: where he stands, what he does, whom he has. `slot`: LT LG C RG RT, "" for another. `job`: block;
    zone, the same, but neighbours exchange men who have crossed; chip, he meets his man once and leaves. `man`: a
    rusher's name, "" for a man who is free to help. Speeds of his own in yd/s and s; NaN: the assumption's."""

    name: str
    at: Place
    slot: str = ""
    job: Job = "block"
    man: str = ""
    kick_speed: float = math.nan
    run_speed: float = math.nan
    tau: float = math.nan


@dataclass(frozen=True)
class Rusher:
    """One rusher: where he stands, and the places he runs through first. `inside`: the assumed top speed is that of an
    inside rusher. A top speed and tau of his own in yd/s and s; NaN: the assumption's."""

    name: str
    at: Place
    inside: bool = False
    path: tuple[Place, ...] = ()
    top_speed: float = math.nan
    tau: float = math.nan


@dataclass(frozen=True, eq=False)
class Formation:
    """Who stands where at the snap, and who has whom; made by `formation`. Play frame: u yards to the offence's right
    of the ball, v yards behind the line of scrimmage."""

    takes: str
    passer: Place
    protectors: tuple[Protector, ...]
    rushers: tuple[Rusher, ...]
    passer_name: str = PASSER
    name: str = ""

    def __post_init__(self) -> None:
        check_formation(self)

    def __repr__(self) -> str:
        has = [f"{one.name} {one.job if one.job == 'chip' else 'has'} {one.man}" for one in self.protectors if one.man]
        free = [one.name for one in self.protectors if not one.man]
        had = {one.man for one in self.protectors if one.job != "chip"}
        nobody = [one.name for one in self.rushers if one.name not in had]
        said = [f"passer {self.takes}", *has]
        said += [f"free to help: {', '.join(free)}"] if free else []
        said += [f"nobody has: {', '.join(nobody)}"] if nobody else []
        return f"Formation({self.name + ': ' if self.name else ''}{'; '.join(said)})"

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Formation) and self.as_dict() == other.as_dict()

    def __hash__(self) -> int:
        return hash((self.takes, self.passer, *(one.at for one in self.rushers)))

    def as_dict(self) -> dict[str, Any]:
        """Everything that counts in a simulation, as JSON holds it; None for a speed that is the assumption's."""
        men = {what: [asdict(one) for one in getattr(self, what)] for what in ("protectors", "rushers")}
        said = {"takes": self.takes, "passer": self.passer, "passer_name": self.passer_name, **men}
        return plain_json(said)  # type: ignore[no-any-return]

    @cached_property
    def core(self) -> _core.Formation:
        """As the compiled side takes it."""
        codes = {one.name: code for code, one in enumerate(self.rushers)}
        return _core.Formation(
            self.takes,
            self.passer,
            [
                (one.at, one.slot, one.job, codes.get(one.man, -1), one.kick_speed, one.run_speed, one.tau)
                for one in self.protectors
            ],
            [(one.at, one.inside, list(one.path), one.top_speed, one.tau) for one in self.rushers],
        )

    def scaled(self, speed: str, factor: float) -> Formation:
        """The same men, their own speeds changed by a factor: `kick_speed` or `run_speed` of protectors, `end_speed` of
        outside rushers. What is assumed stays as it is."""
        protectors, rushers = self.protectors, self.rushers
        if speed in OWN_OF["protector"]:
            protectors = tuple(replace(one, **{speed: getattr(one, speed) * factor}) for one in protectors)
        if speed == "end_speed":
            rushers = tuple(one if one.inside else replace(one, top_speed=one.top_speed * factor) for one in rushers)
        return replace(self, protectors=protectors, rushers=rushers)


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
    stunts: Sequence[Sequence[str]] = (),
    paths: Mapping[str, Sequence[Sequence[float]]] | None = None,
    speeds: Any = None,
    passer_at: Sequence[float] | None = None,
    game: Game | None = None,
    play: object = None,
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
    stunts: pairs of rushers who exchange, the one who goes first named first. paths: rusher to the places (u, v) he
      runs through first.
    speeds: own speeds: player to a mapping with kick_speed, run_speed, top_speed (yd/s), tau (s), or fitted speeds
      (fit_speeds), of which only what was fitted counts.

    From a recorded play: `game` and `play`: passer, protectors and rushers where they stood at the snap (who is first
    seen more than 0.3 s later is left out); each rusher has the first protector of his reps, or if that man had another
    first, the nearest one left; who chipped chips. Stunts are not taken over. speeds may be of any men of the game.

    Raises InputError that names the field, what was found and what is accepted.
    """
    if game is not None or play is not None:
        beside = {
            "protectors": protectors,
            "rushers": rushers,
            "man": man,
            "front": front,
            "tight_end": tight_end,
            "back": back,
            "chip": chip,
            "stunts": stunts or None,
            "paths": paths or None,
            "passer_at": passer_at,
            "passer": None if passer == "under" else passer,
            "splits": None if splits == SPLIT else splits,
            "width": None if width == WIDTH else width,
            "protection": None if protection == "man" else protection,
        }
        named = [name for name, value in beside.items() if value is not None]
        if named:
            raise InputError(f"{listed(named)}: found with game and play; accepted: one or the other")
        if game is None or play is None:
            raise InputError(f"{'play' if play is None else 'game'} is None; accepted: game and play together")
        made = recorded(game, play)
        check_speeds(speeds, game.player_ids)
        return with_speeds(made, speeds)

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
    rushing = with_paths(rushing, stunts, paths or {})
    check_speeds(speeds, [*(one.name for one in blockers), *(one.name for one in rushing)])
    return with_speeds(Formation(takes, stands, tuple(blockers), tuple(rushing)), speeds)


# ------------------------------------------------------------------------------------------------- the vocabulary


def line(splits: float, tight_end: str | None, back: str | None, passer: Place) -> list[Protector]:
    """Five linemen, a tight end a split outside his tackle, a back clear of where the passer drops."""
    men = [Protector(name, ((k - 2) * splits, LINE_DEPTH[name]), name) for k, name in enumerate(LINE)]
    if tight_end is not None:
        side = SIDES[chosen_word("tight_end", tight_end, tuple(SIDES))]
        men.append(Protector(TIGHT_END, (side * 3 * splits, LINE_DEPTH["RT"])))
    if back is not None:
        side = SIDES[chosen_word("back", back, tuple(SIDES))]
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


def with_paths(
    rushers: Sequence[Rusher], stunts: Sequence[Sequence[str]], paths: Mapping[str, Sequence[Sequence[float]]]
) -> list[Rusher]:
    """Rushers with the places they run through first. In a stunt the first goes across the other's front into his
    lane, and the other loops behind him into the lane he left."""
    by_name = {one.name: one for one in rushers}

    def known(what: str, name: object) -> Rusher:
        if not isinstance(name, str) or name not in by_name:
            raise InputError(f"{what}: found {shown(name)}; accepted: a rusher: {listed(by_name)}")
        return by_name[str(name)]

    pairs = isinstance(stunts, Sequence) and not isinstance(stunts, str)
    if not pairs or any(isinstance(pair, str) or not isinstance(pair, Sequence) or len(pair) != 2 for pair in stunts):
        raise InputError(f"stunts is {shown(stunts)}; accepted: pairs of rushers, such as [('3 L', 'wide L')]")
    for pair in stunts:
        first, second = (known("stunts", name) for name in pair)
        if first is second or first.path or second.path:
            raise InputError(f"stunts: found {shown(pair)}; accepted: two rushers, each in one stunt")
        (u, _), (other, _) = first.at, second.at
        across = u + 0.75 * (other - u)
        by_name[first.name] = replace(first, path=((across, 0.6),))
        by_name[second.name] = replace(second, path=((u + 0.5 * (other - u), -0.8), (u, 0.6)))
    for name, points in items("paths", paths):
        man = known("paths", name)
        if isinstance(points, str) or not isinstance(points, Sequence | np.ndarray):
            raise InputError(f"paths[{shown(name)}] is {shown(points)}; accepted: places (u, v) in yd")
        by_name[man.name] = replace(
            man, path=tuple(place(f"paths[{shown(name)}][{k}]", at) for k, at in enumerate(points))
        )
    return list(by_name.values())


# -------------------------------------------------------------------------------------------------- own speeds


def check_speeds(speeds: Any, known: Iterable[str]) -> None:
    """Stated speeds must be of men who are there; fitted ones may be of others."""
    names = set(known)
    for player in speeds if isinstance(speeds, Mapping) else ():
        if word(player) not in names:
            raise InputError(f"speeds: found {shown(player)}; accepted: men who are there: {listed(sorted(names))}")


def with_speeds(made: Formation, speeds: Any) -> Formation:
    """Men with speeds of their own. `speeds`: player to a mapping, or fitted speeds; those of others do not matter."""
    if speeds is None:
        return made
    of_duty = speeds_of(speeds)
    return replace(
        made,
        protectors=tuple(with_own(one, of_duty["protector"].get(one.name, {})) for one in made.protectors),
        rushers=tuple(with_own(one, of_duty["rusher"].get(one.name, {})) for one in made.rushers),
    )


def with_own(man: Man, own: Mapping[str, Any]) -> Man:
    return replace(man, **own)


def speeds_of(speeds: Any) -> dict[str, dict[str, dict[str, float]]]:
    """By duty and player the speeds that are known of him."""
    found: dict[str, dict[str, dict[str, float]]] = {duty: {} for duty in OWN_OF}
    if isinstance(speeds, Mapping):
        for player, own in speeds.items():
            for name, value in items(f"speeds[{shown(player)}]", own):
                if name not in OWN:
                    raise InputError(f"speeds[{shown(player)}]: found {shown(name)}; accepted: {listed(OWN)}")
                most, unit = OWN[name]
                number(f"speeds[{shown(player)}][{shown(name)}]", value, 0.0, most, unit, above=True)
                for duty, names in OWN_OF.items():
                    if name in names:
                        found[duty].setdefault(word(player), {})[name] = float(value)
        return found
    import narwhals as nw

    try:
        rows = list(nw.from_native(getattr(speeds, "table", speeds), eager_only=True).iter_rows(named=True))
        for row in rows:
            duties = (row["duty"],) if "duty" in row else tuple(OWN_OF)
            for duty in duties:
                own = {
                    name: float(row[name])
                    for name in OWN_OF[duty]
                    if name in row and row.get(f"{name}_fitted", True) and math.isfinite(float(row[name]))
                }
                if duty == "rusher" and "top_speed" in own and "tau" in row:
                    own["tau"] = float(row["tau"])  # the two were fitted together
                if own:
                    found[duty].setdefault(word(row["player"]), {}).update(own)
    except (TypeError, KeyError, ValueError) as why:
        raise InputError(
            f"speeds is {type(speeds).__name__}; accepted: player to a mapping with {listed(OWN)}, or fitted speeds"
        ) from why
    return found


# ---------------------------------------------------------------------------------------------- a recorded snap


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


# -------------------------------------------------------------------------------------------------------- checks


def check_formation(made: Formation) -> None:
    """What the compiled side would refuse, by name."""
    names = [made.passer_name, *(one.name for one in made.protectors), *(one.name for one in made.rushers)]
    twice = [name for name in names if names.count(name) > 1]
    if twice:
        raise InputError(
            f"two men are called {shown(twice[0])}; accepted: a name for each man of both sides and the passer"
        )
    had: dict[str, str] = {}
    for blocker in made.protectors:
        if blocker.man and blocker.job != "chip":
            if blocker.man in had:
                both = f"{shown(had[blocker.man])} and {shown(blocker.name)}"
                raise InputError(f"man: {both} both have {shown(blocker.man)}; accepted: one, the other free to help")
            had[blocker.man] = blocker.name
    men: list[Protector | Rusher] = [*made.protectors, *made.rushers]
    for one in men:
        place(f"place of {shown(one.name)}", one.at)
        for name in OWN_OF["protector" if isinstance(one, Protector) else "rusher"]:
            value = getattr(one, name)
            if not math.isnan(value):
                number(f"{name} of {shown(one.name)}", value, 0.0, OWN[name][0], OWN[name][1], above=True)
    stands = [(made.passer_name, made.passer), *((one.name, one.at) for one in men)]
    for k, (name, at) in enumerate(stands):
        for other, there in stands[:k]:
            if math.dist(at, there) < 0.1:
                raise InputError(f"{shown(other)} and {shown(name)} stand within 0.1 yd of one another")
    made.core  # noqa: B018  (the compiled side checks the rest)


def place(what: str, given: Any) -> Place:
    """(u, v) in yd."""
    try:
        u, v = (float(value) for value in given)
    except (TypeError, ValueError):
        raise InputError(f"{what} is {shown(given)}; accepted: (u, v), two numbers in yd") from None
    if not math.hypot(u, v) <= FARTHEST:
        raise InputError(f"{what} is ({u:g}, {v:g}) yd; accepted: within {FARTHEST:g} yd of the ball")
    return u, v


def number(what: str, value: Any, least: float, most: float, unit: str, *, above: bool = False) -> float:
    """A number within bounds; `above`: more than the least."""
    good = isinstance(value, int | float | np.integer | np.floating) and not isinstance(value, bool)
    if good and (least < value if above else least <= value) and value <= most:
        return float(value)
    found = f"{value:g} {unit}".rstrip() if good else shown(value)
    limits = f"{'more than ' if above else ''}{least:g} to {most:g} {unit}".rstrip()
    raise InputError(f"{what} is {found}; accepted: {limits}")


def chosen_word(what: str, value: Any, accepted: Sequence[str]) -> str:
    if not isinstance(value, str) or value not in accepted:
        raise InputError(f"{what} is {shown(value)}; accepted: {listed(accepted)}")
    return value


def named_man(what: str, name: Any) -> str:
    if not word(name):
        raise InputError(f"{what}: found the name {shown(name)}; accepted: a text")
    return word(name)


def items(what: str, given: Any) -> list[tuple[Any, Any]]:
    if not isinstance(given, Mapping):
        raise InputError(f"{what} is {shown(given)}; accepted: a mapping, name to value")
    return list(given.items())


def refuse(value: Any, what: str, beside: str) -> None:
    if value is not None:
        raise InputError(f"{what}: found beside {beside}; accepted: one or the other")


def plain_json(value: Any) -> Any:
    """Tuples as lists, NaN as None, infinity as text, which `float` reads."""
    if isinstance(value, dict):
        return {key: plain_json(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [plain_json(inner) for inner in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None if math.isnan(value) else str(value)
    return value
