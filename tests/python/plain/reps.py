"""6.1 to 6.7: a row for each rep, each rusher nobody has, each helper without a rep, each lineman without either."""

import numpy as np

from .dropbacks import Pressure, pressure_from, pressures, spot
from .exchanges import exchange_rows
from .frames import Play, runs
from .geometry import cross, cutoff_ratio, outside_by, span
from .measured import Measured, Row
from .outcomes import ground_given, outcome_of, run_by
from .rules import TIME_EPS
from .rush import NAN
from .spells import Spell, first_there, gap, time_of_frame, time_within_meet
from .standing import lineman_side, side_of

KICK = 3.3  # yd/s, the fastest kick
SHOWN, SHORT = 0.2, 0.5  # exposure, and yd of short edge, from which it counts


def sign_word(side: int) -> str | None:
    return {-1: "left", 0: None, 1: "right"}[side]


# 6.2


def attached_ends(play: Play) -> list[str]:
    """Tight ends within 2 yd of a tackle at the snap."""
    tackles = [p for p, slot in play.linemen.items() if slot in ("LT", "RT") and play.here(p, 0)]
    return [
        p
        for p in play.offense()
        if play.people[p].position == "TE"
        and p not in play.linemen
        and play.here(p, 0)
        and any(span(play.places[p][0], play.places[t][0]) <= 2.0 for t in tackles)
    ]


def technique(play: Play, rusher: str) -> tuple[str | None, str | None]:
    """The rusher's alignment at the first measured frame, and its side.

    Reading: nearest is across, as an alignment is told; outside of a man who is not the widest, more than 1.5 is still
    his outside shade; of a centre the side is the rusher's own.
    """
    if not play.here(rusher, 0):
        return None, None
    at = play.places[rusher][0]
    if at[1] < -2.5:
        return "off", None
    ends = attached_ends(play)
    row = [p for p in play.linemen if play.here(p, 0)] + ends
    if not row:
        return None, None
    man = min(row, key=lambda p: (abs(float(play.places[p][0][0] - at[0])), p))
    spot_u = play.places[man][0][0]
    kind = "E" if man in ends else play.linemen[man][-1]
    side = side_of(play, man, 0)
    if kind == "C":
        if abs(at[0] - spot_u) <= 0.2:
            return "0", None
        side = 1 if at[0] > spot_u else -1
    elif side == 0:
        return None, None
    o = float(at[0] - spot_u) * side
    same_side = [float(play.places[p][0][0]) * side for p in row if side_of(play, p, 0) == side]
    widest = max([*same_side, float(spot_u) * side])
    if at[0] * side - widest > 1.5:
        return "wide", sign_word(side)
    if kind == "C":
        return "1", sign_word(side)
    head_up, outside, inside = {"G": ("2", "3", "2i"), "T": ("4", "5", "4i"), "E": ("6", "9", "7")}[kind]
    return head_up if abs(o) <= 0.2 else outside if o > 0 else inside, sign_word(side)


def leverage(play: Play, spell: Spell) -> float:
    """The same o, of the rusher to the protector at first contact; NaN of a man without a side."""
    k = spell.contact
    side = 0 if k is None else side_of(play, spell.protector, k)
    return NAN if side == 0 else float(play.places[spell.rusher][k][0] - play.places[spell.protector][k][0]) * side


# 6.3


def set_of(play: Play, spell: Spell) -> Row:
    """set_type, set_depth and set_angle of guards and tackles, from the snap to first contact."""
    man, k = spell.protector, spell.contact
    if k is None or play.linemen.get(man, "C") == "C" or not play.here(man, 0):
        return {}
    side = side_of(play, man, k)
    if side == 0 or side != lineman_side(play, man):  # no side, or he pulled across
        return {}
    moved = play.places[man][k] - play.places[man][0]
    back, out = float(moved[1]), float(moved[0]) * side
    if back < 1.5:
        kind = "jump"
    elif out > 1.5 * back:
        kind = "kick-out"
    else:
        kind = "45" if out >= 0.5 * back else "vertical"
    return {"set_type": kind, "set_depth": back, "set_angle": float(np.degrees(np.arctan2(out, back)))}


