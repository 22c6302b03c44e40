"""Scripted plays about what a lineman sees and decides: exchanges, finding work, who showed and who came.

    made = make_game(seed=1, plays=60)
    game = se.from_tables(*made.tables, **HOW)
    made.exchanges, made.searches, made.looks        # the truth

Men are steered as in second_script.py, whose engine this uses; what plays are about is scripted here. The truth is
what was scripted: who was to pass whom to whom, who had nobody and whom he was to find, who blitzes. Where the script
leaves it to the men (a centre who looks on may find himself beside a rusher), the paths tell: who stands within an
arm's length of whom and when, nothing else. Stances are the script's own places. A draw that does not show its script
plainly is thrown away.

Truth, all ids texts, times in s after the snap:

    exchanges   play, kind (twist, pass-off, stayed), rusher, from_man, to_man ("" nobody), crossed_with, late, time
    searches    play, man, why (uncovered, freed, back), found (rusher, help, nobody), rusher, helped, side, start, end
    looks       play, defender, spot, deep_over, rushed, taken_by, pickup
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

import numpy as np
import pandas as pd

from second_script import (
    BEFORE,
    DEFENCE,
    HOW,
    OFFENCE,
    POSITION,
    RATE,
    SLOTS,
    STEP,
    TOUCH,
    Again,
    Play,
    Row,
    pick,
)

__all__ = ["HOW", "KINDS", "Made", "make_game"]

LINE = list(SLOTS.values())
# s from a crossing, or from the line of scrimmage, to contact: handed over well, late; draws between are thrown away
SOON, LATE = 0.4, 0.6
BESIDE = 0.2  # s


class LinePlay(Play):
    """A play of one of the kinds below."""

    def __init__(self, rng: random.Random, kind: str) -> None:
        self.handed: list[dict[str, object]] = []
        self.found: list[dict[str, object]] = []
        self.backs: list[str] = []  # who stay in to protect
        super().__init__(rng, kind)
        if self.rng.random() < 0.5:  # a safety over the slot's man, or nobody
            self.move("FS", complex(self.men["NB"].at.real + self.u(-0.9, 0.9), -self.u(9.0, 13.0)))

    # What is scripted

    def exchange(
        self, kind: str, rusher: str, from_man: str, to_man: str, crossed: str = "", late: bool = False
    ) -> None:
        row = {"kind": kind, "rusher": rusher, "from_man": from_man, "to_man": to_man, "crossed_with": crossed}
        self.handed.append(row | {"late": late})

    def finds(self, man: str, why: str, rusher: str) -> None:
        self.found.append({"man": man, "why": why, "found": "rusher", "rusher": rusher, "helped": ""})

    def frees(self, man: str) -> None:
        """His rusher is handed on; whom he finds then the paths tell."""
        self.found.append({"man": man, "why": "freed", "found": "", "rusher": "", "helped": ""})

    def near_side(self, *but: str) -> None:
        """The far side is ordinary: guard and tackle on their men."""
        self.block(self.t(-1), self.e(-1))
        self.block(self.g(-1), self.i(-1))

    def stay_in(self, at: complex | None = None) -> None:
        """The back stays in and looks."""
        self.backs.append("RB")
        deep = max(5.0, self.men["QB"].at.imag)
        self.move("RB", self.p(1.5, deep, pick(self.rng, (-1, 1))) if self.stance != "under" else complex(0, 6.8))
        here = self.men["RB"].at
        out = 1 if here.real > 0 else -1
        self.go_to("RB", [complex(here.real + 0.6 * out, min(here.imag, 5.2)) if at is None else at], 0.2, 2.0)

    # ------------------------------------------------------------------------------------------------- the kinds

    def quiet(self) -> None:
        """Four men rush, four have them, the centre looks on."""
        self.rest()

    def twist_end_loops(self) -> None:
        """The inside man goes out, the end loops inside behind him; tackle and guard pass them off."""
        self.twist()
        self.both_handed(self.i(), self.e())

    def twist_late(self) -> None:
        """The tackle looks inside too long: the inside man gets wide of him before he is there."""
        self.twist()
        self.hold_ball(3.0, 3.5)
        t = 2 * self.gap
        out = self.duels[-2]
        out.go += self.u(0.4, 0.5)
        out.via = [self.p(t + 1.2, 1.5), self.p(t + 1.3, 2.7)]
        out.set_to = self.p(t + 0.5, 3.7)
        out.kick = 3.4
        self.exchange("twist", self.i(), self.g(), self.t(), self.e(), late=True)
        self.exchange("twist", self.e(), self.t(), self.g(), self.i())

    def both_handed(self, inside: str, end: str) -> None:
        self.exchange("twist", inside, self.g(), self.t(), end)
        self.exchange("twist", end, self.t(), self.g(), inside)

    def twist_inside_man_loops(self) -> None:
        """The end comes down inside first, the inside man loops outside behind him."""
        t = 2 * self.gap
        self.hold_ball(2.7, 3.3)
        self.near_side()
        self.look("C", self.p(-0.5, 1.7))
        self.move(self.e(), self.p(t + self.u(0.8, 1.2), -1.0))
        self.rows.append(Row(self.g(), self.i(), "none", end=1.0, note="handed on"))
        self.rows.append(Row(self.t(), self.e(), "none", end=1.0, note="handed on"))
        self.block(
            self.g(),
            self.e(),
            set_to=self.p(self.gap + 0.35, 1.9),
            via=[self.p(t + 0.5, -0.5), self.p(self.gap + 0.8, 0.4)],
            off=self.u(0.1, 0.16),
            ride=0.0,
            lean=0.0,
        )
        self.block(
            self.t(),
            self.i(),
            set_to=self.p(t + 0.5, 2.6),
            via=[self.p(self.gap + 0.7, -1.7), self.p(t + 0.6, -1.2), self.p(t + 0.8, 0.5)],
            off=self.u(0.4, 0.5),
        )
        self.both_handed(self.i(), self.e())

    def twist_not_passed(self) -> None:
        """Tackle and guard both stay on the inside man; the end loops in free."""
        self.stunt_not_passed()
        self.exchange("stayed", self.i(), self.g(), self.g(), self.e())
        self.exchange("twist", self.e(), self.t(), "", self.i(), late=True)
        self.frees(self.t())

    def slant(self, back: bool) -> None:
        """The inside man slants from guard to centre, who takes him over; the guard is free."""
        self.hold_ball(3.0, 3.5)
        self.near_side()
        self.block(self.t(), self.e())
        self.move(self.i(), self.p(self.gap - 0.1, -1.0))
        swap = self.u(1.35, 1.5)
        set_to = self.p(self.gap - 0.2, 1.4)
        first = self.block(self.g(), self.i(), until=swap, ride=-2.4, set_to=set_to, note="handed on")
        first.lean = -25.0
        self.go_to("C", [self.p(-0.05, 1.7)], 0.15, 1.6)
        take = self.block("C", self.i(), go=swap, off=swap, set_to=self.p(0.0, 1.8), note="takes over")
        take.via = []
        self.exchange("pass-off", self.i(), self.g(), "C")
        self.finds("C", "uncovered", self.i())
        if back:
            self.rushers.add("MB")
            self.move("MB", self.p(self.gap + 0.9, -4.4))
            self.move(self.b(), self.p(5.0, -4.6))
            self.block(
                self.g(),
                "MB",
                go=swap + 0.1,
                off=self.u(1.1, 1.25),
                set_to=self.p(self.gap + 0.6, 2.3),
                via=[self.p(self.gap + 0.8, -0.4)],
                kick=3.3,
            )
            self.finds(self.g(), "freed", "MB")
        else:
            self.frees(self.g())
            self.go_to(self.g(), [self.p(self.gap + 0.7, 2.6)], swap + 0.05, 2.6)

    def slant_passed_on(self) -> None:
        self.slant(back=False)

    def slant_and_late_blitz(self) -> None:
        self.slant(back=True)

    def centre_finds(self) -> None:
        """A linebacker comes late inside; the centre, who had nobody, finds him."""
        self.hold_ball(2.6, 3.2)
        self.rest("C")
        self.rushers.add("MB")
        side = pick(self.rng, (-1, 1))
        self.move(self.i(-1), self.p(self.gap + 0.9, -1.0, -1))
        self.move(self.i(1), self.p(self.gap + 0.9, -1.0))
        self.move("MB", self.p(side * self.u(0.6, 1.2), -4.3))
        self.block("C", "MB", set_to=self.p(side * 0.2, 1.5), via=[self.p(side * 0.8, 0.2)], off=self.u(0.2, 0.8))
        self.finds("C", "uncovered", "MB")

    def back_finds(self) -> None:
        """A linebacker comes inside; the centre has the inside man of one side, the back steps up to the blitzer."""
        self.hold_ball(2.6, 3.1)
        self.near_side()
        self.block(self.t(), self.e())
        self.move(self.i(), self.p(self.gap + 0.9, -1.0))
        self.block(self.g(), self.i(), set_to=self.p(self.gap + 0.75, 1.7))
        self.go_to("C", [self.p(-0.5, 1.5)], 0.15, 1.6)
        self.rows.append(Row("C", "", "uncovered"))
        self.rushers.add("MB")
        self.move("MB", self.p(0.9, -4.2))
        self.backs.append("RB")
        self.move("RB", self.p(1.5, max(5.0, self.men["QB"].at.imag)) if self.stance != "under" else complex(0, 6.6))
        self.block(
            "RB",
            "MB",
            set_to=self.p(0.9, 3.9),
            via=[self.p(0.75, 0.0), self.p(0.8, 1.8)],
            off=self.u(0.2, 0.5),
            go=0.25,
        )
        self.finds("RB", "back", "MB")

    def back_finds_nobody(self) -> None:
        self.rest()
        self.stay_in()

    def centre_helps(self) -> None:
        """The centre helps on an inside man, leaves him and finds nobody more."""
        self.hold_ball(2.7, 3.3)
        self.move(self.i(-1), self.p(0.75, -1.0, -1))
        self.rest(self.g(-1), "C")
        self.block(self.g(-1), self.i(-1), set_to=self.p(self.gap - 0.35, 1.6, -1), lean=-12.0)
        self.help_with("C", self.i(-1), self.p(0.85, 0.3), self.u(1.3, 1.7), self.p(0.1, 2.6), "helps")

    def slot_outside_in(self) -> None:
        """A blitz from the slot: the tackle goes out to it, the guard takes the end."""
        self.kick_out()
        apart = abs(self.men[self.e()].at.real - self.men[self.g()].at.real)
        if abs(apart - 2) < 0.1:
            raise Again("the end stands nearly across from the guard")
        if apart > 2:  # farther out than who is across from him: he had nobody and goes out to the end
            self.finds(self.g(), "uncovered", self.e())

    def slot_back(self) -> None:
        """A blitz from the slot: the back goes out to it."""
        self.hold_ball(2.4, 2.9)
        self.rest()
        self.rushers.add("NB")
        self.move("Y", self.p(11.5, 1.1))
        self.move("NB", self.p(2 * self.gap + self.u(3.8, 4.6), -self.u(1.0, 3.0)))
        self.backs.append("RB")
        self.back_on("NB")
        self.finds("RB", "back", "NB")

    def slot_nobody(self) -> None:
        self.wide_free()

    def shows_and_drops(self) -> None:
        """A linebacker walks up into a gap and drops."""
        self.rest()
        self.move("MB", self.p(self.u(0.5, 0.8), -self.u(1.1, 1.6)))
        at = self.men["MB"].at
        self.go_to("MB", [at + 0.2j, at - 2j, at + self.p(-1.0, -7.5)], 0.15, 5.5)

    # --------------------------------------------------------------------------------------------- what came of it

    def beside(self, man: str, rusher: str) -> np.ndarray:
        return (self.gap_between(man, rusher) <= TOUCH) & (self.time >= 0.3) & (self.time <= self.stop + 1e-9)

    def contact(self, man: str, rusher: str) -> float:
        frames = np.flatnonzero(self.beside(man, rusher))
        if not len(frames):
            raise Again(f"{man} never meets {rusher}")
        return float(self.time[frames[0]])

    def cross_time(self, a: str, b: str) -> float:
        """When two rushers have changed places across, for good or for half a second."""
        off = (self.path[a] - self.path[b]).real * np.sign((self.men_at_snap[a] - self.men_at_snap[b]).real)
        for k in np.flatnonzero((off[1:] < 0) & (off[:-1] >= 0)) + 1:
            if (off[k : k + round(0.45 / STEP)] <= 0).all() and off[k : k + round(0.45 / STEP)].min() < -0.6:
                return float(self.time[k])
        raise Again(f"{a} and {b} do not cross")

    def finish(self) -> None:
        super().finish()
        self.men_at_snap = {name: path[0] for name, path in self.path.items()}
        self.tell_exchanges()
        self.tell_searches()
        crossed = {frozenset((str(row["rusher"]), str(row["crossed_with"]))) for row in self.handed}
        front = [name for name in self.rushers if self.men_at_snap[name].imag > -6]
        for k, a in enumerate(sorted(front)):
            for b in sorted(front)[k + 1 :]:
                self.check_not_crossed(a, b, frozenset((a, b)) in crossed)

    def check_not_crossed(self, a: str, b: str, scripted: bool) -> None:
        if scripted:
            return
        off = (self.path[a] - self.path[b]).real * np.sign((self.men_at_snap[a] - self.men_at_snap[b]).real)
        shallow = (self.path[a].imag < 4.2) & (self.path[b].imag < 4.2) & (self.time <= self.stop)
        if shallow.any() and off[shallow].min() < -0.2:
            raise Again(f"{a} and {b} cross")

    def tell_exchanges(self) -> None:
        for row in self.handed:
            rusher, other, to_man = str(row["rusher"]), str(row["crossed_with"]), str(row["to_man"])
            if other:
                over = np.flatnonzero((self.time >= self.cross_time(rusher, other)) & (self.path[rusher].imag >= 0))
                row["time"] = float(self.time[over[0]]) if len(over) else self.stop
            else:
                first = np.flatnonzero(self.beside(str(row["from_man"]), rusher))
                row["time"] = min(float(self.time[first[-1]]), self.contact(to_man, rusher))
            if to_man and row["kind"] == "twist":
                waited = self.contact(to_man, rusher) - float(str(row["time"]))
                if (row["late"] and waited < LATE) or (not row["late"] and waited > SOON):
                    raise Again(f"{to_man} meets {rusher} {waited:.2f} s after")

    def tell_searches(self) -> None:
        """Whom men without a rusher were to find, and what they came upon."""
        told = {str(row["man"]) for row in self.found}
        for row in self.rows:
            if row.man in told or row.man not in LINE or row.outcome not in ("uncovered", "help"):
                continue
            had = any(one.man == row.man and one.outcome not in ("uncovered", "help") for one in self.rows)
            if not had:
                self.found.append({"man": row.man, "why": "uncovered", "found": "", "rusher": "", "helped": ""})
        for name in self.backs:
            if name not in told:
                self.found.append({"man": name, "why": "back", "found": "", "rusher": "", "helped": ""})
        rows: list[dict[str, object]] = []
        for row in self.found:
            rows += self.looked(row)
        self.found = rows

    def owner(self, rusher: str, when: float) -> str:
        """Who was scripted to have a rusher then."""
        his = [row for row in self.rows if row.rusher == rusher and row.man and row.outcome not in ("help", "none")]
        his = [row for row in his if row.start <= when + 0.2] or his
        return max(his, key=lambda row: row.start).man if his else ""

    def helped_on(self, man: str, start: float, end: float) -> tuple[str, float, float] | None:
        """The first stretch of BESIDE or more beside another's rusher, breaks under 0.25 s closed."""
        found = None
        his = {row.rusher for row in self.rows if row.man == man and row.outcome not in ("help", "uncovered")}
        for rusher in sorted(self.rushers - his):
            frames = np.flatnonzero(self.beside(man, rusher) & (self.time > start + 1e-9) & (self.time < end - 1e-9))
            for part in np.split(frames, np.flatnonzero(np.diff(frames) * STEP > 0.25) + 1):
                if not len(part) or not self.owner(rusher, float(self.time[part[0]])):
                    continue
                first, last = float(self.time[part[0]]), float(self.time[part[-1]])
                near = self.gap_between(man, rusher) <= TOUCH + 0.12
                near &= (self.time >= 0.3) & (self.time <= self.stop)
                if (
                    near[(self.time > last + 0.3) & (self.time < last + 0.5)].any()
                    or near[(self.time < first - 0.3) & (self.time > start)].any()
                ):
                    raise Again(f"{man} is hardly beside {rusher}, or longer")
                if 0.12 < last - first < 0.28:
                    raise Again(f"{man} is hardly beside {rusher}")
                if last - first >= BESIDE and (found is None or first < found[1]):
                    found = (rusher, first, last)
        return found

    def looked(self, row: dict[str, object]) -> list[dict[str, object]]:
        man, rusher = str(row["man"]), str(row["rusher"])
        start = 0.0
        if row["why"] == "freed":
            start = next(float(str(one["time"])) for one in self.handed if one["from_man"] == man)
        end = self.contact(man, rusher) if rusher else self.stop
        told: list[dict[str, object]] = []
        while True:
            if self.stop - start < 0.45 and told:
                if self.stop - start > 0.2:
                    raise Again(f"{man} looks for a moment at the end")
                return told
            help_ = self.helped_on(man, start, end)
            why = row["why"] if not told or row["why"] == "back" else "freed"
            here = self.path[man][round(start / STEP)]
            if help_:
                on, first, last = help_
                told.append(self.search(man, str(why), "help", on, self.owner(on, first), here, start, first))
                start = last
                continue
            told.append(self.search(man, str(why), "rusher" if rusher else "nobody", rusher, "", here, start, end))
            return told

    def search(
        self, man: str, why: str, found: str, rusher: str, helped: str, here: complex, start: float, end: float
    ) -> dict[str, object]:
        side = ""
        if rusher:
            off = (self.path[rusher][round(end / STEP)] - here).real
            if abs(off) < 0.3:
                raise Again(f"{rusher} is neither left nor right of {man}")
            side = "right" if off > 0 else "left"
        row = {"man": man, "why": why, "found": found, "rusher": rusher, "helped": helped, "side": side}
        return row | {"start": start, "end": end}

    def looks(self) -> list[dict[str, object]]:
        """Who stood where, from the stances; who came, from the script."""
        ends = self.men_at_snap["LT"].real, self.men_at_snap["RT"].real
        out = {
            name: max(self.men_at_snap[name].real - ends[1], ends[0] - self.men_at_snap[name].real)
            for name in self.men_at_snap
        }
        slot = self.men_at_snap["Y"] if out["Y"] > 2 else None
        told = []
        for name in DEFENCE:
            at = self.men_at_snap[name]
            over_slot = slot is not None and abs(at.real - slot.real) <= 1.5
            nearer = any(
                slot is not None
                and abs(self.men_at_snap[other].real - slot.real) <= 1.5
                and self.men_at_snap[other].imag > at.imag
                for other in DEFENCE
            )
            if not (-at.imag <= 8 or (over_slot and not nearer and -at.imag <= 10)):
                continue
            in_box = out[name] <= 3
            between = slot is not None and not in_box and at.real * slot.real > 0 and abs(at.real) < abs(slot.real)
            place = "slot" if over_slot or between else "wide" if not in_box else "line" if -at.imag <= 2 else "box"
            edges = [abs(out[name] - 3), abs(-at.imag - 2) if in_box else 1.0, abs(-at.imag - 8)]
            if slot is not None:
                edges.append(abs(abs(at.real - slot.real) - 1.5))
            deep = [
                abs(abs(self.men_at_snap[other].real - at.real) - 1.5)
                for other in DEFENCE
                if other != name and 8 <= -self.men_at_snap[other].imag <= 15
            ]
            if min(edges) < 0.05 or min(deep, default=1.0) < 0.05:
                raise Again(f"{name} stands at a border")
            deep_over = any(
                other != name
                and 8 <= -self.men_at_snap[other].imag <= 15
                and abs(self.men_at_snap[other].real - at.real) <= 1.5
                for other in DEFENCE
            )
            came = name in self.rushers
            his = [row for row in self.rows if row.rusher == name and row.man and row.outcome != "help"]
            met = [row for row in his if row.outcome != "none"] or his
            first = min(met, key=lambda row: row.start).man if came and met else ""
            told.append(
                {
                    "defender": name,
                    "spot": place,
                    "deep_over": deep_over,
                    "rushed": came,
                    "taken_by": first,
                    "pickup": self.pickup(name, first) if came and place == "slot" else "",
                }
            )
        return told

    def pickup(self, blitzer: str, first: str) -> str:
        if not first:
            return "nobody"
        side = 1 if self.men_at_snap[blitzer].real * self.s > 0 else -1
        if first == self.t(side):
            took_end = any(row.man == self.g(side) and row.rusher == self.e(side) for row in self.rows)
            return "outside in" if took_end else "tackle"
        return "inside" if first in LINE else "back"


