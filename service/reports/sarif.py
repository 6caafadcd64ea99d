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
from ..messages import findings as words
from ..messages.message import ENGLISH, Message, Wording, sentence

if TYPE_CHECKING:
    from ..usecases.checks.check import CheckedFile, CheckedFinding, CheckedPart

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
FINGERPRINT = "placeInTheMusic/v1"


def sarif(files: Iterable[CheckedFile], rules: Sequence[Rule], wording: Wording = ENGLISH) -> Iterator[str]:
    """Yield the report piece by piece."""
    driver = {
        "name": "handframe",
        "semanticVersion": __version__,
        "rules": [_rule(rule, wording) for rule in rules],
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
                    yield ("\n" if first else ",\n") + _json(_result(file, part, finding, numbers, wording))
                    first = False
    invocation = {"executionSuccessful": not faults, "toolExecutionNotifications": faults + skipped}
    yield f'\n],\n"invocations": [{_json(invocation)}]\n}}]\n}}\n'


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False)


def _rule(rule: Rule, wording: Wording) -> dict[str, Any]:
    return {
        "id": rule.id,
        "shortDescription": {"text": sentence(wording.say(Message(rule.title)))},
        "fullDescription": {"text": wording.say(Message(" ".join(rule.rationale.split())))},
        "defaultConfiguration": {"level": max(o.severity for o in rule.outcomes.values()).word},
        "properties": {"since": rule.since, "outcomes": sorted(rule.outcomes)},
    }


def _result(
    file: CheckedFile, part: CheckedPart, finding: CheckedFinding, numbers: dict[str, int], wording: Wording
) -> dict[str, Any]:
    name = part.name or part.id
    bar = wording.say(words.BAR, bar=finding.bars)
    said = wording.say(words.SHOWN_IN, part=name, bars=finding.bars, notes=finding.notes, finding=finding.message)
    result: dict[str, Any] = {
        "ruleId": finding.rule,
        "level": finding.severity,
        "message": {"text": sentence(said)},
        "locations": [
            {
                "physicalLocation": _physical(file.name, finding),
                "logicalLocations": [{"name": bar, "fullyQualifiedName": f"{name}/{bar}"}],
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
        result["suppressions"] = [{"kind": "external", "justification": wording.say(words.IN_BASELINE)}]
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
