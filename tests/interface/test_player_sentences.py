"""What a player's report says of shifts, the shape of the hand, hard bars and notes beyond the level."""

from __future__ import annotations

from dataclasses import replace

import pytest
from lxml import etree

from rules import (
    finger_patterns,
)
from service.config.options import Options, read_options
from service.messages.message import Wording
from service.naming import Language
from service.reports.player.hand import hand_sentences, hand_words
from service.reports.player.other_ways import (
    positions_words,
)
from service.reports.player.report import text_report
from service.reports.player.shifts import shift_sentence, shift_sentences
from service.usecases.annotate import review_score
from tests.conftest import ROOT
from tests.marked_notation import placed
from tests.small_scores import attributes, note, root_of, technical, words

ENGLISH = Wording()
REST = "<note><rest/><duration>1</duration></note>"


def shift_told(text: str, stops: str) -> str:
    """The sentence about the one shift of a passage."""
    plan = placed(text, stops)
    (shift,) = plan.shifts
    return shift_sentence(ENGLISH, plan, shift)


@pytest.mark.parametrize(
    ("text", "stops", "told"),
    [
        ("D5 E5", "A3@1 A2@3", "with the 2nd finger as guide (let it glide from C, without a sound), shift up"),
        ("E4 A4", "D1@1 D2@3", "with the 1st finger as guide (let it glide to G first, without a sound), shift up"),
        (
            "E6 G5",
            "E4@3 E2@1",
            "with the 1st finger as guide (put it down on A, and let it glide to F, without a sound)",
        ),
        ("A5 C6 E6 G5", "E1@3 E3@3 E4@3 E2@1", "with the 1st finger as guide (let it glide from A to F first, without"),
        (
            "E6:0.125 G5",
            "E4@3 E2@1",
            "from E (4th finger stretched, E string), at the change of bow, shift back to first position.",
        ),
        ("(D6 G4)", "E4@3 D3@1", "from D (4th finger, E string), with a light hand, within the slur, shift back"),
        ("D6 B4", "E4@3 A1@1", "from D (4th finger, E string), at the change of bow, shift back to first position."),
        ("(D6 B4)", "E4@3 A1@1", "from D (4th finger, E string), with a light hand, within the slur, shift back"),
        ("C6 F5", "E3@3 A3@2", "with the 3rd finger as guide (let it glide to B first, without a sound), shift down"),
        ("Eb4 B4 G5", "D1@1 A4@2 E1@2", "with the 1st finger as guide (let it glide to F first, without a sound)"),
        ("Eb4 D6", "D1@1 E4@3", "from E♭ (1st finger, D string), at the change of bow, shift up to third position."),
        ("(F4 Eb4) D6", "D2@1 D1@1 E4@3", "from E♭ (1st finger, D string), at the change of bow, shift up"),
        ("Eb4 (D6 C6)", "D1@1 E4@3 E3@3", "from E♭ (1st finger, D string), at the change of bow, shift up"),
        ("A5 A5", "E3@1 E1@3", "Land on A (1st finger, E string): the same note again."),
        ("Ab5 G#5", "E1@3 E2@1", "Land on G♯ (2nd finger, E string): the same note again."),
        ("Ab5 G#5", "E1@3 E1@2", "second note: the 1st finger stays on G♯, and the hand is in second position"),
        ("A4:1 R:1 D5:2", "D3@1 A1@3", "Bar 1, beat 3: in the rest just before, shift up"),
        ("A4:4 | R:4 | R:4 | D5:4", "D3@1 A1@3", "Bar 4, beat 1: in the 2 bars of rest just before, shift up"),
        ("A4:2 R:2 | R:4 | D5:4", "D3@1 A1@3", "Bar 3, beat 1: in the bar of rest just before, shift up"),
        (
            "A4:1 R:1 A4:1 D5:1",
            "D3@1 A0 A1@3",
            "Bar 1, beat 4: in the rest before the open A string (bar 1, beat 3), shift up",
        ),
        (
            "A5 A4 A5",
            "E3@1 A0 E1@3",
            "while you play the open A string, shift up to third position. Land on A (1st finger, E string).",
        ),
        ("A4:1 A4:1 R:1 D5:1", "D3@1 A0 A1@3", "Bar 1, beat 4: in the rest just before, shift up"),
        ("A4:1 A4:1 D5:2", "D3@1 A0 A1@3", "from A (3rd finger, D string), while you play the open A string, shift up"),
    ],
)
def test_a_shift_names_its_guide_from_where_to_where_and_its_moment(text: str, stops: str, told: str) -> None:
    assert told in shift_told(text, stops)


