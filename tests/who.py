"""Do the edges name the man who has that rusher? Against the truths of three scripts, noise by noise.

    .venv/bin/python tests/who.py                          # some minutes
    .venv/bin/python tests/who.py --plays 30 --seeds 7     # games of 30 plays, one seed of each script
    .venv/bin/python tests/who.py --list                   # and every miss, one a line
    .venv/bin/python tests/who.py --write                  # the table goes into core/reps/RIGHT.md

Prints Markdown; the same every time. New games of the demo's script and of the second script, from seeds nothing was
tuned to, and the foreign game. Only what is public is used (from_tables, measure, reps), so an older package can be
asked the same. Noise is yd per axis, time-correlated (AR(1), 0.7 s), laid on places without noise (the foreign game
comes with 4 cm of white noise), `--draws` draws of it.

Judged up to the throw (with none, to the end of the reps), plays the truth tells of. By the truth a rusher is had by
the man whose row began last, before the first by that row's man; within 0.2 s of a hand-over by either.

    short frames   edges with exposure 0.2 or more and a short edge of 0.5 yd or more: the edge man has that rusher
    worst edge     plays whose most exposed edge names a man who has not that rusher (a rusher told as free is nobody's)
    beats outside  0.1 s after the beat that man and that rusher are the edge of his side
    beats inside   0.1 s after the beat (a centre's too) that rusher is on no edge
    held, short    held reps in which the edges show that man's edge short, whoever the rusher, for more than 0.1 s
    edge man       changes of the edge man a play, both sides together
    blocker        changes of a rusher's blocker a play, to or from nobody too, all rushers together
    outcomes       rows of truth whose outcome and man the reps have (stunts with them)
"""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
import pandas as pd

sys.path.insert(0, str(Path(__file__).parent / "python"))
import shortedge as se
import truth

LEVELS = (0.0, 0.06, 0.12, 0.18, 0.25)
SHOWN, SHORT = 0.2, 0.5  # exposure; yd
HAND_OVER = 0.2  # s
LATER = 0.1  # s after a beat
PAGE = Path(__file__).parents[1] / "core" / "reps" / "RIGHT.md"
BEGIN, END = "<!-- who: made by tests/who.py -->\n", "<!-- end of who -->"

# figure: heading, what is promised without noise
FIGURES = {
    "short frames": ("short frames on his man", ">= 98 %"),
    "worst edge": ("worst edge wrong", "<= 3 %"),
    "beats outside": ("beats outside shown", ">= 85 %"),
    "beats inside": ("beats inside on no edge", ">= 95 %"),
    "held": ("held, short > 0.1 s", ""),
    "edge man": ("edge man changes a play", ""),
    "blocker": ("blocker changes a play", ""),
    "outcomes": ("outcomes right", ""),
}
A_PLAY = ("edge man", "blocker")


class Owners:
    """Who has which rusher in one play, by its truth."""

    def __init__(self, rows: pd.DataFrame) -> None:
        self.rows = {
            str(rusher): list(mine[["protector", "start_s", "end_s"]].itertuples(index=False))
            for rusher, mine in rows[rows["outcome"].isin(truth.ONE_ON_ONE)].sort_values("start_s").groupby("rusher")
        }
        self.free = set(rows.loc[rows["outcome"] == "free", "rusher"])

    def of(self, rusher: str, time: float) -> set[str]:
        """The men who may be named; "" is nobody, who has a free rusher. Of a rusher not in the truth: none."""
        if rusher in self.free:
            return {""}
        spans = self.rows.get(rusher, [])
        men: set[str] = set()
        for k, (man, start, end) in enumerate(spans):
            begins = -np.inf if k == 0 else min(start, spans[k - 1][2]) - HAND_OVER
            ends = np.inf if k == len(spans) - 1 else max(end, spans[k + 1][1]) + HAND_OVER
            if begins <= time <= ends:
                men.add(man)
        return men


