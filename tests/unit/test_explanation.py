"""Anchors by ear, aspects of effort, and what an excursion saves."""

from __future__ import annotations

import pytest

from rules import (
    ALL,
    FIRST_AND_THIRD,
    LEVELS,
    STANDARD,
    VIOLIN,
    Aspect,
    Pitch,
    Plan,
    anchor_help,
    aspect_of,
    by_aspect,
    cheapest_route,
    explain,
    propose,
    terms_at,
)
from rules.cost.aspects import ASPECTS
from rules.proposal.explanation import arrival_string
from rules.proposal.proposal import anchors
from tests.marked_notation import read_stops
from tests.notation import plan_with_stops, read_passage
from tests.reference.route_effort import effort_of

TURNING = "G4:1 F#4 E4 D4 | (A4:1/4 D5 A4 D5) (G4 D5 G4 D5) (A4 D5 A4 D5) (C5 D5 C5 B4) | G4:1 F#4 E4 D4"
HIGH_AND_LOW = "D4:1 E4 F#4 R | D5:1/2 E5 F#5 D6 C#6 D6 G4 A4 | B4 D5 D6 C#6 D6 F#5 D5 R | G4:1 F#4 E4 D4"
"""The second and third bar go higher than first position reaches, and back over four strings."""

# Common practice: third position lies where the third finger is in first; fourth position is a unison with the next
# open string; seventh the octave of the own one; fifth position on D is the first finger on A.
ANCHORS = [
    (3, 3, "G4", ["D4", "E4", "F#4", "G4"], (3, 3), False, 4, 1),
    (3, 2, "D5", ["A4", "B4", "C#5", "D5"], (2, 3), False, 3, 1),
    (3, 1, "A5", ["E5", "F#5", "G5", "A5"], (1, 3), False, 2, 1),
    (4, 3, "A4", ["D4", "E4", "F#4", "G4", "A4"], (3, 4), False, 2, 0),
    (5, 3, "B4", ["A4", "B4"], (2, 1), False, None, 0),
    (2, 3, "F#4", ["D4", "E4", "F#4"], (3, 2), False, None, 0),
    (7, 1, "E6", ["E5"], (1, 0), True, None, 0),
    (5, 1, "C#6", ["A4", "B4", "C#5"], (2, 2), True, None, 0),
]


@pytest.mark.parametrize(("position", "string", "name", "climb", "known", "below", "rings", "octaves"), ANCHORS)
def test_anchor_is_found_by_climbing_from_an_open_string(
    position: int,
    string: int,
    name: str,
    climb: list[str],
    known: tuple[int, int],
    below: bool,
    rings: int | None,
    octaves: int,
) -> None:
    found = anchor_help(VIOLIN, position, string, Pitch.named(name), 2)
    assert found is not None
    assert [pitch.name for pitch in found.climb] == climb
    assert (found.position, found.string, found.pitch.name) == (position, string, name)
    assert (found.known.string, found.known.finger) == known
    assert found.octave_below is below
    assert (found.rings_with, found.octaves) == (rings, octaves)


def test_the_climb_has_the_notes_of_the_passage_and_no_step_that_nobody_hears() -> None:
    def climb(position: int, string: int, name: str, fifths: int, played: dict[int, float]) -> list[str]:
        found = anchor_help(VIOLIN, position, string, Pitch.named(name), fifths, played)
        return [] if found is None else [pitch.name for pitch in found.climb]

    assert climb(3, 2, "D5", 0, {}) == ["A4", "B4", "C5", "D5"]
    assert climb(3, 2, "D5", 0, {0: 1}) == ["A4", "B4", "C#5", "D5"]
    # From A flat to B natural, or from E flat to F sharp, is an augmented second.
    assert climb(4, 1, "B5", -3, {}) == ["E5", "F5", "G5", "A5", "B5"]
    assert climb(2, 3, "F#4", -3, {}) == ["D4", "E4", "F#4"]
    # Nor is there one at its foot, from the open G to A sharp, whether the passage or the key has it.
    assert climb(2, 4, "B3", 0, {5: 1}) == ["G3", "A3", "B3"]
    assert climb(2, 4, "B3", 7, {}) == ["G3", "A3", "B3"]
    # Notes that do not rise are left to the key.
    assert climb(3, 2, "D5", 0, {0: 2}) == ["A4", "B4", "C5", "D5"]


