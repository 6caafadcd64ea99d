"""What printed marks allow, by the facts of the instrument (common practice; hand-worked)."""

from __future__ import annotations

import pytest

from rules import ALL, VIOLIN, Passage, Plan, all_rules, cheapest_route, printed_decisions
from tests.marked_notation import read_marked_passage

RULES = {rule.id: rule for rule in all_rules()}


def findings(rule: str, passage: Passage) -> list[str]:
    plan = Plan(passage, ALL, cheapest_route(passage, ALL, decisions=printed_decisions(passage)))
    return [finding.outcome for finding in RULES[rule].check(plan, RULES[rule].options)]


@pytest.mark.parametrize("finger", [1, 2, 3, 4])
@pytest.mark.parametrize("pitch", ["G3", "A3", "D4", "E4", "A4", "B4", "E5", "F5", "B5", "E6"])
def test_a_finger_cannot_sound_what_lies_behind_the_nut(pitch: str, finger: int) -> None:
    """On the lowest string finger f needs f letters above G, less one when it is drawn back."""
    found = findings("finger-cannot-sound-note", read_marked_passage(f"{pitch}{{{finger}}}:1"))
    letters = {"G3": 0, "A3": 1}.get(pitch, 4)
    assert found == (["finger"] if letters < finger - 1 or letters == 0 else [])


@pytest.mark.parametrize("pitch", ["G3", "D4", "A4", "E5"])
def test_open_strings_may_be_marked_open(pitch: str) -> None:
    assert findings("finger-cannot-sound-note", read_marked_passage(f"{pitch}{{0}}:1")) == []


@pytest.mark.parametrize("pitch", ["A3", "C4", "Eb5", "A5"])
def test_other_notes_may_not(pitch: str) -> None:
    assert findings("finger-cannot-sound-note", read_marked_passage(f"{pitch}{{0}}:1")) == ["open"]


@pytest.mark.parametrize("tempo", [60, 96, 200])
def test_first_position_scales_fully_fingered_break_nothing(tempo: float) -> None:
    scale = "G3{0} A3{1} B3{2} C4{3} D4{0} E4{1} F#4{2} G4{3} A4{0} B4{1} C5{2} D5{3} E5{0} F#5{1} G5{2} A5{3} B5{4}"
    passage = read_marked_passage(scale.replace(" ", ":1/4 ", 1), tempo)
    for rule in ("marks-break-the-hand", "contradictory-marks", "finger-cannot-sound-note"):
        assert findings(rule, passage) == []


@pytest.mark.parametrize("semitones", [5, 7, 12, 19, 24])
def test_natural_harmonics_stand_at_nodes(semitones: int) -> None:
    """Acoustics: touched at the fourth, fifth, octave, twelfth and double octave above any open string."""
    names = {5: "G4", 7: "A4", 12: "D5", 19: "A5", 24: "D6"}
    passage = read_marked_passage(f"{names[semitones]}{{harmonic III}}:1")
    assert passage.notes[0].pitch.midi - VIOLIN.open_pitch(3).midi == semitones
    assert findings("harmonic-without-node", passage) == []


def test_marks_far_apart_are_no_jump() -> None:
    passage = read_marked_passage("B4{1}:1/4 A4:1/4 B5{1 I}:1/4 R:4 B4{1}:1/4")
    assert findings("marks-break-the-hand", passage) == []
