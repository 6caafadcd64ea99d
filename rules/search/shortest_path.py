"""The cheapest path through a chain of small stages, exactly: arrays in, indices out.

Stage t has a cost for each of its states and, for each state of the stage before, a cost of the way. Two ways of
computing the same minimum: stage by stage, which is right for many states; and in a tree, which is faster for few,
since all pairs of neighbouring stages are joined at once, then all pairs of pairs, and so on. A chain that is narrow
in most places and wide in some is gone through in pieces of both kinds. Costs are sums of
numbers that floating point holds exactly, so both give the same cost. Among paths of the same cost, the tree prefers
the lower state at the joint of the largest halves, stage by stage the lower state from the end backwards; each always
breaks ties the same way.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Indices = NDArray[np.intp]
Joints = list[NDArray[np.int8]]

TREE_STATES = 8
"""Most states for which the tree is faster (its work grows with the cube, the other way's with the square)."""
SHORTEST_TREE = 24
"""Fewest stages for which planting a tree pays."""
STAGES_IN_A_TREE = 2048
"""Stages joined in one tree; longer chains are cut into such pieces, so that memory stays flat."""


class CheapestPath:
    """The cheapest path through a chain, carried on piece by piece: a stage at a time, or many in a tree."""

    def __init__(self, start: Array) -> None:
        """Begin with what each state of the first stage costs."""
        self._best = start
        self._columns = np.arange(len(start))
        self._back: list[tuple[Indices, Joints | None]] = []

    def through_stage(self, move: Array, hold: Array) -> None:
        """Go on to the next stage: costs of the ways, shape (before, now), and of its states; `move` is used up."""
        rows, states = move.shape
        move += self._best[:rows, None]
        came_from = move.argmin(axis=0)
        if states > len(self._columns):
            self._columns = np.arange(states)
        self._best = move[came_from, self._columns[:states]]
        self._best += hold
        self._back.append((came_from, None))

    def through_tree(self, ways: Array) -> None:
        """Go on through stages of few states.

        Args:
            ways: the cost of the way into each stage with its own cost added, shape (stages, before, now); where a
                stage has fewer states, the ways to and from the others cost infinitely much.
        """
        whole, joints = _joined(ways)
        states = len(whole)
        best = np.full(states, np.inf)
        best[: len(self._best)] = self._best[:states]
        self._back.append(((best[:, None] + whole).argmin(axis=0), joints))
        came_from = self._back[-1][0]
        self._best = best[came_from] + whole[came_from, np.arange(states)]

    def path(self) -> tuple[list[int], float]:
        """Return the state at every stage, and what the path costs."""
        state = int(self._best.argmin())
        cost = float(self._best[state])
        pieces: list[list[int]] = [[state]]
        for came_from, joints in reversed(self._back):
            before = int(came_from[state])
            if joints is None:
                pieces.append([before])
            else:
                pieces.append([before, *_walk(joints, before, state)[:-1]])
            state = before
        return [state for piece in reversed(pieces) for state in piece], cost


def _joined(ways: Array) -> tuple[Array, Joints]:
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


def _walk(joints: Joints, first: int, last: int) -> list[int]:
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
