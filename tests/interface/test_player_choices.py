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
from tests.small_scores import attributes, back, forth, grace, notations, note, technical

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
            "Play it in third position (2 E, 1 D) with the notes beside it, and come back while you play the "
            "open D string, or leave the trill out.",
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
        "If that sounds weak, play them in third position (2 B, 2 B♭) and come back each time." in said
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
        "Bar 1, beat 3: the 4th finger plays E and, just before or after it, another note on the same string. "
        "There is no time for a harmonic: press E," in said
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


HELD = "<string>1</string><fingering>4</fingering>"
SLUR = ('<slur number="1" type="start"/>', '<slur number="1" type="stop"/>')


def slurred(*notes: tuple[str, int], first: str = "") -> str:
    """Some notes under a slur, each with its length; `first` are marks of the first one."""
    ends = {0: SLUR[0] + first, len(notes) - 1: SLUR[1]}
    return "".join(
        note(pitch, length, notations(ends[index])) if index in ends else note(pitch, length)
        for index, (pitch, length) in enumerate(notes)
    )


E_STRING = quarters("F5", "G5", "F5", "G5")


def test_the_hand_stays_up_for_what_is_slurred_to_a_long_note_and_comes_back_at_the_change_of_bow() -> None:
    held = slurred(("B5", 3), ("A5", 1), first=f"<technical>{HELD}</technical>")
    said = report_of("first-and-third", E_STRING, held, E_STRING, E_STRING)
    assert (
        "play it in third position (2 B, 1 A) with the notes beside it, and come back at the change of bow, on F."
        in said
    )


def test_the_hand_comes_back_in_a_rest_if_one_comes_soon() -> None:
    held = note("B5", 2, technical(HELD)) + quarters("A5") + REST
    said = report_of("first-and-third", E_STRING, held, E_STRING, E_STRING)
    assert "(2 B, 1 A) with the notes beside it, and come back in the rest after them." in said


def test_nobody_goes_up_and_back_within_a_slur() -> None:
    """C5 does not lie beside B5 in third position: the hand would have to come back under the slur."""
    held = slurred(("B5", 3), ("C5", 1), first=f"<technical>{HELD}</technical>")
    assert "the long B" not in report_of("first-and-third", E_STRING, held, E_STRING, E_STRING)
    held = note("B5", 3, technical(HELD)) + note("C5")
    assert "the long B" in report_of("first-and-third", E_STRING, held, E_STRING, E_STRING)


def test_nobody_goes_to_another_position_for_a_short_trill() -> None:
    trill = "<notations><ornaments><trill-mark/></ornaments><technical><fingering>0</fingering></technical></notations>"
    low = quarters("D5", "C5", "D5", "C5")
    for tempo, offered in ((60, True), (180, False)):
        trilled = f'<sound tempo="{tempo}"/>' + quarters("C5", "D5") + note("E5", inside=trill) + quarters("C5")
        said = report_of("first-and-third", low, trilled, low, low)
        assert "the trill on E is on the open E string. Trill with the 1st finger" in said
        assert ("or play it in third position" in said) is offered


def test_long_notes_that_follow_one_another_stay_up_together_and_are_told_in_their_order() -> None:
    held = "".join(note(pitch, 2, technical(HELD)) for pitch in ("C6", "Bb5"))
    said = report_of("first-and-third", E_STRING, held, E_STRING, note("Bb5", 4, technical(HELD)), E_STRING, E_STRING)
    assert (
        "Bar 2: the long C and B♭ are on the 4th finger. If that sounds weak, play them in third position "
        "(3 C, 2 B♭) and come back at the change of bow, on F." in said
    )
    assert "the long B♭ is on the 4th finger. If that sounds weak, play it in third position (2 B♭)" in said


def test_the_fourth_finger_is_not_offered_where_it_would_hop() -> None:
    """Between two notes that it plays on the next string it would have to go to and fro."""
    fourth = note("B5", inside=technical(HELD))
    open_e = note("E5", 2, technical("<fingering>0</fingering>"))
    assert "the long E" not in report_of("first", E_STRING, fourth + open_e + fourth, E_STRING, E_STRING)
    third = note("A5", inside=technical("<string>1</string><fingering>3</fingering>"))
    assert "the long E is on the open string" in report_of("first", E_STRING, third + open_e + third, E_STRING)


def test_a_long_open_string_is_told_in_first_position_after_a_stay_elsewhere_as_before_it() -> None:
    """Only open strings sound on the way back: nobody would play them with the fourth finger in third position."""
    high = quarters("A5", "C6", "D6", "C6")
    long_a = note("A4", 4, technical("<string>2</string><fingering>0</fingering>"))
    rest = REST * 4
    said = report_of("first-and-third", LOW, high, high, rest, long_a, E_STRING, LOW, long_a, LOW, LOW)
    assert "Bars 5 and 8: the long A is on the open string" in said


