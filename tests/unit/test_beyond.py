"""Notes beyond the level, and what shares a slur with them."""

from __future__ import annotations

from rules import FIRST, FIRST_AND_THIRD, Plan, cheapest_route
from rules.slurs import slurred_with
from tests.notation import read_passage

FIGURE = "A5:1 R:1 | (D6:1/4 G6 F6 E6 D6) R:1 A5:1"


def test_a_figure_that_leaves_the_level_stays_in_one_place() -> None:
    passage = read_passage(FIGURE, fifths=-1)
    plan = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD))
    positions = {plan.rows[row].position for row in range(1, 6)}
    assert len(positions) == 1
    assert positions.isdisjoint(FIRST_AND_THIRD.positions)
    assert [option.beyond for option in plan.route.options[1:6]] == [False, True, True, False, False]
    assert plan.rows[6].position in FIRST_AND_THIRD.positions


def test_the_level_of_one_position_is_what_it_says() -> None:
    passage = read_passage(FIGURE, fifths=-1)
    plan = Plan(passage, FIRST, cheapest_route(passage, FIRST))
    assert not any(option.follows for option in plan.route.options)


def test_slurs_are_told_by_their_events() -> None:
    events = read_passage("D4:1 (E4 F4 G4) A4 (B4 C5)").events
    which = [note in {2, 6} for note in range(len(events))]
    assert list(slurred_with(events, which)) == [(1, [2]), (3, [2]), (5, [6])]
    assert list(slurred_with(events, [False] * len(events))) == []
