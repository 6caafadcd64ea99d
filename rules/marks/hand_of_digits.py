"""The hand that printed digits describe, and the trouble that other digits would spare it.

A part becomes a row of stages, one for every note or chord that says where the hand may be: a digit gives a few hands,
a note without one gives every position that has it. Through the stages leads a cheapest path. Its trouble is counted in
shifts; a reach counts less, and time, a rest, an open string, a change of bow, a strong beat or a position in words
makes a shift cheaper.
Source: common practice; the prices were set on fingered parts, so that players' own fingerings are left alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
from math import inf, log
from weakref import WeakKeyDictionary

from ..hand.grip import FINGERS, HOME_POSITION, OPEN_KEEPS, Stop, outward, own_position, stops_for
from ..music.instrument import Instrument, Pitch
from ..music.key import in_key
from ..music.passage import REST_FOR_A_SHIFT, Event, Note, Passage, Technique
from .printed_marks import is_harmonic, marked_positions

ANY = -1
"""Instead of a finger: the note has a string only, or nothing."""
REACH = 0.4
"""The first finger a letter back, or the fourth a letter up, in shifts."""
LOW_FIRST = 0.15
"""The first finger a letter back in first position, where that is usual, in shifts."""
CHROMATIC = 0.35
"""A finger under another's letter where the same letter with another sign stands beside it, in shifts."""
BENT = 0.6
"""A finger that an accidental outside the key bends on to another's letter, in shifts."""
MISLAID = 0.9
"""A finger under another's letter for no such reason, in shifts."""
SAME_FINGER = 0.3
"""One finger takes two letters while the hand stays, in shifts; the outer fingers slide by half steps for nothing."""
OTHER_FINGER = 0.5
"""Another finger on the same note again, in shifts."""
FARTHER = 0.25
"""Every further position of a shift, in shifts."""
OVER_OPEN = 0.7
"""A shift while an open string sounds, in shifts."""
UNDER_SLUR, AT_BOW_CHANGE = 1.15, 0.85
"""A shift within a stroke of the bow, where it is heard, and one where the bow turns; factors."""
BY_STRENGTH = (1.15, 1.0, 0.9, 0.8)
"""A shift to a note off the beat, on half a beat, on a beat, and on the first; factors (see `Event.strength`)."""
ANNOUNCED = 0.5
"""A shift to a note with a position in words, or by a printed slide, in shifts."""
EXPECTED_TROUBLE = 0.08
"""Trouble a digit, in shifts, of a part of which nothing is known."""
EXPECTED_DIGITS = 25
"""As many digits of its own count as much as what is expected of any part."""
_RAREST = 0.001
_HEIGHT = 0.01
"""A position higher, in shifts: of two explanations the one nearer the nut."""
_LEISURE = ((0.3, 1.0), (0.6, 0.85), (1.2, 0.7))
_AT_LEISURE = 0.55
"""Prices of a shift by the seconds of the note before: a slow line has time for what a quick one cannot do."""
_RESTS = ((2.0, 0.3), (0.5, 0.45))
"""Prices of a shift over a rest of so many seconds."""
_FREE = Stop(0, 0, 0, 0)
"""Stands for any stop, where only the position counts."""


@dataclass(frozen=True, slots=True)
class _Hand:
    stop: Stop
    position: int
    price: float


@dataclass(frozen=True, slots=True)
class Digit:
    """A single note with one printed finger (0 is open) or only a string.

    Attributes:
        pitch: of the note.
        finger: as printed, or ANY.
        strings: that are printed, or that words ask for.
        in_words: the string is prescribed by words.
        position: in words at the note itself, or None.
        price: of a finger under another's letter.
    """

    pitch: Pitch
    finger: int
    strings: tuple[int, ...]
    in_words: bool
    position: int | None
    price: float


@dataclass(frozen=True, slots=True)
class Stage:
    """One event that says where the hand may be: the price of a shift to it, and its digit unless it is free."""

    event: int
    hands: tuple[_Hand, ...]
    shift: float
    digit: Digit | None = None


