"""Second opinions on excursions, and the pins that bring them about."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rules import (
    ALL,
    FIRST,
    FIRST_AND_THIRD,
    TO_FIFTH,
    AlternativeKind,
    Explanation,
    Level,
    Plan,
    cheapest_route,
    decisions_with_pins,
    explain,
    figures,
    propose,
)
from rules.proposal.alternatives import MARGIN, _ExcursionWindow
from rules.proposal.window import Window
from tests.notation import plan_with_stops, read_passage

REACHING = "D4:1 E4 F#4 G4 | A5:1/2 B5 C#6 D6 C#6 B5 A5 D6 | G4:1 F#4 E4 D4"
TURNING = "G4:1 F#4 E4 D4 | (A4:1/4 D5 A4 D5) (G4 D5 G4 D5) (A4 D5 A4 D5) (C5 D5 C5 B4) | G4:1 F#4 E4 D4"


def explained(text: str, level: Level = FIRST_AND_THIRD) -> Explanation:
    return explain(propose(read_passage(text, fifths=2), level))


def test_what_first_position_does_not_reach_has_no_way_to_stay() -> None:
    for found in explained(REACHING, TO_FIFTH).proposals:
        kinds = [other.kind for other in found.alternatives]
        assert AlternativeKind.STAY not in kinds
        assert 1 <= len(kinds) <= 2


@pytest.mark.parametrize("text", [REACHING, TURNING])
@pytest.mark.parametrize("level", [FIRST_AND_THIRD, TO_FIFTH, ALL], ids=lambda level: level.name)
def test_pins_bring_the_other_way_about(text: str, level: Level) -> None:
    """Planned anew with the pins of an alternative, the part is fingered as it says and costs as much more."""
    passage = read_passage(text, fifths=2)
    planned = propose(passage, level)
    for found in explain(planned).proposals:
        for other in found.alternatives:
            again = propose(passage, level, decisions=decisions_with_pins(passage, other.pins, {}))
            counted = figures(again.plan, other.first, other.last)
            assert counted == other.figures
            positions = [s.position for s in again.plan.spans if s.position != 1 and other.first <= s.last]
            assert tuple(positions) == other.positions
            assert again.plan.route.effort == pytest.approx(planned.plan.route.effort + other.rise)


def test_alternatives_cost_no_less_and_come_in_order() -> None:
    for text in (REACHING, TURNING):
        for found in explained(text, TO_FIFTH).proposals:
            rises = [other.rise for other in found.alternatives]
            assert rises == sorted(rises)
            assert all(rise >= 0 for rise in rises)


def test_what_is_told_of_an_alternative_is_that_of_the_two_plans() -> None:
    kinds = set()
    for text in (REACHING, f"A4:1 B4 A4 B4 | {REACHING} | {REACHING}"):
        found = explained(text, TO_FIFTH)
        for each in found.proposals:
            own = each.proposal.excursion
            for other in each.alternatives:
                # The shift into the first event of the music compared belongs to what comes before.
                proposed = figures(found.plan, other.first, other.last)
                assert replace(other.proposed, shifts=proposed.shifts) == proposed
                assert other.proposed.shifts in (proposed.shifts, proposed.shifts - 1)
                used = {position for position in own.positions if position != 1}
                same = set(other.positions) == used
                assert (other.kind is AlternativeKind.PLACE) == same
                assert (other.kind is AlternativeKind.POSITION) == (not same and other.positions != ())
                kinds.add(other.kind)
    assert kinds


def test_a_pin_names_finger_and_string_and_for_a_stop_the_position() -> None:
    pins = [
        pin for each in explained(REACHING, TO_FIFTH).proposals for other in each.alternatives for pin in other.pins
    ]
    assert pins
    for pin in pins:
        (finger,) = pin.constraint.fingers or ()
        assert len(pin.constraint.strings or ()) == 1
        assert pin.constraint.positions is None if finger == 0 else len(pin.constraint.positions or ()) == 1


def test_each_alternative_goes_through_other_positions_or_shifts_elsewhere() -> None:
    for found in explained(REACHING, TO_FIFTH).proposals:
        own = found.proposal.excursion
        mine = {(s.arrival, s.goal) for s in own.shifts}
        for other in found.alternatives:
            theirs = {(s.arrival, s.goal) for s in other.shifts}
            assert other.positions != own.positions or theirs != mine


BETWEEN = "B4:1/2 D5 E5 B4 C#5 B4 D5 E5 B4 C#5 B4 D5 E5 B4 C#5 D5 C#5 B4 C#5 D5 B4"
STOPS = "A1 A1 A2 A1 A2 A1 A1 A2 A1 A2 A1 A1 A2 A1 A2 A3 A2 A1 A2 A3 A1"
"""First position, and three times third position for two notes, three notes apart."""


def test_the_window_of_an_excursion_ends_before_its_neighbours_begin() -> None:
    plan = plan_with_stops(read_passage(BETWEEN, fifths=2), STOPS)
    before, own, after = plan.excursions
    assert [(each.first, each.last) for each in plan.excursions] == [(1, 2), (6, 7), (11, 12)]
    window = _ExcursionWindow.around(plan, own)
    assert (window.first, window.last) == (before.last + 1, after.first - 1)
    assert window.taken(plan) == plan.route.chosen[3:11]
    assert window.labels(plan, window.taken(plan)) == [1, 1, 1, 3, 3, 1, 1, 1]
    assert _ExcursionWindow.around(plan, before).last == own.first - 1
    last = _ExcursionWindow.around(plan, after)
    assert (last.first, last.last) == (own.last + 1, after.last + MARGIN)


def test_before_the_first_finger_is_down_no_position_can_be_told() -> None:
    plan = plan_with_stops(read_passage("A4:1/2 E5 B4 A4 D5 E5 B4", fifths=2), "A0 E0 A1 A0 A1 A2 A1")
    window = _ExcursionWindow.around(plan, plan.excursions[0])
    assert window.first == 0
    assert window.labels(plan, window.taken(plan))[:3] == [None, None, 1]
    later = _ExcursionWindow.around(plan, plan.excursions[0], margin=3)
    assert later.first == 1
    assert later.labels(plan, later.taken(plan))[0] == 1


def test_a_window_is_held_at_its_ends_where_the_music_goes_on() -> None:
    passage = read_passage("B4:1/2 C7 C#5 B4 C#5 C7 B4 C7", fifths=2)
    plan = Plan(passage, FIRST, cheapest_route(passage, FIRST))
    chosen = plan.route.chosen
    assert [event for event, index in enumerate(chosen) if index < 0] == [1, 5, 7]
    cases = {
        (2, 4): (2, 4, {2, 4}),
        (1, 5): (0, 6, {6}),
        (-3, 3): (0, 3, {3}),
        (3, 20): (3, 7, {3}),
        (6, 7): (6, 7, {6}),
    }
    for (low, high), (first, last, ends) in cases.items():
        window = Window.between(plan, low, high, chosen)
        assert (window.first, window.last, set(window.ends)) == (first, last, ends)
        assert len(window.as_plan(plan, window.taken(plan)).passage.events) == last + 1 - first
    assert set(Window.between(plan, 1, 3, (0,) * 8).ends) == {1, 3}


@pytest.mark.parametrize("level", [FIRST_AND_THIRD, ALL], ids=lambda level: level.name)
def test_another_way_tells_how_it_takes_the_notes_and_where_it_costs_more(level: Level) -> None:
    passage = read_passage(REACHING, fifths=2)
    planned = propose(passage, level)
    looked_at = 0
    for found in explain(planned).proposals:
        for other in found.alternatives:
            looked_at += 1
            again = propose(passage, level, decisions=decisions_with_pins(passage, other.pins, {}))
            assert {id: again.plan.by_note[id].stop for id in other.stops} == other.stops
            # What is dearer outweighs what is cheaper by as much as the way costs more.
            assert sum(other.dearer.values()) >= other.rise - 1e-9
            assert list(other.dearer.values()) == sorted(other.dearer.values(), reverse=True)
    assert looked_at
