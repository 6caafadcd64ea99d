"""The catalogues of translations: read from their .po files once, in the manner of gettext.

A translation may have other forms of a word for other places in a sentence: "halbe Lage|dat=halben Lage" is said
"halbe Lage", and "halben Lage" where a sentence asks for it with `{position:dat}`. The form `zero` is said of none.
"""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from functools import cache
from gettext import GNUTranslations, NullTranslations
from io import BytesIO
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po

from ..naming import Language

FOLDER = Path(os.environ.get("MESSAGE_CATALOGUES") or Path(__file__).parent / "catalogues")
"""Where the catalogues lie; tests and houses with wordings of their own name another folder."""
ZERO = "zero"
_FORM = re.compile(r"\|(\w+)=")


class Inflected(str):
    """A word with its other forms; a format such as `{position:dat}` chooses one, the word itself if there is none."""

    forms: Mapping[str, str] = {}

    def __format__(self, form: str) -> str:
        return self.forms.get(form, str(self)) if not form or form.isalpha() else str(self).__format__(form)


def inflected(word: str, forms: Mapping[str, str]) -> Inflected:
    """Return a word with its other forms."""
    made = Inflected(word)
    made.forms = forms
    return made


def forms_of(text: str) -> tuple[str, dict[str, str]]:
    """Return a translation and its other forms by name."""
    word, *others = _FORM.split(text)
    return word, dict(zip(others[::2], others[1::2], strict=True))


def translated_languages() -> tuple[Language, ...]:
    """Return the languages that have a catalogue."""
    return tuple(language for language in Language if not language.is_english)


def read_translations(language: Language) -> Catalog:
    """Return the catalogue of a language as it was written, with comments and flags."""
    with (FOLDER / f"{language}.po").open("rb") as file:
        return read_po(file, locale=language.value)


@cache
def translations(language: Language) -> NullTranslations:
    """Return the translations of a language; the texts themselves for English."""
    if language.is_english:
        return NullTranslations()
    compiled = BytesIO()
    write_mo(compiled, read_translations(language))
    compiled.seek(0)
    return GNUTranslations(compiled)
