"""The k best routes against two other ways of finding them: listing every route, and networkx on the same graph."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import islice, pairwise, product

import networkx
import pytest

from rules import (
    FIRST_AND_THIRD,
    TO_THIRD,
    Constraint,
    Grip,
    Level,
    Passage,
    Plan,
    Route,
    RouteSearch,
    cheapest_route,
)
from tests.notation import read_passage
from tests.reference.route_effort import effort_of

SHORT = {
    "scale": "D4:1/2 E4 F#4 G4 A4",
    "leap over strings": "G4:1 E5 B4 G5:1/2",
    "double stops": "[D4 B4]:1 E5:1/2 [C#5 A5]:1",
    "open string between": "B4:1/4 A4 D5 F5",
    "slur": "(E4:1/2 A4) (C5 F5)",
}


def route_search(passage: Passage, level: Level) -> tuple[RouteSearch, Plan]:
    """Return all ways through a passage, and its cheapest plan."""
    plan = Plan(passage, level, cheapest_route(passage, level))
    return RouteSearch(passage, plan.route.options, level), plan


def all_routes(passage: Passage, plan: Plan, level: Level) -> list[tuple[float, tuple[int, ...]]]:
    """Return every route with its effort, added up from the itemised costs; forbidden moves left out."""
    options = plan.route.options
    found = []
    for chosen in product(*(range(len(option.grips)) for option in options)):
        grips = [option.grips[i] for option, i in zip(options, chosen, strict=True)]
        if any(a.position != b.position and b.is_open for a, b in pairwise(grips)):
            continue
        items = effort_of(passage, Route(options, chosen, 0.0), level)
        found.append((sum(sum(item.values()) for item in items), chosen))
    return sorted(found)


@pytest.mark.parametrize("text", SHORT.values(), ids=SHORT)
def test_routes_come_in_the_order_of_an_enumeration(text: str) -> None:
    """Against the list of all routes, each priced by `effort_of`; efforts are compared, ties may be ordered freely."""
    passage = read_passage(text)
    routes, plan = route_search(passage, FIRST_AND_THIRD)
    expected = all_routes(passage, plan, FIRST_AND_THIRD)
    found = list(routes.cheapest_first(0, len(passage.events) - 1))
    assert len(found) == len(expected)
    assert [segment.effort for segment in found] == pytest.approx([effort for effort, _ in expected])
    assert {segment.chosen for segment in found} == {chosen for _, chosen in expected}
    assert found[0].effort == pytest.approx(plan.route.effort)


def graph_of(passage: Passage, plan: Plan, routes: RouteSearch) -> networkx.DiGraph:
    """Return the routes as a graph: an edge weighs the way to a grip and its holding."""
    graph = networkx.DiGraph()
    options = plan.route.options
    for event, option in enumerate(options):
        for j in range(len(option.grips)):
            hold = routes.effort(event, event, {event: j})
            if event == 0:
                graph.add_edge("start", (0, j), weight=hold)
            for i in range(len(options[event - 1].grips)) if event else ():
                both = routes.effort(event - 1, event, {event - 1: i, event: j})
                weight = both - routes.effort(event - 1, event - 1, {event - 1: i})
                if weight < float("inf"):
                    graph.add_edge((event - 1, i), (event, j), weight=weight)
            if event == len(options) - 1:
                graph.add_edge((event, j), "end", weight=0.0)
    return graph


@pytest.mark.parametrize(
    "text",
    ["D5:1/2 E5 F#5 G5 A5 B5 C6 D6 A5 F#5 D5", "[B4 G5]:1 [A4 F5] (G5:1/2 A5) [C5 A5]:1 D6:1/4 B5 G5 E5"],
)
def test_the_twenty_best_agree_with_networkx(text: str) -> None:
    """networkx 3 `shortest_simple_paths` (Yen) on the same graph; weights are shifted to be positive, n edges each."""
    passage = read_passage(text)
    routes, plan = route_search(passage, TO_THIRD)
    graph = graph_of(passage, plan, routes)
    lift = 16.0
    for _, _, data in graph.edges(data=True):
        data["lifted"] = data["weight"] + lift
        assert data["lifted"] > 0
    paths = islice(networkx.shortest_simple_paths(graph, "start", "end", weight="lifted"), 20)
    expected = [networkx.path_weight(graph, path, "weight") for path in paths]
    found = [segment.effort for segment in islice(routes.cheapest_first(0, len(passage.events) - 1), 20)]
    assert found == pytest.approx(expected)


def by_position(grips: Sequence[Grip]) -> list[int | None]:
    """Label grips by the position of the hand; None where no finger tells."""
    return [None if grip.is_open else grip.position for grip in grips]


@pytest.mark.parametrize("text", SHORT.values(), ids=SHORT)
def test_labels_keep_the_cheapest_of_each_kind(text: str) -> None:
    """Against the list of all routes, grouped by the positions they go through."""
    passage = read_passage(text)
    routes, plan = route_search(passage, FIRST_AND_THIRD)
    cheapest: dict[tuple[int | None, ...], float] = {}
    for effort, chosen in all_routes(passage, plan, FIRST_AND_THIRD):
        labels = tuple(by_position(option.grips)[i] for option, i in zip(plan.route.options, chosen, strict=True))
        cheapest.setdefault(labels, effort)
    found = list(routes.cheapest_first(0, len(passage.events) - 1, labels=by_position))
    assert [segment.effort for segment in found] == pytest.approx(sorted(cheapest.values()))


def test_ends_can_be_held_fast() -> None:
    """A range between two given grips keeps them, and costs what the plan costs there when they are the plan's."""
    passage = read_passage("D5:1/2 E5 F#5 G5 A5 B5 C6 D6 A5 F#5 D5")
    routes, plan = route_search(passage, TO_THIRD)
    chosen = plan.route.chosen
    ends = {2: frozenset({chosen[2]}), 8: frozenset({chosen[8]})}
    best = next(routes.cheapest_first(2, 8, ends))
    assert (best.chosen[0], best.chosen[-1]) == (chosen[2], chosen[8])
    assert best.effort == pytest.approx(routes.effort(2, 8, chosen))


