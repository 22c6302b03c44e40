"""Showed and came: where defenders stood at the snap, and who of them came."""

from .exchanges import reps_of
from .frames import Play
from .measured import Measured, Row
from .spells import first_there
from .standing import lineman_side

NEAR, SLOT_DEEPEST, OVER = 8.0, 10.0, 1.5  # yd: beyond the line, the man over a slot, across
SLOT_BEHIND, SLOT_OUT = 2.5, 2.0  # yd behind the line, outside the line's end
LINE_DEPTH, BOX_OUT = 2.0, 3.0  # yd
DEEP = (8.0, 15.0)  # yd


def u_of(play: Play, who: str) -> float:
    return float(play.places[who][0][0])


def depth_of(play: Play, who: str) -> float:
    """Yards beyond the line of scrimmage."""
    return -float(play.places[who][0][1])


def there(play: Play, men: list[str]) -> list[str]:
    return [p for p in men if play.here(p, 0)]


def line_ends(play: Play) -> dict[int, float]:
    """-1 and +1: how far out the line's end stands on that side, from the ball."""
    row = [u_of(play, p) for p in there(play, list(play.linemen))]
    return {-1: -min(row), 1: max(row)}


def near_the_line(play: Play) -> list[str]:
    """The offensive men but the passer at most 2.5 yd behind the line."""
    able = [p for p in there(play, play.offense()) if p != play.passer]
    return [p for p in able if play.places[p][0][1] <= SLOT_BEHIND]


def slots(play: Play) -> list[tuple[str, int]]:
    """The men of the slot and their sides."""
    ends = line_ends(play)
    wide = []
    for p in near_the_line(play):
        if p in play.linemen:
            continue
        wide += [(p, side) for side in (-1, 1) if side * u_of(play, p) - ends[side] > SLOT_OUT]
    return [
        (p, side) for p, side in wide if any(s == side and side * (u_of(play, q) - u_of(play, p)) > 0 for q, s in wide)
    ]


def spot_of(play: Play, who: str) -> str:
    side = 1 if u_of(play, who) >= 0 else -1
    out = side * u_of(play, who) - line_ends(play)[side]
    inside = slots(play)
    if any(abs(u_of(play, p) - u_of(play, who)) <= OVER for p, _ in inside):
        return "slot"
    if out > BOX_OUT:
        return "slot" if any(s == side and side * (u_of(play, p) - u_of(play, who)) > 0 for p, s in inside) else "wide"
    return "line" if depth_of(play, who) <= LINE_DEPTH else "box"


def over_slots(play: Play) -> set[str]:
    """The man over each slot."""
    out = set()
    for slot, _ in slots(play):
        able = [
            (depth_of(play, p), p)
            for p in there(play, play.defense())
            if abs(u_of(play, p) - u_of(play, slot)) <= OVER and depth_of(play, p) <= SLOT_DEEPEST
        ]
        out |= {min(able)[1]} if able else set()
    return out


def nearest_across(play: Play, who: str, men: list[str]) -> str | None:
    able = [(abs(u_of(play, p) - u_of(play, who)), p) for p in there(play, men) if p != who]
    able = [a for a in able if a[0] <= OVER]
    return min(able)[1] if able else None


def rushed(play: Play, who: str) -> bool:
    return who in play.rushers and first_there(play, who) is not None


def first_man(m: Measured, rusher: str) -> str | None:
    reps = reps_of(m, rusher)
    return reps[0].protector if reps else None


def pickup(m: Measured, who: str, side: int) -> Row:
    """Who picked up a blitzer from the slot."""
    play = m.play
    inward = sorted(there(play, list(play.linemen)), key=lambda p: (-side * u_of(play, p), p))
    first = next((n for n, p in enumerate(inward) if lineman_side(play, p) == side), len(inward))
    tackle, inner = (*inward[first : first + 2], None, None)[:2]
    inside = [
        (-side * u_of(play, r), r)
        for r in there(play, sorted(play.rushers))
        if rushed(play, r) and depth_of(play, r) <= LINE_DEPTH and 0 <= side * u_of(play, r) < side * u_of(play, who)
    ]
    following = min(inside)[1] if inside else None
    his = first_man(m, who)
    theirs = None if following is None else first_man(m, following)
    if his is None:
        kind = "nobody"
    elif his == tackle:
        kind = "outside in" if inner is not None and theirs == inner else "tackle"
    else:
        kind = {"T": "tackle", "": "back"}.get(play.linemen.get(his, "")[-1:], "inside")
    return {"pickup": kind, "next_rusher": following, "next_taken_by": theirs}


def look_rows(m: Measured) -> list[Row]:
    """All rows of looks of one play, by id."""
    play = m.play
    if not there(play, list(play.linemen)):
        return []
    defense = there(play, play.defense())
    over = over_slots(play)
    rows: list[Row] = []
    for who in defense:
        if depth_of(play, who) > NEAR and who not in over:
            continue
        u, depth = u_of(play, who), depth_of(play, who)
        side = 1 if u >= 0 else -1
        came = rushed(play, who)
        deep = [p for p in defense if DEEP[0] <= depth_of(play, p) <= DEEP[1] and depth_of(play, p) > depth]
        deep_man = nearest_across(play, who, deep)
        row: Row = {
            "play": play.id,
            "defender": who,
            "spot": spot_of(play, who),
            "side": {-1: "left", 1: "right"}[side],
            "across": u,
            "depth": depth,
            "over": nearest_across(play, who, near_the_line(play)),
            "deep_over": deep_man is not None,
            "deep_man": deep_man,
            "field_side": None if play.wide_side() == 0 else "wide" if side == play.wide_side() else "short",
            "rushed": came,
        }
        if came:
            first, last = play.rushers[who]
            row |= {"came": play.since_snap(first), "taken_by": first_man(m, who)}
            row |= {"dropped": play.since_snap(last)} if who in play.dropped else {}
            row |= pickup(m, who, side) if row["spot"] == "slot" else {}
        rows.append(row)
    return rows
