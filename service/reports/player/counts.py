"""Counts as people say them: "34 string crossings instead of 2"."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

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


@dataclass(frozen=True, slots=True)
class WeakNotes:
    """Notes that sound weak one way and not the other: how many, what they are called, and on what they sound."""

    number: int
    named: Message
    sounds_on: str

    def words(self, wording: Wording) -> str:
        """Return "2 long notes on the open A string"."""
        return wording.say(self.named, self.number, weak=self.sounds_on)


def weak_instead(wording: Wording, these: WeakNotes, others: WeakNotes) -> str:
    """Return "2 long notes on the open A string instead of one on the 4th finger"; what both have is said once."""
    if not others.number:
        return these.words(wording)
    if these.sounds_on == others.sounds_on and these.named == others.named:
        return instead_of(wording, these.named, these.number, others.number, weak=these.sounds_on)
    if these.named == others.named:
        return wording.say(excursions.INSTEAD_ON, others.number, count=these.words(wording), weak=others.sounds_on)
    return wording.say(excursions.INSTEAD_OF, count=these.words(wording), other=others.words(wording))


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
    wording: Wording, these: Figures, others: Figures, weak: tuple[WeakNotes, WeakNotes] | None = None
) -> Difference:
    """Return in which counts two ways differ; `weak` are the notes that sound weak only one way, and only the other."""
    own, theirs = weak or (
        WeakNotes(these.held_weak, excursions.LONG_WEAK, ""),
        WeakNotes(others.held_weak, excursions.LONG_WEAK, ""),
    )
    these, others = replace(these, held_weak=own.number), replace(others, held_weak=theirs.number)
    found = list(telling(these, others, COUNTED))

    def compared(name: str, number: int, other: int) -> str:
        if name == "held_weak":
            return weak_instead(wording, own, theirs)
        return instead_of(wording, COUNTED[name], number, other)

    def gone(name: str, other: int) -> str:
        return theirs.words(wording) if name == "held_weak" else wording.say(COUNTED[name], other)

    fewer = [compared(*each) for each in found if 0 < each[1] < each[2]]
    avoided = [gone(name, other) for name, number, other in found if number == 0]
    more = [compared(*each) for each in found if each[1] > each[2]]
    is_compared = any(other for _, number, other in found if number > other)
    return Difference(
        counts_listed(wording, fewer),
        wording.all_of(avoided),
        counts_listed(wording, more) if is_compared else wording.all_of(more),
    )
