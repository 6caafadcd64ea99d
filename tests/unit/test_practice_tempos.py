"""Tempos on a sheet are marks that a metronome has; positions in a row are named with the word once."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules import FIRST_AND_THIRD, Plan, cheapest_route
from rules.plan.printing import Fingers
from rules.practice.drills.passage_drills import in_context
from rules.practice.drills.position_drills import places_named
from rules.practice.metronome import MARKS, mark_near, tempo_steps
from service.messages.message import Wording
from service.naming import Language
from tests.notation import read_passage
from tests.small_scores import attributes, note, reading

PRINTED = (
    "40 42 44 46 48 50 52 54 56 58 60 63 66 69 72 76 80 84 88 92 96 100 104 108 112 116 120 126 132 138 144 152 160 "
    "168 176 184 192 200 208"
)
"""As the scale stands on a mechanical metronome (common practice)."""


def test_marks_are_those_of_a_metronome() -> None:
    assert " ".join(map(str, MARKS)) == PRINTED


@given(st.floats(40, 260))
def test_steps_are_marks_and_end_no_quicker_than_the_piece(full: float) -> None:
    steps = tempo_steps(full)
    assert set(steps) <= set(MARKS)
    assert list(steps) == sorted(set(steps))
    assert steps[-1] <= round(full)


def test_last_step_is_the_nearest_mark_below_or_what_the_piece_prints() -> None:
    assert tempo_steps(77) == (40, 46, 56, 66, 76)
    assert tempo_steps(77, own_mark=True) == (40, 46, 56, 66, 77)
    assert tempo_steps(36) == (36,)
    assert (mark_near(61), mark_near(61.5), mark_near(300)) == (60, 60, 208)


@pytest.mark.parametrize(("marks", "last"), [(frozenset(), 76), (frozenset({77.0}), 77), (frozenset({60.0}), 76)])
def test_piece_ends_on_its_own_mark_only_if_it_prints_one(marks: frozenset[float], last: int) -> None:
    passage = replace(read_passage("A4:1 B4 C5 D5 | E5:4", tempo=77.0), metronome_marks=marks)
    plan = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD))
    assert in_context(plan, (0, 1), Fingers.ESSENTIAL).steps[-1] == last


def test_printed_marks_are_read_and_tempos_of_playback_are_not() -> None:
    mark = "<metronome><beat-unit>half</beat-unit><per-minute>66</per-minute></metronome>"
    printed = f"<direction><direction-type>{mark}</direction-type></direction>"
    assert reading(f"{attributes()}{printed}{note('A4', 4)}").passage.metronome_marks == {132.0}
    assert reading(f"{attributes()}<sound tempo='77'/>{note('A4', 4)}").passage.metronome_marks == set()


def test_positions_in_a_row_are_named_with_the_word_once() -> None:
    three = places_named((2, 3, 4))
    assert three == "second, third and fourth position"
    assert places_named((3,)) == "third position"
    said = {language: Wording(language).text(three) for language in Language}
    assert said[Language.GERMAN] == "2., 3. und 4. Lage"
    assert said[Language.FRENCH] == "2e, 3e et 4e position"
    assert said[Language.ITALIAN] == "2ª, 3ª e 4ª posizione"
    assert said[Language.SPANISH] == "2.ª, 3.ª y 4.ª posición"
