"""What like places of a part carry: whether digits are meant, and which digits are usual.

Places are alike if they have the same notes, and the same note with the same digit stands before them, or after them.
What comes back is meant. What stands against the habit of the part is suspect.
Source: common practice.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from math import log

from ..music.passage import Passage

MEANT_SHARE = 3
"""A digit that one of so many like places has, and more than one, is meant."""
DOUBT = 0.5
"""Places that are added to each count, so that a few tell little."""
_Note = tuple[float, tuple[int, ...]]
_Context = tuple[object, ...]


class LikePlaces:
    """The digits that one note, or two in a row, carry in like places, all over a part."""

    def __init__(self, passage: Passage) -> None:
        self._notes: list[_Note | None] = [
            (event.notes[0].pitch.midi, event.notes[0].printed.fingers) if len(event.notes) == 1 else None
            for event in passage.events
        ]
        self._digits: dict[_Context, Counter[tuple[int, ...]]] = defaultdict(Counter)
        for length in (1, 2):
            for first in range(len(self._notes) - length + 1):
                digits = self._fingers(first, length)
                if digits is not None:
                    for context in self._contexts(first, length):
                        self._digits[context][digits] += 1

    def shows_meant(self, first: int, fingers: tuple[int, ...]) -> bool:
        """True if like places often carry the same digits, with the same notes and digits before and after."""
        around, *_ = self._contexts(first, len(fingers))
        digits = self._digits.get(around, Counter())
        return digits[fingers] > 1 and MEANT_SHARE * digits[fingers] >= digits.total()

    def tell_for(self, first: int, fingers: tuple[int, ...], instead: tuple[int, ...]) -> float:
        """Return what like places tell for other digits: how many times as usual they are, as a logarithm.

        Places with the same note before and those with the same note after are counted apart, and added.
        """
        _, *beside = self._contexts(first, len(fingers))
        told = 0.0
        for context in beside:
            digits = self._digits.get(context, Counter())
            told += log((digits[instead] + DOUBT) / (max(digits[fingers] - 1, 0) + DOUBT))
        return told

    def _fingers(self, first: int, length: int) -> tuple[int, ...] | None:
        """The digits of some notes if each has one."""
        notes = self._notes[first : first + length]
        digits = tuple(note[1][0] for note in notes if note is not None and len(note[1]) == 1)
        return digits if len(digits) == length else None

    def _contexts(self, first: int, length: int) -> tuple[_Context, _Context, _Context]:
        """The notes with what is around them, with what is before them, and with what is after them."""
        pitches = tuple(note and note[0] for note in self._notes[first : first + length])
        before = self._notes[first - 1] if first else None
        after = self._notes[first + length] if first + length < len(self._notes) else None
        return ("around", before, pitches, after), ("before", before, pitches), ("after", pitches, after)


__all__ = ["LikePlaces"]
