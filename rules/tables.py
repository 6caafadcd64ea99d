"""The efforts that the planner adds up, looked up by event: what a grip costs, and the way from one grip to the next.

A part repeats itself: the same two sets of grips follow each other again and again. So what depends on the grips alone is
measured once for each distinct pair of sets, in blocks, with the weights already multiplied in and the terms of one
circumstance summed; what is left for every event is one product of its circumstances with that small stack.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from .candidates import Candidates
from .circumstance import Character, circumstances
from .effort import Kind, Term, Weights
from .geometry import Array, Block, forbidden, holding, moving
from .hand import Grip
from .level import Level, ShiftKind
from .passage import Passage

BROKEN_DECISION = float(2**20)
"""Effort of going against one decision: more than any route can save, so the fewest are broken."""
BEYOND_LEVEL = 1024.0
"""Effort of what the level does not allow: never chosen where there is another way."""
CHUNK = 1024
_CELL = 4


def level_terms(level: Level) -> tuple[Term, ...]:
    """What a level forbids, as terms."""
    found = []
    if ShiftKind.SLUR not in level.shifts and level.shifts:
        found.append(Term(Kind.MOVING, "shift", "bound, slurred", BEYOND_LEVEL, "The level does not shift in a slur."))
    if not level.extensions:
        found.append(Term(Kind.HOLDING, "out of the frame", "always", BEYOND_LEVEL, "The level does not extend."))
    return tuple(found)


class Tables:
    """Holding and moving efforts for the playable events of a passage."""

    def __init__(
        self,
        passage: Passage,
        options: Sequence[Candidates],
        playable: Sequence[int],
        level: Level,
        weights: Weights,
        character: Character,
    ) -> None:
        terms = weights.terms + level_terms(level)
        self._hold_terms = [t for t in terms if t.kind is Kind.HOLDING and t.weight]
        self._move_terms = [t for t in terms if t.kind is Kind.MOVING and t.weight]
        self._options = [options[t] for t in playable]
        self._sets, self._set_of = _distinct([option.grips for option in self._options])
        self._padded = [-(-len(grips) // _CELL) * _CELL for grips in self._sets]
        self.columns = np.arange(max(self._padded))
        self._circumstances = circumstances(passage, character)
        rows = np.array(playable, dtype=np.intp)
        self._hold_names, hold_values = _stack(self._hold_terms, self._circumstances, rows)
        self._move_names, self._move_values = _stack(self._move_terms, self._circumstances, rows)
        self._rows = rows
        self._blocks = self._as_blocks()
        self._hold_stacks = self._holding()
        self._hold_values = hold_values
        self._moves: dict[tuple[int, int], Array] = {}

    def hold(self, step: int) -> Array:
        """Return what each grip of the event costs by itself (and for going against decisions)."""
        effort: Array = self._hold_values[step] @ self._hold_stacks[self._set_of[step]]
        broken = self._options[step].broken
        if broken:
            effort[: len(broken)] += np.array(broken) * BROKEN_DECISION
        return effort

    def move(self, step: int) -> Array:
        """Return what the way costs from each grip of the event before (rows) to each of this one (columns)."""
        pair = (self._set_of[step - 1], self._set_of[step])
        if pair not in self._moves:
            self._fill(step)
        effort: Array = (self._move_values[step] @ self._moves[pair]).reshape(self._padded[pair[0]], -1)
        common = [i for i in self._options[step].slots if i in self._options[step - 1].slots]
        return self._kept(step, effort, common) if common else effort

    def itemised(self, step: int, chosen: int, before: int | None) -> dict[str, float]:
        """Return the effort of one grip, and of the way to it, by term."""
        items: dict[str, float] = {}
        block = Block.of([[self._options[step].grips[chosen]]])
        self._add(items, self._hold_terms, {n: float(v[0, 0]) for n, v in holding(block).items()}, step)
        if before is not None:
            earlier = Block.of([[self._options[step - 1].grips[before]]])
            measured = {n: float(v[0, 0, 0]) for n, v in moving(earlier, block).items()}
            self._add(items, self._move_terms, measured, step)
        if self._options[step].broken and self._options[step].broken[chosen]:
            items["against a decision"] = self._options[step].broken[chosen] * BROKEN_DECISION
        return items

    def _add(self, items: dict[str, float], terms: list[Term], measured: dict[str, float], step: int) -> None:
        for term in terms:
            value = (
                term.weight * measured[term.measure] * float(self._circumstances[term.circumstance][self._rows[step]])
            )
            if value:
                items[term.name] = items.get(term.name, 0.0) + value

    def _as_blocks(self) -> dict[int, tuple[Block, dict[int, int]]]:
        """One block for each number of stops, and where each set stands in it."""
        grouped: dict[int, list[int]] = defaultdict(list)
        for index, grips in enumerate(self._sets):
            grouped[len(grips[0].stops)].append(index)
        return {
            stops: (Block.of([self._sets[i] for i in indices]), {i: row for row, i in enumerate(indices)})
            for stops, indices in grouped.items()
        }

    def _holding(self) -> list[Array]:
        stacks: list[Array] = [np.empty(0)] * len(self._sets)
        for block, rows in self._blocks.values():
            measured = holding(block)
            folded = _folded(self._hold_terms, self._hold_names, measured, block.valid.shape)
            folded[:, 0][~block.valid] = np.inf
            for index, row in rows.items():
                width = self._padded[index]
                stack = np.full((folded.shape[1], width), 0.0)
                stack[0] = np.inf
                size = min(width, folded.shape[2])
                stack[:, :size] = folded[row, :, :size]
                stacks[index] = stack
        return stacks

    def _fill(self, step: int) -> None:
        """Measure the pairs of sets that follow each other in the next chunk of events."""
        if len(self._moves) > 4 * CHUNK:
            self._moves.clear()
        until = min(step + CHUNK, len(self._set_of))
        wanted = {(self._set_of[s - 1], self._set_of[s]) for s in range(step, until)} - self._moves.keys()
        grouped: dict[tuple[int, int, int, int], list[tuple[int, int]]] = defaultdict(list)
        for a, b in sorted(wanted):
            shape = (len(self._sets[a][0].stops), len(self._sets[b][0].stops), self._padded[a], self._padded[b])
            grouped[shape].append((a, b))
        for (stops_a, stops_b, width_a, width_b), pairs in grouped.items():
            first = self._block(stops_a, [a for a, _ in pairs], width_a)
            second = self._block(stops_b, [b for _, b in pairs], width_b)
            folded = _folded(self._move_terms, self._move_names, moving(first, second), (len(pairs), width_a, width_b))
            folded[:, 0][forbidden(first, second)] = np.inf
            for index, pair in enumerate(pairs):
                self._moves[pair] = folded[index].reshape(folded.shape[1], -1)

    def _block(self, stops: int, indices: list[int], width: int) -> Block:
        block, rows = self._blocks[stops]
        taken = block.take(np.array([rows[i] for i in indices], dtype=np.intp), width)
        return taken.widened(width)

    def _kept(self, step: int, effort: Array, common: list[str]) -> Array:
        """Notes that go on sounding keep their finger and string."""
        before, now = self._options[step - 1], self._options[step]
        for note in common:
            i, j = before.slots.index(note), now.slots.index(note)
            left = [(g.stops[i].string, g.stops[i].finger) for g in before.grips]
            right = [(g.stops[j].string, g.stops[j].finger) for g in now.grips]
            changed = np.array([[a != b for b in right] for a in left])
            effort[: len(left), : len(right)][changed] += BEYOND_LEVEL
        return effort


def _distinct(sets: Sequence[tuple[Grip, ...]]) -> tuple[list[tuple[Grip, ...]], list[int]]:
    index: dict[int, int] = {}
    found: list[tuple[Grip, ...]] = []
    by_value: dict[tuple[Grip, ...], int] = {}
    order = []
    for grips in sets:
        # Candidates of the same pitches share one tuple, so its identity is a quick key before its value.
        key = index.get(id(grips))
        if key is None:
            key = by_value.setdefault(grips, len(found))
            if key == len(found):
                found.append(grips)
            index[id(grips)] = key
        order.append(key)
    return found, order


def _stack(terms: Sequence[Term], values: dict[str, Array], rows: NDArray[np.intp]) -> tuple[list[str], Array]:
    """The circumstances that the terms name ("always" first), and their values at the given events."""
    names = ["always", *sorted({term.circumstance for term in terms} - {"always"})]
    return names, np.ascontiguousarray(np.stack([values[name][rows] for name in names], axis=1))


def _folded(terms: Sequence[Term], names: list[str], measured: dict[str, Array], shape: tuple[int, ...]) -> Array:
    """Sum the weighted measures of each circumstance: shape (U, circumstances, ...)."""
    folded = np.zeros((shape[0], len(names), *shape[1:]))
    for term in terms:
        folded[:, names.index(term.circumstance)] += term.weight * measured[term.measure]
    return folded
