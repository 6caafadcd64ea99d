"""Removes our marks from a score. A module of its own, since it needs neither planner nor reader."""

from __future__ import annotations

from ..config.file_limits import DEFAULT_LIMITS, Limits
from ..musicxml.file.container import open_document
from ..musicxml.write.cleaning import clean as cleaned


def clean(data: bytes, limits: Limits = DEFAULT_LIMITS) -> bytes:
    """Return the score without our marks, byte for byte as it was before they were written.

    Raises:
        ScoreError: the score cannot be read.
    """
    document = open_document(data, limits, prepare=cleaned)
    return document.rebuild(document.working)
