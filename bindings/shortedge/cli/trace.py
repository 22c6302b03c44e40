"""`shortedge trace`: from film to coordinates, on a page in the user's own browser."""

from __future__ import annotations

import argparse
import webbrowser
from pathlib import Path

from .._core import FileError, InputError
from ..base.text import listed, shown
from ..clicking.server import Server
from ..clicking.tables import people_of, plays_of
from ..clicking.work import EVERY, EVERY_FOLLOWED, Work
from ..film.pictures import Film
from ..film.ready import ROOM
from ..trace.clicks import END_ZONE, Trace
from ..trace.journal import FIELDS
from .parsing import Commands

EXAMPLES = """\
  shortedge trace "end zone=end.mp4" "sideline=side.mp4" -o game.trace --field pro
  shortedge trace cutup.mp4 -o game.trace --field college --snaps snaps.csv --people people.csv
  shortedge trace -o game.trace              go on with a trace that is begun
  shortedge player TK-63 game.trace -o guard.html"""


def add(commands: Commands) -> None:
    made = commands.add("trace", run, "Click film in your browser: marks and men become coordinates.", EXAMPLES)
    made.add_argument(
        "films",
        nargs="*",
        metavar="FILM",
        help=f'ANGLE=FILE, a film from "{END_ZONE}", "sideline" or elsewhere; a FILE alone is from the {END_ZONE}. '
        "One file may hold the whole game, or several angles in turn (name it once an angle)",
    )
    made.add_argument(
        "-o", "--out", required=True, metavar="TRACE", help="the trace, beside the films; made, or gone on with"
    )
    made.add_argument("--field", choices=FIELDS, help="where the field's hashes lie (needed for a new trace)")
    made.add_argument(
        "--snaps", metavar="FILE", help="a table of plays: play, and film_time of the snap; ball_x, ball_y, direction"
    )
    made.add_argument(
        "--films", dest="film_table", metavar="FILE", help="a table of films: play, angle, file, film_time of the snap"
    )
    made.add_argument("--people", metavar="FILE", help="a table of men: player, unit, position; play")
    made.add_argument(
        "--every",
        type=float,
        metavar="S",
        help=f"s between pictures men are clicked in ({EVERY:g}; where they can be followed {EVERY_FOLLOWED:g})",
    )
    made.add_argument("--port", type=int, default=0, help="a port of this machine; a free one, if not said")
    made.add_argument("--no-browser", action="store_true", help="only print the address")


def run(arguments: argparse.Namespace) -> int:
    if arguments.every is not None and not 0.05 <= arguments.every <= 2:
        raise InputError(f"--every is {arguments.every:g}; accepted: 0.05 to 2 (s)")
    path = Path(arguments.out)
    films = films_of(arguments.films, path)
    people = list(people_of(arguments.people)) if arguments.people else []  # refused before there is a trace
    trace, opened = opened_trace(path, films, arguments.field)
    try:
        with trace.together():
            for row in people:
                if not known(trace, row):
                    trace.person(row["player"], row["unit"], row["position"], play=row["play"])
            plays_of(trace, arguments.snaps, arguments.film_table)
    except BaseException:
        trace.close()
        raise
    work = Work(trace, opened, arguments.every)
    try:
        server = Server(work, arguments.port)
    except OSError as why:
        work.close()
        raise InputError(f"--port {arguments.port}: {why.strerror}; accepted: a free one") from why
    print(f"Film and trace stay on this machine. The page: {server.address}", flush=True)
    if not work.follows:
        print(
            "Without the extra for films nothing is followed between clicks: pip install 'shortedge[film]'", flush=True
        )
    if not arguments.no_browser:
        webbrowser.open(server.address)
    print(
        f"The film's pictures are made ready in a folder of temporary files (at most {ROOM / 1e9:.0f} GB, yours alone)"
        ", which is deleted at the end.",
        flush=True,
    )
    print("Ctrl-C ends it; every click is on the disk already.", flush=True)
    try:
        server.serve_until_stopped()
    finally:
        server.server_close()
        work.close()
    print(f"wrote {path}: {len(trace)} acts")
    return 0


def films_of(given: list[str], path: Path) -> dict[str, str]:
    """Angle to the name of its file, beside the trace."""
    found: dict[str, str] = {}
    for one in given:
        angle, equals, file = one.rpartition("=")
        angle = angle.strip() if equals else END_ZONE
        if not angle:
            raise InputError(f"{shown(one)}; accepted: ANGLE=FILE")
        if angle in found:
            raise InputError(f"two films from {shown(angle)}; accepted: one an angle, or --films with one a play")
        film = Path(file)
        if not film.is_file():
            raise FileError(f"{film}: no such file; accepted: a film")
        if film.absolute().parent.resolve() != path.absolute().parent.resolve():
            raise InputError(
                f"{film} does not lie beside {path}; accepted: trace and films in one folder (the trace names no other)"
            )
        found[angle] = film.name
    return found


def opened_trace(path: Path, films: dict[str, str], field: str | None) -> tuple[Trace, dict[str, Film]]:
    """The trace, new or gone on with, and its films by angle."""
    folder = path.absolute().parent
    opened = {angle: Film(folder / name) for angle, name in films.items()}
    if path.exists():
        trace = Trace(path)
        try:
            for angle, name in trace.films.items():
                if angle not in opened and (folder / name).is_file():
                    opened[angle] = Film(folder / name)
            if extra := sorted(set(opened) - set(trace.angles)):
                raise InputError(f"{path}: has no angle {listed(extra)}; accepted: {listed(list(trace.angles))}")
            if field is not None and field != trace.field:
                raise InputError(
                    f"{path}: is of a field of kind {trace.field}; accepted: --field {trace.field}, or none"
                )
            for angle, film in opened.items():
                if film.size != tuple(map(int, trace.angles[angle])):
                    raise InputError(f"{film.path}: its pictures are {film.size}; accepted: {trace.angles[angle]}")
        except BaseException:
            trace.close()
            raise
        return trace, opened
    if field is None:
        raise InputError(f"--field is missing; accepted: {', '.join(FIELDS)} (where the hashes lie)")
    if not films:
        raise InputError("no film; accepted: one film or more, beside the trace")
    sizes = {angle: film.size for angle, film in opened.items()}
    return Trace(path, field, sizes, films=films), opened


def known(trace: Trace, row: dict[str, str | None]) -> bool:
    acts, texts = trace.acts, trace.acts.texts
    men = acts.columns("man")
    said = zip(*(men[name].tolist() for name in ("player", "unit", "position", "play")), strict=True)
    wanted = (row["player"], row["unit"], row["position"], row["play"])
    return any((texts[a], texts[b], texts[c], None if d < 0 else texts[d]) == wanted for a, b, c, d in said)