def test_a_shift_after_notes_that_are_left_out_is_told_from_them() -> None:
    low, high = quarters("D4", "E4", "F4", "G4"), quarters("A5", "B5", "C6", "D6")
    home = note("B4", inside=technical("<string>2</string><fingering>1</fingering>"))
    for between, told in (
        (note("A6"), "after the note that is out of reach, shift back to first position. Land on B"),
        (note("A6") + note("B6"), "after the notes that are out of reach, shift back to first position. Land on B"),
        (REST + note("A6"), "in the rest before the note that is out of reach, shift back to first position."),
        (note("A6") + REST, "in the rest just before, shift back to first position. Land on B"),
    ):
        said = report_of("first-and-third", high, quarters("D6", "C6") + between + home, low, low, low, low)
        assert told in said, said


def hand_told(text: str, stops: str) -> str:
    """The hand of a passage on one string."""
    plan = placed(text, stops)
    (pattern,) = finger_patterns(plan, *plan.spans)
    return hand_words(ENGLISH, plan.passage, pattern)


@pytest.mark.parametrize(
    ("text", "stops", "told"),
    [
        ("D5 F5 D5", "A1@3 A3@3 A1@3", "A string: 1 D, 3 F"),
        ("D5 E5 F5", "A1@3 A2@3 A3@3", "A string: 1 D, 2 E, 3 F; semitone between 2 and 3"),
        ("D5 E5 G5", "A1@3 A2@3 A4@3", "A string: 1 D, 2 E, 4 G; whole tone between 1 and 2"),
        (
            "D5 E5 D#5 E5 D5",
            "A1@3 A2@3 A1@3 A2@3 A1@3",
            "A string: 1 D (also D♯), 2 E; semitone between 1 and 2 (D♯ and E)",
        ),
        ("D5 E5 D5 | D5 D#5 E5", "A1@3 A2@3 A1@3 A1@3 A1@3 A2@3", "A string: 1 D (also D♯ in bar 2), 2 E;"),
        ("D#5 F5 | Eb5 F5 | D#5", "A1@3 A2@3 A1@3 A2@3 A1@3", "A string: 1 D♯ (written E♭ in bar 2), 2 F;"),
        ("D#5 F5 | Eb5 F5", "A1@3 A3@3 A2@3 A3@3", "A string: 1 D♯, 2 E♭, 3 F; 1 and 2 take the same place in turn"),
        ("E6 A5", "E4@3 E1@3", "E string: 1 A, 4 stretched to E"),
        (
            "C6 Bb5 C6 C#6 D6 C#6 D6 A5 Bb5",
            "E3@3 E2@3 E3@3 E3@3 E4@3 E3@3 E4@3 E1@3 E2@3",
            "E string: 1 A, 2 B♭, 3 C (also C♯), 4 D; semitone between 1 and 2 and between 3 and 4 (C♯ and D)",
        ),
        (
            "C#6 D6 C#6 D6 C6 Bb5 A5",
            "E3@3 E4@3 E3@3 E4@3 E3@3 E2@3 E1@3",
            "E string: 1 A, 2 B♭, 3 C♯ (also C), 4 D; semitone between 1 and 2 and between 3 and 4 (C♯ and D)",
        ),
        (
            "Ab5 Bb5 C6 Db6 Ab5 Bb5 | A5 Bb5 | B5 C6",
            "E1@3 E2@3 E3@3 E4@3 E1@3 E2@3 E1@3 E2@3 E2@3 E3@3",
            "E string: 1 A♭ (A in bar 2), 2 B♭ (B in bar 3), 3 C, 4 D♭; semitone between 1 and 2 (A and B♭) and "
            "between 2 and 3 (B and C) and between 3 and 4",
        ),
    ],
)
def test_the_hand_tells_what_is_played_and_nothing_else(text: str, stops: str, told: str) -> None:
    assert hand_told(text, stops).startswith(told)


def test_the_hand_tells_of_every_string_even_with_one_note() -> None:
    plan = placed("D5 F5 A5", "A1@3 A3@3 E1@3")
    assert hand_sentences(ENGLISH, plan.passage, finger_patterns(plan, *plan.spans)) == [
        "E string: 1 A.",
        "A string: 1 D, 3 F.",
    ]


def test_the_hand_names_every_note_of_a_finger_and_the_bars_of_the_rarer_ones() -> None:
    plan = placed("D#5 G5 | D5 E5 D5 | D5 F#5 G5", "A1@3 A4@3 A1@3 A2@3 A1@3 A1@3 A3@3 A4@3")
    (pattern,) = finger_patterns(plan, *plan.spans)
    assert hand_words(ENGLISH, plan.passage, pattern) == (
        "A string: 1 D (D♯ in bar 1), 2 E, 3 F♯, 4 G; semitone between 3 and 4"
    )
    plan = placed("G4 A4 B4 | C5 A4 | C#5 B4 | C#5", "D1@3 D2@3 D3@3 D4@3 D2@3 D4@3 D3@3 D4@3")
    (pattern,) = finger_patterns(plan, *plan.spans)
    assert hand_words(ENGLISH, plan.passage, pattern) == (
        "D string: 1 G, 2 A, 3 B, 4 C♯ (C in bar 2); semitone between 3 and 4 (B and C)"
    )


