"""The command line: shortedge measure, check, show, reps, cut.

Exit codes: 0 clean, 1 plays were skipped, 2 refused (one line on stderr says why).
"""

from __future__ import annotations

import argparse
import os
import sys
import tomllib
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, Literal, get_args

import numpy as np

from . import _core
from ._core import FileError, InputError, Rules
from .cut import ENDS, At, cut
from .game import Game
from .mapping import from_tables
from .reps import Reps, reps_by
from .results import HDF5, Measures, measure, read
from .summary import KEYS, OUTCOMES, check_labels
from .tables import TABLE_FILES, listed, shown

TABLES = ("tracks", "snaps", "people")
MAP_KEYS = ("units", "origin", "y", "name", "time", "rate", "ball", "orientation", "columns", "values", "files")
PICTURES = (".svg", ".png", ".pdf")
MOST_LINES = 100  # of plays, printed one a line; of more, the worst are shown


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


def parser() -> argparse.ArgumentParser:
    top = argparse.ArgumentParser(
        prog="shortedge", description="Measures the passing pocket from tracking coordinates."
    )
    top.add_argument("--version", action="version", version=f"shortedge {_core.__version__}")
    commands = top.add_subparsers(required=True, metavar="COMMAND")
    inputs = "a game file (.h5), a folder with tables tracks, snaps and people, or these three files in that order"

    def command(name: str, run: Any, help: str, **more: Any) -> argparse.ArgumentParser:
        made = commands.add_parser(name, help=help, description=help, **more)
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
        help="yd per axis, or auto: also keep a 5-95 %% band of every figure under so much noise of position",
    )
    one.add_argument("--draws", type=int, default=100, metavar="N", help="draws of noise the bands are made of (100)")
    one.add_argument("--seed", type=int, default=1, metavar="N", help="of the draws (1)")

    two = command("check", run_check, "Say what is in the input and what is wrong with it.")
    two.add_argument("inputs", nargs="+", metavar="IN", help=inputs + "; or several game files")
    two.add_argument(
        "--draft-map", action="store_true", help="write a first mapping, guessed from the column names, to stdout"
    )
    two.add_argument("--sheet", metavar="PICTURE", help="a sheet of snap frames, to see whether the mapping is right")

    three = command(
        "show", run_show, "Draw one frame of a play, or its timeline.", usage="%(prog)s IN PLAY -o PICTURE [options]"
    )
    three.add_argument("inputs", nargs="+", metavar="IN PLAY", help=inputs + "; then the play")
    three.add_argument("--at", type=float, help="s since the snap; the worst moment before the throw, if not said")
    three.add_argument("--timeline", action="store_true", help="the course of the whole play")
    three.add_argument("-o", "--out", required=True, metavar="PICTURE", help=f"the picture ({', '.join(PICTURES)})")

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

    for made in (four, five):
        made.add_argument(
            "--corrections", metavar="FILE", help="a table of corrections to lay over the reps (one game)"
        )
        made.add_argument(
            "--without-label", action="append", default=[], metavar="LABEL", help="leave out plays with this label"
        )
    for made in (one, two, three, four, five):
        made.add_argument("--map", metavar="FILE", help="how the tables are to be read (TOML)")
    for made in (one, three, four, five):
        made.add_argument(
            "--set", action="append", default=[], metavar="RULE=VALUE", help="change a rule, such as reach=1.1"
        )
    return top


# ----------------------------------------------------------------------------------------------------- commands


def run_measure(arguments: argparse.Namespace) -> int:
    rules, noise = rules_of(arguments.set), noise_given(arguments.noise)
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


def targets_of(games: Sequence[tuple[str, Game]], out: Path) -> list[Path]:
    """Where the results of each game go; the folder of several is made."""
    if len(games) == 1:
        return [out]
    if out.suffix.lower() in HDF5:
        raise InputError(f"--out is {shown(out.name)}; accepted for {len(games)} games: a folder")
    targets = [out / f"{stem}.h5" for stem, _ in games]
    twice = [name for name, count in Counter(targets).items() if count > 1]
    if twice:
        raise InputError(f"two inputs would both be written to {twice[0]}; accepted: files of different names")
    out.mkdir(parents=True, exist_ok=True)
    return targets


