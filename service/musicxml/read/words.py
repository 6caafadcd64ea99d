"""Reads words for the left hand: a string, a position, restez, left-hand pizzicato, and their ends.

A Roman numeral alone is a string ("IV"), with a word for position beside it a position ("III. Lage", "pos. III").
"""

from __future__ import annotations

import re
from difflib import get_close_matches
from functools import lru_cache
from typing import NamedTuple

from rules import HIGHEST_POSITION, Instrument

_ORDINALS = {
    0: "half|halbe[rn]?|demi|mezza|media|½|1/2",
    1: "first|erste[rn]?|premi[eè]re|prima|primera",
    2: "second|zweite[rn]?|deuxi[eè]me|seconde|seconda|segunda",
    3: "third|dritte[rn]?|troisi[eè]me|terza|tercera",
    4: "fourth|vierte[rn]?|quatri[eè]me|quarta|cuarta",
    5: "fifth|fünfte[rn]?|cinqui[eè]me|quinta",
    6: "sixth|sechste[rn]?|sixi[eè]me|sesta|sexta",
    7: "seventh|siebte[rn]?|siebente[rn]?|septi[eè]me|settima|s[eé]ptima",
    8: "eighth|achte[rn]?|huiti[eè]me|ottava|octava",
    9: "ninth|neunte[rn]?|neuvi[eè]me|nona|novena",
    10: "tenth|zehnte[rn]?|dixi[eè]me|d[eé]cima",
}
_ROMAN = ("I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI", "XII")
_SYLLABLES = {"sol": "G", "ré": "D", "re": "D", "la": "A", "mi": "E", "do": "C", "ut": "C"}

_SUFFIX = r"\.?\s*(?:st|nd|rd|th|ème|eme|ère|ere|re|er|e|me|a|ª|ᵃ|º|°)?\.?"
_NUMBER = (
    r"(?:(?P<digit{0}>\d{{1,2}})(?!/)|(?P<roman{0}>\b[IVX]{{1,4}}(?![IVX]))|"
    + "|".join(rf"(?P<ordinal{{0}}_{number}>(?<!\w)(?:{words})(?!\w))" for number, words in _ORDINALS.items())
    + ")"
)
_POSITION_WORD = r"(?:pos\.|pos\b|position|posizione|posiz\.|posici[oó]n|lage)"
_POSITION = re.compile(
    _NUMBER.format("")
    + _SUFFIX
    + r"[\s-]*"
    + _POSITION_WORD
    + r"(?!\w)|(?<!\w)"
    + _POSITION_WORD
    + r"\s*"
    + _NUMBER.format("_after"),
    re.IGNORECASE,
)
_ROMAN_STRING = r"(?P<roman{0}>IV|III|II|I)(?![IVX\w])"
_NAME = r"(?P<name{0}>sol|ré|re|la|mi|do|ut|[GDAEC])(?!\w)"
_NUMBERED_STRING = re.compile(
    rf"(?<!\w)(?:(?P<digit>[1-4])|(?P<roman>IV|III|II|I)){_SUFFIX}\s*(?:corde|corda|saite|string|cuerda)(?!\w)",
    re.IGNORECASE,
)
_STRING = re.compile(
    r"(?<!\w)(?:sul(?:la(?!\s+(?:tast|touch|cord|spalla))|l['’])?|auf der|sur la|sur)\s*(?:"
    rf"{_ROMAN_STRING.format('_sul')}|{_NAME.format('_sul')})(?!\s+(?:touche|tast|table|cord))"
    # In English the letter has to be a capital and to end the phrase: "on a bright day" asks for no string.
    r"|(?<!\w)on\s+(?:the\s+)?(?-i:(?P<name_on>[GDAEC])|(?P<roman_on>IV|III|II|I))(?=\s*(?:-?\s*string|str\.|$|[.,;)]))"
    r"|(?<!\w)(?P<name_before>[GDAEC])(?:\s*-\s*|\s+)(?:saite|string|str\.)"
    rf"|(?<!\w)(?:corde de|corda di|cuerda de)\s*{_NAME.format('_corde')}",
    re.IGNORECASE,
)
_ROMAN_ALONE = re.compile(r"^[(\[]?\s*(IV|III|II|I)\s*[.)\]]*(?:\s*[-–—_.…]+)?$")
_NUMERAL = re.compile(r"^[(\[]?\s*(?:IV|III|II|I)\s*[.)\]]*$")
_NUMERAL_OF_NO_STRING = re.compile(r"^[(\[]?\s*(?:V|VI|VII|VIII|IX)\s*[.)\]]*$")
_RESTEZ = re.compile(
    r"(?<!\w)(?:restez|rester|restare|resta in pos\w*|stay in pos\w*|(?:in der )?lage (?:halten|bleiben)"
    r"|bleibt? in (?:der )?lage|liegen ?bleiben)(?!\w)",
    re.IGNORECASE,
)
_RELEASE = re.compile(
    r"^\W*(?:ord\b|ordin\w*|loco|nat\b|naturale?|modo ord\w*|senza sul\w*|gewöhnlich|end\b|fine sul\w*)", re.IGNORECASE
)
_LEFT_HAND = r"m\.?\s*s\b|mano sinistra|l\.?\s*h\b|linke\w* hand|main gauche|m\.?\s*g\b"
_LEFT_PIZZICATO = re.compile(
    rf"^\s*\+\s*$|pizz\w*\.?\s*(?:con la |mit (?:der )?|m\.? |de la |avec la )?(?:{_LEFT_HAND})"
    r"|left[- ]hand pizz|l\.?\s*h\.?\s*pizz",
    re.IGNORECASE,
)


