"""A language that nobody speaks: English with accents on every letter, 40 % longer. What is left plain is a remnant.

It stands in the place of German, whose catalogue it replaces; names of notes and position words stay German.
"""

from __future__ import annotations

import re
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.pofile import write_po

from service.messages.translations import translated_languages
from service.naming import Language
from tests.message_catalogues import template

PSEUDO = Language.GERMAN
LONGER = 0.4
_ACCENTED = str.maketrans(
    "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ",
    "åƀçđéƒğĥîĵķļɱñöþɋŕšţûṽŵẋýžÅƁÇĐÉƑĞĤÎĴĶĻṀÑÖÞɊŔŠŢÛṼŴẊÝŽ",
)
_PLACE = re.compile(r"(\{\w+\})")
_NUMERAL = re.compile(r"[IVX]+")
_PLAIN_WORD = re.compile(r"[A-Za-z]{3,}")
OWN = frozenset(
    # names of notes, keys and positions, which are German here, and the words between the items of a list
    "Cis Dis Eis Fis Gis Ais His Ces Des Ges Fes Heses Fisis Cisis Dur Moll Lage halbe und oder".split()  # noqa: SIM905
)


def pseudo(text: str) -> str:
    """Return a text in the language, its placeholders untouched."""
    said = "".join(piece if _PLACE.fullmatch(piece) else piece.translate(_ACCENTED) for piece in _PLACE.split(text))
    letters = sum(sign.isalpha() for sign in _PLACE.sub("", text))
    more = max(1, round(len(text) * LONGER))
    return (
        said + "".join(" " if number % 8 == 0 and letters > 8 else "ẽ" for number in range(more + (letters > 8)))
        if letters > 1
        else said
    )


def write_catalogues(folder: Path) -> None:
    """Write the catalogues of a folder: each language is this one."""
    catalogue = Catalog(locale="de", charset="utf-8")
    for message in template():
        if message.id:
            found = (message.id,) if isinstance(message.id, str) else tuple(message.id)
            said = tuple(map(pseudo, found))
            catalogue.add(message.id, said[0] if len(said) == 1 else said, locations=message.locations)
    for language in translated_languages():
        with (folder / f"{language}.po").open("wb") as file:
            write_po(file, catalogue)


def remnants(text: str, allowed: str = "") -> list[str]:
    """Return the plain words of a text that are not its own names; `allowed` holds such names."""
    known = OWN | set(_PLAIN_WORD.findall(allowed))
    return [word for word in _PLAIN_WORD.findall(text) if word not in known and not _NUMERAL.fullmatch(word)]
