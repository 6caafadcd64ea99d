"""The grips that come into question for an event, as one numbered object.

What does not belong here: which grips there are (`hand`), and which of them an event gets (`candidates`).
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import count
from typing import Self

from .grip import Grip


class GripSet(tuple[Grip, ...]):
    """Grips for the same pitches, in tie order; one object for the same question, known by its serial number."""

    serial: int

    def __new__(cls, grips: Iterable[Grip] = ()) -> Self:
        """Number the set."""
        made = super().__new__(cls, grips)
        made.serial = next(_SERIALS)
        return made


_SERIALS = count()
