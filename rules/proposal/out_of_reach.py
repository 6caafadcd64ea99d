"""What first position does not reach in the bars of an excursion: notes, and notes that it does not hold together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..hand.level import FIRST, Level
from ..hand.reach import reach
from ..plan.plan import Excursion, Plan


@dataclass(frozen=True, slots=True)
class OutOfReach:
    """What first position lacks in some bars.

    Attributes:
        notes: how many notes it does not have.
        notes_beyond: how many of these the level does not have either.
        together: events whose notes it has one by one, and not together.
        together_beyond: those of them that the level does not have either.
    """

    notes: int
    notes_beyond: int
    together: tuple[int, ...]
    together_beyond: tuple[int, ...]


def out_of_reach(home: Plan, plan: Plan, excursion: Excursion) -> OutOfReach:
    """Count in the bars of an excursion, whole, as a reader counts who has only their numbers.

    `home` is the part in first position. Notes that the level lacks are left out of the plan, so they may stand before
    or after the notes that are fingered.
    """
    notes = beyond = 0
    together: list[int] = []
    for event in _events_of_its_bars(plan, excursion):
        if not home.route.options[event].only_beyond:
            continue
        lacking = _lacking(plan, event, FIRST)
        if not lacking:
            together.append(event)
            continue
        notes += lacking
        if plan.route.options[event].only_beyond:
            beyond += _lacking(plan, event, plan.level) or lacking
    still = tuple(event for event in together if plan.route.options[event].only_beyond)
    return OutOfReach(notes, beyond, tuple(together), still)


def _events_of_its_bars(plan: Plan, excursion: Excursion) -> Iterator[int]:
    bars = range(plan.event(excursion.first).measure, plan.event(excursion.last).measure + 1)
    return (index for bar in bars for index in plan.passage.events_by_measure.get(bar, ()))


def _lacking(plan: Plan, event: int, level: Level) -> int:
    """How many notes of an event lie in none of the positions of a level; one alone does, if only as it is played."""
    pitches = plan.event(event).pitches
    found = sum(reach((pitch,), plan.passage.instrument, level.positions)[1] for pitch in pitches)
    return found or (len(pitches) == 1 and not plan.event(event).held)
