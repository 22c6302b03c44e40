"""Plants small faults in the core, one at a time, and says which of them the usual tests see.

    .venv/bin/python tests/mutate.py                   # all of them
    .venv/bin/python tests/mutate.py --share 5         # every fifth, begun at another place each day
    .venv/bin/python tests/mutate.py --only reps       # those of one layer
    .venv/bin/python tests/mutate.py --record file     # go on where a broken-off run stopped: what was killed stays so
    .venv/bin/python tests/mutate.py --list

The checkout is not touched. The changed file lies in a folder of its own that comes before core/ where headers are
looked for. Only what sees it is compiled, and linked with all else of build/release, which must be built
(`cmake --build --preset release`). First come the C++ tests of the fault's own layer, then all C++ tests of the core,
then, if these pass, the second readings in Python (below). Golden hashes are left out: they tell that something
changed, not that it is wrong. A fault that changes nothing a user could see is none; such survivors stand in NO_FAULT
with the reason. Exit code 1 when fewer than 95 % are killed, or when a fault does not compile.

Times are processor seconds, so that a busy machine kills no fault.
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
import threading
from concurrent.futures import ThreadPoolExecutor
from functools import cached_property
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[1]
BUILD = ROOT / "build" / "release"
LEAST = 0.95
# Compiled quickly; the arithmetic is the same however well it is optimized. Warnings would stop some faults.
QUICKLY = ["-O1", "-w", "-fPIC", "-DSHORTEDGE_NO_CLONES"]
# Read once for all faults: what takes longest to compile, none of it ours.
OFTEN = "<Eigen/Dense> <algorithm> <cmath> <map> <numeric> <optional> <random> <span> <string> <variant> <vector>"
LIBRARY = "core/libshortedge_core.a"
LIBRARY_OBJECTS = "core/CMakeFiles/shortedge_core.dir/"
TESTS = "tests/core_tests"
TEST_OBJECTS, BINDINGS = "tests/CMakeFiles/core_tests.dir/", "bindings/CMakeFiles/_core.dir/"
CPP_SECONDS, PYTHON_SECONDS = 300, 900  # of processor time; about ten times what they take
# Second readings in Python: of plays, and of clicks on film.
FIGURES = ["test_against_plain.py", "test_limits_against_plain.py", "test_ways.py", "test_taut_path.py"]
PAIR_FIGURES = ["test_fit.py", "-k", "second_reading or spots_they_are_given"]  # of the summaries a fit goes by
FILM_FIGURES = ["test_film_oracles.py", "test_trace.py", "test_trace_game.py"]
GOLDEN = "a record's bits are always the same"
KILLED = ("C++", "Python")
# From below upward. Tests of a layer see no fault above it.
LAYERS = (
    *("base", "geometry", "camera", "trace", "tracking", "play", "pocket", "rush", "match", "measure", "reps"),
    *("simulate", "study"),
)


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
    Fault("match/match.cpp", "std::tuple(1, -at(spell.last)", "std::tuple(1, at(spell.last)"),
    Fault("match/match.cpp", "came <= rules_.engage", "came <= rules_.meet"),
    Fault("match/match.cpp", "? BeatSide::left : BeatSide::right", "? BeatSide::right : BeatSide::left"),
    Fault("match/duel.cpp", "constexpr double contact_from = 0.3;", "constexpr double contact_from = 0.5;"),
    Fault("match/duel.cpp", "constexpr double clearly_nearer = 0.5;", "constexpr double clearly_nearer = 1.0;"),
    Fault("match/duel.cpp", "constexpr double between_range = 2.0;", "constexpr double between_range = 1.0;"),
    Fault("match/duel.cpp", "constexpr double leaving_speed = 1.5;", "constexpr double leaving_speed = 2.5;"),
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
    Fault("match/help.cpp", "constexpr double help_seconds = 0.2;", "constexpr double help_seconds = 0.4;"),
    Fault("reps/reps.cpp", "constexpr double fast_feet = 3.3;", "constexpr double fast_feet = 4.0;"),
    Fault("reps/hands.hpp", "constexpr double driven_ground = 1.5;", "constexpr double driven_ground = 1.8;"),
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
    Fault("reps/exchanges.cpp", "constexpr double crossing_range = 2.5;", "constexpr double crossing_range = 0.5;"),
    Fault("reps/exchanges.cpp", "constexpr double together = 1.0;", "constexpr double together = 0.3;"),
    Fault("reps/exchanges.cpp", "constexpr double had_him = 0.3;", "constexpr double had_him = 0.6;"),
    Fault("reps/exchanges.cpp", "row.cutoff_ratio >= 1 ||", "row.cutoff_ratio >= 2 ||"),
    Fault("reps/exchanges.cpp", " && play_.men[a].takes_part(frame) && play_.men[b].takes_part(frame)", ""),
    Fault("reps/searches.cpp", "constexpr double help_seconds = 0.2;", "constexpr double help_seconds = 0.4;"),
    Fault("reps/searches.cpp", "row.start = start == 0 ? 0.0 : time(start);", "row.start = time(start);"),
    Fault("reps/searches.cpp", "std::max(start, found_at(*rep)) : frames_ - 1", "frames_ - 1 : frames_ - 1"),
    Fault("reps/looks.cpp", "line_.size() > 1 && next_by == from_end(1)", "line_.size() > 1"),
    Fault("reps/looks.cpp", "if (slot == Slot::LT || slot == Slot::RT) return Pickup::tackle;", ""),
    Fault("reps/looks.cpp", "if (out < 0 || out >=", "if (out >="),
    Fault("reps/hands.hpp", "constexpr double middle = 1.0;", "constexpr double middle = 3.0;"),
    # study and simulate
    Fault("study/drop_study.cpp", "drop.top + later", "drop.top"),
    Fault("study/drop_study.cpp", "edges.time[row] > top + tolerance::time", "edges.time[row] > top + 0.3"),
    Fault("study/break_even.cpp", "candidates[3] = ray_meets(along - aside, across);", ""),
    Fault("study/break_even.cpp", "return {far / a, c / far};", "return {far / a, far / a};"),
    Fault(
        "study/summaries.cpp",
        "block_back = std::fmax(block_back, std::max(0.0, blocks",
        "block_back = std::fmax(block_back, std::abs(blocks",
    ),
    Fault("study/summaries.cpp", "slips_out.add(side * round);", "slips_out.add(round);"),
    Fault("study/summaries.cpp", "*men[man] = play_.spots[first + man];", ""),
    Fault("study/summaries.cpp", "at_snap[man] = *men[man] - play_.spots[first + man];", ""),
    Fault("study/summaries.cpp", "engine() % draws", "engine() % 1"),
    Fault("study/summaries.cpp", "distance(protector[k], passer[k]) - got_past", "distance(protector[k], passer[k])"),
    Fault("study/summaries.cpp", "of.squares / (of.count - 1)", "of.squares / of.count"),
    Fault(
        "study/summaries.cpp",
        "gives = (at(protector, *later).y() - protector[met].y())",
        "gives = (at(protector, *later).y() - protector[0].y())",
    ),
    Fault("simulate/passer.cpp", "constexpr double least_drop_time = 0.3;", "constexpr double least_drop_time = 0.6;"),
    Fault("simulate/rep_lanes.hpp", "constexpr double grip_zone = 0.1;", "constexpr double grip_zone = 0.3;"),
    Fault("simulate/rep_assignment.cpp", "+ assumptions_.crossed_by)", "+ 5 * assumptions_.crossed_by)"),
    Fault("simulate/rep_assignment.cpp", "(there.x() - at.x()) * formation_.slide < 0", "(there.x() - at.x()) < -9"),
    Fault("simulate/rep_protector.hpp", "a.opens_at * man.kick_speed", "1.3 * a.opens_at * man.kick_speed"),
    Fault(
        "simulate/rep_rusher.hpp",
        "moves.plan == RushPlan::inside ? -outside",
        "moves.plan == RushPlan::inside ? outside",
    ),
    Fault("simulate/rep_passer.hpp", "across <= a.early_clear * range", "across <= 0.3 * a.early_clear * range"),
    Fault("simulate/rep_passer.hpp", "a.early_within * closing", "1.3 * a.early_within * closing"),
    Fault("simulate/rep_passer.hpp", "threat_seconds = 1.3", "threat_seconds = 2.6"),
    Fault("simulate/rep_passer.hpp", "(stepped < a.step_most)", "(stepped < 9 * a.step_most)"),
    Fault("simulate/rep_engagement.hpp", "ride_gap = 0.35", "ride_gap = 0.05"),
    Fault("simulate/rep_engagement.hpp", "larger(0.0, pair.closing - round)", "Wide{}"),
    Fault("simulate/rep_engagement.hpp", "loses > 0, slip * pair.gap", "loses > 0, -4.0 * slip * pair.gap"),
    Fault("simulate/rep_passer.hpp", "rusher.early_since[lane] + a.early_lasts)", "middle)"),
    Fault("simulate/rep_passer.hpp", "time, man.top - a.step_before)", "middle, man.top)"),
    Fault("simulate/rep_events.hpp", "larger(pressure_from_, time - step_ / 2)", "larger(pressure_from_, time)"),
    Fault("simulate/rep_lanes.hpp", "constexpr double look_ahead = 0.3;", "constexpr double look_ahead = 0.9;"),
    # camera and trace
    Fault(
        "camera/between.cpp",
        "return after * after * before * before / (3 * (after + before));",
        "return after * after * before * before / (after + before);",
    ),
    Fault("camera/between.cpp", "{std::remainder(to.pan - from.pan, turn),", "{to.pan - from.pan,"),
    Fault(
        "camera/between.cpp",
        "const double share = after / (after + before);\n  FrameCamera out;",
        "const double share = before / (after + before);\n  FrameCamera out;",
    ),
    Fault(
        "camera/between.cpp",
        "lever = (1 - share) * lever_a + share * lever_b;",
        "lever = share * lever_a + (1 - share) * lever_b;",
    ),
    Fault("camera/between.cpp", "if (a.play != at.play || b.play != at.play) continue;", ""),
    Fault("camera/between.cpp", "gain.topRows<shared>().setZero();", ""),
    Fault("camera/camera.cpp", "Place right(s, -c, 0)", "Place right(-s, c, 0)"),
    Fault("camera/camera.cpp", "axes_.row(1) = (cr * down - sr * right)", "axes_.row(1) = (cr * down + sr * right)"),
    Fault("camera/camera.cpp", "1 + 3 * view_.k1 * r2 <= 0", "1 + view_.k1 * r2 <= 0"),
    Fault("camera/camera.cpp", "wanted > fold * 2 / 3", "wanted > fold"),
    Fault("camera/camera.cpp", "z() - height - steep", "z() + height - steep"),
    Fault("camera/camera.cpp", "2 * view_.k1 / h2 * off * off.transpose()", "view_.k1 / h2 * off * off.transpose()"),
    Fault("camera/camera.cpp", "out.by_camera.leftCols<3>() = -by_point;", "out.by_camera.leftCols<3>() = by_point;"),
    Fault("camera/camera.cpp", "out.by_ground.col(1) += by_point.col(2) * ground_slope(view_.crown, point.y());", ""),
    Fault(
        "camera/camera.hpp",
        "4 * crown * (1 - 2 * y / field_width) / field_width",
        "4 * crown * (1 - y / field_width) / field_width",
    ),
    Fault("camera/ground.cpp", "error.height * error.height * by_height", "error.height * by_height"),
    Fault("camera/ground.cpp", "a.place + gain * (b.place - a.place)", "b.place + gain * (a.place - b.place)"),
    Fault("camera/marks.cpp", "number_top = 9", "number_top = 8"),
    Fault("camera/marks.cpp", "return 70 * foot + 9 * inch;", "return 70 * foot + 6 * inch;"),
    Fault("camera/solver.cpp", "constexpr double cauchy = 3; ", "constexpr double cauchy = 30; "),
    Fault(
        "camera/solver.cpp",
        "arrow.own_pull[3] = -problem.roll_weight * problem.poses[f].roll;",
        "arrow.own_pull[3] = 0;",
    ),
    Fault("camera/solver.cpp", "problem.prior << 0, 0, 0, 0, options.crown;", "problem.prior << 0, 0, 0, 0, 0;"),
    Fault(
        "camera/solver.cpp",
        "left.noalias() -= arrow.shared_own * inverses.back() * arrow.shared_own.transpose();",
        "",
    ),
    Fault("camera/solver.cpp", "if (!(greatest > over)) return;", "if (!(greatest > 2 * over)) return;"),
    Fault(
        "camera/solver.cpp",
        "out.scale = std::max(1.0, sum / freedom());",
        "out.scale = std::max(1.0, sum / freedom() / 2);",
    ),
    Fault("camera/solver.cpp", "problem.pixel *= std::sqrt(known.scale);", ""),
    Fault(
        "camera/solver.cpp",
        "if (mirrored) click.place.y() = field_width - click.place.y();",
        "if (mirrored) click.place.y() = click.place.y();",
    ),
    Fault(
        "camera/solver.cpp",
        "if (!(now > 1.5 * options.pixel)) return std::nullopt;",
        "if (!(now > 40 * options.pixel)) return std::nullopt;",
    ),
    Fault("trace/journal.cpp", "taken_back_.clear();", ""),
    Fault("trace/journal.cpp", "set_standing(standing_.back(), false);", ""),
    Fault("trace/journal.cpp", "if (found != wanted)", "if (found < wanted)"),
    Fault("trace/journal.cpp", "tables[4][low >> 24]", "tables[4][high >> 24]"),
    Fault("trace/smoother.cpp", "d2 * d2 / 8, d3 / 6, d2 * d2 / 8, d3 / 3", "d2 * d2 / 6, d3 / 6, d2 * d2 / 6, d3 / 3"),
    Fault("trace/smoother.cpp", "since < start_seconds - same_time;", "since < start_seconds / 2;"),
    Fault("trace/smoother.cpp", "options_.start * by.col(2);", "options_.start * by.col(1);"),
    Fault(
        "trace/smoother.cpp",
        "(options_.tail + size) / (options_.tail + 6)",
        "(options_.tail + size) / (options_.tail + 2)",
    ),
    Fault(
        "trace/smoother.cpp",
        "next.smoothed_covariance - through - through.transpose() +",
        "next.smoothed_covariance - through +",
    ),
    Fault("trace/smoother.cpp", "double greatest = over;", "double greatest = 2 * over;"),
    Fault(
        "trace/smoother.cpp",
        "clicks[i].covariance - node.smoothed_covariance.topLeftCorner<2, 2>();",
        "clicks[i].covariance;",
    ),
    Fault("trace/smoother.cpp", "click.time += seconds;", "click.time -= seconds;"),
    Fault(
        "trace/smoother.cpp",
        "make_symmetric(left);\n    }\n    const Eigen::LDLT",
        "left *= 2;\n    }\n    const Eigen::LDLT",
    ),
]
# Survivors that change nothing a user could see, each with its reason: "file: old" -> why.
NO_FAULT: dict[str, str] = {}


def named(fault: Fault) -> str:
    return f"{fault.file}: {' '.join(fault.old.split())}"


def passes(command: list[str], where: Path, seconds: int = 3600, **more: str) -> bool:
    """Whether it ends well within so many seconds of processor time. A fault that never ends is seen."""
    bounded = ["sh", "-c", f'ulimit -t {seconds}; exec "$@"', "sh", *command]
    environment = {**os.environ, "SHORTEDGE_FULL": "0", **more}
    return subprocess.run(bounded, cwd=where, capture_output=True, env=environment, check=False).returncode == 0


def done(command: list[str]) -> None:
    """What must go well."""
    said = subprocess.run(command, cwd=BUILD, capture_output=True, text=True, check=False)
    if said.returncode:
        sys.exit(f"mutate: {shlex.join(command)[:500]}: {said.stderr[-2000:]}")


class House:
    """What build/release is made of: commands, and which object sees which file of the core."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.making = folder, threading.Lock()
        if not (BUILD / TESTS).exists():
            sys.exit(f"mutate: no {BUILD / TESTS}: cmake --preset release && cmake --build --preset release")
        self.command: dict[str, list[str]] = {}  # of an object or a program, by its name
        for edge in json.loads(self.ninja("-t", "compdb")):
            first = edge["command"].removeprefix(": && ").split(" && ")[0]
            words = shlex.split(first) if first else []
            self.command[edge["output"]] = words[1:] if words[:1] == ["/usr/bin/ccache"] else words
        self.module = next(name for name in self.command if name.startswith("bindings/_core."))
        self.sees: dict[str, list[str]] = {}  # a file of core/ -> objects
        core, object_ = f"{ROOT / 'core'}/", ""
        for line in self.ninja("-t", "deps").splitlines():
            if line[:1].strip():
                object_ = line.split(": #deps")[0]
            elif (path := os.path.normpath(BUILD / line.strip())).startswith(core):  # a cache names them from here
                self.sees.setdefault(path.removeprefix(core), []).append(object_)
        self.often = folder / "often.hpp"
        self.often.write_text("".join(f"#include {name}\n" for name in OFTEN.split()))
        any_object = next(name for name in self.command if name.startswith(LIBRARY_OBJECTS) and name.endswith(".o"))
        done([*self.flags(any_object), "-x", "c++-header", str(self.often), "-o", f"{self.often}.gch"])

    def ninja(self, *words: str) -> str:
        command = ["ninja", "-C", str(BUILD), "--quiet", *words]
        return subprocess.run(command, capture_output=True, text=True, check=True).stdout

    def flags(self, name: str) -> list[str]:
        """How an object is compiled, without its names of files."""
        words = self.command[name][: self.command[name].index("-MD")]
        if "-include" in words:  # a precompiled header, of other flags
            at = words.index("-include")
            words = [word for word in (*words[:at], *words[at + 2 :]) if word != "-Winvalid-pch"]
        return [*(word for word in words if word != "-fPIE"), *QUICKLY]

    @cached_property
    def bindings(self) -> Path:
        """The bindings as one object that is linked quickly."""
        made = self.folder / "bindings.o"
        objects = [word for word in self.command[self.module] if word.endswith(".o") and word.startswith(BINDINGS)]
        done(["c++", "-r", *objects, "-o", str(made)])
        return made


