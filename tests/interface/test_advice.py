"""What a review says about a proposal: anchors by ear, patterns, other ways with pins; and about broken decisions."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from rules import VIOLIN, Constraint, Pitch, Plan, anchor_help, constraint_violations, finger_patterns
from service.config.options import Options, read_options
from service.reports.advice import anchor_how, pattern_text, unmet_text
from service.reports.text import text_report
from service.reports.wire.review_data import review_data
from service.usecases.annotate import PartReview, review_score
from tests.conftest import ROOT
from tests.notation import plan_with_stops, read_passage

SAMPLES = sorted(path for path in (ROOT / "sample_scores").iterdir() if path.suffix in {".musicxml", ".mxl"})


def parts_of(options: Options) -> list[PartReview]:
    return [part for path in SAMPLES for part in review_score(path.read_bytes(), options)]


def test_anchor_is_told_as_a_climb_the_same_pitch_and_a_check() -> None:
    found = anchor_help(VIOLIN, 3, 3, Pitch.named("G4"), 1)
    assert found is not None
    assert anchor_how(VIOLIN, found) == (
        "In first position climb D4, E4, F♯4, G4 from the open string and listen to G4 (third finger); "
        "the first finger on D takes the same G4 in 3rd position; it rings with the open G, an octave below."
    )


def test_anchor_beyond_first_position_is_told_by_its_octave() -> None:
    found = anchor_help(VIOLIN, 7, 1, Pitch.named("E6"), 1)
    assert found is not None
    assert anchor_how(VIOLIN, found).startswith("Play the open E; the first finger on E takes E6, an octave higher")


def test_pattern_tells_where_the_half_steps_lie() -> None:
    plan = plan_with_stops(read_passage("G4 A4 B4 C5", fifths=1), "D1 D2 D3 D4")
    (pattern,) = finger_patterns(plan, plan.spans[0])
    assert pattern_text(VIOLIN, pattern) == "on D half step 3-4 (G4, A4, B4, C5)"


def test_broken_decision_names_what_was_asked_why_not_and_what_is_played_instead() -> None:
    passage = read_passage("D4 E4")
    note = passage.notes[1].id
    plan: Plan = plan_with_stops(passage, "D0 D1")
    (found,) = constraint_violations(plan, {note: Constraint(strings=frozenset({2}))})
    text = unmet_text(plan, found)
    assert text == "the A string cannot be kept (string): E4 is not found there; taken with the first finger on D"


def test_report_reads_as_advice() -> None:
    report = text_report("samples", parts_of(Options()))
    for word in ("By ear: In first position climb", "Hand: on ", "Or: "):
        assert word in report


@pytest.mark.parametrize("level", ["first-and-third", "all"])
def test_pins_of_every_alternative_are_read_and_bring_it_about(level: str) -> None:
    """The pins as text, given back as options: the same notes are then counted as the alternative says."""
    for path in SAMPLES:
        data = path.read_bytes()
        options = read_options({"level": [level]})
        for part in review_data(review_score(data, options))["parts"]:
            for proposal in part["proposals"][:2]:
                for other in proposal["alternatives"]:
                    again = read_options({"pin": other["pins"]}, options)
                    answer = review_data(review_score(data, again))["parts"]
                    (same,) = [p for p in answer if p["part"] == part["part"]]
                    assert same["unmet"] == []
                    played = {row["index"]: row for row in same["plan"]}
                    for pin in again.pin:
                        assert pin.row is not None
                        row = played[pin.row]
                        assert pin.constraint.fingers == frozenset({row["finger"]})
                        assert pin.constraint.strings == frozenset({row["string"]})


def test_notes_are_priced_only_on_request() -> None:
    (part, *_) = parts_of(Options())
    assert "effort" not in review_data([part])["parts"][0]["plan"][0]
    priced = review_data([replace(part, explain=True)])["parts"][0]
    for row in priced["plan"]:
        assert row["effort"]["total"] == pytest.approx(sum(row["effort"]["items"].values()), abs=0.01)
        assert row["effort"]["total"] == pytest.approx(sum(row["effort"]["by_aspect"].values()), abs=0.01)


def test_difficulty_names_bars_of_the_part() -> None:
    for part in review_data(parts_of(Options()))["parts"]:
        labels = [bar["measure"] for bar in part["difficulty"]["bars"]]
        assert set(part["difficulty"]["hardest"]) <= set(labels)
        assert all(bar["effort"] >= 0 for bar in part["difficulty"]["bars"])


def test_answer_is_plain_data() -> None:
    assert json.loads(json.dumps(review_data(parts_of(Options(explain=True)))))["parts"]
