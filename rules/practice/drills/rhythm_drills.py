"""One shift in other rhythms and bowings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import cycle

from ...music.metre import Meter, bar_length
from ...text import english
from ..barring import bars_of
from ..sheet import Bow, Exercise, SheetNote
from .move import Move
from .shift_drills import SLOW

PATTERNS = (
    (Fraction(3, 4), Fraction(1, 4)),
    (Fraction(1, 4), Fraction(3, 4)),
    (Fraction(1, 4), Fraction(1, 4), Fraction(1, 2)),
    (Fraction(1, 2), Fraction(1, 4), Fraction(1, 4)),
)
"""Long-short, short-long, two short and one long, one long and two short, as parts of a cell of two beats."""
TRIPLE = (
    (Fraction(2, 3), Fraction(1, 3)),
    (Fraction(1, 3), Fraction(2, 3)),
    (Fraction(1, 6), Fraction(1, 6), Fraction(2, 3)),
    (Fraction(2, 3), Fraction(1, 6), Fraction(1, 6)),
)
"""The same as parts of a bar of three quarters."""
TERNARY = (
    (Fraction(2, 3), Fraction(1, 3)),
    (Fraction(1, 3), Fraction(2, 3)),
    (Fraction(1, 3), Fraction(1, 3), Fraction(1, 3)),
    (Fraction(1, 2), Fraction(1, 6), Fraction(1, 3)),
)
"""The same for a cell of three: the last is a dotted figure."""


def in_rhythms(move: Move) -> Exercise | None:
    """The two notes in turn, each in four rhythms; None if the bow would jump over a string for them."""
    if not move.is_sounding or move.strings_apart > 1:
        return None
    turns = cycle(((move.departure, move.start), (move.arrival, move.goal)))
    notes: list[SheetNote] = []
    for lengths, (tone, position) in zip(_turns(move.meter), turns, strict=False):
        notes += [SheetNote((tone,), beats, position) for beats in lengths]
    whole = bar_length(move.meter)
    notes += [SheetNote((move.departure,), whole, move.start), SheetNote((move.arrival,), whole, move.goal)]
    notes[0] = replace(notes[0], bow=Bow.DOWN)
    text = english("Four rhythms. Keep each exact; the hand starts early enough to arrive in time.")
    bars = bars_of(notes, move.meter, move.key.fifths, fill=True)
    return Exercise(english("In other rhythms"), text, bars, SLOW)


def _turns(meter: Meter) -> Iterator[list[Fraction]]:
    """The lengths of one turn after the other: half a bar or a bar of a pattern, first for departure, then arrival."""
    whole = bar_length(meter)
    upper, lower = meter
    ternary = lower >= 8 and upper % 3 == 0
    triple = whole == 3 and not ternary
    cell = whole if triple else min(Fraction(12, lower) if ternary else Fraction(2), whole)
    cells = int(whole // cell)
    left = whole - cells * cell
    for pattern in TRIPLE if triple else TERNARY if ternary else PATTERNS:
        one = [part * cell for part in pattern]
        for number in range(2):
            here = one * (cells if cells % 2 else cells // 2)
            if left and (number or cells % 2):
                here[-1] += left
            yield here


__all__ = ["in_rhythms"]
