"""The ways to take one note, and what each costs nearby: what a player chooses from.

The rest of the plan stays as it is beyond `NEARBY` events on either side.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..hand.grip import Stop, stops_for
from ..plan.counted_figures import Figures, figures
from ..plan.plan import Plan
from ..search.k_best import RouteSearch, RouteSegment
from .window import Window

NEARBY = 12
"""Events before and after the note within which the hand may go another way for its sake."""
FARTHEST_BEYOND = 3
"""Positions above the highest of the level up to which a note is offered although the level does not have them."""

NO_FIGURES = Figures()


@dataclass(frozen=True, slots=True)
class NoteChoice:
    """One way to take a note.

    Attributes:
        stop: finger and string.
        position: of the hand; None for an open string.
        within_level: the level has it; if not, the other values are not known and have their defaults.
        rise: by how much more effort the music nearby takes than in the plan; 0 for the way of the plan, and for ways
            that take less but that few good routes take.
        planned: figures of the music nearby in the plan.
        figures: the same with this choice.
        changed: first and last event that are taken otherwise than in the plan, the note itself apart; None if none.
    """

    stop: Stop
    position: int | None
    within_level: bool
    rise: float = 0.0
    planned: Figures = NO_FIGURES
    figures: Figures = NO_FIGURES
    changed: tuple[int, int] | None = None


def note_choices(plan: Plan, row: int, routes: RouteSearch) -> tuple[NoteChoice, ...]:
    """Return every way to take a row of the plan: as planned, then those of the level, easiest first, then beyond it.

    `routes` are those of the plan. A note that no hand holds has no choices.
    """
    fingered = next(fingered for fingered in plan.rows if fingered.note.row == row)
    event = fingered.event
    by_way = _grips_by_way(plan, event, fingered.note.id)
    if not by_way:
        return ()
    nearby = Window.between(plan, event - NEARBY, event + NEARBY, plan.route.chosen)
    first, last = nearby.first, nearby.last
    base = routes.effort(first, last, plan.route.chosen)
    planned = figures(nearby.as_plan(plan, nearby.taken(plan)))
    found = []
    for (stop, position), grips in by_way.items():
        segment = routes.planned(first, last, {**nearby.ends, event: grips})
        if plan.route.chosen[event] in grips:
            segment = RouteSegment(tuple(plan.route.chosen[first : last + 1]), base)
        if segment is None:
            continue
        other = nearby.as_plan(plan, segment.chosen)
        changed = [t for t in range(first, last + 1) if t != event and _stops(other, t - first) != _stops(plan, t)]
        around = (changed[0], changed[-1]) if changed else None
        rise = max(segment.effort - base, 0.0)
        found.append(NoteChoice(stop, position, True, rise, planned, figures(other), around))
    stops = _stops(plan, event)
    found.sort(key=lambda c: (c.stop not in stops, c.rise, c.position or 0, c.stop.string))
    return (*found, *_beyond(plan, event, {(c.stop.string, c.stop.finger) for c in found}))


def _grips_by_way(plan: Plan, event: int, id: str) -> Mapping[tuple[Stop, int | None], frozenset[int]]:
    option = plan.route.options[event]
    if id not in option.slots:
        return {}
    slot = option.slots.index(id)
    found: dict[tuple[Stop, int | None], set[int]] = {}
    for number, grip in enumerate(option.grips):
        stop = grip.stops[slot]
        found.setdefault((stop, None if stop.is_open else grip.position), set()).add(number)
    return {way: frozenset(numbers) for way, numbers in found.items()}


def _stops(plan: Plan, event: int) -> tuple[Stop, ...]:
    grip = plan.grip(event)
    return grip.stops if grip else ()


def _beyond(plan: Plan, event: int, known: set[tuple[int, int]]) -> tuple[NoteChoice, ...]:
    """The ways that the level does not have, for a note alone and without a technique; the nearest position of each."""
    notes = plan.event(event).notes
    if len(notes) > 1 or plan.event(event).held or notes[0].techniques:
        return ()
    highest = max(plan.level.positions) + FARTHEST_BEYOND
    found = []
    for stop, positions in stops_for(notes[0].pitch, plan.passage.instrument):
        near = [position for position in positions if position not in plan.level.positions and position <= highest]
        if near and (stop.string, stop.finger) not in known:
            found.append(NoteChoice(stop, near[0], False))
    return tuple(sorted(found, key=lambda choice: (choice.position or 0, choice.stop.string)))
