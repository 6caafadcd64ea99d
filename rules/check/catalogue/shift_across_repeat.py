"""A shift that only the repeat makes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Finding, Outcome, Rule, Scope, Severity
from rules.plan.plan import Plan

WHY = """Read straight through, the fingering is sound; played with the repeat, the hand has to be somewhere
else at once. The eye is on the turn back at that moment, so the jump is missed in proof and in concert."""


@dataclass(frozen=True, slots=True)
class Options:
    """What counts."""

    seconds: Annotated[float, "a last note at least this long leaves time to move"] = 0.6


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report places that are reached from elsewhere with the hand in another position, and no time between."""
    for index, event in enumerate(plan.passage.events):
        if event.jump is None or event.jump == index - 1:
            continue
        left, reached = plan.grip(event.jump), plan.grip(index)
        if left is None or reached is None or left.is_open or reached.is_open or left.position == reached.position:
            continue
        last = plan.event(event.jump)
        measure = plan.passage.measures[last.measure]
        if last.seconds < options.seconds and last.onset + last.beats >= measure.onset + measure.beats:
            label = plan.passage.label(last)
            yield RULE.found("jump", plan, index, bar=label, start=left.position, goal=reached.position)


RULE = Rule(
    id="shift-across-repeat",
    title="A repeat makes the hand jump",
    rationale=WHY,
    scope=Scope.PROPOSED,
    options=Options(),
    check=check,
    outcomes={
        "jump": Outcome("coming from bar $bar the hand jumps from position $start to $goal", Severity.WARNING),
    },
)
