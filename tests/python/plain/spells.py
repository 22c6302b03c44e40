"""6.1 and 6.5: spells, contacts, beats, which spells are reps, and the man who has each rusher in every frame."""

from dataclasses import dataclass, field

import numpy as np

from .frames import Play, runs
from .geometry import cutoff_ratio, on_line, span
from .match import match_all
from .rules import TIME_EPS


@dataclass
class Spell:
    """One protector's time on one rusher: first and last frame, and what came of it."""

    protector: str
    rusher: str
    first: int
    last: int
    assigned: bool = False  # of a rusher without a spell: the man who came nearest
    contact: int | None = None
    beat: int | None = None
    let_go: list[int] = field(default_factory=list)  # first frames of stretches in which he let him go

    @property
    def gave_up(self) -> int | None:
        """The frame from which he has him no longer, as he let him go: of one who is not beaten."""
        return self.let_go[0] if self.let_go and self.beat is None else None

    meet_time: float = 0.0  # s within meet


@dataclass
class WhoHasWhom:
    reps: list[Spell]
    has: dict[str, list[str | None]]  # rusher -> the man who has him, in every measured frame
    never_between: list[Spell]
    helped_only: list[Spell]  # (a)
    passed_on: list[Spell]  # (b)
    brushed: list[Spell]  # on his way past another


def all_three(play: Play, protector: str, rusher: str, frame: int) -> bool:
    return play.rushing(rusher, frame) and play.here(protector, frame) and play.here(play.passer, frame)


def gap(play: Play, protector: str, rusher: str, frame: int) -> float:
    """|PR|, +inf where one of the two is not there or the rusher takes no part."""
    if not (play.rushing(rusher, frame) and play.here(protector, frame)):
        return float("inf")
    return span(play.places[protector][frame], play.places[rusher][frame])


def time_of_frame(play: Play, frame: int, last: int) -> float:
    """The time a frame counts for: to the next one; the last of all for nothing."""
    return 0.0 if frame >= last else float(play.times[frame + 1] - play.times[frame])


def time_within_meet(play: Play, who: str, rusher: str, first: int, last: int, meet: float) -> float:
    frames = range(first, last + 1)
    return sum(time_of_frame(play, k, last) for k in frames if gap(play, who, rusher, k) <= meet)


def find_spells(play: Play, matched: dict[str, list[str | None]]) -> list[Spell]:
    """Spells: breaks under 0.3 s closed, then 0.3 s at least. A break is from the last frame to the next.

    Reading: a frame that lacks one of the two is none in which he has him (2.2), so a hole in the tracks is a break
    like any other, and no spell goes on after the last frame that has both.
    """
    found = []
    for rusher, men in matched.items():
        for man in sorted({m for m in men if m is not None}):
            parts: list[list[int]] = []
            for k in (k for k, m in enumerate(men) if m == man):
                apart = play.times[k] - play.times[parts[-1][1]] if parts else np.inf
                if apart < 0.3 - TIME_EPS or (parts and parts[-1][1] == k - 1):
                    parts[-1][1] = k
                else:
                    parts.append([k, k])
            found += [Spell(man, rusher, a, b) for a, b in parts if play.times[b] - play.times[a] >= 0.3 - TIME_EPS]
    return found


def ever_between(play: Play, spell: Spell) -> bool:
    """Whether he is within 2 yd of him while no farther from the passer than the rusher."""
    for k in range(spell.first, spell.last + 1):
        if not all_three(play, spell.protector, spell.rusher, k):
            continue
        man, rusher, passer = (play.places[w][k] for w in (spell.protector, spell.rusher, play.passer))
        if span(man, rusher) <= 2.0 and span(man, passer) <= span(rusher, passer):
            return True
    return False


def find_contact(play: Play, spell: Spell, meet: float) -> int | None:
    """6.5: the first frame of the spell within `meet`, from 0.3 s after the snap on."""
    for k in range(spell.first, spell.last + 1):
        if play.times[k] - play.snap >= 0.3 - TIME_EPS and gap(play, spell.protector, spell.rusher, k) <= meet:
            return k
    return None


def past_and_clear(play: Play, protector: str, rusher: str, frame: int, reach: float) -> bool:
    """Cut-off ratio at or above 1, and the straight line clears the man's disc."""
    if not all_three(play, protector, rusher, frame):
        return False
    man, r, passer = (play.places[w][frame] for w in (protector, rusher, play.passer))
    return cutoff_ratio(r, man, passer) >= 1.0 and not on_line(reach, man, r, passer)


