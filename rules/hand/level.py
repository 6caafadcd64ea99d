"""How far a player has come: the positions known and the kinds of shift that can be asked for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from .grip import EVERY_POSITION, HIGHEST_POSITION


class ShiftKind(StrEnum):
    """How the hand travels (common practice; the first four are Davidov's, Violoncell-Schule, art. X, 1888)."""

    SAME_FINGER = "same finger"
    GUIDE_FINGER = "guide finger"
    OPEN_STRING = "over an open string"
    REST = "over a rest"
    BOW_CHANGE = "at a bow change"
    SLUR = "under a slur"


@dataclass(frozen=True)
class Level:
    """A set of positions, the kinds of shift allowed, and whether fingers may reach out of the frame.

    `learner` says that leaving first position has to pay for itself, and that every shift has to be found. Levels that
    agree in everything but the name plan alike.
    """

    name: str
    positions: frozenset[int]
    shifts: frozenset[ShiftKind] = frozenset(ShiftKind)
    extensions: bool = True
    summary: str = ""
    learner: bool = True

    def with_positions(self, positions: frozenset[int]) -> Level:
        """Return this level with another set of positions.

        Raises:
            ValueError: if a position is below 0 or beyond the fingerboard, or none is given.
        """
        if not positions or min(positions) < 0 or max(positions) > HIGHEST_POSITION:
            raise ValueError(f"positions are numbers from 0 (half position) to {HIGHEST_POSITION}")
        return replace(self, positions=positions)


_FIRST_SHIFTS = frozenset(ShiftKind) - {ShiftKind.SLUR}
FIRST = Level("first", frozenset({1}), frozenset(), summary="first position only")
FIRST_AND_THIRD = Level(
    "first-and-third", frozenset({1, 3}), _FIRST_SHIFTS, summary="first and third position; no shift under a slur"
)
TO_THIRD = Level("to-third", frozenset(range(4)), summary="half to third position")
TO_FIFTH = Level("to-fifth", frozenset(range(6)), summary="half to fifth position")
ALL = Level("all", EVERY_POSITION, summary="the whole fingerboard", learner=False)
LEVELS = {level.name: level for level in (FIRST, FIRST_AND_THIRD, TO_THIRD, TO_FIFTH, ALL)}
DEFAULT_LEVEL = FIRST_AND_THIRD
