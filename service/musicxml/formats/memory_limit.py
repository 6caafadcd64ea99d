"""A bound on the memory that foreign code may take, where the system has one (`RLIMIT_AS`)."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

try:
    import resource
except ImportError:  # Windows has no such limit
    resource = None  # type: ignore[assignment]

_STATM = Path("/proc/self/statm")


@contextmanager
def bounded_memory(more: int) -> Iterator[None]:
    """Let this process take at most so many bytes more than it has; beyond, it gets a MemoryError.

    The bound holds for all threads of the process. Without `/proc` there is none.
    """
    if resource is None or not _STATM.exists():
        yield
        return
    has = int(_STATM.read_text().split()[0]) * os.sysconf("SC_PAGE_SIZE")
    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    most = [each for each in (has + more, soft, hard) if each != resource.RLIM_INFINITY]
    resource.setrlimit(resource.RLIMIT_AS, (min(most), hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))
