"""The hand that printed digits describe, and the trouble that one other digit would spare it.

Single notes with one digit are joined in runs. Through a run leads a cheapest path of hands: a string and a position
for every digit. Trouble is counted in shifts; a reach counts less, time makes a shift cheaper. Where another digit, or
two digits exchanged, spare the hand a shift and more, one of the printed ones is likely a slip.
Source: common practice; the prices were set on fingered parts, so that players' own fingerings are left alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
from math import inf

from ..hand.grip import FINGERS, HOME_POSITION, Stop, outward, own_position, stops_for
from ..music.instrument import Instrument, Pitch
from ..music.passage import UNBOUND_REST, Event, Passage, Technique
from .printed_marks import is_harmonic

ANY = -1
"""Instead of a finger: the note has a string only."""
REACH = 0.4
"""The first finger a letter back, or the fourth a letter up, in shifts."""
BENT = 0.7
"""A finger that an accidental bends on to another's letter, in shifts."""
MISLAID = 0.9
"""A finger under another's letter for no such reason, in shifts."""
SAME_FINGER = 0.3
"""One finger takes two letters while the hand stays, in shifts; the outer fingers slide by half steps for nothing."""
FARTHER = 0.25
"""Every further position of a shift, in shifts."""
OVER_OPEN = 0.7
"""A shift while an open string sounds, in shifts."""
_HEIGHT = 0.01
"""A position higher, in shifts: of two explanations the one nearer the nut."""
_LEISURE = ((0.3, 1.0), (0.6, 0.85), (1.2, 0.7))
_AT_LEISURE = 0.55
"""Prices of a shift by the seconds since the digit before: a slow line has time for what a quick one cannot do."""


@dataclass(frozen=True, slots=True)
class Digit:
    """A single note with one printed finger (0 is open) or only a string: its event, and the seconds since the last.

    `in_words` says that the string is prescribed by words.
    """

    event: int
    pitch: Pitch
    finger: int
    strings: tuple[int, ...]
    seconds: float
    in_words: bool = False


@dataclass(frozen=True, slots=True)
class _Hand:
    stop: Stop
    position: int
    price: float


@dataclass(frozen=True)
class DigitRun:
    """Digits in a row, without a rest or a word that lets the hand begin anew."""

    digits: tuple[Digit, ...]
    instrument: Instrument

    def spared_by(self, changes: Mapping[int, int], anywhere: int | None = None) -> float:
        """Return how much trouble (in shifts) is spared if digits, by their number in the run, were others.

        The string of the digit with the number `anywhere` is left out.
        """
        first, last = min(changes), max(changes)
        here = self._forward[first - 1] if first else None
        for number in range(first, last + 1):
            finger = changes.get(number, self.digits[number].finger)
            here = _step(here, self._hands(number, finger, anywhere=number == anywhere), self._price(number))
        assert here is not None
        rest = self._backward[last]
        return self.trouble - min((cost + rest.after(hand) for hand, cost in here.items()), default=inf)

    @cached_property
    def trouble(self) -> float:
        """The trouble of the run as it is printed, in shifts."""
        return min(self._forward[-1].values(), default=0.0)

    @cached_property
    def _forward(self) -> list[dict[_Hand, float]]:
        found: list[dict[_Hand, float]] = []
        for number, digit in enumerate(self.digits):
            before = found[-1] if found else None
            found.append(_step(before, self._hands(number, digit.finger), self._price(number)))
        return found

    @cached_property
    def _backward(self) -> list[_Rest]:
        rests = [_Rest({}, 0.0)]
        for number in range(len(self.digits) - 1, 0, -1):
            hands = self._hands(number, self.digits[number].finger)
            following = rests[-1]
            costs = {hand: hand.price + following.after(hand) for hand in hands}
            rests.append(_Rest(costs, self._price(number)))
        rests.reverse()
        return rests

    def _hands(self, number: int, finger: int, *, anywhere: bool = False) -> tuple[_Hand, ...]:
        digit = self.digits[number]
        return _hands_for(digit.pitch, finger, () if anywhere else digit.strings, self.instrument)

    def _price(self, number: int) -> float:
        seconds = self.digits[number].seconds
        price = next((price for limit, price in _LEISURE if seconds < limit), _AT_LEISURE)
        return price * OVER_OPEN if number and self.digits[number - 1].finger == 0 else price


@dataclass(frozen=True, slots=True)
class _Rest:
    """What is to come: the trouble from every hand at the next digit on, and the price of a shift on the way there."""

    costs: dict[_Hand, float]
    shift: float

    def after(self, hand: _Hand) -> float:
        if not self.costs:
            return 0.0
        return min(cost + _move(hand, other, self.shift) for other, cost in self.costs.items())


def _step(before: dict[_Hand, float] | None, hands: Sequence[_Hand], shift: float) -> dict[_Hand, float]:
    if before is None:
        return {hand: hand.price for hand in hands}
    return {
        hand: hand.price + min((cost + _move(other, hand, shift) for other, cost in before.items()), default=inf)
        for hand in hands
    }


def _move(start: _Hand, goal: _Hand, shift: float) -> float:
    distance = abs(start.position - goal.position)
    if distance:
        return shift * (1 + FARTHER * (distance - 1))
    a, b = start.stop, goal.stop
    if a.finger != b.finger or a.string != b.string or a.letters == b.letters or not a.finger:
        return 0.0
    outer_by_half_step = a.finger in (FINGERS[0], FINGERS[-1]) and abs(a.semitones - b.semitones) <= 1
    return 0.0 if outer_by_half_step else SAME_FINGER


