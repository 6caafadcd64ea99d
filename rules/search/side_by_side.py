"""Many short chains searched side by side: stage by stage as one would be, each step taken in all of them at once.

Several questions about one part lead through the same few stages, each with other states to choose from. An array
operation costs about as much for forty chains as for one, so they are asked together. The results are those of
`shortest_path` and `consensus`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..cost.grip_arrays import Array
from .consensus import TEMPERATURE, doubt_of, weights_of
from .stage_arrays import StageArrays

MOST_NUMBERS = 2**21
"""Costs of ways that are looked at together (16 MB)."""
Indices = NDArray[np.intp]
Path = tuple[list[int], float]
"""The state at every stage, and what that costs; infinite if there is no path."""


class Chain(NamedTuple):
    """A chain through the stages of a part.

    Attributes:
        stages: those it leads through.
        holds: the cost of every state by stage, infinite for one that may not be chosen.
        alike: numbers from 0 for the states of a stage, one for all that are the same to a listener.
    """

    stages: range
    holds: Sequence[Array]
    alike: Sequence[Indices]


def paths_side_by_side(
    chains: Sequence[Chain], ways: StageArrays, agreed: bool, temperature: Array | None = None
) -> list[Path]:
    """Return the path of least cost of every chain, or that of least cost and doubt, and its cost.

    Args:
        chains: where they lead, and what their states cost.
        ways: the costs of the ways to each stage of the part but the first.
        agreed: weigh the routes against each other and count doubt as well (see `consensus`).
        temperature: at which they are weighed at each stage of the part, if it is not the same everywhere.
    """
    found: list[Path] = [([], np.inf)] * len(chains)
    for numbers in _batches(chains):
        batch = _Batch([chains[number] for number in numbers], ways)
        for number, path in zip(numbers, batch.paths(agreed, temperature), strict=True):
            found[number] = path
    return found


def least_to_the_end(chains: Sequence[Chain], ways: StageArrays) -> list[list[Array]]:
    """Return the least cost from every state of every stage to the end of its chain, its own cost left out."""
    found: list[list[Array]] = [[]] * len(chains)
    for numbers in _batches(chains):
        batch = _Batch([chains[number] for number in numbers], ways)
        for number, rest in zip(numbers, batch.least_to_the_end(), strict=True):
            found[number] = rest
    return found


def _batches(chains: Sequence[Chain]) -> Iterator[list[int]]:
    """The numbers of the chains that are searched together, the longest first, and like ones beside each other."""
    order = sorted(range(len(chains)), key=lambda number: (-len(chains[number].stages), chains[number].stages.start))
    batch: list[int] = []
    size = 0
    for _, same in groupby(order, lambda number: chains[number].stages):
        numbers = list(same)
        lengths = [len(hold) for hold in chains[numbers[0]].holds]
        more = len(numbers) * sum(a * b for a, b in pairwise(lengths))
        if batch and size + more > MOST_NUMBERS:
            yield batch
            batch, size = [], 0
        batch += numbers
        size += more
    if batch:
        yield batch


class _Batch:
    """Some chains, the longest first. At every stage the arrays have a row for each chain that has not ended."""

    def __init__(self, chains: Sequence[Chain], ways: StageArrays) -> None:
        self._chains = chains
        lengths = [len(chain.stages) for chain in chains]
        self._going_on = [sum(length > stage for length in lengths) for stage in range(lengths[0])]
        self._holds = [
            _side_by_side([chain.holds[stage] for chain in chains[:count]], np.inf)
            for stage, count in enumerate(self._going_on)
        ]
        windows = [next(same) for _, same in groupby(range(len(chains)), lambda number: chains[number].stages)]
        self._windows = windows
        self._window = np.repeat(np.arange(len(windows)), np.diff([*windows, len(chains)]))
        self._ways = [
            self._ways_to(stage, ways, [number for number in windows if number < count])
            for stage, count in enumerate(self._going_on)
        ][1:]

    def _ways_to(self, stage: int, ways: StageArrays, windows: Sequence[int]) -> Array:
        """The ways to a stage, one array for all chains that lead through the same stages of the part."""
        if not stage:
            return np.zeros(0)
        found = np.full((len(windows), self._holds[stage - 1].shape[1], self._holds[stage].shape[1]), np.inf)
        for row, number in zip(found, windows, strict=True):
            way = ways[self._chains[number].stages[stage]]
            row[: way.shape[0], : way.shape[1]] = way
        return found

    def _of_chains(self, stage: int, by_window: Sequence[Array]) -> Array:
        """The array of the ways to a stage for every chain."""
        return by_window[stage - 1][self._window[: self._going_on[stage]]]

    def paths(self, agreed: bool, temperature: Array | None) -> list[Path]:
        """Return the path and the cost of every chain."""
        doubts = self._doubts(temperature) if agreed else None
        holds = self._holds
        if doubts is not None:
            holds = [hold + doubt for hold, doubt in zip(holds, doubts, strict=True)]
        states, costs = self._cheapest(holds)
        if doubts is not None:
            for stage, doubt in enumerate(doubts):
                count = self._going_on[stage]
                costs[:count] -= doubt[np.arange(count), states[:count, stage]]
        return [
            (path[: len(chain.stages)], cost)
            for chain, path, cost in zip(self._chains, states.tolist(), costs.tolist(), strict=True)
        ]

    def _cheapest(self, holds: Sequence[Array]) -> tuple[Indices, Array]:
        """The states of the cheapest path of every chain, and what it costs; see `shortest_path`."""
        best = [holds[0]]
        for stage, hold in enumerate(holds[1:], start=1):
            total = best[-1][: self._going_on[stage], :, None] + self._of_chains(stage, self._ways)
            best.append(np.minimum.reduce(total, 1) + hold)
        states = np.zeros((len(self._chains), len(holds)), dtype=np.intp)
        costs = np.zeros(len(self._chains))
        count = 0  # of the chains that lead beyond the stage
        for stage in reversed(range(len(holds))):
            if count:
                way = self._ways[stage][self._window[:count], :, states[:count, stage + 1]]
                states[:count, stage] = (best[stage][:count] + way).argmin(axis=1)
            ending = slice(count, self._going_on[stage])
            states[ending, stage] = best[stage][ending].argmin(axis=1)
            costs[ending] = best[stage][ending].min(axis=1)
            count = self._going_on[stage]
        return states, costs

    def least_to_the_end(self) -> list[list[Array]]:
        """Return the least cost from every state to the end of its chain, by chain and stage."""
        rest = [np.zeros(self._holds[-1].shape)]
        for stage in reversed(range(1, len(self._holds))):
            total = self._of_chains(stage, self._ways) + (self._holds[stage] + rest[-1])[:, None, :]
            ends = np.zeros((self._going_on[stage - 1] - len(total), total.shape[1]))
            rest.append(np.concatenate([np.minimum.reduce(total, 2), ends]))
        rest.reverse()
        return [
            [rest[stage][number, : len(hold)] for stage, hold in enumerate(chain.holds)]
            for number, chain in enumerate(self._chains)
        ]

    def _temperature(self, stage: int, temperature: Array | None) -> Array | float:
        """That of a stage in each of the windows that reach it."""
        if temperature is None:
            return TEMPERATURE
        reaching = [number for number in self._windows if number < self._going_on[stage]]
        found: Array = temperature[[self._chains[number].stages[stage] for number in reaching]]
        return found[:, None, None]

    def _doubts(self, temperature: Array | None) -> list[Array]:
        """The doubt about every state of every stage; see `consensus`."""
        at = [self._temperature(stage, temperature) for stage in range(len(self._holds))]
        with np.errstate(invalid="ignore"):  # Where there is no path at all, nothing is likely.
            own = [
                weights_of(hold - np.minimum.reduce(hold, 1)[:, None], self._for_states(stage, at[stage]))
                for stage, hold in enumerate(self._holds)
            ]
            likely_ways = [weights_of(way, here) for way, here in zip(self._ways, at[1:], strict=True)]
            ahead, behind = own[:1], [np.ones(own[-1].shape)]
            for stage, node in enumerate(own[1:], start=1):
                found = ahead[-1][: len(node), None, :] @ self._of_chains(stage, likely_ways)
                ahead.append(_in_proportion(found[:, 0] * node))
            for stage in reversed(range(1, len(own))):
                node = own[stage] * behind[-1]
                found = self._of_chains(stage, likely_ways) @ node[:, :, None]
                ends = np.ones((self._going_on[stage - 1] - len(node), found.shape[1]))
                behind.append(np.concatenate([_in_proportion(found[:, :, 0]), ends]))
            return [
                self._doubt(stage, _in_proportion(before * after))
                for stage, (before, after) in enumerate(zip(ahead, reversed(behind), strict=True))
            ]

    def _for_states(self, stage: int, by_window: Array | float) -> Array | float:
        """The temperature of the states of a stage, by chain."""
        if isinstance(by_window, float):
            return by_window
        return by_window[self._window[: self._going_on[stage]], :, 0]

    def _doubt(self, stage: int, likely: Array) -> Array:
        count, size = likely.shape
        alike = _side_by_side([chain.alike[stage] for chain in self._chains[:count]], size - 1, size)
        same = (alike + size * np.arange(count)[:, None]).ravel()
        return doubt_of(np.bincount(same, likely.ravel(), likely.size)[same]).reshape(likely.shape)


def _side_by_side(rows: Sequence[NDArray[Any]], filled_up: float, size: int = 0) -> NDArray[Any]:
    """The rows as one array, filled up at the end."""
    found = np.full((len(rows), max(size, *map(len, rows))), filled_up, dtype=rows[0].dtype)
    for place, row in zip(found, rows, strict=True):
        place[: len(row)] = row
    return found


def _in_proportion(found: Array) -> Array:
    shares: Array = found / np.add.reduce(found, 1)[:, None]
    return shares
