"""Digits, and strings, that are likely slips of the pen, with the evidence for it.

A slip makes trouble that another digit would spare (see `hand_of_digits`). How much that tells depends on the part: in
one that hardly ever moves the hand a single shift is odd, in a virtuoso's it is nothing. Little trouble tells more than
in proportion, since most right digits make none at all. Two witnesses are heard besides: the routes of the planner,
under all other marks (`likely_marks`), and what like places of the part carry (`like_places`). A digit that comes back
in like places is meant.
Source: common practice; the constants were fitted to planted slips and to fingerings of players
(see `tests/benchmarks/misprints`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from math import sqrt

from ..hand.grip import FINGERS
from ..marks.constraints import UNCONSTRAINED
from ..marks.decisions import printed_decisions
from ..marks.hand_of_digits import DigitLine, digit_line, neighbours
from ..marks.like_places import LikePlaces
from ..music.passage import Passage
from ..search.likely_marks import LikelyMarks

OF_TROUBLE = 1.5
"""What a shift of trouble tells where trouble is one in 2.7 digits."""
OF_WITNESSES = 0.5
"""What a witness tells who takes other marks for 2.7 times as likely."""
LEAST_SPARED = 0.05
"""Trouble, in shifts, that other marks have to spare."""
_SURER = 0.5
"""Two digits exchanged, or a string, are preferred to one wrong digit by so much evidence."""


@dataclass(frozen=True, slots=True)
class Slip:
    """A digit, two that were exchanged, or a string.

    Attributes:
        events: the notes.
        fingers: as printed.
        meant: the finger instead; 0 of two that were exchanged, and of a string.
        evidence: how sure it is; 4 is a question, above 6.5 it is rarely wrong.
        string: the printed string that is wrong, or 0.
    """

    events: tuple[int, ...]
    fingers: tuple[int, ...]
    meant: int
    evidence: float
    string: int = 0


class Evidence:
    """What tells for other marks in a part."""

    def __init__(self, passage: Passage) -> None:
        self.passage = passage
        self.line = digit_line(passage)
        self._printed = printed_decisions(passage)

    def of_trouble(self, spared: float) -> float:
        """Return what trouble tells that other marks would spare (in shifts)."""
        return OF_TROUBLE * self.line.rarity(spared) * sqrt(spared)

    def of_digits(self, fingers: Mapping[int, int]) -> float:
        """Return what the routes of the planner tell for other fingers at some stages, by number."""
        return self._of_routes(
            {self.line.stages[number].event: frozenset({finger}) for number, finger in fingers.items()}
        )

    def of_other_string(self, number: int) -> float:
        """Return what the routes of the planner tell for any other string at a stage."""
        return self._of_routes({self.line.stages[number].event: None})

    def _of_routes(self, fingers: Mapping[int, frozenset[int] | None]) -> float:
        changes = {}
        for event, instead in fingers.items():
            mark = self._printed.get(self.passage.events[event].notes[0].id, UNCONSTRAINED)
            changes[event] = replace(mark, strings=None) if instead is None else replace(mark, fingers=instead)
        return OF_WITNESSES * self._routes.gained_by(changes)

    def of_like_places(self, first: int, fingers: tuple[int, ...], instead: tuple[int, ...]) -> float:
        """Return what like places tell for other fingers from an event on."""
        return OF_WITNESSES * self.like_places.tell_for(first, fingers, instead)

    @cached_property
    def like_places(self) -> LikePlaces:
        """What like places of the part carry."""
        return LikePlaces(self.passage)

    @cached_property
    def _routes(self) -> LikelyMarks:
        return LikelyMarks(self.passage)


@dataclass(frozen=True, slots=True)
class _Change:
    """Other marks at some stages, by number: the fingers instead, or any other string."""

    numbers: tuple[int, ...]
    fingers: tuple[int, ...]
    instead: tuple[int, ...]
    spared: float
    string: int = 0


def slips(evidence: Evidence, least: float) -> Iterator[Slip]:
    """Yield the slips with at least so much evidence, the surest first.

    Of several explanations of the same digits the one with most evidence is given, two exchanged digits before one
    wrong.
    """
    found = [(told, change) for change in _changes(evidence.line) if (told := _told(evidence, change)) >= least]
    taken: set[int] = set()
    for told, change in sorted(found, key=_surest_first):
        near = {number + beside for number in change.numbers for beside in (-1, 0, 1)}
        if not near & taken:
            taken |= set(change.numbers)
            events = tuple(evidence.line.stages[number].event for number in change.numbers)
            meant = change.instead[0] if len(change.instead) == 1 and not change.string else 0
            yield Slip(events, change.fingers, meant, told, change.string)


def _surest_first(found: tuple[float, _Change]) -> tuple[float, tuple[int, ...]]:
    told, change = found
    return -told - (len(change.numbers) > 1 or change.string > 0) * _SURER, change.numbers


def _told(evidence: Evidence, change: _Change) -> float:
    """What tells for a change; nothing if like places show that the digits are meant."""
    told = evidence.of_trouble(change.spared)
    if change.string:
        return told + evidence.of_other_string(change.numbers[0])
    first = evidence.line.stages[change.numbers[0]].event
    if evidence.like_places.shows_meant(first, change.fingers):
        return 0.0
    told += evidence.of_like_places(first, change.fingers, change.instead)
    return told + evidence.of_digits(dict(zip(change.numbers, change.instead, strict=True)))


def _changes(line: DigitLine) -> Iterator[_Change]:
    """Every change of one digit, of one string, and of two digits for each other that spares trouble."""
    for number in range(len(line.stages)):
        if line.spared_at_most(number, number) > LEAST_SPARED:
            yield from _changes_at(line, number)
    for number, one, other in neighbours(line):
        fingers, instead = (one.finger, other.finger), (other.finger, one.finger)
        if one.pitch == other.pitch or fingers == instead or not set(fingers) <= set(FINGERS):
            continue
        if line.spared_at_most(number, number + 1) > LEAST_SPARED:
            numbers = number, number + 1
            yield from _sparing(
                _Change(numbers, fingers, instead, line.spared_by(dict(zip(numbers, instead, strict=True))))
            )


def _changes_at(line: DigitLine, number: int) -> Iterator[_Change]:
    """Every change of one digit, and of one string."""
    digit = line.stages[number].digit
    if digit is None:
        return
    fingers = (digit.finger,)
    if digit.finger in FINGERS:
        for finger in FINGERS:
            if finger != digit.finger:
                yield from _sparing(_Change((number,), fingers, (finger,), line.spared_by({number: finger})))
    if digit.strings and not digit.in_words:
        spared = line.spared_by({number: digit.finger}, anywhere=number)
        yield from _sparing(_Change((number,), fingers, fingers, spared, digit.strings[0]))


def _sparing(change: _Change) -> Iterator[_Change]:
    if change.spared > LEAST_SPARED:
        yield change


__all__ = ["LEAST_SPARED", "Evidence", "Slip", "slips"]
