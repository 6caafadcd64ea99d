"""A conditional random field over routes: how likely the labels are under the weights, and in which direction to go.

A route of effort e has a likelihood in proportion to exp(-e / TEMPERATURE), as the planner takes it unless the music is
slow. Pieces are cut into segments, which are summed forwards and backwards side by side; at a cut nothing is known
about the hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from rules.search.consensus import TEMPERATURE
from tests.benchmarks.fitting.agreement import label_counts
from tests.benchmarks.fitting.lattice import NEVER, Floats, Lattice, Numbers, Whole

SEGMENT = 60
"""About how many events are summed in one go."""
Bounds = Sequence[tuple[float | None, float | None]]


class _Pass(NamedTuple):
    """Segments that count with one sign: for the labels of one hand (+1), or for all routes (-1)."""

    sign: int
    first: Whole
    length: Whole
    share: Floats
    penalty: Floats


class Likelihood:
    """The likelihood of the labels of the chosen pieces; each hand of a piece in equal shares."""

    def __init__(self, lattice: Lattice, chosen: Sequence[int]) -> None:
        self._lattice = lattice
        counts = np.array(label_counts(lattice), dtype=float)
        used = counts[list(chosen)]
        # Half of the evidence is spread over labels, half over pieces.
        share = 0.5 + 0.5 * used.sum() / (len(chosen) * np.maximum(counts, 1))
        everything = np.where(lattice.valid, 0, -NEVER).astype(np.float32)
        self._passes = [self._made(-1, {i: share[i] for i in chosen}, everything)]
        for number in range(max(len(lattice.pieces[i].hands) for i in chosen)):
            own = {i: share[i] / len(lattice.pieces[i].hands) for i in chosen if number < len(lattice.pieces[i].hands)}
            hands = [p.hands[number] if number < len(p.hands) else None for p in lattice.pieces]
            agreeing = np.where(lattice.agreeing(hands), 0, -NEVER).astype(np.float32)
            self._passes.append(self._made(1, own, agreeing))

    def _made(self, sign: int, shares: dict[int, float], penalty: Floats) -> _Pass:
        cuts = []
        for index, share in shares.items():
            start, end = self._lattice.spans[index]
            edges = np.linspace(start, end, max(1, round((end - start) / SEGMENT)) + 1).astype(int)
            cuts += [(a, b - a, share) for a, b in pairwise(edges)]
        first, length, share_of = zip(*cuts, strict=True)
        return _Pass(sign, np.array(first), np.array(length), np.array(share_of, dtype=np.float32), penalty)

    def loss(self, weights: Numbers) -> tuple[float, Numbers]:
        """Return the negative logarithm of the likelihood, and its slope for each weight."""
        hold, move = (effort / np.float32(TEMPERATURE) for effort in self._lattice.efforts(weights))
        hold_share, move_share = np.zeros_like(hold), np.zeros_like(move)
        total = sum(self._sum(one, hold, move, hold_share, move_share) for one in self._passes)
        return -total, self._lattice.gathered(hold_share, move_share) / TEMPERATURE

    def _sum(self, one: _Pass, hold: Floats, move: Floats, hold_share: Floats, move_share: Floats) -> float:
        segments, longest = np.arange(len(one.first)), int(one.length.max())
        steps = [(np.flatnonzero(one.length > k), k) for k in range(longest)]
        node = one.penalty - hold
        ahead = np.full((longest, len(segments), self._lattice.size), -NEVER, dtype=np.float32)
        ahead[0] = node[one.first]
        for on, k in steps[1:]:
            at = one.first[on] + k
            ahead[k][on] = _log_sum(ahead[k - 1][on][:, :, None] - move[at], 1) + node[at]
        whole = _log_sum(ahead[one.length - 1, segments], 1)
        back = np.zeros((len(segments), self._lattice.size), dtype=np.float32)
        for on, k in reversed(steps):
            at, share = one.first[on] + k, one.sign * one.share[on]
            hold_share[at] += np.exp(ahead[k][on] + back[on] - whole[on, None]) * share[:, None]
            if k:
                onward = (node[at] + back[on])[:, None, :] - move[at]
                through = ahead[k - 1][on][:, :, None] + (onward - whole[on, None, None])
                move_share[at] += np.exp(through) * share[:, None, None]
                back[on] = _log_sum(onward, 2)
        return float(one.sign * (one.share * whole).sum())


def _log_sum(values: Floats, axis: int) -> Floats:
    most = values.max(axis, keepdims=True)
    found: Floats = (most + np.log(np.exp(values - most).sum(axis, keepdims=True))).squeeze(axis)
    return found


def fitted(
    lattice: Lattice,
    chosen: Sequence[int],
    start: Numbers,
    bounds: Bounds,
    hold_back: float | Numbers = 2.0,
    rounds: int = 30,
) -> Numbers:
    """Return the weights of greatest likelihood; `hold_back` is what a squared unit away from the start costs.

    It can be one number, or one for each weight.
    """
    from scipy.optimize import minimize  # loaded where it is needed: collecting the tests loads this module

    likelihood = Likelihood(lattice, chosen)

    def loss(weights: Numbers) -> tuple[float, Numbers]:
        value, slope = likelihood.loss(weights)
        apart = weights - start
        return value + float((hold_back * apart * apart).sum()), slope + 2 * hold_back * apart

    options = {"maxiter": rounds, "maxfun": 2 * rounds, "ftol": 1e-5}
    result = minimize(loss, start, jac=True, method="L-BFGS-B", bounds=bounds, options=options)
    return np.asarray(result.x, dtype=np.float64)
