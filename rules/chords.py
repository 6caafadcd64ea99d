"""Notes that sound together: where each sounds on, and what a hand may hold of a chord that is too much for it.

What belongs here: the order in which notes are given up. What does not: whether a hand can hold them (`hand`).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from .passage import Note, Passage

MOST_STOPS = 4


def what_to_hold(struck: Sequence[Note], held: Sequence[Note]) -> list[list[Note]]:
    """Return what to hold, best first: everything; without what is left from before; then fewer notes, top kept."""
    ordered: list[list[Note]] = []
    for kept in (list(held), []) if held else ([],):
        ordered.append(sorted([*struck, *kept], key=lambda note: note.pitch.midi))
    for size in range(min(len(struck) - 1, MOST_STOPS), 0, -1):
        ordered.extend(list(c) for c in sorted(combinations(struck, size), key=_prefer_outer, reverse=True))
    return [notes for notes in ordered if 0 < len(notes) <= MOST_STOPS]


def _prefer_outer(notes: Sequence[Note]) -> tuple[float, float]:
    return (notes[-1].pitch.midi, -notes[0].pitch.midi)


def sounding_in(passage: Passage) -> dict[str, list[int]]:
    """Return the events in which each note sounds: where it starts, and where it is still held."""
    found = {note.id: [index] for index, event in enumerate(passage.events) for note in event.notes}
    for index, event in enumerate(passage.events):
        for id in event.held:
            found.setdefault(id, []).append(index)
    return found
