"""Turns printed marks and the player's pins into constraints on notes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from weakref import WeakKeyDictionary

from ..hand.grip import HOME_POSITION, Stop, own_position
from ..hand.harmonics import node_strings
from ..music.instrument import Instrument
from ..music.passage import NOTHING_PRINTED, Event, Note, Passage, Technique
from .constraints import Constraint, Decisions
from .printed_marks import HARMONICS, reachable_stops
from .words_in_force import events_after_restez, positions_in_force


@dataclass(frozen=True, slots=True)
class Pin:
    """The player's own decision: for one row of the plan, or for every note of a range of measures.

    `measures` are indices of the first and last measure, both included.
    """

    constraint: Constraint
    row: int | None = None
    measures: tuple[int, int] | None = None


_PRINTED: WeakKeyDictionary[Passage, dict[str, Constraint]] = WeakKeyDictionary()


def printed_decisions(passage: Passage) -> dict[str, Constraint]:
    """Return what the part prints, as decisions by note id: fingers, strings, harmonics, and words while they hold."""
    if passage in _PRINTED:
        return dict(_PRINTED[passage])
    found: dict[str, Constraint] = {}
    positions, stays = positions_in_force(passage), events_after_restez(passage)
    for index, event in enumerate(passage.events):
        for note in event.notes:
            constraint = _printed(event, note, passage.instrument, positions[index], index in stays)
            if constraint is not None:
                found[note.id] = constraint
    _PRINTED[passage] = found
    return dict(found)


def _printed(event: Event, note: Note, instrument: Instrument, position: int | None, stay: bool) -> Constraint | None:
    if note.printed is NOTHING_PRINTED and not note.techniques and event.string is None and position is None:
        return Constraint(None, None, None, stay) if stay else None
    fingers = frozenset(f for f in note.printed.fingers if 0 <= f <= 4)
    if Technique.NATURAL_HARMONIC in note.techniques:
        fingers -= {0}  # the circle over a harmonic is read as 0, but is no open string
    strings = frozenset(note.printed.strings)
    if not strings and event.string is not None and 0 not in fingers:
        strings = frozenset({event.string})
    if not strings and Technique.NATURAL_HARMONIC in note.techniques:
        strings = node_strings(note.pitch, instrument)
    positions = None if position is None else frozenset({position})
    if position is not None and position > HOME_POSITION and not fingers and len(event.notes) == 1 and not event.held:
        plain = _plain_stops(note, instrument, position, strings)
        fingers, strings = frozenset(stop.finger for stop in plain), strings or frozenset(s.string for s in plain)
    if not fingers and not strings and positions is None and not stay:
        return None
    return Constraint(fingers or None, strings or None, positions, stay)


def _plain_stops(note: Note, instrument: Instrument, position: int, strings: frozenset[int]) -> list[Stop]:
    """What a note without a digit is in a position in words: an open string, or the finger of its letter.

    A finger that reaches for another letter needs its digit (common practice). Empty if the position has no finger for
    the note.
    """
    if note.techniques & HARMONICS:
        return []
    found = [stop for stop, _ in reachable_stops(note, instrument, strings=tuple(strings))]
    letters = [stop for stop in found if stop.finger and own_position(stop.letters, stop.finger) == position]
    return [*letters, *(stop for stop in found if stop.is_open)] if letters else []


def decisions_with_pins(passage: Passage, pins: Iterable[Pin], base: Mapping[str, Constraint]) -> Decisions:
    """Return `base` with the player's pins laid over it; a pin wins over a printed mark on the same note."""
    found = dict(base)
    rows = {note.row: note for note in passage.notes if note.row is not None}
    for pin in pins:
        for note in _concerned(pin, passage, rows):
            found[note.id] = _over(pin.constraint, found.get(note.id))
    return found


def _concerned(pin: Pin, passage: Passage, rows: Mapping[int, Note]) -> list[Note]:
    """The notes that a pin is for."""
    if pin.measures is None:
        return [] if pin.row is None or pin.row not in rows else [rows[pin.row]]
    first, last = pin.measures
    return [note for event in passage.events if first <= event.measure <= last for note in event.notes]


def _over(pin: Constraint, below: Constraint | None) -> Constraint:
    """A pin replaces what is printed. What it leaves open is taken from an earlier pin on the same note."""
    if below is None:
        return pin
    return Constraint(
        pin.fingers if pin.fingers is not None else below.fingers,
        pin.strings if pin.strings is not None else (below.strings if pin.fingers is None else None),
        pin.positions if pin.positions is not None else (below.positions if pin.fingers is None else None),
        below.stay and pin == Constraint(strings=pin.strings),
    )
