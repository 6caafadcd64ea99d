"""The player who reads along: what a note is taken for, by its marks and by where the hand is (common practice)."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from rules import VIOLIN, Note, Pitch, Technique
from rules.plan.read_marks import UNMARKED, NoteMarks, PageReader, ReaderState

READER = PageReader(VIOLIN)


def note(name: str, *techniques: Technique) -> Note:
    return Note(name, Pitch.named(name), 0, Fraction(1), techniques=frozenset(techniques))


def read(
    *names: str,
    fingers: tuple[int, ...] = (),
    strings: tuple[int, ...] = (),
    word: int | None = None,
    position: int = 1,
    technique: Technique | None = None,
) -> tuple[list[tuple[int, int]] | None, int]:
    """String and finger of each note, and the position afterwards; marks stand on the first note."""
    notes = [note(name, *((technique,) if technique else ())) for name in names]
    marks = [NoteMarks(fingers, strings), *[UNMARKED] * (len(names) - 1)]
    state = READER.read(notes, 0, marks, word, ReaderState(position))
    taken = None if state.taken is None else [(one.string, one.finger) for one in state.taken]
    return taken, state.position


@pytest.mark.parametrize(
    ("name", "position", "taken"),
    [
        ("A4", 1, (2, 0)),
        ("A4", 0, (2, 0)),
        ("B4", 1, (2, 1)),
        ("Bb4", 1, (2, 1)),
        ("D5", 1, (2, 3)),
        ("B5", 1, (1, 4)),
        ("D5", 3, (2, 1)),
        ("A4", 3, (3, 2)),  # away from the nut nobody takes an open string without being told
        ("A4", 2, (3, 3)),
        ("G5", 3, (2, 4)),
        ("B#4", 1, (2, 1)),
    ],
)
def test_without_marks_a_note_is_taken_by_the_finger_of_its_letter(
    name: str, position: int, taken: tuple[int, int]
) -> None:
    assert read(name, position=position) == ([taken], position)


@pytest.mark.parametrize(("name", "position"), [("A#4", 1), ("D6", 1), ("A3", 3), ("F3", 1)])
def test_nobody_can_guess_what_has_no_finger_here(name: str, position: int) -> None:
    assert read(name, position=position) == (None, position)


def test_a_natural_harmonic_is_not_guessed() -> None:
    assert read("E5", technique=Technique.NATURAL_HARMONIC)[0] is None


@pytest.mark.parametrize(
    ("name", "finger", "string", "position"),
    [
        ("D5", 3, 2, 1),  # in its own place
        ("C6", 4, 1, 1),  # the fourth reaches a letter up
        ("D5", 1, 2, 3),  # the nearest position that fits
        ("E5", 4, 2, 1),
        ("E5", 2, 2, 3),
        ("B4", 3, 3, 3),
        ("A5", 1, 1, 3),
    ],
)
def test_a_digit_is_found_in_the_present_position_or_in_the_nearest(
    name: str, finger: int, string: int, position: int
) -> None:
    assert read(name, fingers=(finger,)) == ([(string, finger)], position)


def test_of_two_positions_as_near_the_lower_one_is_taken() -> None:
    # The third finger has E5 on the A string in second position, on the D string in sixth.
    assert read("E5", fingers=(3,), position=4) == ([(2, 3)], 2)


def test_the_first_finger_reaches_a_letter_back() -> None:
    assert read("C#5", fingers=(1,), position=3) == ([(2, 1)], 3)


def test_a_nought_is_the_open_string_and_moves_nothing() -> None:
    assert read("A4", fingers=(0,), position=3) == ([(2, 0)], 3)
    assert read("B4", fingers=(0,), position=3)[0] is None


def test_a_word_moves_the_hand_whether_or_not_a_digit_stands_with_it() -> None:
    assert read("D5", word=3) == ([(2, 1)], 3)
    assert read("D5", word=3, fingers=(1,)) == ([(2, 1)], 3)
    assert read("F5", word=3, fingers=(3,)) == ([(2, 3)], 3)


def test_in_a_named_position_a_digit_may_stand_two_letters_from_its_own() -> None:
    assert read("F5", word=3, fingers=(1,), strings=(2,)) == ([(2, 1)], 3)
    assert read("G5", word=3, fingers=(1,), strings=(2,))[0] is None


def test_a_marked_string_is_played_on_in_the_present_position() -> None:
    assert read("D5", strings=(2,)) == ([(2, 3)], 1)
    assert read("D5", strings=(3,), position=5) == ([(3, 3)], 5)
    assert read("A4", strings=(2,)) == ([(2, 0)], 1)
    assert read("A4", strings=(2,), position=3)[0] is None
    assert read("D5", strings=(4,))[0] is None
    assert read("D5", strings=(7,))[0] is None


def test_digit_and_string_together_lead_the_hand_up_a_lower_string() -> None:
    assert read("D5", fingers=(1,), strings=(3,)) == ([(3, 1)], 7)


def test_of_alternatives_the_one_that_needs_no_move_is_taken() -> None:
    assert read("D5", fingers=(1, 3)) == ([(2, 3)], 1)


@pytest.mark.parametrize(
    ("names", "taken"),
    [
        (("E4", "B4"), [(3, 1), (2, 1)]),
        (("D4", "B4"), [(3, 0), (2, 1)]),
        (("G4", "B4"), [(3, 3), (2, 1)]),
        (("G3", "D4", "B4"), [(4, 0), (3, 0), (2, 1)]),
        (("E4", "F4"), None),  # one string twice
        (("G3", "B4"), None),  # strings that are not neighbours
    ],
)
def test_notes_together_are_taken_on_neighbouring_strings(
    names: tuple[str, ...], taken: list[tuple[int, int]] | None
) -> None:
    assert read(*names)[0] == taken


def test_the_same_note_again_in_the_bar_is_taken_as_before() -> None:
    first = READER.read([note("C6")], 4, [NoteMarks((4,))], None, ReaderState())
    again = READER.guess([note("C6")], 4, first)
    assert again == first
    assert READER.guess([note("C6")], 5, first).taken is None, "in the next bar the eye does not look back"
    assert READER.guess([note("B5")], 4, first).taken == ((1, 4),)


def test_the_state_tells_where_the_hand_is_and_what_was_read() -> None:
    state = READER.read([note("D5")], 7, [NoteMarks((1,))], None, ReaderState())
    assert (state.position, state.measure, [pitch.name for pitch in state.pitches]) == (3, 7, ["D5"])
    assert replace(READER, instrument=VIOLIN) == READER


def test_a_harmonic_that_is_touched_elsewhere_is_found_by_its_string() -> None:
    # E6 speaks where the A string is touched a fifth up (acoustics).
    harmonic = Technique.NATURAL_HARMONIC
    assert read("E6", fingers=(4,), strings=(2,), technique=harmonic) == ([(2, 4)], 1)
    assert read("E6", strings=(2,), technique=harmonic)[0] is None, "without a digit nobody knows which finger touches"


@pytest.mark.parametrize(
    ("name", "finger", "position"),
    [
        ("Bb4", 1, 1),  # a semitone above the nut
        ("Db5", 2, 1),  # under a neighbour's letter, within the frame
        ("D5", 2, 2),  # out of the frame: the hand moves
    ],
)
def test_a_finger_under_a_neighbours_letter_stays_where_it_fits(name: str, finger: int, position: int) -> None:
    assert read(name, fingers=(finger,)) == ([(2, finger)], position)
