"""Totals of a run, counted file by file, so that a catalogue of any size fits; and the summary of them as text."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from heapq import nlargest
from typing import TYPE_CHECKING

from rules import LEVELS

from ..messages import findings as words
from ..messages.message import ENGLISH, Wording

if TYPE_CHECKING:
    from ..usecases.checks.check import CheckedFile, CheckedPart

MOST_HARD = 10


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
        self.stale += [(file.name, entry) for entry in file.stale]
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


def one_line(totals: Totals, wording: Wording = ENGLISH) -> str:
    """Return the run in one line."""
    say = wording.say
    counts = [say(message, totals.severities[word]) for word, message in words.SEVERITIES.items()]
    files, parts = say(words.FILES, totals.files), say(words.PARTS, totals.parts)
    line = say(words.RUN, totals.notes, files=files, parts=parts, severities=", ".join(counts))
    settled = ((words.EXEMPTED_COUNT, totals.exempted), (words.KNOWN_COUNT, totals.known))
    more = [say(message, number) for message, number in settled if number]
    aside = ((words.SKIPPED, len(totals.skipped)), (words.FAULTS, len(totals.faults)))
    rest = [say(message, number) for message, number in aside if number]
    return "; ".join([line + (f" ({', '.join(more)})" if more else ""), *rest])


def by_rule(totals: Totals) -> Iterator[tuple[str, int, int, float]]:
    """Yield rule, findings left, findings answered, and those left for every 100 bars; the most frequent rule first."""
    for rule in sorted({*totals.rules, *totals.answered}, key=lambda rule: (-totals.rules[rule], rule)):
        rate = 100 * totals.rules[rule] / totals.bars if totals.bars else 0.0
        yield rule, totals.rules[rule], totals.answered[rule], rate


def summary(totals: Totals, wording: Wording = ENGLISH) -> Iterator[str]:
    """Yield the summary as lines of text: levels needed, findings by rule, hardest bars, files that failed."""
    say = wording.say
    yield one_line(totals, wording)
    yield ""
    levels = [(level, str(totals.levels[level])) for level in LEVELS if totals.levels[level]]
    yield from _table([(say(words.LEVEL_NEEDED), say(words.PARTS_COLUMN)), *levels])
    yield ""
    rules = [
        (rule, str(left), str(answered), wording.decimal(rate, 2)) for rule, left, answered, rate in by_rule(totals)
    ]
    columns = (words.BY_RULE, words.LEFT_COLUMN, words.ANSWERED_COLUMN, words.RATE_COLUMN)
    yield from _table([tuple(map(say, columns)), *rules])
    if totals.hardest:
        yield ""
        yield say(words.HARDEST_BY_EFFORT)
        for effort, name, part, bar in totals.hardest:
            yield f"  {wording.decimal(effort):>6}  {say(words.HARD_BAR, file=name, part=part, bar=bar)}"
    if totals.skipped:
        yield ""
        yield say(words.SKIPPED_FILES)
        yield from (f"  {name}" for name in totals.skipped)
    if totals.faults:
        yield ""
        yield say(words.FAULTY_FILES)
        yield from (f"  {name}: {message}" for name, message in totals.faults)


def _table(rows: Sequence[tuple[str, ...]]) -> Iterator[str]:
    """Rows below a heading: the first column to the left, numbers to the right."""
    indented = [rows[0], *((f"  {row[0]}", *row[1:]) for row in rows[1:])]
    widths = [max(map(len, column)) for column in zip(*indented, strict=True)]
    for first, *numbers in indented:
        yield "  ".join([first.ljust(widths[0]), *map(str.rjust, numbers, widths[1:])])
