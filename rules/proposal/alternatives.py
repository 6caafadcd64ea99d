"""Second opinions on an excursion: the next best ways that differ musically, with the decisions that bring them about.

Two ways differ musically if the hand goes through other positions, or changes them elsewhere; another finger or an open
string within the same positions is not another way.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from itertools import islice
from typing import NamedTuple

from ..cost.aspects import Aspect
from ..cost.learner_terms import BEYOND_LEVEL
from ..hand.grip import HOME_POSITION, Stop
from ..marks.constraints import Constraint
from ..marks.decisions import Pin
from ..plan.counted_figures import Figures, figures
from ..plan.plan import Excursion, Plan, Shift
from ..search.k_best import Allowed, Question, RouteSearch, RouteSegment
from .window import Window

MARGIN = 6
"""Events before and after an excursion within which the shifts out and home may be moved."""
LOOKED_AT = 24
"""How many ways, cheapest first, are looked at for an excursion; one that comes later is no second opinion."""
OFFERED = 2
WIDER = 24
"""Events around the window in which it is made sure that the pins bring the way about."""


class AlternativeKind(StrEnum):
    """In what a second way differs from the one proposed."""

    STAY = "stay in first position"
    POSITION = "another position"
    PLACE = "another place to shift"


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another way to play an excursion.

    Attributes:
        kind: in what it differs from the proposal.
        first: first event at which it counts, that of the excursion or earlier.
        last: last such event.
        positions: positions away from first, in order of playing.
        shifts: its shifts, by the events of the part.
        figures: counted from `first` to `last`, as this way has them.
        proposed: the same as proposed.
        rise: by how much more effort it takes than the proposal; never below 0.
        dearer: the aspects in which it takes more effort than the proposal, by how much, the most first.
        stops: how it takes every note, by note id.
        pins: the player's decisions that bring it about.
    """

    kind: AlternativeKind
    first: int
    last: int
    positions: tuple[int, ...]
    shifts: tuple[Shift, ...]
    figures: Figures
    proposed: Figures
    rise: float
    dearer: Mapping[Aspect, float]
    stops: Mapping[str, Stop]
    pins: tuple[Pin, ...]

    def position_at(self, event: int) -> int:
        """Return where the hand is at an event."""
        start = begins_in(self.shifts, self.positions)
        return next((shift.goal for shift in reversed(self.shifts) if shift.arrival <= event), start)


def begins_in(shifts: Sequence[Shift], positions: Sequence[int]) -> int:
    """Return the position in which a way with these shifts and positions begins."""
    return shifts[0].start if shifts else next(iter(positions), HOME_POSITION)


def alternatives(
    plan: Plan, excursions: Sequence[Excursion], routes: RouteSearch, most: int = OFFERED
) -> list[tuple[Alternative, ...]]:
    """Return the `most` cheapest ways to play each excursion, each the best of its kind, cheapest first.

    `routes` are those of the plan. A way that breaks a decision or leaves the level is not offered, nor one that the
    plan has turned down although it is cheaper (because nothing that counts improves, or a pattern would be fingered
    unlike).
    """
    windows = [_ExcursionWindow.around(plan, excursion) for excursion in excursions]
    keys = [(window.first, window.last, ("other ways", most, window.as_told(plan))) for window in windows]
    ways = routes.once_each(
        keys, lambda places: [found[:most] for found in _ranked(plan, [windows[place] for place in places], routes)]
    )
    searches = [
        [_PinSearch(plan, window, way.segment) for way in each] for window, each in zip(windows, ways, strict=True)
    ]
    _find_pins([search for each in searches for search in each], routes)
    found = []
    for excursion, window, each, with_pins in zip(excursions, windows, ways, searches, strict=True):
        planned = window.as_plan(plan, window.taken(plan))
        told = [_told(plan, planned, excursion, *both) for both in zip(each, with_pins, strict=True)]
        found.append(tuple(told))
    return found


class _Way(NamedTuple):
    """Another way through the window of an excursion, its rise, and in which aspects it takes more effort."""

    kind: AlternativeKind
    segment: RouteSegment
    rise: float
    dearer: Mapping[Aspect, float]


def _ranked(plan: Plan, windows: Sequence[_ExcursionWindow], routes: RouteSearch) -> list[list[_Way]]:
    """The best way of each kind through each window, cheapest first."""
    # Staying and the other positions may lie far down the list of all ways, so each is looked for by itself as well.
    questions = [(window.first, window.last, allowed) for window in windows for allowed in window.kinds(plan)]
    answers = iter(routes.cheapest_first_each(questions, lambda grips: grips.positions))
    # Who stays in first position has no choice of positions: the first answer is the only one.
    by_event = routes.effort_by_event(plan.route.chosen)
    return [
        _ranked_in(
            plan,
            window,
            routes,
            routes.effort(window.first, window.first, plan.route.chosen)
            + sum(by_event[window.first + 1 : window.last + 1]),
            [islice(next(answers), most) for most in (1, LOOKED_AT, LOOKED_AT)],
        )
        for window in windows
    ]