def helps(play: Play, who: str, rusher: str, frames: range, meet: float) -> list[tuple[int, int]]:
    """First and last frames of his stretches within `meet` of a rusher in which he helps: for 0.2 s on end their
    places to each other change, from the first frame of them to the last, by no more than 5.5 yd/s. Who runs by is no
    help.

    Reading: those 0.2 s are, of each frame, back to the nearest one at least so long before; the help ends with the
    last frame within `meet` of that stretch.
    """
    near = np.zeros(len(play.times), dtype=bool)
    near[[k for k in frames if gap(play, who, rusher, k) <= meet]] = True
    found = []
    for a, b in runs(near):
        for k in range(a, b + 1):
            before = [j for j in range(a, k + 1) if play.times[k] - play.times[j] >= 0.2 - TIME_EPS]
            if not before:
                continue
            apart = [play.places[who][j] - play.places[rusher][j] for j in (before[-1], k)]
            if np.hypot(*(apart[1] - apart[0])) <= 5.5 * (play.times[k] - play.times[before[-1]]):
                found.append((a, b))
                break
    return found


def others_near(play: Play, spell: Spell, frame: int, meet: float) -> set[str]:
    """Offensive players but the passer and the protector within `meet` of the rusher."""
    return {
        p
        for p in play.offense()
        if p not in (play.passer, spell.protector) and gap(play, p, spell.rusher, frame) <= meet
    }


def help_in(play: Play, spell: Spell, meet: float) -> Row:
    """helped and island_seconds, between contact and the end of the spell."""
    if spell.contact is None:
        return {"helped": False, "island_seconds": 0.0}
    frames = range(spell.contact, spell.last + 1)
    near = {k: others_near(play, spell, k, meet) for k in frames}
    helped = any(helps(play, man, spell.rusher, frames, meet) for man in set().union(*near.values()))
    alone = sum(time_of_frame(play, k, spell.last) for k in frames if not near[k])
    return {"helped": helped, "island_seconds": alone}


def hips(play: Play, spell: Spell) -> float:
    """hips_time: above the fastest kick and within 45 degrees of straight back, or back and outward."""
    until = spell.contact if spell.contact is not None else spell.beat
    until = spell.last + 1 if until is None else until
    for k in range(spell.first, until):
        velocity = play.speeds[spell.protector][k]
        if not play.here(spell.protector, k) or not np.hypot(*velocity) > KICK:
            continue
        back, side = velocity[1], side_of(play, spell.protector, k)
        if back > 0 and (back >= abs(velocity[0]) or side * velocity[0] > 0):
            return play.since_snap(k)
    return NAN


# 6.5


def beat_side(m: Measured, spell: Spell) -> str | None:
    """Outside or inside as he stands then; of a man without a side left or right."""
    k = spell.beat
    if k is None:
        return None
    play = m.play
    man, rusher, passer = (play.places[w][k] for w in (spell.protector, spell.rusher, play.passer))
    side = side_of(play, spell.protector, k)
    if side == 0:
        return "right" if cross(rusher - man, passer - man) >= 0 else "left"
    stands = m.standing[spell.rusher].get(k)
    if stands is not None and stands.blocker == spell.protector:
        return "outside" if stands.outside else "inside"
    return "outside" if outside_by(side, rusher, man, passer) <= 0 else "inside"


# 6.6


def charged(found: list[Pressure], rusher: str, reps: list[Spell]) -> dict[int, int]:
    """Place in `reps` -> frame of the first pressure charged to it: to the rep running then, else to the last before.

    Reading: of several running, the one begun last, as in 6.1.
    """
    out: dict[int, int] = {}
    for one in (p for p in found if p.rusher == rusher):
        mine = [n for n, s in enumerate(reps) if s.rusher == rusher and s.first <= one.frame]
        running = [n for n in mine if one.frame <= reps[n].last]
        if running:
            n = min(running, key=lambda n: (-reps[n].first, reps[n].protector))
        elif mine:
            n = min(mine, key=lambda n: (-reps[n].last, reps[n].protector))
        else:
            continue
        out.setdefault(n, one.frame)
    return out


# 6.7


