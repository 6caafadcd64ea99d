"""The same search as in `shortest_path` for chains with few states: all stages at once instead of one after the other.

Let step[t, i, j] be the cost of the way from state i of stage t to state j of the next, and of that state. Two steps
that follow each other are one step over two stages:

    (a then b)[i, j] = min over k of (a[i, k] + b[k, j])

So steps over 2, 4, 8, … stages are made, each time for the whole chain at once. The least costs at the last stage then
come from one step over everything, those in the middle from half a step, and so on down to single stages. That is more
sums than one after the other takes, but in some forty array operations instead of four for each stage. Sums are exact,
so their order does not matter.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..cost.grip_arrays import Array
from .shortest_path import SearchedChain

FEW_STATES = 4
"""With so many states a chain of 1,800 stages takes a third of the time; with eight there is nothing to gain."""


def search_few_states(holds: Sequence[Array], ways: Sequence[Array]) -> SearchedChain:
    """Search a chain.

    Args:
        holds: the cost of each state, by stage.
        ways: the costs of the ways to each stage but the first, shape (states before, states now).

    >>> search_few_states([np.array([0.0, 1.0]), np.zeros(2)], [np.array([[5.0, 9.0], [1.0, 9.0]])]).path
    [1, 0]
    """
    sizes = [len(hold) for hold in holds]
    start, steps = _of_one_size(holds, ways, max(sizes))
    best = _least_costs(start, steps)
    before = (best[:-1, :, None] + steps).argmin(axis=1)
    if min(sizes) == max(sizes):
        return SearchedChain(list(best), list(before))
    return SearchedChain(
        [costs[:size] for costs, size in zip(best, sizes, strict=True)],
        [states[:size] for states, size in zip(before, sizes[1:], strict=True)],
    )


def _of_one_size(holds: Sequence[Array], ways: Sequence[Array], size: int) -> tuple[Array, Array]:
    """The costs of the first stage and the steps to the others; states that a stage does not have cost infinitely."""
    if all(len(hold) == size for hold in holds):
        costs, steps = np.array(holds), np.array(ways).reshape(len(ways), size, size)
    else:
        costs, steps = np.full((len(holds), size), np.inf), np.full((len(ways), size, size), np.inf)
        for row, hold in zip(costs, holds, strict=True):
            row[: len(hold)] = hold
        for step, way in zip(steps, ways, strict=True):
            step[: way.shape[0], : way.shape[1]] = way
    return costs[0], steps + costs[1:, None, :]


def _least_costs(start: Array, steps: Array) -> Array:
    """The least cost of all paths that end in each state, for every stage."""
    levels = [steps]
    while len(levels[-1]) > 1:
        single = levels[-1]
        levels.append(_then(single[: len(single) // 2 * 2 : 2], single[1::2]))
    best = start[None, None, :]  # at the first of the stages that the steps of a level lead over, and behind the last
    for single in reversed(levels):
        finer = np.empty((len(single) + 1, 1, len(start)))
        finer[0::2] = best[: len(finer[0::2])]
        finer[1::2] = _then(finer[0:-1:2], single[0::2])
        best = finer
    return best[:, 0]


def _then(before: Array, after: Array) -> Array:
    """Steps and the steps that follow them, as one step each."""
    found = before[:, :, 0, None] + after[:, 0, None, :]
    for state in range(1, after.shape[1]):
        np.minimum(found, before[:, :, state, None] + after[:, state, None, :], out=found)
    return found


__all__ = ["FEW_STATES", "search_few_states"]
