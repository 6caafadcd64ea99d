"""Keys: their signatures, names and the pitches they give to letters."""

from __future__ import annotations

from dataclasses import dataclass

from .instrument import LETTERS, Pitch


def in_key(letter: int, fifths: int) -> Pitch:
    """Return the pitch on a letter as the key signature (sharps above 0, flats below) has it."""
    order = "FCGDAEB"
    plain = Pitch(letter)
    if fifths > 0 and plain.step in order[:fifths]:
        return Pitch(letter, 1)
    if fifths < 0 and plain.step in order[fifths:]:
        return Pitch(letter, -1)
    return plain


_MAJOR_TONICS = {-7: "Cb", -6: "Gb", -5: "Db", -4: "Ab", -3: "Eb", -2: "Bb", -1: "F", 0: "C",
                 1: "G", 2: "D", 3: "A", 4: "E", 5: "B", 6: "F#", 7: "C#"}  # fmt: skip


_MINOR_TONICS = {fifths: _MAJOR_TONICS[fifths + 3] for fifths in range(-7, 5)} | {5: "G#", 6: "D#", 7: "A#"}


@dataclass(frozen=True, slots=True)
class Key:
    """A key: sharps (positive) or flats of its signature, and whether it is minor."""

    fifths: int
    minor: bool = False

    @property
    def tonic(self) -> str:
        """The name of the tonic, for example `Bb`."""
        return (_MINOR_TONICS if self.minor else _MAJOR_TONICS)[self.fifths]

    @property
    def name(self) -> str:
        """The name in words, for example `B flat major`; without signs, which some programs take for commands."""
        accidental = {"#": " sharp", "b": " flat"}.get(self.tonic[1:], "")
        return f"{self.tonic[0]}{accidental} {'minor' if self.minor else 'major'}"

    @classmethod
    def named(cls, text: str) -> Key:
        """Return the key called `D`, `Bb`, `F#m` or `d` (a small letter or an m is minor).

        Raises:
            ValueError: if there is no such key signature.
        """
        minor = text.endswith("m") or text[:1].islower()
        tonic = text.removesuffix("m")
        tonic = tonic[:1].upper() + tonic[1:]
        table = _MINOR_TONICS if minor else _MAJOR_TONICS
        for fifths, name in table.items():
            if name == tonic:
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
