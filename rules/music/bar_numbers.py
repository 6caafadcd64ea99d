"""The numbers of bars, as players say them: an upbeat and half a bar have none of their own."""

from __future__ import annotations

import re

from .metre import bar_length
from .passage import Passage

_SPLIT_BAR = re.compile(r"^X\d*$")
"""How programs number the second half of a bar that a repeat cuts."""


def is_short_bar(passage: Passage, measure: int) -> bool:
    """Return True if a bar lasts less long than its time signature says."""
    bar = passage.measures[measure]
    return bar.beats < bar_length(bar.time_signature)


def is_split_bar(passage: Passage, measure: int) -> bool:
    """Return True for the second half of a bar that a repeat cuts."""
    return bool(_SPLIT_BAR.match(passage.measures[measure].label))


def whole_bar(passage: Passage, measure: int, step: int) -> str | None:
    """Return the number of the nearest bar that has one of its own, onward (1) or backward (-1); None if none has."""
    while 0 <= measure < len(passage.measures):
        label = passage.measures[measure].label
        upbeat = measure == 0 and label == "0" and is_short_bar(passage, 0)
        if not is_split_bar(passage, measure) and not upbeat:
            return label
        measure += step
    return None


def bar_number(passage: Passage, measure: int) -> str:
    """Return the number that is printed at a bar; at the second half of one that a repeat cuts, that of the first.

    An upbeat that counts as bar 0 goes with the bar that it leads to.
    """
    label = passage.measures[measure].label
    return whole_bar(passage, measure, -1) or whole_bar(passage, measure, 1) or label


__all__ = ["bar_number", "is_short_bar", "is_split_bar", "whole_bar"]
