"""The grips for what sounds together: those of a level's positions, and those beyond where the level has none."""

from __future__ import annotations

from functools import lru_cache

from ..music.instrument import Instrument, Pitch
from .grip import EVERY_POSITION, OPEN_KEEPS, Grip, grips_for
from .grip_set import GripSet
from .technique import BEYOND_BY


@lru_cache(maxsize=8192)
def reach(pitches: tuple[Pitch, ...], instrument: Instrument, positions: frozenset[int]) -> tuple[GripSet, bool]:
    """The grips within the positions, or those in the lowest ones that reach, and whether that was needed.

    Beyond the level no finger is stretched if it need not be.
    """
    grips = grips_for(pitches, instrument, positions)
    if grips:
        return waiting(grips), False
    every = grips_for(pitches, instrument, EVERY_POSITION, True)
    if not every:
        return GripSet(), True
    # Half position is below first: reaching for it is no way to play a note that lies too high.
    every = tuple(g for g in every if g.position > 0) or every
    best = tuple(g for g in every if g.plain) or every
    lowest = min(g.position for g in best)
    return waiting(tuple(g for g in best if g.position <= lowest + BEYOND_BY)), True


@lru_cache(maxsize=4096)
def everywhere(pitches: tuple[Pitch, ...], instrument: Instrument) -> GripSet:
    """Return every grip there is."""
    return waiting(grips_for(pitches, instrument, EVERY_POSITION, True))


def waiting(grips: tuple[Grip, ...]) -> GripSet:
    """Return the grips without those of a hand that waits higher up than a hand rests."""
    return GripSet(g for g in grips if not g.is_open or g.position <= OPEN_KEEPS)
