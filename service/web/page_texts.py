"""The texts of the page in a language: the catalogue as JSON, the names of notes, and the glossary."""

from __future__ import annotations

import json
from functools import cache

from rules import LETTERS, Pitch

from ..messages.glossary import glossary
from ..messages.message import Message, Wording
from ..messages.translations import forms_of, read_translations
from ..naming import Language, note_word

PAGE = "service/web/static/"
"""Where a text has to be used to be sent to the page; a catalogue names the places of every text."""
OPTIONS = "service/config/options.py"
"""Labels of options are shown on the page as well."""


@cache
def page_translations(language: Language) -> bytes:
    """Return the texts of the page as JSON: by their English, one text or one for each plural form, without others."""
    texts: dict[str, str | list[str]] = {}
    for message in () if language.is_english else read_translations(language):
        if (
            isinstance(message.id, str | tuple | list)
            and message.id
            and any(name.startswith(PAGE) or name == OPTIONS for name, _ in message.locations)
        ):
            if isinstance(message.id, str):
                texts[message.id] = forms_of(str(message.string))[0]
            else:
                texts[message.id[0]] = [forms_of(form)[0] for form in message.string or ()]
    names = [f"{letter}{sign}" for letter in LETTERS for sign in ("", "#", "b", "##", "bb")]
    notes = {} if language.is_english else {name: note_word(Pitch.named(f"{name}4"), language) for name in names}
    wording = Wording(language)
    terms = [
        {"names": term.names(language), "meaning": wording.say(Message(term.meaning(language)))} for term in glossary()
    ]
    return json.dumps(
        {"texts": texts, "notes": notes, "glossary": terms}, ensure_ascii=False, separators=(",", ":")
    ).encode()
