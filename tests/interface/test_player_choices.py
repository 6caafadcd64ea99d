"""What a player's report says around its passages: what to practise first, notes beyond the level, what to decide."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.config.options import Options
from service.errors import said as told_of_file
from service.musicxml.notation.part import FOR_PLAYBACK
from service.reports.player.report import text_report
from service.usecases.annotate import review_score
from tests.conftest import ROOT
from tests.interface.test_player_sentences import REST, quarters, report_of
from tests.small_scores import note, technical

TRILL = "<notations><ornaments><trill-mark/></ornaments></notations>"
LOW = quarters("D4", "E4", "F4", "G4")


def test_of_notes_beyond_the_level_each_bar_names_its_own() -> None:
    both, f_alone = quarters("A4", "F6", "G6", "A4"), quarters("A4", "F6", "B4", "A4")
    said = report_of("first", LOW, both, LOW, f_alone, f_alone, *[LOW] * 9, both, LOW)
    assert "Bars 2 and 15 (the high F and the high G) and bars 4 and 5 (the high F): these notes" in said
    said = report_of("first", LOW, both, LOW, both, LOW)
    assert "Bars 2 and 4: the high F and the high G are out of reach at this level. Play them an octave" in said


def test_a_hard_bar_names_the_finger_and_the_note_of_its_stretches_and_slides() -> None:
    """A pupil who reads "2 stretches" cannot tell which notes are meant."""
    fourth = technical("<string>1</string><fingering>4</fingering>")
    stretch = note("A4") + note("B5", inside=fourth) + note("C6", inside=fourth) + note("B5", inside=fourth)
    said = report_of("first", *[LOW] * 5, stretch, LOW, stretch)
    assert (
        "Practise first what is hardest for the left hand: Bars 6 and 8: one stretch (4th finger to C) and "
        "2 finger slides (4th finger between B and C) in each bar." in said
    )


@pytest.mark.parametrize(
    ("level", "told"),
    [
        ("first", "Trill on the open E string with the 1st finger, or leave the trill out."),
        (
            "first-and-third",
            "Play it in third position (2 E) and come back for the next note, D, or leave the trill out.",
        ),
    ],
)
def test_a_trill_is_sent_to_another_position_where_the_level_has_one(level: str, told: str) -> None:
    """First position has E5 under the fourth finger or open; in third position it lies under the second."""
    fourth = (
        "<notations><ornaments><trill-mark/></ornaments><technical><fingering>4</fingering></technical></notations>"
    )
    said = report_of(level, LOW, quarters("C5", "D5") + note("E5", inside=fourth) + note("D5"), LOW)
    assert f"the trill on E is on the 4th finger, which leaves none for the upper note. {told}" in said


def test_a_trill_that_only_the_fourth_finger_has_at_the_level_is_left_out_until_there_is_more() -> None:
    """In third position D♭ is the note of the fourth finger, in fourth position that of the third."""
    high = quarters("A5", "B5", "C6") + note("Db6", inside=TRILL)
    assert "Leave the trill out, until you have learned fourth position (3 D♭)." in report_of(
        "first-and-third", high, high, *[LOW] * 4
    )


def test_a_wide_stretch_names_the_two_notes_of_the_chord_and_their_fingers() -> None:
    """G♯4 with the 4th finger, B4 with the 2nd and E5 with the 1st, in fourth position."""
    fingers = [("G#4", 4, 4), ("B4", 3, 2), ("E5", 2, 1)]
    wide = "".join(
        note(
            pitch,
            inside=technical(f"<string>{string}</string><fingering>{finger}</fingering>"),
            chord=index > 0,
        )
        for index, (pitch, string, finger) in enumerate(fingers)
    )
    said = report_of("all", LOW, REST + wide + REST + REST, LOW)
    assert "G♯ (4th finger) and E (1st finger) lie far apart for the hand." in said
    assert "leave one of them out" in said


def test_long_notes_on_the_fourth_finger_are_told_together_with_their_fingers_in_third_position() -> None:
    def held(pitch: str) -> str:
        return note(pitch, 4, inside=technical("<string>1</string><fingering>4</fingering>"))

    said = report_of("first-and-third", LOW, held("B5"), LOW, held("Bb5"), LOW, held("B5"), LOW)
    assert (
        "Bars 2 and 6 (B) and bar 4 (B♭): these long notes are on the 4th finger. "
        "If that sounds weak, play them in third position (2 B♭, 2 B) and come back each time." in said
    )


def test_an_open_string_or_a_fourth_finger_that_saves_a_crossing_says_so() -> None:
    a_string = quarters("B4", "C5", "D5", "C5")
    said = report_of("first", a_string, note("A4", 4), a_string)
    assert "the long A is on the open string, which keeps the bow on its string but has no vibrato." in said
    d_string = quarters("E4", "F4", "G4", "F4")
    fourth = note("A4", 4, inside=technical("<string>3</string><fingering>4</fingering>"))
    said = report_of("first", d_string, fourth, d_string)
    assert "the long A is on the 4th finger, which keeps the bow on its string and allows vibrato." in said


def test_a_harmonic_is_offered_only_where_the_finger_has_time_to_lift() -> None:
    calm = quarters("A5", "B5", "E6", "A5")
    assert "the 4th finger reaches for E. Touch it lightly as a harmonic" in report_of("first-and-third", calm, LOW)
    fast = '<sound tempo="180"/>' + quarters("C6", "D6", "E6", "D6")
    said = report_of("first-and-third", fast, LOW)
    assert (
        "Bar 1, beat 3: the 4th finger reaches for E and has the note beside it too, too quickly for a harmonic."
        in said
    )
    slow = '<sound tempo="60"/>' + quarters("C6", "D6", "E6", "D6")
    assert "Bar 1, beat 3: the 4th finger reaches for E. Touch it lightly" in report_of("first-and-third", slow, LOW)


@pytest.mark.parametrize(("level", "explained"), [("first", False), ("first-and-third", True)])
def test_what_a_position_is_is_explained_where_the_hand_leaves_the_first(level: str, explained: bool) -> None:
    high = quarters("D5", "A5", "B5", "A5") if level == "first" else quarters("A5", "B5", "C6", "D6")
    said = report_of(level, LOW, LOW, high, LOW, LOW)
    assert "first position" in said
    assert ("Position. Where the hand is: in second" in said) is explained


def test_only_what_a_player_sees_is_said_of_the_file() -> None:
    (part,) = review_score((ROOT / "sample_scores" / "ferry_waltz.musicxml").read_bytes(), Options())
    unseen = told_of_file("{what} ({bars})", what=FOR_PLAYBACK, bars=told_of_file("bar {bars}", bars="3"))
    assert "About the file" not in text_report("ferry", [replace(part, remarks=(unseen,))])
    seen = told_of_file(
        "{what} ({bars})",
        what=told_of_file("slurs without an end were left out"),
        bars=told_of_file("bar {bars}", bars="3"),
    )
    assert "Slurs without an end were left out (bar 3)." in text_report("ferry", [replace(part, remarks=(seen,))])


@pytest.mark.parametrize(
    ("pitch", "position"),
    [("Gb6", "sixth position (4 G♭)"), ("Fb6", "fifth position (4 F♭)"), ("A#6", "seventh position (4 A♯)")],
)
def test_a_note_beyond_the_level_is_learned_where_its_letter_lies(pitch: str, position: str) -> None:
    """A flat or sharp note is not to be sought on a lower string, far up the neck."""
    said = report_of("first", LOW, note(pitch) + quarters("E4", "F4", "G4"), LOW)
    assert f"until you have learned {position}." in said


def test_a_note_that_no_part_asks_for_is_told_as_out_of_reach_all_the_same() -> None:
    said = report_of("first", LOW, note("G7") + quarters("E4", "F4", "G4"), LOW)
    assert (
        "Beyond this level Bar 2, beat 1: the very high G is out of reach at this level. "
        "Play it an octave lower, or leave it out." in said
    )
    assert "the very high G" not in report_of("all", LOW, note("G7") + quarters("E4", "F4", "G4"), LOW)
