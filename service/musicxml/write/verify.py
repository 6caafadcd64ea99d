"""Verifies an answer before it is sent: the marks can be removed, and each stands at its note."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from lxml import etree

from ... import errors
from ..file.container import Document
from ..file.elements import Mark, NoteMark, WordsMark, slides, technical_children
from .splice import BEGIN, guard

MarksByNote = dict[int, set[str]]
"""By note (counted through the document from 0), where its marks stand: "before" it or "inside" it."""
_NOWHERE = -1


def verify(document: Document, marked: bytes, marks: Sequence[Mark]) -> None:
    """Refuse marked bytes that could not be undone, or in which a mark stands at another note than intended.

    Raises:
        ScoreError: `marks-not-removable` or `mark-misplaced`.
    """
    guard(document.working, marked)
    expected = intended_places(marks)
    if BEGIN in document.working:
        # Left over from marks that somebody changed: they stay where they are.
        for note, where in places_of_marks(document, document.working).items():
            expected.setdefault(note, set()).update(where)
    if places_of_marks(document, marked) != expected:
        raise errors.mark_misplaced()


def places_of_marks(document: Document, working: bytes) -> MarksByNote:
    """Return the notes at which our insertions stand in working bytes of a document, as the parser sees them."""
    found: MarksByNote = {}
    ordinal, note = -1, None
    here: etree._Element | None = None  # where the latest note stands
    measures: list[etree._Element | None] = []  # where insertions before the next note stand
    steps = document.walk(working, "note")
    for event, node in steps:
        if event == "start":
            parent = node.getparent()
            if parent is not here:
                _let_go(here)
                here = parent
            ordinal, note = ordinal + 1, node
            for measure in measures:
                found.setdefault(ordinal if parent is measure else _NOWHERE, set()).add("before")
            measures.clear()
        elif getattr(node, "target", "") == "handframe" and node.text == "begin":
            inside = next(node.iterancestors("note"), None)
            if inside is None:
                measures.append(node.getparent())
            else:
                found.setdefault(ordinal if inside is note else _NOWHERE, set()).add("inside")
    if measures:
        found.setdefault(_NOWHERE, set()).add("before")
    steps.root.clear()  # the parser is garbage in a cycle: until that is found, its tree would stay in memory
    return found


def _let_go(read: etree._Element | None) -> None:
    """Empty a measure that was read: it need not stay in memory."""
    if read is not None and read.tag == "measure":
        read.clear()


def intended_places(marks: Iterable[Mark]) -> MarksByNote:
    """Return the notes at which the marks are meant to stand."""
    found: MarksByNote = {}
    for mark in marks:
        if isinstance(mark, WordsMark):
            found.setdefault(mark.note, set()).add("before")
        elif isinstance(mark, NoteMark) and (technical_children(mark) or slides(mark)):
            found.setdefault(mark.note, set()).add("inside")
    return found
