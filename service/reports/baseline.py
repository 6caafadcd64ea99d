"""The baseline: findings that a house accepts, so that only new ones make a check fail.

It is a sorted text file with one finding a line: fingerprint, file, and the finding in words. Only the first two are
read again.
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
        f"{f.fingerprint}\t{file.name}\t{part.name or part.id}, bar {f.bars}: {f.message} [{f.rule}]\n"
        for part in file.parts
        for f in part.findings
        if f.proposal is None and not f.exempted
    ]


def baseline_text(lines: Iterable[str]) -> str:
    """Return the whole file."""
    return HEAD + "".join(sorted(lines, key=lambda line: (line.split("\t")[1], line)))


def read_baseline(text: str, name: str) -> Mapping[str, frozenset[str]]:
    """Return the accepted fingerprints by file name.

    Raises:
        ScoreError: `bad-baseline`, naming the line, if one has no fingerprint and file.
    """
    prints_by_file: dict[str, set[str]] = {}
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
        prints_by_file.setdefault(fields[1], set()).add(fields[0])
    return {file: frozenset(prints) for file, prints in prints_by_file.items()}
