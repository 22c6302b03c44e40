"""Plants small faults in the core, one at a time, and says which of them the usual tests see.

    .venv/bin/python tests/mutate.py              # all of them
    .venv/bin/python tests/mutate.py --share 5    # every fifth, begun at another place each day
    .venv/bin/python tests/mutate.py --only reps  # those of one layer
    .venv/bin/python tests/mutate.py --list

The checkout is not touched: a fault stands in a folder that comes before core/ where headers are looked for, what
includes it is compiled there, and linked with all else of build/release, which must be built (tests/setup.sh). First
come the C++ tests of the fault's own layer, then all C++ tests of the core, then, if these pass, the Python tests of
figures (below). Golden hashes are left out: they tell that something changed, not that it is wrong. A fault that does
not change what a program does is none; such survivors stand in NO_FAULT with the reason. Exit code 1 when fewer than
95 % are killed, or when a fault does not compile.
"""

from __future__ import annotations

import argparse
import datetime
import json
import os
import shlex
import shutil
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[1]
BUILD = ROOT / "build" / "release"
LEAST = 0.95
# Compiled quickly; the arithmetic is the same however well it is optimized.
QUICKLY = ["-O1", "-DSHORTEDGE_NO_CLONES"]
FIGURES = [
    "test_against_plain.py",
    "test_truth.py",
    "test_reps.py",
    "test_ways.py",
    "test_cutoff.py",
    "test_polygon.py",
    "test_trade.py",
    "test_drops.py",
    "test_noise.py",
    "test_demo_game.py",
    "test_simulate.py",
]
GOLDEN = "a record's bits are always the same"


class Fault(NamedTuple):
    file: str  # below core/
    old: str  # stands there once
    new: str


