"""The service as a process of its own on a free port, for tests of sockets, signals and many clients."""

from __future__ import annotations

import http.client
import os
import re
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType

import psutil

ROOT = Path(__file__).resolve().parents[2]


class Running:
    """A running service: where it is, its process, and what it has logged so far."""

    def __init__(self, process: subprocess.Popen[str], port: int) -> None:
        self.process, self.port = process, port
        self.log: list[str] = []
        self.reader = threading.Thread(target=self._read, daemon=True)
        self.reader.start()

    def _read(self) -> None:
        assert self.process.stderr is not None
        self.log.extend(self.process.stderr)

    def connect(self, timeout: float = 60) -> Connection:
        """A new connection."""
        return Connection(self.port, timeout)

    def planners(self) -> list[psutil.Process]:
        """The planner processes: copies that a forkserver, a child of a server process, has made of itself."""
        descendants = psutil.Process(self.process.pid).children(recursive=True)
        forks = [each.pid for each in descendants if "multiprocessing.forkserver" in " ".join(each.cmdline())]
        return [each for each in descendants if each.ppid() in forks]

    def terminate(self, seconds: float = 30) -> int:
        """Ask it to end as a supervisor does, and return its exit code."""
        self.process.send_signal(signal.SIGTERM)
        code = self.process.wait(seconds)
        self.reader.join(5)
        return code


class Connection(http.client.HTTPConnection):
    """A connection that is closed at the end of a with statement."""

    def __init__(self, port: int, timeout: float) -> None:
        super().__init__("127.0.0.1", port, timeout=timeout)

    def __enter__(self) -> Connection:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def ask(
        self, method: str, path: str, body: bytes | None = None, headers: dict[str, str] | None = None
    ) -> tuple[int, dict[str, str], bytes]:
        """Status, headers (names in lower case) and content of one answer."""
        self.request(method, path, body, headers or {})
        with self.getresponse() as answer:
            return answer.status, {name.lower(): value for name, value in answer.getheaders()}, answer.read()


@contextmanager
def running(*flags: str, **environment: str) -> Iterator[Running]:
    """Start the service, and end it; `environment` is added to this process's own."""
    command = [sys.executable, "-m", "service.cli", "serve", "--port", "0", *flags]
    process = subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        # Compiled modules are not kept: what the service writes while it works is counted by a test.
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1", **environment},
    )
    service = None
    try:
        assert process.stdout is not None
        found = re.search(r"http://127\.0\.0\.1:(\d+)", process.stdout.readline())
        assert found, process.stderr and process.stderr.read()
        service = Running(process, int(found[1]))
        with service.connect() as connection:  # waits in the socket's queue until the service is ready
            assert connection.ask("GET", "/healthz")[0] == 200
        yield service
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGTERM)
            try:
                process.wait(20)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()
        if service is not None:
            service.reader.join(5)
        for pipe in (process.stdout, process.stderr):
            if pipe is not None:
                pipe.close()
