"""The check as lines for people: by file and part, one line a finding with bars, beat and the notes as names.

Pure: the result of a file in, text out. What does not belong here: proposals, and how they are played (see `text`).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from .sentences import count

if TYPE_CHECKING:
    from ..usecases.check import CheckedFile, CheckedPart, Found

_COLOURS = {"error": "31", "warning": "33", "note": "36"}


def lines(file: CheckedFile, *, colour: bool = False) -> Iterator[str]:
    """Yield the lines for one file, without line ends; a file in which nothing is left is one line."""
    name = _bold(_printable(file.name), colour)
    if file.fault is not None:
        yield f"{name}: {_painted('error', 'could not be checked', colour)}: {_printable(file.fault[1])}"
        return
    left = sum(1 for part in file.parts for found in part.findings if found.counts)
    yield f"{name}: {count(left, 'finding')} (policy {file.policy})"
    for part in file.parts:
        yield from _part(part, colour)


def _part(part: CheckedPart, colour: bool) -> Iterator[str]:
    left = [f for f in part.findings if f.counts]
    exempted = [f for f in part.findings if f.exempted and f.proposal is None]
    known = sum(1 for f in part.findings if f.known and f.proposal is None and not f.exempted)
    if not (left or exempted or known):
        return
    needs = f"needs level {part.needed}" + (f" (bar {', '.join(part.forced_by[:3])})" if part.forced_by else "")
    yield f"  {_printable(part.name or part.id)}, {needs}"
    for found in left:
        yield f"    {_painted(found.severity, f'{found.severity:<8}', colour)}{_said(found)}"
    for found in exempted:
        yield f"    exempted {_said(found)}: {found.exempted}"
    if known:
        yield f"    in the baseline: {count(known, 'finding')}"


def _said(found: Found) -> str:
    place = f"bar {found.first_bar}, beat {found.beat}" if found.first_bar == found.last_bar else f"bars {found.bars}"
    return f"{_printable(place)} ({found.notes}): {found.message} [{found.rule}]"


def _painted(severity: str, text: str, colour: bool) -> str:
    return f"\x1b[{_COLOURS[severity]}m{text}\x1b[0m" if colour else text


def _bold(text: str, colour: bool) -> str:
    return f"\x1b[1m{text}\x1b[0m" if colour else text


def _printable(text: str) -> str:
    """Names and labels come from files: what would steer the terminal is shown as a question mark."""
    return "".join(sign if sign.isprintable() else "?" for sign in text)
