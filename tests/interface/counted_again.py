"""Counts of a plan, counted again from the stops: what changes on the way from one event to the next."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from rules import Excursion, Grip, Plan, Stop

REST = 0.1
"""Seconds of rest after which nothing is counted from the note before."""


LONG = 1.2
"""Seconds from which a note is long."""


def is_weak(grip: object) -> bool:
    """Whether a single note is on an open string or under the fourth finger."""
    stops = getattr(grip, "stops", ())
    return len(stops) == 1 and stops[0].finger in (0, 4)


Way = tuple[tuple[Stop, ...], tuple[Stop, ...], bool]
"""The stops before and after, and whether the hand stays in its position."""


def arrival_after(plan: Plan, last: int) -> int:
    """The event at which the hand has come home from one: a finger is down, or a rest lies before it."""
    events = range(last + 1, len(plan.grips))
    return next(
        (i for i in events if plan.event(i).rest >= REST or ((grip := plan.grip(i)) is not None and not grip.is_open)),
        len(plan.grips),
    )


def ways(plan: Plan, first: int, last: int, grips: Sequence[Grip | None]) -> Iterator[Way]:
    """The ways from note to note, into the first and up to `last`, unless a rest lies between."""
    for index in range(max(1, first), min(last + 1, len(grips))):
        before, now = grips[index - 1], grips[index]
        if before is not None and now is not None and plan.event(index).rest < REST:
            yield before.stops, now.stops, before.position == now.position


def count_in(plan: Plan, excursion: Excursion, home: Plan, count: Callable[[Way], bool]) -> tuple[int, int]:
    """How often something comes in an excursion as planned and at home, ways in and out included."""
    until = arrival_after(plan, excursion.last)
    planned, at_home = (sum(map(count, ways(plan, excursion.first, until, each.grips))) for each in (plan, home))
    return planned, at_home


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
