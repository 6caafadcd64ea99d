"""The language that a command speaks: that of `--language`, else that of the locale, else British English."""

from __future__ import annotations

import argparse
import os
import re
from collections.abc import Mapping, Sequence
from itertools import pairwise

from ..language import Language

_VARIABLES = ("LC_ALL", "LC_MESSAGES", "LANG")
"""Where the locale stands, the strongest first (POSIX, "Environment Variables", 8.2)."""
_NEUTRAL = ("", "C", "POSIX")
_BY_TAG = {language.value.casefold(): language for language in Language}


def command_language(arguments: Sequence[str]) -> Language:
    """Return the language of a command's messages; a language that there is not counts as none."""
    named = [text for before, text in pairwise(arguments) if before == "--language"]
    named += [text.removeprefix("--language=") for text in arguments if text.startswith("--language=")]
    found = _BY_TAG.get(named[-1].casefold()) if named else None
    return found or language_of_locale()


def spoken(arguments: argparse.Namespace) -> Language:
    """Return the language of a command whose only option of a plan is `--language`."""
    return language_of_locale() if arguments.language is None else Language(arguments.language)


def language_of_locale(environment: Mapping[str, str] = os.environ) -> Language:
    """Return the language of the locale; as in gettext, LANGUAGE lists what is wanted unless the locale is neutral."""
    locale = next((value for name in _VARIABLES if (value := environment.get(name))), "")
    if _name(locale) in _NEUTRAL:
        return Language.BRITISH
    wanted = [*environment.get("LANGUAGE", "").split(":"), locale]
    return next((found for name in wanted if (found := _nearest(_name(name)))), Language.BRITISH)


def _name(locale: str) -> str:
    """The name of a locale without its encoding and variant."""
    return re.split("[.@]", locale)[0]


def _nearest(name: str) -> Language | None:
    tag = name.replace("_", "-").casefold()
    primary = tag.partition("-")[0]
    return _BY_TAG.get(tag) or _BY_TAG.get(primary) or (Language.BRITISH if primary == "en" else None)
