"""A language that nobody speaks: English with accents on every letter, 40 % longer. What is left plain is a remnant.

It stands in the place of German, whose catalogue it replaces; names of notes and position words stay German.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.pofile import write_po

from service.messages import translations
from service.messages.translations import translated_languages
from service.naming import Language
from tests.message_catalogues import template

PSEUDO = Language.GERMAN
LONGER = 0.4
_ACCENTED = str.maketrans(
    "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ",
    "åƀçđéƒğĥîĵķļɱñöþɋŕšţûṽŵẋýžÅƁÇĐÉƑĞĤÎĴĶĻṀÑÖÞɊŔŠŢÛṼŴẊÝŽ",
)
_PLACE = re.compile(r"(\{\w+\}|%\(\w+\)[rs]|%[rs]|`[^`]*`|<[^<>]*>|--[a-z-]+)")
_NUMERAL = re.compile(r"[IVX]+")
_PLAIN_WORD = re.compile(r"[A-Za-z]{3,}")
_GERMAN = "Cis Dis Eis Fis Gis Ais His Ces Des Ges Fes Heses Fisis Cisis Dur Moll Lage halbe und oder"
OWN = frozenset(f"{_GERMAN} {_GERMAN.lower()}".split())
"""Names of notes, keys and positions, which are German here, and the words between the items of a list."""


def pseudo(text: str) -> str:
    """Return a text in the language; its placeholders, what is typed and the names of elements stay."""
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
    texts = Catalog(locale="de", charset="utf-8")
    for message in template():
        if message.id:
            found = (message.id,) if isinstance(message.id, str) else tuple(message.id)
            said = tuple(map(pseudo, found))
            texts.add(message.id, said[0] if len(said) == 1 else said, locations=message.locations)
    for language in translated_languages():
        with (folder / f"{language}.po").open("wb") as file:
            write_po(file, texts)


@contextmanager
def spoken(folder: Path) -> Iterator[None]:
    """Speak the language in this process and in those that it starts; its catalogues are written to a folder."""
    write_catalogues(folder)
    own, variable = translations.FOLDER, os.environ.get("MESSAGE_CATALOGUES")
    translations.FOLDER, os.environ["MESSAGE_CATALOGUES"] = folder, str(folder)
    translations.translations.cache_clear()
    try:
        yield
    finally:
        translations.FOLDER = own
        os.environ.pop("MESSAGE_CATALOGUES")
        if variable is not None:
            os.environ["MESSAGE_CATALOGUES"] = variable
        translations.translations.cache_clear()


def remnants(text: str, allowed: str = "") -> list[str]:
    """Return the plain words of a text that are not its own names; `allowed` holds such names."""
    known = OWN | set(_PLAIN_WORD.findall(allowed))
    return [word for word in _PLAIN_WORD.findall(text) if word not in known and not _NUMERAL.fullmatch(word)]
