"""Which events go together with an event: those under one slur with it or close by without a rest, slurs unbroken."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ..music.passage import UNBOUND_REST, Event

CLOSE_BY = 3
"""How many events away, rests apart, still belong together: about a beat of quick notes."""


def surroundings(events: Sequence[Event], which: Sequence[bool]) -> Iterator[range]:
    """Yield, for every event of `which`, the events that go together with it, itself among them.

    Takes time in step with the number of events, however long a slur is.
    """
    slur_begins, slur_ends = _runs([event.slurred for event in events])
    going_on = [event.rest < UNBOUND_REST for event in events]
    for index, wanted in enumerate(which):
        if wanted:
            first, last = index, index
            while first > max(index - CLOSE_BY, 0) and going_on[first]:
                first -= 1
            while last < min(index + CLOSE_BY, len(events) - 1) and going_on[last + 1]:
                last += 1
            yield range(slur_begins[first], slur_ends[last] + 1)


def _runs(joined: Sequence[bool]) -> tuple[list[int], list[int]]:
    """Return, for every event, the first and the last of its run of events each joined to the one before."""
    begins, ends = list(range(len(joined))), list(range(len(joined)))
    for index in range(1, len(joined)):
        if joined[index]:
            begins[index] = begins[index - 1]
    for index in range(len(joined) - 2, -1, -1):
        if joined[index + 1]:
            ends[index] = ends[index + 1]
    return begins, ends


def covering(
    surroundings: Iterator[range], values: Sequence[frozenset[int]], events: int
) -> Iterator[tuple[int, frozenset[int]]]:
    """Yield every event that a range covers, with the union of the values of all ranges that cover it."""
    begins: dict[int, list[frozenset[int]]] = {}
    ends: dict[int, list[frozenset[int]]] = {}
    for span, value in zip(surroundings, values, strict=True):
        begins.setdefault(span.start, []).append(value)
        ends.setdefault(span.stop, []).append(value)
    counts: dict[int, int] = {}
    covered: frozenset[int] = frozenset()
    for event in range(events):
        for change, turns in ((1, begins.get(event, ())), (-1, ends.get(event, ()))):
            for value in turns:
                for item in value:
                    counts[item] = counts.get(item, 0) + change
        if event in begins or event in ends:
            covered = frozenset(item for item, count in counts.items() if count)
        if covered:
            yield event, covered
