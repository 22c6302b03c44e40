"""What a board starts from: a recorded frame, a formation, or a still frame of a break-even study, ready for JSON.

    title, about     text: what it is, and of which game
    kind             recorded, front or still
    men              [label, what he is called, "O" or "X"] each, in the core's order
    in               the core's input tables by name, columns by name: lists of numbers, null for a missing one. A
                     column that is left out is missing in every row; a rule or an assumption left out has its default.
    view             left, right, upper, lower edge of what is shown, yd
    depths           least and most depth the passer can be taken to, yd
    notes            text: what the board rests on
    says             what each status means in words
    plan             throw_time and so on, beside what `in` has of it

Numbers are given to twelve digits, so that a board shows the tables' own figures.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from .. import _core
from .._core import InputError, Rules
from ..base.text import shown, word
from ..simulation.formations import Formation, Protector, Rusher
from ..simulation.plan import CONDITIONAL, MISSING, STEP
from ..tell.called import called_in
from ..tell.labels import CAUTION, STATUS, cut_short
from ..tell.scene import check_current

if TYPE_CHECKING:
    from ..measures.drops import BreakEven
    from ..measures.results import Measures

Start = dict[str, Any]
Table = dict[str, list[Any]]

SNAP = 0.3  # s: a frame before that is the snap, and the drop is still to come
SHALLOWEST, DEEPEST = 1.0, 12.0  # yd, of the slider; deeper where the passer is
MOST = 20.0  # yd, no drop is taken deeper (core/study/drop_study.hpp)
SWEEP = 0.25  # yd
EVEN_FROM = 3.0  # yd: nearer to the line a rusher's way runs past the tackle's inside, which tells nothing of the drop
SHARE = 0.45  # of the rusher's speed, the tackle's
DRAWS, SEED = 200, 1
THROW = {"throw_time": 2.7, "throw_sd": 0.3, "throw_per_yard": 0.12}
DROP_TO = 7.0  # yd
FREE = {"roll": 0.0, "fake": 0.0, "slide": 0.0}  # of a play nobody has said more of


@cache
def columns() -> dict[str, dict[str, list[str]]]:
    """The core's tables, in and out, each with the names of its columns."""
    told = json.loads(_core.board_columns())
    return {
        way: {table["name"]: [column["name"] for column in table["columns"]] for table in told[way]}
        for way in ("in", "out")
    }


@cache
def words() -> dict[str, list[str]]:
    """The words of each column of the input that has some."""
    tables = json.loads(_core.board_columns())["in"]
    return {column["name"]: column["words"] for table in tables for column in table["columns"] if "words" in column}


def recorded(m: Measures, play: object, time: float) -> Start:
    """The frame of a play nearest to a time, s since the snap."""
    check_current(m)
    if not isinstance(time, int | float) or not math.isfinite(time):
        raise InputError(f"time is {shown(time)}; accepted: s since the snap")
    shot = m.game.play(play)
    return of_frames(m, word(play), [int(np.abs(shot.time - time).argmin())])[0]


