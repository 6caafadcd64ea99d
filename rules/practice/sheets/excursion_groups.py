"""The excursions of a piece away from first position, alike ones together, cut into pieces that can be practised."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from ...hand.grip import HOME_POSITION
from ...plan.plan import Excursion, Plan, Shift

LONGEST = 8
"""Bars of one piece; more at once is no longer practice."""
AROUND = 1
"""Bars of the piece before and after."""


@dataclass(frozen=True, slots=True)
class ExcursionGroup:
    """An excursion, with those that have the same notes, fingers and rhythm.

    Attributes:
        excursion: the first of them.
        alike: the others.
        measures: first and last bar, with those of the last note before it and the first after the shift home.
    """

    excursion: Excursion
    alike: tuple[Excursion, ...]
    measures: tuple[int, int]

    @property
    def shifts(self) -> tuple[Shift, ...]:
        """The shifts out, within and home."""
        return self.excursion.shifts

    @property
    def pieces(self) -> tuple[tuple[int, int], ...]:
        """The bars in pieces of about equal length."""
        first, last = self.measures
        count = last - first + 1
        parts = -(-count // LONGEST)
        edges = [first + count * number // parts for number in range(parts + 1)]
        return tuple((start, end - 1) for start, end in pairwise(edges))


def excursion_groups(plan: Plan, chosen: Iterable[int]) -> tuple[ExcursionGroup, ...]:
    """Return the chosen excursions, alike ones together, in the order of the piece."""
    groups: dict[tuple[object, ...], list[Excursion]] = {}
    for number in chosen:
        excursion = plan.excursions[number]
        groups.setdefault(_content(plan, excursion), []).append(excursion)
    return tuple(ExcursionGroup(group[0], tuple(group[1:]), measures_of(plan, group[0])) for group in groups.values())


def measures_of(plan: Plan, excursion: Excursion) -> tuple[int, int]:
    """Return the bars of an excursion, with the one that leads to it and the one in which the hand is home again."""
    first, last = plan.event(excursion.first).measure, plan.event(excursion.last).measure
    for shift in excursion.shifts:
        departure, arrival = plan.event(shift.departure).measure, plan.event(shift.arrival).measure
        if shift.arrival == excursion.first:
            first = max(departure, first - AROUND)
        if shift.goal == HOME_POSITION:
            last = min(arrival, last + AROUND)
    return first, last


def with_surroundings(plan: Plan, measures: tuple[int, int]) -> tuple[int, int]:
    """Return the bars with those around them, as far as the piece has them and something sounds there."""
    last = len(plan.passage.measures) - 1
    return sounding(plan, (max(measures[0] - AROUND, 0), min(measures[1] + AROUND, last)))


def sounding(plan: Plan, measures: tuple[int, int]) -> tuple[int, int]:
    """Return the bars without those at both ends in which nothing begins."""
    begun = [event.measure for event in plan.passage.events if measures[0] <= event.measure <= measures[1]]
    return (begun[0], begun[-1]) if begun else measures


def _content(plan: Plan, excursion: Excursion) -> tuple[object, ...]:
    """What is played away, and from which note to which the hand goes out and home, however long these are held."""
    around = [*(shift.departure for shift in excursion.shifts[:1]), *(shift.arrival for shift in excursion.shifts[-1:])]
    ends = [index for index in around if index not in excursion.events]
    start = plan.event(excursion.first)
    played = [
        (event.onset - start.onset, event.beats, event.pitches, event.slurred, plan.grip(index))
        for index in excursion.events
        for event in (plan.event(index),)
    ]
    return start.onset - plan.passage.measures[start.measure].onset, *map(plan.grip, ends), *played


__all__ = ["ExcursionGroup", "excursion_groups", "measures_of", "sounding", "with_surroundings"]
