"""How often each rule fires in measured plays: a comparison is worth something only if its rules are at work in it."""

from collections import Counter
from itertools import pairwise

import numpy as np

from .dropbacks import dropback, top_of_drop
from .edges import edge_owner, takes
from .exchanges import crossings, exchange_rows, reps_of
from .geometry import outside_by
from .looks import look_rows
from .match import match_all
from .measured import Measured
from .reps import rep_rows
from .roles import first_counted, rushes, showed_and_dropped
from .rush import Rush
from .searches import search_rows
from .spells import gap


def roles_fired(m: Measured) -> Counter[str]:
    """2.3 and 6.0."""
    play, out = m.play, Counter[str]()
    out["late"] = len(play.late)
    out["dropped"] = len(play.dropped)
    out["late and dropped"] = len(play.late & play.dropped)
    free_role = [p for p in play.defense() if play.people[p].role is None]
    out["showed and dropped"] = sum(
        showed_and_dropped(play, p) and (first_counted(play, p) == 0 or bool((play.places[p][:, 1] >= 0.5).any()))
        for p in free_role
    )
    out["held up short of the line"] = sum(
        rushes(play, p) and not (play.places[p][play.until(play.snap + 2.5), 1] >= 0.5).any() for p in free_role
    )
    out["seven rushers"] = len(play.rushers) >= 7
    out["role given to a rusher"] = sum(play.people[r].role == "rusher" for r in play.rushers)
    out["counts from later than the snap"] = sum(first > 0 for first, _ in play.rushers.values())
    after = [r for r, (first, _) in play.rushers.items() if first >= play.rep_frames()]
    out["rusher only after the end of reps"] = len(after)
    centres = [p for p in play.linemen if play.linemen[p] == "C"]
    out["two centres"], out["no centre"] = len(centres) > 1, not centres
    out["no throw"], out["throw"] = bool(np.isnan(play.throw)), not np.isnan(play.throw)
    early = play.reps_end < min(play.end if np.isnan(play.throw) else play.throw, play.end) - 1e-6
    near = any(
        np.hypot(*(play.places[d][k] - play.places[play.passer][k])) <= 1.0
        for d in play.defense()
        for k in np.flatnonzero(np.abs(play.times - play.reps_end) < 1e-9)
    )
    out["reps end before the throw"] = early and not np.isnan(play.throw)
    out["reps end with a man on the passer"] = early and np.isnan(play.throw) and near
    out["reps end where the passer leaves"] = early and not near
    return out


def matching_fired(m: Measured, rules: dict[str, float]) -> Counter[str]:
    """6.1."""
    play, who, out = m.play, m.who, Counter[str]()
    out["never between"] = len(who.never_between)
    out["only helped (a)"] = len(who.helped_only)
    out["passed on (b)"] = len(who.passed_on)
    out["assigned without a spell"] = sum(s.assigned for s in who.reps)
    for s in who.reps:
        others = [o for o in who.reps if o.rusher == s.rusher and o is not s]
        all_others = [*others, *(o for o in [*who.helped_only, *who.passed_on] if o.rusher == s.rusher)]
        if s.meet_time < 0.5 and s.beat is not None and any(o.meet_time > s.meet_time for o in all_others):
            out["beaten in a short spell and nobody came"] += 1
        out["two reps of one rusher"] += bool(others)
        out["overlapping reps of one rusher"] += any(o.first <= s.last and s.first <= o.last for o in others)
        out["two reps of one protector"] += any(o.protector == s.protector and o is not s for o in who.reps)
        out["let go"] += len(s.let_go)
        out["let go, then beaten"] += bool(s.let_go) and s.beat is not None
        out["no contact"] += s.contact is None
    for rusher, men in who.has.items():
        there = [k for k in range(len(men)) if play.rushing(rusher, k)]
        out["man who has him changes"] += len({men[k] for k in there}) > 1
        out["man who has him not there"] += any(men[k] is not None and not play.here(men[k], k) for k in there)
        out["nobody has him"] += any(men[k] is None for k in there)
        out["rusher missing in between"] += bool(there) and len(there) < there[-1] - there[0] + 1
        firsts = [s.first for s in who.reps if s.rusher == rusher]
        out["had by the first to come"] += bool(firsts and there and there[0] < min(firsts))
        out["had by the last who had him"] += any(
            not any(s.first <= k <= s.last for s in who.reps if s.rusher == rusher)
            and any(s.last < k for s in who.reps if s.rusher == rusher)
            for k in there
        )
    matched = match_all(play, rules["meet"])
    late = {men[k] for r, men in matched.items() if r in play.late for k in range(len(men))} - {None}
    out["late rusher matched"] = len(late)
    out["late rusher's nearest man taken by another"] = sum(
        gap(play, p, r, k) < gap(play, men[k], r, k) and any(matched[o][k] == p for o in matched if o not in play.late)
        for r, men in matched.items()
        if r in play.late
        for k in range(len(men))
        if men[k] is not None
        for p in play.protectors
    )
    return out


