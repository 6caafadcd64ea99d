"""The weights: readable, exact, with the signs that a teacher expects; and what level and character change."""

from __future__ import annotations

import numpy as np
import pytest

from rules import ALL, FIRST_AND_THIRD, Level, Passage, cheapest_route
from rules.cost.context import NAMES, Character, circumstances, singing
from rules.cost.grip_arrays import Block
from rules.cost.learner_terms import LEARNER
from rules.cost.level_contexts import HOME_WOULD_DO
from rules.cost.quantities import holding, moving, width
from rules.cost.standard_terms import STANDARD, Kind
from rules.hand.grip import Grip, Stop
from tests.notation import read_passage
from tests.reference.route_effort import effort_of

REWARDED = {
    "half step",
    "between odd positions",
    "down to a lower finger",
    "leaving the first upwards",
    "crossing to open",
    "first finger low and back",
}
"""What makes a move easier than another of its kind: the only quantities of moves that may always count below 0."""


def fingering(text: str, level: Level = ALL, character: Character = Character.FROM_THE_PART, **how: object) -> str:
    passage = read_passage(text, **how)  # type: ignore[arg-type]
    route = cheapest_route(passage, level, character=character)
    grips = [route.grip(i) for i in range(len(passage.events))]
    return " ".join(f"{'EADG'[g.stops[0].string - 1]}{g.stops[0].finger}" for g in grips if g)


def test_every_weight_is_exact_and_has_a_sentence() -> None:
    for term in STANDARD.terms:
        assert term.weight * 16 == round(term.weight * 16), term.name
        assert term.weight != 0, term.name
        assert term.reason.endswith("."), term.name
        assert term.circumstance in NAMES, term.name
    assert len({term.name for term in STANDARD.terms}) == len(STANDARD.terms)


def test_every_quantity_exists() -> None:
    block = Block.of([[Grip((Stop(3, 1, 2, 1), Stop(2, 2, 3, 2)), 1)]])
    assert {t.quantity for t in STANDARD.of_kind(Kind.HOLDING)} <= holding(block).keys()
    assert {t.quantity for t in STANDARD.of_kind(Kind.MOVING)} <= moving(block, block).keys()


@pytest.mark.parametrize(
    ("before", "after", "is_against"),
    [
        (Grip((Stop(1, 1, 5, 3),), 3), Grip((Stop(1, 4, 6, 4),), 1), True),  # A5 to B flat 5, the hand goes down
        (Grip((Stop(1, 4, 7, 4),), 1), Grip((Stop(1, 1, 5, 3),), 3), True),  # B5 to A5, the hand goes up
        (Grip((Stop(1, 1, 5, 3),), 3), Grip((Stop(1, 3, 5, 3),), 1), False),  # the note is repeated
        (Grip((Stop(1, 1, 5, 3),), 3), Grip((Stop(1, 2, 3, 2),), 1), False),  # A5 to G5, both go down
        (Grip((Stop(2, 1, 5, 3),), 3), Grip((Stop(1, 1, 1, 1),), 1), False),  # D5 to F5 on another string
        (Grip((Stop(1, 1, 5, 3),), 3), Grip((Stop(1, 3, 8, 5),), 3), False),  # the hand stays
    ],
)
def test_a_shift_goes_against_the_line_only_on_one_string(before: Grip, after: Grip, is_against: bool) -> None:
    measured = moving(Block.of([[before]]), Block.of([[after]]))
    assert measured["against the line"].max() == is_against


@pytest.mark.parametrize(
    ("before", "after", "leaves"),
    [(1, 3, True), (0, 2, True), (1, 2, True), (2, 3, False), (1, 1, False), (0, 1, False)],
)
def test_leaving_first_position_begins_in_first_or_below(before: int, after: int, leaves: bool) -> None:
    """Half position belongs to first: the hand is at the nut."""
    grips = [Grip((Stop(2, 1, max(2 * place, 1), place),), place) for place in (before, after)]
    measured = moving(*(Block.of([[grip]]) for grip in grips))
    assert measured["leaving first position"].max() == leaves


@pytest.mark.parametrize("finger", [1, 2, 3, 4])
def test_landing_on_the_third_finger(finger: int) -> None:
    before = Grip((Stop(2, 1, 2, 1),), 1)
    after = Grip((Stop(2, finger, 5 + 2 * finger, 2 + finger),), 3)
    measured = moving(Block.of([[before]]), Block.of([[after]]))
    assert measured["landing on the third"].max() == (finger == 3)


def test_moves_are_efforts_unless_they_help() -> None:
    for term in STANDARD.of_kind(Kind.MOVING):
        if term.circumstance in ("always", "bound"):
            assert (term.weight < 0) == (term.quantity in REWARDED), term.name


