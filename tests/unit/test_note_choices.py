"""The ways to take one note: which there are, and that their price is that of the planner."""

from __future__ import annotations

import pytest

from rules import (
    ALL,
    FIRST,
    FIRST_AND_THIRD,
    TO_FIFTH,
    Constraint,
    Level,
    NoteChoice,
    Pin,
    decisions_with_pins,
    note_choices,
    propose,
    stops_for,
)
from tests.notation import read_passage

SHORT = "D4:1 E4 F#4 G4 | A4:1 B4 D5 C#5 | A4:2 D4"


def choices(text: str, row: int, level: Level = FIRST_AND_THIRD) -> tuple[NoteChoice, ...]:
    planned = propose(read_passage(text, fifths=2), level)
    return note_choices(planned.plan, row, planned.routes)


@pytest.mark.parametrize("level", [FIRST_AND_THIRD, TO_FIFTH, ALL], ids=lambda level: level.name)
@pytest.mark.parametrize("row", [0, 4, 8])
def test_the_price_is_what_planning_anew_with_the_choice_costs_more(level: Level, row: int) -> None:
    passage = read_passage(SHORT, fifths=2)
    part = propose(passage, level).first_position
    plan = part.memory.plan(level, {})
    for choice in note_choices(plan, row, part.memory.routes(plan)):
        own = level is ALL and choice.rise == 0  # There, one note made certain as it is can tip its neighbours.
        if own or not choice.within_level:
            continue
        at = None if choice.position is None else frozenset({choice.position})
        wish = Constraint(frozenset({choice.stop.finger}), frozenset({choice.stop.string}), at)
        again = part.memory.plan(level, decisions_with_pins(passage, [Pin(wish, row=row)], {}))
        rise = again.route.effort - plan.route.effort
        assert choice.rise == pytest.approx(rise)
        if level is not ALL:
            others = [event for event in range(len(plan.grips)) if event != row]
            moved = [event for event in others if again.grips[event].stops != plan.grips[event].stops]
            assert choice.changed == ((moved[0], moved[-1]) if moved else None)


@pytest.mark.parametrize("level", [FIRST_AND_THIRD, ALL], ids=lambda level: level.name)
def test_the_way_of_the_plan_costs_nothing_and_changes_nothing(level: Level) -> None:
    planned = propose(read_passage(SHORT, fifths=2), level)
    for row, fingered in enumerate(planned.plan.rows):
        first = note_choices(planned.plan, row, planned.routes)[0]
        assert first.rise == 0
        assert first.stop == fingered.stop
        assert first.changed is None
        assert first.planned == first.figures


def test_only_stops_that_sound_the_note_are_offered_the_level_s_own_first() -> None:
    passage = read_passage(SHORT, fifths=2)
    for row, note in enumerate(note for note in passage.notes if note.row is not None):
        found = choices(SHORT, row, FIRST)
        assert {choice.stop for choice in found} <= {stop for stop, _ in stops_for(note.pitch, passage.instrument)}
        within = [choice.within_level for choice in found]
        assert within == sorted(within, reverse=True)
        assert {choice.position for choice in found if choice.within_level} <= {None, 1}
        assert 1 not in {choice.position for choice in found if not choice.within_level}
        ways = [(choice.stop.string, choice.stop.finger) for choice in found]
        assert len(ways) == len(set(ways))
    assert {choice.position for choice in choices("D5:1 E5", 0, FIRST) if not choice.within_level} >= {2, 3}


def test_in_a_chord_and_below_the_instrument() -> None:
    both = choices("[D4 B4]:1 G4", 1, FIRST)
    assert all(choice.within_level for choice in both), "beyond the level only a note alone is offered"
    assert [choice.stop.finger for choice in both if choice.position == 1]
    assert choices("F3:1 G4", 0) == ()