def rush_fired(m: Measured, rules: dict[str, float]) -> Counter[str]:
    """4.3 to 4.6."""
    play, out = m.play, Counter[str]()
    for rusher, frames in m.standing.items():
        for k, s in frames.items():
            row = m.rushes[rusher][k]
            at, passer = play.places[rusher][k], play.places[play.passer][k]
            if s.free:
                out["free outside" if s.outside else "free inside"] += 1
                out["free with a man between"] += s.between is not None
                out["free and no wall"] += m.walls[k] is None
                continue
            if s.blocker is None:
                out["blocker not there"] += 1
                continue
            lineman = s.blocker in play.linemen
            spot = play.places[s.blocker][k]
            out["blocker beyond engage"] += row["blocker_range"] > rules["engage"]
            out["no side, centre"] += lineman and s.side == 0
            out["no side, no lineman"] += not lineman and s.side == 0
            out["side of no lineman"] += not lineman and s.side != 0
            if lineman and s.side != 0:
                listed = {"LT": -1, "LG": -1, "RG": 1, "RT": 1}.get(play.linemen[s.blocker])
                out["side another than listed"] += listed is not None and listed != s.side
                out["side another than where he is now"] += s.side * (spot[0] - passer[0]) < 0
            if s.past:
                out["past outside" if s.outside else "past inside"] += 1
                out["past with a man between"] += s.between is not None
                out["past without a side"] += s.side == 0
                now = s.side != 0 and outside_by(s.side, at, spot, passer) <= 0
                out["past inside, now outside"] += now and not s.outside
                out["past outside, now inside"] += not now and s.outside
            elif s.side:
                o = outside_by(s.side, at, spot, passer)
                along = float((spot - at) @ (passer - at))
                out["corner gone though not past"] += o <= 0 and not 0 < along < float((passer - at) @ (passer - at))
                out["corner partly held"] += 0 < row["corner_held"] < 2 * rules["reach"]
    return out


def edges_fired(m: Measured, rules: dict[str, float]) -> Counter[str]:
    """5, read from the rows and the standing of that frame."""
    play, out = m.play, Counter[str]()
    times = {row["time"]: k for k, row in enumerate(m.frames)}
    for row in m.edges:
        k, side = times[row["time"]], -1 if row["side"] == "left" else 1
        wall = m.walls[k]
        end = wall.left if side < 0 else wall.right
        rushes = {r: Rush(f[k], m.standing[r][k]) for r, f in m.rushes.items() if k in f}
        owner = edge_owner(side, rushes, wall, play.linemen, rules)
        out["edge nobody's"] += owner is None
        takers = [r for r, x in rushes.items() if takes(x, side, end, wall, rules)]
        out["edge with two takers"] += len(takers) > 1
        of_end = [x for x in rushes.values() if x.standing.blocker == end]
        out["edge nobody's though the end has a man"] += owner is None and bool(of_end)
        if owner is None:
            continue
        s = rushes[owner].standing
        slot = play.linemen.get(s.blocker or "", "")
        if owner not in takers:
            out["edge of the end's own man"] += s.blocker == end
            out["edge of the back's man, the end having none"] += s.blocker != end
            out["edge of a man past outside, hardly exposed"] += s.past
        elif s.free:
            out["free edge"] += 1
        elif s.past:
            out["edge taken past his man"] += 1
            out["edge taken past a man not in the wall"] += s.blocker not in wall.men
        elif s.blocker == end:
            out["edge taken of the end"] += 1
        else:
            out["edge taken of another man"] += 1
        out["guard as edge man"] += slot.endswith("G")
        out["edge man no lineman"] += s.blocker is not None and not slot
        out["edge man not in the wall"] += s.blocker is not None and s.blocker not in wall.men
    return out