def _ranked_in(
    plan: Plan, window: _ExcursionWindow, routes: RouteSearch, base: float, answers: Iterable[Iterable[RouteSegment]]
) -> list[_Way]:
    """The best way of each kind of those that take at least the effort of the plan, `base`."""
    labels = window.labels(plan, window.taken(plan))
    found: dict[AlternativeKind, RouteSegment] = {}
    for segments in answers:
        for segment in segments:
            if segment.effort < base:
                continue
            told = window.labels(plan, segment.chosen)
            if told == labels:
                continue
            kind = _kind(labels, told)
            if kind not in found or segment.effort < found[kind].effort:
                found[kind] = segment
            if kind is not AlternativeKind.STAY:
                break
    order = list(AlternativeKind)
    ranked = sorted(found.items(), key=lambda item: (item[1].effort, order.index(item[0])))
    return [
        _Way(kind, segment, segment.effort - base, _dearer(plan, window, routes, segment))
        for kind, segment in ranked
        if segment.effort - base < BEYOND_LEVEL
    ]


def surroundings(plan: Plan, excursion: Excursion) -> tuple[int, int]:
    """Return the first and the last event that `alternatives` looks at."""
    window = _ExcursionWindow.around(plan, excursion)
    wide = window.wider(plan)
    return min(wide.first, window.first), max(wide.last, window.last)


def _kind(labels: Sequence[int | None], told: Sequence[int | None]) -> AlternativeKind:
    used, other = (set(x) - {None, HOME_POSITION} for x in (labels, told))
    if not other:
        return AlternativeKind.STAY
    return AlternativeKind.PLACE if used == other else AlternativeKind.POSITION


@dataclass(frozen=True)
class _ExcursionWindow(Window):
    """The events around an excursion."""

    @classmethod
    def around(cls, plan: Plan, excursion: Excursion, margin: int = MARGIN) -> _ExcursionWindow:
        """The margin ends before the neighbouring excursions begin."""
        first, last = excursion.first, excursion.last
        low, high = first - margin, last + margin
        number = bisect_left(plan.excursions, first, key=lambda other: other.first)
        if number:
            low = max(low, plan.excursions[number - 1].last + 1)
        if number + 1 < len(plan.excursions):
            high = min(high, plan.excursions[number + 1].first - 1)
        return cls.between(plan, low, high, plan.route.chosen)

    def wider(self, plan: Plan) -> Window:
        """The events that pins for another way might change."""
        return Window.between(plan, self.first - WIDER, self.last + WIDER, plan.route.chosen)

    def as_told(self, plan: Plan) -> Hashable:
        """What the plan takes, and where it is held fast, told without the place in the part."""
        return self.taken(plan), tuple([event - self.first for event in self.ends])

    def labels(self, plan: Plan, chosen: Sequence[int]) -> list[int | None]:
        """Positions, None where none can be told: before the first finger is down, or where nothing sounds.

        An open string bears the position that the hand leaves after it, so it is no other way than a finger.
        """
        found: list[int | None] = []
        begun = self.first > 0
        for option, index in zip(plan.route.options[self.first : self.last + 1], chosen, strict=True):
            begun = begun or (index >= 0 and not option.grips[index].is_open)
            found.append(option.grips.positions[index] if index >= 0 and begun else None)
        return found

    def kinds(self, plan: Plan) -> tuple[Allowed, Allowed, Allowed]:
        """What stays in first position, what keeps clear of the positions that are used, and everything."""
        used = {position for position in self.labels(plan, self.taken(plan)) if position is not None} - {HOME_POSITION}
        staying = self._where(plan, lambda position: position == HOME_POSITION)
        return staying, self._where(plan, lambda position: position not in used), self.ends

    def _where(self, plan: Plan, test: Callable[[int], bool]) -> Allowed:
        """What stays in the positions that pass a test."""
        known: dict[int, frozenset[int]] = {}
        inside = {}
        for event in range(self.first, self.last + 1):
            grips = plan.route.options[event].grips
            if grips.serial not in known:
                known[grips.serial] = frozenset([i for i, position in enumerate(grips.positions) if test(position)])
            inside[event] = known[grips.serial]
        return inside | dict(self.ends)


