"""A summary in Markdown, for the page of a pipeline or the description of a change."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from rules import LEVELS, Severity

from ..messages import findings as words
from ..messages.message import ENGLISH, Message, Wording, sentence
from .summary import Totals, by_rule, one_line

if TYPE_CHECKING:
    from ..usecases.checks.check import CheckedFile, CheckedFinding, CheckedPart

MOST_SHOWN = 50


def markdown(files: Iterable[CheckedFile], totals: Totals, wording: Wording = ENGLISH) -> Iterator[str]:
    """Yield the summary piece by piece; the first findings that fail are listed by file.

    The caller counts `totals` while the files go by; it is read after the last one.
    """
    say = wording.say
    failures: list[str] = []
    more = 0
    for file in files:
        rows = list(_failures(file, wording))
        failures += rows[: MOST_SHOWN - len(failures)]
        more += len(rows)
    more -= len(failures)
    yield f"# {say(words.TITLE)}\n\n{one_line(totals, wording)}.\n\n"
    if failures:
        yield f"## {say(words.WHAT_FAILS)}\n\n{_head(_FAILURE_COLUMNS, wording)}"
        yield "".join(failures)
        yield f"\n… {say(words.MORE_FILES, more)}.\n\n" if more else "\n"
    yield f"## {say(words.LEVEL_NEEDED)}\n\n{_head(_LEVEL_COLUMNS, wording)}"
    yield "".join(f"| {level} | {totals.levels[level]} |\n" for level in LEVELS if totals.levels[level])
    yield f"\n## {say(words.BY_RULE)}\n\n{_head(_RULE_COLUMNS, wording)}"
    yield "".join(
        f"| `{rule}` | {left} | {answered} | {wording.decimal(rate, 2)} |\n"
        for rule, left, answered, rate in by_rule(totals)
    )
    yield from _hardest(totals, wording)
    if totals.skipped:
        yield f"\n## {say(words.SKIPPED_HEADING)}\n\n{sentence(say(words.SKIPPED, len(totals.skipped)))}\n\n"
        yield "".join(f"- {_cell(name)}\n" for name in totals.skipped[:MOST_SHOWN])
        more = len(totals.skipped) - MOST_SHOWN
        yield f"\n… {say(words.MORE_FILES, more)}.\n" if more > 0 else ""
    if totals.faults:
        yield f"\n## {say(words.FAULTY_FILES)}\n\n"
        yield "".join(f"- {_cell(name)}: {_cell(message)}\n" for name, message in totals.faults)


_FAILURE_COLUMNS = (words.FILE_COLUMN, words.PART_COLUMN, words.BAR_COLUMN, words.NOTES_COLUMN, words.FINDING_COLUMN,
                    words.RULE_COLUMN)  # fmt: skip
_LEVEL_COLUMNS = (words.LEVEL_COLUMN, words.PARTS_COLUMN)
_RULE_COLUMNS = (words.RULE_COLUMN, words.LEFT_COLUMN, words.ANSWERED_COLUMN, words.RATE_COLUMN)
_HARDEST_COLUMNS = (words.FILE_COLUMN, words.PART_COLUMN, words.BAR_COLUMN, words.EFFORT_COLUMN)


def _head(columns: Sequence[Message], wording: Wording) -> str:
    """The first two rows of a table."""
    return f"| {' | '.join(map(wording.say, columns))} |\n|{'---|' * len(columns)}\n"


def _hardest(totals: Totals, wording: Wording) -> Iterator[str]:
    if totals.hardest:
        yield f"\n## {wording.say(words.HARDEST)}\n\n{_head(_HARDEST_COLUMNS, wording)}"
        for effort, name, part_name, bar in totals.hardest:
            yield f"| {_cell(name)} | {_cell(part_name)} | {_cell(bar)} | {wording.decimal(effort)} |\n"


def _failures(file: CheckedFile, wording: Wording) -> Iterator[str]:
    for part in file.parts:
        least = Severity[file.fail_on.upper()]
        for finding in part.findings:
            if finding.counts and Severity[finding.severity.upper()] >= least:
                yield _row(file, part, finding, wording)


def _row(file: CheckedFile, part: CheckedPart, finding: CheckedFinding, wording: Wording) -> str:
    severity = wording.say(words.SEVERITY[finding.severity])
    said = wording.say(words.OF_SEVERITY, severity=severity, finding=finding.message)
    cells = (file.name, part.name or part.id, finding.bars, finding.notes, said)
    return "| " + " | ".join(map(_cell, cells)) + f" | `{finding.rule}` |\n"


def _cell(text: str) -> str:
    """Text for a table: what Markdown would read as structure is escaped."""
    escaped = "".join(f"\\{sign}" if sign in "\\|`*_<>[]" else sign for sign in text)
    return " ".join(escaped.split())
