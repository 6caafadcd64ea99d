"""Difficulty bar by bar: effort of the left hand for each second of playing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..cost.aspects import Aspect
from ..search.k_best import RouteSearch
from .plan import Plan

LEAST_BAR_SECONDS = 0.25
"""Shorter playing times of a bar count as this many seconds, so that a bar with one grace note is not the hardest."""


@dataclass(frozen=True, slots=True)
class BarDifficulty:
    """What one bar asks of the left hand.

    Attributes:
        measure: index of the measure.
        effort: effort of its events and the ways to them, tone apart: what the hand has to do.
        seconds: time during which they sound.
        shifts: arrivals in another position.
        crossings: changes of string on the way to its events.
        hard_grips: stretched fingers and hops.
    """

    measure: int
    effort: float
    seconds: float
    shifts: int
    crossings: int
    hard_grips: int

    @property
    def per_second(self) -> float:
        """Effort for each second of playing: the measure of difficulty."""
        return self.effort / max(self.seconds, LEAST_BAR_SECONDS)


def difficulty_by_bar(plan: Plan, routes: RouteSearch) -> tuple[BarDifficulty, ...]:
    """Return the curve of difficulty: one entry for every bar in which something is played, in order."""
    efforts = routes.effort_by_event(plan.route.chosen, without=Aspect.TONE)
    arrivals = {shift.arrival for shift in plan.shifts}
    events, counts = plan.passage.events, plan.counts
    return tuple(
        BarDifficulty(
            measure,
            max(sum([efforts[i] for i in inside]), 0.0),
            sum([events[i].seconds for i in inside]),
            sum([i in arrivals for i in inside]),
            sum([counts.crossings[i] > 0 for i in inside]),
            sum([counts.stretched[i] + counts.hops[i] for i in inside]),
        )
        for measure, inside in plan.passage.events_by_measure.items()
    )


def hardest(curve: Sequence[BarDifficulty], most: int = 3) -> tuple[BarDifficulty, ...]:
    """Return the hardest bars, hardest first; equal ones in order of playing. Bars without effort are left out."""
    ranked = sorted((bar for bar in curve if bar.effort > 0), key=lambda bar: (-bar.per_second, bar.measure))
    return tuple(ranked[:most])


__all__ = ["BarDifficulty", "difficulty_by_bar", "hardest"]
