"""Planted misprints: each is reported under the policy for proof-reading, and the same notes as meant are not.

The list, `misprints.yaml`, is invented, after slips as proof-readers meet them (common practice). A share of them could
be missed without notice if it were only counted: so each is a test of its own.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from service.config.options import Options
from service.policies.policy_file import built_in
from service.usecases.checks.batch import Job, check_file
from service.usecases.checks.check import CheckedFinding
from tests.misprints.printed_scores import printed_score

MISPRINTS: dict[str, dict[str, Any]] = yaml.load(
    (Path(__file__).parent / "misprints.yaml").read_text(encoding="utf-8"), yaml.CSafeLoader
)


def found_in(text: str, tempo: int = 96, instrument: str = "violin") -> list[CheckedFinding]:
    job = Job(built_in("proof"), ".", Options(instrument=instrument))
    result = check_file(job, "part.musicxml", printed_score(text, tempo, instrument))
    assert result.fault is None, result.fault
    return [finding for part in result.parts for finding in part.findings]


def test_there_are_enough_of_them() -> None:
    assert len(MISPRINTS) >= 60


@pytest.mark.parametrize("case", MISPRINTS.values(), ids=MISPRINTS.keys())
def test_a_misprint_is_reported_once(case: dict[str, Any]) -> None:
    found = found_in(case["wrong"], case.get("tempo", 96))
    assert found
    assert len(found) <= case.get("findings", 2), [finding.message for finding in found]


@pytest.mark.parametrize("case", MISPRINTS.values(), ids=MISPRINTS.keys())
def test_what_was_meant_is_clean(case: dict[str, Any]) -> None:
    found = found_in(case["meant"], case.get("tempo", 96))
    assert not found, [f"{finding.rule}: {finding.message}" for finding in found]
