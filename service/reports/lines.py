"""The check as lines for people: by file and part, one line a finding with bars, beat and the notes as names.

A line is a list of texts with the style of each ("bold", "red", or none), as a terminal may show it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ..messages.findings import FINDINGS
from ..messages.message import Wording

if TYPE_CHECKING:
    from ..usecases.check import CheckedFile, CheckedFinding, CheckedPart

Line = list[tuple[str, str]]
_WORDING = Wording()
_STYLES = {"error": "red", "warning": "yellow", "note": "cyan"}


def lines(file: CheckedFile) -> Iterator[Line]:
    """Yield the lines for one file; a file without open findings is one line."""
    name = (_printable(file.name), "bold")
    if file.fault is not None:
        yield [name, (": ", ""), ("could not be checked", _STYLES["error"]), (f": {_printable(file.fault[1])}", "")]
        return
    left = sum(1 for part in file.parts for finding in part.findings if finding.counts)
    yield [name, (f": {_WORDING.say(FINDINGS, left)} (policy {file.policy})", "")]
    for part in file.parts:
        yield from _part(part)


def plain(line: Line) -> str:
    """Return a line without styles."""
    return "".join(text for text, _ in line)


def _part(part: CheckedPart) -> Iterator[Line]:
    left = [f for f in part.findings if f.counts]
    exempted = [f for f in part.findings if f.exempted and f.proposal is None]
    known = sum(1 for f in part.findings if f.known and f.proposal is None and not f.exempted)
    if not (left or exempted or known):
        return
    needs = f"needs level {part.needed}" + (f" (bar {', '.join(part.forced_by[:3])})" if part.forced_by else "")
    yield [(f"  {_printable(part.name or part.id)}, {needs}", "")]
    for finding in left:
        yield [("    ", ""), (f"{finding.severity:<8}", _STYLES[finding.severity]), (_described(finding), "")]
    for finding in exempted:
        yield [(f"    exempted {_described(finding)}: {finding.exempted}", "")]
    if known:
        yield [(f"    in the baseline: {_WORDING.say(FINDINGS, known)}", "")]


def _described(finding: CheckedFinding) -> str:
    bars, label = finding.bars, finding.first_bar
    place = f"bar {label}, beat {finding.beat}" if label == finding.last_bar else f"bars {bars}"
    return f"{_printable(place)} ({finding.notes}): {finding.message} [{finding.rule}]"


def _printable(text: str) -> str:
    """Replace control characters, which names and labels from files may hold, by question marks."""
    return "".join(sign if sign.isprintable() else "?" for sign in text)
