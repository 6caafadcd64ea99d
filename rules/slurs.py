"""Which events are bound to others: under one slur with them, or close by without a rest between.

What does not belong here: what a slur costs (`effort`) or how it is written.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from .counting import UNBOUND_REST
from .passage import Event

CLOSE_BY = 3
"""How many events away, rests apart, still belong together: about a beat of quick notes."""


def bound_to(events: Sequence[Event], which: Sequence[bool]) -> Iterator[tuple[int, list[int]]]:
    """Yield every event that is bound to others of `which`, and the indices of those."""
    if not any(which):
        return
    slurs = _runs([not event.slurred for event in events])
    phrases = _runs([event.rest >= UNBOUND_REST for event in events])
    for index in range(len(events)):
        close = range(max(index - CLOSE_BY, 0), min(index + CLOSE_BY + 1, len(events)))
        together = {*slurs[index], *(other for other in close if other in phrases[index])}
        others = sorted(other for other in together if which[other] and other != index)
        if others:
            yield index, others


def _runs(begins: Sequence[bool]) -> list[range]:
    """For every event the run it belongs to; a run lasts from one that begins it to the next."""
    starts = [index for index, begin in enumerate(begins) if begin or not index]
    ends = [*starts[1:], len(begins)]
    return [range(start, end) for start, end in zip(starts, ends, strict=True) for _ in range(start, end)]
