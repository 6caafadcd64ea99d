"""A passage that changes strings again and again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Finding, Outcome, Rule, Scope, Severity
from rules.plan.counted_figures import crossing_at
from rules.plan.plan import Plan

WHY = """A run that switches between two strings note by note costs the bow arm its evenness; often it lies on
one string in another position (S. George, The Instrumentalist, October 2012, gives a run on D and A that lies
on the D string in third)."""


@dataclass(frozen=True, slots=True)
class Options:
    """What counts as heavy."""

    window: Annotated[int, "events looked at together"] = 8
    crossings: Annotated[int, "this many crossings in the window are heavy"] = 5
    slowest: Annotated[float, "seconds; crossings between longer notes do not count"] = 0.6


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report each run of overlapping windows that hold too many crossings."""
    quick = [
        int(crossing_at(plan, index) > 0 and plan.event(index - 1).seconds <= options.slowest)
        for index in range(len(plan.passage.events))
    ]
    heavy = [
        start
        for start in range(max(len(quick) - options.window + 1, 0))
        if sum(quick[start + 1 : start + options.window]) >= options.crossings
    ]
    for first, last in _runs(heavy, options.window):
        end = last + options.window - 1
        while not quick[end]:
            end -= 1
        crossings = sum(quick[first + 1 : end + 1])
        yield RULE.found("heavy", plan, first, end, crossings=crossings, notes_in_run=end - first + 1)


def _runs(starts: list[int], window: int) -> Iterator[tuple[int, int]]:
    """Yield first and last start of windows that overlap."""
    for index, start in enumerate(starts):
        if index == 0 or starts[index - 1] <= start - window:
            first = start
        if index == len(starts) - 1 or starts[index + 1] >= start + window:
            yield first, start


RULE = Rule(
    id="crossing-heavy-passage",
    title="A passage crosses strings again and again",
    rationale=WHY,
    scope=Scope.BOTH,
    options=Options(),
    check=check,
    outcomes={"heavy": Outcome("$crossings string crossings in $notes_in_run notes", Severity.NOTE)},
)
