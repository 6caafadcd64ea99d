"""Scores that are odd or broken, at every address that takes one: an answer or problem details, never a 500."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from pathlib import Path

import httpx2
import pytest
from starlette.testclient import TestClient

from service.config.settings import Settings
from service.http.app import create_app
from service.http.problems import MEANINGS
from service.web import page_data
from tests.interface.conftest import ADDRESS

RAW = ("/annotate", "/review", "/clean", "/practice", "/practice?format=page&most=1")
FORMS = {"/page/open": {}, "/page/view": {}, "/page/compare": {"options": '{"measures": "1"}'}, "/page/report": {}}
ADDRESSES = (*RAW, *FORMS)
_COMMAND_LINE_ONLY = {"baseline.py", "learn.py", "policy_file.py", "policy_values.py"}
_UTF16 = '<?xml version="1.0" encoding="UTF-16"?>'
_NOTE = "<note><pitch><step>A</step><octave>4</octave></pitch><duration>1</duration></note>"


@pytest.fixture(scope="module")
def client() -> Iterator[TestClient]:
    with TestClient(create_app(Settings(planners=1, seconds=20)), base_url=ADDRESS) as made:
        yield made


def everywhere(names: str, *values: tuple[object, ...]) -> pytest.MarkDecorator:
    """Each value at each address; in a short run each at three of the nine, and every address gets its share."""
    cases = [
        pytest.param(address, *value, marks=() if (place - number) % 3 == 0 else pytest.mark.long)
        for number, value in enumerate(values)
        for place, address in enumerate(ADDRESSES)
    ]
    return pytest.mark.parametrize(f"address, {names}", cases)


def _with(tag: str, value: str, score: str) -> str:
    return re.sub(f"<{tag}>.*?</{tag}>", f"<{tag}>{value}</{tag}>" if value else "", score)


def _text(waltz: bytes) -> str:
    return re.sub(r"^<\?xml.*?\?>\s*", "", waltz.decode())


def _answer(client: TestClient, address: str, score: bytes) -> httpx2.Response:
    if address in FORMS:
        return client.post(address, files={"score": ("a.musicxml", score)}, data=FORMS[address])
    return client.post(address, content=score)


@everywhere(
    "tag, value",
    ("fifths", "99"), ("fifths", "-99"), ("fifths", "8"), ("divisions", ""), ("divisions", "0.0001"),
    ("divisions", "100000"), ("divisions", "0"), ("octave", "99"), ("beats", "1000"), ("beat-type", "0"),
)  # fmt: skip
def test_an_absurd_value_is_answered_or_refused(
    client: TestClient, waltz: bytes, address: str, tag: str, value: str
) -> None:
    answer = _answer(client, address, _with(tag, value, _text(waltz)).encode())
    assert answer.status_code in (200, 204, 400, 422), answer.text[:300]
    if answer.status_code >= 400:
        assert answer.headers["content-type"] == "application/problem+json"
    assert '"fault"' not in answer.text


def test_a_signature_beyond_seven_signs_is_practised_in_the_key_that_sounds_the_same(
    client: TestClient, waltz: bytes
) -> None:
    """Nine sharps and three flats are the same keys on the circle of fifths (common practice)."""
    sheets = [
        client.post("/practice", content=_with("fifths", fifths, _text(waltz)).encode()) for fifths in ("9", "-3")
    ]
    flats = [set(re.findall(r"<fifths>(-?\d+)</fifths>", sheet.text)) & {"-3"} for sheet in sheets]
    assert flats == [{"-3"}, {"-3"}]


@everywhere("alter", ("0.5",), ("-1.5",), ("-3",), ("7.25",))
def test_quarter_tones_and_heaps_of_accidentals_are_answered(
    client: TestClient, waltz: bytes, address: str, alter: str
) -> None:
    score = re.sub(r"(<step>\w</step>)\s*(<alter>.*?</alter>)?", rf"\1<alter>{alter}</alter>", _text(waltz))
    answer = _answer(client, address, score.encode())
    assert answer.status_code in (200, 204, 422), answer.text
    assert '"fault"' not in answer.text


@everywhere("string", ("0",), ("5",), ("99",))
def test_a_string_that_no_violin_has_is_answered(client: TestClient, waltz: bytes, address: str, string: str) -> None:
    marks = f"<notations><technical><string>{string}</string></technical></notations></note>"
    answer = _answer(client, address, re.sub("</note>", marks, _text(waltz), count=3).encode())
    assert answer.status_code in (200, 204), answer.text
    assert '"fault"' not in answer.text


@pytest.mark.parametrize(("address", "name"), [("/page/view", "drawn"), ("/page/compare", "compared")])
def test_a_score_over_which_the_engraver_dies_is_refused(
    client: TestClient, waltz: bytes, address: str, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(page_data, name, die)
    answer = _answer(client, address, waltz)
    assert '"code":"not-drawn"' in answer.text.replace(" ", "")
    monkeypatch.undo()
    assert '"fault"' not in _answer(client, address, waltz).text


def die(*_: object) -> None:
    """End the process, as a fault of a library in C does."""
    os._exit(3)


EDGES = (-7, -5, -4, 5, 6, 7)
"""Keys at the limits of the circle of fifths and where the open strings leave the scale: drawn in a short run too."""


@pytest.mark.parametrize(("fifths", "form"), [
    *((fifths, "musicxml") for fifths in range(-7, 8)),
    *(pytest.param(n, "page", marks=() if n in EDGES else pytest.mark.long) for n in range(-7, 8)),
])  # fmt: skip
def test_every_key_has_a_sheet(client: TestClient, waltz: bytes, fifths: int, form: str) -> None:
    """The bow warms up on the open strings, whether or not any of them belongs to the key."""
    sheet = client.post(f"/practice?format={form}&most=1", content=_with("fifths", str(fifths), _text(waltz)).encode())
    assert sheet.status_code == 200, sheet.text
    assert "The bow alone" in sheet.text


def test_a_bar_that_never_ends_is_no_practice_sheet(client: TestClient, waltz: bytes) -> None:
    answer = client.post("/practice", content=_with("divisions", "0.0001", _text(waltz)).encode())
    assert (answer.status_code, answer.json()["code"]) == (422, "endless-bar")
    assert "bar 1" in answer.json()["where"]


@pytest.mark.parametrize(("beats", "status"), [(247, 200), (252, 422)])
def test_a_bar_as_long_as_a_cadenza_is_practised(client: TestClient, waltz: bytes, beats: int, status: int) -> None:
    divisions = int(re.findall(r"<divisions>(\d+)", _text(waltz))[0])
    score = re.sub(r"<duration>\d+", f"<duration>{beats * divisions}", _text(waltz), count=1)
    answer = client.post("/practice", content=score.encode())
    assert answer.status_code == status, answer.text[:300]


@pytest.mark.parametrize("address", ADDRESSES)
def test_notes_within_notes_are_answered_or_refused(client: TestClient, waltz: bytes, address: str) -> None:
    for score in (
        _text(waltz).replace("</note>", f"{_NOTE}</note>", 1),
        _text(waltz).replace("</note>", f"{_NOTE}</note>"),
    ):
        answer = _answer(client, address, score.encode())
        assert answer.status_code in (200, 204, 400), answer.text[:300]
        assert '"internal"' not in answer.text


@everywhere("encoding", ("utf-16",), ("utf-16-le",), ("utf-16-be",))
def test_a_score_in_utf_16_is_answered_everywhere(
    client: TestClient, waltz: bytes, address: str, encoding: str
) -> None:
    answer = _answer(client, address, (_UTF16 + _text(waltz)).encode(encoding))
    assert answer.status_code in (200, 204), answer.text[:300]
    assert '"fault"' not in answer.text


@pytest.mark.parametrize("address", ADDRESSES)
def test_a_score_that_says_utf_16_and_is_not_is_refused_everywhere(
    client: TestClient, waltz: bytes, address: str
) -> None:
    answer = _answer(client, address, (_UTF16 + _text(waltz)).encode())
    assert answer.status_code in (400, 415)
    assert answer.headers["content-type"] == "application/problem+json"


@pytest.mark.parametrize("path", ["/page/nothing.js", "/page/samples/nothing.xml", "/problems/nothing", "/nothing"])
def test_what_is_not_there_is_a_problem_too(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert (answer.status_code, answer.headers["content-type"]) == (404, "application/problem+json")
    assert answer.json()["code"] == "not-found"


@pytest.mark.parametrize(("address", "allowed"), [
    *((address.partition("?")[0], "POST") for address in ADDRESSES), ("/rules", "GET"), ("/page/main.js", "GET"),
    ("/openapi.json", "GET, HEAD"),
])  # fmt: skip
def test_another_method_learns_which_there_are(client: TestClient, address: str, allowed: str) -> None:
    """RFC 9110, 15.5.6: Allow lists the methods of this address."""
    answer = client.put(address, content=b"x")
    assert (answer.status_code, answer.headers["allow"]) == (405, allowed)
    assert f"Use {allowed}." in answer.json()["advice"]


def test_every_code_has_a_page(client: TestClient) -> None:
    """The codes are those of all errors that the service makes, whatever module makes them."""
    service = Path(__file__).resolve().parents[2] / "service"
    makers = re.compile(r"\b(?:ScoreError|RequestError|_?fault)\(\s*\"([a-z-]+)\"")
    files = [path for path in service.rglob("*.py") if path.name not in _COMMAND_LINE_ONLY]
    codes = {code for path in files for code in makers.findall(path.read_text(encoding="utf-8"))}
    assert len(codes) > 40
    assert codes == set(MEANINGS)
    for code in codes:
        assert client.get(f"/problems/{code}").status_code == 200, code