class Copy:
    """A fault, compiled beside the house."""

    def __init__(self, house: House, fault: Fault, folder: Path) -> None:
        self.house, self.fault, self.folder, self.core = house, fault, folder, folder / "core"
        text = (ROOT / "core" / fault.file).read_text()
        if text.count(fault.old) != 1:
            raise SystemExit(f"mutate: {named(fault)} stands {text.count(fault.old)} times in its file; accepted: once")
        self.planted = self.core / fault.file
        self.planted.parent.mkdir(parents=True)
        self.planted.write_text(text.replace(fault.old, fault.new))
        self.layer = fault.file.split("/")[0]
        self.objects: dict[str, Path] = {}  # compiled anew

    def compiled(self) -> bool:
        """What sees the fault: of the library, and of the tests of its own layer. Other tests take it from these."""
        of_layer = f"{TEST_OBJECTS}core/{self.layer}/", f"{TEST_OBJECTS}Unity/unity_{self.layer}_"
        for name in self.house.sees[self.fault.file]:
            if not name.startswith((LIBRARY_OBJECTS, *of_layer)):
                continue
            made = self.folder / f"{len(self.objects)}.o"
            source = self.house.command[name][-1]
            if Path(source) == ROOT / "core" / self.fault.file:
                source = str(self.planted)
            first, *flags = self.house.flags(name)
            before = ["-include", str(self.house.often), f"-I{self.core}"]
            if not passes([first, *before, *flags, "-c", source, "-o", str(made)], BUILD):
                return False
            self.objects[name] = made
        return True

    def linked(self, program: str) -> Path | None:
        """What is compiled anew comes first, so that functions in headers are taken from there."""
        made = self.folder / Path(program).name
        words = [word for word in self.house.command[program] if word not in self.objects]
        if program == self.house.module:
            objects = [word for word in words if word.endswith(".o")]
            words = [word for word in words if word not in objects and not word.startswith("-flto")]
            words.insert(words.index(LIBRARY), str(self.house.bindings))
        words[words.index("-o") + 1] = str(made)
        of_library = [str(path) for name, path in self.objects.items() if name.startswith(LIBRARY_OBJECTS)]
        of_tests = [str(path) for name, path in self.objects.items() if name.startswith(TEST_OBJECTS)]
        words[1:1] = of_library + (of_tests if program == TESTS else [])
        return made if passes(words, BUILD) else None

    def seen_by_cpp(self, program: Path) -> bool:
        command = [str(program), f"--test-case-exclude={GOLDEN}", "--abort-after=1"]
        own, *above = (f"*tests/core/{layer}/*" for layer in LAYERS[LAYERS.index(self.layer) :])
        return any(
            not passes([*command, f"--source-file={files}"], ROOT, CPP_SECONDS)
            for files in (own, ",".join(above))
            if files
        )

    def seen_by_python(self, module: Path) -> bool:
        package = self.folder / "package" / "shortedge"
        package.mkdir(parents=True)
        for part in (ROOT / "bindings" / "shortedge").iterdir():
            (package / part.name).symlink_to(part)
        (package / "demo_game").symlink_to(ROOT / "data" / "demo_game")
        (package / module.name).symlink_to(module)
        command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider"]
        if self.fault.file == "study/summaries.cpp":
            command += PAIR_FIGURES
        else:
            command += FILM_FIGURES if self.layer in ("camera", "trace") else FIGURES
        return not passes(command, ROOT / "tests" / "python", PYTHON_SECONDS, PYTHONPATH=str(package.parent))