def lets_go(play: Play, protector: str, frame: int) -> bool:
    """Whether he moves away from the passer at more than 1.5 yd/s; not with an unknown velocity."""
    away = play.places[protector][frame] - play.places[play.passer][frame]
    length = float(np.hypot(*away))
    return length > 0 and float(play.speeds[protector][frame] @ away) / length > 1.5


def find_beat(play: Play, spell: Spell, reach: float) -> int | None:
    """6.5: the start of the first stretch that is a beat; fills in `let_go` on the way.

    Reading: a stretch is all the neighbouring frames, of the whole play, in which he is past and clear; a frame that
    lacks one of the three ends it. It begins after contact when it begins at the frame of contact or later; without
    contact, at the spell's first frame or later. One that begins in the very moment of the end of reps is no beat.
    """
    man, rusher = spell.protector, spell.rusher
    frames = len(play.times)
    clear = np.array([past_and_clear(play, man, rusher, k, reach) for k in range(frames)], dtype=bool)
    earliest = spell.first if spell.contact is None else spell.contact
    for first, last in runs(clear):
        if not earliest <= first <= spell.last or play.times[first] >= play.reps_end - TIME_EPS:
            continue
        ahead = [
            span(play.places[man][k], play.places[play.passer][k])
            - span(play.places[rusher][k], play.places[play.passer][k])
            for k in range(first, last + 1)
        ]
        if max(ahead) < 0.5:
            continue
        if lets_go(play, man, first):
            spell.let_go.append(first)
            continue
        return first
    return None


def judge(play: Play, spell: Spell, rules: dict[str, float]) -> Spell:
    """Fill in contact, beat and time within meet."""
    spell.contact = find_contact(play, spell, rules["meet"])
    spell.beat = find_beat(play, spell, rules["reach"])
    spell.meet_time = time_within_meet(play, spell.protector, spell.rusher, spell.first, spell.last, rules["meet"])
    return spell


def had_contact_by(play: Play, spell: Spell, time: float) -> bool:
    return spell.contact is not None and play.times[spell.contact] <= time + TIME_EPS


def in_all(play: Play, spell: Spell, meet: float) -> float:
    """The time the two are within meet up to the end of reps, in the spell or not."""
    return time_within_meet(play, spell.protector, spell.rusher, 0, play.rep_frames() - 1, meet)


def only_helped(play: Play, spell: Spell, others: list[Spell], meet: float) -> bool:
    """(a): less than half a second within meet and less in all than another man, unless he was beaten and nobody
    came."""
    longer = any(in_all(play, o, meet) > spell.meet_time + TIME_EPS for o in others)
    if spell.meet_time >= 0.5 - TIME_EPS or not longer:
        return False
    if spell.beat is None:
        return True
    by = float(play.times[spell.beat]) + 0.5
    return any(o.first > spell.first and had_contact_by(play, o, by) for o in others)


def was_passed_on(play: Play, spell: Spell, others: list[Spell], reach: float) -> bool:
    """(b): beaten, and a later man, longer within meet, was there in time and on the straight line at the beat."""
    k = spell.beat
    if k is None:
        return False
    by = float(play.times[k]) + 0.75
    rusher, passer = play.places[spell.rusher][k], play.places[play.passer][k]
    return any(
        o.first > spell.first
        and o.meet_time > spell.meet_time + TIME_EPS
        and had_contact_by(play, o, by)
        and play.here(o.protector, k)
        and on_line(reach, play.places[o.protector][k], rusher, passer)
        for o in others
    )


def move_brushed(play: Play, spells: list[Spell], rules: dict[str, float]) -> list[Spell]:
    """The spells without those of men whom the rusher only brushed on his way past another (c).

    The man was beaten in it with less than 0.5 s within meet before; an earlier man of that rusher, unbeaten and with
    more time within meet in all, with no other rusher then or later, was within meet of him when the spell began, and
    is beaten by 0.5 s after it when his own spell lasts as long: then it does.

    Reading: in the order of rushers and of their spells; the earlier man has not let him go; of several the one whose
    spell begins first.
    """
    kept = []
    for spell in sorted(spells, key=lambda s: (s.rusher, s.first)):
        other = over_whom(play, spell, spells, rules) if spell.beat is not None else None
        if other is None:
            kept.append(spell)
            continue
        other.last = spell.last
        other.let_go.clear()
        judge(play, other, rules)
    return kept


