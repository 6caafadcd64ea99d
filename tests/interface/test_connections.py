"""The service at the socket: half-closed, gone, trickling and overlong senders, and the end of its processes.

Sources: RFC 9112, 9.3 and 9.6 (closing), RFC 9110, 15.2 (interim answers are skipped by any client).
"""

from __future__ import annotations

import json
import os
import signal
import socket
import statistics
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress

import psutil
import pytest

from service.http.listening import shut
from tests.interface.conftest import long_score
from tests.interface.running import Running, running

SMALL = long_score(8)


@pytest.fixture(scope="module")
def service() -> Iterator[Running]:
    with running("--planners", "1", "--upload-bytes", "1000000", "--body-seconds", "4") as made:
        yield made


def _read_all(connection: socket.socket) -> bytes:
    answer = b""
    while chunk := connection.recv(65536):
        answer += chunk
    return answer


def _post(path: str, body: bytes) -> bytes:
    return b"POST %b HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: %d\r\n\r\n%b" % (path.encode(), len(body), body)


def _health(service: Running) -> dict[str, int]:
    with service.connect(30) as connection:
        status, _, content = connection.ask("GET", "/healthz")
        assert status == 200
        return dict(json.loads(content))


@contextmanager
def suspended(processes: list[psutil.Process]) -> Iterator[None]:
    """The processes stand still, so that a request takes as long as a test wants, however fast the machine is."""
    assert processes
    for each in processes:
        each.suspend()
    try:
        yield
    finally:
        for each in processes:
            with suppress(psutil.NoSuchProcess):
                each.resume()


def _wait(true: Callable[[], bool], seconds: float) -> bool:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if true():
            return True
        time.sleep(0.02)
    return False


# -- answers that arrive -----------------------------------------------------------------------------------------------


def test_a_half_closed_client_gets_its_answer(service: Running) -> None:
    with socket.create_connection(("127.0.0.1", service.port), timeout=30) as connection:
        connection.sendall(_post("/annotate", SMALL))
        connection.shutdown(socket.SHUT_WR)
        answer = _read_all(connection)
    assert answer.startswith(b"HTTP/1.1 200"), answer[:200]
    assert answer.endswith(b"</score-partwise>")


def test_a_half_closed_client_gets_its_answer_after_long_work(service: Running) -> None:
    """Meanwhile the service looks whether the client is still there, by interim answers."""
    interim = b"HTTP/1.1 100 Continue\r\n\r\n"
    with suspended(service.planners()), socket.create_connection(("127.0.0.1", service.port), timeout=60) as connection:
        connection.sendall(_post("/review", SMALL))
        connection.shutdown(socket.SHUT_WR)
        answer = connection.recv(len(interim), socket.MSG_WAITALL)
        assert answer == interim
        for planner in service.planners():
            planner.resume()
        answer += _read_all(connection)
    assert answer.replace(interim, b"").startswith(b"HTTP/1.1 200")
    assert answer.endswith(b"]}")


def test_half_a_request_and_a_closed_side_is_no_request(service: Running) -> None:
    with socket.create_connection(("127.0.0.1", service.port), timeout=10) as connection:
        connection.sendall(_post("/annotate", SMALL)[:-100])
        connection.shutdown(socket.SHUT_WR)
        assert _read_all(connection) == b""
    assert _wait(lambda: _health(service)["working"] == 0, 2)


@pytest.mark.parametrize("size", [1_200_000, 3_000_000, 9_000_000])
def test_who_sends_too_much_and_reads_then_reads_the_413(service: Running, size: int) -> None:
    """As urllib does: it sends all of a request, with `Connection: close`, before it reads."""
    for _ in range(6):
        request = urllib.request.Request(f"http://127.0.0.1:{service.port}/annotate", b"x" * size)
        with pytest.raises(urllib.error.HTTPError) as refused, urllib.request.urlopen(request, timeout=20):
            pass
        with refused.value as answer:
            assert answer.code == 413
            assert json.loads(answer.read())["code"] == "too-large"


def _refusal(service: Running, size: int, headers: dict[str, str]) -> str:
    """The code of the fault that urllib reads."""
    request = urllib.request.Request(f"http://127.0.0.1:{service.port}/annotate", b"x" * size, headers)
    with pytest.raises(urllib.error.HTTPError) as refused, urllib.request.urlopen(request, timeout=20):
        pass
    with refused.value as answer:
        return str(json.loads(answer.read())["code"])


@pytest.mark.parametrize(("headers", "code"), [
    ({"Host": "evil.example"}, "wrong-host"), ({"Origin": "http://evil.example"}, "foreign-origin"),
    ({"Sec-Fetch-Site": "cross-site"}, "cross-site"),
])  # fmt: skip
def test_who_may_not_call_reads_why(service: Running, headers: dict[str, str], code: str) -> None:
    assert _refusal(service, 9_000_000, headers) == code


