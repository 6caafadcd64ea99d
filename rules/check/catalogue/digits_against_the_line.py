"""Printed digits that go against the line of the notes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.marks.hand_of_digits import digit_runs, slips
from rules.plan.plan import Plan

WHY = """In one position the higher note of a string lies under the higher finger. Two digits that were exchanged,
or one that slipped, send the hand away and back for nothing: the hand that the digits around them describe has these
notes under other fingers."""


@dataclass(frozen=True, slots=True)
class Options:
    """How sure a slip has to be."""

    spared: Annotated[float, "shifts that another digit has to spare the hand, among notes with digits"] = 0.98
    apart: Annotated[float, "the same where notes without digits lie between"] = 1.8


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report exchanged digits and single slips."""
    for run in digit_runs(plan.passage):
        for slip in slips(run, options.spared, options.apart):
            digits = [run.digits[number] for number in slip.numbers]
            first, last = digits[0], digits[-1]
            if slip.string:
                yield RULE.found("string", plan, first.event, pitch=first.pitch.name, number=first.strings[0])
            elif len(digits) > 1:
                facts = {"one": first.finger, "other": last.finger}
                yield RULE.found("swapped", plan, first.event, last.event, **facts)
            else:
                facts = {"finger": first.finger, "meant": slip.meant}
                yield RULE.found("slipped", plan, first.event, pitch=first.pitch.name, **facts)


RULE = Rule(
    id="digits-against-the-line",
    title="Printed digits go against the line of the notes",
    rationale=WHY,
    scope=Scope.PRINTED,
    options=Options(),
    check=check,
    outcomes={
        "swapped": Outcome(
            "fingers $one and $other look exchanged: the other way round the hand stays",
            Severity.WARNING,
            Concern.PRINT,
        ),
        "string": Outcome(
            "string $number on $pitch calls the hand away and back; on another string it stays",
            Severity.WARNING,
            Concern.PRINT,
        ),
        "slipped": Outcome(
            "finger $finger on $pitch calls the hand away and back; under finger $meant it stays",
            Severity.WARNING,
            Concern.PRINT,
        ),
    },
)
