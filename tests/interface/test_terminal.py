"""Colour and progress, seen through a real terminal device."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SCORES = [str(ROOT / "sample_scores" / f"{name}.musicxml") for name in ("ferry_waltz", "first_bench")]


def run_on_a_terminal(stream: str, *arguments: str) -> tuple[str, str]:
    """Run the command with one of its streams on a terminal; return what the terminal and the other stream got."""
    terminal, device = pty.openpty()
    other = "stdout" if stream == "stderr" else "stderr"
    command = [sys.executable, "-m", "service.cli", "review", *arguments]
    environment = {**os.environ, "TERM": "xterm", "PYTHONPATH": str(ROOT)}
    environment.pop("NO_COLOR", None)
    with subprocess.Popen(command, env=environment, **{stream: device, other: subprocess.PIPE}) as process:  # type: ignore[call-overload]
        os.close(device)
        received = b""
        while piece := _read(terminal):
            received += piece
        rest = getattr(process, other).read()
        process.wait(60)
    os.close(terminal)
    return received.decode(), rest.decode()


def _read(terminal: int) -> bytes:
    try:
        return os.read(terminal, 65536)
    except OSError:  # the other end is closed
        return b""


def test_progress_is_shown_on_standard_error_and_leaves_the_report_alone(tmp_path: Path) -> None:
    shown, report = run_on_a_terminal("stderr", *SCORES)
    assert "2/2" in shown
    assert "\x1b[" not in report
    assert report.count("planned for first and third position") == 2
    assert "[" not in report, "findings for publishers stand in the reports of a policy"


def test_no_progress_without_a_terminal_or_beside_a_report_on_it() -> None:
    shown, errors = run_on_a_terminal("stdout", *SCORES)
    assert "2/2" not in shown + errors


def test_one_file_needs_no_progress() -> None:
    shown, _ = run_on_a_terminal("stderr", SCORES[0], "--format", "lines")
    assert "1/1" not in shown


def test_colour_is_shown_on_a_terminal() -> None:
    shown, _ = run_on_a_terminal("stdout", SCORES[0], "--format", "lines", "--level", "first")
    assert f"\x1b[1m{SCORES[0]}\x1b[0m: " in shown
