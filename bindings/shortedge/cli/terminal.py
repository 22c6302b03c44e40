"""What the command line prints: tables, summaries and what was left out, in colour where the terminal has it."""

from __future__ import annotations

import os
import sys
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from ..base.rows import slices
from ..base.text import listed, plural, shown
from ..base.vocabulary import FREE, HELP, JUDGED, LINE, OF_A_PAIR, POSITIONS, SIDES, UNCOVERED
from ..game.game import Game
from ..measures.reps import Reps, reps_of
from ..measures.results import Measures
from ..tell.words import SHOWN_FROM, sentences

MOST_LINES = 100  # of plays, printed one a line; of more, the worst are shown
MOST_WORDS = 20  # of theirs for positions
IN_WORDS = 10  # plays told in words
BOLD, DIM, OFF = "\033[1m", "\033[2m", "\033[0m"
SHADES = ((0.6, "\033[1;38;5;124m"), (0.2, "\033[38;5;166m"), (-1.0, DIM))  # of an exposure, from there on


def coloured() -> bool:
    """Whether colours are wanted: a terminal that has them, and no NO_COLOR (https://no-color.org)."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def one_line(text: str) -> str:
    """Text for a terminal: nothing in it but what can be printed, on one line."""
    return "".join(char if char.isprintable() else " " if char.isspace() else f"\\u{ord(char):04x}" for char in text)


def table(rows: Sequence[Sequence[str]]) -> list[str]:
    """Rows in columns, the first row a heading; numbers to the right; in colour where `coloured`."""
    clean = [[one_line(cell) for cell in row] for row in rows]
    widths = [max(map(len, column)) for column in zip(*clean, strict=True)]
    right = [all(cell[:1] in "-0123456789" for cell in column[1:]) for column in zip(*clean, strict=True)]
    titles, painted, lines = clean[0], coloured(), []
    for n, row in enumerate(clean):
        padded = [cell.rjust(w) if r else cell.ljust(w) for cell, w, r in zip(row, widths, right, strict=True)]
        padded[-1] = padded[-1].rstrip()
        if painted:
            padded = [paint(cell, title, n == 0) for cell, title in zip(padded, titles, strict=True)]
        lines.append("  ".join(padded).rstrip())
    return lines


def paint(cell: str, title: str, heading: bool) -> str:
    """A cell in its colour: headings bold, nothing faint, an exposure the darker the greater."""
    if heading:
        return f"{BOLD}{cell}{OFF}"
    if cell.strip() == "-":
        return f"{DIM}{cell}{OFF}"
    if title.endswith("exposure") and cell.strip():
        shade = next(code for least, code in SHADES if float(cell) >= least)
        return f"{shade}{cell}{OFF}"
    return cell


def figure_text(value: float, places: int = 1) -> str:
    return f"{value:.{places}f}" if np.isfinite(value) else "-"


def summary(m: Measures) -> list[str]:
    """What a coach reads first: a line a play."""
    game = m.game
    lines = [f"{one_line(game.name)}: {len(game.measured())} plays measured, {len(game.core.problems)} skipped"]
    rows = play_rows(m)
    worst = sorted(range(len(rows)), key=lambda i: -rows[i][0])[:MOST_LINES]
    if len(rows) > MOST_LINES:
        lines.append(f"the {MOST_LINES} plays with the most exposed edge:")
    heading = ("play", "deepest", "width", "room", "worst edge", "exposure", "at", "short edge")
    lines += table([heading, *(rows[i][1] for i in sorted(worst))])
    lines.append(
        "deepest: passer behind the line, yd; width and room to step up: at the throw, else at the end, yd; worst "
        "edge: most exposed up to the throw, s since the snap; short edge: yd, shown with exposure 0.2 or more. "
        "Geometry, not a grade."
    )
    most = sorted(worst[:IN_WORDS])
    said = sentences(m, reps_of(m))
    lines.append("in words, the plays with the most exposed edge:" if len(rows) > len(most) else "in words:")
    lines += [one_line(f"{play}: {said[play]}") for play in (rows[i][1][0] for i in most)]
    return lines + left_out(game)


# What is told of the tables beside reps: counts, the share with its interval, a median; and what that share is of.
BESIDE = {
    "exchanges": (
        ("exchanges", "twist", "pass_off", "stayed", "handed_over"),
        ("late", "lost"),
        None,
        "late and lost share: of those handed over (twists and pass-offs). Late: the new man's cut-off ratio is 1 or "
        "more, or he makes contact more than 0.5 s after it.",
    ),
    "searches": (
        ("searches", "found_rusher", "found_help", "found_nobody"),
        ("found",),
        "median_seconds",
        "found share: of searches, a rusher who was not his at the snap or a man to help; median seconds until then.",
    ),
    "looks": (
        ("looks", "came"),
        ("came",),
        "median_came_at",
        "came share: of looks, one a defender and play at the snap; median seconds after the snap at which he came.",
    ),
}


def rep_summary(
    game: Game, made: Reps, of: str, by: Sequence[str], without_label: Sequence[str], marks: str = "professional"
) -> list[str]:
    """A line a group of one of the tables, with denominators and intervals, and what to keep in mind."""
    without = [label for label in without_label if label in made.labels]
    groups = made.summary_arrow(by, without, True, of=of, marks=marks).to_pylist()
    lines = [f"{one_line(game.name)}: {of} of {len(game.measured())} plays"]
    if groups and groups[0]["left_out"]:
        lines[0] += f", {groups[0]['plays_left_out']} left out ({one_line(groups[0]['left_out'])})"
    if of != "reps":
        return lines + beside(of, by, groups) + left_out(game)
    counted = ("judged", *JUDGED, "ball_out", FREE, HELP, UNCOVERED)
    heading = [*by, *(name.replace("_", " ") for name in counted), "beat share", "pressure share", "median exposure"]
    rows = []
    for group in groups:
        keys = ["-" if group[name] is None else str(group[name]) for name in by]
        shares = [interval(group, name) for name in ("beat", "pressure")]
        rows.append(
            [*keys, *(str(group[name]) for name in counted), *shares, figure_text(group["median_peak_outside"], 2)]
        )
    lines += table([heading, *rows])
    if made.laid_over:
        changed = sum(group["corrected"] for group in groups)
        before = ", ".join(f"{name} {sum(group[f'{name}_measured'] for group in groups)}" for name in OF_A_PAIR)
        lines.append(f"{plural(changed, 'row')} corrected; as measured: {before}")
    lines += [
        "beat share: of judged (held, beat, driven); pressure share: of judged and free; Wilson 95 % interval behind "
        "each; * fewer than 10 judged: do not compare. Exposure: greatest round the outside, median."
        + (
            " -: nobody had the rusher."
            if by == ["protector"] and any(one["protector"] is None for one in groups)
            else ""
        ),
        "Outcomes follow from coordinates, which see no hands, call or assignment. Held against driven, and who had "
        "the rusher in a double team, err first. Not a grade.",
    ]
    return lines + left_out(game)


def beside(of: str, by: Sequence[str], groups: Sequence[Mapping[str, Any]]) -> list[str]:
    """The lines of one of the tables beside reps."""
    counted, shares, median, meaning = BESIDE[of]
    heading = [*by, *counted, *(f"{name} share" for name in shares), *([median] if median else [])]
    rows = []
    for group in groups:
        row = [*("-" if group[name] is None else str(group[name]) for name in by)]
        row += [*(str(group[name]) for name in counted), *(interval(group, name) for name in shares)]
        rows.append(row + ([figure_text(group[median])] if median else []))
    return [
        *table([[name.replace("_", " ") for name in heading], *rows]),
        f"{meaning} Wilson 95 % interval behind each; * of fewer than 10: do not compare.",
        "Seen from coordinates alone, which see no hands, call or assignment. Not a grade.",
    ]


def interval(group: Mapping[str, Any], name: str) -> str:
    share, low, high = (group[f"{name}_{what}"] for what in ("share", "low", "high"))
    few = "*" if group["small"] else ""
    return f"{share:.2f} ({low:.2f}-{high:.2f}){few}" if np.isfinite(share) else "-"


def play_rows(m: Measures) -> list[tuple[float, list[str]]]:
    """Greatest exposure and the line of every play."""
    game, frames, edges = m.game, m.coded["frames"], m.coded["edges"]
    throw = throw_times(game)
    rows = []
    edge_at = slices(edges["play"])
    for code, at in slices(frames["play"]).items():
        last = throw.get(code, np.inf) + 1e-6
        before = np.flatnonzero(frames["time"][at] <= last) + at.start
        depths = frames["passer_depth"][before]
        deepest = np.max(depths[~np.isnan(depths)], initial=-np.inf)
        shown_frame = before[-1] if len(before) else at.start
        cells = [
            game.play_ids[code],
            figure_text(deepest),
            figure_text(frames["pocket_width"][shown_frame]),
            figure_text(frames["pocket_depth"][shown_frame]),
        ]
        row = worst_edge(edges, edge_at.get(code), last)
        exposure = float(edges["exposure"][row]) if row is not None else 0.0
        if row is None or exposure == 0:
            cells += ["-", "-", "-", "-"]
        else:
            man = int(edges["edge_man"][row])
            side = SIDES[edges["side"][row]]
            free = int(edges["rusher"][row]) >= 0 and np.isnan(edges["corner_held"][row])
            who = " ".join((game.position_of(code, man), game.player_ids[man]))
            cells += [
                f"{side} free, outside {who}" if free else f"{side} {who}",
                figure_text(exposure, 2),
                figure_text(edges["time"][row]),
                figure_text(edges["short_edge"][row])
                if exposure >= SHOWN_FROM and not free and game.play_ids[code] not in game.swamped
                else "-",
            ]
        rows.append((exposure, cells))
    return rows


def worst_edge(edges: Mapping[str, Any], at: slice | None, last: float) -> int | None:
    """The row of the most exposed edge of a play up to a time, the first of equals."""
    if at is None:
        return None
    exposure = np.where(edges["time"][at] <= last, edges["exposure"][at], -1.0)
    best = int(np.argmax(exposure))
    return at.start + best if exposure[best] >= 0 else None


def throw_times(game: Game) -> dict[int, float]:
    """s since the snap, by play code; plays without a throw are left out."""
    snaps = game.core.snaps
    since = snaps["throw_time"] - snaps["snap_time"]
    return {code: time for code, time in zip(snaps["play"].tolist(), since.tolist(), strict=True) if not np.isnan(time)}


def left_out(game: Game) -> list[str]:
    """What was dropped and what was skipped."""
    lacks = f"of players people lacks ({one_line(listed(game.unlisted))})"
    says = {"no_player": "without a player", "not_in_people": lacks, "missing": "without x or y"}
    dropped = [f"{count} {says[what]}" for what, count in game.dropped.items() if count]
    lines = [one_line(note) for note in game.notes]
    lines += [f"rows of tracks left out: {', '.join(dropped)}"] if dropped else []
    lines += [f"{one_line(play)}: {one_line(says)}" for play, says in game.remark_of.items()]
    problems = game.core.problems
    lines += [f"skipped {one_line(game.play_ids[play])}: {one_line(reason)}" for play, reason in problems]
    return lines


def inspection(game: Game) -> list[str]:
    """What check says of a game."""
    tracks = game.core.tracks
    same = (np.diff(tracks["play"]) == 0) & (np.diff(tracks["player"]) == 0)
    steps = np.diff(tracks["time"])[same]
    plays = [game.play(play) for play in game.measured()]
    lines = [f"{one_line(game.name)}: {len(plays)} plays to measure, {len(game.core.problems)} skipped"]
    if len(steps):
        low, middle, high = np.quantile(steps, (0.05, 0.5, 0.95))
        spread = f"{figure_text(1 / high)} to {figure_text(1 / low)}" if low > 0 else "uneven"
        lines.append(
            f"rate: {figure_text(1 / middle)} samples a second (5-95 %: {spread}), {len(tracks['time'])} samples"
        )
    filled = sum(play.filled for play in plays)
    too_long = int(np.sum(steps > 0.5 + 1e-6))
    lines.append(f"gaps: {filled} places filled, {too_long} gaps over 0.5 s left open")
    counts = {
        role: Counter(sum(man.role == role for man in play.men) for play in plays) for role in ("rusher", "protector")
    }
    for role, counted in counts.items():
        lines.append(f"{role}s: " + ", ".join(f"{n} in {plays} plays" for n, plays in sorted(counted.items())))
    lines += positions(game)
    if len(plays) <= MOST_LINES:
        heading = ("play", "frames", "passer", "line", "protectors", "rushers", "filled")
        lines += table([heading, *(role_row(play) for play in plays)])
    return lines + left_out(game)


def positions(game: Game) -> list[str]:
    """The words for positions: which have a meaning, and which are only kept."""
    people = game.core.people
    men = {pair for pair in zip(people["player"].tolist(), people["position"], strict=True) if pair[1]}
    counted = Counter(position for _, position in men)
    known = [f"{word} {counted[word]}" for word in POSITIONS if word in counted]
    others = [f"{shown(word)} {count}" for word, count in counted.most_common() if word not in POSITIONS]
    lines = [f"positions with a meaning, and men: {', '.join(known) or 'none'}"]
    if others:
        some = ", ".join(others[:MOST_WORDS]) + (f" and {len(others) - MOST_WORDS} more" if others[MOST_WORDS:] else "")
        lines.append(
            f"positions without one: {some}. If one of them is of the line, a back or the passer, say so under "
            f'[values.position], as "their word" = "{LINE[1]}"; with a meaning: {", ".join(POSITIONS)}'
        )
    return [one_line(line) for line in lines]


def role_row(play: Any) -> list[str]:
    by_role = Counter(man.role for man in play.men)
    passer = next(man.player for man in play.men if man.role == "passer")
    line = [slot for slot in LINE if any(man.slot == slot for man in play.men)]
    numbers = (by_role["protector"], by_role["rusher"], play.filled)
    return [play.id, str(len(play.time)), passer, " ".join(line), *map(str, numbers)]
