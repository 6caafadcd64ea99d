"""Many arrays worked out block by block; only the latest blocks are remembered, so that memory stays small."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ..cost.grip_arrays import Array

NEARBY = 256
"""Stages whose arrays are worked out together where single stages are asked for."""
REMEMBERED = 16
"""Such blocks that are kept at hand (about 10 MB at level `all`)."""


class Blocks:
    """Blocks that are made when they are asked for, from the first to the last or backwards."""

    def __init__(self, count: int, make: Callable[[int], Sequence[Array]]) -> None:
        self._count, self._make = count, make
        self._number = -1
        self._latest: Sequence[Array] = ()

    def __len__(self) -> int:
        return self._count

    def __getitem__(self, number: int) -> Sequence[Array]:
        if number != self._number:
            self._number, self._latest = number, self._make(number)
        return self._latest

    def __iter__(self) -> Iterator[Sequence[Array]]:
        return map(self.__getitem__, range(self._count))

    def __reversed__(self) -> Iterator[Sequence[Array]]:
        return map(self.__getitem__, reversed(range(self._count)))


class Nearby:
    """The arrays of single stages. Those of a block are worked out together, when the first of them is asked for."""

    def __init__(self, first: int, stop: int, make: Callable[[int, int], Sequence[Array]]) -> None:
        """`make` returns the arrays of the stages from one up to another; there are those from `first` to `stop`."""
        self._first, self._stop, self._make = first, stop, make
        self._known: dict[int, Sequence[Array]] = {}

    def __getitem__(self, stage: int) -> Array:
        number = stage // NEARBY
        start = max(number * NEARBY, self._first)
        block = self._known.get(number)
        if block is None:
            if len(self._known) >= REMEMBERED:
                self._known.clear()
            block = self._known[number] = self._make(start, min((number + 1) * NEARBY, self._stop))
        return block[stage - start]


def edges_of(arrays: Sequence[Array]) -> NDArray[np.intp]:
    """Where each array begins if all are laid end to end, and where the last ends."""
    return np.concatenate([[0], np.cumsum([array.size for array in arrays])]).astype(np.intp)


def split_at(flat: Array, edges: NDArray[np.intp]) -> list[Array]:
    """Cut it up again."""
    places = edges.tolist()
    return [flat[start:end] for start, end in pairwise(places)]
