"""Where the time goes, by stage: `python -m tests.benchmarks.stages` prints the table of the README.

A timer of CPU time interrupts the work about a thousand times a second. Each sample counts for the innermost package on
the stack that is a stage, with whatever it calls in libraries. So a busy machine changes the figures little.
"""

from __future__ import annotations

import signal
import sys
import time
from collections import Counter
from collections.abc import Callable
from types import FrameType

from service.config.options import read_options
from service.reports.wire.review_data import review_json
from service.usecases.annotate import annotate, review_score
from tests.benchmarks.ratios import SOLO
from tests.benchmarks.scores import joined

STAGES = {
    "open and parse": ("service.musicxml.file",),
    "read notes and marks": ("service.musicxml.read", "service.musicxml.notation", "rules.marks"),
    "candidates": ("rules.candidates", "rules.hand"),
    "costs": ("rules.cost",),
    "search": ("rules.search",),
    "plan, and what is printed": ("rules.plan",),
    "proposals and alternatives": ("rules.proposal",),
    "rules of the review": ("rules.check",),
    "splice and verify": ("service.musicxml.write",),
    "reports": ("service.reports", "service.messages"),
}
REST = "anything else"
_BY_PACKAGE = {package: stage for stage, packages in STAGES.items() for package in packages}
_STEP = 0.001  # seconds of CPU time between two samples
_LEAST_SECONDS = 4.0


def stage_of(frame: FrameType | None) -> str:
    """Return the stage of the innermost frame that belongs to one."""
    while frame is not None:
        package = ".".join(str(frame.f_globals.get("__name__", "")).split(".")[:3])
        for name in (package, package.rpartition(".")[0]):
            if name in _BY_PACKAGE:
                return _BY_PACKAGE[name]
        frame = frame.f_back
    return REST


def shares(work: Callable[[], object]) -> tuple[dict[str, float], float]:
    """Return the share of each stage in the CPU time of some work, and the seconds that one run takes."""
    samples: Counter[str] = Counter()
    work()  # warm
    before = signal.signal(signal.SIGPROF, lambda _, frame: samples.update([stage_of(frame)]))
    started, runs = time.process_time(), 0
    signal.setitimer(signal.ITIMER_PROF, _STEP, _STEP)
    try:
        while time.process_time() - started < _LEAST_SECONDS:
            work()
            runs += 1
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)
    return {stage: samples[stage] / samples.total() for stage in (*STAGES, REST)}, (
        time.process_time() - started
    ) / runs


def table() -> str:
    """Measure and return the table as Markdown."""
    score = joined(SOLO, 2000)
    notes = score.count(b"<note")
    columns = []
    for level in ("first-and-third", "all"):
        options = read_options({"level": [level]})
        columns.append((f"annotate, {level}", shares(lambda options=options: annotate(score, options))))
        columns.append((f"review, {level}", shares(lambda options=options: review_json(review_score(score, options)))))
    lines = [
        "| stage | " + " | ".join(name for name, _ in columns) + " |",
        "|---" * (len(columns) + 1) + "|",
        *(
            f"| {stage} | " + " | ".join(f"{found[stage]:.0%}" for _, (found, _) in columns) + " |"
            for stage in (*STAGES, REST)
        ),
        "| µs a note | " + " | ".join(f"{seconds / notes * 1e6:.0f}" for _, (_, seconds) in columns) + " |",
    ]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    sys.stdout.write(table())
