"""The commands `annotate` and `clean`: files in and out, exit codes, and what bad input is told."""

from __future__ import annotations

import io
import json
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from service.cli.main import Exit, main

WALTZ = "ferry_waltz"


def test_annotate_writes_beside_the_score_and_clean_gives_the_input_back(
    sample_scores: dict[str, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    score = tmp_path / "waltz.musicxml"
    score.write_bytes(sample_scores[WALTZ].read_bytes())
    assert main(["annotate", str(score)]) == Exit.CLEAN
    marked = tmp_path / "waltz.marked.musicxml"
    assert b"<fingering>" in marked.read_bytes()
    assert "waltz.marked.musicxml" in capsys.readouterr().out
    assert main(["clean", str(marked), "-o", str(tmp_path / "back.musicxml")]) == Exit.CLEAN
    assert (tmp_path / "back.musicxml").read_bytes() == score.read_bytes()


@pytest.mark.parametrize(("sample", "name"), [("pier_march", "march.musicxml"), (WALTZ, "waltz.mxl")])
def test_a_score_is_not_written_under_the_name_of_another_kind_of_file(
    sample: str, name: str, sample_scores: dict[str, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for command in ("annotate", "clean"):
        assert main([command, str(sample_scores[sample]), "-o", str(tmp_path / name)]) == Exit.FAILED
        assert "Give the output a name that ends in" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_annotating_the_marked_score_again_changes_nothing(sample_scores: dict[str, Path], tmp_path: Path) -> None:
    once, twice = tmp_path / "once.musicxml", tmp_path / "twice.musicxml"
    main(["annotate", str(sample_scores[WALTZ]), "-o", str(once)])
    main(["annotate", str(once), "-o", str(twice)])
    assert once.read_bytes() == twice.read_bytes()


def test_standard_input_and_output_are_a_pipe(sample_scores: dict[str, Path]) -> None:
    command = [sys.executable, "-m", "service.cli"]
    data = sample_scores[WALTZ].read_bytes()
    marked = subprocess.run([*command, "annotate", "-"], input=data, capture_output=True, check=True).stdout
    assert b"3rd pos." in marked
    assert subprocess.run([*command, "clean", "-"], input=marked, capture_output=True, check=True).stdout == data


def test_compressed_score_stays_compressed(sample_scores: dict[str, Path], tmp_path: Path) -> None:
    target = tmp_path / "march.mxl"
    assert main(["annotate", str(sample_scores["pier_march"]), "-o", str(target)]) == Exit.CLEAN
    assert zipfile.ZipFile(target).testzip() is None


def test_plan_is_written_as_json(sample_scores: dict[str, Path], tmp_path: Path) -> None:
    plan = tmp_path / "plan.json"
    main(["annotate", str(sample_scores[WALTZ]), "-o", str(tmp_path / "x.musicxml"), "--plan", str(plan)])
    (part,) = json.loads(plan.read_text(encoding="utf-8"))["parts"]
    assert [row["index"] for row in part["plan"]] == list(range(len(part["plan"])))
    assert {"string", "finger", "position", "measure", "beat", "pitch"} <= part["plan"][0].keys()


def test_quartet_touches_only_the_part_that_was_named(sample_scores: dict[str, Path], tmp_path: Path) -> None:
    score, target = sample_scores["lantern_quartet"], tmp_path / "quartet.musicxml"
    assert main(["annotate", str(score), "-o", str(target), "--part", "Violin I", "--fingers", "all"]) == Exit.CLEAN
    before, after = score.read_text(encoding="utf-8"), target.read_text(encoding="utf-8")
    kept = [line for line in after.splitlines() if "<?handframe" not in line]
    assert kept == before.splitlines(), "the diff holds added lines only"
    first_part = after.index("</part>")
    assert "<?handframe" in after[:first_part]
    assert "<?handframe" not in after[first_part:]


def _bomb() -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(
            "META-INF/container.xml", '<container><rootfiles><rootfile full-path="a.xml"/></rootfiles></container>'
        )
        archive.writestr("a.xml", b" " * 100_000_000)
    return buffer.getvalue()


ENTITIES = (
    b'<?xml version="1.0"?><!DOCTYPE score-partwise [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
    b"<score-partwise><part-list/></score-partwise>"
)
NO_VIOLIN = (
    b'<score-partwise><part-list><score-part id="P1"><part-name>Tuba</part-name></score-part></part-list>'
    b'<part id="P1"><measure number="1"><attributes><divisions>1</divisions></attributes><note><pitch><step>C</step>'
    b"<octave>2</octave></pitch><duration>4</duration></note></measure></part></score-partwise>"
)


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("empty", b"", "empty"),
        ("blank", b" \n ", "empty"),
        ("web page", b"<!DOCTYPE html><html><body>Sign in</body></html>", "web page"),
        ("truncated", b'<?xml version="1.0"?><score-partwise><part-list>', "line 1"),
        ("wrong archive", b"PK\x03\x04 not really", "cannot be opened"),
        ("entities", ENTITIES, "entit"),
        ("no violin", NO_VIOLIN, "Tuba"),
        ("thirty megabytes", b"<score-partwise>" + b" " * 30_000_000, "MB"),
        ("bomb", _bomb, ""),
        ("text", b"dear editor, please find attached", "XML"),
    ],
)
def test_bad_input_gets_a_clear_error(
    name: str, data: bytes | Callable[[], bytes], told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    score = tmp_path / "bad.musicxml"
    score.write_bytes(data() if callable(data) else data)
    for command in ("annotate", "review"):
        assert main([command, str(score)]) == Exit.FAILED, name
        message = capsys.readouterr().err
        assert told.lower() in message.lower()
        assert "Traceback" not in message
    assert [path.name for path in tmp_path.iterdir()] == ["bad.musicxml"], "nothing half-written"


def test_missing_file_is_said_plainly(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["annotate", str(tmp_path / "none.musicxml")]) == Exit.FAILED
    assert "none.musicxml" in capsys.readouterr().err


def test_bar_that_does_not_exist_is_refused_with_the_bars_there_are(
    sample_scores: dict[str, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["annotate", str(sample_scores[WALTZ]), "-o", "-", "--measures", "5-999"]) == Exit.FAILED
    message = capsys.readouterr().err
    assert "999" in message
    assert "32" in message
