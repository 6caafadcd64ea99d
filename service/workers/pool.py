"""A bounded pool of warm planner processes: work leaves the event loop, and a deadline really ends it."""

from __future__ import annotations

import asyncio
import pickle
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any, ParamSpec, TypeVar

from .planner import Planner

P = ParamSpec("P")
T = TypeVar("T")
_GRACE = 0.25
"""Seconds that unwanted work may go on: short work ends by itself, which is cheaper than a new process."""


SUBJECTS_KEPT = 16
"""Of the subjects that a process has worked on, so many are known."""


class BusyError(Exception):
    """The queue is full, or no process became free in time."""


class TooSlowError(Exception):
    """The work took longer than allowed and was stopped."""


@dataclass
class WorkFailedError(Exception):
    """The work ended in a fault of ours; `kind` names the exception, `place` where it was raised, without its text."""

    kind: str
    place: str


class Pool:
    """`size` processes work and up to `queue` calls wait; a call waits and works at most `seconds` each."""

    def __init__(self, size: int, queue: int, seconds: float) -> None:
        self.size, self.queue, self.seconds = size, queue, seconds
        self._planners = [Planner() for _ in range(size)]
        self._pending = 0

    @property
    def working(self) -> int:
        """Calls at work now."""
        return min(self._pending, self.size)

    @property
    def waiting(self) -> int:
        """Calls that wait for a process."""
        return max(self._pending - self.size, 0)

    @property
    def process_ids(self) -> list[int]:
        """The ids of the running processes."""
        return [planner.pid for planner in self._planners if planner.pid is not None]

    async def start(self) -> None:
        """Start every process and wait until all are warm."""
        self._threads = ThreadPoolExecutor(self.size, thread_name_prefix="planner")
        self._free: list[Planner] = []
        self._count = asyncio.Semaphore(0)
        self._releases: set[asyncio.Task[None]] = set()
        await asyncio.gather(*(self._in_thread(planner.start) for planner in self._planners))
        for planner in self._planners:
            self._let_in(planner)

    async def close(self) -> None:
        """Let running work finish, then end every process."""
        for _ in self._planners:
            await self._count.acquire()
        self._threads.shutdown()
        for planner in self._planners:
            planner.close()

    async def run(self, function: Callable[P, T], *arguments: P.args, **named: P.kwargs) -> T:
        """Return what the function returns for the arguments, called in one of the processes.

        Cancelling the caller stops the work.

        Raises:
            ScoreError: the function raised it.
            BusyError: the queue is full, or no process became free in time.
            TooSlowError: the work took too long; it was stopped.
            WorkFailedError: any other exception of the function, or its process died twice.
        """
        return await self.run_near(None, function, *arguments, **named)

    async def run_near(self, subject: object, function: Callable[P, T], *arguments: P.args, **_: P.kwargs) -> T:
        """Do the same as `run`, in the process that last worked on the subject, if it is free: it remembers."""
        if self._pending >= self.size + self.queue:
            raise BusyError
        job = pickle.dumps((function, arguments), protocol=5)
        self._pending += 1
        try:
            async with asyncio.timeout(self.seconds):
                await self._count.acquire()
        except TimeoutError:
            self._pending -= 1
            raise BusyError from None
        except BaseException:
            self._pending -= 1
            raise
        outcome, content = await self._work(self._nearest(subject), job)
        if outcome == "refusal":
            raise content
        if outcome == "failure":
            raise WorkFailedError(*content)
        return content  # type: ignore[no-any-return]

    async def _work(self, planner: Planner, job: bytes) -> tuple[str, Any]:
        call = self._in_thread(planner.call, job)
        try:
            async with asyncio.timeout(self.seconds):
                return await asyncio.shield(call)
        except TimeoutError:
            planner.kill()
            raise TooSlowError from None
        finally:
            if call.done():
                self._set_free(planner)
            else:
                release = asyncio.create_task(self._stop(planner, call))
                self._releases.add(release)
                release.add_done_callback(self._releases.discard)

    async def _stop(self, planner: Planner, call: asyncio.Future[tuple[str, Any]]) -> None:
        """Stop work that is unwanted; then the process, or a new one, is free."""
        await asyncio.wait({call}, timeout=_GRACE)
        if not call.done():
            planner.kill()
            await asyncio.wait({call})
        call.exception()
        await asyncio.wait({self._in_thread(planner.start)})
        self._set_free(planner)

    def _nearest(self, subject: object) -> Planner:
        """The free process that knows the subject; else the one that has been free for longest."""
        place = next((n for n, one in enumerate(self._free) if subject is not None and subject in one.subjects), 0)
        planner = self._free.pop(place)
        if subject is not None:
            planner.subjects = [subject, *(other for other in planner.subjects if other != subject)][:SUBJECTS_KEPT]
        return planner

    def _set_free(self, planner: Planner) -> None:
        self._pending -= 1
        self._let_in(planner)

    def _let_in(self, planner: Planner) -> None:
        self._free.append(planner)
        self._count.release()

    def _in_thread(self, function: Callable[P, T], *arguments: P.args, **_: P.kwargs) -> asyncio.Future[T]:
        return asyncio.get_running_loop().run_in_executor(self._threads, function, *arguments)
