"""Where the music jumps, the hand jumps: the end of a repeat against its beginning, an ending against what leads to it.

The planner goes through the bars as they are printed, once. Where that leaves the hand in one position at the end of
a repeat and asks for another at its beginning, with no rest to move in, three ways are compared: to jump; to begin
where the end is; to end where the beginning is. Each change is planned anew between neighbours held fast, and its
effort added to that of the jump. The cheapest is decided for both ends; the planner then finds the cheapest route
that keeps it. That is exact for each jump given the rest of the part, not for all jumps together.

What does not belong here: finding the jumps (the reader), and reporting those that are left (the catalogue).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from .best_routes import Ways
from .candidates import Candidates, Fixed, GripSet
from .circumstance import Character
from .effort import STANDARD, Weights
from .figures import UNBOUND_REST
from .hand import Grip
from .plan import Plan

MARGIN = 12
"""Events on either side of an end that may change with it."""


@dataclass(frozen=True, slots=True)
class Jump:
    """The music comes to event `arrival` from event `departure`, not its neighbour, after `rest` seconds of silence."""

    departure: int
    arrival: int
    rest: float


def jumps(plan: Plan) -> Iterator[Jump]:
    """Yield the places where a repeat makes the hand shift without a rest to move in."""
    for index, event in enumerate(plan.passage.events):
        if event.jump is None or event.jump == index - 1:
            continue
        left, reached = plan.grip(event.jump), plan.grip(index)
        if left is None or reached is None or left.is_open or reached.is_open or left.position == reached.position:
            continue
        rest = _rest(plan, event.jump, index)
        if rest < UNBOUND_REST:
            yield Jump(event.jump, index, rest)


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
    grips = [plan.grip(jump.departure), plan.grip(jump.arrival)]
    return _between(plan, jump, [grip for grip in grips if grip is not None], weights, character)


def _between(plan: Plan, jump: Jump, grips: list[Grip], weights: Weights, character: Character) -> float:
    first, second = plan.event(jump.departure), plan.event(jump.arrival)
    events = (first, replace(second, rest=jump.rest, slurred=False, held=(), jump=None))
    passage = replace(plan.passage, events=events)
    options = [
        Candidates(plan.route.options[end].slots, GripSet((grip,)))
        for end, grip in zip((jump.departure, jump.arrival), grips, strict=True)
    ]
    pair = Ways(passage, options, plan.level, weights, character)
    return pair.effort(0, 1, (0, 0)) - pair.effort(0, 0, (0, 0)) - pair.effort(1, 1, (0, 0))


def joined(
    plan: Plan,
    look_up: Callable[[], Ways],
    weights: Weights = STANDARD,
    character: Character = Character.FROM_THE_PART,
) -> dict[str, Fixed]:
    """Return decisions that spare the hand a jump where playing one end elsewhere costs less; empty if none does.

    `look_up` brings the ways of the plan; it is called only if the music jumps and the hand has to follow.
    """
    found: dict[str, Fixed] = {}
    ways: Ways | None = None
    for jump in jumps(plan):
        ways = ways or look_up()
        better = _better(plan, ways, jump, weights, character)
        if better is not None:
            for event, grip in zip((jump.departure, jump.arrival), better, strict=True):
                found |= _decided(plan, event, grip)
    return found


def _better(plan: Plan, ways: Ways, jump: Jump, weights: Weights, character: Character) -> tuple[Grip, Grip] | None:
    """The grips at both ends if another pair costs less than the jump as planned."""
    left, reached = plan.grip(jump.departure), plan.grip(jump.arrival)
    if left is None or reached is None:
        return None
    least, best = _between(plan, jump, [left, reached], weights, character), None
    ends = ((jump.arrival, left.position), (jump.departure, reached.position))
    for event, position in ends:
        changed = _elsewhere(plan, ways, event, position, jump)
        if changed is None:
            continue
        rise, grip = changed
        pair = (left, grip) if event == jump.arrival else (grip, reached)
        effort = rise + _between(plan, jump, list(pair), weights, character)
        if effort < least:
            least, best = effort, pair
    return best


def _elsewhere(plan: Plan, ways: Ways, event: int, position: int, jump: Jump) -> tuple[float, Grip] | None:
    """What it costs to play one end in a position, and with which grip; the other end stays as it is."""
    grips, chosen = plan.route.options[event].grips, plan.route.chosen
    wanted = frozenset(i for i, grip in enumerate(grips) if grip.position == position and not grip.is_open)
    first, last = max(event - MARGIN, 0), min(event + MARGIN, len(chosen) - 1)
    fast = {first} if first > 0 else set()
    fast |= {last} if last < len(chosen) - 1 else set()
    fast |= {end for end in (jump.departure, jump.arrival) if first <= end <= last}
    allowed = {end: frozenset({chosen[end]}) for end in fast if chosen[end] >= 0} | {event: wanted}
    way = ways.cheapest(first, last, allowed)
    if way is None:
        return None
    return way.effort - ways.effort(first, last, chosen), grips[way.chosen[event - first]]


def _decided(plan: Plan, event: int, grip: Grip) -> dict[str, Fixed]:
    slots = plan.route.options[event].slots
    positions = frozenset({grip.position})
    return {
        note: Fixed(frozenset({stop.finger}), frozenset({stop.string}), positions)
        for note, stop in zip(slots, grip.stops, strict=True)
    }


__all__ = ["Jump", "joined", "jump_effort", "jumps"]
