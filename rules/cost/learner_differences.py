"""Where a learner minds more or less than a professional does: what a teacher expects stays as it was settled.

The weights in `standard_terms` are those of players who finger for themselves. What a teacher expects below level
`all` was settled with slightly other ones. The differences stand here, and are added where the level is a learner's.
"""

from __future__ import annotations

from .standard_terms import Kind, Term

_MORE = "A learner minds this more than a professional does."
_LESS = "A learner minds this less than a professional does."


def _differs(kind: Kind, quantity: str, circumstance: str, by: float) -> Term:
    return Term(kind, quantity, circumstance, by, _MORE if by > 0 else _LESS)


DIFFERENCES = (
    _differs(Kind.HOLDING, "second position", "brief", -0.0625),
    _differs(Kind.HOLDING, "away from first", "singing", 0.0625),
    _differs(Kind.HOLDING, "steps up the fingerboard", "gliding", -0.25),
    _differs(Kind.HOLDING, "third finger", "always", 0.0625),
    _differs(Kind.HOLDING, "fourth finger", "always", 0.1875),
    _differs(Kind.HOLDING, "fourth finger", "within a broken chord", 0.1875),
    _differs(Kind.HOLDING, "open", "long", 0.0625),
    _differs(Kind.HOLDING, "open string in a chord", "long", 2.625),
    _differs(Kind.HOLDING, "open", "demanding part", 0.0625),
    _differs(Kind.HOLDING, "open", "quick passage", -0.0625),
    _differs(Kind.HOLDING, "open", "ringing in a pedal figure", 2.0),
    _differs(Kind.HOLDING, "high on a lower string", "pedal figure with an open string", 0.125),
    _differs(Kind.HOLDING, "open string above its neighbour's pitch", "always", 0.5),
    _differs(Kind.MOVING, "shift", "bound", 0.375),
    _differs(Kind.MOVING, "shift", "bound, slurred", 0.75),
    _differs(Kind.MOVING, "shift", "passage within first position", 0.1875),
    _differs(Kind.MOVING, "shift", "onto a longer note", -0.0625),
    _differs(Kind.MOVING, "shift", "after a long note", 0.0625),
    _differs(Kind.MOVING, "distance", "bound", 0.4375),
    _differs(Kind.MOVING, "distance over an open string", "bound on both sides", 0.0625),
    _differs(Kind.MOVING, "down to a lower finger", "bound", -0.1875),
    _differs(Kind.MOVING, "leaving the first upwards", "bound", -0.3125),
    _differs(Kind.MOVING, "crossing", "bound", 0.4375),
    _differs(Kind.MOVING, "crossing", "slurred", 0.0625),
    _differs(Kind.MOVING, "crossing", "slow passage", -0.6875),
    _differs(Kind.MOVING, "crossing", "up and soon back", 0.0625),
    _differs(Kind.MOVING, "crossing", "over a wide leap", -0.1875),
    _differs(Kind.MOVING, "crossing", "pedal", 0.5),
    _differs(Kind.MOVING, "crossing", "ringing in a pedal figure", -0.25),
    _differs(Kind.MOVING, "crossing to open", "recurring, detached", -0.0625),
    _differs(Kind.MOVING, "skip", "bound", 0.3125),
    _differs(Kind.MOVING, "skip", "bound, slurred", 0.5),
    _differs(Kind.MOVING, "same finger hops", "bound", 0.125),
    _differs(Kind.MOVING, "fifth taken over", "bound", -0.375),
    _differs(Kind.MOVING, "first finger slides", "bound", 0.25),
    _differs(Kind.MOVING, "first finger slides", "bound, slurred", 0.5),
    _differs(Kind.MOVING, "other finger slides", "bound", 0.875),
    _differs(Kind.MOVING, "off the natural span", "bound", 0.0625),
    _differs(Kind.MOVING, "string changed on a repeated note", "bariolage", 2.0),
)
"""Weights of a learner minus those of a professional."""
