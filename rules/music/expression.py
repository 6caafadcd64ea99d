"""What a part prints for the bow and the sound, which binds no finger: shown again where its bars are printed again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from fractions import Fraction


class Sign(StrEnum):
    """A sign at one note."""

    STACCATO = "staccato"
    STACCATISSIMO = "staccatissimo"
    SPICCATO = "spiccato"
    TENUTO = "tenuto"
    PORTATO = "portato"
    ACCENT = "accent"
    STRONG_ACCENT = "strong accent"
    TRILL = "trill"
    TURN = "turn"
    INVERTED_TURN = "inverted turn"
    MORDENT = "mordent"
    INVERTED_MORDENT = "inverted mordent"
    TREMOLO_1 = "tremolo, one stroke"
    TREMOLO_2 = "tremolo, two strokes"
    TREMOLO_3 = "tremolo, three strokes"
    FERMATA = "fermata"
    UP_BOW = "up bow"
    DOWN_BOW = "down bow"


class Hairpin(StrEnum):
    """A sound that grows or fades, drawn as two lines."""

    CRESCENDO = "crescendo"
    DIMINUENDO = "diminuendo"


_IN_FORCE_AFTER = {"fp": "p", "sfp": "p", "sfpp": "pp", "pf": "f"}
SFORZATI = frozenset({"sf", "sfz", "sffz", "fz", "rf", "rfz"})
"""Letters that are for one note and leave what was in force."""


@dataclass(frozen=True, slots=True)
class Expression:
    """Signs by note id; letters such as "p" with their places; hairpins with first and last place.

    Places are in quarter notes from the start of the part, in order of time.
    """

    signs: Mapping[str, tuple[Sign, ...]] = field(default_factory=dict)
    dynamics: tuple[tuple[Fraction, str], ...] = ()
    hairpins: tuple[tuple[Hairpin, Fraction, Fraction], ...] = ()

    def between(self, start: Fraction, end: Fraction) -> Expression:
        """Return what stands between two places, counted from the first; the loudness in force stands at it."""
        inside = tuple((place - start, letters) for place, letters in self.dynamics if start <= place < end)
        before = [letters for place, letters in self.dynamics if place < start and letters not in SFORZATI]
        if before and not any(place == 0 and letters not in SFORZATI for place, letters in inside):
            inside = ((Fraction(0), _IN_FORCE_AFTER.get(before[-1], before[-1])), *inside)
        hairpins = tuple(
            (kind, max(first, start) - start, min(last, end) - start)
            for kind, first, last in self.hairpins
            if first < end and last > start
        )
        return replace(self, dynamics=inside, hairpins=hairpins)


NO_EXPRESSION = Expression()

__all__ = ["NO_EXPRESSION", "SFORZATI", "Expression", "Hairpin", "Sign"]