def of_frames(m: Measures, play: str, frames: Sequence[int]) -> list[Start]:
    """Frames of one play, each a start of its own."""
    shot = m.game.play(play)
    called = called_in(m.game, shot)
    swamped = play in m.game.swamped
    out = []
    for frame, made in zip(
        frames, _core.board_stills(m.game.core, m.game.row(play), m.rules, list(frames)), strict=True
    ):
        men, at = named("men", made["men"]), named("frame", made["frame"])
        roles, slots = words()["role"], words()["slot"]
        line = [abs(u) for u, slot in zip(men["u"], men["slot"], strict=True) if slot >= 0 and u is not None]
        tackle = max(line, default=3.2)
        men["inside"] = [
            int(roles[role] == "rusher" and u is not None and abs(u) <= tackle + 0.2)
            for u, role in zip(men["u"], men["role"], strict=True)
        ]
        passer = next((i for i, role in enumerate(men["role"]) if roles[role] == "passer"), -1)
        depth = men["v"][passer] if passer >= 0 else None
        seconds = float(shot.time[frame])
        under = depth is not None and depth < 2.0
        notes = [m.game.rests_on] if m.game.rests_on else []
        if swamped:
            notes.append("The places of this play are off by more than a short edge is wide: read no short edge.")
        if shot.men and not any(slots[slot] == "C" for slot in men["slot"] if slot >= 0):
            notes.append("No centre in this play.")
        plan = {
            "takes": float(words()["takes"].index("under" if under else "gun")),
            "passer_u": men["u"][passer] if depth is not None else 0.0,
            "passer_v": depth,
            "depth": DROP_TO if seconds < SNAP else depth,
        }
        out.append(
            start(
                f"{play}, {seconds:.2f} s after the snap",
                m.game_name,
                "recorded",
                [
                    [label, name, "O" if man.unit == "offense" else "X"]
                    for man, (label, name) in zip(shot.men, called, strict=True)
                ],
                men,
                at,
                m.rules,
                plan,
                max(SHALLOWEST, min(EVEN_FROM, depth or EVEN_FROM)) if seconds < SNAP else (depth or EVEN_FROM),
                notes,
            )
            | {"snap": int(seconds < SNAP)}
        )
    return out


def of_play(m: Measures, play: object) -> dict[str, Any]:
    """Every frame of a play, to open a board from: `shared` by all frames, and `frames`, what each has of its own, laid
    over it. Places to a hundred-thousandth of a yard, so that the figures shown are the tables'."""
    check_current(m)
    made = of_frames(m, word(play), range(len(m.game.play(play).time)))
    shared: dict[str, Any] = {}
    own = [short(one) for one in made]
    for name in own[0]:
        if all(one[name] == own[0][name] for one in own):
            shared[name] = own[0][name]
    given = [one["in"] for one in own]
    shared["in"] = {
        table: {
            column: values
            for column, values in given[0][table].items()
            if all(same(one, table, column, values) for one in given)
        }
        for table in given[0]
    }
    frames = []
    for one in own:
        left = {name: value for name, value in one.items() if name != "in" and name not in shared}
        tables = {
            table: {column: values for column, values in columns.items() if column not in shared["in"].get(table, {})}
            for table, columns in one["in"].items()
        }
        frames.append({**left, "in": {table: columns for table, columns in tables.items() if columns}})
    return {"shared": shared, "frames": frames}


def same(given: Mapping[str, Table], table: str, column: str, values: list[Any]) -> bool:
    return bool(given.get(table, {}).get(column) == values)


def short(value: Any) -> Any:
    """The same with numbers of at most five places."""
    if isinstance(value, dict):
        return {name: short(one) for name, one in value.items()}
    if isinstance(value, list):
        return [short(one) for one in value]
    return round(value, 5) if isinstance(value, float) else value


def of_formation(f: Formation, depth: float, rules: Rules, about: str = "", kind: str = "front") -> Start:
    """A formation with its passer so deep, everybody at rest."""
    made = _core.board_formation(f.core, depth, rules)
    men, at = named("men", made["men"]), named("frame", made["frame"])
    everybody: list[Any] = [*f.protectors, *f.rushers]
    order = {one.name: 1 + k for k, one in enumerate(everybody)}
    for k, one in enumerate(everybody, 1):
        if isinstance(one, Protector):
            men["job"][k] = words()["job"].index(one.job)
            men["chips"][k] = order[one.man] if one.job == "chip" else -1
            men["order"][k] = words()["order"].index(one.order or "drop")
        else:
            men["rush"][k] = words()["rush"].index(one.plan or "drawn")
            men["wait"][k] = one.wait
        men["inside"][k] = int(getattr(one, "inside", False))
        for own in ("kick_speed", "run_speed", "top_speed", "tau"):
            value = getattr(one, own, math.nan)
            men[own][k] = None if math.isnan(value) else value
    paths: Table = {"rusher": [], "u": [], "v": []}
    for one in f.rushers:
        for u, v in one.path:
            for name, value in (("rusher", order[one.name]), ("u", u), ("v", v)):
                paths[name].append(value)
    said = [(f.passer_name, "the passer"), *((one.name, "") for one in everybody)]
    plan = {
        "takes": float(words()["takes"].index(f.takes)),
        "passer_u": f.passer[0],
        "passer_v": f.passer[1],
        "depth": depth,
        "roll": float(f.roll),
        "fake": float(f.fake),
        "slide": float(f.slide),
    }
    called = [
        [cut_short(name, 8), what or name, "O" if k <= len(f.protectors) else "X"]
        for k, (name, what) in enumerate(said)
    ]
    title = f.name or "a front at the snap"
    return start(title, about, kind, called, men, at, rules, plan, max(f.passer[1], EVEN_FROM), [], paths)