DECIDED = {
    "a pin that can be kept": {1: Constraint(fingers=frozenset({2}))},
    "a pin that no stop keeps": {0: Constraint(strings=frozenset({1})), 2: Constraint(fingers=frozenset({4}))},
    "a position and a hand that stays": {
        1: Constraint(positions=frozenset({3})),
        2: Constraint(stay=True),
        3: Constraint(stay=True),
    },
    "staying against a position": {
        2: Constraint(positions=frozenset({3})),
        3: Constraint(positions=frozenset({1}), stay=True),
    },
}


@pytest.mark.parametrize("wanted", DECIDED.values(), ids=DECIDED)
@pytest.mark.parametrize("text", ["D5:1/2 E5 F#5 G5", "E4:1/2 [B4 G5]:1 A4:1/2 D5"])
def test_decisions_are_kept_as_far_as_an_enumeration_can_keep_them(text: str, wanted: dict[int, Constraint]) -> None:
    """Against the list of all routes, decisions priced as `effort_of` itemises them; the planner's own route too."""
    passage = read_passage(text)
    decisions = {note.id: fixed for event, fixed in wanted.items() for note in passage.events[event].notes}
    plan = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD, decisions=decisions))
    routes = RouteSearch(passage, plan.route.options, FIRST_AND_THIRD)
    expected = [effort for effort, _ in all_routes(passage, plan, FIRST_AND_THIRD)]
    found = [segment.effort for segment in islice(routes.cheapest_first(0, len(passage.events) - 1), len(expected))]
    assert found == pytest.approx(expected)
    assert plan.route.effort == pytest.approx(expected[0])