class Count:
    """Hits of how many, figure by figure, and the misses in words."""

    def __init__(self) -> None:
        self.hits = dict.fromkeys(FIGURES, 0.0)
        self.of = dict.fromkeys(FIGURES, 0.0)
        self.misses: list[str] = []

    def add(self, figure: str, hits: float, of: float = 1) -> None:
        self.hits[figure] += hits
        self.of[figure] += of

    def judged(self, figure: str, hit: bool, said: str) -> None:
        self.add(figure, hit)
        wrong = hit if figure in ("worst edge", "held") else not hit
        if wrong:
            self.misses.append(f"{figure}: {said}")

    def cells(self) -> Iterator[str]:
        for figure in FIGURES:
            hits, of = self.hits[figure], self.of[figure]
            share = hits / of if of else np.nan
            yield f"{share:.1f}" if figure in A_PLAY else f"{100 * share:.1f} % of {of:.0f}" if of else "-"


def count(case: truth.Case, into: Count) -> None:
    """Everything that is counted of one game."""
    game = case.game()
    game.library = "pandas"
    m = se.measure(game)
    text = ("play", "edge_man", "rusher", "blocker", "side")
    edges, rushers = (
        table.assign(**{name: table[name].fillna("").astype(str) for name in text if name in table})
        for table in (m.edges, m.rushers)
    )
    blocker = rushers.set_index(["play", "rusher", "time"])["blocker"]
    edges["told"] = edges["edge_man"].where(blocker_of(edges, blocker) != "", "")
    slack = 0.2 if "foreign" in case.name else 0.0  # its truth tells beats to 0.2 s
    by_play = {table: dict(list(rows.groupby("play"))) for table, rows in (("e", edges), ("r", rushers))}
    for play, rows in case.truth.groupby("play"):
        if play not in by_play["r"]:
            continue
        throw = rows["throw_s"].iloc[0]
        last = (rows["end_s"].max() if np.isnan(throw) else throw) + 1e-6
        mine = by_play["e"].get(play, edges.iloc[:0])
        mine = mine[mine["time"] <= last]
        his = by_play["r"][play]
        his = his[his["time"] <= last]
        count_play(f"{case.name}, {play}", mine, his, rows, slack, into)
    judged = truth.judge(game, case.truth)
    right = judged.rows["got"] == judged.rows["outcome"]
    into.add("outcomes", float(right.sum()), len(right))
    into.misses += [
        f"outcomes: {case.name}, {row.play}: {row.protector} on {row.rusher} {row.outcome} {row.side} ({row.note}), "
        f"told as {row.got} {row.got_side}"
        for row in judged.rows[~right].itertuples()
    ]


def blocker_of(edges: pd.DataFrame, blocker: pd.Series) -> np.ndarray:
    keys = pd.MultiIndex.from_frame(edges[["play", "rusher", "time"]])
    return blocker.reindex(keys).fillna("").to_numpy()


def count_play(
    name: str, edges: pd.DataFrame, rushers: pd.DataFrame, rows: pd.DataFrame, slack: float, into: Count
) -> None:
    """One play's edges and rushers up to its last judged moment."""
    owners = Owners(rows)
    short = edges[(edges["exposure"] >= SHOWN) & (edges["short_edge"] >= SHORT) & (edges["rusher"] != "")]
    for row in short.itertuples():
        into.judged("short frames", row.told in owners.of(row.rusher, row.time), f"{name} {said(row)}")
    if len(edges) and edges["exposure"].max() > 0:
        row = next(edges.loc[[edges["exposure"].idxmax()]].itertuples())
        into.judged("worst edge", row.told not in owners.of(row.rusher, row.time), f"{name} {said(row)}")
    beats = rows[(rows["outcome"] == "beat") & ~rows["note"].str.contains("late")]
    times = np.unique(rushers["time"])
    for row in beats.itertuples():
        later = times[times >= row.beat_s + slack + LATER - 1e-6]
        if not len(later):
            continue
        then = edges[(edges["time"] == later[0]) & (edges["rusher"] == row.rusher)]
        what = f"{name} {later[0]:.2f} s: {row.protector} beaten {row.side} by {row.rusher} at {row.beat_s:.2f}"
        if row.side == "outside":
            into.judged("beats outside", bool((then["edge_man"] == row.protector).any()), what)
        else:
            into.judged("beats inside", then.empty, what)
    steps = dict(zip(times, np.diff(times, append=times[-1:]), strict=True))
    for row in rows[rows["outcome"] == "held"].itertuples():
        mine = short[short["edge_man"] == row.protector]
        mine = mine[(mine["time"] >= row.start_s - 1e-6) & (mine["time"] <= row.end_s + 1e-6)]
        long = sum(steps[time] for time in mine["time"])
        into.judged("held", long > 0.1 + 1e-6, f"{name}: {row.protector} on {row.rusher} for {long:.2f} s ({row.note})")
    into.add("edge man", changes(edges, "side", "edge_man"))
    into.add("blocker", changes(rushers, "rusher", "blocker"))


