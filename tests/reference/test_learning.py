"""Learning a hand: its likelihood against a list of all routes, and hands that were made up found again."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from math import exp, log
from pathlib import Path

import pytest

from rules import ALL, STANDARD_HAND, FingeredPiece, FingeringHand, Passage, Printed, cheapest_route, learn_hand
from rules.cost.context import Character
from rules.learning.fingered_piece import AGAINST_A_LABEL
from rules.search.consensus import TEMPERATURE
from service.musicxml.file.container import open_document
from service.musicxml.read.reader import read_part
from tests.notation import read_passage
from tests.reference.test_consensus import Listed
from tests.reference.test_planner_exact import Sums

SINGS = FingeringHand(open_strings=3.4, height=0.3, crossings=2.9, shifts=0.5)
"""Somebody who would do anything for a warm tone."""


def with_fingers(passage: Passage, fingers: Sequence[int | None]) -> Passage:
    """The passage with a finger printed on each event of one note, where there is one."""
    events = []
    for event, finger in zip(passage.events, fingers, strict=True):
        printed = Printed() if finger is None else Printed(fingers=(finger,))
        events.append(replace(event, notes=tuple(replace(note, printed=printed) for note in event.notes)))
    return replace(passage, events=tuple(events))


def fingered_by(hand: FingeringHand, name: str, passage: Passage) -> FingeredPiece:
    """The passage with every finger that a plan with this hand has."""
    route = cheapest_route(passage, ALL, hand.weights)
    grips = map(route.grip, range(len(passage.events)))
    fingers = [grip.stops[0].finger if grip and len(grip.stops) == 1 else None for grip in grips]
    return FingeredPiece(name, [with_fingers(passage, fingers)])


@pytest.fixture
def music(sample_scores: dict[str, Path]) -> dict[str, Passage]:
    """Four of our own pieces: fast and slow, high and low."""
    found = {}
    for name in ("boathouse_reel", "evening_on_the_jetty", "ferry_waltz", "reed_crossing"):
        root = open_document(sample_scores[name].read_bytes()).root
        found[name] = read_part(root, root.find("part").get("id")).passage
    return found


def test_likelihood_is_the_share_of_all_routes_that_have_the_printed_fingers() -> None:
    passage = with_fingers(read_passage("A4:1/2 B4 E5 C5", tempo=90), [None, 3, 0, None])
    sums = Sums(passage, ALL, cheapest_route(passage, ALL), {}, Character.FROM_THE_PART)
    routes = Listed(sums.holds, sums.ways, sums.temperature).routes
    least = min(routes.values())
    everything = kept = 0.0
    for chosen, effort in routes.items():
        fingers = [grips[k].stops[0].finger for grips, k in zip(sums.grips, chosen, strict=True)]
        broken = (fingers[1] != 3) + (fingers[2] != 0)
        everything += exp((least - effort) / TEMPERATURE)
        kept += exp((least - effort - AGAINST_A_LABEL * broken) / TEMPERATURE)
    piece = FingeredPiece("four notes", [passage])
    assert piece.printed == 2
    assert piece.log_likelihood(STANDARD_HAND) == pytest.approx(log(kept / everything), abs=1e-4)


def test_a_hand_that_was_made_up_is_found_and_helps_on_pieces_left_out(music: dict[str, Passage]) -> None:
    found = learn_hand([fingered_by(SINGS, name, passage) for name, passage in music.items()])
    assert found.hand.height < 1
    assert found.hand.crossings > 1
    assert found.hand.shifts < 1
    assert found.helps
    assert found.learned_share > found.standard_share + 2


@pytest.mark.long
def test_the_fingers_of_the_standard_give_the_standard(music: dict[str, Passage]) -> None:
    found = learn_hand([fingered_by(STANDARD_HAND, name, passage) for name, passage in music.items()])
    assert all(0.7 <= scale <= 1.4 for scale in found.hand.scales.values())
    assert found.standard_share == 100
    assert not found.helps


@pytest.mark.long
def test_fingers_drawn_by_lot_do_not_help(music: dict[str, Passage]) -> None:
    draw = random.Random(4)
    pieces = [
        FingeredPiece(name, [with_fingers(passage, [draw.randrange(1, 5) for _ in passage.events])])
        for name, passage in music.items()
    ]
    found = learn_hand(pieces)
    assert found.learned_share < 45
    assert found.learned_share - found.standard_share < 6


def test_a_finger_that_no_hand_can_take_says_nothing() -> None:
    passage = with_fingers(read_passage("G3:1 A3", tempo=90), [3, None])
    assert FingeredPiece("below", [passage]).log_likelihood(STANDARD_HAND) == 0
