"""The level that a part needs, by what it asks of the hand: reach, shifts under a slur, keys and double stops."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from ..music.instrument import Pitch
from ..music.passage import Event, Passage
from .grip import EVERY_POSITION, Grip, grips_for
from .level import ALL, FIRST, FIRST_AND_THIRD, LEVELS, TO_THIRD, Level, ShiftKind
from .technique import asked_of, bonds, grips_as_played

LEVELS_IN_ORDER: Sequence[Level] = tuple(LEVELS.values())
HARD_SIGNATURE = 5
"""Sharps or flats from which a key asks for half and second position (common practice)."""
NOTES_OF_A_KEY = 8
"""Notes that a part has to have in such a key: a bar or two in passing ask for nothing."""
WIDE = 12
"""Semitones of two stopped notes from which the hand has to hold its frame open: octaves and tenths."""


class Demand(StrEnum):
    """What asks for a level."""

    REACH = "reach"
    SLUR = "a shift under a slur"
    KEY = "the key"
    DOUBLE_STOPS = "double stops"


@dataclass(frozen=True, slots=True)
class RequiredLevel:
    """The smallest level that has what the part asks for, and the events that no smaller one has.

    `demands` names what those events ask for. `unplayable` lists the events that no level reaches.
    """

    level: Level
    forced_by: tuple[int, ...]
    unplayable: tuple[int, ...]
    demands: tuple[Demand, ...] = ()


def required_level(passage: Passage) -> RequiredLevel:
    """Return the smallest of the preset levels that has everything the part asks for."""
    asked: dict[Demand, dict[int, int]] = {
        Demand.REACH: dict(enumerate(_reach(passage))),
        Demand.SLUR: dict(_slurs(passage)),
        Demand.KEY: dict(_keys(passage)),
        Demand.DOUBLE_STOPS: dict(_double_stops(passage)),
    }
    beyond = len(LEVELS_IN_ORDER)
    top = max((step for steps in asked.values() for step in steps.values() if step < beyond), default=0)
    forced = {demand: [i for i, step in steps.items() if step == top] for demand, steps in asked.items()} if top else {}
    return RequiredLevel(
        LEVELS_IN_ORDER[top],
        tuple(sorted({event for events in forced.values() for event in events})),
        tuple(i for i, step in asked[Demand.REACH].items() if step == beyond),
        tuple(demand for demand, events in forced.items() if events),
    )


def _reach(passage: Passage) -> Iterator[int]:
    """For every event, the first level that reaches it."""
    reached: dict[tuple[Pitch, ...], int] = {}
    techniques = frozenset(bonds(passage).events)
    for index, event in enumerate(passage.events):
        if index in techniques and (index_of_level := _level_index_as_played(event, passage)) is not None:
            yield index_of_level
            continue
        pitches = event.pitches
        if pitches not in reached:
            reached[pitches] = _level_index(pitches, event, passage)
        yield reached[pitches]


def _level_index_as_played(event: Event, passage: Passage) -> int | None:
    """The first level that plays the event as its techniques ask; None if no hand does."""
    notes = sorted(event.notes, key=lambda note: note.pitch.midi)
    asked = tuple(asked_of(note, passage) for note in notes)
    for index_of_level, level in enumerate(LEVELS_IN_ORDER):
        grips, beyond = grips_as_played(asked, passage.instrument, level.positions)
        if grips and (not beyond or level is ALL):
            return index_of_level
    return None


def _level_index(pitches: tuple[Pitch, ...], event: Event, passage: Passage) -> int:
    if not event.notes:
        return 0
    for index_of_level, level in enumerate(LEVELS_IN_ORDER):
        if grips_for(pitches, passage.instrument, level.positions, level is ALL):
            return index_of_level
    return len(LEVELS_IN_ORDER)


def _slurs(passage: Passage) -> Iterator[tuple[int, int]]:
    """The last event of every slur that one position of first and third does not hold: the hand moves under the bow."""
    common: frozenset[int] = EVERY_POSITION
    positions: dict[tuple[Pitch, ...], frozenset[int]] = {}
    moves = LEVELS_IN_ORDER.index(next(level for level in LEVELS_IN_ORDER if ShiftKind.SLUR in level.shifts))
    for index, event in enumerate(passage.events):
        if event.pitches not in positions:
            positions[event.pitches] = _positions(event, passage)
        common = positions[event.pitches] & (common if event.slurred else EVERY_POSITION)
        if not common:
            yield index, moves
            common = positions[event.pitches]


def _positions(event: Event, passage: Passage) -> frozenset[int]:
    """The positions of first and third in which the hand can be at an event; every one if it is open or beyond."""
    level = FIRST_AND_THIRD
    grips = grips_for(event.pitches, passage.instrument, level.positions) if event.notes else ()
    if not grips or any(grip.is_open for grip in grips):
        return EVERY_POSITION
    return frozenset(grip.position for grip in grips)


def _keys(passage: Passage) -> Iterator[tuple[int, int]]:
    """The events in keys of many sharps or flats."""
    hard = [
        index
        for index, event in enumerate(passage.events)
        if event.notes and abs(passage.measures[event.measure].fifths) >= HARD_SIGNATURE
    ]
    if len(hard) >= NOTES_OF_A_KEY:
        yield from ((index, LEVELS_IN_ORDER.index(TO_THIRD)) for index in hard)


def _double_stops(passage: Passage) -> Iterator[tuple[int, int]]:
    """The events that hold two fingers down (first and third), or three, or an octave and more (to third)."""
    known: dict[tuple[Pitch, ...], int] = {}
    for index, event in enumerate(passage.events):
        if len(event.notes) < 2:
            continue
        if event.pitches not in known:
            grips = grips_for(event.pitches, passage.instrument, FIRST.positions)
            known[event.pitches] = min((_index_of_grip(grip, event.pitches) for grip in grips), default=0)
        if known[event.pitches]:
            yield index, known[event.pitches]


def _index_of_grip(grip: Grip, pitches: tuple[Pitch, ...]) -> int:
    stopped = [pitch for pitch, stop in zip(pitches, grip.stops, strict=True) if not stop.is_open]
    if len(stopped) < 2:
        return 0
    wide = stopped[-1].midi - stopped[0].midi >= WIDE
    return LEVELS_IN_ORDER.index(TO_THIRD if wide or len(stopped) > 2 else FIRST_AND_THIRD)
