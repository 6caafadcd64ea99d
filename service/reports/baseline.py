"""The baseline: findings that a house accepts, so that only new ones make a check fail.

It is a sorted text file with one finding a line: fingerprint, file, and the finding in words. Files are named from the
folder of the baseline, so that a check may be started anywhere.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import ScoreError, said
from ..messages import findings as words
from ..messages.message import ENGLISH, Wording
from ..usecases.checks.fingerprints import LENGTH, Accepted, Fingerprint

if TYPE_CHECKING:
    from ..usecases.checks.check import CheckedFile, CheckedFinding, CheckedPart

HEAD = "# Findings that are known and accepted; written by handframe review --write-baseline.\n"
_FINGERPRINT = re.compile(rf"([0-9a-f]{{{LENGTH}}})\.([0-9a-f]{{{LENGTH}}})")


def name_from(folder: str, name: str) -> str:
    """Return the name of a file as seen from a folder, with slashes; standard input keeps its name."""
    if name == "-":
        return name
    return Path(os.path.relpath(Path(name).resolve(), Path(folder).resolve())).as_posix()


def baseline_lines(file: CheckedFile, folder: str, wording: Wording = ENGLISH) -> list[str]:
    """Return the lines of one file's findings; exempted and answered ones need no baseline."""
    name = name_from(folder, file.name)
    return [
        f"{f.fingerprint}.{f.core}\t{name}\t{_words(part, f, wording)} [{f.rule}]\n"
        for part in file.parts
        for f in part.findings
        if f.proposal is None and not f.exempted
    ]


def _words(part: CheckedPart, finding: CheckedFinding, wording: Wording) -> str:
    where = wording.say(words.SHOWN_AT, part=part.name or part.id, bars=finding.bars)
    return wording.say(words.FINDING_AT, where=where, finding=finding.message)


def baseline_text(lines: Iterable[str]) -> str:
    """Return the whole file."""
    return HEAD + "".join(sorted(lines, key=lambda line: (line.split("\t")[1], line)))


def read_baseline(text: str, name: str) -> Mapping[str, tuple[Accepted, ...]]:
    """Return the accepted findings by file name.

    Raises:
        ScoreError: `bad-baseline`, naming the line, if one has no fingerprint and file.
    """
    by_file: dict[str, list[Accepted]] = {}
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip() or line.startswith("#"):
            continue
        fields = line.split("\t")
        found = _FINGERPRINT.fullmatch(fields[0])
        if len(fields) < 2 or found is None:
            raise ScoreError(
                "bad-baseline",
                said("A line is no accepted finding."),
                said("Write the baseline anew with --write-baseline."),
                said("{file}, line {line}", file=name, line=number),
                400,
            )
        by_file.setdefault(fields[1], []).append(Accepted(Fingerprint(found[1], found[2]), "\t".join(fields[2:])))
    return {file: tuple(accepted) for file, accepted in by_file.items()}
