"""The check as lines for people: by file and part, one line a passage with bars, beat and the notes as names.

A line is a list of texts with the style of each ("bold", "red", or none), as a terminal may show it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from ..messages.findings import FILES, FINDINGS
from ..messages.message import Wording
from .passages import Reported, gravest, passages, to_deal_with

if TYPE_CHECKING:
    from ..usecases.checks.check import CheckedFile, CheckedPart

Line = list[tuple[str, str]]
_WORDING = Wording()
_STYLES = {"error": "red", "warning": "yellow", "note": "cyan"}


def lines(file: CheckedFile, most: int = 0) -> Iterator[Line]:
    """Yield the lines for one file, so many passages a part (0: all); none for a file that was skipped."""
    name = (_printable(file.name), "bold")
    if file.fault is not None:
        yield [name, (": ", ""), ("could not be checked", _STYLES["error"]), (f": {_printable(file.fault[1])}", "")]
        return
    if file.skipped:
        return
    left = sum(1 for part in file.parts for finding in part.findings if finding.counts)
    yield [name, (f": {_WORDING.say(FINDINGS, left)} (policy {file.policy})", "")]
    for part in file.parts:
        yield from _part(part, most)


def plain(line: Line) -> str:
    """Return a line without styles."""
    return "".join(text for text, _ in line)


def _part(part: CheckedPart, most: int) -> Iterator[Line]:
    left = to_deal_with(part)
    exempted = passages(f for f in part.findings if f.exempted and f.proposal is None)
    known = sum(1 for f in part.findings if f.known and f.proposal is None and not f.exempted)
    if not (left or exempted or known):
        return
    needs = f"needs level {part.needed}" + (f" (bar {', '.join(part.forced_by[:3])})" if part.forced_by else "")
    yield [(f"  {_printable(part.name or part.id)}, {needs}", "")]
    yield from ([(f"    {_printable(remark)}", "")] for remark in part.remarks if "taken for a" in remark)
    shown, more = gravest(left, most)
    for each in shown:
        word = each.severity.word
        yield [("    ", ""), (f"{word:<8}", _STYLES[word]), (_described(each), "")]
    if more:
        yield [(f"    {more}", "")]
    for each in exempted:
        yield [(f"    exempted {_described(each)}: {each.first.exempted}", "")]
    if known:
        yield [(f"    in the baseline: {_WORDING.say(FINDINGS, known)}", "")]


def _described(each: Reported) -> str:
    first = each.first
    place = f"bar {each.bars}, beat {first.beat}" if each.bars == first.first_bar else f"bars {each.bars}"
    return f"{_printable(place)} ({first.notes}): {each.message} [{first.rule}]"


def skipped_lines(names: Sequence[str], most: int) -> Iterator[Line]:
    """Yield the names of files without a part to check, so many (0: all)."""
    if names:
        yield [(f"skipped, without a part for violin or viola: {_WORDING.say(FILES, len(names))}", "")]
    yield from ([(f"  {_printable(name)}", "")] for name in names[: most or None])
    if most and len(names) > most:
        yield [(f"  and {len(names) - most} more", "")]


def _printable(text: str) -> str:
    """Replace control characters, which names and labels from files may hold, by question marks."""
    return "".join(sign if sign.isprintable() else "?" for sign in text)
