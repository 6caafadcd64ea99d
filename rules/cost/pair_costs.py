"""Weighted quantities of grips and of the ways between them, kept for as long as the process lives.

A part repeats itself, and parts resemble each other: the same two sets of grips follow each other again and again. What
depends on the grips alone is measured once for each pair of sets, many pairs in one block, with the weights multiplied
in and the terms of one circumstance summed. Single precision holds these sums exactly (multiples of 1/1024 below
2**13).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..hand.grip import Grip
from ..hand.grip_set import GripSet
from .aspects import ASPECTS_IN_ORDER, aspect_of
from .grip_arrays import Array, Block
from .quantities import forbidden, holding, moving
from .standard_terms import Kind, Term

Stack = NDArray[np.float32]
CELL = 4
"""Sets are padded to a multiple of this, so that many share a shape; what is padded can never be chosen."""
MOST_KEPT = 2**24
"""Numbers kept (64 MiB) before the store is emptied."""
MEASURED_TOGETHER = 512

MOST_SHARES = 16384
"""Grips and ways whose shares are kept."""

Pair = tuple[GripSet, GripSet]


AspectShare = tuple[int, float, int]
"""The same for all terms of an aspect (by its number) with one circumstance."""


class Share(NamedTuple):
    """What one term takes for a grip or a way if its circumstance is full; the layer is that of the circumstance."""

    term: str
    size: float
    layer: int


def padded(grips: Sequence[object]) -> int:
    """Return the padded size of a set."""
    return -(-len(grips) // CELL) * CELL


class Stacks:
    """Stacks for one list of terms: a layer for each circumstance, the first being "always"."""

    def __init__(self, terms: Iterable[Term]) -> None:
        terms = tuple(term for term in terms if term.weight)
        self.hold_terms = [t for t in terms if t.kind is Kind.HOLDING]
        self.move_terms = [t for t in terms if t.kind is Kind.MOVING]
        self.hold_layers = _layers(self.hold_terms)
        self.move_layers = _layers(self.move_terms)
        self._holding, self._moving = _by_quantity(self.hold_terms), _by_quantity(self.move_terms)
        self._blocks: dict[int, Block] = {}
        self._holds: dict[int, Stack] = {}
        self._moves: dict[tuple[int, int], Stack] = {}
        self._kept = 0
        self._shares: dict[tuple[Grip, ...], tuple[Share, ...]] = {}
        self._aspects: dict[tuple[int, ...], tuple[AspectShare, ...]] = {}

    def hold(self, grips: GripSet) -> Stack:
        """Return the stack of one set, shape (layers, padded size)."""
        found = self._holds.get(grips.serial)
        if found is None:
            block = self._block(grips)
            folded = _folded(self.hold_terms, self.hold_layers, holding(block), block.valid.shape)
            folded[:, 0][~block.valid] = np.inf
            found = self._holds[grips.serial] = folded[0]
        return found

    def moves(self, pairs: Sequence[Pair]) -> list[Stack]:
        """Return the stacks of pairs of sets, each of shape (layers, before, now)."""
        if self._kept > MOST_KEPT:
            self._blocks, self._holds, self._moves, self._kept = {}, {}, {}, 0
        # Another thread may empty the store at any time; what this caller needs is held here.
        store = self._moves
        grouped: dict[tuple[int, int, int, int], list[Pair]] = defaultdict(list)
        for a, b in pairs:
            if (a.serial, b.serial) not in store:
                grouped[len(a[0].stops), len(b[0].stops), padded(a), padded(b)].append((a, b))
        for group in grouped.values():
            for first in range(0, len(group), MEASURED_TOGETHER):
                self._measure(group[first : first + MEASURED_TOGETHER], store)
        return [store[a.serial, b.serial] for a, b in pairs]

    def held(self, grip: Grip) -> tuple[Share, ...]:
        """Return what each term takes for a grip, one of its circumstance being full."""
        return self._shared((grip,), self._holding, self.hold_layers, lambda: holding(Block.of([[grip]])))

    def moved(self, before: Grip, now: Grip) -> tuple[Share, ...]:
        """Return the same for the way from one grip to another."""
        return self._shared(
            (before, now), self._moving, self.move_layers, lambda: moving(Block.of([[before]]), Block.of([[now]]))
        )

    def held_by_aspect(self, grips: GripSet, index: int) -> tuple[AspectShare, ...]:
        """Return `held` of a grip of a set, summed by aspect."""
        return self._by_aspect((grips.serial, index), lambda: self.held(grips[index]))

    def moved_by_aspect(self, before: GripSet, i: int, now: GripSet, j: int) -> tuple[AspectShare, ...]:
        """Return `moved` from a grip of one set to one of another, summed by aspect."""
        return self._by_aspect((before.serial, i, now.serial, j), lambda: self.moved(before[i], now[j]))

    def _by_aspect(self, key: tuple[int, ...], shares: Callable[[], tuple[Share, ...]]) -> tuple[AspectShare, ...]:
        found = self._aspects.get(key)
        if found is None:
            if len(self._aspects) >= MOST_SHARES:
                self._aspects = {}
            sums: dict[tuple[int, int], float] = {}
            for term, size, layer in shares():
                place = ASPECTS_IN_ORDER.index(aspect_of(term)), layer
                sums[place] = sums.get(place, 0.0) + size
            found = self._aspects[key] = tuple([(aspect, size, layer) for (aspect, layer), size in sums.items()])
        return found

    def _shared(
        self,
        grips: tuple[Grip, ...],
        terms: Mapping[str, Sequence[Term]],
        layers: tuple[str, ...],
        measure: Callable[[], dict[str, Array]],
    ) -> tuple[Share, ...]:
        found = self._shares.get(grips)
        if found is None:
            if len(self._shares) >= MOST_SHARES:
                self._shares = {}
            sizes = {name: float(values.item()) for name, values in measure().items()}
            found = self._shares[grips] = tuple(
                Share(term.name, term.weight * size, layers.index(term.circumstance))
                for quantity, size in sizes.items()
                for term in terms.get(quantity, ())
                if size
            )
        return found

    def _measure(self, pairs: list[Pair], store: dict[tuple[int, int], Stack]) -> None:
        before = Block.joined([self._block(a) for a, _ in pairs])
        now = Block.joined([self._block(b) for _, b in pairs])
        shape = (len(pairs), before.valid.shape[1], now.valid.shape[1])
        folded = _folded(self.move_terms, self.move_layers, moving(before, now), shape)
        folded[:, 0][forbidden(before, now)] = np.inf
        for index, (a, b) in enumerate(pairs):
            # A copy, so that one pair does not keep its whole block alive.
            store[a.serial, b.serial] = folded[index].copy()
        self._kept += folded.size

    def _block(self, grips: GripSet) -> Block:
        found = self._blocks.get(grips.serial)
        if found is None:
            found = self._blocks[grips.serial] = Block.of([grips]).widened(padded(grips))
        return found


@lru_cache(maxsize=32)
def stacks_for(terms: tuple[Term, ...]) -> Stacks:
    """Return the store for these terms."""
    return Stacks(terms)


def _by_quantity(terms: Iterable[Term]) -> dict[str, list[Term]]:
    found: dict[str, list[Term]] = {}
    for term in terms:
        found.setdefault(term.quantity, []).append(term)
    return found


def _layers(terms: Sequence[Term]) -> tuple[str, ...]:
    return ("always", *sorted({term.circumstance for term in terms} - {"always"}))


def _folded(
    terms: Sequence[Term], layers: tuple[str, ...], measured: dict[str, Array], shape: tuple[int, ...]
) -> Stack:
    """Sum the weighted quantities of each circumstance: shape (sets, layers, ...)."""
    folded = np.zeros((shape[0], len(layers), *shape[1:]), dtype=np.float32)
    for term in terms:
        folded[:, layers.index(term.circumstance)] += np.float32(term.weight) * measured[term.quantity]
    return folded
