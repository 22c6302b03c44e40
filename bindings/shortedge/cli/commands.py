"""The command line: shortedge measure, check, show, reps, cut, report, player, drop, simulate, completion.

Exit codes: 0 clean, 1 plays were skipped, 2 refused (one line on stderr says why), 130 stopped by the keyboard.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any, NoReturn, get_args

import numpy as np

from .. import _core, draw
from .._core import FileError, InputError, Rules
from ..base.tables import TABLE_FILES, listed, shown
from ..game.draft import draft_map
from ..game.game import Game
from ..game.inputs import TABLES
from ..measures.drops import (
    DEPTHS,
    SPEED_RATIOS,
    TABLE_ENDS,
    WIDTHS,
    BreakEven,
    DropStudy,
    break_even_table,
    drop_study,
    table_path,
)
from ..measures.folder import HDF5
from ..measures.reps import Reps, reps_by, reps_of
from ..measures.results import Measures, measure
from ..measures.summary import KEYS, OUTCOMES, check_labels
from ..pages.player import Player, data
from ..pages.report import player_page, report
from ..season.season import measure_many
from ..tell.cut import ENDS, At, cut
from . import simulate as cli_simulate
from .inputs import (
    PAGE,
    PICTURES,
    game_files,
    load,
    mapped_tables,
    noise_of,
    numbers_of,
    one_play,
    picture_path,
    rules_of,
    save_picture,
    save_study,
    table_paths,
)
from .terminal import MOST_LINES, figure_text, inspection, left_out, one_line, rep_summary, summary, table, worst_moment
from .terminal_drops import drop_summary, still_summary

MOVING = (".mp4", ".gif")
SHELLS = ("bash", "zsh", "fish")
FILES = ("inputs", "out", "map", "corrections", "sheet", "table", "keep", "game", "against")  # options that name a file


def main(argv: Sequence[str] | None = None) -> int:
    """Runs one command and returns its exit code."""
    arguments = parser().parse_args(argv)
    try:
        return int(arguments.run(arguments))
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return 130
    except (InputError, FileError, OSError) as why:
        print(f"shortedge: {one_line(str(why))}", file=sys.stderr)
        return 2


class Parser(argparse.ArgumentParser):
    """Says what is wrong with the arguments in one line, and keeps the lines of examples as they are written."""

    def __init__(self, **given: Any) -> None:
        super().__init__(formatter_class=argparse.RawDescriptionHelpFormatter, **given)

    def error(self, message: str) -> NoReturn:
        self.exit(2, f"{self.prog}: {one_line(message)}; see {self.prog} --help\n")


CODES = """\
exit codes:
  0    clean
  1    done, but plays were skipped: listed with their reasons
  2    refused, nothing was written: one line on stderr says why
  130  stopped by the keyboard"""

FIRST = """\
first steps:
  shortedge check game/ --draft-map > map.toml    a first mapping of your columns; then say units, origin and y in it
  shortedge check game/ --map map.toml            what is in it, and what is wrong with it
  shortedge measure game/ --map map.toml -o pocket.h5
  shortedge report game/ --map map.toml -o report.html

