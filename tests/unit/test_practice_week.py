"""The plan for the week is spaced and within twenty minutes a day; a teacher chooses, orders and joins sheets."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules import (
    VIOLA,
    VIOLIN,
    Bar,
    Exercise,
    Instrument,
    Key,
    Pitch,
    Section,
    Sheet,
    SheetNote,
    Tone,
    chosen_exercises,
    progressive_set,
    sheets_together,
    week_plan,
)


def sheet_of(*bars: int, title: str = "T", instrument: Instrument = VIOLIN) -> Sheet:
    """A sheet with an exercise of so many bars at sixty for each number, three exercises a section."""
    note = SheetNote((Tone(Pitch.named("D5"), 1, 2),), Fraction(4), 3)
    bar = Bar((note,), (4, 4), 0)
    made = [
        Exercise(f"E{index}", "", (bar,) * count, number=index, origin=index) for index, count in enumerate(bars, 1)
    ]
    sections = [Section(f"S{first}", "", tuple(made[first : first + 3])) for first in range(0, len(made), 3)]
    return Sheet(title, "", instrument, tuple(sections), ())


@given(st.lists(st.integers(1, 40), min_size=1, max_size=40))
def test_every_day_has_its_limit_and_what_is_new_comes_again(bars: list[int]) -> None:
    rows = week_plan(sheet_of(*bars))
    assert [row.exercise.number for row in rows] == list(range(1, len(bars) + 1))
    for day in range(7):
        assert sum(row.minutes for row in rows if day in row.days) <= 20
        assert sum(row.minutes for row in rows if row.days and row.days[0] == day) <= 7
    begun = [row.days[0] for row in rows if row.days]
    assert begun == sorted(begun)
    planned = [bool(row.days) for row in rows]
    assert planned == sorted(planned, reverse=True)
    for row in rows:
        assert row.minutes >= 1
        assert len(row.days) in (0, 2, 3)
        assert row.days in {(), *((day, day + 1, day + 3) for day in range(4)), (4, 5), (5, 6)}


def test_a_long_sheet_goes_on_in_another_week() -> None:
    rows = week_plan(sheet_of(*[30] * 30))
    assert rows[0].days == (0, 1, 3)
    assert rows[-1].days == ()


def lesson(position: int, *exercises: int, label: str = "", daily: bool = False, start: int = 1) -> Section:
    """A section in one position with exercises of so many bars; with a label they are bars of the piece."""
    note = SheetNote((Tone(Pitch.named("D5"), 1, 2),), Fraction(4), position)
    bar = Bar((note,), (4, 4), 0, label)
    made = [Exercise(f"E{number}", "", (bar,) * count, number=number) for number, count in enumerate(exercises, start)]
    return Section(f"S{position}{label}", "", tuple(made), is_daily=daily)


def test_a_week_with_many_positions_leads_back_into_the_piece() -> None:
    """First the position that the passage asks for, with as many drills as there is room for; others come later."""
    sections = (
        lesson(1, 4, daily=True),
        lesson(2, *[9] * 40, start=2),
        lesson(3, *[9] * 40, start=42),
        lesson(3, 16, 16, label="9", start=82),
        lesson(2, 16, 16, label="20", start=84),
    )
    rows = {row.exercise.number: row for row in week_plan(Sheet("T", "", VIOLIN, sections, ()))}
    assert rows[82].days
    assert rows[83].days
    assert rows[42].days[0] < rows[82].days[0]
    in_third = [number for number in range(42, 82) if rows[number].days]
    assert in_third == list(range(42, 42 + len(in_third)))
    assert all(rows[number].days[0] >= rows[83].days[0] for number in range(2, 42) if rows[number].days)
    assert list(rows) == list(range(1, 86))
    for day in range(7):
        assert sum(row.minutes for row in rows.values() if day in row.days) <= 20


def test_a_week_that_comes_to_the_piece_goes_in_the_order_of_the_sheet() -> None:
    sections = (lesson(3, 4, 4, 4), lesson(3, 8, label="9", start=4), lesson(3, 4, start=5))
    rows = week_plan(Sheet("T", "", VIOLIN, sections, ()))
    begun = [row.days[0] for row in rows]
    assert begun == sorted(begun)


def test_exercises_are_chosen_in_order_under_their_headings() -> None:
    sheet = chosen_exercises(sheet_of(1, 1, 1, 1, 1), (5, 2, 1))
    assert [(s.heading, [e.title for e in s.exercises]) for s in sheet.sections] == [
        ("S3", ["E5"]),
        ("S0", ["E2", "E1"]),
    ]
    assert [(e.number, e.origin) for e in sheet.exercises] == [(1, 5), (2, 2), (3, 1)]
    with pytest.raises(IndexError, match="exercises 1 to 5, not 6"):
        chosen_exercises(sheet_of(1, 1, 1, 1, 1), (6,))


def test_sheets_of_one_instrument_are_put_together_each_on_its_page() -> None:
    together = sheets_together([sheet_of(1, 1), sheet_of(1, title="U")], "Class")
    assert [(s.heading, s.new_page) for s in together.sections] == [("T: S0", False), ("U: S0", True)]
    assert [e.number for e in together.exercises] == [1, 2, 3]
    with pytest.raises(ValueError, match="one instrument"):
        sheets_together([sheet_of(1), sheet_of(1, instrument=VIOLA)], "Class")


def test_what_the_teacher_plays_is_not_in_the_plan() -> None:
    sheet = progressive_set(Key.named("D"), (3,))
    planned = [row.exercise for row in week_plan(sheet)]
    assert [exercise for exercise in sheet.exercises if exercise not in planned] == list(sheet.sections[-1].exercises)
