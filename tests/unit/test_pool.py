"""The planner processes: what they return, what ends them, and that another takes their place."""

from __future__ import annotations

import asyncio
import os
import signal
import time
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager

import pytest

from service import errors
from service.workers.pool import BusyError, Pool, TooSlowError, WorkFailedError


@asynccontextmanager
async def _pool(size: int = 1, queue: int = 4, seconds: float = 30) -> AsyncIterator[Pool]:
    pool = Pool(size, queue, seconds)
    await pool.start()
    try:
        yield pool
    finally:
        await pool.close()


def _run(test: Callable[[], Awaitable[None]]) -> None:
    async def bounded() -> None:
        async with asyncio.timeout(60):
            await test()

    asyncio.run(bounded())


def refuse(_: str) -> None:
    """A function of a module, for a planner process."""
    raise errors.empty()


def die_once(mark: str) -> int:
    """End the process, unless that was done before."""
    if not os.path.exists(mark):
        with open(mark, "w"):
            os._exit(3)
    return os.getpid()


def test_who_worked_on_a_subject_works_on_it_again() -> None:
    async def test() -> None:
        async with _pool(size=3) as pool:
            first = [await pool.run_near(subject, os.getpid) for subject in "abc"]
            assert len(set(first)) == 3
            assert [await pool.run_near(subject, os.getpid) for subject in "cab"] == [first[2], first[0], first[1]]
            busy = asyncio.create_task(pool.run_near("a", time.sleep, 1.0))
            await asyncio.sleep(0.2)
            assert await pool.run_near("a", os.getpid) != first[0]  # nobody waits for the one that knows it
            await busy

    _run(test)


def test_outcomes_cross_the_border() -> None:
    async def test() -> None:
        async with _pool() as pool:
            assert await pool.run(divmod, 7, 2) == (3, 1)
            with pytest.raises(errors.ScoreError, match="empty"):
                await pool.run(refuse, "")
            with pytest.raises(WorkFailedError) as failure:
                await pool.run(divmod, 1, 0)
            assert failure.value.kind == "ZeroDivisionError"
            assert (pool.working, pool.waiting) == (0, 0)

    _run(test)


def test_a_process_killed_while_idle_costs_nobody_an_answer() -> None:
    async def test() -> None:
        async with _pool() as pool:
            for _ in range(5):
                (before,) = pool.process_ids
                os.kill(before, signal.SIGKILL)
                assert await pool.run(os.getpid) != before

    _run(test)


def test_a_process_that_dies_at_work_is_given_the_work_once_more(tmp_path: object) -> None:
    async def test() -> None:
        async with _pool() as pool:
            assert await pool.run(die_once, f"{tmp_path}/mark") in pool.process_ids
            with pytest.raises(WorkFailedError) as failure:
                await pool.run(os._exit, 3)
            assert failure.value.kind == "ProcessDied"
            assert await pool.run(divmod, 7, 2) == (3, 1)

    _run(test)


def test_work_ends_at_the_deadline_and_its_process_with_it() -> None:
    async def test() -> None:
        async with _pool(seconds=0.3) as pool:
            (before,) = pool.process_ids
            with pytest.raises(TooSlowError):
                await pool.run(time.sleep, 30)
            pool.seconds = 30  # the new process may take its time on a busy machine
            assert await pool.run(os.getpid) != before

    _run(test)


def test_work_whose_caller_is_cancelled_ends_soon() -> None:
    async def test() -> None:
        async with _pool() as pool:
            (before,) = pool.process_ids
            call = asyncio.create_task(pool.run(time.sleep, 4))
            await asyncio.sleep(0.1)
            call.cancel()
            started = time.monotonic()
            assert await pool.run(os.getpid) != before
            assert time.monotonic() - started < 2
            short = asyncio.create_task(pool.run(time.sleep, 0.1))
            (kept,) = pool.process_ids
            await asyncio.sleep(0.05)
            short.cancel()
            assert await pool.run(os.getpid) == kept, "short work ends by itself, and its process stays warm"

    _run(test)


def test_a_cancelled_caller_in_the_queue_leaves_it() -> None:
    async def test() -> None:
        async with _pool() as pool:
            working = asyncio.create_task(pool.run(time.sleep, 0.5))
            await asyncio.sleep(0.05)
            waiting = asyncio.create_task(pool.run(time.sleep, 30))
            await asyncio.sleep(0.05)
            assert (pool.working, pool.waiting) == (1, 1)
            waiting.cancel()
            await asyncio.sleep(0)
            assert (pool.working, pool.waiting) == (1, 0)
            await working
            assert await pool.run(divmod, 7, 2) == (3, 1)

    _run(test)


def test_the_queue_is_bounded_in_length_and_time() -> None:
    async def test() -> None:
        async with _pool(queue=1, seconds=0.5) as pool:
            calls = [asyncio.create_task(pool.run(time.sleep, 0.4)) for _ in range(2)]
            await asyncio.sleep(0.05)
            with pytest.raises(BusyError):
                await pool.run(time.sleep, 0)
            await asyncio.gather(*calls)

    _run(test)
