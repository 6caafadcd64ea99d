"""Stays of the hand in a position that the digits describe, and whether words name it.

An editor either names positions or leaves them to the digits, and mostly keeps to one of the two all through a part.
Then a stay that is not named, or named only after it has begun, is a word that was lost or that stands at the wrong
note, or its notes or digits are not those that were meant.
Source: common practice.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..hand.grip import HOME_POSITION
from ..music.passage import Passage
from .hand_of_digits import DigitLine, digit_line

LEAST_DIGITS = 2
"""Digits that have to lie outside the position in words: a visit of a note or two is not named."""


@dataclass(frozen=True, slots=True)
class Stay:
    """Digits in a row in one position.

    Attributes:
        first, last: the events of the first and last of them.
        position: that the digits describe.
        named: the position that was in words before.
        word: the event whose word names the position, or None.
        outside: how many digits do not lie in the position named before, up to the word.
    """

    first: int
    last: int
    position: int
    named: int
    word: int | None
    outside: int

    @property
    def is_named(self) -> bool:
        """True if the word stands where the digits leave the position named before."""
        return self.word is not None and not self.outside

    @property
    def is_home(self) -> bool:
        """True if the hand goes back to first position."""
        return self.position == HOME_POSITION


def stays(passage: Passage, line: DigitLine) -> Iterator[Stay]:
    """Yield every stay that lies outside the position in words before it, in order.

    Where a word stands right before the first note there is no room for another: such stays are left out.
    """
    named = HOME_POSITION
    read_to = 0
    for first, last in _runs(line):
        events = range(line.stages[first].event, line.stages[last].event + 1)
        position = line.positions[first]
        before = passage.events[events.start - 1].position if events.start else None
        for index in range(read_to, events.start):
            named = _named(passage, index, named)
        words = [index for index in events if passage.events[index].position is not None]
        word = next((index for index in words if passage.events[index].position == position), None)
        outside = [
            stage.event
            for stage in line.stages[first : last + 1]
            if stage.digit is not None
            and (word is None or stage.event < word)
            and not any(hand.position == named for hand in stage.hands)
        ]
        if position != named and (outside or word is not None) and before is None:
            start = outside[0] if outside else events.start
            yield Stay(start, events.stop - 1, position, named, word, len(outside))
        for index in words:
            named = _named(passage, index, named)
        read_to = events.stop


def _named(passage: Passage, index: int, before: int) -> int:
    position = passage.events[index].position
    return before if position is None else position


def _runs(line: DigitLine) -> Iterator[tuple[int, int]]:
    first = 0
    for number in range(1, len(line.stages) + 1):
        if number == len(line.stages) or line.positions[number] != line.positions[first]:
            yield first, number - 1
            first = number


def unnamed_stays(passage: Passage, share: float) -> Iterator[Stay]:
    """Yield the stays that are not named, or late, in a part that names at least `share` of the others like them.

    Stays at home and away from it are counted apart: many editors name only where the hand goes.
    """
    if all(event.position is None for event in passage.events):
        return
    found = list(stays(passage, digit_line(passage)))
    for stay in found:
        if stay.outside < LEAST_DIGITS:
            continue
        like = [other for other in found if other.is_home is stay.is_home and other is not stay]
        named = sum(other.is_named for other in like)
        unnamed = sum(other.outside >= LEAST_DIGITS for other in like)
        if named and named >= share * (named + unnamed):
            yield stay


__all__ = ["LEAST_DIGITS", "Stay", "stays", "unnamed_stays"]