def test_circumstances_are_sixteenths_between_0_and_1() -> None:
    passage = read_passage("(G3:1/4 D4 A4) E5:3 | R:1 [D5 B5]:1/2 A6:1/8 A6 E5:2", tempo=72)
    for character in Character:
        for name, values in circumstances(passage, character).items():
            assert values.shape == (len(passage.events),), name
            assert ((values >= 0) & (values <= 1)).all(), name
            assert (values * 16 == np.round(values * 16)).all(), name


def test_nothing_to_play_has_no_circumstances() -> None:
    assert all(len(values) == 0 for values in circumstances(read_passage("R:4")).values())


def test_character_overrides_what_the_part_says() -> None:
    slow, quick = read_passage("A4:2 B4 C5 D5", tempo=50), read_passage("A4:1/4 B4 C5 D5", tempo=120)
    assert (singing(slow, Character.FROM_THE_PART) > singing(quick, Character.FROM_THE_PART)).all()
    assert (singing(quick, Character.SINGING) == 1).all()
    assert (singing(slow, Character.BRILLIANT) == 0).all()


def test_the_neck_narrows_by_half_at_the_octave() -> None:
    # Acoustics: a semitone up from the octave takes half the room of one up from the nut; rounded to quarters.
    places = width(np.array([0.0, 4.0, 12.0, 16.0]))
    assert places[3] - places[2] == pytest.approx((places[1] - places[0]) / 2, abs=0.25)


def test_scale_in_first_position_uses_open_strings_going_up() -> None:
    # Common practice: G major from the open G string, crossing at the open strings.
    assert fingering("G3:1/2 A3 B3 C4 D4 E4 F#4 G4 A4 B4 C5 D5 E5 F#5 G5") == (
        "G0 G1 G2 G3 D0 D1 D2 D3 A0 A1 A2 A3 E0 E1 E2"
    )


def test_lone_top_note_is_taken_by_the_fourth_finger() -> None:
    # Common practice in studies: a neighbour note on the next open string is stopped rather than crossed to.
    assert fingering("(C5:1/4 D5 E5 D5) (C5 B4 C5 D5) C5:1", tempo=80).split()[2] == "A4"


def test_note_that_comes_back_in_separate_bows_rings_open() -> None:
    text = "(D4:1/4 E4) D4 A4 E4 A4 F#4 A4 G4 A4 F#4 A4 E4 A4 D4:1"
    recurring = fingering(text, tempo=100).split()[3:14:2]
    assert recurring.count("A0") >= 4


def test_held_note_avoids_the_open_string() -> None:
    assert fingering("B4:1 C5 | A4:4 | B4:1 C5", tempo=60).split()[2] != "A0"


def test_effort_is_itemised_to_the_sum() -> None:
    passage = read_passage("D5:1 E5 F#5 G5 A5 B5 D6:2 A4", tempo=90)
    for level in (FIRST_AND_THIRD, ALL):
        route = cheapest_route(passage, level)
        assert sum(sum(items.values()) for items in effort_of(passage, route, level)) == route.effort


def test_first_shifter_does_not_shift_under_a_slur() -> None:
    def shifts_in_slurs(passage: Passage, level: Level) -> int:
        route = cheapest_route(passage, level)
        grips = [route.grip(i) for i in range(len(passage.events))]
        pairs = zip(passage.events[1:], grips, grips[1:], strict=False)
        return sum(
            event.slurred and a is not None and b is not None and not a.is_open and a.position != b.position
            for event, a, b in pairs
        )

    passage = read_passage("(A4:1/2 B4 C5 D5) (E5 F5 G5 A5) (B5 C6 D6 C6) (B5 A5 G5 F5) E5:2", tempo=90)
    assert shifts_in_slurs(passage, FIRST_AND_THIRD) == 0


def test_a_chord_that_is_broken_has_its_lowest_note_on_the_lowest_string() -> None:
    """In third position F4 lies only on G, below the open D (common practice: chords are broken from the bottom up)."""
    passage = read_passage("E5:1 D5 B4 A4 R:1 [D4 F4 A4]:2 R:1 E5:1 D5 B4")
    for level in (FIRST_AND_THIRD, ALL):
        grip = cheapest_route(passage, level).grip(4)
        assert grip is not None
        assert [stop.string for stop in grip.stops] == [4, 3, 2]


def test_what_counts_more_for_learners_exists_and_has_a_sentence() -> None:
    block = Block.of([[Grip((Stop(3, 1, 2, 1), Stop(2, 2, 3, 2)), 1)]])
    for term in LEARNER:
        assert term.quantity in (holding(block) if term.kind is Kind.HOLDING else moving(block, block)), term.name
        assert term.circumstance in (*NAMES, HOME_WOULD_DO), term.name
        assert term.weight * 16 == round(term.weight * 16) != 0, term.name
        assert term.reason.endswith("."), term.name
    assert len({(term.kind, term.name) for term in LEARNER}) == len(LEARNER)
