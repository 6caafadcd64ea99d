"""What holding and moving cost: every term named, with its weight and the reason a teacher would give.

The effort of a route is the sum, over its events, of weight * circumstance * measure for each term: the circumstance says
when it counts (see `circumstance`), the measure what the hand has to do (see `geometry`). A unit is about the effort of one
string crossing. Weights are multiples of 1/16, so that every sum is exact in floating point and ties are real ties.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class Kind(StrEnum):
    """Whether a term looks at one grip or at the way from one to the next."""

    HOLDING = "holding"
    MOVING = "moving"


@dataclass(frozen=True, slots=True)
class Term:
    """One reason why a grip or a move is harder (weight above 0) or easier (below 0)."""

    kind: Kind
    measure: str
    circumstance: str
    weight: float
    reason: str = ""

    @property
    def name(self) -> str:
        """The name under which the term is itemised."""
        return self.measure if self.circumstance == "always" else f"{self.measure} ({self.circumstance})"


@dataclass(frozen=True)
class Weights:
    """A set of terms; `scaled` gives variations for a character or a house."""

    terms: tuple[Term, ...]

    def of_kind(self, kind: Kind) -> tuple[Term, ...]:
        """Return the terms of one kind."""
        return tuple(term for term in self.terms if term.kind is kind)

    def scaled(self, factors: Mapping[str, float]) -> Weights:
        """Return these weights with some terms, by name, multiplied (rounded to sixteenths)."""
        return Weights(
            tuple(
                Term(t.kind, t.measure, t.circumstance, round(t.weight * factors.get(t.name, 1.0) * 16) / 16, t.reason)
                for t in self.terms
            )
        )


def _hold(measure: str, circumstance: str, weight: float, reason: str) -> Term:
    return Term(Kind.HOLDING, measure, circumstance, weight, reason)


def _move(measure: str, circumstance: str, weight: float, reason: str) -> Term:
    return Term(Kind.MOVING, measure, circumstance, weight, reason)


STANDARD = Weights(
    (
        _hold("away from first", "modest part", 0.3125, "A part that lies within first position is written for it."),
        _hold("beyond third", "always", 0.125, "Above third position the ear has fewer open strings to check with."),
        _hold("beyond seventh", "always", 0.125, "Above the octave the places lie close together."),
        _hold("second position", "always", 0.125, "Second position has no anchor that rings with an open string."),
        _hold("half position", "always", 0.25, "Half position is less familiar."),
        _hold("fourth finger", "always", 0.75, "The little finger is the weakest."),
        _hold("fourth finger", "long", 0.4375, "A long note wants a finger with a free vibrato."),
        _hold("fourth finger", "trilled", 1.25, "A trill needs the finger above, and the fourth has none."),
        _hold("open", "long", 4.375, "An open string cannot vibrate and sticks out when it is held."),
        _hold("out of the frame", "always", 0.5, "A finger outside the frame strains the hand."),
        _hold("respelled", "always", 0.875, "The eye expects the letter under its own finger."),
        _hold("strained grip", "always", 0.25, "Fingers wider or closer than relaxed are hard to hold."),
        _hold("crossed grip", "always", 0.875, "Fingers in the opposite order to the strings cramp."),
        _hold("fifth laid across", "always", 0.25, "One finger across two strings is hard in tune."),
        _move("shift", "bound", 2.875, "Every shift can miss."),
        _move("shift", "bound, fast", 0.5, "At speed there is no time to travel."),
        _move("shift", "bound, slurred", 0.5, "Under a slur the slide is heard."),
        _move("shift", "bound, off the beat", 0.1875, "A shift on the beat is covered by the accent."),
        _move("shift over an open string", "bound", 1.625, "While the open string sounds, the hand is free."),
        _move("distance", "bound", 0.75, "The further, the less sure."),
        _move("distance over an open string", "bound", 0.8125, "Even over an open string the way has to be measured."),
        _move("same finger", "bound", -0.0625, "The same finger stays on the string and guides."),
        _move("half step", "bound", -0.9375, "A half step hardly moves the hand."),
        _move("landing on the fourth", "bound", 0.3125, "The little finger is a poor pilot."),
        _move("crossing", "always", 1.25, "The bow arm changes its plane."),
        _move("crossing", "slurred", 0.875, "A crossing within one bow has to be hidden."),
        _move("crossing", "bound, singing", 0.375, "A singing phrase keeps its colour on one string."),
        _move("crossing from open", "always", -0.1875, "An open string rings on while the bow moves."),
        _move("skip", "always", 1.9375, "Over a string lies a gap."),
        _move("same finger hops", "bound", 2.375, "The finger has to jump over while the line should go on."),
        _move("fifth taken over", "bound", 0.6875, "A fifth can be taken by laying the finger across."),
        _move("finger slides", "bound", 1.875, "Two chromatic notes with one finger smear at speed."),
        _move("stretch", "bound", 0.625, "The hand opens beyond the frame."),
        _move("squeeze", "bound", 1.9375, "The fingers stand in each other's way."),
        _move("finger changed on a repeated note", "bound", 0.25, "A repeated note keeps its finger."),
    )
)
