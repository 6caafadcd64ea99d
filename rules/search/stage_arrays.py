"""An array for every stage of a chain, worked out block by block; only some blocks are remembered."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ..cost.grip_arrays import Array

BLOCK = 512
"""Stages whose arrays are worked out together."""
REMEMBERED = 8
"""Blocks that are kept at hand (about 10 MB of ways at level `all`)."""
Make = Callable[[Sequence[int]], Sequence[Array]]
"""Works out the arrays of some stages."""


class StageArrays:
    """The arrays of all stages of a chain but the first, such as the ways to them."""

    def __init__(self, stages: int, make: Make) -> None:
        self._stages, self._make = stages, make
        self._known: dict[int, Sequence[Array]] = {}

    @classmethod
    def of(cls, arrays: Sequence[Array]) -> StageArrays:
        """Return arrays that are there already."""
        return cls(len(arrays) + 1, lambda stages: [arrays[stage - 1] for stage in stages])

    def __getitem__(self, stage: int) -> Array:
        number = stage // BLOCK
        return self._block(number)[stage - (number * BLOCK or 1)]

    def __iter__(self) -> Iterator[Array]:
        for number in range(self._count):
            yield from self._block(number)

    def __reversed__(self) -> Iterator[Array]:
        for number in reversed(range(self._count)):
            yield from reversed(self._block(number))

    def each(self, work: Callable[[Sequence[Array], Sequence[int]], Sequence[Array]]) -> StageArrays:
        """Return what some work makes of the arrays, block by block; it is given the arrays and their stages."""
        return StageArrays(self._stages, lambda stages: work([self[stage] for stage in stages], stages))

    def changed(self, other: StageArrays, stages: Iterable[int]) -> StageArrays:
        """Return `other` arrays, which differ from these at some stages only; what is known of the rest is kept."""
        touched: dict[int, list[int]] = {}
        for stage in stages:
            if stage:
                touched.setdefault(stage // BLOCK, []).append(stage)
        for number, block in self._known.items():
            if number in touched:
                block = list(block)
                for stage, array in zip(touched[number], other._make(touched[number]), strict=True):
                    block[stage - (number * BLOCK or 1)] = array
            other._known[number] = block
        return other

    @property
    def _count(self) -> int:
        return -(-self._stages // BLOCK) if self._stages > 1 else 0

    def _block(self, number: int) -> Sequence[Array]:
        block = self._known.get(number)
        if block is None:
            if len(self._known) >= REMEMBERED:
                self._known.clear()
            stages = range(number * BLOCK or 1, min((number + 1) * BLOCK, self._stages))
            block = self._known[number] = self._make(stages)
        return block


def edges_of(arrays: Sequence[Array]) -> NDArray[np.intp]:
    """Where each array begins if all are laid end to end, and where the last ends."""
    return np.concatenate([[0], np.cumsum([array.size for array in arrays])]).astype(np.intp)


def split_at(flat: Array, edges: NDArray[np.intp]) -> list[Array]:
    """Cut it up again."""
    places = edges.tolist()
    return [flat[start:end] for start, end in pairwise(places)]
