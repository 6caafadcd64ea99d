"""Slips of the digits, planted by chance (seeded) in parts whose digits are right: neighbours exchanged, or one moved.

A digit that was moved still belongs to a finger, and its note still lies under it somewhere: what no finger can play is
easy to find. Planted slips stand far apart, as in a proof that was read once.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from random import Random

from rules import Note, Passage
from rules.marks.printed_marks import reachable_stops

APART = 60
"""Events from one planted slip to the next."""


@dataclass(frozen=True)
class PlantedSlip:
    """What was planted: the events of the notes, and the digits that are printed instead."""

    events: tuple[int, ...]
    digits: Mapping[str, int]


def with_digits(passage: Passage, digits: Mapping[str, int]) -> Passage:
    """Return the passage with other digits on some notes, by note id."""
    events = tuple(
        replace(event, notes=tuple(_with_digit(note, digits) for note in event.notes)) for event in passage.events
    )
    return replace(passage, events=events)


def _with_digit(note: Note, digits: Mapping[str, int]) -> Note:
    digit = digits.get(note.id)
    return note if digit is None else replace(note, printed=replace(note.printed, fingers=(digit,)))


def exchanged(passage: Passage, random: Random) -> Iterator[PlantedSlip]:
    """Yield neighbours whose digits (1 to 4) are exchanged: single notes of other pitches in a row."""
    yield from _spread(
        passage, random, [pair for index in range(1, len(passage.events)) for pair in _pair(passage, index)]
    )


def moved(passage: Passage, random: Random) -> Iterator[PlantedSlip]:
    """Yield digits (1 to 4) that are one higher or lower."""
    found = []
    for index, event in enumerate(passage.events):
        digit = _digit(passage, index)
        options = [
            other for other in (digit - 1, digit + 1) if digit and 1 <= other <= 4 and _lies(passage, index, other)
        ]
        if options:
            found.append(PlantedSlip((index,), {event.notes[0].id: random.choice(options)}))
    yield from _spread(passage, random, found)


def _spread(passage: Passage, random: Random, found: Sequence[PlantedSlip]) -> Iterator[PlantedSlip]:
    """Some of them, each at its own place of the part."""
    for start in range(0, len(passage.events), APART):
        here = [slip for slip in found if start <= slip.events[0] < start + APART - APART // 3]
        if here:
            yield random.choice(here)


def _pair(passage: Passage, index: int) -> Iterator[PlantedSlip]:
    one, other = _digit(passage, index - 1), _digit(passage, index)
    if not (one and other and one != other):
        return
    first, second = passage.events[index - 1].notes[0], passage.events[index].notes[0]
    if first.pitch != second.pitch and _lies(passage, index - 1, other) and _lies(passage, index, one):
        yield PlantedSlip((index - 1, index), {first.id: other, second.id: one})


def _digit(passage: Passage, index: int) -> int:
    """The finger printed on a single note; 0 for any other event."""
    event = passage.events[index]
    fingers = event.notes[0].printed.fingers if len(event.notes) == 1 and not event.grace else ()
    return fingers[0] if len(fingers) == 1 else 0


def _lies(passage: Passage, index: int, finger: int) -> bool:
    note = passage.events[index].notes[0]
    return bool(reachable_stops(note, passage.instrument, (finger,), note.printed.strings))
