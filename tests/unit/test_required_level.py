"""The level that a part needs. Compasses of the positions are common practice (any tutor)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rules import ALL, FIRST, FIRST_AND_THIRD, TO_FIFTH, TO_THIRD, Level, Technique, required_level
from rules.hand.required_level import LEVELS_IN_ORDER
from tests.notation import read_passage


@pytest.mark.parametrize(
    ("text", "level", "forced_by"),
    [
        ("G3:1 B5:1", FIRST, ()),
        ("C6:1", FIRST, ()),  # under the stretched fourth finger
        ("B5:1 D6:1 A4:1 D6:1", FIRST_AND_THIRD, (1, 3)),
        ("E6:1", FIRST_AND_THIRD, (0,)),  # stretched in third position
        ("D6:1 F6:1", TO_FIFTH, (1,)),
        ("G6:1", TO_FIFTH, (0,)),  # stretched in fifth position
        ("F6:1 A6:1 B6:1", ALL, (1, 2)),
    ],
)
def test_the_highest_notes_decide(text: str, level: Level, forced_by: tuple[int, ...]) -> None:
    found = required_level(read_passage(text))
    assert (found.level, found.forced_by, found.unplayable) == (level, forced_by, ())


def test_levels_are_tried_from_the_first_to_the_last() -> None:
    assert LEVELS_IN_ORDER == (FIRST, FIRST_AND_THIRD, TO_THIRD, TO_FIFTH, ALL)


def test_notes_that_nobody_reaches_do_not_raise_the_level() -> None:
    found = required_level(read_passage("A4:1 F3:1 B4:1 C9:1"))
    assert (found.level, found.forced_by, found.unplayable) == (FIRST, (), (1, 3))


def test_a_part_without_notes_needs_first_position_only() -> None:
    assert required_level(replace(read_passage("A4:1"), events=())).level is FIRST


def test_a_stretched_chord_is_for_the_whole_fingerboard_only() -> None:
    # A minor tenth from the nut: first to fourth finger, beyond what first position has.
    found = required_level(read_passage("[G#3 B4]:1"))
    assert found.level in (FIRST, ALL)
    assert found.unplayable == ()


# A5 and E6 speak where D and A are touched a fifth up, in first position; G4 only at half the G string, under the
# fourth finger in fourth position, or stretched from third (acoustics; common practice).
@pytest.mark.parametrize(("name", "level"), [("A5", FIRST), ("E6", FIRST), ("G4", FIRST_AND_THIRD)])
def test_a_harmonic_needs_the_position_in_which_it_is_touched(name: str, level: Level) -> None:
    passage = read_passage(f"A4:1 {name}:1")
    note = replace(passage.events[1].notes[0], techniques=frozenset({Technique.NATURAL_HARMONIC}))
    events = (passage.events[0], replace(passage.events[1], notes=(note,)))
    found = required_level(replace(passage, events=events))
    assert (found.level, found.forced_by) == (level, () if level is FIRST else (1,))


@pytest.mark.parametrize("positions", [frozenset(), frozenset({-1, 1}), frozenset({1, 19})])
def test_a_level_has_positions_of_the_fingerboard(positions: frozenset[int]) -> None:
    with pytest.raises(ValueError, match="positions are numbers from 0"):
        FIRST.with_positions(positions)


@pytest.mark.parametrize("positions", [frozenset({0, 18}), frozenset({2})])
def test_a_level_takes_other_positions_and_stays_as_it_is(positions: frozenset[int]) -> None:
    found = FIRST_AND_THIRD.with_positions(positions)
    assert (found.positions, found.name, found.shifts) == (
        positions,
        FIRST_AND_THIRD.name,
        FIRST_AND_THIRD.shifts,
    )
