"""What is decided before the planner starts: by marks in the part, and by the player.

What does not belong here: weighing (the planner breaks as few decisions as it can).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from .candidates import Decisions, Fixed
from .passage import Event, Note, Passage
from .plan import Plan


@dataclass(frozen=True, slots=True)
class Pin:
    """The player's own decision: for one row of the plan, or for every note of a range of measures.

    `measures` are indices of the first and last measure, both included.
    """

    fixed: Fixed
    row: int | None = None
    measures: tuple[int, int] | None = None

    def concerns(self, event: Event, note: Note) -> bool:
        """True if the decision is about this note."""
        if self.measures is not None:
            return self.measures[0] <= event.measure <= self.measures[1]
        return self.row is not None and note.row == self.row


def printed_decisions(passage: Passage) -> dict[str, Fixed]:
    """Return what the part prints, as decisions by note id."""
    found: dict[str, Fixed] = {}
    for event in passage.events:
        for note in event.notes:
            fixed = _printed(event, note)
            if fixed is not None:
                found[note.id] = fixed
    return found


def _printed(event: Event, note: Note) -> Fixed | None:
    fingers = frozenset(f for f in note.printed.fingers if 0 <= f <= 4)
    strings = frozenset(note.printed.strings)
    if not strings and event.string is not None and 0 not in fingers:
        strings = frozenset({event.string})
    positions = None if event.position is None else frozenset({event.position})
    if not fingers and not strings and positions is None:
        return None
    return Fixed(fingers or None, strings or None, positions)


def pinned(passage: Passage, pins: Iterable[Pin], base: Mapping[str, Fixed]) -> Decisions:
    """Return `base` with the player's pins laid over it; a pin wins over a printed mark on the same note."""
    found = dict(base)
    for pin in pins:
        for event in passage.events:
            for note in event.notes:
                if pin.concerns(event, note):
                    found[note.id] = _over(pin.fixed, found.get(note.id))
    return found


def _over(pin: Fixed, below: Fixed | None) -> Fixed:
    """What the pin leaves open, an earlier pin on the same note may still say; a printed mark gives way whole."""
    if below is None:
        return pin
    return Fixed(
        pin.fingers if pin.fingers is not None else below.fingers,
        pin.strings if pin.strings is not None else (below.strings if pin.fingers is None else None),
        pin.positions if pin.positions is not None else (below.positions if pin.fingers is None else None),
    )


@dataclass(frozen=True, slots=True)
class Unmet:
    """A decision that the plan could not keep."""

    event: int
    note: str
    fixed: Fixed


def unmet(plan: Plan, decisions: Decisions) -> tuple[Unmet, ...]:
    """Return the decisions that the plan goes against, in playing order."""
    found = []
    for index, event in enumerate(plan.passage.events):
        grip, slots = plan.grip(index), plan.route.options[index].slots
        for note in event.notes:
            fixed = decisions.get(note.id)
            if fixed is None:
                continue
            if grip is None or note.id not in slots or fixed.violations(grip, slots.index(note.id)):
                found.append(Unmet(index, note.id, fixed))
    return tuple(found)
