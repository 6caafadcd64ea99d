"""Decisions that cannot be kept: which of finger, string and position, and why."""

from __future__ import annotations

import pytest

from rules import (
    ALL,
    VIOLIN,
    Constraint,
    ConstraintKind,
    ConstraintViolation,
    Passage,
    Pitch,
    Plan,
    ViolationCause,
    cheapest_route,
    constraint_violations,
    grips_for,
)
from tests.notation import read_passage


def left_over(passage: Passage, *decided: Constraint | None) -> tuple[ConstraintViolation, ...]:
    """Plan with a decision for each note in order, and return what could not be kept."""
    decisions = {note.id: fixed for note, fixed in zip(passage.notes, decided, strict=False) if fixed is not None}
    plan = Plan(passage, ALL, cheapest_route(passage, ALL, decisions=decisions))
    return constraint_violations(plan, decisions)


def fingers(*numbers: int) -> Constraint:
    return Constraint(fingers=frozenset(numbers))


def test_note_that_the_string_does_not_have() -> None:
    (found,) = left_over(read_passage("D4 E4"), None, Constraint(strings=frozenset({2})))
    assert (found.kinds, found.cause) == ((ConstraintKind.STRING,), ViolationCause.NO_STOP)


def test_open_string_where_there_is_none() -> None:
    (found,) = left_over(read_passage("F#4"), fingers(0))
    assert (found.kinds, found.cause) == ((ConstraintKind.FINGER,), ViolationCause.NO_STOP)


def test_marks_of_one_note_that_exclude_each_other() -> None:
    # G4 on the D string under the first finger is third position, not first.
    asked = Constraint(frozenset({1}), frozenset({3}), frozenset({1}))
    (found,) = left_over(read_passage("G4"), asked)
    assert found.cause is ViolationCause.AT_ODDS
    assert len(found.kinds) == 1


def test_chord_in_which_one_finger_is_asked_for_twice() -> None:
    # A sixth is taken by neighbouring fingers (common practice); one finger reaches only a fifth across two strings.
    found = left_over(read_passage("[G4 E5]"), fingers(2), fingers(2))
    assert len(found) == 1
    assert found[0].cause is ViolationCause.CHORD
    assert len(found[0].against) == 1


def test_note_below_the_compass() -> None:
    (found,) = left_over(read_passage("F3"), fingers(1))
    assert found.cause is ViolationCause.NO_NOTE


def test_what_can_be_kept_is_not_reported() -> None:
    assert left_over(read_passage("D4 E4 F#4 [D4 B4]"), fingers(0), fingers(1), fingers(2)) == ()


@pytest.mark.parametrize(
    ("names", "asked"),
    [
        # Printed in Paganini's first caprice (Mutopia Project): fingers a semitone closer or wider than the frame.
        (("A#4", "E5", "C6"), (3, 2, 4)),
        (("A4", "G5", "E6"), (2, 3, 4)),
    ],
)
def test_chords_that_editions_print_have_a_grip_when_asked_for(names: tuple[str, ...], asked: tuple[int, ...]) -> None:
    grips = grips_for(tuple(map(Pitch.named, names)), VIOLIN, ALL.positions, True)
    assert asked in {tuple(stop.finger for stop in grip.stops) for grip in grips}
    decided = [fingers(finger) for finger in asked]
    assert left_over(read_passage(f"[{' '.join(names)}]"), *decided) == ()
