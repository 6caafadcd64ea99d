"""The short form in which tests and fixtures write music."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rules import VIOLA
from tests.notation import read_passage, with_tempo


def test_notes_and_lengths() -> None:
    passage = read_passage("E5:1 B5:2 Bb4:1/2 F#5:0.5", tempo=120)
    assert [note.pitch.name for note in passage.notes] == ["E5", "B5", "Bb4", "F#5"]
    assert [event.beats for event in passage.events] == [1, 2, Fraction(1, 2), Fraction(1, 2)]
    assert [event.onset for event in passage.events] == [0, 1, 3, Fraction(7, 2)]
    assert [event.seconds for event in passage.events] == [0.5, 1.0, 0.25, 0.25]


def test_a_length_holds_until_the_next() -> None:
    assert [event.beats for event in read_passage("D4:1/4 E4 F4 G4:2 A4").events] == [Fraction(1, 4)] * 3 + [2, 2]


def test_bar_lines_cut_measures() -> None:
    passage = read_passage("A4:1 | D4:2 E4:2 | F4:4 ||")
    assert [(measure.label, measure.onset, measure.beats) for measure in passage.measures] == [
        ("1", 0, 1),
        ("2", 1, 4),
        ("3", 5, 4),
    ]
    assert [event.measure for event in passage.events] == [0, 1, 1, 2]
    assert [event.beat for event in passage.events] == [1, 1, 3, 1]


def test_metric_weight() -> None:
    events = read_passage("D4:1/4 E4 F4 G4 D4:1 E4:2").events
    assert [event.strength for event in events] == [3, 0, 1, 0, 2, 2]


def test_compound_time_counts_its_own_beats() -> None:
    assert [event.beat for event in read_passage("D4:1/2 E4 F4 G4", meter=(6, 8)).events] == [1, 2, 3, 4]


def test_rests_are_silence_before_the_next_note() -> None:
    events = read_passage("A4:1 R:1 | R:2 D5:1", tempo=60).events
    assert [event.rest for event in events] == [0, 3]
    assert events[1].onset == 4


def test_a_slur_binds_each_note_to_the_one_before() -> None:
    assert [event.slurred for event in read_passage("A4:1 (B4 C5 D5) E5").events] == [False, False, True, True, False]


def test_a_slur_may_cross_a_bar_line() -> None:
    assert [event.slurred for event in read_passage("(A4:1 | B4) C5").events] == [False, True, False]


def test_chords_are_sorted_and_rows_run_on() -> None:
    passage = read_passage("A4:1 [B4 D4]:2 G4")
    assert [[note.pitch.name for note in event.notes] for event in passage.events] == [["A4"], ["D4", "B4"], ["G4"]]
    assert [note.row for note in passage.notes] == [0, 1, 2, 3]
    assert len({note.id for note in passage.notes}) == 4


def test_a_slurred_chord() -> None:
    assert [event.slurred for event in read_passage("([D4 B4]:1 [E4 C#5])").events] == [False, True]


def test_instrument_and_key_are_carried() -> None:
    passage = read_passage("C3:1", instrument=VIOLA, fifths=-2)
    assert passage.instrument is VIOLA
    assert passage.measures[0].fifths == -2


def test_another_tempo_changes_seconds_only() -> None:
    slow = read_passage("A4:1 R:1 B4:1", tempo=60)
    fast = with_tempo(slow, 120)
    assert [(event.onset, event.seconds, event.rest) for event in fast.events] == [(0, 0.5, 0), (2, 0.5, 0.5)]


@pytest.mark.parametrize("text", ["H4:1", "A4:x", "A4 : 1", "[A4", "e5:1", "A4:1|1"])
def test_what_is_not_in_the_short_form_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"not in the short form|not a pitch"):
        read_passage(text)


@pytest.mark.parametrize("text", ["(A4 B4", "A4 B4)", "(A4 (B4 C5) D5)"])
def test_slurs_that_do_not_close_are_refused(text: str) -> None:
    with pytest.raises(ValueError, match="slur"):
        read_passage(text)
