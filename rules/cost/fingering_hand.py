"""A fingering hand: what a player, a teacher or a house minds more or less than the standard does, as eight scales.

Each scale multiplies the weights of one kind of reason (see `standard_terms`): 2 minds it twice as much, 0.5 half as
much. What a level asks of a learner is not scaled. `rules/learning` fits the scales to fingered music.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from .standard_terms import STANDARD, Term, Weights

LEAST_SCALE, MOST_SCALE = 0.25, 4.0
"""Limits of a scale."""


@dataclass(frozen=True, slots=True)
class FingeringHand:
    """How much each kind of reason counts; 1 is the standard.

    Raises:
        ValueError: if a scale is not between `LEAST_SCALE` and `MOST_SCALE`.
    """

    tone: float = 1.0
    open_strings: float = 1.0
    height: float = 1.0
    shifts: float = 1.0
    stretches: float = 1.0
    one_string: float = 1.0
    crossings: float = 1.0
    weak_fingers: float = 1.0

    def __post_init__(self) -> None:
        for name in SCALES:
            if not LEAST_SCALE <= getattr(self, name) <= MOST_SCALE:
                raise ValueError(name)

    @property
    def scales(self) -> dict[str, float]:
        """The scales by name."""
        return {name: getattr(self, name) for name in SCALES}

    @property
    def weights(self) -> Weights:
        """The standard weights, scaled (in sixteenths)."""
        return _scaled(self)


SCALES = {
    "tone": "the call of held notes and singing lines for a warm finger away from the nut",
    "open_strings": "what speaks against open strings, and for them in quick notes",
    "height": "what speaks against high positions, and half and second position",
    "shifts": "the trouble of shifts, and the relief where they are easy",
    "stretches": "the trouble of stretches, slides of one finger, and awkward double stops",
    "one_string": "the wish to keep a slurred or slow line on one string",
    "crossings": "the trouble of string crossings, skips and hops",
    "weak_fingers": "what speaks against the third and fourth finger",
}
"""The scales, each with what it multiplies."""
STANDARD_HAND = FingeringHand()

_ANY: tuple[str, ...] = ()
_KINDS = (
    ("tone", ("away from first",), ("singing",)),
    ("tone", ("fourth finger",), ("long",)),
    ("stretches", ("open string above its neighbour's pitch",), _ANY),
    ("open_strings", ("open", "crossing to open"), _ANY),
    ("height", ("half position", "second position", "third position", "steps up", "beyond", "away from first"), _ANY),
    ("shifts", ("shift", "distance", "half step", "between odd", "leaving the first", "landing on"), _ANY),
    ("shifts", ("down to a lower", "led by", "leaving first position", "further than"), _ANY),
    ("one_string", ("high on a lower string", "crossing up", "string changed on a repeated note"), _ANY),
    ("one_string", ("crossing",), ("slurred", "slow passage", "up and soon back")),
    ("crossings", ("crossing", "skip", "same finger hops", "fifth taken over"), _ANY),
    ("weak_fingers", ("third finger", "fourth finger"), _ANY),
)
"""Which scale multiplies which terms, by how their quantity begins and by circumstance; the first that fits counts."""


def scale_of(term: Term) -> str:
    """Return the name of the scale that multiplies a term; what is about the shape of the hand is left."""
    for scale, quantities, circumstances in _KINDS:
        if term.quantity.startswith(quantities) and (not circumstances or term.circumstance in circumstances):
            return scale
    return "stretches"


@lru_cache(maxsize=64)
def _scaled(hand: FingeringHand) -> Weights:
    scales = hand.scales
    if hand == STANDARD_HAND:
        return STANDARD
    return STANDARD.scaled({term.name: scales[scale_of(term)] for term in STANDARD.terms})


__all__ = ["LEAST_SCALE", "MOST_SCALE", "SCALES", "STANDARD_HAND", "FingeringHand", "scale_of"]
