"""Notes beyond the level: they are left out of the plan, unless a mark or a technique asks for them."""

from __future__ import annotations

import pytest

from rules import ALL, FIRST, FIRST_AND_THIRD, LEVELS, Constraint, Plan, cheapest_route
from tests.notation import read_passage

FIGURE = "A5:1 R:1 | (D6:1/4 G6 F6 E6 D6) R:1 A5:1"


def plan_of(text: str, level_name: str, fifths: int = 0) -> Plan:
    passage = read_passage(text, fifths=fifths)
    level = LEVELS[level_name]
    return Plan(passage, level, cheapest_route(passage, level))


def test_a_note_beyond_the_level_has_no_stop_and_the_others_stay_in_the_level() -> None:
    plan = plan_of(FIGURE, "first-and-third", -1)
    assert [option.left_out for option in plan.route.options] == [False, False, True, True, False, False, False]
    assert [row.stop is None for row in plan.rows] == [False, False, True, True, False, False, False]
    assert {row.position for row in plan.rows if row.stop} <= FIRST_AND_THIRD.positions


@pytest.mark.parametrize("level", [name for name in LEVELS if name != "all"])
@pytest.mark.parametrize("high", ["B6", "[B5 B6]"])
def test_the_bars_around_are_planned_as_if_it_were_not_there(level: str, high: str) -> None:
    without = plan_of("G4:1 A4 B4 C5 | R:4 | D5:1 C5 B4 A4", level)
    beside = plan_of(f"G4:1 A4 B4 C5 | {high}:4 | D5:1 C5 B4 A4", level)
    assert beside.route.options[4].left_out
    assert [grip for grip in beside.grips if grip] == list(without.grips)


def test_who_knows_the_whole_fingerboard_plays_everything() -> None:
    plan = plan_of(FIGURE, "all", -1)
    assert not plan.unheld
    assert not any(option.beyond for option in plan.route.options)


def test_a_finger_that_is_asked_for_leads_beyond_the_level() -> None:
    passage = read_passage("R:1 (D6:1/4 G6 F6 E6 D6) R:1", fifths=-1)
    high = passage.events[1].notes[0].id
    asked = {high: Constraint(fingers=frozenset({4}))}
    decided = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD, decisions=asked))
    (stop,) = [row.stop for row in decided.rows if row.note.id == high]
    assert stop is not None
    assert stop.finger == 4


def test_a_note_that_the_level_has_under_a_reaching_finger_does_not_leave_it() -> None:
    """E6 in third position is the fourth finger a letter too high (see the anchors of the positions)."""
    plan = plan_of("(D6:1/2 E6 D6 E6 D6)", "first-and-third")
    assert not any(option.beyond for option in plan.route.options)
    assert {row.position for row in plan.rows} == {3}


def test_no_shift_under_a_slur_between_notes_of_the_level() -> None:
    plan = plan_of("B4:1 (C5 D5 E5 F5 G5 A5 B5 C6 D6) R:1 A4", "first-and-third")
    assert not any(shift.slurred for shift in plan.shifts)


def test_the_positions_listed_plan_like_the_level_that_has_them() -> None:
    for text in ("G4:1 B4 D5 G5 B5 D6 F6 A6 C7", FIGURE, "[G4 E5]:1 [B4 G5] A6:2"):
        passage = read_passage(text)
        listed = ALL.with_positions(frozenset(ALL.positions))
        assert cheapest_route(passage, listed) == cheapest_route(passage, ALL)
    assert FIRST.learner
    assert not ALL.learner


def test_of_two_voices_too_far_apart_the_upper_one_goes_on_in_the_level() -> None:
    plan = plan_of("F#5:1/4 G5 [D4'2 A5] G5 F#5 E5", "first-and-third", 2)
    assert plan.route.options[2].dropped == (plan.passage.events[2].notes[0].id,)
    assert {row.position for row in plan.rows if row.stop and not row.stop.is_open} == {1}


def test_a_chord_of_one_voice_is_held_where_it_can_be() -> None:
    plan = plan_of("F#5:1/4 G5 [D4 A5] G5 F#5 E5", "first-and-third", 2)
    assert plan.route.options[2].dropped == ()
    assert plan.grip(2) is not None
