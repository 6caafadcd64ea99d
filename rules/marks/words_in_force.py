"""How long a printed position word or *restez* holds.

Common practice: "III. Lage" holds until another position is named, or until a printed finger or a note leads out of
it; so does the word for first position, which marks the return. Restez asks the hand to stay for the notes that follow
without a rest, as far as one position has them all.
"""

from __future__ import annotations

from ..hand.grip import EVERY_POSITION
from ..music.passage import UNBOUND_REST, Passage
from .printed_marks import is_reachable, marked_positions

STAYS = 8
"""Most events for which restez holds: about as far as the eye reads ahead (common practice)."""


def positions_in_force(passage: Passage) -> list[int | None]:
    """Return for every event the position that words ask for, named there or before; None where none is in force."""
    found: list[int | None] = []
    current: int | None = None
    for event in passage.events:
        if event.position is not None:
            current = event.position
            found.append(current)
            continue
        if current is not None:
            marked = marked_positions(event, passage.instrument)
            if (marked and current not in marked) or not is_reachable(event, passage.instrument, current):
                current = None
        found.append(current)
    return found


def events_after_restez(passage: Passage) -> frozenset[int]:
    """Return the events before which restez forbids a shift."""
    found: set[int] = set()
    for index, event in enumerate(passage.events):
        if event.restez:
            found |= _from(passage, index)
    return frozenset(found)


def _from(passage: Passage, start: int) -> set[int]:
    """The events after a restez, as long as some position has everything since."""
    possible = _positions(passage, start, EVERY_POSITION)
    found: set[int] = set()
    for index in range(start + 1, min(start + STAYS, len(passage.events) - 1) + 1):
        event = passage.events[index]
        possible = _positions(passage, index, possible)
        if not possible or event.position is not None or event.rest >= UNBOUND_REST:
            break
        found.add(index)
    return found


def _positions(passage: Passage, index: int, within: frozenset[int]) -> frozenset[int]:
    event = passage.events[index]
    marked = marked_positions(event, passage.instrument)
    return frozenset(p for p in (within & marked if marked else within) if is_reachable(event, passage.instrument, p))


__all__ = ["events_after_restez", "positions_in_force"]
