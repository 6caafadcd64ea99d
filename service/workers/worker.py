"""What a planner process does: load everything, use it once, then answer calls until nobody is left to ask.

Calls come in over standard input and answers go out over what was standard output, each as a length and a pickle;
both ends are ours. The process is started by `pool`; it has no other door.
"""

from __future__ import annotations

import os
import pickle
import signal
import struct
import sys
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import IO, Any

from ..errors import ScoreError

_LENGTH = struct.Struct("<Q")
_NOTE = "<note><pitch><step>{}</step><octave>5</octave></pitch><duration>1</duration><voice>1</voice></note>"
FIRST_SCORE = (
    "<score-partwise version='4.0'><part-list><score-part id='P1'><part-name>Violin</part-name></score-part>"
    "</part-list>"
    "<part id='P1'><measure number='1'><attributes><divisions>1</divisions></attributes>"
    f"{''.join(map(_NOTE.format, 'CDEFGABC'))}</measure></part></score-partwise>"
).encode()


def write_message(stream: IO[bytes], content: bytes) -> None:
    """Write one message."""
    stream.write(_LENGTH.pack(len(content)))
    stream.write(content)
    stream.flush()


def read_message(stream: IO[bytes]) -> bytes:
    """Return the next message.

    Raises:
        EOFError: the other end is gone.
    """
    head = stream.read(_LENGTH.size)
    if len(head) < _LENGTH.size:
        raise EOFError
    (length,) = _LENGTH.unpack(head)
    content = stream.read(length)
    if len(content) < length:
        raise EOFError
    return content


def called(function: Callable[..., Any], arguments: tuple[Any, ...]) -> tuple[str, Any]:
    """Return what became of a call: "answer" and its value, "refusal" and the error, "failure" and where it was."""
    try:
        return "answer", function(*arguments)
    except ScoreError as error:
        return "refusal", error
    except Exception as error:
        return "failure", (type(error).__name__, origin(error))


def origin(error: BaseException) -> str:
    """Return where an exception was raised, innermost frames first: file, line and function, and no text of it."""
    frames = reversed(traceback.extract_tb(error.__traceback__)[-6:])
    return " < ".join(f"{Path(frame.filename).name}:{frame.lineno} {frame.name}" for frame in frames)


def main() -> None:
    """Serve until the pipe ends. A signal to the whole group must not end work that is still wanted."""
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), signal.SIG_IGN)
    calls = sys.stdin.buffer
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # whatever prints, prints to the log and not between our messages
    from ..config.options import Options
    from ..reports.wire.review_data import review_data
    from ..usecases.annotate import annotate

    review_data(annotate(FIRST_SCORE, Options()).parts)
    try:
        write_message(answers, b"")
        while True:
            function, arguments = pickle.loads(read_message(calls))
            write_message(answers, pickle.dumps(called(function, arguments), protocol=5))
    except (EOFError, BrokenPipeError):
        return


if __name__ == "__main__":
    main()