@dataclass(frozen=True)
class DigitLine:
    """All stages of a part."""

    stages: tuple[Stage, ...]
    instrument: Instrument

    @cached_property
    def digits(self) -> int:
        """The number of single notes with a digit or a string."""
        return sum(stage.digit is not None for stage in self.stages)

    @cached_property
    def trouble(self) -> float:
        """The trouble of the part as it is printed, in shifts."""
        return min(self._forward[-1].values(), default=0.0) if self.stages else 0.0

    @cached_property
    def positions(self) -> tuple[int, ...]:
        """The position of the hand at every stage, on the path with least trouble."""
        found: list[int] = []
        before: _Hand | None = None
        for number, stage in enumerate(self.stages):
            rest, reached, shift = self._following[number], before, stage.shift
            before = min(stage.hands, key=lambda hand: rest[hand] + (_move(reached, hand, shift) if reached else 0.0))
            found.append(before.position)
        return tuple(found)

    def rarity(self, spared: float) -> float:
        """Return how rare trouble is in the part but for what would be spared: minus the logarithm of shifts a note."""
        trouble = self.trouble - spared + EXPECTED_TROUBLE * EXPECTED_DIGITS
        return max(-log(max(trouble / (self.digits + EXPECTED_DIGITS), _RAREST)), 0.0)

    def spared_at_most(self, first: int, last: int) -> float:
        """Return how much trouble (in shifts) no other digits or notes from one stage to another can spare more of."""
        before = self._least_forward[first - 1] if first else 0.0
        after = self._least_following[last + 1] if last + 1 < len(self.stages) else 0.0
        return self.trouble - before - after

    def spared_by(self, changes: Mapping[int, int], anywhere: int | None = None) -> float:
        """Return how much trouble (in shifts) is spared if the digits of some stages, by number, were others.

        The string of the stage with the number `anywhere` is left out. Minus infinity if no hand has such a digit.
        """
        return self._spared_with(
            {
                number: self._instead(self.stages[number], f, anywhere=number == anywhere)
                for number, f in changes.items()
            }
        )

    def spared_by_moving(self, pitches: Mapping[int, Pitch]) -> float:
        """Return how much trouble (in shifts) is spared if the notes of some stages, by number, were others.

        The digits stay. Minus infinity if no hand has such a note under its digit.
        """
        found: dict[int, Sequence[_Hand]] = {}
        for number, pitch in pitches.items():
            digit = self.stages[number].digit
            assert digit is not None
            found[number] = _hands_for(pitch, digit.finger, digit.strings, self.instrument, digit.price)
        return self._spared_with(found)

    def _spared_with(self, hands: Mapping[int, Sequence[_Hand]]) -> float:
        first, last = min(hands), max(hands)
        here = self._forward[first - 1] if first else None
        for number in range(first, last + 1):
            stage = self.stages[number]
            possible = hands.get(number, stage.hands)
            if not possible:
                return -inf
            here = _step(here, possible, stage.shift)
        assert here is not None
        return self.trouble - min(cost + self._rest(last, hand) for hand, cost in here.items())

    def _instead(self, stage: Stage, finger: int, *, anywhere: bool) -> tuple[_Hand, ...]:
        """The hands with another finger, in the position that words name if the printed one is in it."""
        digit = stage.digit
        assert digit is not None
        strings = () if anywhere else digit.strings
        hands = _hands_for(digit.pitch, finger, strings, self.instrument, digit.price)
        if any(hand.position == digit.position for hand in stage.hands):
            return tuple(hand for hand in hands if hand.position == digit.position)
        return hands

    @cached_property
    def _forward(self) -> list[dict[_Hand, float]]:
        found: list[dict[_Hand, float]] = []
        for stage in self.stages:
            found.append(_step(found[-1] if found else None, stage.hands, stage.shift))
        return found

    @cached_property
    def _following(self) -> list[dict[_Hand, float]]:
        """For every stage the trouble from each of its hands on, that of the hand included."""
        found: list[dict[_Hand, float]] = [{}] * len(self.stages)
        for number in range(len(self.stages) - 1, -1, -1):
            after, shift = self._after(number, found)
            found[number] = {hand: hand.price + _least(hand, after, shift) for hand in self.stages[number].hands}
        return found

    @cached_property
    def _least_forward(self) -> list[float]:
        return [min(costs.values()) for costs in self._forward]

    @cached_property
    def _least_following(self) -> list[float]:
        return [min(costs.values()) for costs in self._following]

    def _after(self, number: int, following: list[dict[_Hand, float]]) -> tuple[dict[_Hand, float], float]:
        last = number + 1 == len(self.stages)
        return ({}, 0.0) if last else (following[number + 1], self.stages[number + 1].shift)

    def _rest(self, number: int, hand: _Hand) -> float:
        """The trouble after a stage that ends with that hand."""
        return _least(hand, *self._after(number, self._following))


