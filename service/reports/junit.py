"""JUnit XML: one suite for each file, one case for each part and rule, as test reports of pipelines show it.

A finding at or above the policy's threshold is a failure; others stand in the case's output. A file that could not be
checked is an error.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from io import BytesIO
from typing import TYPE_CHECKING

from lxml import etree

from rules import Severity

from ..messages import findings as words
from ..messages.message import ENGLISH, Wording

if TYPE_CHECKING:
    from ..usecases.checks.check import CheckedFile, CheckedFinding, CheckedPart

# XML 1.0 cannot hold these characters, not even escaped; file names may.
_NOT_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")


def junit(files: Iterable[CheckedFile], rules: Iterable[str], wording: Wording = ENGLISH) -> Iterator[str]:
    """Yield the report piece by piece; `rules` are the ids that were checked, so that a clean rule is a passed case."""
    ids = tuple(rules)
    buffer = BytesIO()
    with etree.xmlfile(buffer, encoding="UTF-8") as report:
        report.write_declaration()
        with report.element("testsuites", name="handframe"):
            report.write("\n")
            for file in files:
                report.write(_suite(file, ids, wording))
                report.flush()
                yield _taken(buffer)
    yield _taken(buffer) + "\n"


def _taken(buffer: BytesIO) -> str:
    text = buffer.getvalue().decode()
    buffer.seek(0)
    buffer.truncate()
    return text


def _suite(file: CheckedFile, ids: tuple[str, ...], wording: Wording) -> etree._Element:
    if file.fault is not None:
        code, message = file.fault
        suite = _element("testsuite", name=file.name, tests="1", failures="0", errors="1", skipped="0")
        case = _element("testcase", suite, name=wording.say(words.CAN_BE_READ), classname=file.name)
        _element("error", case, type=code, message=message)
    elif file.skipped:
        suite = _element("testsuite", name=file.name, tests="1", failures="0", errors="0", skipped="1")
        case = _element("testcase", suite, name=wording.say(words.HAS_A_PART), classname=file.name)
        _element("skipped", case, message=file.skipped)
    else:
        least = Severity[file.fail_on.upper()]
        suite = _element("testsuite", name=file.name)
        for part in file.parts:
            for id in ids:
                _add_case(suite, file.name, part, id, least, wording)
        failures = str(len(suite.findall("testcase/failure")))
        for name, count in (("tests", str(len(suite))), ("failures", failures), ("errors", "0"), ("skipped", "0")):
            suite.set(name, count)
    suite.text = "\n"
    for child in (suite, *suite):
        child.tail = "\n"
    return suite


def _add_case(suite: etree._Element, file: str, part: CheckedPart, id: str, least: Severity, wording: Wording) -> None:
    case = _element("testcase", suite, name=f"{part.name or part.id}: {id}", classname=file)
    findings = [each for each in part.findings if each.rule == id and each.counts]
    failures = [each for each in findings if Severity[each.severity.upper()] >= least]
    others = [each for each in findings if each not in failures]
    if failures:
        failure = _element("failure", case, type=failures[0].outcome, message=f"{len(failures)} × {id}")
        failure.text = _lines(failures, wording)
    if others:
        _element("system-out", case).text = _lines(others, wording)


def _lines(findings: list[CheckedFinding], wording: Wording) -> str:
    return _clean("\n".join(_line(finding, wording) for finding in findings))


def _line(finding: CheckedFinding, wording: Wording) -> str:
    said = wording.say(words.AT_BEAT, bar=finding.bars, beat=finding.beat, notes=finding.notes, finding=finding.message)
    return wording.say(words.OF_SEVERITY, severity=wording.say(words.SEVERITY[finding.severity]), finding=said)


def _element(tag: str, parent: etree._Element | None = None, **attributes: str) -> etree._Element:
    cleaned = {name: _clean(value) for name, value in attributes.items()}
    return etree.Element(tag, cleaned) if parent is None else etree.SubElement(parent, tag, cleaned)


def _clean(text: str) -> str:
    return _NOT_XML.sub("�", text)
