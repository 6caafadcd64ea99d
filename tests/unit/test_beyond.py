"""Notes beyond the level, and what is bound to them."""

from __future__ import annotations

from rules import FIRST, FIRST_AND_THIRD, Fixed, Plan, cheapest_route
from rules.candidates.slurs import bound_to
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
    fixed = {free.rows[0].note.id: Fixed(fingers=frozenset({stop.finger}))}
    decided = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD, decisions=fixed))
    assert decided.grips == free.grips


def test_what_is_bound_is_told_by_slurs_and_rests() -> None:
    events = read_passage("D4:1 (E4 F4 G4) A4 (B4 C5) R:4 D5 E5").events
    which = [note in {2, 6} for note in range(len(events))]
    found = dict(bound_to(events, which))
    assert found[0] == [2]
    assert found[1] == [2, 6], "the slur that G4 shares is not broken"
    assert found[3] == [2, 6]
    assert found[5] == [2, 6]
    assert found[6] == [2]
    assert 7 not in found
    assert dict(bound_to(events, [False] * len(events))) == {}


def test_the_ends_of_a_long_slur_are_bound_too() -> None:
    events = read_passage("(D4:1/4 E4 F4 G4 A4 B4 C5 D5)").events
    assert dict(bound_to(events, [index == 0 for index in range(8)])).keys() == set(range(1, 8))


def test_of_two_voices_too_far_apart_the_upper_one_goes_on_in_the_level() -> None:
    passage = read_passage("F#5:1/4 G5 [D4'2 A5] G5 F#5 E5", fifths=2)
    plan = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD))
    assert plan.route.options[2].dropped == (passage.events[2].notes[0].id,)
    assert {row.position for row in plan.rows if row.stop and not row.stop.is_open} == {1}


def test_a_chord_of_one_voice_is_held_where_it_can_be() -> None:
    passage = read_passage("F#5:1/4 G5 [D4 A5] G5 F#5 E5", fifths=2)
    plan = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD))
    assert plan.route.options[2].dropped == ()
