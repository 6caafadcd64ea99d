"""Marked copies beside scores: sealed, so that a copy that somebody has changed is known and kept."""

from __future__ import annotations

from ..config.file_limits import DEFAULT_LIMITS, Limits
from ..errors import ScoreError
from ..musicxml.file.container import open_document
from ..musicxml.formats.abc import seal as abc_seal
from ..musicxml.formats.known_formats import ABC
from ..musicxml.write.cleaning import guard
from ..musicxml.write.seal import seal_is_intact, sealed
from .annotate import AnnotatedScore


def sealed_copy(answer: AnnotatedScore) -> bytes:
    """Return the marked score with a seal.

    Raises:
        ScoreError: `marks-not-removable`, if the seal could not be taken off again.
    """
    if answer.kind == ABC.name:
        return abc_seal.sealed(answer.data)
    document = answer.document
    text = sealed(answer.text, document.surroundings)
    guard(document.working, text)
    return document.rebuild(text)


def sealed_file(data: bytes, notation: str, limits: Limits = DEFAULT_LIMITS) -> bytes:
    """Return a marked file, as a service returns it in that notation, with a seal.

    Raises:
        ScoreError: it is no score.
    """
    if notation == ABC.name:
        return abc_seal.sealed(data)
    document = open_document(data, limits)
    return document.rebuild(sealed(document.working, document.surroundings))


def is_untouched(data: bytes, limits: Limits = DEFAULT_LIMITS) -> bool:
    """Whether a file is a marked copy as it was written."""
    if abc_seal.seal_is_intact(data):
        return True
    try:
        document = open_document(data, limits)
    except ScoreError:
        return False
    return seal_is_intact(document.working, document.surroundings)