FAULTS = [
    # rush
    Fault("rush/corner.cpp", "return -side * cross", "return side * cross"),
    Fault(
        "rush/corner.cpp",
        "std::clamp(reach + outside, reach, 2 * reach)",
        "std::clamp(reach + outside, 0.0, 2 * reach)",
    ),
    Fault("rush/corner.cpp", "abreast || outside > 0", "abreast"),
    Fault("rush/corner.cpp", "std::max(0.0, reach - corner_held)", "std::max(0.0, reach - corner_held / 2)"),
    Fault("rush/corner.hpp", "norm() <= P(passer - blocker).norm()", "norm() < 0.98 * P(passer - blocker).norm()"),
    Fault(
        "rush/blocker.cpp",
        "outside_by(rusher, blocker, passer, side) <= 0",
        "outside_by(rusher, blocker, passer, side) >= 0",
    ),
    Fault("rush/blocker.cpp", "placed.past && past_ && man == man_", "placed.past && past_"),
    Fault("rush/blocker.cpp", "placed.outside = side != 0 && outside_;", ""),
    Fault("rush/blocker.cpp", "std::min({body, range, to_passer})", "std::min({body, range})"),
    Fault("rush/blocker.cpp", "if (range > nearest ||", "if (range < nearest ||"),
    Fault(
        "rush/ways.cpp", "is_quicker(other, own) ? other : own;\n  if", "is_quicker(own, other) ? other : own;\n  if"
    ),
    Fault("rush/ways.cpp", "rush.placed.past ? rules.body : rules.reach", "rules.reach"),
    Fault("rush/ways.cpp", "return outside ? Ways{quicker", "return !outside ? Ways{quicker"),
    Fault("rush/ways.cpp", "1 - time / rules.horizon", "1 - time / (rules.horizon + 0.1)"),
    Fault("rush/ways.cpp", "rules.a_lat * wider", "rules.a_brake * wider"),
    Fault("rush/cutoff.hpp", "(range2 <= along)", "(range2 >= along)"),
    Fault("rush/closest.hpp", "in <= 0,", "in <= 0.2,"),
    # pocket
    Fault("pocket/wall.cpp", "constexpr double downfield = -3.0;", "constexpr double downfield = -1.0;"),
    Fault("pocket/wall.cpp", "constexpr double farthest_back = 1.5;", "constexpr double farthest_back = 1.2;"),
    Fault("pocket/wall.cpp", "u(end) - u(end - 1) <= most", "u(end) - u(end - 1) <= 2 * most"),
    Fault("pocket/wall.cpp", "rules.engage); };", "rules.meet); };"),
    Fault("pocket/pocket.cpp", "deepest + cushion", "deepest + cushion / 2"),
    Fault("pocket/pocket.cpp", "constexpr double left_pocket = 3.0;", "constexpr double left_pocket = 2.0;"),
    Fault("pocket/pocket.cpp", "constexpr std::size_t fewest_men = 3;", "constexpr std::size_t fewest_men = 4;"),
    # match
    Fault("match/matching.cpp", "constexpr double nobody_cost = 3.5;", "constexpr double nobody_cost = 3.0;"),
    Fault("match/matching.cpp", "constexpr double change_cost = 0.45;", "constexpr double change_cost = 0.3;"),
    Fault("match/matching.cpp", "constexpr double unmet_share = 0.25;", "constexpr double unmet_share = 0.5;"),
    Fault("match/matching.cpp", "constexpr double shortest_spell = 0.3;", "constexpr double shortest_spell = 0.2;"),
    Fault("match/matching.cpp", "return (before + after) / 2;", "return 0 * before + after;"),
    Fault("match/matching.cpp", "for (const bool late : {false, true})", "for (const bool late : {true, false})"),
    Fault("match/match.cpp", "constexpr double brief_spell = 0.5;", "constexpr double brief_spell = 0.3;"),
    Fault("match/match.cpp", "constexpr double picked_up_by = 0.5;", "constexpr double picked_up_by = 0.9;"),
    Fault("match/match.cpp", "constexpr double passed_on_by = 0.75;", "constexpr double passed_on_by = 0.4;"),
    Fault("match/match.cpp", "std::tuple(1, -at(spell->last)", "std::tuple(1, at(spell->last)"),
    Fault("match/match.cpp", "came <= rules_.engage", "came <= rules_.meet"),
    Fault("match/match.cpp", "? BeatSide::left : BeatSide::right", "? BeatSide::right : BeatSide::left"),
    Fault("match/duel.cpp", "constexpr double contact_from = 0.3;", "constexpr double contact_from = 0.5;"),
    Fault("match/duel.cpp", "constexpr double clearly_nearer = 0.5;", "constexpr double clearly_nearer = 1.0;"),
    Fault("match/duel.cpp", "constexpr double between_range = 2.0;", "constexpr double between_range = 1.0;"),
    Fault("match/duel.cpp", "constexpr double lets_go = 1.5;", "constexpr double lets_go = 2.5;"),
    # measure
    Fault("measure/edges.cpp", "look.outside_exposure >= shown_exposure", "look.outside_exposure >= takeover_"),
    Fault("measure/edges.cpp", "(engaged && in_wall(wall_, *blocker))", "in_wall(wall_, *blocker)"),
    Fault("measure/edges.cpp", "!(placed.past && !placed.outside)", "!placed.past"),
    Fault("measure/edges.cpp", "if (!rusher && !end_has_one) {", "if (!rusher && (end_has_one || true)) {"),
    Fault("measure/edges.cpp", "man->slot == Slot::none && in_wall", "in_wall"),
    Fault("measure/lane.cpp", "std::min<std::ptrdiff_t>(linemen, 3)", "std::min<std::ptrdiff_t>(linemen, 2)"),
    Fault("measure/measure.cpp", "row.edge_given = stood - out;", "row.edge_given = out - stood;"),
    Fault("measure/measure.cpp", "(passer.x() - first_u_) * side", "(passer.x() - first_u_)"),
    Fault("measure/measure.cpp", "inside = std::fmax(inside, look.inside_exposure)", "inside = look.inside_exposure"),
    Fault("measure/noise.hpp", "noise_time = 0.7;", "noise_time = 0.3;"),
    # reps
    Fault("reps/reps.cpp", "constexpr double help_seconds = 0.2;", "constexpr double help_seconds = 0.4;"),
    Fault("reps/reps.cpp", "constexpr double fast_feet = 3.3;", "constexpr double fast_feet = 4.0;"),
    Fault("reps/reps.cpp", "constexpr double driven_ground = 1.5;", "constexpr double driven_ground = 1.8;"),
    Fault("reps/reps.cpp", "row.foot_speed = peak.ratio *", "row.foot_speed = 3 * peak.ratio *"),
    Fault("reps/reps.cpp", "raise(rushers.inside_exposure[*at],", "raise(rushers.inside_exposure[*at] / 2,"),
    Fault("reps/reps.cpp", "duel.contact.value_or(spell.last)))", "spell.last))"),
    Fault("reps/reps.cpp", "if (alone) row.island_seconds", "if (!alone) row.island_seconds"),
    Fault("reps/reps.cpp", "rushers.short_edge[*at] >= told_short", "rushers.short_edge[*at] >= 0.8"),
    Fault("reps/reps.cpp", "row.hitch = at_top - at_end;", "row.hitch = at_end - at_top;"),
    Fault(
        "reps/reps.cpp",
        "row.leverage = (rusher.x() - protector.x()) * side;",
        "row.leverage = rusher.x() - protector.x();",
    ),
    Fault("reps/pressure.cpp", "push.time = play.time[begin];", "push.time = play.time[begin] + 7;"),
    Fault("reps/pressure.cpp", "constexpr double push_seconds = 0.5;", "constexpr double push_seconds = 0.7;"),
    Fault("play/pressing.hpp", "near = 2.0;", "near = 1.7;"),
    Fault("play/pressing.hpp", "soon_range = 1.0;", "soon_range = 1.3;"),
    Fault("reps/technique.cpp", "constexpr double head_up = 0.2;", "constexpr double head_up = 0.3;"),
    Fault("reps/technique.cpp", "out > 1.5 * back", "out > 1.2 * back"),
    # study and simulate
    Fault("study/drop_study.cpp", "drop.top + later", "drop.top"),
    Fault("study/drop_study.cpp", "edges.time[row] > top + tolerance::time", "edges.time[row] > top + 0.3"),
    Fault("study/break_even.cpp", "candidates[3] = ray_meets(along - aside, across);", ""),
    Fault("study/break_even.cpp", "return {far / a, c / far};", "return {far / a, far / a};"),
    Fault("simulate/passer.cpp", "constexpr double least_drop_time = 0.3;", "constexpr double least_drop_time = 0.6;"),
    Fault("simulate/rep_lanes.hpp", "constexpr double grip_zone = 0.1;", "constexpr double grip_zone = 0.3;"),
    Fault("simulate/rep_renewed.cpp", "constexpr double crossed_by = 0.3;", "constexpr double crossed_by = 1.5;"),
    Fault("simulate/rep_lanes.hpp", "constexpr double look_ahead = 0.3;", "constexpr double look_ahead = 0.9;"),
]
# Survivors that change nothing a user could see, each with its reason: "file: old" -> why.
NO_FAULT: dict[str, str] = {}


