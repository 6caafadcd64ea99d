"""Verifies an answer before it is sent: the marks can be removed, and each stands at its note.

The marked text is read by another parser than the score was (expat). It is quick where nobody listens, so it tells of
tags only from a mark up to the note that the mark stands at.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence
from xml.parsers import expat

from ... import errors
from ..file.container import Document
from ..file.elements import Mark, NoteMark, WordsMark, slides, technical_children
from ..file.scan import find_notes
from .cleaning import BEGIN, guard

MarksByNote = dict[int, set[str]]
"""By note (counted through the document from 0), where its marks stand: "before" it or "inside" it."""
_NOWHERE = -1
_GONE = -1_000_000
_PLAIN = bytes(range(128)) + b"x" * 128
"""Only tags count here: whatever the encoding, a sign beyond ASCII may be any letter."""


def verify(document: Document, marked: bytes, marks: Sequence[Mark]) -> None:
    """Refuse marked bytes that could not be undone, or in which a mark stands at another note than intended.

    Raises:
        ScoreError: `marks-not-removable` or `mark-misplaced`.
    """
    guard(document.working, marked)
    expected = intended_places(marks)
    try:
        if BEGIN in document.working:
            # Left over from marks that somebody changed: they stay where they are.
            for note, where in places_of_marks(document.working, document.notes).items():
                expected.setdefault(note, set()).update(where)
        found = places_of_marks(marked, document.notes)
    except expat.ExpatError:
        raise errors.mark_misplaced() from None
    if found != expected:
        raise errors.mark_misplaced()


def places_of_marks(working: bytes, notes: int) -> MarksByNote:
    """Return the notes at which our insertions stand in working bytes that hold so many notes."""
    starts = find_notes(working)
    if len(starts) != notes:
        raise errors.mark_misplaced()
    return _Places(starts).of(working)


class _Places:
    """Follows a parser through a text; `starts` are the offsets of its notes."""

    def __init__(self, starts: Sequence[int]) -> None:
        self._starts = starts
        self._found: MarksByNote = {}
        self._depth = 0
        self._waiting: list[tuple[int, int]] = []  # marks whose note is not known yet: depth, and the note before it
        self._parser = expat.ParserCreate("us-ascii")
        self._parser.ProcessingInstructionHandler = self._instruction

    def of(self, text: bytes) -> MarksByNote:
        """Return where the marks stand."""
        self._parser.Parse(text if text.isascii() else text.translate(_PLAIN), True)
        self._settle("before", lambda depth, before: _NOWHERE)
        self._parser.ProcessingInstructionHandler = None  # else parser and listener would hold each other
        return self._found

    def _latest(self) -> int:
        """The latest note that begins up to where the parser is."""
        return bisect_right(self._starts, self._parser.CurrentByteIndex) - 1

    def _instruction(self, target: str, text: str) -> None:
        if target == "handframe" and text == "begin":
            if not self._waiting:
                self._depth = 0
                self._parser.StartElementHandler, self._parser.EndElementHandler = self._begins, self._ends
            self._waiting.append((self._depth, self._latest()))

    def _begins(self, name: str, _: dict[str, str]) -> None:
        if name != "note":
            self._depth += 1
            return
        note = self._latest()
        begins = self._starts[note] == self._parser.CurrentByteIndex
        self._settle("before", lambda depth, _: note if begins and depth == self._depth else _NOWHERE)

    def _ends(self, name: str) -> None:
        self._depth -= 1
        if name == "note":
            note = self._latest()
            self._settle("inside", lambda _, before: note if before == note else _NOWHERE)
        else:
            # What stood in an element that ends stands beside no note that follows.
            self._waiting = [(at if at <= self._depth else _GONE, before) for at, before in self._waiting]

    def _settle(self, where: str, note: Callable[[int, int], int]) -> None:
        for mark in self._waiting:
            self._found.setdefault(note(*mark), set()).add(where)
        self._waiting = []
        self._parser.StartElementHandler = self._parser.EndElementHandler = None


def intended_places(marks: Iterable[Mark]) -> MarksByNote:
    """Return the notes at which the marks are meant to stand."""
    found: MarksByNote = {}
    for mark in marks:
        if isinstance(mark, WordsMark):
            found.setdefault(mark.note, set()).add("before")
        elif isinstance(mark, NoteMark) and (technical_children(mark) or slides(mark)):
            found.setdefault(mark.note, set()).add("inside")
    return found
