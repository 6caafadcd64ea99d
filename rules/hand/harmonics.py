"""Natural harmonics: where a string is touched, and what sounds there.

A string that is touched where it divides into n equal parts sounds its n-th partial (acoustics, any handbook). Partials
are just intervals, rounded here to equal temperament.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..music.instrument import Instrument, Pitch

PARTIALS = {2: 12, 3: 19, 4: 24, 5: 28, 6: 31, 8: 36}
"""Semitones above the open string at which each partial sounds."""
NODES = {12: 2, 7: 3, 19: 3, 5: 4, 24: 4, 4: 5, 9: 5, 16: 5, 28: 5, 3: 6, 31: 6}
"""Semitones above the open string at which the string is touched, and the partial that sounds there."""


_LETTERS = {3: 2, 4: 2, 5: 3, 7: 4, 9: 5, 12: 7, 16: 9, 19: 11, 24: 14, 28: 16, 31: 18, 36: 21}
"""Letter names above the open string at which a finger looks for each place."""


@dataclass(frozen=True, slots=True)
class Touch:
    """A place at which a string is touched: semitones and letter names above the open string, and what sounds."""

    string: int
    semitones: int
    letters: int
    partial: int

    @property
    def fingers(self) -> frozenset[int]:
        """The usual fingers (common practice): at the octave the fourth, near the nut those that lie there."""
        if self.semitones == PARTIALS[2]:
            return frozenset({4})
        return frozenset({3, 4}) if self.semitones >= 5 else frozenset({2, 3})

    def pitch(self, instrument: Instrument) -> Pitch:
        """Return the pitch that would sound if the string were stopped there."""
        return instrument.open_pitch(self.string).transposed(self.letters, self.semitones)


def touches(pitch: Pitch, instrument: Instrument) -> tuple[Touch, ...]:
    """Return every place at which a written natural harmonic can be touched, read as in `node_strings`.

    A note that is written as it sounds may be touched at any node of its partial, a place to touch only there.
    """
    places = {string: pitch.midi - instrument.open_pitch(string).midi for string in instrument.string_numbers}
    sounding = [(string, n) for string, place in places.items() for n, above in PARTIALS.items() if above == place]
    found = []
    for string, partial in sounding:
        nodes = {node for node, number in NODES.items() if number == partial} | {PARTIALS[partial]}
        found += [Touch(string, node, _LETTERS[node], partial) for node in sorted(nodes)]
    if not found:
        for string, place in places.items():
            if place in NODES:
                letters = pitch.letter - instrument.open_pitch(string).letter
                found.append(Touch(string, int(place), letters, NODES[int(place)]))
    return tuple(found)


def node_strings(pitch: Pitch, instrument: Instrument) -> frozenset[int]:
    """Return the strings on which a written natural harmonic has a node at its own place.

    Where the touched place also sounds (octave, twelfth, double octave …) that is what is written; only where no
    string has such a place is the note taken as the place to touch. Empty if no string has a node there.
    """
    places = {string: pitch.midi - instrument.open_pitch(string).midi for string in instrument.string_numbers}
    sounding = frozenset(string for string, place in places.items() if place in PARTIALS.values())
    return sounding or frozenset(string for string, place in places.items() if place in NODES)


__all__ = ["NODES", "PARTIALS", "Touch", "node_strings", "touches"]
