"""Repeats: where the music jumps, the hand jumps, and what is done about it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rules import (
    ALL,
    FIRST_AND_THIRD,
    STANDARD,
    Constraint,
    Kind,
    Passage,
    Plan,
    RouteSearch,
    align_repeat_ends,
    cheapest_route,
    jump_effort,
    jumps,
    propose,
)
from tests.notation import read_passage
from tests.reference.route_effort import effort_of

ENDS_HIGH = "D5:1/2 E5 F#5 G5 | A5 B5 C#6 D6 | E6 D6 C#6 B5 | D6 E6 C#6 D6"
RETURNS = "B4:1/2 C#5 D5 E5 | F#5 A5 D6 C#6 | B5 A5 F#5 E5 | D5 C#5 D5 E5"


def repeated(text: str, arrival: int = 0, departure: int | None = None) -> Passage:
    """Return a passage at the end of which the music goes back to `arrival`."""
    passage = read_passage(text, fifths=2)
    last = len(passage.events) - 1 if departure is None else departure
    events = list(passage.events)
    events[arrival] = replace(events[arrival], jump=last)
    return replace(passage, events=tuple(events))


def planned(passage: Passage, decisions: dict[str, Constraint] | None = None) -> Plan:
    return Plan(passage, ALL, cheapest_route(passage, ALL, decisions=decisions or {}))


def total(plan: Plan) -> float:
    """Effort of the part as printed and of its jumps."""
    return plan.route.effort + sum(jump_effort(plan, jump) for jump in jumps(plan))


def with_ends(passage: Passage, first: int, last: int) -> Plan:
    """Plan a passage with its two ends in given positions."""
    notes = (passage.events[0].notes[0].id, passage.events[-1].notes[0].id)
    return planned(
        passage, {n: Constraint(positions=frozenset({p})) for n, p in zip(notes, (first, last), strict=True)}
    )


def test_hand_that_ends_elsewhere_has_to_jump() -> None:
    (jump,) = jumps(with_ends(repeated(ENDS_HIGH), 1, 5))
    assert (jump.departure, jump.arrival) == (15, 0)


def test_hand_that_ends_where_it_began_does_not_jump() -> None:
    assert jumps(with_ends(repeated(ENDS_HIGH), 3, 3)) == ()


def test_rest_before_the_repeat_leaves_time_to_move() -> None:
    assert jumps(with_ends(repeated(f"{ENDS_HIGH} | D6:1 R:3"), 1, 5)) == ()


def test_the_rest_of_a_jump_is_counted_at_the_tempo_of_the_note_before_it() -> None:
    """An eighth rest at the end of the last bar, which is played at half the tempo of the part."""
    passage = repeated("D5:1/2 E5 F#5 G5 | D6:1/2 E6 D6:1/2 R:1/2", departure=6)
    for slower in (1, 1.5):
        last = passage.events[6]
        slow = replace(passage, events=(*passage.events[:6], replace(last, seconds=last.seconds * slower)))
        (jump,) = jumps(with_ends(slow, 1, 5))
        assert jump.rest == pytest.approx(0.5 * 60 / 96 * slower)


def test_a_rest_before_the_first_note_of_a_bar_counts_and_one_within_the_bar_does_not() -> None:
    text = "D5:1/2 E5 F#5 G5 | R:1/2 B4:1/2 C#5 B4 | D6 E6 D6 E6"
    for arrival, rest in ((4, 0.5 * 60 / 96), (5, 0)):
        passage = repeated(text, arrival=arrival)
        notes = (passage.events[arrival].notes[0].id, passage.events[-1].notes[0].id)
        places = {note: Constraint(positions=frozenset({p})) for note, p in zip(notes, (1, 5), strict=True)}
        (jump,) = jumps(planned(passage, places))
        assert (jump.arrival, jump.rest) == (arrival, pytest.approx(rest))


@pytest.mark.parametrize("text", ["C3:1 D5 E6 A6", "A6:1 D5 E6 C3", "C3:1 D5 E6 C3"])
def test_no_hand_jumps_from_or_to_a_note_that_cannot_be_played(text: str) -> None:
    assert jumps(planned(repeated(text))) == ()


def test_ends_that_no_one_position_holds_stay_apart() -> None:
    """A on the G string lies in first and half position, the B four octaves up high above it."""
    passage = repeated("A3:1 D5 E6 B6")
    plan = planned(passage)
    assert len(jumps(plan)) == 1
    assert align_repeat_ends(plan, lambda: RouteSearch(passage, plan.route.options, ALL)) == {}


def test_jump_costs_what_the_same_shift_costs_between_neighbours() -> None:
    """Against the planner on the two notes alone, one after the other, with the same stops."""
    plan = with_ends(repeated(ENDS_HIGH), 1, 5)
    (jump,) = jumps(plan)
    last, first = plan.event(jump.departure), replace(plan.event(jump.arrival), jump=None)
    decisions = {}
    for event, index in ((last, jump.departure), (first, jump.arrival)):
        grip = plan.grip(index)
        assert grip is not None
        (stop,) = grip.stops
        constraint = Constraint(frozenset({stop.finger}), frozenset({stop.string}), frozenset({grip.position}))
        decisions[event.notes[0].id] = constraint
    pair = planned(replace(plan.passage, events=(last, first)), decisions)
    items = effort_of(pair.passage, pair.route, ALL)
    moving = {term.name for term in STANDARD.of_kind(Kind.MOVING)}
    assert jump_effort(plan, jump) == pytest.approx(sum(v for name, v in items[1].items() if name in moving))


@pytest.mark.parametrize("text", [ENDS_HIGH, RETURNS])
def test_bringing_the_ends_together_never_costs_more_than_jumping(text: str) -> None:
    passage = repeated(text)
    plan = planned(passage)
    routes = RouteSearch(passage, plan.route.options, ALL)
    decided = align_repeat_ends(plan, lambda: routes)
    again = planned(passage, decided)
    assert total(again) <= total(plan)
    if decided:
        assert total(again) < total(plan)


def test_ends_meet_where_that_is_cheaper() -> None:
    """The last note lies in first and third position alike: it is taken where the repeat begins."""
    passage = repeated("A5:1/2 B5 C#6 D6 | C#6 B5 A5 B5 | A5 F#5 D5 E5 | F#5:1/2 E5 D5 D5", departure=15)
    first, last = passage.events[0].notes[0].id, passage.events[-1].notes[0].id
    apart = planned(passage, {first: Constraint(positions=frozenset({3})), last: Constraint(positions=frozenset({1}))})
    free = Plan(passage, ALL, replace(planned(passage).route, chosen=apart.route.chosen))
    (jump,) = jumps(free)
    decided = align_repeat_ends(free, lambda: RouteSearch(passage, free.route.options, ALL))
    assert set(decided) == {first, last}
    assert {decision.positions for decision in decided.values()} == {frozenset({3})}
    again = planned(passage, decided)
    assert jumps(again) == ()
    assert again.route.effort < free.route.effort + jump_effort(free, jump)


def test_part_without_repeats_looks_nothing_up() -> None:
    passage = read_passage(ENDS_HIGH, fifths=2)

    def refuse() -> RouteSearch:
        raise AssertionError("the ways are not to be looked up")

    assert align_repeat_ends(planned(passage), refuse) == {}


def test_player_decides_against_the_repeat() -> None:
    passage = repeated(ENDS_HIGH)
    first, last = passage.events[0].notes[0].id, passage.events[-1].notes[0].id
    wanted = {first: Constraint(positions=frozenset({1})), last: Constraint(positions=frozenset({5}))}
    plan = propose(passage, ALL, decisions=wanted).plan
    assert (plan.by_note[first].position, plan.by_note[last].position) == (1, 5)


def test_default_level_plans_repeats_too() -> None:
    plan = propose(repeated(RETURNS), FIRST_AND_THIRD).plan
    assert plan.unheld == ()
