"""Remembers Ctrl-C: the KeyboardInterrupt may become another error on its way.

Python 3.11 raises RuntimeError for whatever ends `__set_name__`, which runs for every member of an enumeration while a
module loads, and a C extension may say that it cannot be imported.
"""

from __future__ import annotations

import signal
from types import FrameType

_received: list[int] = []


def remember_interrupts() -> None:
    """Remember Ctrl-C from now on, unless the program was started with it ignored; it is raised as before."""
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, _interrupted)


def was_interrupted() -> bool:
    """Return whether somebody has pressed Ctrl-C."""
    return bool(_received)


def _interrupted(number: int, frame: FrameType | None) -> None:
    _received.append(number)
    signal.default_int_handler(number, frame)
