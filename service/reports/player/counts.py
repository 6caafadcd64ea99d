"""Counts as people say them: "34 string crossings instead of 2"."""

from __future__ import annotations

from rules import Figures

from ...messages import excursions
from ...messages.message import Message, Wording

COUNTED = (
    ("unreachable", excursions.UNREACHABLE),
    ("shifts", excursions.SHIFTS),
    ("crossings", excursions.CROSSINGS),
    ("skips", excursions.SKIPS),
    ("held_weak", excursions.LONG_WEAK),
    ("stretches", excursions.STRETCHES),
    ("hops", excursions.HOPS),
    ("slides", excursions.SLIDES),
)


def instead_of(wording: Wording, message: Message, number: int, other: int) -> str:
    """Return "34 string crossings instead of 2"."""
    count = wording.say(message, number)
    if message is excursions.SHIFTS and number == 0:
        return count
    if other == 0:
        return wording.say(excursions.INSTEAD_OF_NONE, count=count)
    return wording.say(excursions.INSTEAD, other, count=count)


def differences(wording: Wording, these: Figures, others: Figures) -> tuple[list[str], list[str]]:
    """Return the counts in which two ways differ: those that are lower, and those that are higher."""
    lower, higher = list[str](), list[str]()
    for name, message in COUNTED:
        number, other = getattr(these, name), getattr(others, name)
        if number != other:
            (lower if number < other else higher).append(instead_of(wording, message, number, other))
    return lower, higher
