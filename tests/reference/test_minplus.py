"""The search alone: both ways against enumeration and against networkx on the same graph."""

from __future__ import annotations

from itertools import product

import networkx as nx
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules import STAGES_IN_A_TREE, CheapestPath

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


def staged(hold: np.ndarray, move: np.ndarray) -> tuple[list[int], float]:
    search = CheapestPath(hold[0])
    for t in range(1, len(hold)):
        search.through_stage(move[t].copy(), hold[t])
    return search.path()


def tree(hold: np.ndarray, move: np.ndarray) -> tuple[list[int], float]:
    search = CheapestPath(hold[0])
    for first in range(1, len(hold), STAGES_IN_A_TREE):
        end = first + STAGES_IN_A_TREE
        search.through_tree(move[first:end] + hold[first:end, None])
    return search.path()


def both(hold: np.ndarray, move: np.ndarray, narrow: int, seed: int) -> tuple[list[int], float]:
    """Some stages with few states gone through in trees of random length, the others one at a time."""
    random = np.random.default_rng(seed)
    search = CheapestPath(hold[0])
    t = 1
    while t < len(hold):
        end = min(t + int(random.integers(1, 9)), len(hold))
        if np.isinf(hold[t - 1 : end, narrow:]).all():
            search.through_tree(move[t:end, :narrow, :narrow] + hold[t:end, None, :narrow])
        else:
            for stage in range(t, end):
                rows = narrow if np.isinf(hold[stage - 1, narrow:]).all() else len(move[stage])
                search.through_stage(move[stage, :rows].copy(), hold[stage])
        t = end
    return search.path()


@given(st.integers(2, 60), st.integers(0, 10**6))
def test_pieces_of_both_kinds_find_the_same_least(stages: int, seed: int) -> None:
    hold, move = chain(stages, 6, seed, forbidden=0.0)
    random = np.random.default_rng(seed)
    for first in range(0, stages, 10):
        if random.random() < 0.6:
            hold[first : first + 10, 3:] = np.inf
    path, found = both(hold, move, 3, seed)
    assert found == staged(hold, move)[1] == cost(hold, move, path)


@given(st.integers(1, 6), st.integers(1, 4), st.integers(0, 10**6))
def test_both_searches_find_the_least_of_all_paths(stages: int, states: int, seed: int) -> None:
    hold, move = chain(stages, states, seed)
    least = min(cost(hold, move, list(path)) for path in product(range(states), repeat=stages))
    for path, found in (staged(hold, move), tree(hold, move)):
        assert found == least
        assert least == np.inf or cost(hold, move, path) == least


@pytest.mark.parametrize(
    "stages", [2, 3, 60, STAGES_IN_A_TREE, STAGES_IN_A_TREE + 1, STAGES_IN_A_TREE + 2, 2 * STAGES_IN_A_TREE + 5]
)
@pytest.mark.parametrize("states", [1, 5, 8])
def test_tree_and_stages_agree_on_long_chains(stages: int, states: int) -> None:
    hold, move = chain(stages, states, stages * states, forbidden=0.0)
    path, found = tree(hold, move)
    assert found == staged(hold, move)[1] == cost(hold, move, path)
    assert len(path) == stages


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
    assert tree(hold, move)[1] == staged(hold, move)[1] == nx.dijkstra_path_length(graph, "source", "sink")
