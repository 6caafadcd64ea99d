"""The title of a piece."""

from __future__ import annotations

from lxml.etree import _Element


def title_of(root: _Element) -> str:
    """Return the title of the movement, else that of the work; empty if the score names none."""
    for path in ("movement-title", "work/work-title"):
        text = " ".join((root.findtext(path) or "").split())
        if text:
            return text
    return ""
