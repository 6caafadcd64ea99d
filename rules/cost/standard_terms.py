"""What holding and moving cost: every term named, with its weight and the reason a teacher would give.

The effort of a route is the sum, over its events, of weight * circumstance * quantity for each term: the circumstance
says when it counts (see `context`), the quantity what the hand has to do (see `quantities`). A string crossing
costs about one and a half. Weights are multiples of 1/16, so that every sum is exact in floating point and ties are
real ties.
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
    quantity: str
    circumstance: str
    weight: float
    reason: str = ""

    @property
    def name(self) -> str:
        """The name under which the term is itemised."""
        return self.quantity if self.circumstance == "always" else f"{self.quantity} ({self.circumstance})"


@dataclass(frozen=True)
class Weights:
    """A set of terms; `scaled` gives variations for a person or a house."""

    terms: tuple[Term, ...]

    def of_kind(self, kind: Kind) -> tuple[Term, ...]:
        """Return the terms of one kind."""
        return tuple(term for term in self.terms if term.kind is kind)

    def scaled(self, factors: Mapping[str, float]) -> Weights:
        """Return these weights with some terms, by name, multiplied (rounded to sixteenths)."""
        return Weights(
            tuple(
                Term(t.kind, t.quantity, t.circumstance, round(t.weight * factors.get(t.name, 1.0) * 16) / 16, t.reason)
                for t in self.terms
            )
        )


def _hold(quantity: str, circumstance: str, weight: float, reason: str) -> Term:
    return Term(Kind.HOLDING, quantity, circumstance, weight, reason)


def _move(quantity: str, circumstance: str, weight: float, reason: str) -> Term:
    return Term(Kind.MOVING, quantity, circumstance, weight, reason)


STANDARD = Weights(
    (
        _hold("half position", "always", 0.125, "Half position is less familiar."),
        _hold("second position", "always", 0.1875, "Second position has no anchor that rings with an open string."),
        _hold("second position", "modest part", 0.25, "A player of modest parts meets second position late."),
        _hold(
            "second position",
            "brief",
            -0.1875,
            "In quick notes second position is as good as third, if it saves crossings.",
        ),
        _hold(
            "third position",
            "high notes ahead",
            -0.25,
            "Third position lies ready for the high notes that follow.",
        ),
        _hold("steps up the fingerboard", "always", 0.0625, "The nearer the nut, the surer the place."),
        _hold("steps up the fingerboard", "gliding", 0.75, "A slide along the string begins as low as it can."),
        _hold("beyond third", "always", 0.0625, "Above third position the ear has fewer open strings to check with."),
        _hold("beyond seventh", "always", 0.0625, "Above the octave the places lie close together."),
        _hold(
            "away from first",
            "passage within first position",
            0.0625,
            "What lies within first position is usually meant for it.",
        ),
        _hold("away from first", "singing", -0.25, "A singing line is warmer away from the nut."),
        _hold("third finger", "always", 0.1875, "The third finger moves less freely than the first two."),
        _hold("third finger", "brief", 0.1875, "In quick notes the first two fingers are the nimble ones."),
        _hold("fourth finger", "always", 0.5625, "The little finger is the weakest."),
        _hold("fourth finger", "long", 0.5, "A long note wants a finger with a free vibrato."),
        _hold("fourth finger", "trilled", 6.0, "A trill needs the finger above, and the fourth has none."),
        _hold(
            "fourth finger",
            "within a broken chord",
            0.8125,
            "In a broken chord the little finger comes late, and the open string is there.",
        ),
        _hold("open", "always", 0.0625, "An open string has a colour of its own."),
        _hold("open", "long", 2.625, "An open string cannot vibrate and sticks out when it is held."),
        _hold(
            "open string in a chord", "long", -2.625, "In a chord of three notes or four the open strings ring along."
        ),
        _hold(
            "open",
            "demanding part",
            1.25,
            "A part for an advanced player asks for an even tone: fewer open strings.",
        ),
        _hold("open", "brief", -0.4375, "A short open string is gone before it sticks out."),
        _hold("open", "quick passage", -0.625, "At speed the open string rests the hand."),
        _hold("open", "ringing in a pedal figure", -2.0, "In a pedal figure the open string is meant to ring."),
        _hold("respelled", "always", 1.0625, "The eye expects the letter under its own finger."),
        _hold("out of the frame", "always", 0.3125, "A finger outside the frame strains the hand."),
        _hold("high on a lower string", "always", 0.25, "High on a thick string speaks slowly; it needs a reason."),
        _hold(
            "high on a lower string",
            "pedal figure with an open string",
            -0.125,
            "The line lies where the open string leaves it room.",
        ),
        _hold("crossed grip", "always", 0.625, "Fingers in the opposite order to the strings cramp."),
        _hold("wide grip", "always", 0.625, "Fingers wider apart than relaxed are hard to hold."),
        _hold("tight grip", "always", 0.25, "Fingers closer than they naturally stand are hard to hold."),
        _hold("chord out of order", "always", 5.0, "A chord is broken from its lowest note up."),
        _hold(
            "open string above its neighbour's pitch", "always", 2.0, "Voices that cross the strings confuse the bow."
        ),
        _hold(
            "octave outside the frame", "always", 2.0, "First and fourth finger on an octave are the frame of the hand."
        ),
        _hold("fourth finger", "plucked", 1.0, "A plucked note rings on the open string."),
        _move("crossing", "plucked", -1.0, "The plucking finger crosses strings as it likes."),
        _hold("fifth laid across", "always", 1.25, "One finger across two strings is hard in tune."),
        _move("shift", "bound", 2.8125, "Every shift can miss."),
        _move("shift", "bound, fast", 0.1875, "At speed there is no time to travel."),
        _move("shift", "bound, slurred", 0.125, "Under a slur the slide is heard."),
        _move("shift", "bound, off the beat", 0.125, "A shift on the beat is covered by the accent."),
        _move(
            "shift",
            "passage within first position",
            0.4375,
            "Where first position has every note, a shift needs a better reason.",
        ),
        _move("shift", "over a leap", -0.5625, "A leap has to be felt for anyway."),
        _move("shift", "onto a longer note", -0.5, "Arriving on a longer note leaves time to settle."),
        _move("shift", "after a long note", -1.3125, "A long note before gives time to prepare the way."),
        _move(
            "shift over an open string",
            "bound on both sides",
            1.625,
            "While the open string sounds, the hand is free; yet it moves.",
        ),
        _move("distance", "bound", 0.4375, "The further, the less sure."),
        _move(
            "distance over an open string",
            "bound on both sides",
            0.375,
            "Even over an open string the way has to be measured.",
        ),
        _move("half step", "bound", -1.0, "One finger sliding a half step hardly moves the hand."),
        _move(
            "between odd positions",
            "bound",
            -0.375,
            "First to third, third to fifth: the shifts that everyone has practised.",
        ),
        _move("shift across strings", "bound", 0.25, "Changing the string while shifting leaves no guide."),
        _move(
            "down to a lower finger",
            "bound",
            -1.0,
            "Going down onto a lower finger keeps the way of the hand short.",
        ),
        _move("leaving the first upwards", "bound", -0.6875, "The first finger leads the hand up."),
        _move("landing on the fourth", "bound", 0.25, "The little finger is a poor pilot."),
        _move("crossing", "bound", 1.0625, "The bow arm changes its plane."),
        _move("crossing", "slurred", 0.75, "A crossing within one bow has to be hidden."),
        _move("crossing", "slow passage", 0.875, "A slow phrase keeps its colour on one string."),
        _move("crossing", "up and soon back", 0.4375, "What soon comes back had better stay on its string."),
        _move("crossing", "pedal", -1.5, "In a pedal figure crossing back and forth is the point."),
        _move("crossing", "ringing in a pedal figure", 0.25, "What rings open need not lie on another string."),
        _move("crossing", "over a wide leap", -0.625, "A wide leap lies across the strings by nature."),
        _move("crossing", "leaping passage", -0.75, "Broken chords lie across the strings by nature."),
        _move(
            "crossing up",
            "bound, on the beat",
            0.375,
            "A brighter string on the beat gives an accent that nobody asked for.",
        ),
        _move(
            "crossing while the hand stays",
            "bound, before a leap",
            -0.375,
            "What leaps on from here lies across the strings by nature.",
        ),
        _move(
            "crossing to open",
            "recurring, detached",
            -1.0625,
            "A note that keeps coming back in separate bows rings on the open string.",
        ),
        _move("skip", "bound", 2.3125, "Over a string lies a gap."),
        _move("skip", "bound, slurred", 0.5, "Under a slur a skip breaks the line."),
        _move(
            "crossing from the fourth",
            "bound",
            0.1875,
            "From the stretched little finger the hand has to turn to another string.",
        ),
        _move(
            "crossing between neighbouring fingers",
            "bound",
            0.0625,
            "Neighbouring fingers on two strings stand in each other's way.",
        ),
        _move("same finger hops", "bound", 2.5, "The finger has to jump over while the line should go on."),
        _move("fifth taken over", "bound", 0.75, "A fifth can be taken by laying the finger across."),
        _move("first finger slides", "bound", 2.75, "The first finger moving back and forth unsettles the hand."),
        _move(
            "first finger slides",
            "bound, slurred",
            0.5,
            "Back and forth under a slur, one finger smears.",
        ),
        _move(
            "first finger low and back",
            "bound",
            -1.0,
            "In first position the first finger goes low and back without the hand.",
        ),
        _move("other finger slides", "bound", 1.9375, "Two chromatic notes with one finger smear."),
        _move(
            "slide of a whole step or the fourth",
            "bound",
            1.0,
            "A finger that slides a whole step takes the hand along, and the fourth slides badly.",
        ),
        _move("stretch", "bound", 0.9375, "The hand opens beyond the frame."),
        _move("squeeze", "bound", 1.375, "The fingers stand in each other's way."),
        _move(
            "off the natural span",
            "bound",
            0.125,
            "The nearer to whole step and fourth, the more the hand rests.",
        ),
        _move("finger changed on a repeated note", "bound", 0.3125, "A repeated note keeps its finger."),
        _move("string changed on a repeated note", "bound", 0.4375, "A repeated note keeps its string."),
        _move(
            "string changed on a repeated note",
            "bariolage",
            -2.0,
            "Bariolage is one note on two strings in turn, open and stopped.",
        ),
        _move("string changed on a repeated note", "bound, slurred", 2.0, "Within one bow it sounds on."),
    )
)
"""Weights fitted to human fingerings (see `tests/benchmarks/fitting`), rounded to sixteenths."""
