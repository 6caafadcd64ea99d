"""The glossary: the terms of the left hand in every language, each with one line of meaning and its source."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from ..naming import Language
from .message import american_words

_FILE = Path(__file__).parent / "glossary.toml"


@dataclass(frozen=True, slots=True)
class Term:
    """A term.

    Attributes:
        forms: by language (en, de, …): its name, and other forms in which texts have it.
        meanings: one line for each language.
        source: where the names come from.
    """

    forms: Mapping[str, tuple[str, ...]]
    meanings: Mapping[str, str]
    source: str

    def names(self, language: Language) -> tuple[str, ...]:
        """Return the forms in a language, the name first."""
        return self.forms[_key(language)]

    def meaning(self, language: Language) -> str:
        """Return the meaning in a language."""
        meaning = self.meanings[_key(language)]
        return american_words(meaning) if language is Language.AMERICAN else meaning


def _key(language: Language) -> str:
    return "en" if language.is_english else language.value


@cache
def glossary() -> tuple[Term, ...]:
    """Return the terms in the order of the file: what comes first is needed to read the rest."""
    entries = tomllib.loads(_FILE.read_text(encoding="utf-8"))["term"]
    return tuple(
        Term(
            {name: tuple(forms) for name, forms in entry.items() if name not in ("meaning", "source")},
            entry["meaning"],
            entry["source"],
        )
        for entry in entries
    )
