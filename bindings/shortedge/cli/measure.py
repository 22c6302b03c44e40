"""`shortedge measure`: games, or a season by parts."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from .._core import InputError, Rules
from ..base.text import listed, shown
from ..game.game import Game
from ..measures.results import measure
from ..season.many import measure_many
from ..trace.journal import ENDING
from .games import given_games, load, mapped_tables, maps_of, told_apart
from .inputs import noise_of, rules_of, targets_of
from .parsing import Commands, add_games, add_map, add_set
from .terminal import MOST_LINES, one_line, summary

EXAMPLES = """\
  shortedge measure game/ --map map.toml -o pocket.h5
  shortedge measure week1.h5 week2.h5 -o results/        a file each
  shortedge measure game.h5 -o pocket/ --set reach=1.1   a folder of Parquet, with another reach
  shortedge measure game.h5 -o pocket.h5 --noise auto    with a band round every figure
  shortedge measure season/ --map map.toml -o out/ --stream --reps   by parts, with reps; the same again goes on"""


def add(commands: Commands) -> None:
    made = commands.add("measure", run, "Measure games and keep the results.", EXAMPLES)
    add_games(made)
    made.add_argument(
        "-o", "--out", required=True, help="a file (.h5) or folder for the results; of several games, a folder"
    )
    made.add_argument("--strict", action="store_true", help="a play that cannot be measured is an error")
    made.add_argument("--threads", type=int, help="how many threads; as many as there are, if not said")
    made.add_argument(
        "--noise",
        metavar="YD",
        help="yd per axis, auto, or tracks (their own sd_x, sd_y): also keep a 5-95 %% band of every figure",
    )
    made.add_argument("--draws", type=int, default=100, metavar="N", help="draws of noise the bands are made of (100)")
    made.add_argument("--seed", type=int, default=1, metavar="N", help="of the draws (1)")
    made.add_argument(
        "--stream",
        action="store_true",
        help="a season: by parts, memory flat, into a folder of parts; the same command again goes on where it stood",
    )
    made.add_argument(
        "--format", choices=("parquet", "hdf5"), help="with --stream: what the parts are written as (parquet)"
    )
    made.add_argument(
        "--reps",
        action="store_true",
        help="with --stream: also the reps and drop-backs; `shortedge player ID OUT` then reads one man out of it",
    )
    made.add_argument("--processes", type=int, help="with --stream: this number of processes instead of threads")
    add_map(made)
    add_set(made)


def run(arguments: argparse.Namespace) -> int:
    rules, noise = rules_of(arguments.set), noise_of(arguments.noise)
    if arguments.stream:
        return run_stream(arguments, rules, noise)
    for name in ("format", "processes"):
        if getattr(arguments, name) is not None:
            raise InputError(f"--{name}: found without --stream; accepted: with it")
    if arguments.reps:
        raise InputError("--reps: found without --stream; accepted: with it (of single games: shortedge reps)")
    games = load(arguments.inputs, arguments.map)
    targets = targets_of(games, Path(arguments.out), arguments)
    if arguments.strict:
        for _, game in games:
            refuse_problems(game)
    for (_, game), target in zip(games, targets, strict=True):
        m = measure(
            game, rules=rules, noise=noise, draws=arguments.draws, seed=arguments.seed, threads=arguments.threads
        )
        m.save(target)
        print("\n".join(summary(m)))
        if m.noise:
            print(
                f"bands: 5-95 % of {m.noise.draws} draws of {m.noise.sigma:.3f} yd of noise per axis ({m.noise.found})"
            )
        print(f"results in {one_line(str(target))}")
    return int(not all(game.is_whole for _, game in games))


def run_stream(arguments: argparse.Namespace, rules: Rules, noise: Any) -> int:
    if arguments.strict:
        raise InputError("--strict: found with --stream; accepted: without it")
    paths, mapping = season_of(arguments)
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
        reps=arguments.reps,
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
    if counts.get("few_linemen"):
        print(f"{counts['few_linemen']} plays with fewer than five linemen at the snap")
    return int(counts["problems"] > 0 or counts.get("few_linemen", 0) > 0)


def season_of(arguments: argparse.Namespace) -> tuple[list[Any], dict[str, Any]]:
    """The inputs of a season as measure_many takes them, and the mapping that is for all of them."""
    given = given_games(arguments.inputs)
    if traces := [str(one.path) for one in given if one.path.suffix.lower() == ENDING]:
        raise InputError(f"--stream: found the traces {listed(traces, 3)}; accepted: tables and game files")
    maps = maps_of(given, arguments.map)
    paths: list[Any] = []
    mappings: list[dict[str, Any]] = []
    for one, stem in zip(given, told_apart(given), strict=True):
        if not one.mapped:
            paths.append(one.path)
            continue
        tables, mapping = mapped_tables(one, stem, *maps[len(mappings)])
        paths.append(tuple(tables.values()))
        mappings.append(mapping)
    if len(mappings) > 1:
        for mapping in mappings:
            del mapping["name"]  # each is named by its folder
    if any(mapping != mappings[0] for mapping in mappings):
        raise InputError("--stream: found tables of different mappings; accepted: one mapping for all of them")
    return paths, mappings[0] if mappings else {}


def refuse_problems(game: Game) -> None:
    problems = game.core.problems
    if problems:
        reasons = "; ".join(f"{game.play_ids[play]}: {reason}" for play, reason in problems[:3])
        raise InputError(f"{len(problems)} plays of {shown(game.name)} cannot be measured (--strict): {reasons}")
