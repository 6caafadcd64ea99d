"""What can be counted at every event of a route: crossings, weak held notes, stretched fingers, hops.

What does not belong here: sums over stretches of music (see `figures`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .hand import Grip
from .passage import Event

HELD_SECONDS = 0.9
"""A note this long is held: its tone is heard for itself. Common practice: about a half note at a walking pace."""
UNBOUND_REST = 0.5
"""Seconds of silence after which a change of string or finger costs nothing."""


@dataclass(frozen=True, slots=True)
class Counts:
    """One entry for each event.

    Attributes:
        crossings: by how many strings the bow moves on the way to the event; 0 if a string stays in play.
        held_weak: a held single note on an open string or under the fourth finger.
        stretched: a finger of the grip leaves the frame of its position.
        hops: the same finger jumps to another string while the hand stays, other than to the fifth.
    """

    crossings: tuple[int, ...]
    held_weak: tuple[bool, ...]
    stretched: tuple[bool, ...]
    hops: tuple[bool, ...]


def count(events: Sequence[Event], grips: Sequence[Grip | None]) -> Counts:
    """Count a route, given as one grip (or None) for each event."""
    crossings, weak, stretched, hops = [], [], [], []
    # Few grips follow each other again and again, and each is one object, so its identity is the quickest key.
    ways: dict[tuple[int, int], tuple[int, bool]] = {}
    strained: dict[int, bool] = {}
    before: Grip | None = None
    for event, grip in zip(events, grips, strict=True):
        crossing, hop = 0, False
        if grip is not None and before is not None and event.rest < UNBOUND_REST:
            key = (id(before), id(grip))
            found = ways.get(key)
            if found is None:
                found = ways[key] = (_crossing(before, grip), _hop(before, grip))
            crossing, hop = found
        crossings.append(crossing)
        hops.append(hop)
        weak.append(
            event.seconds >= HELD_SECONDS
            and grip is not None
            and len(grip.stops) == 1
            and grip.stops[0].finger in (0, 4)
        )
        if grip is not None and id(grip) not in strained:
            strained[id(grip)] = grip.excess > 0
        stretched.append(grip is not None and strained[id(grip)])
        before = grip
    return Counts(tuple(crossings), tuple(weak), tuple(stretched), tuple(hops))


def _crossing(before: Grip, now: Grip) -> int:
    return min(abs(a.string - b.string) for a in before.stops for b in now.stops)


def _hop(before: Grip, now: Grip) -> bool:
    return before.position == now.position and any(
        a.finger == b.finger > 0 and a.string != b.string and a.semitones != b.semitones
        for a in before.stops
        for b in now.stops
    )
