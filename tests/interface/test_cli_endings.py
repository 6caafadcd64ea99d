"""How commands end when something unforeseen happens or somebody presses Ctrl-C: exit code, one line, no traceback."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import psutil
import pytest
from starlette.testclient import TestClient

from service.cli.main import Exit, main
from tests.interface.conftest import long_score
from tests.interface.running import ROOT

INTERRUPTED = 130


@pytest.mark.parametrize("fault", [KeyError("secret"), RecursionError("secret"), MemoryError("secret")])
def test_what_nobody_foresaw_is_a_failure_and_not_a_finding(
    fault: Exception,
    sample_scores: dict[str, Path],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def fail(*_: object, **__: object) -> None:
        raise fault

    monkeypatch.setattr("service.usecases.annotate.annotate", fail)
    target = tmp_path / "out.musicxml"
    assert main(["annotate", str(sample_scores["ferry_waltz"]), "-o", str(target)]) == Exit.FAILED
    told = capsys.readouterr().err
    assert "This is a fault of ours (service.cli.commands.annotate, line " in told
    assert len(told.splitlines()) == 1
    assert "secret" not in told
    assert type(fault).__name__ not in told


def test_an_interrupt_has_the_exit_code_of_an_interrupt(
    sample_scores: dict[str, Path], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def interrupt(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("service.usecases.annotate.annotate", interrupt)
    assert main(["annotate", str(sample_scores["ferry_waltz"]), "-o", "-"]) == INTERRUPTED
    assert capsys.readouterr().err == ""


def _ending(code: str) -> tuple[int, bytes]:
    """The exit code, and what is said on standard error, of a command that is started by some code."""
    arguments = ["annotate", "sample_scores/ferry_waltz.musicxml", "-o", os.devnull]
    done = subprocess.run([sys.executable, "-c", code, *arguments], capture_output=True, check=False, cwd=ROOT)
    return done.returncode, done.stderr


@pytest.mark.parametrize("module", ["service.cli.ending", "service.errors", "service.cli.main", "lxml", "numpy"])
def test_ctrl_c_while_a_module_loads_is_no_traceback(module: str) -> None:
    code = (
        "import sys\n"
        "class Interrupt:\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        f"        if name == {module!r}: raise KeyboardInterrupt\n"
        "sys.meta_path.insert(0, Interrupt())\n"
        "from service.cli.start import start\n"
        "sys.exit(start())"
    )
    assert _ending(code) == (INTERRUPTED, b"")


@pytest.mark.parametrize("module", ["service.errors", "service.cli.main", "lxml", "numpy"])
def test_ctrl_c_that_a_class_turns_into_another_error_is_still_one(module: str) -> None:
    """Python 3.11 raises RuntimeError for whatever ends `__set_name__`, as that of every member of an enumeration."""
    code = (
        "import os, signal, sys\n"
        "class Interrupt:\n"
        "    def __set_name__(self, owner, name): signal.raise_signal(signal.SIGINT)\n"
        "class Finder:\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        f"        if name == {module!r}: type('Class', (), {{'member': Interrupt()}})\n"
        "sys.meta_path.insert(0, Finder())\n"
        "from service.cli.start import start\n"
        "sys.exit(start())"
    )
    assert _ending(code) == (INTERRUPTED, b"")


@pytest.mark.parametrize("command", ["annotate", "review", "review --jobs 2", "practice"])
@pytest.mark.parametrize("delay", [0.6, *(pytest.param(delay, marks=pytest.mark.long) for delay in (1.5, 3.0))])
def test_ctrl_c_ends_a_command_at_once_and_leaves_nothing(command: str, delay: float, tmp_path: Path) -> None:
    """The terminal sends the signal to the whole group, so the processes that work get it too."""
    scores = tmp_path / "scores"
    scores.mkdir()
    for number in range(3):
        (scores / f"{number}.musicxml").write_bytes(long_score(12_000, number))
    place = scores if "review" in command else scores / "0.musicxml"
    target = tmp_path / "out.musicxml"
    process = subprocess.Popen(
        [sys.executable, "-m", "service.cli", *command.split(), str(place), "--level", "all", "-o", str(target)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        start_new_session=True,
    )
    time.sleep(delay)
    children = psutil.Process(process.pid).children(recursive=True)
    assert process.poll() is None, "it is still at work"
    os.killpg(process.pid, signal.SIGINT)
    _, told = process.communicate(timeout=20)
    # A shell reports both as 130: our exit code, and an interpreter ended by the signal while it was starting.
    assert process.returncode in (INTERRUPTED, -signal.SIGINT)
    assert told == b""
    _, alive = psutil.wait_procs(children, timeout=5)
    assert alive == []
    assert not target.exists()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["scores"]


SET = ["practice", "--set", "progressive", "-o", "-"]


@pytest.mark.parametrize(
    ("arguments", "named"),
    [
        ([*SET, "--positions", "1"], "positions cannot be '1'"),
        ([*SET, "--positions", "0,3"], "positions cannot be '0,3'"),
        ([*SET, "--positions", "3", "--key", "B"], "key cannot be 'B'"),
        ([*SET, "--most", "3"], "most cannot be '3'"),
        ([*SET, "--proposal", "1"], "proposal cannot be '1'"),
        (["practice", "SCORE", "-o", "-", "--most", "-3"], "most cannot be '-3'"),
        (["practice", "SCORE", "-o", "-", "--proposal", "0"], "proposal cannot be '0'"),
        (["practice", "SCORE", "-o", "-", "--key", "D"], "key cannot be 'D'"),
        (["review", "SCORE", "--jobs", "0"], "jobs cannot be '0'"),
    ],
)
def test_options_that_cannot_be_done_are_refused(
    arguments: list[str], named: str, sample_scores: dict[str, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    given = [str(sample_scores["ferry_waltz"]) if each == "SCORE" else each for each in arguments]
    assert main(given) == Exit.FAILED
    shown = capsys.readouterr()
    assert named in shown.err
    assert shown.out == ""


@pytest.mark.parametrize("positions", ["1", "0,3", "6"])
def test_the_service_and_the_command_refuse_the_same_positions_in_the_same_words(
    positions: str, client: TestClient, capsys: pytest.CaptureFixture[str]
) -> None:
    answer = client.get("/practice/set", params={"positions": positions})
    assert answer.status_code == 400
    assert main([*SET, "--positions", positions]) == Exit.FAILED
    assert answer.json()["detail"] in capsys.readouterr().err


def test_the_service_refuses_a_negative_number_of_shifts(client: TestClient, waltz: bytes) -> None:
    answer = client.post("/practice", params={"most": "-3"}, content=waltz)
    assert (answer.status_code, answer.json()["code"]) == (400, "bad-option")
