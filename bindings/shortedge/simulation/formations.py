"""Formations to simulate: by coordinates, by a small vocabulary of fronts, or from the snap of a recorded play."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from functools import cached_property
from typing import Any, Literal, Self, TypeVar

import numpy as np

from .. import _core
from .._core import InputError
from ..base.checks import number
from ..base.plain_json import plain_json
from ..base.text import listed, shown
from .own_speeds import OWN, OWN_OF, check_speeds, items, speeds_of

Place = tuple[float, float]  # u, v in yd, play frame

FARTHEST = 30.0  # yd from the ball
PASSER = "QB"
Man = TypeVar("Man", "Protector", "Rusher")
Job = Literal["block", "zone", "chip"]
Order = Literal["", "jump", "45", "vertical"]
RushPlan = Literal["", "outside", "power", "inside"]
LOOPS_AFTER = 0.35  # s a stunt's second man waits


@dataclass(frozen=True)
class Protector:
    """One protector: where he stands, what he does, whom he has. `slot`: LT LG C RG RT, "" for another. `job`: block;
    zone, the same, but neighbours exchange men who have crossed; chip, he meets his man once and leaves. `man`: a
    rusher's name, "" for a man who is free to help. Speeds of his own in yd/s and s; NaN: the assumption's. `order`:
    how deep he sets: jump (1 yd), 45 (2.5 yd), vertical (4.5 yd), "" by the depth of the drop."""

    name: str
    at: Place
    slot: str = ""
    job: Job = "block"
    man: str = ""
    kick_speed: float = math.nan
    run_speed: float = math.nan
    tau: float = math.nan
    order: Order = ""


@dataclass(frozen=True)
class Rusher:
    """One rusher: where he stands, and the places he runs through first. `inside`: the assumed top speed is that of an
    inside rusher. A top speed and tau of his own in yd/s and s; NaN: the assumption's. `plan`: outside (round his man),
    power (through him), inside (he sells outside and counters), "" by chance. `wait`: s he goes at a walk before he
    loops."""

    name: str
    at: Place
    inside: bool = False
    path: tuple[Place, ...] = ()
    top_speed: float = math.nan
    tau: float = math.nan
    plan: RushPlan = ""
    wait: float = 0.0


@dataclass(frozen=True, eq=False)
class Formation:
    """Who stands where at the snap, and who has whom; made by `formation` or `formation_of`. Play frame: u yards to the
    offence's right of the ball, v yards behind the line of scrimmage. `roll`: yd to the offence's right that the top of
    the drop lies beside the passer; `fake`: s of play action, by which protectors set and the drop tops later; `slide`:
    -1 left, +1 right, the side the free man helps to, 0 either."""

    takes: str
    passer: Place
    protectors: tuple[Protector, ...]
    rushers: tuple[Rusher, ...]
    passer_name: str = PASSER
    name: str = ""
    roll: float = 0.0
    fake: float = 0.0
    slide: int = 0

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

    def __getstate__(self) -> dict[str, Any]:
        """Without `core`, which is made again."""
        return {name: value for name, value in vars(self).items() if name != "core"}

    def as_dict(self) -> dict[str, Any]:
        """Everything that counts in a simulation, as JSON holds it; None for a speed that is the assumption's."""
        men = {what: [asdict(one) for one in getattr(self, what)] for what in ("protectors", "rushers")}
        said: dict[str, Any] = {"takes": self.takes, "passer": self.passer, "passer_name": self.passer_name, **men}
        said |= {"roll": float(self.roll), "fake": float(self.fake), "slide": int(self.slide)}
        return plain_json(said)  # type: ignore[no-any-return]

    @cached_property
    def core(self) -> _core.Formation:
        """As the compiled side takes it."""
        codes = {one.name: code for code, one in enumerate(self.rushers)}
        return _core.Formation(
            self.takes,
            self.passer,
            [
                (one.at, one.slot, one.job, codes.get(one.man, -1), one.kick_speed, one.run_speed, one.tau, one.order)
                for one in self.protectors
            ],
            [(one.at, one.inside, list(one.path), one.top_speed, one.tau, one.plan, one.wait) for one in self.rushers],
            self.roll,
            self.fake,
            self.slide,
        )

    @property
    def sides(self) -> dict[str, int]:
        """Each protector's: -1 left, 1 right, 0 the centre."""
        return dict(zip((one.name for one in self.protectors), self.core.sides, strict=True))

    def with_stunts(self, *stunts: Sequence[str]) -> Self:
        """The same with pairs of rushers who exchange, the one who goes first named first: he goes across the other's
        front into his lane, and the other waits 0.35 s and loops behind him into the lane he left. InputError for a
        pair that is none, a man who is no rusher, or one who runs through places already."""
        if any(isinstance(pair, str) or not isinstance(pair, Sequence) or len(pair) != 2 for pair in stunts):
            raise InputError(f"stunts is {shown(stunts)}; accepted: pairs of rushers, such as ('3 L', 'wide L')")
        by_name = {one.name: one for one in self.rushers}
        for pair in stunts:
            first, second = (self._rusher("stunts", name, by_name) for name in pair)
            if first is second or first.path or second.path:
                raise InputError(f"stunts: found {shown(pair)}; accepted: two rushers, each in one stunt")
            (u, _), (other, _) = first.at, second.at
            across = u + 0.75 * (other - u)
            by_name[first.name] = replace(first, path=((across, 0.6),))
            by_name[second.name] = replace(second, path=((u + 0.5 * (other - u), -0.8), (u, 0.6)), wait=LOOPS_AFTER)
        return replace(self, rushers=tuple(by_name.values()))

    def with_paths(self, paths: Mapping[str, Sequence[Sequence[float]]]) -> Self:
        """The same with rushers who run through places first: rusher to (u, v) in yd, one after another."""
        by_name = {one.name: one for one in self.rushers}
        for name, points in items("paths", paths):
            man = self._rusher("paths", name, by_name)
            if isinstance(points, str) or not isinstance(points, Sequence | np.ndarray):
                raise InputError(f"paths[{shown(name)}] is {shown(points)}; accepted: places (u, v) in yd")
            ways = (place(f"paths[{shown(name)}][{k}]", at) for k, at in enumerate(points))
            by_name[man.name] = replace(man, path=tuple(ways))
        return replace(self, rushers=tuple(by_name.values()))

    def with_speeds(self, speeds: Any, *, known: Iterable[str] | None = None) -> Self:
        """The same with men who have speeds of their own.

        speeds: player to a mapping with kick_speed, run_speed, top_speed (yd/s), tau (s), or fitted speeds
        (fit_speeds), of which only what was fitted counts; None: nobody. Stated speeds must be of men who are there, or
        of `known`, else InputError; those of others do not matter.
        """
        if speeds is None:
            return self
        here = [*(one.name for one in self.protectors), *(one.name for one in self.rushers)]
        check_speeds(speeds, here if known is None else known)
        own = speeds_of(speeds)
        return replace(
            self,
            protectors=tuple(with_own(one, own["protector"].get(one.name, {})) for one in self.protectors),
            rushers=tuple(with_own(one, own["rusher"].get(one.name, {})) for one in self.rushers),
        )

    @staticmethod
    def _rusher(what: str, name: object, by_name: Mapping[str, Rusher]) -> Rusher:
        if not isinstance(name, str) or name not in by_name:
            raise InputError(f"{what}: found {shown(name)}; accepted: a rusher: {listed(by_name)}")
        return by_name[name]

    def scaled(self, speed: str, factor: float) -> Self:
        """The same men, their own speeds changed by a factor: `kick_speed` or `run_speed` of protectors, `end_speed` of
        outside rushers. What is assumed stays as it is."""
        protectors, rushers = self.protectors, self.rushers
        if speed in OWN_OF["protector"]:
            protectors = tuple(replace(one, **{speed: getattr(one, speed) * factor}) for one in protectors)
        if speed == "end_speed":
            rushers = tuple(one if one.inside else replace(one, top_speed=one.top_speed * factor) for one in rushers)
        return replace(self, protectors=protectors, rushers=rushers)


# ------------------------------------------------------------------------------------------------- the vocabulary


# -------------------------------------------------------------------------------------------------- own speeds


# ---------------------------------------------------------------------------------------------- a recorded snap


# -------------------------------------------------------------------------------------------------------- checks


def with_own(man: Man, own: Mapping[str, Any]) -> Man:
    return replace(man, **own)


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
