"""The command `review`: which files, which format, which exit code, and what one bad file does to the others."""

from __future__ import annotations

import io
import json
import time
from collections.abc import Iterator
from pathlib import Path

import psutil
import pytest

from service.cli.main import Exit, main
from service.config.options import Options
from service.policies.policy_file import built_in, read_policy
from service.reports.rendered import needs_of
from service.usecases.checks.batch import Job, check_files, find_files, named_scores
from tests.interface.deadly_policy import DeadlyPolicy, EndlessPolicy, FaultyPolicy

NOTE = "<note><pitch><step>{0}</step><octave>{1}</octave></pitch><duration>{2}</duration><type>half</type></note>"
HEAD = (
    "<?xml version='1.0' encoding='UTF-8'?>\n<score-partwise version='4.0'><part-list><score-part id='P1'>"
    "<part-name>Violin</part-name></score-part></part-list><part id='P1'>\n"
)
FIRST_BAR = (
    "<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time>"
    "<clef><sign>G</sign><line>2</line></clef></attributes>"
)


def score(*bars: str) -> str:
    """A violin part; a bar is its notes, "D6:4 E5:2"."""
    written = []
    for number, bar in enumerate(bars, start=1):
        notes = "".join(NOTE.format(note[0], note[1], note[3]) + "\n" for note in bar.split())
        written.append(f"<measure number='{number}'>{FIRST_BAR if number == 1 else ''}\n{notes}</measure>\n")
    return f"{HEAD}{''.join(written)}</part></score-partwise>\n"


@pytest.fixture
def catalogue(tmp_path: Path) -> Path:
    """Two good scores, one too high for first position, and one that is no score."""
    (tmp_path / "book_1").mkdir()
    (tmp_path / "book_1" / "easy.musicxml").write_text(score("D5:2 E5:2", "A4:2 B4:2"))
    (tmp_path / "book_1" / "high.musicxml").write_text(score("D5:2 E5:2", "G6:4"))
    (tmp_path / "broken.xml").write_text("<score-partwise><part-list>")
    (tmp_path / "notes.txt").write_text("no score")
    return tmp_path


def names(found: list[str]) -> list[str]:
    return [Path(name).name for name in found]


def test_folders_and_patterns_stand_for_their_scores_once_in_order(catalogue: Path) -> None:
    assert names(find_files([str(catalogue)])) == ["easy.musicxml", "high.musicxml", "broken.xml"]
    assert names(find_files([str(catalogue / "**" / "*.musicxml"), str(catalogue)]))[:2] == [
        "easy.musicxml",
        "high.musicxml",
    ]
    assert find_files(["missing.xml", "-"]) == ["missing.xml", "-"]


