"""Every job of the service, done in a planner process as the service does it: no failure, no death, within the time."""

from __future__ import annotations

import json
import pickle
import threading
from collections.abc import Callable, Sequence
from typing import Any

import psutil

from service import errors
from service.config.file_limits import DEFAULT_LIMITS
from service.config.options import Options
from service.config.sheet_options import SheetFormat, read_sheet_options
from service.drawing.engraving import Layout
from service.errors import ScoreError
from service.usecases.practice import render_practice
from service.web import page_data
from service.workers import jobs
from service.workers.planner import PROCESS_DIED, Planner
from tests.soak.laws import refusal

SECONDS = 20.0
"""CPU time for one job; a request may take 60 seconds, and the scores here are small."""
_HANGS = 300.0
"""Seconds after which a job is killed, however busy the machine is."""
_ENGRAVING = (page_data.drawn, page_data.compared)


class PlannerJobs:
    """A planner process, and the longest that it took for a job so far."""

    def __init__(self) -> None:
        self.slowest = (0.0, "")
        self._planner = Planner()
        self._jobs: Sequence[Callable[[bytes, Options], str]] = (
            self._review, self._view, self._sheet, self._comparison, self._page, self._report, self._opened,
        )  # fmt: skip

    def close(self) -> None:
        """End the process."""
        self._planner.close()

    def check(self, number: int, data: bytes, options: Options) -> str:
        """Do one of the jobs; return its name and whether it was done or why it was refused.

        Raises:
            AssertionError: it failed, its process died, or it took too long.
        """
        job = self._jobs[number % len(self._jobs)]
        try:
            return f"{job.__name__.strip('_')}: {job(data, options)}"
        except ScoreError as error:
            return f"{job.__name__.strip('_')}: {refusal(error)}"

    def _call(self, function: Callable[..., Any], *arguments: Any) -> Any:
        self._planner.start()
        timer = threading.Timer(_HANGS, self._planner.kill)
        timer.start()
        before = self._cpu_seconds()
        try:
            outcome, content = self._planner.call(pickle.dumps((function, arguments), protocol=5))
        except EOFError:
            raise AssertionError(f"{function.__name__} took longer than {_HANGS:g} seconds") from None
        finally:
            timer.cancel()
        took = self._cpu_seconds() - before  # below 0 if another process took over
        self.slowest = max(self.slowest, (round(took, 2), function.__name__))
        assert took < SECONDS, f"{function.__name__} took {took:.0f} seconds"
        if outcome == "refusal":
            raise content
        if function in _ENGRAVING and outcome == "failure" and content[0] == PROCESS_DIED:
            raise errors.not_drawn()  # as the service answers
        assert outcome == "answer", f"{function.__name__}: {content}"
        return content

    def _cpu_seconds(self) -> float:
        """CPU time of the planner process; 0 if it has died."""
        if self._planner.pid is None:
            return 0.0
        times = psutil.Process(self._planner.pid).cpu_times()
        return times.user + times.system

    def _opened(self, data: bytes, options: Options) -> str:
        self._call(page_data.opened, data, "score.musicxml", options, DEFAULT_LIMITS)
        return "done"

    def _review(self, data: bytes, options: Options) -> str:
        self._call(jobs.reviewed, data, options, DEFAULT_LIMITS)
        return "done"

    def _report(self, data: bytes, options: Options) -> str:
        self._call(page_data.reported, data, options, "score", DEFAULT_LIMITS)
        return "done"

    def _view(self, data: bytes, options: Options) -> str:
        begun = self._call(page_data.begun_music, data, options, DEFAULT_LIMITS, False)
        scores, added = self._call(page_data.marked_music, data, options, DEFAULT_LIMITS, False)
        assert begun.scores == scores[: len(begun.scores)], "the first piece is not that of the whole"
        self._call(page_data.plan_text, data, options, DEFAULT_LIMITS, added)
        self._call(page_data.reviewed, data, options, DEFAULT_LIMITS)
        self._call(page_data.choices, data, options, 0, DEFAULT_LIMITS)
        for number, score in enumerate(scores, start=1):
            self._call(page_data.drawn, score, Layout(), number)
        return "done"

    def _comparison(self, data: bytes, options: Options) -> str:
        plan = self._call(page_data.plan_text, data, options, DEFAULT_LIMITS, ())
        bars: list[str] = json.loads(plan)["bars"]
        if not bars:
            return "no bar"
        self._call(page_data.compared, data, options, (bars[0], bars[-1]), Layout(), DEFAULT_LIMITS)
        return "done"

    def _sheet(self, data: bytes, options: Options) -> str:
        return self._practice(data, options, SheetFormat.MUSICXML)

    def _page(self, data: bytes, options: Options) -> str:
        return self._practice(data, options, SheetFormat.PAGE)

    def _practice(self, data: bytes, options: Options, form: SheetFormat) -> str:
        wanted = read_sheet_options({"most": ["2"], "format": [form.value]})
        self._call(render_practice, data, options, wanted, DEFAULT_LIMITS)
        return "done"
