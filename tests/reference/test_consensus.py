"""Likelihood and doubt against lists of all routes, and what they are for."""

from __future__ import annotations

from itertools import pairwise, product
from math import exp, inf

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.typing import NDArray

from rules import ALL, Constraint, cheapest_route
from rules.cost.context import Character
from rules.search.consensus import (
    SHARE,
    TEMPERATURE,
    TEMPERATURE_IF_SLOW,
    agreed_path,
    doubts,
    likelihoods,
    temperatures,
)
from tests.notation import read_passage
from tests.reference.test_planner_exact import Sums, passages, sums_for

Array = NDArray[np.float64]
MOST_ROUTES = 6000


class Listed:
    """Every route through some stages, with its effort."""

    def __init__(self, holds: list[Array], ways: list[Array], temperature: Array) -> None:
        self._sizes = [len(hold) for hold in holds]
        self.routes, self._cooled = {}, {}
        for chosen in product(*map(range, self._sizes)):
            efforts = [float(hold[k]) for hold, k in zip(holds, chosen, strict=True)]
            for stage, (way, (a, b)) in enumerate(zip(ways, pairwise(chosen), strict=True), 1):
                efforts[stage] += float(way[a, b])
            self.routes[chosen] = sum(efforts)
            self._cooled[chosen] = sum(effort / at for effort, at in zip(efforts, temperature, strict=True))

    def likelihoods(self) -> list[Array]:
        """The share of all routes that goes through each state, a route counting exp(-effort / temperature)."""
        least = min(self._cooled.values())
        found = [np.zeros(size) for size in self._sizes]
        for chosen, effort in self._cooled.items():
            for stage, k in enumerate(chosen):
                found[stage][k] += exp(least - effort)
        return [likely / likely.sum() for likely in found]


EFFORT = st.integers(-40, 160).map(lambda n: n / 16)


@st.composite
def stages(draw: st.DrawFn) -> tuple[list[Array], list[Array], Array | None]:
    sizes = draw(st.lists(st.integers(1, 4), min_size=1, max_size=5))
    holds = [draw(arrays(np.float64, size, elements=EFFORT)) for size in sizes]
    ways = [draw(arrays(np.float64, both, elements=st.one_of(EFFORT, st.just(inf)))) for both in pairwise(sizes)]
    for way in ways:
        way[:, 0] = np.where(np.isinf(way[:, 0]), 7.0, way[:, 0])  # There is always a way on.
    slow = draw(st.one_of(st.none(), arrays(np.float64, len(sizes), elements=st.sampled_from([0.0, 0.25, 1.0]))))
    return holds, ways, None if slow is None else temperatures(slow)


def by_stage(temperature: Array | None, holds: list[Array]) -> Array:
    return np.full(len(holds), TEMPERATURE) if temperature is None else temperature


@settings(max_examples=80)
@given(stages())
def test_likelihoods_are_those_of_all_routes(given_stages: tuple[list[Array], list[Array], Array | None]) -> None:
    holds, ways, temperature = given_stages
    listed = Listed(holds, ways, by_stage(temperature, holds))
    for found, expected in zip(likelihoods(holds, ways, temperature), listed.likelihoods(), strict=True):
        assert found == pytest.approx(expected, abs=1e-9)


@settings(max_examples=80)
@given(stages())
def test_the_path_has_the_least_effort_and_doubt_of_all(
    given_stages: tuple[list[Array], list[Array], Array | None],
) -> None:
    holds, ways, temperature = given_stages
    alike = [np.arange(len(hold)) // 2 for hold in holds]
    listed = Listed(holds, ways, by_stage(temperature, holds))
    together = [np.bincount(a, p)[a] for a, p in zip(alike, listed.likelihoods(), strict=True)]
    doubted = [SHARE * (1 - p) for p in together]
    for found, expected in zip(doubts(holds, ways, alike, temperature), doubted, strict=True):
        assert found == pytest.approx(expected, abs=1 / 1024)
    path, effort = agreed_path(holds, ways, alike, temperature)
    assert effort == listed.routes[tuple(path)]
    rounded = doubts(holds, ways, alike, temperature)
    weighed = {
        chosen: effort + sum(float(doubt[k]) for doubt, k in zip(rounded, chosen, strict=True))
        for chosen, effort in listed.routes.items()
    }
    assert weighed[tuple(path)] == min(weighed.values())


@settings(max_examples=25, deadline=None)
@given(passages(), st.sampled_from(list(Character)))
def test_short_passages_are_played_as_most_good_routes_go(
    passage,
    character: Character,  # type: ignore[no-untyped-def]
) -> None:
    """Effort, likelihood and doubt are all added up here from a list of the routes; nothing comes from the planner."""
    route, sums = sums_for(passage, ALL, character=character)
    if np.prod([len(grips) for grips in sums.grips]) > MOST_ROUTES:
        return
    listed = Listed(sums.holds, sums.ways, sums.temperature)
    doubted = [
        [SHARE * (1 - sum(p for p, b in zip(likely, grips, strict=True) if b.stops == a.stops)) for a in grips]
        for likely, grips in zip(listed.likelihoods(), sums.grips, strict=True)
    ]
    weighed = {
        chosen: effort + sum(doubt[k] for doubt, k in zip(doubted, chosen, strict=True))
        for chosen, effort in listed.routes.items()
    }
    chosen = tuple(route.chosen[t] for t in sums.playable)
    assert weighed[chosen] == pytest.approx(min(weighed.values()), abs=len(chosen) / 1024)


def test_of_two_ways_that_cost_the_same_the_one_with_more_good_routes_beside_it_is_taken() -> None:
    # Two equal ways to begin: from the first there is one way on, from the second there are three as good.
    holds = [np.zeros(2), np.zeros(4)]
    way = np.array([[0.0, inf, inf, inf], [inf, 0.0, 0.0, 0.0]])
    path, effort = agreed_path(holds, [way], [np.arange(2), np.arange(4)])
    assert (path[0], effort) == (1, 0.0)


def test_slow_music_has_its_own_temperature() -> None:
    assert temperatures(np.zeros(3)) is None
    found = temperatures(np.array([0.0, 1.0]))
    assert found is not None
    assert found.tolist() == [TEMPERATURE, TEMPERATURE_IF_SLOW]
    # What an effort of 2 makes less likely: e**(-2 / 0.75) of the likelihood in quick music, e**-1 in slow.
    likely = likelihoods([np.array([0.0, 2.0]), np.array([0.0, 2.0])], [np.zeros((2, 2))], found)
    assert [a[1] / a[0] for a in likely] == pytest.approx([exp(-2 / TEMPERATURE), exp(-1)])


def test_what_is_decided_is_certain() -> None:
    passage = read_passage("G4:1/2 A4 B4 C5 D5 E5 F#5 G5 A5 G5 F#5 E5 D5 C5 B4 A4", tempo=100.0)
    note = passage.events[4].notes[0].id
    third = {note: Constraint(fingers=frozenset({1}), strings=frozenset({2}))}
    route = cheapest_route(passage, ALL, decisions=third)
    sums = Sums(passage, ALL, route, third, Character.FROM_THE_PART)
    likely = likelihoods(sums.holds, sums.ways)[4]
    kept = [grip.stops[0].finger == 1 and grip.stops[0].string == 2 for grip in sums.grips[4]]
    assert likely[kept].sum() == pytest.approx(1.0)
    assert kept[route.chosen[4]]
