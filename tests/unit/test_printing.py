"""What is worth printing, case by case; `tests/reference/test_print_leads_back.py` holds the law."""

from __future__ import annotations

from dataclasses import replace

from rules import ALL, FIRST, Fingers, Passage, Plan, PositionWord, cheapest_route, printed_plan, shift_lines
from tests.marked_notation import read_marked_passage, read_stops
from tests.notation import plan_with_stops, read_passage


def digits(plan: Plan, fingers: Fingers = Fingers.ESSENTIAL) -> dict[int, list[int | None]]:
    """The printed fingers of every event that has any."""
    found: dict[int, list[int | None]] = {}
    for advice in printed_plan(plan, fingers).notes:
        found.setdefault(advice.fingered.event, []).append(advice.finger)
    return {event: fingers for event, fingers in found.items() if any(finger is not None for finger in fingers)}


def strings(plan: Plan) -> dict[int, int]:
    """The printed strings by event."""
    return {advice.fingered.event: advice.string for advice in printed_plan(plan).notes if advice.string is not None}


def words(plan: Plan) -> list[tuple[int, int]]:
    """Event and position of every position word."""
    return [(word.event, word.position) for word in printed_plan(plan).words]


def planned(passage: Passage, stops: str) -> Plan:
    """A plan with every stop and position given."""
    return Plan(passage, ALL, cheapest_route(passage, ALL, decisions=read_stops(stops, passage)))


def test_tune_at_home_prints_nothing_essential() -> None:
    passage = read_passage("D4:1 E4:1 F#4:1 G4:1 | E4:1 F#4:1 G4:1 B4:1")
    plan = Plan(passage, FIRST, cheapest_route(passage, FIRST))
    assert digits(plan) == {}
    assert words(plan) == []


def test_all_fingers_prints_every_note() -> None:
    passage = read_passage("D4:1 E4:1 F#4:1 G4:1")
    plan = Plan(passage, FIRST, cheapest_route(passage, FIRST))
    assert digits(plan, Fingers.ALL) == {0: [0], 1: [1], 2: [2], 3: [3]}


def test_arrival_prints_word_and_finger_and_the_return_is_named() -> None:
    plan = plan_with_stops(read_passage("B4:1 D5:1 E5:1 F#5:1 | B4:1 C#5:1 R:2"), "A1 A1 A2 A3 A1 A2")
    assert digits(plan) == {1: [1], 4: [1]}
    assert words(plan) == [(1, 3), (4, 1)]
    assert strings(plan) == {}, "D5 and B4 lie on the A string in first position too"


def test_the_string_of_an_arrival_is_printed_where_first_position_has_the_note_on_another() -> None:
    plan = plan_with_stops(read_passage("B4:1 F5:1 E5:1 D5:1"), "A1 A3 A2 A1")
    assert strings(plan) == {1: 2}


def test_the_word_is_printed_once_for_a_visit_of_one_note() -> None:
    plan = planned(read_passage("B4:1/2 D6:1/2 B5:1/2 A5:1/2"), "A1@1 E4@3 E4@1 E3@1")
    assert words(plan) == [(1, 3)]
    assert digits(plan) == {1: [4], 2: [4]}, "no finger but the fourth a third lower: the hand has moved back"


def test_the_word_of_the_return_is_printed_where_the_digit_would_be_read_as_a_reach() -> None:
    plan = planned(read_passage("B4:1/2 D5:1/2 C5:1/2 B4:1/2"), "A1@1 A1@3 A1@2 A1@1")
    assert (2, 2) in words(plan)


def test_a_chord_gets_all_its_fingers_or_none() -> None:
    passage = read_passage("D5:1 [G4 E5]:1 [G4 E5]:1 B4:1 D5:1 [G4 E5]:1")
    plan = plan_with_stops(passage, "A1 D1+A2 D1+A2 D3 A1 D1+A2")
    assert all(None not in told for told in digits(plan).values())
    laid = planned(read_passage("[G4 E5]:1 [G4 D5]:1 [G4 D5]:1"), "D1@3+A2@3 D1@3+A1@3 D1@3+A1@3")
    assert set(digits(laid)) == {0}, "each finger of the fifth is that of its letter"


