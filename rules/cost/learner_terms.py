"""What a level asks of the hand: what it forbids, and what counts more for who is still learning."""

from __future__ import annotations

from dataclasses import replace

from ..hand.level import Level, ShiftKind
from .learner_differences import DIFFERENCES
from .level_contexts import HOME_WOULD_DO
from .standard_terms import Kind, Term, Weights

BEYOND_LEVEL = 1024.0
"""Effort of what the level does not allow: never chosen where there is another way."""


LEARNER = (
    Term(Kind.MOVING, "shift", "bound", 1.75, "Who learns to shift moves less often than who has learned it."),
    Term(Kind.MOVING, "shift", "bound, fast", 5.0, "A learner's hand needs time to travel."),
    Term(
        Kind.MOVING,
        "shift over an open string",
        "bound on both sides",
        0.75,
        "A rest leaves more time than an open string.",
    ),
    Term(
        Kind.MOVING,
        "shift over an open string",
        "bound on both sides, slurred",
        2.0,
        "Under a slur even that is for later.",
    ),
    Term(
        Kind.MOVING,
        "shift over an open string",
        "bound, fast",
        8.0,
        "An open string is a moment to move in only if it lasts.",
    ),
    Term(Kind.HOLDING, "hand away from first", "opening", 4.5, "A learner finds other positions from first."),
    Term(Kind.HOLDING, "away from first", "ending", 3.0, "A piece that ends at home ends safely."),
    Term(Kind.HOLDING, "away from first", HOME_WOULD_DO, 0.5, "What first position has is at home there."),
    Term(
        Kind.HOLDING,
        "away from first",
        "singing, as it comes",
        0.1875,
        "Where nobody listens for the tone, nothing is gained by leaving the nut.",
    ),
    Term(
        Kind.HOLDING,
        "away from first",
        "passage within first position",
        -0.0625,
        "For a learner that is counted by time.",
    ),
    Term(Kind.HOLDING, "away from first", "low line", 0.75, "What lies low is at home in first position."),
    Term(Kind.MOVING, "leaving first position", "always", 2.5, "Leaving first position needs a reason."),
    Term(Kind.MOVING, "led by the first", "bound", -1.0, "The first finger leads the hand, up and down."),
    Term(Kind.MOVING, "against the line", "bound", 1.5, "The hand goes where the tune goes, up or down."),
    Term(Kind.HOLDING, "fourth finger", "long, for its tone", 2.5, "A young player's little finger is weak."),
    Term(Kind.HOLDING, "open", "long, for its tone", 2.25, "A learner goes up for the sake of tone."),
    Term(Kind.HOLDING, "open", "long, as it comes", -2.25, "In a plain tune an open string is welcome."),
    Term(Kind.HOLDING, "fourth finger", "long, as it comes", -0.5, "In a plain tune the little finger does."),
    Term(Kind.HOLDING, "respelled", "always", 1.0, "A learner's finger stands under its own letter."),
    Term(Kind.HOLDING, "inner finger respelled", "always", 3.0, "Under another finger's letter the hand is elsewhere."),
    Term(
        Kind.HOLDING,
        "first finger reaching back",
        "always",
        3.0,
        "The first finger is the anchor: reaching back with it is a shift in disguise.",
    ),
    Term(
        Kind.MOVING,
        "slide of a whole step or the fourth",
        "bound, slurred",
        3.0,
        "A learner's hand is to stay where it is.",
    ),
    Term(
        Kind.MOVING,
        "slide of a whole step or the fourth",
        "bound, fast",
        2.0,
        "In quick notes a slide is a smear.",
    ),
    Term(Kind.MOVING, "other finger slides", "bound, slurred", 2.0, "Under a slur a finger that slides is heard."),
    Term(Kind.HOLDING, "open", "demanding part, detached", -0.75, "A learner takes open strings as they come."),
    Term(
        Kind.HOLDING,
        "fourth finger",
        "very long, for its tone",
        1.5,
        "The longer the note, the weaker the little finger.",
    ),
    Term(Kind.HOLDING, "open", "very long, for its tone", 1.5, "The longer the note, the more it wants a vibrato."),
    Term(
        Kind.HOLDING,
        "fourth reaching on a lower string",
        "always",
        2.0,
        "The next string has the note without a stretch.",
    ),
    Term(Kind.MOVING, "further than two positions", "bound", 2.5, "A learner stops half-way on so long a way."),
    Term(Kind.HOLDING, "reach for the octave", "always", -2.0, "Half the string is found without looking."),
    Term(Kind.HOLDING, "reach for the octave", "long", -4.5, "Touched lightly it rings without any strength."),
    Term(Kind.MOVING, "shift", "bound, off the beat", 0.75, "A learner moves where the music breathes or on a beat."),
    Term(Kind.MOVING, "shift", "bound, slurred", 3.0, "A learner does not shift in a slur where it can be avoided."),
    Term(Kind.MOVING, "distance", "bound", 0.5, "A way further than to third position is not yet sure."),
    Term(Kind.MOVING, "distance over an open string", "bound on both sides", 0.5, "Nor is it over an open string."),
    Term(Kind.MOVING, "skip", "bound", 1.0, "A learner's bow does not yet find the string behind the next."),
    Term(Kind.HOLDING, "fourth finger", "pedal", 1.5, "Hammering a pedal with the little finger tires the hand."),
    Term(Kind.HOLDING, "third finger", "trilled", 1.5, "A learner trills with the fingers above the first or second."),
    Term(Kind.MOVING, "shift on a repeated note", "bound", -1.0, "The ear has the note already: a safe place."),
    Term(Kind.MOVING, "shift", "always", 0.75, "Even where there is time every move has to be found."),
)
"""What counts more or less below level `all` (common practice)."""


def level_terms(level: Level) -> tuple[Term, ...]:
    """What a level forbids, or makes harder, as terms."""
    found = [*LEARNER, *DIFFERENCES] if level.learner else []
    if ShiftKind.SLUR not in level.shifts and level.shifts:
        found.append(Term(Kind.MOVING, "shift", "bound, slurred", BEYOND_LEVEL, "The level does not shift in a slur."))
    if not level.extensions:
        found.append(Term(Kind.HOLDING, "out of the frame", "always", BEYOND_LEVEL, "The level does not extend."))
    return tuple(found)


def terms_at(level: Level, weights: Weights) -> tuple[Term, ...]:
    """Return every term that counts at a level, those of the same quantity and circumstance added up, heaviest first.

    The reason of a sum holds the sentences of all its terms.
    """
    summed: dict[tuple[Kind, str, str], Term] = {}
    for term in (*weights.terms, *level_terms(level)):
        key = (term.kind, term.quantity, term.circumstance)
        known = summed.get(key)
        summed[key] = (
            term
            if known is None
            else replace(known, weight=known.weight + term.weight, reason=f"{known.reason} {term.reason}")
        )
    return tuple(sorted((t for t in summed.values() if t.weight), key=lambda t: (t.kind, -abs(t.weight), t.name)))
