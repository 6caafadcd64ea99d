"""The tests that a policy carries: what it is to find in given bars of given scores, and nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from ...config.options import Options
from ...errors import said
from ...naming import Language
from ...policies.policy_file import PolicyFile
from ...policies.policy_model import ExpectedFindings
from .batch import Job, check_file
from .check import CheckedFinding, CheckedPart


@dataclass(frozen=True, slots=True)
class PolicyTestResult:
    """One test of a policy.

    Attributes:
        where: the score, part and bars, in words.
        missing: what was expected and not found, as rules, or rules and outcomes.
        unexpected: findings that were not expected.
        fault: why the score could not be checked, or empty.
    """

    where: str
    missing: tuple[str, ...] = ()
    unexpected: tuple[CheckedFinding, ...] = ()
    fault: str = ""

    @property
    def passed(self) -> bool:
        """True if exactly what was expected was found."""
        return not (self.missing or self.unexpected or self.fault)


def run_policy_tests(
    policy: PolicyFile, folder: str, language: Language = Language.BRITISH
) -> Iterator[PolicyTestResult]:
    """Yield the result of every test; scores are named from the policy's folder."""
    for test in policy.tests:
        where = _place(test)
        result = check_file(
            Job(policy, folder, Options(language=language), collection=True), str(Path(folder) / test.file)
        )
        if result.fault is not None or result.skipped:
            yield PolicyTestResult(where, fault=result.fault[1] if result.fault else result.skipped)
            continue
        parts = [part for part in result.parts if test.part in (None, part.id, part.name)]
        if not parts:
            yield PolicyTestResult(where, fault=said("There is no part {wanted}.", wanted=repr(test.part)))
            continue
        without = [bar for part in parts for bar in test.bar_range or () if bar not in part.labels]
        if without:
            yield PolicyTestResult(where, fault=said("There is no bar {bar}.", bar=without[0]))
            continue
        yield _compared(where, test, [finding for part in parts for finding in _within(part, test)])


def _place(test: ExpectedFindings) -> str:
    if test.part and test.bars:
        return said("{file}, part {part}, bars {bars}", file=test.file, part=test.part, bars=test.bars)
    if test.part:
        return said("{file}, part {part}", file=test.file, part=test.part)
    return said("{file}, bars {bars}", file=test.file, bars=test.bars) if test.bars else test.file


def _within(part: CheckedPart, test: ExpectedFindings) -> Iterator[CheckedFinding]:
    """The findings of a part that count and begin in the bars of a test."""
    labels = part.labels
    first, last = 0, len(labels) - 1
    if test.bar_range is not None:
        start, end = test.bar_range
        first, last = labels.index(start), len(labels) - 1 - labels[::-1].index(end)
    for finding in part.findings:
        if finding.counts and first <= finding.first_measure <= last:
            yield finding


def _compared(where: str, test: ExpectedFindings, found: list[CheckedFinding]) -> PolicyTestResult:
    names = {name for finding in found for name in (finding.rule, f"{finding.rule}/{finding.outcome}")}
    missing = tuple(expected for expected in test.finds if expected not in names)
    wanted = set(test.finds)
    unexpected = tuple(finding for finding in found if not {finding.rule, f"{finding.rule}/{finding.outcome}"} & wanted)
    return PolicyTestResult(where, missing, unexpected)


__all__ = ["PolicyTestResult", "run_policy_tests"]
