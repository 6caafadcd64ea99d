"""The cheapest path through a chain of stages, exactly: arrays in, indices out.

Stage t has a cost for each of its states and a cost for each way from a state of the stage before. Let best[t, j] be
the least cost of all paths that end at stage t in state j. Then

    best[0, j] = hold[0, j]
    best[t, j] = hold[t, j] + min over k of (best[t - 1, k] + move[t, k, j])

and the path is read back from the last stage. Costs are sums of numbers that floating point holds exactly. Among paths
of the same cost, the lower state wins, from the end backwards. Time grows with the number of stages and with the
square of the states.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def cheapest_path(start: Array, stages: Iterable[tuple[Array, Array]]) -> tuple[list[int], float]:
    """Return the state at every stage of the cheapest path, and its cost (infinite if there is no path).

    Args:
        start: the cost of each state of the first stage.
        stages: for every later stage, the costs of the ways, shape (states before, states now), and of its states.

    >>> cheapest_path(np.array([0.0, 1.0]), [(np.array([[5.0, 9.0], [1.0, 9.0]]), np.array([0.0, 0.0]))])
    ([1, 0], 2.0)
    """
    best = start
    came_from: list[NDArray[np.intp]] = []
    columns = np.arange(0)
    for move, hold in stages:
        total = best[:, None] + move
        before = total.argmin(axis=0)
        if len(before) > len(columns):
            columns = np.arange(len(before))
        best = total[before, columns[: len(before)]]
        best += hold
        came_from.append(before)
    state = int(best.argmin())
    cost = float(best[state])
    path = [state]
    for before in reversed(came_from):
        state = int(before[state])
        path.append(state)
    return path[::-1], cost
