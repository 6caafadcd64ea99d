"""The title of a piece, and who wrote it."""

from __future__ import annotations

import re

from lxml.etree import _Element

_FILE_NAME = re.compile(r"\S*\.(?:mxl|musicxml|xml|mscz|mscx|mid|midi|krn|mei|abc|sib|musx)", re.IGNORECASE)
_UNNAMED = frozenset({"music21", "music21 fragment", "untitled", "untitled score", "title", "[title]"})
_NOBODY = frozenset({"music21", "composer", "[composer]", "composer / arranger"})
"""What programs write where nobody gave a name: music21 as its exporter has it, the others from memory."""


def title_of(root: _Element) -> str:
    """Return the titles of work and movement, else the title that is printed; empty if the score names none.

    The name of a file is no title, nor is what a program writes where there is none.
    Of two titles of which one is in the other, the longer one says it all.
    """
    work, movement = (_named(_text(root, path)) for path in ("work/work-title", "movement-title"))
    if work.casefold() in movement.casefold():
        return movement or _named(_printed(root, "title"))
    return work if movement.casefold() in work.casefold() else f"{work}, {movement}"


def composer_of(root: _Element) -> str:
    """Return the name of the composer; empty if the score names none."""
    found = _text(root, "identification/creator[@type='composer']") or _printed(root, "composer")
    return "" if found.casefold() in _NOBODY else found


def _named(title: str) -> str:
    return "" if title.casefold() in _UNNAMED or _FILE_NAME.fullmatch(title) else title


def _printed(root: _Element, kind: str) -> str:
    """The words on the first page that say themselves what they are."""
    return _text(root, f"credit[credit-type='{kind}']/credit-words")


def _text(root: _Element, path: str) -> str:
    return " ".join((root.findtext(path) or "").split())
