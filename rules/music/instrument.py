"""Pitches and the instruments that sound them."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Self

from ..text import Name

LETTERS = "CDEFGAB"
_SEMITONES = (0, 2, 4, 5, 7, 9, 11)
_ACCIDENTALS = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}
_NAME = re.compile(r"([A-Ga-g])(#*b*|\(([+-]\d+)\))(-?\d+)([+-]\d+)?", re.ASCII)
"""Letter, accidentals (or how many, in brackets), octave, and the cents of a quarter tone."""


_SIGNS: dict[float, str] = {1: "♯", -1: "♭", 2: "𝄪", -2: "𝄫"}
"""Accidentals as they are printed."""


@dataclass(frozen=True, order=True)
class Pitch:
    """A sounding pitch, spelled: `letter` counts letter names up from C0 (C4 = 28), `alter` is in semitones."""

    letter: int
    alter: float = 0

    def __hash__(self) -> int:
        return self._hash

    @cached_property
    def _hash(self) -> int:
        """Found once: what is remembered by note has the pitch in its key."""
        return hash((self.letter, self.alter))

    @classmethod
    def named(cls, name: str) -> Self:
        """Return the pitch called `name` as `Pitch.name` writes it, for example `Bb4`, `F#5` or `F5+50`.

        Raises:
            ValueError: if the name is not a letter, accidentals and an octave.
        """
        found = _NAME.fullmatch(name)
        if found is None:
            raise ValueError(f"{name!r} is not a pitch: write a letter, # or b, and an octave, for example F#5")
        step, accidentals, many, octave, cents = found.groups()
        alter = int(many) if many else accidentals.count("#") - accidentals.count("b")
        return cls(LETTERS.index(step.upper()) + 7 * int(octave), alter + int(cents) / 100 if cents else alter)

    @cached_property
    def midi(self) -> float:
        """The MIDI key number (A4 = 69); not whole for quarter tones."""
        return 12 * (self.letter // 7 + 1) + _SEMITONES[self.letter % 7] + self.alter

    @property
    def octave(self) -> int:
        """The octave number as in C4, middle C."""
        return self.letter // 7

    @property
    def step(self) -> str:
        """The letter name without accidental."""
        return LETTERS[self.letter % 7]

    @property
    def letter_name(self) -> Name:
        """The name without the octave, for example `F♯`; of a quarter tone that of its letter."""
        return Name.for_thing(self.step + _SIGNS.get(self.alter, ""), self)

    @cached_property
    def name(self) -> str:
        """The name in plain text, for example `F#5`; a quarter tone is shown as `+50` cents."""
        whole = int(self.alter // 1) if self.alter in _ACCIDENTALS else round(self.alter)
        cents = "" if whole == self.alter else f"{(self.alter - whole) * 100:+.0f}"
        return f"{self.step}{_ACCIDENTALS.get(whole, f'({whole:+d})')}{self.octave}{cents}"

    def frequency(self, a4: float = 440.0) -> float:
        """Return the frequency in Hz, equal temperament (ISO 16: A4 = 440 Hz)."""
        return float(a4 * 2 ** ((self.midi - 69) / 12))

    def transposed(self, letters: int, semitones: float) -> Pitch:
        """Return this pitch moved by letter names and semitones (both may be negative)."""
        plain = Pitch(self.letter + letters)
        return replace(plain, alter=self.midi + semitones - plain.midi)


@dataclass(frozen=True)
class Instrument:
    """A bowed instrument of the violin family, as its open strings from the highest (string 1) down."""

    name: str
    open_strings: tuple[Pitch, ...]

    def __hash__(self) -> int:
        return self._hash

    @cached_property
    def _hash(self) -> int:
        """Found once: what is remembered by note has the instrument in its key."""
        return hash((self.name, self.open_strings))

    @property
    def lowest(self) -> Pitch:
        """The lowest pitch that sounds: the lowest open string."""
        return min(self.open_strings, key=lambda pitch: pitch.midi)

    @property
    def string_numbers(self) -> range:
        """String numbers, 1 being the highest string."""
        return range(1, len(self.open_strings) + 1)

    def open_pitch(self, string: int) -> Pitch:
        """Return the pitch of the open string number `string` (1 is the highest).

        Raises:
            IndexError: if the instrument has no such string.
        """
        if string not in self.string_numbers:
            raise IndexError(f"{self.name} has strings 1 to {len(self.open_strings)}, not {string}")
        return self.open_strings[string - 1]

    def string_name(self, string: int) -> Name:
        """Return the letter name of a string, as in "sul G"."""
        pitch = self.open_pitch(string)
        return Name.for_thing(pitch.name.rstrip("-0123456789"), pitch)

    def tuned(self, open_strings: tuple[Pitch, ...]) -> Instrument:
        """Return this instrument in another tuning (scordatura), strings from the highest down."""
        return replace(self, open_strings=open_strings)


VIOLIN = Instrument("violin", tuple(map(Pitch.named, ("E5", "A4", "D4", "G3"))))
VIOLA = Instrument("viola", tuple(map(Pitch.named, ("A4", "D4", "G3", "C3"))))
INSTRUMENTS = {instrument.name: instrument for instrument in (VIOLIN, VIOLA)}
