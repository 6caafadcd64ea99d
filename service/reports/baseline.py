"""The baseline: findings that are known and accepted, so that only new ones make a check fail.

A text file, one finding a line, sorted: fingerprint, file, and what it says for the people who read the change. Only
the first two count when it is read. Pure: text and results in, text out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from ..errors import ScoreError

if TYPE_CHECKING:
    from ..usecases.check import CheckedFile

HEAD = "# Findings that are known and accepted; written by handframe review --write-baseline.\n"


def baseline_lines(file: CheckedFile) -> list[str]:
    """Return the lines of one file's findings; exempted and answered ones need no baseline."""
    return [
        f"{found.fingerprint}\t{file.name}\t{part.name or part.id}, bar {found.bars}: {found.message} [{found.rule}]\n"
        for part in file.parts
        for found in part.findings
        if found.proposal is None and not found.exempted
    ]


def baseline_text(lines: Iterable[str]) -> str:
    """Return the whole file."""
    return HEAD + "".join(sorted(lines, key=lambda line: (line.split("\t")[1], line)))


def read_baseline(text: str, name: str) -> Mapping[str, frozenset[str]]:
    """Return the accepted fingerprints by file name.

    Raises:
        ScoreError: `bad-baseline`, naming the line, if one has no fingerprint and file.
    """
    found: dict[str, set[str]] = {}
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip() or line.startswith("#"):
            continue
        fields = line.split("\t")
        if len(fields) < 2 or len(fields[0]) != 20:
            raise ScoreError(
                "bad-baseline",
                "A line is no accepted finding.",
                "Write the baseline anew with --write-baseline.",
                f"{name}, line {number}",
                400,
            )
        found.setdefault(fields[1], set()).add(fields[0])
    return {file: frozenset(prints) for file, prints in found.items()}
