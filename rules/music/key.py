"""Keys: their signatures, names and the pitches they give to letters."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ..text import Name
from .instrument import LETTERS, Pitch

_CIRCLE = "FCGDAEB"
"""Letters in the order in which signatures sharpen them; flats come in the opposite order."""
_SIGNATURES = range(-7, 8)


def in_key(letter: int, fifths: int) -> Pitch:
    """Return the pitch on a letter as the key signature (sharps above 0, flats below) has it.

    Signatures beyond seven sharps or flats alter letters twice, as MusicXML allows.
    """
    place = _CIRCLE.index(Pitch(letter).step)
    return Pitch(letter, (fifths - place + 6) // 7)


def above_open(open_pitch: Pitch, letters: int, fifths: int) -> Pitch:
    """Return the note so many letters above an open string as the key signature has it, for a finger to stop.

    In half position this letter of the key may be the open string itself: then it is the half step above.
    """
    pitch = in_key(open_pitch.letter + letters, fifths)
    return pitch if pitch.midi > open_pitch.midi else replace(pitch, alter=open_pitch.alter + 1)


@dataclass(frozen=True, slots=True)
class Key:
    """A key: sharps (positive) or flats of its signature, and whether it is minor."""

    fifths: int
    minor: bool = False

    @property
    def tonic(self) -> str:
        """The name of the tonic, for example `Bb`."""
        step = _CIRCLE[(self.fifths + (4 if self.minor else 1)) % 7]
        return in_key(LETTERS.index(step), self.fifths).name.rstrip("-0123456789")

    @property
    def name(self) -> Name:
        """The name in words, for example `B flat major`. Some programs read the signs # and b as commands."""
        accidental = "".join({"#": " sharp", "b": " flat"}[sign] for sign in self.tonic[1:])
        return Name.for_thing(f"{self.tonic[0]}{accidental} {'minor' if self.minor else 'major'}", self)

    @classmethod
    def named(cls, text: str) -> Key:
        """Return the key called `D`, `Bb`, `F#m` or `d` (a small letter or an m is minor).

        Raises:
            ValueError: if there is no such key signature.
        """
        minor = text.endswith("m") or text[:1].islower()
        tonic = text.removesuffix("m")
        tonic = tonic[:1].upper() + tonic[1:]
        for fifths in _SIGNATURES:
            if cls(fifths, minor).tonic == tonic:
                return cls(fifths, minor)
        raise ValueError(f"{text!r} is not a key: write for example D, Bb, F#m or Am")

    def pitch(self, letter: int) -> Pitch:
        """Return the pitch on a letter as the key signature has it."""
        return in_key(letter, self.fifths)

    def degree(self, letter: int) -> int:
        """Return the degree of the scale on a letter, 1 the tonic."""
        return (letter - LETTERS.index(self.tonic[0])) % 7 + 1

    def contains(self, pitch: Pitch) -> bool:
        """Return True if the pitch belongs to the signature."""
        return self.pitch(pitch.letter) == pitch