Each command explains itself: shortedge COMMAND --help.
"""

EXAMPLES = {
    "measure": """\
  shortedge measure game/ --map map.toml -o pocket.h5
  shortedge measure week1.h5 week2.h5 -o results/        a file each
  shortedge measure game.h5 -o pocket/ --set reach=1.1   a folder of Parquet, with another reach
  shortedge measure game.h5 -o pocket.h5 --noise auto    with a band round every figure
  shortedge measure season/ --map map.toml -o out/ --stream   by parts; the same again goes on where it was stopped""",
    "check": """\
  shortedge check game/ --draft-map > map.toml
  shortedge check game/ --map map.toml --sheet snaps.png   every snap drawn: is LT on the left?""",
    "show": """\
  shortedge show game.h5 P024 -o worst.png                 the most exposed moment
  shortedge show game.h5 P024 --at 2.1 -o frame.svg
  shortedge show game.h5 P024 --timeline -o timeline.pdf
  shortedge show game.h5 P024 --moments TK-63 -o rep.png   six moments of his rep
  shortedge show game.h5 P024 -o play.html                 a page to scrub through
  shortedge show game.h5 P024 -o play.mp4 --speed 0.5      half as fast as it was""",
    "reps": """\
  shortedge reps game.h5 -o reps.h5
  shortedge reps game.h5 -o reps.h5 --by protector --by technique --without-label screen""",
    "cut": """\
  shortedge cut game.h5 --player TK-63 --outcome beat -o guard.otio
  shortedge cut week1.h5 week2.h5 --top 12 -o worst.csv""",
    "report": """\
  shortedge report game.h5 -o report.html --without-label screen
  shortedge report season/ -o reports/                     a page a game""",
    "player": """\
  shortedge player TK-63 game.h5 -o guard.html
  shortedge player TK-63 season/ -o guard.html             over every game file of a folder""",
    "drop": """\
  shortedge drop game.h5 P040 --depths 5,7,9,10 -o drops.svg
  shortedge drop game.h5 P040 --depths 5:12:0.5 --table drops.csv
  shortedge drop --still --widths 1:5:0.5 -o break_even.svg   break-even depths, no play""",
    "simulate": """\
  shortedge simulate --front "wide L, 3 L, 1 R, wide R" --keep study.json -o study.svg
  shortedge simulate --protection "slide left" --back right --chip "wide R" --depths 5:12:0.5
  shortedge simulate --game game.h5 --play P040 --table study.csv   from the snap of a recorded play
  shortedge simulate --against game.h5 -o check.html                recorded plays, and where it is wrong""",
    "completion": """\
  shortedge completion bash > ~/.local/share/bash-completion/completions/shortedge
  shortedge completion zsh > "${fpath[1]}/_shortedge"
  shortedge completion fish > ~/.config/fish/completions/shortedge.fish""",
}


def parser() -> argparse.ArgumentParser:
    top = Parser(
        prog="shortedge",
        description="Measures the passing pocket from tracking coordinates.",
        epilog=f"{FIRST}\n{CODES}",
    )
    top.add_argument("--version", action="version", version=f"shortedge {_core.__version__}")
    commands = top.add_subparsers(required=True, metavar="COMMAND")
    inputs = "a game file (.h5), a folder with tables tracks, snaps and people, or these three files in that order"

    def command(name: str, run: Any, help: str, **more: Any) -> argparse.ArgumentParser:
        epilog = f"examples:\n{EXAMPLES[name]}\n\n{CODES}"
        made = commands.add_parser(name, help=help, description=help, epilog=epilog, **more)
        made.set_defaults(run=run)
        return made

    one = command("measure", run_measure, "Measure games and keep the results.")
    one.add_argument("inputs", nargs="+", metavar="IN", help=inputs + "; or several game files")
    one.add_argument(
        "-o", "--out", required=True, help="a file (.h5) or folder for the results; of several games, a folder"
    )
    one.add_argument("--strict", action="store_true", help="a play that cannot be measured is an error")
    one.add_argument("--threads", type=int, help="how many threads; as many as there are, if not said")
    one.add_argument(
        "--noise",
        metavar="YD",
        help="yd per axis, auto or tracks (their own sd_x, sd_y): "
        "also keep a 5-95 %% band of every figure under so much noise of position",
    )
    one.add_argument("--draws", type=int, default=100, metavar="N", help="draws of noise the bands are made of (100)")
    one.add_argument("--seed", type=int, default=1, metavar="N", help="of the draws (1)")
    one.add_argument(
        "--stream",
        action="store_true",
        help="a season: by parts, memory flat, into a folder of parts; the same command again goes on where it stood",
    )
    one.add_argument(
        "--format", choices=("parquet", "hdf5"), help="with --stream: what the parts are written as (parquet)"
    )
    one.add_argument("--processes", type=int, help="with --stream: so many processes instead of threads")

    two = command("check", run_check, "Say what is in the input and what is wrong with it.")
    two.add_argument("inputs", nargs="+", metavar="IN", help=inputs + "; or several game files")
    two.add_argument(
        "--draft-map", action="store_true", help="write a first mapping, guessed from the column names, to stdout"
    )
    two.add_argument("--sheet", metavar="PICTURE", help="a sheet of snap frames, to see whether the mapping is right")

    three = command(
        "show",
        run_show,
        "Show a play: a frame, its timeline, a rep's moments, a page to scrub through, or a moving picture.",
        usage="%(prog)s IN PLAY -o PICTURE [options]",
    )
    three.add_argument("inputs", nargs="+", metavar="IN PLAY", help=inputs + "; then the play")
    three.add_argument("--at", type=float, help="s since the snap; the worst moment before the throw, if not said")
    three.add_argument("--timeline", action="store_true", help="the course of the whole play")
    three.add_argument("--moments", metavar="ID", help="six moments of this protector's rep, his longest in the play")
    three.add_argument("--speed", type=float, help="of a moving picture: 0.5 is half as fast as it was (1)")
    three.add_argument(
        "-o",
        "--out",
        required=True,
        metavar="PICTURE",
        help=f"a picture ({', '.join(PICTURES)}), a page ({PAGE}) or a moving picture ({', '.join(MOVING)})",
    )

    four = command("reps", run_reps, "Who blocked whom and how it ended: keep the reps, print a summary.")
    four.add_argument("inputs", nargs="+", metavar="IN", help=inputs + "; or several game files")
    four.add_argument(
        "-o", "--out", required=True, help="a file (.h5) or folder for the reps; of several games, a folder"
    )
    four.add_argument(
        "--by",
        action="append",
        choices=KEYS,
        help="print a line each; given again, a line each combination (protector, if not said)",
    )
    four.add_argument("--threads", type=int, help="how many threads; as many as there are, if not said")

    five = command("cut", run_cut, "Write a cut list of chosen reps: where they are on the film.")
    five.add_argument("inputs", nargs="+", metavar="IN", help=inputs + "; or several game files")
    five.add_argument("-o", "--out", required=True, metavar="LIST", help=f"the cut list ({', '.join(ENDS)})")
    five.add_argument("--player", action="append", default=[], metavar="ID", help="reps of this man, on either side")
    five.add_argument("--outcome", action="append", default=[], choices=OUTCOMES, help="reps that ended so")
    five.add_argument("--ball-out", action="store_true", help="reps lost though the ball was out")
    five.add_argument("--min-short-edge-seconds", type=float, metavar="S", help="reps with a short edge that long")
    five.add_argument(
        "--top", type=int, metavar="N", help="the N with the longest short edge, then the most exposed; worst first"
    )
    five.add_argument("--at", choices=get_args(At), help="the moment a clip is about; the usual one, if not said")
    five.add_argument("--before", type=float, default=3.0, metavar="S", help="s before that moment (3)")
    five.add_argument("--after", type=float, default=2.0, metavar="S", help="s after it (2)")
    five.add_argument("--rate", help="frames a second of the film, where the snaps have no film_rate")

    six = command("report", run_report, "Write a game's report: one page that opens offline from a mail.")
    six.add_argument("inputs", nargs="+", metavar="IN", help=inputs + "; or several game files")
    six.add_argument("-o", "--out", required=True, help="the page (.html); of several games, a folder")

    seven = command(
        "player", run_player, "Write one man's page, over one game or several: his reps, and what to watch."
    )
    seven.add_argument("player", metavar="ID", help="his id, the same in every game")
    seven.add_argument("inputs", nargs="+", metavar="IN", help=inputs + "; or several game files")
    seven.add_argument("-o", "--out", required=True, help="the page (.html)")

    eight = command(
        "drop",
        run_drop,
        "What another depth of the drop would have asked of the edge protectors of a play; or, with --still, "
        "break-even depths of a still frame.",
        usage="%(prog)s IN PLAY [options]\n       %(prog)s --still [options]",
    )
    eight.add_argument("inputs", nargs="*", metavar="IN PLAY", help=inputs + "; then the play")
    eight.add_argument("--depths", metavar="YD", help="5,7,9,10 or first:last:step, such as 5:12:0.5")
    eight.add_argument("--still", action="store_true", help="no play: alignment width by the protector's speed")
    eight.add_argument(
        "--widths", metavar="YD", help="with --still: yd the rusher stands outside the tackle, as --depths"
    )
    eight.add_argument(
        "--speed-ratios",
        metavar="K",
        help="with --still: the protector's speed as a share of the rusher's, as --depths",
    )
    eight.add_argument("-o", "--out", metavar="PICTURE", help=f"a picture ({', '.join(PICTURES)})")
    eight.add_argument("--table", metavar="FILE", help=f"the table ({', '.join(TABLE_ENDS)})")

    cli_simulate.add(command)

    nine = command("completion", run_completion, "Print a script that completes commands and options in a shell.")
    nine.add_argument("shell", choices=SHELLS)

    for made in (four, five, six, seven):
        made.add_argument(
            "--corrections", metavar="FILE", help="a table of corrections to lay over the reps (one game)"
        )
        made.add_argument(
            "--without-label", action="append", default=[], metavar="LABEL", help="leave out plays with this label"
        )
    for made in (one, two, three, four, five, six, seven, eight):
        made.add_argument("--map", metavar="FILE", help="how the tables are to be read (TOML)")
    for made in (one, three, four, five, six, seven, eight):
        made.add_argument(
            "--set", action="append", default=[], metavar="RULE=VALUE", help="change a rule, such as reach=1.1"
        )
    return top


# ----------------------------------------------------------------------------------------------------- commands


def run_measure(arguments: argparse.Namespace) -> int:
    rules, noise = rules_of(arguments.set), noise_of(arguments.noise)
    if arguments.stream:
        return run_stream(arguments, rules, noise)
    for name in ("format", "processes"):
        if getattr(arguments, name) is not None:
            raise InputError(f"--{name}: found without --stream; accepted: with it")
    games = load(arguments.inputs, arguments.map)
    targets = targets_of(games, Path(arguments.out))
    if arguments.strict:
        for _, game in games:
            refuse_problems(game)
    for (_, game), target in zip(games, targets, strict=True):
        m = measure(game, rules, noise=noise, draws=arguments.draws, seed=arguments.seed, threads=arguments.threads)
        m.save(target)
        print("\n".join(summary(m)))
        if m.noise:
            print(
                f"bands: 5-95 % of {m.noise.draws} draws of {m.noise.sigma:.3f} yd of noise per axis ({m.noise.found})"
            )
        print(f"results in {one_line(str(target))}")
    return int(any(len(game.problems) for _, game in games))


def run_stream(arguments: argparse.Namespace, rules: Rules, noise: Any) -> int:
    if arguments.strict:
        raise InputError("--strict: found with --stream; accepted: without it")
    paths: Any = game_files(arguments.inputs, arguments.map)
    mapping: dict[str, Any] = {}
    if not paths:
        _, tables, mapping = mapped_tables(arguments.inputs, arguments.map)
        paths = tuple(tables[name] for name in TABLES)
    done = measure_many(
        paths,
        arguments.out,
        processes=arguments.processes,
        threads=arguments.threads,
        rules=rules,
        noise=noise,
        draws=arguments.draws,
        seed=arguments.seed,
        format=arguments.format or "parquet",
        **mapping,
    )
    counts, seconds = done.counts, done.seconds
    print(f"{counts['plays']} plays measured, {counts['frames']} frames, {counts['problems']} plays skipped")
    if done.resumed:
        print(f"{done.resumed} of {done.parts} parts were whole already")
    print(f"laying out {seconds['laying out']:.1f} s, measuring {seconds['measuring']:.1f} s")
    for row in done.problems_arrow().slice(0, MOST_LINES).to_pylist():
        print(f"skipped {one_line(row['play'])}: {one_line(row['reason'])}")
    print(f"results in {one_line(arguments.out)}")
    return int(counts["problems"] > 0)


def targets_of(games: Sequence[tuple[str, Game]], out: Path, end: str = ".h5") -> list[Path]:
    """Where what is made of each game goes; the folder of several is made."""
    if len(games) == 1:
        return [out]
    if out.suffix.lower() in (*HDF5, PAGE):
        raise InputError(f"--out is {shown(out.name)}; accepted for {len(games)} games: a folder")
    targets = [out / f"{stem}{end}" for stem, _ in games]
    twice = [name for name, count in Counter(targets).items() if count > 1]
    if twice:
        raise InputError(f"two inputs would both be written to {twice[0]}; accepted: files of different names")
    out.mkdir(parents=True, exist_ok=True)
    return targets


def run_check(arguments: argparse.Namespace) -> int:
    if arguments.draft_map:
        folder, paths = table_paths(arguments.inputs, {}, draft=True)
        expected = {f"{table}{end}" for table in TABLES for end in TABLE_FILES}
        odd = folder is not None and any(path.name not in expected for path in paths.values())
        print(draft_map(paths, {table: path.name for table, path in paths.items()} if odd else {}), end="")
        return 0
    games = load(arguments.inputs, arguments.map)
    if arguments.sheet and len(games) > 1:
        raise InputError(f"--sheet: found {len(games)} games; accepted: one")
    for _, game in games:
        print("\n".join(inspection(game)))
    if arguments.sheet:
        save_picture(draw.sheet(games[0][1]), arguments.sheet)
    return int(any(len(game.problems) for _, game in games))


def run_show(arguments: argparse.Namespace) -> int:
    rules = rules_of(arguments.set)
    page, moving = (Path(arguments.out).suffix.lower() in ends for ends in ((PAGE,), MOVING))
    if (page or moving) and (arguments.timeline or arguments.at is not None or arguments.moments):
        raise InputError(
            f"--out is {shown(arguments.out)}; accepted with --at, --timeline and --moments: {', '.join(PICTURES)}"
        )
    if not page:
        picture_path(arguments.out, (*PICTURES, PAGE, *MOVING))
    if arguments.speed is not None and not moving:
        raise InputError(f"--speed: found with {shown(arguments.out)}; accepted: with {', '.join(MOVING)}")
    game, play = one_play("show", arguments)
    m = measure(game, rules)
    if page:
        Player(play, m.game_name, data(m, play)).to_html(arguments.out)
        print(f"page in {one_line(arguments.out)}")
        return 0
    if moving:
        draw.animate(m, play, arguments.out, 1.0 if arguments.speed is None else arguments.speed)
        print(f"moving picture in {one_line(arguments.out)}")
        return 0
    if arguments.moments:
        figure = draw.rep_sheet(m, rep_of(m, play, arguments.moments))
    elif arguments.timeline:
        figure = draw.timeline(m, play)
    else:
        figure = draw.frame(m, play, worst_moment(m, play) if arguments.at is None else arguments.at)
    save_picture(figure, arguments.out)
    return 0


def rep_of(m: Measures, play: str, protector: str) -> dict[str, Any]:
    """The longest rep of a protector in a play."""
    rows = [row for row in reps_of(m).arrow("reps").to_pylist() if row["play"] == play and row["rusher"]]
    his = [row for row in rows if row["protector"] == protector]
    if not his:
        there = listed(sorted({row["protector"] for row in rows if row["protector"]}))
        raise InputError(f"--moments: found {shown(protector)}; accepted in play {shown(play)}: {there or 'nobody'}")
    return dict(max(his, key=lambda row: row["end"] - row["start"]))


def run_reps(arguments: argparse.Namespace) -> int:
    found = loaded_reps(arguments, arguments.threads)
    by = arguments.by or ["protector"]
    check_labels(arguments.without_label, labels_of(found))
    targets = targets_of([(stem, game) for stem, game, _ in found], Path(arguments.out))
    for (_, game, made), target in zip(found, targets, strict=True):
        made.save(target)
        print("\n".join(rep_summary(game, made, by, arguments.without_label)))
        print(f"reps in {one_line(str(target))}")
    return int(any(len(game.core.problems) for _, game, _ in found))


def run_cut(arguments: argparse.Namespace) -> int:
    found = loaded_reps(arguments, None)
    check_labels(arguments.without_label, labels_of(found))
    if unknown := set(arguments.player).difference(*(made.player_ids for _, _, made in found)):
        games = listed([made.game_name for _, _, made in found])
        raise InputError(f"--player: found {listed(sorted(unknown))}; no such player in {games}")
    rows = [row for _, _, made in found for row in chosen(made, arguments)]
    if arguments.top is not None:
        if arguments.top < 1:
            raise InputError(f"--top is {arguments.top}; accepted: 1 or more")
        rows = sorted(rows, key=lambda row: (-row["short_edge_seconds"], -np.nan_to_num(row["peak_outside"])))[
            : arguments.top
        ]
    if not rows:
        raise InputError("no rep is left to cut; accepted: filters that leave one or more")
    columns = {name: [row[name] for row in rows] for name in rows[0]}
    clips = cut(
        columns,
        [game for _, game, _ in found],
        arguments.before,
        arguments.after,
        arguments.out,
        at=arguments.at,
        rate=arguments.rate,
    )
    lines = [("clip", "film", "from", "rep", "why")]
    lines += [
        (
            str(clip.clip),
            clip.film_file if isinstance(clip.film_file, str) else "-",
            figure_text(clip.film_start),
            clip.name,
            clip.why,
        )
        for clip in clips.itertuples()
    ]
    print("\n".join(table(lines)))
    without = int(clips["first_frame"].isna().sum())
    if without:
        print(f"{without} reps have no film time and no place on the film")
    print(f"cut list in {one_line(arguments.out)}; from: s on the film's clock")
    return int(any(len(game.core.problems) for _, game, _ in found))


def run_report(arguments: argparse.Namespace) -> int:
    out, found = Path(arguments.out), loaded_reps(arguments, None)
    check_labels(arguments.without_label, labels_of(found))
    page_path(out, len(found))
    targets = targets_of([(stem, game) for stem, game, _ in found], out, PAGE)
    for (_, game, made), target in zip(found, targets, strict=True):
        m = measure(game, made.rules)
        report(game, target, m, made, without_label=[name for name in arguments.without_label if name in made.labels])
        print("\n".join([f"report in {one_line(str(target))}", *left_out(game)]))
    return int(any(len(game.core.problems) for _, game, _ in found))


def run_player(arguments: argparse.Namespace) -> int:
    found = loaded_reps(arguments, None)
    page_path(Path(arguments.out), 1)
    player_page(
        [game for _, game, _ in found],
        arguments.player,
        arguments.out,
        rules_of(arguments.set),
        reps=found[0][2] if len(found) == 1 else None,
        without_label=arguments.without_label,
    )
    print(f"page in {one_line(arguments.out)}")
    return int(any(len(game.core.problems) for _, game, _ in found))


def run_drop(arguments: argparse.Namespace) -> int:
    rules = rules_of(arguments.set)
    if arguments.out:
        picture_path(arguments.out)
    if arguments.table:
        table_path(arguments.table)
    depths = numbers_of("--depths", arguments.depths)
    widths, ratios = (
        numbers_of(f"--{name.replace('_', '-')}", getattr(arguments, name)) for name in ("widths", "speed_ratios")
    )
    study: DropStudy | BreakEven
    if arguments.still:
        if arguments.inputs:
            raise InputError(f"--still: found {listed(arguments.inputs)}; accepted: no IN and no PLAY")
        study = break_even_table(widths or WIDTHS, depths or DEPTHS, ratios or SPEED_RATIOS)
        print("\n".join(still_summary(study)))
    else:
        for name, values in (("--widths", widths), ("--speed-ratios", ratios)):
            if values is not None:
                raise InputError(f"{name}: found without --still; accepted: with it")
        game, play = one_play("drop", arguments)
        study = drop_study(game, play, depths, rules=rules)
        print("\n".join(drop_summary(study)))
    save_study(study, draw.break_even if isinstance(study, BreakEven) else draw.drop_curves, arguments)
    return 0


def page_path(out: Path, games: int) -> None:
    if games == 1 and out.suffix.lower() != PAGE:
        raise InputError(f"--out is {shown(out.name)}; accepted: a name that ends in {PAGE}")


def run_completion(arguments: argparse.Namespace) -> int:
    import shtab

    top = parser()
    commands = next(action.choices for action in top._actions if isinstance(action.choices, dict))
    for made in commands.values():
        for action in made._actions:
            if action.dest in FILES:
                action.complete = shtab.FILE
    print(shtab.complete(top, arguments.shell))
    return 0


def loaded_reps(arguments: argparse.Namespace, threads: int | None) -> list[tuple[str, Game, Reps]]:
    """The reps of every game of the inputs, corrections laid over."""
    rules = rules_of(arguments.set)
    games = load(arguments.inputs, arguments.map)
    if arguments.corrections and len(games) > 1:
        raise InputError(f"--corrections: found {len(games)} games; accepted: one")
    return [(stem, game, reps_by(rules, game, arguments.corrections, threads)) for stem, game in games]


def labels_of(found: Iterable[tuple[str, Game, Reps]]) -> list[str]:
    return sorted({label for _, _, made in found for label in made.labels})


def chosen(made: Reps, arguments: argparse.Namespace) -> list[dict[str, Any]]:
    """The rows of the reps table that the arguments ask for."""
    label = dict(zip(*(made.arrow("dropbacks")[name].to_pylist() for name in ("play", "label")), strict=True))
    least = arguments.min_short_edge_seconds
    players = set(arguments.player)
    return [
        row
        for row in made.arrow("reps").to_pylist()
        if (not players or players & {row["protector"], row["rusher"]})
        and (not arguments.outcome or row["outcome"] in arguments.outcome)
        and (not arguments.ball_out or row["ball_out"])
        and (least is None or row["short_edge_seconds"] >= least - 1e-6)
        and label[row["play"]] not in arguments.without_label
    ]


def refuse_problems(game: Game) -> None:
    problems = game.core.problems
    if problems:
        reasons = "; ".join(f"{game.play_ids[play]}: {reason}" for play, reason in problems[:3])
        raise InputError(f"{len(problems)} plays of {shown(game.name)} cannot be measured (--strict): {reasons}")
