"""A shift that the bow makes audible."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rules.check.rule import Finding, Outcome, Rule, Scope, Severity
from rules.hand.level import ShiftKind
from rules.marks.printed_marks import has_mark
from rules.plan.plan import Plan

WHY = """Within one bow the string goes on sounding while the hand travels, so the slide is heard. An editor
asks for it on purpose or avoids it (the National Centre for Early Music's advice on fingering: not under a
slur where it can be avoided)."""


@dataclass(frozen=True, slots=True)
class Options:
    """This rule has no options."""


def check(plan: Plan, _options: Options) -> Iterator[Finding]:
    """Report shifts within a slur; while an open string sounds nothing slides."""
    for shift in plan.shifts:
        if shift.slurred and shift.kind not in (ShiftKind.REST, ShiftKind.OPEN_STRING):
            pitch = plan.event(shift.arrival).notes[-1].pitch.name
            outcome = "asked" if has_mark(plan.event(shift.arrival)) else "slurred"
            yield RULE.found(
                outcome, plan, shift.departure, shift.arrival, start=shift.start, goal=shift.goal, pitch=pitch
            )


RULE = Rule(
    id="shift-under-slur",
    title="A shift lies under a slur",
    rationale=WHY,
    scope=Scope.PROPOSED,
    options=Options(),
    check=check,
    outcomes={
        "slurred": Outcome("the hand shifts from position $start to $goal under the slur to $pitch", Severity.WARNING),
        "asked": Outcome("the mark on $pitch asks for a shift from $start to $goal under the slur", Severity.NOTE),
    },
)