def run_check(arguments: argparse.Namespace) -> int:
    if arguments.draft_map:
        from .draft import draft_map

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
        from . import draw

        save_picture(draw.sheet(games[0][1]), arguments.sheet)
    return int(any(len(game.problems) for _, game in games))


def run_show(arguments: argparse.Namespace) -> int:
    rules = rules_of(arguments.set)
    picture_path(arguments.out)
    if len(arguments.inputs) < 2:
        raise InputError("show: found one argument; accepted: IN and PLAY")
    *inputs, play = arguments.inputs
    games = load(inputs, arguments.map)
    if len(games) > 1:
        raise InputError(f"show: found {len(games)} games; accepted: one")
    game = games[0][1]
    game.row(play)
    m = measure(game, rules)
    if arguments.timeline:
        figure = m.timeline(play)
    else:
        figure = m.draw(play, worst_moment(m, play) if arguments.at is None else arguments.at)
    save_picture(figure, arguments.out)
    return 0


def run_reps(arguments: argparse.Namespace) -> int:
    found = reps_of(arguments, arguments.threads)
    by = arguments.by or ["protector"]
    check_labels(arguments.without_label, labels_of(found))
    targets = targets_of([(stem, game) for stem, game, _ in found], Path(arguments.out))
    for (_, game, made), target in zip(found, targets, strict=True):
        made.save(target)
        print("\n".join(rep_summary(game, made, by, arguments.without_label)))
        print(f"reps in {one_line(str(target))}")
    return int(any(len(game.core.problems) for _, game, _ in found))


def run_cut(arguments: argparse.Namespace) -> int:
    found = reps_of(arguments, None)
    check_labels(arguments.without_label, labels_of(found))
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


def reps_of(arguments: argparse.Namespace, threads: int | None) -> list[tuple[str, Game, Reps]]:
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
    if unknown := players - set(made.player_ids):
        raise InputError(f"--player: found {listed(sorted(unknown))}; no such player in {shown(made.game_name)}")
    return [
        row
        for row in made.arrow("reps").to_pylist()
        if (not players or players & {row["protector"], row["rusher"]})
        and (not arguments.outcome or row["outcome"] in arguments.outcome)
        and (not arguments.ball_out or row["ball_out"])
        and (least is None or row["short_edge_seconds"] >= least - 1e-6)
        and label[row["play"]] not in arguments.without_label
    ]


def rules_of(settings: Iterable[str]) -> Rules:
    given: dict[str, float] = {}
    for setting in settings:
        name, _, value = setting.partition("=")
        try:
            given[name] = float(value)
        except ValueError:
            raise InputError(f"--set: found {shown(setting)}; accepted: RULE=NUMBER, such as reach=1.1") from None
    return Rules(**given)


def noise_given(text: str | None) -> float | Literal["auto"] | None:
    if text is None:
        return None
    if text == "auto":
        return "auto"
    try:
        return float(text)
    except ValueError:
        raise InputError(f"--noise: found {shown(text)}; accepted: yd per axis, auto") from None


def refuse_problems(game: Game) -> None:
    problems = game.core.problems
    if problems:
        reasons = "; ".join(f"{game.play_ids[play]}: {reason}" for play, reason in problems[:3])
        raise InputError(f"{len(problems)} plays of {shown(game.name)} cannot be measured (--strict): {reasons}")


def picture_path(path: str) -> None:
    if Path(path).suffix.lower() not in PICTURES:
        raise InputError(f"picture {shown(path)}; accepted: a name that ends in {', '.join(PICTURES)}")


def save_picture(figure: Any, path: str) -> None:
    picture_path(path)
    figure.savefig(path)
    print(f"picture in {one_line(path)}")


# ------------------------------------------------------------------------------------------------------- inputs


