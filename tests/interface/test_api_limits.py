"""Every limit, one by one: what is refused, with which status, and that the service goes on."""

from __future__ import annotations

import io
import json
import socket
import time
import zipfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import psutil
import pytest
from starlette.testclient import TestClient

from service.config.settings import SettingError, Settings, read_settings
from service.http.app import create_app
from tests.interface.conftest import ADDRESS, long_score
from tests.interface.running import Running, running

SMALL = long_score(8)


def _packed(score: bytes, extra: int = 0) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr("META-INF/container.xml", "<container><rootfile full-path='s.xml'/></container>")
        made.writestr("s.xml", score)
        for number in range(extra):
            made.writestr(f"{number}.txt", b"")
    return buffer.getvalue()


@pytest.mark.parametrize(
    ("limit", "given", "refused", "code"),
    [
        ({"upload_bytes": len(SMALL)}, SMALL, SMALL + b" ", "too-large"),
        ({"upload_bytes": 1000}, b"<score-partwise/>", b"x" * 300_000, "too-large"),
        ({"unpacked_bytes": len(SMALL)}, _packed(SMALL), _packed(SMALL + b" "), "too-large"),
        ({"entries": 4}, _packed(SMALL, 2), _packed(SMALL, 3), "too-many"),
        ({"notes": 32}, SMALL, long_score(9), "too-many"),
        ({"parts": 1}, SMALL, SMALL.replace(b"</part>", b"</part><part id='P2'/>"), "too-many"),
        ({"depth": 6}, SMALL, SMALL.replace(b"<step>A", b"<step><a/>A"), "too-deep"),
        ({"ratio": 40}, _packed(SMALL), _packed(SMALL + b" " * 2_000_000), "unpacks-too-far"),
    ],
)
def test_a_limit_on_what_is_sent(limit: dict[str, int], given: bytes, refused: bytes, code: str) -> None:
    with TestClient(create_app(Settings(planners=1, **limit)), base_url=ADDRESS) as client:  # type: ignore[arg-type]
        for path in ("/annotate", "/review", "/clean"):
            assert client.post(path, content=given).status_code in (200, 204, 422)
            answer = client.post(path, content=refused)
            assert (answer.status_code, answer.json()["code"]) == (413, code)
            assert answer.json()["advice"]


def test_a_limit_counts_in_a_form_too() -> None:
    with TestClient(create_app(Settings(planners=1, upload_bytes=len(SMALL))), base_url=ADDRESS) as client:
        assert client.post("/annotate", files={"score": ("a.xml", SMALL)}).status_code == 200
        assert client.post("/annotate", files={"score": ("a.xml", SMALL + b" ")}).status_code == 413


def test_work_is_really_stopped_at_the_deadline() -> None:
    app = create_app(Settings(planners=1, seconds=0.4))
    with TestClient(app, base_url=ADDRESS) as client:
        (before,) = app.state.pool.process_ids
        started = time.monotonic()
        answer = client.post("/annotate", content=long_score(10_000))
        assert time.monotonic() - started < 5
        assert (answer.status_code, answer.json()["code"]) == (503, "too-slow")
        assert int(answer.headers["retry-after"]) > 0
        until = time.monotonic() + 2
        while psutil.pid_exists(before) and time.monotonic() < until:
            time.sleep(0.01)
        assert not psutil.pid_exists(before), "the process that did the work is gone, and the work with it"
        # On a busy machine the next process may need more than the 0.4 s to begin.
        assert any(client.post("/annotate", content=SMALL).status_code == 200 for _ in range(10))


def test_compressed_requests_are_refused(client: TestClient) -> None:
    answer = client.post("/annotate", content=b"x", headers={"Content-Encoding": "gzip"})
    assert (answer.status_code, answer.headers["accept-encoding"]) == (415, "identity")