def over_whom(play: Play, spell: Spell, spells: list[Spell], rules: dict[str, float]) -> Spell | None:
    """The spell of the man whom the rusher passed when he brushed this one."""
    meet = rules["meet"]
    if time_within_meet(play, spell.protector, spell.rusher, spell.first, spell.beat, meet) >= 0.5 - TIME_EPS:
        return None
    for o in sorted(spells, key=lambda s: s.first):
        if o.rusher != spell.rusher or o.protector == spell.protector or o.beat is not None or o.let_go:
            continue
        if o.first >= spell.first or o.last >= spell.last:
            continue
        if gap(play, o.protector, o.rusher, spell.first) > meet:
            continue
        if in_all(play, o, meet) <= in_all(play, spell, meet):
            continue
        mine = (s for s in spells if s.protector == o.protector and s.rusher != o.rusher)
        if any(s.last >= spell.first for s in mine):
            continue
        longer = judge(play, Spell(o.protector, o.rusher, o.first, spell.last), rules)
        if longer.beat is not None and play.times[longer.beat] <= play.times[spell.beat] + 0.5 + TIME_EPS:
            return o
    return None


def nearest_without(play: Play, rusher: str, busy: set[str], engage: float) -> str | None:
    """The protector not `busy` who came nearest to a rusher, within engage, while no farther from the passer."""
    best: tuple[float, str] | None = None
    for man in play.protectors:
        if man in busy:
            continue
        for k in range(play.rep_frames()):
            if not all_three(play, man, rusher, k):
                continue
            at, r, passer = (play.places[w][k] for w in (man, rusher, play.passer))
            if span(at, passer) <= span(r, passer) and span(at, r) <= engage:
                best = min(best or (np.inf, man), (span(at, r), man))
    return None if best is None else best[1]


def first_there(play: Play, rusher: str) -> int | None:
    """The first frame, by the end of reps, in which a rusher counts and is there."""
    return next((k for k in range(play.rep_frames()) if play.rushing(rusher, k)), None)


def man_who_has(reps: list[Spell], frames: int) -> list[str | None]:
    """Of one rusher's reps, in every frame: running, last begun; else the last ended; else the first to come.

    Who let him go has him no longer from then on: the first still to come has, else nobody.
    """
    out: list[str | None] = []
    for k in range(frames):
        running = [s for s in reps if s.first <= k <= s.last]
        ended = [s for s in reps if s.last < k]
        if running:
            his = min(running, key=lambda s: (-s.first, s.protector))
        elif ended:
            his = min(ended, key=lambda s: (-s.last, s.protector))
        elif reps:
            his = min(reps, key=lambda s: (s.first, s.protector))
        else:
            out.append(None)
            continue
        if his.gave_up is not None and his.gave_up <= k:
            coming = [s for s in reps if s.first > k]
            out.append(min(coming, key=lambda s: (s.first, s.protector)).protector if coming else None)
            continue
        out.append(his.protector)
    return out


def who_has_whom(play: Play, rules: dict[str, float]) -> WhoHasWhom:
    """6.1: spells from the matching, those that are reps, and the man who has each rusher in every frame.

    Reading: a spell in which he never was between makes no other spell of that rusher help, as it is no rep itself.
    """
    spells = [judge(play, s, rules) for s in find_spells(play, match_all(play, rules["meet"]))]
    never = [s for s in spells if not ever_between(play, s)]
    left = move_brushed(play, [s for s in spells if s not in never], rules)
    reps: list[Spell] = []
    helped_only: list[Spell] = []
    passed_on: list[Spell] = []
    for spell in left:
        others = [o for o in left if o.rusher == spell.rusher and o.protector != spell.protector]
        if was_passed_on(play, spell, others, rules["reach"]):
            passed_on.append(spell)
        elif only_helped(play, spell, others, rules["meet"]):
            helped_only.append(spell)
        else:
            reps.append(spell)

    busy = {s.protector for s in spells}
    with_spell = {s.rusher for s in spells}
    for rusher in sorted(play.rushers):
        first = first_there(play, rusher)
        if rusher in with_spell or first is None:
            continue
        man = nearest_without(play, rusher, busy, rules["engage"])
        if man is not None:
            busy.add(man)
            reps.append(judge(play, Spell(man, rusher, first, play.rep_frames() - 1, assigned=True), rules))
    has = {r: man_who_has([s for s in reps if s.rusher == r], len(play.times)) for r in play.rushers}
    brushed = [s for s in spells if s not in never and s not in left]
    return WhoHasWhom(reps, has, never, helped_only, passed_on, brushed)