def test_the_first_finger_is_printed_where_it_reaches_back_and_the_fourth_where_it_reaches_up() -> None:
    back = planned(read_passage("D5:1 C#5:1 D5:1 F#5:1"), "A1@3 A1@3 A1@3 A3@3")
    assert digits(back) == {0: [1], 1: [1]}
    up = planned(read_passage("F#5:1/4 A5:1/4 G5:1/4 F#5:1/4"), "A3@3 A4@3 A4@3 A3@3")
    assert digits(up) == {0: [3], 1: [4]}


def test_a_finger_under_the_letter_of_another_is_printed() -> None:
    flat = planned(read_passage("E4:1 Fb4:1 G4:1 D#4:1"), "D1@1 D1@1 D3@1 G4@1")
    assert digits(flat) == {1: [1], 3: [4]}
    assert words(flat) == []


def test_where_a_finger_looks_like_another_position_the_position_is_named_again() -> None:
    plan = planned(read_passage("A5:1 C6:1 D6:1 C6:1"), "E1@3 E2@3 E4@3 E3@3")
    assert words(plan) == [(0, 3), (1, 3)]


def test_a_fourth_finger_is_printed_every_time_open_strings_only_where_the_hand_is_up() -> None:
    home = plan_with_stops(read_passage("G4:1 A4:1 G4:1 A4:1 | B4:1 A4:1 B4:1 G4:1"), "D3 D4 D3 D4 A1 A0 A1 D3")
    assert digits(home) == {1: [4], 3: [4]}
    up = planned(read_passage("D5:1 E5:1 E5:1 F5:1"), "A1@3 A2@3 E0 A3@3")
    assert digits(up) == {0: [1], 2: [0]}


def test_the_same_note_again_is_numbered_once_in_a_bar() -> None:
    plan = plan_with_stops(read_passage("A4:1 A4:1 A4:1 A4:1 | A4:1 A4:1 G4:1 A4:1"), "D4 " * 6 + "D3 D4")
    assert digits(plan) == {0: [4], 4: [4], 7: [4]}


def test_a_note_after_one_without_a_finger_is_not_the_same_note_again() -> None:
    passage = read_passage("B5:1 C6:1 E6:1 C6:1")
    plan = Plan(passage, FIRST, cheapest_route(passage, FIRST))
    assert plan.grip(2) is None, "E6 is beyond first position"
    assert digits(plan) == {1: [4], 3: [4]}


def test_a_digit_tells_again_after_eight_bars_where_the_hand_is() -> None:
    bars = " | ".join(["D5:1 E5:1 F5:1 E5:1"] * 18)
    plan = planned(read_passage(bars), "A1@3 A2@3 A3@3 A2@3 " * 18)
    assert list(digits(plan)) == [0, 32, 64]
    assert words(plan) == [(0, 3)]


def test_like_bars_are_marked_alike() -> None:
    bar, stops = "G4:1 A4:1 C#5:1 A4:1", "D3@1 D4@1 A2@1 A0"
    told = digits(planned(read_passage(" | ".join([bar] * 3)), " ".join([stops] * 3)))
    assert told == {1: [4], 5: [4], 9: [4]}


def test_only_shifts_prints_arrivals() -> None:
    plan = plan_with_stops(read_passage("B4:1 D5:1 A4:1 E4:1"), "A1 A1 D2 D1")
    assert list(digits(plan, Fingers.SHIFTS)) == [shift.arrival for shift in plan.shifts]


def test_a_second_ending_is_told_again() -> None:
    passage = read_marked_passage("B4:1 C5:1 D5:1 C5:1 | D5:1 E5:1 F5:1 D5:1 | D5{from-4}:1 F5:1 E5:1 D5:1")
    plan = planned(passage, "A1@1 A2@1 A3@1 A2@1 A1@3 A2@3 A3@3 A1@3 A1@3 A3@3 A2@3 A1@3")
    assert words(plan) == [(4, 3), (8, 3)]
    assert [word.until for word in printed_plan(plan).words] == [8, None], "two dashed lines, not one over the other"