def changes(table: pd.DataFrame, key: str, column: str) -> int:
    return sum(
        int((rows[column].iloc[1:].to_numpy() != rows[column].iloc[:-1].to_numpy()).sum())
        for _, rows in table.sort_values("time").groupby(key)
    )


def said(row: object) -> str:
    return (
        f"{row.time:.2f} s: {row.side} edge {row.edge_man}, rusher {row.rusher}, exposure {row.exposure:.2f}, "
        f"short {row.short_edge:.2f}, told as {row.told or 'free'}'s"
    )


def games(plays: int, seeds: Sequence[int]) -> dict[str, list[truth.Case]]:
    return {
        "demo's script": [truth.seeded(seed, plays, clean=True) for seed in seeds],
        "foreign game": [truth.foreign()],
        "second script": [truth.second(seed, plays) for seed in seeds],
    }


def table(plays: int, seeds: Sequence[int], draws: int, levels: Sequence[float], misses: list[str]) -> Iterator[str]:
    """The lines of the table, each as soon as it is known."""
    yield "| game | noise | " + " | ".join(heading for heading, _ in FIGURES.values()) + " |"
    yield "|---|---|" + "---|" * len(FIGURES)
    for name, cases in games(plays, seeds).items():
        for level in levels:
            total = Count()
            for case in cases:
                for draw in range(1, draws + 1 if level else 2):
                    count(truth.noisy(case, level, draw) if level else case, total)
            misses += total.misses
            yield f"| {name} | {level:.2f} yd | " + " | ".join(total.cells()) + " |"
    yield "| promised | 0 | " + " | ".join(promise or "-" for _, promise in FIGURES.values()) + " |"


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--plays", type=int, default=50, help="plays a made game (50)")
    parser.add_argument("--seeds", type=int, nargs="+", default=[301, 302], help="of the made games (301 302)")
    parser.add_argument("--draws", type=int, default=2, help="draws of noise a level (2)")
    parser.add_argument("--levels", type=float, nargs="+", default=list(LEVELS), help="yd of noise")
    parser.add_argument("--list", action="store_true", help="every miss, one a line")
    parser.add_argument("--write", action="store_true", help="the table goes into core/reps/RIGHT.md")
    given = parser.parse_args()
    misses: list[str] = []
    lines = []
    for line in table(given.plays, given.seeds, given.draws, given.levels, misses):
        print(line, flush=True)
        lines.append(line)
    if given.list:
        print("\n".join(["", *misses]))
    if given.write:
        text = PAGE.read_text()
        if BEGIN not in text:
            print(f"RIGHT.md has no {BEGIN.strip()}", file=sys.stderr)
            return 1
        PAGE.write_text(re.sub(f"{BEGIN}.*{END}", lambda _: BEGIN + "\n".join([*lines, END]), text, flags=re.DOTALL))
    return 0


if __name__ == "__main__":
    sys.exit(main())