def test_of_a_note_in_passing_the_one_before_sounds_on() -> None:
    quick = attributes(4) + slurred(("D6", 2), ("F6", 1), ("D6", 1), ("C6", 1), ("B5", 3), ("A5", 8))
    said = report_of("first-and-third", LOW, quick, attributes(1) + LOW, LOW)
    assert (
        "the high F is out of reach at this level. Leave it out and hold the note before it a little longer, "
        "until you have learned fifth position (4 F)." in said
    )


def test_notes_in_a_figure_go_down_with_it_and_others_alone() -> None:
    figure = slurred(("D6", 1), ("F6", 1), ("G6", 1), ("D6", 1))
    said = report_of("first-and-third", LOW, figure, LOW, LOW)
    assert "the high F and the high G are out of reach at this level. Play the whole figure an octave lower" in said
    said = report_of("first-and-third", LOW, note("F6", 2) + REST * 2, LOW, LOW)
    assert "the high F is out of reach at this level. Play it an octave lower" in said


def test_a_note_out_of_reach_is_learned_in_one_position_in_the_whole_list() -> None:
    """F6 alone has the 4th finger in fifth position; with G6 it is learned in sixth, and then it is known there."""
    both, f_alone = quarters("A4", "F6", "G6", "A4"), quarters("A4", "F6", "B4", "A4")
    said = report_of("first-and-third", LOW, both, *[LOW] * 8, f_alone, LOW)
    assert "sixth position (3 F, 4 G)" in said
    assert "fifth position" not in said


def test_two_notes_on_strings_that_lie_apart_are_played_one_after_the_other() -> None:
    said = report_of("first", LOW, note("A5") + REST * 3 + back(4) + note("D4", voice="2") + forth(3), LOW)
    assert (
        "D and A do not lie on strings that are side by side at this level, and the bow cannot hold both. "
        "Play D briefly, then A, or leave D out." in said
    )


def test_a_grace_note_under_the_fourth_finger_slides_back() -> None:
    high = quarters("A5", "B5") + grace("E6") + quarters("D6", "C6")
    said = report_of("first-and-third", high, quarters("A5", "B5", "C6", "D6"), LOW)
    assert (
        "the 4th finger plays the grace note E and the D after it. There is no time for a harmonic: "
        "press E and slide back to D, or leave the grace note out." in said
    )


def test_a_long_harmonic_has_time_whatever_comes_after_it() -> None:
    """The E is long, and the 4th finger goes on to a D that is over in no time."""
    high = attributes(8) + note("A5", 8) + note("E6", 16) + note("D6", 1) + note("C6", 7)
    said = report_of("first-and-third", high, attributes(1) + quarters("A5", "B5", "C6", "D6"), LOW)
    assert "the 4th finger reaches for E. Touch it lightly as a harmonic" in said


def test_alike_notes_are_alike_wherever_they_stand() -> None:
    """A half note at a hundred a minute lasts exactly as long as a long note, and a sum of many beats is no less."""
    bar = note("A4", 2, technical("<string>3</string><fingering>4</fingering>")) + quarters("G4", "F4")
    said = report_of("first", '<sound tempo="100"/>' + bar, *[bar] * 40)
    assert "Bars 1-41: the long A is on the 4th finger" in said


def test_a_report_without_passages_names_the_stretched_notes() -> None:
    c_high = quarters("A4", "B5") + note("C6", inside=technical(HELD)) + quarters("B5")
    said = report_of("first", LOW, c_high, LOW, LOW, LOW, LOW)
    assert "Stay in first position throughout." in said
    assert "4th finger to C" in said


def test_a_unison_of_two_voices_is_no_news_for_a_player() -> None:
    unison = note("A4", 4) + "<backup><duration>4</duration></backup>" + note("A4", 4, voice="2")
    said = report_of("first", LOW, unison, LOW)
    assert "two voices" not in said.casefold()


def test_a_bar_that_an_upbeat_completes_on_the_way_back_is_not_too_short() -> None:
    """Three crotchets before a repeat sign lead back to the upbeat; without the sign a rest may be missing."""
    back = '<barline location="right"><repeat direction="backward"/></barline>'
    upbeat, short = note("D4"), quarters("D4", "E4", "F4")
    assert "a rest may be missing" not in report_of("first", upbeat, LOW, short + back, LOW)
    assert "a rest may be missing (bar 3)." in report_of("first", upbeat, LOW, short, LOW)


def test_bars_that_are_too_short_in_the_file_are_told() -> None:
    """Not a pick-up, nor the two halves of a bar that is divided, nor the last bar."""
    short = quarters("D4", "E4", "F4")
    said = report_of("first", note("D4"), LOW, short, LOW, note("D4") * 2, note("E4") * 2, LOW, short)
    assert "Bars shorter than the metre were read as they stand; a rest may be missing (bar 3)." in said
