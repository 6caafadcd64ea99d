"""The grips that come into question for an event, as one numbered object.

What does not belong here: which grips there are (`hand`), and which of them an event gets (`candidates`).
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from itertools import count
from typing import Self

from .hand import FINGERS, Grip, outward


class GripSet(tuple[Grip, ...]):
    """Grips for the same pitches, in tie order; one object for the same question, known by its serial number."""

    serial: int

    def __new__(cls, grips: Iterable[Grip] = ()) -> Self:
        """Number the set."""
        made = super().__new__(cls, grips)
        made.serial = next(_SERIALS)
        return made

    @cached_property
    def by_reaching(self) -> bool:
        """There is no grip but with the fourth finger on a letter above its own."""
        fourth = FINGERS[-1]
        reaching = [any(s.finger == fourth and outward(s, grip.position) for s in grip.stops) for grip in self]
        return bool(reaching) and all(reaching)


_SERIALS = count()
