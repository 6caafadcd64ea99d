"""Many arrays worked out block by block; only the latest block is remembered, so that memory stays small."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

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
