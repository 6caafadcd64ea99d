"""What the routes and the habits of a part tell about its digits: checked against counting every route (no source)."""

from __future__ import annotations

from itertools import product
from math import exp, log

import pytest

from rules.candidates.candidates import candidates
from rules.hand.level import ALL
from rules.marks.constraints import Constraint
from rules.marks.decisions import printed_decisions
from rules.marks.like_places import DOUBT, LikePlaces
from rules.music.passage import Passage
from rules.search.consensus import FORBIDDEN, TEMPERATURE
from rules.search.likely_marks import MOST, RIGHT, LikelyMarks
from rules.search.planner import PassageSearch
from tests.marked_notation import read_marked_passage

PIECE = "A5{1}:1/4 C6{3} D6:1/2"


def finger(*fingers: int) -> Constraint:
    return Constraint(fingers=frozenset(fingers))


def worth_of_all_routes(passage: Passage, marks: dict[int, Constraint]) -> float:
    """The weight of all routes that keep to some marks, every other printed mark doubted a little."""
    printed = printed_decisions(passage)
    options = [option._replace(broken=()) for option in candidates(passage, ALL, printed)]
    found = PassageSearch(passage).efforts(ALL, options)
    assert found is not None
    tables, ways = found
    holds, total = tables.holds(), 0.0
    for route in product(*(range(len(option.grips)) for option in options)):
        effort, against = 0.0, 0
        for event, state in enumerate(route):
            mark = marks.get(event, printed.get(passage.events[event].notes[0].id, Constraint()))
            broken = mark.violations(options[event].grips[state], 0)
            against += broken if event not in marks else 1000 * broken
            effort += float(holds[event][state])
            effort += min(float(ways[event][route[event - 1], state]), FORBIDDEN) if event else 0.0
        total += exp(-effort / TEMPERATURE - RIGHT * against) if against < 1000 else 0.0
    return total


@pytest.mark.parametrize(
    ("instead", "printed"),
    [
        ({0: finger(2)}, {0: finger(1)}),
        ({1: finger(2)}, {1: finger(3)}),
        ({0: finger(3), 1: finger(1)}, {0: finger(1), 1: finger(3)}),
    ],
)
def test_what_is_gained_is_the_share_of_all_routes(
    instead: dict[int, Constraint], printed: dict[int, Constraint]
) -> None:
    passage = read_marked_passage(PIECE)
    expected = log(worth_of_all_routes(passage, instead) / worth_of_all_routes(passage, printed))
    assert abs(expected) < MOST
    assert LikelyMarks(passage).gained_by(instead) == pytest.approx(expected, abs=1e-3)


def test_a_digit_that_fits_the_hand_is_likelier_than_one_that_does_not() -> None:
    marks = LikelyMarks(read_marked_passage("B4{1}:1/4 C5{3} D5{3} E5{4}"))
    assert marks.gained_by({1: finger(2)}) > 0 > marks.gained_by({0: finger(4)})


def test_nothing_is_told_of_what_cannot_be_compared() -> None:
    below = read_marked_passage("C3{1}:1 A4{1}")
    assert LikelyMarks(below).gained_by({0: finger(2)}) == 0.0
    assert LikelyMarks(read_marked_passage("C3{1}:1")).gained_by({0: finger(2)}) == 0.0


def test_like_places_tell_for_what_is_usual_after_the_same_note_and_before_it() -> None:
    usual = "A4{0}:1 B4{1} C5{2} | "
    places = LikePlaces(read_marked_passage(usual * 3 + "A4{0} B4{2} C5{2}"))
    assert places.tell_for(10, (2,), (1,)) == pytest.approx(2 * log((3 + DOUBT) / DOUBT))
    assert places.tell_for(1, (1,), (2,)) == pytest.approx(2 * log((1 + DOUBT) / (2 + DOUBT)))
    assert places.tell_for(1, (1,), (4,)) < places.tell_for(1, (1,), (2,)) < 0
    assert places.shows_meant(1, (1,))
    assert not places.shows_meant(10, (2,))
