"""What runs in a planner process: warm up, then answer calls until the service ends."""

from __future__ import annotations

import logging
import os
import pickle
import signal
import threading
import traceback
from collections.abc import Callable
from multiprocessing import connection, parent_process
from pathlib import Path
from typing import Any

from ..config.garbage_collection import collect_less_often
from ..config.options import Options
from ..errors import ScoreError
from ..reports.wire.review_data import review_data
from ..usecases.annotate import annotate

_NOTE = "<note><pitch><step>{}</step><octave>5</octave></pitch><duration>1</duration><voice>1</voice></note>"
FIRST_SCORE = (
    "<score-partwise version='4.0'><part-list><score-part id='P1'><part-name>Violin</part-name></score-part>"
    "</part-list>"
    "<part id='P1'><measure number='1'><attributes><divisions>1</divisions></attributes>"
    f"{''.join(map(_NOTE.format, 'CDEFGABC'))}</measure></part></score-partwise>"
).encode()


def call(function: Callable[..., Any], arguments: tuple[Any, ...]) -> tuple[str, Any]:
    """Call a function; return "answer" and its value, "refusal" and the error, or "failure" and its kind and origin."""
    try:
        return "answer", function(*arguments)
    except ScoreError as error:
        return "refusal", error
    except Exception as error:
        return "failure", (type(error).__name__, origin(error))


def origin(error: BaseException) -> str:
    """Return where an exception was raised, innermost frames first: file, line and function, without its text."""
    frames = reversed(traceback.extract_tb(error.__traceback__)[-6:])
    return " < ".join(f"{Path(frame.filename).name}:{frame.lineno} {frame.name}" for frame in frames)


def when_parent_ends(action: Callable[[], object]) -> None:
    """Start a thread that calls `action` as soon as the parent process has ended."""
    parent = parent_process()
    if parent is None:
        return

    def wait() -> None:
        connection.wait([parent.sentinel])
        action()

    threading.Thread(target=wait, name="parent-watch", daemon=True).start()


def serve(calls: connection.Connection) -> None:
    """Answer the calls that come through the pipe until it closes."""
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):  # a signal to the whole group must not end work in progress
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), signal.SIG_IGN)
    when_parent_ends(lambda: os._exit(1))
    collect_less_often()
    logging.getLogger().addHandler(logging.NullHandler())  # what libraries say may quote a score
    os.dup2(2, 1)  # whatever a library prints belongs in the log
    review_data(annotate(FIRST_SCORE, Options()).parts)
    try:
        calls.send_bytes(b"ready")
        while True:
            function, arguments = pickle.loads(calls.recv_bytes())
            calls.send_bytes(pickle.dumps(call(function, arguments), protocol=5))
    except (EOFError, OSError):
        return