def test_where_a_repeat_leads_back_from_higher_up_the_position_is_named() -> None:
    passage = read_marked_passage("B4{from-8}:1 C5:1 D5:1 C5:1 | D5:1 E5:1 F5:1 D5:1")
    plan = planned(passage, "A1@1 A2@1 A3@1 A2@1 A1@3 A2@3 A3@3 A1@3")
    assert words(plan) == [(0, 1), (4, 3)]


def test_a_word_that_the_part_prints_is_not_printed_again() -> None:
    passage = read_marked_passage("B4:1 D5{3rd}:1 E5:1 F5:1")
    plan = planned(passage, "A1@1 A1@3 A2@3 A3@3")
    assert words(plan) == []


def test_in_a_range_of_bars_the_position_is_told_where_the_range_begins() -> None:
    passage = read_passage("D5:1 E5:1 F5:1 E5:1 | F5:1 E5:1 D5:1 E5:1 | D5:1 E5:1 F5:1 E5:1")
    plan = planned(passage, "A1@3 A2@3 A3@3 A2@3 A3@3 A2@3 A1@3 A2@3 A1@3 A2@3 A3@3 A2@3")
    printed = printed_plan(plan, measures=(1, 1))
    assert [(word.event, word.position) for word in printed.words] == [(4, 3)]
    assert [advice.fingered.event for advice in printed.notes if advice.finger] == [4]


def test_a_slanted_line_stays_on_its_line_of_music_and_off_rests() -> None:
    stops = "A1@1 A1@3 A2@3 A3@3"
    plan = planned(read_passage("B4:1 | D5:1 E5:1 F5:1"), stops)
    assert [(left.event, reached.event) for left, reached in shift_lines(plan)] == [(0, 1)]
    assert list(shift_lines(planned(read_passage("B4:1 R:1 | D5:1 E5:1 F5:1"), stops))) == []
    laid_out = plan.passage
    laid_out = replace(laid_out, measures=(laid_out.measures[0], replace(laid_out.measures[1], new_system=True)))
    assert list(shift_lines(planned(laid_out, stops))) == []


def test_every_shift_on_one_string_has_its_line() -> None:
    plan = planned(read_passage("B4:1 D5:1 B4:1 D5:1"), "A1@1 A1@3 A1@1 A1@3")
    assert [(left.event, reached.event) for left, reached in shift_lines(plan)] == [(0, 1), (1, 2), (2, 3)]


def test_on_the_way_through_a_position_the_word_stands_where_the_hand_arrives() -> None:
    plan = planned(read_passage("E5:1 G5:1 B5:1 A5:1 | B5:1 C6:1 B5:1 A5:1"), "E0 E1@2 E2@3 E1@3 E2@3 E3@3 E2@3 E1@3")
    assert words(plan) == [(2, 3)]
    assert digits(plan)[1] == [1]


def test_a_string_in_words_is_not_printed_again() -> None:
    stops = "G1@4 G2@4 G3@4"
    named = planned(read_marked_passage("D4{sul-G}:1 E4 F4"), stops)
    for beside_print in (True, False):
        printed = printed_plan(named, beside_print=beside_print)
        assert [advice.string for advice in printed.notes] == [None, None, None]
        assert printed.words == (PositionWord(0, 4, None),)
    assert strings(planned(read_passage("D4:1 E4 F4"), stops)) == {0: 4}


def test_a_word_ends_where_the_hand_leaves_or_the_next_word_stands() -> None:
    plan = planned(read_passage("B4:1 D5 E5 B4 C5 D5 E5 F5"), "A1@1 A1@3 A2@3 A1@1 A2@1 A1@3 A2@3 A3@3")
    assert printed_plan(plan).words == (PositionWord(1, 3, 3), PositionWord(3, 1, 5), PositionWord(5, 3, None))
