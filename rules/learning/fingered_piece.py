"""A piece with printed fingers: how likely they are under a hand, and how many of them a plan meets."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ..candidates.candidates import Candidates, candidates
from ..cost.context import Character
from ..cost.fingering_hand import SCALES, FingeringHand, scale_of
from ..cost.grip_arrays import Array
from ..cost.passage_costs import Tables
from ..cost.standard_terms import STANDARD, Kind, Weights
from ..hand.level import ALL
from ..marks.constraints import Constraint
from ..music.passage import Passage
from ..search.consensus import log_likelihood
from ..search.planner import cheapest_route
from ..search.stage_arrays import edges_of, split_at

AGAINST_A_LABEL = 16.0
"""Effort of a grip with another finger than the printed one: a misprint does not make everything impossible."""


class FingeredPiece:
    """The passages of one piece, with the fingers (and strings) that are printed in them."""

    def __init__(self, name: str, passages: Sequence[Passage]) -> None:
        self.name = name
        self.passages = tuple(passages)
        self._known: dict[FingeringHand, float] = {}

    @cached_property
    def labels(self) -> tuple[dict[str, Constraint], ...]:
        """By passage, the printed fingers by note, each with its string if that is printed."""
        return tuple(
            {
                note.id: Constraint(frozenset(note.printed.fingers), frozenset(note.printed.strings) or None)
                for note in passage.notes
                if note.printed.fingers
            }
            for passage in self.passages
        )

    @cached_property
    def printed(self) -> int:
        """How many fingers are printed."""
        return sum(map(len, self.labels))

    def met(self, hand: FingeringHand) -> int:
        """Return how many of the printed fingers the plan of a professional with this hand has, without seeing them."""
        return sum(
            _met(passage, labels, hand) for passage, labels in zip(self.passages, self.labels, strict=True) if labels
        )

    def log_likelihood(self, hand: FingeringHand) -> float:
        """Return the logarithm of the share of all routes that has the printed fingers; likely routes count more."""
        if hand not in self._known:
            self._known[hand] = sum(lattice.log_likelihood(hand) for lattice in self._lattices)
        return self._known[hand]

    @cached_property
    def _lattices(self) -> list[_Lattice]:
        pairs = zip(self.passages, self.labels, strict=True)
        return [_Lattice(passage, labels) for passage, labels in pairs if labels]


def _met(passage: Passage, labels: dict[str, Constraint], hand: FingeringHand) -> int:
    route = cheapest_route(passage, ALL, hand.weights)
    found = 0
    for event, option in enumerate(route.options):
        grip = route.grip(event)
        for slot, note in enumerate(option.slots if grip else ()):
            if grip is not None and note in labels.keys() & {struck.id for struck in passage.events[event].notes}:
                found += labels[note].violations(grip, slot) == 0
    return found


class _Lattice:
    """The grips of one passage and the ways between them, for each scale by itself, so that a hand is a weighted sum.

    It is kept in single precision, about 5 kB a note.
    """

    def __init__(self, passage: Passage, labels: Mapping[str, Constraint]) -> None:
        options = candidates(passage, ALL, {})
        playable = [t for t, option in enumerate(options) if option.grips]
        terms = {name: tuple(term for term in STANDARD.terms if scale_of(term) == name) for name in SCALES}
        tables = {
            name: Tables(passage, options, playable, ALL, Weights(of), Character.FROM_THE_PART)
            for name, of in terms.items()
        }
        self._moving = [name for name, of in terms.items() if any(term.kind is Kind.MOVING for term in of)]
        holds = [tables[name].holds() for name in SCALES]
        ways = [tables[name].ways(range(1, len(playable))) for name in self._moving]
        self._shapes = [way.shape for way in ways[0]]
        self._edges, self._way_edges = edges_of(holds[0]), edges_of(ways[0])
        self._holds = np.stack([np.concatenate(of) for of in holds])
        self._ways = np.stack([_laid_out(of) for of in ways])
        self._against = [np.zeros(len(hold)) for hold in holds[0]]
        for against, event in zip(self._against, playable, strict=True):
            struck = {note.id for note in passage.events[event].notes}
            for broken in _against(options[event], {id: labels[id] for id in labels.keys() & struck}):
                against[: len(broken)] += broken * AGAINST_A_LABEL

    def log_likelihood(self, hand: FingeringHand) -> float:
        scales = hand.scales
        holds = np.array([scales[name] for name in SCALES]) @ self._holds
        ways = (np.array([scales[name] for name in self._moving], dtype=np.float32) @ self._ways).astype(np.float64)
        shaped = [way.reshape(shape) for way, shape in zip(split_at(ways, self._way_edges), self._shapes, strict=True)]
        return log_likelihood(split_at(holds, self._edges), shaped, self._against)


def _laid_out(ways: Sequence[Array]) -> NDArray[np.float32]:
    return np.concatenate([way.ravel() for way in ways]).astype(np.float32) if ways else np.zeros(0, np.float32)


def _against(option: Candidates, labels: Mapping[str, Constraint]) -> Iterator[NDArray[np.bool_]]:
    """For each label, the grips that go against it; a label that no hand can keep says nothing."""
    for slot, note in enumerate(option.slots):
        if note in labels:
            broken = np.array([labels[note].violations(grip, slot) > 0 for grip in option.grips])
            if not broken.all():
                yield broken


__all__ = ["FingeredPiece"]
