"""Many arrays worked out block by block; only the latest block is remembered, so that memory stays small."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ..cost.grip_arrays import Array


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


def edges_of(arrays: Sequence[Array]) -> NDArray[np.intp]:
    """Where each array begins if all are laid end to end, and where the last ends."""
    return np.concatenate([[0], np.cumsum([array.size for array in arrays])]).astype(np.intp)


def split_at(flat: Array, edges: NDArray[np.intp]) -> list[Array]:
    """Cut it up again."""
    places = edges.tolist()
    return [flat[start:end] for start, end in pairwise(places)]
