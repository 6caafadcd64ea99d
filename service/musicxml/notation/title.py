"""The title of a piece, and who wrote it."""

from __future__ import annotations

from lxml.etree import _Element


def title_of(root: _Element) -> str:
    """Return the titles of work and movement, else the title that is printed; empty if the score names none.

    Of two titles of which one is in the other, the longer one says it all.
    """
    work, movement = (_text(root, path) for path in ("work/work-title", "movement-title"))
    if work.casefold() in movement.casefold():
        return movement or _printed(root, "title")
    return work if movement.casefold() in work.casefold() else f"{work}, {movement}"


def composer_of(root: _Element) -> str:
    """Return the name of the composer; empty if the score names none."""
    return _text(root, "identification/creator[@type='composer']") or _printed(root, "composer")


def _printed(root: _Element, kind: str) -> str:
    """The words on the first page that say themselves what they are."""
    return _text(root, f"credit[credit-type='{kind}']/credit-words")


def _text(root: _Element, path: str) -> str:
    return " ".join((root.findtext(path) or "").split())