def _least(hand: _Hand, after: dict[_Hand, float], shift: float) -> float:
    return min(cost + _move(hand, other, shift) for other, cost in after.items()) if after else 0.0


def _step(before: dict[_Hand, float] | None, hands: Sequence[_Hand], shift: float) -> dict[_Hand, float]:
    if before is None:
        return {hand: hand.price for hand in hands}
    return {
        hand: hand.price + min(cost + _move(other, hand, shift) for other, cost in before.items()) for hand in hands
    }


def _move(start: _Hand, goal: _Hand, shift: float) -> float:
    distance = abs(start.position - goal.position)
    if distance:
        return shift * (1 + FARTHER * (distance - 1))
    a, b = start.stop, goal.stop
    if not a.finger or not b.finger or a.string != b.string:
        return 0.0
    if a.letters == b.letters:
        return OTHER_FINGER if a.finger != b.finger and a.semitones == b.semitones else 0.0
    outer_by_half_step = a.finger in (FINGERS[0], FINGERS[-1]) and abs(a.semitones - b.semitones) <= 1
    return SAME_FINGER if a.finger == b.finger and not outer_by_half_step else 0.0


@lru_cache(maxsize=8192)
def _hands_for(
    pitch: Pitch, finger: int, strings: tuple[int, ...], instrument: Instrument, mislaid: float
) -> tuple[_Hand, ...]:
    """Every string and position in which a finger takes a pitch; an open string in every position up to the seventh."""
    found: list[_Hand] = []
    for stop, positions in stops_for(pitch, instrument):
        if finger not in (ANY, stop.finger) or (strings and stop.string not in strings):
            continue
        if stop.is_open:
            found += [_Hand(stop, position, 0.0) for position in range(OPEN_KEEPS + 1)]
        else:
            prices = [_price_of(stop, position, mislaid) for position in positions]
            found += map(_Hand, [stop] * len(prices), positions, prices)
    return tuple(found)


@lru_cache(maxsize=8192)
def _free_hands(pitch: Pitch, strings: tuple[int, ...], instrument: Instrument) -> tuple[_Hand, ...]:
    """Every position that has a pitch, under any finger."""
    prices: dict[int, float] = {}
    for hand in _hands_for(pitch, ANY, strings, instrument, MISLAID):
        prices[hand.position] = min(prices.get(hand.position, inf), hand.price)
    return tuple(_Hand(_FREE, position, price) for position, price in sorted(prices.items()))


def _price_of(stop: Stop, position: int, mislaid: float) -> float:
    height = _HEIGHT * max(position - HOME_POSITION, 0)
    if own_position(stop.letters, stop.finger) == position:
        return height
    if outward(stop, position):
        return height + (LOW_FIRST if stop.finger == 1 and position == HOME_POSITION else REACH)
    return height + mislaid


_LINES: WeakKeyDictionary[Passage, DigitLine] = WeakKeyDictionary()


