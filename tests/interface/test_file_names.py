"""Names of files that are empty, odd or no text: nothing is read by mistake, and every report can be written."""

from __future__ import annotations

import json
import os
import subprocess
from pathlib import Path
from xml.etree import ElementTree

import pytest
from jsonschema import Draft4Validator

from service.cli.main import Exit, main
from service.config.options import Options
from service.policies.policy_file import built_in
from service.usecases.checks.batch import Job, find_files, named_scores, scores_with_content
from service.usecases.checks.killable_processes import DEFAULT_SECONDS
from service.usecases.files import printable_name
from service.workers.distributed import check
from tests.interface.test_output_files import CLI
from tests.interface.test_review_reports import SARIF_SCHEMA

NAMES = {
    "St\udcfcck.musicxml": r"St\xfcck.musicxml",  # Latin-1, as older archives have it
    "a\x01\x1b[31m.musicxml": r"a\x01\x1b[31m.musicxml",
    "two\nlines.musicxml": r"two\nlines.musicxml",
    'quote"<&.musicxml': 'quote"<&.musicxml',
    "Stück 三.musicxml": "Stück 三.musicxml",
}


@pytest.fixture
def folder(tmp_path: Path, waltz: bytes, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in NAMES:
        (tmp_path / name).write_bytes(waltz)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_a_name_is_shown_as_text() -> None:
    assert [printable_name(name) for name in NAMES] == list(NAMES.values())


@pytest.mark.parametrize("format", ["text", "lines", "json", "junit", "sarif", "markdown", "summary"])
def test_every_report_names_every_file(folder: Path, format: str) -> None:
    report = folder / "report"
    assert main(["review", ".", "--format", format, "-o", str(report)]) == Exit.CLEAN
    text = report.read_text(encoding="utf-8")
    assert not any(sign in text for sign in "\x01\x1b")
    if format == "json":
        assert sorted(each["file"] for each in json.loads(text)["files"]) == sorted(NAMES.values())
    elif format == "junit":
        assert len(ElementTree.fromstring(text).findall("testsuite")) == len(NAMES)
    elif format == "sarif":
        Draft4Validator(SARIF_SCHEMA).validate(json.loads(text))


def test_a_baseline_holds_for_them(folder: Path) -> None:
    command = ["review", ".", "--policy", "first", "--fail-on", "note", "-o", os.devnull]
    assert main(command) == Exit.FINDINGS
    assert main([*command, "--write-baseline", "accepted"]) == Exit.CLEAN
    assert main([*command, "--baseline", "accepted"]) == Exit.CLEAN


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=pytest.mark.long if number else ()) for number, name in enumerate(NAMES)]
)
def test_a_terminal_that_cannot_show_a_name_is_no_reason_to_fail(folder: Path, name: str) -> None:
    for command in ("annotate", "practice"):
        done = subprocess.run(
            [*CLI, command, name], capture_output=True, check=False, cwd=folder,
            env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2]), "PYTHONIOENCODING": "ascii"},
        )  # fmt: skip
        assert (done.returncode, done.stderr) == (0, b"")
        assert len(done.stdout.splitlines()) == 1 + (command == "practice" and b"\n  " in done.stdout)


def test_a_cluster_prints_them(folder: Path) -> None:
    job = Job(built_in("proof"), ".", Options(), collection=True)
    scores = scores_with_content(named_scores(find_files([str(folder)])))
    found = [check(job, name, data, DEFAULT_SECONDS) for name, data in scores]
    assert sorted(Path(result.name).name for result in found) == sorted(NAMES.values())
    assert all(result.fault is None for result in found)


@pytest.mark.parametrize("command", ["annotate", "clean", "review", "practice", "watch"])
def test_an_empty_name_is_no_folder(command: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As from a variable that is not set: neither the folder one is in, nor a fault of ours."""
    assert main([command, ""]) == Exit.FAILED
    told = capsys.readouterr().err
    assert "''" in told
    assert "fault" not in told
    assert len(list(folder.iterdir())) == len(NAMES)


@pytest.mark.parametrize("command", ["annotate", "clean", "practice"])
@pytest.mark.parametrize("name", [".", "/"])
def test_a_folder_is_no_score(command: str, name: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([command, name]) == Exit.FAILED
    assert capsys.readouterr().err == f"handframe: {name}: Is a directory\n"
