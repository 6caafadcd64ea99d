"""Second opinions on an excursion: the next best ways that differ musically, with the decisions that bring them about.

Two ways differ musically if the hand goes through other positions, or changes them elsewhere; another finger or an open
string within the same positions is not another way.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import islice
from typing import NamedTuple

from ..cost.aspects import Aspect, by_aspect
from ..cost.learner_terms import BEYOND_LEVEL
from ..hand.grip import HOME_POSITION, Grip, Stop
from ..marks.constraints import Constraint
from ..marks.decisions import Pin
from ..plan.counted_figures import Figures, figures
from ..plan.plan import Excursion, Plan, Shift
from ..search.k_best import Allowed, RouteSearch, RouteSegment
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


def alternatives(plan: Plan, excursion: Excursion, routes: RouteSearch, most: int = OFFERED) -> tuple[Alternative, ...]:
    """Return the `most` cheapest ways to play an excursion, each the best of its kind, cheapest first.

    `routes` are those of the plan. A way that breaks a decision or leaves the level is not offered, nor one that the
    plan has turned down although it is cheaper (because nothing that counts improves, or a pattern would be fingered
    unlike).
    """
    window = _ExcursionWindow.around(plan, excursion)
    key = "other ways", most, window.taken(plan), tuple(event - window.first for event in window.ends)
    ways = routes.once(window.first, window.last, key, lambda: _ranked(plan, window, routes)[:most])
    planned = window.as_plan(plan, window.taken(plan))
    return tuple(_told(plan, planned, excursion, window, routes, way) for way in ways)


class _Way(NamedTuple):
    """Another way through the window of an excursion, its rise, and in which aspects it takes more effort."""

    kind: AlternativeKind
    segment: RouteSegment
    rise: float
    dearer: Mapping[Aspect, float]


def _ranked(plan: Plan, window: _ExcursionWindow, routes: RouteSearch) -> list[_Way]:
    """The best way of each kind, cheapest first."""
    labels = window.labels(plan, window.taken(plan))
    used = frozenset(position for position in labels if position is not None) - {HOME_POSITION}
    base = routes.effort(window.first, window.last, plan.route.chosen)
    found: dict[AlternativeKind, RouteSegment] = {}
    # Staying and the other positions may lie far down the list of all ways, so each is looked for by itself as well.
    for allowed in (window.only(plan, frozenset({HOME_POSITION})), window.without(plan, used), window.ends):
        for segment in islice(routes.cheapest_first(window.first, window.last, allowed, _label), LOOKED_AT):
            told = window.labels(plan, segment.chosen)
            if told == labels or segment.effort < base:
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
    wide = Window.between(plan, window.first - WIDER, window.last + WIDER, plan.route.chosen)
    return min(wide.first, window.first), max(wide.last, window.last)


def _label(_event: int, grip: Grip) -> int:
    """An open string bears the position that the hand leaves after it, so it is no other way than a finger."""
    return grip.position


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

    def grips(self, plan: Plan, chosen: Sequence[int]) -> list[Grip | None]:
        options = plan.route.options[self.first : self.last + 1]
        return [None if i < 0 else option.grips[i] for option, i in zip(options, chosen, strict=True)]

    def labels(self, plan: Plan, chosen: Sequence[int]) -> list[int | None]:
        """Positions, None where none can be told: before the first finger is down, or where nothing sounds."""
        found: list[int | None] = []
        begun = self.first > 0
        for grip in self.grips(plan, chosen):
            begun = begun or (grip is not None and not grip.is_open)
            found.append(grip.position if grip is not None and begun else None)
        return found

    def only(self, plan: Plan, positions: frozenset[int]) -> Allowed:
        """What stays within some positions."""
        return self._where(plan, lambda grip: grip.position in positions)

    def without(self, plan: Plan, positions: frozenset[int]) -> Allowed:
        """What keeps clear of some positions."""
        return self._where(plan, lambda grip: grip.position not in positions)

    def _where(self, plan: Plan, test: Callable[[Grip], bool]) -> Allowed:
        events = range(self.first, self.last + 1)
        inside = {
            event: frozenset(i for i, grip in enumerate(plan.route.options[event].grips) if test(grip))
            for event in events
        }
        return inside | dict(self.ends)


def _told(
    plan: Plan,
    planned: Plan,
    excursion: Excursion,
    window: _ExcursionWindow,
    routes: RouteSearch,
    way: _Way,
) -> Alternative:
    segment = way.segment
    other = window.as_plan(plan, segment.chosen)
    changed = [
        window.first + i
        for i, (a, b) in enumerate(zip(window.taken(plan), segment.chosen, strict=True))
        if a != b and not (a >= 0 and _same(plan.route.options[window.first + i].grips, a, b))
    ]
    first, last = min([excursion.first, *changed]), max([excursion.last, *changed])
    shifts = tuple(
        replace(s, departure=s.departure + window.first, arrival=s.arrival + window.first) for s in other.shifts
    )
    return Alternative(
        way.kind,
        first,
        last,
        tuple(span.position for span in other.fingered_spans if span.position != HOME_POSITION),
        shifts,
        figures(other, first - window.first, last - window.first),
        figures(planned, first - window.first, last - window.first),
        way.rise,
        way.dearer,
        {id: fingered.stop for id, fingered in other.by_note.items() if fingered.stop is not None},
        _pins(plan, window, routes, segment, changed),
    )


def _dearer(plan: Plan, window: Window, routes: RouteSearch, segment: RouteSegment) -> dict[Aspect, float]:
    """The aspects in which a way takes more effort than the plan, the most first."""
    chosen = list(plan.route.chosen)
    chosen[window.first : window.last + 1] = segment.chosen
    # Nothing differs where both take the same grips, nor on the way between them.
    differing = [event for event in range(window.first, window.last + 1) if chosen[event] != plan.route.chosen[event]]
    compared = sorted({near for each in differing for near in (each, each + 1) if near <= window.last})
    by_term = routes.rise(compared, chosen, routes, plan.route.chosen)
    rises = [(aspect, value) for aspect, value in by_aspect(by_term).items() if value > 0]
    return dict(sorted(rises, key=lambda item: -item[1]))


def _same(grips: Sequence[Grip], a: int, b: int) -> bool:
    """The fingers fall alike: open strings say nothing about where the hand waits."""
    return grips[a].stops == grips[b].stops and (grips[a].is_open or grips[a].position == grips[b].position)


def _pins(
    plan: Plan, window: _ExcursionWindow, routes: RouteSearch, segment: RouteSegment, changed: Sequence[int]
) -> tuple[Pin, ...]:
    """Pins for what differs, and for what would be played otherwise if only that were pinned."""
    chosen = list(plan.route.chosen)
    chosen[window.first : window.last + 1] = segment.chosen
    pinned = {event: _like(plan, event, chosen[event]) for event in changed}
    wide = Window.between(plan, window.first - WIDER, window.last + WIDER, chosen)
    strays: list[int] | None = None
    while strays is None or strays:
        best = routes.planned(wide.first, wide.last, pinned | dict(wide.ends))
        assert best is not None, "the way that is pinned is one"
        strays = [
            event
            for event, taken in enumerate(best.chosen, wide.first)
            if event not in pinned
            and chosen[event] >= 0
            and not _same(plan.route.options[event].grips, taken, chosen[event])
        ]
        pinned.update({event: _like(plan, event, chosen[event]) for event in strays})
    return tuple(pin for event in sorted(pinned) for pin in _pinned(plan, event, chosen[event]))


def _like(plan: Plan, event: int, index: int) -> frozenset[int]:
    """The grips that pins for this one leave: an open string leaves the hand where it likes to wait."""
    grips = plan.route.options[event].grips
    return frozenset(i for i in range(len(grips)) if _same(grips, i, index))


def _pinned(plan: Plan, event: int, index: int) -> list[Pin]:
    if index < 0:
        return []
    option = plan.route.options[event]
    grip = option.grips[index]
    pins = []
    for note in plan.event(event).notes:
        if note.row is not None and note.id in option.slots:
            stop = grip.stops[option.slots.index(note.id)]
            positions = None if stop.is_open else frozenset({grip.position})
            pins.append(Pin(Constraint(frozenset({stop.finger}), frozenset({stop.string}), positions), note.row))
    return pins


__all__ = ["Alternative", "AlternativeKind", "alternatives", "surroundings"]
