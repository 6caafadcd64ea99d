"""How long a player waits on the page: from the drop of a score to its first notes, and to the last card.

Wall time, and the processor time of the service with its planners, in a real chromium. `make bench` prints the table.
"""

from __future__ import annotations

import os
import time
from pathlib import Path

import psutil
import pytest

from tests.browser.conftest import Opener, address, browser, drop, long_part, open_page, try_sample  # noqa: F401

pytestmark = pytest.mark.benchmark
NOTES = {65: 0, 800: 375, 2_000: 940, 20_000: 9_400}
"""Bars of the waltz made longer, by the notes that they have, about; 0 for the waltz as it is."""
FIRST_NOTES = 1.0
"""Seconds until the first line of a part of 2,000 notes, on a machine that has nothing else to do."""


def test_first_notes_come_at_once(open_page: Opener, sample_scores: dict[str, Path]) -> None:  # noqa: F811
    waltz = sample_scores["ferry_waltz"].read_bytes()
    page = open_page().page
    page.set_default_timeout(120_000)
    try_sample(page, "First bench")  # the service is warm, as it is for everybody but its first caller
    first: dict[int, float] = {}
    print("\n notes  first notes (processor of the service)  all cards (processor of the service)")
    for notes, bars in NOTES.items():
        before = _processor_seconds()
        began = time.perf_counter()
        first[notes] = drop(page, f"{notes}.musicxml", long_part(waltz, bars) if bars else waltz)
        seen = _processor_seconds() - before
        page.wait_for_selector(".desk:not([aria-busy])")
        whole = time.perf_counter() - began
        done = _processor_seconds() - before
        print(f"{notes:6}  {first[notes]:9.2f} s ({seen:.2f} s)  {whole:7.2f} s ({done:.2f} s)")
    share = max(1.0, os.getloadavg()[0] / (os.cpu_count() or 1))
    assert first[2_000] < FIRST_NOTES * share


def _processor_seconds() -> float:
    """Of the service and its planners: the Python processes below this one."""
    found = 0.0
    for process in psutil.Process().children(recursive=True):
        try:
            if "python" in process.name():
                times = process.cpu_times()
                found += times.user + times.system
        except psutil.NoSuchProcess:
            continue
    return found
