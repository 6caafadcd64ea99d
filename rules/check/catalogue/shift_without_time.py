"""A shift for which the notes leave no time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Finding, Outcome, Rule, Scope, Severity
from rules.hand.level import ShiftKind
from rules.plan.plan import Plan

WHY = """The hand travels during the note before the arrival. Where that note is very short the travel eats
it, and the arrival comes late or out of tune; a rest, an open string or a longer note before the shift gives
the time (common practice)."""


@dataclass(frozen=True, slots=True)
class Options:
    """What counts as no time."""

    seconds: Annotated[float, "a note shorter than this leaves no time for a shift by one position"] = 0.11
    each: Annotated[float, "seconds more for every further position"] = 0.02


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report shifts that leave from a very short note."""
    for shift in plan.shifts:
        if shift.kind in (ShiftKind.REST, ShiftKind.OPEN_STRING):
            continue
        distance, seconds = abs(shift.goal - shift.start), plan.event(shift.departure).seconds
        if seconds < options.seconds + options.each * (distance - 1):
            yield RULE.found(
                "hurried",
                plan,
                shift.departure,
                shift.arrival,
                start=shift.start,
                goal=shift.goal,
                milliseconds=round(1000 * seconds),
            )


RULE = Rule(
    id="shift-without-time",
    title="A shift has no time",
    rationale=WHY,
    scope=Scope.PROPOSED,
    options=Options(),
    check=check,
    outcomes={
        "hurried": Outcome("$milliseconds ms to shift from position $start to $goal", Severity.WARNING),
    },
)
