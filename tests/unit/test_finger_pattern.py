"""Finger patterns: where the half steps lie, and what is low and high."""

from __future__ import annotations

import pytest

from rules import ALL, FingerPattern, Plan, cheapest_route, finger_patterns
from tests.marked_notation import read_stops
from tests.notation import plan_with_stops, read_passage

# Common practice: the patterns of well-known scales in first and third position.
CHARTS = [
    ("A4 B4 C#5 D5", "D4 A1 A2 A3", 2, 2, "2-3"),
    ("B4 C#5 D5 E5", "A1 A2 A3 A4", 2, 2, "2-3"),
    ("B4 C5 D5 E5", "A1 A2 A3 A4", 0, 2, "1-2"),
    ("E4 F#4 G#4 A4", "D1 D2 D3 D4", 3, 3, "3-4"),
    ("F5 G5 A5 B5", "E1 E2 E3 E4", 0, 1, "none"),
    ("G4 A4 B4 C#5", "D1 D2 D3 D4", 2, 3, "none"),
    ("D5 E5 F#5 G5", "A1 A2 A3 A4", 2, 2, "3-4"),
    ("E4 F4 G#4 A4", "D1 D2 D3 D4", 0, 3, "1-2 and 3-4, wide 2-3"),
]


def first_pattern(notes: str, stops: str, fifths: int, string: int) -> FingerPattern:
    """Return the pattern on a string in the last span of notes whose stops are given."""
    plan = plan_with_stops(read_passage(notes, fifths=fifths), stops)
    found = {pattern.string: pattern for pattern in finger_patterns(plan, plan.spans[-1])}
    return found[string]


@pytest.mark.parametrize(("notes", "stops", "fifths", "string", "name"), CHARTS)
def test_pattern_is_named_by_its_half_steps(notes: str, stops: str, fifths: int, string: int, name: str) -> None:
    assert first_pattern(notes, stops, fifths, string).name == name


def test_fingers_that_do_not_play_stand_where_the_key_has_them() -> None:
    pattern = first_pattern("E4 G4", "D1 D3", 2, 3)
    assert {finger: pitch.name for finger, pitch in pattern.places.items()} == {1: "E4", 2: "F#4", 3: "G4", 4: "A4"}
    assert pattern.used == frozenset({1, 3})
    assert pattern.name == "2-3"


@pytest.mark.parametrize(("note", "high"), [("F4", False), ("F#4", True)])
def test_low_and_high_second_finger(note: str, high: bool) -> None:
    # Common practice: F natural and F sharp on the D string in first position are low 2 and high 2.
    assert first_pattern(f"E4 {note}", "D1 D2", 0, 3).is_high(2) is high


def test_finger_needed_low_and_high_is_said_to_change() -> None:
    pattern = first_pattern("E4 F4 F#4 G4 F#4", "D1 D2 D2 D3 D2", 0, 3)
    assert pattern.changing == frozenset({2})
    assert pattern.places[2].name == "F#4"


def test_span_of_the_frame_is_a_perfect_fourth_unless_all_steps_are_whole() -> None:
    # Several teachers: the first three patterns span a perfect fourth, the last an augmented fourth.
    spans = {name: first_pattern(notes, stops, fifths, string).span for notes, stops, fifths, string, name in CHARTS}
    assert spans["1-2"] == spans["2-3"] == spans["3-4"] == 5
    assert spans["none"] == 6


def test_in_half_position_the_first_finger_never_stands_on_the_nut() -> None:
    # D major has D on the D string: the open string. The first finger is a half step above it.
    pattern = first_pattern("C#5 A#4 F#4 G4", "A3 A1 D3 D4", 2, 3)
    assert pattern.position == 0
    assert pattern.places[1].name == "D#4"


def test_a_second_visit_to_a_position_has_the_pattern_of_the_first() -> None:
    """Third, fifth and third position again: C and C sharp are one third finger, now low, now high."""
    plan = plan_with_stops(read_passage("A5 C6 D6 C#6 A5 C#6"), "E1 E3 E2 E1 E1 E3")
    assert [span.position for span in plan.spans] == [3, 5, 3]
    patterns = finger_patterns(plan, *plan.spans)
    assert [pattern.position for pattern in patterns] == [3, 5]
    assert patterns[0].changing == frozenset({3})


def test_fingers_that_do_not_play_make_way_for_those_that_reach() -> None:
    """In third position the second finger reaches for B flat, where the key has the third."""
    pattern = first_pattern("G4 Bb4 C5", "D1 D2 D4", -1, 3)
    assert {finger: pitch.name for finger, pitch in pattern.places.items()} == {1: "G4", 2: "Bb4", 3: "B4", 4: "C5"}
    assert pattern.half_steps == ((2, 3), (3, 4))


def test_other_notes_of_a_finger_come_with_their_bars_as_they_are_written() -> None:
    plan = plan_with_stops(read_passage("D5 F5 D5 | D#5 F5 Eb5 | D5"), "A1 A3 A1 A1 A3 A1 A1")
    (pattern,) = finger_patterns(plan, plan.spans[0])
    assert pattern.places[1].name == "D5"
    assert [(note.pitch.name, note.measures) for note in pattern.elsewhere[1]] == [
        ("D#5", (1,)),
        ("Eb5", (1,)),
    ]
    assert pattern.changing == frozenset({1})


def test_a_note_that_a_finger_reaches_for_is_told_apart_from_its_place() -> None:
    passage = read_passage("A5 D6 | E6 A5")
    plan = Plan(passage, ALL, cheapest_route(passage, ALL, decisions=read_stops("E1@3 E4@3 E4@3 E1@3", passage)))
    (pattern,) = finger_patterns(plan, plan.spans[0])
    assert {finger: pitch.name for finger, pitch in pattern.places.items()} == {1: "A5", 2: "B5", 3: "C6", 4: "D6"}
    assert [(note.pitch.name, note.measures) for note in pattern.reaches[4]] == [("E6", (1,))]
    assert not pattern.changing


def test_a_string_on_which_the_hand_only_reaches_has_its_shape_too() -> None:
    passage = read_passage("E6 E6")
    plan = Plan(passage, ALL, cheapest_route(passage, ALL, decisions=read_stops("E4@3 E4@3", passage)))
    (pattern,) = finger_patterns(plan, plan.spans[0])
    assert pattern.places[4].name == "D6"
    assert pattern.reaches[4][0].pitch.name == "E6"
