"""What a teacher would and would not write into short passages, from first tunes to double stops.

Source: common practice; each case in `teaching/*.yaml` gives its reason. A case has a title and:

- `why`, `passage` (see `tests/marked_notation.py`) and `expect` (see `teaching/expectations.py`);
- if needed, `level` (first-and-third), `tempo` (96 quarter notes a minute), `meter` ([4, 4]), `sharps` or `flats` of
  the key (none), `instrument` (violin), and `words` printed at the beginning of a bar.

An expectation says only what is beyond taste: where usage differs, all usual answers are allowed.
"""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import yaml

from rules import ALL, INSTRUMENTS, LEVELS, Passage, PlannedPart, Words, printed_decisions, propose
from tests.marked_notation import read_marked_passage, read_stops
from tests.reference.teaching.expectations import UnknownSentenceError, fault_of, plan_text

CASES: dict[str, dict[str, Any]] = {}
for _path in sorted(Path(__file__).with_name("teaching").glob("*.yaml")):
    _cases = yaml.load(_path.read_text(encoding="utf-8"), yaml.CSafeLoader)
    assert not CASES.keys() & _cases.keys(), f"{_path.name}: a title is used twice"
    CASES |= _cases
FIELDS = {"why", "passage", "expect", "level", "tempo", "meter", "sharps", "flats", "instrument", "words"}


def passage_of(case: dict[str, Any]) -> Passage:
    passage = read_marked_passage(
        case["passage"],
        case.get("tempo", 96),
        INSTRUMENTS[case.get("instrument", "violin")],
        meter=tuple(case.get("meter", (4, 4))),
        fifths=case.get("sharps", 0) - case.get("flats", 0),
    )
    bars = {measure.label: index for index, measure in enumerate(passage.measures)}
    words = [(bars[str(bar)], text) for bar, text in case.get("words", {}).items()]
    return replace(passage, words=tuple(Words(passage.measures[bar].onset, bar, text) for bar, text in words))


def plan_of(case: dict[str, Any]) -> PlannedPart:
    passage = passage_of(case)
    return propose(passage, LEVELS[case.get("level", "first-and-third")], decisions=printed_decisions(passage))


@pytest.mark.parametrize("title", CASES)
def test_the_plan_is_what_a_teacher_would_write(title: str) -> None:
    case = CASES[title]
    planned = plan_of(case)
    faults = {sentence: fault for sentence in case["expect"] if (fault := fault_of(sentence, planned))}
    assert not faults, "\n".join(
        [title, case["why"], *(f"{sentence}: {fault}" for sentence, fault in faults.items()), plan_text(planned.plan)]
    )


@pytest.mark.parametrize("title", CASES)
def test_a_case_is_well_written(title: str) -> None:
    case = CASES[title]
    assert case.keys() <= FIELDS
    assert re.fullmatch(r"common practice, [^.]+\.", case["why"]), "one sentence, marked as common practice"
    assert case["expect"]
    passage = passage_of(case)
    assert 2 <= len(passage.measures) <= 10
    for measure in passage.measures:
        beats, unit = measure.time_signature
        assert measure.beats == Fraction(4 * beats, unit), f"bar {measure.label} has {measure.beats} quarters"


# E5 is open and stopped, the first finger slides to F5, the octave is 1-4.
_WRITTEN = "E5:1 F#5 F5 D5 | E5:2 [G4 G5] | E5:1 D5 E5 D5"
_STOPS = "E0 E1@1 E1@1 A1@3 | A2@3 D1@3+A4@3 | A2@3 A3@1 E0 A3@1"


@pytest.mark.parametrize(
    ("holds", "fails"),
    [
        ("bars 1-3 in position 1 or 3", "bars 1-3 in position 1"),
        ("bar 1 mostly in position 1", "bars 1-3 mostly in position 1"),
        ("bars 1-2 on the E or A or D string", "bars 1-2 on the E or A string"),
        ("E5 in bars 1-2: open E or 2 on A", "E5 in bars 1-2: open E"),
        ("E5 in bar 3 beat 3: open E", "E5 in bar 3 beat 1: open E"),
        ("E5 in bar 2: not open E", "E5 in bars 1-3: not open E"),
        ("fingers 1-4 or 0-3 in bars 1-2", "fingers 0-3 or 1-3 in bar 2"),
        ("a shift between bar 1 beat 3 and bar 1 beat 4", "a shift between bar 2 and bar 3"),
        ("no shift between bar 2 and bar 3", "no shift between bar 1 and bar 1 beat 4"),
        ("at most 1 shift between bar 1 and bar 3", "at most 0 shifts between bar 1 and bar 3"),
        ("home from bar 3 beat 2", "home from bar 1 beat 2"),
        ("bars 2 and 2 alike", "bars 1 and 3 alike"),
        ("bars 2 and 2 with the same fingers", "bars 1 and 3 with the same fingers"),
        ("no finger slides in bars 2-3", "no finger slides in bar 1"),
        ("1 proposal", "0 proposals"),
        ("at least 1 proposal", "at least 2 proposals"),
    ],
)
def test_an_expectation_holds_and_fails_where_it_should(holds: str, fails: str) -> None:
    passage = read_marked_passage(_WRITTEN)
    planned = propose(passage, ALL, decisions=read_stops(_STOPS, passage))
    assert fault_of(holds, planned) is None, plan_text(planned.plan)
    assert fault_of(fails, planned), plan_text(planned.plan)


@pytest.mark.parametrize(
    "sentence",
    ["bars 1-2 look good", "bar 9 in position 1", "C4 in bar 1: open D", "E5 in bar 1: open B", "fingers 1-4 in bar 1"],
)
def test_an_expectation_that_says_nothing_is_refused(sentence: str) -> None:
    planned = propose(read_marked_passage(_WRITTEN), ALL)
    with pytest.raises(UnknownSentenceError):
        fault_of(sentence, planned)
