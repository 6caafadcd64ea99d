"""A running service and a score full of secrets: what is on the disk, in the log and on the network afterwards."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

import psutil
import pytest

from tests.interface.conftest import long_score
from tests.interface.running import Running, running

SECRET = "Zwetschgenkuchen"  # in no message of ours and of no library
SCORE = (
    long_score(8)
    .replace(b"Violin", f"Violin {SECRET}".encode())
    .replace(
        b"</note>", f"<notations><technical><fingering>{SECRET}</fingering></technical></notations></note>".encode()
    )
)
ABC = f"X:1\nT:{SECRET}\nM:4/4\nL:1/4\nK:D\nABcd|efga|\n"
BODIES = {
    "score": SCORE,
    "broken score": SCORE[:-300],
    "entity": f'<!DOCTYPE s [<!ENTITY {SECRET} "x">]><score-partwise/>'.encode(),
    "odd pitch": SCORE.replace(b"<octave>", f"<octave>{SECRET}".encode()),
    "abc": ABC.encode(),
    "broken abc": f"X:1\nK:{SECRET}\n[[[{SECRET}".encode(),
    "kern": f"**kern\n!!!OTL: {SECRET}\n4{SECRET}\n*-\n".encode(),
}


_PAGE = 4096  # bytes that a disk writes at least, also to note that a file was read


@pytest.fixture(scope="module")
def scratch(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder for the service's temporary files and for its user's own."""
    return tmp_path_factory.mktemp("scratch")


@pytest.fixture(scope="module")
def service(scratch: Path) -> Iterator[Running]:
    with running("--planners", "1", "--seconds", "30", HOME=str(scratch), TMPDIR=str(scratch)) as made:
        yield made


def _processes(service: Running) -> list[psutil.Process]:
    parent = psutil.Process(service.process.pid)
    return [parent, *parent.children(recursive=True)]


def _form(data: bytes, word: str) -> tuple[bytes, dict[str, str]]:
    head = f'--x\r\nContent-Disposition: form-data; name="score"; filename="{word}.abc"\r\n\r\n'
    return head.encode() + data + b"\r\n--x--\r\n", {"Content-Type": "multipart/form-data; boundary=x"}


def test_it_listens_on_this_machine_only(service: Running) -> None:
    sockets = [each for process in _processes(service) for each in process.net_connections("inet")]
    assert {each.laddr.ip for each in sockets if each.status == psutil.CONN_LISTEN} == {"127.0.0.1"}


def test_nothing_of_a_request_is_in_the_log_or_on_the_disk(service: Running, scratch: Path) -> None:
    def written() -> int:
        return sum(process.io_counters().write_bytes for process in _processes(service))

    def ask_everything(word: str) -> None:
        """Every address with every body, good and bad; `word` stands for what is secret in them."""
        with service.connect() as connection:
            for body in BODIES.values():
                data = body.replace(SECRET.encode(), word.encode())
                for address in ("/annotate", "/review", "/clean", "/practice", "/practice?format=page"):
                    mark = "&" if "?" in address else "?"
                    status, headers, _ = connection.ask("POST", f"{address}{mark}filename={word}", data)
                    assert status < 500
                    assert "set-cookie" not in headers
                    connection.ask("POST", f"{address}{mark}{word}=1", data, {"X-Request-Id": f"an {word}"})
                form, headers = _form(data, word)
                for address in ("/page/open", "/page/view", "/page/compare", "/page/report"):
                    assert connection.ask("POST", address, form, headers)[0] < 500
            broken = form.replace(b"Content-Disposition", f"Content-[{word}]".encode())
            assert connection.ask("POST", "/annotate", broken, headers)[0] == 400
            for address in (f"/{word}", f"/page/{word}", f"/problems/{word}", f"/chart.svg?key={word}"):
                connection.ask("GET", quote(address, "/?="), headers={"Referer": f"http://127.0.0.1/{word}"})
            connection.ask("GET", "/healthz", headers={"Host": f"{word}.example"})

    ask_everything("Marillenknoedel")  # modules are read for the first time
    before = written()
    ask_everything(SECRET)
    # Less than a page for each body that was sent six times and more; a page or two are folders that were read again.
    assert written() - before < len(BODIES) * _PAGE
    assert [path for path in scratch.rglob("*") if path.is_file()] == []
    lines = [json.loads(line) for line in list(service.log)]
    assert len(lines) > 100
    assert SECRET.lower() not in json.dumps(lines).lower()


def test_the_same_request_has_the_same_answer_whatever_came_before(service: Running) -> None:
    with service.connect() as connection:
        first = [connection.ask("POST", "/review?part=P1", data)[2] for data in (long_score(8), SCORE)]
        again = [connection.ask("POST", "/review?part=P1", data)[2] for data in (SCORE, long_score(8))]
    assert first == again[::-1]
