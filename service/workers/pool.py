"""Planner processes that stay warm and can be stopped: work leaves the event loop, and a deadline really ends it.

Each place in the pool holds one process (see `planner_process`); a thread of its own hands it a call and waits for the
answer. When the deadline passes, the process is killed and another takes its place, so nothing of the stopped work
goes on. A process that dies in between is replaced without anybody noticing; one that dies at work costs that request
only. What does not belong here: what the work is (a function of a module and its arguments, both picklable).
"""

from __future__ import annotations

import asyncio
import contextlib
import os
import pickle
import subprocess
import sys
import threading
import weakref
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

from . import worker as planner_process
from .worker import read_message, write_message

P = ParamSpec("P")
T = TypeVar("T")
_ROOT = str(Path(__file__).resolve().parents[2])
_IDLE_END = 2.0  # seconds in which a process that has nothing to do has to end


class BusyError(Exception):
    """No place is free, and none became free in time."""


class TooSlowError(Exception):
    """The work took longer than allowed and was stopped."""


@dataclass
class WorkFailedError(Exception):
    """The work ended in a fault of ours; `kind` names the exception, `place` where it was raised, without its text."""

    kind: str
    place: str


class _Place:
    """One process and the pipes to it. Used by one thread at a time."""

    def __init__(self) -> None:
        self._process: subprocess.Popen[bytes] | None = None
        self._is_warm = False

    def _started(self) -> subprocess.Popen[bytes]:
        """A living process, warm."""
        process = self._process
        if process is None or process.poll() is not None:
            process = self.start()
        if not self._is_warm:
            assert process.stdout is not None
            read_message(process.stdout)  # its word that it is
            self._is_warm = True
        return process

    def start(self) -> subprocess.Popen[bytes]:
        """Start a new process, which warms up while nobody waits for it."""
        self.close(kill=True)
        paths = [_ROOT, *os.environ.get("PYTHONPATH", "").split(os.pathsep)]
        self._process = subprocess.Popen(
            [sys.executable, "-m", planner_process.__name__],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, paths))},
        )
        return self._process

    def call(self, job: bytes, seconds: float) -> tuple[str, Any]:
        """Have the process do a job; kill it if it takes longer."""
        late = threading.Event()
        try:
            process = self._started()
            assert process.stdin is not None
            assert process.stdout is not None
            deadline = threading.Timer(seconds, _stop, (process, late))
            deadline.daemon = True
            deadline.start()
            try:
                write_message(process.stdin, job)
                answer: tuple[str, Any] = pickle.loads(read_message(process.stdout))
            finally:
                deadline.cancel()
        except (EOFError, OSError):
            self.start()
            if late.is_set():
                raise TooSlowError from None
            return "failure", ("ProcessDied", "")
        return answer

    def close(self, kill: bool = False) -> None:
        """End the process: at once, or as soon as it has nothing to do."""
        process, self._process, self._is_warm = self._process, None, False
        if process is None:
            return
        if kill:
            process.kill()
        for pipe in (process.stdin, process.stdout):
            with contextlib.suppress(OSError):
                assert pipe is not None
                pipe.close()
        try:
            process.wait(_IDLE_END)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def _stop(process: subprocess.Popen[bytes], late: threading.Event) -> None:
    late.set()
    process.kill()


class Pool:
    """A bounded pool of planner processes.

    `size` processes work, up to `queue` calls wait; each call gets `seconds` of work, and waits no longer than that.
    """

    def __init__(self, size: int, queue: int, seconds: float) -> None:
        self.size, self.queue, self.seconds = size, queue, seconds
        self._open()
        self._lock = threading.Lock()
        self._pending = 0

    def _open(self) -> None:
        self._threads = ThreadPoolExecutor(self.size, thread_name_prefix="planner")
        self._places: list[_Place] = []
        self._own = threading.local()
        self._end = weakref.finalize(self, _end, self._threads, self._places)

    @property
    def working(self) -> int:
        """Calls at work now."""
        return min(self._pending, self.size)

    @property
    def waiting(self) -> int:
        """Calls that wait for a place."""
        return max(self._pending - self.size, 0)

    def start(self) -> None:
        """Have every process started and warm; without it, the first calls do that."""
        barrier = threading.Barrier(self.size)  # so that each thread takes one of the calls
        for started in [self._threads.submit(self._warm, barrier) for _ in range(self.size)]:
            started.result()

    def _warm(self, barrier: threading.Barrier) -> None:
        self._place().call(pickle.dumps((len, ((),))), self.seconds)
        barrier.wait()

    def _place(self) -> _Place:
        place: _Place | None = getattr(self._own, "place", None)
        if place is None:
            place = self._own.place = _Place()
            with self._lock:
                self._places.append(place)
        return place

    async def run(self, function: Callable[P, T], *arguments: P.args, **_: P.kwargs) -> T:
        """Return what the function returns for the arguments, called in one of the processes.

        Raises:
            ScoreError: the function raised it.
            BusyError: the queue is full, or no process became free in time.
            TooSlowError: the work took too long; it was stopped.
            WorkFailedError: any other exception of the function, or the end of its process.
        """
        job = pickle.dumps((function, arguments), protocol=5)
        with self._lock:
            if self._pending >= self.size + self.queue:
                raise BusyError
            self._pending += 1
        try:
            future = self._threads.submit(self._call, job)
        except BaseException:
            self._finished(None)
            raise
        future.add_done_callback(self._finished)
        giving_up = asyncio.get_running_loop().call_later(self.seconds, future.cancel)
        try:
            outcome, content = await asyncio.wrap_future(future)
        except asyncio.CancelledError:
            if future.cancelled() and not _cancelling():
                raise BusyError from None
            raise
        finally:
            giving_up.cancel()
        if outcome == "refusal":
            raise content
        if outcome == "failure":
            raise WorkFailedError(*content)
        return content  # type: ignore[no-any-return]

    def _call(self, job: bytes) -> tuple[str, Any]:
        return self._place().call(job, self.seconds)

    def _finished(self, _future: Future[Any] | None) -> None:
        with self._lock:
            self._pending -= 1

    def close(self) -> None:
        """Let running work finish, then end every process. The pool can be used again, with new ones."""
        self._end()
        self._open()


def _end(threads: ThreadPoolExecutor, places: list[_Place]) -> None:
    threads.shutdown(wait=True, cancel_futures=True)
    for place in places:
        place.close()
    places.clear()


def _cancelling() -> bool:
    task = asyncio.current_task()
    return task is not None and task.cancelling() > 0
