"""Many clients for a long time: no answer lost, none wrong, memory flat; and the end of it under load."""

from __future__ import annotations

import http.client
import os
import random
import socket
import statistics
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
from tests.soak.figures import tell

CLIENTS = 32
REQUESTS = int(os.environ.get("SOAK_REQUESTS", "10000"))
_IDLE_TURNS = 15
pytestmark = pytest.mark.slow


def _scores(sample_scores: dict[str, Path]) -> list[tuple[bytes, bytes]]:
    """Mixed sizes, from one note to ten thousand, and the answer to each when it is asked alone."""
    scores = [path.read_bytes() for path in sample_scores.values()]
    scores += [long_score(bars, bars) for bars in (1, 20, 100, 300)]
    return [(score, annotate(score, Options()).data) for score in scores]


def _memory(service: Running) -> int:
    """Bytes that the server and its planners hold for themselves."""
    server = psutil.Process(service.process.pid)
    return sum(each.memory_full_info().uss for each in [server, *server.children(recursive=True)])


def _quantile(values: list[float], share: float) -> float:
    return sorted(values)[min(int(share * len(values)), len(values) - 1)]


def test_ten_thousand_requests_of_thirty_two_clients(sample_scores: dict[str, Path]) -> None:
    scores = _scores(sample_scores)
    with running() as service:
        idle = []
        with service.connect() as connection:
            for score, _ in scores:
                times = []
                for _ in range(_IDLE_TURNS):
                    began = time.perf_counter()
                    assert connection.ask("POST", "/annotate", score)[0] == 200
                    times.append(time.perf_counter() - began)
                idle.append(statistics.median(times))
        ratios: list[float] = []
        seconds: list[float] = []
        memory: list[int] = []
        left = threading.Semaphore(REQUESTS)

        def client(number: int) -> int:
            chance, right = random.Random(number), 0
            with service.connect(120) as connection:
                while left.acquire(blocking=False):
                    which = chance.choices(range(len(scores)), [1 / each for each in idle])[0]
                    score, expected = scores[which]
                    began = time.perf_counter()
                    status, _, content = connection.ask("POST", "/annotate", score)
                    took = time.perf_counter() - began
                    assert status == 200, content
                    assert content == expected
                    right += 1
                    ratios.append(took / idle[which])
                    seconds.append(took)
                    if len(ratios) % (REQUESTS // 20) == 0:
                        memory.append(_memory(service))
            return right

        began = time.perf_counter()
        with ThreadPoolExecutor(CLIENTS) as threads:
            assert sum(threads.map(client, range(CLIENTS))) == REQUESTS
        took = time.perf_counter() - began
    early, late = statistics.median(memory[2:6]), statistics.median(memory[-4:])
    planners = os.cpu_count() or 1
    tell(
        "load",
        clients=CLIENTS,
        requests=REQUESTS,
        lost=0,
        wrong=0,
        requests_a_second=round(REQUESTS / took, 1),
        ratio_to_idle={
            name: round(_quantile(ratios, share), 1) for name, share in (("p50", 0.5), ("p95", 0.95), ("p99", 0.99))
        },
        fair_share=CLIENTS / planners,
        idle_milliseconds={"median": round(statistics.median(idle) * 1000, 1)},
        memory_early_mb=round(early / 1e6, 1),
        memory_late_mb=round(late / 1e6, 1),
    )
    assert late < early * 1.15, "memory stays flat"


def test_the_end_comes_under_load_twenty_times(sample_scores: dict[str, Path]) -> None:
    scores = _scores(sample_scores)
    whole = refused = 0
    for turn in range(20):
        results: list[str] = []
        begun = threading.Event()

        def client(number: int, service: Running, results: list[str] = results, begun: threading.Event = begun) -> None:
            chance = random.Random(number)
            while True:
                score, expected = chance.choice(scores)
                try:
                    with service.connect(60) as connection:
                        connection.request("POST", "/annotate", score)
                        begun.set()
                        with connection.getresponse() as answer:
                            right = answer.read() == expected and answer.status == 200
                            results.append("whole" if right else "wrong")
                except (ConnectionError, http.client.RemoteDisconnected):
                    results.append("refused")
                    return
                except http.client.HTTPException:
                    results.append("cut off")
                    return

        with running() as service:
            threads = [threading.Thread(target=client, args=(turn * 100 + n, service)) for n in range(8)]
            for thread in threads:
                thread.start()
            begun.wait(30)
            time.sleep(0.1 + turn * 0.05)
            assert service.terminate(60) == 0
            for thread in threads:
                thread.join(60)
        assert {"wrong", "cut off"}.isdisjoint(results)
        whole += results.count("whole")
        refused += results.count("refused")
    tell("end under load", ends=20, whole=whole, refused_without_a_byte=refused, wrong=0, cut_off=0)


def test_slow_and_half_open_clients_slow_nobody_down(sample_scores: dict[str, Path]) -> None:
    score, expected = _scores(sample_scores)[0]

    def median_time(service: Running) -> float:
        times = []
        with service.connect() as connection:
            for _ in range(60):
                began = time.perf_counter()
                assert connection.ask("POST", "/annotate", score)[2] == expected
                times.append(time.perf_counter() - began)
        return statistics.median(times)

    with running("--requests", "200") as service:
        alone = median_time(service)
        half = [socket.create_connection(("127.0.0.1", service.port)) for _ in range(300)]
        for number, connection in enumerate(half):
            head = b"POST /annotate HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 1000\r\n\r\n<"
            connection.sendall(head if number < 100 else head[: number % 30])
        beside = median_time(service)
        for connection in half:
            connection.close()
    tell("slow clients", half_open=200, slow_senders=100, ratio_to_alone=round(beside / alone, 2))
    assert beside < alone * 3
