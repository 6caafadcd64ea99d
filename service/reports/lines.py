"""The check as lines for people: by file and part, one line a passage with bars, beat and the notes as names.

A line is a list of texts with the style of each ("bold", "red", or none), as a terminal may show it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from ..messages import findings as words
from ..messages.message import ENGLISH, Wording
from .passages import Reported, gravest, passages, to_deal_with

if TYPE_CHECKING:
    from ..usecases.checks.check import CheckedFile, CheckedPart

Line = list[tuple[str, str]]
_SPACES = "\u00a0\u202f"
"""Spaces that do not break, as French has them; Python counts them as unprintable."""
_STYLES = {"error": "red", "warning": "yellow", "note": "cyan"}


def lines(file: CheckedFile, most: int = 0, wording: Wording = ENGLISH) -> Iterator[Line]:
    """Yield the lines for one file, so many passages a part (0: all); none for a file that was skipped."""
    name = (_printable(file.name), "bold")
    if file.fault is not None:
        failed = wording.say(words.NOT_CHECKED)
        yield [name, (": ", ""), (failed, _STYLES["error"]), (f": {_printable(file.fault[1])}", "")]
        return
    if file.skipped:
        return
    left = sum(1 for part in file.parts for finding in part.findings if finding.counts)
    found = wording.say(
        words.UNDER_POLICY, findings=wording.say(words.FINDINGS, left), policy=words.policy_name(wording, file.policy)
    )
    yield [name, (f": {found}", "")]
    for part in file.parts:
        yield from _part(part, most, wording)


def plain(line: Line) -> str:
    """Return a line without styles."""
    return "".join(text for text, _ in line)


def _part(part: CheckedPart, most: int, wording: Wording) -> Iterator[Line]:
    left = to_deal_with(part)
    exempted = passages(f for f in part.findings if f.exempted and f.proposal is None)
    known = sum(1 for f in part.findings if f.known and f.proposal is None and not f.exempted)
    if not (left or exempted or known):
        return
    yield [(f"  {_printable(_need(part, wording))}", "")]
    yield from ([(f"    {_printable(remark)}", "")] for remark in part.remarks)
    shown, more = gravest(left, most, wording)
    severities = {word: wording.say(message) for word, message in words.SEVERITY.items()}
    width = max(map(len, severities.values()))
    for each in shown:
        word = each.severity.word
        yield [("    ", ""), (f"{severities[word]:<{width}} ", _STYLES[word]), (_described(each, wording), "")]
    if more:
        yield [(f"    {more}", "")]
    for each in exempted:
        said = wording.say(words.EXEMPTED, finding=_described(each, wording), reason=each.first.exempted)
        yield [(f"    {said}", "")]
    if known:
        yield [(f"    {wording.say(words.KNOWN, findings=wording.say(words.FINDINGS, known))}", "")]


def _need(part: CheckedPart, wording: Wording) -> str:
    name, bars = part.name or part.id, part.forced_by[:3]
    if not bars:
        return wording.say(words.NEEDS_LEVEL, part=name, level=part.needed)
    return wording.say(words.FORCED_BY, len(bars), part=name, level=part.needed, bars=", ".join(bars))


def _described(each: Reported, wording: Wording) -> str:
    first, finding = each.first, each.message(wording)
    if each.bars == first.first_bar:
        said = wording.say(words.AT_BEAT, bar=each.bars, beat=first.beat, notes=first.notes, finding=finding)
    else:
        said = wording.say(words.IN_BARS, bars=each.bars, notes=first.notes, finding=finding)
    return f"{_printable(said)} [{first.rule}]"


def skipped_lines(names: Sequence[str], most: int, wording: Wording = ENGLISH) -> Iterator[Line]:
    """Yield the names of files without a part to check, so many (0: all)."""
    if names:
        yield [(wording.say(words.SKIPPED_LABEL, files=wording.say(words.FILES, len(names))), "")]
    yield from ([(f"  {_printable(name)}", "")] for name in names[: most or None])
    if most and len(names) > most:
        yield [(f"  {wording.say(words.MORE_FILES, len(names) - most)}", "")]


def _printable(text: str) -> str:
    """Replace control characters, which names and labels from files may hold, by question marks."""
    return "".join(sign if sign.isprintable() or sign in _SPACES else "?" for sign in text)
