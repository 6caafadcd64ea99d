"""What an effort is about, in the words of a player: every quantity belongs to one aspect."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum


class Aspect(StrEnum):
    """What an effort is about."""

    SHIFTING = "shifting"
    CROSSINGS = "string crossings"
    TONE = "tone"
    HAND = "shape of the hand"
    PLACE = "place on the fingerboard"
    DECISIONS = "decisions not kept"


ASPECTS_IN_ORDER = tuple(Aspect)

_QUANTITIES: dict[Aspect, tuple[str, ...]] = {
    Aspect.SHIFTING: (
        "shift", "shift over an open string", "shift across strings", "shift on a repeated note", "distance",
        "distance over an open string", "further than two positions", "half step", "between odd positions",
        "landing on the third", "landing on the fourth", "leaving the first upwards", "leaving first position",
        "led by the first", "down to a lower finger", "against the line",
    ),
    Aspect.CROSSINGS: (
        "crossing", "crossing up", "crossing while the hand stays", "crossing to open", "crossing from the fourth",
        "crossing between neighbouring fingers", "skip", "string changed on a repeated note",
    ),
    Aspect.TONE: ("open", "open string in a chord", "high on a lower string"),
    Aspect.HAND: (
        "third finger", "fourth finger", "out of the frame", "respelled", "inner finger respelled",
        "first finger reaching back", "fourth reaching on a lower string", "reach for the octave", "crossed grip",
        "wide grip", "tight grip", "fifth laid across", "chord out of order", "octave outside the frame",
        "open string above its neighbour's pitch", "same finger hops", "fifth taken over", "first finger slides",
        "first finger low and back", "other finger slides", "slide of a whole step or the fourth", "stretch", "squeeze",
        "off the natural span", "finger changed on a repeated note",
    ),
    Aspect.PLACE: (
        "away from first", "hand away from first", "steps up the fingerboard", "beyond third", "beyond seventh",
        "half position", "second position", "third position",
    ),
    Aspect.DECISIONS: ("against a decision",),
}  # fmt: skip
ASPECTS = {quantity: aspect for aspect, quantities in _QUANTITIES.items() for quantity in quantities}
"""The aspect of every quantity."""


def by_aspect(items: Mapping[str, float]) -> dict[Aspect, float]:
    """Return itemised effort summed by aspect, in the order of `Aspect`; aspects that come to nothing are left out."""
    sums = dict.fromkeys(Aspect, 0.0)
    for name, value in items.items():
        sums[aspect_of(name)] += value
    return {aspect: value for aspect, value in sums.items() if value}


def aspect_of(term: str) -> Aspect:
    """Return what a term of effort is about, by its name: a quantity, or `quantity (circumstance)`.

    A finger on a long note is about tone. What is not measured (a technique that is not done as asked) is about the
    hand.
    """
    quantity, _, circumstance = term.partition(" (")
    if quantity in ("third finger", "fourth finger") and circumstance.startswith(("long", "very long")):
        return Aspect.TONE
    return ASPECTS.get(quantity, Aspect.HAND)
