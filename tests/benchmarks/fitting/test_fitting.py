"""The fitting tool: its lattice against the planner, its slope against differences, its search on hidden weights."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rules import ALL, cheapest_route
from rules.cost.standard_terms import STANDARD, Weights
from tests.benchmarks.fitting.lattice import Lattice
from tests.benchmarks.fitting.likelihood import Likelihood
from tests.benchmarks.fitting.pieces import Label, Piece
from tests.benchmarks.fitting.search import Decoder, improved
from tests.notation import read_passage

TERMS = STANDARD.terms
NOW = np.array([term.weight for term in TERMS])
TEXTS = {
    "scale": "G4:1/2 A4 B4 C5 D5 E5 F#5 G5 | A5 B5 C6 D6 C6 B5 A5 G5 | F#5 E5 D5 C5 B4 A4 G4:1",
    "song": "(A4:1 B4) C5:2 | (E5:1 D5) A5:2 | [G4 E5]:2 (D5:1 C5) | A4:4",
}


def piece(name: str, weights: Weights = STANDARD) -> Piece:
    """A piece whose labels are the planner's own route under some weights."""
    passage = read_passage(TEXTS[name], tempo=80)
    route = cheapest_route(passage, ALL, weights)
    labels = {}
    for number, event in enumerate(passage.events):
        grip = route.grip(number)
        assert grip is not None
        for note in event.notes:
            stop = grip.stops[route.options[number].slots.index(note.id)]
            assert note.row is not None
            labels[note.row] = Label(frozenset({stop.finger}), stop.string)
    return Piece(name, passage, labels, (labels,))


@pytest.fixture(scope="module")
def lattice() -> Lattice:
    return Lattice([piece("scale"), piece("song")], TERMS)


def test_efforts_add_up_to_those_of_the_planner(lattice: Lattice) -> None:
    hold, move = lattice.efforts(NOW)
    for index, (first, end) in enumerate(lattice.spans):
        route = cheapest_route(lattice.pieces[index].passage, ALL)
        states = [route.chosen[event] for _, event in lattice.events[first:end]]
        total = sum(float(hold[first + k, state]) for k, state in enumerate(states))
        total += sum(float(move[first + k, states[k - 1], states[k]]) for k in range(1, len(states)))
        assert total == pytest.approx(route.effort, abs=1e-3)


def test_decoder_finds_the_planner_route(lattice: Lattice) -> None:
    decoder = Decoder(lattice, [0, 1])
    decoder.set(NOW, doubted=True)
    assert all(row.met == row.given for row in decoder.rows(decoder.met()).values())


def test_slope_is_that_of_the_likelihood(lattice: Lattice) -> None:
    likelihood = Likelihood(lattice, [0, 1])
    start = NOW * 0.5
    _, slope = likelihood.loss(start)
    for term in range(0, len(TERMS), 7):
        step = np.zeros(len(TERMS))
        step[term] = 0.02
        difference = (likelihood.loss(start + step)[0] - likelihood.loss(start - step)[0]) / 0.04
        assert slope[term] == pytest.approx(difference, abs=0.05, rel=0.01)


def test_search_finds_its_way_to_other_labels() -> None:
    # Labels of a player who would do anything rather than cross: the weight of a crossing has to go up.
    crossing = next(i for i, term in enumerate(TERMS) if term.name == "crossing (bound)")
    firm = Weights(tuple(replace(t, weight=12.0) if i == crossing else t for i, t in enumerate(TERMS)))
    lattice = Lattice([piece("scale", firm), piece("song", firm)], TERMS)
    bounds = [(weight, weight) for weight in NOW]
    bounds[crossing] = (0.0, 20.0)
    before, after = Decoder(lattice, [0, 1]), Decoder(lattice, [0, 1])
    before.set(NOW)
    found = improved(lattice, [0, 1], NOW, bounds)
    after.set(found)
    assert found[crossing] > NOW[crossing]
    assert after.value(after.met()) > before.value(before.met())
