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


THIRD = Constraint(positions=frozenset({3}))


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


def test_a_violation_tells_the_note_and_what_was_asked() -> None:
    passage = read_passage("D4 F#4 E4")
    asked = fingers(0)
    (found,) = left_over(passage, None, asked)
    assert (found.event, found.note, found.constraint, found.against) == (1, passage.notes[1].id, asked, ())


def test_a_hand_that_had_to_move_is_reported_where_it_was_to_stay() -> None:
    # Each of the two costs one constraint; only the first of them can be kept with the low note.
    passage = read_passage("D5 A3")
    decisions = {passage.notes[0].id: THIRD, passage.notes[1].id: Constraint(stay=True)}
    plan = Plan(passage, ALL, cheapest_route(passage, ALL, decisions={passage.notes[0].id: THIRD}))
    (found,) = constraint_violations(plan, decisions)
    assert (found.event, found.kinds, found.cause) == (1, (ConstraintKind.STAY,), ViolationCause.NO_STOP)


def test_the_hand_is_where_it_was_before_a_note_that_cannot_be_sounded() -> None:
    passage = read_passage("D5 F3 A3")
    plan = Plan(passage, ALL, cheapest_route(passage, ALL, decisions={passage.notes[0].id: THIRD}))
    found = constraint_violations(plan, {passage.notes[2].id: Constraint(stay=True)})
    assert [(one.event, one.kinds) for one in found] == [(2, (ConstraintKind.STAY,))]


def test_an_open_string_breaks_no_position() -> None:
    assert left_over(read_passage("D5 A4"), None, Constraint(frozenset({0}), None, frozenset({3}))) == ()


def test_of_a_note_that_cannot_be_sounded_everything_asked_is_broken() -> None:
    (found,) = left_over(read_passage("F3"), Constraint(frozenset({1}), frozenset({4}), frozenset({1})))
    assert found.kinds == (ConstraintKind.FINGER, ConstraintKind.STRING, ConstraintKind.POSITION)


def test_a_chord_names_the_notes_that_stand_in_the_way() -> None:
    passage = read_passage("[G4 E5]")
    (found,) = left_over(passage, fingers(2), fingers(2))
    assert {found.note, *found.against} == {note.id for note in passage.notes}
