"""A window of a plan that is played in another way, between neighbours that stay as they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Self

from ..plan.plan import Plan
from ..search.k_best import Allowed
from ..search.planner import Route


@dataclass(frozen=True)
class Window:
    """Events `first` to `last`, with the grips of a route held fast at the ends where the music goes on."""

    first: int
    last: int
    ends: Allowed

    @classmethod
    def between(cls, plan: Plan, low: int, high: int, chosen: Sequence[int]) -> Self:
        """Return the window between two events; ends that cannot be sounded are no hold, so they move outwards."""
        count = len(plan.passage.events)
        low, high = max(low, 0), min(high, count - 1)
        while low > 0 and chosen[low] < 0:
            low -= 1
        while high < count - 1 and chosen[high] < 0:
            high += 1
        ends = {}
        if low > 0:
            ends[low] = frozenset({chosen[low]})
        if high < count - 1:
            ends[high] = frozenset({chosen[high]})
        return cls(low, high, ends)

    def taken(self, plan: Plan) -> tuple[int, ...]:
        """Return the plan's own grips."""
        return plan.route.chosen[self.first : self.last + 1]

    def as_plan(self, plan: Plan, chosen: Sequence[int]) -> Plan:
        """Return the window as a plan of its own, with some grips; its events count from 0."""
        part = slice(self.first, self.last + 1)
        route = Route(plan.route.options[part], tuple(chosen), 0.0)
        return Plan(replace(plan.passage, events=plan.passage.events[part]), plan.level, route)
