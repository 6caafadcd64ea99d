"""Builds the answer of a check from checked parts and files."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import asdict
from typing import TYPE_CHECKING

from .check_answer import VERSION, CheckFinding, CheckPart, FileAnswer, FileError, HardBar
from .review_answer import PartAnswer

if TYPE_CHECKING:
    from ...usecases.checks.check import CheckedFile, CheckedFinding, CheckedPart


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


def file_answer(file: CheckedFile, parts: list[PartAnswer]) -> FileAnswer:
    """Return what is reported of a file, with the review of its parts."""
    return FileAnswer(
        file=file.name,
        version=VERSION,
        policy=file.policy,
        fail_on=file.fail_on,
        error=None if file.fault is None else FileError(code=file.fault[0], message=file.fault[1]),
        skipped=file.skipped or None,
        stale=list(file.stale),
        parts=parts,
        check=check_parts(file.parts),
    )


def check_json(files: Iterable[CheckedFile]) -> Iterator[str]:
    """Yield the report piece by piece: an object with the list of files, one of them or many."""
    between = f'{{"version": "{VERSION}", "files": [\n'
    for file in files:
        yield between + (file.rendered or file_answer(file, []).model_dump_json(indent=1))
        between = ",\n"
    yield "\n]}\n" if between == ",\n" else f"{between}]}}\n"
