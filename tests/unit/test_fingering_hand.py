"""A fingering hand: what its scales multiply, its texts and files, and what is refused."""

from __future__ import annotations

from collections import Counter

import pytest

from rules import ALL, LEAST_SCALE, MOST_SCALE, SCALES, STANDARD, STANDARD_HAND, FingeringHand, cheapest_route
from rules.cost.fingering_hand import scale_of
from service.config.hands import hand_file, hand_text, read_hand_file
from service.config.options import read_options
from service.errors import ScoreError
from service.messages.message import Wording
from tests.notation import read_passage

SHY = FingeringHand(shifts=2.0, tone=0.5)


def test_every_scale_multiplies_some_terms_and_every_term_has_one_scale() -> None:
    counted = Counter(scale_of(term) for term in STANDARD.terms)
    assert counted.keys() == SCALES.keys()
    for term in STANDARD.terms:
        scaled = FingeringHand(**{scale_of(term): 2.0}).weights.terms
        assert dict.fromkeys(t.weight for t in scaled if t.name == term.name) == {term.weight * 2: None}


@pytest.mark.parametrize(
    ("name", "scale"),
    [
        ("open (long)", "open_strings"),
        ("open string above its neighbour's pitch", "stretches"),
        ("crossed grip", "stretches"),
        ("away from first (singing)", "tone"),
        ("beyond third", "height"),
        ("shift across strings (bound)", "shifts"),
        ("crossing (slurred)", "one_string"),
        ("crossing (bound)", "crossings"),
        ("fourth finger", "weak_fingers"),
    ],
)
def test_terms_are_multiplied_by_what_they_are_about(name: str, scale: str) -> None:
    (term,) = (term for term in STANDARD.terms if term.name == name)
    assert scale_of(term) == scale


def test_the_standard_hand_changes_nothing() -> None:
    assert STANDARD_HAND.weights is STANDARD
    assert read_options({}).hand == STANDARD_HAND


def test_who_minds_open_strings_takes_fewer() -> None:
    passage = read_passage("D4:1 A4 D5 E5 | G4 A4 D5 G4 | E5:2 A4 | D4:4", tempo=72)
    taken = []
    for scale in (0.25, 4.0):
        route = cheapest_route(passage, ALL, FingeringHand(open_strings=scale).weights)
        taken.append(sum(grip is not None and grip.is_open for grip in map(route.grip, range(len(passage.events)))))
    assert taken[0] > taken[1]


def test_texts_and_files_lead_back_to_the_hand() -> None:
    assert hand_text(SHY) == "tone=0.5,shifts=2"
    assert read_options({"hand": [hand_text(SHY)]}).hand == SHY
    assert read_options({"hand": [hand_text(STANDARD_HAND)]}).hand == STANDARD_HAND
    written = hand_file(SHY, "Learned from nothing.", Wording())
    assert read_hand_file(written, "mine.toml") == SHY
    assert written.count("\n# ") == len(SCALES)
    assert "0.5 times as much as in the standard" in written


@pytest.mark.parametrize(
    "text", ["", "shy", "shifts", "shifts=", "shifts=0", "shifts=9", "shifts=1,shifts=2", "shift=1", "shifts=nan"]
)
def test_other_texts_are_refused_with_what_is_possible(text: str) -> None:
    with pytest.raises(ScoreError, match="hand") as caught:
        read_options({"hand": [text]})
    assert "open_strings" in caught.value.advice


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[hand]\nshift = 1", "Did you mean shifts"),
        ("[hand]\nshifts = 9", f"from {LEAST_SCALE:g} to {MOST_SCALE:g}"),
        ("[hand]\nshifts = true", "True is not possible"),
        ("shifts = 1", "one table"),
        ("[hand]\n[foot]", "one table"),
        ("[hand", "not valid TOML"),
    ],
)
def test_other_files_are_refused_with_the_key_and_what_is_possible(text: str, said: str) -> None:
    with pytest.raises(ScoreError) as caught:
        read_hand_file(text, "mine.toml")
    assert said in f"{caught.value} {caught.value.advice}"
    assert "mine.toml" in str(caught.value)


def test_scales_beyond_their_limits_are_no_hand() -> None:
    for scale in (LEAST_SCALE - 0.01, MOST_SCALE + 0.01, float("nan")):
        with pytest.raises(ValueError, match="tone"):
            FingeringHand(tone=scale)
