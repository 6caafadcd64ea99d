"""The marked part as it is drawn, kept in pieces: after a decision only the bars whose marks changed are made anew.

What comes of it is what cutting the whole part again would give, to the last letter. Where that is not certain (marks
that may move a cut, a bar that begins a piece, tags in comments), the part is cut again.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate

from lxml import etree

from ..drawing.engraving import prepare_for_engraver
from ..drawing.missing_signs import MissingSign
from ..musicxml.file.container import Document
from ..musicxml.file.elements import ElementRemoval, Mark, WordsMark
from ..musicxml.file.scan import end_of_element, end_of_tag, find_elements
from ..musicxml.write.splice import insert

_BAR = re.compile(r"(<measure[ >].*?</measure>)", re.DOTALL)
_BAR_STARTS = re.compile(r"<measure[ />]")
_MOST_AGAIN = 0.25
"""If more of the bars than this have changed, the whole part is cut again."""

_Marks = dict[int, list[Mark]]


@dataclass(frozen=True)
class BarsOfPart:
    """Where the bars of a part stand in its document, and what is drawn at its notes whatever the marks.

    Attributes:
        document: the document without marks.
        part: the id of the part.
        rows: the row of the plan by the ordinal of the `<note>` in the document.
        missing: the signs that the part lacks.
    """

    document: Document
    part: str
    rows: Mapping[int, int]
    missing: Sequence[MissingSign]

    @cached_property
    def _starts(self) -> list[int]:
        """The offset of every bar of the document; none if its text and its tree do not agree."""
        starts = find_elements(self.document.working, "measure")
        return starts if len(starts) == len(self.document.root.findall("part/measure")) else []

    @cached_property
    def _own(self) -> range:
        """Which of the document's bars are those of the part."""
        first = 0
        for part in self.document.root.iterchildren("part"):
            count = len(part.findall("measure"))
            if part.get("id") == self.part:
                return range(first, first + count) if self._starts else range(0)
            first += count
        return range(0)

    @cached_property
    def _head(self) -> bytes:
        """What stands before the first part: how the text is encoded, and the names that it uses."""
        text = self.document.working
        return text[: end_of_tag(text, find_elements(text, "score-partwise")[0])]

    @property
    def count(self) -> int:
        """How many bars the part has; 0 if they cannot be told apart."""
        return len(self._own)

    def bar_of(self, note: int) -> int:
        """The bar of a note, which is known by its ordinal in the document."""
        return bisect_right(self._starts, self.document.note_starts[note]) - 1 - self._own.start

    def drawn(self, bars: Sequence[int], marks: _Marks, remarks: Mapping[int, str]) -> list[str]:
        """Return some bars as the engraver gets them."""
        text, notes = self.document.working, self.document.note_starts
        spans = [
            (self._starts[bar], end_of_element(text, self._starts, bar, "measure"))
            for bar in (self._own.start + bar for bar in bars)
        ]
        ordinals = [n for start, stop in spans for n in range(bisect_left(notes, start), bisect_left(notes, stop))]
        numbers = {ordinal: number for number, ordinal in enumerate(ordinals)}
        written = b"".join(text[start:stop] for start, stop in spans)
        own = [
            replace(mark, note=numbers[n])
            for n in ordinals
            for mark in marks.get(n, ())
            if not isinstance(mark, ElementRemoval)
        ]
        marked = insert(b"%b<part>%b</part></score-partwise>" % (self._head, written), own)
        root = self.document.parse(marked)
        root[0].set("id", self.part)
        first = bisect_left(notes, self._starts[self._own.start])
        rows = {number: self.rows[n] for n, number in numbers.items() if n in self.rows}
        missing = [s._replace(note=numbers[first + s.note]) for s in self.missing if first + s.note in numbers]
        prepared = prepare_for_engraver(root, self.part, rows, remarks=remarks, missing=missing)
        return _BAR.findall(prepared.text)

    def beginning(self, count: int, marks: Iterable[Mark], remarks: Mapping[int, str], title: bool) -> etree._Element:
        """Return the score for the engraver as if the part ended after some bars."""
        text, notes, starts, own = self.document.working, self.document.note_starts, self._starts, self._own
        end = starts[own[count]]
        beyond = bisect_left(notes, end)
        rest = end_of_element(text, starts, own[-1], "measure")
        marked = insert(
            text[:end] + text[rest:],
            [mark for mark in marks if not isinstance(mark, ElementRemoval) and mark.note < beyond],
        )
        rows = {note: row for note, row in self.rows.items() if note < beyond}
        first = bisect_left(notes, starts[own.start])
        missing = [sign for sign in self.missing if first + sign.note < beyond]
        root = self.document.parse(marked)
        return prepare_for_engraver(root, self.part, rows, "", title, remarks, missing).root


