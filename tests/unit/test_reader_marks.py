"""What is printed on the notes: fingers, strings, slurs, techniques; and where repeats lead back to."""

from __future__ import annotations

import pytest

from rules import Event, Technique
from tests.small_scores import attributes, back, grace, notations, note, reading, spelled, technical, words

SLUR_START, SLUR_STOP = notations('<slur type="start" number="1"/>'), notations('<slur type="stop" number="1"/>')


def events(*measures: str) -> tuple[Event, ...]:
    return reading(attributes() + measures[0], *measures[1:]).passage.events


@pytest.mark.parametrize(
    ("inside", "fingers", "strings"),
    [
        ("<fingering>3</fingering>", (3,), ()),
        ("<fingering>0</fingering>", (0,), ()),
        ("<open-string/>", (0,), ()),
        ("<fingering>1-2</fingering>", (1,), ()),
        ("<fingering>(2)</fingering>", (2,), ()),
        ('<fingering>2</fingering><fingering alternate="yes">3</fingering>', (2, 3), ()),
        ('<fingering>2</fingering><fingering substitution="yes">3</fingering>', (2,), ()),
        ("<fingering>4</fingering><string>2</string>", (4,), (2,)),
        ("<fingering>T</fingering><string/>", (), ()),
        ("<fingering>7</fingering>", (), ()),
    ],
)
def test_printed_fingers_and_strings(inside: str, fingers: tuple[int, ...], strings: tuple[int, ...]) -> None:
    (event,) = events(note("A4", 4, technical(inside)))
    assert event.notes[0].printed.fingers == fingers
    assert event.notes[0].printed.strings == strings


def test_marks_in_a_second_notations_are_read_too() -> None:
    (event,) = events(note("A4", 4, SLUR_START + technical("<fingering>4</fingering>")))
    assert event.notes[0].printed.fingers == (4,)


def slurred(*measures: str) -> list[bool]:
    return [event.slurred for event in events(*measures)]


def test_slur_binds_all_but_its_first_note() -> None:
    assert slurred(note("E4", 1, SLUR_START) + note("F4") + note("G4", 1, SLUR_STOP) + note("A4")) == [
        False, True, True, False
    ]  # fmt: skip


def test_slurs_that_meet_on_a_note_are_two_strokes_only_where_they_part() -> None:
    both = notations('<slur type="stop" number="1"/><slur type="start" number="2"/>')
    end = notations('<slur type="stop" number="2"/>')
    assert slurred(note("E4", 1, SLUR_START) + note("F4", 1, both) + note("G4", 1, end) + note("A4")) == [
        False, True, True, False
    ]  # fmt: skip


def test_slur_without_an_end_binds_nothing_and_is_said() -> None:
    result = reading(attributes() + note("E4", 1, SLUR_START) + note("F4", 3))
    assert not any(event.slurred for event in result.passage.events)
    assert result.passage.remarks == ("slurs without an end were left out (bar 1)",)


def test_slurs_without_an_end_are_told_with_the_bars_in_which_they_begin() -> None:
    begun = note("E4", 1, SLUR_START) + note("F4", 3)
    result = reading(attributes() + begun, note("E4", 4), begun)
    assert result.passage.remarks == ("slurs without an end were left out (bars 1, 3)",)


def test_a_slur_that_begins_on_a_held_note_is_told_with_its_own_bar() -> None:
    """The note sounds from bar 1, the slur stands in bar 2."""
    tied, held = '<tie type="start"/>', '<tie type="stop"/>'
    result = reading(attributes() + note("E4", 4, tied), note("E4", 1, held + SLUR_START) + note("F4", 3))
    assert result.passage.remarks == ("slurs without an end were left out (bar 2)",)


def test_nested_slur_of_another_number_does_not_end_the_outer() -> None:
    inner_start, inner_stop = SLUR_START.replace('"1"', '"2"'), SLUR_STOP.replace('"1"', '"2"')
    music = (
        note("E4", 1, SLUR_START) + note("F4", 1, inner_start) + note("G4", 1, inner_stop) + note("A4", 1, SLUR_STOP)
    )
    assert slurred(music) == [False, True, True, True]


def test_slur_from_a_grace_note_and_over_the_bar() -> None:
    assert slurred(grace("D5", SLUR_START) + note("E5", 4, SLUR_STOP)) == [False, True]
    assert slurred(note("E5", 4, SLUR_START), note("F5", 4, SLUR_STOP)) == [False, True]


def test_slurs_of_two_voices_with_one_number_are_kept_apart() -> None:
    upper = note("E5", 2, SLUR_START) + note("F5", 2)
    lower = note("C5", 2, SLUR_START, voice="2") + note("D5", 2, SLUR_STOP, voice="2")
    assert slurred(upper + back(4) + lower, note("G5", 4, SLUR_STOP), note("A5", 4)) == [False, True, True, False]


def test_bow_mark_begins_a_stroke_within_a_slur() -> None:
    bowed = technical("<up-bow/>")
    assert slurred(note("E4", 1, SLUR_START) + note("F4", 1, bowed) + note("G4", 2, SLUR_STOP)) == [False, False, True]


