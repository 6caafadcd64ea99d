"""What one decision on the page costs, warm, against lxml: `python -m tests.benchmarks.decisions` prints the figures.

Processor time of the functions that the page's addresses call, in one process. The score has 2,000 notes; each decision
is one more note with a finger of the player's, and the median of eleven is told.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from typing import NamedTuple

from service.config.file_limits import DEFAULT_LIMITS
from service.config.garbage_collection import collect_less_often
from service.config.options import Options, read_options
from service.drawing.engraving import Layout
from service.reports.wire.review_data import review_json
from service.usecases.annotate import annotate, review_score
from service.usecases.kept_scores import KeptScores
from service.web import page_data
from tests.benchmarks.ratios import SOLO, lxml_round
from tests.benchmarks.scores import joined

_DECISIONS = 11


def spent(action: Callable[[], object]) -> float:
    """Return the processor seconds that an action takes."""
    start = time.process_time()
    action()
    return time.process_time() - start


def _options(level: str, decisions: int) -> Options:
    pins = [f"n{100 + 150 * number}:finger={1 + number % 4}" for number in range(decisions)]
    return read_options({"level": [level], "pin": pins})


class Figure(NamedTuple):
    """What something costs: in milliseconds, and in times of lxml's parse and serialise."""

    name: str
    milliseconds: float
    ratio: float

    def __str__(self) -> str:
        return f"{self.ratio:.1f} ({self.milliseconds:.0f} ms)"


def figures(level: str) -> list[Figure]:
    """Return what was measured at a level."""
    data, plain, kept = joined(SOLO, 2000), _options(level, 0), KeptScores()
    reference = [spent(lambda: lxml_round(data)) for _ in range(9)]
    once = [spent(lambda: annotate(data, plain)) for _ in range(5)]
    reviewed = [spent(lambda: review_json(review_score(data, plain))) for _ in range(2)]

    def plan(options: Options) -> None:
        _ = kept.score(data, options, DEFAULT_LIMITS).part(options).review(options).review.planned.proposals

    def answer(options: Options, music: list[page_data.MarkedMusic]) -> None:
        music.append(page_data.marked_music(data, options, DEFAULT_LIMITS, False))
        page_data.plan_text(data, options, DEFAULT_LIMITS, music[-1].added)

    def draw(scores: list[str]) -> None:
        for number, score in enumerate(scores):
            page_data.drawn(score, Layout(), number + 1)

    times: dict[str, list[float]] = {"planned": [], "the answer": [], "drawn": [], "reviewed": []}
    for number in range(_DECISIONS + 1):
        options, views = _options(level, number), list[page_data.MarkedMusic]()
        times["planned"].append(spent(lambda options=options: plan(options)))  # type: ignore[misc]
        times["the answer"].append(
            spent(lambda options=options, views=views: answer(options, views))  # type: ignore[misc]
        )
        times["drawn"].append(spent(lambda views=views: draw(views[0].scores)))  # type: ignore[misc]
        times["reviewed"].append(
            spent(lambda options=options: page_data.reviewed(data, options, DEFAULT_LIMITS))  # type: ignore[misc]
        )
        reference += [spent(lambda: lxml_round(data)) for _ in range(3)]
    lxml = statistics.median(reference)
    found = [("annotate", statistics.median(once)), ("review", statistics.median(reviewed))]
    for name, each in times.items():
        found += [(f"{name}, first", each[0]), (f"{name}, a decision", statistics.median(each[1:]))]
    return [Figure(name, 1000 * seconds, seconds / lxml) for name, seconds in found]


def table() -> str:
    """Measure and return the table as Markdown."""
    collect_less_often()
    columns = {level: figures(level) for level in ("first-and-third", "all")}
    rows = zip(*columns.values(), strict=True)
    lines = ["| times lxml's parse and serialise | " + " | ".join(columns) + " |", "|---" * (len(columns) + 1) + "|"]
    lines += [f"| {row[0].name} | " + " | ".join(map(str, row)) + " |" for row in rows]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    sys.stdout.write(table())
