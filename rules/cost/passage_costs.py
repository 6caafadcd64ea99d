"""The efforts that the planner adds up, for the events of one passage: what a grip costs, and the way to it.

What depends on the grips alone comes from `stacks`; here it is combined with the circumstances of every event.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from itertools import pairwise
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from ..candidates.candidates import Candidates
from ..hand.level import Level
from ..hand.technique import bonds, keeps
from ..music.passage import Passage
from ..search.shortest_path import SHORTEST_TREE, STAGES_IN_A_TREE, TREE_STATES
from .context import Character, circumstances
from .grip_arrays import Array, Block
from .learner_terms import BEYOND_LEVEL, WITHIN_LEVEL, level_terms
from .measures import holding, moving
from .pair_costs import CELL, Stack, padded, stacks_for
from .terms import Term, Weights

APART = 96
"""Fewest stages of the fewest states that are worth a tree of their own."""
BROKEN_DECISION = float(2**20)
"""Effort of going against one decision: more than any route can save, so the fewest are broken."""


_CIRCUMSTANCES: WeakKeyDictionary[Passage, dict[Character, dict[str, Array]]] = WeakKeyDictionary()


def _circumstances_of(passage: Passage, character: Character) -> dict[str, Array]:
    """The circumstances of a passage; worked out once, since a part is planned more than once."""
    known = _CIRCUMSTANCES.setdefault(passage, {})
    if character not in known:
        known[character] = circumstances(passage, character)
    return known[character]


class Tables:
    """Holding and moving efforts for the playable events of a passage; a step is the index of a playable event."""

    def __init__(
        self,
        passage: Passage,
        options: Sequence[Candidates],
        playable: Sequence[int],
        level: Level,
        weights: Weights,
        character: Character,
    ) -> None:
        self._stacks = stacks_for(weights.terms + level_terms(level))
        self._options = [options[t] for t in playable]
        self._rows = np.array(playable, dtype=np.intp)
        self._circumstances = _circumstances_of(passage, character)
        if any(term.circumstance == WITHIN_LEVEL for term in level_terms(level)):
            within = [not (option.beyond or option.follows) for option in options]
            slurred = self._circumstances["bound, slurred"] * (within & np.array([True, *within[:-1]]))
            self._circumstances = self._circumstances | {WITHIN_LEVEL: slurred}
        self._hold_values = self._values(self._stacks.hold_layers)
        self._move_values = self._values(self._stacks.move_layers)
        self._held = {step for step, t in enumerate(playable) if step and (passage.events[t].held or options[t].stays)}
        links = bonds(passage).links
        self._links = {s: links[t] for s, t in enumerate(playable) if t in links and s and playable[s - 1] == t - 1}
        self._held |= self._links.keys()
        self._broken = [step for step, option in enumerate(self._options) if option.broken]
        by_serial = {option.grips.serial: option.grips for option in self._options}
        serials, self._set_of = np.unique([option.grips.serial for option in self._options], return_inverse=True)
        self._sets = [by_serial[int(serial)] for serial in serials]
        codes = self._set_of[:-1] * len(self._sets) + self._set_of[1:]
        pairs, self._pair_of = np.unique(codes, return_inverse=True)
        self._moves = self._stacks.moves(
            [(self._sets[c // len(self._sets)], self._sets[c % len(self._sets)]) for c in pairs]
        )
        self._widths = np.array([padded(found) for found in self._sets])[self._set_of]

    def hold(self, step: int) -> Array:
        """Return what each grip of the event costs by itself (and for going against decisions)."""
        stack = self._stacks.hold(self._options[step].grips)
        effort: Array = (self._hold_values[step, 1:] @ stack[1:]).astype(np.float64)
        effort += stack[0]
        self._add_broken(step, effort)
        return effort

    def move(self, step: int) -> Array:
        """Return what the way costs from each grip of the event before (rows) to each of this one (columns)."""
        stack = self._moves[int(self._pair_of[step - 1])]
        layers = stack[1:].reshape(len(stack) - 1, -1)
        effort = (self._move_values[step, 1:] @ layers).reshape(stack.shape[1:]).astype(np.float64)
        effort += stack[0]
        if step in self._held:
            self._keep_held(step, effort)
        return effort

    def pieces(self) -> Iterator[tuple[range, bool]]:
        """Yield the steps from the second on in pieces, and whether a tree is the faster way through each.

        A tree's work grows with the cube of the most states in it: long runs of the fewest states have trees of
        their own.
        """
        widest = np.maximum(self._widths[:-1], self._widths[1:])
        apart = np.zeros(len(widest), dtype=bool)
        for run in _runs(widest <= CELL):
            apart[run.start : run.stop] = widest[run.start] <= CELL and len(run) >= APART
        for part in _runs(apart):
            for run in _runs(widest[part.start : part.stop] <= TREE_STATES):
                first, end = part.start + run.start + 1, part.start + run.stop + 1
                if widest[first - 1] > TREE_STATES or len(run) < SHORTEST_TREE:
                    yield range(first, end), False
                    continue
                for start in range(first, end, STAGES_IN_A_TREE):
                    yield range(start, min(start + STAGES_IN_A_TREE, end)), True

    def ways(self, first: int, end: int) -> Array:
        """Return `move` plus `hold` for the steps `first` to `end`, all padded to the widest: shape (steps, k, k)."""
        pairs, which = np.unique(self._pair_of[first - 1 : end - 1], return_inverse=True)
        states = int(self._widths[first - 1 : end].max())
        stacks = np.zeros((len(pairs), len(self._stacks.move_layers), states, states), dtype=np.float32)
        stacks[:, 0] = np.inf
        for row, pair in enumerate(pairs):
            stack = self._moves[pair]
            stacks[row, :, : stack.shape[1], : stack.shape[2]] = stack
        layers = stacks[:, 1:].reshape(len(pairs), -1, states**2)
        weighed = np.matmul(self._move_values[first:end, None, 1:], layers[which])
        effort: Array = weighed.reshape(-1, states, states).astype(np.float64)
        effort += stacks[which, 0]
        effort += self._holds(first, end, states)[:, np.newaxis]
        for step in sorted(self._held):
            if first <= step < end:
                self._keep_held(step, effort[step - first])
        return effort

    def itemised(self, step: int, chosen: int, before: int | None) -> dict[str, float]:
        """Return the effort of one grip, and of the way to it, by term."""
        items: dict[str, float] = {}
        option = self._options[step]
        block = Block.of([[option.grips[chosen]]])
        self._add(items, self._stacks.hold_terms, {n: float(v[0, 0]) for n, v in holding(block).items()}, step)
        if before is not None:
            earlier = Block.of([[self._options[step - 1].grips[before]]])
            measured = {n: float(v[0, 0, 0]) for n, v in moving(earlier, block).items()}
            self._add(items, self._stacks.move_terms, measured, step)
            link = self._links.get(step)
            if link and not keeps(link, self._options[step - 1].grips[before], option.grips[chosen]):
                items[link.value] = BEYOND_LEVEL
        broken = option.broken[chosen] if option.broken else 0
        if before is not None and option.stays:
            broken += self._options[step - 1].grips[before].position != option.grips[chosen].position
        if broken:
            items["against a decision"] = broken * BROKEN_DECISION
        return items

    def _add(self, items: dict[str, float], terms: Sequence[Term], measured: dict[str, float], step: int) -> None:
        for term in terms:
            circumstance = float(self._circumstances[term.circumstance][self._rows[step]])
            value = term.weight * measured[term.measure] * circumstance
            if value:
                items[term.name] = items.get(term.name, 0.0) + value

    def _values(self, layers: tuple[str, ...]) -> Stack:
        """The circumstances of the layers at every step."""
        columns = [self._circumstances[name][self._rows] for name in layers]
        return np.ascontiguousarray(np.stack(columns, axis=1), dtype=np.float32)

    def _holds(self, first: int, end: int, states: int) -> Array:
        """`hold` for a range of steps, padded to so many states."""
        sets, which = np.unique(self._set_of[first:end], return_inverse=True)
        stacks = np.zeros((len(sets), len(self._stacks.hold_layers), states), dtype=np.float32)
        stacks[:, 0] = np.inf
        for row, index in enumerate(sets):
            stack = self._stacks.hold(self._sets[index])
            stacks[row, :, : stack.shape[1]] = stack
        weighed = np.matmul(self._hold_values[first:end, None, 1:], stacks[:, 1:][which])
        effort: Array = weighed[:, 0].astype(np.float64)
        effort += stacks[which, 0]
        for step in self._broken[bisect_left(self._broken, first) :]:
            if step >= end:
                break
            self._add_broken(step, effort[step - first])
        return effort

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


def _runs(flags: NDArray[np.bool_]) -> Iterator[range]:
    """Yield the runs of like flags."""
    turns = np.flatnonzero(np.diff(flags)) + 1
    yield from (range(first, end) for first, end in pairwise([0, *turns.tolist(), len(flags)]) if first < end)


__all__ = ["BROKEN_DECISION", "Tables"]
