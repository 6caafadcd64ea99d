"""Messages with placeholders, and the wording that fills them in.

A message is looked up in the catalogue of a language by its English text (`make messages` collects the texts).
American English needs no catalogue: it differs from British by a few words.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from gettext import NullTranslations
from typing import Literal

from babel.lists import format_list
from babel.numbers import format_decimal

from rules import Key, Level, Name, Pitch, Text

from ..errors import ScoreError, Sentence
from ..naming import Language, key_word, note_word, octave_word
from .translations import ZERO, Inflected, forms_of, inflected, translations


@dataclass(frozen=True, slots=True)
class Message:
    """One sentence or phrase; `many` is for other numbers than one, which `{n}` shows (0 as "no")."""

    text: str
    many: str = ""


NO = Message("no")
LEVELS = {
    "first": Message("first position"),
    "first-and-third": Message("first and third position"),
    "to-third": Message("half to third position"),
    "to-fifth": Message("half to fifth position"),
    "all": Message("all positions"),
}

_AMERICAN = {
    "bar": "measure",
    "bars": "measures",
    "semitone": "half step",
    "semitones": "half steps",
    "whole tone": "whole step",
    "whole tones": "whole steps",
    "practise": "practice",
    "quaver": "eighth note",
    "crotchet": "quarter note",
    "crotchets": "quarter notes",
}
_BRITISH_WORD = re.compile(rf"(?<!{{)\b({'|'.join(sorted(_AMERICAN, key=len, reverse=True))})\b", re.IGNORECASE)


class _American(NullTranslations):
    """British English with the American words for bars and steps."""

    def gettext(self, message: str) -> str:
        return american_words(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(super().ngettext(msgid1, msgid2, n))


def american_words(text: str) -> str:
    """Return a British text with the American words for bars and steps."""
    return _BRITISH_WORD.sub(_american_word, text)


def _american_word(found: re.Match[str]) -> str:
    word = _AMERICAN[found[0].lower()]
    return word.capitalize() if found[0][0].isupper() else word


class Wording:
    """Says messages in a language, with numbers, lists and names of notes as that language has them."""

    def __init__(self, language: Language = Language.BRITISH) -> None:
        self.language = language
        self._translations = _American() if language is Language.AMERICAN else translations(language)

    def say(self, message: Message, number: int | None = None, /, **fields: str) -> str:
        """Return the message with its placeholders filled in.

        Args:
            message: what to say.
            number: chooses between one and many, and is shown as `{n}`.
            fields: the other placeholders, in this wording already.
        """
        if number is None:
            return self._filled(self._translations.gettext(message.text), fields)
        text = self._translations.ngettext(message.text, message.many or message.text, number)
        fields["n"] = str(number) if number else self.say(NO)
        return self._filled(text, fields, is_none=number == 0)

    def _filled(self, text: str, fields: Mapping[str, str], is_none: bool = False) -> str:
        if self.language.is_english:
            return text.format(**fields)
        word, forms = forms_of(text)
        if is_none and ZERO in forms:
            word = forms[ZERO]
        given = {name: _with_forms(value) for name, value in fields.items()}
        filled = {name: form.format(**given) for name, form in forms.items()}
        return inflected(word.format(**given), filled)

    def text(self, said: str) -> str:
        """Return a text of the rules in this language; text that is none of theirs stays as it is."""
        if isinstance(said, Name):
            return self._name(said)
        if isinstance(said, Sentence):
            parts = {name: self.text(str(part) if isinstance(part, int) else part) for name, part in said.parts.items()}
            return self.say(Message(said.template), **parts)
        if not isinstance(said, Text):
            return said
        fields = {
            name: self.text(part) if isinstance(part, str) else self.number(part) for name, part in said.parts.items()
        }
        if not said.template:
            words = said.separator.join(fields.values())
        elif said.number is None:
            words = self.say(Message(said.template), **fields)
        else:
            words = self.say(Message(said.template, said.many), said.number, **fields)
        return words[:1].upper() + words[1:] if said.begins else words

    def error(self, error: ScoreError) -> str:
        """Return the whole text of an error: what is wrong, where, and what to do."""
        return self.text(error.sentence).strip()

    def _name(self, name: Name) -> str:
        if self.language.is_english:
            return str(name)
        if isinstance(name.of, Pitch):
            return octave_word(name.of, self.language) if name[-1].isdigit() else note_word(name.of, self.language)
        if isinstance(name.of, Level):
            return self.say(LEVELS[name.of.name])
        return key_word(name.of, self.language) if isinstance(name.of, Key) else str(name)

    def note(self, pitch: Pitch) -> str:
        """Return the name of a note as players of this language say it, without its octave: "F♯", "Fis", "fa♯"."""
        return note_word(pitch, self.language)

    def decimal(self, number: float, digits: int = 1) -> str:
        """Return a number with one decimal, or more: "1.4", "1,4"."""
        return _decimal(number, digits, self._locale)

    def number(self, number: float) -> str:
        """Return a number as this language writes it: "1,200", "1.200"."""
        return format_decimal(number, locale=self._locale) if not self.language.is_english else str(number)

    def span(self, *ends: str) -> str:
        """Return a range: "9-16", with the longer dash in German."""
        return ("–" if self.language is Language.GERMAN else "-").join(ends)

    def all_of(self, items: Sequence[str]) -> str:
        """Return "A", "A and B", "A, B and C"."""
        return self._listed(items, "standard")

    def any_of(self, items: Sequence[str]) -> str:
        """Return "A", "A or B", "A, B or C"."""
        return self._listed(items, "or")

    def _listed(self, items: Sequence[str], style: Literal["standard", "or"]) -> str:
        """A list; it has the forms that its items have."""
        if len(items) == 1:
            return items[0]
        names = {name for item in items if isinstance(item, Inflected) for name in item.forms}
        forms = {
            name: format_list([format(_with_forms(item), name) for item in items], style, locale=self._locale)
            for name in names
        }
        listed = format_list(list(items), style, locale=self._locale)
        return inflected(listed, forms) if forms else listed

    @property
    def _locale(self) -> str:
        """The locale of numbers and lists; no comma stands before the last "and" in American texts either."""
        return "en_GB" if self.language.is_english else self.language.value


ENGLISH = Wording()
"""What a report says that is asked for in no language."""


@lru_cache(maxsize=4096)
def _decimal(number: float, digits: int, locale: str) -> str:
    return format_decimal(number, f"0.{'0' * digits}", locale=locale)


def _with_forms(text: str) -> Inflected:
    return text if isinstance(text, Inflected) else Inflected(text)


def sentence(text: str) -> str:
    """Return a text with a capital letter and a full stop."""
    return f"{text[:1].upper()}{text[1:]}{'' if text.endswith(('.', ':')) else '.'}"
