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
from ..music.instrument import Pitch
from ..music.key import in_key
from ..music.passage import Passage
from .digit_slips import evidence_of
from .hand_of_digits import DigitLine, digit_line

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
        evidence: how sure it is; 2 is a question.
    """

    first: int
    last: int
    fingers: int
    evidence: float


def bar_slips(passage: Passage, digits_from: float, notes_from: float) -> Iterator[BarSlip]:
    """Yield the bars whose digits, or whose notes, slipped with at least so much evidence, in order."""
    if not any(note.printed for note in passage.notes):
        return
    line = digit_line(passage)
    for measure, numbers in _bars(passage, line):
        events = line.stages[numbers[0]].event, line.stages[numbers[-1]].event
        found = [
            BarSlip(*events, by, evidence)
            for by in (-1, 1)
            if (evidence := _evidence_of_digits(line, numbers, by)) >= digits_from
        ]
        fifths = passage.measures[measure].fifths
        found += [
            BarSlip(*events, 0, evidence)
            for letters in OTHER_CLEFS
            if (evidence := _evidence_of_notes(line, numbers, letters, fifths)) >= notes_from
        ]
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


def _evidence_of_digits(line: DigitLine, numbers: list[int], by: int) -> float:
    fingers = {number: digit.finger + by for number in numbers if (digit := line.stages[number].digit)}
    if len(set(fingers.values())) < 2 or not set(fingers.values()) <= set(FINGERS):
        return 0.0
    return _evidence(line, line.spared_by(fingers))


def _evidence_of_notes(line: DigitLine, numbers: list[int], letters: int, fifths: int) -> float:
    if len(numbers) < FEWEST_NOTES:
        return 0.0
    pitches: Mapping[int, Pitch] = {
        number: in_key(digit.pitch.letter + letters, fifths)
        for number in numbers
        if (digit := line.stages[number].digit)
    }
    return _evidence(line, line.spared_by_moving(pitches))


def _evidence(line: DigitLine, spared: float) -> float:
    return evidence_of(line, spared) if spared > 0 else 0.0


__all__ = ["BarSlip", "bar_slips"]
