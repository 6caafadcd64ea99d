"""Routes read as players read them. Stops are fixed by decisions, so that no weight matters here."""

from __future__ import annotations

import pytest

from rules import ALL, LEVELS, Pitch, Plan, ShiftKind, cheapest_route, propose
from tests.marked_notation import placed, read_stops
from tests.notation import plan_with_stops, read_passage


def test_up_to_a_higher_finger_the_one_that_was_down_guides() -> None:
    plan = plan_with_stops(read_passage("F#4:1 E4:1 A4:1 B4:1"), "D2 D1 D2 D3")
    (shift,) = plan.shifts
    assert (shift.start, shift.goal, shift.kind) == (1, 3, ShiftKind.GUIDE_FINGER)
    assert (shift.guide, shift.finger) == (1, 2)
    # The first finger slides from E4 (first position) to where it stands in third position on the D string: G4.
    assert shift.guide_pitch is not None
    assert shift.guide_pitch.name == "G4"


def test_the_guide_goes_to_the_note_that_its_finger_plays_there_whatever_the_key_has() -> None:
    plan = plan_with_stops(read_passage("F#4:1 E4:1 A4:1 G#4:1 A4:1"), "D2 D1 D2 D1 D2")
    assert [(shift.guide, shift.guide_pitch and shift.guide_pitch.name) for shift in plan.shifts] == [(1, "G#4")]


def test_back_at_home_only_what_is_played_soon_tells_where_the_guide_goes() -> None:
    late = "D5:1 | A4:1 C5:1 A4:1 C5:1 | A4:4 | A4:4 | Bb4:4"
    (shift,) = plan_with_stops(read_passage(late), "A1 A0 A2 A0 A2 A0 A0 A1").shifts
    assert (shift.guide, shift.guide_pitch and shift.guide_pitch.name) == (1, "B4")
    near = "D5:1 | A4:1 C5:1 A4:1 C5:1 | Bb4:4"
    (shift,) = plan_with_stops(read_passage(near), "A1 A0 A2 A0 A2 A1").shifts
    assert (shift.guide, shift.guide_pitch and shift.guide_pitch.name) == (1, "Bb4")


def test_up_to_a_lower_finger_that_finger_guides_or_the_hand_would_slide_past_the_note() -> None:
    # Common practice: on the way up from 3 to 2 the third finger would be carried beyond the goal.
    plan = plan_with_stops(read_passage("A4:1 G4:1 A4:1 G4:1"), "D4 D3 D2 D1")
    (shift,) = plan.shifts
    assert (shift.start, shift.goal, shift.kind) == (1, 3, ShiftKind.GUIDE_FINGER)
    assert (shift.guide, shift.finger) == (2, 2)
    assert shift.guide_pitch is not None
    assert shift.guide_pitch.name == "A4"


def test_the_guide_stays_on_its_own_string_though_the_same_finger_is_down_on_another() -> None:
    # From E4 (D1) with D5 (A3) up to D5 (A1) in third position: the first finger leads on the A string, not on the D.
    passage = read_passage("[E4 D5]:1 D5:1")
    stops = read_stops("D1@1+A3@1 A1@3", passage)
    (shift,) = Plan(passage, ALL, cheapest_route(passage, ALL, decisions=stops)).shifts
    assert (shift.guide, shift.guide_string, shift.finger) == (1, 2, 1)
    assert shift.guide_pitch is not None
    assert shift.guide_pitch.name == "D5"


def test_one_finger_from_first_to_third_position_is_a_same_finger_shift() -> None:
    plan = plan_with_stops(read_passage("B4:1 D5:1"), "A1 A1")
    (shift,) = plan.shifts
    assert (shift.kind, shift.guide, shift.slurred) == (ShiftKind.SAME_FINGER, 1, False)


def test_shift_over_an_open_string_departs_from_the_last_stopped_note() -> None:
    plan = plan_with_stops(read_passage("B4:1 A4:1 D5:1"), "A1 A0 A1")
    (shift,) = plan.shifts
    assert (shift.departure, shift.arrival, shift.kind) == (0, 2, ShiftKind.OPEN_STRING)


def test_shift_over_a_rest_is_named_for_the_rest() -> None:
    plan = plan_with_stops(read_passage("B4:1 R:1 D5:1"), "A1 A1")
    assert plan.shifts[0].kind is ShiftKind.REST


def test_shift_across_strings_is_named_for_the_bow() -> None:
    free = plan_with_stops(read_passage("B4:1 G4:1"), "A1 D1")
    bound = plan_with_stops(read_passage("(B4:1 G4:1)"), "A1 D1")
    assert [plan.shifts[0].kind for plan in (free, bound)] == [ShiftKind.BOW_CHANGE, ShiftKind.SLUR]
    assert bound.shifts[0].slurred


