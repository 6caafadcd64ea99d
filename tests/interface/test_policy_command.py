"""A house's own rules, written in its policy alone, and the tests that a policy carries."""

from __future__ import annotations

from pathlib import Path

import pytest

from service.cli.main import Exit, main
from tests.misprints.printed_scores import printed_score

HOUSE = """
name = "Invented house"
extends = "proof"

[conventions]
open_string = "0"
strings = "numeral"
position_words = ["# pos."]
languages = ["en"]
severity = "error"
reason = "one page, one form"

[rules.fingering-density]
severity = "warning"
options = { most = 0.5, fewest_notes = 4 }
reason = "our players read at sight"

[[tests]]
file = "tune.musicxml"
bars = "1"
finds = ["house-convention/open-string", "house-convention/position-words", "house-convention/language"]

[[tests]]
file = "tune.musicxml"
bars = "2-3"
finds = []
"""
TUNE = '"III. Lage" D5{1} E5 F5 A4{o} | "1st pos." B4 C5 D5 E5{0} | B4 C5 "IV" B3 A3'


@pytest.fixture
def house(tmp_path: Path) -> Path:
    (tmp_path / "tune.musicxml").write_bytes(printed_score(TUNE))
    (tmp_path / "house.toml").write_text(HOUSE)
    return tmp_path / "house.toml"


def test_a_policy_that_finds_what_it_expects_passes(house: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code = main(["policy", "test", str(house)])
    assert (code, capsys.readouterr().out.splitlines()[-1]) == (Exit.CLEAN, "tests: 2, failed: 0")


def test_what_is_missing_and_what_is_not_expected_is_told(house: Path, capsys: pytest.CaptureFixture[str]) -> None:
    house.write_text(HOUSE.replace('bars = "2-3"\nfinds = []', 'bars = "1-3"\nfinds = ["mark-not-understood"]'))
    assert main(["policy", "test", str(house)]) == Exit.FINDINGS
    told = capsys.readouterr().out
    assert "not found: mark-not-understood" in told
    assert "not expected: bar 1: the open string on A4 is printed as o" in told


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('bars = "1"', 'bars = "9"', "There is no bar 9"),
        ("tune.musicxml", "gone.musicxml", "No such file"),
        ("finds = []", 'finds = ["no-such-rule"]', "there is no rule 'no-such-rule'"),
        ("finds = []", 'finds = ["house-convention/strnig"]', "Did you mean string"),
        ('open_string = "0"', 'open_string = "null"', "line 6"),
        ('languages = ["en"]', 'languages = ["xx"]', "line 9"),
    ],
)
def test_a_test_that_cannot_be_run_is_no_success(
    house: Path, capsys: pytest.CaptureFixture[str], old: str, new: str, said: str
) -> None:
    house.write_text(HOUSE.replace(old, new))
    assert main(["policy", "test", str(house)]) == Exit.FAILED
    shown = capsys.readouterr()
    assert said in shown.out + shown.err


def test_the_house_decides_how_grave_its_conventions_are(house: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["review", str(house.parent), "--policy", str(house)]) == Exit.FINDINGS
    assert "error   bar 1, beat 4 (A4): the open string on A4 is printed as o" in capsys.readouterr().out
    house.write_text(HOUSE.replace('severity = "error"', 'severity = "note"'))
    assert main(["review", str(house.parent), "--policy", str(house)]) == Exit.CLEAN
