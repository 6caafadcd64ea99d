"""Words for positions, strings, fingers, pitches and beats: those printed into scores, and those of our sentences."""

from __future__ import annotations

import re
from enum import StrEnum
from fractions import Fraction
from functools import cache, lru_cache

from rules import HIGHEST_POSITION, INSTRUMENTS, Instrument, Key, Pitch

from .language import Language as Language

_SPELLED = re.compile(r"^([A-G](?:##?|bb?|\([+-]\d+\))?)-?\d+")


class StringMarks(StrEnum):
    """How a string is printed: as the element of the format, in words (a Roman numeral above the staff), or both."""

    ELEMENTS = "elements"
    WORDS = "words"
    BOTH = "both"


_HALF_POSITION = {
    Language.GERMAN: "halbe Lage",
    Language.FRENCH: "demi pos.",
    Language.ITALIAN: "mezza pos.",
    Language.SPANISH: "media pos.",
}


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
    return f"{position}ª pos." if language is Language.SPANISH else f"{position}a pos."


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


def accidentals(name: str) -> str:
    """Return the name of a note with printed accidentals: B♭ for Bb."""
    return name.replace("##", "𝄪").replace("#", "♯").replace("bb", "𝄫").replace("b", "♭")


_SYLLABLES = {
    Language.FRENCH: dict(zip("CDEFGAB", ("do", "ré", "mi", "fa", "sol", "la", "si"), strict=True)),
    Language.ITALIAN: dict(zip("CDEFGAB", ("do", "re", "mi", "fa", "sol", "la", "si"), strict=True)),
    Language.SPANISH: dict(zip("CDEFGAB", ("do", "re", "mi", "fa", "sol", "la", "si"), strict=True)),
}
_FLAT_WORDS = {Language.FRENCH: "bémol", Language.ITALIAN: "bemolle", Language.SPANISH: "bemol"}
_SHARP_WORDS = {Language.FRENCH: "dièse", Language.ITALIAN: "diesis", Language.SPANISH: "sostenido"}
_MODES = {
    Language.FRENCH: ("majeur", "mineur"),
    Language.ITALIAN: ("maggiore", "minore"),
    Language.SPANISH: ("mayor", "menor"),
}
_OCTAVE_MARKS = {1: "¹", 2: "²", 3: "³", 4: "⁴", 5: "⁵", 6: "⁶"}


@lru_cache(maxsize=4096)
def note_word(pitch: Pitch, language: Language) -> str:
    """Return the name of a note without its octave, as its language has it: "B♭", "B" in German, "si♭" in French.

    German: H and B, and syllables for sharps and flats (Duden; DIN 1311 has no names). The others sing their notes
    (solfège, from memory of their method books).
    """
    if language.is_english:
        return accidentals(_SPELLED.sub(r"\1", pitch.name))
    if language is Language.GERMAN:
        return _german(pitch)
    name = _SPELLED.sub(r"\1", pitch.name)
    return _SYLLABLES[language][name[0]] + accidentals(name[1:])


def _german(pitch: Pitch) -> str:
    """C, Cis, Des; H and B; a quarter tone with its deviation in cents, as Pitch.name has it."""
    letter, flats = pitch.step, -int(pitch.alter) if pitch.alter < 0 else 0
    if pitch.alter not in (-2, -1, 0, 1, 2):
        return accidentals(_SPELLED.sub(r"\1", pitch.name)).replace("B", "H")
    if letter == "B":
        return ("H", "B", "Heses")[flats] if pitch.alter <= 0 else "H" + "is" * int(pitch.alter)
    if pitch.alter >= 0:
        return letter + "is" * int(pitch.alter)
    return letter + "s" + "es" * (flats - 1) if letter in "AE" else letter + "es" * flats


def octave_word(pitch: Pitch, language: Language) -> str:
    """Return the name of a note with its octave, as its language counts octaves (from memory).

    German: c¹ is middle C, h above it, and the octave below has small letters without a number. French and Italian
    number middle C as 3; Spanish has the number of MusicXML, 4.
    """
    word = note_word(pitch, language)
    if language is Language.GERMAN:
        small = word.lower() + _OCTAVE_MARKS.get(pitch.octave - 3, "")
        return small if pitch.octave >= 3 else word if pitch.octave == 2 else f"{word}{pitch.octave - 2}"
    lowered = 1 if language in (Language.FRENCH, Language.ITALIAN) else 0
    return f"{word}{pitch.octave - lowered}" if not language.is_english else accidentals(pitch.name)


def key_word(key: Key, language: Language) -> str:
    """Return the name of a key: "B flat major", "B-Dur", "si bémol majeur"."""
    if language.is_english:
        return key.name
    tonic = Pitch.named(f"{key.tonic}4")
    if language is Language.GERMAN:
        word = _german(tonic)
        return f"{word.lower()}-Moll" if key.minor else f"{word}-Dur"
    word = _SYLLABLES[language][tonic.step]
    if tonic.alter:
        word += f" {(_SHARP_WORDS if tonic.alter > 0 else _FLAT_WORDS)[language]}"
    return f"{word} {_MODES[language][key.minor]}"


@lru_cache(maxsize=1024)
def beat_text(beat: Fraction) -> str:
    """Return a beat as "3", or with its fraction, "2 1/2"."""
    whole, rest = divmod(beat, 1)
    return str(whole) if not rest else f"{whole} {rest}"
