"""The command `learn`, and its file at every door."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import pytest

from rules import SCALES
from service.cli.main import Exit, main
from service.config.options import Options
from service.errors import ScoreError
from service.policies.policy_file import read_policy
from service.usecases.checks.check import options_with_policy

OUR_MARKS = re.compile(rb"<\?handframe[^>]*\?>")
PIECES = ("evening_on_the_jetty", "ferry_waltz", "boathouse_reel")
HAND = "height=0.3,crossings=2.9,shifts=0.5"


@pytest.fixture
def fingered(sample_scores: dict[str, Path], tmp_path: Path) -> Path:
    """A folder of scores with somebody's fingers on every note, as an editor saves them."""
    folder = tmp_path / "fingered"
    folder.mkdir()
    for name in PIECES:
        out = folder / f"{name}.musicxml"
        flags = ["--level", "all", "--fingers", "all", "--hand", HAND]
        assert main(["annotate", str(sample_scores[name]), "-o", str(out), *flags]) == Exit.CLEAN
        out.write_bytes(OUR_MARKS.sub(b"", out.read_bytes()))
    return folder


def test_a_folder_of_fingered_scores_becomes_a_hand_that_every_command_takes(
    fingered: Path, tmp_path: Path, sample_scores: dict[str, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    (fingered / "bare.musicxml").write_bytes(sample_scores["reed_crossing"].read_bytes())
    (fingered / "torn.musicxml").write_bytes(b"<score-partwise>")
    hand = tmp_path / "mine.toml"
    assert main(["learn", str(fingered), "-o", str(hand)]) == Exit.CLEAN
    told = capsys.readouterr().out
    assert all(f"{name}.musicxml" in told for name in PIECES)
    assert "learned without it" in told
    assert re.search(r"This hand (helps|does not help)", told)
    assert "bare.musicxml: no fingers are printed in it" in told
    assert "Not learned from: torn.musicxml" in told

    text = hand.read_text()
    scales = tomllib.loads(text)["hand"]
    assert scales.keys() == SCALES.keys()
    assert any(value != 1 for value in scales.values())
    assert "On pieces left out it meets" in text
    for line in text.split("[hand]")[1].strip().splitlines()[::2]:
        assert re.fullmatch(r"# [A-Z].*\.", line), "a sentence before every scale"

    score, plans = str(sample_scores["evening_on_the_jetty"]), []
    for own in ([], ["--hand", str(hand)], ["--hand", HAND]):
        plan = tmp_path / "plan.json"
        main(["annotate", score, "--level", "all", "-o", str(tmp_path / "out.musicxml"), "--plan", str(plan), *own])
        rows = json.loads(plan.read_text())["parts"][0]["plan"]
        plans.append([(row["string"], row["finger"]) for row in rows])
    assert plans[0] != plans[2]
    assert main(["practice", score, "--hand", str(hand), "-o", str(tmp_path / "sheet.musicxml")]) == Exit.CLEAN
    assert main(["weights", "--level", "all", "--hand", str(hand)]) == Exit.CLEAN


def test_marks_of_our_own_are_no_fingers_to_learn_from(
    sample_scores: dict[str, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in PIECES:
        main(["annotate", str(sample_scores[name]), "-o", str(tmp_path / f"{name}.musicxml"), "--fingers", "all"])
    assert main(["learn", str(tmp_path)]) == Exit.FAILED
    assert "0 printed fingers in 0 scores" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("text", "said"),
    [("[hand]\nshift = 1", "Did you mean shifts"), ("[hand]\nshifts = 9", "from 0.25 to 4"), ("x", "not valid TOML")],
)
def test_a_file_that_is_no_hand_is_refused(
    text: str, said: str, tmp_path: Path, sample_scores: dict[str, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "mine.toml").write_text(text)
    score = str(sample_scores["ferry_waltz"])
    assert main(["annotate", score, "-o", "-", "--hand", str(tmp_path / "mine.toml")]) == Exit.FAILED
    assert main(["annotate", score, "-o", "-", "--hand", str(tmp_path / "none.toml")]) == Exit.FAILED
    assert said in capsys.readouterr().err


def test_no_folder_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["learn", str(tmp_path / "nowhere")]) == Exit.FAILED
    assert "is no folder" in capsys.readouterr().err


def test_a_policy_names_the_hand_of_its_house() -> None:
    house = read_policy('extends = "all"\n[hand]\nshifts = 0.5\n', "house.toml").for_file("a.musicxml")
    assert options_with_policy(house, Options(), frozenset()).hand.shifts == 0.5
    assert options_with_policy(house, Options(), frozenset({"hand"})).hand.shifts == 1
    with pytest.raises(ScoreError, match=r"house.toml, line 2.*shift"):
        read_policy("[hand]\nshift = 0.5\n", "house.toml")
    with pytest.raises(ScoreError, match="line 2"):
        read_policy("[hand]\nshifts = 9.0\n", "house.toml")