@pytest.mark.long
def test_who_asks_too_much_at_once_reads_it() -> None:
    editor = "https://editor.example"
    with running("--planners", "1", "--requests", "1", "--origins", editor) as service, service.connect() as other:
        other.request("GET", "/practice/set?positions=2,3,4,5")
        assert _wait(lambda: _health(service)["working"] == 1, 5)
        assert _refusal(service, 9_000_000, {}) == "too-many-requests"
        with service.connect() as connection:
            status, headers, _ = connection.ask("POST", "/annotate", SMALL, {"Origin": editor})
    assert (status, headers["access-control-allow-origin"]) == (429, editor)


def test_not_every_byte_of_a_refused_upload_is_read(service: Running) -> None:
    """Ten times the size of a file at most."""
    head = b"POST /annotate HTTP/1.1\r\nHost: evil.example\r\nContent-Length: 1000000000\r\n\r\n"
    with socket.create_connection(("127.0.0.1", service.port), timeout=10) as connection:
        connection.sendall(head)
        with suppress(ConnectionError):
            for _ in range(1000):
                connection.sendall(b"x" * 1_000_000)
    assert _wait(lambda: any('"status": 421' in line for line in service.log), 5)
    read = [json.loads(line)["bytes_in"] for line in service.log if '"status": 421' in line]
    assert max(read) < 11_000_000


def test_who_waits_for_our_word_is_refused_at_once(service: Running) -> None:
    head = b"POST /annotate HTTP/1.1\r\nHost: a\r\nExpect: 100-continue\r\nContent-Length: 9000000\r\n\r\n"
    with socket.create_connection(("127.0.0.1", service.port), timeout=10) as connection:
        started = time.monotonic()
        connection.sendall(head.replace(b"Host: a", b"Host: 127.0.0.1"))
        assert connection.recv(4096).startswith(b"HTTP/1.1 413")
        assert time.monotonic() - started < 1


@pytest.mark.parametrize("sent", [b"\x16\x03\x01\r\n\r\n", b"GET /healthz HTTP/1.1\r\nHost 127.0.0.1\r\n\r\n"])
def test_what_is_no_http_has_the_headers_of_every_answer(service: Running, sent: bytes) -> None:
    with socket.create_connection(("127.0.0.1", service.port), timeout=8) as connection:
        connection.sendall(sent)
        head, _, content = _read_all(connection).partition(b"\r\n\r\n")
    lines = head.decode().lower().split("\r\n")
    headers = dict(line.split(": ", 1) for line in lines[1:])
    assert lines[0].startswith("http/1.1 400")
    assert headers["content-type"] == "application/problem+json"
    assert headers["content-security-policy"].startswith("default-src 'none'")
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["cross-origin-resource-policy"] == "same-origin"
    assert headers["cache-control"] == "no-store"
    assert headers["x-request-id"] == json.loads(content)["request_id"]


# -- work for nobody ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("reset", [True, False], ids=["reset", "closed"])
def test_work_for_a_client_that_has_gone_is_stopped(service: Running, reset: bool) -> None:
    """Stopped work ends its planner, finished work leaves it; a closed connection looks half-closed for a while."""
    (planner,) = service.planners()
    connection = socket.create_connection(("127.0.0.1", service.port), timeout=10)
    if reset:
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\1\0\0\0\0\0\0\0")
    connection.sendall(_post("/review?level=all", long_score(1500)))
    assert _wait(lambda: _health(service)["working"] == 1, 10)
    connection.close()
    assert _wait(lambda: _health(service)["working"] == 0, 60)
    assert planner.pid not in [each.pid for each in service.planners()]


def test_a_progressive_set_is_worked_out_once(service: Running) -> None:
    with service.connect() as connection:
        first = connection.ask("GET", "/practice/set?key=G&positions=3")
        started = time.monotonic()
        again = connection.ask("GET", "/practice/set?key=G&positions=3")
        assert time.monotonic() - started < 0.1
        assert first[0] == 200
        assert again[2] == first[2]
        tag = first[1]["etag"]
        assert connection.ask("GET", "/practice/set?key=G&positions=3", None, {"If-None-Match": tag})[0] == 304


@pytest.mark.long
def test_every_method_counts_towards_the_requests_of_an_address() -> None:
    with running("--planners", "1", "--requests", "2") as service, ExitStack() as held:
        for key in "DG":
            connection = held.enter_context(service.connect())
            connection.request("GET", f"/practice/set?key={key}&positions=2,3,4,5")
        assert _wait(lambda: _health(service)["waiting"] == 1, 5)
        with service.connect() as other:
            status, _, content = other.ask("GET", "/practice/set?key=A")
        assert (status, json.loads(content)["code"]) == (429, "too-many-requests")


# -- bodies that trickle in --------------------------------------------------------------------------------------------

CHUNKED = b"POST /annotate HTTP/1.1\r\nHost: 127.0.0.1\r\nTransfer-Encoding: chunked\r\n\r\n"
BOUND = 0.5
"""Seconds within which /healthz answers, whatever 60 connections send; README, Limits, states it."""


