"""Counts as people say them: "34 string crossings instead of 2"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rules import Figures

from ...messages.message import Message, Wording
from ...messages.player import excursions

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

_ALWAYS_TELLING = frozenset({"unreachable", "shifts"})
"""Counts of which each one matters."""
_LITTLE = 4
"""Two counts that differ by no more than one in so many say next to nothing: 4 string crossings instead of 5."""


def tells(name: str, number: int, other: int) -> bool:
    """Whether two counts differ by so much that a player would mention it."""
    return number != other and (name in _ALWAYS_TELLING or abs(number - other) * _LITTLE > max(number, other))


def instead_of(wording: Wording, message: Message, number: int, other: int) -> str:
    """Return "34 string crossings instead of 2"."""
    count = wording.say(message, number)
    if message is excursions.SHIFTS and number == 0:
        return count
    if other == 0:
        return wording.say(excursions.INSTEAD_OF_NONE, count=count)
    return wording.say(excursions.INSTEAD, other, count=count)


def counts_listed(wording: Wording, counts: Sequence[str]) -> str:
    """Return "one stretch instead of 6, and 2 hops instead of 7": the comma parts a number from the next count."""
    if len(counts) < 2:
        return "".join(counts)
    return wording.say(excursions.AND_ALSO, first=", ".join(counts[:-1]), last=counts[-1])


def differences(wording: Wording, these: Figures, others: Figures) -> tuple[list[str], list[str]]:
    """Return the counts in which two ways differ: those that are lower, and those that are higher.

    A small difference is left out, unless no count differs by more.
    """
    lower, higher = list[str](), list[str]()
    for message, number, other in _telling(these, others):
        (lower if number < other else higher).append(instead_of(wording, message, number, other))
    return lower, higher


def _telling(these: Figures, others: Figures) -> Iterator[tuple[Message, int, int]]:
    counts = [(name, message, getattr(these, name), getattr(others, name)) for name, message in COUNTED]
    any_tells = any(tells(name, number, other) for name, _, number, other in counts)
    for name, message, number, other in counts:
        if tells(name, number, other) or (number != other and not any_tells):
            yield message, number, other
