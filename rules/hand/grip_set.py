"""The grips to choose from at an event, as one object with a serial number."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from itertools import count
from typing import Self

import numpy as np
from numpy.typing import NDArray

from .grip import Grip, Stop


class GripSet(tuple[Grip, ...]):
    """Grips for the same pitches, the preferred one first. Costs are cached under the serial number."""

    serial: int

    def __new__(cls, grips: Iterable[Grip] = ()) -> Self:
        """Number the set."""
        made = super().__new__(cls, grips)
        made.serial = next(_SERIALS)
        return made

    @cached_property
    def alike(self) -> NDArray[np.intp]:
        """For every grip, the first with the same stops: where the hand waits over open strings makes no other grip."""
        first: dict[tuple[Stop, ...], int] = {}
        return np.array([first.setdefault(grip.stops, number) for number, grip in enumerate(self)], dtype=np.intp)

    @cached_property
    def likes(self) -> tuple[frozenset[int], ...]:
        """For every grip, those in which the fingers fall alike: where the hand waits over open strings is all one."""
        groups: dict[tuple[tuple[Stop, ...], int | None], list[int]] = {}
        keys = [(grip.stops, None if grip.is_open else grip.position) for grip in self]
        for number, key in enumerate(keys):
            groups.setdefault(key, []).append(number)
        found = {key: frozenset(numbers) for key, numbers in groups.items()}
        return tuple([found[key] for key in keys])

    @cached_property
    def positions(self) -> tuple[int, ...]:
        """The position of every grip."""
        return tuple([grip.position for grip in self])


_SERIALS = count()
