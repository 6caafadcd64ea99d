"""Where the hand may wait, and that there is always a route."""

from __future__ import annotations

import math

import pytest

from rules import ALL, FIRST, FIRST_AND_THIRD, Level, Plan, cheapest_route
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


def test_nothing_to_play_costs_nothing() -> None:
    assert cheapest_route(read_passage("R:4"), ALL).effort == 0
