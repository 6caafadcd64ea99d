"""What is counted at every event: stretches, hops, slides (what counts as which is common practice)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rules import ALL, FIRST, Constraint, Plan, cheapest_route, figures
from rules.hand.grip import Grip, grips_for
from rules.plan.counted_figures import grip_pair
from rules.plan.statistics import Counts, count
from tests.notation import plan_with_stops, read_passage

EVERYWHERE = frozenset(range(8))


def counted(notes: str, *stops: tuple[int, int, int]) -> Counts:
    """Counts of a line played on given strings, with given fingers, in given positions."""
    passage = read_passage(notes)
    grips: list[Grip | None] = []
    for event, (string, finger, position) in zip(passage.events, stops, strict=True):
        (grip,) = (
            g
            for g in grips_for(event.pitches, passage.instrument, EVERYWHERE)
            if (g.stops[0].string, g.stops[0].finger, g.position) == (string, finger, position)
        )
        grips.append(grip)
    return count(passage, grips)


def test_a_half_step_with_one_finger_is_no_slide_but_a_whole_step_is() -> None:
    assert counted("F5:1 F#5 G5", (1, 1, 1), (1, 1, 1), (1, 2, 1)).slides == (False, False, False)
    assert counted("C#5:1 D#5", (2, 1, 3), (2, 1, 3)).slides == (False, True)


def test_with_the_hand_no_finger_slides() -> None:
    assert counted("B4:1 D5", (2, 1, 1), (2, 1, 3)).slides == (False, False)


def test_the_fourth_finger_slides_badly_by_any_step() -> None:
    assert counted("B5:1/2 C6 B5", *[(1, 4, 1)] * 3).slides == (False, True, True)
    assert counted("F5:1/2 F#5 F5", *[(1, 1, 1)] * 3).slides == (False, False, False)


def test_a_rest_frees_the_finger() -> None:
    assert counted("B5:1/2 R:4 C6:1", *[(1, 4, 1)] * 2).slides == (False, False)


def test_a_note_repeated_under_a_reaching_finger_is_one_stretch() -> None:
    assert counted("C6:1 C6 C6 B5 C6", *[(1, 4, 1)] * 5).stretched == (True, False, False, False, True)
    assert counted("C6:1 R:4 C6", *[(1, 4, 1)] * 2).stretched == (True, True)


def test_the_low_first_finger_is_no_stretch_in_first_position_but_a_reach_in_third() -> None:
    assert counted("A#4:1 B4", *[(2, 1, 1)] * 2).stretched == (False, False)
    assert counted("C#5:1 D5", *[(2, 1, 3)] * 2).stretched == (True, False)


def test_the_fourth_beyond_its_letter_is_a_stretch_everywhere() -> None:
    assert counted("C6:1", (1, 4, 1)).stretched == (True,)
    assert counted("E6:1", (1, 4, 3)).stretched == (True,)


def weak(seconds: str, *stops: tuple[int, int, int], notes: str = "B5") -> tuple[bool, ...]:
    passage = read_passage(f"{notes}:{seconds}", tempo=60)
    grips = [
        next(
            g
            for g in grips_for(event.pitches, passage.instrument, EVERYWHERE)
            if (g.stops[0].string, g.stops[0].finger, g.position) == stop
        )
        for event, stop in zip(passage.events, stops, strict=True)
    ]
    return count(passage, grips).held_weak


@pytest.mark.parametrize(("seconds", "held"), [("6/5", True), ("119/100", False)])
def test_a_note_is_held_from_six_fifths_of_a_second(seconds: str, held: bool) -> None:
    assert weak(seconds, (1, 4, 1)) == (held,)
    assert weak(seconds, (2, 0, 1), notes="A4") == (held,)
    assert weak(seconds, (1, 1, 4)) == (False,), "the first finger is not weak"


def test_a_chord_is_not_weak() -> None:
    assert weak("2", (3, 0, 1), notes="[D4 A4]") == (False,)


def test_crossings_count_the_strings_between_the_nearest_notes() -> None:
    assert counted("E4:1 B4 A5 G3", (3, 1, 1), (2, 1, 1), (1, 3, 1), (4, 0, 1)).crossings == (0, 1, 1, 3)


@pytest.mark.parametrize(("rest", "crossed"), [("1/10", 0), ("9/100", 1)])
def test_a_short_rest_frees_bow_and_fingers(rest: str, crossed: int) -> None:
    passage = read_passage(f"E4:1 R:{rest} B4:1", tempo=60)
    plan = plan_with_stops(passage, "D1 A1")
    assert plan.counts.crossings == (0, crossed)
    assert (grip_pair(plan, 1) is None) is (crossed == 0)


def test_a_hop_is_the_same_finger_on_another_string_other_than_in_a_fifth() -> None:
    assert counted("E4:1 C5", (3, 1, 1), (2, 2, 1)).hops == (False, False)
    assert counted("E4:1 B4", (3, 1, 1), (2, 1, 1)).hops == (False, False)
    assert counted("E4:1 Bb4", (3, 1, 1), (2, 1, 1)).hops == (False, True)
    assert counted("E4:1 D5", (3, 1, 1), (2, 1, 3)).hops == (False, False), "with the hand"
    assert counted("D4:1 A4", (3, 0, 1), (2, 0, 1)).hops == (False, False), "open strings"


def test_figures_of_some_events_include_the_ways_in_and_out() -> None:
    plan = plan_with_stops(read_passage("E4:1 B4:1 F#5:1 G3:1 B3:1"), "D1 A1 E1 G0 G2")
    assert figures(plan).crossings == 3
    assert figures(plan).skips == 1
    assert figures(plan, 1, 1).crossings == 2
    assert figures(plan, 2, 2).skips == 1
    assert figures(plan, 4, 4).crossings == 0
    assert figures(plan, 3).crossings == 1


def test_figures_count_shifts_and_what_is_out_of_reach() -> None:
    plan = plan_with_stops(read_passage("B4:1 D5:1 B4:1"), "A1 A1@3 A1@1")
    assert (figures(plan).shifts, figures(plan, 2, 2).shifts, figures(plan, 0, 0).shifts) == (2, 1, 1)
    assert figures(plan).as_mapping() == {
        "crossings": 0,
        "skips": 0,
        "held_weak": 0,
        "stretches": 0,
        "hops": 0,
        "slides": 0,
        "shifts": 2,
        "unreachable": 0,
    }


def test_two_events_have_no_pair_before_the_first_or_without_a_grip() -> None:
    plan = plan_with_stops(read_passage("A3:1 B3:1"), "G1 G2")
    assert grip_pair(plan, 0) is None
    assert grip_pair(plan, 1) == (plan.grip(0), plan.grip(1))


def test_figures_of_some_events_count_only_what_lies_in_it() -> None:
    plan = plan_with_stops(read_passage("A4:2 B4:1 A4:2 B4:1 A4:2"), "A0 A1 A0 A1 A0")
    assert figures(plan).held_weak == 3
    assert [figures(plan, event, event).held_weak for event in range(5)] == [1, 0, 1, 0, 1]
    assert figures(plan, 1, 3).held_weak == 1
    passage = read_passage("B5:1/2 C6 B5")
    decisions = {note.id: Constraint(positions=FIRST.positions) for note in passage.notes}
    reaching = Plan(passage, ALL, cheapest_route(passage, ALL, decisions=decisions))
    assert [figures(reaching, 0, last).stretches for last in range(3)] == [0, 1, 1]


def test_notes_out_of_reach_are_counted() -> None:
    passage = read_passage("G3:1 F3:1 A3:1")
    plan = Plan(passage, ALL, cheapest_route(passage, ALL))
    assert figures(plan).unreachable == 1
    assert grip_pair(plan, 1) is None
    assert grip_pair(plan, 2) is None


def test_nothing_to_count_is_counted_as_nothing() -> None:
    assert count(replace(read_passage("A4"), events=()), ()) == Counts((), (), (), (), ())


@pytest.mark.parametrize(("rest", "again"), [("1/2", True), ("49/100", False)])
def test_after_a_rest_a_reach_is_a_stretch_anew(rest: str, again: bool) -> None:
    passage = read_passage(f"C6:1 R:{rest} C6:1", tempo=60)
    (grip,) = (g for g in grips_for(passage.events[0].pitches, passage.instrument, frozenset({1})))
    assert count(passage, [grip, grip]).stretched == (True, again)
