"""Slips of the digits: what makes one likely (common practice)."""

from __future__ import annotations

from math import inf

import pytest

from rules.check.digit_slips import Evidence, Slip, slips
from rules.marks.hand_of_digits import digit_line
from tests.marked_notation import read_marked_passage

SCALE = "B4{1}:1 C5{2} D5{3} C5{2} | B4{1} A4{0} B4{1} C5{2} | D5{3} C5{2} B4{1} A4{0} | "
RESTLESS = "B4{1}:1 D5{1} F5{1} D5{1} | B4{1} E5{3} C5{1} G5{4} | D5{1} A5{4} E5{1} C5{2} | "
SLIP = "A4{0} B4{1} C5{3} D5{3} | E5{4} D5{3}"


def slips_in(text: str) -> list[Slip]:
    return list(slips(Evidence(read_marked_passage(text)), 0.5))


def only(text: str) -> Slip:
    (slip,) = (slip for slip in slips_in(text) if slip.fingers == (3,) and slip.meant == 2)
    return slip


def test_a_slip_tells_more_where_the_hand_hardly_moves() -> None:
    assert only(SCALE * 2 + SLIP).evidence > only(SLIP).evidence > only(RESTLESS * 2 + SLIP).evidence


def test_what_comes_back_is_meant_and_what_stands_against_like_places_is_suspect() -> None:
    right = SLIP.replace("C5{3}", "C5{2}")
    alone, against = only(f"{SLIP} | {SCALE}"), only(f"{SLIP} | {right} | {SCALE}")
    assert against.evidence > alone.evidence
    both = f"{SLIP} | {SLIP} | {SCALE}"
    assert not [slip for slip in slips_in(both) if slip.fingers == (3,) and slip.meant == 2]


def test_a_rest_or_a_word_makes_a_shift_cheaper() -> None:
    plain, rest, word = "B4{1}:1/4 D5{1}:1/4", "B4{1}:1/4 R:2 D5{1}:1/4", "B4{1}:1/4 D5{1 3rd}:1/4"
    trouble = [digit_line(read_marked_passage(text)).trouble for text in (plain, rest, word)]
    assert trouble[0] > trouble[1] > 0
    assert trouble[0] > trouble[2] > 0


def test_notes_without_digits_and_chords_lead_the_hand_as_well() -> None:
    there_and_back = "B4{1}:1 [F5{3} A5{1}]:1 B4{1}:1"
    line = digit_line(read_marked_passage(f"{there_and_back} E6:1 B4{{1}}"))
    assert len(line.stages) == 5
    assert line.digits == 3
    assert line.trouble > 1


def test_no_hand_takes_a_note_below_its_string() -> None:
    line = digit_line(read_marked_passage("A3{1}:1 B3{2}:1 C4{3}:1"))
    assert line.spared_by({0: 4}) == -inf


@pytest.mark.parametrize(("fifths", "expected"), [(2, 0.9), (0, 0.6)])
def test_a_sign_of_the_key_is_no_reason_for_another_finger(fifths: int, expected: float) -> None:
    line = digit_line(read_marked_passage("B4{1}:1 C#5{3}:1 B4{1}:1", fifths=fifths))
    assert line.trouble == pytest.approx(expected)


def test_a_part_without_digits_has_no_slips() -> None:
    assert not slips_in("B4:1 C5 D5")
