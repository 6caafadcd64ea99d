"""What to hold of a chord that is too much for one hand, and in which events each note sounds."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from ..music.passage import Note, Passage

MOST_STOPS = 4


def what_to_hold(struck: Sequence[Note], held: Sequence[Note]) -> list[tuple[list[Note], bool]]:
    """Return what to hold, best first, and whether the hand may leave the level for it.

    Within the level: everything; without what is left from before; the upper voice alone, the other touched and let go
    (common practice). Then beyond it: everything; without what is left; fewer notes, the top one kept.
    """
    whole = [sorted([*struck, *kept], key=_height) for kept in ((held, ()) if held else ((),))]
    voices = {note.voice for note in struck}
    upper = max(struck, key=_height).voice if len(voices) > 1 else None
    alone = [[note for note in struck if note.voice == upper]] if upper is not None else []
    ordered = [(notes, False) for notes in (*whole, *alone)] + [(notes, True) for notes in whole]
    outer = _outer(struck)
    for size in range(min(len(struck) - 1, MOST_STOPS), 0, -1):
        ordered.extend((list(c), True) for c in sorted(combinations(outer, size), key=_prefer_outer, reverse=True))
    return [(notes, may_leave) for notes, may_leave in ordered if 0 < len(notes) <= MOST_STOPS]


def _outer(struck: Sequence[Note]) -> Sequence[Note]:
    """The outer notes of a chord with more notes than a hand could ever hold; else all of it."""
    return struck if len(struck) <= 2 * MOST_STOPS else (*struck[:MOST_STOPS], *struck[-MOST_STOPS:])


def _height(note: Note) -> float:
    return note.pitch.midi


def _prefer_outer(notes: Sequence[Note]) -> tuple[float, float]:
    return (notes[-1].pitch.midi, -notes[0].pitch.midi)


def sounding_in(passage: Passage) -> dict[str, list[int]]:
    """Return the events in which each note sounds: where it starts, and where it is still held."""
    found = {note.id: [index] for index, event in enumerate(passage.events) for note in event.notes}
    for index, event in enumerate(passage.events):
        for id in event.held:
            found.setdefault(id, []).append(index)
    return found
