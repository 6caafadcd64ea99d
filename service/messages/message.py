"""Messages with placeholders, and the wording that fills them in.

A message is looked up in a catalogue of the standard library's `gettext` kind, by its English text. xgettext collects
the texts with `--keyword=Message:1,2`. American English needs no catalogue: it differs from British by a few words.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from gettext import NullTranslations

from ..naming import Language


@dataclass(frozen=True, slots=True)
class Message:
    """One sentence or phrase; `many` is for other numbers than one, which `{n}` shows (0 as "no")."""

    text: str
    many: str = ""


NO = Message("no")
AND = Message("{all_but_last} and {last}")
OR = Message("{all_but_last} or {last}")

_AMERICAN = {
    "bar": "measure",
    "bars": "measures",
    "semitone": "half step",
    "semitones": "half steps",
    "whole tone": "whole step",
    "whole tones": "whole steps",
    "practise": "practice",
}
_BRITISH_WORD = re.compile(rf"(?<!{{)\b({'|'.join(sorted(_AMERICAN, key=len, reverse=True))})\b", re.IGNORECASE)


class _American(NullTranslations):
    """British English with the American words for bars and steps."""

    def gettext(self, message: str) -> str:
        return _BRITISH_WORD.sub(_american_word, message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(super().ngettext(msgid1, msgid2, n))


def _american_word(found: re.Match[str]) -> str:
    word = _AMERICAN[found[0].lower()]
    return word.capitalize() if found[0][0].isupper() else word


class Wording:
    """Says messages in a language; texts of other languages than English are said in British English so far."""

    def __init__(self, language: Language = Language.BRITISH) -> None:
        self._catalogue = _American() if language is Language.AMERICAN else NullTranslations()

    def say(self, message: Message, number: int | None = None, /, **fields: str) -> str:
        """Return the message with its placeholders filled in.

        Args:
            message: what to say.
            number: chooses between one and many, and is shown as `{n}`.
            fields: the other placeholders, in this wording already.
        """
        if number is None:
            return self._catalogue.gettext(message.text).format(**fields)
        text = self._catalogue.ngettext(message.text, message.many or message.text, number)
        return text.format(n=str(number) if number else self.say(NO), **fields)

    def all_of(self, items: Sequence[str]) -> str:
        """Return "A", "A and B", "A, B and C"."""
        return self._list(AND, items)

    def any_of(self, items: Sequence[str]) -> str:
        """Return "A", "A or B", "A, B or C"."""
        return self._list(OR, items)

    def _list(self, link: Message, items: Sequence[str]) -> str:
        if len(items) < 2:
            return "".join(items)
        return self.say(link, all_but_last=", ".join(items[:-1]), last=items[-1])


def sentence(text: str) -> str:
    """Return a text with a capital letter and a full stop."""
    return f"{text[:1].upper()}{text[1:]}{'' if text.endswith(('.', ':')) else '.'}"
