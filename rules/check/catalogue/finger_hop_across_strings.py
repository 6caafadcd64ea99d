"""One finger that has to jump to another string."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Finding, Outcome, Rule, Scope, Severity
from rules.plan.counted_figures import hops
from rules.plan.plan import Plan

WHY = """A finger that takes two notes in a row on different strings, other than a fifth, has to be lifted and
set anew: the sound breaks between the notes, within a slur audibly. Another finger or string keeps both notes
under the hand."""


@dataclass(frozen=True, slots=True)
class Options:
    """What counts."""

    slowest: Annotated[float, "seconds; a hop after a longer note is left alone, unless it is slurred"] = 0.6


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report every hop that is quick or slurred."""
    for index in range(1, len(plan.passage.events)):
        slurred = plan.event(index).slurred
        if (slurred or plan.event(index - 1).seconds <= options.slowest) and hops(plan, index):
            before, now = plan.grip(index - 1), plan.grip(index)
            fingers = {stop.finger for stop in before.stops if stop.finger} if before else set()
            finger = next(stop.finger for stop in now.stops if stop.finger in fingers) if now else 0
            yield RULE.found("slurred" if slurred else "hop", plan, index - 1, index, finger=finger)


RULE = Rule(
    id="finger-hop-across-strings",
    title="A finger hops to another string",
    rationale=WHY,
    scope=Scope.BOTH,
    options=Options(),
    check=check,
    outcomes={
        "hop": Outcome("finger $finger hops to another string", Severity.NOTE),
        "slurred": Outcome("finger $finger hops to another string within a slur", Severity.WARNING),
    },
)
