"""Ways that are looked for side by side are those that are found one by one."""

from __future__ import annotations

from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.typing import NDArray

from rules import ALL, FIRST_AND_THIRD, Level, RouteSearch, cheapest_route
from rules.search import k_best
from rules.search.consensus import agreed_path, temperatures
from rules.search.k_best import Question, RouteSegment
from rules.search.shortest_path import cheapest_path
from rules.search.side_by_side import Chain, least_to_the_end, paths_side_by_side
from rules.search.stage_arrays import StageArrays
from tests.notation import read_passage

Array = NDArray[np.float64]
MUSIC = "E5:1/2 F#5 G5 A5 B5 C6 B5 A5 [D4 B4]:1 G4:1/2 A4 R:1 B4:1/2 (C5 D5 E5) A7 F#5 [G3 D4 B4 G5]:1 D6:1/2 E6 G5 E5"


@st.composite
def _chains(draw: st.DrawFn) -> tuple[list[Array], list[list[Array]], list[range]]:
    """The ways of a part, and some chains through it with what their states cost; states may be shut off."""
    sizes = draw(st.lists(st.integers(1, 5), min_size=2, max_size=8))
    effort = st.integers(-40, 160).map(lambda n: n / 16)
    open_or_not = st.one_of(effort, st.just(np.inf))
    ways = [draw(arrays(np.float64, both, elements=open_or_not)) for both in pairwise(sizes)]
    stages = draw(
        st.lists(
            st.tuples(st.integers(0, len(sizes) - 1), st.integers(1, len(sizes))).map(
                lambda two: range(two[0], min(two[0] + two[1], len(sizes)))
            ),
            min_size=1,
            max_size=6,
        )
    )
    holds = [[draw(arrays(np.float64, sizes[stage], elements=open_or_not)) for stage in each] for each in stages]
    return ways, holds, stages


def _alike(hold: Array) -> NDArray[np.intp]:
    return np.arange(len(hold)) // 2 * 2


@settings(max_examples=120)
@given(_chains())
def test_paths_and_their_costs_are_those_of_each_chain_alone(
    drawn: tuple[list[Array], list[list[Array]], list[range]],
) -> None:
    ways, each, stages = drawn
    chains = [Chain(range_, holds, list(map(_alike, holds))) for range_, holds in zip(stages, each, strict=True)]
    slow = temperatures(np.arange(len(ways) + 1) % 3 / 2)
    for agreed, temperature in ((False, None), (True, None), (True, slow)):
        found = paths_side_by_side(chains, StageArrays.of(ways), agreed, temperature)
        for chain, (path, cost) in zip(chains, found, strict=True):
            own = [ways[stage - 1] for stage in chain.stages[1:]]
            if agreed:
                with np.errstate(invalid="ignore"):  # all states of a stage may be shut off
                    there = None if temperature is None else temperature[list(chain.stages)]
                    alone = agreed_path(chain.holds, own, chain.alike, there)
            else:
                alone = cheapest_path(chain.holds[0], zip(own, chain.holds[1:], strict=True))
            if np.isfinite(alone[1]):
                assert (path, cost) == alone
            else:
                assert not np.isfinite(cost)


@settings(max_examples=60)
@given(_chains())
def test_what_is_left_to_the_end_is_the_least_of_all_routes(
    drawn: tuple[list[Array], list[list[Array]], list[range]],
) -> None:
    ways, each, stages = drawn
    chains = [Chain(range_, holds, list(map(_alike, holds))) for range_, holds in zip(stages, each, strict=True)]
    for chain, rests in zip(chains, least_to_the_end(chains, StageArrays.of(ways)), strict=True):
        assert [len(rest) for rest in rests] == [len(hold) for hold in chain.holds]
        last = len(chain.holds) - 1
        own = [ways[stage - 1] for stage in chain.stages[1:]]
        for first in range(max(last - 3, 0), last + 1):
            for state, rest in enumerate(rests[first]):
                ends = product(*[range(len(hold)) for hold in chain.holds[first + 1 :]])
                sums = [
                    sum(
                        own[stage][a, b] + chain.holds[stage + 1][b]
                        for stage, (a, b) in enumerate(pairwise((state, *end)), start=first)
                    )
                    for end in ends
                ]
                assert rest == min(sums)


@pytest.mark.parametrize("tempo", [96.0, 40.0])
@pytest.mark.parametrize("level", [FIRST_AND_THIRD, ALL], ids=lambda level: level.name)
def test_the_planner_answers_many_questions_as_it_answers_each(
    level: Level, tempo: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With all grips, with some only, where one has no way, and past a note that has no grip."""
    passage = read_passage(MUSIC, tempo=tempo)
    route = cheapest_route(passage, level)
    routes = RouteSearch(passage, route.options, level)
    last = len(passage.events) - 1
    questions: list[Question] = []
    for first, end in ((0, last), (3, 12), (3, 12), (0, 0), (10, last), (2, 5)):
        questions.append((first, end, {}))
        for event in range(first, end + 1, 2):
            grips = range(len(route.options[event].grips))
            questions.append((first, end, {event: frozenset(grips[1::2])}))
        questions.append((first, end, {end: frozenset()}))
    alone = [routes.planned(*question) for question in questions]
    assert None in alone, "one of the questions has no answer"
    assert len({way for way in alone if way is not None}) > 10
    assert routes.planned_each(questions) == alone
    monkeypatch.setattr("rules.search.side_by_side.MOST_NUMBERS", 1)  # each by itself after all
    assert routes.planned_each(questions) == alone
    assert routes.planned_each(questions[: k_best.FEW_QUESTIONS]) == alone[: k_best.FEW_QUESTIONS]
    assert routes.planned_each([]) == []


def test_where_nothing_can_be_sounded_the_answer_is_no_grip_at_all() -> None:
    passage = read_passage("A7:1 A7 B4 A7")
    routes = RouteSearch(passage, cheapest_route(passage, FIRST_AND_THIRD).options, FIRST_AND_THIRD)
    found = routes.planned_each([(0, 1, {}), (0, 3, {}), (3, 3, {}), (2, 2, {}), (1, 3, {})])
    assert found[0] == RouteSegment((-1, -1), 0.0)
    assert found[2] == RouteSegment((-1,), 0.0)
    assert found[1] is not None
    assert found[1].chosen[2] >= 0
    assert [list(ways) for ways in routes.cheapest_first_each([(0, 1, {}), (3, 3, {})])] == [[found[0]], [found[2]]]
