"""Which events are bound to others: under one slur with them, or close by without a rest between, slurs unbroken.

What does not belong here: what a slur costs (`effort`) or how it is written.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ..music.passage import UNBOUND_REST, Event

CLOSE_BY = 3
"""How many events away, rests apart, still belong together: about a beat of quick notes."""


def bound_to(events: Sequence[Event], which: Sequence[bool]) -> Iterator[tuple[int, list[int]]]:
    """Yield every event that is bound to others of `which`, and the indices of those."""
    slurred = [event.slurred for event in events]
    going_on = [event.rest < UNBOUND_REST for event in events]
    found: dict[int, list[int]] = {}
    for index, wanted in enumerate(which):
        if wanted:
            close = _run(going_on, index, max(index - CLOSE_BY, 0), min(index + CLOSE_BY + 1, len(events)))
            first, last = (_run(slurred, end, 0, len(events)) for end in (close[0], close[-1]))
            for other in range(first.start, last.stop):
                if other != index:
                    found.setdefault(other, []).append(index)
    yield from sorted(found.items())


def _run(joined: Sequence[bool], index: int, first: int, end: int) -> range:
    """The events around one, from `first` to before `end` at most, each of which is joined to the one before."""
    start, stop = index, index + 1
    while start > first and joined[start]:
        start -= 1
    while stop < end and joined[stop]:
        stop += 1
    return range(start, stop)
