"""Pitches and instruments, against music21's pitch arithmetic, ISO 16 and common practice."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21.pitch import Pitch as ReferencePitch

from rules import INSTRUMENTS, VIOLA, VIOLIN, Pitch

LETTERS_OF_THE_PIANO = st.integers(min_value=5, max_value=56)  # A0 to C8
ALTERATIONS = st.integers(min_value=-2, max_value=2)
PITCHES = st.builds(Pitch, LETTERS_OF_THE_PIANO, ALTERATIONS)


@given(st.builds(Pitch, st.integers(-7, 70), st.integers(-12, 12).map(lambda quarters: quarters / 2)))
def test_a_name_reads_back_as_the_same_pitch(pitch: Pitch) -> None:
    assert Pitch.named(pitch.name) == pitch


@given(PITCHES)
def test_pitches_agree_with_music21(pitch: Pitch) -> None:
    # Source: music21's Pitch, which writes flats as "-".
    theirs = ReferencePitch(pitch.step + pitch.name[1:-1].replace("b", "-") + str(pitch.octave))
    assert pitch.midi == theirs.ps
    assert pitch.octave == theirs.octave
    assert pitch.frequency() == pytest.approx(theirs.frequency)


@pytest.mark.parametrize(
    ("name", "midi"), [("C4", 60), ("A4", 69), ("Bb3", 58), ("F#5", 78), ("Cb5", 71), ("B#4", 72), ("G##3", 57)]
)
def test_midi_numbers(name: str, midi: int) -> None:
    assert Pitch.named(name).midi == midi


def test_a4_is_440_hertz_unless_another_is_asked_for() -> None:
    # Source: ISO 16.
    assert Pitch.named("A4").frequency() == pytest.approx(440)
    assert Pitch.named("A3").frequency(a4=442) == pytest.approx(221)


def test_a_quarter_tone_shows_its_cents() -> None:
    assert Pitch(28, 0.5).midi == 60.5
    assert "50" in Pitch(28, 0.5).name


@pytest.mark.parametrize("name", ["", "H4", "F", "F#", "4", "Fx4", "F4#"])
def test_what_is_not_a_pitch_is_refused(name: str) -> None:
    with pytest.raises(ValueError, match="not a pitch"):
        Pitch.named(name)


@given(PITCHES, st.integers(-7, 7), st.integers(-12, 12))
def test_transposing_there_and_back_is_nothing(pitch: Pitch, letters: int, semitones: int) -> None:
    moved = pitch.transposed(letters, semitones)
    assert moved.midi == pitch.midi + semitones
    assert moved.transposed(-letters, -semitones) == pitch


def test_a_transposed_pitch_keeps_its_spelling() -> None:
    # Common practice: a minor third above F sharp is A; a clarinet in B flat sounds a major second lower.
    assert Pitch.named("F#4").transposed(2, 3) == Pitch.named("A4")
    assert Pitch.named("C5").transposed(-1, -2) == Pitch.named("Bb4")


def test_open_strings() -> None:
    # Common practice: violin E5 A4 D4 G3 (MIDI 76 69 62 55); viola A4 D4 G3 C3; string 1 is the highest.
    assert [VIOLIN.open_pitch(string).midi for string in VIOLIN.string_numbers] == [76, 69, 62, 55]
    assert [VIOLA.open_pitch(string).name for string in VIOLA.string_numbers] == ["A4", "D4", "G3", "C3"]
    assert VIOLIN.lowest == Pitch.named("G3")
    assert [VIOLIN.string_name(string) for string in VIOLIN.string_numbers] == ["E", "A", "D", "G"]


def test_a_string_that_is_not_there_is_refused() -> None:
    with pytest.raises(IndexError, match="strings 1 to 4, not 5"):
        VIOLIN.open_pitch(5)


def test_another_tuning_is_another_instrument() -> None:
    # Common practice: the solo part of a piece "a mezzo tuono" tunes every string a half step up.
    raised = tuple(pitch.transposed(0, 1) for pitch in VIOLIN.open_strings)
    assert VIOLIN.tuned(raised).lowest.midi == 56
    assert VIOLIN.lowest.midi == 55


def test_instruments_are_found_by_name() -> None:
    assert INSTRUMENTS["violin"] is VIOLIN
    assert INSTRUMENTS["viola"] is VIOLA
