"""Where the hand may wait, and that there is always a route."""

from __future__ import annotations

import math

import pytest

from rules import (
    ALL,
    FIRST,
    FIRST_AND_THIRD,
    Constraint,
    Level,
    Pin,
    Plan,
    cheapest_route,
    decisions_with_pins,
)
from tests.notation import read_passage


@pytest.mark.parametrize("level", [FIRST, FIRST_AND_THIRD, ALL])
@pytest.mark.parametrize(
    "text", ["F#6:1 E5:1 F5:1", "A7:1 E5:1 G3:1 A7:1", "[G3 D4]:1 C7:1 [A4 E5]:1 [G3 D4 B4 G5]:1 D4:1"]
)
def test_there_is_a_route_from_beyond_the_level_over_open_strings(level: Level, text: str) -> None:
    passage = read_passage(text)
    route = cheapest_route(passage, level)
    assert math.isfinite(route.effort)
    left_out = [option.left_out for option in route.options]
    assert any(left_out) is level.learner
    assert all((f.stop is None) == left_out[f.event] for f in Plan(passage, level, route).fingered_notes)


def test_hand_does_not_move_towards_an_open_string_that_it_can_wait_for() -> None:
    passage = read_passage("D5:1 E5:1 A4:1 A4:1 B4:1")
    route = cheapest_route(passage, FIRST_AND_THIRD)
    positions = [grip.position for grip in map(route.grip, range(5)) if grip]
    opened = [index for index in range(1, 5) if (grip := route.grip(index)) and grip.is_open]
    assert all(positions[index] == positions[index - 1] for index in opened)


@pytest.mark.parametrize("position", [7, 8, 9, 10])
def test_a_hand_that_is_too_high_to_wait_goes_to_an_open_string_at_once(position: int) -> None:
    """Also where a finger would have its note up there: the first finger has E5 in eighth position on the D string."""
    high = {7: "E6", 8: "F6", 9: "G6", 10: "A6"}[position]
    passage = read_passage(f"{high}:1 E5:1 F5:1")
    stops = {0: (1, 1, position), 1: (0, 1, None), 2: (1, 1, 1)}
    pins = [
        Pin(Constraint(frozenset({finger}), frozenset({string}), frozenset({place}) if place else None), row=row)
        for row, (finger, string, place) in stops.items()
    ]
    route = cheapest_route(passage, ALL, decisions=decisions_with_pins(passage, pins, {}))
    grips = [grip for index in range(3) if (grip := route.grip(index))]
    assert [grip.stops[0].finger for grip in grips] == [1, 0, 1]
    assert (grips[0].position, grips[2].position) == (position, 1)


def test_nothing_to_play_costs_nothing() -> None:
    assert cheapest_route(read_passage("R:4"), ALL).effort == 0
