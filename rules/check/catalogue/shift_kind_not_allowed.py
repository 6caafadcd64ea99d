"""A shift of a kind that the player has not learned."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.hand.level import ShiftKind
from rules.plan.plan import Plan
from rules.text import english

WHY = """Shifts are taught kind by kind: over a rest or an open string first, on the same finger, then through
a guide finger (the four kinds are Davidov's, Violoncell-Schule, art. X, 1888). A book that has not come to a
kind should not ask for it."""


_WAYS = {
    ShiftKind.SAME_FINGER: english("same finger"),
    ShiftKind.GUIDE_FINGER: english("guide finger"),
    ShiftKind.OPEN_STRING: english("over an open string"),
    ShiftKind.REST: english("over a rest"),
    ShiftKind.BOW_CHANGE: english("at a bow change"),
    ShiftKind.SLUR: english("under a slur"),
}


@dataclass(frozen=True, slots=True)
class Options:
    """This rule has no options."""


def check(plan: Plan, _options: Options) -> Iterator[Finding]:
    """Report shifts of kinds that the level lacks; where it knows no shift at all, the positions say it already."""
    if not plan.level.shifts:
        return
    for shift in plan.shifts:
        if shift.kind not in plan.level.shifts:
            yield RULE.found(
                "kind", plan, shift.departure, shift.arrival, start=shift.start, goal=shift.goal, way=_WAYS[shift.kind]
            )


RULE = Rule(
    id="shift-kind-not-allowed",
    title="A shift is of a kind that the level does not have",
    rationale=WHY,
    scope=Scope.PROPOSED,
    options=Options(),
    check=check,
    outcomes={
        "kind": Outcome(
            "the shift from position $start to $goal is made $way, which is not allowed",
            Severity.WARNING,
            Concern.LEVEL,
        )
    },
)
