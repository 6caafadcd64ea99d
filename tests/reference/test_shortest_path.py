"""The search alone: against enumeration and against networkx on the same graph."""

from __future__ import annotations

from itertools import product

import networkx as nx
import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from rules import cheapest_path
from rules.search.few_states import search_few_states
from rules.search.shortest_path import search_chain

Chain = tuple[np.ndarray, np.ndarray]


def chain(stages: int, states: int, seed: int, forbidden: float = 0.1) -> Chain:
    """Random costs with many ties and some ways that do not exist."""
    random = np.random.default_rng(seed)
    hold = random.integers(0, 6, (stages, states)).astype(float)
    move = random.integers(0, 6, (stages, states, states)).astype(float)
    move[random.random(move.shape) < forbidden] = np.inf
    return hold, move


def cost(hold: np.ndarray, move: np.ndarray, path: list[int]) -> float:
    return float(hold[0, path[0]] + sum(move[t, path[t - 1], path[t]] + hold[t, path[t]] for t in range(1, len(path))))


def found_path(hold: np.ndarray, move: np.ndarray) -> tuple[list[int], float]:
    return cheapest_path(hold[0], zip(move[1:], hold[1:], strict=True))


@given(st.integers(1, 6), st.integers(1, 4), st.integers(0, 10**6))
def test_the_search_finds_the_least_of_all_paths(stages: int, states: int, seed: int) -> None:
    hold, move = chain(stages, states, seed)
    least = min(cost(hold, move, list(path)) for path in product(range(states), repeat=stages))
    path, found = found_path(hold, move)
    assert found == least
    assert least == np.inf or cost(hold, move, path) == least


def test_ties_go_to_the_lower_state() -> None:
    assert found_path(np.zeros((4, 3)), np.zeros((4, 3, 3)))[0] == [0, 0, 0, 0]


def test_general_shortest_path_agrees() -> None:
    # networkx, Dijkstra on the same graph with a source before and a sink behind it.
    hold, move = chain(200, 6, 7, forbidden=0.3)
    graph = nx.DiGraph()
    for j in range(6):
        graph.add_edge("source", (0, j), weight=hold[0, j])
        graph.add_edge((199, j), "sink", weight=0)
    for t in range(1, 200):
        for i, j in product(range(6), repeat=2):
            if move[t, i, j] < np.inf:
                graph.add_edge((t - 1, i), (t, j), weight=move[t, i, j] + hold[t, j])
    assert found_path(hold, move)[1] == nx.dijkstra_path_length(graph, "source", "sink")


@given(st.integers(1, 70), st.lists(st.integers(1, 4), min_size=1, max_size=4), st.integers(0, 10**6))
def test_all_stages_at_once_are_the_same_search(stages: int, sizes: list[int], seed: int) -> None:
    hold, move = chain(stages, 4, seed, forbidden=0.2)
    states = [sizes[stage % len(sizes)] for stage in range(stages)]
    holds = [hold[stage, :size] for stage, size in enumerate(states)]
    ways = [move[stage, : states[stage - 1], : states[stage]] for stage in range(1, stages)]
    found, wanted = search_few_states(holds, ways), search_chain(holds[0], zip(ways, holds[1:], strict=True))
    assert [costs.tolist() for costs in found.best] == [costs.tolist() for costs in wanted.best]
    assert [states.tolist() for states in found.before] == [states.tolist() for states in wanted.before]
    assert found.path == wanted.path
