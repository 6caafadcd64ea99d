"""Whole bars whose digits, or whose notes, slipped together.

Digits that were set a finger too high or too low, and notes that were copied in another clef, or an octave off, fit one
another within the bar: together they describe a hand that goes away for exactly this bar. What tells is the trouble
that is spared if the bar moves as a whole.
Source: common practice; the constants were set on planted slips and on fingerings of players
(see `tests/benchmarks/misprints`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby

from ..hand.grip import FINGERS
from ..marks.hand_of_digits import DigitLine
from ..music.instrument import Pitch
from ..music.key import in_key
from ..music.passage import Passage
from .digit_slips import LEAST_SPARED, Evidence

FEWEST_DIGITS, FEWEST_NOTES = 3, 4
"""Stopped notes of a bar whose digits, or whose notes, are moved; fewer are too easily explained."""
OTHER_CLEFS = (-7, -6, -2, 2, 6, 7)
"""Letters by which a bar may be off: a third between neighbouring staves of other clefs (the bass clef read as the
treble), a seventh between the treble and the alto clef, an octave where its sign was lost."""


@dataclass(frozen=True, slots=True)
class BarSlip:
    """A bar that slipped as a whole.

    Attributes:
        first, last: its first and last event with a digit.
        fingers: by how much the digits are too low (negative: too high); 0 if the notes slipped.
        evidence: how sure it is; 4 is a question.
    """

    first: int
    last: int
    fingers: int
    evidence: float


def bar_slips(evidence: Evidence, digits_from: float, notes_from: float) -> Iterator[BarSlip]:
    """Yield the bars whose digits, or whose notes, slipped with at least so much evidence, in order."""
    passage, line = evidence.passage, evidence.line
    for measure, numbers in _bars(passage, line):
        if line.spared_at_most(numbers[0], numbers[-1]) <= LEAST_SPARED:
            continue
        events = line.stages[numbers[0]].event, line.stages[numbers[-1]].event
        fifths = passage.measures[measure].fifths
        found = [BarSlip(*events, by, _of_digits(evidence, numbers, by)) for by in (-1, 1)]
        found += [BarSlip(*events, 0, _of_notes(evidence, numbers, letters, fifths)) for letters in OTHER_CLEFS]
        found = [slip for slip in found if slip.evidence >= (digits_from if slip.fingers else notes_from)]
        if found:
            yield max(found, key=lambda slip: (slip.fingers != 0, slip.evidence))


def _bars(passage: Passage, line: DigitLine) -> Iterator[tuple[int, list[int]]]:
    """Yield every bar of single fingered notes without a position in words: its index, and its stages by number."""
    named = {event.measure for event in passage.events if event.position is not None}
    every = enumerate(line.stages)
    for measure, stages in groupby(every, key=lambda numbered: passage.events[numbered[1].event].measure):
        fingers = {number: stage.digit.finger if stage.digit else None for number, stage in stages}
        numbers = [number for number, finger in fingers.items() if finger in FINGERS]
        if measure not in named and None not in fingers.values() and len(numbers) >= FEWEST_DIGITS:
            yield measure, numbers


def _of_digits(evidence: Evidence, numbers: list[int], by: int) -> float:
    line = evidence.line
    fingers = {number: digit.finger + by for number in numbers if (digit := line.stages[number].digit)}
    if len(set(fingers.values())) < 2 or not set(fingers.values()) <= set(FINGERS):
        return 0.0
    spared = line.spared_by(fingers)
    return evidence.of_trouble(spared) + evidence.of_digits(fingers) if spared > LEAST_SPARED else 0.0


def _of_notes(evidence: Evidence, numbers: list[int], letters: int, fifths: int) -> float:
    if len(numbers) < FEWEST_NOTES:
        return 0.0
    line = evidence.line
    pitches: Mapping[int, Pitch] = {
        number: in_key(digit.pitch.letter + letters, fifths)
        for number in numbers
        if (digit := line.stages[number].digit)
    }
    spared = line.spared_by_moving(pitches)
    return evidence.of_trouble(spared) if spared > LEAST_SPARED else 0.0


__all__ = ["BarSlip", "bar_slips"]