def test_the_hand_names_what_a_finger_is_stretched_to() -> None:
    plan = placed("A5 D6 | E6 A5", "E1@3 E4@3 E4@3 E1@3")
    (pattern,) = finger_patterns(plan, *plan.spans)
    assert hand_words(ENGLISH, plan.passage, pattern) == ("E string: 1 A, 4 D (stretched to E in bar 2)")


def report_of(level: str, *measures: str, time: str = "4/4") -> str:
    """The report of a small score on one line."""
    first, *others = measures
    root = root_of(attributes(time=time) + first, *others)
    return " ".join(text_report("small", review_score(etree.tostring(root), read_options({"level": [level]}))).split())


def quarters(*pitches: str) -> str:
    return "".join(map(note, pitches))


def test_neighbouring_notes_beyond_the_level_are_learned_in_one_position() -> None:
    low = quarters("D4", "E4", "F4", "G4")
    said = report_of("first", low, quarters("A5", "F6", "G6", "A5"), quarters("A5", "F6", "E5", "D5"), low, low, low)
    assert (
        "Bar 2 (the high F and the high G) and bar 3 (the high F): these notes are out of reach at this level. "
        "Play them an octave lower or leave them out, until you have learned sixth position (3 F, 4 G)." in said
    )
    said = report_of("first", quarters("D4", "E4", "F6", "G4"), *[low] * 6, quarters("D4", "E4", "G6", "G4"))
    assert (
        "Bar 1, beat 3: the high F is out of reach at this level. "
        "Play it an octave lower or leave it out, until you have learned fifth position (4 F)." in said
    )
    assert "Bar 8, beat 3: the high G is out of reach at this level." in said
    assert "until you have learned sixth position (4 G)" in said


def test_bars_beyond_the_level_are_no_place_to_begin_practising() -> None:
    low = quarters("D4", "E4", "F4", "G4")
    double = chord("E4", "C5") + chord("F4", "D5")
    said = report_of("first", low, double + quarters("G4", "E4"), double + chord("E4", "C5") + note("G6"), *[low] * 5)
    assert "Bar 3 goes beyond this level" in said
    assert "hardest for the left hand: Bar 2: 2 double stops with two fingers down" in said
    assert "Bar 3: " not in said


def test_where_no_bar_stands_out_none_is_to_be_practised_first() -> None:
    bar = quarters("D4", "E4", "F4", "G4")
    assert "Practise first" not in report_of("first", *[bar] * 8)


def test_a_piece_that_begins_in_another_position_is_said_to_begin_there() -> None:
    low = quarters("G4", "E4", "F4", "D4")
    third = words("3rd pos.") + note("D5", inside=technical("<fingering>1</fingering>"))
    bars = [third + quarters("E5", "F5", "G5"), quarters("A5", "B5", "C6", "D6"), words("1st pos.") + low]
    high = [quarters("A4", "B4", "C5", "D5"), quarters("A5", "B5", "C6", "D6"), quarters("D5", "B4", "A4", "G4")]
    said = report_of("first-and-third", *bars, *[low] * 3, *high)
    assert "Begin in third position (bars 1-2). After that, leave first position in bars 8-9." in said


def test_terms_are_explained_once_where_a_report_has_them() -> None:
    (part,) = review_score((ROOT / "sample_scores" / "ferry_waltz.musicxml").read_bytes(), Options())
    report = text_report("ferry_waltz.musicxml", [part])
    assert report.count("Finger slide. A finger moves along its string") == 1
    assert "Finger hop." not in report
    german = replace(part, language=Language.GERMAN)
    assert "Streckung: Ein Finger streckt sich aus der lockeren Hand" in text_report("ferry_waltz.musicxml", [german])


def test_a_report_begins_with_the_title_and_ends_with_what_is_to_be_said_of_the_file() -> None:
    (part,) = review_score((ROOT / "sample_scores" / "ferry_waltz.musicxml").read_bytes(), Options())
    report = text_report("/scores/ferry_waltz.musicxml", [replace(part, remarks=("a slur has no end",))])
    assert report.startswith("Lakeside String Club (handframe contributors): Ferry Waltz (ferry_waltz.musicxml)\n")
    report = text_report("/scores/ferry_waltz.musicxml", [replace(part, composer="", remarks=("a slur has no end",))])
    assert report.startswith("Ferry Waltz (ferry_waltz.musicxml)\n")
    ending = report[report.index("What the words and numbers mean") :]
    assert "\n  About the file\n    A slur has no end.\n" in ending
    assert report.index("About the file") > report.index("What the words and numbers mean")