def digit_line(passage: Passage) -> DigitLine:
    """Return the stages of a part. A digit that cannot sound its note is left out, being a slip of its own.

    Found once for a part: more than one rule asks for it.
    """
    if passage not in _LINES:
        _LINES[passage] = _line(passage)
    return _LINES[passage]


def _line(passage: Passage) -> DigitLine:
    stages: list[Stage] = []
    shift, over_open = 1.0, False
    for index, event in enumerate(passage.events):
        if index:
            shift = _shift_price(passage.events[index - 1], event, over_open)
        stage = _stage(passage, index, shift)
        if stage is not None:
            stages.append(stage)
            over_open = stage.digit is not None and stage.digit.finger == 0
    return DigitLine(tuple(stages), passage.instrument)


def _shift_price(before: Event, event: Event, over_open: bool) -> float:
    price = next((price for limit, price in _LEISURE if before.seconds < limit), _AT_LEISURE)
    if over_open:
        price *= OVER_OPEN
    price = min(price, next((price for limit, price in _RESTS if event.rest >= limit), price))
    price *= BY_STRENGTH[event.strength]
    if event.rest < REST_FOR_A_SHIFT:
        price *= UNDER_SLUR if event.slurred else AT_BOW_CHANGE
    slides = any(Technique.GLISSANDO in note.techniques for note in event.notes)
    return price * ANNOUNCED if event.position is not None or slides else price


def _stage(passage: Passage, index: int, shift: float) -> Stage | None:
    """The stage of an event; None if it says nothing, as a harmonic does."""
    event, instrument = passage.events[index], passage.instrument
    if event.grace or any(is_harmonic(note) for note in event.notes):
        return None
    if len(event.notes) != 1:
        positions = marked_positions(event, instrument)
        return Stage(index, tuple(_Hand(_FREE, p, 0.0) for p in sorted(positions)), shift) if positions else None
    note = event.notes[0]
    if len(note.printed.fingers) > 1:
        return None
    digit = _digit(passage, index, note)
    if digit.finger == ANY and not note.printed.strings:
        hands, shown = _free_hands(note.pitch, digit.strings, instrument), None
    else:
        hands, shown = _hands_for(note.pitch, digit.finger, digit.strings, instrument, digit.price), digit
    hands = tuple(hand for hand in hands if hand.position == event.position) or hands
    return Stage(index, hands, shift, shown) if hands else None


def _digit(passage: Passage, index: int, note: Note) -> Digit:
    event = passage.events[index]
    finger = note.printed.fingers[0] if note.printed.fingers else ANY
    in_force = () if event.string is None or finger == 0 else (event.string,)
    strings = note.printed.strings or in_force
    return Digit(note.pitch, finger, strings, not note.printed.strings, event.position, _mislaid(passage, index))


def _mislaid(passage: Passage, index: int) -> float:
    """What it costs at an event that a finger takes another's letter."""
    event = passage.events[index]
    if _is_chromatic(passage, index):
        return CHROMATIC
    return MISLAID if _is_of_key(event.notes[0].pitch, passage.measures[event.measure].fifths) else BENT


def _is_of_key(pitch: Pitch, fifths: int) -> bool:
    """True if the letter has the sign of the key signature, given in sharps (flats are negative)."""
    return pitch == in_key(pitch.letter, fifths)


def _is_chromatic(passage: Passage, index: int) -> bool:
    here = passage.events[index].notes[0].pitch
    beside = (passage.events[other] for other in (index - 1, index + 1) if 0 <= other < len(passage.events))
    single = (event.notes[0].pitch for event in beside if len(event.notes) == 1)
    return any(other.letter == here.letter and other.alter != here.alter for other in single)


def neighbours(line: DigitLine) -> Iterator[tuple[int, Digit, Digit]]:
    """Yield the number of the first of two stages with digits on notes in a row, and both digits."""
    for number, (one, other) in enumerate(pairwise(line.stages)):
        if one.digit is not None and other.digit is not None and other.event == one.event + 1:
            yield number, one.digit, other.digit


__all__ = ["ANY", "Digit", "DigitLine", "Stage", "digit_line", "neighbours"]