def named(fault: Fault) -> str:
    return f"{fault.file}: {' '.join(fault.old.split())}"


def passes(command: list[str], where: Path, seconds: float = 1800, **more: str) -> bool:
    environment = {**os.environ, "SHORTEDGE_FULL": "0", **more}
    try:
        done = subprocess.run(command, cwd=where, capture_output=True, env=environment, timeout=seconds, check=False)
    except subprocess.TimeoutExpired:
        return False  # a fault that never ends is seen
    return done.returncode == 0


class House:
    """What build/release is made of: commands, and which object sees which header."""

    def __init__(self) -> None:
        subprocess.run(["cmake", "--build", str(BUILD), "--target", "core_tests", "_core"], check=True)
        self.command: dict[str, list[str]] = {}  # of an object or a program, by its name
        for edge in json.loads(self.ninja("-t", "compdb")):
            first = edge["command"].removeprefix(": && ").split(" && ")[0]
            self.command[edge["output"]] = shlex.split(first)
        self.module = next(name for name in self.command if name.startswith("bindings/_core"))
        self.sees: dict[str, list[str]] = {}  # a file of core/ -> objects
        object_ = ""
        for line in self.ninja("-t", "deps").splitlines():
            if line[:1].strip():
                object_ = line.split(": #deps")[0]
            elif line.strip():
                path = (BUILD / line.strip()).resolve()
                if path.is_relative_to(ROOT / "core"):
                    self.sees.setdefault(str(path.relative_to(ROOT / "core")), []).append(object_)

    def ninja(self, *words: str) -> str:
        done = subprocess.run(
            ["ninja", "-C", str(BUILD), "--quiet", *words], capture_output=True, text=True, check=True
        )
        return done.stdout


