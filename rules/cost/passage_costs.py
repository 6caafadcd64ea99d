"""The efforts that the planner adds up, for the events of one passage: what a grip costs, and the way to it.

What depends on the grips alone comes from `stacks`; here it is combined with the circumstances of every event.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from copy import copy
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from ..candidates.candidates import Candidates
from ..hand.grip_set import GripSet
from ..hand.level import Level
from ..hand.technique import bonds, keeps
from ..music.passage import Passage
from .aspects import ASPECTS_IN_ORDER, Aspect, aspect_of
from .context import Character, circumstances
from .grip_arrays import Array
from .learner_terms import BEYOND_LEVEL, level_terms
from .level_contexts import HOME_WOULD_DO, home_would_do
from .pair_costs import Share, Stack, Stacks, stacks_for
from .standard_terms import Weights

BROKEN_DECISION = float(2**20)
"""Effort of going against one decision: more than any route can save, so the fewest are broken."""

SLOW = "slow, demanding part"

_CIRCUMSTANCES: WeakKeyDictionary[Passage, dict[Character, dict[str, Array]]] = WeakKeyDictionary()


def _circumstances_of(passage: Passage, character: Character) -> dict[str, Array]:
    """The circumstances of a passage; worked out once, since a part is planned more than once."""
    known = _CIRCUMSTANCES.setdefault(passage, {})
    if character not in known:
        known[character] = circumstances(passage, character)
    return known[character]


class _Pairs(NamedTuple):
    """Which steps have the same grips, and which ways go between the same grips."""

    set_of: NDArray[np.intp]
    pair_of: NDArray[np.intp]
    moves: list[Stack]

    @classmethod
    def of(cls, grips: Sequence[GripSet], stacks: Stacks) -> _Pairs:
        by_step = [one.serial for one in grips]
        by_serial = dict(zip(by_step, grips, strict=True))
        serials, set_of = np.unique(by_step, return_inverse=True)
        sets = [by_serial[int(serial)] for serial in serials]
        codes, pair_of = np.unique(set_of[:-1] * len(sets) + set_of[1:], return_inverse=True)
        return cls(set_of, pair_of, stacks.moves([(sets[c // len(sets)], sets[c % len(sets)]) for c in codes]))


class Tables:
    """Holding and moving efforts for the playable events of a passage; a step is the index of a playable event.

    `slow` tells for every step how slow the music is, from 0 to 1, in a part that goes beyond first position; it is 0
    throughout at a learner's level.
    """

    def __init__(
        self,
        passage: Passage,
        options: Sequence[Candidates],
        playable: Sequence[int],
        level: Level,
        weights: Weights,
        character: Character,
    ) -> None:
        self._terms = weights.terms + level_terms(level)
        self._stacks = stacks_for(self._terms)
        self._rows = np.array(playable, dtype=np.intp)
        self._circumstances = _circumstances_of(passage, character)
        if level.learner:
            self._circumstances = self._circumstances | {HOME_WOULD_DO: home_would_do(passage)}
        self.slow = np.zeros(len(playable)) if level.learner else self._circumstances[SLOW][self._rows]
        self._weigh()
        links = bonds(passage).links
        self._links = {s: links[t] for s, t in enumerate(playable) if t in links and s and playable[s - 1] == t - 1}
        self._sounding_on = {step for step, t in enumerate(playable) if step and passage.events[t].held}
        self._take(options[t] for t in playable)

    def with_options(self, options: Sequence[Candidates]) -> Tables:
        """The same passage with other candidates, where the same events are playable."""
        made = copy(self)
        made.__dict__.pop("_pairs", None)
        made._take(options[t] for t in self._rows.tolist())
        return made

    def without(self, aspect: Aspect) -> Tables:
        """The same without the terms that are about an aspect."""
        made = copy(self)
        made.__dict__.pop("_pairs", None)
        made._terms = tuple(term for term in self._terms if aspect_of(term.name) is not aspect)
        made._stacks = stacks_for(made._terms)
        for name in ("_hold_lists", "_move_lists"):
            made.__dict__.pop(name, None)
        made._weigh()
        return made

    def _weigh(self) -> None:
        self._hold_values = self._values(self._stacks.hold_layers)
        self._move_values = self._values(self._stacks.move_layers)

    def _take(self, options: Iterable[Candidates]) -> None:
        self._options = list(options)
        asked_to_stay = {step for step, option in enumerate(self._options) if option.stays and step}
        self._held = self._sounding_on | self._links.keys() | asked_to_stay

    @cached_property
    def _pairs(self) -> _Pairs:
        return _Pairs.of([option.grips for option in self._options], self._stacks)

    def hold(self, step: int) -> Array:
        """Return what each grip of the event costs by itself (and for going against decisions)."""
        stack = self._stacks.hold(self._options[step].grips)
        effort: Array = (self._hold_values[step, 1:] @ stack[1:]).astype(np.float64)
        effort += stack[0]
        self._add_broken(step, effort)
        return effort

    def holds(self) -> list[Array]:
        """Return `hold` for every step; the steps with the same grips are worked out together."""
        found: list[Array] = [np.zeros(0)] * len(self._options)
        for steps in _grouped(self._pairs.set_of):
            stack = self._stacks.hold(self._options[steps[0]].grips)
            efforts = (self._hold_values[steps, 1:] @ stack[1:]).astype(np.float64)
            efforts += stack[0]
            for step, effort in zip(steps.tolist(), efforts, strict=True):
                found[step] = effort
        for step, option in enumerate(self._options):
            if option.broken:
                self._add_broken(step, found[step])
        return found

    def ways(self, steps: Sequence[int]) -> list[Array]:
        """Return what each way costs to some steps but the first, shape (grips before, grips now).

        The ways between the same two sets of grips are worked out together.
        """
        found: list[Array] = [np.zeros(0)] * len(steps)
        numbers, moves = np.array(steps, dtype=np.intp), self._pairs.moves
        pair_of = self._pairs.pair_of[numbers - 1]
        for places in _grouped(pair_of):
            stack = moves[int(pair_of[places[0]])]
            layers = stack[1:].reshape(len(stack) - 1, stack[0].size)
            efforts = (self._move_values[numbers[places], 1:] @ layers).reshape(-1, *stack.shape[1:]).astype(np.float64)
            efforts += stack[0]
            for place, effort in zip(places.tolist(), efforts, strict=True):
                found[place] = effort
        if self._held:
            for step, effort in zip(steps, found, strict=True):
                if step in self._held:
                    self._keep_held(step, effort)
        return found

    def way(self, step: int, before: int, now: int) -> float:
        """Return what one way costs: to a step, from a grip of the step before to one of its own."""
        if step in self._held:
            return float(self.ways([step])[0][before, now])
        stack = self._pairs.moves[self._pairs.pair_of[step - 1]][:, before, now]
        return float(stack[0] + self._move_values[step, 1:] @ stack[1:])

    def likeness(self, step: int) -> Hashable:
        """Return what `hold` of a step, the ways to it from given grips and its slowness depend on."""
        option = self._options[step]
        found = (
            option.grips.serial,
            option.broken,
            self._hold_values[step].tobytes(),
            self._move_values[step].tobytes(),
            float(self.slow[step]),
        )
        if step not in self._held:
            return found
        # What is held or bound is told note by note, and no other step has the same notes.
        return (*found, int(self._rows[step]), option.stays, self._options[step - 1].slots, option.slots)

    def along(self, chosen: Sequence[int]) -> Array:
        """Return what each step and the way to it cost along a route, given as the number of the grip at each step."""
        path = np.array(chosen, dtype=np.intp)
        found = np.zeros(len(path))
        for steps in _grouped(self._pairs.set_of):
            stack = self._stacks.hold(self._options[steps[0]].grips)[:, path[steps]]
            found[steps] = stack[0] + (self._hold_values[steps, 1:].T * stack[1:]).sum(axis=0)
        for places in _grouped(self._pairs.pair_of):
            stack = self._pairs.moves[int(self._pairs.pair_of[places[0]])][:, path[places], path[places + 1]]
            found[places + 1] += stack[0] + (self._move_values[places + 1, 1:].T * stack[1:]).sum(axis=0)
        for step in self._held:
            found[step] = self.hold(step)[path[step]] + self.ways([step])[0][path[step - 1], path[step]]
        for step, option in enumerate(self._options):
            if option.broken and step not in self._held:
                found[step] += option.broken[path[step]] * BROKEN_DECISION
        return found

    def itemised(self, step: int, chosen: int, before: int | None) -> dict[str, float]:
        """Return the effort of one grip, and of the way to it, by term."""
        items: dict[str, float] = {}
        grips = self._options[step].grips
        _add(items, self._stacks.held(grips[chosen]), self._hold_values[step])
        if before is not None:
            moved = self._stacks.moved(self._options[step - 1].grips[before], grips[chosen])
            _add(items, moved, self._move_values[step])
        items.update(self._not_kept(step, chosen, before))
        # What a learner minds as much less as a professional minds it comes to nothing.
        return {name: value for name, value in items.items() if value}

    def add_by_aspect(self, sums: list[float], sign: int, step: int, chosen: int, before: int | None) -> None:
        """Add the effort of one grip, and of the way to it, to sums by aspect (in their order), or take it away."""
        grips = self._options[step].grips
        values = self._hold_lists[step]
        for aspect, size, layer in self._stacks.held_by_aspect(grips, chosen):
            sums[aspect] += sign * size * values[layer]
        if before is not None:
            values = self._move_lists[step]
            for aspect, size, layer in self._stacks.moved_by_aspect(
                self._options[step - 1].grips, before, grips, chosen
            ):
                sums[aspect] += sign * size * values[layer]
        for term, effort in self._not_kept(step, chosen, before).items():
            sums[ASPECTS_IN_ORDER.index(aspect_of(term))] += sign * effort

    def _not_kept(self, step: int, chosen: int, before: int | None) -> dict[str, float]:
        """What it costs that a technique is not done as asked, or that a decision is not kept."""
        items: dict[str, float] = {}
        option = self._options[step]
        link = self._links.get(step) if before is not None else None
        if before is not None and link and not keeps(link, self._options[step - 1].grips[before], option.grips[chosen]):
            items[link.value] = BEYOND_LEVEL
        broken = option.broken[chosen] if option.broken else 0
        if before is not None and option.stays:
            broken += self._options[step - 1].grips[before].position != option.grips[chosen].position
        if broken:
            items["against a decision"] = broken * BROKEN_DECISION
        return items

    @cached_property
    def _hold_lists(self) -> list[list[float]]:
        return self._hold_values.tolist()  # type: ignore[no-any-return]

    @cached_property
    def _move_lists(self) -> list[list[float]]:
        return self._move_values.tolist()  # type: ignore[no-any-return]

    def _values(self, layers: tuple[str, ...]) -> Stack:
        """The circumstances of the layers at every step."""
        columns = [self._circumstances[name][self._rows] for name in layers]
        return np.ascontiguousarray(np.stack(columns, axis=1), dtype=np.float32)

    def _add_broken(self, step: int, effort: Array) -> None:
        broken = self._options[step].broken
        if broken:
            effort[: len(broken)] += np.array(broken) * BROKEN_DECISION

    def _keep_held(self, step: int, effort: Array) -> None:
        """Notes that go on sounding keep their stop; a hand asked to stay does; slides and tremolos lie as they can."""
        before, now = self._options[step - 1], self._options[step]
        if now.stays:
            moved = np.array([[a.position != b.position for b in now.grips] for a in before.grips])
            effort[: len(before.grips), : len(now.grips)][moved] += BROKEN_DECISION
        if step in self._links:
            lost = np.array([[not keeps(self._links[step], a, b) for b in now.grips] for a in before.grips])
            effort[: len(before.grips), : len(now.grips)][lost] += BEYOND_LEVEL
        for note in now.slots:
            if note not in before.slots:
                continue
            i, j = before.slots.index(note), now.slots.index(note)
            left = [(g.stops[i].string, g.stops[i].finger) for g in before.grips]
            right = [(g.stops[j].string, g.stops[j].finger) for g in now.grips]
            changed = np.array([[a != b for b in right] for a in left])
            effort[: len(left), : len(right)][changed] += BEYOND_LEVEL


def _add(items: dict[str, float], shares: Iterable[Share], circumstances: Stack) -> None:
    """Add what terms come to under the circumstances of a step."""
    values = circumstances.tolist()
    for name, size, layer in shares:
        if value := size * values[layer]:
            items[name] = items.get(name, 0.0) + value


def _grouped(numbers: NDArray[np.intp]) -> list[NDArray[np.intp]]:
    """The places of each number that occurs."""
    if not len(numbers):
        return []
    order = np.argsort(numbers, kind="stable")
    inner = np.flatnonzero(np.diff(numbers[order])) + 1
    return [order[start:stop] for start, stop in pairwise([0, *inner.tolist(), len(order)])]


__all__ = ["BROKEN_DECISION", "Tables"]
