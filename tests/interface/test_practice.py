"""Practice at the doors: the command and the address."""

from __future__ import annotations

from pathlib import Path

import pytest
from lxml import etree, html
from starlette.testclient import TestClient

from rules import tasks
from service.cli.main import main
from service.config.options import read_options
from service.config.sheet_options import read_sheet_options
from service.usecases.practice import practice
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
        (["practice", "--set", "progressive", "--key", "B"], "four sharps or flats"),
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


@pytest.mark.parametrize(
    ("flags", "said"),
    [
        (["--exercises", "99"], "numbers from 1 to"),
        (["--exercises", "two"], "for example 4,2 or 5-8"),
        (["--form", "poster"], "one of full, card"),
        (["--most", "-1"], "a whole number"),
        (["--pupil", "x" * 81], "at most 80 characters"),
        (["--measures", "1-999"], "no bar 999"),
    ],
)
def test_command_says_which_sheet_cannot_be(
    flags: list[str], said: str, sample_scores: dict[str, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["practice", str(sample_scores["reed_crossing"]), "-o", "-", *flags]) == 2
    assert said in capsys.readouterr().err


def test_command_has_no_flag_without_effect(sample_scores: dict[str, Path]) -> None:
    for flag in ("--range-lines", "--shift-lines", "--explain"):
        with pytest.raises(SystemExit):
            main(["practice", str(sample_scores["reed_crossing"]), "-o", "-", flag])


def test_address_refuses_what_has_no_effect(client: TestClient, waltz: bytes) -> None:
    answer = client.post("/practice?shift_lines=true", content=waltz)
    assert (answer.status_code, answer.json()["code"]) == (400, "bad-option")


def test_teacher_chooses_orders_and_adds(sample_scores: dict[str, Path], tmp_path: Path) -> None:
    target = tmp_path / "sheet.html"
    arguments = ["--exercises", "9,3-4", "--heading", "For Monday", "--pupil", "Anna <B>", "--remark", "Slowly!"]
    assert main(["practice", str(sample_scores["reed_crossing"]), "-o", str(target), *arguments]) == 0
    page = html.fromstring(target.read_text(encoding="utf-8"))
    assert [e.get("data-number") for e in page.find_class("exercise")] == ["9", "3", "4"]
    assert [e.text_content().split(".")[0] for e in page.iter("h3")] == ["1", "2", "3"]
    assert page.findtext(".//h1") == "For Monday"
    assert [e.text for e in page.find_class("pupil")] == ["Anna <B>"]
    assert [e.text for e in page.find_class("teacher")] == ["Slowly!"]


def test_sheet_as_midi_by_command_and_address(
    sample_scores: dict[str, Path], tmp_path: Path, client: TestClient, waltz: bytes
) -> None:
    target = tmp_path / "sheet.mid"
    assert main(["practice", str(sample_scores["ferry_waltz"]), "-o", str(target)]) == 0
    answer = client.post("/practice?format=midi&filename=waltz.musicxml", content=waltz)
    assert answer.headers["content-type"] == "audio/midi"
    assert "waltz.practice.mid" in answer.headers["content-disposition"]
    assert answer.content[:4] == target.read_bytes()[:4] == b"MThd"
    program = b"\xc0" + bytes([40])  # program change on the first channel, violin (General MIDI 1, counted from 0)
    assert program in answer.content


def test_page_has_a_plan_for_the_week_unless_told_otherwise(sample_scores: dict[str, Path], tmp_path: Path) -> None:
    target = tmp_path / "sheet.html"
    assert main(["practice", str(sample_scores["reed_crossing"]), "-o", str(target)]) == 0
    page = html.fromstring(target.read_text(encoding="utf-8"))
    rows = page.xpath("//section[contains(@class, 'week')]//tbody/tr")
    assert len(rows) == len(page.find_class("exercise"))
    assert all(row.find_class("box") or "another week" in row.text_content() for row in rows)
    assert main(["practice", str(sample_scores["reed_crossing"]), "-o", str(target), "--week", "false"]) == 0
    assert not html.fromstring(target.read_text(encoding="utf-8")).find_class("week")


def test_what_a_teacher_adds_is_in_the_score_and_no_mark(sample_scores: dict[str, Path], tmp_path: Path) -> None:
    target = tmp_path / "sheet.musicxml"
    arguments = ["--pupil", "Anna", "--remark", "In third position"]
    assert main(["practice", str(sample_scores["ferry_waltz"]), "-o", str(target), *arguments]) == 0
    root = etree.parse(target)
    assert is_valid(target.read_bytes())
    assert {"Anna", "In third position"} <= {e.text for e in root.iter("rehearsal")}
    assert "In third position" not in {e.text for e in root.iter("words")}


def test_bars_choose_the_stretches_that_touch_them(sample_scores: dict[str, Path]) -> None:
    data = sample_scores["reed_crossing"].read_bytes()
    part = practice(data, read_options({"measures": ["21-22"]})).sheet
    assert [s.heading for s in part.sections if s.heading.startswith("Bars")] == [
        "Bars 20 to 24 of the piece, in third position"
    ]
    nothing = practice(data, read_options({"measures": ["1-2"]})).sheet
    assert "stays in first position" in nothing.remarks[0]


def test_parts_that_are_named_share_a_sheet(sample_scores: dict[str, Path]) -> None:
    options = read_options({"part": ["P1", "P2"], "level": ["to-fifth"]})
    found = practice(sample_scores["lantern_quartet"].read_bytes(), options)
    assert len(found.parts) == len(found.plans) == 2
    headings = [section.heading for section in found.sheet.sections]
    assert any(heading.startswith("Violin I:") for heading in headings)
    assert any(heading.startswith("Violin II:") for heading in headings)


def test_a_class_gets_one_sheet_for_its_pieces(sample_scores: dict[str, Path], tmp_path: Path) -> None:
    target = tmp_path / "class.musicxml"
    pieces = [str(sample_scores[name]) for name in ("reed_crossing", "ferry_waltz")]
    assert main(["practice", *pieces, "-o", str(target), "--form", "card", "--heading", "Orchestra"]) == 0
    root = etree.parse(target)
    assert root.findtext("movement-title") == "Orchestra"
    assert len([p for p in root.iter("print") if p.get("new-page")]) == 1
    names = [e.text for e in root.iter("rehearsal")]
    assert any(name.startswith("Ferry Waltz, Violin:") for name in names)
    assert is_valid(target.read_bytes())


def test_card_has_at_most_three_shifts_of_four_lines_and_names_the_rest(sample_scores: dict[str, Path]) -> None:
    data = sample_scores["reed_crossing"].read_bytes()
    card = practice(data, read_options({}), read_sheet_options({"form": ["card"]})).sheet
    kinds = len(tasks(practice(data, read_options({})).plans[0]))
    assert 1 <= len(card.sections) <= 3
    assert all(len(section.exercises) <= 4 for section in card.sections)
    assert len(card.sections) + len(card.remarks) == kinds


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


def test_a_heading_stays_with_what_follows_it(client: TestClient, waltz: bytes) -> None:
    page = html.fromstring(client.post("/practice?format=page&week=false", content=waltz).text)
    openings = page.find_class("opening")
    assert len(openings) == len(page.findall(".//section"))
    assert all(opening.find(".//h2") is not None and opening.find_class("exercise") for opening in openings)


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
     ("paper=a3", "bad-option"), ("form=poster", "bad-option"),
     ("exercises=0", "bad-option"), ("most=-1", "bad-option"), ("mots=1", "unknown-option")],
)  # fmt: skip
def test_address_says_what_is_wrong(client: TestClient, waltz: bytes, query: str, code: str) -> None:
    answer = client.post(f"/practice?{query}", content=waltz)
    assert answer.status_code == 400
    assert answer.json()["code"] == code


@pytest.mark.parametrize("query", ["key=B", "key=H", "key=D&positions=9", "key=D&instrument=cello"])
def test_set_says_what_is_wrong(client: TestClient, query: str) -> None:
    assert client.get(f"/practice/set?{query}").json()["code"] == "bad-option"