def of_still(study: BreakEven, width: float, share: float, depth: float, rules: Rules) -> Start:
    """The still frame of a break-even study: a tackle, a rusher so far outside him, the passer."""
    u, v = (float(value) for value in study.rushers_at(np.array([width]))[0])
    tackle = (float(study.tackle[0]), float(study.tackle[1]))
    side = "RT" if tackle[0] >= study.passer[0] else "LT"
    passer = (float(study.passer[0]), max(float(study.passer[1]), 0.1))
    f = Formation("under", passer, (Protector(side, tackle, side, "block", "wide"),), (Rusher("wide", (u, v)),))
    made = of_formation(f, depth, rules, "a still frame, everybody at the snap's place", "still")
    made["title"] = f"a rusher {width:g} yd outside his tackle"
    made["in"]["drop"]["from"] = [float(study.passer[1])]
    made["in"]["drop"]["speed_ratio"] = [share]
    return made


def start(
    title: str,
    about: str,
    kind: str,
    called: list[list[str]],
    men: Table,
    frame: Table,
    rules: Rules,
    plan: Mapping[str, Any],
    even_from: float,
    notes: list[str],
    paths: Table | None = None,
) -> Start:
    roles = words()["role"]
    depth = next((v for v, role in zip(men["v"], men["role"], strict=True) if roles[role] == "passer"), None)
    most = min(MOST, max(DEEPEST, math.ceil((depth or 0.0) + 2)))
    changed = {name: [value] for name, value in rules.as_dict().items() if value != Rules().as_dict()[name]}
    given: dict[str, Table] = {
        "men": {name: values for name, values in men.items() if any(value is not None for value in values)},
        "frame": frame,
        "rules": changed,
        "drop": {
            "least": [SHALLOWEST],
            "most": [float(most)],
            "step": [SWEEP],
            "from": [even_from],
            "speed_ratio": [SHARE],
        },
        "plan": {
            name: [value]
            for name, value in {
                **FREE,
                **plan,
                **THROW,
                "draws": float(DRAWS),
                "seed": float(SEED),
                "step": STEP,
            }.items()
        },
    }
    if paths and paths["u"]:
        given["paths"] = paths
    return {
        "title": title,
        "about": about,
        "kind": kind,
        "men": called,
        "in": given,
        "view": view(men, roles, most),
        "notes": notes,
        "says": STATUS,
        "caution": " ".join(CAUTION),
        "conditional": f"{CONDITIONAL} {MISSING}",
    }


def view(men: Table, roles: list[str], most: float) -> list[float]:
    """Left, right, upper and lower edge, yd: all who pass, protect or rush, and a margin."""
    left, right, upper, lower = -8.5, 8.5, -3.0, 9.5
    for u, v, role in zip(men["u"], men["v"], men["role"], strict=True):
        if u is not None and roles[role] != "other":
            left, right = max(-17.0, min(left, u - 1.6)), min(17.0, max(right, u + 1.6))
            upper, lower = max(-6.0, min(upper, v - 1.4)), min(most, max(lower, v + 1.6))
    return [round(edge, 2) for edge in (left, right, upper, lower)]


def named(table: str, rows: npt.NDArray[np.float64]) -> Table:
    """A table of the core by the names of its columns, None for a missing number."""
    return {
        name: [plain(value) for value in column]
        for name, column in zip(columns()["in"][table], rows.T.tolist(), strict=True)
    }


def plain(value: float) -> Any:
    if math.isnan(value):
        return None
    short = float(f"{value:.12g}")
    return int(short) if short == int(short) else short