# -- many at once ------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def narrow() -> Iterator[Running]:
    """A service that does one thing at a time and lets two wait."""
    flags = ("--planners", "1", "--queue", "2", "--requests", "4", "--body-seconds", "2", "--held-bytes", "30000000")
    with running(*flags, "--idle-seconds", "1", "--seconds", "30") as service:
        yield service


def _post(service: Running, body: bytes, path: str = "/annotate") -> tuple[int, dict[str, str], bytes]:
    with service.connect() as connection:
        return connection.ask("POST", path, body)


def _health(service: Running) -> dict[str, Any]:
    with service.connect(5) as connection:
        status, _, content = connection.ask("GET", "/healthz")
        assert status == 200
        return dict(json.loads(content))


def _wait(service: Running, **wanted: int) -> None:
    for _ in range(500):
        health = _health(service)
        if all(health[name] == count for name, count in wanted.items()):
            return
        time.sleep(0.01)
    raise AssertionError(f"never {wanted}: {health}")


def test_too_many_are_told_to_come_again_and_health_answers_meanwhile(narrow: Running) -> None:
    long = long_score(2_500)
    with ThreadPoolExecutor(8) as threads:
        first = threads.submit(_post, narrow, long)
        _wait(narrow, working=1)
        waiting = [threads.submit(_post, narrow, SMALL) for _ in range(2)]
        _wait(narrow, working=1, waiting=2)
        started = time.monotonic()
        status, headers, content = _post(narrow, SMALL)
        assert (status, int(headers["retry-after"]) > 0) == (503, True), content
        assert b'"busy"' in content
        assert time.monotonic() - started < 2
        times = []
        while not first.done():
            started = time.monotonic()
            _health(narrow)
            times.append(time.monotonic() - started)
        assert len(times) > 5
        assert sorted(times)[len(times) // 2] < 0.25, "the event loop is never held up by the work"
        assert first.result()[0] == 200
        assert [each.result()[0] for each in waiting] == [200, 200]
    _wait(narrow, working=0, waiting=0)


def test_one_address_has_its_share(narrow: Running) -> None:
    held = [narrow.connect() for _ in range(4)]
    try:
        for connection in held:
            connection.putrequest("POST", "/annotate")
            connection.putheader("Content-Length", "100")
            connection.endheaders(b"<")
        time.sleep(0.3)
        status, headers, content = _post(narrow, SMALL)
        assert (status, headers["retry-after"]) == (429, "1")
        assert b"too-many-requests" in content
    finally:
        for connection in held:
            connection.close()
    time.sleep(0.2)
    assert _post(narrow, SMALL)[0] == 200, "who is gone no longer counts"


def test_only_so_many_bytes_are_held(narrow: Running) -> None:
    held = [narrow.connect() for _ in range(3)]
    try:
        for connection in held:
            connection.putrequest("POST", "/annotate")
            connection.putheader("Content-Length", "9900000")
            connection.endheaders(b"x" * 9_800_000)
        time.sleep(0.5)
        status, _, content = _post(narrow, b"x" * 5_000_000)
        assert (status, b"too-much-held" in content) == (503, True)
    finally:
        for connection in held:
            connection.close()


# -- slow and half-open ------------------------------------------------------------------------------------------------


def test_a_slow_sender_is_told_so_and_blocks_nobody(narrow: Running) -> None:
    with narrow.connect() as slow:
        slow.putrequest("POST", "/annotate")
        slow.putheader("Content-Length", "1000")
        slow.endheaders(b"<")
        started = time.monotonic()
        assert _post(narrow, SMALL)[0] == 200
        assert time.monotonic() - started < 1.5
        answer = slow.getresponse()
        assert answer.status == 408
        assert answer.getheader("Connection") == "close"
        assert time.monotonic() - started < 6


@pytest.mark.parametrize("sent", [b"", b"POST /ann", b"GET /healthz HTTP/1.1\r\nHost: 127.0.0.1\r\nX: "])
def test_half_open_connections_are_closed(narrow: Running, sent: bytes) -> None:
    with socket.create_connection(("127.0.0.1", narrow.port), timeout=8) as half:
        half.sendall(sent)
        assert half.recv(1000) == b""


def test_a_connection_that_was_used_is_closed_when_it_idles(narrow: Running) -> None:
    with narrow.connect(8) as connection:
        connection.connect()
        for _ in range(3):
            assert connection.ask("GET", "/healthz")[0] == 200
        connection.sock.sendall(b"GET /heal")
        assert connection.sock.recv(1000) == b""


def test_half_open_connections_block_nobody(narrow: Running) -> None:
    half = [socket.create_connection(("127.0.0.1", narrow.port)) for _ in range(200)]
    try:
        started = time.monotonic()
        assert _post(narrow, SMALL)[0] == 200
        assert time.monotonic() - started < 2
    finally:
        for each in half:
            each.close()


def test_what_is_no_http_is_a_problem_too(narrow: Running) -> None:
    with socket.create_connection(("127.0.0.1", narrow.port), timeout=8) as odd:
        odd.sendall(b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\r\n\r\n")
        answer = b""
        while chunk := odd.recv(4096):
            answer += chunk
    assert answer.startswith(b"HTTP/1.1 400")
    assert b"application/problem+json" in answer


# -- settings ----------------------------------------------------------------------------------------------------------


def test_settings_from_flags_and_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HANDFRAME_QUEUE", "7")
    monkeypatch.setenv("HANDFRAME_ORIGINS", "https://a.example, https://b.example")
    settings = read_settings({"queue": "8", "seconds": "2.5"})
    assert (settings.queue, settings.seconds) == (8, 2.5)
    assert settings.origins == ("https://a.example", "https://b.example")
    named = read_settings({"origins": "app://editor http://[::1]:8000", "hosts": "::1 a.example"})
    assert (named.hosts, named.origins) == (("::1", "a.example"), ("app://editor", "http://[::1]:8000"))
    for name, value in settings.environment().items():
        monkeypatch.setenv(name, value)
    assert read_settings() == settings


@pytest.mark.parametrize(
    ("variable", "value", "expected"),
    [
        ("HANDFRAME_QUEUE", "x", "a whole number, 0 or more"),
        ("HANDFRAME_QUEUE", "-1", "a whole number, 0 or more"),
        ("HANDFRAME_SECONDS", "nan", "a number, 0.05 or more"),
        ("HANDFRAME_SECONDS", "0.049", "a number, 0.05 or more"),
        ("HANDFRAME_NOTES", "0", "a whole number, 1 or more"),
        ("HANDFRAME_PORT", "65536", "a whole number from 0 to 65535"),
        ("HANDFRAME_HOST", "", "an address"),
        ("HANDFRAME_HOSTS", "http://a.example", "host names without scheme"),
        ("HANDFRAME_ORIGINS", "*", "origins with their scheme"),
        ("HANDFRAME_ORIGINS", "https://a.example,b.example", "origins with their scheme"),
        ("HANDFRAME_QEUE", "1", r"Did you mean HANDFRAME_QUEUE\?"),
    ],
)
def test_settings_that_cannot_be(monkeypatch: pytest.MonkeyPatch, variable: str, value: str, expected: str) -> None:
    monkeypatch.setenv(variable, value)
    with pytest.raises(SettingError, match=f"{variable}.*{expected}"):
        read_settings()


@pytest.mark.parametrize(("name", "value"), [("queue", "0"), ("seconds", "0.05"), ("port", "65535")])
def test_values_at_a_limit_are_taken(monkeypatch: pytest.MonkeyPatch, name: str, value: str) -> None:
    monkeypatch.setenv(f"HANDFRAME_{name.upper()}", value)
    assert getattr(read_settings(), name) == float(value)


def test_every_setting_says_what_it_means() -> None:
    assert all(field.description for field in Settings.model_fields.values())
    assert Settings() == read_settings()
