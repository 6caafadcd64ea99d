"""Counts at every event of a route: crossings, weak held notes, stretched fingers, hops, slides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from ..cost.tone import plucked
from ..hand.grip import FINGERS, Grip
from ..music.passage import HELD_SECONDS, UNBOUND_REST, Passage


@dataclass(frozen=True, slots=True)
class Counts:
    """One entry for each event.

    Attributes:
        crossings: by how many strings the bow moves on the way to the event; 0 if a string stays in play.
        held_weak: a held single note on an open string or under the fourth finger, unless it is plucked.
        stretched: a finger of the grip leaves the frame of its position, or an outer one its own letter, anew: a note
            repeated under the same finger is one stretch.
        hops: the same finger jumps to another string while the hand stays, other than to the fifth.
        slides: the same finger moves on its string by more than a half step while the hand stays, or it is the fourth.
    """

    crossings: tuple[int, ...]
    held_weak: tuple[bool, ...]
    stretched: tuple[bool, ...]
    hops: tuple[bool, ...]
    slides: tuple[bool, ...]


@lru_cache(maxsize=16384)
def _counted(before: Grip, now: Grip) -> tuple[int, bool, bool]:
    """Crossing, hop and slide: the same few pairs of grips recur in every plan."""
    return _crossing(before, now), _hop(before, now), _slide(before, now)


def count(passage: Passage, grips: Sequence[Grip | None]) -> Counts:
    """Count a route, given as one grip (or None) for each event."""
    events = passage.events
    if not events:
        return Counts((), (), (), (), ())
    pairs = [
        _counted(before, now) if before and now and event.rest < UNBOUND_REST else _NOTHING_COUNTED
        for event, before, now in zip(events, (None, *grips), grips, strict=False)
    ]
    crossings, hops, slides = zip(*pairs, strict=True)
    weak = tuple(
        event.seconds >= HELD_SECONDS
        and grip is not None
        and len(grip.stops) == 1
        and grip.stops[0].finger in (0, 4)
        and not dry
        for event, grip, dry in zip(events, grips, plucked(passage).tolist(), strict=True)
    )
    stretched = tuple(
        [
            grip is not None and grip.reaches and (grip is not before or event.rest >= UNBOUND_REST)
            for event, before, grip in zip(events, (None, *grips), grips, strict=False)
        ]
    )
    return Counts(crossings, weak, stretched, hops, slides)


_NOTHING_COUNTED = (0, False, False)


def _crossing(before: Grip, now: Grip) -> int:
    return min(abs(a.string - b.string) for a in before.stops for b in now.stops)


def _hop(before: Grip, now: Grip) -> bool:
    return before.position == now.position and any(
        a.finger == b.finger > 0 and a.string != b.string and a.semitones != b.semitones
        for a in before.stops
        for b in now.stops
    )


def _slide(before: Grip, now: Grip) -> bool:
    return before.position == now.position and any(
        a.finger == b.finger > 0
        and a.string == b.string
        and abs(a.semitones - b.semitones) > (0 if a.finger == FINGERS[-1] else 1)
        for a in before.stops
        for b in now.stops
    )