class Copy:
    """A fault, compiled beside the house."""

    def __init__(self, house: House, fault: Fault, folder: Path) -> None:
        self.house, self.folder, self.core = house, folder, folder / "core"
        text = (ROOT / "core" / fault.file).read_text()
        if text.count(fault.old) != 1:
            raise SystemExit(f"mutate: {named(fault)} stands {text.count(fault.old)} times in its file; accepted: once")
        self.planted = self.core / fault.file
        self.planted.parent.mkdir(parents=True)
        self.planted.write_text(text.replace(fault.old, fault.new))
        self.objects: dict[str, Path] = {}  # compiled anew

    def compiled(self, program: str) -> bool:
        """Every object of this program that sees the fault: of the library, and of the program itself."""
        own = set(self.house.command[program])
        file = str(self.planted.relative_to(self.core))
        for name in self.house.sees[file]:
            if name in self.objects or not (name.startswith("core/CMakeFiles/shortedge_core") or name in own):
                continue
            command = self.house.command[name]
            made = self.folder / name.replace("/", "_")
            source = command[-1]
            if Path(source) == ROOT / "core" / file:
                source = str(self.planted)
            command = [*command[:-1], *QUICKLY, source]
            command[command.index("-o") + 1] = str(made)
            if "-MF" in command:
                command[command.index("-MF") + 1] = f"{made}.d"
            command.insert(1, f"-I{self.core}")
            if not passes(command, BUILD):
                return False
            self.objects[name] = made
        return True

    def linked(self, program: str) -> Path | None:
        """The library's objects stand before the library, whose own are then not taken."""
        if not self.compiled(program):
            return None
        made = self.folder / Path(program).name
        command = [str(self.objects.get(word, word)) for word in self.house.command[program]]
        command[command.index("-o") + 1] = str(made)
        at = command.index("core/libshortedge_core.a")
        command[at:at] = [str(path) for name, path in self.objects.items() if name.startswith("core/")]
        return made if passes(command, BUILD) else None

    def seen_by_cpp(self, program: Path, layer: str) -> bool:
        command = [str(program), f"--test-case-exclude={GOLDEN}", "--abort-after=1"]
        own = passes([*command, f"--source-file=*tests/core/{layer}/*"], ROOT, seconds=600)
        return not own or not passes(command, ROOT, seconds=600)

    def seen_by_python(self, module: Path) -> bool:
        package = self.folder / "package" / "shortedge"
        package.mkdir(parents=True)
        for part in (ROOT / "bindings" / "shortedge").iterdir():
            (package / part.name).symlink_to(part)
        (package / "demo_game").symlink_to(ROOT / "data" / "demo_game")
        (package / module.name).symlink_to(module)
        command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *FIGURES]
        return not passes(command, ROOT / "tests" / "python", PYTHONPATH=str(package.parent))


def judged(house: House, fault: Fault) -> str:
    """How it was seen: "C++", "Python", "" for not at all, or "does not compile"."""
    folder = Path(tempfile.mkdtemp(prefix="mutant-", dir=BUILD.parent))
    try:
        copy = Copy(house, fault, folder)
        program = copy.linked("tests/core_tests")
        if program is None:
            return "does not compile"
        if copy.seen_by_cpp(program, fault.file.split("/")[0]):
            return "C++"
        module = copy.linked(house.module)
        if module is None:
            return "does not compile"
        return "Python" if copy.seen_by_python(module) else ""
    finally:
        shutil.rmtree(folder)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--share", type=int, default=1, metavar="N", help="every Nth fault")
    parser.add_argument("--first", type=int, help="the first of them; by the day, if not said")
    parser.add_argument("--only", metavar="TEXT", help="faults whose file has this in its name")
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1, metavar="N", help="so many at once")
    parser.add_argument("--list", action="store_true", help="the faults, and nothing else")
    given = parser.parse_args()
    chosen = [fault for fault in FAULTS if not given.only or given.only in fault.file]
    first = datetime.date.today().toordinal() if given.first is None else given.first
    chosen = chosen[first % given.share :: given.share]
    if given.list:
        print("\n".join(f"{named(fault)}  ->  {' '.join(fault.new.split()) or '(nothing)'}" for fault in chosen))
        return 0
    house = House()
    healthy = Fault(chosen[0].file, chosen[0].old, chosen[0].old)
    if how := judged(house, healthy):
        sys.exit(f"mutate: without a fault: {how}; accepted: all tests pass")
    survived, broken = [], []

    def judge(fault: Fault) -> None:
        how = judged(house, fault)
        print(f"{f'killed by {how}' if how in ('C++', 'Python') else how or 'SURVIVED':24} {named(fault)}", flush=True)
        if not how:
            survived.append(named(fault))
        elif how not in ("C++", "Python"):
            broken.append(named(fault))

    with ThreadPoolExecutor(given.jobs) as pool:
        list(pool.map(judge, chosen))
    real = [name for name in survived if name not in NO_FAULT]
    for name in survived:
        print(f"survived: {name}" + (f" (no fault: {NO_FAULT[name]})" if name in NO_FAULT else ""))
    faults = len(chosen) - len(broken) - (len(survived) - len(real))
    killed = faults - len(real)
    share = killed / max(faults, 1)
    print(
        f"{len(chosen)} planted, {len(broken)} do not compile, {len(survived) - len(real)} are no faults; "
        f"of the others {killed} killed, {len(real)} survived: {share:.1%} killed"
    )
    return int(share < LEAST or bool(broken))


if __name__ == "__main__":
    sys.exit(main())
