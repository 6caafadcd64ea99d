"""The languages that the program speaks; it is named apart, so that a command knows its language at once."""

from __future__ import annotations

from enum import StrEnum


class Language(StrEnum):
    """Language of sentences, and of the words that are printed into a score."""

    BRITISH = "en-GB"
    AMERICAN = "en-US"
    GERMAN = "de"
    FRENCH = "fr"
    ITALIAN = "it"
    SPANISH = "es"

    @property
    def is_english(self) -> bool:
        """True for British and American."""
        return self in (Language.BRITISH, Language.AMERICAN)