@pytest.mark.parametrize(
    ("inside", "technique"),
    [
        (notations("<ornaments><trill-mark/></ornaments>"), Technique.TRILL),
        (notations("<ornaments><inverted-mordent/></ornaments>"), Technique.MORDENT),
        (notations("<ornaments><turn/></ornaments>"), Technique.TURN),
        (notations('<ornaments><tremolo type="start">2</tremolo></ornaments>'), Technique.TREMOLO),
        (notations('<glissando type="start"/>'), Technique.GLISSANDO),
        (notations('<slide type="start"/>'), Technique.GLISSANDO),
        (technical("<harmonic><natural/></harmonic>"), Technique.NATURAL_HARMONIC),
        (technical("<harmonic/>"), Technique.NATURAL_HARMONIC),
        (technical("<harmonic><artificial/><base-pitch/></harmonic>"), Technique.ARTIFICIAL_HARMONIC),
        (technical("<stopped/>"), Technique.LEFT_PIZZICATO),
    ],
)
def test_techniques(inside: str, technique: Technique) -> None:
    (event,) = events(note("A4", 4, inside))
    assert event.notes[0].techniques == {technique}


def test_left_hand_pizzicato_in_words() -> None:
    found = events(note("A4") + words("+") + note("E5") + note("D5", 2))
    assert [Technique.LEFT_PIZZICATO in event.notes[0].techniques for event in found] == [False, True, False]


def test_artificial_harmonic_keeps_the_stopped_note_only() -> None:
    base = note("A4", 4, technical("<harmonic><artificial/><base-pitch/></harmonic>"))
    touching = note("D5", 4, technical("<harmonic><artificial/><touching-pitch/></harmonic>"), chord=True)
    result = reading(attributes() + base + touching, note("E5", 4))
    assert spelled(result) == "0:A4/4 4:E5/4"
    assert [each.row for each in result.passage.notes] == [0, 2]


@pytest.mark.parametrize(("written", "kind"), [("D5", "touching"), ("A6", "sounding")])
def test_artificial_harmonic_without_its_stopped_note_gets_it(written: str, kind: str) -> None:
    (event,) = events(note(written, 4, technical(f"<harmonic><artificial/><{kind}-pitch/></harmonic>")))
    assert event.notes[0].pitch.name == "A4"


def test_diamond_a_fourth_above_is_an_artificial_harmonic() -> None:
    result = reading(attributes() + note("A4", 4) + note("D5", 4, "<notehead>diamond</notehead>", chord=True))
    assert spelled(result) == "0:A4/4"
    assert result.passage.notes[0].techniques == {Technique.ARTIFICIAL_HARMONIC}


def test_dynamics_hold_until_the_next() -> None:
    loud = "<direction><direction-type><dynamics><{}/></dynamics></direction-type></direction>"
    found = events(
        note("E4") + loud.format("ff") + note("E4") + loud.format("sfz") + note("E4") + loud.format("pp") + note("E4")
    )
    assert [event.dynamic for event in found] == [0, 2, 2, -2]


def barline(inside: str, location: str = "right") -> str:
    return f'<barline location="{location}">{inside}</barline>'


FORWARD, BACKWARD = '<repeat direction="forward"/>', '<repeat direction="backward"/>'


def jumps(*measures: str) -> list[int | None]:
    return [event.jump for event in events(*measures)]


def test_repeat_comes_back_from_its_end() -> None:
    bars = (note("C5", 4), barline(FORWARD, "left") + note("D5", 4), note("E5", 4) + barline(BACKWARD), note("F5", 4))
    assert jumps(*bars) == [None, 2, None, None]


def test_repeat_without_a_beginning_goes_back_to_the_start() -> None:
    assert jumps(note("C5", 4), note("D5", 4) + barline(BACKWARD), note("E5", 4)) == [1, None, None]


def test_second_ending_is_reached_from_before_the_first() -> None:
    first, second = '<ending number="1" type="start"/>', '<ending number="2" type="start"/>'
    bars = (
        note("C5", 4),
        barline(first, "left") + note("D5", 4) + barline('<ending number="1" type="stop"/>' + BACKWARD),
        barline(second, "left") + note("E5", 4),
    )
    assert jumps(*bars) == [1, None, 0]


def test_da_capo_and_dal_segno() -> None:
    assert jumps(note("C5", 4), note("D5", 4) + words("D.C. al Fine")) == [1, None]
    segno = "<direction><direction-type><segno/></direction-type></direction>"
    assert jumps(note("C5", 4), segno + note("D5", 4), note("E5", 4) + words("D.S.", '<sound dalsegno="x"/>')) == [
        None, 2, None
    ]  # fmt: skip


def test_a_mark_that_stands_only_on_the_later_of_two_tied_notes_counts_for_both() -> None:
    start = note("A4", 2, '<tie type="start"/>')
    stop = note("A4", 2, '<tie type="stop"/>' + technical("<fingering>4</fingering><string>3</string>"))
    (event,) = events(start + stop)
    assert (event.notes[0].printed.fingers, event.notes[0].printed.strings) == ((4,), (3,))


def test_the_open_string_beside_the_fourth_finger_in_unison_is_no_tie() -> None:
    low = note("A4", 4, technical("<fingering>4</fingering>"), voice="2")
    (event,) = events(note("A4", 4, technical("<fingering>0</fingering>")) + back(4) + low)
    assert [each.printed.tied for each in event.notes] == [()] * len(event.notes)


@pytest.mark.parametrize(("later", "tied"), [("1", (1,)), ("4", ()), ("x", ())])
def test_another_digit_on_a_tied_note_is_kept_apart(later: str, tied: tuple[int, ...]) -> None:
    start = note("A4", 2, '<tie type="start"/>' + technical("<fingering>4</fingering>"))
    stop = note("A4", 2, '<tie type="stop"/>' + technical(f"<fingering>{later}</fingering>"))
    (event,) = events(start + stop)
    printed = event.notes[0].printed
    assert (printed.fingers, printed.tied, printed.unread) == ((4,), tied, ("x",) if later == "x" else ())
