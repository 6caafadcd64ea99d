"""Counts as people say them: "34 string crossings instead of 2"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

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
    """Return "34 string crossings instead of 2", or "34 string crossings" where there were none."""
    count = wording.say(message, number)
    return wording.say(excursions.INSTEAD, other, count=count) if other else count


def counts_listed(wording: Wording, counts: Sequence[str]) -> str:
    """Return "one stretch instead of 6, and 2 hops instead of 7": the comma parts a number from the next count."""
    if len(counts) < 2:
        return "".join(counts)
    return wording.say(excursions.AND_ALSO, first=", ".join(counts[:-1]), last=counts[-1])


@dataclass(frozen=True, slots=True)
class Difference:
    """How two ways differ, in counts: what the one needs less of, what it avoids, and what it needs more of."""

    fewer: str
    avoided: str
    more: str

    @property
    def is_better(self) -> bool:
        """Whether anything speaks for the one way."""
        return bool(self.fewer or self.avoided)


def difference(wording: Wording, these: Figures, others: Figures) -> Difference:
    """Return in which counts two ways differ.

    A small difference is left out, unless no count differs by more.
    """
    found = list(_telling(these, others))
    fewer = [instead_of(wording, message, number, other) for message, number, other in found if 0 < number < other]
    avoided = [wording.say(message, other) for message, number, other in found if number == 0]
    more = [instead_of(wording, message, number, other) for message, number, other in found if number > other]
    is_compared = any(other for _, number, other in found if number > other)
    return Difference(
        counts_listed(wording, fewer),
        wording.all_of(avoided),
        counts_listed(wording, more) if is_compared else wording.all_of(more),
    )


def _telling(these: Figures, others: Figures) -> Iterator[tuple[Message, int, int]]:
    counts = [(name, message, getattr(these, name), getattr(others, name)) for name, message in COUNTED]
    any_tells = any(tells(name, number, other) for name, _, number, other in counts)
    for name, message, number, other in counts:
        if tells(name, number, other) or (number != other and not any_tells):
            yield message, number, other
