"""The curve of difficulty by bar."""

from __future__ import annotations

import pytest

from rules import (
    ALL,
    FIRST_AND_THIRD,
    Aspect,
    BarDifficulty,
    Plan,
    RouteSearch,
    aspect_of,
    cheapest_route,
    difficulty_by_bar,
    hardest,
)
from tests.notation import plan_with_stops, read_passage, with_tempo
from tests.reference.route_effort import effort_of

EASY_THEN_HARD = "D4:2 E4 | D4:1/4 D5 E4 E5 F4 F5 G4 G5 | R:4 | D4:4"


def curve_of(tempo: float = 96.0) -> tuple[Plan, RouteSearch]:
    passage = with_tempo(read_passage(EASY_THEN_HARD), tempo)
    plan = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD))
    return plan, RouteSearch(passage, plan.route.options, FIRST_AND_THIRD)


def test_bars_add_up_to_the_effort_of_the_plan_without_its_tone() -> None:
    plan, routes = curve_of()
    tone = sum(
        value
        for items in effort_of(plan.passage, plan.route, FIRST_AND_THIRD)
        for name, value in items.items()
        if aspect_of(name) is Aspect.TONE
    )
    assert tone
    found = sum(bar.effort for bar in difficulty_by_bar(plan, routes))
    assert found == pytest.approx(plan.route.effort - tone)


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


def test_a_very_short_bar_counts_as_a_quarter_of_a_second() -> None:
    def per_second(seconds: float) -> float:
        return BarDifficulty(0, 1.0, seconds, 0, 0, 0).per_second

    assert [per_second(seconds) for seconds in (0.0, 0.24, 0.25, 0.5)] == [4.0, 4.0, 4.0, 2.0]


def test_the_three_hardest_bars_are_named_the_hardest_first_and_none_without_effort() -> None:
    def bar(measure: int, effort: float) -> BarDifficulty:
        return BarDifficulty(measure, effort, 1.0, 0, 0, 0)

    curve = [bar(0, 1.0), bar(1, 3.0), bar(2, 0.0), bar(3, 3.0), bar(4, 2.0)]
    assert [found.measure for found in hardest(curve)] == [1, 3, 4]
    assert [found.measure for found in hardest(curve, 9)] == [1, 3, 4, 0]


def test_a_bar_counts_its_shifts_crossings_and_hard_grips() -> None:
    passage = read_passage("B4:1 E4 | D5:2 | B5:2 | E4:1/2 Bb4 E4 G3")
    plan = plan_with_stops(passage, "A1 D1 A1 E4 D1 A1 D1 G0")
    curve = difficulty_by_bar(plan, RouteSearch(passage, plan.route.options, ALL))
    assert [bar.shifts for bar in curve] == [0, 1, 1, 0]
    assert [bar.crossings for bar in curve] == [1, 1, 1, 4]
    assert [bar.hard_grips for bar in curve] == [0, 0, 0, 2]  # a long note under the fourth finger is no hard grip
    assert [bar.seconds for bar in curve] == pytest.approx([1.25, 1.25, 1.25, 1.25])


def test_difficulty_counts_the_hand_and_not_the_tone() -> None:
    """A held open string sounds bare; it is not hard to play."""
    short, held = (read_passage(f"A4:{beats}", tempo=40) for beats in ("1/2", "4"))
    for passage in (short, held):
        plan = plan_with_stops(passage, "A0")
        curve = difficulty_by_bar(plan, RouteSearch(passage, plan.route.options, ALL))
        assert [bar.effort for bar in curve] == [0.0]
    plan = plan_with_stops(held, "A0")
    assert sum(RouteSearch(held, plan.route.options, ALL).effort_by_event(plan.route.chosen)) > 0
