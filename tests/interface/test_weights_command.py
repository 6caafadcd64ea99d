"""The command `weights`: one table of what counts at a level."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path

import pytest

from rules import LEVELS, STANDARD, Kind, terms_at
from service.cli.main import Exit, main


@pytest.mark.parametrize("level", LEVELS)
def test_every_weight_stands_once_with_a_sentence(level: str, tmp_path: Path) -> None:
    out = tmp_path / "weights.json"
    assert main(["weights", "--level", level, "--format", "json", "-o", str(out)]) == Exit.CLEAN
    found = json.loads(out.read_text())
    assert found["level"] == level
    rows = found["weights"]
    assert max(Counter((row["kind"], row["what"], row["when"]) for row in rows).values()) == 1
    assert all(row["why"].endswith(".") and row["weight"] for row in rows)


def test_a_level_adds_to_the_standard(capsys: pytest.CaptureFixture[str]) -> None:
    standard = {(t.kind, t.name): t.weight for t in STANDARD.terms}
    assert {(t.kind, t.name): t.weight for t in terms_at(LEVELS["all"], STANDARD)} == standard
    learner = {(t.kind, t.name): t.weight for t in terms_at(LEVELS["first-and-third"], STANDARD)}
    assert (Kind.MOVING, "leaving first position") in learner.keys() - standard.keys()
    assert learner[Kind.MOVING, "shift (bound)"] > standard[Kind.MOVING, "shift (bound)"]
    assert main(["weights"]) == Exit.CLEAN
    shown = capsys.readouterr().out
    assert "level first-and-third" in shown
    assert "leaving first position: Leaving first position needs a reason." in shown
