"""What is worth printing."""

from __future__ import annotations

from rules import ALL, FIRST, FIRST_AND_THIRD, Fingers, Plan, advice, cheapest_route, position_words
from tests.marked_notation import read_stops
from tests.notation import plan_with_stops, read_passage


def test_tune_at_home_prints_nothing_essential() -> None:
    passage = read_passage("D4:1 E4:1 F#4:1 G4:1 | E4:1 F#4:1 G4:1 B4:1")
    plan = Plan(passage, FIRST, cheapest_route(passage, FIRST))
    assert [a.finger for a in advice(plan)] == [None] * 8
    assert position_words(plan) == ()


def test_all_fingers_prints_every_note() -> None:
    passage = read_passage("D4:1 E4:1 F#4:1 G4:1")
    plan = Plan(passage, FIRST, cheapest_route(passage, FIRST))
    assert [a.finger for a in advice(plan, Fingers.ALL)] == [0, 1, 2, 3]


def test_arrival_prints_finger_string_and_position_and_the_return_is_named() -> None:
    plan = plan_with_stops(read_passage("B4:1 D5:1 E5:1 F#5:1 | B4:1 C#5:1 R:2"), "A1 A1 A2 A3 A1 A2")
    told = {a.placed.event: (a.finger, a.string) for a in advice(plan) if a.finger is not None}
    assert told[1] == (1, 2)
    assert told[4] == (1, 2)
    assert [(w.event, w.position) for w in position_words(plan)] == [(1, 3), (4, 1)]


def test_a_chord_gets_all_its_fingers_or_none() -> None:
    passage = read_passage("D5:1 [G4 E5]:1 [G4 E5]:1 B4:1 D5:1 [G4 E5]:1")
    plan = plan_with_stops(passage, "A1 D1+A2 D1+A2 D3 A1 D1+A2")
    told: dict[int, list[int | None]] = {}
    for found in advice(plan):
        told.setdefault(found.placed.event, []).append(found.finger)
    assert told[1] == [1, 2], "the hand has come to another string"
    assert told[2] == [None, None]
    assert told[5] == [1, 2]


def test_the_first_finger_is_printed_where_it_reaches_back() -> None:
    passage = read_passage("D5:1 C#5:1 D5:1 F#5:1")
    stops = read_stops("A1@3 A1@3 A1@3 A3@3", passage)
    plan = Plan(passage, ALL, cheapest_route(passage, ALL, decisions=stops))
    assert [found.finger for found in advice(plan)] == [1, 1, None, None]


def test_a_finger_laid_across_two_strings_is_printed() -> None:
    passage = read_passage("[G4 E5]:1 [G4 D5]:1 [G4 D5]:1")
    stops = read_stops("D1@3+A2@3 D1@3+A1@3 D1@3+A1@3", passage)
    told: dict[int, list[int | None]] = {}
    for found in advice(Plan(passage, ALL, cheapest_route(passage, ALL, decisions=stops))):
        told.setdefault(found.placed.event, []).append(found.finger)
    assert told[1] == [1, 1]
    assert told[2] == [None, None]


def test_a_reach_is_printed_with_its_string_where_the_hand_has_the_note_on_another() -> None:
    passage = read_passage("F#5:1/4 A5:1/4 G5:1/4 F#5:1/4")
    stops = read_stops("A3@3 A4@3 A4@3 A3@3", passage)
    told = [(a.finger, a.string) for a in advice(Plan(passage, ALL, cheapest_route(passage, ALL, decisions=stops)))]
    assert told[1] == (4, 2)


def test_a_habit_is_told_again_after_some_bars_though_it_was_kept_up() -> None:
    bars = " | ".join(["G4:1 A4:1 G4:1 F#4:1"] * 6)
    plan = plan_with_stops(read_passage(bars), " ".join(["D3 D4 D3 D2"] * 6))
    told = [a.placed.event // 4 for a in advice(plan) if a.finger == 4]
    assert told == [0, 4]


def test_only_shifts_prints_arrivals() -> None:
    plan = plan_with_stops(read_passage("B4:1 D5:1 A4:1 E4:1"), "A1 A1 D2 D1")
    told = [a.placed.event for a in advice(plan, Fingers.SHIFTS) if a.finger is not None]
    assert told == [shift.arrival for shift in plan.shifts]


def test_fourth_finger_is_printed_where_open_is_the_habit_and_open_where_the_habit_changed() -> None:
    plan = plan_with_stops(read_passage("G4:1 A4:1 G4:1 A4:1 | B4:1 A4:1 B4:1 G4:1"), "D3 D4 D3 D4 A1 A0 A1 D3")
    told = {a.placed.event: a.finger for a in advice(plan)}
    assert told[1] == 4
    assert told[3] is None, "the reader remembers"
    assert told[5] == 0


def test_forgotten_habit_is_told_again() -> None:
    bars = " | ".join(["G4:1 F#4:1 E4:1 F#4:1"] * 5)
    plan = plan_with_stops(
        read_passage(f"G4:1 A4:1 G4:2 | {bars} | G4:1 A4:1 G4:2"), "D3 D4 D3 " + "D3 D2 D1 D2 " * 5 + "D3 D4 D3"
    )
    assert [a.placed.event for a in advice(plan) if a.finger == 4] == [1, len(plan.passage.events) - 2]


def test_stretched_finger_is_printed() -> None:
    passage = read_passage("B5:1 C6:1 B5:2")
    plan = Plan(passage, FIRST, cheapest_route(passage, FIRST))
    assert [a.finger for a in advice(plan)][1] == 4
    assert FIRST_AND_THIRD.positions == {1, 3}