_NEAR_POSITION = r"(?:pos\.?|positions?|posiz\w*|lage|position\w*)"
_ANY_NUMBER = r"(?:\d+|[IVX]+)"
_LOOKS_LIKE_A_MARK = re.compile(
    # a number of a position that does not exist, or the word alone
    rf"^\W*{_ANY_NUMBER}{_SUFFIX}[\s-]*{_NEAR_POSITION}\W*$|^\W*{_NEAR_POSITION}\s*{_ANY_NUMBER}?\W*$"
    # a string that the instrument does not have
    r"|^\W*(?:sul|sull['’]|auf der|sur la(?: corde de)?|corde de|corda di)\s*"
    r"(?:[A-HIVX]{1,4}|sol|ré|re|la|mi|si|fa|do|ut)\b"
    r"(?:\W*(?:saite|string|corde|corda))?\W*$"
    rf"|^\W*{_ANY_NUMBER}{_SUFFIX}\s*(?:corde|corda|saite|string|cuerda)\W*$"
    r"|^\W*[A-H]\s*[- ]\s*(?:saite|string|str\.)\W*$"
    r"|^\W*\d+(?:st|nd|rd|th)\s+p\.?\W*$"
    # a finger set as words, a numeral that nobody writes
    r"|^\W*[0-9]\W*$|^\W*(?:IIII|IIV|VIV|IVI)\W*$",
    re.IGNORECASE,
)
_MARKED_UP = re.compile(
    rf"^\W*(?:{_ANY_NUMBER}{_SUFFIX}[\s-]*(?P<place>[^\W\d]{{3,9}})|(?P<string>[^\W\d]{{2,5}})\s+[GDAEC])\W*$"
)
_PLACE_WORDS, _STRING_WORDS = ("pos", "position", "posizione", "lage"), ("sul", "corda", "corde", "saite")
_ALIKE = (0.66, 0.74)
"""How alike a word of three letters, or a longer one, has to be to one that we know: one letter is wrong."""


def looks_like_a_mark(text: str) -> bool:
    """Return whether words look like a string, a position or a finger: meant as such, or nearly spelled so."""
    if _LOOKS_LIKE_A_MARK.match(text):
        return True
    if not _RESTEZ.search(text) and get_close_matches(text.strip(" .!()").lower(), ("restez",), n=1, cutoff=0.8):
        return True
    found = _MARKED_UP.match(text)
    if not found:
        return False
    word, known = (found["place"], _PLACE_WORDS) if found["place"] else (found["string"], _STRING_WORDS)
    return bool(get_close_matches(word.lower(), known, n=1, cutoff=_ALIKE[len(word) > 3]))


def is_numeral_of_no_string(text: str) -> bool:
    """Return whether words are a Roman numeral alone that is too high for a string, as VI for IV."""
    return bool(_NUMERAL_OF_NO_STRING.match(text))


class Meaning(NamedTuple):
    """What words ask of the left hand. `release` ends a string prescribed before.

    `unread`: the words look like a string, a position or a finger, and cannot be understood.

    `one_note`: the string is a numeral alone, which without a line holds for its note (common practice).
    """

    string: int | None = None
    one_note: bool = False
    position: int | None = None
    restez: bool = False
    release: bool = False
    left_pizzicato: bool = False
    unread: bool = False

    def __bool__(self) -> bool:
        return self != NOTHING


NOTHING = Meaning()


def _position(text: str) -> int | None:
    found = _POSITION.search(text)
    if not found:
        return None
    for group, value in found.groupdict().items():
        if value is None:
            continue
        kind, _, number = group.partition("_")
        if kind == "digit":
            position = int(value)
            return position if 0 < position <= HIGHEST_POSITION else None
        if kind == "roman":
            return _ROMAN.index(value.upper()) + 1 if value.upper() in _ROMAN else None
        return int(number.rpartition("_")[2])
    return None


def _string(text: str, instrument: Instrument) -> int | None:
    alone = _ROMAN_ALONE.match(text)
    if alone:
        return _ROMAN.index(alone[1]) + 1
    found = _NUMBERED_STRING.search(text) or _STRING.search(text)
    if not found:
        return None
    for group, value in found.groupdict().items():
        if value is None:
            continue
        if group.startswith("digit"):
            return int(value)
        if group.startswith("roman"):
            return _ROMAN.index(value.upper()) + 1
        letter = _SYLLABLES.get(value.lower(), value.upper())
        return next(
            (number for number in instrument.string_numbers if instrument.open_pitch(number).step == letter), None
        )
    return None


@lru_cache(maxsize=1024)
def meaning_of(text: str, instrument: Instrument) -> Meaning:
    """Return what `text` asks of the left hand on `instrument`; falsy where it asks nothing."""
    position = _position(text)
    string = _string(text, instrument)
    if position is None and (string is None or string not in instrument.string_numbers) and looks_like_a_mark(text):
        return Meaning(unread=True)
    return Meaning(
        string=string,
        one_note=bool(_NUMERAL.match(text)),
        position=position,
        restez=bool(_RESTEZ.search(text)),
        release=bool(_RELEASE.match(text)),
        left_pizzicato=bool(_LEFT_PIZZICATO.search(text)),
    )
