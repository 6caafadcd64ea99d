"""What good routes agree on: how likely each grip is among all routes, the more so the less effort they take.

The cheapest route may follow a hair: of two ways that cost nearly the same it takes one, although most good routes go
another. So the planner minimises effort and *doubt*. A route of effort e has a likelihood in proportion to
exp(-e / TEMPERATURE). The likelihood of a grip is the sum over all routes through it, found forwards and backwards; its
doubt is SHARE * (1 - likelihood): nothing where all good routes agree, SHARE where none goes. Doubt is rounded to
1/1024, so that sums stay exact and one search finds the least sum of effort and doubt.

In slow music there is time for any way, and what a player takes hangs less on effort. There the temperature is higher:
effort counts for less among the routes that are asked, at each stage by its own temperature.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, pairwise

import numpy as np
from numpy.typing import NDArray

from ..cost.grip_arrays import Array
from .shortest_path import SearchedChain, search_chain
from .stage_arrays import StageArrays, edges_of, split_at

TEMPERATURE = 0.75
"""Effort by which a route has to be better to be 2.7 times as likely (measured, see `tests/benchmarks/fitting`)."""
TEMPERATURE_IF_SLOW = 2.0
"""The same in slow music beyond first position; from 1.5 to 3 the plans hardly differ."""
SHARE = 4.0
"""Effort that a grip may cost more if all good routes have it; from 2 to 50 the plans hardly differ."""
FORBIDDEN = 64.0
"""What costs more than this counts as this much here: likelihoods stay within floating point."""
FINEST = 1024
"""Into how many parts of 1 doubt is rounded."""
Ways = Sequence[Array] | StageArrays
"""The ways to each stage but the first, shape (states before, states now)."""


def temperatures(slow: Array) -> Array | None:
    """Return the temperature of every stage; None if it is the same everywhere.

    Args:
        slow: how slow the music is at every stage, from 0 to 1.
    """
    return TEMPERATURE + (TEMPERATURE_IF_SLOW - TEMPERATURE) * np.round(slow * 4) / 4 if slow.any() else None


def agreed_path(
    holds: Sequence[Array], ways: Ways, alike: Sequence[NDArray[np.intp]], temperature: Array | None = None
) -> tuple[list[int], float]:
    """Return the path of least effort and doubt, and its effort; for the arguments see `doubts`."""
    found = agree(holds, ways, alike, temperature)
    return found.path, found.effort


def doubts(
    holds: Sequence[Array], ways: Ways, alike: Sequence[NDArray[np.intp]], temperature: Array | None = None
) -> list[Array]:
    """Return the doubt about every state of every stage.

    Args:
        holds: the effort of each state, by stage.
        ways: the effort of the ways to each stage but the first.
        alike: numbers from 0 for the states of a stage, one for all that are the same to a listener: their likelihoods
            count together.
        temperature: that of every stage, if it is not the same everywhere; it holds for the ways to the stage too.

    >>> doubts([np.array([0.0, 0.0])], [], [np.array([0, 1])])
    [array([8., 8.])]
    """
    return _doubted(likelihoods(holds, ways, temperature), alike)


def likelihoods(holds: Sequence[Array], ways: Ways, temperature: Array | None = None) -> list[Array]:
    """Return the likelihood of every state of every stage; those of a stage sum to 1."""
    to_ways = None if temperature is None else temperature[1:]
    with np.errstate(invalid="ignore"):  # Where there is no path at all, nothing is likely.
        return _likely(*both_ways(states_weighed(holds, temperature), ways_weighed([*ways], to_ways)))


@dataclass(frozen=True)
class Agreement:
    """A chain in which the routes were weighed against each other, and the path that was found.

    Attributes:
        own: how likely each state is by itself, not yet in proportion, for every stage.
        ahead: the likelihood of all beginnings that end in it, in proportion.
        behind: the likelihood of all ends that go on from it, in proportion.
        doubted: the doubt about it.
        weighed: its effort and the doubt about it.
        searched: the chain searched for the least effort and doubt.
        likely_ways: how likely each way is by itself.
        temperature: that of every stage, if it is not the same everywhere.
    """

    own: Sequence[Array]
    ahead: Sequence[Array]
    behind: Sequence[Array]
    doubted: Sequence[Array]
    weighed: Sequence[Array]
    searched: SearchedChain
    likely_ways: StageArrays
    temperature: Array | None

    @property
    def path(self) -> list[int]:
        """The path of least effort and doubt."""
        return self.searched.path

    @property
    def effort(self) -> float:
        """Its effort."""
        doubted = (float(doubt[state]) for doubt, state in zip(self.doubted, self.path, strict=True))
        return self.searched.effort - sum(doubted)

    def changed(
        self,
        holds: Sequence[Array],
        ways: StageArrays,
        alike: Sequence[NDArray[np.intp]],
        stages: Sequence[int],
    ) -> Agreement:
        """Return the agreement with other efforts at some stages; for the arguments see `SearchedChain.changed`.

        Likelihoods are taken over from where they are the same to the last bit. Where no stage differs (a decision for
        a note that cannot be sounded) it is the same agreement.
        """
        if not stages:
            return self
        with np.errstate(invalid="ignore"):
            own = list(self.own)
            at = None if self.temperature is None else self.temperature[list(stages)]
            for stage, weighed_anew in zip(stages, states_weighed([holds[stage] for stage in stages], at), strict=True):
                own[stage] = weighed_anew
            likely_ways = self.likely_ways.changed(_each_weighed(ways, self.temperature), stages)
            ahead = _ahead_again(self.ahead, own, likely_ways, stages)
            behind = _behind_again(self.behind, own, likely_ways, stages)
            both = enumerate(zip(self.ahead, ahead, self.behind, behind, strict=True))
            touched = [stage for stage, (a, b, c, d) in both if a is not b or c is not d]
            likely = _likely([ahead[stage] for stage in touched], [behind[stage] for stage in touched])
        doubted, weighed, other = list(self.doubted), list(self.weighed), set(stages)
        for stage, doubt in zip(touched, _doubted(likely, [alike[stage] for stage in touched]), strict=True):
            if doubt.tobytes() != doubted[stage].tobytes():
                doubted[stage] = doubt
                other.add(stage)
        for stage in other:
            weighed[stage] = holds[stage] + doubted[stage]
        searched = self.searched.changed(weighed, ways, sorted(other))
        return Agreement(own, ahead, behind, doubted, weighed, searched, likely_ways, self.temperature)


def agree(
    holds: Sequence[Array], ways: Ways, alike: Sequence[NDArray[np.intp]], temperature: Array | None = None
) -> Agreement:
    """Weigh the routes of a chain against each other; for the arguments see `doubts`."""
    own = states_weighed(holds, temperature)
    ways = ways if isinstance(ways, StageArrays) else StageArrays.of(ways)
    likely_ways = _each_weighed(ways, temperature)
    with np.errstate(invalid="ignore"):
        ahead, behind = both_ways(own, likely_ways)
        doubted = _doubted(_likely(ahead, behind), alike)
    weighed = [hold + doubt for hold, doubt in zip(holds, doubted, strict=True)]
    searched = search_chain(weighed[0], zip(ways, weighed[1:], strict=True))
    return Agreement(own, ahead, behind, doubted, weighed, searched, likely_ways, temperature)


def _each_weighed(ways: StageArrays, temperature: Array | None) -> StageArrays:
    """How likely each way is by itself, worked out where it is asked for."""
    if temperature is None:
        return ways.each(lambda some, _: ways_weighed(some))
    return ways.each(lambda some, stages: ways_weighed(some, temperature[np.array(stages, dtype=np.intp)]))


def _doubted(likely: Sequence[Array], alike: Sequence[NDArray[np.intp]]) -> list[Array]:
    if not likely:
        return []
    edges = edges_of(likely)
    same = np.concatenate(alike) + np.repeat(edges[:-1], np.diff(edges))
    together = np.asarray(np.bincount(same, np.concatenate(likely), edges[-1])[same], dtype=np.float64)
    return split_at(doubt_of(together), edges)


def doubt_of(likely: Array) -> Array:
    """Return the doubt about what is so likely, rounded."""
    doubt: Array = np.round(SHARE * FINEST * (1 - likely)) / FINEST
    return doubt


def states_weighed(holds: Sequence[Array], temperature: Array | None = None) -> list[Array]:
    """Return how likely each state of every stage is by itself, not yet in proportion."""
    edges, effort = edges_of(holds), np.concatenate(holds)
    least = np.minimum.reduceat(effort, edges[:-1])
    return split_at(_weighed(effort - np.repeat(least, np.diff(edges)), edges, temperature), edges)


def both_ways(own: Sequence[Array], ways: Ways) -> tuple[list[Array], list[Array]]:
    """Return how likely all beginnings up to each state are, and all ends that go on from it, in proportion.

    Args:
        own: how likely each state is by itself, stage by stage; a beginning counts its last state, an end those after.
        ways: how likely each way is by itself.
    """
    return list(_ahead(own, ways)), list(_behind(own, ways))[::-1]


def _likely(ahead: Sequence[Array], behind: Sequence[Array]) -> list[Array]:
    if not ahead:
        return []
    edges = edges_of(ahead)
    likely = np.concatenate(ahead) * np.concatenate(behind)
    return split_at(likely / np.repeat(np.add.reduceat(likely, edges[:-1]), np.diff(edges)), edges)


def log_likelihood(holds: Sequence[Array], ways: Ways, against: Sequence[Array]) -> float:
    """Return the logarithm of the share of all routes that keeps to some labels, and 0 if there are no labels.

    Args:
        holds: the effort of each state, by stage.
        ways: the effort of the ways to each stage but the first.
        against: the effort that each state costs more if the labels are to be kept.
    """
    edges = edges_of(holds)
    efforts = np.concatenate(holds), np.concatenate(against)
    least = np.repeat(np.minimum.reduceat(efforts[0], edges[:-1]), np.diff(edges))
    own = weights_of(efforts[0] - least)
    kept = split_at(own * np.exp(efforts[1] / -TEMPERATURE), edges)
    nodes = [np.stack(both) for both in zip(split_at(own, edges), kept, strict=True)]
    found, total = nodes[0], np.zeros(2)
    for way, node in zip(chain([None], ways_weighed([*ways])), nodes, strict=True):
        if way is not None:
            found = found @ way * node
        sums = np.add.reduce(found, 1)
        total += np.log(sums)
        found = found / sums[:, None]
    return float(total[1] - total[0])


def _ahead(own: Sequence[Array], ways: Ways) -> Iterator[Array]:
    """The likelihood of all beginnings that end in a state, in proportion, stage by stage."""
    found = own[0]
    yield found
    for way, node in zip(ways, own[1:], strict=True):
        found = _onwards(found, way, node)
        yield found


def _behind(own: Sequence[Array], ways: Ways) -> Iterator[Array]:
    """The likelihood of all ends that go on from a state, in proportion, from the last stage backwards."""
    found = np.ones(len(own[-1]))
    yield found
    for way, node in zip(reversed(ways), own[:0:-1], strict=True):
        found = _backwards(found, way, node)
        yield found


def _onwards(found: Array, way: Array, node: Array) -> Array:
    found = found @ way
    found *= node
    found /= np.add.reduce(found)
    return found


def _backwards(found: Array, way: Array, node: Array) -> Array:
    found = way @ (node * found)
    found /= np.add.reduce(found)
    return found


def _ahead_again(known: Sequence[Array], own: Sequence[Array], ways: StageArrays, stages: Sequence[int]) -> list[Array]:
    """The same as `_ahead`, taken over from known ones where it cannot differ."""
    found, reached = list(known), 0
    for stage in stages:
        if stage < reached:
            continue
        for here in range(stage, len(own)):
            found[here] = _onwards(found[here - 1], ways[here], own[here]) if here else own[0]
            reached = here + 1
            if found[here].tobytes() == known[here].tobytes():
                found[here] = known[here]
                break
    return found


def _behind_again(
    known: Sequence[Array], own: Sequence[Array], ways: StageArrays, stages: Sequence[int]
) -> list[Array]:
    """The same as `_behind`, in the order of the stages, taken over from known ones where it cannot differ."""
    found, reached = list(known), len(own) - 1
    if len(known[-1]) != len(own[-1]):
        found[-1] = np.ones(len(own[-1]))
    for stage in reversed(stages):
        if stage > reached:
            continue
        for here in range(stage - 1, -1, -1):
            found[here] = _backwards(found[here + 1], ways[here + 1], own[here + 1])
            reached = here
            if found[here].tobytes() == known[here].tobytes():
                found[here] = known[here]
                break
    return found


def ways_weighed(ways: Sequence[Array], temperature: Array | None = None) -> list[Array]:
    """Return how likely each way is by itself, not yet in proportion."""
    if not ways:
        return []
    edges = edges_of(ways)
    weights = _weighed(np.concatenate([way.ravel() for way in ways]), edges, temperature)
    return [flat.reshape(way.shape) for flat, way in zip(split_at(weights, edges), ways, strict=True)]


def _weighed(effort: Array, edges: NDArray[np.intp], temperature: Array | None) -> Array:
    """How likely steps of some effort are, those of all stages laid end to end; `edges` tell where each begins."""
    if temperature is None:
        return weights_of(effort)
    weights: Array = np.minimum(effort, FORBIDDEN)
    # Stages of one temperature together: in quick music nearly all of them.
    changes = [0, *(np.flatnonzero(np.diff(temperature)) + 1).tolist(), len(temperature)]
    places = edges.tolist()
    for first, end in pairwise(changes):
        weights[places[first] : places[end]] /= -temperature[first]
    return _exponential(weights, effort)


def weights_of(effort: Array, temperature: Array | float = TEMPERATURE) -> Array:
    """Return how likely steps of some effort are, not yet in proportion; 0 where there is no way."""
    weights: Array = np.minimum(effort, FORBIDDEN)
    weights /= -temperature
    return _exponential(weights, effort)


def _exponential(weights: Array, effort: Array) -> Array:
    np.exp(weights, out=weights)
    weights[effort == np.inf] = 0.0
    return weights


__all__ = [
    "SHARE",
    "TEMPERATURE",
    "Agreement",
    "agree",
    "agreed_path",
    "both_ways",
    "doubt_of",
    "doubts",
    "likelihoods",
    "log_likelihood",
    "states_weighed",
    "temperatures",
    "ways_weighed",
    "weights_of",
]
