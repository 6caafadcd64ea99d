"""Totals of a run, counted file by file, so that a catalogue of any size fits; and the summary of them as text."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from heapq import nlargest
from typing import TYPE_CHECKING

from rules import LEVELS

from ..messages.findings import FILES, PARTS, SEVERITIES
from ..messages.message import Wording

if TYPE_CHECKING:
    from ..usecases.checks.check import CheckedFile, CheckedPart

MOST_HARD = 10
_WORDING = Wording()


@dataclass
class Totals:
    """Counts over all files so far; `hardest` holds (effort a second, file, part, bar) of the hardest bars."""

    files: int = 0
    failing: int = 0
    parts: int = 0
    bars: int = 0
    notes: int = 0
    exempted: int = 0
    known: int = 0
    levels: Counter[str] = field(default_factory=Counter)
    severities: Counter[str] = field(default_factory=Counter)
    rules: Counter[str] = field(default_factory=Counter)
    answered: Counter[str] = field(default_factory=Counter)
    stale: list[tuple[str, str]] = field(default_factory=list)
    exceptions_used: set[str] = field(default_factory=set)
    skipped: list[str] = field(default_factory=list)
    faults: list[tuple[str, str]] = field(default_factory=list)
    hardest: list[tuple[float, str, str, str]] = field(default_factory=list)

    def add(self, file: CheckedFile) -> None:
        """Count one more file."""
        self.files += 1
        self.failing += file.fails
        if file.fault is not None:
            self.faults.append((file.name, file.fault[1]))
        if file.skipped:
            self.skipped.append(file.name)
        self.stale += [(file.name, words) for words in file.stale]
        for part in file.parts:
            self._add_part(file, part)

    def _add_part(self, file: CheckedFile, part: CheckedPart) -> None:
        self.parts += 1
        self.bars += part.bars
        self.notes += part.notes
        self.levels[part.needed] += 1
        for finding in part.findings:
            if finding.proposal is not None:
                self.answered[finding.rule] += 1
            elif finding.counts:
                self.rules[finding.rule] += 1
                self.severities[finding.severity] += 1
            self.exempted += bool(finding.exempted)
            self.known += finding.known
            if finding.exception:
                self.exceptions_used.add(finding.exception)
        hard = [(effort, file.name, part.name or part.id, bar) for bar, effort in part.hardest]
        self.hardest = nlargest(MOST_HARD, [*self.hardest, *hard])


def one_line(totals: Totals) -> str:
    """Return the run in one line."""
    say = _WORDING.say
    severities = ", ".join(say(message, totals.severities[word]) for word, message in SEVERITIES.items())
    line = f"{say(FILES, totals.files)}, {say(PARTS, totals.parts)}, {totals.notes} notes: {severities}"
    more = [
        f"{number} {what}"
        for number, what in ((totals.exempted, "exempted"), (totals.known, "in the baseline"))
        if number
    ]
    skipped = f"; {say(FILES, len(totals.skipped))} without a part for violin or viola" if totals.skipped else ""
    faults = f"; {say(FILES, len(totals.faults))} could not be checked" if totals.faults else ""
    return line + (f" ({', '.join(more)})" if more else "") + skipped + faults


def by_rule(totals: Totals) -> Iterator[tuple[str, int, int, float]]:
    """Yield rule, findings left, findings answered, and those left for every 100 bars; the most frequent rule first."""
    for rule in sorted({*totals.rules, *totals.answered}, key=lambda rule: (-totals.rules[rule], rule)):
        rate = 100 * totals.rules[rule] / totals.bars if totals.bars else 0.0
        yield rule, totals.rules[rule], totals.answered[rule], rate


def summary(totals: Totals) -> Iterator[str]:
    """Yield the summary as lines of text: levels needed, findings by rule, hardest bars, files that failed."""
    yield one_line(totals)
    yield ""
    yield "Level needed      parts"
    yield from (f"  {level:<15} {totals.levels[level]:>5}" for level in LEVELS if totals.levels[level])
    yield ""
    yield "Findings by rule               left  answered   left per 100 bars"
    yield from (f"  {rule:<28} {left:>5} {answered:>9} {rate:>19.2f}" for rule, left, answered, rate in by_rule(totals))
    if totals.hardest:
        yield ""
        yield "Hardest bars (effort a second)"
        yield from (f"  {effort:>6.1f}  {name}, {part}, bar {bar}" for effort, name, part, bar in totals.hardest)
    if totals.skipped:
        yield ""
        yield f"Skipped, since there is no part for violin or viola ({len(totals.skipped)})"
        yield from (f"  {name}" for name in totals.skipped)
    if totals.faults:
        yield ""
        yield "Could not be checked"
        yield from (f"  {name}: {message}" for name, message in totals.faults)
