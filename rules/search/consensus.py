"""What good routes agree on: how likely each grip is among all routes, the more so the less effort they take.

The cheapest route may follow a hair: of two ways that cost nearly the same it takes one, although most good routes go
another. So the planner minimises effort and *doubt*. A route of effort e has a likelihood in proportion to
exp(-e / TEMPERATURE). The likelihood of a grip is the sum over all routes through it, found forwards and backwards; its
doubt is SHARE * (1 - likelihood): nothing where all good routes agree, SHARE where none goes. Doubt is rounded to
1/1024, so that sums stay exact and one search finds the least sum of effort and doubt.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from ..cost.grip_arrays import Array
from .blocks import Blocks, edges_of, split_at
from .shortest_path import cheapest_path

TEMPERATURE = 0.75
"""Effort by which a route has to be better to be 2.7 times as likely (measured, see `tests/benchmarks/fitting`)."""
SHARE = 4.0
"""Effort that a grip may cost more if all good routes have it; from 2 to 50 the plans hardly differ."""
FORBIDDEN = 64.0
"""What costs more than this counts as this much here: likelihoods stay within floating point."""
FINEST = 1024
"""Into how many parts of 1 doubt is rounded."""
WayBlocks = Sequence[Sequence[Array]] | Blocks
"""The ways to each stage but the first, shape (states before, states now), cut into blocks."""


def agreed_path(holds: Sequence[Array], ways: WayBlocks, alike: Sequence[NDArray[np.intp]]) -> tuple[list[int], float]:
    """Return the path of least effort and doubt, and its effort; for the arguments see `doubts`."""
    doubted = doubts(holds, ways, alike)
    weighed = [hold + doubt for hold, doubt in zip(holds, doubted, strict=True)]
    path, cost = cheapest_path(weighed[0], zip(chain.from_iterable(ways), weighed[1:], strict=True))
    return path, cost - sum(float(doubt[state]) for doubt, state in zip(doubted, path, strict=True))


def doubts(holds: Sequence[Array], ways: WayBlocks, alike: Sequence[NDArray[np.intp]]) -> list[Array]:
    """Return the doubt about every state of every stage.

    Args:
        holds: the effort of each state, by stage.
        ways: the effort of the ways to each stage but the first.
        alike: numbers from 0 for the states of a stage, one for all that are the same to a listener: their likelihoods
            count together.

    >>> doubts([np.array([0.0, 0.0])], [], [np.array([0, 1])])
    [array([8., 8.])]
    """
    likely, edges = np.concatenate(likelihoods(holds, ways)), edges_of(holds)
    same = np.concatenate(alike) + np.repeat(edges[:-1], np.diff(edges))
    together = np.bincount(same, likely, len(likely))[same]
    return split_at(np.round(SHARE * FINEST * (1 - together)) / FINEST, edges)


def likelihoods(holds: Sequence[Array], ways: WayBlocks) -> list[Array]:
    """Return the likelihood of every state of every stage; those of a stage sum to 1."""
    edges = edges_of(holds)
    effort = np.concatenate(holds)
    least = np.minimum.reduceat(effort, edges[:-1])
    own = split_at(_weights(effort - np.repeat(least, np.diff(edges))), edges)
    weighed = Blocks(len(ways), lambda number: _ways_weighed(ways[number]))
    with np.errstate(invalid="ignore"):  # Where there is no path at all, nothing is likely.
        ahead = list(_ahead(own, weighed))
        behind = list(_behind(own, weighed))[::-1]
        likely = np.concatenate(ahead) * np.concatenate(behind)
        return split_at(likely / np.repeat(np.add.reduceat(likely, edges[:-1]), np.diff(edges)), edges)


def log_likelihood(holds: Sequence[Array], ways: WayBlocks, against: Sequence[Array]) -> float:
    """Return the logarithm of the share of all routes that keeps to some labels, and 0 if there are no labels.

    Args:
        holds: the effort of each state, by stage.
        ways: the effort of the ways to each stage but the first.
        against: the effort that each state costs more if the labels are to be kept.
    """
    edges = edges_of(holds)
    efforts = np.concatenate(holds), np.concatenate(against)
    least = np.repeat(np.minimum.reduceat(efforts[0], edges[:-1]), np.diff(edges))
    own = _weights(efforts[0] - least)
    kept = split_at(own * np.exp(efforts[1] / -TEMPERATURE), edges)
    nodes = [np.stack(both) for both in zip(split_at(own, edges), kept, strict=True)]
    found, total = nodes[0], np.zeros(2)
    weighed = (way for block in ways for way in _ways_weighed(block))
    for way, node in zip(chain([None], weighed), nodes, strict=True):
        if way is not None:
            found = found @ way * node
        sums = np.add.reduce(found, 1)
        total += np.log(sums)
        found = found / sums[:, None]
    return float(total[1] - total[0])


def _ahead(own: Sequence[Array], ways: WayBlocks) -> Iterator[Array]:
    """The likelihood of all beginnings that end in a state, in proportion, stage by stage."""
    found = own[0]
    yield found
    for way, node in zip(chain.from_iterable(ways), own[1:], strict=True):
        found = found @ way
        found *= node
        found /= np.add.reduce(found)
        yield found


def _behind(own: Sequence[Array], ways: WayBlocks) -> Iterator[Array]:
    """The likelihood of all ends that go on from a state, in proportion, from the last stage backwards."""
    found = np.ones(len(own[-1]))
    yield found
    backwards = (way for block in reversed(ways) for way in reversed(block))
    for way, node in zip(backwards, own[:0:-1], strict=True):
        found = way @ (node * found)
        found /= np.add.reduce(found)
        yield found


def _ways_weighed(ways: Sequence[Array]) -> list[Array]:
    if not ways:
        return []
    weights, edges = _weights(np.concatenate([way.ravel() for way in ways])), edges_of(ways)
    return [flat.reshape(way.shape) for flat, way in zip(split_at(weights, edges), ways, strict=True)]


def _weights(effort: Array) -> Array:
    """How likely a step of this effort is, not yet in proportion; 0 where there is no way."""
    weights: Array = np.exp(np.minimum(effort, FORBIDDEN) / -TEMPERATURE)
    weights[effort == np.inf] = 0.0
    return weights


__all__ = ["SHARE", "TEMPERATURE", "agreed_path", "doubts", "likelihoods", "log_likelihood"]
