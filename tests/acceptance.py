"""The simulator against what it must show before a study of it is believed: tests/acceptance.py [draws] [--seed N].

Every line has its figure, its 95 % interval where it has one, and pass or MISS. The seed (4711 if none is given) must
be none of those the assumptions and rules were made with (TUNED_ON). --ablations prints what each rule is worth: the
shares hurried over the depth with the rule left out; --halving what half the step moves, alone. What is missed is on
core/simulate/HOW_RIGHT.md with its figure.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np

import shortedge as se
from shortedge.measures.summary import wilson
from shortedge.simulation.pairs import matched_difference, pair_counts
from shortedge.simulation.plan import OUTCOMES, Plan

TUNED_ON, SEED = (19, 21, 23, 777), 4711
DEPTHS = (5.0, 7.0, 9.0, 10.0, 12.0)
KICKS, WIDTHS = (1.8, 2.2, 2.6, 3.0), (0.7, 2.6, 4.0, 6.0)
HURRIED = OUTCOMES.index("hurried")
READ_BACK = 150  # plays a depth
SLOT = "wide L, 3 L, 2i R, wide R, slot R"
EDGE, INSIDE = ("LT", "RT"), ("LG", "C", "RG")
LEFT_OUT: dict[str, dict[str, float]] = {  # rule: the assumptions that leave it out
    "set by the depth of the drop (A1)": {"set_most": 0.8},
    "straight back faster (A1b)": {"kick_back": 1.0},
    "hips (A5)": {"opens_at": 1e6},
    "moves and hands (B2, B3)": {"hands_won": 0.0},
    "push (C)": {"push": 0.0, "push_power": 0.0, "strength_spread": 0.0, "push_open": 0.0},
    "setting his feet (C)": {"anchors": 1e9},
    "riding (C2)": {"ride_speeding": 1e6},
    "early throw (D2)": {"early_throws": 0.0},
    "step or slide (D3)": {"steps_first": 0.0},
    "second man (E)": {"helps_within": 0.0},
    "exchange man to man (E)": {"man_changes": 0.0},
}


class Table:
    """What is printed, and how much of it was missed."""

    def __init__(self) -> None:
        self.missed = 0

    def line(self, figure: str, said: str, passes: bool | None = None) -> None:
        self.missed += passes is not None and not passes
        print(f"  {'' if passes is None else 'pass' if passes else 'MISS':4}  {figure:58} {said}", flush=True)


class Cases:
    """Studies and pairs of one seed, by the clock."""

    def __init__(self, draws: int, seed: int = SEED) -> None:
        self.draws, self.seed = draws, seed

    def plan(self, f: Any = None, step: float = 0.01, **assumptions: float) -> Plan:
        made = se.formation() if f is None else f
        return Plan(made, se.Assumptions(**assumptions), self.draws, self.seed, step=step)

    def shares(self, plan: Plan, depth: float) -> Any:
        return plan.depth("clock", depth, 0, None)

    def differs(self, one: Plan, first: float, other: Plan, second: float) -> tuple[float, float, float]:
        """Points of the share hurried, second less first, and their 95 % interval."""
        counts = pair_counts(one, first, other, second, "clock", 0, None)[HURRIED]
        return tuple(100 * value for value in matched_difference(*counts))  # type: ignore[return-value]


def spelled(found: tuple[float, float, float]) -> str:
    return f"{found[0]:+.1f} [{found[1]:+.1f}, {found[2]:+.1f}]"


def worst(table: Table, figure: str, found: Iterable[tuple[str, tuple[float, float, float]]], least: float) -> None:
    """The difference whose lower bound is lowest."""
    where, low = min(found, key=lambda item: item[1][1])
    table.line(figure, f"{spelled(low)} points at worst ({where}); above {least:g}", low[1] > least)


def all_of(table: Table, figure: str, found: Sequence[tuple[float, tuple[float, float, float]]], below: bool) -> None:
    said = ", ".join(f"{depth:g} yd {spelled(of)}" for depth, of in found)
    table.line(figure, said, all(of[2] < 0 if below else of[0] >= 5 for _, of in found))


def of_men(found: Any, plan: Plan, names: Sequence[str], outcome: str = "hurried") -> int:
    men = plan.formation.protectors
    return sum(int(found["protectors"][k][outcome]) for k, man in enumerate(men) if man.name in names)


def main_lines(table: Table, cases: Cases) -> None:
    base = cases.plan()
    found = {depth: cases.shares(base, depth) for depth in DEPTHS}
    for name in ("hurried", "pressure", "arrived"):
        said = "/".join(f"{100 * of[name] / cases.draws:.0f}" for of in found.values())
        at_seven = found[7.0][name]
        low, high = wilson(int(at_seven), cases.draws)
        passes = 0.15 <= at_seven / cases.draws <= 0.30 if name == "hurried" else None
        table.line(f"{name} at 5/7/9/10/12 yd, %", f"{said}; at 7 [{100 * low:.0f}, {100 * high:.0f}]", passes)
    ratios = [found[depth]["arrived"] / max(1, found[depth]["hurried"]) for depth in DEPTHS[1:]]
    said = "/".join(f"{of:.2f}" for of in ratios)
    table.line(
        "arrival over hurried at 7/9/10/12 yd", f"{said}; 0.15 to 0.35", all(0.15 <= of <= 0.35 for of in ratios)
    )
    insides = [
        of_men(found[depth], base, INSIDE) / max(1, of_men(found[depth], base, (*INSIDE, *EDGE)))
        for depth in (7.0, 9.0, 10.0)
    ]
    said = "/".join(f"{100 * of:.0f}" for of in insides)
    table.line("inside men's share at 7/9/10 yd, %", f"{said}; 20 to 50", all(0.2 <= of <= 0.5 for of in insides))

    deeper = [
        (f"{what} {value:g}, {a:g} to {b:g} yd", cases.differs(plan, a, plan, b))
        for what, value, plan in [
            *(("kick", kick, cases.plan(kick_speed=kick)) for kick in KICKS),
            *(("ends", width, cases.plan(se.formation(width=width))) for width in WIDTHS),
        ]
        for a, b in pairwise(DEPTHS)
    ]
    worst(table, "deeper is never easier (kick 1.8 to 3, ends 0.7 to 6)", deeper, -2)
    slower = [
        (f"{fast:g} to {slow:g}, {depth:g} yd", cases.differs(one, depth, other, depth))
        for slow, fast in pairwise(KICKS)
        for one, other in [(cases.plan(kick_speed=fast), cases.plan(kick_speed=slow))]
        for depth in DEPTHS
    ]
    worst(table, "a slower kick is never easier", slower, -2)
    wider = [
        (f"{near:g} to {far:g}, {depth:g} yd", cases.differs(one, depth, other, depth))
        for near, far in pairwise(WIDTHS)
        for one, other in [(cases.plan(se.formation(width=near)), cases.plan(se.formation(width=far)))]
        for depth in DEPTHS
    ]
    worst(table, "wider ends are never easier", wider, -6)
    worst(table, "wider ends are never easier, as wanted", wider, -2)
    earlier = [
        (f"{at:g}, {depth:g} yd", cases.differs(base, depth, cases.plan(opens_at=at), depth))
        for at in (0.8, 0.5)
        for depth in DEPTHS
    ]
    worst(table, "opening earlier never helps", earlier, -2)
    gun = cases.plan(se.formation(passer="gun"))
    all_of(table, "gun less under centre", [(d, cases.differs(base, d, gun, d)) for d in (7.0, 9.0, 10.0)], True)
    table.line("  and at 12 yd", spelled(cases.differs(base, 12.0, gun, 12.0)))
    five = cases.plan(se.formation(front="wide L, 3 L, 1 R, 3 R, wide R"))
    all_of(
        table, "five rushers less four, at least 5", [(d, cases.differs(base, d, five, d)) for d in DEPTHS[1:]], False
    )

    for label, men, outcome in (("the play", None, ""), ("edge men", EDGE, "hurried")):
        still = cases.plan(steps_first=0.0)
        steps = []
        for depth in DEPTHS[1:]:
            if men is None:
                steps.append((depth, cases.differs(still, depth, base, depth)))
            else:
                one, other = (
                    100 * of_men(cases.shares(plan, depth), plan, men, outcome) / cases.draws for plan in (still, base)
                )
                half = 1.96 * np.sqrt(sum(of * (100 - of) for of in (one, other)) / cases.draws)
                steps.append((depth, (other - one, other - one - half, other - one + half)))
        at_ten = dict(steps)[10.0][0]
        said = ", ".join(f"{depth:g} yd {spelled(of)}" for depth, of in steps)
        table.line(f"stepping up, {label}" + (", at most -5 at 10" if men else ""), said, at_ten <= -5 if men else None)

    def side_less(
        other: Plan, one: Plan = base, men: Sequence[str] = ("RG", "RT")
    ) -> list[tuple[float, tuple[float, float, float]]]:
        """Of the men who have the right side's rushers, independent counts."""
        rows = []
        for depth in (9.0, 10.0, 12.0):
            a, b = (of_men(cases.shares(of, depth), of, men) / cases.draws for of in (one, other))
            half = 1.96 * np.sqrt((a * (1 - a) + b * (1 - b)) / cases.draws)
            rows.append((depth, (100 * (b - a), 100 * (b - a - half), 100 * (b - a + half))))
        return rows

    all_of(table, "a chip helps its side", side_less(cases.plan(se.formation(chip="wide R"))), True)
    right, left = (cases.plan(se.formation(protection=f"slide {side}")) for side in ("right", "left"))
    all_of(table, "a slide helps its side (against one to the other)", side_less(right, left, ("C", "RG", "RT")), True)

    zone = replace(se.formation(), protectors=tuple(replace(man, job="zone") for man in se.formation().protectors))
    for what, pair in (("tackle first", ("3 L", "wide L")), ("end first", ("wide L", "3 L"))):
        stunts = cases.plan(se.formation().with_stunts(pair)), cases.plan(zone.with_stunts(pair))
        less = [(d, cases.differs(stunts[0], d, stunts[1], d)) for d in (7.0, 9.0, 10.0)]
        said = ", ".join(f"{depth:g} yd {spelled(of)}" for depth, of in less)
        table.line(f"{what}: zone less man, not above 0", said, all(of[1] <= 0 for _, of in less))
        more = [(d, cases.differs(base, d, stunts[0], d)) for d in (7.0, 9.0, 10.0)]
        said = ", ".join(f"{depth:g} yd {spelled(of)}" for depth, of in more)
        table.line(f"{what}: man, the stunt less none, +5 to +25", said, all(5 <= of[0] <= 25 for _, of in more))
    slot = cases.plan(se.formation(front=SLOT))
    all_of(
        table, "a slot blitz is harder, at least 5", [(d, cases.differs(base, d, slot, d)) for d in DEPTHS[1:]], False
    )


