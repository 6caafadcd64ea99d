"""Runs a function over many items in processes that can be killed at a time limit; results come in order.

A process is forked from this one where that is safe, since everything is loaded already. It ignores Ctrl-C: this
process handles it and kills the others.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from enum import Enum
from multiprocessing import connection, process
from typing import Any, Generic, TypeVar

from ...config.garbage_collection import collect_less_often

T = TypeVar("T")
R = TypeVar("R")
DEFAULT_SECONDS = 120.0
"""Time for one score of a check, unless the user says otherwise."""
_AHEAD = 4
"""Items for each process that may be done before an earlier one is."""
_BEGUN = "begun"


class Lost(Enum):
    """Why there is no result for an item."""

    TOO_SLOW = "too slow"
    DIED = "died"


def in_processes(
    function: Callable[[T], R], items: Iterable[T], processes: int, seconds: float
) -> Iterator[tuple[T, R | Lost]]:
    """Yield each item with its result, in order. No more items are taken than the processes need."""
    waiting = enumerate(items)
    done: dict[int, tuple[T, R | Lost]] = {}
    taken = following = 0
    workers = [_Worker[T, R](function, seconds) for _ in range(processes)]
    try:
        while True:
            while following in done:
                yield done.pop(following)
                following += 1
            for worker in workers:
                if not worker.busy and taken - following < _AHEAD * processes and worker.begin(waiting, workers):
                    taken += 1
            busy = [worker for worker in workers if worker.busy]
            if not busy:
                return
            for worker, result in _results(busy):
                done[worker.number] = worker.item, result
    finally:
        for worker in workers:
            worker.end()


class _Worker(Generic[T, R]):
    """The handle of one process, which is started on first use and again after it died."""

    item: T

    def __init__(self, function: Callable[[T], R], seconds: float) -> None:
        self._function, self._seconds = function, seconds
        self._process: process.BaseProcess | None = None
        self.pipe: connection.Connection | None = None
        self.busy = False
        self.number = 0
        self.deadline: float | None = None

    def begin(self, waiting: Iterator[tuple[int, T]], workers: Sequence[_Worker[T, R]]) -> bool:
        """Take the next item; return False if there is none."""
        following = next(waiting, None)
        if following is None:
            return False
        self.number, self.item = following
        if self.pipe is None:
            self._start(workers)
        assert self.pipe is not None
        self.busy, self.deadline = True, None
        with suppress(OSError):  # it has died, which whoever reads from the pipe will notice
            self.pipe.send(self.item)
        return True

    def _start(self, workers: Sequence[_Worker[T, R]]) -> None:
        context = _context()
        self.pipe, theirs = context.Pipe()
        copied = context.get_start_method() == "fork"
        inherited = [worker.pipe for worker in workers if worker.pipe is not None] if copied else []
        self._process = context.Process(target=_serve, args=(theirs, self._function, inherited), daemon=True)
        with _interrupts_held():
            self._process.start()
        theirs.close()

    def hear(self) -> R | Lost | None:
        """The result that the process sent, or that it died; None for anything else."""
        assert self.pipe is not None
        try:
            said, result = self.pipe.recv()
        except (EOFError, OSError):
            return self._lost(Lost.DIED)
        if said == _BEGUN:
            self.deadline = time.monotonic() + self._seconds
            return None
        self.busy = False
        return result  # type: ignore[no-any-return]

    def give_up(self) -> Lost:
        """Kill the process in the middle of its work."""
        return self._lost(Lost.TOO_SLOW)

    def _lost(self, why: Lost) -> Lost:
        self.end()
        self.busy = False
        return why

    def end(self) -> None:
        """Kill the process."""
        if self._process is not None and self.pipe is not None:
            self._process.kill()
            self._process.join()
            self.pipe.close()
        self._process = self.pipe = None


def _results(busy: Sequence[_Worker[T, R]]) -> Iterator[tuple[_Worker[T, R], R | Lost]]:
    """Wait until a process sends something or its time is over; yield the results."""
    deadlines = [worker.deadline for worker in busy if worker.deadline is not None]
    timeout = max(min(deadlines) - time.monotonic(), 0) if deadlines else None
    ready = connection.wait([worker.pipe for worker in busy if worker.pipe is not None], timeout)
    for worker in busy:
        if worker.pipe in ready:
            result = worker.hear()
            if result is not None:
                yield worker, result
        elif worker.deadline is not None and worker.deadline <= time.monotonic():
            yield worker, worker.give_up()


def _context() -> Any:
    """The start method: fork, unless other threads or the system make that unsafe."""
    methods = multiprocessing.get_all_start_methods()
    if "fork" in methods and sys.platform != "darwin" and threading.active_count() == 1:
        return multiprocessing.get_context("fork")
    if "forkserver" not in methods:
        return multiprocessing.get_context("spawn")
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["service.usecases.checks.batch"])
    return context


@contextmanager
def _interrupts_held() -> Iterator[None]:
    """Block Ctrl-C while a process is started, so that the new process does not receive it."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _serve(pipe: connection.Connection, function: Callable[[T], R], inherited: Sequence[connection.Connection]) -> None:
    """Do the work of a process, until its parent has gone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    collect_less_often()
    for other in inherited:
        other.close()  # so that their ends are heard when the parent ends
    try:
        while True:
            item = pipe.recv()
            pipe.send((_BEGUN, None))
            pipe.send(("done", function(item)))
    except (EOFError, OSError):
        return
    except Exception:  # no result can be sent; the parent notices that this process ends
        os._exit(1)
