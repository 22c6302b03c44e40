"""The command `shortedge simulate`: a formation from words and its study; a recorded game, checked or fitted to."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from .. import draw
from .._core import Assumptions, InputError
from ..base.stopping import over
from ..base.text import listed, shown
from ..base.vocabulary import SIDES
from ..measures.drops import TABLE_ENDS, save_table, table_path
from ..pages.check import write_page
from ..simulation.at_snap import formation_of
from ..simulation.check import SimulatorCheck, check_simulator
from ..simulation.fit import SimulatorFit, fit_simulator
from ..simulation.formations import Formation
from ..simulation.fronts import FRONT, PROTECTIONS, SPLIT, TAKES, WIDTH, formation
from ..simulation.plan import RISE_DRAWS
from ..simulation.study import Interrupted, simulate
from .games import one_game
from .inputs import PAGE, PICTURES, numbers_of, picture_path, save_picture, save_study, settings_of
from .parsing import Commands
from .terminal import one_line
from .terminal_drops import check_lines, fit_lines, sensitivity_lines, study_lines

WORDS = (
    "front",
    "passer",
    "protection",
    "splits",
    "width",
    "tight_end",
    "back",
    "chip",
    "roll",
    "play_action",
)  # of a formation, as options
TIMES = ("throw", "throw_sd", "throw_per_yard", "clock", "hold")
TOLD = ("sets", "plans")  # of single men
OF_A_STUDY = (*WORDS, *TOLD, "stunt", "game", "play", *TIMES, "keep", "sensitivity")
OF_A_FIT = ("noise", "tries")

EXAMPLES = """\
  shortedge simulate --front "wide L, 3 L, 1 R, wide R" --keep study.json -o study.svg
  shortedge simulate --protection "slide left" --back right --chip "wide R" --depths 5:12:0.5
  shortedge simulate --game game.h5 --play P040 --table study.csv   from the snap of a recorded play
  shortedge simulate --against game.h5 -o check.html                recorded plays, and where it is wrong
  shortedge simulate --fit game.h5 --depths 5,7,9                   what its plays tell, and a study from them"""


def add_arguments(made: argparse.ArgumentParser) -> None:
    made.add_argument("--front", help=f'rushers left to right by technique and side ("{FRONT}")')
    made.add_argument("--passer", choices=tuple(TAKES), help="where he takes the snap (under)")
    made.add_argument("--protection", choices=PROTECTIONS, help="who has whom (man)")
    made.add_argument("--splits", type=float, metavar="YD", help=f"yd from lineman to lineman ({SPLIT})")
    made.add_argument("--width", type=float, metavar="YD", help=f"yd of a wide rusher outside the line ({WIDTH})")
    made.add_argument("--tight-end", choices=tuple(SIDES), help="a tight end on this side")
    made.add_argument("--back", choices=tuple(SIDES), help="a back who stays in, on this side")
    made.add_argument("--chip", action="append", metavar="RUSHER", help='whom a wing man chips, such as "wide L"')
    made.add_argument(
        "--stunt",
        action="append",
        metavar="A,B",
        help='two rushers exchange, A first, such as "3 L,wide L"',
    )
    made.add_argument("--roll", choices=tuple(SIDES), help="he rolls out to this side, 5 yd")
    made.add_argument(
        "--play-action",
        action="store_true",
        default=None,
        help="a fake: protectors set, and the drop tops, 0.5 s later",
    )
    made.add_argument(
        "--sets", action="append", metavar="MAN=SET", help="a protector's set: jump, 45, vertical, such as LT=vertical"
    )
    made.add_argument(
        "--plans", action="append", metavar="RUSHER=PLAN", help='outside, power or inside, such as "wide R=outside"'
    )
    made.add_argument("--game", metavar="IN", help="take the formation from the snap of a recorded play of this game")
    made.add_argument("--play", metavar="ID", help="that play")
    made.add_argument("--depths", metavar="YD", help="5,7,9,10 (if not said) or first:last:step, such as 5:12:0.5")
    made.add_argument(
        "--draws", type=int, help="plays simulated a depth (2000, with --fit 500); with --against, a recorded play (40)"
    )
    made.add_argument("--seed", type=int, default=1)
    made.add_argument(
        "--clock", choices=("drawn", "quick", "late"), help="second reads by chance, never, always (drawn)"
    )
    made.add_argument("--hold", type=float, metavar="S", help="s from the top of the drop to the throw (0.65)")
    made.add_argument("--throw", type=float, metavar="S", help="s after the snap at seven yards (2.7)")
    made.add_argument("--throw-sd", type=float, metavar="S", help="its spread, s (0.3)")
    made.add_argument("--throw-per-yard", type=float, metavar="S", help="s later a yard deeper (0.12)")
    made.add_argument(
        "--set", action="append", default=[], metavar="NAME=VALUE", help="change an assumption, such as kick_speed=2.4"
    )
    made.add_argument(
        "--sensitivity",
        type=int,
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
        "--fit", metavar="IN", help="what a recorded game tells of the assumptions; with --depths a study, too"
    )
    made.add_argument("--noise", metavar="YD", help="with --fit: of position, yd an axis, auto (if not said) or tracks")
    made.add_argument("--tries", type=int, metavar="N", help="with --fit: sets of assumptions that are tried (600)")
    made.add_argument(
        "--without-label",
        action="append",
        default=[],
        metavar="LABEL",
        help="with --against or --fit: leave out these plays",
    )
    made.add_argument(
        "--map",
        action="append",
        metavar="FILE",
        help="how the tables of the game are to be read (TOML)",
    )


def run(arguments: argparse.Namespace) -> int:
    assumptions = assumptions_of(arguments.set)
    ends = (PAGE, *PICTURES) if arguments.against else PICTURES
    if arguments.out:
        picture_path(arguments.out, ends)
    if arguments.table:
        table_path(arguments.table)
    if arguments.against:
        refuse_beside("--against", arguments, (*OF_A_STUDY, "depths", "fit", *OF_A_FIT))
        return run_against(arguments, assumptions)
    if arguments.fit:
        refuse_beside("--fit", arguments, (*OF_A_STUDY, "out"))
        return run_fit(arguments, assumptions)
    if arguments.without_label:
        raise InputError("--without-label: found without --against or --fit; accepted: both or none")
    alone = [f"--{name}" for name in said(arguments, OF_A_FIT)]
    if alone:
        raise InputError(f"{listed(alone)}: found without --fit; accepted: both or none")
    sensitivity = RISE_DRAWS if arguments.sensitivity is None else arguments.sensitivity
    if sensitivity < 0:
        raise InputError(f"--sensitivity is {sensitivity}; accepted: a whole number, 0 for none")
    f = wanted_formation(arguments)
    try:
        made = simulate(
            f,
            depths=numbers_of("--depths", arguments.depths),
            draws=2000 if arguments.draws is None else arguments.draws,
            seed=arguments.seed,
            assumptions=assumptions,
            threads=arguments.threads,
            out=arguments.keep,
            **said(arguments, TIMES),
        )
    except Interrupted as stopped:
        over.set()
        print("\n".join(study_lines(stopped.study)))
        study = stopped.study
        done = f"{len(study.counted())} of {len(study.depths) * len(study.plan.kinds())} rows are finished"
        kept = "give --keep STUDY.json to keep them"
        if arguments.keep:
            kept = f"they are in {one_line(arguments.keep)}, and the same command goes on from there"
        print(f"shortedge: interrupted; {done}; {kept}", file=sys.stderr)
        return 130
    print("\n".join(study_lines(made)))
    save_study(made, draw.simulated_study, arguments)
    if sensitivity:
        print("\n".join(sensitivity_lines(made, sensitivity, arguments.threads)))
    return 0


def maps_given(arguments: argparse.Namespace) -> list[str]:
    return list(arguments.map or [])


def said(arguments: argparse.Namespace, names: Iterable[str]) -> dict[str, Any]:
    """The options of these names that were given."""
    return {name: getattr(arguments, name) for name in names if getattr(arguments, name) is not None}


def refuse_beside(option: str, arguments: argparse.Namespace, names: Iterable[str]) -> None:
    given = ["--" + name.replace("_", "-") for name in said(arguments, names)]
    if given:
        raise InputError(f"{listed(given)}: found with {option}; accepted: one or the other")


def run_against(arguments: argparse.Namespace, assumptions: Assumptions) -> int:
    game = one_game("--against", [arguments.against], maps_given(arguments))
    draws = 40 if arguments.draws is None else arguments.draws
    made = check_simulator(
        game,
        draws=draws,
        seed=arguments.seed,
        without_label=arguments.without_label,
        assumptions=assumptions,
        threads=arguments.threads,
    )
    print("\n".join(check_lines(made)))
    save_asked(made, arguments)
    if arguments.out and Path(arguments.out).suffix.lower() == PAGE:
        write_page(made, arguments.out)
        print(f"page in {one_line(arguments.out)}")
    elif arguments.out:
        save_picture(draw.simulator_check(made), arguments.out)
    return int(not game.is_whole)


def save_asked(made: SimulatorCheck | SimulatorFit, arguments: argparse.Namespace, **more: str) -> None:
    """The table of a recorded game, where one is asked for; more: what it says of itself beside the game."""
    if arguments.table:
        game = made.game
        about = {"game": game.name, "digest": game.digest, **more}
        save_table(made.arrow(), Path(arguments.table), about, game.sources)
        print(f"table in {one_line(arguments.table)}")


def run_fit(arguments: argparse.Namespace, assumptions: Assumptions) -> int:
    depths = numbers_of("--depths", arguments.depths)
    if depths is None and arguments.draws is not None:
        raise InputError("--draws: found with --fit without --depths; accepted: both or none")
    noise: Any = arguments.noise or "auto"
    if noise not in ("auto", "tracks"):
        try:
            noise = float(noise)
        except ValueError:
            raise InputError(f"--noise is {shown(noise)}; accepted: yd an axis, auto, tracks") from None
    game = one_game("--fit", [arguments.fit], maps_given(arguments))
    made = fit_simulator(
        game,
        noise=noise,
        seed=arguments.seed,
        without_label=arguments.without_label,
        assumptions=assumptions,
        threads=arguments.threads,
        **({} if arguments.tries is None else {"sets": arguments.tries}),
    )
    print("\n".join(fit_lines(made)))
    save_asked(made, arguments, noise=f"{made.noise.sigma:g}")
    if depths is not None and not made.refused:
        more = said(arguments, ("draws",))
        print("")
        print(made.study(depths=depths, seed=arguments.seed, threads=arguments.threads, **more).words())
    return int(not game.is_whole or bool(made.refused))


def assumptions_of(settings: Iterable[str]) -> Assumptions:
    return Assumptions(**settings_of(settings, "NAME=NUMBER, such as kick_speed=2.4"))


def wanted_formation(arguments: argparse.Namespace) -> Formation:
    if arguments.game or arguments.play:
        if not (arguments.game and arguments.play):
            raise InputError("--game and --play: found one of them; accepted: both or none")
        refuse_beside("--game", arguments, (*WORDS, *TOLD, "stunt"))
        return formation_of(one_game("--game", [arguments.game], maps_given(arguments)), arguments.play)
    stunts = [[part.strip() for part in pair.split(",")] for pair in arguments.stunt or ()]
    told: dict[str, Any] = {name: men_told(f"--{name}", given) for name, given in said(arguments, TOLD).items()}
    made = formation(**said(arguments, WORDS), **told)
    return made.with_stunts(*stunts)


def men_told(option: str, given: Iterable[str]) -> dict[str, str]:
    """Man to word, of options such as LT=vertical."""
    pairs = [text.partition("=") for text in given]
    for name, equals, order in pairs:
        if not (name.strip() and equals and order.strip()):
            raise InputError(f"{option}: found {shown(name + equals + order)}; accepted: MAN=WORD")
    return {name.strip(): order.strip() for name, _, order in pairs}


def add(commands: Commands) -> None:
    help = "Simulate a formation over the depth of the drop, or check the simulator, or fit it."
    add_arguments(commands.add("simulate", run, help, EXAMPLES))
