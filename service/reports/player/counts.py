"""Counts as people say them: "34 string crossings instead of 2"."""

from __future__ import annotations

from rules import Figures

from ...messages import visits
from ...messages.message import Message, Wording

COUNTED = (
    ("unreachable", visits.UNREACHABLE),
    ("shifts", visits.SHIFTS),
    ("crossings", visits.CROSSINGS),
    ("skips", visits.SKIPS),
    ("held_weak", visits.LONG_WEAK),
    ("stretches", visits.STRETCHES),
    ("hops", visits.HOPS),
    ("slides", visits.SLIDES),
)


def instead_of(wording: Wording, message: Message, number: int, other: int) -> str:
    """Return "34 string crossings instead of 2"."""
    count = wording.say(message, number)
    if other == 0:
        return wording.say(visits.INSTEAD_OF_NONE, count=count)
    return wording.say(visits.INSTEAD, other, count=count)


def differences(wording: Wording, these: Figures, others: Figures) -> list[str]:
    """Return every count in which two ways differ."""
    return [
        instead_of(wording, message, number, other)
        for name, message in COUNTED
        if (number := getattr(these, name)) != (other := getattr(others, name))
    ]
