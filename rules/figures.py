"""What can be counted in a plan: the figures that are shown before and after, and the events they come from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields

from .hand import Grip, frame_excess
from .passage import Event
from .plan import Plan

HELD_SECONDS = 0.9
"""A note this long is held: its tone is heard for itself. Common practice: about a half note at a walking pace."""
UNBOUND_REST = 0.5
"""Seconds of silence after which a change of string or finger costs nothing."""


@dataclass(frozen=True, slots=True)
class Figures:
    """Counts over a stretch of music.

    Attributes:
        crossings: changes from one string to another between successive notes.
        skips: of these, over one string or more.
        held_weak: held notes on an open string or under the fourth finger.
        stretches: notes for which a finger leaves the hand frame.
        hops: the same finger jumps to another string (not a fifth laid across).
        shifts: moves of the hand.
        unreachable: notes that the positions of the level do not reach, or that no hand holds.
    """

    crossings: int = 0
    skips: int = 0
    held_weak: int = 0
    stretches: int = 0
    hops: int = 0
    shifts: int = 0
    unreachable: int = 0

    def as_mapping(self) -> dict[str, int]:
        """Return the figures by name."""
        return {f.name: getattr(self, f.name) for f in fields(self)}


def figures(plan: Plan, first: int = 0, last: int | None = None) -> Figures:
    """Count over the events `first` to `last`, including the ways into the first and out of the last."""
    end = len(plan.passage.events) - 1 if last is None else last
    events = range(first, end + 1)
    return Figures(
        crossings=sum(1 for size in crossings(plan, first, end) if size),
        skips=sum(1 for size in crossings(plan, first, end) if size > 1),
        held_weak=sum(held_weak(plan, index) for index in events),
        stretches=sum(stretched(plan, index) for index in events),
        hops=sum(hops(plan, index) for index in range(first, min(end + 2, len(plan.passage.events)))),
        shifts=sum(1 for shift in plan.shifts if first <= shift.arrival <= end + 1),
        unreachable=sum(1 for index in events if plan.route.options[index].beyond or plan.route.options[index].dropped),
    )


def way(plan: Plan, index: int) -> tuple[Grip, Grip] | None:
    """The grips before and at an event if the one follows the other without a rest that frees the hand."""
    if index <= 0 or plan.event(index).rest >= UNBOUND_REST:
        return None
    before, now = plan.grip(index - 1), plan.grip(index)
    return None if before is None or now is None else (before, now)


def crossing_at(plan: Plan, index: int) -> int:
    """By how many strings the bow moves on the way to an event; 0 if a string stays in play."""
    pair = way(plan, index)
    if pair is None:
        return 0
    return min(abs(a.string - b.string) for a in pair[0].stops for b in pair[1].stops)


def crossings(plan: Plan, first: int, last: int) -> Iterator[int]:
    """The crossings on the ways into, within and out of a stretch of events."""
    for index in range(first, min(last + 2, len(plan.passage.events))):
        yield crossing_at(plan, index)


def is_held(event: Event) -> bool:
    """True if the event sounds long enough for its tone to matter."""
    return event.seconds >= HELD_SECONDS


def held_weak(plan: Plan, index: int) -> bool:
    """A held single note on an open string or under the fourth finger."""
    grip, event = plan.grip(index), plan.event(index)
    if grip is None or len(grip.stops) > 1 or not is_held(event):
        return False
    return grip.stops[0].finger in (0, 4)


def stretched(plan: Plan, index: int) -> bool:
    """A finger of the grip leaves the frame of its position."""
    grip = plan.grip(index)
    if grip is None:
        return False
    return any(s.finger and frame_excess(s.semitones, s.finger, grip.position) for s in grip.stops)


def hops(plan: Plan, index: int) -> bool:
    """The same finger jumps to another string while the hand stays, other than to the fifth."""
    pair = way(plan, index)
    if pair is None or pair[0].position != pair[1].position:
        return False
    return any(
        a.finger == b.finger > 0 and a.string != b.string and a.semitones != b.semitones
        for a in pair[0].stops
        for b in pair[1].stops
    )
