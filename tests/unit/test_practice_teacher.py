"""Sheets read note by note as a teacher: nothing needless, untrue or out of order (common practice throughout)."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rules import Pitch, SheetNote, Tone
from rules.practice.barring import bars_of, rest_pieces


@pytest.mark.parametrize(
    ("beats", "start", "meter", "lengths"),
    [
        ("3/2", "1", (6, 8), ("1/2", "1")),  # the beat is filled up, then a quarter begins the next
        ("1", "1/2", (6, 8), ("1/2", "1/2")),  # within a dotted beat each eighth by itself
        ("3", "0", (12, 8), ("3",)),
        ("3", "3/2", (12, 8), ("3/2", "3/2")),
        ("3/2", "5/2", (4, 4), ("1/2", "1")),
        ("2", "1", (4, 4), ("1", "1")),  # no half rest over the middle of the bar
        ("2", "2", (4, 4), ("2",)),
        ("2", "1", (3, 4), ("1", "1")),
        ("1/3", "2/3", (4, 4), ("1/3",)),
    ],
)
def test_rests_show_the_beats(beats: str, start: str, meter: tuple[int, int], lengths: tuple[str, ...]) -> None:
    assert rest_pieces(Fraction(beats), Fraction(start), meter) == tuple(map(Fraction, lengths))


def test_a_bar_of_the_sheet_has_such_rests() -> None:
    tone = Tone(Pitch.named("F4"), 2, 3)
    notes = [SheetNote((tone,), Fraction(1), 1), SheetNote((), Fraction(3, 2)), SheetNote((tone,), Fraction(1, 2), 1)]
    (bar,) = bars_of(notes, (6, 8), 0)
    assert [each.beats for each in bar.notes] == [1, Fraction(1, 2), 1, Fraction(1, 2)]
