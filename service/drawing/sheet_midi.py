"""A practice sheet to listen to: a standard MIDI file of all its exercises, repeats played.

Made by verovio from the sheet's own MusicXML, at the tempo of each exercise.
"""

from __future__ import annotations

from rules import Sheet

from ..musicxml.new.document import compose
from .engraving import midi_of


def as_midi(sheet: Sheet) -> bytes:
    """Return the sheet as a standard MIDI file."""
    return midi_of(compose(sheet).decode())