def peak(values: dict[int, float]) -> tuple[float, int | None]:
    """The greatest and the first frame that has it; NaN and None of none."""
    known = {k: v for k, v in values.items() if not np.isnan(v)}
    if not known:
        return NAN, None
    k = min(known, key=lambda k: (-known[k], k))
    return known[k], k


def peak_cutoff(play: Play, spell: Spell) -> Row:
    """Peak cut-off ratio to the spot, from the snap to contact, else to the beat, else to the end."""
    goal = spot(play)
    until = next(k for k in (spell.contact, spell.beat, spell.last) if k is not None)
    if goal is None:
        return {}
    value, k = peak(
        {
            k: cutoff_ratio(play.places[spell.rusher][k], play.places[spell.protector][k], goal)
            for k in range(until + 1)
            if play.rushing(spell.rusher, k) and play.here(spell.protector, k)
        }
    )
    if k is None:
        return {}
    speed = float(np.hypot(*play.speeds[spell.rusher][k]))
    return {"peak_cutoff_ratio": value, "peak_cutoff_time": play.since_snap(k), "foot_speed": value * speed}


def exposures(m: Measured, spell: Spell, side: str | None) -> Row:
    """Peak exposures past the man while he is the one who has the rusher, and the time of a short edge."""
    play, moment = m.play, pressure_from(m.play)
    mine = {
        k: m.rushes[spell.rusher][k]
        for k in range(spell.first, spell.last + 1)
        if m.who.has[spell.rusher][k] == spell.protector and k in m.rushes[spell.rusher]
    }
    counted = {k: row for k, row in mine.items() if play.times[k] >= moment - TIME_EPS}
    out: Row = {}
    for name in ("outside", "inside"):
        value, k = peak({k: float(row[f"{name}_exposure"]) for k, row in counted.items()})
        out[f"peak_{name}"] = value
        out[f"peak_{name}_time"] = NAN if k is None else play.since_snap(k)
    out["short_edge_seconds"] = sum(
        time_of_frame(play, k, spell.last)
        for k, row in mine.items()
        if row["outside_exposure"] >= SHOWN
        and row["short_edge"] >= SHORT
        and not (side == "inside" and k >= spell.beat)
    )
    return out


def nearest_in(m: Measured, first: int, last: int) -> float:
    """Least nearest_rusher of the frames; NaN when there never is one."""
    near = [float(m.frames[k].get("nearest_rusher", NAN)) for k in range(first, last + 1)]
    near = [x for x in near if np.isfinite(x)]
    return min(near) if near else NAN


# the rows


def came_dropped(play: Play, rusher: str) -> Row:
    first, last = play.rushers[rusher]
    return {
        "came": play.since_snap(first),
        "dropped": play.since_snap(last) if rusher in play.dropped else NAN,
    }


def rusher_columns(play: Play, rusher: str) -> Row:
    kind, side = technique(play, rusher)
    return {"rusher": rusher, "technique": kind, "technique_side": side} | came_dropped(play, rusher)


EMPTY: Row = {
    "helped": False,
    "island_seconds": 0.0,
    "run_by": False,
    "pressure": False,
    "ball_out": False,
    "short_edge_seconds": 0.0,
    "exchanged": False,
    "corrected": False,
}


def rep_row(m: Measured, spell: Spell, pressed: int | None, thrown_clean: bool, rules: dict[str, float]) -> Row:
    """thrown_clean: there is a throw, and his rusher never pressed before it."""
    play = m.play
    side = beat_side(m, spell)
    row: Row = EMPTY | {
        "play": play.id,
        "protector": spell.protector,
        "start": play.since_snap(spell.first),
        "end": play.since_snap(spell.last),
        "leverage": leverage(play, spell),
        "contact_time": NAN if spell.contact is None else play.since_snap(spell.contact),
        "hips_time": hips(play, spell),
        "outcome": outcome_of(play, spell, rules["meet"]),
        "beat_side": side,
        "beat_time": NAN if spell.beat is None else play.since_snap(spell.beat),
        "run_by": run_by(play, spell),
        "pressure": pressed is not None,
        "pressure_time": NAN if pressed is None else play.since_snap(pressed),
        "ball_out": spell.beat is not None and thrown_clean,
        "ground_given": ground_given(play, spell, rules["meet"]),
        "nearest_rusher_min": nearest_in(m, spell.first, spell.last),
    }
    row |= rusher_columns(play, spell.rusher) | set_of(play, spell) | help_in(play, spell, rules["meet"])
    row |= peak_cutoff(play, spell) | exposures(m, spell, side)
    then = m.rushes[spell.rusher].get(spell.last if spell.contact is None else spell.contact, {})
    row["lane"], row["lane_side"] = then.get("lane"), then.get("lane_side")
    for name, time in (("peak", "peak_outside_time"), ("contact", "contact_time"), ("beat", "beat_time")):
        row[f"{name}_film_time"] = play.film_time + float(row[time])
    return row


