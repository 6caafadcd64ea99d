"""Reads a practice sheet back as a player would, and prints a string where the marks would be misread.

The sheet's own file is planned like any score, with its printed marks as constraints. Where that plan takes another
string than the sheet means, the string is printed too.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from rules import ALL, INSTRUMENTS, FingeredNote, Plan, Sheet, Tone, cheapest_route, printed_decisions

from ..config.limits import DEFAULT_LIMITS
from ..musicxml.file.container import open_document
from ..musicxml.new.document import compose
from ..musicxml.read.reader import read_part

_ROUNDS = 3


def verify_sheet(sheet: Sheet, instrument: str) -> Sheet:
    """Return the sheet with the string marks that it needs to be read as intended."""
    for _ in range(_ROUNDS):
        doubtful = {place for place, tone, fingered in readings(sheet, instrument) if _differs(tone, fingered)}
        if not doubtful:
            break
        sheet = _with_strings(sheet, doubtful)
    return sheet


Spot = tuple[int, int, int, int]
"""Exercise, bar, note and tone within a sheet, each counted from 0."""


def readings(sheet: Sheet, instrument: str) -> Iterator[tuple[Spot, Tone, FingeredNote]]:
    """Yield every sounding tone with its fingering in a plan of the sheet's own file."""
    document = open_document(compose(sheet), DEFAULT_LIMITS)
    passage = read_part(document.root, "P1", INSTRUMENTS[instrument]).passage
    plan = Plan(passage, ALL, cheapest_route(passage, ALL, decisions=printed_decisions(passage)))
    yield from (
        (spot, tone, fingered)
        for (spot, tone), fingered in zip(sounding_tones(sheet), plan.fingered_notes, strict=True)
    )


def sounding_tones(sheet: Sheet) -> Iterator[tuple[Spot, Tone]]:
    """Yield every tone of a sheet in reading order, without tied continuations."""
    held: frozenset[Tone] = frozenset()
    for number, exercise in enumerate(sheet.exercises):
        for bar_number, bar in enumerate(exercise.bars):
            for note_number, note in enumerate(bar.notes):
                pitches = {tone.pitch for tone in held}
                for tone_number, tone in enumerate(note.tones):
                    if tone.pitch not in pitches:
                        yield (number, bar_number, note_number, tone_number), tone
                if not note.is_small:
                    held = frozenset(note.tones) if note.tied else frozenset()


def _differs(tone: Tone, fingered: FingeredNote) -> bool:
    return (
        tone.finger is not None and tone.show_finger and (fingered.stop is None or fingered.stop.string != tone.string)
    )


def _with_strings(sheet: Sheet, doubtful: set[Spot]) -> Sheet:
    number = -1
    sections = []
    for section in sheet.sections:
        exercises = []
        for exercise in section.exercises:
            number += 1
            bars = []
            for bar_number, bar in enumerate(exercise.bars):
                notes = []
                for note_number, note in enumerate(bar.notes):
                    here = (number, bar_number, note_number)
                    tones = tuple(
                        replace(tone, show_string=True) if (*here, index) in doubtful else tone
                        for index, tone in enumerate(note.tones)
                    )
                    notes.append(replace(note, tones=tones))
                bars.append(replace(bar, notes=tuple(notes)))
            exercises.append(replace(exercise, bars=tuple(bars)))
        sections.append(replace(section, exercises=tuple(exercises)))
    return replace(sheet, sections=tuple(sections))


__all__ = ["readings", "sounding_tones", "verify_sheet"]
