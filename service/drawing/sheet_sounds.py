"""What an exercise sounds like, as data beside its picture: a page that can play it finds the notes there."""

from __future__ import annotations

import json
from fractions import Fraction

from rules import Exercise, Pitch

_HIGHEST_DRONE = 64
"""Key number (MIDI) above which a drone is taken an octave lower: the middle of the violin's range covers it less."""
_OCTAVE = 12


def sounds_of(exercise: Exercise) -> str:
    """Return the notes of an exercise as JSON.

    `notes` are lists of begin and length in quarter notes, key number (MIDI) and string; `tempo` is in quarter notes a
    minute, `beat` what its tempo counts in quarter notes, `length` the whole, `drone` the key number of the last note,
    or of an octave below. Small notes are left out.
    """
    notes: list[list[float | int | None]] = []
    at = Fraction(0)
    held: dict[Pitch, list[float | int | None]] = {}
    for note in exercise.notes:
        if note.is_small:
            continue
        tied = {}
        for tone in note.tones:
            sound = held.get(tone.pitch)
            if sound is None:
                sound = [float(at), 0.0, round(tone.pitch.midi), tone.string]
                notes.append(sound)
            sound[1] = (sound[1] or 0) + float(note.beats)
            if note.tied:
                tied[tone.pitch] = sound
        held = tied
        at += note.beats
    drone = int(notes[-1][2] or 0) if notes else 0
    while drone > _HIGHEST_DRONE:
        drone -= _OCTAVE
    whole = {"tempo": exercise.tempo, "beat": float(exercise.beat), "length": float(at), "drone": drone, "notes": notes}
    return json.dumps(whole, separators=(",", ":"))


__all__ = ["sounds_of"]