def help_times(play: Play, who: str, meet: float) -> dict[str, float]:
    """Of an offensive player, rusher -> s of help, of those whom he helped on: from the snap to the end of reps.

    Reading: longest is by the time within `meet` in all, a frame counting to the next.
    """
    frames = range(play.rep_frames())
    return {
        r: time_within_meet(play, who, r, 0, play.rep_frames() - 1, meet)
        for r in sorted(play.rushers)
        if helps(play, who, r, frames, meet)
    }


def help_side(play: Play, who: str, rusher: str, meet: float) -> str | None:
    """On which side of the rusher's straight line to the passer he stood while within meet, by time."""
    over = play.rep_frames() - 1
    sided = 0.0
    for k in range(over + 1):
        if gap(play, who, rusher, k) > meet or not play.here(play.passer, k):
            continue
        man, at, passer = (play.places[w][k] for w in (who, rusher, play.passer))
        sided += float(np.sign(cross(man - at, passer - at))) * time_of_frame(play, k, over)
    return sign_word(int(np.sign(sided)))


def rep_rows(m: Measured, rules: dict[str, float]) -> list[Row]:
    """All rows of reps of one play: reps, free rushers, helpers, and linemen with neither."""
    play, reps = m.play, m.who.reps
    found = pressures(m)
    rows: list[Row] = []
    for rusher in sorted(play.rushers):
        pressed = charged(found, rusher, reps)
        never = all(p.rusher != rusher for p in found)
        mine = [n for n, s in enumerate(reps) if s.rusher == rusher]
        rows += [rep_row(m, reps[n], pressed.get(n), never and not np.isnan(play.throw), rules) for n in mine]
    over = play.rep_frames() - 1
    rest: Row = EMPTY | {"play": play.id, "end": play.reps_end - play.snap}
    for rusher in sorted(play.rushers):
        first = first_there(play, rusher)
        if first is None or any(s.rusher == rusher for s in reps):
            continue
        times = [play.since_snap(p.frame) for p in found if p.rusher == rusher]
        rows.append(
            rest
            | {"outcome": "free", "start": play.since_snap(first)}
            | {"nearest_rusher_min": nearest_in(m, first, over)}
            | {"pressure": bool(times), "pressure_time": min(times, default=NAN)}
            | rusher_columns(play, rusher)
        )
    with_rep = {s.protector for s in reps}
    for man in play.offense():
        if man in with_rep or man == play.passer:
            continue
        row = rest | {"protector": man, "start": 0.0, "nearest_rusher_min": nearest_in(m, 0, over)}
        helped = help_times(play, man, rules["meet"])
        if helped:
            longest = min(helped, key=lambda r: (-helped[r], r))
            found_help = helps(play, man, longest, range(over + 1), rules["meet"])
            first, last = found_help[0][0], found_help[-1][1]
            row |= {"start": play.since_snap(first), "end": play.since_snap(last)}
            row |= {"nearest_rusher_min": nearest_in(m, first, last)}
            row |= {"help_side": help_side(play, man, longest, rules["meet"])}
            rows.append(row | {"outcome": "help"} | rusher_columns(play, longest))
        elif man in play.linemen:
            rows.append(row | {"outcome": "uncovered"})
    exchanged = {row["rusher"] for row in exchange_rows(m, rules)}
    return [row | {"exchanged": row.get("rusher") in exchanged} for row in rows]