def load(inputs: Sequence[str], map_file: str | None) -> list[tuple[str, Game]]:
    """The games of the inputs, each with a name for its file."""
    paths = [Path(path) for path in inputs]
    if len(paths) == 1 and paths[0].is_dir() and not map_file:
        files = sorted(path for path in paths[0].iterdir() if path.suffix.lower() in HDF5)
        paths = files or paths
    if all(path.suffix.lower() in HDF5 for path in paths):
        if map_file:
            raise InputError("--map: found with game files; accepted: with tables, for a game file is mapped already")
        games = [(path.stem, read(path)) for path in paths]
        for path, (_, game) in zip(paths, games, strict=True):
            if not isinstance(game, Game):
                raise InputError(f"{path}: found results; accepted: a game file")
        return games
    mapping = read_map(map_file)
    folder, tables = table_paths(inputs, mapping.pop("files", {}))
    stem = (folder or tables["tracks"].absolute().parent).absolute().name
    mapping.setdefault("name", stem)
    missing = [key for key in ("units", "origin", "y") if key not in mapping]
    if missing:
        where = f"{map_file}: lacks" if map_file else "no --map is given to state"
        raise InputError(
            f"{where} {', '.join(missing)}; accepted: units yd, m or ft; origin corner or center; y up or down "
            "(`shortedge check IN --draft-map` writes a first map)"
        )
    return [(stem, from_tables(tables["tracks"], tables["snaps"], tables["people"], **mapping))]


def read_map(map_file: str | None) -> dict[str, Any]:
    if map_file is None:
        return {}
    try:
        mapping = tomllib.loads(Path(map_file).read_text(encoding="utf-8"))
    except OSError as why:
        raise FileError(f"{map_file}: {why.strerror}") from why
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as why:
        raise InputError(f"{map_file}: {why}") from why
    for key in mapping:
        if key not in MAP_KEYS:
            raise InputError(f"{map_file}: found the key {shown(key)}; accepted: {', '.join(MAP_KEYS)}")
    return mapping


def table_paths(
    inputs: Sequence[str], files: Mapping[str, str], draft: bool = False
) -> tuple[Path | None, dict[str, Path]]:
    """The folder, if it is one, and the paths of the three tables."""
    if len(inputs) == 3:
        return None, dict(zip(TABLES, map(Path, inputs), strict=True))
    folder = Path(inputs[0])
    if len(inputs) != 1 or (folder.exists() and not folder.is_dir()):
        raise InputError(
            f"input: found {listed(inputs)}; accepted: a game file (.h5), a folder, or the three files "
            "tracks, snaps, people"
        )
    if not folder.exists():
        raise FileError(f"{folder}: no such file or folder")
    if not isinstance(files, Mapping) or not all(
        key in TABLES and isinstance(name, str) for key, name in files.items()
    ):
        raise InputError(f"[files]: found {shown(files)}; accepted: {', '.join(TABLES)}, each the name of a file")
    return folder, {
        table: folder / files[table] if table in files else table_in(folder, table, draft) for table in TABLES
    }


def table_in(folder: Path, table: str, draft: bool) -> Path:
    """The file of one table in a folder; for a draft the one of the likeliest name will do."""
    there = [folder / f"{table}{end}" for end in TABLE_FILES if (folder / f"{table}{end}").exists()]
    if len(there) == 1:
        return there[0]
    names = sorted(path.name for path in folder.iterdir() if path.name.lower().endswith(TABLE_FILES))
    if draft and not there:
        words = {
            "tracks": ("track", "position", "coord", "frame"),
            "snaps": ("snap", "play"),
            "people": ("people", "player", "roster"),
        }
        there = [folder / name for word in words[table] for name in names if word in name.lower()][:1]
        if there:
            return there[0]
    wanted = " or ".join(f"{table}{end}" for end in TABLE_FILES)
    raise FileError(
        f"{folder}: found {listed(names) or 'no table'}; accepted: one {wanted}, or its name under [files] in the map"
    )


# --------------------------------------------------------------------------------------------------------- text


def one_line(text: str) -> str:
    """Text for a terminal: nothing in it but what can be printed, on one line."""
    return "".join(char if char.isprintable() else " " if char.isspace() else f"\\u{ord(char):04x}" for char in text)