@pytest.mark.parametrize(
    ("name", "told"), [("Violino I.", "Violino I (small), planned for"), ("", "Violin (small), planned for")]
)
def test_a_part_is_named_without_a_full_stop_or_by_its_instrument(name: str, told: str) -> None:
    root = root_of(attributes() + quarters("D4", "E4", "F4", "G4"), name=name)
    assert told in text_report("small", review_score(etree.tostring(root), Options()))


def chord(*pitches: str) -> str:
    first, *others = pitches
    return note(first) + "".join(note(pitch, chord=True) for pitch in others)


def test_of_a_chord_beyond_the_level_all_notes_are_told_if_each_is_in_reach_by_itself() -> None:
    low = quarters("D4", "E4", "F4", "G4")
    said = report_of("first-and-third", quarters("D4", "E4") + chord("B4", "G#5", "E6") + note("D4"), low, low)
    assert (
        "Bar 1, beat 3: B, G♯ and E do not lie under the hand together at this level. "
        "Learn them in fourth position, or leave out a note." in said
    )


def test_string_crossings_make_no_bar_hard_for_the_left_hand() -> None:
    """Common practice: the bow arm changes the string."""
    low = quarters("D4", "E4", "F4", "G4")
    assert "Practise first" not in report_of("first", *[low] * 5, quarters("G3", "E5", "G3", "E5"))


def test_double_stops_are_counted_by_the_fingers_and_chords_apart_from_them() -> None:
    low = quarters("D4", "E4", "F4", "G4")
    three = chord("E4", "C5") + chord("D4", "B4") + chord("F4", "D5") + chord("G3", "D4", "B4")
    assert "Bar 6: 2 double stops with two fingers down and one chord" in report_of("first", *[low] * 5, three)


def test_where_the_format_of_a_file_is_all_there_is_to_say_nothing_is_said_of_it() -> None:
    tune = b"X:1\nT:Ferry Reel\nM:4/4\nL:1/4\nK:G\n" + b"GABc|" * 8 + b"\n"
    report = text_report("reel.abc", review_score(tune, Options(), name="reel.abc"))
    assert report.startswith("Ferry Reel (reel.abc)\n")
    assert "The score came as ABC" not in report


def test_many_positions_are_named_once_each_and_few_in_order() -> None:
    assert positions_words(ENGLISH, (3, 3, 5)) == "third position, then fifth position"
    assert positions_words(ENGLISH, (3, 5, 3)) == "third position, then fifth position, then third position"
    assert positions_words(ENGLISH, (3, 5, 3, 4)) == (
        "several positions (third position, fifth position and fourth position)"
    )


def test_a_piece_begins_in_the_position_of_its_first_finger_not_of_an_open_string() -> None:
    plan = placed("A4 F#4 G4", "A0@0 D1@2 D2@2")
    (excursion,) = plan.excursions
    assert shift_sentences(ENGLISH, plan, excursion)[0] == (
        "The upbeat, second note: begin in second position, on F♯ (1st finger, D string)."
    )


def test_half_the_string_is_learned_in_third_position_from_which_the_fourth_finger_reaches_it() -> None:
    low = quarters("D4", "E4", "F4", "G4")
    said = report_of("first", low, quarters("A5", "D6", "E6", "A5"), low, low)
    assert "the high D and the high E are out of reach at this level. Play them" in said
    assert "until you have learned third position (4 D, 4 stretched to E)" in said


def test_tunes_of_a_collection_have_their_own_heading_and_one_part_each() -> None:
    tunes = "".join(f"X:{n}\nT:{title}\nM:4/4\nL:1/4\nK:G\nGABc|dedB|\n\n" for n, title in ((1, "Ebb"), (2, "Flood")))
    report = text_report("two.abc", review_score(tunes.encode(), Options(), name="two.abc"))
    assert "Ebb (two.abc)\n\nViolin, planned for" in report
    assert "\nFlood (two.abc)\n\nViolin, planned for" in report


def test_where_no_usual_count_falls_the_reason_counts_what_is_easier_or_there_is_none() -> None:
    """G♯ and A in turn on the G string: one finger for both in first position, one for each in half position."""
    low = quarters("D4", "E4", "F4", "G4")
    turning = "".join(note(pitch) for pitch in ("G#3", "A3", "G#3", "A3", "G#3", "A3", "G#3", "A3"))
    said = report_of("all", low, turning, low, time="8/4")
    assert "slides of a finger by a semitone" in said
