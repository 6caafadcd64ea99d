"""What given grips cost, and events at which nothing can be played."""

from __future__ import annotations

import pytest

from rules import FIRST, FIRST_AND_THIRD, RouteSearch, cheapest_route
from rules.search.k_best import RouteSegment
from tests.notation import read_passage

HOLE = read_passage("E5:1 A7:1 B4:1 D5:1")
"""The second note is beyond the level, and no plan has a grip for it."""


@pytest.fixture
def routes() -> RouteSearch:
    return RouteSearch(HOLE, cheapest_route(HOLE, FIRST).options, FIRST)


def test_a_note_without_a_grip_costs_nothing_and_the_way_goes_past_it(routes: RouteSearch) -> None:
    route = cheapest_route(HOLE, FIRST)
    assert route.chosen[1] == -1
    by_event = routes.effort_by_event(route.chosen)
    assert by_event[1] == 0
    assert sum(by_event) == route.effort == routes.effort(0, 3, route.chosen)
    assert routes.items(1, route.chosen) == {}
    assert sum(routes.items(2, route.chosen).values()) == by_event[2]


def test_where_nothing_can_be_played_there_is_one_way_without_effort(routes: RouteSearch) -> None:
    nothing = RouteSegment((-1,), 0.0)
    assert routes.planned(1, 1, {}) == nothing
    assert list(routes.cheapest_first(1, 1)) == [nothing]


def test_an_event_without_a_permitted_grip_has_no_way(routes: RouteSearch) -> None:
    assert routes.planned(0, 3, {2: frozenset()}) is None
    assert list(routes.cheapest_first(0, 3, {2: frozenset()})) == []


def test_a_part_of_notes_without_grips_costs_nothing() -> None:
    passage = read_passage("A7:1 A7")
    route = cheapest_route(passage, FIRST_AND_THIRD)
    routes = RouteSearch(passage, route.options, FIRST_AND_THIRD)
    assert routes.effort(0, 1, route.chosen) == 0
    assert routes.effort_by_event(route.chosen) == [0, 0]
    assert routes.items(0, route.chosen) == {}
    assert routes.planned(0, 1, {}) == RouteSegment((-1, -1), 0.0)
