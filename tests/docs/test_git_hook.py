"""The recipe for a hook of version control, run as it is printed: it checks what is staged, not the working copy."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from itertools import chain
from pathlib import Path

import pytest

from tests.conftest import ROOT

_HIGH = "<note><pitch><step>{}</step><octave>{}</octave></pitch><duration>4</duration><type>whole</type></note>"
_SCORE = (
    "<score-partwise version='4.0'><part-list><score-part id='P1'><part-name>Violin</part-name></score-part>"
    "</part-list>"
    "<part id='P1'><measure number='1'><attributes><divisions>1</divisions><clef><sign>G</sign><line>2</line></clef>"
    "</attributes>{}</measure></part></score-partwise>"
)
GOOD, BAD = _SCORE.format(_HIGH.format("A", 4)), _SCORE.format(_HIGH.format("A", 9))
"""A note that lies well, and one beyond every violin."""


def recipe() -> str:
    places = [ROOT.glob("*.md"), *((ROOT / folder).glob("**/*.md") for folder in ("rules", "sample_scores", "service"))]
    texts = [path.read_text(encoding="utf-8") for path in chain(*places) if "node_modules" not in path.parts]
    found = [block for text in texts for block in re.findall(r"```sh\n(.*?)```", text, re.S) if "--staged" in block]
    assert len(found) == 1, "one recipe"
    return found[0]


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A repository with the hook, and `handframe` on the path; temporary folders lie in a hidden one."""
    for name in ("bin", "repository", ".hidden"):
        (tmp_path / name).mkdir()
    program = tmp_path / "bin" / "handframe"
    program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m service.cli "$@"\n')
    program.chmod(0o755)
    for name in [name for name in os.environ if name.startswith("GIT_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("PATH", f"{program.parent}{os.pathsep}{os.environ['PATH']}")
    monkeypatch.setenv("PYTHONPATH", str(ROOT))
    monkeypatch.setenv("TMPDIR", str(tmp_path / ".hidden"))
    monkeypatch.setenv("HOME", str(tmp_path))
    folder = tmp_path / "repository"
    subprocess.run(["git", "init", "-q", str(folder)], check=True)
    hook = folder / ".git" / "hooks" / "pre-commit"
    hook.parent.mkdir(exist_ok=True)
    hook.write_text("#!/bin/sh\n" + recipe())
    hook.chmod(0o755)
    return folder


def commits(folder: Path) -> bool:
    """Whether what is staged can be committed."""
    author = ["-c", "user.name=A", "-c", "user.email=a@b.example"]
    done = subprocess.run(
        ["git", *author, "commit", "-qm", "try"], cwd=folder, capture_output=True, text=True, check=False
    )
    assert "Traceback" not in done.stderr
    return done.returncode == 0


def stage(folder: Path, name: str, text: str) -> Path:
    score = folder / name
    score.parent.mkdir(exist_ok=True)
    score.write_text(text)
    subprocess.run(["git", "add", "--", name], cwd=folder, check=True)
    return score


def test_a_bad_score_that_is_staged_is_refused_although_the_working_copy_is_good(repository: Path) -> None:
    stage(repository, "book 1/air.musicxml", BAD).write_text(GOOD)
    assert not commits(repository)


def test_a_good_score_that_is_staged_is_taken_although_the_working_copy_is_bad(repository: Path) -> None:
    stage(repository, "book 1/air.musicxml", GOOD).write_text(BAD)
    assert commits(repository)


def test_a_commit_without_scores_is_taken(repository: Path) -> None:
    stage(repository, "notes.txt", "nothing to play")
    assert commits(repository)
    stage(repository, "air.musicxml", GOOD)
    assert commits(repository)
    subprocess.run(["git", "rm", "-q", "air.musicxml"], cwd=repository, check=True)
    assert commits(repository), "a score that is taken away is not checked"
