"""Counts at every event of a route: crossings, weak held notes, stretched fingers, hops, slides."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from ..cost.tone import plucked
from ..hand.grip import FINGERS, Grip, Stop
from ..music.passage import HELD_SECONDS, REST_FOR_A_SHIFT, UNBOUND_REST, Event, Passage


@dataclass(frozen=True, slots=True)
class Counts:
    """One entry for each event.

    Attributes:
        crossings: by how many strings the bow moves on the way to the event; 0 if a string stays in play.
        held_weak: a single note that is weak (see `is_weak`), unless it is plucked.
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


def is_weak(event: Event, stop: Stop) -> bool:
    """Return True if a note is long on an open string or under the fourth finger, or trilled under the fourth.

    For a trill no finger is left above the fourth, however short it is.
    """
    if stop.finger == FINGERS[-1] and event.is_trilled:
        return True
    return stop.finger in (0, FINGERS[-1]) and event.seconds >= HELD_SECONDS


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
        _counted(before, now) if before and now and event.rest < REST_FOR_A_SHIFT else _NOTHING_COUNTED
        for event, before, now in zip(events, (None, *grips), grips, strict=False)
    ]
    crossings, hops, slides = zip(*pairs, strict=True)
    weak = [
        grip is not None and len(grip.stops) == 1 and is_weak(event, grip.stops[0])
        for event, grip in zip(events, grips, strict=True)
    ]
    if any(weak):
        weak = [held and not dry for held, dry in zip(weak, plucked(passage).tolist(), strict=True)]
    stretched = tuple(
        [
            grip is not None and grip.stretches and (grip is not before or event.rest >= UNBOUND_REST)
            for event, before, grip in zip(events, (None, *grips), grips, strict=False)
        ]
    )
    return Counts(crossings, tuple(weak), stretched, hops, slides)


_NOTHING_COUNTED = (0, False, False)


def _crossing(before: Grip, now: Grip) -> int:
    return min(abs(a.string - b.string) for a in before.stops for b in now.stops)


def _hop(before: Grip, now: Grip) -> bool:
    return any(True for _ in hop_stops(before, now))


def _slide(before: Grip, now: Grip) -> bool:
    return any(True for _ in slide_stops(before, now))


def hop_stops(before: Grip, now: Grip) -> Iterator[tuple[Stop, Stop]]:
    """Yield the stops between which a finger hops: to another string while the hand stays, other than to the fifth."""
    for a, b in _same_finger(before, now):
        if a.string != b.string and a.semitones != b.semitones:
            yield a, b


def slide_stops(before: Grip, now: Grip) -> Iterator[tuple[Stop, Stop]]:
    """Yield the stops between which a finger slides on its string: more than a half step, or any way if the fourth."""
    for a, b in _same_finger(before, now):
        if a.string == b.string and abs(a.semitones - b.semitones) > (0 if a.finger == FINGERS[-1] else 1):
            yield a, b


def _same_finger(before: Grip, now: Grip) -> Iterator[tuple[Stop, Stop]]:
    """The stops of a finger before and now, if the hand stays."""
    if before.position == now.position:
        yield from ((a, b) for a in before.stops for b in now.stops if a.finger == b.finger > 0)
