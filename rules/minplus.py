"""The cheapest path through a chain of small stages, exactly: arrays in, indices out.

Stage t has a cost for each of its states and, for each state of the stage before, a cost of the way. Two ways of
computing the same minimum: stage by stage, which is right for many states; and in a tree, which is faster for few,
since all pairs of neighbouring stages are joined at once, then all pairs of pairs, and so on. Costs are sums of
numbers that floating point holds exactly, so both give the same cost. Among paths of the same cost, the tree prefers
the lower state at the joint of the largest halves, stage by stage the lower state from the end backwards; each always
breaks ties the same way.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

TREE_STATES = 8
"""Most states for which the tree is faster (its work grows with the cube, the other way's with the square)."""
STAGES_IN_A_TREE = 2048
"""Stages joined in one tree; longer chains are cut into such pieces, so that memory stays flat."""


def by_stages(stages: int, hold: Callable[[int], Array], move: Callable[[int], Array]) -> tuple[list[int], float]:
    """Return the cheapest path and its cost, from functions that give each stage's costs and ways (before, now)."""
    best = hold(0)
    columns = np.arange(len(best))
    back: list[Indices] = []
    for stage in range(1, stages):
        total = move(stage)
        total += best[:, None]
        came_from = total.argmin(axis=0)
        if len(came_from) > len(columns):
            columns = np.arange(len(came_from))
        best = total[came_from, columns[: len(came_from)]]
        best += hold(stage)
        back.append(came_from)
    state = int(best.argmin())
    path = [state]
    cost = float(best[state])
    for came_from in reversed(back):
        state = int(came_from[state])
        path.append(state)
    return path[::-1], cost


def by_tree(start: Array, ways: Callable[[int, int], Array], stages: int) -> tuple[list[int], float]:
    """Return the cheapest path and its cost.

    Args:
        start: cost of each state of the first stage, shape (states,).
        ways: gives, for a range of stages (first, end), the cost of the way into each stage with its own cost added,
            shape (end - first, states before, states now).
        stages: how many stages there are.
    """
    pieces = []
    best = start
    entries: list[Indices] = []
    for first in range(1, stages, STAGES_IN_A_TREE):
        whole, joints = _joined(ways(first, min(first + STAGES_IN_A_TREE, stages)))
        total = best[:, None] + whole
        came_from = total.argmin(axis=0)
        best = total[came_from, np.arange(len(came_from))]
        entries.append(came_from)
        pieces.append(joints)
    state = int(best.argmin())
    cost = float(best[state])
    path: list[int] = []
    for came_from, joints in zip(reversed(entries), reversed(pieces), strict=True):
        before = int(came_from[state])
        path[:0] = _walk(joints, before, state)
        state = before
    return [state, *path], cost


def _joined(ways: Array) -> tuple[Array, list[NDArray[np.int8]]]:
    """Join neighbours until one is left; keep, for every joint, the best state in the middle."""
    joints = []
    while len(ways) > 1:
        half = len(ways) // 2
        left, right = ways[: 2 * half : 2], ways[1 : 2 * half : 2]
        best = left[:, :, 0, None] + right[:, 0, None, :]
        middle = np.zeros(best.shape, dtype=np.int8)
        for state in range(1, ways.shape[1]):
            other = left[:, :, state, None] + right[:, state, None, :]
            better = other < best
            middle[better] = state
            np.minimum(best, other, out=best)
        joints.append(middle)
        ways = np.concatenate([best, ways[2 * half :]]) if len(ways) % 2 else best
    return ways[0], joints


def _walk(joints: list[NDArray[np.int8]], first: int, last: int) -> list[int]:
    """Read the path back: the states after the first one, up to the last."""
    ends = np.array([first, last])
    for middle in reversed(joints):
        count = len(middle)
        between = middle[np.arange(count), ends[:count], ends[1 : count + 1]]
        opened = np.empty(len(ends) + count, dtype=np.intp)
        opened[0 : 2 * count : 2] = ends[:count]
        opened[1 : 2 * count : 2] = between
        opened[2 * count :] = ends[count:]
        ends = opened
    return [int(state) for state in ends[1:]]
