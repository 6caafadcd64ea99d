"""A practice sheet to listen to: a standard MIDI file of all its exercises, repeats played.

Made by verovio from the sheet's own MusicXML, at the tempo of each exercise.
"""

from __future__ import annotations

from dataclasses import replace

from rules import Sheet, as_heard

from ..musicxml.new.document import compose
from .engraving import midi_of


def as_midi(sheet: Sheet) -> bytes:
    """Return the sheet as a standard MIDI file."""
    sections = (
        replace(section, exercises=tuple(as_heard(sheet.instrument, exercise) for exercise in section.exercises))
        for section in sheet.sections
    )
    return midi_of(compose(replace(sheet, sections=tuple(sections))).decode())
