"""More fingers than anyone can read, or fewer than the house prints."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.plan.plan import Plan

WHY = """A finger on every note is hard to read at speed and hides the few that matter (timtfj.com, "How not
to write violin fingering", 2010). A teaching edition without any leaves the beginner alone. How many are
right is the house's choice."""


@dataclass(frozen=True, slots=True)
class Options:
    """What is too many and too few."""

    bars: Annotated[int, "bars counted together"] = 8
    fewest_notes: Annotated[int, "bars with fewer notes than this say nothing"] = 16
    most: Annotated[float, "share of notes with a finger above which there are too many"] = 0.75
    least: Annotated[float, "share of notes with a finger below which there are too few"] = 0.0


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report runs of neighbouring groups of bars of the same kind as one finding each."""
    run: tuple[str, int, int, int, int] | None = None
    for first, last, notes, fingered in _groups_of_bars(plan, max(options.bars, 1)):
        share = fingered / notes
        outcome = "too-many" if share > options.most else "too-few" if share < options.least else None
        if notes < options.fewest_notes:
            outcome = None
        if run is not None and outcome == run[0]:
            run = (run[0], run[1], last, run[3] + notes, run[4] + fingered)
            continue
        if run is not None:
            yield _found(plan, run)
        run = None if outcome is None else (outcome, first, last, notes, fingered)
    if run is not None:
        yield _found(plan, run)


def _groups_of_bars(plan: Plan, bars: int) -> Iterator[tuple[int, int, int, int]]:
    """Yield first and last event, notes and fingered notes of every so many bars."""
    events = plan.passage.events
    first = 0
    while first < len(events):
        block = events[first].measure // bars
        last, notes, fingered = first, 0, 0
        while last < len(events) and events[last].measure // bars == block:
            notes += len(events[last].notes)
            fingered += sum(1 for note in events[last].notes if note.printed.fingers)
            last += 1
        if notes:
            yield first, last - 1, notes, fingered
        first = last


def _found(plan: Plan, run: tuple[str, int, int, int, int]) -> Finding:
    outcome, first, last, notes, fingered = run
    return RULE.found(outcome, plan, first, last, fingered=fingered, notes_in_run=notes)


RULE = Rule(
    id="fingering-density",
    title="Too many or too few fingers are printed",
    rationale=WHY,
    scope=Scope.PRINTED,
    options=Options(),
    check=check,
    outcomes={
        "too-many": Outcome("$fingered of $notes_in_run notes carry a finger", Severity.NOTE, Concern.LEVEL),
        "too-few": Outcome("only $fingered of $notes_in_run notes carry a finger", Severity.NOTE, Concern.LEVEL),
    },
)
