"""Digits, and strings, that are likely slips of the pen, with the evidence for it.

A slip makes trouble that another digit would spare (see `hand_of_digits`). How much that tells depends on the part: in
one that hardly ever moves the hand a single shift is odd, in a virtuoso's it is nothing. So spared trouble is weighed
by how rare trouble is in the part. What the same notes carry elsewhere in the part counts as well: a digit that comes
back is meant, and one that stands against the digit of like places, or of the same steps elsewhere, is suspect.
Source: common practice; the constants were set on planted slips and on fingerings of players
(see `tests/benchmarks/misprints`).
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import log

from ..hand.grip import FINGERS
from ..music.passage import Passage
from .hand_of_digits import DigitLine, digit_line, neighbours

EXPECTED_TROUBLE = 0.08
"""Trouble a digit, in shifts, of a part of which nothing is known."""
EXPECTED_DIGITS = 25
"""As many digits of its own count as much as what is expected of any part."""
ALIKE = 0.6
"""What like places tell, beside the trouble."""
EXPECTED_UNLIKE = 2.0
EXPECTED_LIKE = 20
"""Of so many places with like notes so many have other digits, in a part of which nothing is known."""
EXPECTED_UNLIKE_SHAPES = 4.0
"""The same for places that are alike only in the steps between the notes."""
SHAPE_TIMES = 2
"""Where the steps alone are alike, the other digit has to stand so many times as often."""
MEANT_SHARE = 3
"""A digit that one of so many like places has, and more than one, is meant."""
_LEAST_SPARED = 0.05
_RAREST = 0.001


@dataclass(frozen=True, slots=True)
class Slip:
    """A digit, two that were exchanged, or a string.

    Attributes:
        events: the notes.
        fingers: as printed.
        meant: the finger instead; 0 of two that were exchanged, and of a string.
        evidence: how sure it is; 2 is a question, above 3.5 it is rarely wrong.
        string: the printed string that is wrong, or 0.
    """

    events: tuple[int, ...]
    fingers: tuple[int, ...]
    meant: int
    evidence: float
    string: int = 0


def slips(passage: Passage, least: float) -> Iterator[Slip]:
    """Yield the slips with at least so much evidence, the surest first.

    Of several explanations of the same digits the one with most evidence is given, two exchanged digits before one
    wrong.
    """
    if not any(note.printed for note in passage.notes):
        return
    line = digit_line(passage)
    if not line.digits:
        return
    like_places = _LikePlaces(passage)
    found = [
        (slip, numbers)
        for numbers, meant, spared, is_string in _changes(line)
        if spared > _LEAST_SPARED
        and (slip := _slip(line, like_places, numbers, meant, spared, is_string)) is not None
        and slip.evidence >= least
    ]
    taken: set[int] = set()
    for slip, numbers in sorted(found, key=_surest_first):
        near = {number + beside for number in numbers for beside in (-1, 0, 1)}
        if not near & taken:
            taken |= set(numbers)
            yield slip


def _surest_first(found: tuple[Slip, tuple[int, ...]]) -> tuple[float, tuple[int, ...]]:
    slip, numbers = found
    return -slip.evidence - (len(numbers) > 1 or slip.string > 0) * 0.5, numbers


def _changes(line: DigitLine) -> Iterator[tuple[tuple[int, ...], int, float, bool]]:
    """Every single change: its stages, the finger that is meant, the shifts spared, and whether a string goes."""
    for number, stage in enumerate(line.stages):
        digit = stage.digit
        if digit is None:
            continue
        if digit.finger in FINGERS:
            others = (finger for finger in FINGERS if finger != digit.finger)
            spared, meant = max((line.spared_by({number: finger}), -finger) for finger in others)
            yield (number,), -meant, spared, False
        if digit.strings and not digit.in_words:
            yield (number,), 0, line.spared_by({number: digit.finger}, anywhere=number), True
    for number, one, other in neighbours(line):
        if one.pitch != other.pitch and one.finger != other.finger and {one.finger, other.finger} <= set(FINGERS):
            yield (number, number + 1), 0, line.spared_by({number: other.finger, number + 1: one.finger}), False


def evidence_of(line: DigitLine, spared: float) -> float:
    """Return how sure a slip is whose correction spares so many shifts: the surer, the rarer trouble is in the part."""
    rate = (line.trouble - spared + EXPECTED_TROUBLE * EXPECTED_DIGITS) / (line.digits + EXPECTED_DIGITS)
    return spared * max(-log(max(rate, _RAREST)), 0.0)


def _slip(
    line: DigitLine, like_places: _LikePlaces, numbers: tuple[int, ...], meant: int, spared: float, is_string: bool
) -> Slip | None:
    """The slip with its evidence; None if like places show that the digits are meant."""
    stages = [line.stages[number] for number in numbers]
    fingers = tuple(stage.digit.finger for stage in stages if stage.digit is not None)
    evidence = evidence_of(line, spared)
    events = tuple(stage.event for stage in stages)
    if is_string:
        digit = stages[0].digit
        return Slip(events, fingers, 0, evidence, digit.strings[0] if digit else 0)
    instead = (meant,) if meant else fingers[::-1]
    if like_places.shows_meant(events[0], fingers):
        return None
    return Slip(events, fingers, meant, evidence + like_places.evidence(events[0], fingers, instead))


_Note = tuple[float, tuple[int, ...]]
_Context = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class _Table:
    """The digits of notes in like contexts, all over a part.

    Attributes:
        digits: by context, how often each digit, or pair of digits, stands there.
        places: contexts of one note that come back, place by place.
        unlike: those of them that have another digit than most of their like.
        expected_unlike: as many are expected in a part of which nothing is known.
    """

    digits: Mapping[_Context, Counter[tuple[int, ...]]]
    places: int
    unlike: int
    expected_unlike: float

    @classmethod
    def of(cls, found: Iterable[tuple[_Context, tuple[int, ...]]], expected_unlike: float) -> _Table:
        digits: dict[_Context, Counter[tuple[int, ...]]] = defaultdict(Counter)
        for context, fingers in found:
            digits[context][fingers] += 1
        alone = [each for each in digits.values() if each.total() > 1 and len(next(iter(each))) == 1]
        unlike = sum(each.total() - max(each.values()) for each in alone)
        return cls(digits, sum(each.total() for each in alone), unlike, expected_unlike)

    def at(self, context: _Context | None) -> Counter[tuple[int, ...]]:
        return Counter() if context is None else self.digits.get(context, Counter())

    def evidence(
        self, context: _Context | None, fingers: tuple[int, ...], instead: tuple[int, ...], times: int
    ) -> float:
        """What it tells that other digits stand in like places, so many times as often."""
        digits = self.at(context)
        if digits[instead] < max(times * digits[fingers], 1) or MEANT_SHARE * digits[fingers] > digits.total():
            return 0.0
        unlike = max(self.unlike - digits[fingers], 0) + self.expected_unlike
        return ALIKE * -log(max(unlike / (self.places + EXPECTED_LIKE), _RAREST))


class _LikePlaces:
    """What one note, or two in a row, carry in like places, all over a part.

    Places are alike if the notes and digits before and after are the same, or, higher or lower, the same steps lead to
    the same digits: a sequence, or simply the shape of the hand.
    """

    def __init__(self, passage: Passage) -> None:
        self._notes: list[_Note | None] = [
            (event.notes[0].pitch.midi, event.notes[0].printed.fingers) if len(event.notes) == 1 else None
            for event in passage.events
        ]
        places = [
            (first, length, digits)
            for length in (1, 2)
            for first in range(len(self._notes) - length + 1)
            if (digits := self._fingers(first, length)) is not None
        ]
        self._same = self._table(places, self._notes_at, EXPECTED_UNLIKE)
        self._shape = self._table(places, self._steps_at, EXPECTED_UNLIKE_SHAPES)

    @staticmethod
    def _table(
        places: Iterable[tuple[int, int, tuple[int, ...]]],
        context_at: Callable[[int, int], _Context | None],
        expected_unlike: float,
    ) -> _Table:
        found = ((context_at(first, length), digits) for first, length, digits in places)
        return _Table.of(((context, digits) for context, digits in found if context is not None), expected_unlike)

    def shows_meant(self, first: int, fingers: tuple[int, ...]) -> bool:
        """True if like places often carry the same digits."""
        digits = self._same.at(self._notes_at(first, len(fingers)))
        return digits[fingers] > 1 and MEANT_SHARE * digits[fingers] >= digits.total()

    def evidence(self, first: int, fingers: tuple[int, ...], instead: tuple[int, ...]) -> float:
        """Return what it tells that like places carry other digits: more, the more alike they are in this part."""
        context, shape = self._notes_at(first, len(fingers)), self._steps_at(first, len(fingers))
        return self._same.evidence(context, fingers, instead, 0) or self._shape.evidence(
            shape, fingers, instead, SHAPE_TIMES
        )

    def _fingers(self, first: int, length: int) -> tuple[int, ...] | None:
        """The digits of some notes if each has one."""
        notes = self._notes[first : first + length]
        digits = tuple(note[1][0] for note in notes if note is not None and len(note[1]) == 1)
        return digits if len(digits) == length else None

    def _around(self, first: int, length: int) -> tuple[_Note | None, list[_Note | None], _Note | None]:
        before = self._notes[first - 1] if first else None
        after = self._notes[first + length] if first + length < len(self._notes) else None
        return before, self._notes[first : first + length], after

    def _notes_at(self, first: int, length: int) -> _Context | None:
        """Some notes, and those around them with their digits."""
        before, inside, after = self._around(first, length)
        if any(note is None for note in inside) or (before is None and after is None):
            return None
        return before, after, *(note[0] for note in inside if note is not None)

    def _steps_at(self, first: int, length: int) -> _Context | None:
        """The steps that lead from the digit before some notes to the digit after them."""
        before, inside, after = self._around(first, length)
        notes = [note for note in inside if note is not None]
        if len(notes) < length or before is None or after is None or not (before[1] and after[1]):
            return None
        start = notes[0][0]
        return before[0] - start, before[1], after[0] - start, after[1], *(pitch - start for pitch, _ in notes)


__all__ = ["Slip", "evidence_of", "slips"]
