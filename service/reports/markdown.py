"""A summary in Markdown, for the page of a pipeline or the description of a change."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from rules import LEVELS, Severity

from .summary import Totals, by_rule, one_line

if TYPE_CHECKING:
    from ..usecases.checks.check import CheckedFile, CheckedFinding, CheckedPart

MOST_SHOWN = 50


def markdown(files: Iterable[CheckedFile], totals: Totals) -> Iterator[str]:
    """Yield the summary piece by piece; the first findings that fail are listed by file.

    The caller counts `totals` while the files go by; it is read after the last one.
    """
    failures: list[str] = []
    more = 0
    for file in files:
        rows = list(_failures(file))
        failures += rows[: MOST_SHOWN - len(failures)]
        more += len(rows)
    more -= len(failures)
    yield f"# Left-hand check\n\n{one_line(totals)}.\n\n"
    if failures:
        yield "## What fails\n\n| file | part | bar | notes | finding | rule |\n|---|---|---|---|---|---|\n"
        yield "".join(failures)
        yield f"\n… and {more} more.\n\n" if more else "\n"
    yield "## Level needed\n\n| level | parts |\n|---|---|\n"
    yield "".join(f"| {level} | {totals.levels[level]} |\n" for level in LEVELS if totals.levels[level])
    yield "\n## Findings by rule\n\n| rule | left | answered | left per 100 bars |\n|---|---|---|---|\n"
    yield "".join(
        f"| `{rule}` | {left} | {answered} | {rate:.2f} |\n" for rule, left, answered, rate in by_rule(totals)
    )
    yield from _hardest(totals)
    if totals.skipped:
        yield f"\n## Skipped\n\n{len(totals.skipped)} without a part for violin or viola.\n\n"
        yield "".join(f"- {_cell(name)}\n" for name in totals.skipped[:MOST_SHOWN])
        more = len(totals.skipped) - MOST_SHOWN
        yield f"\n… and {more} more.\n" if more > 0 else ""
    if totals.faults:
        yield "\n## Could not be checked\n\n"
        yield "".join(f"- {_cell(name)}: {_cell(message)}\n" for name, message in totals.faults)


def _hardest(totals: Totals) -> Iterator[str]:
    if totals.hardest:
        yield "\n## Hardest bars\n\n| file | part | bar | effort a second |\n|---|---|---|---|\n"
        for effort, name, part_name, bar in totals.hardest:
            yield f"| {_cell(name)} | {_cell(part_name)} | {_cell(bar)} | {effort:.1f} |\n"


def _failures(file: CheckedFile) -> Iterator[str]:
    for part in file.parts:
        least = Severity[file.fail_on.upper()]
        for finding in part.findings:
            if finding.counts and Severity[finding.severity.upper()] >= least:
                yield _row(file, part, finding)


def _row(file: CheckedFile, part: CheckedPart, finding: CheckedFinding) -> str:
    cells = (file.name, part.name or part.id, finding.bars, finding.notes, f"{finding.severity}: {finding.message}")
    return "| " + " | ".join(map(_cell, cells)) + f" | `{finding.rule}` |\n"


def _cell(text: str) -> str:
    """Text for a table: what Markdown would read as structure is escaped."""
    escaped = "".join(f"\\{sign}" if sign in "\\|`*_<>[]" else sign for sign in text)
    return " ".join(escaped.split())