def table(rows: Sequence[Sequence[str]]) -> list[str]:
    """Rows in columns, the first row a heading; numbers to the right."""
    clean = [[one_line(cell) for cell in row] for row in rows]
    widths = [max(map(len, column)) for column in zip(*clean, strict=True)]
    right = [all(cell[:1] in "-0123456789" for cell in column[1:]) for column in zip(*clean, strict=True)]
    return [
        "  ".join(cell.rjust(w) if r else cell.ljust(w) for cell, w, r in zip(row, widths, right, strict=True)).rstrip()
        for row in clean
    ]


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
    return lines + left_out(game)


def rep_summary(game: Game, made: Reps, by: Sequence[str], without_label: Sequence[str]) -> list[str]:
    """A line a group, with denominators and intervals, and what to keep in mind."""
    groups = made.summary_arrow(by, [label for label in without_label if label in made.labels], True).to_pylist()
    lines = [f"{one_line(game.name)}: reps of {len(game.measured())} plays"]
    if groups and groups[0]["left_out"]:
        lines[0] += f", {groups[0]['plays_left_out']} left out ({one_line(groups[0]['left_out'])})"
    counted = ("judged", "held", "beat", "driven", "ball_out", "free", "help", "uncovered")
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
        before = ", ".join(
            f"{name} {sum(group[f'{name}_measured'] for group in groups)}"
            for name in ("held", "beat", "driven", "help")
        )
        lines.append(f"{changed} rows corrected; as measured: {before}")
    lines += [
        "beat share: of judged (held, beat, driven); pressure share: of judged and free; Wilson 95 % interval behind "
        "each; * fewer than 10 judged: do not compare. Exposure: greatest round the outside, median.",
        "Outcomes follow from coordinates, which see no hands, call or assignment. Held against driven, and who had "
        "the rusher in a double team, err first. Not a grade.",
    ]
    return lines + left_out(game)


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
            side = ("left", "right")[edges["side"][row]]
            cells += [
                " ".join((side, game.position(code, man), game.player_ids[man])),
                figure_text(exposure, 2),
                figure_text(edges["time"][row]),
                figure_text(edges["short_edge"][row]) if exposure >= 0.2 else "-",
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


def worst_moment(m: Measures, play: str) -> float:
    code = m.play_ids.index(play)
    edges = m.coded["edges"]
    row = worst_edge(edges, slices(edges["play"]).get(code), throw_times(m.game).get(code, np.inf) + 1e-6)
    return 0.0 if row is None else float(edges["time"][row])


def throw_times(game: Game) -> dict[int, float]:
    """s since the snap, by play code; plays without a throw are left out."""
    snaps = game.core.snaps
    since = snaps["throw_time"] - snaps["snap_time"]
    return {code: time for code, time in zip(snaps["play"].tolist(), since.tolist(), strict=True) if not np.isnan(time)}


def slices(codes: Any) -> dict[int, slice]:
    """Where each play's rows stand; rows of one play stand together."""
    if not len(codes):
        return {}
    starts = np.flatnonzero(np.diff(codes, prepend=codes[0] - 1))
    ends = [*starts[1:].tolist(), len(codes)]
    return {int(codes[start]): slice(start, end) for start, end in zip(starts.tolist(), ends, strict=True)}


def left_out(game: Game) -> list[str]:
    """What was dropped and what was skipped."""
    says = {"no_player": "without a player", "not_in_people": "of players people lacks", "missing": "without x or y"}
    dropped = [f"{count} {says[what]}" for what, count in game.dropped.items() if count]
    lines = [f"rows of tracks left out: {', '.join(dropped)}"] if dropped else []
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
    if len(plays) <= MOST_LINES:
        heading = ("play", "frames", "passer", "line", "protectors", "rushers", "filled")
        lines += table([heading, *(role_row(play) for play in plays)])
    return lines + left_out(game)


def role_row(play: Any) -> list[str]:
    by_role = Counter(man.role for man in play.men)
    passer = next(man.player for man in play.men if man.role == "passer")
    line = [slot for slot in ("LT", "LG", "C", "RG", "RT") if any(man.slot == slot for man in play.men)]
    numbers = (by_role["protector"], by_role["rusher"], play.filled)
    return [play.id, str(len(play.time)), passer, " ".join(line), *map(str, numbers)]


if __name__ == "__main__":
    sys.exit(main())
