"""Parts whose digits are right: violin and viola parts of music21's corpus as our own plan fingers them, and parts with
the fingerings of players, from a folder in the form of `tests.benchmarks.fitting`.

Our marks are made to look like those of an editor: without the instructions by which we know them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import cycle
from pathlib import Path
from random import Random

from rules import INSTRUMENTS, LEVELS, Note, Passage, required_level
from service.config.options import read_options
from service.errors import ScoreError
from service.musicxml.file.container import open_document
from service.musicxml.notation.parts_to_check import parts_for_check
from service.musicxml.read.reader import read_part
from service.usecases.annotate import annotate
from tests.benchmarks.fitting.pieces import Hand, load_pieces
from tests.reference.test_corpus_bytes import documents

_OURS = re.compile(rb"<\?handframe [^?]*\?>")
_FEWEST_NOTES = 100
_SEED = 21


@dataclass(frozen=True)
class FingeredPart:
    """A part with a digit on every note: its name, its MusicXML (none for a player's), and how it is read."""

    name: str
    text: bytes
    passage: Passage


def corpus_parts(every: int = 1) -> Iterator[FingeredPart]:
    """Yield every so many-th violin or viola part of the corpus."""
    paths = list(documents())
    Random(_SEED).shuffle(paths)
    return marked_parts(paths, every)


def marked_parts(paths: Iterable[Path], every: int = 1) -> Iterator[FingeredPart]:
    """Yield every so many-th violin or viola part of some files, each at a level that has all its notes."""
    levels = cycle(LEVELS.values())
    count = 0
    for path in paths:
        data = path.read_bytes()
        try:
            listings = parts_for_check(open_document(data).root, {})
        except ScoreError:
            continue
        for listing in listings:
            if listing.notes < _FEWEST_NOTES:
                continue
            count += 1
            if count % every:
                continue
            instrument = INSTRUMENTS[listing.instrument or "violin"]
            needed = required_level(read_part(open_document(data).root, listing.id, instrument).passage).level
            level = max(needed, next(levels), key=lambda each: list(LEVELS.values()).index(each))
            values = {"level": level.name, "fingers": "all", "part": listing.id, "instrument": instrument.name}
            try:
                marked = annotate(data, read_options({name: [value] for name, value in values.items()}))
                text = re.sub(rb'\A(<\?xml[^>]*encoding=["\'])UTF-16', rb"\1UTF-8", _OURS.sub(b"", marked.text))
                passage = read_part(open_document(text).root, listing.id, instrument).passage
            except ScoreError:
                continue
            yield FingeredPart(f"{path.stem} {listing.id}", text, passage)


def players_parts(scores: Path, labels: Path, *, strings: bool) -> Iterator[FingeredPart]:
    """Yield every part as each of its players fingered it; players who agree in everything count once."""
    for piece in load_pieces(scores, labels):
        seen: list[Hand] = []
        for hand in piece.hands:
            if hand not in seen:
                seen.append(hand)
                yield FingeredPart(f"{piece.name}, player {len(seen)}", b"", _fingered(piece.passage, hand, strings))


def _fingered(passage: Passage, hand: Hand, strings: bool) -> Passage:
    def marked(note: Note) -> Note:
        label = hand.get(note.row) if note.row is not None else None
        if label is None:
            return note
        on = (label.string,) if strings and label.string else ()
        return replace(note, printed=replace(note.printed, fingers=tuple(sorted(label.fingers)), strings=on))

    events = tuple(replace(event, notes=tuple(map(marked, event.notes))) for event in passage.events)
    return replace(passage, events=events)


def without_words(passage: Passage) -> Passage:
    """Return the passage with nothing printed but digits."""
    events = tuple(
        replace(
            event,
            position=None,
            string=None,
            notes=tuple(replace(note, printed=replace(note.printed, strings=())) for note in event.notes),
        )
        for event in passage.events
    )
    return replace(passage, events=events)
