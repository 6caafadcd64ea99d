"""JUnit XML: one suite a file, one case for each part and rule, as test reports of pipelines show it.

Pure: results of files in, pieces of XML text out. A finding at or above the policy's threshold is a failure, others are
said in the case's output; a file that could not be checked is an error.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING
from xml.sax.saxutils import escape, quoteattr

from rules import Severity

if TYPE_CHECKING:
    from ..usecases.check import CheckedFile, CheckedPart, Found

# XML 1.0 has no way to write these, not even escaped; file names may hold them.
_NO_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")


def junit(files: Iterable[CheckedFile], rules: Iterable[str]) -> Iterator[str]:
    """Yield the report piece by piece; `rules` are the ids that were checked, so that a clean rule is a passed case."""
    ids = tuple(rules)
    yield '<?xml version="1.0" encoding="UTF-8"?>\n<testsuites name="handframe">\n'
    for file in files:
        yield from _suite(file, ids)
    yield "</testsuites>\n"


def _suite(file: CheckedFile, ids: tuple[str, ...]) -> Iterator[str]:
    name = _attribute(file.name)
    if file.fault is not None:
        code, message = file.fault
        yield f'<testsuite name={name} tests="1" failures="0" errors="1" skipped="0">\n'
        yield f'<testcase name="can be read" classname={name}>'
        yield f"<error type={_attribute(code)} message={_attribute(message)}/></testcase>\n</testsuite>\n"
        return
    least = Severity[file.fail_on.upper()]
    cases = [(part, id, [f for f in part.findings if f.rule == id and f.counts]) for part in file.parts for id in ids]
    failed = sum(1 for _, _, found in cases if _failures(found, least))
    yield f'<testsuite name={name} tests="{len(cases)}" failures="{failed}" errors="0" skipped="0">\n'
    for part, id, found in cases:
        yield from _case(name, part, id, found, least)
    yield "</testsuite>\n"


def _failures(found: list[Found], least: Severity) -> list[Found]:
    return [one for one in found if Severity[one.severity.upper()] >= least]


def _case(name: str, part: CheckedPart, id: str, found: list[Found], least: Severity) -> Iterator[str]:
    failures = _failures(found, least)
    title = _attribute(f"{part.name or part.id}: {id}")
    if not found:
        yield f"<testcase name={title} classname={name}/>\n"
        return
    yield f"<testcase name={title} classname={name}>"
    if failures:
        kind = _attribute(failures[0].outcome)
        message = _attribute(f"{len(failures)} × {id}")
        yield f"<failure type={kind} message={message}>{_lines(failures)}</failure>"
    others = [one for one in found if one not in failures]
    if others:
        yield f"<system-out>{_lines(others)}</system-out>"
    yield "</testcase>\n"


def _lines(found: list[Found]) -> str:
    return _text("\n".join(f"{f.severity}: bar {f.bars}, beat {f.beat} ({f.notes}): {f.message}" for f in found))


def _text(text: str) -> str:
    return escape(_NO_XML.sub("�", text))


def _attribute(text: str) -> str:
    return quoteattr(_NO_XML.sub("�", text))
