"""What a study takes from the piece: the rhythm of a bar near the shift, and the figures before and after it."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from ...music.metre import bar_length
from ...plan.plan import Plan
from .tasks import Task

MOST_NOTES = 12
"""Notes of a bar whose rhythm makes a study."""
LONGEST_FIGURE = 8
"""Notes of a figure."""


def rhythm_of(plan: Plan, task: Task) -> list[Fraction]:
    """Return the lengths of the notes in the liveliest full bar around the shifts."""
    found: list[Fraction] = []
    length = bar_length(task.move.meter)
    for shift in task.shifts:
        middle = plan.event(shift.arrival).measure
        for measure in range(middle - 1, middle + 3):
            lengths = [e.beats for e in plan.passage.events if e.measure == measure and not e.grace]
            if sum(lengths, Fraction(0)) == length and len(found) < len(lengths) <= MOST_NOTES:
                found = lengths
    return found


def figures_of(plan: Plan, task: Task) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Return the notes before the departure and after the arrival, in steps from it, as long as the hand stays there.

    A figure ends where the string changes, and so may be of one note only.
    """
    shift = task.shifts[0]
    before = _steps(plan, shift.departure, range(shift.departure, -1, -1))
    after = _steps(plan, shift.arrival, range(shift.arrival, len(plan.passage.events)))
    return before[::-1], after


def _steps(plan: Plan, centre: int, events: Iterable[int]) -> tuple[int, ...]:
    start = plan.grip(centre)
    found: list[int] = []
    for event in events:
        grip = plan.grip(event)
        if start is None or grip is None or len(grip.stops) > 1 or grip.is_open or len(found) == LONGEST_FIGURE:
            break
        (stop,) = grip.stops
        if grip.position != start.position or stop.string != start.stops[-1].string:
            break
        found.append(stop.letters - start.stops[-1].letters)
    return tuple(found)


__all__ = ["figures_of", "rhythm_of"]