@lru_cache(maxsize=4096)
def _hands_for(pitch: Pitch, finger: int, strings: tuple[int, ...], instrument: Instrument) -> tuple[_Hand, ...]:
    """Every string and position in which a finger takes a pitch; an open string in every position up to the seventh."""
    found: list[_Hand] = []
    for stop, positions in stops_for(pitch, instrument):
        if finger not in (ANY, stop.finger) or (strings and stop.string not in strings):
            continue
        if stop.is_open:
            found += [_Hand(stop, position, 0.0) for position in range(8)]
        else:
            found += [_Hand(stop, position, _price_of(stop, position, pitch)) for position in positions]
    return tuple(found)


def _price_of(stop: Stop, position: int, pitch: Pitch) -> float:
    height = _HEIGHT * max(position - HOME_POSITION, 0)
    if own_position(stop.letters, stop.finger) == position:
        return height
    return height + (REACH if outward(stop, position) else BENT if pitch.alter else MISLAID)


def digit_runs(passage: Passage) -> Iterator[DigitRun]:
    """Yield the runs of digits of a part; a digit that cannot sound its note is left out, being a slip of its own."""
    run: list[Digit] = []
    seconds = 0.0
    for index, event in enumerate(passage.events):
        if run and (event.rest >= UNBOUND_REST or _begins_anew(event)):
            yield DigitRun(tuple(run), passage.instrument)
            run = []
        digit = _digit(passage, index, seconds if run else 0.0)
        if digit is not None:
            run.append(digit)
            seconds = 0.0
        seconds += event.seconds
    if run:
        yield DigitRun(tuple(run), passage.instrument)


def _begins_anew(event: Event) -> bool:
    return event.position is not None or any(Technique.GLISSANDO in note.techniques for note in event.notes)


def _digit(passage: Passage, index: int, seconds: float) -> Digit | None:
    event = passage.events[index]
    if len(event.notes) != 1 or event.grace or is_harmonic(event.notes[0]):
        return None
    note = event.notes[0]
    fingers = note.printed.fingers
    strings = note.printed.strings or (() if event.string is None else (event.string,))
    if len(fingers) > 1 or not (fingers or note.printed.strings):
        return None
    finger = fingers[0] if fingers else ANY
    if not _hands_for(note.pitch, finger, strings, passage.instrument):
        return None
    return Digit(index, note.pitch, finger, strings, seconds, not note.printed.strings)


@dataclass(frozen=True, slots=True)
class Slip:
    """A digit, two that were exchanged, or a string, by number in the run.

    Attributes:
        numbers: which.
        meant: the finger instead; 0 of two that were exchanged, and of a string.
        spared: shifts that are spared.
        string: it is the printed string that is wrong.
    """

    numbers: tuple[int, ...]
    meant: int
    spared: float
    string: bool = False


def slips(run: DigitRun, least: float, apart: float) -> Iterator[Slip]:
    """Yield digits that spare the hand shifts if they were another, and neighbours that do so if exchanged.

    `least` is how many shifts they have to spare where the digits around stand on neighbouring notes, `apart` where
    notes without digits lie between: there the hand may have gone elsewhere and come back. Of several explanations of
    the same digits the one that spares most is given, two exchanged digits before one wrong.
    """
    found = [*_single(run), *_exchanged(run), *_strings(run)]
    taken: set[int] = set()
    for slip in sorted(
        found, key=lambda slip: (-slip.spared - (len(slip.numbers) > 1 or slip.string) * 0.5, slip.numbers)
    ):
        first, last = max(slip.numbers[0] - 1, 0), min(slip.numbers[-1] + 1, len(run.digits) - 1)
        close = run.digits[last].event - run.digits[first].event == last - first
        near = {number + beside for number in slip.numbers for beside in (-1, 0, 1)}
        if slip.spared >= (least if close else apart) and not near & taken:
            taken |= set(slip.numbers)
            yield slip


def _single(run: DigitRun) -> Iterator[Slip]:
    """Digits that another one would better; the first and the last may begin or end a stay elsewhere."""
    for number in range(1, len(run.digits) - 1):
        printed = run.digits[number].finger
        if printed in FINGERS:
            spared, meant = max((run.spared_by({number: finger}), -finger) for finger in FINGERS if finger != printed)
            yield Slip((number,), -meant, spared)


def _strings(run: DigitRun) -> Iterator[Slip]:
    """Printed strings without which the note would lie under the hand."""
    for number, digit in enumerate(run.digits):
        if digit.strings and not digit.in_words and 0 < number < len(run.digits) - 1:
            yield Slip((number,), 0, run.spared_by({number: digit.finger}, anywhere=number), True)


def _exchanged(run: DigitRun) -> Iterator[Slip]:
    """Digits of two notes in a row that would be better the other way round."""
    for number, (one, other) in enumerate(pairwise(run.digits)):
        beside = other.event == one.event + 1 and one.pitch != other.pitch and one.finger != other.finger
        if beside and one.finger in FINGERS and other.finger in FINGERS:
            yield Slip((number, number + 1), 0, run.spared_by({number: other.finger, number + 1: one.finger}))


__all__ = ["Digit", "DigitRun", "Slip", "digit_runs", "slips"]