def test_every_term_is_about_something_and_the_aspects_add_up() -> None:
    passage = read_passage(TURNING, fifths=2)
    planned = propose(passage, FIRST_AND_THIRD)
    for items in effort_of(passage, planned.plan.route, FIRST_AND_THIRD):
        assert sum(by_aspect(items).values()) == pytest.approx(sum(items.values()))
    assert {aspect_of(term.name) for term in STANDARD.terms} == set(Aspect) - {Aspect.DECISIONS}
    assert {term.quantity for level in LEVELS.values() for term in terms_at(level, STANDARD)} <= ASPECTS.keys()


@pytest.mark.parametrize(
    ("term", "aspect"),
    [
        ("shift across strings (bound)", Aspect.SHIFTING),
        ("crossing (bound, singing)", Aspect.CROSSINGS),
        ("skip", Aspect.CROSSINGS),
        ("fourth finger (long)", Aspect.TONE),
        ("open (long)", Aspect.TONE),
        ("same finger hops (bound)", Aspect.HAND),
        ("out of the frame", Aspect.HAND),
        ("steps up the fingerboard", Aspect.PLACE),
        ("against a decision", Aspect.DECISIONS),
    ],
)
def test_terms_are_grouped_as_a_player_would(term: str, aspect: Aspect) -> None:
    assert aspect_of(term) is aspect


def test_the_saving_is_what_first_position_costs_less_what_the_excursion_costs() -> None:
    """Notes that first position does not reach, and the ways from them, are left out on both sides."""
    planned = propose(read_passage(HIGH_AND_LOW, fifths=2), FIRST_AND_THIRD)
    explained = explain(planned)
    (found,) = explained.proposals
    home, excursion = planned.first_position.routes, found.proposal.excursion
    events = [
        event
        for event in range(excursion.first, excursion.last + 2)
        if planned.home.grip(event) and planned.home.grip(event - 1)
    ]
    assert len(events) < excursion.last + 2 - excursion.first
    at_home = sum(sum(home.items(event, planned.home.route.chosen).values()) for event in events)
    away = sum(sum(explained.items(event).values()) for event in events)
    assert sum(found.saving.values()) == pytest.approx(at_home - away)
    assert found.saving[Aspect.CROSSINGS] > 0 > found.saving[Aspect.SHIFTING]


def test_cost_of_a_note_is_itemised() -> None:
    explained = explain(propose(read_passage(TURNING, fifths=2), FIRST_AND_THIRD))
    plan = explained.plan
    total = sum(sum(explained.items(event).values()) for event in range(len(plan.passage.events)))
    assert total == pytest.approx(plan.route.effort)


def test_the_hand_arrives_on_the_string_of_the_first_stop_of_the_span() -> None:
    plan = plan_with_stops(read_passage("E4 F#4 D5 E5 G4 A5", fifths=2), "D1 D2 A1 A2 D1 E1")
    assert [(span.position, arrival_string(plan, span)) for span in plan.spans] == [(1, 3), (3, 2)]


def test_a_first_finger_stretched_in_a_chord_does_not_tell_where_the_hand_arrives() -> None:
    """C on the G string is the first finger's note in third position: in second the hand is found on the A string."""
    passage = read_passage("E4 [C4 A4 D#5]")
    stops = read_stops("D1@1 G1@2+D3@2+A2@2", passage)
    plan = Plan(passage, ALL, cheapest_route(passage, ALL, decisions=stops))
    (excursion,) = plan.excursions
    assert arrival_string(plan, excursion.spans[0]) == 2
    assert {string: pitch.name for string, pitch in anchors(plan, excursion)[2].items()}[4] == "B3"


def test_the_anchor_on_the_string_where_the_hand_arrives_comes_first() -> None:
    (found,) = explain(propose(read_passage(HIGH_AND_LOW, fifths=2), FIRST_AND_THIRD)).proposals
    assert [(anchor.position, anchor.string) for anchor in found.anchors] == [(3, 2), (3, 1), (3, 3)]
    assert found.listen == found.anchors[:1]
    assert {pattern.string for pattern in found.patterns} == {1, 2, 3}
