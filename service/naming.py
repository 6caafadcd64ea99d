"""Words for positions, strings, fingers, pitches and beats: those printed into scores, and those of our sentences."""

from __future__ import annotations

from enum import StrEnum
from fractions import Fraction
from functools import cache

from rules import HIGHEST_POSITION, INSTRUMENTS, Instrument, Pitch


class Language(StrEnum):
    """Language of the words that are printed into a score, and of the sentences as far as they are translated."""

    BRITISH = "en-GB"
    AMERICAN = "en-US"
    GERMAN = "de"
    FRENCH = "fr"
    ITALIAN = "it"


class StringMarks(StrEnum):
    """How a string is printed: as the element of the format, in words (a Roman numeral above the staff), or both."""

    ELEMENTS = "elements"
    WORDS = "words"
    BOTH = "both"


_HALF_POSITION = {Language.GERMAN: "halbe Lage", Language.FRENCH: "demi pos.", Language.ITALIAN: "mezza pos."}


def position_word(position: int, language: Language) -> str:
    """Return the words that name a position, as editions print them; position 0 is half position."""
    if position == 0:
        return _HALF_POSITION.get(language, "half pos.")
    if language in (Language.BRITISH, Language.AMERICAN):
        return f"{ordinal(position)} pos."
    if language is Language.GERMAN:
        return f"{position}. Lage"
    if language is Language.FRENCH:
        return f"{position}re pos." if position == 1 else f"{position}e pos."
    return f"{position}a pos."


def ordinal(number: int) -> str:
    """Return the ordinal in figures: 1st, 2nd, 3rd, 4th and so on."""
    ending = "th" if 10 <= number % 100 <= 20 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"


def string_word(string: int, instrument: Instrument) -> str:
    """Return the words that ask for a string, "sul D"; Italian in every language."""
    return f"sul {instrument.string_name(string)}"


def string_numeral(string: int) -> str:
    """Return the Roman numeral of a string, which asks for it on one note; I is the highest."""
    return ("I", "II", "III", "IV")[string - 1]


def is_own_word(text: str | None) -> bool:
    """Whether a text is one of those that name a position or a string, in any of the languages, and nothing else."""
    return " ".join((text or "").split()).casefold() in _own_words()


@cache
def _own_words() -> frozenset[str]:
    positions = {position_word(number, language) for number in range(HIGHEST_POSITION + 1) for language in Language}
    strings = {
        string_word(number, instrument) for instrument in INSTRUMENTS.values() for number in instrument.string_numbers
    }
    numerals = {string_numeral(number) for number in range(1, 5)}
    return frozenset(word.casefold() for word in positions | strings | numerals)


def pitch_name(pitch: Pitch) -> str:
    """Return a pitch as printed to players: B♭4, F♯5."""
    return accidentals(pitch.name)


def accidentals(name: str) -> str:
    """Return the name of a note with printed accidentals: B♭ for Bb."""
    return name.replace("##", "𝄪").replace("#", "♯").replace("bb", "𝄫").replace("b", "♭")


def beat_text(beat: Fraction) -> str:
    """Return a beat as "3", or with its fraction, "2 1/2"."""
    whole, rest = divmod(beat, 1)
    return str(whole) if not rest else f"{whole} {rest}"