def test_excursion_runs_from_the_shift_out_to_the_last_stop_before_the_way_home() -> None:
    plan = plan_with_stops(read_passage("B4:1 D5:1 E5:1 A4:1 B4:1"), "A1 A1 A2 A0 A1")
    (excursion,) = plan.excursions
    assert (excursion.first, excursion.last, excursion.positions) == (1, 2, (3,))
    assert [(shift.start, shift.goal) for shift in excursion.shifts] == [(1, 3), (3, 1)]


def test_part_that_starts_in_third_position_has_no_shift_out() -> None:
    plan = plan_with_stops(read_passage("D5:1 E5:1"), "A1 A2")
    assert plan.shifts == ()
    assert plan.excursions[0].positions == (3,)


def test_enharmonic_change_is_no_shift() -> None:
    plan = plan_with_stops(read_passage("C#5:1 Db5:1 C#5:1"), "A2 A2 A2")
    assert plan.shifts == ()


def test_open_strings_have_no_position_and_rows_follow_the_document() -> None:
    plan = plan_with_stops(read_passage("A4:1 B4:1"), "A0 A1")
    assert [(row.note.row, row.position) for row in plan.rows] == [(0, None), (1, 1)]


def test_note_below_the_instrument_is_not_held_and_the_rest_goes_on() -> None:
    passage = read_passage("G3:1 F3:1 A3:1")
    plan = Plan(passage, ALL, cheapest_route(passage, ALL))
    assert [fingered.note.pitch.name for fingered in plan.unheld] == ["F3"]
    assert plan.grip(2) is not None


@pytest.mark.parametrize(("rest", "kind"), [("1/10", ShiftKind.REST), ("9/100", ShiftKind.SAME_FINGER)])
def test_a_shift_over_a_rest_needs_a_tenth_of_a_second(rest: str, kind: ShiftKind) -> None:
    plan = plan_with_stops(read_passage(f"B4:1 R:{rest} D5:1", tempo=60), "A1 A1")
    assert plan.shifts[0].kind is kind


def test_two_open_strings_do_not_hide_where_the_shift_leaves_and_arrives() -> None:
    plan = plan_with_stops(read_passage("B4:1 A4:1 E5:1 D5:1"), "A1 A0 E0 A1")
    (shift,) = plan.shifts
    assert (shift.departure, shift.arrival, shift.kind) == (0, 3, ShiftKind.OPEN_STRING)
    assert [(span.first, span.last, span.position) for span in plan.spans] == [(0, 2, 1), (3, 3, 3)]


def test_the_way_back_down_is_led_by_the_finger_that_was_down() -> None:
    plan = plan_with_stops(read_passage("E5:1 B4:1"), "A2@3 A1@1")
    (shift,) = plan.shifts
    assert (shift.kind, shift.guide, shift.guide_string) == (ShiftKind.GUIDE_FINGER, 2, 2)
    assert shift.guide_pitch is not None
    assert shift.guide_pitch.name == "C5"


def test_shifts_of_a_stretch_are_those_that_arrive_in_it_or_leave_it() -> None:
    plan = plan_with_stops(read_passage("B4:1 D5:1 E5:1 B4:1 D5:1"), "A1 A1@3 A2@3 A1@1 A1@3")
    assert [shift.arrival for shift in plan.shifts] == [1, 3, 4]
    assert [shift.arrival for shift in plan.shifts_between(1, 2)] == [1, 3]
    assert [shift.arrival for shift in plan.shifts_between(2, 2)] == [3]
    assert [shift.arrival for shift in plan.shifts_between(0, 0)] == [1]
    assert [shift.arrival for shift in plan.shifts_between(3, 3)] == [3, 4]


def test_an_excursion_through_two_positions_names_both() -> None:
    plan = plan_with_stops(read_passage("B4:1 D5:1 G5:1 B4:1"), "A1 A1 A2 A1")
    (excursion,) = plan.excursions
    assert (excursion.positions, list(excursion.events)) == ((3, 5), [1, 2])
    assert len(excursion.shifts) == 3


def test_a_part_ends_away_from_home_without_a_shift_back() -> None:
    plan = plan_with_stops(read_passage("B4:1 D5:1 E5:1"), "A1 A1@3 A2@3")
    (excursion,) = plan.excursions
    assert (excursion.first, excursion.last, len(excursion.shifts)) == (1, 2, 1)


def test_open_strings_alone_are_no_excursion() -> None:
    """Before a rest an open string leaves the hand where it likes: here the plan has it in half position."""
    plan = propose(read_passage("G3:1 G3:1 R:2 | C4:4"), LEVELS["to-third"]).plan
    assert [span.position for span in plan.spans] == [0, 1]
    assert plan.excursions == ()