def tables_fired(m: Measured, rules: dict[str, float]) -> Counter[str]:
    """6.2 to 6.8 and the statuses, from the rows."""
    out = Counter[str]()
    row = dropback(m)
    out[f"alignment {row['alignment']}"] += 1
    out["top" if top_of_drop(m.play) is not None else "no top"] += 1
    push = row["push"]
    out["no push to tell" if np.isnan(push) else "push" if push > 0 else "push 0"] += 1
    out["pressure" if row["pressure"] else "no pressure"] += 1
    for frame in m.frames:
        out[f"status {frame['status']}"] += 1
    for row in rep_rows(m, rules):
        out[f"outcome {row['outcome']}"] += 1
        out[f"technique {row.get('technique')}"] += 1
        if row.get("set_type"):
            out[f"set {row['set_type']}"] += 1
        for name in ("helped", "run_by", "ball_out", "pressure"):
            out[name] += bool(row[name])
        if row.get("beat_side"):
            out[f"beat {row['beat_side']}"] += 1
        out["hips"] += not np.isnan(row.get("hips_time", np.nan))
        out["film time"] += not np.isnan(row.get("contact_film_time", np.nan))
        out["short edge seconds"] += row["short_edge_seconds"] > 0
        out["lane in reps"] += row.get("lane") is not None
        lineman = row.get("protector") in m.play.linemen
        out["help by a man who is no lineman"] += row["outcome"] == "help" and not lineman
        out["rep of a man who is no lineman"] += row["outcome"] in ("held", "beat", "driven") and not lineman
    return out


def exchanges_fired(m: Measured, rules: dict[str, float]) -> Counter[str]:
    """Exchanges, from the rows."""
    out = Counter[str]()
    crossed = crossings(m.play)
    rows = exchange_rows(m, rules)
    for row in rows:
        kind, rusher = row["kind"], str(row["rusher"])
        out[f"exchange {kind}{' late' if row['late'] else ''}"] += 1
        out["exchange free"] += row["outcome"] == "free"
        out["exchange from a spell that is no rep"] += kind != "stayed" and all(
            s.protector != row["from_man"] for s in reps_of(m, rusher)
        )
        out["exchange of two who stood in order"] += kind == "twist" and any(
            other["rusher"] == row["crossed_with"] and other["from_man"] == row["to_man"] for other in rows
        )
        out["exchange waited for behind the line"] += kind == "twist" and row["time"] > row["cross_time"]
        out["exchange of one who crossed with two"] += len(crossed[rusher]) > 1
    for rusher in m.play.rushers:
        if any(row["rusher"] == rusher for row in rows):
            continue
        men = {s.protector for s in reps_of(m, rusher)}
        out["second man without an exchange"] += len(men) > 1
    return out


def searches_fired(m: Measured, rules: dict[str, float]) -> Counter[str]:
    """Searches, from the rows."""
    out = Counter[str]()
    rows = search_rows(m, rules)
    for row in rows:
        out[f"search {row['why']} {row['found']}"] += 1
        out[f"search side {row.get('side')}"] += 1
        out["search that finds at once"] += row["found"] == "rusher" and row["end"] == row["start"]
        out["search of one absent at its end"] += np.isnan(row["distance"])
    men = [row["man"] for row in rows if row["why"] == "freed"]
    firsts = {row["man"]: row["why"] for row in reversed(rows)}
    out["search of one who had a rusher"] += sum(firsts[man] == "freed" for man in set(men))
    out["search of one who had found a rusher"] += any(
        a["man"] == b["man"] and a["found"] == "rusher" for a, b in pairwise(rows)
    )
    return out


def looks_fired(m: Measured, _: dict[str, float]) -> Counter[str]:
    """Looks, from the rows."""
    out = Counter[str]()
    for row in look_rows(m):
        out[f"look {row['spot']}"] += 1
        out[f"look field side {row['field_side']}"] += 1
        out[f"look pickup {row.get('pickup')}"] += 1
        out["look under a deep man"] += bool(row["deep_over"])
        out["look over the slot from deep"] += row["depth"] > 8
        out["look over nobody"] += row["over"] is None
        out["look and came"] += bool(row["rushed"])
        out["look and dropped"] += "dropped" in row
        out["look pickup without a next rusher"] += "pickup" in row and row["next_rusher"] is None
        out["look pickup, the next rusher nobody's"] += (
            "pickup" in row and row["next_rusher"] is not None and row["next_taken_by"] is None
        )
    return out


LATER = (
    *(matching_fired, rush_fired, edges_fired, tables_fired),
    *(exchanges_fired, searches_fired, looks_fired),
)


def fired(m: Measured, rules: dict[str, float]) -> Counter[str]:
    """Rule -> how often it fires in a play, 0 too."""
    out = Counter[str]()
    for part in (roles_fired(m), *(f(m, rules) for f in LATER)):
        for name, count in part.items():
            out[name] += int(count)
    return out
