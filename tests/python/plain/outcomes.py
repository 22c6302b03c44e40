"""6.5: how a rep went."""

from .frames import Play
from .geometry import span
from .rush import NAN
from .spells import Spell, gap


def run_by(play: Play, spell: Spell) -> bool:
    """No beat, and somewhere in the spell the rusher is as deep as the passer with the protector nearer to him."""
    if spell.beat is not None:
        return False
    for k in range(spell.first, spell.last + 1):
        man, rusher, passer = (play.places[w][k] for w in (spell.protector, spell.rusher, play.passer))
        there = play.rushing(spell.rusher, k) and play.here(spell.protector, k) and play.here(play.passer, k)
        if there and rusher[1] >= passer[1] and span(man, passer) < span(rusher, passer):
            return True
    return False


def ground_given(play: Play, spell: Spell, meet: float) -> float:
    """Most he lost, within `meet`, since contact of his distance to the passer's place at the end of the spell.

    Reading: where the passer is absent then, his last place in the spell.
    """
    if spell.contact is None:
        return NAN
    seen = [k for k in range(spell.first, spell.last + 1) if play.here(play.passer, k)]
    if not seen:
        return NAN
    goal = play.places[play.passer][seen[-1]]
    at_contact = span(play.places[spell.protector][spell.contact], goal)
    return max(
        at_contact - span(play.places[spell.protector][k], goal)
        for k in range(spell.contact, spell.last + 1)
        if gap(play, spell.protector, spell.rusher, k) <= meet
    )


def outcome_of(play: Play, spell: Spell, meet: float) -> str:
    """Beat, driven or held."""
    if spell.beat is not None:
        return "beat"
    return "driven" if not run_by(play, spell) and ground_given(play, spell, meet) >= 1.5 else "held"
