"""Practice at the doors: the command and the address."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from lxml import etree
from starlette.testclient import TestClient

from service.cli.main import main
from tests.schema import is_valid


def test_command_writes_a_sheet(
    sample_scores: dict[str, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "sheet.musicxml"
    assert main(["practice", str(sample_scores["reed_crossing"]), "-o", str(target)]) == 0
    assert is_valid(target.read_bytes())
    assert "exercises" in capsys.readouterr().out


def test_command_writes_a_page_by_its_ending(sample_scores: dict[str, Path], tmp_path: Path) -> None:
    target = tmp_path / "sheet.html"
    assert main(["practice", str(sample_scores["ferry_waltz"]), "-o", str(target), "--paper", "letter"]) == 0
    assert target.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


def test_command_writes_a_set_without_a_score(tmp_path: Path) -> None:
    target = tmp_path / "set.musicxml"
    arguments = [
        "practice",
        "--set",
        "progressive",
        "--key",
        "Bb",
        "--positions",
        "2",
        "--language",
        "de",
        "-o",
        str(target),
    ]
    assert main(arguments) == 0
    assert b"2. Lage" in target.read_bytes()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["practice"], "either a score or --set progressive"),
        (["practice", "--set", "progressive", "--key", "E"], "three sharps or flats"),
        (["practice", "--set", "progressive", "--key", "X"], "a key such as D"),
        (["practice", "--set", "progressive", "--positions", "6"], "second, third, fourth and fifth"),
    ],
)
def test_command_says_what_is_wrong(arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(arguments) == 2
    assert said in capsys.readouterr().err


def test_command_refuses_a_proposal_that_is_not_there(
    sample_scores: dict[str, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["practice", str(sample_scores["first_bench"]), "--proposal", "1", "-o", "-"]) == 2
    assert "proposes nothing" in capsys.readouterr().err


def test_address_answers_with_a_sheet(client: TestClient, waltz: bytes) -> None:
    answer = client.post("/practice?filename=waltz.musicxml", content=waltz)
    assert answer.status_code == 200
    assert is_valid(answer.content)
    assert "waltz.practice.musicxml" in answer.headers["content-disposition"]
    again = client.post("/practice?filename=waltz.musicxml", content=waltz)
    assert again.content == answer.content
    unchanged = client.post("/practice", content=waltz, headers={"If-None-Match": answer.headers["etag"]})
    assert unchanged.status_code == 412


def test_address_takes_a_form_and_its_options(client: TestClient, waltz: bytes) -> None:
    form = {"score": ("waltz.musicxml", waltz), "options": (None, '{"language": "fr"}', "application/json")}
    answer = client.post("/practice", files=form)
    assert answer.status_code == 200
    assert "3e pos." in {words.text for words in etree.fromstring(answer.content).iter("words")}


def test_page_allows_itself_its_own_style_only(client: TestClient, waltz: bytes) -> None:
    answer = client.post("/practice?format=page&most=1", content=waltz)
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    assert "style-src 'sha256-" in answer.headers["content-security-policy"]
    assert "script-src" not in answer.headers["content-security-policy"]
    assert answer.text.count("<style>") == 1


def test_set_by_address(client: TestClient) -> None:
    answer = client.get("/practice/set?key=D&positions=3")
    assert answer.status_code == 200
    assert is_valid(answer.content)


@pytest.mark.parametrize(
    ("query", "code"),
    [("proposal=99", "bad-option"), ("proposal=x", "bad-option"), ("format=pdf", "bad-option"),
     ("paper=a3", "bad-option"), ("most=-1", "bad-option"), ("mots=1", "unknown-option")],
)  # fmt: skip
def test_address_says_what_is_wrong(client: TestClient, waltz: bytes, query: str, code: str) -> None:
    answer = client.post(f"/practice?{query}", content=waltz)
    assert answer.status_code == 400
    assert answer.json()["code"] == code


@pytest.mark.parametrize("query", ["key=E", "key=H", "key=D&positions=9", "key=D&instrument=cello"])
def test_set_says_what_is_wrong(client: TestClient, query: str) -> None:
    assert client.get(f"/practice/set?{query}").json()["code"] == "bad-option"


@pytest.mark.parametrize(
    ("element", "value", "code"),
    [
        ("fifths", "99", ""),
        ("fifths", "-99", ""),
        ("divisions", "0.0000001", "unwritable-bar"),
        ("divisions", "0", "bad-attributes"),
        ("beat-type", "99", "unwritable-bar"),
    ],
)
def test_absurd_values_give_a_sheet_or_a_clear_refusal(
    client: TestClient, waltz: bytes, element: str, value: str, code: str
) -> None:
    absurd = re.sub(rf"<{element}>[^<]*</{element}>".encode(), f"<{element}>{value}</{element}>".encode(), waltz)
    answer = client.post("/practice", content=absurd)
    assert answer.status_code == (422 if code else 200)
    assert not code or answer.json()["code"] == code


def test_divisions_may_be_missing(client: TestClient, waltz: bytes) -> None:
    answer = client.post("/practice", content=re.sub(rb"<divisions>[^<]*</divisions>", b"", waltz))
    assert answer.status_code in (200, 422)
    assert answer.status_code == 200 or answer.json()["advice"]
