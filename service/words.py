"""Words of position marks and strings in the languages of printed parts."""

from __future__ import annotations

from enum import StrEnum
from functools import cache

from rules import HIGHEST_POSITION, INSTRUMENTS, Instrument


class Language(StrEnum):
    """Language of the words that are printed into a score."""

    ENGLISH = "en"
    GERMAN = "de"
    FRENCH = "fr"
    ITALIAN = "it"


def position_word(position: int, language: Language) -> str:
    """Return the words that name a position, as editions print them; position 0 is half position."""
    if position == 0:
        return {"en": "half pos.", "de": "halbe Lage", "fr": "demi pos.", "it": "mezza pos."}[language]
    if language is Language.ENGLISH:
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


def is_own_word(text: str | None) -> bool:
    """Whether a text is one of those that name a position or a string, in any of the languages, and nothing else."""
    return " ".join((text or "").split()).casefold() in _own_words()


@cache
def _own_words() -> frozenset[str]:
    positions = {position_word(number, language) for number in range(HIGHEST_POSITION + 1) for language in Language}
    strings = {
        string_word(number, instrument) for instrument in INSTRUMENTS.values() for number in instrument.string_numbers
    }
    return frozenset(word.casefold() for word in positions | strings)