def halving(table: Table, draws: int, seed: int) -> None:
    """What half the step moves each share by."""
    many = Cases(4 * draws, seed)  # where reps part it is by chance: fewer would show no more than that
    halves = []
    for depth in DEPTHS:
        whole, half = (many.shares(many.plan(step=step), depth) for step in (0.01, 0.005))
        moved = [100 * (half[name] - whole[name]) / many.draws for name in ("hurried", "pressure", "arrived")]
        table.line(f"  at {depth:g} yd: hurried, pressure, arrived", ", ".join(f"{of:+.2f}" for of in moved))
        halves += moved
    most = max(map(abs, halves))
    table.line(
        f"halving the step moves a share by, points (n = {many.draws})", f"{most:.2f} at most; below 1", most < 1
    )


def read_back(table: Table, seed: int) -> None:
    """Simulated plays through the door of recorded ones."""
    study = se.simulate(depths=list(DEPTHS), draws=1, seed=seed, progress=False)
    sets, contacts = [], {"guards": [], "tackles": []}  # type: ignore[var-annotated]
    for depth in DEPTHS:
        game = study.as_game(depth, draws=range(READ_BACK))
        made = se.reps(game, progress=False)
        rows = [row for row in made.arrow("reps").to_pylist() if row["outcome"] in ("held", "driven", "beat")]
        shares = {name: np.mean([row["outcome"] == name for row in rows]) for name in ("held", "driven", "beat")}
        beats = [row for row in rows if row["outcome"] == "beat"]
        inside = np.mean([row["beat_side"] == "inside" for row in beats])
        drops = made.arrow("dropbacks").to_pylist()
        pressed = np.mean([row["pressure"] for row in drops])
        least = 0.25 if depth >= 9 else 0.20
        passes = 0.60 <= shares["held"] <= 0.85 and shares["driven"] <= least and 0.2 <= inside <= 0.5
        said = ", ".join(f"{name} {100 * of:.0f}" for name, of in shares.items())
        table.line(
            f"read back at {depth:g} yd, %",
            f"{said}, inside of beats {100 * inside:.0f}, pressure {100 * pressed:.0f}",
            passes,
        )
        tackles = [row for row in rows if row["protector"] in EDGE and row["set_depth"] is not None]
        sets.append(float(np.nanmedian([row["set_depth"] for row in tackles])))
        for name, men in (("tackles", EDGE), ("guards", ("LG", "RG"))):
            times = [row["contact_time"] for row in rows if row["protector"] in men]
            contacts[name].append(float(np.nanmedian(times)))
        throws = [row["throw_time"] for row in drops if row["throw_time"] is not None]  # none: he was down before
        low, middle, high = np.nanquantile(throws, (0.25, 0.5, 0.75))
        span = {5.0: (1.5, 2.0), 7.0: (2.3, 2.8), 9.0: (2.8, 3.5)}.get(depth)
        passes_throw = None if span is None else span[0] <= low and high <= span[1]
        table.line(f"throw at {depth:g} yd, s, quarters", f"{low:.2f}/{middle:.2f}/{high:.2f}; {span}", passes_throw)
    said = "/".join(f"{of:.1f}" for of in sets)
    grows = all(b > a - 0.1 for a, b in pairwise(sets)) and 1 <= sets[0] <= 2 and 2.5 <= sets[-1] <= 3.5
    table.line("tackles' set depth at 5/7/9/10/12 yd", f"{said}; grows, 1 to 2 and 2.5 to 3.5", grows)
    for name, (low, high) in {"guards": (0.4, 0.9), "tackles": (0.7, 1.5)}.items():
        said = "/".join(f"{of:.2f}" for of in contacts[name])
        passes = all(low <= of <= high for of in contacts[name])
        table.line(f"{name}' contact, s", f"{said}; {low:g} to {high:g}", passes)


