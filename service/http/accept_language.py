"""The language that a client asks for: Accept-Language (RFC 9110, 12.5.4), matched to the languages that we have."""

from __future__ import annotations

from babel.core import negotiate_locale
from fastapi import Request

from ..naming import Language

_LOCALES = {"en-US": Language.AMERICAN, "en": Language.BRITISH, **{each.value: each for each in Language}}


def language_of_header(header: str | None) -> Language:
    """Return the first of our languages that a header names, by its weights; British English if there is none."""
    weighed = []
    for entry in (header or "").split(","):
        name, _, weight = entry.partition(";")
        try:
            quality = float(weight.strip().removeprefix("q=") or 1)
        except ValueError:
            quality = 0.0
        if name.strip() and quality > 0:
            weighed.append((-quality, name.strip()))
    wanted = [name for _, name in sorted(weighed, key=lambda pair: pair[0])]
    found = negotiate_locale(wanted, list(_LOCALES), sep="-")
    return _LOCALES[found] if found else Language.BRITISH


def accepted_language(request: Request) -> Language:
    """Return the language that a request asks for in its headers."""
    return language_of_header(request.headers.get("accept-language"))
