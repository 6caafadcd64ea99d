"""Counts over some events of a plan, for comparing it before and after."""

from __future__ import annotations

from dataclasses import dataclass, fields

from ..hand.grip import Grip
from ..music.passage import HELD_SECONDS, REST_FOR_A_SHIFT
from .plan import Plan


@dataclass(frozen=True, slots=True)
class Figures:
    """Counts over some events.

    Attributes:
        crossings: changes from one string to another between successive notes.
        skips: of these, over one string or more.
        held_weak: held notes on an open string or under the fourth finger, and trills under the fourth.
        stretches: notes for which a finger leaves the hand frame.
        hops: the same finger jumps to another string (not a fifth laid across).
        slides: a finger slides on its string by more than a half step, or the fourth at all, while the hand stays.
        shifts: moves of the hand.
        unreachable: notes that the positions of the level do not reach, or that no hand holds.
    """

    crossings: int = 0
    skips: int = 0
    held_weak: int = 0
    stretches: int = 0
    hops: int = 0
    slides: int = 0
    shifts: int = 0
    unreachable: int = 0

    def as_mapping(self) -> dict[str, int]:
        """Return the figures by name."""
        return {f.name: getattr(self, f.name) for f in fields(self)}


def figures(plan: Plan, first: int = 0, last: int | None = None, arrival: int | None = None) -> Figures:
    """Count over the events `first` to `last`, including the ways into the first and out of the last.

    The way out ends at `arrival`, the event after the last if it is not given.
    """
    end = len(plan.passage.events) - 1 if last is None else last
    inside, ways = slice(first, end + 1), slice(first, (end + 1 if arrival is None else arrival) + 1)
    counts = plan.counts
    crossed = counts.crossings[ways]
    return Figures(
        crossings=sum(1 for size in crossed if size),
        skips=sum(1 for size in crossed if size > 1),
        held_weak=sum(counts.held_weak[inside]),
        stretches=sum(counts.stretched[inside]),
        hops=sum(counts.hops[ways]),
        slides=sum(counts.slides[ways]),
        shifts=len(plan.shifts_between(first, end)),
        unreachable=sum(1 for option in plan.route.options[inside] if option.beyond or option.dropped),
    )


def events_beyond(plan: Plan) -> tuple[int, ...]:
    """Return the events that the level does not reach, whether they are left out or asked for."""
    return tuple(index for index, option in enumerate(plan.route.options) if option.only_beyond)


def bars_beyond(plan: Plan) -> tuple[tuple[int, int], ...]:
    """Return the runs of measures with such events, each by the indices of its first and last measure."""
    runs: list[tuple[int, int]] = []
    for measure in sorted({plan.event(index).measure for index in events_beyond(plan)}):
        if runs and measure == runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], measure)
        else:
            runs.append((measure, measure))
    return tuple(runs)


def grip_pair(plan: Plan, index: int) -> tuple[Grip, Grip] | None:
    """The grips before and at an event; None if a rest between them frees the hand."""
    if index <= 0 or plan.event(index).rest >= REST_FOR_A_SHIFT:
        return None
    before, now = plan.grip(index - 1), plan.grip(index)
    return None if before is None or now is None else (before, now)


def crossing_at(plan: Plan, index: int) -> int:
    """By how many strings the bow moves on the way to an event; 0 if a string stays in play."""
    return plan.counts.crossings[index]


def held_weak(plan: Plan, index: int) -> bool:
    """A held single note on an open string or under the fourth finger."""
    return plan.counts.held_weak[index]


def stretched(plan: Plan, index: int) -> bool:
    """A finger of the grip leaves the frame of its position."""
    return plan.counts.stretched[index]


def hops(plan: Plan, index: int) -> bool:
    """The same finger jumps to another string while the hand stays, other than to the fifth."""
    return plan.counts.hops[index]


__all__ = [
    "HELD_SECONDS",
    "Figures",
    "bars_beyond",
    "crossing_at",
    "events_beyond",
    "figures",
    "grip_pair",
    "held_weak",
    "hops",
    "stretched",
]
