"""Builds the answer of a check from checked parts and files."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from typing import TYPE_CHECKING

from .check_answer import CheckFinding, CheckPart, FileError, HardBar, UncheckedFile

if TYPE_CHECKING:
    from ...usecases.check import CheckedFile, CheckedFinding, CheckedPart


def check_parts(parts: Iterable[CheckedPart]) -> list[CheckPart]:
    """Return the findings of every part, with place in the text, fingerprint, and why one does not count."""
    return [
        CheckPart(
            part=part.id,
            name=part.name,
            level=part.level,
            level_needed=part.needed,
            bars=part.bars,
            notes=part.notes,
            findings=[_finding(each) for each in part.findings],
            hardest=[HardBar(bar=bar, effort_per_second=effort) for bar, effort in part.hardest],
        )
        for part in parts
    ]


def _finding(finding: CheckedFinding) -> CheckFinding:
    return CheckFinding(**asdict(finding), counts=finding.counts)


def unchecked_file(file: CheckedFile) -> UncheckedFile:
    """Return a file that could not be checked."""
    code, message = file.fault or ("", "")
    return UncheckedFile(file=file.name, error=FileError(code=code, message=message))
