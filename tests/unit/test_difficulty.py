"""The curve of difficulty by bar."""

from __future__ import annotations

import pytest

from rules import FIRST_AND_THIRD, Plan, RouteSearch, cheapest_route, difficulty_by_bar, effort_of, hardest
from tests.notation import read_passage, with_tempo

EASY_THEN_HARD = "D4:2 E4 | D4:1/4 D5 E4 E5 F4 F5 G4 G5 | R:4 | D4:4"


def curve_of(tempo: float = 96.0) -> tuple[Plan, RouteSearch]:
    passage = with_tempo(read_passage(EASY_THEN_HARD), tempo)
    plan = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD))
    return plan, RouteSearch(passage, plan.route.options, FIRST_AND_THIRD)


def test_bars_add_up_to_the_effort_of_the_plan() -> None:
    plan, routes = curve_of()
    assert sum(bar.effort for bar in difficulty_by_bar(plan, routes)) == pytest.approx(plan.route.effort)


def test_efforts_by_event_agree_with_the_itemised_ones() -> None:
    plan, routes = curve_of()
    itemised = effort_of(plan.passage, plan.route, FIRST_AND_THIRD)
    assert routes.effort_by_event(plan.route.chosen) == pytest.approx([sum(items.values()) for items in itemised])
    assert [routes.items(t, plan.route.chosen) for t in range(len(itemised))] == list(itemised)


def test_hardest_bar_is_the_one_that_leaps() -> None:
    plan, routes = curve_of()
    curve = difficulty_by_bar(plan, routes)
    assert [bar.measure for bar in curve] == [0, 1, 3]
    assert hardest(curve)[0].measure == 1
    assert all(bar.effort > 0 for bar in hardest(curve, 9))


def test_faster_is_harder() -> None:
    slow, fast = (difficulty_by_bar(*curve_of(tempo))[1].per_second for tempo in (40.0, 120.0))
    assert fast > slow
