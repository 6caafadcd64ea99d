"""What is decided for a note before the planner starts: allowed fingers, strings and positions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..hand.grip import Grip


@dataclass(frozen=True, slots=True)
class Constraint:
    """A decision that binds one note: allowed fingers, strings, positions; None leaves it open.

    `stay` asks that the hand does not move on the way to the note, wherever it is.
    """

    fingers: frozenset[int] | None = None
    strings: frozenset[int] | None = None
    positions: frozenset[int] | None = None
    stay: bool = False

    def violations(self, grip: Grip, slot: int) -> int:
        """Count how many of the three the grip breaks for the note at `slot`."""
        stop = grip.stops[slot]
        broken = self.fingers is not None and stop.finger not in self.fingers
        other = self.strings is not None and stop.string not in self.strings
        elsewhere = self.positions is not None and not stop.is_open and grip.position not in self.positions
        return broken + other + elsewhere


UNCONSTRAINED = Constraint()


Decisions = Mapping[str, Constraint]
