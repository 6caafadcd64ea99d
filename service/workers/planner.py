"""One planner process, seen from the service: start it, call it, kill it."""

from __future__ import annotations

import multiprocessing
import pickle
import weakref
from multiprocessing import connection, process
from typing import Any

from . import worker

_CAN_COPY = "forkserver" in multiprocessing.get_all_start_methods()
_CONTEXT = multiprocessing.get_context("forkserver") if _CAN_COPY else multiprocessing.get_context("spawn")
if _CAN_COPY:  # a new process is a copy of one that has loaded everything: 0.1 s instead of 1 s
    _CONTEXT.set_forkserver_preload([worker.__name__])
_ATTEMPTS = 2
PROCESS_DIED = "ProcessDied"
"""The kind of failure of a job whose process died at every attempt."""


class Planner:
    """A process that answers one call at a time and is replaced when it dies. Used by one thread at a time."""

    def __init__(self) -> None:
        self._process: process.BaseProcess | None = None
        self._pipe: connection.Connection | None = None
        self._unwanted = False
        self.subjects: list[object] = []
        """What it has worked on, the latest first."""

    @property
    def pid(self) -> int | None:
        """The process id, None before the start."""
        return self._process.pid if self._process else None

    def start(self) -> None:
        """Start the process, or a new one if it has died, and wait until it is warm."""
        if self._process is not None and self._process.is_alive() and not self._unwanted:
            return
        self.close()
        self._unwanted = False
        self._pipe, theirs = _CONTEXT.Pipe()
        self._process = _CONTEXT.Process(target=worker.serve, args=(theirs,), name="planner", daemon=True)
        self._process.start()
        theirs.close()
        self._end = weakref.finalize(self, _end, self._process, self._pipe)
        self._pipe.recv_bytes()

    def call(self, job: bytes) -> tuple[str, Any]:
        """Return the outcome of a job. A process that dies is replaced and the job is done once more.

        Raises:
            EOFError: the process was killed by `kill`.
        """
        for _ in range(_ATTEMPTS):
            try:
                self.start()
                assert self._pipe is not None
                self._pipe.send_bytes(job)
                outcome: tuple[str, Any] = pickle.loads(self._pipe.recv_bytes())
                return outcome
            except (EOFError, OSError):
                if self._unwanted:
                    raise EOFError from None
                self.close()
        return "failure", (PROCESS_DIED, "")

    def kill(self) -> None:
        """End the process at once, from any thread; a call in progress ends with EOFError."""
        self._unwanted = True
        if self._process is not None:
            self._process.kill()

    def close(self) -> None:
        """End the process and wait for its end."""
        if self._process is not None:
            self._end()
            self._process = self._pipe = None


def _end(planner: process.BaseProcess, pipe: connection.Connection) -> None:
    planner.kill()
    planner.join()
    pipe.close()
