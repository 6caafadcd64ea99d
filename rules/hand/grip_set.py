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


_SERIALS = count()
