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
