"""A note below the lowest open string."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.plan.plan import Plan

WHY = """Nothing sounds below the lowest open string unless the part asks for another tuning. Such a note
comes from a slip in the score or from a part written for another instrument."""


@dataclass(frozen=True, slots=True)
class Options:
    """This rule has no options."""


def check(plan: Plan, _options: Options) -> Iterator[Finding]:
    """Report every note below the instrument."""
    lowest = plan.passage.instrument.lowest
    for index, event in enumerate(plan.passage.events):
        for note in event.notes:
            if note.pitch.midi < lowest.midi:
                yield RULE.found("below", plan, index, pitch=note.pitch.name, lowest=lowest.name)


RULE = Rule(
    id="note-below-compass",
    title="A note lies below the instrument",
    rationale=WHY,
    scope=Scope.PROPOSED,
    options=Options(),
    check=check,
    outcomes={"below": Outcome("$pitch lies below the open $lowest", Severity.ERROR, Concern.PRINT)},
)
