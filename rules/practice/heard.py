"""An exercise as it sounds: silent notes are rests, and a light finger at a node lets a harmonic ring."""

from __future__ import annotations

from dataclasses import replace

from ..hand.harmonics import NODES, PARTIALS
from ..music.instrument import Instrument
from .scale_tones import semitones_above_nut
from .sheet import Exercise, Head, SheetNote, Tone

_LETTERS = {2: 7, 3: 11, 4: 14, 5: 16, 6: 18}
"""Letter names from the open string to each partial."""


def as_heard(instrument: Instrument, exercise: Exercise) -> Exercise:
    """Return the exercise with the pitches that are heard."""
    bars = (replace(bar, notes=tuple(_heard(instrument, note) for note in bar.notes)) for bar in exercise.bars)
    return replace(exercise, bars=tuple(bars))


def _heard(instrument: Instrument, note: SheetNote) -> SheetNote:
    tones = tuple(_sounding(instrument, tone) for tone in note.tones if tone.head is not Head.SILENT)
    return replace(note, tones=tones, tied=note.tied and bool(tones), bow=note.bow if tones else None)


def _sounding(instrument: Instrument, tone: Tone) -> Tone:
    partial = NODES.get(round(semitones_above_nut(instrument, tone))) if tone.head is Head.LIGHT else None
    if partial is None:
        return tone
    pitch = instrument.open_pitch(tone.string or 1).transposed(_LETTERS[partial], PARTIALS[partial])
    return replace(tone, pitch=pitch, head=Head.PLAIN, harmonic=True)


__all__ = ["as_heard"]
