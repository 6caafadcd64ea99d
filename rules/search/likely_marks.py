"""How much likelier the routes of the hand are if some marks were others, given all other marks.

All routes through a part are weighed by their effort, as in `consensus`. A printed mark is taken to be right but for a
small doubt: a route against it is so much less likely, not impossible. What the routes through some events are worth
together, once with the marks as printed and once with others, tells how much better the others suit the hand that all
other marks describe.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import exp, isfinite, log

import numpy as np

from ..candidates.candidates import candidates
from ..cost.grip_arrays import Array
from ..hand.level import ALL
from ..marks.constraints import UNCONSTRAINED, Constraint
from ..marks.decisions import printed_decisions
from ..music.passage import Passage
from .consensus import both_ways, states_weighed, ways_weighed
from .planner import PassageSearch

RIGHT = 8.0
"""A route against a printed mark is exp(-8) times as likely, about one in three thousand."""
MOST = 12.0
"""Nothing is told for or against other marks beyond this."""
_NOT_AT_ALL = -60.0


class LikelyMarks:
    """The routes through a part under its printed marks, at the level that has all positions."""

    def __init__(self, passage: Passage) -> None:
        self._passage = passage
        self._printed = printed_decisions(passage)
        self._options = candidates(passage, ALL, self._printed)
        self._playable = [event for event, option in enumerate(self._options) if option.grips]
        self._step = {event: step for step, event in enumerate(self._playable)}
        self._masks: dict[tuple[int, int, Constraint], Array] = {}
        found = PassageSearch(passage).efforts(ALL, [option._replace(broken=()) for option in self._options])
        if found is None:
            return
        tables, ways = found
        self._free = states_weighed(tables.holds())
        self._kept = [free * self._right(event, free) for event, free in zip(self._playable, self._free, strict=True)]
        self._ways = ways.each(lambda some, _: ways_weighed(some))
        with np.errstate(invalid="ignore"):
            self._ahead, self._behind = both_ways(self._kept, self._ways)

    def gained_by(self, changes: Mapping[int, Constraint]) -> float:
        """Return the logarithm of how many times as likely the routes are with other marks at some single notes.

        Args:
            changes: the marks instead, by event. 0 is returned if the events cannot be compared.
        """
        ids = {event: self._passage.events[event].notes[0].id for event in changes}
        if not all(id in self._options[event].slots for event, id in ids.items()):
            return 0.0
        printed = {event: self._printed.get(id, UNCONSTRAINED) for event, id in ids.items()}
        with np.errstate(invalid="ignore", divide="ignore"):
            gained = self._worth(changes) - self._worth(printed)
        return max(-MOST, min(gained, MOST)) if isfinite(gained) else 0.0

    def _worth(self, marks: Mapping[int, Constraint]) -> float:
        """The logarithm of the weight of all routes that keep to the marks, in proportion."""
        first, last = self._step[min(marks)], self._step[max(marks)]
        found, total = np.ones(len(self._free[first])), 0.0
        for step in range(first, last + 1):
            if step:
                found = (self._ahead[step - 1] if step == first else found) @ self._ways[step]
            event = self._playable[step]
            found = found * (self._allowed(event, marks[event]) if event in marks else self._kept[step])
            weight = float(np.add.reduce(found))
            if weight <= 0:
                return _NOT_AT_ALL
            found, total = found / weight, total + log(weight)
        weight = float(found @ self._behind[last])
        return total + log(weight) if weight > 0 else _NOT_AT_ALL

    def _allowed(self, event: int, mark: Constraint) -> Array:
        """The weights of the grips that keep to a mark; 0 for the others."""
        option, free = self._options[event], self._free[self._step[event]]
        slot = option.slots.index(self._passage.events[event].notes[0].id)
        key = option.grips.serial, slot, mark
        if key not in self._masks:
            self._masks[key] = np.array([float(not mark.violations(grip, slot)) for grip in option.grips])
        mask = self._masks[key]
        return free * np.pad(mask, (0, len(free) - len(mask)))

    def _right(self, event: int, free: Array) -> Array:
        broken = self._options[event].broken
        return np.array([exp(-RIGHT * times) for times in broken] + [1.0] * (len(free) - len(broken)))


__all__ = ["LikelyMarks"]
