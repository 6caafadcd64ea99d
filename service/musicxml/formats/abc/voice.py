"""One voice of an ABC tune while it is read: what is in force in it, and what waits for its next note."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from .fields import Clef, KeySignature, Metre
from .music import Bar, Sound, Voice


@dataclass
class VoiceState:
    """What is in force in one voice, and what waits for its next note."""

    voice: Voice
    key: KeySignature
    metre: Metre
    unit: Fraction
    clef: Clef
    octaves: int
    bar: Bar = field(default_factory=Bar)
    layer: int = 0
    shown: dict[tuple[str, int | None], int] = field(default_factory=dict)
    tied: dict[tuple[str, int], int] = field(default_factory=dict)
    words: list[str] = field(default_factory=list)
    marks: list[str] = field(default_factory=list)
    slurs: int = 0
    at: int | None = None
    tuplet: tuple[int, int, int] | None = None
    tuplet_fresh: bool = False
    broken: Fraction | None = None
    chord: Sound | None = None
    grace: bool = False
    last: Sound | None = None
    ending_open: bool = False
    begun: bool = False
