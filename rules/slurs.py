"""Which events lie under one slur with others.

What does not belong here: what a slur costs (`effort`) or how it is written.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from .passage import Event


def slurred_with(events: Sequence[Event], which: Sequence[bool]) -> Iterator[tuple[int, list[int]]]:
    """Yield every event that is not one of `which` but shares its slur with some, and the indices of those."""
    if not any(which):
        return
    first = 0
    for end in range(1, len(events) + 1):
        if end < len(events) and events[end].slurred:
            continue
        others = [index for index in range(first, end) if which[index]]
        if others:
            yield from ((index, others) for index in range(first, end) if not which[index])
        first = end