def test_every_note_is_found_by_its_id() -> None:
    plan = plan_with_stops(read_passage("A4:1 B4:1"), "A0 A1")
    assert [plan.by_note[note.id].event for note in plan.passage.notes] == [0, 1]
    assert plan.grip(0) is plan.grips[0]


def test_where_open_strings_alone_sound_the_hand_is_in_no_position() -> None:
    plan = placed("E4 A4 G4 A4 B4", "D1@1 A0@0 D1@3 A0@1 D3@3")
    assert [(shift.start, shift.goal, shift.kind) for shift in plan.shifts] == [(1, 3, ShiftKind.OPEN_STRING)]
    assert [(excursion.first, excursion.last, excursion.positions) for excursion in plan.excursions] == [(2, 4, (3,))]


def guided(text: str, stops: str) -> list[tuple[int | None, int | None, str, str]]:
    """The guide of every shift: its finger and string, and the notes from which and to which it glides."""
    return [
        (
            shift.guide,
            shift.guide_string,
            shift.guide_start.name if shift.guide_start else "",
            shift.guide_pitch.name if shift.guide_pitch else "",
        )
        for shift in placed(text, stops).shifts
    ]


def test_the_guide_starts_where_its_finger_stood() -> None:
    # Up to a lower finger the new one leads: it stands under the old one, on the note that it played, or its letter.
    assert guided("C#5 D5 E5", "A2@1 A3@1 A2@3") == [(2, 2, "C#5", "E5")]
    assert guided("D5 E5", "A3@1 A2@3") == [(2, 2, "C5", "E5")]
    assert guided("E4 A4", "D1@1 D2@3") == [(1, 3, "E4", "G4")]


def test_a_finger_that_is_stretched_out_does_not_guide_the_first_does() -> None:
    # Common practice: E6 is reached by the fourth finger in third position; the hand goes home with the first.
    assert guided("D6 E6 G5", "E4@3 E4@3 E2@1") == [(1, 1, "A5", "F5")]
    assert guided("D6 G5", "E4@3 E2@1") == [(4, 1, "D6", "B5")]


def test_a_finger_that_touches_a_harmonic_does_not_guide_the_first_does() -> None:
    (shift,) = placed("D6 E6{harmonic} B5", "E3@4 E4@4 E4@1").shifts
    assert (shift.kind, shift.guide, shift.guide_string) == (ShiftKind.GUIDE_FINGER, 1, 1)


def test_across_strings_the_finger_that_was_down_glides_on_its_own_string() -> None:
    # Common practice (old string, old finger): the hand moves before the bow crosses.
    assert placed("D6 G4", "E4@3 D4@1").shifts[0].kind is ShiftKind.BOW_CHANGE
    assert guided("D6 G#4", "E4@3 D4@1") == [(4, 1, "D6", "B5")]
    assert guided("E6 G4", "E4@3 D3@1") == [(1, 1, "A5", "F5")]
    # Of a double stop, the finger next to the string that follows.
    assert guided("[G4 D5] G5", "D1@3+A1@3 E2@1") == [(1, 2, "D5", "B4")]


def test_across_strings_no_finger_guides_that_is_neither_the_first_nor_plays_next() -> None:
    # Common practice: the third finger that glides on the A string is in the way of the first on the E string.
    assert guided("D6 G4", "E4@3 D3@1") == [(None, None, "", "")]
    assert guided("F#5 G5", "A3@3 E1@2") == [(None, None, "", "")]
    assert guided("E4 F#5", "D1@1 A3@3") == [(1, 3, "E4", "G4")]


def test_a_guide_is_spelt_as_the_notes_around_are_and_else_as_the_key_is() -> None:
    # Bars with A, B and C sharp under a signature with B flat, as in Beethoven's op. 18 no. 1, ii.
    natural = plan_with_stops(read_passage("B3:1 C#5:1 C#5:1 E5:1", fifths=-1), "G2 A1 A2 E0")
    assert natural.shifts[-1].guide_pitch == Pitch.named("B4")
    in_key = plan_with_stops(read_passage("A3:1 C#5:1 C#5:1 E5:1", fifths=-1), "G1 A1 A2 E0")
    assert in_key.shifts[-1].guide_pitch == Pitch.named("Bb4")
    late = plan_with_stops(read_passage("C#5:2 C#5:2 | E5:4 | B3:4", fifths=-1), "A1 A2 E0 G2")
    assert late.shifts[-1].guide_pitch == Pitch.named("Bb4")


def test_a_guide_in_half_position_stands_above_the_nut() -> None:
    # The first finger of half position takes the letter of the open string: a half step above it at least.
    assert guided("E4 F#4", "D1@1 D3@0") == [(1, 3, "E4", "D#4")]
