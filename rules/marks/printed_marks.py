"""Which stops, and so which positions, the printed marks of a part allow."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from math import inf

from ..hand.grip import EVERY_POSITION, Stop, grips_for, stops_for
from ..music.instrument import Instrument
from ..music.passage import Event, Note, Passage, Technique

HARMONICS = frozenset({Technique.NATURAL_HARMONIC, Technique.ARTIFICIAL_HARMONIC})
ReachableStop = tuple[Stop, tuple[int, ...]]
"""A stop, and the positions from which it is reached; none for an open string."""


def is_harmonic(note: Note) -> bool:
    """True for a harmonic: the written pitch may differ from the one under the finger."""
    return bool(note.techniques & HARMONICS)


def has_mark(event: Event) -> bool:
    """True if a finger, a string or a position is printed at the event itself."""
    return event.position is not None or any(note.printed for note in event.notes)


def reachable_stops(
    note: Note, instrument: Instrument, fingers: tuple[int, ...] = (), strings: tuple[int, ...] = ()
) -> tuple[ReachableStop, ...]:
    """Return every stop that sounds the note with one of the fingers on one of the strings; none given, any will do."""
    return tuple(
        (stop, positions)
        for stop, positions in stops_for(note.pitch, instrument)
        if (not fingers or stop.finger in fingers) and (not strings or stop.string in strings)
    )


def marked_stops(note: Note, event: Event, instrument: Instrument) -> tuple[ReachableStop, ...]:
    """Return the stops that all marks on a note, and the string and position in words, allow together."""
    strings = note.printed.strings
    if not strings and event.string is not None and 0 not in note.printed.fingers:
        strings = (event.string,)
    found = reachable_stops(note, instrument, note.printed.fingers, strings)
    if event.position is None:
        return found
    return tuple((stop, reached) for stop, reached in found if stop.is_open or event.position in reached)


def marked_positions(event: Event, instrument: Instrument) -> frozenset[int]:
    """Return the positions that the marks of an event allow; empty if they allow any, or contradict each other."""
    allowed: frozenset[int] | None = None if event.position is None else frozenset({event.position})
    for note in event.notes:
        if not note.printed or is_harmonic(note):
            continue
        found = marked_stops(note, event, instrument)
        if not found or any(stop.is_open for stop, _ in found):
            continue
        here = frozenset(position for _, reached in found for position in reached)
        allowed = here if allowed is None else allowed & here
    return allowed or frozenset()


@dataclass(frozen=True, slots=True)
class MarkedEvent:
    """An event whose marks fix the position, and the seconds since the marked event before it.

    `seconds` is infinite if the hand was free in between (over a rest or an open string), and at the first mark.
    """

    event: int
    positions: frozenset[int]
    seconds: float


def marked_events(passage: Passage, rest: float) -> Iterator[MarkedEvent]:
    """Yield every event whose marks fix the position. A rest of `rest` seconds, or an open string, frees the hand."""
    seconds = inf
    for index, event in enumerate(passage.events):
        if event.rest >= rest:
            seconds = inf
        if has_mark(event):
            here = marked_positions(event, passage.instrument)
            if here:
                yield MarkedEvent(index, here, seconds)
                seconds = 0.0
        if seconds < inf:
            seconds = inf if may_be_open(event, passage.instrument) else seconds + event.seconds


def may_be_open(event: Event, instrument: Instrument) -> bool:
    """True if every note of the event can sound on an open string and no finger is printed against it."""
    opens = [pitch.midi for pitch in instrument.open_strings]
    return all(
        is_harmonic(note) or (note.pitch.midi in opens and (not note.printed.fingers or 0 in note.printed.fingers))
        for note in event.notes
    )


def marks_fit_one_hand(event: Event, instrument: Instrument, positions: frozenset[int] = EVERY_POSITION) -> bool:
    """True if one hand, in one of the positions, keeps all fingers and strings printed on notes that start together.

    Some programs hang all digits of a chord on one note: then they may belong to any of its notes. True as well for
    what no hand holds even without marks, and for harmonics, which are touched.
    """
    notes = sorted(event.notes, key=lambda note: note.pitch.midi)
    if any(is_harmonic(note) for note in notes) or not any(note.printed for note in notes):
        return True
    grips = grips_for(tuple(note.pitch for note in notes), instrument, positions, True)
    hanging = Counter(finger for note in notes for finger in note.printed.fingers)
    heaped = any(len(note.printed.fingers) > 1 for note in notes)
    for grip in grips:
        if not all(
            not note.printed.strings or stop.string in note.printed.strings
            for note, stop in zip(notes, grip.stops, strict=True)
        ):
            continue
        if all(
            not note.printed.fingers or stop.finger in note.printed.fingers
            for note, stop in zip(notes, grip.stops, strict=True)
        ):
            return True
        if heaped and not hanging - Counter(stop.finger for stop in grip.stops):
            return True
    return not grips and positions == EVERY_POSITION


def is_reachable(event: Event, instrument: Instrument, position: int) -> bool:
    """True if the hand sounds everything of the event in a position, extensions included."""
    pitches = event.pitches
    return not pitches or bool(grips_for(pitches, instrument, frozenset({position})))
