"""Natural harmonics: where a string is touched, and what sounds there.

Source: acoustics, any handbook: touched where it divides into equal parts, a string sounds the partial of that
number. The partials are just intervals, rounded here to equal temperament.
"""

from __future__ import annotations

from .instrument import Instrument, Pitch

PARTIALS = {2: 12, 3: 19, 4: 24, 5: 28, 6: 31, 8: 36}
"""Semitones above the open string at which each partial sounds."""
NODES = {12: 2, 7: 3, 19: 3, 5: 4, 24: 4, 4: 5, 9: 5, 16: 5, 28: 5, 3: 6, 31: 6}
"""Semitones above the open string at which the string is touched, and the partial that sounds there."""


def node_strings(pitch: Pitch, instrument: Instrument) -> frozenset[int]:
    """Return the strings on which a written natural harmonic has a node at its own place.

    Where the touched place also sounds (octave, twelfth, double octave …) that is what is written; only where no
    string has such a place is the note taken as the place to touch. Empty if no string has a node there.
    """
    places = {string: pitch.midi - instrument.open_pitch(string).midi for string in instrument.string_numbers}
    sounding = frozenset(string for string, place in places.items() if place in PARTIALS.values())
    return sounding or frozenset(string for string, place in places.items() if place in NODES)


__all__ = ["NODES", "PARTIALS", "node_strings"]