@pytest.mark.parametrize("count", [1, 40_000], ids=["packets of a byte", "chunks of a byte"])
@pytest.mark.long
def test_health_answers_while_bodies_trickle_in(count: int) -> None:
    piece = b"1\r\nx\r\n" * count
    with running("--planners", "1", "--body-seconds", "4") as service:
        stop = threading.Event()

        def trickle() -> None:
            while not stop.is_set():
                try:
                    with socket.create_connection(("127.0.0.1", service.port), timeout=5) as connection:
                        connection.sendall(CHUNKED)
                        while not stop.is_set():
                            connection.sendall(piece)
                            time.sleep(0.02)
                except OSError:
                    continue

        senders = [threading.Thread(target=trickle) for _ in range(60)]
        for sender in senders:
            sender.start()
        try:
            time.sleep(1.5)
            times = []
            for _ in range(12):
                started = time.monotonic()
                _health(service)
                times.append(time.monotonic() - started)
        finally:
            stop.set()
            for sender in senders:
                sender.join()
    assert statistics.median(times) < BOUND, times


# -- the end -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("workers", [pytest.param("1", marks=pytest.mark.long), "2"])
def test_told_to_end_it_answers_every_connection_it_accepted(workers: str) -> None:
    """Eight clients connect anew for every request: who was let in is answered, everybody else is refused."""
    lost: list[str] = []
    answered = 0
    with running("--workers", workers, "--planners", "1", "--requests", "200") as service:

        def client() -> None:
            nonlocal answered
            while True:
                try:
                    connection = socket.create_connection(("127.0.0.1", service.port), timeout=20)
                except (ConnectionRefusedError, ConnectionResetError):
                    return
                with connection:
                    try:
                        time.sleep(0.01)
                        connection.sendall(b"GET /version HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n")
                        if not _read_all(connection).startswith(b"HTTP/1.1 200"):
                            lost.append("closed without an answer")
                    except OSError as error:
                        lost.append(type(error).__name__)
                    answered += 1

        clients = [threading.Thread(target=client) for _ in range(8)]
        for each in clients:
            each.start()
        _wait(lambda: answered > 50, 20)
        assert service.terminate() == 0
        for each in clients:
            each.join(30)
    assert answered > 50
    assert lost == []


@pytest.mark.skipif(sys.platform != "linux", reason="other systems cannot drop requests for a connection")
def test_a_shut_socket_keeps_who_was_let_in_and_lets_in_nobody_else() -> None:
    with (
        socket.create_server(("127.0.0.1", 0)) as listening,
        socket.create_connection(listening.getsockname(), timeout=5) as waiting,
    ):
        shut(listening)
        with pytest.raises(TimeoutError):
            socket.create_connection(listening.getsockname(), timeout=0.2)
        accepted = listening.accept()[0]
        listening.close()
        with accepted:
            waiting.sendall(b"asked")
            assert accepted.recv(5) == b"asked"


@pytest.mark.long
@pytest.mark.parametrize(("workers", "seconds"), [("1", 2), ("2", 8)])
def test_no_process_outlives_a_service_that_is_killed(workers: str, seconds: float) -> None:
    """Planners end at once, even at work; a server process notices first that its client has gone."""
    with running("--workers", workers, "--planners", "1") as service:
        children = psutil.Process(service.process.pid).children(recursive=True)
        assert len(children) >= int(workers)
        with socket.create_connection(("127.0.0.1", service.port), timeout=10) as connection:
            connection.sendall(_post("/review?level=all", long_score(2000)))  # one of them is at work
            time.sleep(0.5)
            service.process.kill()
            service.process.wait()
    _, left = psutil.wait_procs(children, seconds)
    assert [each.pid for each in left if each.status() != psutil.STATUS_ZOMBIE] == []


@pytest.mark.long
def test_a_server_process_that_dies_is_replaced() -> None:
    with running("--workers", "2", "--planners", "1") as service:
        worker = next(
            each for each in psutil.Process(service.process.pid).children() if "spawn_main" in " ".join(each.cmdline())
        )
        worker.kill()
        assert _wait(lambda: any("server process ended" in line for line in service.log), 10)
        for _ in range(4):
            assert _health(service)["planners"] == 1
        assert service.terminate() == 0


def test_the_end_does_not_wait_for_a_client_that_says_nothing() -> None:
    with running("--planners", "1") as service, socket.create_connection(("127.0.0.1", service.port)) as silent:
        started = time.monotonic()
        assert service.terminate() == 0
        assert time.monotonic() - started < 5
        assert silent.recv(10) == b""


@pytest.mark.long
def test_planners_outlive_a_signal_to_the_whole_group_until_the_work_is_done() -> None:
    command = [sys.executable, "-m", "service.cli", "serve", "--port", "0", "--planners", "1"]
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    )
    assert process.stdout is not None
    try:
        port = int(process.stdout.readline().split("(")[0].rpartition(":")[2])
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/healthz", timeout=60) as ready:
            assert ready.status == 200
        with socket.create_connection(("127.0.0.1", port), timeout=60) as connection:
            connection.sendall(_post("/annotate", long_score(700)))
            time.sleep(0.3)
            os.killpg(process.pid, signal.SIGINT)
            assert _read_all(connection).startswith(b"HTTP/1.1 200")
        assert process.wait(20) == 0
    finally:
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
        process.communicate()
