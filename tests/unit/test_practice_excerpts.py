"""Bars of the piece on a sheet: where slurs begin beside small notes, and how fast they go."""

from __future__ import annotations

import pytest

from rules import FIRST_AND_THIRD, Plan, cheapest_route
from rules.practice.excerpts import bars_of_plan, tempo_at
from tests.small_scores import attributes, back, grace, notations, note, reading

START, STOP = notations('<slur type="start" number="1"/>'), notations('<slur type="stop" number="1"/>')


@pytest.mark.parametrize(
    ("music", "bound"),
    [
        # The slur is that of the small note alone.
        (note("E5", 2) + grace("C5", START) + note("D5", 2, STOP), False),
        (note("E5", 2, START) + grace("C5") + note("D5", 2, STOP), True),
        (note("E5", 2, START) + note("D5", 2, STOP), True),
        (note("E5", 2) + grace("C5") + note("D5", 2), False),
    ],
)
def test_a_slur_begins_where_it_is_printed(music: str, bound: bool) -> None:
    passage = reading(attributes() + music).passage
    plan = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD))
    (bar,) = bars_of_plan(plan)
    assert bar.notes[0].bowed_on is bound


def test_the_tempo_is_that_of_the_notes_over_a_held_one() -> None:
    # D4 held for the bar under quarter notes at 120.
    held = note("D4", 4, voice="2") + back(4)
    line = "".join(note(pitch) for pitch in ("A4", "B4", "C5", "D5"))
    passage = reading(attributes() + held + line, tempo=120).passage
    assert tempo_at(passage, 0) == pytest.approx(120)


FERMATA = notations("<fermata/>")


@pytest.mark.parametrize(
    "bars",
    [
        (note("D5", 4, FERMATA), note("A4", 2) + note("B4", 2)),
        # The sign over the first note of a bar, over its end, and over the tied end of a note.
        (note("D5", 2, FERMATA) + note("A4", 2), note("B4", 4)),
        (note("A4", 2) + note("D5", 2, FERMATA), note("B4", 4)),
        (note("A4", 4), note("D5", 4, FERMATA)),
        (note("D5", 4, "<tie type='start'/>"), note("D5", 4, "<tie type='stop'/>" + FERMATA) + "", note("A4", 4)),
    ],
)
def test_a_note_under_a_fermata_tells_no_tempo(bars: tuple[str, ...]) -> None:
    passage = reading(attributes() + bars[0], *bars[1:], tempo=96).passage
    for measure in range(len(bars)):
        assert tempo_at(passage, measure) == pytest.approx(96)


def test_a_bar_that_a_repeat_cuts_is_one_bar_again() -> None:
    """Three quarters before the sign and one behind it: nobody counts three rests in each part."""
    first = attributes() + "".join(note(pitch) for pitch in ("A4", "B4", "C5"))
    passage = reading(first, note("E5"), note("D5", 4)).passage
    plan = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD))
    bars = bars_of_plan(plan)
    assert [(bar.label, len(bar.notes)) for bar in bars] == [("1", 4), ("3", 1)]
    assert not any(each.is_rest for bar in bars for each in bar.notes)


def test_two_short_bars_that_make_no_whole_one_are_filled() -> None:
    first = attributes() + note("A4") + note("B4")
    passage = reading(first, note("E5"), note("D5", 4)).passage
    plan = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD))
    assert [bar.label for bar in bars_of_plan(plan)] == ["1", "2", "3"]