class MarkedBars:
    """The pieces of a part as they were cut last."""

    def __init__(self, bars: BarsOfPart) -> None:
        self.bars = bars
        self._how: Hashable = None
        self._marks: _Marks = {}
        self._scores: list[str] = []
        self._split: list[list[str]] = []

    def knows(self, how: Hashable) -> bool:
        """Whether pieces that depend on this were cut last."""
        return bool(self._scores) and self._how == how

    def keep(self, how: Hashable, marks: Iterable[Mark], scores: Sequence[str]) -> None:
        """Keep pieces that were cut; `how` is what they depend on besides the marks."""
        self._how, self._marks, self._scores, self._split = how, _by_note(marks), list(scores), []

    def again(self, how: Hashable, marks: Iterable[Mark], remarks: Mapping[int, str]) -> list[str] | None:
        """Return the pieces with other marks; None if the part had better be cut again."""
        if not self.knows(how):
            return None
        new, old = _by_note(marks), self._marks
        notes = [note for note in new.keys() | old.keys() if new.get(note) != old.get(note)]
        if -1 in new or any(_is_line(mark) for note in notes for mark in (*new.get(note, ()), *old.get(note, ()))):
            return None
        split = self._split or self._in_bars()
        bars = sorted({self.bars.bar_of(note) for note in notes}) if split else []
        starts = [0, *accumulate(len(piece) // 2 for piece in split)]
        if not split or len(bars) > _MOST_AGAIN * starts[-1] or not set(starts[1:]).isdisjoint(bars):
            return None
        drawn = self.bars.drawn(bars, new, remarks) if bars else []
        if len(drawn) != len(bars):
            return None
        for bar, text in zip(bars, drawn, strict=True):
            number = bisect_right(starts, bar) - 1
            split[number][2 * (bar - starts[number]) + 1] = text
            self._scores[number] = ""
        self._scores = [score or "".join(piece) for score, piece in zip(self._scores, split, strict=True)]
        self._marks, self._split = new, split
        return list(self._scores)

    def _in_bars(self) -> list[list[str]]:
        """The pieces, each as what stands around its bars and, in turn with it, the bars; none if that is not clear."""
        split = [_BAR.split(score) for score in self._scores]
        count = sum(len(piece) // 2 for piece in split)
        tags = sum(len(_BAR_STARTS.findall(score)) for score in self._scores)
        # A name of a space would stand at each bar in a piece, and once for all in a few bars taken by themselves.
        is_clear = count == tags == self.bars.count and not any("xmlns" in bar for p in split for bar in p[1::2])
        return split if is_clear else []


def _by_note(marks: Iterable[Mark]) -> _Marks:
    """The marks at each note; -1 for what is taken out elsewhere."""
    found: _Marks = {}
    for mark in marks:
        found.setdefault(-1 if isinstance(mark, ElementRemoval) else mark.note, []).append(mark)
    return found


def _is_line(mark: Mark) -> bool:
    return isinstance(mark, WordsMark) and mark.bracket is not None
