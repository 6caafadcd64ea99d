"""Scores that a process has opened lately: read once, and planned again from what was planned before.

A player decides about one note after the other, and each decision comes with the whole score. So a planner process
keeps the scores it has seen last. What it answers is the same as if it had seen none of them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from rules import Character, PartMemory, Weights

from ..config.file_limits import Limits
from ..config.options import Options, PrintedMarks
from ..musicxml.file.container import Document
from ..musicxml.notation.part_list import PartListing, choose_parts
from ..musicxml.read.reader import Reading
from .annotate import PartReview, read_listed, review_reading
from .scores import open_score

SCORES_KEPT = 3
BYTES_KEPT = 8_000_000
"""Of the files as they came; what is made of one takes some twenty times as much."""
_PARTS_KEPT = 3
_REVIEWS_KEPT = 3

Key = TypeVar("Key")
Value = TypeVar("Value")


@dataclass
class KeptPart:
    """A part that was read, and what its plans took."""

    reading: Reading
    remarks: tuple[str, ...]
    memories: list[tuple[tuple[Character, Weights], PartMemory]] = field(default_factory=list)
    reviews: list[tuple[Options, PartReview]] = field(default_factory=list)

    def review(self, options: Options) -> PartReview:
        """Return the review under some options; nothing of it is worked out before it is asked for but the plan."""
        return _kept(self.reviews, options, lambda: self._reviewed(options), _REVIEWS_KEPT)

    def _reviewed(self, options: Options) -> PartReview:
        character, weights = options.character, options.hand.weights
        memory = _kept(
            self.memories,
            (character, weights),
            lambda: PartMemory(self.reading.passage, weights, character),
            _PARTS_KEPT,
        )
        return review_reading(self.reading, options, None, self.remarks, memory)


@dataclass
class KeptScore:
    """A score that was opened, with the parts that were read in it."""

    document: Document
    parts: list[tuple[tuple[object, ...], KeptPart]] = field(default_factory=list)
    chosen: list[tuple[tuple[object, ...], PartListing]] = field(default_factory=list)

    def part(self, options: Options) -> KeptPart:
        """Return the one part that the options ask for, the first if they ask for several.

        Raises:
            ScoreError: there is no such part.
        """
        wanted = options.instrument, options.part
        listing = _kept(self.chosen, wanted, lambda: self._chosen(*wanted), _PARTS_KEPT)
        key = (listing.id, options.instrument, options.tempo, options.printed is PrintedMarks.REPLACE)
        return _kept(self.parts, key, lambda: KeptPart(*read_listed(self.document, listing, options)), _PARTS_KEPT)

    def _chosen(self, instrument: str, wanted: Sequence[str]) -> PartListing:
        first = choose_parts(self.document.root, instrument, wanted)[0].id
        return choose_parts(self.document.root, instrument, (first,))[0]


class KeptScores:
    """The scores seen last, the latest first."""

    def __init__(self) -> None:
        self._scores: list[tuple[tuple[bytes, object, Limits], KeptScore]] = []

    def score(self, data: bytes, options: Options, limits: Limits) -> KeptScore:
        """Return the score in a file, opened now or before.

        Raises:
            ScoreError: as for `open_score`.
        """
        key = (data, options.tune, limits)
        found = _kept(self._scores, key, lambda: KeptScore(open_score(data, options, limits).document), SCORES_KEPT)
        while len(self._scores) > 1 and sum(len(content) for (content, *_), _ in self._scores) > BYTES_KEPT:
            self._scores.pop()
        return found


def _kept(known: list[tuple[Key, Value]], key: Key, make: Callable[[], Value], most: int) -> Value:
    """The value under a key, made if it is not known; the latest come first, and the oldest are let go."""
    entry = next((entry for entry in known if entry[0] == key), None)
    if entry is None:
        entry = (key, make())
    known[:] = [entry, *(other for other in known if other is not entry)][:most]
    return entry[1]
