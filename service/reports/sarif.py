"""SARIF 2.1.0 (OASIS): findings for code hosts and editors, with rules, places in the text, and fingerprints.

The report is written file by file, so that a long run needs no memory for what is written already. Findings that a
proposal answers are left out; exempted and known ones are suppressed, with the reason.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from rules import Rule

from .. import __version__

if TYPE_CHECKING:
    from ..usecases.checks.check import CheckedFile, CheckedFinding, CheckedPart

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
FINGERPRINT = "placeInTheMusic/v1"


def sarif(files: Iterable[CheckedFile], rules: Sequence[Rule]) -> Iterator[str]:
    """Yield the report piece by piece."""
    driver = {
        "name": "handframe",
        "semanticVersion": __version__,
        "rules": [_rule(rule) for rule in rules],
    }
    yield f'{{\n"$schema": {json.dumps(SCHEMA)},\n"version": "2.1.0",\n"runs": [{{\n'
    yield f'"tool": {{"driver": {_json(driver)}}},\n"columnKind": "unicodeCodePoints",\n"results": ['
    numbers = {rule.id: number for number, rule in enumerate(rules)}
    faults: list[dict[str, Any]] = []
    skipped: list[dict[str, Any]] = []
    first = True
    for file in files:
        if file.fault is not None:
            faults.append(_fault(file))
        if file.skipped:
            skipped.append(_notice(file, "note", "skipped", file.skipped))
        for part in file.parts:
            for finding in part.findings:
                if finding.proposal is None:
                    yield ("\n" if first else ",\n") + _json(_result(file, part, finding, numbers))
                    first = False
    invocation = {"executionSuccessful": not faults, "toolExecutionNotifications": faults + skipped}
    yield f'\n],\n"invocations": [{_json(invocation)}]\n}}]\n}}\n'


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False)


def _rule(rule: Rule) -> dict[str, Any]:
    return {
        "id": rule.id,
        "shortDescription": {"text": f"{rule.title}."},
        "fullDescription": {"text": " ".join(rule.rationale.split())},
        "defaultConfiguration": {"level": max(o.severity for o in rule.outcomes.values()).word},
        "properties": {"since": rule.since, "outcomes": sorted(rule.outcomes)},
    }


def _result(file: CheckedFile, part: CheckedPart, finding: CheckedFinding, numbers: dict[str, int]) -> dict[str, Any]:
    name = part.name or part.id
    result: dict[str, Any] = {
        "ruleId": finding.rule,
        "level": finding.severity,
        "message": {"text": f"{name}, bar {finding.bars} ({finding.notes}): {finding.message}."},
        "locations": [
            {
                "physicalLocation": _physical(file.name, finding),
                "logicalLocations": [
                    {"name": f"bar {finding.bars}", "fullyQualifiedName": f"{name}/bar {finding.bars}"}
                ],
            }
        ],
        "partialFingerprints": {FINGERPRINT: finding.fingerprint},
        "properties": {"outcome": finding.outcome, "part": part.id, "beat": finding.beat},
    }
    if finding.rule in numbers:
        result["ruleIndex"] = numbers[finding.rule]
    if finding.exempted:
        result["suppressions"] = [{"kind": "external", "justification": finding.exempted}]
    elif finding.known:
        result["suppressions"] = [{"kind": "external", "justification": "in the baseline"}]
    return result


def _physical(name: str, finding: CheckedFinding) -> dict[str, Any]:
    place: dict[str, Any] = {"artifactLocation": {"uri": uri(name)}}
    if finding.line is not None and finding.column is not None:
        place["region"] = {"startLine": finding.line, "startColumn": finding.column}
    return place


def uri(name: str) -> str:
    """Return a file name as a URI reference, with slashes and escapes (RFC 3986)."""
    path = quote(name.replace("\\", "/"), safe="/-._~")
    return f"file://{path}" if path.startswith("/") else path


def _fault(file: CheckedFile) -> dict[str, Any]:
    code, message = file.fault or ("", "")
    return _notice(file, "error", code, message)


def _notice(file: CheckedFile, level: str, code: str, message: str) -> dict[str, Any]:
    return {
        "level": level,
        "message": {"text": message},
        "descriptor": {"id": code},
        "locations": [{"physicalLocation": {"artifactLocation": {"uri": uri(file.name)}}}],
    }
