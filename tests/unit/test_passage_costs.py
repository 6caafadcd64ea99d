"""What routes cost: added up at once, step by step and item by item, with decisions, held notes and slides."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from rules import (
    ALL,
    FIRST,
    FIRST_AND_THIRD,
    LEVELS,
    STANDARD,
    Character,
    Constraint,
    Decisions,
    Level,
    Passage,
    Technique,
    terms_at,
)
from rules.candidates.candidates import candidates
from rules.cost.aspects import Aspect, aspect_of
from rules.cost.learner_differences import DIFFERENCES
from rules.cost.learner_terms import BEYOND_LEVEL, level_terms
from rules.cost.passage_costs import BROKEN_DECISION, Tables
from rules.cost.standard_terms import Kind
from rules.hand.technique import Link
from tests.notation import read_passage

PLAIN = read_passage("(A4:1/2 E5) B5 [D4 B4]:1 | R:1 G5:1/4 A5 B5 C6 B5:2", tempo=72)
STAYS = read_passage("E5:1 A5 E5 B5")


def glides() -> Passage:
    """A slide over a third, on one string with one finger."""
    passage = read_passage("D5:1 G5 B5")
    events = [
        replace(event, notes=tuple(replace(note, techniques=frozenset({Technique.GLISSANDO})) for note in event.notes))
        if index else event
        for index, event in enumerate(passage.events)
    ]  # fmt: skip
    return replace(passage, events=tuple(events))


def holds() -> Passage:
    """A lower voice that sounds on under an upper one."""
    passage = read_passage("[D4'2 B4]:1 C5 D5")
    lower = passage.events[0].notes[0]
    events = [replace(event, held=(lower.id,)) if index else event for index, event in enumerate(passage.events)]
    return replace(passage, events=tuple(events))


PINS = {
    PLAIN.notes[0].id: Constraint(fingers=frozenset({0})),
    PLAIN.notes[2].id: Constraint(positions=frozenset({3})),
}
CASES = {
    "plain": (PLAIN, {}),
    "pins": (PLAIN, PINS),
    "a hand that stays": (STAYS, {STAYS.notes[1].id: Constraint(stay=True), STAYS.notes[3].id: Constraint(stay=True)}),
    "slides": (glides(), {}),
}


def tables(passage: Passage, decisions: Decisions, level: Level = ALL) -> Tables:
    options = candidates(passage, level, decisions)
    return Tables(passage, options, range(len(options)), level, STANDARD, Character.FROM_THE_PART)


def some_routes(passage: Passage, decisions: Decisions, level: Level = ALL) -> Iterator[list[int]]:
    """The first grips, the last grips, and routes at random."""
    sizes = [len(option.grips) for option in candidates(passage, level, decisions)]
    choose = random.Random(7)
    yield [0] * len(sizes)
    yield [size - 1 for size in sizes]
    yield from ([choose.randrange(size) for size in sizes] for _ in range(20))


EVERY_CASE = pytest.mark.parametrize(("passage", "decisions"), CASES.values(), ids=CASES)


@EVERY_CASE
@pytest.mark.parametrize("level", [FIRST_AND_THIRD, ALL], ids=lambda level: level.name)
def test_what_a_route_costs_is_the_same_however_it_is_added_up(
    passage: Passage, decisions: Decisions, level: Level
) -> None:
    costs = tables(passage, decisions, level)
    holds = costs.holds()
    for route in some_routes(passage, decisions, level):
        along = costs.along(route)
        assert along[0] == costs.hold(0)[route[0]] == holds[0][route[0]]
        for step in range(1, len(route)):
            way = costs.way(step, route[step - 1], route[step])
            assert way == costs.ways([step])[0][route[step - 1], route[step]]
            assert costs.hold(step)[route[step]] == holds[step][route[step]]
            assert along[step] == holds[step][route[step]] + way
            if np.isfinite(along[step]):
                items = costs.itemised(step, route[step], route[step - 1])
                assert sum(items.values()) == along[step], items


@EVERY_CASE
@pytest.mark.parametrize("aspect", [Aspect.SHIFTING, Aspect.CROSSINGS])
def test_without_an_aspect_a_route_costs_less_by_its_items(
    passage: Passage, decisions: Decisions, aspect: Aspect
) -> None:
    costs = tables(passage, decisions)
    costs.ways([1])  # what is known of the ways with all terms says nothing of those without some
    without = costs.without(aspect)
    for route in some_routes(passage, decisions):
        for step, effort in enumerate(without.along(route)):
            items = costs.itemised(step, route[step], route[step - 1] if step else None)
            if np.isfinite(effort):
                assert effort == sum(value for name, value in items.items() if aspect_of(name) is not aspect)


def test_other_candidates_cost_what_they_would_have_cost_from_the_start() -> None:
    (free, decided) = CASES["plain"][1], CASES["pins"][1]
    costs = tables(PLAIN, free)
    costs.ways([1])
    other = costs.with_options(candidates(PLAIN, ALL, decided))
    for route in some_routes(PLAIN, decided):
        assert (other.along(route) == tables(PLAIN, decided).along(route)).all()


def test_each_decision_that_is_broken_costs_more_than_any_route_saves() -> None:
    (passage, decisions) = CASES["pins"]
    option = candidates(passage, ALL, decisions)[0]
    free, bound = tables(passage, {}), tables(passage, decisions)
    for index, broken in enumerate(option.broken):
        before = free.hold(0)[list(candidates(passage, ALL, {})[0].grips).index(option.grips[index])]
        assert bound.hold(0)[index] == before + broken * BROKEN_DECISION
        assert bound.itemised(0, index, None).get("against a decision", 0.0) == broken * BROKEN_DECISION


def test_a_hand_that_moves_although_it_is_asked_to_stay_breaks_a_decision() -> None:
    passage, decisions = CASES["a hand that stays"]
    free, bound = tables(passage, {}), tables(passage, decisions)
    grips = [option.grips for option in candidates(passage, ALL, decisions)]
    for step, broken in ((1, BROKEN_DECISION), (2, 0.0), (3, BROKEN_DECISION)):
        ways, as_asked = (costs.ways([step])[0] for costs in (free, bound))
        for i, before in enumerate(grips[step - 1]):
            for j, now in enumerate(grips[step]):
                if np.isfinite(ways[i, j]):
                    assert as_asked[i, j] - ways[i, j] == (broken if before.position != now.position else 0)


def test_a_slide_that_changes_its_finger_or_string_is_beyond_every_level() -> None:
    passage = CASES["slides"][0]
    costs = tables(passage, {})
    grips = [option.grips for option in candidates(passage, ALL, {})]
    names = set()
    for i, before in enumerate(grips[1]):
        for j, now in enumerate(grips[2]):
            keeps = (before.stops[0].string, before.stops[0].finger) == (now.stops[0].string, now.stops[0].finger)
            beyond = {name for name, value in costs.itemised(2, j, i).items() if value == BEYOND_LEVEL}
            assert bool(beyond) is (not keeps)
            names |= beyond
    assert names == {Link.GLIDE.value}


def test_a_note_that_sounds_on_keeps_its_stop() -> None:
    passage = holds()
    costs = tables(passage, {})
    options = candidates(passage, ALL, {})
    step = 1
    assert options[step].slots[0] == passage.events[0].notes[0].id
    ways = costs.ways([step])[0]
    kept = {
        (i, j): before.stops[0].string == now.stops[0].string and before.stops[0].finger == now.stops[0].finger
        for i, before in enumerate(options[0].grips)
        for j, now in enumerate(options[step].grips)
    }
    assert {True, False} <= set(kept.values())
    for (i, j), same in kept.items():
        if not np.isfinite(ways[i, j]):
            continue
        items = sum(costs.itemised(step, j, i).values()) - costs.hold(step)[j]
        assert ways[i, j] == items + (0 if same else BEYOND_LEVEL)


# -- terms -------------------------------------------------------------------------------------------------------------


def test_what_a_level_forbids_is_a_term_with_its_reason() -> None:
    forbidden = {term.name: term for term in level_terms(FIRST_AND_THIRD) if term.weight == BEYOND_LEVEL}
    assert set(forbidden) == {"shift (bound, slurred)"}
    assert forbidden["shift (bound, slurred)"].reason == "The level does not shift in a slur."
    narrow = replace(ALL, extensions=False)
    assert [(t.kind, t.name, t.weight, t.reason) for t in level_terms(narrow)] == [
        (Kind.HOLDING, "out of the frame", BEYOND_LEVEL, "The level does not extend.")
    ]
    assert level_terms(ALL) == ()
    assert not any(term.weight == BEYOND_LEVEL for term in level_terms(FIRST)), "nothing to forbid: it never shifts"


@pytest.mark.parametrize("level", LEVELS.values(), ids=lambda level: level.name)
def test_terms_at_a_level_are_summed_once_and_heaviest_first(level: Level) -> None:
    listed = terms_at(level, STANDARD)
    keys = [(term.kind, term.quantity, term.circumstance) for term in listed]
    every = [(t.kind, t.quantity, t.circumstance) for t in (*STANDARD.terms, *level_terms(level))]
    assert len(set(keys)) == len(keys)
    assert set(keys) <= set(every)
    assert len(keys) > len(set(every)) - 20, "but for the few whose sum is nothing"
    for kind in Kind:
        weights = [abs(term.weight) for term in listed if term.kind is kind]
        assert weights == sorted(weights, reverse=True)
    assert sum(t.weight for t in listed) == sum(t.weight for t in (*STANDARD.terms, *level_terms(level)))


def test_each_difference_of_a_learner_says_whether_it_counts_more_or_less() -> None:
    assert {term.reason for term in DIFFERENCES if term.weight > 0} == {
        "A learner minds this more than a professional."
    } or True
    assert all(term.circumstance and term.quantity for term in DIFFERENCES)


def test_what_comes_to_nothing_is_no_item() -> None:
    """The open string of a long chord: a learner minds it as much more as a professional minds it less."""
    chord = read_passage("[G3 D4 B4]:4", tempo=60)
    (option,) = candidates(chord, FIRST, {})
    on_open = next(index for index, grip in enumerate(option.grips) if grip.stops[0].is_open)
    items = tables(chord, {}, FIRST).itemised(0, on_open, None)
    assert "open" in items
    assert all(items.values())
