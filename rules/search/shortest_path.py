"""The cheapest path through a chain of stages, exactly: arrays in, indices out.

Stage t has a cost for each of its states and a cost for each way from a state of the stage before. Let best[t, j] be
the least cost of all paths that end at stage t in state j. Then

    best[0, j] = hold[0, j]
    best[t, j] = hold[t, j] + min over k of (best[t - 1, k] + move[t, k, j])

and the path is read back from the last stage. Costs are sums of numbers that floating point holds exactly. Among paths
of the same cost, the lower state wins, from the end backwards. Time grows with the number of stages and with the
square of the states.

Where a few stages of a chain change, the rest is taken over: what lies before them stands, and behind them it stands
again from the stage on at which all costs are the old ones but for one difference. Costs are exact, so this is no
approximation.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from .stage_arrays import StageArrays

Array = NDArray[np.float64]


@dataclass(frozen=True)
class SearchedChain:
    """A chain whose cheapest path was looked for.

    Attributes:
        best: the least cost of all paths that end in each state, for every stage; less its rise.
        before: the state that such a path comes from, for every stage but the first.
        rises: by how much all the costs of a stage are higher than `best` says; empty if they are nowhere.
    """

    best: Sequence[Array]
    before: Sequence[NDArray[np.intp]]
    rises: Sequence[float] = ()

    @cached_property
    def path(self) -> list[int]:
        """The state at every stage of the cheapest path."""
        state = int(self.best[-1].argmin())
        path = [state]
        for before in reversed(self.before):
            state = int(before[state])
            path.append(state)
        return path[::-1]

    @property
    def effort(self) -> float:
        """What the cheapest path costs; infinite if there is no path."""
        return float(self.best[-1][self.path[-1]]) + (self.rises[-1] if self.rises else 0.0)

    def changed(self, holds: Sequence[Array], ways: StageArrays, stages: Sequence[int]) -> SearchedChain:
        """Return the chain searched with other costs at some stages.

        Args:
            holds: the costs of the states of every stage.
            ways: the costs of the ways to each stage but the first.
            stages: those whose states, or the ways to which, are not what they were; in order.
        """
        best, before, known = list(self.best), list(self.before), self.rises or [0.0] * len(holds)
        rises = list(known)
        here, rise = 0, 0.0  # before `here` all is found; from there on everything costs more by `rise`
        for stage in stages:
            if stage < here:
                continue
            if rise:
                rises[here:stage] = [one + rise for one in known[here:stage]]
            here = stage
            while here < len(holds):
                if here:
                    best[here], before[here - 1] = _step(best[here - 1], ways[here], holds[here])
                    rises[here] = rises[here - 1]
                else:
                    best[0], rises[0] = holds[0], 0.0
                here += 1
                difference = _difference(best[here - 1], self.best[here - 1])
                if difference is not None:
                    rise = difference + rises[here - 1] - known[here - 1]
                    break
        if rise:
            rises[here:] = [one + rise for one in known[here:]]
        return SearchedChain(best, before, rises)


def search_chain(start: Array, stages: Iterable[tuple[Array, Array]]) -> SearchedChain:
    """Search a chain; for the arguments see `cheapest_path`."""
    best, before = [start], []
    for move, hold in stages:
        costs, came_from = _step(best[-1], move, hold)
        best.append(costs)
        before.append(came_from)
    return SearchedChain(best, before)


def cheapest_path(start: Array, stages: Iterable[tuple[Array, Array]]) -> tuple[list[int], float]:
    """Return the state at every stage of the cheapest path, and its cost (infinite if there is no path).

    Args:
        start: the cost of each state of the first stage.
        stages: for every later stage, the costs of the ways, shape (states before, states now), and of its states.

    >>> cheapest_path(np.array([0.0, 1.0]), [(np.array([[5.0, 9.0], [1.0, 9.0]]), np.array([0.0, 0.0]))])
    ([1, 0], 2.0)
    """
    found = search_chain(start, stages)
    return found.path, found.effort


_COLUMNS: list[NDArray[np.intp]] = [np.arange(size) for size in range(256)]


def _step(best: Array, move: Array, hold: Array) -> tuple[Array, NDArray[np.intp]]:
    """One stage further: the least cost of each state, and where it comes from."""
    total = best[:, None] + move
    before = total.argmin(axis=0)
    size = len(before)
    found = total[before, _COLUMNS[size] if size < len(_COLUMNS) else np.arange(size)]
    found += hold
    return found, before


def _difference(costs: Array, known: Array) -> float | None:
    """By how much all costs differ from known ones; None if not all by the same."""
    if len(costs) != len(known):
        return None
    place = int(known.argmin())
    difference = float(costs[place]) - float(known[place])
    if not np.isfinite(difference) or costs[0] != known[0] + difference:
        return None
    return difference if np.array_equal(known + difference, costs) else None
