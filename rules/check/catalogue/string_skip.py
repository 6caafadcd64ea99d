"""A leap of the bow over a string that is not played."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Finding, Outcome, Rule, Scope, Severity
from rules.plan.counted_figures import crossing_at
from rules.plan.plan import Plan

WHY = """Between strings that are not neighbours the bow has to leave the string or brush the one between; at
speed or in one bow it is heard."""


@dataclass(frozen=True, slots=True)
class Options:
    """What counts."""

    slowest: Annotated[float, "seconds; a skip after a longer note is left alone"] = 1.0


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report every skip."""
    for index in range(1, len(plan.passage.events)):
        size = crossing_at(plan, index)
        if size > 1 and plan.event(index - 1).seconds <= options.slowest:
            outcome = "slurred" if plan.event(index).slurred else "skip"
            yield RULE.found(outcome, plan, index - 1, index, between=size - 1)


RULE = Rule(
    id="string-skip",
    title="The bow skips over a string",
    rationale=WHY,
    scope=Scope.BOTH,
    options=Options(),
    check=check,
    outcomes={
        "skip": Outcome("the bow passes over $between string(s)", Severity.NOTE),
        "slurred": Outcome("the bow passes over $between string(s) within a slur", Severity.WARNING),
    },
)
