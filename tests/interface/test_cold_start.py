"""What a command imports before it does anything: help and clean start at once."""

from __future__ import annotations

import subprocess
import sys

import pytest

from tests.conftest import ROOT

HEAVY = {"rules", "numpy", "pydantic", "fastapi", "music21", "rich", "verovio"}
SLOW = {"pathlib", "hashlib", "secrets", "random", "traceback", "unicodedata"}
"""Of the standard library; each takes a few hundredths of the time that the interpreter takes to start."""
WALTZ = "sample_scores/ferry_waltz.musicxml"


def modules_after(*arguments: str) -> set[str]:
    code = (
        "import contextlib, io, sys\nfrom service.cli.main import main\n"
        "with contextlib.redirect_stdout(io.TextIOWrapper(io.BytesIO())), contextlib.suppress(SystemExit):\n"
        f"    main({list(arguments)!r})\n"
        "print(' '.join(sys.modules))"
    )
    ended = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    return set(ended.stdout.split())


@pytest.mark.parametrize(
    ("arguments", "needed"),
    [
        (("--help",), set()),
        (("--version",), set()),
        (("clean", "--help"), set()),
        (("clean", WALTZ), {"lxml"}),
        (("serve", "--help"), {"pydantic"}),
        (("review", WALTZ), {"lxml", "rules", "numpy", "pydantic"}),
    ],
)
def test_a_command_imports_only_what_it_needs(arguments: tuple[str, ...], needed: set[str]) -> None:
    loaded = modules_after(*arguments)
    assert "service.cli.main" in loaded
    assert needed <= loaded
    assert (HEAVY - needed) & loaded == set()


def test_clean_does_without_what_takes_time() -> None:
    assert modules_after("clean", WALTZ) & SLOW == set()
