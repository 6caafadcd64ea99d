"""The client against a real service, and against one that is busy (RFC 9110: 503, Retry-After), slow, or another."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import httpx2
import pytest

from service.cli.main import Exit, main
from service.client import Client
from service.config.options import read_options
from service.errors import ScoreError
from service.usecases.annotate import annotate
from service.usecases.clean import clean
from service.usecases.marked_copy import sealed_copy
from tests.interface.running import running


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    with running("--planners", "1") as service:
        yield f"http://127.0.0.1:{service.port}"


def test_it_does_what_the_use_cases_do(address: str, waltz: bytes) -> None:
    with Client(address) as client:
        marked = client.annotate(waltz, "waltz.musicxml", level="to-third", range_lines=True, part=["P1"])
        expected = annotate(waltz, read_options({"level": ["to-third"], "range_lines": ["true"], "part": ["P1"]}))
        assert marked.data == expected.data
        assert (marked.name, marked.parts) == ("waltz.marked.musicxml", ("P1",))
        assert marked.proposals == len(expected.parts[0].review.planned.proposals) > 0
        assert client.annotate(marked.data, level="to-third", range_lines=True, part=["P1"]).data == marked.data
        assert client.clean(marked.data) == clean(marked.data) == waltz
        assert client.review(waltz)["parts"][0]["part"] == "P1"
        assert b"<score-partwise" in client.practice(waltz)


def test_a_refusal_is_the_error_of_the_use_case(address: str) -> None:
    with Client(address) as client, pytest.raises(ScoreError, match="a PDF") as refused:
        client.annotate(b"%PDF-1.7")
    assert (refused.value.code, refused.value.status) == ("not-xml", 415)


def test_a_catalogue_is_streamed(address: str, waltz: bytes) -> None:
    taken = []

    def scores() -> Iterator[tuple[str, bytes]]:
        for number in range(12):
            taken.append(number)
            yield f"{number}.musicxml", b"%PDF" if number == 5 else waltz

    with Client(address) as client:
        found = client.review_all(scores(), at_once=2)
        first = next(found)
        assert len(taken) <= 4, "no more are taken than are under way"
        results = [first, *found]
    assert [name for name, _ in results] == [f"{number}.musicxml" for number in range(12)]
    assert [isinstance(review, ScoreError) for _, review in results] == [number == 5 for number in range(12)]


def test_the_command_annotates_by_a_server(
    address: str, waltz: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    score = tmp_path / "waltz.musicxml"
    score.write_bytes(waltz)
    plan = tmp_path / "plan.json"
    command = ["annotate", str(score), "--server", address, "--level", "to-third", "--plan", str(plan)]
    assert main(command) == Exit.CLEAN
    expected = annotate(waltz, read_options({"level": ["to-third"]}))
    assert (tmp_path / "waltz.marked.musicxml").read_bytes() == sealed_copy(expected)
    assert json.loads(plan.read_text())["parts"][0]["level"] == "to-third"
    assert "proposals" in capsys.readouterr().out


@pytest.mark.parametrize("server", ["http://127.0.0.1:9", "nowhere", "http://[::1", "ftp://127.0.0.1"])
def test_no_server_is_a_clear_error(
    server: str, waltz: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    score = tmp_path / "waltz.musicxml"
    score.write_bytes(waltz)
    assert main(["annotate", str(score), "--server", server]) == Exit.FAILED
    assert "No service answers at" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == [score]


def _client(answer: Callable[[httpx2.Request], httpx2.Response], attempts: int = 3) -> Client:
    return Client(transport=httpx2.MockTransport(answer), attempts=attempts)


@pytest.mark.parametrize("status", [429, 503])
def test_a_busy_service_is_asked_again_when_it_says(status: int, monkeypatch: pytest.MonkeyPatch) -> None:
    pauses: list[float] = []
    monkeypatch.setattr(time, "sleep", pauses.append)
    answers = iter(
        [httpx2.Response(status, headers={"Retry-After": "7"}), httpx2.Response(status), httpx2.Response(204)]
    )
    with _client(lambda _: next(answers)) as client:
        assert client.clean(b"x") == b"x"
    assert pauses == [7.0, 1.0]


@pytest.mark.parametrize(("wait", "asked"), [("5", 3), ("3600", 1)])
def test_it_gives_up_in_the_end(wait: str, asked: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(time, "sleep", lambda _: None)
    requests = []

    def busy(request: httpx2.Request) -> httpx2.Response:
        requests.append(request)
        problem = {"code": "busy", "detail": "The service is busy.", "advice": "Try again."}
        return httpx2.Response(503, headers={"Retry-After": wait}, json=problem)

    with _client(busy) as client, pytest.raises(ScoreError, match="busy"):
        client.clean(b"x")
    assert len(requests) == asked


def test_something_else_at_the_address_is_named_so() -> None:
    with _client(lambda _: httpx2.Response(404, html="<h1>Hello</h1>")) as client, pytest.raises(ScoreError) as refused:
        client.annotate(b"x")
    assert refused.value.code == "no-service"
    assert "status 404" in refused.value.message


def test_a_service_that_takes_too_long_is_named_so() -> None:
    def slow(request: httpx2.Request) -> httpx2.Response:
        raise httpx2.ReadTimeout("slow", request=request)

    with _client(slow) as client, pytest.raises(ScoreError) as refused:
        client.annotate(b"x")
    assert refused.value.code == "too-slow"
