"""Printed marks and pins bind the plan; what cannot be kept is said."""

from __future__ import annotations

from dataclasses import replace

from rules import (
    ALL,
    FIRST,
    Constraint,
    Pin,
    Plan,
    Printed,
    cheapest_route,
    constraint_violations,
    decisions_with_pins,
    printed_decisions,
)
from tests.notation import read_passage


def with_printed(text: str, **printed: Printed):  # type: ignore[no-untyped-def]
    """A passage with printed marks on some events: `e1=Printed(...)`."""
    passage = read_passage(text)
    events = list(passage.events)
    for name, marks in printed.items():
        index = int(name[1:])
        events[index] = replace(events[index], notes=(replace(events[index].notes[0], printed=marks),))
    return replace(passage, events=tuple(events))


def test_printed_finger_binds_and_leaves_the_level_if_it_must() -> None:
    passage = with_printed("D5:1 E5:1", e0=Printed(fingers=(1,)))
    plan = Plan(passage, FIRST, cheapest_route(passage, FIRST, decisions=printed_decisions(passage)))
    stop = plan.fingered_notes[0].stop
    assert stop is not None
    assert stop.finger == 1
    assert constraint_violations(plan, printed_decisions(passage)) == ()


def test_finger_that_cannot_sound_the_note_is_reported_and_the_rest_is_kept() -> None:
    passage = with_printed("G3:1 A3:1 B3:1", e0=Printed(fingers=(3,)), e2=Printed(fingers=(2,)))
    decisions = printed_decisions(passage)
    plan = Plan(passage, ALL, cheapest_route(passage, ALL, decisions=decisions))
    assert [u.event for u in constraint_violations(plan, decisions)] == [0]
    assert plan.fingered_notes[2].stop is not None
    assert plan.fingered_notes[2].stop.finger == 2


def test_sul_binds_stopped_notes_to_the_string() -> None:
    passage = read_passage("D4:1 E4:1 F#4:1")
    events = tuple(replace(event, string=4) for event in passage.events)
    passage = replace(passage, events=events)
    plan = Plan(passage, ALL, cheapest_route(passage, ALL, decisions=printed_decisions(passage)))
    assert {fingered.stop.string for fingered in plan.fingered_notes if fingered.stop} == {4}


def test_pin_wins_over_a_printed_mark_on_the_same_note() -> None:
    passage = with_printed("A4:1 B4:1", e0=Printed(fingers=(0,)))
    decisions = decisions_with_pins(
        passage, [Pin(Constraint(fingers=frozenset({4})), row=0)], printed_decisions(passage)
    )
    plan = Plan(passage, FIRST, cheapest_route(passage, FIRST, decisions=decisions))
    assert plan.fingered_notes[0].stop is not None
    assert plan.fingered_notes[0].stop.finger == 4


def test_pin_on_bars_keeps_the_hand_in_a_position() -> None:
    passage = read_passage("D5:1 E5:1 F#5:1 G5:1 | D5:1 E5:1 F#5:1 G5:1")
    decisions = decisions_with_pins(passage, [Pin(Constraint(positions=frozenset({3})), measures=(1, 1))], {})
    plan = Plan(passage, ALL, cheapest_route(passage, ALL, decisions=decisions))
    assert {fingered.position for fingered in plan.fingered_notes[4:]} <= {3, None}


def test_two_pins_on_one_note_add_up() -> None:
    passage = read_passage("A4:1 B4:1")
    pins = [Pin(Constraint(fingers=frozenset({4})), row=0), Pin(Constraint(strings=frozenset({3})), row=0)]
    decisions = decisions_with_pins(passage, pins, {})
    assert decisions[passage.events[0].notes[0].id] == Constraint(frozenset({4}), frozenset({3}), None)


def test_hand_waits_over_an_open_string_where_it_was_decided_to_be() -> None:
    passage = read_passage("D5:1 A4:1 E5:1")
    decisions = decisions_with_pins(passage, [Pin(Constraint(positions=frozenset({3})), measures=(0, 0))], {})
    first = next(note for note in passage.notes if note.pitch.name == "A4")
    decisions = {**decisions, first.id: Constraint(frozenset({0}), None, frozenset({3}))}
    plan = Plan(passage, FIRST, cheapest_route(passage, FIRST, decisions=decisions))
    assert [grip.position for grip in plan.grips if grip] == [3, 3, 3]
    assert plan.shifts == ()