def test_exit_codes_tell_clean_findings_and_failure(catalogue: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = catalogue / "book_1"
    assert main(["review", str(book / "easy.musicxml"), "--policy", "first"]) == Exit.CLEAN
    assert main(["review", str(book), "--policy", "first"]) == Exit.FINDINGS
    assert main(["review", str(catalogue), "--policy", "first"]) == Exit.FAILED
    assert main(["review", str(catalogue / "missing.xml")]) == Exit.FAILED
    assert "missing.xml: No such file" in capsys.readouterr().err


def test_threshold_of_the_command_wins_over_the_policy(catalogue: Path) -> None:
    high = str(catalogue / "book_1" / "high.musicxml")
    lenient = catalogue / "lenient.toml"
    lenient.write_text('level = "first"\n[rules.note-outside-level]\nseverity = "note"\nreason = "a reader for adults"')
    assert main(["review", high, "--policy", str(lenient)]) == Exit.CLEAN
    assert main(["review", high, "--policy", str(lenient), "--fail-on", "note"]) == Exit.FINDINGS


def test_one_bad_file_does_not_stop_the_run(catalogue: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["review", str(catalogue), str(catalogue / "notes.txt"), "--policy", "first", "--format", "json"])
    files = json.loads(capsys.readouterr().out)["files"]
    assert names([file["file"] for file in files]) == ["easy.musicxml", "high.musicxml", "broken.xml", "notes.txt"]
    assert [file["error"] is not None for file in files] == [False, False, True, True]
    assert files[2]["error"]["code"] == "truncated"


def test_several_processes_give_the_same_answer_in_the_same_order(catalogue: Path) -> None:
    job = Job(built_in("first"), str(catalogue), Options(), detail=needs_of("sarif")[0])
    files = find_files([str(catalogue)]) * 3
    alone, together = list(check_files(job, named_scores(files))), list(check_files(job, named_scores(files), 2))
    assert alone == together
    assert [result.name for result in together] == files


def test_a_fault_of_ours_costs_one_file(catalogue: Path) -> None:
    """Its place in the code is said, never the exception's name or text."""
    files = find_files([str(catalogue / "book_1")])
    easy, high = check_files(Job(FaultyPolicy(), ".", Options()), named_scores(files))  # type: ignore[arg-type]
    assert high.fault is None
    assert easy.fault is not None
    assert easy.fault[0] == "internal"
    assert "This is a fault of ours (service.usecases.checks.batch, line " in easy.fault[1]
    assert "secret" not in easy.fault[1]
    assert "Error" not in easy.fault[1]


@pytest.mark.parametrize("processes", [1, 2])
def test_one_score_cannot_stall_a_catalogue(catalogue: Path, tmp_path: Path, processes: int) -> None:
    """Its process is killed, and the others go on."""
    note = tmp_path / "process"
    job = Job(EndlessPolicy(str(note)), ".", Options())  # type: ignore[arg-type]
    book = catalogue / "book_1"
    files = [str(book / name) for name in ("easy.musicxml", "high.musicxml", "easy.musicxml", "high.musicxml")]
    began = time.monotonic()
    results = list(check_files(job, named_scores(files), processes, seconds=2))
    assert time.monotonic() - began < 30
    assert [result.fault and result.fault[0] for result in results] == ["too-slow", None, "too-slow", None]
    assert results[0].fault is not None
    assert "2 seconds" in results[0].fault[1]
    assert "--seconds" in results[0].fault[1]
    numbers = note.read_text().split()
    assert len(numbers) == 2
    assert not any(psutil.pid_exists(int(number)) for number in numbers)


def test_the_command_gives_a_score_up_and_says_so(catalogue: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = str(catalogue / "book_1")
    assert main(["review", book, "--policy", "first", "--seconds", "0.0001", "--format", "json"]) == Exit.FAILED
    shown = capsys.readouterr()
    assert [file["error"]["code"] for file in json.loads(shown.out)["files"]] == ["too-slow"] * 2
    assert "given up after 0.0001 seconds" in shown.err
    for wrong in ("0", "-1", "nan"):
        assert main(["review", book, "--seconds", wrong]) == Exit.FAILED
        assert "seconds cannot be" in capsys.readouterr().err


def test_standard_input_is_one_of_the_scores(catalogue: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    high = catalogue / "book_1" / "high.musicxml"
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(high.read_bytes())))
    job = Job(built_in("first"), ".", Options())
    from_stdin, from_file = check_files(job, named_scores(["-", str(high)]))
    assert from_stdin.fault is None
    assert from_stdin.parts == from_file.parts


def test_findings_stand_on_the_line_and_column_of_their_note(
    catalogue: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    high = catalogue / "book_1" / "high.musicxml"
    main(["review", str(high), "--policy", "first", "--format", "sarif"])
    results = json.loads(capsys.readouterr().out)["runs"][0]["results"]
    (outside,) = [result for result in results if result["ruleId"] == "note-outside-level"]
    region = outside["locations"][0]["physicalLocation"]["region"]
    line = high.read_text().splitlines()[region["startLine"] - 1]
    assert line[region["startColumn"] - 1 :].startswith("<note><pitch><step>G</step><octave>6")


def test_a_report_in_a_file_is_whole_or_not_there(catalogue: Path) -> None:
    target = catalogue / "out.xml"
    main(["review", str(catalogue / "book_1"), "--format", "junit", "-o", str(target)])
    assert target.read_text().endswith("</testsuites>\n")
    assert not list(catalogue.glob(".*.part"))


def test_a_moved_bar_is_not_a_new_finding(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tune, baseline = tmp_path / "tune.musicxml", tmp_path / "accepted.txt"
    tune.write_text(score("D5:2 E5:2", "A5:2 G6:2", "E5:2 D5:2"))
    assert main(["review", str(tune), "--policy", "first", "--write-baseline", str(baseline)]) == Exit.CLEAN
    tune.write_text(score("B4:2 A4:2", "G4:2 C5:2", "D5:2 E5:2", "A5:2 G6:2", "E5:2 D5:2"))
    assert main(["review", str(tune), "--policy", "first", "--baseline", str(baseline)]) == Exit.CLEAN
    tune.write_text(score("B4:2 F6:2", "G4:2 C5:2", "D5:2 E5:2", "A5:2 G6:2", "E5:2 D5:2"))
    capsys.readouterr()
    assert main(["review", str(tune), "--policy", "first", "--baseline", str(baseline)]) == Exit.FINDINGS
    shown = capsys.readouterr().out
    assert "F6 lies beyond level" in shown
    assert "G6 lies beyond level" not in shown


def test_a_baseline_that_is_none_is_named(catalogue: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (catalogue / "bad.txt").write_text("# fine\nnot a fingerprint\n")
    assert main(["review", str(catalogue), "--baseline", str(catalogue / "bad.txt")]) == Exit.FAILED
    assert "bad.txt, line 2" in capsys.readouterr().err


def test_colour_is_for_terminals(catalogue: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["review", str(catalogue / "book_1"), "--policy", "first"])
    assert "\x1b[" not in capsys.readouterr().out


def test_options_that_are_given_win_over_the_policy(catalogue: Path, capsys: pytest.CaptureFixture[str]) -> None:
    high = str(catalogue / "book_1" / "high.musicxml")
    assert main(["review", high, "--policy", "first", "--level", "all"]) == Exit.CLEAN
    assert "needs level" not in capsys.readouterr().err


def test_results_of_a_run_do_not_pile_up(catalogue: Path) -> None:
    """A thousand names are asked for one by one: no more are taken than are under way."""
    taken = 0

    def endless() -> Iterator[str]:
        nonlocal taken
        while True:
            taken += 1
            yield str(catalogue / "book_1" / "easy.musicxml")

    results = check_files(Job(read_policy("", "none"), ".", Options()), named_scores(endless()))
    assert [next(results).fault for _ in range(3)] == [None] * 3
    assert taken == 3


def test_a_process_that_dies_costs_its_file_only(catalogue: Path) -> None:
    job = Job(DeadlyPolicy(), ".", Options())  # type: ignore[arg-type]
    book = catalogue / "book_1"
    files = [str(book / name) for name in ("high.musicxml", "easy.musicxml", "high.musicxml", "high.musicxml")]
    results = list(check_files(job, named_scores(files), 2))
    assert [result.name for result in results] == files
    assert [result.fault and result.fault[0] for result in results] == [None, "internal", None, None]
