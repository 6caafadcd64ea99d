"""Counts as people say them: "34 string crossings instead of 2"."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from rules import Figures

from ...messages.message import Message, Wording
from ...messages.player import excursions

COUNTED: dict[str, Message] = {
    "unreachable": excursions.UNREACHABLE,
    "shifts": excursions.SHIFTS,
    "crossings": excursions.CROSSINGS,
    "skips": excursions.SKIPS,
    "held_weak": excursions.LONG_WEAK,
    "stretches": excursions.STRETCHES,
    "hops": excursions.HOPS,
    "slides": excursions.SLIDES,
}

_ALWAYS_TELLING = frozenset({"unreachable", "shifts"})
"""Counts of which each one matters."""
_LITTLE = 4
"""Two counts that differ by no more than one in so many say next to nothing: 4 string crossings instead of 5."""


def tells(name: str, number: int, other: int) -> bool:
    """Whether two counts differ by so much that a player would mention it."""
    return number != other and (name in _ALWAYS_TELLING or abs(number - other) * _LITTLE > max(number, other))


def telling(these: Figures, others: Figures, names: Iterable[str]) -> Iterator[tuple[str, int, int]]:
    """Yield the named counts that differ, with both numbers.

    A small difference is left out, unless no count differs by more. Jumps are string crossings, so they are told only
    if the crossings do not already say so.
    """
    numbers = {name: (getattr(these, name), getattr(others, name)) for name in names}
    differing = {name: both for name, both in numbers.items() if both[0] != both[1]}
    if any(tells(name, *both) for name, both in differing.items()):
        differing = {name: both for name, both in differing.items() if tells(name, *both)}
    if "crossings" in differing and _falls(differing["crossings"]) == _falls(differing.get("skips", (0, 0))):
        differing.pop("skips", None)
    return ((name, *both) for name, both in differing.items())


def _falls(both: tuple[int, int]) -> bool:
    return both[0] < both[1]


def instead_of(wording: Wording, message: Message, number: int, other: int, **fields: str) -> str:
    """Return "34 string crossings instead of 2", or "34 string crossings" where there were none."""
    count = wording.say(message, number, **fields)
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


def difference(
    wording: Wording,
    these: Figures,
    others: Figures,
    held: Message = excursions.LONG_WEAK,
    *,
    weak: str = "",
) -> Difference:
    """Return in which counts two ways differ; `held` names notes that sound weak, `weak` is what they sound on."""
    found = list(telling(these, others, COUNTED))
    messages = {**COUNTED, "held_weak": held}
    fields = {name: {"weak": weak} if name == "held_weak" else {} for name, _, _ in found}

    def compared(name: str, number: int, other: int) -> str:
        return instead_of(wording, messages[name], number, other, **fields[name])

    fewer = [compared(*each) for each in found if 0 < each[1] < each[2]]
    avoided = [wording.say(messages[name], other, **fields[name]) for name, number, other in found if number == 0]
    more = [compared(*each) for each in found if each[1] > each[2]]
    is_compared = any(other for _, number, other in found if number > other)
    return Difference(
        counts_listed(wording, fewer),
        wording.all_of(avoided),
        counts_listed(wording, more) if is_compared else wording.all_of(more),
    )
