"""The formats of a check's report, and how each is written, piece by piece, as results come in."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING

from ..messages.message import ENGLISH, Message, Wording

if TYPE_CHECKING:
    from ..usecases.checks.check import CheckedFile
    from .lines import Line
    from .summary import Totals

Paint = Callable[["Line"], str]
"""Turns a styled line into text with colours."""
FORMATS = {
    "text": Message("proposals, shifts and findings, to play from"),
    "lines": Message("one line a passage, by file and part"),
    "html": Message("a list to print and tick off, the bars engraved"),
    "json": Message("everything, as data"),
    "sarif": Message("SARIF 2.1.0, for code hosts and editors"),
    "junit": Message("JUnit XML, for test reports of pipelines"),
    "annotations": Message("lines that a pipeline on a code host shows beside the file"),
    "markdown": Message("a summary for a page"),
    "summary": Message("levels needed, findings by rule, hardest bars"),
}


def report(
    format: str,
    results: Iterable[CheckedFile],
    totals: Totals,
    *,
    paint: Paint | None,
    most: int,
    wording: Wording = ENGLISH,
) -> Iterator[str]:
    """Yield the report.

    Args:
        format: one of `FORMATS`.
        results: the checked files, in order.
        totals: what they add up to once all have come.
        paint: turns a styled line into text with colours; None for plain text.
        most: how many lines a part gets in the formats that people read.
        wording: says what people read of it.
    """
    if format == "text":
        for number, result in enumerate(results):
            yield f"\n{result.rendered}" if number and result.rendered else result.rendered
    elif format == "lines":
        yield from _lines(results, totals, wording, paint=paint, most=most)
    elif format == "html":
        from .proof_sheet import proof_sheet

        yield from proof_sheet(results, totals, most, wording)
    elif format in ("markdown", "summary"):
        yield from _totals_text(format, results, totals, wording)
    else:
        yield from _data(format, results, wording)


def _data(format: str, results: Iterable[CheckedFile], wording: Wording) -> Iterator[str]:
    """The formats that programs read."""
    from rules import all_rules

    if format == "sarif":
        from .sarif import sarif

        yield from sarif(results, all_rules(), wording)
    elif format == "junit":
        from .junit import junit

        yield from junit(results, [rule.id for rule in all_rules()], wording)
    elif format == "annotations":
        from .annotations import annotation_lines

        yield from annotation_lines(results, wording)
    else:
        from .wire.check_data import check_json

        yield from check_json(results)


def _lines(
    results: Iterable[CheckedFile], totals: Totals, wording: Wording, *, paint: Paint | None, most: int
) -> Iterator[str]:
    from .lines import lines, plain, skipped_lines
    from .summary import one_line

    write = paint or plain
    for result in results:
        yield from (f"{write(line)}\n" for line in lines(result, most, wording))
    yield from (f"{write(line)}\n" for line in skipped_lines(totals.skipped, most, wording))
    yield f"{one_line(totals, wording)}\n"


def _totals_text(format: str, results: Iterable[CheckedFile], totals: Totals, wording: Wording) -> Iterator[str]:
    from .markdown import markdown
    from .summary import summary

    if format == "markdown":
        yield from markdown(results, totals, wording)
        return
    for _ in results:
        pass
    yield from (f"{line}\n" for line in summary(totals, wording))
