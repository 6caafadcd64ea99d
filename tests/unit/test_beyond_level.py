"""Notes beyond the level, and what is bound to them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from rules import FIRST, FIRST_AND_THIRD, Constraint, Plan, cheapest_route
from rules.candidates.slurs import covering, surroundings
from rules.music.passage import Event
from tests.notation import read_passage

FIGURE = "A5:1 R:1 | (D6:1/4 G6 F6 E6 D6) R:1 A5:1"


def test_a_figure_that_leaves_the_level_stays_in_one_place() -> None:
    passage = read_passage(FIGURE, fifths=-1)
    plan = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD))
    positions = {plan.rows[row].position for row in range(1, 6)}
    assert len(positions) == 1
    assert positions.isdisjoint(FIRST_AND_THIRD.positions)
    assert [option.beyond for option in plan.route.options[1:6]] == [False, True, True, False, False]
    assert plan.rows[6].position in FIRST_AND_THIRD.positions


def test_the_level_of_one_position_is_what_it_says() -> None:
    passage = read_passage(FIGURE, fifths=-1)
    plan = Plan(passage, FIRST, cheapest_route(passage, FIRST))
    assert not any(option.follows for option in plan.route.options)


def test_what_is_close_by_goes_too_but_not_over_a_rest() -> None:
    passage = read_passage("A5:1 B5 C6 D6 F6 D6 R:4 A5", fifths=-1)
    plan = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD))
    assert [option.follows for option in plan.route.options] == [False, True, True, True, False, True, False]


def test_a_note_that_the_level_has_under_a_reaching_finger_does_not_leave_it() -> None:
    """E6 in third position is the fourth finger a letter too high (see the anchors of the positions)."""
    passage = read_passage("(D6:1/2 E6 D6 E6 D6)")
    plan = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD))
    assert not any(option.beyond or option.follows for option in plan.route.options)
    assert {row.position for row in plan.rows} == {3}


def test_no_shift_under_a_slur_between_notes_of_the_level() -> None:
    passage = read_passage("B4:1 (C5 D5 E5 F5 G5 A5 B5 C6 D6) R:1 A4")
    plan = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD))
    assert not any(shift.slurred for shift in plan.shifts)


def test_a_decision_leaves_a_note_where_the_hand_has_to_be() -> None:
    passage = read_passage("R:1 (D6:1/4 G6 F6 E6 D6) R:1", fifths=-1)
    free = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD))
    stop = free.rows[0].stop
    assert stop is not None
    fixed = {free.rows[0].note.id: Constraint(fingers=frozenset({stop.finger}))}
    decided = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD, decisions=fixed))
    assert decided.grips == free.grips


def together(events: Sequence[Event], wanted: dict[int, frozenset[int]]) -> dict[int, frozenset[int]]:
    around = surroundings(events, [index in wanted for index in range(len(events))])
    return dict(covering(around, list(wanted.values()), len(events)))


def test_slurs_and_rests_say_what_goes_together() -> None:
    events = read_passage("D4:1 (E4 F4 G4) A4 (B4 C5) R:4 D5 E5").events
    found = together(events, {2: frozenset({2}), 6: frozenset({6})})
    assert found[0] == {2}
    assert found[1] == {2, 6}, "the slur that G4 shares is not broken"
    assert found[3] == {2, 6}
    assert found[5] == {2, 6}
    assert 2 in found[6]
    assert 7 not in found
    assert together(events, {}) == {}


def test_the_ends_of_a_long_slur_go_together_too() -> None:
    events = read_passage("(D4:1/4 E4 F4 G4 A4 B4 C5 D5)").events
    assert together(events, {0: frozenset({5})}).keys() == set(range(8))


@given(st.lists(st.tuples(st.booleans(), st.booleans(), st.booleans()), min_size=1, max_size=14))
def test_what_goes_together_agrees_with_its_definition(flags: list[tuple[bool, bool, bool]]) -> None:
    text = " ".join("D4:1" if not rest else "R:1 D4:1" for _, rest, _ in flags)
    events = [replace(e, slurred=i > 0 and flags[i][0]) for i, e in enumerate(read_passage(text).events)]
    wanted = {i: frozenset({i}) for i, (_, _, want) in enumerate(flags) if want}

    def reach(index: int, joined: Callable[[int], bool], steps: int) -> tuple[int, int]:
        first = last = index
        while first > max(index - steps, 0) and joined(first):
            first -= 1
        while last + 1 < min(index + steps + 1, len(events)) and joined(last + 1):
            last += 1
        return first, last

    expected: dict[int, set[int]] = {}
    for index in wanted:
        near = reach(index, lambda e: events[e].rest < 0.5, 3)
        first = reach(near[0], lambda e: events[e].slurred, len(events))[0]
        last = reach(near[1], lambda e: events[e].slurred, len(events))[1]
        for other in range(first, last + 1):
            expected.setdefault(other, set()).add(index)
    assert together(events, wanted) == expected


def test_of_two_voices_too_far_apart_the_upper_one_goes_on_in_the_level() -> None:
    passage = read_passage("F#5:1/4 G5 [D4'2 A5] G5 F#5 E5", fifths=2)
    plan = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD))
    assert plan.route.options[2].dropped == (passage.events[2].notes[0].id,)
    assert {row.position for row in plan.rows if row.stop and not row.stop.is_open} == {1}


def test_a_chord_of_one_voice_is_held_where_it_can_be() -> None:
    passage = read_passage("F#5:1/4 G5 [D4 A5] G5 F#5 E5", fifths=2)
    plan = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD))
    assert plan.route.options[2].dropped == ()
