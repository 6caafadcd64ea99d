"""Where the music jumps, the hand jumps: the end of a repeat against its beginning, an ending against what leads to it.

The planner goes through the bars as they are printed, once. Where that leaves the hand in one position at the end of
a repeat and asks for another at its beginning, with no rest to move in, three ways are compared: to jump; to begin
where the end is; to end where the beginning is. Each change is planned anew between neighbours held fast, and its
effort added to that of the jump. The cheapest is decided for both ends; the planner then finds the cheapest route
that keeps it. That is exact for each jump given its surroundings, not for all jumps together.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from ..candidates.candidates import Candidates
from ..cost.context import Character
from ..cost.standard_terms import STANDARD, Weights
from ..hand.grip import Grip
from ..hand.grip_set import GripSet
from ..marks.constraints import Constraint
from ..music.passage import UNBOUND_REST
from ..plan.plan import Plan
from ..search.k_best import RouteSearch

MARGIN = 12
"""Events on either side of an end that may change with it."""


@dataclass(frozen=True, slots=True)
class Jump:
    """The music comes to event `arrival` from event `departure`, not its neighbour, after `rest` seconds of silence."""

    departure: int
    arrival: int
    rest: float


def jumps(plan: Plan) -> tuple[Jump, ...]:
    """Return the places where a repeat makes the hand shift without a rest to move in."""
    return tuple(jump for jump in _bound(plan) if _shifts(plan.grip(jump.departure), plan.grip(jump.arrival)))


def _bound(plan: Plan) -> Iterator[Jump]:
    """All jumps of the music that leave no rest to move in, whatever the hand does."""
    for index, event in enumerate(plan.passage.events):
        if event.jump is not None and event.jump != index - 1:
            rest = _rest(plan, event.jump, index)
            if rest < UNBOUND_REST:
                yield Jump(event.jump, index, rest)


def _shifts(left: Grip | None, reached: Grip | None) -> bool:
    if left is None or reached is None or left.is_open or reached.is_open:
        return False
    return left.position != reached.position


def _rest(plan: Plan, departure: int, arrival: int) -> float:
    """Silence from the end of the last note to its bar line, and from the bar line to the first note."""
    measures, last, first = plan.passage.measures, plan.event(departure), plan.event(arrival)
    ending = measures[last.measure]
    after = max(ending.onset + ending.beats - last.onset - last.beats, Fraction(0))
    before = first.onset - measures[first.measure].onset
    is_first = arrival == 0 or plan.event(arrival - 1).measure != first.measure
    beats = after + (before if is_first else Fraction(0))
    return float(beats) * (last.seconds / float(last.beats) if last.beats else 60 / plan.passage.quarter_tempo)


def jump_effort(
    plan: Plan, jump: Jump, weights: Weights = STANDARD, character: Character = Character.FROM_THE_PART
) -> float:
    """Return the effort of a jump as planned: that of the way from its departure to its arrival as neighbours."""
    return _Ends(plan, weights, character).effort(jump, plan.route.chosen)


def align_repeat_ends(
    plan: Plan,
    look_up: Callable[[], RouteSearch],
    weights: Weights = STANDARD,
    character: Character = Character.FROM_THE_PART,
) -> dict[str, Constraint]:
    """Return decisions that spare the hand a jump where playing one end elsewhere costs less; empty if none does.

    `look_up` brings the ways of the plan; it is called only if the music jumps and the hand has to follow.
    """
    forced = jumps(plan)
    return _Ends(plan, weights, character).constraints(forced, look_up()) if forced else {}


class _Ends:
    """The ends of all jumps of a part, and the route while they are being brought together."""

    def __init__(self, plan: Plan, weights: Weights, character: Character) -> None:
        self._plan = plan
        self._weights = weights
        self._character = character
        self._all = tuple(_bound(plan))

    def effort(self, jump: Jump, chosen: Sequence[int]) -> float:
        """What a jump costs with these grips; nothing where the hand does not shift."""
        left, reached = self._grip(jump.departure, chosen), self._grip(jump.arrival, chosen)
        if left is None or reached is None or not _shifts(left, reached):
            return 0.0
        plan, first = self._plan, self._plan.event(jump.departure)
        second = replace(plan.event(jump.arrival), rest=jump.rest, slurred=False, held=(), jump=None)
        options = [
            Candidates(plan.route.options[end].slots, GripSet((grip,)))
            for end, grip in ((jump.departure, left), (jump.arrival, reached))
        ]
        passage = replace(plan.passage, events=(first, second))
        pair = RouteSearch(passage, options, plan.level, self._weights, self._character)
        return pair.effort(0, 1, (0, 0)) - pair.effort(0, 0, (0, 0)) - pair.effort(1, 1, (0, 0))

    def constraints(self, forced: Sequence[Jump], routes: RouteSearch) -> dict[str, Constraint]:
        """Take the jumps one after the other; keep a change only if all jumps that it touches cost less for it."""
        chosen = list(self._plan.route.chosen)
        decided: set[Jump] = set()
        for jump in forced:
            if not decided.isdisjoint(self._touching(jump.departure, jump.departure)):
                continue
            if not decided.isdisjoint(self._touching(jump.arrival, jump.arrival)):
                continue
            changes = [
                self._elsewhere(routes, chosen, end, other)
                for end, other in ((jump.arrival, jump.departure), (jump.departure, jump.arrival))
            ]
            gain, first, taken = max((c for c in changes if c is not None), key=lambda c: c[0], default=(0.0, 0, ()))
            if gain > 0:
                chosen[first : first + len(taken)] = taken
                decided.update(self._touching(first, first + len(taken) - 1))
        events = sorted({event for jump in decided for event in (jump.departure, jump.arrival)})
        return {note: fixed for event in events for note, fixed in self._decided(event, chosen).items()}

    def _touching(self, first: int, last: int) -> list[Jump]:
        return [j for j in self._all if first <= j.departure <= last or first <= j.arrival <= last]

    def _elsewhere(
        self, routes: RouteSearch, chosen: Sequence[int], event: int, other: int
    ) -> tuple[float, int, tuple[int, ...]] | None:
        """One end played in the position of the other: what is gained, from which event on, and the grips there."""
        grips, there = self._plan.route.options[event].grips, self._grip(other, chosen)
        if there is None:
            return None
        wanted = frozenset(i for i, grip in enumerate(grips) if grip.position == there.position and not grip.is_open)
        first, last = max(event - MARGIN, 0), min(event + MARGIN, len(chosen) - 1)
        fast = {first} if first > 0 else set()
        fast |= {last} if last < len(chosen) - 1 else set()
        fast |= {other} if first <= other <= last else set()
        allowed = {end: frozenset({chosen[end]}) for end in fast if chosen[end] >= 0} | {event: wanted}
        segment = routes.planned(first, last, allowed)
        if segment is None:
            return None
        after = list(chosen)
        after[first : last + 1] = segment.chosen
        touched = self._touching(first, last)
        gain = sum(self.effort(jump, chosen) - self.effort(jump, after) for jump in touched)
        return gain - segment.effort + routes.effort(first, last, chosen), first, segment.chosen

    def _grip(self, event: int, chosen: Sequence[int]) -> Grip | None:
        index = chosen[event]
        return None if index < 0 else self._plan.route.options[event].grips[index]

    def _decided(self, event: int, chosen: Sequence[int]) -> dict[str, Constraint]:
        grip = self._grip(event, chosen)
        if grip is None:
            return {}
        positions = None if grip.is_open else frozenset({grip.position})
        return {
            note: Constraint(frozenset({stop.finger}), frozenset({stop.string}), positions)
            for note, stop in zip(self._plan.route.options[event].slots, grip.stops, strict=True)
        }


__all__ = ["Jump", "align_repeat_ends", "jump_effort", "jumps"]
