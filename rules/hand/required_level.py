"""The level that a part needs: the smallest in which every note can be reached, and the bars that force it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..music.instrument import Pitch
from ..music.passage import Event, Passage
from .grip import grips_for
from .level import ALL, LEVELS, Level
from .technique import asked_of, bonds, grips_as_played

LEVELS_IN_ORDER: Sequence[Level] = tuple(LEVELS.values())


@dataclass(frozen=True, slots=True)
class RequiredLevel:
    """The smallest level that reaches every note, and the events that no smaller one reaches.

    `unplayable` lists the events that no level reaches.
    """

    level: Level
    forced_by: tuple[int, ...]
    unplayable: tuple[int, ...]


def required_level(passage: Passage) -> RequiredLevel:
    """Return the smallest of the preset levels in which every event can be held."""
    reached: dict[tuple[Pitch, ...], int] = {}
    steps = []
    techniques = frozenset(bonds(passage).events)
    for index, event in enumerate(passage.events):
        if index in techniques and (index_of_level := _level_index_as_played(event, passage)) is not None:
            steps.append(index_of_level)
            continue
        pitches = event.pitches
        if pitches not in reached:
            reached[pitches] = _level_index(pitches, event, passage)
        steps.append(reached[pitches])
    playable = [step for step in steps if step < len(LEVELS_IN_ORDER)]
    top = max(playable, default=0)
    forced = tuple(i for i, step in enumerate(steps) if step == top) if top else ()
    return RequiredLevel(
        LEVELS_IN_ORDER[top], forced, tuple(i for i, step in enumerate(steps) if step == len(LEVELS_IN_ORDER))
    )


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