KINDS = {
    "quiet": 3,
    "twist end loops": 4,
    "twist late": 2,
    "twist inside man loops": 3,
    "twist not passed": 2,
    "slant passed on": 3,
    "slant and late blitz": 2,
    "centre finds": 3,
    "back finds": 3,
    "back finds nobody": 2,
    "centre helps": 3,
    "slot outside in": 2,
    "slot back": 2,
    "slot nobody": 2,
    "shows and drops": 2,
}


@dataclass(frozen=True)
class Made:
    tables: tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]
    exchanges: pd.DataFrame
    searches: pd.DataFrame
    looks: pd.DataFrame
    thrown_away: dict[str, int]  # draws a kind


def make_play(rng: random.Random, kind: str, thrown: dict[str, int]) -> tuple[LinePlay, list[dict[str, object]]]:
    why: list[str] = []
    for _ in range(400):
        play = LinePlay(rng, kind)
        try:
            play.run()
            return play, play.looks()
        except Again as again:
            why.append(str(again))
            thrown[kind] = thrown.get(kind, 0) + 1
    raise RuntimeError(f"{kind}: {why[-8:]}")


def make_game(seed: int, plays: int = 60, kinds: list[str] | None = None) -> Made:
    """A game of the kinds in their shares. The same seed gives the same tables. Read with HOW."""
    rng = random.Random(seed)
    dealt = list(kinds or [])
    while len(dealt) < plays:
        hand = [kind for kind, count in KINDS.items() for _ in range(count)]
        for k in range(len(hand) - 1, 0, -1):
            j = int(rng.random() * (k + 1))
            hand[k], hand[j] = hand[j], hand[k]
        dealt += hand
    ids = {man: str(number) for man, number in (OFFENCE | DEFENCE).items()} | {"": ""}
    men = ("rusher", "from_man", "to_man", "crossed_with", "man", "helped", "defender", "taken_by")
    truth: dict[str, list[dict[str, object]]] = {"exchanges": [], "searches": [], "looks": []}
    tracks, snaps = [], []
    thrown: dict[str, int] = {}
    for number, kind in enumerate(dealt[:plays]):
        play, looks = make_play(rng, kind, thrown)
        name, way, spot = 501 + number, 1 if rng.random() < 0.5 else -1, 30.0 + 60.0 * rng.random()
        across = 80.0 / 3 + pick(rng, (-1, 0, 1)) * 20.0 / 3  # yd: college hashes
        clock = 900.0 + 40.0 * number
        times = np.arange(-round(BEFORE * RATE), math.floor(play.over * RATE + 1e-6) + 1) / RATE
        for man, path in play.path.items():
            u, v = (np.interp(times, play.time, part) for part in (path.real, path.imag))
            one = {"play": name, "player": (OFFENCE | DEFENCE)[man], "time": clock + times}
            tracks.append(pd.DataFrame(one | {"x": 3 * (spot - way * v), "y": 160 - 3 * (across - way * u)}))
        snap = {"play": name, "ball_x": 3 * spot, "ball_y": 160 - 3 * across, "direction": way, "snap_time": clock}
        over = {"throw_time": clock + play.throw, "end_time": clock + play.over}
        snaps.append(snap | over | {"down": 1 + number % 3, "kind": kind})
        for title, rows in (("exchanges", play.handed), ("searches", play.found), ("looks", looks)):
            for row in rows:
                named = {key: ids[str(value)] if key in men else value for key, value in row.items()}
                truth[title].append({"play": str(name)} | named | {"what": kind})
    people = [
        {"player": number, "unit": unit, "position": POSITION.get(man, man)}
        for some, unit in ((OFFENCE, "offense"), (DEFENCE, "defense"))
        for man, number in some.items()
    ]
    tables = (pd.concat(tracks, ignore_index=True), pd.DataFrame(snaps), pd.DataFrame(people))
    return Made(tables, *(pd.DataFrame(truth[title]) for title in ("exchanges", "searches", "looks")), thrown)
