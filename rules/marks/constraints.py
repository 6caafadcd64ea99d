"""Constraints on single notes: allowed fingers, strings and positions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..hand.grip import Grip


@dataclass(frozen=True, slots=True)
class Constraint:
    """What is allowed for one note: fingers, strings, positions; None allows all.

    `stay` forbids a shift on the way to the note.
    """

    fingers: frozenset[int] | None = None
    strings: frozenset[int] | None = None
    positions: frozenset[int] | None = None
    stay: bool = False

    def violations(self, grip: Grip, slot: int) -> int:
        """Count how many of the three sets the grip violates for the note at `slot`."""
        stop = grip.stops[slot]
        broken = self.fingers is not None and stop.finger not in self.fingers
        other = self.strings is not None and stop.string not in self.strings
        elsewhere = self.positions is not None and not stop.is_open and grip.position not in self.positions
        return broken + other + elsewhere


UNCONSTRAINED = Constraint()


Decisions = Mapping[str, Constraint]
