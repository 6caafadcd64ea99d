"""Every grip of every event, and every way between them, as arrays that are linear in the weights."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from rules.candidates.candidates import Candidates
from rules.cost.context import circumstances
from rules.cost.grip_arrays import Block
from rules.cost.passage_costs import SLOW
from rules.cost.quantities import forbidden, holding, moving
from rules.cost.standard_terms import Kind, Term
from rules.hand.grip import Grip
from rules.search.consensus import doubts, temperatures
from tests.benchmarks.fitting.pieces import Hand, Piece

Floats = NDArray[np.float32]
Numbers = NDArray[np.float64]
Whole = NDArray[np.intp]
NEVER = 1e4
"""Effort of what cannot be chosen."""


class Lattice:
    """The pieces one after the other: a step for each event that can be sounded, with `size` places for grips."""

    def __init__(self, pieces: Sequence[Piece], terms: Sequence[Term]) -> None:
        self.pieces, self.terms = list(pieces), list(terms)
        self.spans: list[tuple[int, int]] = []
        self.events: list[tuple[int, int]] = []
        self._sets: list[tuple[Grip, ...]] = []
        self._names = sorted({term.circumstance for term in terms})
        numbers: dict[tuple[Grip, ...], int] = {}
        when, of_set, slow = [], [], []
        for index, piece in enumerate(pieces):
            values = circumstances(piece.passage)
            table = np.stack([values[name] for name in self._names], axis=1)
            first = len(self.events)
            for event, option in enumerate(piece.options):
                if option.grips:
                    number = numbers.setdefault(tuple(option.grips), len(numbers))
                    if number == len(self._sets):
                        self._sets.append(tuple(option.grips))
                    of_set.append(number)
                    when.append(table[event])
                    slow.append(values[SLOW][event])
                    self.events.append((index, event))
            self.spans.append((first, len(self.events)))
        self.when: Numbers = np.array(when)
        self._slow: Numbers = np.array(slow)
        self.of_set: Whole = np.array(of_set, dtype=np.intp)
        self.size = max(map(len, self._sets))
        self.grips: Whole = np.array([len(self._sets[s]) for s in of_set], dtype=np.intp)
        self.valid = np.arange(self.size) < self.grips[:, None]
        self._measure()

    def option(self, step: int) -> Candidates:
        """Return the candidates at a step."""
        piece, event = self.events[step]
        found: Candidates = self.pieces[piece].options[event]
        return found

    def _measure(self) -> None:
        """Measure each set of grips once, and each pair of sets that follow each other."""
        self._hold_quantities = sorted({t.quantity for t in self.terms if t.kind is Kind.HOLDING})
        self._move_quantities = sorted({t.quantity for t in self.terms if t.kind is Kind.MOVING})
        blocks = {number: Block.of([grips]).widened(self.size) for number, grips in enumerate(self._sets)}
        self.held: Floats = np.zeros((len(self._sets), len(self._hold_quantities), self.size), dtype=np.float32)
        for number, block in blocks.items():
            measured = holding(block)
            self.held[number] = [measured[name][0] for name in self._hold_quantities]
        starts = {first for first, _ in self.spans}
        pairs: dict[tuple[int, int], int] = {}
        self.of_pair: Whole = np.full(len(self.events), -1, dtype=np.intp)
        for step in range(len(self.events)):
            if step not in starts:
                pair = (int(self.of_set[step - 1]), int(self.of_set[step]))
                self.of_pair[step] = pairs.setdefault(pair, len(pairs))
        self.moved: Floats = np.zeros((len(pairs), len(self._move_quantities), self.size**2), dtype=np.float32)
        self.never = np.zeros((len(pairs), self.size, self.size), dtype=bool)
        for (before, now), number in pairs.items():
            measured = moving(blocks[before], blocks[now])
            self.moved[number] = [measured[name][0].ravel() for name in self._move_quantities]
            self.never[number] = forbidden(blocks[before], blocks[now])[0]
        self.steps_of_set = _places(self.of_set, len(self._sets))
        self.steps_of_pair = _places(self.of_pair, len(pairs))

    def place(self, term: Term) -> tuple[int, int]:
        """Return the rows of a term's quantity and of its circumstance."""
        quantities = self._hold_quantities if term.kind is Kind.HOLDING else self._move_quantities
        return quantities.index(term.quantity), self._names.index(term.circumstance)

    def efforts(self, weights: Numbers) -> tuple[Floats, Floats]:
        """Return what holding costs (step, grip) and what the way to a step costs (step, grip before, grip)."""
        hold_by = np.zeros((len(self._hold_quantities), len(self._names)))
        move_by = np.zeros((len(self._move_quantities), len(self._names)))
        for term, weight in zip(self.terms, weights, strict=True):
            (hold_by if term.kind is Kind.HOLDING else move_by)[self.place(term)] += weight
        hold_at, move_at = (self.when @ hold_by.T).astype(np.float32), (self.when @ move_by.T).astype(np.float32)
        hold = np.full((len(self.events), self.size), NEVER, dtype=np.float32)
        for number, steps in enumerate(self.steps_of_set):
            hold[steps] = hold_at[steps] @ self.held[number]
        hold[~self.valid] = NEVER
        move = np.full((len(self.events), self.size, self.size), NEVER, dtype=np.float32)
        for number, steps in enumerate(self.steps_of_pair):
            found = (move_at[steps] @ self.moved[number]).reshape(len(steps), self.size, self.size)
            found[:, self.never[number]] = NEVER
            move[steps] = found
        return hold, move

    def doubts(self, hold: Floats, move: Floats) -> Floats:
        """Return what good routes do not agree on (step, grip), piece by piece, as the planner weighs it."""
        found = np.zeros_like(hold)
        for first, end in self.spans:
            sizes = self.grips[first:end]
            holds = [hold[first + k, :size].astype(float) for k, size in enumerate(sizes)]
            ways = [move[first + k, : sizes[k - 1], : sizes[k]].astype(float) for k in range(1, end - first)]
            alike = [self.option(step).grips.alike for step in range(first, end)]
            for k, doubt in enumerate(doubts(holds, ways, alike, temperatures(self._slow[first:end]))):
                found[first + k, : sizes[k]] = doubt
        return found

    def gathered(self, hold_share: Floats, move_share: Floats) -> Numbers:
        """Return for every term its quantity times its circumstance, summed over the shares of grips and ways."""
        held = np.zeros((len(self._hold_quantities), len(self._names)))
        moved = np.zeros((len(self._move_quantities), len(self._names)))
        for number, steps in enumerate(self.steps_of_set):
            held += (self.held[number] @ hold_share[steps].T) @ self.when[steps]
        for number, steps in enumerate(self.steps_of_pair):
            moved += (self.moved[number] @ move_share[steps].reshape(len(steps), -1).T) @ self.when[steps]
        return np.array([(held if t.kind is Kind.HOLDING else moved)[self.place(t)] for t in self.terms])

    def agreeing(self, hands: Sequence[Hand | None]) -> NDArray[np.bool_]:
        """Return which grips agree with the labels of one hand for each piece; all of them where nothing is labelled.

        A label that no grip meets together with the others of its chord is left out; the string goes before the finger.
        """
        agrees = self.valid.copy()
        for step, (index, event) in enumerate(self.events):
            hand = hands[index]
            if hand is None:
                continue
            option = self.option(step)
            for note in self.pieces[index].passage.events[event].notes:
                label = hand.get(note.row) if note.row is not None else None
                if label is None or note.id not in option.slots:
                    continue
                stops = [grip.stops[option.slots.index(note.id)] for grip in option.grips]
                finger = np.array([stop.finger in label.fingers for stop in stops])
                both = finger & np.array([label.string in (None, stop.string) for stop in stops])
                now = agrees[step, : len(stops)]
                for wish in (both, finger):
                    if (now & wish).any():
                        now &= wish
                        break
        return agrees


def _places(numbers: Whole, count: int) -> list[Whole]:
    found: dict[int, list[int]] = defaultdict(list)
    for place, number in enumerate(numbers):
        found[int(number)].append(place)
    return [np.array(found[number], dtype=np.intp) for number in range(count)]
