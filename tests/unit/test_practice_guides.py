"""The guide finger of a shift: heard, then hidden, on the way out and on the way back."""

from __future__ import annotations

from fractions import Fraction

from rules import practice_sheet
from tests.unit.test_practice import Make, drill, names, planned, sections_of


def test_guide_is_heard_then_hidden(passage: Make) -> None:
    music = passage("B4:2 F#5:2 | F#5:4", fifths=2)
    plan = planned(music, r0="1 2 1", r1="3 2 3", r2="3 2 3")
    guided = drill(practice_sheet(plan, ""), "The guide heard, then hidden")
    assert names(guided)[:6] == ["B4", "D5", "F#5", "B4", "(D5)", "F#5"]


def test_guide_of_the_way_back_is_told_as_well(passage: Make) -> None:
    """Finger 3 goes home with the hand before finger 1 plays: on the way out and back, and on the way home alone."""
    back = passage("A5:4 | F#5:2 B4:2 | B4:4", fifths=2)
    plan = planned(back, r0="1 1 3", r1="3 2 3", r2="1 2 1", r3="1 2 1")
    guided = drill(practice_sheet(plan, ""), "The guide heard, then hidden")
    assert names(guided)[:6] == ["F#5", "D5", "B4", "F#5", "(D5)", "B4"]
    assert guided.text.startswith("Finger 3 leads:")
    out = passage("B4:2 F#5:2 | F#5:4", fifths=2)
    both = drill(practice_sheet(planned(out, r0="1 2 1", r1="3 2 3", r2="3 2 3"), ""), "The guide heard, then hidden")
    assert both.text.startswith("Finger 1 leads:")
    assert both.text.endswith("On the way back it is finger 3.")
    (small,) = [note.tones[0] for note in both.notes[6:] if note.is_small]
    assert (small.finger, small.pitch.name) == (3, "D5")


def test_the_finger_that_arrives_leads_on_the_way_back_too(passage: Make) -> None:
    """Home from 1 to 2: back up, finger 2 would glide to B and past A, so finger 1 is set down and leads."""
    music = passage("B5:4 | A5:2 G5:2 | G5:4")
    plan = planned(music, r0="2 1 3", r1="1 1 3", r2="2 1 1", r3="2 1 1")
    guided = drill(practice_sheet(plan, ""), "The guide heard, then hidden")
    assert names(guided)[:9] == ["A5", "F5", "G5", "A5", "(F5)", "G5", "G5", "F5", "A5"]
    (behind,) = [note for note in guided.notes if note.beats == Fraction(1, 2)]
    assert (behind.tones[0].pitch.name, behind.tones[0].finger, behind.position) == ("F5", 1, 1)
    # One finger leads both ways: the way back is not told again.
    assert guided.text.startswith("Finger 1 leads:")
    assert "way back" not in guided.text


def test_the_guide_is_named_where_its_own_drill_may_be_put_aside(passage: Make) -> None:
    music = passage("B4:2 F#5:2 | F#5:4", fifths=2)
    plan = planned(music, r0="1 2 1", r1="3 2 3", r2="3 2 3")
    alone = drill(practice_sheet(plan, ""), "The shift alone")
    assert alone.text.startswith("Finger 1 leads, lightly on the string")


def test_guide_on_another_string_leads_no_note_of_the_line(passage: Make) -> None:
    """Of double stops one line is drilled: its guide is the finger that stays on its string."""
    music = passage("[F#5 A5]:2 [E5 G5]:2 | [E5 G5]:4", fifths=1)
    pins = {"r0": "3 2 3", "r1": "1 1 3", "r2": "4 2 1", "r3": "2 1 1", "r4": "4 2 1", "r5": "2 1 1"}
    (section,) = sections_of(practice_sheet(planned(music, **pins), ""))
    for exercise in section.exercises:
        strings = {tone.string for note in exercise.notes for tone in note.tones if tone.finger}
        if exercise.title.startswith("The guide"):
            assert len(strings) == 1
