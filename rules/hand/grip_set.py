"""The grips to choose from at an event, as one object with a serial number."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import count
from typing import Self

from .grip import Grip


class GripSet(tuple[Grip, ...]):
    """Grips for the same pitches, the preferred one first. Costs are cached under the serial number."""

    serial: int

    def __new__(cls, grips: Iterable[Grip] = ()) -> Self:
        """Number the set."""
        made = super().__new__(cls, grips)
        made.serial = next(_SERIALS)
        return made


_SERIALS = count()