def judged(house: House, fault: Fault, python: bool = True) -> str:
    """How it was seen: "C++", "Python", "" for not at all, or "does not compile"."""
    folder = Path(tempfile.mkdtemp(prefix="fault-", dir=house.folder))
    try:
        copy = Copy(house, fault, folder)
        program = copy.linked(TESTS) if copy.compiled() else None
        if program is None:
            return "does not compile"
        if copy.seen_by_cpp(program):
            return "C++"
        if not python:
            return ""
        with house.making:
            assert house.bindings
        module = copy.linked(house.module)
        if module is None:
            return "does not compile"
        return "Python" if copy.seen_by_python(module) else ""
    finally:
        shutil.rmtree(folder)


def recorded(path: Path | None) -> dict[str, str]:
    """What earlier runs killed, by fault."""
    if path is None or not path.exists():
        return {}
    lines = (line.split("\t") for line in path.read_text().splitlines())
    return {name: how for how, name in lines if how in KILLED}


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--share", type=int, default=1, metavar="N", help="every Nth fault")
    parser.add_argument("--first", type=int, help="the first of them; by the day, if not said")
    parser.add_argument("--only", metavar="TEXT", help="faults whose file has this in its name")
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1, metavar="N", help="so many at once")
    parser.add_argument(
        "--record", type=Path, metavar="FILE", help="results are appended here, and kills taken from it"
    )
    parser.add_argument("--no-python", action="store_true", help="the C++ tests only")
    parser.add_argument("--list", action="store_true", help="the faults, and nothing else")
    given = parser.parse_args()
    chosen = [fault for fault in FAULTS if not given.only or given.only in fault.file]
    first = datetime.date.today().toordinal() if given.first is None else given.first
    chosen = chosen[first % given.share :: given.share]
    if given.list:
        print("\n".join(f"{named(fault)}  ->  {' '.join(fault.new.split()) or '(nothing)'}" for fault in chosen))
        return 0
    known = recorded(given.record)
    found: dict[str, str] = {}

    def judge(fault: Fault) -> None:
        name = named(fault)
        how = known.get(name) or judged(house, fault, not given.no_python)
        found[name] = how
        print(f"{f'killed by {how}' if how in KILLED else how or 'SURVIVED':24} {name}", flush=True)
        if given.record and name not in known:
            with given.record.open("a") as record:
                record.write(f"{how or 'survived'}\t{name}\n")

    with tempfile.TemporaryDirectory(prefix="faults-", dir=BUILD.parent) as folder:
        house = House(Path(folder))
        healthy = Fault(chosen[0].file, chosen[0].old, chosen[0].old)
        if not known and (how := judged(house, healthy, not given.no_python)):
            sys.exit(f"mutate: without a fault: {how}; accepted: all tests pass")
        with ThreadPoolExecutor(given.jobs) as pool:
            list(pool.map(judge, chosen))
    survived = [name for name, how in found.items() if not how]
    broken = [name for name, how in found.items() if how and how not in KILLED]
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
