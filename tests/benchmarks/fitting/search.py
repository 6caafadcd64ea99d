"""A search on the agreement itself, one weight at a time, in sixteenths."""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy

import numpy as np

from rules.cost.standard_terms import Kind
from tests.benchmarks.fitting.agreement import Agreement, credits_of, label_counts
from tests.benchmarks.fitting.lattice import Floats, Lattice, Numbers, Whole
from tests.benchmarks.fitting.likelihood import Bounds

STEPS = (0.6, 0.25, 0.1)
GAIN, DISTANCE = 0.05, 0.05
"""Percent that a step has to gain, and percent more for each unit away from zero."""
PLAYERS = 0.25
PART_SHAKEN, MORE_SHAKEN = 0.15, 0.03
"""How far weights are shaken: by a part of themselves and by a little more (standard deviations)."""
SHAKES = 8
SEARCHES = (5, 6)
"""Seeds of the searches whose weights are averaged: each draws its own shakes and its own order of terms."""
PART_OF_THE_WAY = 0.75
"""How far to follow the search from where the likelihood led; all the way meets more labels here, fewer elsewhere."""


class Decoder:
    """The best routes of the chosen pieces side by side, and the labels they meet."""

    def __init__(self, lattice: Lattice, chosen: Sequence[int], players: float = 0.0) -> None:
        self._lattice = lattice
        by_length = sorted(chosen, key=lambda i: lattice.spans[i][0] - lattice.spans[i][1])
        self._order = by_length
        first = np.array([lattice.spans[i][0] for i in by_length])
        length = np.array([lattice.spans[i][1] - lattice.spans[i][0] for i in by_length])
        self._steps: list[Whole] = [first[length > k] + k for k in range(int(length.max()))]
        self._credit = credits_of(lattice, players)
        self._given = np.array([label_counts(lattice)[i] for i in by_length], dtype=float)

    def set(self, weights: Numbers, doubted: bool = False) -> None:
        """Take these weights; `doubted` adds what good routes do not agree on, as the planner does at level `all`."""
        self._hold, self._move = self._lattice.efforts(weights)
        if doubted:
            self._hold = self._hold + self._lattice.doubts(self._hold, self._move)

    def met(self, term: int = -1, by: float = 0.0) -> Floats:
        """Return the labels met in each piece, with the weight of one term changed by so much."""
        hold, steps, extra = self._hold, self._steps, None
        if term >= 0:
            changed = self._lattice.terms[term]
            quantity, circumstance = self._lattice.place(changed)
            when = (self._lattice.when[:, circumstance] * by).astype(np.float32)
            if changed.kind is Kind.HOLDING:
                hold = hold + self._lattice.held[:, quantity][self._lattice.of_set] * when[:, None]
            else:
                extra = self._lattice.moved[:, quantity].reshape(-1, self._lattice.size, self._lattice.size)
        best, back = hold[steps[0]].copy(), []
        for at in steps[1:]:
            total = best[: len(at), :, None] + self._move[at]
            if extra is not None:
                total += extra[self._lattice.of_pair[at]] * when[at][:, None, None]
            came = total.argmin(1)
            best[: len(at)] = np.take_along_axis(total, came[:, None, :], 1)[:, 0] + hold[at]
            back.append(came)
        state, met = best.argmin(1), np.zeros(len(best), dtype=np.float32)
        for k in range(len(steps) - 1, -1, -1):
            on = len(steps[k])
            met[:on] += self._credit[steps[k], state[:on]]
            if k:
                state[:on] = back[k - 1][np.arange(on), state[:on]]
        return met

    def value(self, met: Floats) -> float:
        """Return half the percent of all labels and half the mean percent of the pieces."""
        return float(50 * met.sum() / self._given.sum() + 50 * (met / self._given).mean())

    def rows(self, met: Floats) -> dict[str, Agreement]:
        """Return the agreement by piece, by name."""
        names = [self._lattice.pieces[i].name for i in self._order]
        rows = {n: Agreement(round(float(m)), int(g)) for n, m, g in zip(names, met, self._given, strict=True)}
        return dict(sorted(rows.items()))


class Shaken:
    """The mean agreement of some weights and of the same weights shaken, so that no gain hangs on a hair."""

    def __init__(self, lattice: Lattice, chosen: Sequence[int], count: int, seed: int) -> None:
        first = Decoder(lattice, chosen, PLAYERS)
        self._decoders = [first, *(copy(first) for _ in range(count))]
        random = np.random.default_rng(seed)
        self._shakes = [np.zeros((2, len(lattice.terms)))]
        self._shakes += [random.standard_normal((2, len(lattice.terms))) for _ in range(count)]

    def set(self, weights: Numbers) -> None:
        """Take these weights."""
        for decoder, (part, more) in zip(self._decoders, self._shakes, strict=True):
            decoder.set(weights * (1 + PART_SHAKEN * part) + MORE_SHAKEN * more * (weights != 0))

    def value(self, term: int = -1, by: float = 0.0) -> float:
        """Return the mean value, with the weight of one term changed by so much."""
        return sum(decoder.value(decoder.met(term, by)) for decoder in self._decoders) / len(self._decoders)


def part_of_the_way(lattice: Lattice, chosen: Sequence[int], start: Numbers, bounds: Bounds) -> Numbers:
    """Return weights between the start and the mean of some searches from it, in sixteenths."""
    found = np.mean([improved(lattice, chosen, start, bounds, seed=seed) for seed in SEARCHES], axis=0)
    weights: Numbers = np.round((start + PART_OF_THE_WAY * (found - start)) * 16) / 16
    return weights


def improved(
    lattice: Lattice, chosen: Sequence[int], start: Numbers, bounds: Bounds, rounds: int = 2, seed: int = 0
) -> Numbers:
    """Return weights that agree better, moved one at a time from the start in an order drawn once."""
    agreement, weights = Shaken(lattice, chosen, SHAKES, seed), np.round(start * 16) / 16
    agreement.set(weights)
    value = agreement.value()
    order = np.random.default_rng(seed)
    for _ in range(rounds):
        moved = False
        for term in order.permutation(len(weights)):
            best, step = value + GAIN, 0.0
            for by in _steps(float(weights[term]), bounds[term]):
                further = abs(weights[term] + by) > abs(weights[term])
                found = agreement.value(term, by) - DISTANCE * abs(by) * further
                if found > best:
                    best, step = found, by
            if step:
                weights[term] += step
                agreement.set(weights)
                value, moved = agreement.value(), True
        if not moved:
            break
    return weights


def _steps(weight: float, bounds: tuple[float | None, float | None]) -> list[float]:
    scale = min(max(abs(weight), 0.3), 1.5)
    low, high = -np.inf if bounds[0] is None else bounds[0], np.inf if bounds[1] is None else bounds[1]
    wished = [sign * max(round(step * scale * 16), 1) / 16 for step in STEPS for sign in (1, -1)] + [-weight]
    return sorted({float(np.clip(weight + by, low, high)) - weight for by in wished} - {0.0})
