"""The level that a part needs: the smallest in which every note can be reached, and the bars that force it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..music.instrument import Pitch
from ..music.passage import Event, Passage
from .grip import grips_for
from .level import ALL, LEVELS, Level
from .technique import asked_of, bonds, grips_as_played

LADDER: Sequence[Level] = tuple(LEVELS.values())


@dataclass(frozen=True, slots=True)
class Need:
    """The smallest level that reaches every note, and the events that no smaller one reaches.

    `unplayable` lists the events that no level reaches.
    """

    level: Level
    forced_by: tuple[int, ...]
    unplayable: tuple[int, ...]


def level_needed(passage: Passage) -> Need:
    """Return the smallest of the preset levels in which every event can be held."""
    reached: dict[tuple[Pitch, ...], int] = {}
    steps = []
    techniques = frozenset(bonds(passage).events)
    for index, event in enumerate(passage.events):
        if index in techniques and (rung := _rung_as_played(event, passage)) is not None:
            steps.append(rung)
            continue
        pitches = event.pitches
        if pitches not in reached:
            reached[pitches] = _first_rung(pitches, event, passage)
        steps.append(reached[pitches])
    playable = [step for step in steps if step < len(LADDER)]
    top = max(playable, default=0)
    forced = tuple(i for i, step in enumerate(steps) if step == top) if top else ()
    return Need(LADDER[top], forced, tuple(i for i, step in enumerate(steps) if step == len(LADDER)))


def _rung_as_played(event: Event, passage: Passage) -> int | None:
    """The first level that plays the event as its techniques ask; None if no hand does."""
    notes = sorted(event.notes, key=lambda note: note.pitch.midi)
    asked = tuple(asked_of(note, passage) for note in notes)
    for rung, level in enumerate(LADDER):
        grips, beyond = grips_as_played(asked, passage.instrument, level.positions)
        if grips and (not beyond or level is ALL):
            return rung
    return None


def _first_rung(pitches: tuple[Pitch, ...], event: Event, passage: Passage) -> int:
    if not event.notes:
        return 0
    for rung, level in enumerate(LADDER):
        if grips_for(pitches, passage.instrument, level.positions, level is ALL):
            return rung
    return len(LADDER)
