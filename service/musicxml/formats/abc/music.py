"""What an ABC tune sounds: its voices as bars of notes, each with the offset at which it stands in the file.

How they are read stands in `reader.py`, how they become MusicXML in `score.py`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from .fields import Clef, KeySignature, Metre, Tempo


@dataclass(slots=True)
class Head:
    """One note head: pitch, fingering as printed, and the offset before its accidental."""

    at: int
    step: str
    octave: int
    alter: int
    fingers: list[str] = field(default_factory=list)
    tied: bool = False
    tie_ends: bool = False

    @property
    def pitch(self) -> tuple[str, int, int]:
        """Step, octave and alteration."""
        return self.step, self.octave, self.alter


@dataclass(slots=True)
class Sound:
    """A note, a chord or (without heads) a rest.

    Attributes:
        at: offset before the whole of it, grace notes included; words stand there.
        beats: how long it sounds, in quarter notes; of a grace note, how it is written.
        ratio: of a tuplet, notes and the notes that they replace.
        words: annotations, `marks` decorations by their names.
        joined: the next one follows without a blank, so that they share a beam.
        hidden: a rest that is not printed.
    """

    at: int
    heads: list[Head]
    beats: Fraction = Fraction(0)
    ratio: tuple[int, int] | None = None
    grace: bool = False
    words: list[str] = field(default_factory=list)
    marks: list[str] = field(default_factory=list)
    slurs_begin: int = 0
    slurs_end: int = 0
    tuplet_begins: bool = False
    tuplet_ends: bool = False
    joined: bool = False
    hidden: bool = False


@dataclass(slots=True)
class Bar:
    """One bar: its layers (the first one, and overlays), what changes at its beginning, and its bar lines."""

    layers: list[list[Sound]] = field(default_factory=lambda: [[]])
    key: KeySignature | None = None
    metre: Metre | None = None
    clef: Clef | None = None
    tempo: Tempo | None = None
    repeat_begins: bool = False
    repeat_ends: bool = False
    style: str = ""
    ending: str = ""
    ending_stops: bool = False
    rests_whole: bool = False

    @property
    def beats(self) -> Fraction:
        """How long the bar is, in quarter notes."""
        return max((_length(layer) for layer in self.layers), default=Fraction(0))

    @property
    def is_empty(self) -> bool:
        """Whether nothing has been written in it yet."""
        return not any(self.layers)


def _length(layer: list[Sound]) -> Fraction:
    return sum((sound.beats for sound in layer if not sound.grace), Fraction(0))


@dataclass(slots=True)
class Voice:
    """One voice: the letter or number it goes by, its names, and its bars."""

    id: str
    name: str = ""
    short: str = ""
    bars: list[Bar] = field(default_factory=list)

    @property
    def sounds(self) -> Iterator[Sound]:
        """Its sounds, bar by bar and layer by layer."""
        return (sound for bar in self.bars for layer in bar.layers for sound in layer)