def slot_edge(table: Table, seed: int) -> None:
    """Who is the right side's edge man once the tackle has met the man from the slot."""
    study = se.simulate(se.formation(front=SLOT), depths=[7], draws=1, seed=seed, progress=False)
    game = study.as_game(7, draws=range(READ_BACK))
    m = se.measure(game, progress=False)
    reps = se.reps(game, m, progress=False).arrow("reps").to_pylist()
    met = {row["play"]: row["contact_time"] for row in reps if (row["protector"], row["rusher"]) == ("RT", "slot R")}
    guards = frames = 0
    for row in m.arrow("edges").to_pylist():
        from_ = met.get(row["play"])
        if row["side"] != "right" or row["edge_man"] is None or from_ is None or row["time"] < from_:
            continue
        frames += 1
        guards += row["edge_man"] == "RG"
    share = guards / max(1, frames)
    said = f"{100 * share:.0f} % of {frames} frames after the tackle met the slot man; above 50"
    table.line("a slot blitz at 7 yd: the guard is the edge man in", said, share > 0.5)


def ablations(draws: int, seed: int) -> None:
    cases = Cases(draws, seed)
    print("share hurried at 5/7/9/10/12 yd, %, with a rule left out (the assumptions that leave it out):")
    cases_of: dict[str, dict[str, float]] = {"as assumed": {}, **LEFT_OUT}
    for name, changed in cases_of.items():
        plan = cases.plan(**changed)  # type: ignore[arg-type]
        said = "/".join(f"{100 * cases.shares(plan, depth)['hurried'] / draws:.0f}" for depth in DEPTHS)
        how = ", ".join(f"{key} {value:g}" for key, value in changed.items())
        print(f"  {name:36} {said:18} {how}", flush=True)


def main(arguments: Sequence[str]) -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("draws", nargs="?", type=int, default=2000)
    asked.add_argument("--seed", type=int, default=SEED)
    asked.add_argument("--ablations", action="store_true")
    asked.add_argument("--halving", action="store_true", help="that line alone")
    given = asked.parse_args(arguments)
    if given.ablations:
        ablations(given.draws, given.seed)
        return 0
    table = Table()
    if given.halving:
        halving(table, given.draws, given.seed)
        return 0
    tuned = ", ".join(map(str, TUNED_ON))
    print(f"paired draws, n = {given.draws}, seed {given.seed} (made with {tuned}); by the clock, hurried unless said")
    main_lines(table, Cases(given.draws, given.seed))
    halving(table, given.draws, given.seed)
    read_back(table, given.seed)
    slot_edge(table, given.seed)
    print(f"{table.missed} missed")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
