"""Where fingers fall: against the anchors and facts of the trade (common practice), and music21's pitch arithmetic."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import pitch as music21_pitch

from rules import (
    HIGHEST_POSITION,
    INSTRUMENTS,
    VIOLA,
    VIOLIN,
    Fingerboard,
    FingerboardSpot,
    FingerPlacement,
    Key,
    Pitch,
    fingerboard_in,
    same_pitch,
)
from tests.trade import ANCHORS

C = Key(0)
# Highest note under the fourth finger on the E string. Common practice.
TOP = {1: "B5", 2: "C6", 3: "D6", 4: "E6", 5: "F6", 7: "A6"}


def spot_in_key(board: Fingerboard, string: int, finger: int) -> FingerboardSpot | None:
    """Where the key puts a finger on a string; None if the hand does not reach it there."""
    return next((p for p in board.spots if p.in_key and (p.string, p.finger) == (string, finger)), None)


def place(position: int, string: int, finger: int, key: Key = C) -> FingerboardSpot:
    found = spot_in_key(fingerboard_in(VIOLIN, position, key), string, finger)
    assert found is not None
    return found


@pytest.mark.parametrize(("position", "names"), ANCHORS.items())
def test_anchors(position: int, names: str) -> None:
    assert [place(position, string, 1).pitch.name for string in (4, 3, 2, 1)] == names.split()


@pytest.mark.parametrize(("position", "name"), TOP.items())
def test_the_fourth_finger_on_the_top_string(position: int, name: str) -> None:
    assert place(position, 1, 4).pitch.name == name


@pytest.mark.parametrize("string", [1, 2, 3, 4])
def test_the_first_finger_in_third_position_stands_where_the_third_stands_in_first(string: int) -> None:
    assert place(3, string, 1).semitones == place(1, string, 3).semitones


@pytest.mark.parametrize(
    ("pitch", "finger", "placement"),
    [
        # On the D string in first position; common practice.
        ("F4", 2, FingerPlacement.LOW),
        ("F#4", 2, FingerPlacement.HIGH),
        ("E4", 1, FingerPlacement.PLAIN),
        ("Eb4", 1, FingerPlacement.LOW),
        ("G4", 3, FingerPlacement.PLAIN),
        ("G#4", 3, FingerPlacement.HIGH),
        ("A4", 4, FingerPlacement.PLAIN),
        ("Ab4", 4, FingerPlacement.LOW),
    ],
)
def test_low_and_high_fingers_in_first_position(pitch: str, finger: int, placement: FingerPlacement) -> None:
    on_d = [p for p in fingerboard_in(VIOLIN, 1).spots if p.string == 3]
    found = [p for p in on_d if p.pitch == Pitch.named(pitch) and p.finger]
    assert [(p.finger, p.placement) for p in found] == [(finger, placement)]


def test_high_second_in_first_position_is_low_second_in_third_on_another_letter() -> None:
    # F sharp on D is high 2 in first position; in third the second finger has A, and A flat there is low.
    assert place(1, 3, 2, Key(1)).placement is FingerPlacement.HIGH
    lowered = [p for p in fingerboard_in(VIOLIN, 3).spots if (p.string, p.pitch.name) == (3, "Ab4")]
    assert [(p.finger, p.placement) for p in lowered] == [(2, FingerPlacement.LOW)]


@given(
    instrument=st.sampled_from(list(INSTRUMENTS.values())),
    position=st.integers(0, HIGHEST_POSITION),
    fifths=st.integers(-7, 7),
)
def test_semitones_agree_with_music21(instrument: object, position: int, fifths: int) -> None:
    board = fingerboard_in(instrument, position, Key(fifths))  # type: ignore[arg-type]
    for found in board.spots:
        other = music21_pitch.Pitch(found.pitch.name.replace("b", "-"))
        open_string = music21_pitch.Pitch(board.instrument.open_pitch(found.string).name.replace("b", "-"))
        assert other.midi - open_string.midi == found.semitones
        if found.finger:
            letters = other.diatonicNoteNum - open_string.diatonicNoteNum
            assert letters == position - 1 + found.finger


@given(position=st.integers(1, 9), fifths=st.integers(-6, 7))  # with seven flats F flat is the open E string
def test_every_finger_has_its_place_in_the_key_and_goes_up(position: int, fifths: int) -> None:
    board = fingerboard_in(VIOLIN, position, Key(fifths))
    for string in VIOLIN.string_numbers:
        places = [spot_in_key(board, string, finger) for finger in (1, 2, 3, 4)]
        heights = [found.semitones for found in places if found is not None]
        assert len(heights) == 4
        assert heights == sorted(set(heights))


def test_the_same_pitch_on_other_strings() -> None:
    board = fingerboard_in(VIOLIN, 3)
    second_on_d = spot_in_key(board, 3, 2)
    assert second_on_d is not None
    assert second_on_d.pitch.name == "A4"
    assert same_pitch(board, second_on_d, 12) == ((2, 0), (4, 14))[:1]
    assert same_pitch(board, second_on_d, 14) == ((2, 0), (4, 14))


def test_the_viola_is_the_same_hand_a_fifth_lower() -> None:
    violin, viola = fingerboard_in(VIOLIN, 3), fingerboard_in(VIOLA, 3)
    for string in (1, 2, 3):
        upper = spot_in_key(violin, string + 1, 1)
        same = spot_in_key(viola, string, 1)
        assert upper is not None
        assert same is not None
        assert upper.pitch == same.pitch


def test_positions_that_do_not_exist() -> None:
    with pytest.raises(ValueError, match="position 19"):
        fingerboard_in(VIOLIN, HIGHEST_POSITION + 1)