def _told(plan: Plan, planned: Plan, excursion: Excursion, way: _Way, with_pins: _PinSearch) -> Alternative:
    window, segment, changed = with_pins.window, way.segment, with_pins.changed
    other = window.as_plan(plan, segment.chosen)
    first, last = min([excursion.first, *changed]), max([excursion.last, *changed])
    counted = [event - window.first for event in (first, last, max(last + 1, plan.way_out(excursion)))]
    shifts = tuple(
        replace(s, departure=s.departure + window.first, arrival=s.arrival + window.first) for s in other.shifts
    )
    return Alternative(
        way.kind,
        first,
        last,
        tuple(span.position for span in other.fingered_spans if span.position != HOME_POSITION),
        shifts,
        figures(other, *counted),
        figures(planned, *counted),
        way.rise,
        way.dearer,
        {id: fingered.stop for id, fingered in other.by_note.items() if fingered.stop is not None},
        with_pins.pins(),
    )


def _dearer(plan: Plan, window: Window, routes: RouteSearch, segment: RouteSegment) -> dict[Aspect, float]:
    """The aspects in which a way takes more effort than the plan, the most first."""
    chosen = dict(enumerate(segment.chosen, window.first))
    # Nothing differs where both take the same grips, nor on the way between them.
    differing = [event for event, grip in chosen.items() if grip != plan.route.chosen[event]]
    compared = sorted({near for each in differing for near in (each, each + 1) if near <= window.last})
    by_aspect = routes.rise_by_aspect(compared, chosen, routes, plan.route.chosen)
    rises = [(aspect, value) for aspect, value in by_aspect.items() if value > 0]
    return dict(sorted(rises, key=lambda item: -item[1]))


class _PinSearch:
    """The search for the pins that bring a way about: for what differs from the plan, and for what would stray."""

    def __init__(self, plan: Plan, window: _ExcursionWindow, segment: RouteSegment) -> None:
        self._plan, self.window, self._wide = plan, window, window.wider(plan)
        before = plan.route.chosen[self._wide.first : window.first]
        after = plan.route.chosen[window.last + 1 : self._wide.last + 1]
        self._meant = dict(enumerate((*before, *segment.chosen, *after), self._wide.first))
        self.changed = self._elsewhere(window.taken(plan), window.first)
        self._pinned = {event: self._alike(event) for event in self.changed}

    def question(self) -> Question:
        """For the way that the planner takes if what was found is pinned."""
        return self._wide.first, self._wide.last, self._pinned | dict(self._wide.ends)

    def pin_strays(self, taken: RouteSegment | None) -> bool:
        """Pin what is played otherwise on the way that the planner takes; return True if anything is."""
        assert taken is not None, "the way that is pinned is one"
        strays = [event for event in self._elsewhere(taken.chosen, self._wide.first) if event not in self._pinned]
        self._pinned.update({event: self._alike(event) for event in strays})
        return bool(strays)

    def pins(self) -> tuple[Pin, ...]:
        """Return what was found, as decisions of a player."""
        return tuple([pin for event in sorted(self._pinned) for pin in self._pins_at(event)])

    def _elsewhere(self, taken: Sequence[int], first: int) -> list[int]:
        """The events from `first` on at which fingers fall otherwise than they are meant to."""
        return [
            event
            for event, index in enumerate(taken, first)
            if index != self._meant[event] and index not in self._alike(event)
        ]

    def _alike(self, event: int) -> frozenset[int]:
        """The grips that pins for the one that is meant leave: over an open string the hand waits where it likes."""
        return self._plan.route.options[event].grips.likes[self._meant[event]]

    def _pins_at(self, event: int) -> list[Pin]:
        option = self._plan.route.options[event]
        grip = option.grips[self._meant[event]]
        return [
            Pin(_only(grip.stops[option.slots.index(note.id)], grip.position), note.row)
            for note in self._plan.event(event).notes
            if note.row is not None and note.id in option.slots
        ]


def _find_pins(searches: Sequence[_PinSearch], routes: RouteSearch) -> None:
    """Search until the planner would take every way."""
    while searches:
        taken = routes.planned_each([search.question() for search in searches])
        searches = [search for search, way in zip(searches, taken, strict=True) if search.pin_strays(way)]


@lru_cache(maxsize=1024)
def _only(stop: Stop, position: int) -> Constraint:
    """What allows one stop in one position; an open string may be played from anywhere."""
    positions = None if stop.is_open else frozenset({position})
    return Constraint(frozenset({stop.finger}), frozenset({stop.string}), positions)


__all__ = ["Alternative", "AlternativeKind", "alternatives", "surroundings"]
