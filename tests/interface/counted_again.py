"""Counts of a plan, counted again from the stops: what changes on the way from one event to the next."""

from __future__ import annotations

from collections.abc import Callable

from rules import Excursion, Plan, Stop

UNBOUND_REST = 0.5
"""Seconds of rest after which nothing is counted from the note before."""


def is_weak(grip: object) -> bool:
    """Whether a single note is on an open string or under the fourth finger."""
    stops = getattr(grip, "stops", ())
    return len(stops) == 1 and stops[0].finger in (0, 4)


Way = tuple[tuple[Stop, ...], tuple[Stop, ...], bool]
"""The stops before and after, and whether the hand stays in its position."""


def count_in(plan: Plan, excursion: Excursion, count: Callable[[Way], bool]) -> int:
    """How often something comes in the bars of an excursion, ways in and out included unless a rest lies between."""
    number = 0
    for index in range(max(1, excursion.first), min(excursion.last + 2, len(plan.grips))):
        before, now = plan.grip(index - 1), plan.grip(index)
        if before is not None and now is not None and plan.event(index).rest < UNBOUND_REST:
            number += count((before.stops, now.stops, before.position == now.position))
    return number


def _distance(way: Way) -> int:
    return min(abs(a.string - b.string) for a in way[0] for b in way[1])


def _same_fingers(way: Way) -> list[tuple[Stop, Stop]]:
    return [(a, b) for a in way[0] for b in way[1] if way[2] and a.finger == b.finger > 0]


def _hops(way: Way) -> bool:
    return any(a.string != b.string and a.semitones != b.semitones for a, b in _same_fingers(way))


def _slides(way: Way) -> bool:
    return any(
        a.string == b.string and abs(a.semitones - b.semitones) > (0 if a.finger == 4 else 1)
        for a, b in _same_fingers(way)
    )


COUNTED: dict[str, Callable[[Way], bool]] = {
    "string crossing": lambda way: _distance(way) > 0,
    "jump": lambda way: _distance(way) > 1,
    "finger hop": _hops,
    "finger slide": _slides,
}
