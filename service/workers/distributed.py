"""Checking a catalogue that one machine cannot hold, on an existing engine (dask.distributed; extra `scale`).

The work is a pure function of a job and a score's bytes (`check_file` in `service.usecases.checks.batch`), so any
engine can spread it. `check_scores` spreads it over the workers of a dask cluster: a bounded number of scores is
under way at a time, and results come in the order of the scores, so that every report reads as it would from one
machine. Workers need this package and nothing else. From the command line:
`handframe review --cluster tcp://scheduler:8786 FOLDER`.
"""

from __future__ import annotations

import ctypes
import threading
from collections import deque
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from ..errors import ScoreError, said
from ..usecases.checks.batch import Job, check_file, too_slow, unreadable
from ..usecases.checks.check import CheckedFile
from ..usecases.checks.killable_processes import DEFAULT_SECONDS

if TYPE_CHECKING:
    from distributed import Client

_A_WORKER = 4  # scores under way for each core of the cluster: enough to keep it busy, few enough to hold


class _TimeIsOver(BaseException):
    """Raised in a thread whose score has taken too long."""


def check(job: Job, name: str, data: bytes | None, seconds: float) -> CheckedFile:
    """Return the result for one score; `data` of None is a score that could not be read. Given up after `seconds`."""
    if data is None:
        return unreadable(job, name)
    try:
        with _limited(seconds):
            return check_file(job, name, data)
    except _TimeIsOver:
        return too_slow(job, name, seconds)


@contextmanager
def _limited(seconds: float) -> Iterator[None]:
    """Break off what this thread does after some seconds, at its next step in Python.

    Workers run tasks in threads, where there are no signals, and may not start processes of their own.
    """
    thread = ctypes.c_ulong(threading.get_ident())
    over = ctypes.py_object(_TimeIsOver)
    timer = threading.Timer(seconds, ctypes.pythonapi.PyThreadState_SetAsyncExc, (thread, over))
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()


def check_scores(
    client: Client, job: Job, scores: Iterable[tuple[str, bytes | None]], seconds: float = DEFAULT_SECONDS
) -> Iterator[CheckedFile]:
    """Yield the result for each score, by name and bytes, in their order.

    `scores` is read only as fast as results come, so a catalogue need never be in one place.
    """
    room = _A_WORKER * max(1, sum(client.nthreads().values()))
    [everywhere] = client.scatter([job], broadcast=True)
    under_way: deque[object] = deque()
    for name, data in scores:
        under_way.append(client.submit(check, everywhere, name, data, seconds, pure=False))
        if len(under_way) >= room:
            yield _finished(under_way.popleft())
    while under_way:
        yield _finished(under_way.popleft())


def _finished(future: object) -> CheckedFile:
    result: CheckedFile = future.result()  # type: ignore[attr-defined]
    future.release()  # type: ignore[attr-defined]
    return result


def connected(address: str) -> Client:
    """Return a client of the cluster at an address.

    Raises:
        ScoreError: `no-cluster`, if the engine is not installed or nobody answers there.
    """
    try:
        from distributed import Client

        return Client(address, timeout="10s", set_as_default=False)
    except ImportError:
        advice = said("Install it: {command}.", command="pip install 'handframe[scale]'")
        raise ScoreError("no-cluster", said("dask.distributed is not installed."), advice, None, 400) from None
    except (OSError, ValueError) as error:
        message = said("No scheduler answers at {address}: {reason}.", address=address, reason=str(error))
        raise ScoreError(
            "no-cluster", message, said("Start one: {command}.", command="dask scheduler"), None, 400
        ) from None


__all__ = ["check", "check_scores", "connected"]
