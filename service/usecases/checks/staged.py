"""Scores as they are staged in a git repository: what the next commit will hold, not what lies in the folder."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator, Sequence
from pathlib import PurePosixPath

from ...errors import ScoreError, said
from ...musicxml.formats.known_formats import ENDINGS


def staged_scores(paths: Sequence[str]) -> list[str]:
    """Return the scores that are staged, added or changed, below some paths or all, named from here.

    Raises:
        ScoreError: `not-a-repository`, if this is no git repository or git is not there.
    """
    _git("rev-parse", "--git-dir")  # git diff alone would show its help outside a repository
    command = ("diff", "--cached", "--name-only", "--relative", "--diff-filter=d", "-z", "--", *paths)
    names = [name.decode("utf-8", "surrogateescape") for name in _git(*command).split(b"\0") if name]
    return [name for name in names if PurePosixPath(name).suffix.lower() in ENDINGS]


def staged_content(names: Sequence[str]) -> Iterator[tuple[str, bytes]]:
    """Yield each name with what is staged under it."""
    for name in names:
        yield name, _git("cat-file", "blob", f":./{name}")


def _git(*arguments: str) -> bytes:
    try:
        done = subprocess.run(("git", *arguments), capture_output=True, check=False)
    except FileNotFoundError:
        raise ScoreError(
            "not-a-repository", said("git is not installed."), said("Install it, or name files."), None, 400
        ) from None
    if done.returncode:
        told = done.stderr.decode("utf-8", "replace").strip().splitlines()
        reason = told[-1].rstrip(".") if told else said("git failed")
        advice = said("Run this within a git repository, or leave --staged out.")
        raise ScoreError(
            "not-a-repository", said("What is staged cannot be read: {reason}.", reason=reason), advice, None, 400
        )
    return done.stdout
