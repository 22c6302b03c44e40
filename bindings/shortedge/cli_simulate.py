"""The command `shortedge simulate`: a formation from words and its study, or a check on a recorded game."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from ._core import Assumptions, InputError
from .drops import TABLE_ENDS, save_table, table_path
from .formations import FRONT, PROTECTIONS, SIDES, SPLIT, TAKES, WIDTH, Formation, formation
from .simulate import CONDITIONAL, MISSING, RISE, RISE_DRAWS, Interrupted, Simulation, simulate
from .tables import listed, shown

PAGE = ".html"


def add_arguments(made: argparse.ArgumentParser) -> None:
    made.add_argument("--front", help=f'rushers left to right by technique and side ("{FRONT}")')
    made.add_argument("--passer", choices=tuple(TAKES), default="under", help="where he takes the snap (under)")
    made.add_argument("--protection", choices=PROTECTIONS, default="man", help="who has whom (man)")
    made.add_argument("--splits", type=float, default=SPLIT, metavar="YD", help=f"yd from lineman to lineman ({SPLIT})")
    made.add_argument(
        "--width", type=float, default=WIDTH, metavar="YD", help=f"yd of a wide rusher outside the line ({WIDTH})"
    )
    made.add_argument("--tight-end", choices=tuple(SIDES), help="a tight end on this side")
    made.add_argument("--back", choices=tuple(SIDES), help="a back who stays in, on this side")
    made.add_argument(
        "--chip", action="append", default=[], metavar="RUSHER", help='whom a wing man chips, such as "wide L"'
    )
    made.add_argument(
        "--stunt",
        action="append",
        default=[],
        metavar="A,B",
        help='two rushers exchange, A first, such as "3 L,wide L"',
    )
    made.add_argument("--game", metavar="IN", help="take the formation from the snap of a recorded play of this game")
    made.add_argument("--play", metavar="ID", help="that play")
    made.add_argument("--depths", metavar="YD", help="5,7,9,10 (if not said) or first:last:step, such as 5:12:0.5")
    made.add_argument("--draws", type=int, help="plays simulated a depth (2000); with --against, a recorded play (40)")
    made.add_argument("--seed", type=int, default=1)
    made.add_argument("--throw", type=float, default=2.7, metavar="S", help="s after the snap at seven yards (2.7)")
    made.add_argument("--throw-sd", type=float, default=0.3, metavar="S", help="its spread, s (0.3)")
    made.add_argument("--throw-per-yard", type=float, default=0.12, metavar="S", help="s later a yard deeper (0.12)")
    made.add_argument(
        "--set", action="append", default=[], metavar="NAME=VALUE", help="change an assumption, such as kick_speed=2.4"
    )
    made.add_argument(
        "--sensitivity",
        type=int,
        default=RISE_DRAWS,
        metavar="N",
        help=f"draws of each of its rows ({RISE_DRAWS}); 0: none",
    )
    made.add_argument("--threads", type=int, help="how many threads; as many as there are, if not said")
    made.add_argument(
        "--keep", metavar="STUDY", help="a file (.json) that keeps finished depths; the same command goes on from it"
    )
    made.add_argument(
        "-o", "--out", metavar="PICTURE", help=f"a picture (.svg, .png, .pdf); with --against a page ({PAGE}) too"
    )
    made.add_argument("--table", metavar="FILE", help=f"the table ({', '.join(TABLE_ENDS)})")
    made.add_argument("--against", metavar="IN", help="simulate a recorded game from its snap frames and compare")
    made.add_argument(
        "--without-label", action="append", default=[], metavar="LABEL", help="with --against: leave out these plays"
    )
    made.add_argument("--map", metavar="FILE", help="how the tables of --game or --against are to be read (TOML)")


def run(arguments: argparse.Namespace) -> int:
    from .cli import PICTURES, numbers_of, one_line, save_picture

    assumptions = assumptions_of(arguments.set)
    ends = (PAGE, *PICTURES) if arguments.against else PICTURES
    if arguments.out and Path(arguments.out).suffix.lower() not in ends:
        raise InputError(f"--out is {shown(arguments.out)}; accepted: a name that ends in {', '.join(ends)}")
    if arguments.table:
        table_path(arguments.table)
    if arguments.against:
        return run_against(arguments, assumptions)
    f = formation_of(arguments)
    try:
        made = simulate(
            f,
            numbers_of("--depths", arguments.depths),
            2000 if arguments.draws is None else arguments.draws,
            arguments.seed,
            arguments.throw,
            arguments.throw_sd,
            arguments.throw_per_yard,
            assumptions,
            arguments.threads,
            arguments.keep,
        )
    except Interrupted as stopped:
        print("\n".join(study_lines(stopped.study)))
        study = stopped.study
        done = f"{len(study.rows())} of {len(study.depths) * len(study.plan.kinds())} rows are finished"
        kept = "give --keep STUDY.json to keep them"
        if arguments.keep:
            kept = f"they are in {one_line(arguments.keep)}, and the same command goes on from there"
        print(f"shortedge: interrupted; {done}; {kept}", file=sys.stderr)
        return 130
    print("\n".join(study_lines(made)))
    if arguments.sensitivity:
        print("\n".join(sensitivity_lines(made, arguments.sensitivity, arguments.threads)))
    if arguments.table:
        made.save(arguments.table)
        print(f"table in {one_line(arguments.table)}")
    if arguments.out:
        save_picture(made.draw(), arguments.out)
    return 0


def run_against(arguments: argparse.Namespace, assumptions: Assumptions) -> int:
    from .check_simulator import UNITS, check_simulator, inside_text
    from .cli import figure_text, left_out, load, one_line, save_picture, table

    games = load([arguments.against], arguments.map)
    if len(games) > 1:
        raise InputError(f"--against: found {len(games)} games; accepted: one")
    game = games[0][1]
    draws = 40 if arguments.draws is None else arguments.draws
    made = check_simulator(
        game,
        draws,
        arguments.seed,
        without_label=arguments.without_label,
        assumptions=assumptions,
        threads=arguments.threads,
    )
    lines = [f"{one_line(game.name)}: {len(made.pressures)} plays simulated {draws} times each from their snap frames"]
    rows: list[Sequence[str]] = [("figure", "recording inside", "share", "recorded less simulated", "10 %", "90 %")]
    for row in made.summary_rows():
        name = f"{row['figure'].replace('_', ' ')}, {UNITS[row['figure']]}"
        off = [figure_text(row[key], 2) for key in ("median_difference", "difference_10", "difference_90")]
        rows.append((name, inside_text(row), figure_text(row["inside_share"], 2), *off))
    lines += table(rows)
    lines += [one_line(made.pressure_text()) + "; 0.90 would lie inside if the simulator were right"]
    if made.left_out:
        lines.append(f"{len(made.left_out)} plays left out: {one_line(listed(sorted(set(made.left_out.values()))))}")
    print("\n".join([*lines, f"{CONDITIONAL} {MISSING}", *left_out(game)]))
    if arguments.table:
        save_table(made.arrow(), Path(arguments.table), {"game": game.name, "digest": game.digest})
        print(f"table in {one_line(arguments.table)}")
    if arguments.out and Path(arguments.out).suffix.lower() == PAGE:
        made.page(arguments.out)
        print(f"page in {one_line(arguments.out)}")
    elif arguments.out:
        save_picture(made.draw(), arguments.out)
    return int(bool(game.core.problems))


def assumptions_of(settings: Iterable[str]) -> Assumptions:
    given: dict[str, float] = {}
    for setting in settings:
        name, _, value = setting.partition("=")
        try:
            given[name] = float(value)
        except ValueError:
            raise InputError(f"--set: found {shown(setting)}; accepted: NAME=NUMBER, such as kick_speed=2.4") from None
    return Assumptions(**given)


def formation_of(arguments: argparse.Namespace) -> Formation:
    if arguments.game or arguments.play:
        from .cli import load

        if not (arguments.game and arguments.play):
            raise InputError("--game and --play: found one of them; accepted: both or none")
        games = load([arguments.game], arguments.map)
        if len(games) > 1:
            raise InputError(f"--game: found {len(games)} games; accepted: one")
        words = {
            "front": arguments.front,
            "tight_end": arguments.tight_end,
            "back": arguments.back,
            "chip": arguments.chip or None,
        }
        return formation(game=games[0][1], play=arguments.play, **words)
    return formation(
        passer=arguments.passer,
        front=arguments.front,
        splits=arguments.splits,
        width=arguments.width,
        protection=arguments.protection,
        tight_end=arguments.tight_end,
        back=arguments.back,
        chip=arguments.chip or None,
        stunts=[[part.strip() for part in pair.split(",")] for pair in arguments.stunt],
    )


def study_lines(made: Simulation) -> list[str]:
    """What a coach reads first: a line a throw and depth."""
    from .cli import figure_text, one_line, table

    lines = [one_line(str(made.plan.formation)[10:-1])]
    heading = (
        "throw",
        "depth",
        "thrown",
        "pressure",
        "arrival",
        "hips opened",
        "by 1.2 s",
        "opened at",
        "cut-off ratio",
    )
    rows: list[Sequence[str]] = [heading]
    for row in made.arrow().to_pylist():
        ratio = [figure_text(row[f"cutoff_{percent}"], 2) for percent in (50, 10, 90)]
        shares = [
            f"{row[name]:.2f} ({row[f'{name}_low']:.2f}-{row[f'{name}_high']:.2f})"
            for name in ("pressure", "arrived", "hips")
        ]
        rows.append(
            (
                row["throw"],
                f"{row['depth']:g}",
                figure_text(row["throw_time"], 2),
                *shares,
                figure_text(row["hips_early"], 2),
                figure_text(row["hips_time_50"], 2),
                f"{ratio[0]} ({ratio[1]}-{ratio[2]})",
            )
        )
    lines += table(rows)
    even = [f"{row['protector']} {figure_text(row['break_even'])}" for row in made.break_even_arrow().to_pylist()]
    lines.append(
        f"of {made.plan.draws} draws before the throw, Wilson 95 % interval behind each; depth in yd, times in s; "
        "opened at: middle, of those that opened; cut-off ratio: peak to the spot, greatest of any man, 50 % (10-90 %)."
    )
    if even:
        lines.append(f"break-even depth of the still frame, yd: {one_line(', '.join(even))}; only an ordering.")
    return [*lines, f"{CONDITIONAL} {MISSING}"]


def sensitivity_lines(made: Simulation, draws: int, threads: int | None) -> list[str]:
    """What the rise from 7 to 10 yd hangs on."""
    from .cli import figure_text, table

    shallow, deep = RISE
    if made.plan.formation.passer[1] > shallow:
        return []
    found = made.sensitive_arrow(RISE, draws, threads).to_pylist()
    rows: list[Sequence[str]] = [("assumption", "change", "value", f"at {shallow:g}", f"at {deep:g}", "rise", "95 %")]
    for row in found:
        change = f"{row['change']:+.0%}" if row["change"] else "none"
        value = figure_text(row["value"], 2) if np.isfinite(row["value"]) else "-"
        rows.append(
            (
                row["assumption"],
                change,
                value,
                f"{row['shallow']:.2f}",
                f"{row['deep']:.2f}",
                f"{row['rise']:+.2f}",
                f"{row['low']:+.2f} to {row['high']:+.2f}",
            )
        )
    gone = [f"{row['assumption']} {row['change']:+.0%}" for row in found if row["low"] <= 0]
    said = f"no rise is shown with {', '.join(gone)}" if gone else "the rise stands with each"
    return [
        "",
        f"how the rise in pressure from {shallow:g} to {deep:g} yd (the throw growing) hangs on what is assumed:",
        *table(rows),
        f"{draws} paired draws each (Agresti and Min 2005): {said}.",
    ]


def add(command: Any) -> None:
    """Adds the command to the parser; `command` makes one."""
    add_arguments(command("simulate", run, "Simulate a formation over the depth of the drop, or check the simulator."))
