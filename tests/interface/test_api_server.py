"""The service as a process: many clients, the end of it under load, more than one server process."""

from __future__ import annotations

import http.client
import json
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import psutil
import pytest

from service.config.options import Options
from service.usecases.annotate import annotate
from tests.interface.conftest import long_score
from tests.interface.running import Running, running

TURNS = 2
"""Requests of each client. The soak of many clients is in `tests/soak/test_load.py`."""


def _scores(sample_scores: dict[str, Path]) -> list[tuple[bytes, bytes]]:
    """Scores of several sizes and what each must become."""
    scores = [path.read_bytes() for path in sample_scores.values()] + [long_score(bars, bars) for bars in (4, 60, 250)]
    return [(score, annotate(score, Options()).data) for score in scores]


@pytest.fixture(scope="module")
def service() -> object:
    with running() as made:
        yield made


def test_many_clients_get_each_their_own_answer(service: Running, sample_scores: dict[str, Path]) -> None:
    scores = _scores(sample_scores)

    def client(number: int) -> int:
        right = 0
        with service.connect() as connection:
            for turn in range(TURNS):
                score, expected = scores[(number * 5 + turn) % len(scores)]
                status, headers, content = connection.ask("POST", "/annotate", score)
                assert status == 200
                assert content == expected
                assert int(headers["content-length"]) == len(content)
                right += 1
        return right

    with ThreadPoolExecutor(32) as threads:
        assert sum(threads.map(client, range(32))) == 32 * TURNS


@pytest.mark.long
@pytest.mark.parametrize("workers", ["1", "2"])
def test_told_to_end_it_finishes_what_runs_and_cuts_nothing_off(workers: str) -> None:
    score = long_score(500)
    expected = annotate(score, Options()).data
    whole, refused, wrong = [], [], []
    begun = threading.Event()

    def client() -> None:
        while True:
            try:
                with service.connect(30) as connection:
                    connection.request("POST", "/annotate", score)
                    begun.set()
                    with connection.getresponse() as answer:
                        content = answer.read()
                        (whole if answer.status == 200 and content == expected else wrong).append(content)
            except (ConnectionError, http.client.RemoteDisconnected) as error:
                refused.append(error)  # not one byte of an answer came
                return
            except http.client.HTTPException as error:
                wrong.append(repr(error).encode())
                return

    with running("--workers", workers) as service:
        clients = [threading.Thread(target=client) for _ in range(8)]
        for each in clients:
            each.start()
        begun.wait(30)
        time.sleep(1.0)
        code = service.terminate()
        for each in clients:
            each.join(30)
    assert code == 0
    assert wrong == []
    assert len(whole) >= 8, "requests that ran when the signal came were answered"
    assert len(refused) == 8


def test_the_log_has_a_line_for_each_request_and_no_content() -> None:
    score = long_score(4).replace(b">Violin<", b">Violin Geheim<")
    with running("--planners", "1") as service:
        with service.connect() as connection:
            path = "/annotate?part=Violin%20Geheim&filename=Geheim.xml"
            assert connection.ask("POST", path, score, {"X-Request-Id": "run-7"})[0] == 200
            assert connection.ask("POST", "/annotate?part=Geheim", b"<Geheim>")[0] == 400
        assert service.terminate() == 0
        lines = [json.loads(line) for line in service.log]
    told = [line for line in lines if line["event"] == "request"]
    assert [line["status"] for line in told] == [200, 200, 400]
    assert told[1] | {"time": "", "milliseconds": 0} == {
        "time": "", "level": "info", "event": "request", "id": "run-7", "method": "POST", "route": "/annotate",
        "status": 200, "milliseconds": 0, "bytes_in": len(score), "bytes_out": told[1]["bytes_out"],
    }  # fmt: skip
    assert "Geheim" not in "".join(service.log)


@pytest.mark.long
def test_a_planner_that_dies_costs_one_request_only() -> None:
    with running("--planners", "1") as service:
        children = psutil.Process(service.process.pid).children(recursive=True)
        (planner,) = service.planners()
        planner.kill()
        while planner.is_running() and planner.status() != psutil.STATUS_ZOMBIE:
            time.sleep(0.01)
        with service.connect() as connection:
            assert connection.ask("POST", "/annotate", long_score(4))[0] == 200, "it died idle: nobody notices"
        service.terminate()
        _, left = psutil.wait_procs(children, 5)
        assert [each for each in left if each.status() != psutil.STATUS_ZOMBIE] == []
