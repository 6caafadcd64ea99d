"""Numbers of bars, as an edition prints them: a pick-up is 0, and the second half of a bar has none of its own."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from .music import Bar


def numbered(bars: Sequence[Bar]) -> Iterator[tuple[Bar, str, bool]]:
    """Yield each bar with its number and whether the bar is not counted.

    Not counted are a pick-up (0) and the short bar after a bar line in the middle of a bar, or before a new section
    (X1 and so on, as the MusicXML documentation names them).
    """
    counted = halves = 0
    full: Fraction | None = None
    before: Bar | None = None
    open_half = False
    for bar in bars:
        full = bar.metre.beats if bar.metre is not None else full
        short = full is not None and bar.beats < full
        if before is None and short and len(bars) > 1:
            yield bar, "0", True
        elif short and before is not None and _breaks(before, bar) and (open_half or _is_pick_up(before, full)):
            halves += 1
            yield bar, f"X{halves}", True
            short = False
        else:
            counted += 1
            yield bar, str(counted), False
        open_half = short and counted > 0
        before = bar


def _breaks(before: Bar, bar: Bar) -> bool:
    """Whether a section ends between two bars."""
    return bool(before.repeat_ends or before.style or bar.repeat_begins)


def _is_pick_up(before: Bar, full: Fraction | None) -> bool:
    """Whether a short bar after a section begins the next one: the section ended with a whole bar."""
    return full is not None and before.beats >= full
